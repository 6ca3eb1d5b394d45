//! What a meter reads in a hidden set.
//!
//! Units of the readings. The meter takes its share and is off by its own gain, one draw for the whole
//! set (1.5 percent, as [`crate::suspects::doubt`] has it); each reading is written to three figures. A slip comes
//! now and then (one reading in fifty): ten times too much, a tenth, the other sign, or the neighbour's. The
//! same place asked again under the same conditions has the same answer. Fails as the set's solution
//! does.

use rand::RngExt;

use crate::bands::Values;
use crate::conditions::BenchConditions;
use crate::expect::{ExpectError, READ_SHARE};
use crate::ohms::{END_OF_SCALE_OHMS, USUAL_OHMMETER, network_of};
use crate::probes::{Probe, Spot};
use crate::suspects::by_itself::{INSTRUMENT, SHORTED_OHMS, TESTER, share_at_loose_end};
use crate::suspects::evidence::SLIP;
use crate::suspects::outcome::Check;
use crate::whole_set::read_variation;
use crate::wiring::SetModel;

use super::hidden::Hidden;
use super::loose::{Loose, Shown};
use super::{bell, draws};

/// The bench with a hidden set on it.
#[derive(Debug, Clone)]
pub struct HiddenBench {
    seed: u64,
    gain: f64,
    /// Chance of a slip.
    slip: f64,
}

impl HiddenBench {
    /// A bench with a meter of its own; `slips` says whether readings may be slips.
    pub fn new(seed: u64, slips: bool) -> HiddenBench {
        HiddenBench {
            seed,
            gain: 1.0 + READ_SHARE * bell(&mut draws(seed, "the meter")),
            slip: if slips { SLIP } else { 0.0 },
        }
    }

    /// What each probe would read without error; the meter of the conditions takes its share.
    ///
    /// # Errors
    /// Those of [`fn@crate::whole_set::couple`].
    pub fn truth(
        model: &SetModel<'_>,
        hidden: &Hidden,
        conditions: &BenchConditions,
        probes: &[Probe],
    ) -> Result<Values, ExpectError> {
        read_variation(model, conditions, &hidden.variation, probes)
    }

    /// What each probe would read without error with the plug out: ohms, the end of the scale for an open path.
    ///
    /// # Errors
    /// Those of [`HiddenBench::cold_ohms`].
    pub fn cold_truth(
        model: &SetModel<'_>,
        hidden: &Hidden,
        conditions: &BenchConditions,
        probes: &[Probe],
    ) -> Result<Values, ExpectError> {
        let (network, wired) = network_of(model, conditions, &hidden.variation)?;
        let of = |probe: &Probe| -> Result<Option<f64>, ExpectError> {
            let between = match probe.spot {
                Spot::ToChassis(junction) => (wired.node(junction), 0),
                Spot::Between(one, other) => (wired.node(one), wired.node(other)),
                _ => return Ok(None),
            };
            let ohms = network.ohms(between.0, between.1, USUAL_OHMMETER)?;
            Ok(Some(ohms.min(END_OF_SCALE_OHMS)))
        };
        probes.iter().map(of).collect()
    }

    /// What an ohmmeter finds between two junctions of the set, plug out, its + lead at the first; `None`
    /// for an open path.
    ///
    /// # Errors
    /// A place or part of the conditions that is not on the sheet, or a network without a solution.
    pub fn cold_ohms(
        &self,
        model: &SetModel<'_>,
        hidden: &Hidden,
        conditions: &BenchConditions,
        between: (usize, usize),
    ) -> Result<Option<f64>, ExpectError> {
        let (network, wired) = network_of(model, conditions, &hidden.variation)?;
        let (plus, minus) = (wired.node(between.0), wired.node(between.1));
        let ohms = network.ohms(plus, minus, USUAL_OHMMETER)?;
        Ok((ohms < END_OF_SCALE_OHMS).then(|| three_figures(ohms * self.gain)))
    }

    /// What an instrument shows of a part by itself: ohms within three percent, a tube within ten. The few volts of an
    /// ohmmeter drive the leak of every second capacitor only, unless it is as good as shorted. `None` where this
    /// instrument says nothing of such a part.
    pub fn by_itself(&self, name: &str, check: Check, loose: &Loose) -> Option<Shown> {
        let mut random = draws(self.seed, &format!("{name} by itself {check:?}"));
        let steps = bell(&mut random);
        let figure = |value: f64, share: f64| Some(Shown::Figure(value * (1.0 + share * steps)));
        match (loose, check) {
            (Loose::Ohms(ohms), Check::Ohms) => figure(*ohms, INSTRUMENT),
            (Loose::Capacitor { leak_ohms, .. }, Check::Leakage) => figure(*leak_ohms, INSTRUMENT),
            (Loose::Capacitor { leak_ohms, .. }, Check::LooseEnd { meter_ohms }) => figure(
                share_at_loose_end(*leak_ohms, meter_ohms as f64),
                INSTRUMENT,
            ),
            (Loose::Capacitor { leak_ohms, .. }, Check::Ohms) => {
                let shows = *leak_ohms < SHORTED_OHMS || random.random::<bool>();
                figure(if shows { *leak_ohms } else { f64::INFINITY }, INSTRUMENT)
            }
            (
                Loose::Capacitor {
                    farads,
                    series_ohms,
                    ..
                },
                Check::Capacitance,
            ) => match series_ohms {
                Some(_) => Some(Shown::Word("high series resistance".to_owned())),
                None => figure(*farads, INSTRUMENT),
            },
            (Loose::Tube { percent, shows }, Check::TubeTester) => match shows.first() {
                Some(words) => Some(Shown::Word(words.clone())),
                None => figure(*percent, TESTER),
            },
            _ => None,
        }
    }

    /// What is written down at one of the probes, and whether it is a slip.
    pub fn reading(
        &self,
        truth: &Values,
        probes: &[Probe],
        probe: usize,
        conditions: &BenchConditions,
    ) -> Option<(f64, bool)> {
        let value = (*truth.get(probe)?)?;
        let own = probes.get(probe)?;
        let to = own.to.as_deref().unwrap_or("chassis");
        let name = format!("{} {to} {} {conditions:?}", own.at, own.what.name());
        let mut random = draws(self.seed, &name);
        let mut value = value * self.gain;
        let is_slip = random.random::<f64>() < self.slip;
        if is_slip {
            let neighbour = truth.get(probe + 1).copied().flatten();
            value = match (random.random_range(0..4u8), neighbour) {
                (0, _) => 10.0 * value,
                (1, _) => 0.1 * value,
                (2, Some(neighbour)) => neighbour * self.gain,
                _ => -value,
            };
        }
        Some((three_figures(value), is_slip))
    }
}

/// As one writes a reading down.
fn three_figures(value: f64) -> f64 {
    format!("{value:.2e}").parse().unwrap_or(value)
}
