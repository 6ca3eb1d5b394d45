//! Everything that was found of one picture tube, judged together.
//!
//! Facts in, each in the unit its type names; out come the judgements of the neighbouring
//! modules, the verdict that follows from all of them, and the recovery that may be advised on
//! it. Of readings of one pair of elements the last one counts, of sittings the last one makes
//! the verdict. Fails only for a damaged table of hazards; what cannot be told is a result.

use parts::{Catalogue, TubeType};
use quantity::{Amperes, Band, Volts};

use super::bench_method::{BenchReading, Cathode, judge_cathode};
use super::drive::{CutoffFinding, Drive, DriveUnknown, current_band, cutoff_spread, judge_cutoff};
use super::emission::{
    Comparison, Direction, EmissionFaults, EmissionOutlook, EmissionRecord, compare, judge_emission,
};
use super::heater::{HeaterFacts, HeaterFinding, judge_heater};
use super::leakage::{Element, Leak, LeakReading, judge_leak};
use super::life_fall::{Fall, LifeFall, judge_fall};
use super::recovery::{Recovery, RecoveryFacts, gentle_recovery};
use super::verdict::{Judged, Standing, TubeVerdict, verdict};
use crate::hazard::TableFault;

/// Minutes at rated heater after which they count as tried: the least of trade practice
/// (`data/trade_numbers.csv`, "emission recovers at rated heater", 1 hour).
const TRIED_MINUTES: f64 = 60.0;

/// A reading of cut-off.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct CutOffReading {
    /// Volts that the grid stood below the cathode.
    pub grid: Option<Volts>,
    /// Whether the beam went out.
    pub reached: Option<bool>,
    /// Volts of the second grid, to the cathode.
    pub second_grid: Option<Volts>,
}

/// Readings of emission in one sitting.
#[derive(Clone, Debug, PartialEq)]
pub struct Sitting {
    /// Its name; empty for the first one.
    pub name: String,
    /// The readings.
    pub record: EmissionRecord,
}

/// What a working set shows.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Running {
    /// Whether there is a picture of use.
    pub gives_a_picture: Option<bool>,
    /// Cathode current, brightness up as far as the picture allows.
    pub cathode: Option<Amperes>,
}

/// Everything found of one tube; all of it may be missing.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct TubeFacts {
    /// Its heater.
    pub heater: HeaterFacts,
    /// Ohms between elements, the oldest first.
    pub leaks: Vec<LeakReading>,
    /// Cut-off, the oldest first.
    pub cut_offs: Vec<CutOffReading>,
    /// Emission, the oldest sitting first.
    pub sittings: Vec<Sitting>,
    /// Reading from which on the instrument calls a tube good, in the unit of the last sitting.
    pub good_from: Option<f64>,
    /// Currents of the bench method.
    pub bench: Vec<BenchReading>,
    /// The last life test.
    pub fall: Option<LifeFall>,
    /// The working set.
    pub running: Running,
    /// Names of the cures that were tried.
    pub tried: Vec<String>,
}

/// All judgements.
#[derive(Clone, Debug, PartialEq)]
pub struct TubeJudgement {
    /// The heater; empty where nothing was found of it.
    pub heater: Vec<HeaterFinding>,
    /// The last reading of each pair of elements.
    pub leaks: Vec<(LeakReading, Leak)>,
    /// Each reading of cut-off that can be held against the type.
    pub cut_offs: Vec<(CutOffReading, Result<CutoffFinding, DriveUnknown>)>,
    /// Each sitting.
    pub sittings: Vec<(String, Result<EmissionOutlook, EmissionFaults>)>,
    /// The last sitting against the one before.
    pub since_before: Option<Comparison>,
    /// Each bench current against what the type should show.
    pub bench: Vec<(BenchReading, Result<Band, DriveUnknown>)>,
    /// What the bench currents say of the cathode.
    pub cathode: Option<Cathode>,
    /// The life test.
    pub fall: Option<Fall>,
    /// Where a cathode current of the working set stands; amperes usual there.
    pub running: Option<(CutoffFinding, Band)>,
    /// The verdict.
    pub verdict: TubeVerdict,
    /// What may be done to recover it.
    pub recovery: Recovery,
}

/// Judges a tube of this type.
///
/// # Errors
/// A fault of the table of hazards built into the program.
pub fn judge_tube(
    tube: &TubeType,
    facts: &TubeFacts,
    catalogue: &Catalogue,
) -> Result<TubeJudgement, TableFault> {
    let heater = if facts.heater == HeaterFacts::default() {
        Vec::new()
    } else {
        judge_heater(tube, &facts.heater, catalogue)
    };
    let leaks: Vec<(LeakReading, Leak)> = last_of_each_pair(&facts.leaks)
        .into_iter()
        .map(|reading| (reading, judge_leak(&reading)))
        .collect();
    let cut_offs: Vec<_> = facts
        .cut_offs
        .iter()
        .filter_map(|one| Some((*one, cut_off_of(tube, one)?)))
        .collect();
    let sittings: Vec<_> = facts
        .sittings
        .iter()
        .map(|one| (one.name.clone(), judge_emission(&one.record)))
        .collect();
    let outlooks: Vec<&EmissionOutlook> = sittings
        .iter()
        .filter_map(|one| one.1.as_ref().ok())
        .collect();
    let since_before = match outlooks.as_slice() {
        [.., before, last] => Some(compare(last, before)),
        _ => None,
    };
    let bench: Vec<_> = facts
        .bench
        .iter()
        .map(|one| {
            let band = current_band(tube, Drive::Grid, one.second_grid, Volts(0.0));
            (*one, band)
        })
        .collect();
    let by_volts = |one: &&BenchReading, other: &&BenchReading| {
        one.second_grid.0.total_cmp(&other.second_grid.0)
    };
    let ends = (
        facts.bench.iter().min_by(by_volts),
        facts.bench.iter().max_by(by_volts),
    );
    let cathode = match ends {
        (Some(low), Some(high)) => Some(judge_cathode(low, high)),
        _ => None,
    };
    let fall = facts.fall.as_ref().map(judge_fall);
    let running = running_current(facts.running.cathode, catalogue);
    let leaks_at = |wanted: &dyn Fn(&LeakReading) -> bool| {
        let own = leaks.iter().filter(|(reading, _)| wanted(reading));
        let bad = |leak: &Leak| matches!(leak, Leak::Leaks(_) | Leak::Short(_));
        let told: Vec<bool> = own
            .filter(|(_, leak)| !matches!(leak, Leak::SaysNothing(_)))
            .map(|(_, leak)| bad(leak))
            .collect();
        (!told.is_empty()).then(|| told.contains(&true))
    };
    let heater_cathode_leak = leaks_at(&is_heater_to_cathode);
    let judged = Judged {
        heater: heater.clone(),
        emission: outlooks.last().map(|one| (*one).clone()),
        good_from: facts.good_from,
        cathode: cathode.clone(),
        bench_current: bench.last().and_then(|(reading, band)| {
            let band = band.as_ref().ok()?;
            Some(against(reading.at_once.0, band))
        }),
        cutoff: cut_offs
            .iter()
            .rev()
            .find_map(|(_, found)| found.as_ref().ok().copied()),
        is_cut_off: facts.cut_offs.iter().rev().find_map(|one| one.reached),
        reserve: fall.as_ref().map(|fall| fall.reserve.clone()),
        heater_cathode_leak,
        other_leak: leaks_at(&|reading| !is_heater_to_cathode(reading)),
        gives_a_picture: facts.running.gives_a_picture,
        running_current: running.as_ref().map(|(found, _)| *found),
    };
    let verdict = verdict(&judged)?;
    let is_tried = |name: &str| facts.tried.iter().any(|own| own == name);
    let recovery = gentle_recovery(
        tube,
        RecoveryFacts {
            usable: matches!(verdict.standing, Standing::Good | Standing::Usable)
                || facts.running.gives_a_picture == Some(true),
            rated_tried: is_tried("rated")
                || facts
                    .sittings
                    .iter()
                    .zip(&sittings)
                    .any(|(one, (_, outlook))| hours_gained_nothing(one, outlook)),
            heater_fault: heater_cathode_leak == Some(true)
                || heater
                    .iter()
                    .any(|one| matches!(one, HeaterFinding::Open | HeaterFinding::ShortedTurns)),
            cures_untried: !(is_tried("pins") && is_tried("solder")),
            not_judged: verdict.standing == Standing::CannotTell,
        },
        catalogue,
    )?;
    Ok(TubeJudgement {
        heater,
        leaks,
        cut_offs,
        sittings,
        since_before,
        bench,
        cathode,
        fall,
        running,
        verdict,
        recovery,
    })
}

/// The last reading of each pair of elements with the heater hot or cold, in the order of the first.
fn last_of_each_pair(readings: &[LeakReading]) -> Vec<LeakReading> {
    let mut last: Vec<LeakReading> = Vec::new();
    for reading in readings {
        let same = |own: &&mut LeakReading| {
            own.hot == reading.hot && own.plus == reading.plus && own.minus == reading.minus
        };
        match last.iter_mut().find(same) {
            Some(own) => *own = *reading,
            None => last.push(*reading),
        }
    }
    last
}

fn is_heater_to_cathode(reading: &LeakReading) -> bool {
    let pair = [reading.plus, reading.minus];
    pair.contains(&Element::Heater) && pair.contains(&Element::Cathode)
}

/// A measured cut-off against the type's; `None` where volts are missing.
fn cut_off_of(
    tube: &TubeType,
    reading: &CutOffReading,
) -> Option<Result<CutoffFinding, DriveUnknown>> {
    let (grid, second_grid) = (reading.grid?, reading.second_grid?);
    Some(cutoff_spread(tube, second_grid).map(|spread| judge_cutoff(&spread, grid)))
}

/// A current against a band, widened by a twentieth for the meter.
pub fn against(amperes: f64, band: &Band) -> CutoffFinding {
    if amperes < 0.95 * band.low {
        CutoffFinding::Low
    } else if amperes > 1.05 * band.high {
        CutoffFinding::High
    } else {
        CutoffFinding::Inside
    }
}

/// The cathode current of a working set against what trade practice calls normal.
fn running_current(
    cathode: Option<Amperes>,
    catalogue: &Catalogue,
) -> Option<(CutoffFinding, Band)> {
    let usual = catalogue.trade_number("beam current average")?;
    let at = |milliamperes: f64| milliamperes * 1e-3;
    let band = Band::new(
        at(usual.low),
        at(usual.typical),
        at(usual.high),
        [("sets and pictures", 1.0)],
    )
    .ok()?;
    Some((against(cathode?.0, &band), band))
}

/// Whether a sitting of an hour or more at rated heater ended without a gain to come.
fn hours_gained_nothing(
    sitting: &Sitting,
    outlook: &Result<EmissionOutlook, EmissionFaults>,
) -> bool {
    let rated = sitting.record.rated_heater_volts.0;
    let minutes = sitting.record.readings.iter().map(|one| one.minutes);
    let lasted = minutes.fold(0.0, f64::max);
    let is_rated = sitting.record.readings.iter().all(|one| {
        one.heater_volts
            .is_none_or(|volts| (volts.0 / rated - 1.0).abs() <= 0.1)
    });
    let is_over = outlook
        .as_ref()
        .is_ok_and(|outlook| matches!(outlook.direction, Direction::Steady | Direction::Falling));
    lasted >= TRIED_MINUTES && is_rated && is_over
}
