//! When a drawn fault is kept as a case: what it must show, and to whom.
//!
//! Volts, ohms, plain ratios. A fault that its owner notices is always kept. One that nobody notices is kept where a
//! reading leaves its healthy band from that of the twin without the fault, and from the figure of the sheet. Which readings
//! count is a matter of reading the rule, so that each can be run: `FULL_SEARCH_KEPT=noticed` takes complaints
//! alone; `volts` what is read under power against the chassis, ripple and watts (as a rule); `ohms` cold resistances
//! beside these; `itself` every part measured with one end free as well, where the band is that of new parts of its
//! tolerance and age.

use receiver::practice::answers::HiddenBench;
use receiver::practice::hidden::{Hidden, HiddenFault};
use receiver::practice::loose::{Loose, measured_loose};
use receiver::suspects::hypotheses::Suspect;
use receiver::wiring::Figure;

use crate::bench::{Bench, OUT_OF_BAND};

/// Doubt of an ohmmeter as a share, with the band of healthy sets.
const OHMMETER: f64 = 0.03;
/// Ohms of a capacitor's leak that a test at working volts shows.
const LEAK_OHMS: f64 = 1e9;

/// What counts.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Kept {
    Noticed,
    Volts,
    Ohms,
    Itself,
}

/// As it was asked for.
pub fn kept() -> Kept {
    match std::env::var("FULL_SEARCH_KEPT").as_deref() {
        Err(_) | Ok("volts") => Kept::Volts,
        Ok("noticed") => Kept::Noticed,
        Ok("ohms") => Kept::Ohms,
        Ok("itself") => Kept::Itself,
        Ok(other) => panic!("FULL_SEARCH_KEPT is noticed, volts, ohms or itself, not {other}"),
    }
}

impl Bench<'_, '_> {
    /// Whether a cold resistance leaves its healthy band; of a set that cannot be solved none does.
    pub fn is_out_cold(&self, with: &Hidden, without: &Hidden) -> bool {
        let cold = self.foretold.iter().filter(|told| told.is_cold());
        let read = |hidden: &Hidden, told: &receiver::suspects::predict::Foretold| {
            HiddenBench::cold_truth(self.truth, hidden, &told.conditions, &told.probes).ok()
        };
        cold.into_iter().any(|told| {
            let (Some(with), Some(without)) = (read(with, told), read(without, told)) else {
                return false;
            };
            let each = with
                .iter()
                .zip(&without)
                .zip(&told.healthy)
                .zip(&told.drawn);
            each.into_iter().any(|own| match own {
                (((Some(with), Some(without)), Some(healthy)), Some(drawn)) => {
                    let half = OUT_OF_BAND * spread_of_logs(drawn).hypot(OHMMETER);
                    (with / without).ln().abs() > half && (with / healthy).ln().abs() > half
                }
                _ => false,
            })
        })
    }

    /// Whether the part measured by itself is out of what new parts of its tolerance and age are.
    pub fn is_out_by_itself(&self, hidden: &Hidden, fault: &HiddenFault) -> bool {
        let band = |figure: Figure| {
            let samples = &self.hypotheses.samples;
            let own = samples.iter().find(|own| own.figure == figure);
            own.map_or((1.0, 1.0), |own| {
                (own.spread.ratio(0.05), own.spread.ratio(0.95))
            })
        };
        let is_out = |ratio: f64, figure: Figure| {
            let (low, high) = band(figure);
            ratio < low * (1.0 - OHMMETER) || ratio > high * (1.0 + OHMMETER)
        };
        match (
            measured_loose(self.truth, hidden, fault.suspect),
            fault.suspect,
        ) {
            (Some(Loose::Ohms(ohms)), Suspect::Part(part)) => {
                let own = self.model.ohms(part);
                own.is_some_and(|own| is_out(ohms / own, Figure::Ohms(part)))
            }
            (
                Some(Loose::Capacitor {
                    leak_ohms,
                    farads,
                    series_ohms,
                }),
                Suspect::Part(part),
            ) => {
                let own = self.model.farads(part);
                leak_ohms < LEAK_OHMS
                    || series_ohms.is_some()
                    || own.is_some_and(|own| is_out(farads / own, Figure::Farads(part)))
            }
            (Some(Loose::Tube { percent, shows }), Suspect::Tube(tube)) => {
                !shows.is_empty() || is_out(percent / 100.0, Figure::TubeStrength(tube))
            }
            _ => false,
        }
    }
}

fn spread_of_logs(drawn: &[f64]) -> f64 {
    let logs: Vec<f64> = drawn.iter().map(|own| own.max(0.1).ln()).collect();
    let mean = logs.iter().sum::<f64>() / logs.len() as f64;
    let square: f64 = logs.iter().map(|own| (own - mean).powi(2)).sum();
    (square / logs.len() as f64).sqrt()
}
