//! The list of things to look at, alone or with what has been noted of each in a restoration.
//!
//! Source: `data/things_to_see.csv` through the catalogue of parts, with a table of the restorer's own
//! behind it where he names one. Fails when a table is at fault or the restoration cannot be read.

use std::path::Path;

use logbook::{Fact, Logbook, standing_facts};
use parts::{ThingToSee, read_own_things, things_to_see};

use crate::read_own_file::read_own_file;
use crate::restoration::trouble;
use crate::stage_answers::folded;
use crate::trouble::Trouble;
use crate::view::{SeenOfView, ThingToSeeView, ThingsToSeeView};
use crate::{FORMAT, PROGRAM_VERSION};

/// The list by itself, with the things of the restorer's own table.
pub fn tell_things_to_see(own: Option<&Path>) -> Result<ThingsToSeeView, Trouble> {
    Ok(view(None, &list(own)?, &[]))
}

/// The list with what has been noted in this restoration.
pub fn tell_seen_of(file: &Path, own: Option<&Path>) -> Result<ThingsToSeeView, Trouble> {
    let list = list(own)?;
    let in_file = |error| trouble(file, error);
    let book = Logbook::look(file).map_err(in_file)?;
    let entries = book.entries().map_err(in_file)?;
    let seen: Vec<SeenOfView> = standing_facts(&entries)
        .into_iter()
        .filter_map(|one| match one.fact {
            Fact::Seen(seen) => Some(SeenOfView::new(one.number, one.at, seen)),
            _ => None,
        })
        .collect();
    Ok(view(Some(file.display().to_string()), &list, &seen))
}

/// The thing of the list with this name or these words.
pub(crate) fn thing_named(name: &str, own: Option<&Path>) -> Result<Option<ThingToSee>, Trouble> {
    let name = folded(name);
    Ok(list(own)?
        .into_iter()
        .find(|thing| folded(&thing.name) == name || folded(&thing.thing) == name))
}

/// The built-in things, and those of the restorer's own table behind them.
fn list(own: Option<&Path>) -> Result<Vec<ThingToSee>, Trouble> {
    let built_in = table()?;
    let mut list = built_in.to_vec();
    if let Some(path) = own {
        list.extend(read_own_file(path, |file, text| {
            read_own_things(file, text, built_in)
        })?);
    }
    Ok(list)
}

/// The built-in things.
pub(crate) fn table() -> Result<&'static [ThingToSee], Trouble> {
    things_to_see().map_err(|faults| {
        let texts: Vec<String> = faults.iter().map(ToString::to_string).collect();
        Trouble::ours(format!(
            "the list of things to see is at fault: {}",
            texts.join("; ")
        ))
    })
}

fn view(file: Option<String>, table: &[ThingToSee], seen: &[SeenOfView]) -> ThingsToSeeView {
    let things: Vec<ThingToSeeView> = table
        .iter()
        .map(|thing| {
            let of_it = seen.iter().filter(|one| one.thing == thing.thing).cloned();
            ThingToSeeView::new(thing, of_it.collect())
        })
        .collect();
    let own = seen
        .iter()
        .filter(|one| !table.iter().any(|thing| thing.thing == one.thing));
    ThingsToSeeView {
        format: FORMAT,
        program: PROGRAM_VERSION,
        data: parts::DATA_EDITION,
        file,
        own: own.cloned().collect(),
        things,
    }
}
