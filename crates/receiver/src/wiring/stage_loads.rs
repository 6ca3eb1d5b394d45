//! Tube stages as the supply feels them: at each supply junction one conductance that
//! follows the heaters.
//!
//! Siemens; junction numbers are those of the sheet's places. Source: the operating
//! point of the whole set ([`crate::whole_set`]). A stage whose tube is pulled or cold
//! draws nothing. Nothing here can fail.

use circuit::Element;
use circuit::thermal::{USUAL_EMISSION_RESERVE, space_charge_share};

use crate::conditions::BenchConditions;

use super::SetModel;
use super::build::Wired;
use super::variation::{Figure, Variation};

/// What tube stages draw from one supply junction.
#[derive(Debug, Clone, PartialEq)]
pub struct StageLoad {
    /// The junction.
    pub from: usize,
    /// Where the current goes: the chassis, or a lower supply line.
    pub to: usize,
    /// Conductance by the position of each tube, `None` for parts that draw from the first
    /// moment; below zero for a tube that gives to this junction.
    pub by_tube: Vec<(Option<usize>, f64)>,
}

impl StageLoad {
    /// All tubes together, siemens.
    pub fn siemens(&self) -> f64 {
        self.by_tube.iter().map(|(_, siemens)| siemens).sum()
    }

    /// The tube whose heat the load follows, among those that count.
    fn heaviest(&self, counts: impl Fn(usize) -> bool) -> Option<usize> {
        let tubes = self
            .by_tube
            .iter()
            .filter_map(|(tube, own)| Some(((*tube)?, *own)))
            .filter(|(tube, _)| counts(*tube));
        tubes
            .reduce(|most, next| if next.1 > most.1 { next } else { most })
            .map(|(tube, _)| tube)
    }

    /// The same load at rated heat, from what it is at these emissions: the supply's cycle
    /// takes the heat into account by itself.
    pub(crate) fn at_rated_heat(
        mut self,
        emission: &[Option<f64>],
        variation: &Variation,
    ) -> StageLoad {
        let of = |tube: usize| emission.get(tube).copied().flatten();
        let Some(tube) = self.heaviest(|tube| of(tube).is_some()) else {
            return self;
        };
        let share = space_charge_share(of(tube).unwrap_or(0.0), reserve(variation, tube));
        for (tube, siemens) in &mut self.by_tube {
            if tube.is_some() {
                *siemens /= share.max(LEAST_SHARE);
            }
        }
        self
    }
}

/// Emission over need of the tubes of a load that follows this one. A worn out one gives all it has: what it then
/// draws was found by its law, and only how that goes with its heat is asked here.
fn reserve(variation: &Variation, tube: usize) -> f64 {
    let of_tube =
        variation.factor(Figure::StageEmission(tube)) * variation.factor(Figure::Worn(tube));
    (USUAL_EMISSION_RESERVE * variation.factor(Figure::LoadReserve) * of_tube).max(1.0)
}

/// Below this share of its current a cathode counts as cold.
const LEAST_SHARE: f64 = 1e-6;

/// Below this a load is none, siemens: 0.3 microampere at 300 volts.
const LEAST_SIEMENS: f64 = 1e-9;

impl SetModel<'_> {
    /// Whether a tube is out of its socket.
    pub(crate) fn is_pulled(&self, tube: usize, conditions: &BenchConditions) -> bool {
        self.sheet.tubes.get(tube).is_some_and(|tube| {
            conditions
                .pulled
                .iter()
                .any(|pulled| pulled.trim().eq_ignore_ascii_case(&tube.reference))
        })
    }

    pub(super) fn wire_stage_loads(
        &self,
        wired: &mut Wired,
        conditions: &BenchConditions,
        variation: &Variation,
        loads: &[StageLoad],
    ) {
        for load in loads {
            let (a, b) = (wired.node(load.from), wired.node(load.to));
            if a == b {
                continue;
            }
            let (mut siemens, mut steady) = (0.0, 0.0);
            let draws = |tube: usize| {
                !self.is_pulled(tube, conditions) && self.heated(wired, tube).is_some()
            };
            let heaviest = load.heaviest(draws);
            for &(tube, own) in &load.by_tube {
                let own = own * variation.factor(Figure::StageDraws);
                let Some(tube) = tube else {
                    steady += own;
                    continue;
                };
                if draws(tube) {
                    siemens += own * variation.factor(Figure::StageDraw(tube));
                }
            }
            if steady > LEAST_SIEMENS {
                let element = wired.circuit.resistor(a, b, 1.0 / steady);
                wired.stage_loads.push(element);
            }
            let Some(tube) = heaviest else {
                continue;
            };
            if siemens > LEAST_SIEMENS {
                let warmed_by = self.heated(wired, tube);
                let element = wired.circuit.add(Element::Load {
                    a,
                    b,
                    siemens,
                    warmed_by,
                    reserve: reserve(variation, tube),
                });
                wired.stage_loads.push(element);
            }
        }
    }
}
