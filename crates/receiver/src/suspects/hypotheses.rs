//! What may be wrong with a set: each part's ways of failing, with chance and severity.
//!
//! Chances are plain, for a part as found, from data/part_faults.csv (each row with its source
//! and standing); severities are in the row's unit. A part that was replaced has the chance of
//! a new one, one that was measured since has its ohms and no other ohms, one cut loose none.
//! A resistor that the sheet itself tells wrongly (a factor of ten, a row too many) is a
//! hypothesis of that part. Rows of the table that nothing here follows are counted by
//! [`Hypotheses::left_out`]. Nothing here can fail.

use parts::{Catalogue, PartFault, Standing};

use crate::causes::{Cause, shared_causes};
use crate::conditions::BenchConditions;
use crate::sheet::PartValue;
use crate::wiring::{FaultKind, Figure, SetModel, Variation};

use super::kinds::{kind_of_part, kind_of_winding, kinds_of_tube};
use super::rules::{Act, HIGH_OHMS, RULES, Rule, means};
use super::severity::Law;
use super::sockets::{STAYS, joint_chance, kinds_of_socket};

/// Emission left where air got in, as a ratio: as good as none, and a number that a law of a
/// tube takes.
const NO_EMISSION: f64 = 1e-6;
/// Ohms of a wiper that touches nothing.
const NO_CONTACT: f64 = 1e11;
/// Chance that a sheet holds one row that is not as the set is (judgement: one of twenty
/// sheets copied from a drawing).
const SHEET_WRONG: f64 = 0.05;

/// What is suspected.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Suspect {
    /// A part, by its position among the sheet's parts.
    Part(usize),
    /// A tube, by its position among the sheet's tubes.
    Tube(usize),
    /// A transformer, by the position of its first winding among the sheet's windings.
    Transformer(usize),
    /// The socket of a tube, by the tube's position.
    Socket(usize),
}

impl Suspect {
    /// Its reference on the sheet.
    pub fn reference<'a>(&self, model: &'a SetModel<'_>) -> &'a str {
        let sheet = model.sheet;
        match *self {
            Suspect::Part(part) => sheet.parts.get(part).map(|part| &part.reference),
            Suspect::Tube(tube) => sheet.tubes.get(tube).map(|tube| &tube.reference),
            Suspect::Transformer(first) => sheet
                .windings
                .get(first)
                .map(|winding| &winding.transformer),
            Suspect::Socket(tube) => model.socket_names.get(tube),
        }
        .map_or("", |reference| reference.as_str())
    }

    /// Its kind, as the fault table names it.
    pub fn kind(&self, model: &SetModel<'_>) -> &'static str {
        let sheet = model.sheet;
        match *self {
            Suspect::Part(part) => sheet
                .parts
                .get(part)
                .map_or("", |own| own.value.kind().name()),
            Suspect::Tube(tube) => match sheet.tubes.get(tube) {
                Some(own) if own.kind.is_picture_tube => "picture-tube",
                _ => "tube",
            },
            Suspect::Transformer(_) => "power-transformer",
            Suspect::Socket(_) => "tube-socket",
        }
    }

    /// Whether it is out of circuit under these conditions: cut loose, or pulled.
    pub fn is_out(&self, model: &SetModel<'_>, conditions: &BenchConditions) -> bool {
        let names = match self {
            Suspect::Part(_) => &conditions.fitted_without,
            Suspect::Tube(_) => &conditions.pulled,
            Suspect::Transformer(_) | Suspect::Socket(_) => return false,
        };
        listed(names, self.reference(model))
    }
}

/// How bad a fault can be.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Spread {
    /// It is there or not.
    Once(f64),
    /// It is spread.
    Law(Law),
}

/// One way in which one part may have failed.
#[derive(Debug, Clone, PartialEq)]
pub struct Hypothesis {
    /// What is suspected.
    pub suspect: Suspect,
    /// The fault, in the words of the fault table, with its place where one row has several in this part.
    pub fault: String,
    /// The same as the row of the table has it.
    pub row: String,
    /// What it does to the circuit.
    pub kind: FaultKind,
    /// Severity in the unit of the row.
    pub spread: Spread,
    /// From the row's unit to that of [`FaultKind`].
    scale: Scale,
    /// Chance that this part as found has this fault.
    pub chance: f64,
    /// Share of the chance that sits in the joints at it, which no check of the part by itself finds.
    pub in_joint: f64,
    /// Chance that this part has none of the ways that a check by itself condemned it for; `None` where none did.
    pub condemned: Option<f64>,
    /// Where chance and spread come from.
    pub source: String,
    /// How they are known.
    pub standing: Standing,
}

#[derive(Debug, Clone, Copy, PartialEq)]
enum Scale {
    Plain,
    PercentUp,
    Percent,
    Micro,
}

impl Hypothesis {
    /// The set with this fault at a severity in the row's unit.
    pub fn variation(&self, severity: f64) -> Variation {
        self.kind.variation(self.in_own_unit(severity))
    }

    /// A severity of the row in the unit of its [`FaultKind`].
    pub fn in_own_unit(&self, severity: f64) -> f64 {
        match self.scale {
            Scale::Plain => severity,
            Scale::PercentUp => 1.0 + severity / 100.0,
            Scale::Percent => severity / 100.0,
            Scale::Micro => severity * 1e-6,
        }
    }

    /// Whether the sheet is at fault and not the set.
    pub fn is_of_sheet(&self) -> bool {
        self.fault.starts_with("the sheet")
    }

    /// A hypothesis whose figures are judgement; severity in the unit of its kind.
    pub fn judged(
        suspect: Suspect,
        fault: &str,
        kind: FaultKind,
        spread: Spread,
        chance: f64,
        source: &str,
    ) -> Hypothesis {
        Hypothesis {
            suspect,
            fault: fault.to_string(),
            row: fault.to_string(),
            kind,
            spread,
            scale: Scale::Plain,
            chance,
            in_joint: 0.0,
            condemned: None,
            source: source.to_string(),
            standing: Standing::Memory,
        }
    }

    /// The chance for it over the chance against it, where only this share of its severities
    /// counts.
    pub fn odds(&self, share: f64) -> f64 {
        let chance = self.chance * share.clamp(0.0, 1.0);
        chance / self.condemned.unwrap_or(1.0 - chance)
    }
}

/// All hypotheses about one set.
#[derive(Debug, Clone, PartialEq)]
pub struct Hypotheses {
    /// In the order of the sheet: parts, tubes, transformers.
    pub list: Vec<Hypothesis>,
    /// Rows of the fault table that concern this set and that nothing follows yet: kind and
    /// fault.
    pub left_out: Vec<(String, String)>,
    /// How the figures of sound parts and tubes are spread.
    pub samples: Vec<Cause>,
}

/// What is known of one suspect before any reading.
struct Known {
    replaced: bool,
    original: bool,
    measured_ohms: bool,
    /// How far the chance of a part as found lies from the low end of its row to the high one.
    by_age: f64,
}

impl Known {
    /// Chance of a row: as found by the age of the set, on a scale of ratios; of parts known to be the maker's own the high end
    /// of the range (judgement).
    fn chance(&self, row: &PartFault, high: Option<bool>) -> f64 {
        if self.replaced {
            row.chance_after_replacement
        } else if high == Some(true) || self.original && high.is_none() {
            row.chance_high
        } else if high == Some(false) {
            row.chance_low
        } else {
            row.chance_low.powf(1.0 - self.by_age) * row.chance_high.powf(self.by_age)
        }
    }
}

/// Year of make for which a part as found has the middle of its row (judgement: the middle of the period), and the
/// years by which the chance goes over the whole range.
const MIDDLE_YEAR: (f64, f64) = (1955.0, 40.0);

/// How far along its range a chance lies in a set of this year: parts of 1946 are ten years older than those of
/// 1956 and were of poorer make; the middle where no year is told.
fn by_age(made: Option<u16>) -> f64 {
    let (middle, range) = MIDDLE_YEAR;
    made.map_or(0.5, |made| {
        (0.5 + (middle - f64::from(made)) / range).clamp(0.2, 0.8)
    })
}

impl Hypotheses {
    /// All that may be wrong with a set.
    pub fn of(model: &SetModel<'_>, catalogue: &Catalogue) -> Hypotheses {
        let mut found = Hypotheses {
            list: Vec::new(),
            left_out: Vec::new(),
            samples: samples(model),
        };
        let sheet = model.sheet;
        let state = &sheet.state;
        let known = |reference: &str| Known {
            replaced: listed(&state.replaced, reference),
            original: listed(&state.original, reference),
            measured_ohms: state.measured_ohms(reference).is_some(),
            by_age: by_age(sheet.made),
        };
        for (part, own) in sheet.parts.iter().enumerate() {
            if listed(&state.cut_loose, &own.reference) {
                continue;
            }
            let known = known(&own.reference);
            for row in catalogue.part_faults(own.value.kind().name()) {
                let Some(rule) = found.rule(row) else {
                    continue;
                };
                if means(model, part, rule.only)
                    && let Some(kind) = kind_of_part(model, part, rule.act)
                {
                    let high = model.ohms(part).is_some_and(|ohms| ohms >= HIGH_OHMS);
                    let weight = match rule.act {
                        // Above 100k most of them rise, below few.
                        Act::PercentUp => Some(high),
                        _ => None,
                    };
                    found.push(Suspect::Part(part), row, rule.act, kind, &known, weight);
                    if rule.act == Act::WiperOhms {
                        found.share_last(STAYS);
                    }
                }
            }
        }
        found.join(model, catalogue, &known);
        for (tube, own) in sheet.tubes.iter().enumerate() {
            let name = if own.kind.is_picture_tube {
                "picture-tube"
            } else {
                "tube"
            };
            let known = known(&own.reference);
            for row in catalogue.part_faults(name) {
                let Some(rule) = found.rule(row) else {
                    continue;
                };
                let kinds = kinds_of_tube(model, tube, rule.act);
                let share = 1.0 / kinds.len().max(1) as f64;
                for kind in kinds {
                    found.push(Suspect::Tube(tube), row, rule.act, kind, &known, None);
                    found.share_last(share);
                }
            }
        }
        for (tube, own) in sheet.tubes.iter().enumerate() {
            if own.kind.is_picture_tube {
                continue;
            }
            let known = known(&format!("{}'s socket", own.reference));
            for row in catalogue.part_faults("tube-socket") {
                let Some(rule) = found.rule(row) else {
                    continue;
                };
                for own in kinds_of_socket(model, tube, row, rule.act) {
                    let suspect = Suspect::Socket(tube);
                    found.push(suspect, row, rule.act, own.kind, &known, None);
                    found.share_last(own.share);
                    if let Some(last) = found.list.last_mut() {
                        last.fault = format!("{} {}", row.fault, own.place);
                    }
                }
            }
        }
        for (first, name) in model.transformer_firsts() {
            let windings: Vec<usize> = (0..sheet.windings.len())
                .filter(|&winding| {
                    sheet.windings[winding].transformer == name
                        && sheet.windings[winding].volts.is_some()
                })
                .collect();
            let known = known(&name);
            for row in catalogue.part_faults("power-transformer") {
                let Some(rule) = found.rule(row) else {
                    continue;
                };
                let meant: Vec<(usize, FaultKind)> = windings
                    .iter()
                    .filter_map(|&winding| {
                        Some((winding, kind_of_winding(model, winding, rule.act)?))
                    })
                    .collect();
                let alike = meant.len().max(1) as f64;
                for (_, kind) in meant {
                    found.push(
                        Suspect::Transformer(first),
                        row,
                        rule.act,
                        kind,
                        &known,
                        None,
                    );
                    found.share_last(1.0 / alike);
                }
            }
        }
        found.tell_of_sheet(model);
        found
    }

    /// Those of one suspect.
    pub fn of_suspect(&self, suspect: Suspect) -> impl Iterator<Item = &Hypothesis> {
        self.list.iter().filter(move |own| own.suspect == suspect)
    }

    fn rule(&mut self, row: &PartFault) -> Option<&'static Rule> {
        let found = RULES
            .iter()
            .find(|rule| rule.kind == row.part_kind && rule.fault == row.fault);
        if found.is_none() {
            let own = (row.part_kind.clone(), row.fault.clone());
            if !self.left_out.contains(&own) {
                self.left_out.push(own);
            }
        }
        found
    }

    fn push(
        &mut self,
        suspect: Suspect,
        row: &PartFault,
        act: Act,
        kind: FaultKind,
        known: &Known,
        high: Option<bool>,
    ) {
        let of_value = matches!(
            kind,
            FaultKind::OhmsTimes(_) | FaultKind::Open(_) if known.measured_ohms
        );
        let chance = match of_value {
            true => row.chance_after_replacement,
            false => known.chance(row, high),
        };
        let spread = match &row.severity {
            _ if act == Act::WiperOpen => Spread::Once(NO_CONTACT),
            _ if act == Act::SocketOpen => match kind {
                FaultKind::Emission { .. } => Spread::Once(NO_EMISSION),
                _ => Spread::Once(1.0),
            },
            Some(severity) => match Law::new(severity.low, severity.high, severity.law) {
                Some(law) => Spread::Law(law),
                None => Spread::Once(severity.low),
            },
            None if act == Act::NoEmission => Spread::Once(NO_EMISSION),
            None => Spread::Once(1.0),
        };
        self.list.push(Hypothesis {
            suspect,
            fault: row.fault.clone(),
            row: row.fault.clone(),
            kind,
            spread,
            scale: match act {
                Act::PercentUp => Scale::PercentUp,
                Act::ShortedTurns => Scale::Percent,
                Act::GridCurrent => Scale::Micro,
                _ => Scale::Plain,
            },
            chance: chance.clamp(0.0, 0.99),
            in_joint: 0.0,
            condemned: None,
            source: row.source.clone(),
            standing: row.standing,
        });
    }

    /// A joint at a part that does not make acts as the open part does: it has its share of that chance.
    fn join(&mut self, model: &SetModel<'_>, catalogue: &Catalogue, known: &dyn Fn(&str) -> Known) {
        let (stages, parts) = (model.stages.complete.len(), model.sheet.parts.len());
        for own in &mut self.list {
            if matches!(own.kind, FaultKind::Open(_)) {
                let known = known(own.suspect.reference(model));
                let chance = |row: &PartFault| known.chance(row, None);
                let joint = joint_chance(catalogue, chance, stages, parts);
                own.in_joint = joint / (own.chance + joint).max(f64::MIN_POSITIVE);
                own.chance = (own.chance + joint).min(0.99);
            }
        }
    }

    /// One of several equal ways of a row has its share of the row's chance.
    fn share_last(&mut self, share: f64) {
        if let Some(last) = self.list.last_mut() {
            last.chance *= share;
        }
    }

    /// The sheet is wrong at a resistor: a digit more or less, or a part that is not there. One
    /// that was measured is there with its ohms, and one cut loose shows in no reading.
    fn tell_of_sheet(&mut self, model: &SetModel<'_>) {
        let state = &model.sheet.state;
        let resistors: Vec<usize> = (0..model.sheet.parts.len())
            .filter(|&part| {
                let own = &model.sheet.parts[part];
                matches!(own.value, PartValue::Resistor { .. })
                    && !listed(&state.cut_loose, &own.reference)
                    && state.measured_ohms(&own.reference).is_none()
            })
            .collect();
        let each = SHEET_WRONG / model.sheet.parts.len().max(1) as f64 / 3.0;
        for part in resistors {
            let times = |factor| (FaultKind::OhmsTimes(part), Spread::Once(factor));
            for (fault, (kind, spread)) in [
                ("the sheet tells a tenth of its ohms", times(10.0)),
                ("the sheet tells ten times its ohms", times(0.1)),
                (
                    "the sheet has it where the set has none",
                    (FaultKind::Open(part), Spread::Once(1.0)),
                ),
            ] {
                self.list.push(Hypothesis::judged(
                    Suspect::Part(part),
                    fault,
                    kind,
                    spread,
                    each,
                    "judgement: one of twenty sheets has a wrong row",
                ));
            }
        }
    }
}

/// The causes that a part or a tube by itself shows.
fn samples(model: &SetModel<'_>) -> Vec<Cause> {
    let mut found = shared_causes(model);
    found.retain(|own| {
        matches!(
            own.figure,
            Figure::Ohms(_) | Figure::Farads(_) | Figure::TubeStrength(_)
        )
    });
    found
}

/// Whether a reference stands in a list of the sheet's state.
fn listed(list: &[String], reference: &str) -> bool {
    list.iter()
        .any(|own| own.trim().eq_ignore_ascii_case(reference))
}
