//! On which course a faulty set lies, and where on it.
//!
//! Ohms, siemens; coordinates have no unit and are 0 in the healthy set. Source: one changed branch of
//! a linear network moves every reading in proportion to `gR / (1 + gR)`, with `R` what the branch's
//! ends show without the change and `g` what is added to its conductance (superposition). What no
//! course is known for has no place; nothing else fails.

use std::collections::BTreeMap;

use circuit::operating::{Branch, Figure, SHORT_SIEMENS};
use circuit::thermal::worn_currents;
use circuit::{Element, Node};

use crate::sheet::PartValue;
use crate::wiring::{Change, Figure as SetFigure, Variation};

use super::faulty::{Bed, lays};

/// Ohms at which a short inside a rectifier lies half way (judgement: some hundred ohms of tube and
/// copper stand behind it).
const PATH_OHMS: f64 = 300.0;

/// Where a factor lies along the course of its figure: as what it does to the set goes.
fn along(figure: SetFigure, factor: f64) -> f64 {
    match figure {
        // Ripple and fall go with what a capacitor lacks.
        SetFigure::Farads(_) => 1.0 / factor - 1.0,
        // A worn cathode goes by the currents that it leaves.
        SetFigure::Worn(_) | SetFigure::WornRectifier(_) => worn_currents(factor) - 1.0,
        SetFigure::SeriesOhms(_) => factor - 1.0,
        _ => factor.ln(),
    }
}

/// What the faults of one course change.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub(super) enum On {
    /// The conductance between two nodes; `cycled` where the supply's cycle alone can tell.
    Nodes {
        /// The lower node.
        a: Node,
        /// The other.
        b: Node,
        /// Whether every set of it is brought to agreement anew.
        cycled: bool,
    },
    /// One figure of the set.
    Figure(SetFigure),
    /// Turns of a winding.
    Turns(usize),
    /// A path of a rectifier tube.
    Path(usize, usize),
    /// What ties a heater of a string to a junction.
    Heater(usize, usize),
}

impl Bed<'_, '_> {
    /// The course of each variation and its coordinate there.
    pub(super) fn places(&self, variations: &[Variation]) -> Vec<Option<(On, f64)>> {
        let Ok(response) = self.operating.response(&self.base, &self.set.point) else {
            return vec![None; variations.len()];
        };
        let mut shown: BTreeMap<(Node, Node), f64> = BTreeMap::new();
        let mut ohms_between = |a: Node, b: Node| {
            *shown.entry((a, b)).or_insert_with(|| {
                let mut at = vec![0.0; self.operating.network().nodes];
                for (node, amperes) in [(a, 1.0), (b, -1.0)] {
                    if node > 0 {
                        at[node] = amperes;
                    }
                }
                let moved = response.of_currents(&at);
                moved[a] - moved[b]
            })
        };
        variations
            .iter()
            .map(|variation| {
                let (on, along) = self.course(variation)?;
                let own = match on {
                    On::Nodes { a, b, .. } => along * ohms_between(a, b),
                    On::Heater(_, junction) => {
                        along * ohms_between(0, self.set.cycle.wired.node(junction))
                    }
                    _ => return Some((on, along)),
                };
                // Below -1 a tube turns the resistance over: no such course is known.
                (own > -1.0).then(|| (on, own / (1.0 + own)))
            })
            .collect()
    }

    /// The course, with the siemens that are added where it is one of nodes or of a heater, and the
    /// coordinate elsewhere.
    fn course(&self, variation: &Variation) -> Option<(On, f64)> {
        let mut figures = variation.figures();
        match (figures.next(), figures.next(), &variation.changes[..]) {
            (Some(figure), None, []) => {
                let factor = variation.factor(figure);
                let place = match figure {
                    SetFigure::Ohms(part) => self.branch_of(part).map(|(a, b, own)| {
                        let cycled = self.is_heavy(part);
                        (On::Nodes { a, b, cycled }, own / factor - own)
                    }),
                    _ => None,
                };
                Some(place.unwrap_or((On::Figure(figure), along(figure, factor))))
            }
            (None, _, [change]) => match *change {
                Change::Open(part) => {
                    let (a, b, own) = self.branch_of(part)?;
                    let cycled = self.is_heavy(part);
                    Some((On::Nodes { a, b, cycled }, -own))
                }
                // Three resistances at once.
                Change::AtWiper { .. } => None,
                Change::ShortedTurns { winding, share } => Some((On::Turns(winding), share)),
                Change::TubePathShort { tube, path, ohms } => {
                    Some((On::Path(tube, path), PATH_OHMS / (PATH_OHMS + ohms)))
                }
                Change::HeaterToJunction {
                    tube,
                    junction,
                    ohms,
                } if lays(self.model, self.set, change).is_none() => {
                    Some((On::Heater(tube, junction), 1.0 / ohms))
                }
                _ => {
                    let (a, b, ohms) = lays(self.model, self.set, change)?;
                    let cycled =
                        matches!(*change, Change::Beside { part, .. } if self.alternates(part));
                    Some((On::Nodes { a, b, cycled }, 1.0 / ohms))
                }
            },
            _ => None,
        }
    }

    /// Branch, conductance and factor of a set in which one resistor that is a single branch has
    /// other ohms and nothing else is changed: its figures need no wiring.
    pub(super) fn only_ohms(&self, variation: &Variation) -> Option<(usize, f64, f64)> {
        let mut figures = variation.figures();
        let (Some(SetFigure::Ohms(part)), None, []) =
            (figures.next(), figures.next(), &variation.changes[..])
        else {
            return None;
        };
        let value = &self.model.sheet.parts.get(part)?.value;
        if !matches!(value, PartValue::Resistor { .. }) {
            return None;
        }
        let (branch, own) = self.conductor_of(part)?;
        // A short is told as less than it may be: its factor says nothing.
        let is_short = own >= SHORT_SIEMENS;
        (!is_short).then(|| (branch, own, variation.factor(SetFigure::Ohms(part))))
    }

    /// Ends and conductance of a part that is one branch of the network.
    fn branch_of(&self, part: usize) -> Option<(Node, Node, f64)> {
        let (branch, own) = self.conductor_of(part)?;
        match self.operating.network().branches.get(branch)? {
            Branch::Resistance { a, b } => Some((*a.min(b), *a.max(b), own)),
            _ => None,
        }
    }

    /// Branch and conductance of a part that is one branch. An open capacitor is felt by the cycle
    /// alone, whatever it leaks.
    fn conductor_of(&self, part: usize) -> Option<(usize, f64)> {
        let set = self.set;
        let [element] = set.cycle.wired.parts.get(part)?[..] else {
            return None;
        };
        let branch = set.direct.branch_of_element(element)?;
        let elements = &set.cycle.wired.circuit.elements;
        let is_conductor = !matches!(elements.get(element)?, Element::Capacitor { .. });
        match self.base.get(branch)? {
            Figure::Siemens(own) if is_conductor => Some((branch, *own)),
            _ => None,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::conditions::BenchConditions;
    use crate::sheet::read_sheet;
    use crate::whole_set::couple;
    use crate::wiring::SetModel;

    /// The short way to the figures of a part with other ohms against wiring the whole set anew.
    #[test]
    fn other_ohms_of_one_part_are_those_of_the_set_wired_anew() {
        let catalogue = parts::catalogue().expect("the tables are sound");
        let text = include_str!("../../../../examples/whole/larkfield_12t.toml");
        let sheet = read_sheet(text, catalogue).sheet.expect("no fault");
        let model = SetModel::new(&sheet, catalogue);
        let conditions = BenchConditions::default();
        let set = couple(&model, &conditions, &Variation::none(), &[]).expect("settled");
        let variations: Vec<Variation> = (0..sheet.parts.len())
            .flat_map(|part| [0.3, 5.0].map(|own| Variation::of(SetFigure::Ohms(part), own)))
            .collect();
        let bed = Bed::new(&model, &conditions, &set, &[], &variations).expect("a network");
        let mut held = 0;
        for variation in &variations {
            if bed.only_ohms(variation).is_none() {
                continue;
            }
            let Some(short) = bed.figures(variation) else {
                continue;
            };
            let wired = model.wire_with_loads(&conditions, variation, &set.loads);
            let wired = wired.expect("it is wired");
            let long = set.direct.figures(&model, &wired, variation, &set.supply());
            held += 1;
            for (branch, (short, long)) in short.iter().zip(&long).enumerate() {
                match (short, long) {
                    (Figure::Siemens(short), Figure::Siemens(long)) => {
                        assert!(
                            (short - long).abs() <= 1e-9 * long.abs(),
                            "{variation:?}, branch {branch}: {short} {long}"
                        );
                    }
                    (short, long) => assert_eq!(short, long),
                }
            }
        }
        assert!(held > 100, "{held}");
    }
}
