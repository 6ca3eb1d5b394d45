//! The way that the search itself takes through a hidden set.
//!
//! Weights are plain. After each measurement the suspects are ranked anew and the measurement worth
//! most is made, in one set of conditions: direct volts at a place, a part measured by itself, a tube on a
//! tester or exchanged. It ends when one suspect has the weight asked for, when nothing more is offered, or
//! after a number of measurements. The same hidden set gives the
//! same way. Fails as the set's solution does, or by a damaged table of hazards.

use parts::Effort;

use crate::expect::ExpectError;
use crate::hazard::{Situation, TableFault};
use crate::reading::What;
use crate::suspects::doubt::doubt;
use crate::suspects::evidence::Seen;
use crate::suspects::hypotheses::{Hypotheses, Suspect};
use crate::suspects::next::{Asked, Measurement, next};
use crate::suspects::outcome::{Check, Found, Outcome};
use crate::suspects::predict::Foretold;
use crate::suspects::rank::{Ranking, rank};
use crate::wiring::SetModel;

use super::answers::HiddenBench;
use super::hidden::Hidden;
use super::loose::{Loose, measured_loose};

/// Ratio to the sheet's figure beyond which a part measured by itself is called bad (judgement: beyond
/// any usual tolerance and age).
const FAR_OFF: f64 = 1.35;
/// Ohms below which the dielectric of a capacitor is called leaky (judgement: what a grid circuit feels).
const LEAKY_OHMS: f64 = 1e8;
/// Percent of a new tube below which a tester calls it weak (common practice).
const WEAK_PERCENT: f64 = 55.0;

/// Everything that the search goes by, and the set that answers.
pub struct Searching<'a, 's> {
    /// The set as its sheet foretells it.
    pub model: &'a SetModel<'s>,
    /// The set with the other laws.
    pub truth: &'a SetModel<'s>,
    /// What may be wrong.
    pub hypotheses: &'a Hypotheses,
    /// The one set of conditions that is read in.
    pub foretold: &'a [Foretold],
    /// What measurements cost.
    pub efforts: &'a [Effort],
    /// What is known of set and bench.
    pub situation: &'a Situation,
}

/// Why a search failed.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum SearchError {
    /// The hidden set.
    #[error(transparent)]
    Set(#[from] ExpectError),
    /// The table of hazards.
    #[error("{0}")]
    Hazards(TableFault),
    /// Nothing was foretold.
    #[error("no conditions were foretold")]
    Nothing,
}

/// One measurement made.
#[derive(Debug, Clone, PartialEq)]
pub struct Made {
    /// What was measured.
    pub measurement: Measurement,
    /// The heaviest suspect after it, with its weight.
    pub leads: Option<(Suspect, f64)>,
}

/// A search.
#[derive(Debug, Clone, PartialEq)]
pub struct OwnWay {
    /// The measurements in their order.
    pub made: Vec<Made>,
    /// The ranking at the end.
    pub ranking: Ranking,
    /// Whether a suspect had the weight asked for.
    pub is_sure: bool,
}

/// Searches a hidden set until a suspect has the weight `sure`, at most so many measurements.
///
/// # Errors
/// Those of the hidden set's solution and of the table of hazards.
pub fn own_way(
    own: &Searching<'_, '_>,
    hidden: &Hidden,
    bench: &HiddenBench,
    most: usize,
    sure: f64,
) -> Result<OwnWay, SearchError> {
    let told = own.foretold.first().ok_or(SearchError::Nothing)?;
    let truth = HiddenBench::truth(own.truth, hidden, &told.conditions, &told.probes)?;
    let mut hypotheses = own.hypotheses.clone();
    let mut seen: Vec<Seen> = Vec::new();
    let mut checked: Vec<Measurement> = Vec::new();
    let mut made = Vec::new();
    let mut ranking = rank(&hypotheses, own.foretold, &seen);
    let mut is_sure = false;
    while made.len() < most && !is_sure {
        let offered = next(&Asked {
            model: own.model,
            hypotheses: &hypotheses,
            foretold: own.foretold,
            seen: &seen,
            ranking: &ranking,
            efforts: own.efforts,
            situation: own.situation,
            present: 0,
        })
        .map_err(SearchError::Hazards)?;
        let best = offered
            .iter()
            .map(|offer| offer.measurement)
            .find(|offer| !checked.contains(offer));
        let Some(measurement) = best else {
            break;
        };
        checked.push(measurement);
        match measurement {
            Measurement::Read { probe, .. } => {
                let read = bench.reading(&truth, &told.probes, probe, &told.conditions);
                seen.extend(read.map(|(value, _)| Seen {
                    conditions: 0,
                    probe,
                    value,
                    doubt: doubt(told.conditions.meter.as_ref(), What::DcVolts, value),
                }));
            }
            check => hypotheses.take_in(&outcome(own, hidden, check)),
        }
        ranking = rank(&hypotheses, own.foretold, &seen);
        let leads = ranking
            .suspects
            .first()
            .map(|first| (first.suspect, first.weight));
        is_sure = leads.is_some_and(|(_, weight)| weight >= sure);
        made.push(Made { measurement, leads });
    }
    Ok(OwnWay {
        made,
        ranking,
        is_sure,
    })
}

/// What came of a check of a part by itself, or of its exchange.
fn outcome(own: &Searching<'_, '_>, hidden: &Hidden, check: Measurement) -> Vec<Outcome> {
    let (suspect, check) = match check {
        Measurement::Read { .. } => return Vec::new(),
        Measurement::PartOhms(part) => (Suspect::Part(part), Check::Ohms),
        Measurement::PartLeakage(part) => (Suspect::Part(part), Check::Leakage),
        Measurement::PartCapacitance(part) => (Suspect::Part(part), Check::Capacitance),
        Measurement::CapacitorExchange(part) => (Suspect::Part(part), Check::Exchange),
        Measurement::TubeExchange(tube) => (Suspect::Tube(tube), Check::Exchange),
        Measurement::TubeTester(tube) => (Suspect::Tube(tube), Check::TubeTester),
    };
    let found = if check == Check::Exchange {
        let words = hidden
            .faults
            .iter()
            .find(|fault| fault.suspect == suspect)
            .map(|fault| fault.fault.clone());
        words.map_or(Found::Good(check), Found::Bad)
    } else {
        match measured_loose(own.model, own.hypotheses, hidden, suspect) {
            Some(loose) => verdict(own, suspect, check, &loose),
            None => return Vec::new(),
        }
    };
    vec![Outcome { suspect, found }]
}

/// Good or bad, as one reads an instrument.
fn verdict(own: &Searching<'_, '_>, suspect: Suspect, check: Check, loose: &Loose) -> Found {
    let part = match suspect {
        Suspect::Part(part) => part,
        _ => usize::MAX,
    };
    let bad = |words: &str| Found::Bad(words.to_owned());
    match (loose, check) {
        (Loose::Ohms(ohms), Check::Ohms) => {
            let wanted = own.model.ohms(part).unwrap_or(*ohms);
            match ohms / wanted {
                ratio if ratio.is_infinite() => bad("open"),
                ratio if ratio > 2.0 => bad("value far up"),
                ratio if ratio > FAR_OFF => bad("value high"),
                ratio if ratio < 1.0 / FAR_OFF => bad("value low, leaky or shorted"),
                _ => Found::Good(check),
            }
        }
        (Loose::Capacitor { leak_ohms, .. }, Check::Ohms | Check::Leakage) => {
            // A few volts find a short, and a leak of which half shows only at working volts.
            let least = if check == Check::Leakage {
                LEAKY_OHMS
            } else {
                1e6
            };
            match *leak_ohms {
                ohms if ohms < 500.0 => bad("shorted"),
                ohms if ohms < least => bad("leaky"),
                _ => Found::Good(check),
            }
        }
        (
            Loose::Capacitor {
                farads,
                series_ohms,
                ..
            },
            Check::Capacitance,
        ) => {
            let wanted = own.model.farads(part).unwrap_or(*farads);
            match farads / wanted {
                ratio if ratio < 0.05 => bad("open lead"),
                ratio if ratio < 1.0 / FAR_OFF => bad("low capacitance"),
                _ if series_ohms.is_some() => bad("high series resistance"),
                _ => Found::Good(check),
            }
        }
        (Loose::Tube { percent, shows }, Check::TubeTester) => match shows.first() {
            Some(words) => Found::Bad(words.clone()),
            None if *percent < WEAK_PERCENT => bad("weak emission"),
            None => Found::Good(check),
        },
        _ => Found::Good(check),
    }
}
