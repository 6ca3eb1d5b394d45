//! What stands on the pages, before anybody knows how they are laid out.
//!
//! A [`Document`] is a row of [`Block`]s; the PDF and the page of HTML are made from the same one.
//! Text is plain Unicode, pictures are SVG text or the bytes of a JPEG. Nothing here fails and
//! nothing is judged: an empty list is laid out as nothing.

use std::sync::Arc;

/// A document for people.
#[derive(Debug, Clone)]
pub struct Document {
    /// Its title, also in the file's own description.
    pub title: String,
    /// What it is about, in a sentence.
    pub about: String,
    /// Who stands behind it; empty where nobody is named.
    pub author: String,
    /// The program that made it, with its version.
    pub made_by: String,
    /// The language, such as `en`.
    pub language: String,
    /// When it was made; a file that is kept must say so.
    pub made_at: Moment,
    /// What stands at the foot of each page, beside its number.
    pub foot: String,
    /// The sheets it is printed on.
    pub sheet: Sheet,
    /// What stands in it.
    pub blocks: Vec<Block>,
}

impl Document {
    /// A document with nothing in it yet.
    pub fn new(title: impl Into<String>, language: impl Into<String>, made_at: Moment) -> Document {
        Document {
            title: title.into(),
            about: String::new(),
            author: String::new(),
            made_by: String::new(),
            language: language.into(),
            made_at,
            foot: String::new(),
            sheet: Sheet::default(),
            blocks: Vec::new(),
        }
    }
}

/// A moment with the offset of its place.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Moment {
    /// Year.
    pub year: u16,
    /// Month, from 1.
    pub month: u8,
    /// Day, from 1.
    pub day: u8,
    /// Hour, from 0.
    pub hour: u8,
    /// Minute.
    pub minute: u8,
    /// Second.
    pub second: u8,
    /// Minutes that the place is ahead of Greenwich.
    pub offset_minutes: i16,
}

/// A sheet of paper.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Sheet {
    /// 210 by 297 mm (ISO 216).
    #[default]
    A4,
    /// 8.5 by 11 inches, 215.9 by 279.4 mm.
    Letter,
}

impl Sheet {
    /// Width and height, millimetres.
    pub fn millimetres(self) -> (f32, f32) {
        match self {
            Sheet::A4 => (210.0, 297.0),
            Sheet::Letter => (215.9, 279.4),
        }
    }

    /// Width and height, points of 1/72 inch.
    pub fn points(self) -> (f32, f32) {
        let (width, height) = self.millimetres();
        (points(width), points(height))
    }
}

/// Points of 1/72 inch in so many millimetres.
pub fn points(millimetres: f32) -> f32 {
    millimetres * 72.0 / 25.4
}

/// One thing on the pages.
#[derive(Debug, Clone)]
pub enum Block {
    /// The title with the lines below it.
    Title {
        /// The title.
        text: String,
        /// Lines below it.
        below: Vec<Text>,
    },
    /// A heading of this level: 2 for a section, 3 below it.
    Heading {
        /// 2 or 3.
        level: u8,
        /// The words.
        text: String,
    },
    /// A paragraph.
    Paragraph(Text),
    /// What can hurt: a frame with a heading, a few words, and points.
    Caution {
        /// Its heading.
        heading: String,
        /// Words before the points; may be empty.
        words: Text,
        /// The points.
        points: Vec<Text>,
    },
    /// Points one below the other.
    List(Vec<Text>),
    /// Names with what holds for them.
    Facts(Vec<(String, Text)>),
    /// A table.
    Table(Table),
    /// A drawing.
    Drawing(Drawing),
    /// Photographs that belong together, two beside each other where there is room.
    Photographs(Vec<Photograph>),
    /// The next block begins a new page of the PDF.
    NewPage,
}

/// Words, in pieces of one look each.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Text(pub Vec<Piece>);

/// Words of one look.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Piece {
    /// The words.
    pub text: String,
    /// How they look.
    pub look: Look,
}

/// How words look.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Default)]
pub enum Look {
    /// As usual.
    #[default]
    Plain,
    /// Heavier.
    Strong,
    /// Less dark; never for what matters.
    Quiet,
}

impl Text {
    /// Words as usual.
    pub fn plain(text: impl Into<String>) -> Text {
        Text::default().and(text)
    }

    /// Heavier words.
    pub fn strong(text: impl Into<String>) -> Text {
        Text::default().and_strong(text)
    }

    /// Less dark words.
    pub fn quiet(text: impl Into<String>) -> Text {
        Text::default().and_quiet(text)
    }

    /// These words, then others as usual.
    #[must_use]
    pub fn and(self, text: impl Into<String>) -> Text {
        self.with(text.into(), Look::Plain)
    }

    /// These words, then heavier ones.
    #[must_use]
    pub fn and_strong(self, text: impl Into<String>) -> Text {
        self.with(text.into(), Look::Strong)
    }

    /// These words, then less dark ones.
    #[must_use]
    pub fn and_quiet(self, text: impl Into<String>) -> Text {
        self.with(text.into(), Look::Quiet)
    }

    /// Whether there are no words.
    pub fn is_empty(&self) -> bool {
        self.0.iter().all(|piece| piece.text.is_empty())
    }

    /// All words without their looks.
    pub fn words(&self) -> String {
        self.0.iter().map(|piece| piece.text.as_str()).collect()
    }

    fn with(mut self, text: String, look: Look) -> Text {
        if !text.is_empty() {
            self.0.push(Piece { text, look });
        }
        self
    }
}

impl From<&str> for Text {
    fn from(text: &str) -> Text {
        Text::plain(text)
    }
}

impl From<String> for Text {
    fn from(text: String) -> Text {
        Text::plain(text)
    }
}

/// A table; the first cell of a row is its head.
#[derive(Debug, Clone, Default)]
pub struct Table {
    /// What it shows, for whoever cannot see it.
    pub about: String,
    /// Its columns.
    pub columns: Vec<Column>,
    /// Its rows; a row that is too short is filled with empty cells.
    pub rows: Vec<Vec<Text>>,
}

/// One column.
#[derive(Debug, Clone)]
pub struct Column {
    /// Its head.
    pub head: String,
    /// Its share of the width, against the other columns.
    pub share: f32,
    /// Whether its cells are figures, which end at the right.
    pub figures: bool,
}

impl Column {
    /// A column of words.
    pub fn words(head: impl Into<String>, share: f32) -> Column {
        Column {
            head: head.into(),
            share,
            figures: false,
        }
    }

    /// A column of figures.
    pub fn figures(head: impl Into<String>, share: f32) -> Column {
        Column {
            figures: true,
            ..Column::words(head, share)
        }
    }
}

/// A drawing.
#[derive(Debug, Clone)]
pub struct Drawing {
    /// SVG with a view box or a size.
    pub svg: String,
    /// What it shows, for whoever cannot see it.
    pub about: String,
    /// Words below it.
    pub caption: String,
}

/// A photograph.
#[derive(Debug, Clone)]
pub struct Photograph {
    /// The picture; `None` where it cannot be shown, and then the caption's place says why.
    pub picture: Option<Arc<Jpeg>>,
    /// Why it cannot be shown; empty where it can.
    pub lacks: String,
    /// What it shows, for whoever cannot see it.
    pub about: String,
    /// Words below it.
    pub caption: Text,
    /// Where the whole photograph lies beside the page of HTML; empty where it does not.
    pub whole: String,
}

/// A picture as it stands on a page.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Jpeg {
    /// The bytes of a JPEG, upright, without anything the camera wrote into it.
    pub bytes: Vec<u8>,
    /// Width, pixels.
    pub width: u32,
    /// Height, pixels.
    pub height: u32,
}
