//! Tells a restoration's story so far: its entries in their order, what was undone and corrected.
//!
//! Fails when the file cannot be opened or read. Nothing is written.

use std::path::Path;

use logbook::{Entry, Logbook, Standing};

use crate::restoration::trouble;
use crate::trouble::Trouble;
use crate::view::{EntryView, StoryView};
use crate::{FORMAT, PROGRAM_VERSION};

/// The entries; without `all` only those that hold now, told as they hold.
pub fn tell_story(file: &Path, all: bool) -> Result<StoryView, Trouble> {
    told(file, all).map(|(story, _)| story)
}

/// The story as it holds now with its first entry, undone or not, by which one restoration is told from another; the
/// file is read once.
pub fn tell_story_and_first(file: &Path) -> Result<(StoryView, Option<EntryView>), Trouble> {
    let (story, entries) = told(file, false)?;
    Ok((story, entries.first().map(EntryView::from)))
}

/// One entry as it was made, with how it stands now; `None` where there is none of this number.
pub fn tell_entry(file: &Path, number: u64) -> Result<Option<EntryView>, Trouble> {
    let in_file = |error| trouble(file, error);
    let book = Logbook::look(file).map_err(in_file)?;
    let entries = book.entries().map_err(in_file)?;
    Ok(logbook::at(&entries, number).map(EntryView::from))
}

fn told(file: &Path, all: bool) -> Result<(StoryView, Vec<Entry>), Trouble> {
    let in_file = |error| trouble(file, error);
    let book = Logbook::look(file).map_err(in_file)?;
    let entries = book.entries().map_err(in_file)?;
    let shown = if all {
        entries.iter().map(EntryView::from).collect()
    } else {
        let standing = logbook::standing_facts(&entries);
        standing
            .iter()
            .map(|one| {
                let entry = logbook::at(&entries, one.number);
                EntryView::holding(one, entry.map_or(Standing::Stands, |entry| entry.standing))
            })
            .collect()
    };
    let story = StoryView {
        format: FORMAT,
        program: PROGRAM_VERSION,
        data: parts::DATA_EDITION,
        file: file.display().to_string(),
        restoration: book.name().map_err(in_file)?,
        all,
        entered: entries.len(),
        entries: shown,
    };
    Ok((story, entries))
}
