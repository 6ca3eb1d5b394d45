//! The entries of a restoration as a page: those of one day together.
//!
//! Times are those of the place where the entry was made. Nothing here fails.

pub(super) use benchwork::figures::counted;
use benchwork::view::{EntryView, KeptView, RecordedView, StoryView};

use super::lists::{heading, indented, paragraph, title};
use super::{Screen, Stop, judged_page, notices};
use crate::commands::DONE;

/// Shows an entry that has just been made.
pub fn show(made: &RecordedView, screen: &mut Screen) -> Result<u8, Stop> {
    if screen.json {
        screen.answer(made)?;
    } else {
        screen.say(&recorded(made))?;
    }
    Ok(DONE)
}

/// Shows what was written where.
pub fn show_kept(kept: &KeptView, screen: &mut Screen) -> Result<u8, Stop> {
    if screen.json {
        screen.answer(kept)?;
        return Ok(DONE);
    }
    let mut counts = vec![counted(kept.entries, "entry", "entries")];
    counts.extend(kept.sheets.map(|count| counted(count, "sheet", "sheets")));
    counts.extend(
        kept.photographs
            .map(|count| counted(count, "photograph", "photographs")),
    );
    screen.say(&indented(
        &format!("{}: {}", kept.to, counts.join(", ")),
        "",
        "  ",
    ))?;
    Ok(DONE)
}

/// An entry just made, with its verdict.
pub fn recorded(made: &RecordedView) -> String {
    let entry = &made.entry;
    let mut page = indented(&format!("Entry {}: {}", entry.number, entry.text), "", "  ");
    if let Some(judged) = &made.judged {
        page.push_str(&judged_page::lines(judged, entry.number));
    }
    page.push_str(&notices(&made.notices));
    page
}

/// The whole story.
pub fn page(story: &StoryView) -> String {
    let mut page = title(&story.restoration);
    if story.entries.is_empty() {
        page.push_str(&paragraph("Nothing stands in it yet."));
    }
    let mut day = "";
    for entry in &story.entries {
        let its_day = entry.at.get(..10).unwrap_or_default();
        if its_day != day {
            page.push('\n');
            page.push_str(&heading(its_day));
            day = its_day;
        }
        page.push_str(&line(entry));
    }
    page.push('\n');
    let held_back = story.entered - story.entries.len();
    page.push_str(&paragraph(&if held_back == 0 {
        format!("{} entries.", story.entered)
    } else {
        format!(
            "{} entries stand; {held_back} more are undone, undos or corrections (--all shows them).",
            story.entries.len()
        )
    }));
    page
}

fn line(entry: &EntryView) -> String {
    let minute = entry.at.get(11..16).unwrap_or_default();
    let standing = match (entry.standing, entry.by) {
        ("undone", Some(by)) => format!(" [undone by entry {by}]"),
        ("corrected", Some(by)) => format!(" [corrected by entry {by}]"),
        _ => String::new(),
    };
    let first = format!("{:>5}  {minute}  ", entry.number);
    indented(
        &format!("{}{standing}", entry.text),
        &first,
        "              ",
    )
}
