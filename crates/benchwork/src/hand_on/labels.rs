//! Labels for the bags of old parts: which part, where it sat, what it was, what is there now.
//!
//! Values in bench notation, as they were typed. Fails where the file cannot be read, where nothing
//! was replaced, and for a part that was asked for but not replaced (all at once).

use std::path::Path;

use logbook::standing_facts;
use serde::Serialize;

use super::{Handed, open, parts_replaced};
use crate::trouble::Trouble;
use crate::view::FaultView;
use crate::{FORMAT, PROGRAM_VERSION};

/// The answer of `labels`.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct LabelsView {
    /// Edition of this form.
    pub format: u32,
    /// Version of the program.
    pub program: &'static str,
    /// Edition of the published figures.
    pub data: &'static str,
    /// The file, as it was named.
    pub file: String,
    /// Name of the restoration.
    pub restoration: String,
    /// The labels in the order of the entries.
    pub labels: Vec<LabelView>,
}

/// What stands on one label.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct LabelView {
    /// The part.
    pub part: String,
    /// Its kind; empty where the sheet has it not.
    pub kind: String,
    /// Where it sat; empty where the sheet has it not.
    pub place: String,
    /// What it was: as it was entered, else as the sheet has it; empty where neither says so.
    pub old: String,
    /// What is there now; empty where that is not written down.
    pub new: String,
    /// The day of the entry; empty where only the sheet says that it was replaced.
    pub day: String,
    /// Name of the set.
    pub set: String,
}

/// Labels for all parts replaced, or for these alone.
pub fn tell_labels(file: &Path, wanted: &[String]) -> Result<LabelsView, Trouble> {
    let opened = open(file)?;
    let facts = standing_facts(&opened.entries);
    let handed = Handed {
        outline: &opened.outline,
        so_far: &opened.so_far,
        facts: &facts,
    };
    let rows = parts_replaced::replaced(&handed);
    let same = |one: &str, other: &str| one.trim().eq_ignore_ascii_case(other.trim());
    let faults: Vec<FaultView> = wanted
        .iter()
        .filter(|wanted| !rows.iter().any(|row| same(&row.part, wanted)))
        .map(|wanted| {
            FaultView::of_input(
                format!("`{wanted}` was not replaced, so there is no old part to label"),
                "`firstraster story` shows what was fitted; enter it with `firstraster fit`",
            )
        })
        .collect();
    if !faults.is_empty() {
        return Err(Trouble::Input { faults });
    }
    if rows.is_empty() {
        return Err(Trouble::input(
            "no part was replaced, so there is nothing to label",
            "enter what was fitted: `firstraster fit FILE PART NEW --old OLD`",
        ));
    }
    let set = match handed.so_far.sheet.name.trim() {
        "" => opened.name.clone(),
        name => name.to_owned(),
    };
    let labels = rows
        .into_iter()
        .filter(|row| wanted.is_empty() || wanted.iter().any(|wanted| same(&row.part, wanted)))
        .map(|row| {
            let rated = match row.rating.as_str() {
                "" => row.new.clone(),
                rating => format!("{}, {rating}", row.new),
            };
            LabelView {
                old: if row.old.is_empty() {
                    row.by_sheet
                } else {
                    row.old
                },
                part: row.part,
                kind: row.kind,
                place: row.place,
                new: rated,
                day: row
                    .at
                    .unwrap_or_default()
                    .get(..10)
                    .unwrap_or_default()
                    .to_owned(),
                set: set.clone(),
            }
        })
        .collect();
    Ok(LabelsView {
        format: FORMAT,
        program: PROGRAM_VERSION,
        data: parts::DATA_EDITION,
        file: file.display().to_string(),
        restoration: opened.name,
        labels,
    })
}
