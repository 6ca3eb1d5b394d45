//! What to look at before power, area by area of the chassis.
//!
//! Source: `data/things_to_see.csv`, all of it common practice. The list is fixed so that notes
//! of one set can be compared with those of another, and open: whoever sees something else says
//! it in his own words. A table at fault gives every fault at once.

use std::sync::OnceLock;

use crate::fault::DataFault;
use crate::standing::Standing;
use crate::table::{read_table, unique};

/// One thing to look at.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct ThingToSee {
    /// Its short name, such as `cord`.
    pub name: String,
    /// Area of the chassis.
    pub area: String,
    /// The thing in words.
    pub thing: String,
    /// Where and how to look; may be empty.
    pub look: String,
    /// What is usually found, the sound state first.
    pub findings: Vec<String>,
    /// What to beware of; empty where there is nothing of its own.
    pub caution: String,
    /// The source in words.
    pub source: String,
    /// How far to trust the row.
    pub standing: Standing,
}

const HEADINGS: [&str; 8] = [
    "name", "area", "thing", "look", "findings", "caution", "source", "standing",
];

/// The things of `data/things_to_see.csv`, in the order in which one looks.
///
/// # Errors
/// Every fault of the table.
pub fn things_to_see() -> Result<&'static [ThingToSee], &'static [DataFault]> {
    static READ: OnceLock<Result<Vec<ThingToSee>, Vec<DataFault>>> = OnceLock::new();
    READ.get_or_init(|| read(include_str!("../../../data/things_to_see.csv")))
        .as_ref()
        .map(Vec::as_slice)
        .map_err(Vec::as_slice)
}

fn read(text: &str) -> Result<Vec<ThingToSee>, Vec<DataFault>> {
    let file = "things_to_see.csv";
    let mut faults = Vec::new();
    let rows = read_table(file, text, &HEADINGS, &mut faults, |fields| {
        let findings = fields.list("findings");
        if findings.len() < 2 {
            fields.fault("findings", "fewer than two findings", "name the usual ones");
        }
        Some(ThingToSee {
            name: fields.required("name"),
            area: fields.required("area"),
            thing: fields.required("thing"),
            look: fields.owned("look"),
            findings,
            caution: fields.owned("caution"),
            source: fields.required("source"),
            standing: fields.provenance().standing,
        })
    });
    let rows = unique(file, rows, "name", |row| row.name.clone(), &mut faults);
    if faults.is_empty() {
        Ok(rows)
    } else {
        Err(faults)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_list_has_what_a_restorer_looks_at_first() {
        let things = things_to_see().expect("sound");
        // Common practice of the trade; the things that every check list of a first look has.
        for name in [
            "cord",
            "fuse",
            "wax",
            "cans",
            "resistors",
            "selenium",
            "mica",
            "rubber-wires",
            "cloth-wires",
            "ion-trap",
            "focus-coil",
            "coating",
            "high-voltage-cage",
            "missing-tubes",
            "getters",
            "neck",
        ] {
            assert!(things.iter().any(|thing| thing.name == name), "{name}");
        }
        for thing in things {
            let is_name = thing
                .name
                .bytes()
                .all(|byte| byte.is_ascii_lowercase() || byte == b'-');
            assert!(is_name, "{}", thing.name);
        }
        let mut areas: Vec<&str> = things.iter().map(|thing| thing.area.as_str()).collect();
        areas.sort_unstable();
        areas.dedup();
        assert!(areas.len() >= 6, "{areas:?}");
    }

    #[test]
    fn all_faults_of_the_table_come_at_once() {
        let text = "name,area,thing,look,findings,caution,source,standing\n\
                    cord,,cord,,a;b,,s,common practice\n\
                    cord,x,cord,,a,,s,hearsay\n";
        let faults = read(text).expect_err("faults");
        let places: Vec<(u64, &str)> = faults
            .iter()
            .map(|fault| (fault.line, fault.column.as_str()))
            .collect();
        assert_eq!(places, [(2, "area"), (3, "findings"), (3, "standing")]);
    }
}
