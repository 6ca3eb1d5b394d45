//! The direct volts of a whole set: every stage at its operating point, on its own supply.
//!
//! Volts, amperes, siemens; junction numbers are those of the sheet's places. Two
//! solutions hold one another: the line cycle of the supply, where each stage is the
//! load that it was found to be ([`crate::wiring::StageLoad`]), and the direct-current
//! network of all places with the tubes' own laws, where each way of a rectifier is the
//! mean volts that the cycle found, behind the resistance that the cycle showed when its
//! load changed. They take turns until they agree ([`fn@couple`]).
//!
//! Stages that a signal drives ([`running`]) are anchored on the maker's chart, scaled to
//! the present supply, and marked as such; without a chart their places are unknown. Their
//! resting volts are never told as running ones.
//!
//! Fails when the cycle finds no settled state or the network no operating point, with
//! the evidence of the solver.

mod bands;
pub mod couple;
mod course_of;
mod courses;
mod cycle;
mod direct;
mod draws;
mod expecting;
mod faulty;
mod faulty_read;
mod figures;
mod hanging;
mod held;
mod known;
mod metered;
mod near;
pub mod oscillation;
mod otherwise;
mod overload;
pub mod running;
mod screens;
mod trial;
mod upon_supply;
mod ways;

pub(crate) use bands::narrow;
pub use bands::{Narrowing, linear_bands};
pub use couple::{WholeSet, couple};
pub use courses::faulty_courses;
pub use direct::Direct;
pub use expecting::{Wanted, WholeReadings, read_variation, whole_readings};
pub use faulty::{FaultyReadings, FaultyWork, faulty_readings};
pub use hanging::hanging;
pub use known::Known;
pub use trial::{Trial, Trials};

use std::sync::Arc;

use crate::conditions::BenchConditions;
use crate::wiring::{SetModel, StageLoad};

/// What was learned once of a sheet: the set running at its own line.
#[derive(Debug, Default)]
pub struct Usual {
    /// What the stages draw from the supply.
    pub loads: Vec<StageLoad>,
    /// How the driven stages run, by their position.
    pub running: Vec<running::Running>,
    /// Stages that drive themselves, as they run in the maker's set.
    pub oscillators: Vec<oscillation::Learned>,
    /// Volts of each junction there; none while they are learned.
    volts: Vec<f64>,
    /// The highest mean volts of a rectifier's cathode, the measure of the supply.
    pub supply_volts: f64,
    /// Parts that carry enough of the supply's current for its cycle to feel them.
    pub heavy_parts: Vec<bool>,
    /// Junctions whose mean volts the supply's cycle tells by itself: it knows no tube's law,
    /// so a plate behind its resistor is none of them.
    pub told_by_cycle: Vec<bool>,
    /// The largest mean current of a rectifier's way, amperes.
    amperes: f64,
    /// What each damper carries while the sweep lifts it, by stage.
    carried: Vec<f64>,
    /// How stages that drive themselves answer to what is around them, as far as it was asked for.
    pub answers: bands::Answers,
    /// How they run with a fault among them, as far as it was asked for.
    pub fault_answers: oscillation::FaultAnswers,
    /// Why nothing could be learned, if so.
    pub because: Option<String>,
}

impl SetModel<'_> {
    /// Whether the sheet has stages that can be calculated.
    pub fn has_stages(&self) -> bool {
        !self.small_laws.is_empty() || self.stages.complete.iter().any(|stage| !stage.is_beam)
    }

    /// What was learned of the set at its own line; worked out when first asked for.
    pub fn usual(&self) -> &Usual {
        self.usual.get_or_init(|| {
            if !self.has_stages() {
                return Arc::default();
            }
            Arc::new(couple::learn(self).unwrap_or_else(|error| Usual {
                because: Some(error.to_string()),
                ..Usual::default()
            }))
        })
    }

    /// What was learned of the set so far, for another model of an equal sheet; `None` where nothing was.
    pub fn learned_usual(&self) -> Option<Arc<Usual>> {
        self.usual.get().cloned()
    }

    /// Takes over what was learned of an equal sheet with the same laws; what was learned already stays.
    pub fn take_usual(&self, from: Arc<Usual>) {
        let _ = self.usual.set(from);
    }

    /// Takes what the stages draw from another model of the same set, whose supply was solved: places are found by
    /// their names. For a set that is only thought of, so that nothing is learned anew; what was learned already stays.
    pub(crate) fn take_loads(&self, from: &SetModel<'_>) {
        let find = |junction: usize| {
            let all = from.places.junctions();
            let label = all.get(junction)?.label();
            self.junction(label)
        };
        let chassis = from.chassis_junction();
        let end = |junction: usize| match chassis {
            Some(own) if own == junction => self.chassis_junction(),
            None if junction == usize::MAX => Some(usize::MAX),
            _ => find(junction),
        };
        let tube = |(tube, siemens): &(Option<usize>, f64)| match tube {
            Some(tube) => {
                let reference = &from.sheet.tubes.get(*tube)?.reference;
                Some((Some(self.tube_index(reference)?), *siemens))
            }
            None => Some((None, *siemens)),
        };
        let loads = from.usual().loads.iter().filter_map(|load| {
            Some(StageLoad {
                from: end(load.from)?,
                to: end(load.to)?,
                by_tube: load.by_tube.iter().filter_map(tube).collect(),
            })
        });
        let _ = self.usual.set(Arc::new(Usual {
            loads: loads.collect(),
            ..Usual::default()
        }));
    }

    /// The conditions under which the maker took his readings.
    pub fn makers_conditions(&self) -> BenchConditions {
        BenchConditions {
            line_volts: Some(
                self.sheet
                    .chart
                    .as_ref()
                    .and_then(|chart| chart.line_volts)
                    .unwrap_or(self.sheet.line_volts),
            ),
            ..BenchConditions::default()
        }
    }
}
