//! When a drawn fault is kept as a case: what it must show, and to whom.
//!
//! Volts, ohms, plain ratios. A fault that its owner notices is always kept. One that nobody notices is kept where a
//! reading leaves its healthy band from that of the twin without the fault, and from the figure of the sheet. Which readings
//! count is a matter of reading the rule, so that each can be run: `FULL_SEARCH_KEPT=noticed` takes complaints
//! alone; `volts` what is read under power against the chassis, ripple and watts; `ohms` (as a rule) cold resistances
//! beside these, thus all that the search reads in the set; `itself` every part with one end free as well, where the band is that of
//! new parts of its tolerance and age. What shows in the part itself alone moves no reading, and the search says rightly that it is
//! the cause of nothing: such cases tell how many are dropped, not how well it searches.
//!
//! Nobody searches for a fault of which nothing is known. Where nobody complains, the search begins with the reading
//! by which the case is kept, as one of its measurements; a set without a fault begins with the reading that lies
//! farthest from the sheet's figure. `FULL_SEARCH_BEGUN=nothing` begins such cases with nothing known.

use receiver::practice::answers::HiddenBench;
use receiver::practice::hidden::{Hidden, HiddenFault};
use receiver::practice::loose::{Loose, measured_loose};
use receiver::suspects::hypotheses::Suspect;
use receiver::suspects::next::Measurement;
use receiver::suspects::predict::Foretold;
use receiver::wiring::Figure;

use crate::bench::{Bench, Farthest, OUT_OF_BAND};

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
        Ok("volts") => Kept::Volts,
        Ok("noticed") => Kept::Noticed,
        Err(_) | Ok("ohms") => Kept::Ohms,
        Ok("itself") => Kept::Itself,
        Ok(other) => panic!("FULL_SEARCH_KEPT is noticed, volts, ohms or itself, not {other}"),
    }
}

/// Whether a case that nobody complains of begins with the reading by which it is kept.
pub fn is_begun_with_a_reading() -> bool {
    match std::env::var("FULL_SEARCH_BEGUN").as_deref() {
        Err(_) | Ok("reading") => true,
        Ok("nothing") => false,
        Ok(other) => panic!("FULL_SEARCH_BEGUN is reading or nothing, not {other}"),
    }
}

impl Bench<'_, '_> {
    /// The cold resistance that leaves its healthy band by most; of a set that cannot be solved none does.
    fn farthest_out_cold(&self, with: &Hidden, without: &Hidden) -> Option<Measurement> {
        let read = |hidden: &Hidden, told: &Foretold| {
            HiddenBench::cold_truth(self.truth, hidden, &told.conditions, &told.probes).ok()
        };
        let mut farthest = Farthest::default();
        for (conditions, told) in self.foretold.iter().enumerate() {
            if !told.is_cold() {
                continue;
            }
            let (Some(with), Some(without)) = (read(with, told), read(without, told)) else {
                continue;
            };
            let each = with
                .iter()
                .zip(&without)
                .zip(&told.healthy)
                .zip(&told.drawn);
            for (probe, own) in each.enumerate() {
                if let (((Some(with), Some(without)), Some(healthy)), Some(drawn)) = own {
                    let half = OUT_OF_BAND * spread_of_logs(drawn).hypot(OHMMETER);
                    let moved = (with / without).ln().abs().min((with / healthy).ln().abs());
                    farthest.take(moved / half, Measurement::Read { conditions, probe });
                }
            }
        }
        farthest.out()
    }

    /// What is found out of band first of a set with a fault, in the order in which readings count; `None` where
    /// nothing is, or where complaints alone count.
    pub fn shows_in(
        &self,
        with: &Hidden,
        without: &Hidden,
        fault: &HiddenFault,
    ) -> Option<Measurement> {
        let by = kept();
        let hot = || {
            let (with, without) = (self.readings(with)?, self.readings(without)?);
            self.farthest_out(&with, &without)
        };
        let cold = || self.farthest_out_cold(with, without);
        let itself = || self.out_by_itself(with, fault);
        let volts = (by >= Kept::Volts).then(hot).flatten();
        let ohms = || (by >= Kept::Ohms).then(cold).flatten();
        let loose = || (by >= Kept::Itself).then(itself).flatten();
        volts.or_else(ohms).or_else(loose)
    }

    /// The measurement of the part by itself, where that is out of what new parts of its tolerance and age are.
    fn out_by_itself(&self, hidden: &Hidden, fault: &HiddenFault) -> Option<Measurement> {
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
            measured_loose(self.truth, hidden, fault.suspect)?,
            fault.suspect,
        ) {
            (Loose::Ohms(ohms), Suspect::Part(part)) => {
                let own = self.model.ohms(part)?;
                is_out(ohms / own, Figure::Ohms(part)).then_some(Measurement::PartOhms(part))
            }
            (
                Loose::Capacitor {
                    leak_ohms,
                    farads,
                    series_ohms,
                },
                Suspect::Part(part),
            ) => {
                let own = self.model.farads(part);
                if leak_ohms < LEAK_OHMS {
                    return Some(Measurement::PartLeakage(part));
                }
                let is_out = series_ohms.is_some()
                    || own.is_some_and(|own| is_out(farads / own, Figure::Farads(part)));
                is_out.then_some(Measurement::PartCapacitance(part))
            }
            (Loose::Tube { percent, shows }, Suspect::Tube(tube)) => {
                let is_out =
                    !shows.is_empty() || is_out(percent / 100.0, Figure::TubeStrength(tube));
                is_out.then_some(Measurement::TubeTester(tube))
            }
            _ => None,
        }
    }
}

fn spread_of_logs(drawn: &[f64]) -> f64 {
    let logs: Vec<f64> = drawn.iter().map(|own| own.max(0.1).ln()).collect();
    let mean = logs.iter().sum::<f64>() / logs.len() as f64;
    let square: f64 = logs.iter().map(|own| (own - mean).powi(2)).sum();
    (square / logs.len() as f64).sqrt()
}
