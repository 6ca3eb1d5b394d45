//! One line of a picture that sets readings against their bands: place, figure, and the band in half widths.
//!
//! Pixels; as wide as a phone held upright, so that nothing shrinks there. A place is named with its other end where
//! that is not the chassis. Nothing here fails.

use super::band_mark::band;
use super::svg_text::{shortened, text};

/// Width of the picture.
pub const WIDTH: f64 = 390.0;
/// Where the first line begins.
pub const TOP: f64 = 132.0;
/// Height of a line.
pub const LINE: f64 = 22.0;
/// Size of its letters.
pub const TEXT: f64 = 14.0;
/// Half widths to each side.
pub const REACH: f64 = 4.0;
/// Where the scale begins and ends.
const LEFT: f64 = 204.0;
const RIGHT: f64 = 376.0;
/// Characters of a name that fit before its figure.
const LONGEST_NAME: usize = 17;

/// Where so many half widths from the middle are.
pub fn place(half_widths: f64) -> f64 {
    let middle = (LEFT + RIGHT) / 2.0;
    middle + half_widths / REACH * (RIGHT - LEFT) / 2.0
}

/// The place, its figure and its band.
pub fn row(out: &mut String, [at, to]: [&str; 2], figures: &str, y: f64) {
    let at = match to {
        "chassis" => at.to_owned(),
        to => format!("{at} to {to}"),
    };
    let name = shortened(&at, LONGEST_NAME);
    text(out, [12.0, y + 5.0], "start", TEXT, &name);
    text(out, [LEFT - 6.0, y + 5.0], "end", TEXT, figures);
    band(out, [place(-1.0), place(0.0), place(1.0)], y);
}
