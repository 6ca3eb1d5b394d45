//! How the set is: chassis, safety proof, what to watch, what was replaced, what is original.
//!
//! Values in bench notation, as they were typed. Nothing here fails.

use benchwork::view::{HandingOnView, PartLineView, ReplacedView};
use paper::{Block, Column, Table, Text};

use super::{day, or_not_written, paragraph, part, section};

/// The chassis, fuses and plugs.
pub(super) fn standing(view: &HandingOnView, blocks: &mut Vec<Block>) {
    blocks.push(section("How the set stands to the line"));
    let own = &view.standing;
    blocks.push(Block::Paragraph(Text::strong(own.text.as_str())));
    let lines = |lines: &[String]| or_not_written(&lines.join("\n"));
    blocks.push(Block::Facts(vec![
        ("Fuses on the sheet".to_owned(), lines(&own.fuses)),
        ("Plugs and interlocks".to_owned(), lines(&own.plugs)),
        (
            "Between line and chassis".to_owned(),
            lines(&own.line_capacitors),
        ),
    ]));
}

/// Characters of a name that stand in the first column.
const LONGEST_NAME: usize = 28;

/// What to watch.
pub(super) fn watch(view: &HandingOnView, blocks: &mut Vec<Block>) {
    blocks.push(section("What to watch"));
    if view.watch.is_empty() {
        blocks.push(paragraph(
            "Nothing is written down that should be watched. That does not say that nothing should.",
        ));
        return;
    }
    let rows = view.watch.iter().map(|own| {
        let entry = own
            .entry
            .map_or("the sheet".to_owned(), |entry| format!("entry {entry}"));
        let from = match own.kind {
            "power_up" | "picture_tube" | "weak" | "proof" => String::new(),
            _ => entry,
        };
        let text = crate::sentence(&own.text);
        let (about, text) = match own.about.chars().count() > LONGEST_NAME {
            true => ("several parts", format!("{text}: {}", own.about)),
            false => (own.about.as_str(), text),
        };
        vec![Text::plain(about), Text::plain(text), Text::plain(from)]
    });
    blocks.push(Block::Table(Table {
        about: "What to watch, with where it comes from".to_owned(),
        columns: vec![
            Column::words("about", 1.5),
            Column::words("what and why", 5.0),
            Column::words("from", 1.0),
        ],
        rows: rows.collect(),
    }));
}

/// Parts replaced, and other changes.
pub(super) fn replaced(view: &HandingOnView, blocks: &mut Vec<Block>) {
    blocks.push(section("Parts replaced"));
    if view.replaced.is_empty() {
        blocks.push(paragraph("No part is written down as replaced."));
    } else {
        blocks.push(Block::Table(Table {
            about: "Parts replaced, with what was there and what is there now".to_owned(),
            columns: vec![
                Column::words("part", 0.8),
                Column::words("where", 1.8),
                Column::words("was", 1.8),
                Column::words("is now", 2.0),
                Column::words("entered", 1.1),
                Column::words("remark", 1.6),
            ],
            rows: view.replaced.iter().map(replaced_row).collect(),
        }));
    }
    if !view.changed.is_empty() {
        blocks.push(part("Other changes"));
        let lines = view.changed.iter().map(|entry| {
            Text::plain(entry.text.as_str()).and_quiet(format!(
                " ({}, entry {})",
                day(&entry.at),
                entry.number
            ))
        });
        blocks.push(Block::List(lines.collect()));
    }
}

fn replaced_row(own: &ReplacedView) -> Vec<Text> {
    let was = match (own.old.as_str(), own.by_sheet.as_str()) {
        ("", "") => Text::quiet("not written down"),
        ("", sheet) => Text::plain(sheet).and_quiet(" (by the sheet)"),
        (old, _) => Text::plain(old),
    };
    let now = match (own.new.as_str(), own.rating.as_str()) {
        ("", _) => Text::quiet("not written down"),
        (new, "") => Text::plain(new),
        (new, rating) => Text::plain(format!("{new}, {rating}")),
    };
    let entered = match (&own.at, own.entry) {
        (Some(at), Some(entry)) => Text::plain(day(at)).and_quiet(format!(", entry {entry}")),
        _ => Text::quiet("by the sheet alone"),
    };
    let again = own
        .again
        .map(|entry| format!("replaced again by entry {entry}"));
    let remark: Vec<String> = again
        .into_iter()
        .chain((!own.note.is_empty()).then(|| own.note.clone()))
        .collect();
    vec![
        Text::plain(own.part.as_str()),
        Text::plain(own.place.as_str()),
        was,
        now,
        entered,
        Text::plain(remark.join("; ")),
    ]
}

/// What is original, and what was not touched.
pub(super) fn original(view: &HandingOnView, blocks: &mut Vec<Block>) {
    blocks.push(section("What is original"));
    if view.original.known.is_empty() {
        blocks.push(paragraph(
            "Of no part it is written down that it is the maker's own.",
        ));
    } else {
        blocks.push(paragraph("Known to be as the maker fitted them:"));
        blocks.push(by_kind(&view.original.known));
    }
    if view.original.not_touched.is_empty() {
        return;
    }
    blocks.push(part("Not touched in this restoration"));
    blocks.push(paragraph(
        "Neither replaced nor changed in these entries. Whether they are the maker's own is not written down: somebody may have worked on the set before.",
    ));
    blocks.push(by_kind(&view.original.not_touched));
}

/// Parts by their kinds, each with its value.
fn by_kind(lines: &[PartLineView]) -> Block {
    let mut kinds: Vec<(&str, Vec<String>)> = Vec::new();
    for line in lines {
        let own = match line.value.as_str() {
            "" => line.part.clone(),
            value => format!("{} {value}", line.part),
        };
        match kinds.iter_mut().find(|(kind, _)| *kind == line.kind) {
            Some((_, names)) => names.push(own),
            None => kinds.push((&line.kind, vec![own])),
        }
    }
    let facts = kinds
        .into_iter()
        .map(|(kind, names)| (crate::sentence(kind), Text::plain(names.join("; "))));
    Block::Facts(facts.collect())
}
