//! What a circuit is made of.
//!
//! Inside: volts, amperes, ohms, siemens, farads, henries, seconds, hertz.
//! Node 0 is the reference. Values are checked once by [`Circuit::check`]; every
//! analysis calls it and refuses the circuit with the element and the figure.

use crate::error::CircuitError;
use crate::rectifier::RectifierLaw;
use crate::thermal::{GroupState, ThermalGroup};

/// A junction of the circuit; 0 is the reference.
pub type Node = usize;

/// Names one body of one thermal group, whose temperature sets an emission.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct BodyRef {
    /// Index of the group in [`Circuit::groups`].
    pub group: usize,
    /// Index of the body in that group.
    pub body: usize,
}

/// One winding of a transformer.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Winding {
    /// The end that swings together with the starts of the others.
    pub start: Node,
    /// The other end.
    pub end: Node,
    /// Turns, in any unit common to the transformer (unloaded volts do).
    pub turns: f64,
    /// Ohms of the copper, above zero.
    pub ohms: f64,
    /// Leakage inductance in series, henries; zero for none.
    pub leakage_henries: f64,
}

/// One element between nodes.
#[derive(Debug, Clone, PartialEq)]
pub enum Element {
    /// A plain resistance, above zero.
    Resistor {
        /// One end.
        a: Node,
        /// The other end.
        b: Node,
        /// Ohms.
        ohms: f64,
    },
    /// A switch, plug or fuse: a milliohm when closed, nothing when open.
    Switch {
        /// One end.
        a: Node,
        /// The other end.
        b: Node,
        /// Whether it conducts.
        closed: bool,
    },
    /// A capacitor with its series resistance and leakage.
    Capacitor {
        /// The + end, if it has one.
        a: Node,
        /// The other end.
        b: Node,
        /// Farads.
        farads: f64,
        /// Series resistance, ohms; zero for none.
        series_ohms: f64,
        /// Leakage beside the ideal capacitor, siemens.
        leak_siemens: f64,
    },
    /// A coil with its copper.
    Inductor {
        /// One end.
        a: Node,
        /// The other end.
        b: Node,
        /// Henries.
        henries: f64,
        /// Ohms of the copper, above zero.
        ohms: f64,
    },
    /// A transformer: windings on one core.
    Transformer {
        /// The windings, copper and leakage each its own.
        windings: Vec<Winding>,
        /// Core loss as a conductance seen by a winding of one turn.
        loss_siemens: f64,
        /// Magnetising inductance seen by a winding of one turn; `None` where the
        /// idle current is not known.
        magnetising_henries: Option<f64>,
    },
    /// A source of direct and line-frequency volts behind a resistance.
    Source {
        /// The + end.
        a: Node,
        /// The other end.
        b: Node,
        /// Ohms, above zero.
        ohms: f64,
        /// Direct volts.
        direct_volts: f64,
        /// Peak of the alternating volts.
        peak_volts: f64,
        /// Phase of the sine at time zero, radians.
        phase: f64,
    },
    /// A rectifier.
    Rectifier {
        /// Plate or a.c. end.
        anode: Node,
        /// Cathode or + end.
        cathode: Node,
        /// Its law.
        law: RectifierLaw,
        /// The heater that sets its emission; `None` for metal rectifiers.
        heated_by: Option<BodyRef>,
    },
    /// A thermal group: lamps, heaters, thermistors.
    Warm {
        /// One end.
        a: Node,
        /// The other end.
        b: Node,
        /// Index in [`Circuit::groups`].
        group: usize,
    },
    /// A conductance that stands for tubes and follows their warm-up.
    Load {
        /// One end.
        a: Node,
        /// The other end.
        b: Node,
        /// Siemens when warm.
        siemens: f64,
        /// The heater it follows; `None` draws from the first moment.
        warmed_by: Option<BodyRef>,
        /// Emission over demand at rated heater volts.
        reserve: f64,
    },
}

/// Ohms that a closed switch and an ideal source are given.
pub const CONTACT_OHMS: f64 = 1e-3;

/// A whole circuit.
#[derive(Debug, Clone, Default)]
pub struct Circuit {
    /// Nodes, the reference among them.
    pub nodes: usize,
    /// The elements in the order in which they were added.
    pub elements: Vec<Element>,
    /// The thermal groups that [`Element::Warm`] names.
    pub groups: Vec<ThermalGroup>,
    /// Line frequency, hertz.
    pub hertz: f64,
}

impl Circuit {
    /// An empty circuit at this line frequency with the reference node alone.
    pub fn new(hertz: f64) -> Circuit {
        Circuit {
            nodes: 1,
            elements: Vec::new(),
            groups: Vec::new(),
            hertz,
        }
    }

    /// A new node.
    pub fn node(&mut self) -> Node {
        self.nodes += 1;
        self.nodes - 1
    }

    /// Adds an element and returns its index.
    pub fn add(&mut self, element: Element) -> usize {
        self.elements.push(element);
        self.elements.len() - 1
    }

    /// Adds a resistor and returns its index.
    pub fn resistor(&mut self, a: Node, b: Node, ohms: f64) -> usize {
        self.add(Element::Resistor { a, b, ohms })
    }

    /// Adds a thermal group and returns its index in [`Circuit::groups`].
    pub fn group(&mut self, group: ThermalGroup) -> usize {
        self.groups.push(group);
        self.groups.len() - 1
    }

    /// All groups at room temperature.
    pub fn cold(&self, ambient_kelvin: f64) -> Vec<GroupState> {
        self.groups
            .iter()
            .map(|group| group.cold_state(ambient_kelvin))
            .collect()
    }

    /// Checks every figure and every index; the first fault found is returned.
    pub fn check(&self) -> Result<(), CircuitError> {
        if !(self.hertz.is_finite() && self.hertz > 0.0) {
            return Err(CircuitError::Value {
                element: 0,
                field: "hertz",
                value: self.hertz,
                expected: "a line frequency above zero",
            });
        }
        let mut owners = vec![None; self.groups.len()];
        for (index, element) in self.elements.iter().enumerate() {
            self.check_element(index, element)?;
            if let Element::Warm { group, .. } = element
                && let Some(other) = owners[*group].replace(index)
            {
                return Err(CircuitError::GroupTwice {
                    element: index,
                    other,
                    group: *group,
                });
            }
        }
        Ok(())
    }

    fn check_element(&self, element: usize, what: &Element) -> Result<(), CircuitError> {
        let node = |index: Node| {
            if index < self.nodes {
                Ok(())
            } else {
                Err(CircuitError::Missing {
                    element,
                    what: "node",
                    index,
                })
            }
        };
        let value = |field: &'static str, value: f64, least: f64, expected: &'static str| {
            if value.is_finite() && value >= least {
                Ok(())
            } else {
                Err(CircuitError::Value {
                    element,
                    field,
                    value,
                    expected,
                })
            }
        };
        let body = |body: &Option<BodyRef>| match body {
            Some(BodyRef { group, .. }) if *group >= self.groups.len() => {
                Err(CircuitError::Missing {
                    element,
                    what: "thermal group",
                    index: *group,
                })
            }
            Some(BodyRef { group, body }) if *body >= self.groups[*group].bodies.len() => {
                Err(CircuitError::Missing {
                    element,
                    what: "body",
                    index: *body,
                })
            }
            _ => Ok(()),
        };
        const OHMS: &str = "at least a microohm";
        match what {
            Element::Resistor { a, b, ohms } => {
                node(*a)?;
                node(*b)?;
                value("ohms", *ohms, 1e-6, OHMS)
            }
            Element::Switch { a, b, .. } => {
                node(*a)?;
                node(*b)
            }
            Element::Capacitor {
                a,
                b,
                farads,
                series_ohms,
                leak_siemens,
            } => {
                node(*a)?;
                node(*b)?;
                value("farads", *farads, 1e-18, "above zero")?;
                value("series ohms", *series_ohms, 0.0, "zero or more")?;
                value("leak siemens", *leak_siemens, 0.0, "zero or more")
            }
            Element::Inductor {
                a,
                b,
                henries,
                ohms,
            } => {
                node(*a)?;
                node(*b)?;
                value("henries", *henries, 1e-12, "above zero")?;
                value("ohms", *ohms, 1e-6, OHMS)
            }
            Element::Transformer {
                windings,
                loss_siemens,
                magnetising_henries,
            } => {
                for winding in windings {
                    node(winding.start)?;
                    node(winding.end)?;
                    value("turns", winding.turns, 1e-9, "above zero")?;
                    value("ohms", winding.ohms, 1e-6, OHMS)?;
                    value(
                        "leakage henries",
                        winding.leakage_henries,
                        0.0,
                        "zero or more",
                    )?;
                }
                value("loss siemens", *loss_siemens, 0.0, "zero or more")?;
                match magnetising_henries {
                    Some(henries) => value("magnetising henries", *henries, 1e-12, "above zero"),
                    None => Ok(()),
                }
            }
            Element::Source {
                a,
                b,
                ohms,
                direct_volts,
                peak_volts,
                phase,
            } => {
                node(*a)?;
                node(*b)?;
                value("ohms", *ohms, 1e-6, OHMS)?;
                for (field, figure) in [
                    ("direct volts", *direct_volts),
                    ("peak volts", *peak_volts),
                    ("phase", *phase),
                ] {
                    value(field, figure, -1e6, "a number within a million")?;
                    value(field, -figure, -1e6, "a number within a million")?;
                }
                Ok(())
            }
            Element::Rectifier {
                anode,
                cathode,
                heated_by,
                law,
            } => {
                node(*anode)?;
                node(*cathode)?;
                body(heated_by)?;
                match law {
                    RectifierLaw::Tube {
                        perveance,
                        rated_emission,
                    } => {
                        value("perveance", *perveance, 1e-12, "above zero")?;
                        value("rated emission", *rated_emission, 0.0, "zero or more")
                    }
                    RectifierLaw::Junction {
                        series_ohms,
                        corner,
                        leak_siemens,
                        threshold,
                    } => {
                        value("series ohms", *series_ohms, 1e-6, OHMS)?;
                        value("corner", *corner, 1e-6, "above zero")?;
                        value("leak siemens", *leak_siemens, 0.0, "zero or more")?;
                        value("threshold", *threshold, 0.0, "zero or more")
                    }
                    RectifierLaw::Curve {
                        rated_emission,
                        leak_siemens,
                        ..
                    } => {
                        // An infinite emission is that of a metal rectifier.
                        let emission = rated_emission.min(1e6);
                        value("rated emission", emission, 0.0, "zero or more")?;
                        value("leak siemens", *leak_siemens, 0.0, "zero or more")
                    }
                }
            }
            Element::Warm { a, b, group } => {
                node(*a)?;
                node(*b)?;
                body(&Some(BodyRef {
                    group: *group,
                    body: 0,
                }))
            }
            Element::Load {
                a,
                b,
                siemens,
                warmed_by,
                reserve,
            } => {
                node(*a)?;
                node(*b)?;
                body(warmed_by)?;
                value("siemens", *siemens, 0.0, "zero or more")?;
                value("reserve", *reserve, 1.0, "one or more")
            }
        }
    }
}
