//! The story in its order, as its entries stand, with the photographs that they added.
//!
//! Words. An undone entry is left out, and so is a mark on a photograph of the chassis; a corrected one
//! is told as it stands now. Fails only where
//! the file cannot be read; a photograph that is lost or damaged is told in its own place.

use std::path::Path;

use logbook::{Entry, Fact, Logbook, Standing, StandingFact};

use crate::trouble::Trouble;
use crate::view::{EntryView, HandingOnView, ShownPhotographView, StoryLineView};

/// The lines of the story.
pub(super) fn lines(
    book: &Logbook,
    entries: &[Entry],
    facts: &[StandingFact<'_>],
) -> Vec<StoryLineView> {
    // A mark on a photograph is a help at the bench and nothing that was done to the set.
    let told = facts
        .iter()
        .filter(|one| !matches!(one.fact, Fact::Placed(_)));
    told.map(|one| {
        let entry = logbook::at(entries, one.number);
        let standing = entry.map_or(Standing::Stands, |entry| entry.standing);
        StoryLineView {
            entry: EntryView::holding(one, standing),
            photograph: photograph(book, entries, one),
        }
    })
    .collect()
}

fn photograph(
    book: &Logbook,
    entries: &[Entry],
    one: &StandingFact<'_>,
) -> Option<ShownPhotographView> {
    let Fact::Photographed(own) = one.fact else {
        return None;
    };
    // The folder names a photograph by the first entry that brought it.
    let first = entries
        .iter()
        .find(|entry| entry.fact.photograph() == Some(own.photograph.as_str()));
    let number = first.map_or(one.number, |entry| entry.number);
    Some(ShownPhotographView {
        sha256: own.photograph.clone(),
        name: own.name.clone(),
        shows: own.shows.trim().to_owned(),
        taken: own.taken.clone(),
        note: own.note.trim().to_owned(),
        whole: match book.ending(&own.photograph) {
            Ok(Some(ending)) => format!("photographs/{number:04}.{ending}"),
            _ => String::new(),
        },
    })
}

/// The upright pictures of the story's photographs, in its order, or why there is none.
pub fn upright_photographs(
    file: &Path,
    view: &HandingOnView,
) -> Result<Vec<Result<Vec<u8>, String>>, Trouble> {
    let book = super::open_book(file)?;
    let shown = view
        .story
        .iter()
        .filter_map(|line| line.photograph.as_ref());
    Ok(shown
        .map(|own| book.upright(&own.sha256).map_err(|error| error.to_string()))
        .collect())
}
