//! Readings as a set is left, against what a healthy set shows, as an SVG picture.
//!
//! One line a place: a grey bar for the band, a short stroke for the expected value, a ring for the
//! maker's figure, and a mark for what was read last - a disc inside the band, a triangle that points
//! outward outside. The scale is in half widths of the band, so volts and ohms stand beside one another; what lies
//! farther out sits at the edge. Places without reading or band are left out; without any there is
//! no picture.

use benchwork::view::{AsLeftRowView, AsLeftView};

use super::band_mark::{inside, outside};
use super::band_row::{LINE, REACH, TEXT, TOP, WIDTH, place, row as row_of};
use super::svg_text::{escaped, text};

const TITLE: &str = "Voltages as the set is left";
const LEGEND: [&str; 3] = [
    "grey: nine of ten healthy sets; stroke: expected",
    "disc: read, inside; triangle: read, outside",
    "ring: the maker's figure; above: half bands away",
];
/// The picture.
pub fn svg(view: &AsLeftView) -> Option<String> {
    let rows: Vec<(&AsLeftRowView, f64)> = view
        .rows
        .iter()
        .filter_map(|row| Some((row, off(row, row.read?)?)))
        .collect();
    if rows.is_empty() {
        return None;
    }
    let bottom = TOP + LINE * rows.len() as f64;
    let height = bottom + 40.0;
    let mut out = format!(
        "<svg xmlns=\"http://www.w3.org/2000/svg\" viewBox=\"0 0 {WIDTH} {height}\" width=\"{WIDTH}\" height=\"{height}\" role=\"img\" font-family=\"sans-serif\" font-size=\"13\">\n<title>{TITLE}</title>\n<desc>{}</desc>\n<rect width=\"{WIDTH}\" height=\"{height}\" fill=\"white\"/>\n",
        escaped(&in_words(&rows))
    );
    text(&mut out, [12.0, 30.0], "start", 17.0, TITLE);
    for (line, words) in LEGEND.iter().enumerate() {
        let y = 54.0 + 18.0 * line as f64;
        text(&mut out, [12.0, y], "start", TEXT, words);
    }
    for half in -4..=4 {
        let x = place(f64::from(half));
        let dashes = if half == 0 {
            ""
        } else {
            " stroke-dasharray=\"2 4\""
        };
        out.push_str(&format!(
            "<line x1=\"{x:.1}\" y1=\"{:.1}\" x2=\"{x:.1}\" y2=\"{bottom:.1}\" stroke=\"#777\" stroke-width=\"1\"{dashes}/>\n",
            TOP - 6.0
        ));
        if half % 2 == 0 {
            text(&mut out, [x, TOP - 12.0], "middle", TEXT, &half.to_string());
        }
    }
    let below = "half widths of the band below and above the expected";
    text(
        &mut out,
        [WIDTH / 2.0, bottom + 24.0],
        "middle",
        TEXT,
        below,
    );
    for (number, (row, off)) in rows.iter().enumerate() {
        line(&mut out, row, *off, TOP + LINE * (number as f64 + 0.5));
    }
    out.push_str("</svg>\n");
    Some(out)
}

/// Half widths of a value above the expected one.
fn off(row: &AsLeftRowView, value: f64) -> Option<f64> {
    let (low, expected, high) = (row.low?, row.expected?, row.high?);
    let by = value - expected;
    let half = if by >= 0.0 {
        high - expected
    } else {
        expected - low
    };
    if half <= 0.0 {
        return Some(if by == 0.0 { 0.0 } else { by.signum() * REACH });
    }
    Some((by / half).clamp(-REACH, REACH))
}

fn line(out: &mut String, row: &AsLeftRowView, off_read: f64, y: f64) {
    let figures = row.read.map_or_else(String::new, |read| {
        benchwork::figures::figure(row.what, read)
    });
    row_of(out, [&row.at, &row.to], &figures, y);
    if let Some(maker) = row.charted.and_then(|charted| off(row, charted)) {
        out.push_str(&format!(
            "<circle cx=\"{:.1}\" cy=\"{y:.1}\" r=\"6.5\" fill=\"none\" stroke=\"black\" stroke-width=\"1.5\"/>\n",
            place(maker)
        ));
    }
    let x = place(off_read);
    let outward = match row.verdict {
        "high" => 1.0,
        "low" => -1.0,
        _ => {
            inside(out, [x, y]);
            return;
        }
    };
    outside(out, [x, y], outward, "fill=\"black\"");
}

fn in_words(rows: &[(&AsLeftRowView, f64)]) -> String {
    let outside: Vec<String> = rows
        .iter()
        .filter_map(|(row, _)| match row.verdict {
            "high" => Some(format!("{} above", row.at)),
            "low" => Some(format!("{} below", row.at)),
            _ => None,
        })
        .collect();
    match outside.is_empty() {
        true => "Every reading lies in its band.".to_owned(),
        false => format!("Outside their bands: {}.", outside.join(", ")),
    }
}
