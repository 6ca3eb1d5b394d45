//! Strips: what goes down a page from top to bottom, each so high and never cut.
//!
//! Points of 1/72 inch from the strip's own upper left corner. A strip may ask to stay with the
//! next one. What bears meaning in a strip names its place in the [`Tree`] of the document, by
//! which a reader's program speaks it; lines and grounds bear none. Nothing here fails.

use std::rc::Rc;
use std::sync::Arc;

use crate::document::Jpeg;
use crate::letters::Line;

/// A strip of a page.
#[derive(Clone, Default)]
pub(crate) struct Strip {
    /// Room above it; left out at the top of a page.
    pub gap: f32,
    /// Its height.
    pub height: f32,
    /// Whether it must stand on the same page as the next one.
    pub stays_with_next: bool,
    /// Whether it begins a page.
    pub begins_page: bool,
    /// What stands in it.
    pub parts: Vec<Part>,
    /// Its place in the list of contents: level and words.
    pub mark: Option<(u8, String)>,
    /// What is shown again above it where it begins a page: the head of its table.
    pub head: Option<Rc<Vec<Strip>>>,
}

/// One thing in a strip.
#[derive(Clone)]
pub(crate) struct Part {
    /// From the left.
    pub x: f32,
    /// From the top; of a line of words its base line.
    pub y: f32,
    /// What it is.
    pub what: What,
    /// Its place in the tree; `None` for what only pleases the eye.
    pub node: Option<usize>,
}

/// What can stand in a strip.
#[derive(Clone)]
pub(crate) enum What {
    /// Words.
    Words(Line, Ink),
    /// A filled field.
    Field(f32, f32, Ink),
    /// A photograph, with its width and height.
    Photograph(Arc<Jpeg>, f32, f32),
    /// A drawing, with its width and height.
    Drawing(Rc<usvg::Tree>, f32, f32),
}

/// The few colours.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Ink {
    /// Words.
    Dark,
    /// Words that matter less.
    Quiet,
    /// The accent.
    Accent,
    /// Lines of tables.
    Hair,
    /// The ground of what is set apart.
    Ground,
}

impl Ink {
    /// Red, green and blue. Quiet on paper and dark on the ground keep 4.5 to 1 (WCAG 2.1, 1.4.3).
    pub fn rgb(self) -> (u8, u8, u8) {
        match self {
            Ink::Dark => (26, 26, 26),
            Ink::Quiet => (84, 84, 84),
            Ink::Accent => (138, 44, 26),
            Ink::Hair => (176, 172, 164),
            Ink::Ground => (245, 242, 234),
        }
    }
}

/// The document as a reader's program speaks it.
#[derive(Default)]
pub(crate) struct Tree {
    /// Each node with the one above it; `None` at the top.
    pub nodes: Vec<(Meaning, Option<usize>)>,
}

/// What a node of the tree is.
#[derive(Debug, Clone)]
pub(crate) enum Meaning {
    /// A heading of this level.
    Heading(u8, String),
    /// A paragraph.
    Paragraph,
    /// A list.
    List,
    /// One point of it.
    Item,
    /// Its words.
    ItemBody,
    /// Its mark.
    ItemMark,
    /// A table, with what it shows.
    Table(String),
    /// The rows of its head.
    TableHead,
    /// Its other rows.
    TableBody,
    /// A row.
    Row,
    /// A cell that heads its column.
    ColumnHead,
    /// A cell that heads its row.
    RowHead,
    /// Any other cell.
    Cell,
    /// A picture, with what it shows.
    Figure(String),
}

impl Tree {
    /// Adds a node below another one.
    pub fn add(&mut self, meaning: Meaning, above: Option<usize>) -> usize {
        self.nodes.push((meaning, above));
        self.nodes.len() - 1
    }
}
