//! The forming of one capacitor told, with what was read so far; all electrolytics of a set listed.
//!
//! Units as the view names them. Nothing is written. Fails as [`super`] says.

use std::path::Path;

use logbook::{Logbook, StandingFact, standing_facts};
use receiver::forming::{
    FormingVerdict, LeakLimits, expected_leakage, forming_steps, judge_forming,
};
use receiver::sheet::{PartValue, Sheet, State};

use super::gather::{Gathered, gather};
use super::job::{FormingAsk, Job, electrolytics, job, sorted, state_of};
use crate::check_sheet::sound_sheet;
use crate::read_sheet_file::read_set_file;
use crate::restoration::trouble;
use crate::trouble::Trouble;
use crate::view::{
    FormingEndView, FormingForecastView, FormingListView, FormingReadingView, FormingView,
    FormingsView, SeriesResistorView, six_figures,
};
use crate::{FORMAT, PROGRAM_VERSION};

/// Minutes at which the estimate is told.
const TOLD_MINUTES: [f64; 24] = [
    1.0, 2.0, 3.0, 4.0, 5.0, 7.0, 10.0, 15.0, 20.0, 25.0, 30.0, 40.0, 50.0, 60.0, 75.0, 90.0,
    120.0, 150.0, 180.0, 240.0, 360.0, 540.0, 960.0, 1440.0,
];

/// Tells the forming of a part of a sheet or restoration.
pub fn tell_forming(file: &Path, part: &str, ask: &FormingAsk) -> Result<FormingView, Trouble> {
    let set = read_set_file(file)?;
    let (sheet, _) = sound_sheet(&set)?;
    if !set.is_of_a_restoration() {
        let job = job(Some(&sheet), Some(part), ask)?;
        let mut view = view_of(&job, Some(&sheet.state), &Gathered::default())?;
        view.file = Some(file.display().to_string());
        return Ok(view);
    }
    let in_file = |error| trouble(file, error);
    let book = Logbook::look(file).map_err(in_file)?;
    let entries = book.entries().map_err(in_file)?;
    view_of_part(
        file,
        &book,
        Some(&sheet),
        &standing_facts(&entries),
        part,
        ask,
    )
}

/// Tells the forming of a capacitor that is named by its marks alone.
pub fn tell_forming_of(marked: &str, ask: &FormingAsk) -> Result<FormingView, Trouble> {
    let ask = FormingAsk {
        marked: Some(marked.to_owned()),
        ..ask.clone()
    };
    view_of(&job(None, None, &ask)?, None, &Gathered::default())
}

/// Lists every electrolytic of a set with how its forming stands.
pub fn tell_formings(file: &Path) -> Result<FormingsView, Trouble> {
    let set = read_set_file(file)?;
    let (sheet, _) = sound_sheet(&set)?;
    let in_file = |error| trouble(file, error);
    let entries = if set.is_of_a_restoration() {
        Logbook::look(file)
            .and_then(|book| book.entries())
            .map_err(in_file)?
    } else {
        Vec::new()
    };
    let facts = standing_facts(&entries);
    let ask = FormingAsk::default();
    let list = electrolytics(&sheet)
        .map(|part| {
            let gathered = gather(&facts, &part.reference);
            let (microfarads, volts) = match part.value {
                PartValue::Capacitor { farads, volts, .. } => (farads * 1e6, volts),
                _ => (f64::NAN, None),
            };
            let made = job(Some(&sheet), Some(&part.reference), &ask).ok();
            let judged = made
                .as_ref()
                .map(|made| judge_forming(&made.bench, &gathered.leak_readings()));
            FormingListView {
                part: part.reference.clone(),
                microfarads: six_figures(microfarads),
                volts,
                state: state_of(&sheet.state, &part.reference),
                verdict: judged.map(|judged| judged.verdict.word()),
                ended: gathered.ended.map(|ended| ended.end.word()),
                limit_milliamperes: made.map(|made| six_figures(1e3 * made.bench.limit_amperes)),
            }
        })
        .collect();
    Ok(FormingsView {
        format: FORMAT,
        program: PROGRAM_VERSION,
        data: parts::DATA_EDITION,
        file: file.display().to_string(),
        set: sheet.name.clone(),
        electrolytics: list,
    })
}

/// The view of a part whose restoration is at hand.
pub(super) fn view_of_part(
    file: &Path,
    book: &Logbook,
    sheet: Option<&Sheet>,
    facts: &[StandingFact<'_>],
    part: &str,
    ask: &FormingAsk,
) -> Result<FormingView, Trouble> {
    let gathered = gather(facts, part);
    let is_listed = sheet.is_some_and(|sheet| sheet.part(part).is_some());
    let ask = FormingAsk {
        marked: ask
            .marked
            .clone()
            .or_else(|| gathered.marked.clone().filter(|_| !is_listed)),
        ..ask.clone()
    };
    let job = job(sheet, Some(part), &ask)?;
    let mut view = view_of(&job, sheet.map(|sheet| &sheet.state), &gathered)?;
    view.file = Some(file.display().to_string());
    view.restoration = Some(book.name().map_err(|error| trouble(file, error))?);
    Ok(view)
}

fn view_of(job: &Job, state: Option<&State>, gathered: &Gathered) -> Result<FormingView, Trouble> {
    let bench = &job.bench;
    let steps =
        forming_steps(bench, &job.reference, &job.others).map_err(|error| sorted(&error))?;
    let judged = judge_forming(bench, &gathered.leak_readings());
    let series = &bench.series;
    let milli = |amperes: f64| six_figures(1e3 * amperes);
    let band = |one: receiver::forming::LeakBand| {
        [
            six_figures(one.minutes),
            milli(one.low),
            milli(one.expected),
            milli(one.high),
        ]
    };
    let expected = TOLD_MINUTES
        .iter()
        .map(|&minutes| band(expected_leakage(bench, minutes)))
        .collect();
    let readings = gathered
        .readings
        .iter()
        .enumerate()
        .map(|(place, (entry, one))| FormingReadingView {
            entry: *entry,
            minutes: one.minutes,
            source_volts: one.source_volts,
            section_volts: one.section_volts,
            milliamperes: milli(one.amperes),
            case_celsius: one.case_celsius,
            is_at_present_volts: judged.at_these_volts.contains(&place),
        })
        .collect();
    let forecast = judged.forecast.as_ref().map(|ahead| FormingForecastView {
        curve: ahead.curve.iter().copied().map(band).collect(),
        meets_within_a_day: six_figures(ahead.meets_within_a_day),
        meets_at_minutes: ahead.meets_at.map(|end| end.map(six_figures)),
    });
    let is_open = judged.verdict != FormingVerdict::NotBegun && gathered.ended.is_none();
    Ok(FormingView {
        format: FORMAT,
        program: PROGRAM_VERSION,
        data: parts::DATA_EDITION,
        file: None,
        restoration: None,
        part: job.reference.clone(),
        state: state.map(|state| state_of(state, &job.reference)),
        microfarads: six_figures(bench.job.farads * 1e6),
        marked_volts: bench.job.marked_volts,
        other_sections: job.others.clone(),
        source_is_named: bench.job.source.is_some(),
        top_volts: bench.top_volts,
        source_volts: bench.steps.clone(),
        series: SeriesResistorView {
            ohms: six_figures(series.ohms),
            pieces: series.pieces,
            piece_ohms: six_figures(series.piece_ohms),
            piece_watts: series.piece.watts,
            piece_volts: series.piece.volts,
            least_ohms_for_current: six_figures(series.least_for_current),
            least_ohms_for_heat: six_figures(series.least_for_heat),
            watts_at_a_short: six_figures(series.watts_at_short),
            milliamperes_at_a_short: milli(series.amperes_at_short),
            most_watts_in_can: six_figures(series.most_can_watts),
        },
        charging_seconds: six_figures(bench.charging_seconds),
        limit_milliamperes: milli(bench.limit_amperes),
        limit_is_of: if bench.job.is_new {
            "new_parts"
        } else {
            "old_cans"
        },
        limit_of_old_cans_milliamperes: milli(bench.limits.period_amperes),
        limit_of_new_parts_milliamperes: milli(bench.limits.modern_amperes),
        limit_words: LeakLimits::words(),
        discharge_ohms: bench.discharge.ohms,
        discharge_joules: six_figures(bench.discharge.joules),
        discharge_seconds_to_ten_volts: six_figures(bench.discharge.seconds_to_ten_volts),
        expected,
        acts: steps.acts,
        stop_signs: steps.stop_signs,
        cautions: steps.cautions,
        readings,
        verdict: judged.verdict.word(),
        because: judged.because,
        next_volts: judged.next_volts,
        section_volts: judged.section_volts.map(six_figures),
        section_watts: judged.section_watts.map(six_figures),
        meets_limit_of_new_parts: is_open.then_some(judged.meets_modern),
        goal_milliamperes: milli(judged.goal_amperes),
        forecast,
        volts_left: gathered.volts_left,
        ended: gathered.ended.as_ref().map(|ended| FormingEndView {
            end: ended.end.word(),
            because: ended.because.clone(),
            entry: ended.number,
            at: ended.at.to_string(),
        }),
    })
}
