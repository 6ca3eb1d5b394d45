//! Letters: words into glyphs, how wide they are, and where their lines break.
//!
//! Points of 1/72 inch. The letters are Source Sans 3, in `fonts/` with its licence, plain and
//! strong. Lines break where the Unicode rule (UAX 14) allows, and inside a word only where it is
//! longer than the line. A sign that the letters lack is drawn as an empty box and remembered.
//! Fails only where the letters of the program cannot be read.

use std::cell::RefCell;
use std::collections::{BTreeSet, HashMap};
use std::rc::Rc;

use krilla::text::{Font, GlyphId, KrillaGlyph};
use rustybuzz::{Direction, Face, Feature, UnicodeBuffer};
use unicode_linebreak::{BreakOpportunity, linebreaks};

use crate::document::{Look, Text};
use crate::error::PaperError;

/// The plain letters.
pub(crate) const PLAIN: &[u8] = include_bytes!("../fonts/SourceSans3-Regular.ttf");

/// The strong letters.
pub(crate) const STRONG: &[u8] = include_bytes!("../fonts/SourceSans3-Bold.ttf");

/// Drawn for a sign that the letters lack.
const NO_SUCH_SIGN: char = '□';

/// Figures of one width, so that columns stand straight.
const FEATURES: &[&[u8; 4]] = &[b"tnum"];

/// The letters of one document.
pub(crate) struct Letters {
    faces: [Face<'static>; 2],
    fonts: [Font; 2],
    widths: RefCell<HashMap<(usize, String), f32>>,
    missing: RefCell<BTreeSet<char>>,
}

/// Words of one look on one line, ready to be drawn.
#[derive(Clone)]
pub(crate) struct Run {
    /// The words.
    pub text: String,
    /// Their look.
    pub look: Look,
    /// Their glyphs; widths are shares of the size.
    pub glyphs: Rc<Vec<KrillaGlyph>>,
    /// Points from the start of the line.
    pub x: f32,
}

/// One line.
#[derive(Clone, Default)]
pub(crate) struct Line {
    /// Its runs.
    pub runs: Vec<Run>,
    /// How wide it is without blanks at its end.
    pub width: f32,
    /// Size of its letters.
    pub size: f32,
}

impl Letters {
    /// The letters of the program.
    pub fn new() -> Result<Letters, PaperError> {
        let face = |bytes| Face::from_slice(bytes, 0).ok_or(PaperError::Letters);
        let font = |bytes: &'static [u8]| Font::new(bytes.into(), 0).ok_or(PaperError::Letters);
        Ok(Letters {
            faces: [face(PLAIN)?, face(STRONG)?],
            fonts: [font(PLAIN)?, font(STRONG)?],
            widths: RefCell::default(),
            missing: RefCell::default(),
        })
    }

    /// The font of a look.
    pub fn font(&self, look: Look) -> Font {
        let [plain, strong] = &self.fonts;
        match look {
            Look::Strong => strong.clone(),
            Look::Plain | Look::Quiet => plain.clone(),
        }
    }

    /// Signs that the letters lack, of all that was laid so far.
    pub fn missing(&self) -> Vec<char> {
        self.missing.borrow().iter().copied().collect()
    }

    /// Words in lines of at most this width. Without words there is no line.
    pub fn lines(&self, text: &Text, size: f32, width: f32) -> Vec<Line> {
        let mut lines = Vec::new();
        let mut line: Vec<(Look, String)> = Vec::new();
        let mut filled = 0.0;
        for word in self.words(text) {
            let (own, blank) = self.width_of(&word.parts, size);
            if filled > 0.0 && filled + own - blank > width {
                lines.push(self.set(&std::mem::take(&mut line), size));
                filled = 0.0;
            }
            if own - blank > width {
                for piece in self.cut(&word.parts, size, width) {
                    if !line.is_empty() {
                        lines.push(self.set(&std::mem::take(&mut line), size));
                    }
                    filled = self.width_of(&piece, size).0;
                    line = piece;
                }
            } else {
                line.extend(word.parts);
                filled += own;
            }
            if word.ends_line {
                lines.push(self.set(&std::mem::take(&mut line), size));
                filled = 0.0;
            }
        }
        if !line.is_empty() {
            lines.push(self.set(&line, size));
        }
        lines
    }

    /// Words on one line, cut short with an ellipsis where they do not fit.
    pub fn line(&self, text: &Text, size: f32, width: f32) -> Line {
        let mut lines = self.lines(text, size, width);
        match lines.len() {
            0 => Line::default(),
            1 => lines.swap_remove(0),
            _ => {
                let mark = self.lines(&Text::plain("…"), size, width);
                let room = width - mark.first().map_or(0.0, |mark| mark.width);
                let Some(first) = self.lines(text, size, room).into_iter().next() else {
                    return Line::default();
                };
                let mut parts: Vec<(Look, String)> = first
                    .runs
                    .into_iter()
                    .map(|run| (run.look, run.text))
                    .collect();
                if let Some((_, last)) = parts.last_mut() {
                    last.truncate(last.trim_end().len());
                    last.push('…');
                }
                self.set(&parts, size)
            }
        }
    }

    /// Words that may not be parted, in their order.
    fn words(&self, text: &Text) -> Vec<Word> {
        let mut whole = String::new();
        let mut looks = Vec::new();
        for piece in &text.0 {
            let face = self.face(piece.look);
            for letter in piece.text.chars() {
                if let Some(letter) = self.shown(letter, face) {
                    whole.push(letter);
                }
            }
            looks.push((whole.len(), piece.look));
        }
        let end = whole.trim_end().len();
        let mut words = Vec::new();
        let mut from = 0;
        for (to, kind) in linebreaks(&whole) {
            let to = to.min(end);
            let Some(word) = whole.get(from..to).filter(|word| !word.is_empty()) else {
                continue;
            };
            let mut parts = Vec::new();
            let mut at = from;
            for (until, look) in &looks {
                let until = (*until).min(to);
                if let Some(part) = whole.get(at..until).filter(|part| !part.is_empty()) {
                    parts.push((*look, part.replace('\n', " ")));
                    at = until;
                }
            }
            words.push(Word {
                parts,
                ends_line: kind == BreakOpportunity::Mandatory && word.ends_with('\n'),
            });
            from = to;
        }
        words
    }

    /// The sign that is drawn for this one; `None` for one that is not seen.
    fn shown(&self, letter: char, face: &Face<'static>) -> Option<char> {
        match letter {
            '\n' => return Some('\n'),
            '\u{ad}' | '\u{feff}' | '\u{200b}'..='\u{200f}' | '\u{202a}'..='\u{202e}' => {
                return None;
            }
            '\u{2060}'..='\u{206f}' | '\u{fe00}'..='\u{fe0f}' => return None,
            other if other.is_control() => return Some(' '),
            _ => {}
        }
        if face.glyph_index(letter).is_some_and(|glyph| glyph.0 != 0) {
            return Some(letter);
        }
        self.missing.borrow_mut().insert(letter);
        Some(NO_SUCH_SIGN)
    }

    /// Width of words, and of the blanks at their end.
    fn width_of(&self, parts: &[(Look, String)], size: f32) -> (f32, f32) {
        let whole: f32 = parts
            .iter()
            .map(|(look, text)| self.width(*look, text))
            .sum();
        let blank = parts.last().map_or(0.0, |(look, text)| {
            let blanks = text.len() - text.trim_end().len();
            self.width(*look, " ") * blanks as f32
        });
        (whole * size, blank * size)
    }

    fn width(&self, look: Look, text: &str) -> f32 {
        let key = (face_number(look), text.to_owned());
        if let Some(known) = self.widths.borrow().get(&key) {
            return *known;
        }
        let width = self.shape(look, text).iter().map(|own| own.x_advance).sum();
        self.widths.borrow_mut().insert(key, width);
        width
    }

    /// A word that is too long for any line, cut where it is full.
    fn cut(&self, parts: &[(Look, String)], size: f32, width: f32) -> Vec<Vec<(Look, String)>> {
        let mut lines = Vec::new();
        let mut line: Vec<(Look, String)> = Vec::new();
        let mut filled = 0.0;
        for (look, text) in parts {
            for letter in text.chars() {
                let own = size * self.width(*look, letter.encode_utf8(&mut [0; 4]));
                if filled + own > width && filled > 0.0 {
                    lines.push(std::mem::take(&mut line));
                    filled = 0.0;
                }
                filled += own;
                match line.last_mut() {
                    Some((last, text)) if last == look => text.push(letter),
                    _ => line.push((*look, letter.to_string())),
                }
            }
        }
        lines.push(line);
        lines
    }

    /// A line of words.
    fn set(&self, parts: &[(Look, String)], size: f32) -> Line {
        let mut joined: Vec<(Look, String)> = Vec::new();
        for (look, text) in parts {
            match joined.last_mut() {
                Some((last, known)) if last == look => known.push_str(text),
                _ => joined.push((*look, text.clone())),
            }
        }
        let mut line = Line {
            size,
            ..Line::default()
        };
        let mut x = 0.0;
        for (look, text) in joined {
            let glyphs = self.shape(look, &text);
            let advance: f32 = glyphs.iter().map(|own| own.x_advance).sum();
            let blanks = text.len() - text.trim_end().len();
            line.width = x + size * (advance - self.width(look, " ") * blanks as f32);
            line.runs.push(Run {
                text,
                look,
                glyphs: Rc::new(glyphs),
                x,
            });
            x += size * advance;
        }
        line
    }

    fn shape(&self, look: Look, text: &str) -> Vec<KrillaGlyph> {
        let face = self.face(look);
        let em = face.units_per_em() as f32;
        let mut buffer = UnicodeBuffer::new();
        buffer.push_str(text);
        buffer.set_direction(Direction::LeftToRight);
        let features: Vec<Feature> = FEATURES
            .iter()
            .map(|tag| Feature::new(rustybuzz::ttf_parser::Tag::from_bytes(tag), 1, ..))
            .collect();
        let shaped = rustybuzz::shape(face, &features, buffer);
        let infos = shaped.glyph_infos();
        let mut glyphs = Vec::with_capacity(infos.len());
        for (number, (info, place)) in infos.iter().zip(shaped.glyph_positions()).enumerate() {
            let from = info.cluster as usize;
            let later = infos
                .iter()
                .skip(number + 1)
                .map(|next| next.cluster as usize);
            let to = later
                .into_iter()
                .find(|next| *next > from)
                .unwrap_or(text.len());
            glyphs.push(KrillaGlyph::new(
                GlyphId::new(info.glyph_id),
                place.x_advance as f32 / em,
                place.x_offset as f32 / em,
                place.y_offset as f32 / em,
                place.y_advance as f32 / em,
                from..to,
                None,
            ));
        }
        glyphs
    }

    fn face(&self, look: Look) -> &Face<'static> {
        let [plain, strong] = &self.faces;
        if face_number(look) == 1 {
            strong
        } else {
            plain
        }
    }
}

/// Words that stay together.
struct Word {
    parts: Vec<(Look, String)>,
    ends_line: bool,
}

fn face_number(look: Look) -> usize {
    match look {
        Look::Strong => 1,
        Look::Plain | Look::Quiet => 0,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn words(lines: &[Line]) -> Vec<String> {
        let of_line = |line: &Line| line.runs.iter().map(|run| run.text.as_str()).collect();
        lines.iter().map(of_line).collect()
    }

    #[test]
    fn lines_break_at_blanks_and_lose_no_letter() {
        let letters = Letters::new().expect("letters");
        let text = Text::plain("Prove with the meter that the chassis ")
            .and_strong("is not")
            .and(" on the line before anything is joined to it.");
        for width in [20.0, 60.0, 130.0, 500.0] {
            let lines = letters.lines(&text, 10.0, width);
            assert_eq!(words(&lines).concat(), text.words(), "{width}");
            for line in &lines {
                assert!(line.width <= width + 0.5, "{width}: {}", line.width);
            }
        }
        assert!(letters.lines(&Text::default(), 10.0, 100.0).is_empty());
        assert!(letters.missing().is_empty());
    }

    #[test]
    fn a_word_longer_than_the_line_is_cut_and_a_line_end_is_kept() {
        let letters = Letters::new().expect("letters");
        let hash = "3b598c423fba6b699c5fbdb079bd7c96d6492dd415c232dd78d7c8319353540d";
        let lines = letters.lines(&Text::plain(hash), 9.0, 80.0);
        assert!(lines.len() > 2);
        assert_eq!(words(&lines).concat(), hash);
        let lines = letters.lines(&Text::plain("one\ntwo"), 9.0, 400.0);
        assert_eq!(words(&lines), ["one ", "two"]);
    }

    #[test]
    fn a_sign_without_a_letter_is_a_box_and_is_remembered() {
        let letters = Letters::new().expect("letters");
        let lines = letters.lines(&Text::plain("a 日\u{200d}b\tΩ µ"), 9.0, 400.0);
        assert_eq!(words(&lines), ["a □b Ω µ"]);
        assert_eq!(letters.missing(), ['日']);
    }

    #[test]
    fn one_line_is_cut_short_with_an_ellipsis() {
        let letters = Letters::new().expect("letters");
        let line = letters.line(&Text::plain("a rather long name of a set"), 9.0, 60.0);
        assert!(line.width <= 60.0);
        let text: String = line.runs.iter().map(|run| run.text.as_str()).collect();
        assert!(
            text.starts_with("a rather") && text.ends_with('…'),
            "{text}"
        );
    }
}
