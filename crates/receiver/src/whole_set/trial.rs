//! One part otherwise, on the same supply: what the places would read then.
//!
//! Volts, ohms; junction numbers are those of the sheet's places. The circuit that was
//! solved is changed in one part - its ohms, or the place of one end - and the
//! direct-current network is solved anew with the rectifiers' ways as they were found.
//! That is a quick look: a change that the supply itself feels is right in direction, and
//! whoever uses it solves the whole set again for what he wants to say. What cannot be
//! solved, or a part that is not in the circuit, gives `None`.

use circuit::Element;
use circuit::ohm_network::OhmNetwork;
use circuit::resting::OhmMeter;

use crate::conditions::BenchConditions;
use crate::expect::{ExpectError, ROOM_KELVIN};
use crate::wiring::{SetModel, Variation, Wired};

use super::couple::{WholeSet, couple};
use super::direct::Direct;
use super::known::Known;
use super::running::{Hold, Running};

/// One change of one part.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Trial {
    /// Its ohms times this.
    Ohms {
        /// Position of the part.
        part: usize,
        /// Factor upon its ohms.
        factor: f64,
    },
    /// One of its ends at another junction.
    End {
        /// Position of the part.
        part: usize,
        /// 0 for `from`, 1 for `to`, 2 for the third place.
        end: usize,
        /// The other junction.
        junction: usize,
    },
}

/// A solved set on which changes are tried.
pub struct Trials<'m, 's> {
    model: &'m SetModel<'s>,
    set: WholeSet,
    unplugged: Wired,
}

impl<'m, 's> Trials<'m, 's> {
    /// Solves the set as the sheet has it.
    ///
    /// # Errors
    /// Those of [`couple`].
    pub fn new(
        model: &'m SetModel<'s>,
        conditions: &BenchConditions,
    ) -> Result<Trials<'m, 's>, ExpectError> {
        let none = Variation::none();
        Ok(Trials {
            set: couple(model, conditions, &none, &[])?,
            unplugged: model.wire_unplugged(conditions, &none)?,
            model,
        })
    }

    /// Volts of each junction as the sheet has it.
    pub fn base(&self) -> &[f64] {
        &self.set.volts
    }

    /// Junctions whose volts the maker's chart itself holds.
    pub fn held_by_chart(&self) -> Vec<bool> {
        let mut held = vec![false; self.set.volts.len()];
        let told = &self.model.usual().told_by_cycle;
        let mut mark = |junction: usize| {
            if !told.get(junction).copied().unwrap_or(false)
                && let Some(held) = held.get_mut(junction)
            {
                *held = true;
            }
        };
        for (stage, running) in self.model.stages.complete.iter().zip(&self.set.running) {
            if !matches!(running.known(), Known::FromChart { .. }) {
                continue;
            }
            match running {
                Running::Driven { holds, .. } => stage
                    .electrodes
                    .iter()
                    .zip(holds)
                    .filter(|(_, hold)| **hold != Hold::Nothing)
                    .filter_map(|(junction, _)| *junction)
                    .for_each(&mut mark),
                Running::Lifts { .. } => mark(stage.cathode),
                Running::Absent | Running::AtRest | Running::Rectifies => {}
            }
        }
        held
    }

    /// Volts of each junction with the change.
    pub fn volts(&self, trial: Trial) -> Option<Vec<f64>> {
        let wired = self.changed(&self.set.cycle.wired, trial)?;
        let direct = Direct::new(self.model, &wired, &self.set.running).ok()?;
        let none = Variation::none();
        let figures = direct.figures(self.model, &wired, &none, &self.set.supply());
        let start = Some(&self.set.point.volts[..]);
        let point = direct.operating.solve(&figures, start).ok()?;
        Some(direct.volts(&point))
    }

    /// Cold ohms between pairs of junctions with the change; the second `None` is the chassis.
    pub fn ohms(
        &self,
        trial: Trial,
        meter: OhmMeter,
        pairs: &[(usize, Option<usize>)],
    ) -> Option<Vec<f64>> {
        let wired = self.changed(&self.unplugged, trial)?;
        let network = OhmNetwork::new(&wired.circuit, ROOM_KELVIN).ok()?;
        pairs
            .iter()
            .map(|&(a, b)| {
                let other = b.map_or(0, |b| wired.node(b));
                network.ohms(wired.node(a), other, meter).ok()
            })
            .collect()
    }

    fn changed(&self, wired: &Wired, trial: Trial) -> Option<Wired> {
        let (Trial::Ohms { part, .. } | Trial::End { part, .. }) = trial;
        let elements = wired.parts.get(part)?;
        if elements.is_empty() {
            return None;
        }
        let mut changed = wired.clone();
        for &element in elements {
            let (a, b) = match (changed.circuit.elements.get_mut(element)?, trial) {
                (Element::Resistor { ohms, .. }, Trial::Ohms { factor, .. }) => {
                    *ohms *= factor;
                    continue;
                }
                (Element::Inductor { ohms, .. }, Trial::Ohms { factor, .. }) => {
                    *ohms *= factor;
                    continue;
                }
                (
                    Element::Resistor { a, b, .. } | Element::Inductor { a, b, .. },
                    Trial::End { .. },
                ) => (a, b),
                _ => return None,
            };
            let Trial::End { end, junction, .. } = trial else {
                return None;
            };
            let from = wired.node(self.model.part_ends.get(part)?[end]?);
            let to = wired.node(junction);
            for node in [a, b] {
                if *node == from {
                    *node = to;
                }
            }
        }
        let stays = elements.iter().all(|&element| {
            wired.circuit.elements.get(element) == changed.circuit.elements.get(element)
        });
        (!stays).then_some(changed)
    }
}
