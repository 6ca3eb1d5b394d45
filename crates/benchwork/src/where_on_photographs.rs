//! Where the named tubes, parts and places are on the photographs of the chassis.
//!
//! What has no mark of its own is looked for at the tubes whose pins it is wired to; a pin is at its tube. Fractions
//! as [`crate::tell_chassis`] has them. What is on no photograph is left out. Fails as opening the file does.

use std::path::Path;

use receiver::sheet::{Place, Sheet};

use crate::chassis::{book_with_sheet, chassis_of};
use crate::trouble::Trouble;
use crate::view::{ChassisPhotographView, FoundThereView, MarkView, WhereView};

/// The photograph that shows most of the named ones, the newest of several, with each of them at its marks; `None`
/// where no photograph shows any.
pub fn find_on_photographs(file: &Path, named: &[String]) -> Result<Option<WhereView>, Trouble> {
    let (book, sheet) = book_with_sheet(file)?;
    let view = chassis_of(file, &book, sheet.as_ref())?;
    let shown = view.photographs.into_iter().rev();
    let found = shown.map(|own| {
        let found = there(&own, sheet.as_ref(), named);
        (own, found)
    });
    // The first of those that show most: `max_by_key` would take the last.
    let mut best: Option<(ChassisPhotographView, Vec<FoundThereView>)> = None;
    for (own, found) in found {
        let most = best.as_ref().map_or(0, |(_, most)| most.len());
        if found.len() > most {
            best = Some((own, found));
        }
    }
    Ok(best.map(|(own, found)| WhereView {
        photograph: own.photograph,
        name: own.name,
        shows: own.shows,
        found,
        others: own.marks,
    }))
}

/// Those of the named ones that this photograph shows.
fn there(
    own: &ChassisPhotographView,
    sheet: Option<&Sheet>,
    named: &[String],
) -> Vec<FoundThereView> {
    let mark = |name: &str| {
        own.marks
            .iter()
            .find(|mark| mark.part.eq_ignore_ascii_case(name))
    };
    let mut found = Vec::new();
    for name in named {
        let itself: Vec<MarkView> = mark(name).cloned().into_iter().collect();
        let at = match itself.is_empty() {
            false => itself,
            true => {
                let tubes = tubes_at(sheet, name);
                tubes
                    .iter()
                    .filter_map(|tube| mark(tube))
                    .cloned()
                    .collect()
            }
        };
        if !at.is_empty() {
            found.push(FoundThereView {
                named: name.clone(),
                at,
            });
        }
    }
    found
}

/// The tubes at whose pins a part is, or whose pin a place is, each once.
fn tubes_at(sheet: Option<&Sheet>, name: &str) -> Vec<String> {
    let Some(sheet) = sheet else {
        return Vec::new();
    };
    // "V9.5" is a pin of V9, "V9's socket" its socket.
    let of_a_tube = name.rsplit_once('.').or_else(|| name.split_once("'s "));
    if let Some(tube) = of_a_tube.and_then(|(tube, _)| sheet.tube(tube)) {
        return vec![tube.reference.clone()];
    }
    let Some(part) = sheet.part(name) else {
        return Vec::new();
    };
    let ends = [Some(&part.from), Some(&part.to), part.third.as_ref()];
    let mut tubes: Vec<String> = Vec::new();
    for (tube, _) in ends.into_iter().flatten().filter_map(Place::pin) {
        if !tubes.iter().any(|own| own == tube) {
            tubes.push(tube.to_owned());
        }
    }
    tubes
}
