//! The story, day by day, with its photographs where they were added; and what was decided.
//!
//! Advice that was kept is told by what was asked: it belongs to its day and may be long. Nothing
//! here fails.

use benchwork::view::{HandingOnView, StoryLineView};
use paper::{Block, Photograph, Text};

use super::{Made, day, paragraph, part, section};

/// Decisions.
pub(super) fn decided(view: &HandingOnView, blocks: &mut Vec<Block>) {
    if view.decided.is_empty() {
        return;
    }
    blocks.push(section("What was decided"));
    let lines = view.decided.iter().map(|entry| {
        Text::plain(entry.text.as_str()).and_quiet(format!(
            " ({}, entry {})",
            day(&entry.at),
            entry.number
        ))
    });
    blocks.push(Block::List(lines.collect()));
}

/// The story.
pub(super) fn story(view: &HandingOnView, made: &Made<'_>, blocks: &mut Vec<Block>) {
    blocks.push(section("The story"));
    if view.story.is_empty() {
        blocks.push(paragraph("Nothing stands in it."));
        return;
    }
    let mut shown = made.photographs.iter();
    let mut today = "";
    let mut lines: Vec<Text> = Vec::new();
    let mut photographs: Vec<Photograph> = Vec::new();
    for line in &view.story {
        let is_photograph = line.photograph.is_some();
        let its_day = day(&line.entry.at);
        if is_photograph || its_day != today {
            give(&mut lines, blocks, Block::List);
        }
        if !is_photograph || its_day != today {
            give(&mut photographs, blocks, Block::Photographs);
        }
        if its_day != today {
            blocks.push(part(its_day));
            today = its_day;
        }
        match photograph(line, made.beside, &mut shown) {
            Some(photograph) => photographs.push(photograph),
            None => lines.push(line_of(line)),
        }
    }
    give(&mut lines, blocks, Block::List);
    give(&mut photographs, blocks, Block::Photographs);
}

fn give<T>(gathered: &mut Vec<T>, blocks: &mut Vec<Block>, block: impl Fn(Vec<T>) -> Block) {
    if !gathered.is_empty() {
        blocks.push(block(std::mem::take(gathered)));
    }
}

fn line_of(line: &StoryLineView) -> Text {
    let entry = &line.entry;
    let minute = entry.at.get(11..16).unwrap_or_default();
    let text = Text::quiet(format!("{minute}, entry {}. ", entry.number));
    let text = match entry.kind {
        "advised" => {
            let said = |key: &str| {
                let value = entry.says.get(key).and_then(|own| own.as_str());
                value.unwrap_or_default().to_owned()
            };
            text.and(format!(
                "asked {}, and kept what the program of version {} said",
                said("asked"),
                said("program")
            ))
        }
        _ => text.and(entry.text.as_str()),
    };
    match entry.standing {
        "corrected" => text.and_quiet(" (corrected since; this is how it stands)"),
        _ => text,
    }
}

fn photograph<'s>(
    line: &StoryLineView,
    beside: bool,
    shown: &mut impl Iterator<Item = &'s super::Shown>,
) -> Option<Photograph> {
    let own = line.photograph.as_ref()?;
    let shows = match own.shows.as_str() {
        "" => "What it shows is not written down",
        shows => shows,
    };
    let (picture, lacks) = match shown.next() {
        Some(Ok(picture)) => (Some(std::sync::Arc::clone(picture)), String::new()),
        Some(Err(because)) => (
            None,
            format!("This photograph ({}) cannot be shown: {because}.", own.name),
        ),
        None => (
            None,
            format!("This photograph ({}) was not looked at.", own.name),
        ),
    };
    let taken = match own.taken.as_str() {
        "" => format!("entered {}", day(&line.entry.at)),
        taken => format!("taken {}", taken.replace('T', " ")),
    };
    let mut caption = Text::strong(format!("{}. ", crate::sentence(shows)));
    if !own.note.is_empty() {
        caption = caption.and(format!("{}. ", own.note));
    }
    Some(Photograph {
        picture,
        lacks,
        about: format!("Photograph: {shows}"),
        caption: caption.and_quiet(format!("Entry {}, {taken}", line.entry.number)),
        whole: match beside {
            true => own.whole.clone(),
            false => String::new(),
        },
    })
}
