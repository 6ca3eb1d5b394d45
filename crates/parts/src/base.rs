//! Tube bases and how many pins each has, from `data/bases.csv`.
//!
//! A base is found by its name or another usual writing, ignoring case. An
//! unknown base is `None`; nothing is assumed about its pins.

use crate::fault::DataFault;
use crate::table::{read_table, unique};

/// A tube base.
#[derive(Clone, Debug, PartialEq)]
pub struct Base {
    /// The name used in the tables.
    pub name: String,
    /// Places for pins, counted from 1; not all need be fitted.
    pub pin_count: u8,
    /// Other writings of the name.
    pub also_written: Vec<String>,
    /// What it is.
    pub meaning: String,
}

const HEADINGS: [&str; 6] = [
    "base",
    "pin_count",
    "also_written",
    "meaning",
    "source",
    "standing",
];

/// Reads the table of bases.
pub(crate) fn read_bases(file: &str, text: &str, faults: &mut Vec<DataFault>) -> Vec<Base> {
    let rows = read_table(file, text, &HEADINGS, faults, |fields| {
        fields.provenance();
        let name = fields.required("base");
        let pin_count = fields.required_number("pin_count", 2.0, 20.0) as u8;
        Some(Base {
            name,
            pin_count,
            also_written: fields.list("also_written"),
            meaning: fields.required("meaning"),
        })
    });
    unique(file, rows, "base", |base| base.name.clone(), faults)
}

/// The base of that name or other writing.
pub(crate) fn find_base<'a>(bases: &'a [Base], name: &str) -> Option<&'a Base> {
    let asked = name.trim();
    bases.iter().find(|base| {
        base.name.eq_ignore_ascii_case(asked)
            || base
                .also_written
                .iter()
                .any(|other| other.eq_ignore_ascii_case(asked))
    })
}
