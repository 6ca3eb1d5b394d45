//! Blocks into strips: how wide, how high, with which letters.
//!
//! Points of 1/72 inch; 20 mm stay free at the left, 18 at the right. Fails for a drawing that
//! cannot be read.

use std::rc::Rc;
use std::sync::Arc;

use crate::document::{Block, Drawing, Look, Photograph, Sheet, Text};
use crate::error::PaperError;
use crate::letters::{Letters, Line};
use crate::strips::{Ink, Meaning, Part, Strip, Tree, What};

/// Size of the letters of a paragraph.
const BODY: f32 = 9.6;
/// Lines of a paragraph are so many times as high as its letters.
const LEADING: f32 = 1.36;
/// Size of the letters below pictures.
const SMALL: f32 = 8.2;
/// A drawing is at most so wide and so high.
const WIDEST_DRAWING: f32 = 440.0;
const HIGHEST_DRAWING: f32 = 600.0;
/// Drawings for a phone are made for some 400 pixels; on paper they are so wide at most.
const NARROW_DRAWING: f32 = 320.0;
/// Between two photographs.
const BETWEEN: f32 = 14.0;
/// A photograph is at most so high.
const HIGHEST_PHOTOGRAPH: f32 = 190.0;

/// Free margins of a sheet, points: left, right, top, bottom.
pub(crate) const MARGINS: (f32, f32, f32, f32) = (56.7, 51.0, 51.0, 62.0);

/// Lays blocks one below the other.
pub(crate) struct Layer<'a> {
    /// The letters.
    pub letters: &'a Letters,
    /// The room from margin to margin.
    pub width: f32,
    /// What was laid so far.
    pub strips: Vec<Strip>,
    /// What it means.
    pub tree: Tree,
    begins_page: bool,
    fonts: Arc<usvg::fontdb::Database>,
}

/// How words are set.
#[derive(Clone, Copy)]
pub(crate) struct Set {
    /// Size of the letters.
    pub size: f32,
    /// From the left margin.
    pub x: f32,
    /// How wide the lines may be.
    pub width: f32,
    /// Their colour.
    pub ink: Ink,
    /// Room above the first line.
    pub gap: f32,
    /// Whether the whole stays with what follows.
    pub stays: bool,
}

impl<'a> Layer<'a> {
    /// A layer for sheets of this kind.
    pub fn new(letters: &'a Letters, sheet: Sheet) -> Layer<'a> {
        let mut fonts = usvg::fontdb::Database::new();
        fonts.load_font_data(crate::letters::PLAIN.to_vec());
        fonts.load_font_data(crate::letters::STRONG.to_vec());
        // Drawings ask for any letters without serifs; they get those of the document.
        for set in [
            usvg::fontdb::Database::set_sans_serif_family,
            usvg::fontdb::Database::set_serif_family,
            usvg::fontdb::Database::set_monospace_family,
        ] {
            set(&mut fonts, "Source Sans 3");
        }
        Layer {
            letters,
            width: sheet.points().0 - MARGINS.0 - MARGINS.1,
            strips: Vec::new(),
            tree: Tree::default(),
            begins_page: false,
            fonts: Arc::new(fonts),
        }
    }

    /// Lays one block.
    pub fn lay(&mut self, block: &Block) -> Result<(), PaperError> {
        match block {
            Block::Title { text, below } => self.title(text, below),
            Block::Heading { level, text } => self.heading(*level, text),
            Block::Paragraph(text) => {
                let node = self.tree.add(Meaning::Paragraph, None);
                self.words(text, self.body(7.0), Some(node));
            }
            Block::Caution {
                heading,
                words,
                points,
            } => self.caution(heading, words, points),
            Block::List(points) => {
                self.list(points, 0.0, 6.0);
            }
            Block::Facts(facts) => self.facts(facts),
            Block::Table(table) => self.table(table),
            Block::Drawing(drawing) => self.drawing(drawing)?,
            Block::Photographs(photographs) => self.photographs(photographs),
            Block::NewPage => self.begins_page = true,
        }
        Ok(())
    }

    /// Adds a strip.
    pub fn push(&mut self, mut strip: Strip) {
        strip.begins_page |= std::mem::take(&mut self.begins_page);
        self.strips.push(strip);
    }

    /// How a paragraph is set.
    pub fn body(&self, gap: f32) -> Set {
        Set {
            size: BODY,
            x: 0.0,
            width: self.width,
            ink: Ink::Dark,
            gap,
            stays: false,
        }
    }

    /// Words as strips, a line each.
    pub fn words(&mut self, text: &Text, set: Set, node: Option<usize>) {
        let lines = self.letters.lines(text, set.size, set.width);
        let last = lines.len().saturating_sub(1);
        for (number, line) in lines.into_iter().enumerate() {
            let height = set.size * LEADING;
            self.push(Strip {
                gap: if number == 0 { set.gap } else { 0.0 },
                height,
                // No line alone at the foot or the head of a page.
                stays_with_next: set.stays
                    || (last > 0 && number == 0)
                    || (last > 1 && number == last - 1),
                parts: vec![Part {
                    x: set.x,
                    y: base_line(set.size),
                    what: What::Words(line, set.ink),
                    node,
                }],
                ..Strip::default()
            });
        }
    }

    fn title(&mut self, text: &str, below: &[Text]) {
        let node = self.tree.add(Meaning::Heading(1, text.to_owned()), None);
        let first = self.strips.len();
        let set = Set {
            size: 27.0,
            gap: 26.0,
            stays: true,
            ..self.body(0.0)
        };
        self.words(&Text::strong(text), set, Some(node));
        if let Some(strip) = self.strips.get_mut(first) {
            strip.mark = Some((1, text.to_owned()));
        }
        self.rule(6.0, 2.0, Ink::Accent);
        for line in below {
            let node = self.tree.add(Meaning::Paragraph, None);
            let set = Set {
                size: 11.0,
                stays: true,
                ..self.body(5.0)
            };
            self.words(line, set, Some(node));
        }
    }

    fn heading(&mut self, level: u8, text: &str) {
        let node = self
            .tree
            .add(Meaning::Heading(level, text.to_owned()), None);
        let first = self.strips.len();
        let (size, gap) = if level <= 2 {
            (15.5, 24.0)
        } else {
            (11.0, 14.0)
        };
        let set = Set {
            size,
            stays: true,
            ..self.body(gap)
        };
        self.words(&Text::strong(text), set, Some(node));
        if let Some(strip) = self.strips.get_mut(first) {
            strip.mark = Some((level, text.to_owned()));
        }
        if level <= 2 {
            self.rule(2.5, 0.8, Ink::Accent);
        }
    }

    fn rule(&mut self, gap: f32, height: f32, ink: Ink) {
        let width = self.width;
        self.push(Strip {
            gap,
            height,
            stays_with_next: true,
            parts: vec![Part {
                x: 0.0,
                y: 0.0,
                what: What::Field(width, height, ink),
                node: None,
            }],
            ..Strip::default()
        });
    }

    /// A ground with a thick line at its left, behind everything that is laid in `inside`.
    fn caution(&mut self, heading: &str, words: &Text, points: &[Text]) {
        let first = self.strips.len();
        let inside = 14.0;
        let width = self.width - 2.0 * inside;
        let node = self.tree.add(Meaning::Paragraph, None);
        let set = Set {
            size: 11.5,
            x: inside,
            width,
            ink: Ink::Accent,
            gap: 9.0,
            stays: true,
        };
        self.words(&Text::strong(heading), set, Some(node));
        let set = Set {
            x: inside,
            width,
            ..self.body(3.0)
        };
        if !words.is_empty() {
            let node = self.tree.add(Meaning::Paragraph, None);
            self.words(words, Set { stays: true, ..set }, Some(node));
        }
        self.list(points, inside, 3.0);
        let end = self.strips.len().saturating_sub(1);
        for (number, strip) in self.strips.iter_mut().enumerate().skip(first) {
            // Gaps become part of the strip, so that the ground has no holes.
            let above = std::mem::take(&mut strip.gap);
            for part in &mut strip.parts {
                part.y += above;
            }
            strip.height += above + if number == end { 9.0 } else { 0.0 };
            if number == first {
                strip.gap = 10.0;
            }
            let field = |x: f32, width: f32, ink: Ink| Part {
                x,
                y: 0.0,
                what: What::Field(width, strip.height, ink),
                node: None,
            };
            let grounds = [
                field(0.0, self.width, Ink::Ground),
                field(0.0, 4.0, Ink::Accent),
            ];
            strip.parts.splice(0..0, grounds);
        }
    }

    fn list(&mut self, points: &[Text], x: f32, gap: f32) {
        if points.is_empty() {
            return;
        }
        let list = self.tree.add(Meaning::List, None);
        let indent = 12.0;
        for (number, point) in points.iter().enumerate() {
            let item = self.tree.add(Meaning::Item, Some(list));
            let mark = self.tree.add(Meaning::ItemMark, Some(item));
            let body = self.tree.add(Meaning::ItemBody, Some(item));
            let first = self.strips.len();
            let set = Set {
                x: x + indent,
                width: self.width - 2.0 * x - indent,
                ..self.body(if number == 0 { gap } else { 3.0 })
            };
            self.words(point, set, Some(body));
            let dot = self.letters.line(&Text::plain("•"), BODY, indent);
            if let Some(strip) = self.strips.get_mut(first) {
                strip.parts.insert(
                    0,
                    Part {
                        x: x + 2.0,
                        y: base_line(BODY),
                        what: What::Words(dot, Ink::Accent),
                        node: Some(mark),
                    },
                );
            }
        }
    }

    /// Names at the left, what holds for them beside.
    fn facts(&mut self, facts: &[(String, Text)]) {
        let list = self.tree.add(Meaning::List, None);
        let names = 128.0_f32.min(self.width / 3.0);
        for (number, (name, text)) in facts.iter().enumerate() {
            let item = self.tree.add(Meaning::Item, Some(list));
            let mark = self.tree.add(Meaning::ItemMark, Some(item));
            let body = self.tree.add(Meaning::ItemBody, Some(item));
            let left = self
                .letters
                .lines(&Text::quiet(name.as_str()), BODY, names - 10.0);
            let right = self.letters.lines(text, BODY, self.width - names);
            let rows = left.len().max(right.len());
            let height = BODY * LEADING;
            for row in 0..rows {
                let mut parts = Vec::new();
                for (lines, x, ink, node) in [
                    (&left, 0.0, Ink::Quiet, mark),
                    (&right, names, Ink::Dark, body),
                ] {
                    if let Some(line) = lines.get(row) {
                        parts.push(words_at(line.clone(), (x, base_line(BODY)), ink, node));
                    }
                }
                let gap = match (row, number) {
                    (0, 0) => 8.0,
                    (0, _) => 3.0,
                    _ => 0.0,
                };
                self.push(Strip {
                    gap,
                    height,
                    stays_with_next: row == 0 && rows > 1,
                    parts,
                    ..Strip::default()
                });
            }
        }
    }

    fn drawing(&mut self, drawing: &Drawing) -> Result<(), PaperError> {
        let options = usvg::Options {
            fontdb: Arc::clone(&self.fonts),
            font_family: "Source Sans 3".to_owned(),
            ..usvg::Options::default()
        };
        let tree =
            usvg::Tree::from_str(&drawing.svg, &options).map_err(|error| PaperError::Drawing {
                about: drawing.about.clone(),
                because: error.to_string(),
            })?;
        let size = tree.size();
        let widest = if size.width() <= 500.0 {
            NARROW_DRAWING
        } else {
            WIDEST_DRAWING.min(self.width)
        };
        let scale = (widest / size.width()).min(HIGHEST_DRAWING / size.height());
        let (width, height) = (size.width() * scale, size.height() * scale);
        let node = self.tree.add(Meaning::Figure(drawing.about.clone()), None);
        self.push(Strip {
            gap: 10.0,
            height,
            stays_with_next: !drawing.caption.is_empty(),
            parts: vec![Part {
                x: 0.0,
                y: 0.0,
                what: What::Drawing(Rc::new(tree), width, height),
                node: Some(node),
            }],
            ..Strip::default()
        });
        if !drawing.caption.is_empty() {
            let node = self.tree.add(Meaning::Paragraph, None);
            let set = Set {
                size: SMALL,
                ink: Ink::Quiet,
                ..self.body(4.0)
            };
            self.words(&Text::plain(drawing.caption.as_str()), set, Some(node));
        }
        Ok(())
    }

    /// Photographs two by two, their captions below.
    fn photographs(&mut self, photographs: &[Photograph]) {
        let room = (self.width - BETWEEN) / 2.0;
        for pair in photographs.chunks(2) {
            let mut parts = Vec::new();
            let mut height: f32 = 0.0;
            for (number, own) in pair.iter().enumerate() {
                let x = number as f32 * (room + BETWEEN);
                let mut y = match &own.picture {
                    Some(picture) => {
                        let (width, tall) = (picture.width as f32, picture.height as f32);
                        let scale = (room / width).min(HIGHEST_PHOTOGRAPH / tall);
                        let (width, tall) = (width * scale, tall * scale);
                        let node = self.tree.add(Meaning::Figure(own.about.clone()), None);
                        parts.push(Part {
                            x,
                            y: 0.0,
                            what: What::Photograph(Arc::clone(picture), width, tall),
                            node: Some(node),
                        });
                        tall
                    }
                    None => self.lacking(own, (x, room), &mut parts),
                };
                let node = self.tree.add(Meaning::Paragraph, None);
                for line in self.letters.lines(&own.caption, SMALL, room) {
                    y += SMALL * LEADING;
                    parts.push(words_at(line, (x, y), Ink::Dark, node));
                }
                height = height.max(y + SMALL * 0.4);
            }
            self.push(Strip {
                gap: 9.0,
                height,
                parts,
                ..Strip::default()
            });
        }
    }

    /// Where a photograph should be: a field with the reason. Its height.
    fn lacking(&mut self, own: &Photograph, (x, room): (f32, f32), parts: &mut Vec<Part>) -> f32 {
        let node = self.tree.add(Meaning::Paragraph, None);
        let text = Text::plain(own.lacks.as_str());
        let lines = self.letters.lines(&text, SMALL, room - 20.0);
        let height = 24.0 + SMALL * LEADING * lines.len() as f32;
        parts.push(Part {
            x,
            y: 0.0,
            what: What::Field(room, height, Ink::Ground),
            node: None,
        });
        for (number, line) in lines.into_iter().enumerate() {
            let y = 12.0 + base_line(SMALL) + SMALL * LEADING * number as f32;
            parts.push(words_at(line, (x + 10.0, y), Ink::Dark, node));
        }
        height
    }
}

/// Words at a place.
pub(crate) fn words_at(line: Line, (x, y): (f32, f32), ink: Ink, node: usize) -> Part {
    Part {
        x,
        y,
        what: What::Words(line, ink),
        node: Some(node),
    }
}

/// Where letters of this size stand in their line.
pub(crate) fn base_line(size: f32) -> f32 {
    size * 1.0
}

/// The look of a run within words of this ink.
pub(crate) fn ink_of(look: Look, ink: Ink) -> Ink {
    match look {
        Look::Quiet => Ink::Quiet,
        Look::Plain | Look::Strong => ink,
    }
}

/// Room from margin to margin, and from top to foot, points.
pub(crate) fn room(sheet: Sheet) -> (f32, f32) {
    let (width, height) = sheet.points();
    (
        width - MARGINS.0 - MARGINS.1,
        height - MARGINS.2 - MARGINS.3,
    )
}

/// Lengths that tests state in millimetres.
#[cfg(test)]
pub(crate) fn millimetres(length: f32) -> f32 {
    length / crate::document::points(1.0)
}
