//! A tube base as an SVG picture, as seen from below.
//!
//! Pixels; the mark is at the bottom and pins are counted clockwise from it. Black
//! lines and text on white, so nothing is lost without colour; title and
//! description say the same in words. A pin with nothing recorded is dashed. Fails
//! for a type whose base is not known.

use benchwork::view::{BaseView, ContactView, TubeTypeView};

use super::svg_text::{escaped, text};
use crate::off_the_base::off_the_base;

/// So wide that a phone shows its letters at nearly their own size.
const WIDTH: f64 = 440.0;
const MIDDLE_X: f64 = WIDTH / 2.0;
const RING: f64 = 88.0;
const LINE: f64 = 20.0;
/// Letters of the lines above and below, and of a pin's label, that a line holds.
const LETTERS: usize = 44;
const PIN_LETTERS: usize = 11;
/// From one line of a pin's label to the next.
const PIN_LINE: f64 = 16.0;

/// The picture of a type's base.
pub fn svg(tube: &TubeTypeView) -> Result<String, String> {
    let base = tube
        .base
        .as_ref()
        .ok_or_else(|| format!("the base of {} is not known", tube.name))?;
    let elsewhere: Vec<&ContactView> = base
        .contacts
        .iter()
        .filter(|own| own.degrees.is_none())
        .collect();
    let under = lines(
        &format!("{}: {}, seen from below", tube.what, base.name),
        LETTERS,
    );
    let off: Vec<String> = elsewhere
        .iter()
        .flat_map(|own| lines(&off_the_base(own), LETTERS))
        .collect();
    let below = lines(&foot(base), LETTERS + 6);
    let rows = (under.len() + off.len()) as f64;
    let middle_y = 48.0 + LINE * rows + 66.0 + RING;
    let foot_y = middle_y + RING + 72.0;
    let height = foot_y + LINE * below.len() as f64 + 24.0;
    let mut out = format!(
        "<svg xmlns=\"http://www.w3.org/2000/svg\" viewBox=\"0 0 {WIDTH} {height}\" width=\"{WIDTH}\" height=\"{height}\" role=\"img\" font-family=\"sans-serif\" font-size=\"16\">\n<title>{title}</title>\n<desc>{description}</desc>\n<rect width=\"{WIDTH}\" height=\"{height}\" fill=\"white\"/>\n",
        title = escaped(&format!("{}: base seen from below", tube.name)),
        description = escaped(&in_words(base)),
    );
    text(&mut out, [MIDDLE_X, 34.0], "middle", 24.0, &tube.name);
    let mut line = 60.0;
    for row in under.iter().chain(&off) {
        text(&mut out, [MIDDLE_X, line], "middle", 15.0, row);
        line += LINE;
    }
    circle(&mut out, [MIDDLE_X, middle_y], RING, 2.0, false);
    mark(&mut out, base, middle_y);
    for contact in &base.contacts {
        if let Some(degrees) = contact.degrees {
            pin(&mut out, base, contact, degrees, middle_y);
        }
    }
    let mut line = foot_y;
    for row in &below {
        text(&mut out, [MIDDLE_X, line], "middle", 14.0, row);
        line += LINE;
    }
    let is_empty = |own: &ContactView| own.degrees.is_some() && own.elements.is_empty();
    if base.pins_are_recorded && base.contacts.iter().any(is_empty) {
        let foot = [MIDDLE_X, line];
        text(&mut out, foot, "middle", 14.0, "dashed: nothing recorded");
    }
    out.push_str("</svg>\n");
    Ok(out)
}

/// The base in words, for people who do not see the picture.
fn in_words(base: &BaseView) -> String {
    let contacts: Vec<String> = base
        .contacts
        .iter()
        .map(|own| {
            let carries = if own.elements.is_empty() {
                "nothing recorded".to_string()
            } else {
                own.elements.join(" and ")
            };
            format!("{} {carries}", own.contact)
        })
        .collect();
    format!(
        "{}; counted clockwise, seen from below: {}.",
        base.meaning,
        contacts.join(", ")
    )
}

fn foot(base: &BaseView) -> String {
    let from = match base.mark {
        "key" => "clockwise from the key",
        "gap" => "clockwise from the gap",
        "thick pins" => "clockwise; the first pin and the last are thick",
        _ => "clockwise",
    };
    let doubt = if base.steps_are_doubtful {
        "; steps between pins not exact"
    } else {
        ""
    };
    let recorded = if base.pins_are_recorded {
        ""
    } else {
        "; what the pins carry is not recorded"
    };
    format!("{from}{doubt}{recorded}")
}

fn mark(out: &mut String, base: &BaseView, middle_y: f64) {
    let word = match base.mark {
        "key" => {
            circle(out, [MIDDLE_X, middle_y], 30.0, 2.0, false);
            out.push_str(&format!(
                "<rect x=\"{}\" y=\"{}\" width=\"14\" height=\"12\" fill=\"black\"/>\n",
                MIDDLE_X - 7.0,
                middle_y + 28.0
            ));
            "key"
        }
        "gap" => "gap",
        _ => return,
    };
    let y = if base.mark == "key" {
        middle_y + 58.0
    } else {
        middle_y + RING - 10.0
    };
    text(out, [MIDDLE_X, y], "middle", 14.0, word);
}

fn pin(out: &mut String, base: &BaseView, contact: &ContactView, degrees: f64, middle_y: f64) {
    let angle = degrees.to_radians();
    let (left, down) = (angle.sin(), angle.cos());
    let at = |radius: f64| [MIDDLE_X - radius * left, middle_y + radius * down];
    let is_thick = base.mark == "thick pins"
        && (contact.contact == "1" || contact.contact == base.pin_count.to_string());
    let [x, y] = at(RING);
    circle(
        out,
        [x, y],
        if is_thick { 17.0 } else { 14.0 },
        if is_thick { 4.0 } else { 2.0 },
        contact.elements.is_empty(),
    );
    text(out, [x, y + 6.0], "middle", 16.0, &contact.contact);
    if contact.elements.is_empty() {
        return;
    }
    let carries = lines(&contact.elements.join(" + "), PIN_LETTERS);
    // Labels near top and bottom are spread, so that neighbours keep apart.
    let [x, y] = at(RING + 24.0);
    let more = (carries.len() - 1) as f64;
    let (x, first, anchor) = if left.abs() < 0.05 {
        // Above the ring the last line is next to it, below the first.
        let first = if down < 0.0 {
            y - 2.0 - PIN_LINE * more
        } else {
            y + 14.0
        };
        (x, first, "middle")
    } else {
        let spread = 10.0 * down * (1.0 - left.abs());
        let up = 0.5 * more * (1.0 - down);
        let anchor = if left > 0.0 { "end" } else { "start" };
        (x, y + 5.0 + spread - PIN_LINE * up, anchor)
    };
    for (row, line) in carries.iter().enumerate() {
        text(out, [x, first + PIN_LINE * row as f64], anchor, 15.0, line);
    }
}

/// A text in lines of at most so many letters. A word that is longer is parted behind a hyphen
/// where it has one.
fn lines(words: &str, letters: usize) -> Vec<String> {
    let mut pieces: Vec<(&str, bool)> = Vec::new();
    for word in words.split(' ') {
        if word.chars().count() <= letters {
            pieces.push((word, true));
            continue;
        }
        for (place, piece) in word.split_inclusive('-').enumerate() {
            pieces.push((piece, place == 0));
        }
    }
    let mut lines = vec![String::new()];
    for (piece, after_blank) in pieces {
        let gap = usize::from(after_blank);
        match lines.last_mut() {
            Some(last) if last.is_empty() => last.push_str(piece),
            Some(last) if last.chars().count() + gap + piece.chars().count() <= letters => {
                last.push_str(if after_blank { " " } else { "" });
                last.push_str(piece);
            }
            _ => lines.push(piece.to_owned()),
        }
    }
    lines
}

fn circle(out: &mut String, [x, y]: [f64; 2], radius: f64, width: f64, dashed: bool) {
    let dashes = if dashed {
        " stroke-dasharray=\"4 3\""
    } else {
        ""
    };
    out.push_str(&format!(
        "<circle cx=\"{x:.1}\" cy=\"{y:.1}\" r=\"{radius}\" fill=\"white\" stroke=\"black\" stroke-width=\"{width}\"{dashes}/>\n"
    ));
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_type_with_a_base_gives_a_picture_that_says_all() {
        for tube in benchwork::catalogue().expect("sound").tubes() {
            let answer = benchwork::tell_tube(&tube.name, false, None).expect("known");
            let Some(base) = &answer.types[0].base else {
                assert!(svg(&answer.types[0]).is_err(), "{}", tube.name);
                continue;
            };
            let picture = svg(&answer.types[0]).expect("a base");
            assert!(picture.starts_with("<svg ") && picture.ends_with("</svg>\n"));
            for contact in &base.contacts {
                // A label may stand in two lines.
                for word in contact
                    .elements
                    .iter()
                    .flat_map(|own| own.split([' ', '-']))
                {
                    assert!(picture.contains(word), "{}: {word}", tube.name);
                }
            }
        }
    }

    /// Where a text of the picture begins and ends; a letter is taken as 0.62 of its size, wider than most.
    fn reach(line: &str) -> Option<(f64, f64)> {
        let key = |name: &str| {
            let rest = line.split(&format!(" {name}=\"")).nth(1)?;
            rest.split('"').next()
        };
        let x: f64 = key("x")?.parse().ok()?;
        let size: f64 = key("font-size")?.parse().ok()?;
        let words = line.split('>').nth(1)?.split('<').next()?;
        let width = 0.62 * size * words.chars().count() as f64;
        Some(match key("text-anchor")? {
            "start" => (x, x + width),
            "end" => (x - width, x),
            _ => (x - width / 2.0, x + width / 2.0),
        })
    }

    #[test]
    fn no_word_leaves_the_picture() {
        for tube in benchwork::catalogue().expect("sound").tubes() {
            let answer = benchwork::tell_tube(&tube.name, false, None).expect("known");
            let Ok(picture) = svg(&answer.types[0]) else {
                continue;
            };
            let texts: Vec<&str> = picture
                .lines()
                .filter(|line| line.starts_with("<text "))
                .collect();
            assert!(texts.len() > 4, "{}", tube.name);
            for line in texts {
                let (from, to) = reach(line).expect("a text with its place");
                assert!(from >= 0.0 && to <= WIDTH, "{}: {line}", tube.name);
            }
        }
    }

    #[test]
    fn what_would_break_the_picture_is_escaped() {
        assert_eq!(escaped("<a&\"b\u{0}"), "&lt;a&amp;&quot;b");
    }
}
