//! A tube base drawn with characters, as seen from below.
//!
//! Rows and columns of characters; the mark (key, gap, thick pins) is at the
//! bottom and pins are counted clockwise from it, so pin 1 stands at the lower
//! left. Every pin is written as its number in brackets with what it carries
//! beside it. Where two pins of one side would share a row the upper moves up.
//! Nothing here fails.

use benchwork::view::BaseView;
use pictures::off_the_base;

/// Rows from the middle of the base to its lowest pin.
const RADIUS_ROWS: f64 = 5.0;
/// Columns from the middle to the outermost pin.
const RADIUS_COLUMNS: f64 = 13.0;
/// Column of the middle.
const MIDDLE: usize = 40;

/// The drawing, line by line.
pub fn drawing(base: &BaseView) -> String {
    let per_side = base.contacts.len().div_ceil(2);
    let radius = RADIUS_ROWS.max(per_side as f64 * 0.9);
    let pins: Vec<Placed> = placed(base, radius);
    let lowest_pin = pins.iter().map(|pin| pin.row).max().unwrap_or(0);
    let lowest = lowest_pin.max((2.0 * radius).round() as usize);
    let mut lines: Vec<Vec<char>> = vec![Vec::new(); lowest + 2];
    outline(&mut lines, &pins, radius);
    for pin in &pins {
        pin.write(&mut lines);
    }
    let mark = match base.mark {
        "key" => "^ key",
        "gap" => "^ gap",
        "thick pins" => "^ between the thick pins",
        _ => "^ pins 1 and last",
    };
    write_at(&mut lines, lowest + 1, MIDDLE, mark);
    let mut text = String::new();
    for contact in base.contacts.iter().filter(|own| own.degrees.is_none()) {
        let line = off_the_base(contact);
        let start = MIDDLE.saturating_sub(line.chars().count() / 2);
        text.push_str(&format!("{}{line}\n", " ".repeat(start)));
    }
    for line in lines {
        let line: String = line.into_iter().collect();
        text.push_str(line.trim_end());
        text.push('\n');
    }
    text
}

/// Which side of the base a pin stands on.
#[derive(Clone, Copy, PartialEq)]
enum Side {
    Left,
    Right,
    Top,
}

struct Placed {
    row: usize,
    column: usize,
    side: Side,
    number: String,
    carries: String,
}

impl Placed {
    fn write(&self, lines: &mut [Vec<char>]) {
        let number = format!("({})", self.number);
        let width = number.chars().count();
        let left = self.column.saturating_sub(width / 2);
        write_at(lines, self.row, left, &number);
        let carries = self.carries.as_str();
        match self.side {
            Side::Left => {
                let start = left.saturating_sub(carries.chars().count() + 1);
                write_at(lines, self.row, start, carries);
            }
            Side::Right | Side::Top => write_at(lines, self.row, left + width + 1, carries),
        }
    }
}

fn placed(base: &BaseView, radius: f64) -> Vec<Placed> {
    let mut pins: Vec<Placed> = base
        .contacts
        .iter()
        .filter_map(|contact| {
            let angle = contact.degrees?.to_radians();
            let side = match angle.sin() {
                sine if sine > 0.05 => Side::Left,
                sine if sine < -0.05 => Side::Right,
                _ => Side::Top,
            };
            let row = (radius * (1.0 + angle.cos())).round().max(0.0) as usize;
            let column = (MIDDLE as f64 - RADIUS_COLUMNS * angle.sin()).round() as usize;
            Some(Placed {
                row,
                column,
                side,
                number: contact.contact.clone(),
                carries: if contact.elements.is_empty() {
                    "-".to_string()
                } else {
                    contact.elements.join(" + ")
                },
            })
        })
        .collect();
    for side in [Side::Left, Side::Right] {
        let mut order: Vec<usize> = (0..pins.len()).collect();
        order.retain(|at| pins.get(*at).is_some_and(|pin| pin.side == side));
        order.sort_by_key(|at| pins.get(*at).map(|pin| pin.row));
        let mut free = 0;
        for at in order {
            if let Some(pin) = pins.get_mut(at) {
                pin.row = pin.row.max(free);
                free = pin.row + 1;
            }
        }
    }
    pins
}

/// Dots on the ellipse of the base, where no pin stands.
fn outline(lines: &mut [Vec<char>], pins: &[Placed], radius: f64) {
    for step in 0..60 {
        let angle = f64::from(step) * std::f64::consts::TAU / 60.0;
        let row = (radius * (1.0 + angle.cos())).round() as usize;
        let column = (MIDDLE as f64 - RADIUS_COLUMNS * angle.sin()).round() as usize;
        let is_near_pin = pins
            .iter()
            .any(|pin| pin.row == row && pin.column.abs_diff(column) <= 3);
        let is_on_label = pins.iter().any(|pin| {
            pin.row == row
                && pin.side == Side::Top
                && column > pin.column
                && column <= pin.column + pin.carries.chars().count() + 4
        });
        if !is_near_pin && !is_on_label {
            write_at(lines, row, column, ".");
        }
    }
}

fn write_at(lines: &mut [Vec<char>], row: usize, column: usize, text: &str) {
    let Some(line) = lines.get_mut(row) else {
        return;
    };
    for (at, character) in text.chars().enumerate() {
        let place = column + at;
        if line.len() <= place {
            line.resize(place + 1, ' ');
        }
        if let Some(cell) = line.get_mut(place) {
            *cell = character;
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::output::PAGE_WIDTH;

    fn drawn(number: &str) -> String {
        let answer = benchwork::tell_tube(number, false, None).expect("known");
        drawing(answer.types[0].base.as_ref().expect("a base"))
    }

    #[test]
    fn every_pin_of_every_type_is_drawn_once_with_what_it_carries() {
        for tube in parts_of_all_types() {
            let answer = benchwork::tell_tube(&tube, false, None).expect("known");
            let Some(base) = &answer.types[0].base else {
                continue;
            };
            let page = drawing(base);
            for line in page.lines() {
                assert!(line.chars().count() <= PAGE_WIDTH, "{tube}: {line}");
            }
            for contact in &base.contacts {
                let mut carries = contact.elements.join(" + ");
                if carries == "outer-coating" {
                    carries = "outer coating".to_string();
                }
                assert!(page.contains(&carries), "{tube}: {carries}\n{page}");
                if contact.degrees.is_some() {
                    let number = format!("({})", contact.contact);
                    assert_eq!(page.matches(&number).count(), 1, "{tube} {number}\n{page}");
                }
            }
        }
    }

    fn parts_of_all_types() -> Vec<String> {
        benchwork::catalogue()
            .expect("sound")
            .tubes()
            .map(|tube| tube.name.clone())
            .collect()
    }

    #[test]
    fn pin_one_stands_at_the_lower_left_and_the_last_at_the_lower_right() {
        // Trade rule of all base drawings: seen from below, clockwise from the mark.
        let page = drawn("6SN7-GT");
        let place = |wanted: &str| {
            page.lines()
                .enumerate()
                .find_map(|(row, line)| line.find(wanted).map(|column| (row, column)))
                .expect("drawn")
        };
        let (first, last, half) = (place("(1)"), place("(8)"), place("(4)"));
        assert!(first.1 < MIDDLE && last.1 > MIDDLE && first.0 == last.0);
        assert!(half.0 < first.0 && half.1 < MIDDLE);
    }
}
