//! How likely each of the three irreplaceable parts is good.
//!
//! Chances from 0 to 1 with a range. Source: the rows of `data/part_faults.csv` for picture tubes, power transformers and
//! flybacks with yokes; of each fault the share that ends the part for a restorer is judgement and stands here. A part
//! that the set has not is good by being absent. What was found moves the chance by Bayes' rule. Nothing here can fail.

use parts::{Catalogue, Irreplaceable};

use crate::sheet::{PartValue, SheetPart};
use crate::wiring::SetModel;

/// Faults that end a part, and in which share of the cases (judgement). The rest is mended, lived with, or recovers.
const ENDS: [(&str, &str, f64); 17] = [
    ("picture-tube", "low emission", 0.35),
    ("picture-tube", "heater-cathode short", 0.2),
    ("picture-tube", "grid-cathode short or leak", 0.3),
    ("picture-tube", "grid to second grid leak", 0.3),
    ("picture-tube", "slightly gassy", 0.4),
    ("picture-tube", "vacuum lost", 1.0),
    ("picture-tube", "heater open", 1.0),
    ("picture-tube", "open cathode connection", 0.7),
    ("picture-tube", "open grid or second grid connection", 0.8),
    ("power-transformer", "shorted turns", 0.9),
    ("power-transformer", "primary open", 0.7),
    ("power-transformer", "half of the plate winding open", 0.5),
    ("power-transformer", "winding to core leak", 0.3),
    ("power-transformer", "winding to winding leak", 0.4),
    ("flyback-transformer", "shorted turns", 0.95),
    ("flyback-transformer", "winding open", 0.6),
    (
        "flyback-transformer",
        "arc or leak at the high-voltage winding",
        0.4,
    ),
];
/// The same of a yoke, which is bought with the flyback.
const YOKE_ENDS: [(&str, f64); 2] = [("shorted section", 0.8), ("open section", 0.6)];

/// What a test said.
#[derive(Debug, Clone, PartialEq)]
pub struct TestSaid {
    /// What was tested.
    pub of: Irreplaceable,
    /// Whether it passed.
    pub passed: bool,
    /// Chance of this outcome if the part is good.
    pub if_good: f64,
    /// Chance of this outcome if it is bad.
    pub if_bad: f64,
    /// In words, such as `ohms of every winding within a fifth of the sheet`.
    pub words: String,
}

/// How one of the three parts stands.
#[derive(Debug, Clone, PartialEq)]
pub struct PartOutlook {
    /// Which.
    pub which: Irreplaceable,
    /// Its names on the sheet; empty where the sheet has none of it.
    pub names: Vec<String>,
    /// Chance that it is good.
    pub good: f64,
    /// Low end of that chance.
    pub low: f64,
    /// High end of that chance.
    pub high: f64,
    /// Where the chance comes from, one sentence each.
    pub because: Vec<String>,
}

impl PartOutlook {
    /// Whether the set has such a part.
    #[must_use]
    pub fn is_there(&self) -> bool {
        !self.names.is_empty()
    }
}

/// What a part is called.
#[must_use]
pub fn called(which: Irreplaceable) -> &'static str {
    match which {
        Irreplaceable::PictureTube => "picture tube",
        Irreplaceable::PowerTransformer => "power transformer",
        Irreplaceable::Flyback => "flyback with its yoke",
    }
}

/// The three, as a set has them.
pub const ALL: [Irreplaceable; 3] = [
    Irreplaceable::PictureTube,
    Irreplaceable::PowerTransformer,
    Irreplaceable::Flyback,
];

/// How each of the three stands, after these tests.
#[must_use]
pub fn outlooks(
    model: &SetModel<'_>,
    catalogue: &Catalogue,
    said: &[TestSaid],
) -> [PartOutlook; 3] {
    ALL.map(|which| outlook(model, catalogue, which, said))
}

fn outlook(
    model: &SetModel<'_>,
    catalogue: &Catalogue,
    which: Irreplaceable,
    said: &[TestSaid],
) -> PartOutlook {
    let names = names_of(model, which);
    let mut own = PartOutlook {
        which,
        good: 1.0,
        low: 1.0,
        high: 1.0,
        because: Vec::new(),
        names,
    };
    if !own.is_there() {
        own.because
            .push(format!("the sheet has no {}", called(which)));
        return own;
    }
    let kinds: &[&str] = match which {
        Irreplaceable::PictureTube => &["picture-tube"],
        Irreplaceable::PowerTransformer => &["power-transformer"],
        Irreplaceable::Flyback => &["flyback-transformer", "yoke"],
    };
    for kind in kinds {
        for row in catalogue.part_faults(kind) {
            let share = match *kind {
                "yoke" => YOKE_ENDS
                    .iter()
                    .find(|own| own.0 == row.fault)
                    .map(|own| own.1),
                kind => {
                    let mut rows = ENDS.iter();
                    rows.find(|own| own.0 == kind && own.1 == row.fault)
                        .map(|own| own.2)
                }
            };
            let Some(share) = share else { continue };
            own.low *= 1.0 - share * row.chance_high;
            own.high *= 1.0 - share * row.chance_low;
            own.good *= 1.0 - share * 0.5 * (row.chance_low + row.chance_high);
        }
    }
    own.because.push(format!(
        "as found, {:.0} of 100 such are good (fault table, judgement)",
        100.0 * own.good
    ));
    for test in said.iter().filter(|test| test.of == which) {
        own.take_in(test);
    }
    own
}

impl PartOutlook {
    /// Moves the chance by what a test said (Bayes' rule).
    pub fn take_in(&mut self, test: &TestSaid) {
        let moved = |good: f64| after(good, test.if_good, test.if_bad);
        (self.low, self.good, self.high) = (moved(self.low), moved(self.good), moved(self.high));
        self.because
            .push(format!("{}: {:.0} of 100", test.words, 100.0 * self.good));
    }
}

/// The chance of good after an outcome of these chances (Bayes' rule).
#[must_use]
pub fn after(good: f64, if_good: f64, if_bad: f64) -> f64 {
    let (one, other) = (good * if_good, (1.0 - good) * if_bad);
    if one + other > 0.0 {
        one / (one + other)
    } else {
        good
    }
}

/// The names of a part on the sheet.
#[must_use]
pub fn names_of(model: &SetModel<'_>, which: Irreplaceable) -> Vec<String> {
    match which {
        Irreplaceable::PictureTube => {
            let tubes = model.sheet.tubes.iter();
            tubes
                .filter(|own| own.kind.is_picture_tube)
                .map(|own| own.reference.clone())
                .collect()
        }
        Irreplaceable::PowerTransformer => {
            let firsts = model.transformer_firsts();
            firsts.into_iter().map(|own| own.1).collect()
        }
        Irreplaceable::Flyback => pulsed_coils(model)
            .map(|part| part.reference.clone())
            .collect(),
    }
}

/// Coils of flyback and yoke: those on which the pulses of the horizontal output stand.
pub fn pulsed_coils<'a>(model: &'a SetModel<'_>) -> impl Iterator<Item = &'a SheetPart> + 'a {
    let parts = model.sheet.parts.iter().enumerate();
    parts
        .filter(|(part, own)| {
            let pulsed = model.part_junctions(*part).iter().flatten().any(|&end| {
                Some(end) != model.chassis_junction()
                    && model.stages.pulsed.get(end).copied().unwrap_or(false)
            });
            matches!(own.value, PartValue::Coil { .. }) && pulsed
        })
        .map(|(_, own)| own)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A fault that the table does not name would count for nothing, without a word.
    #[test]
    fn every_fault_that_ends_a_part_is_a_row_of_the_fault_table() {
        let catalogue = parts::catalogue().expect("sound figures");
        let yoke = YOKE_ENDS.map(|(fault, share)| ("yoke", fault, share));
        for (kind, fault, share) in ENDS.into_iter().chain(yoke) {
            let rows = catalogue.part_faults(kind);
            assert!(
                rows.iter().any(|row| row.fault == fault),
                "no row for {kind}: {fault}"
            );
            assert!(share > 0.0 && share <= 1.0, "{kind}: {fault}");
        }
    }
}
