//! The report of a restoration as a document: what stands on its pages, in which order.
//!
//! First what can hurt, then how the set is, then how it came to be so. Whatever is not written down
//! is said to be so. A photograph that cannot be shown leaves its words in its place; [`Pictured`] makes
//! them small and draws what has a shape, once for the PDF and the page of HTML. Fails only where the
//! restoration's file cannot be read for its photographs.

mod measured;
mod pictured;
mod safety;
mod set;
mod size;
mod story;
mod tags;

use std::sync::Arc;

use benchwork::figures::{counted, sentence};
use benchwork::view::HandingOnView;
use paper::{Block, Document, Jpeg, Moment, Text};

pub use pictured::Pictured;
pub use size::size;
pub use tags::labels;

/// A photograph of the story, made small, or why it cannot be shown.
pub type Shown = Result<Arc<Jpeg>, String>;

/// What the report is made of besides the view.
pub struct Made<'a> {
    /// The story's photographs in its order.
    pub photographs: &'a [Shown],
    /// Drawings in SVG; `None` where there is nothing to draw.
    pub emission: Option<String>,
    /// The voltages as left.
    pub as_left: Option<String>,
    /// The power-up.
    pub power_up: Option<String>,
    /// Leakage at the end.
    pub leakage: Option<String>,
    /// The soak at the end.
    pub soak: Option<String>,
    /// Whether the whole photographs lie beside the page.
    pub beside: bool,
    /// The paper of the PDF.
    pub sheet: paper::Sheet,
}

/// The report.
pub fn document(view: &HandingOnView, made: &Made<'_>) -> Document {
    let name = view.cover.set.as_deref().unwrap_or(&view.restoration);
    let mut blocks = Vec::new();
    cover(view, name, &mut blocks);
    set::standing(view, &mut blocks);
    safety::safety(view, made, &mut blocks);
    set::watch(view, &mut blocks);
    set::replaced(view, &mut blocks);
    set::original(view, &mut blocks);
    measured::as_left(view, made.as_left.as_deref(), &mut blocks);
    measured::before_and_after(view, &mut blocks);
    measured::picture_tube(view, made.emission.as_deref(), &mut blocks);
    measured::power_up(view, made.power_up.as_deref(), &mut blocks);
    story::decided(view, &mut blocks);
    story::story(view, made, &mut blocks);
    end(view, made, &mut blocks);
    Document {
        about: format!(
            "What was found, measured and replaced in the television set {name}, and what to be careful of"
        ),
        author: view.cover.restored_by.clone().unwrap_or_default(),
        made_by: format!("firstraster {}", view.program),
        foot: format!("{name}, {}. Keep this with the set.", day(&view.at)),
        sheet: made.sheet,
        blocks,
        ..Document::new(
            format!("{name}: what is handed on with it"),
            "en",
            moment(&view.at),
        )
    }
}

/// A heading of a section.
fn section(text: &str) -> Block {
    Block::Heading {
        level: 2,
        text: text.to_owned(),
    }
}

/// A heading below a section.
fn part(text: &str) -> Block {
    Block::Heading {
        level: 3,
        text: text.to_owned(),
    }
}

/// A paragraph.
fn paragraph(text: impl Into<Text>) -> Block {
    Block::Paragraph(text.into())
}

/// The day of a time.
fn day(at: &str) -> &str {
    at.get(..10).unwrap_or(at)
}

/// The words, or that nothing is written down.
fn or_not_written(text: &str) -> Text {
    match text.trim() {
        "" => Text::quiet("not written down"),
        text => Text::plain(text),
    }
}

fn cover(view: &HandingOnView, name: &str, blocks: &mut Vec<Block>) {
    let cover = &view.cover;
    let made = match cover.made {
        Some(year) => format!("A television set of {year}"),
        None => "A television set; the year is not written down".to_owned(),
    };
    let line = match (cover.line_volts, cover.line_hertz) {
        (Some(volts), Some(hertz)) => format!("{made}, for a line of {volts} V, {hertz} Hz"),
        _ => made,
    };
    blocks.push(Block::Title {
        text: name.to_owned(),
        below: vec![Text::plain(line)],
    });
    let said = |text: &Option<String>| or_not_written(text.as_deref().unwrap_or_default());
    let from_to = match (&cover.first_day, &cover.last_day) {
        (Some(first), Some(last)) if first == last => first.clone(),
        (Some(first), Some(last)) => format!("{first} to {last}"),
        _ => String::new(),
    };
    blocks.push(Block::Facts(vec![
        ("Restored by".to_owned(), said(&cover.restored_by)),
        ("Entries made".to_owned(), or_not_written(&from_to)),
        (
            "On the sheet".to_owned(),
            Text::plain(format!(
                "{} tubes, {} other parts",
                cover.tubes, cover.parts
            )),
        ),
        (
            "In this report".to_owned(),
            Text::plain(format!(
                "{} of {}, {}",
                view.story.len(),
                counted(cover.entries, "entry", "entries"),
                counted(cover.photographs, "photograph", "photographs")
            )),
        ),
        (
            "Made on".to_owned(),
            Text::plain(format!(
                "{}, by firstraster {} with its figures of edition {}",
                day(&view.at),
                view.program,
                view.data
            )),
        ),
    ]));
    let stored = view.stored_charge.join(" ");
    let points = view.cautions.iter().map(|own| {
        let name = sentence(&own.hazard);
        let text = Text::strong(format!("{name}. ")).and(own.caution.as_str());
        match own.safe_way.as_str() {
            "" => text,
            way => text.and(format!(" Instead: {way}.")),
        }
    });
    blocks.push(Block::Caution {
        heading: "Before you open the back: this set can kill".to_owned(),
        words: Text::plain("Also with the plug out. ")
            .and_strong(stored)
            .and(" Who has not learned this leaves the back on and asks somebody who has."),
        points: points.collect(),
    });
}

fn end(view: &HandingOnView, made: &Made<'_>, blocks: &mut Vec<Block>) {
    blocks.push(section("What is not written down"));
    if view.not_written_down.is_empty() {
        blocks.push(paragraph(
            "Of what this report asks for nothing is missing.",
        ));
    } else {
        let lacks = view.not_written_down.iter();
        blocks.push(Block::List(lacks.map(|own| own.as_str().into()).collect()));
    }
    blocks.push(section("About this report"));
    let left_out = match view.left_out {
        0 => String::new(),
        1 => "; one entry that was undone, undoes or corrects another, or marks a place on a photograph, is left out".to_owned(),
        count => format!(
            "; {count} entries that were undone, undo or correct others, or mark a place on a photograph, are left out"
        ),
    };
    blocks.push(paragraph(format!(
        "It was made from the restoration \"{}\" and tells its entries as they stand{left_out}. Where it says what a healthy set shows, nine of ten healthy sets with the parts of this sheet lie in the band from low to high, by calculation. That is no promise. Figures of the trade come from the edition named on the first page and are not authoritative. Local codes and licensed practice come before anything said here.",
        view.restoration
    )));
    if made.beside {
        blocks.push(paragraph(
            "Beside this page lie the photographs as the camera wrote them, the sheet of the set, and lists for a spreadsheet; README.txt says what is what.",
        ));
    }
    if !view.notices.is_empty() {
        blocks.push(part("Noticed while it was made"));
        let notices = view
            .notices
            .iter()
            .map(|own| Text::plain(own.text.as_str()));
        blocks.push(Block::List(notices.collect()));
    }
}

/// The moment of a stamp; figures that are none become the smallest there are.
pub fn moment(at: &str) -> Moment {
    let number = |from: usize, to: usize| -> u16 {
        let digits = at.get(from..to).unwrap_or_default();
        digits.parse().unwrap_or_default()
    };
    let small = |from: usize| u8::try_from(number(from, from + 2)).unwrap_or_default();
    let offset = i16::try_from(60 * number(20, 22) + number(23, 25)).unwrap_or_default();
    Moment {
        year: number(0, 4),
        month: small(5),
        day: small(8),
        hour: small(11),
        minute: small(14),
        second: small(17),
        offset_minutes: match at.get(19..20) {
            Some("-") => -offset,
            _ => offset,
        },
    }
}
