//! A reading that was just kept, set against what the sheet predicts.
//!
//! Units of the reading's kind. The sheet is the one that holds now, with the parts that were
//! fitted since counted as new and the tubes as testers found them; the readings taken before in the same conditions narrow the
//! band. Where nothing can be told the verdict says so with the reason. A set that does not
//! settle under these conditions is told as nothing said, with the evidence: the reading is
//! kept already. Fails only for a fault of the program's own figures.

use logbook::{Conditions, Fact, Logbook, Measured, StandingFact, What};
use receiver::conditions::BenchConditions;
use receiver::expect::{ExpectError, Predictor};
use receiver::foresight::Foresight;
use receiver::judge_reading::{ReadingVerdict, TakenReading, foresight_for, judge_by};
use receiver::reading;
use receiver::sweep_drive::danger;
use receiver::untold::with_untold_tubes;
use receiver::wiring::SetModel;

use crate::bench_words;
use crate::check_sheet::catalogue;
use crate::drive_shown::drive_shown;
use crate::kept_foresight;
use crate::known_sets;
use crate::lamp_words::lamp_volts;
use crate::reading_words::last_figure;
use crate::sheet_so_far::{SheetSoFar, sheet_so_far};
use crate::trouble::Trouble;
use crate::view::JudgedView;

/// Judges the reading with this number among the facts that stand; `text` is the sheet that
/// holds now. What the set foresees is taken from the file where it is kept there.
pub(crate) fn judge_entry(
    book: &mut Logbook,
    text: Option<&str>,
    facts: &[StandingFact<'_>],
    number: u64,
) -> Result<Option<JudgedView>, Trouble> {
    let Some(at) = facts.iter().position(|one| one.number == number) else {
        return Ok(None);
    };
    let Some(StandingFact {
        fact: Fact::Measured(measured),
        ..
    }) = facts.get(at)
    else {
        return Ok(None);
    };
    let nothing = |because: &str| Ok(Some(JudgedView::nothing(because)));
    let Some(taken) = taken(measured) else {
        return nothing("nothing is predicted for this kind of reading");
    };
    if taken.what == reading::What::LampVoltsRms && lamp_volts(&measured.typed).is_some() {
        return nothing("a word for the lamp is no figure; `firstraster suspects` weighs it");
    }
    let is_ohms = taken.what == reading::What::Ohms;
    if measured.conditions.plug_out && !is_ohms && measured.conditions.dc.is_empty() {
        return nothing("with the plug out and no d.c. source only ohms are predicted");
    }
    let conditions = match bench_conditions(&measured.conditions, &measured.meter) {
        Ok(conditions) => conditions,
        Err(because) => return nothing(&because),
    };
    let earlier = facts.get(..at).unwrap_or(&[]);
    let so_far = match text {
        Some(text) => sheet_so_far(text, earlier)?,
        None => None,
    };
    let Some(so_far) = so_far else {
        return nothing("no sheet without faults was taken in");
    };
    let catalogue = catalogue()?;
    let sheet = &so_far.sheet;
    let whole = with_untold_tubes(sheet, catalogue).map(|(whole, _)| whole);
    let model = SetModel::new(whole.as_ref().unwrap_or(sheet), catalogue);
    known_sets::take_over(&model);
    let before: Vec<TakenReading> = earlier
        .iter()
        .filter_map(|one| match one.fact {
            Fact::Measured(own) if own.conditions == measured.conditions => self::taken(own),
            _ => None,
        })
        .collect();
    let through = facts.get(..=at).unwrap_or(&[]);
    let foresight = match foresight_of(book, &so_far, &model, &conditions, &taken) {
        Ok(foresight) => foresight,
        Err(error) => {
            // What burns, burns also where nothing is foretold.
            let drives = drive_shown(&model, &so_far.sheet, through, |_| None);
            let nothing = JudgedView::nothing(&error.to_string());
            return Ok(Some(nothing.in_danger(danger(&drives))));
        }
    };
    known_sets::keep(&model);
    let mut judgement = judge_by(&model, &foresight, &taken, &before);
    // What rounds to a value inside the band lies inside: `0 V` beside -0.13 V.
    let step = last_figure(&measured.place, &measured.typed, measured.what);
    if let (Some(band), Some(step)) = (&judgement.band, step)
        && (band.low - 0.5 * step..=band.high + 0.5 * step).contains(&taken.value)
    {
        judgement.verdict = ReadingVerdict::Inside;
        judgement.meant_as = None;
    }
    let band = |entry: u64| {
        let one = facts.iter().find(|one| one.number == entry)?;
        let Fact::Measured(own) = one.fact else {
            return None;
        };
        let same = own.conditions == measured.conditions && own.meter == measured.meter;
        let own = self::taken(own).filter(|own| same && own.to == taken.to)?;
        let mut readings = foresight.readings.iter();
        let told =
            readings.find(|told| told.what == own.what && told.at.eq_ignore_ascii_case(&own.at))?;
        Some((told.band.low, told.band.high))
    };
    let is_powered = !is_ohms && !measured.conditions.plug_out;
    let drives = drive_shown(&model, &so_far.sheet, through, band);
    let danger = danger(&drives).filter(|_| is_powered);
    Ok(Some(JudgedView::of(&judgement, &taken).in_danger(danger)))
}

/// What the set foresees for such a reading, taken from the file where it is kept there; nothing is solved then.
pub(crate) fn foresight_of(
    book: &mut Logbook,
    so_far: &SheetSoFar,
    model: &SetModel<'_>,
    conditions: &BenchConditions,
    taken: &TakenReading,
) -> Result<Foresight, ExpectError> {
    let rests_on = foresight_rests_on(so_far, conditions, taken);
    let kept = book.worked_out(&rests_on).ok().flatten();
    if let Some(foresight) = kept.and_then(|bytes| kept_foresight::from_bytes(&bytes)) {
        return Ok(foresight);
    }
    let foresight = foresight_for(&Predictor::new(model), conditions, taken)?;
    if let Some(bytes) = kept_foresight::to_bytes(&foresight) {
        // What cannot be kept is worked out again the next time.
        let _ = book.keep_worked_out(&rests_on, &bytes);
    }
    Ok(foresight)
}

/// What a set tells at all under power and where a meter may touch, kept or worked out; nothing is solved where it is kept.
pub(crate) fn outline_of(
    book: &mut Logbook,
    so_far: &SheetSoFar,
    model: &SetModel<'_>,
    conditions: &BenchConditions,
) -> Result<Foresight, ExpectError> {
    let rests_on = format!("outline\n{conditions:?}\n{}", so_far.rests_on());
    let kept = book.worked_out(&rests_on).ok().flatten();
    if let Some(outline) = kept.and_then(|bytes| kept_foresight::from_bytes(&bytes)) {
        return Ok(outline);
    }
    let outline = Foresight::outline(&Predictor::new(model), conditions)?;
    if let Some(bytes) = kept_foresight::to_bytes(&outline) {
        // What cannot be kept is worked out again the next time.
        let _ = book.keep_worked_out(&rests_on, &bytes);
    }
    Ok(outline)
}

/// Everything that what is foreseen for such a reading rests on.
pub(crate) fn foresight_rests_on(
    so_far: &SheetSoFar,
    conditions: &BenchConditions,
    taken: &TakenReading,
) -> String {
    let kind = match taken.what {
        reading::What::Ohms => "cold",
        _ => "under power",
    };
    let to = taken.to.as_deref().unwrap_or("chassis");
    let sheet = so_far.rests_on();
    format!("foresight\n{kind}\n{to}\n{conditions:?}\n{sheet}")
}

pub(crate) fn taken(measured: &Measured) -> Option<TakenReading> {
    Some(TakenReading {
        at: measured.place.clone(),
        to: (!measured.to.is_empty() && measured.to != "chassis").then(|| measured.to.clone()),
        what: kind(measured.what)?,
        value: measured.value,
    })
}

fn kind(what: What) -> Option<reading::What> {
    reading::What::from_name(what.name())
}

pub(crate) fn bench_conditions(said: &Conditions, meter: &str) -> Result<BenchConditions, String> {
    Ok(BenchConditions {
        line_volts: said.line_volts.or(said.dial_volts),
        lamps: said.lamp_watts.clone(),
        pulled: said.pulled.clone(),
        open: said.open.clone(),
        fitted_without: said.fitted_without.clone(),
        seconds: said.seconds,
        meter: match meter {
            "" => None,
            meter => Some(bench_words::meter(meter)?),
        },
        direct_source: match said.dc.as_str() {
            "" => None,
            dc => Some(bench_words::direct_source(dc)?),
        },
        bands: true,
        ..BenchConditions::default()
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    /// What is kept is a mark here that no solving gives: where it comes back, nothing was solved.
    #[test]
    fn what_was_foreseen_before_is_taken_from_the_file_and_nothing_is_solved() {
        let folder = tempfile::tempdir().expect("a folder");
        let path = folder.path().join("a.restoration");
        let mut book = Logbook::start(&path, "Larkfield 12T").expect("starts");
        let so_far = sheet_so_far(crate::EXAMPLE_SHEET, &[]).expect("read");
        let so_far = so_far.expect("a sheet without faults");
        let model = SetModel::new(&so_far.sheet, catalogue().expect("data"));
        let conditions = BenchConditions::default();
        let taken = |what, value| TakenReading {
            at: "V9.5".to_owned(),
            to: None,
            what,
            value,
        };
        let mark = Foresight {
            safe: vec!["no place of any set".to_owned()],
            ..Foresight::default()
        };
        let bytes = kept_foresight::to_bytes(&mark).expect("bytes");
        let volts = taken(reading::What::DcVolts, 135.0);
        let rests_on = foresight_rests_on(&so_far, &conditions, &volts);
        book.keep_worked_out(&rests_on, &bytes).expect("kept");
        // Every direct reading under these conditions is judged by the one solution, whatever it says.
        for value in [135.0, 12.0, -1.0] {
            let volts = taken(reading::What::DcVolts, value);
            let foresight = foresight_of(&mut book, &so_far, &model, &conditions, &volts);
            assert_eq!(foresight, Ok(mark.clone()));
        }
        // Under other conditions it is another solution.
        let ohms = taken(reading::What::Ohms, 4700.0);
        assert_ne!(
            foresight_rests_on(&so_far, &conditions, &ohms),
            rests_on,
            "cold"
        );
    }
}
