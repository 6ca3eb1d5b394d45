//! The list of things to look at, for people and scripts.
//!
//! Texts as the list and the restorer have them. Making a view cannot fail.

use logbook::{Seen, Stamp};
use parts::ThingToSee;
use serde::Serialize;

/// The answer of `see` without a finding.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct ThingsToSeeView {
    /// Edition of this form.
    pub format: u32,
    /// Version of the program.
    pub program: &'static str,
    /// Edition of the published figures.
    pub data: &'static str,
    /// The restoration, as it was named; `null` for the list by itself.
    pub file: Option<String>,
    /// The things in the order in which one looks.
    pub things: Vec<ThingToSeeView>,
    /// What was noted in own words.
    pub own: Vec<SeenOfView>,
}

/// One thing to look at.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct ThingToSeeView {
    /// Its short name.
    pub name: String,
    /// Area of the chassis.
    pub area: String,
    /// The thing in words.
    pub thing: String,
    /// Where and how to look.
    pub look: String,
    /// What is usually found.
    pub findings: Vec<String>,
    /// What to beware of; may be empty.
    pub caution: String,
    /// How far to trust the row.
    pub standing: String,
    /// What has been noted of it.
    pub seen: Vec<SeenOfView>,
}

impl ThingToSeeView {
    /// The view of a row, with what has been noted of it.
    pub fn new(thing: &ThingToSee, seen: Vec<SeenOfView>) -> ThingToSeeView {
        ThingToSeeView {
            name: thing.name.clone(),
            area: thing.area.clone(),
            thing: thing.thing.clone(),
            look: thing.look.clone(),
            findings: thing.findings.clone(),
            caution: thing.caution.clone(),
            standing: thing.standing.to_string(),
            seen,
        }
    }
}

/// What was noted of a thing.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct SeenOfView {
    /// Number of the entry.
    pub number: u64,
    /// When it was made.
    pub at: String,
    /// The thing.
    pub thing: String,
    /// The part; empty for none.
    pub part: String,
    /// What was found.
    pub found: String,
}

impl SeenOfView {
    /// The view of a note.
    pub fn new(number: u64, at: &Stamp, seen: &Seen) -> SeenOfView {
        SeenOfView {
            number,
            at: at.to_string(),
            thing: seen.thing.clone(),
            part: seen.part.clone(),
            found: seen.found.clone(),
        }
    }
}
