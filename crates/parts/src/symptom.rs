//! What picture, sound, nose and hand notice of a set that is on, and which sections can cause it.
//!
//! Weights are plain: of a hundred sets that show a symptom, the share in which the fault sits in the
//! section; those of one symptom sum to 1. Source: `data/picture_symptoms.csv`, practice from memory,
//! each row with its source and standing. A table at fault gives every fault at once.

use std::sync::OnceLock;

use crate::fault::{ColumnFault, DataFault};
use crate::standing::Standing;
use crate::table::read_table;

/// A section of a set.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum SetSection {
    /// Line, rectifier, filters and heaters.
    Supply,
    /// R.f. amplifier, oscillator and mixer.
    Tuner,
    /// Picture i.f.
    Intermediate,
    /// Automatic gain control.
    Agc,
    /// Detector of the picture.
    VideoDetector,
    /// From the detector to the picture tube.
    VideoAmplifier,
    /// Sound i.f., detector and amplifier.
    Sound,
    /// Separator and what follows up to the oscillators.
    Sync,
    /// Vertical oscillator.
    VerticalOscillator,
    /// Vertical output with its half of the yoke.
    VerticalOutput,
    /// Horizontal oscillator with its control.
    HorizontalOscillator,
    /// Horizontal output with its half of the yoke.
    HorizontalOutput,
    /// Damper and the boosted line.
    Damper,
    /// High-voltage rectifier and anode lead.
    HighVoltage,
    /// The tube and its base.
    PictureTube,
    /// Focus coil, magnet or divider.
    Focus,
    /// Ion trap magnet.
    IonTrap,
    /// Mask, window and seat of the picture tube.
    Mask,
}

impl SetSection {
    /// The words of the table.
    pub const WORDS: [(&'static str, SetSection); 18] = [
        ("supply", SetSection::Supply),
        ("tuner", SetSection::Tuner),
        ("i.f.", SetSection::Intermediate),
        ("a.g.c.", SetSection::Agc),
        ("video detector", SetSection::VideoDetector),
        ("video amplifier", SetSection::VideoAmplifier),
        ("sound", SetSection::Sound),
        ("sync", SetSection::Sync),
        ("vertical oscillator", SetSection::VerticalOscillator),
        ("vertical output", SetSection::VerticalOutput),
        ("horizontal oscillator", SetSection::HorizontalOscillator),
        ("horizontal output", SetSection::HorizontalOutput),
        ("damper", SetSection::Damper),
        ("high voltage", SetSection::HighVoltage),
        ("picture tube", SetSection::PictureTube),
        ("focus", SetSection::Focus),
        ("ion trap", SetSection::IonTrap),
        ("mask", SetSection::Mask),
    ];

    /// The words of the table for this section.
    pub fn word(self) -> &'static str {
        Self::WORDS
            .iter()
            .find(|(_, own)| *own == self)
            .map_or("supply", |(word, _)| word)
    }
}

/// A part that typically causes a symptom.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct TypicalPart {
    /// Kind of part, as in the fault table.
    pub kind: String,
    /// What it does there, in words.
    pub place: String,
    /// How it fails, as in the fault table.
    pub fault: String,
}

/// One section that can cause a symptom.
#[derive(Clone, Debug, PartialEq)]
pub struct SectionOfSymptom {
    /// The section.
    pub section: SetSection,
    /// Share of the sets with this symptom in which the fault sits there.
    pub weight: f64,
    /// Parts that typically cause it there.
    pub typical: Vec<TypicalPart>,
    /// The source in words.
    pub source: String,
    /// How far to trust it.
    pub standing: Standing,
}

/// A symptom.
#[derive(Clone, Debug, PartialEq)]
pub struct Symptom {
    /// Its name, such as `sound, no raster`.
    pub name: String,
    /// What is seen, heard or smelled.
    pub what: String,
    /// What to look at first.
    pub first_check: String,
    /// What to beware of; empty where there is nothing of its own.
    pub caution: String,
    /// The sections that can cause it, most often first.
    pub sections: Vec<SectionOfSymptom>,
}

const HEADINGS: [&str; 9] = [
    "symptom",
    "what_is_seen",
    "section",
    "weight",
    "typical_parts",
    "first_check",
    "hazard",
    "source",
    "standing",
];

struct Row {
    line: u64,
    symptom: Symptom,
}

/// The symptoms of `data/picture_symptoms.csv`, in its order.
///
/// # Errors
/// Every fault of the table.
pub fn symptoms() -> Result<&'static [Symptom], &'static [DataFault]> {
    static READ: OnceLock<Result<Vec<Symptom>, Vec<DataFault>>> = OnceLock::new();
    READ.get_or_init(|| read(include_str!("../../../data/picture_symptoms.csv")))
        .as_ref()
        .map(Vec::as_slice)
        .map_err(Vec::as_slice)
}

fn read(text: &str) -> Result<Vec<Symptom>, Vec<DataFault>> {
    let file = "picture_symptoms.csv";
    let mut faults = Vec::new();
    let rows = read_table(file, text, &HEADINGS, &mut faults, |fields| {
        let mut typical = Vec::new();
        for own in fields.list("typical_parts") {
            let words: Vec<&str> = own.splitn(3, ':').map(str::trim).collect();
            match words[..] {
                [kind, place, fault] if !kind.is_empty() && !fault.is_empty() => {
                    typical.push(TypicalPart {
                        kind: kind.to_string(),
                        place: place.to_string(),
                        fault: fault.to_string(),
                    });
                }
                _ => fields.fault(
                    "typical_parts",
                    format!("\"{own}\" read, kind: place: fault expected"),
                    "part the three by colons, and several parts by semicolons",
                ),
            }
        }
        let section = fields.choice("section", &SetSection::WORDS);
        if fields.text("section").is_none() {
            fields.required("section");
        }
        let weight = fields.required_number("weight", 0.01, 1.0);
        let provenance = fields.provenance();
        Some(Symptom {
            name: fields.required("symptom"),
            what: fields.required("what_is_seen"),
            first_check: fields.owned("first_check"),
            caution: fields.owned("hazard"),
            sections: vec![SectionOfSymptom {
                section: section.unwrap_or(SetSection::Supply),
                weight,
                typical,
                source: provenance.source,
                standing: provenance.standing,
            }],
        })
    });
    let rows = rows
        .into_iter()
        .map(|(line, symptom)| Row { line, symptom });
    let found = joined(file, rows, &mut faults);
    if faults.is_empty() {
        Ok(found)
    } else {
        Err(faults)
    }
}

/// Rows of one name are one symptom.
fn joined(
    file: &str,
    rows: impl Iterator<Item = Row>,
    faults: &mut Vec<DataFault>,
) -> Vec<Symptom> {
    let mut found: Vec<(u64, Symptom)> = Vec::new();
    for Row { line, symptom } in rows {
        match found.iter_mut().find(|own| own.1.name == symptom.name) {
            Some((_, known)) => {
                for own in symptom.sections {
                    if known.sections.iter().any(|old| old.section == own.section) {
                        let fault = ColumnFault::new(
                            "section",
                            format!("{} stands twice with {}", own.section.word(), symptom.name),
                            "join the two rows",
                        );
                        faults.push(DataFault::at(file, line, fault));
                    }
                    known.sections.push(own);
                }
            }
            None => found.push((line, symptom)),
        }
    }
    for (line, own) in &found {
        let sum: f64 = own.sections.iter().map(|own| own.weight).sum();
        if (sum - 1.0).abs() > 0.005 {
            let fault = ColumnFault::new(
                "weight",
                format!("the weights of {} sum to {sum:.3}, 1 expected", own.name),
                "change them until they do",
            );
            faults.push(DataFault::at(file, *line, fault));
        }
    }
    found.into_iter().map(|(_, own)| own).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_table_has_the_complaints_of_the_trade() {
        let all = symptoms().expect("sound");
        assert!(all.len() >= 60, "{}", all.len());
        let catalogue = crate::catalogue().expect("sound");
        for symptom in all {
            assert!(!symptom.first_check.is_empty(), "{}", symptom.name);
            for part in symptom.sections.iter().flat_map(|own| &own.typical) {
                // Every typical part fails in a way that the fault table knows.
                let rows = catalogue.part_faults(&part.kind);
                assert!(
                    rows.iter().any(|row| row.fault == part.fault),
                    "{}: {} {}",
                    symptom.name,
                    part.kind,
                    part.fault
                );
            }
        }
        // Common practice: one bright line across the middle is the vertical sweep.
        let line = all.iter().find(|own| own.name == "bright horizontal line");
        let line = line.expect("a symptom");
        let vertical: f64 = line
            .sections
            .iter()
            .filter(|own| {
                matches!(
                    own.section,
                    SetSection::VerticalOutput | SetSection::VerticalOscillator
                )
            })
            .map(|own| own.weight)
            .sum();
        assert!(vertical > 0.8);
    }

    #[test]
    fn all_faults_of_the_table_come_at_once() {
        let text = "symptom,what_is_seen,section,weight,typical_parts,first_check,hazard,source,standing\n\
                    dim,dark,cellar,0.5,,look,,s,common practice\n\
                    dim,dark,supply,0.5,tube: weak,look,,s,common practice\n\
                    snow,grain,tuner,0.7,,look,,s,hearsay\n\
                    snow,grain,tuner,0.2,,look,,s,memory\n";
        let faults = read(text).expect_err("faults");
        let places: Vec<(u64, &str)> = faults
            .iter()
            .map(|fault| (fault.line, fault.column.as_str()))
            .collect();
        assert!(places.contains(&(2, "section")), "{places:?}");
        assert!(places.contains(&(3, "typical_parts")), "{places:?}");
        assert!(places.contains(&(4, "standing")), "{places:?}");
        let whole = "symptom,what_is_seen,section,weight,typical_parts,first_check,hazard,source,standing\n\
                     snow,grain,tuner,0.7,,look,,s,memory\n\
                     snow,grain,tuner,0.2,,look,,s,memory\n";
        let faults = read(whole).expect_err("faults");
        let places: Vec<(u64, &str)> = faults
            .iter()
            .map(|fault| (fault.line, fault.column.as_str()))
            .collect();
        assert_eq!(places, [(3, "section"), (2, "weight")]);
    }
}
