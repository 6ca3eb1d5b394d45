//! The maker's chart against the prediction, as an SVG picture.
//!
//! One line a figure: a grey bar for the band, a short stroke for the expected value, a mark
//! for the maker's figure - a disc where it agrees to its last digit, a triangle that points outward where not.
//! The scale is in half widths of the band, so volts and ohms stand beside one another; a
//! figure farther out than the scale sits at its edge. Places on the chassis are left out. Shape tells what colour would. Nothing
//! here fails.

use benchwork::view::{ChartRowView, ChartView};

use super::band_mark::{inside, outside};
use super::band_row::{LINE, REACH, TEXT, TOP, WIDTH, place, row as row_of};
use super::svg_text::{escaped, text};

const TITLE: &str = "The maker's chart against the prediction";
const LEGEND: [&str; 3] = [
    "grey: nine of ten sets; stroke: expected",
    "disc: the maker's figure agrees, to its last digit",
    "triangle: it does not; above: half bands away",
];
/// The picture.
pub fn svg(view: &ChartView) -> String {
    let rows: Vec<(&ChartRowView, f64)> = view
        .rows
        .iter()
        .filter(|row| ["agrees", "chart_high", "chart_low"].contains(&row.verdict))
        .filter(|row| row.charted != Some(0.0) || row.expected != Some(0.0))
        .filter_map(|row| Some((row, off(row)?)))
        .collect();
    let height = TOP + LINE * rows.len() as f64 + 40.0;
    let mut out = format!(
        "<svg xmlns=\"http://www.w3.org/2000/svg\" viewBox=\"0 0 {WIDTH} {height}\" width=\"{WIDTH}\" height=\"{height}\" role=\"img\" font-family=\"sans-serif\" font-size=\"13\">\n<title>{TITLE}</title>\n<desc>{}</desc>\n<rect width=\"{WIDTH}\" height=\"{height}\" fill=\"white\"/>\n",
        escaped(&in_words(view))
    );
    text(&mut out, [12.0, 30.0], "start", 17.0, TITLE);
    for (line, words) in LEGEND.iter().enumerate() {
        text(
            &mut out,
            [12.0, 54.0 + 18.0 * line as f64],
            "start",
            TEXT,
            words,
        );
    }
    let bottom = TOP + LINE * rows.len() as f64;
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
            text(
                &mut out,
                [x, TOP - 12.0],
                "middle",
                TEXT,
                &format!("{half}"),
            );
        }
    }
    text(
        &mut out,
        [WIDTH / 2.0, bottom + 24.0],
        "middle",
        TEXT,
        "half widths of the band below and above the expected",
    );
    for (number, (row, off)) in rows.iter().enumerate() {
        line(&mut out, row, *off, TOP + LINE * (number as f64 + 0.5));
    }
    out.push_str("</svg>\n");
    out
}

/// Half widths of the chart's figure above the expected value.
fn off(row: &ChartRowView) -> Option<f64> {
    let (charted, low, expected, high) = (row.charted?, row.low?, row.expected?, row.high?);
    let by = charted - expected;
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

fn line(out: &mut String, row: &ChartRowView, off: f64, y: f64) {
    let figures = row.charted.map_or_else(String::new, |charted| {
        benchwork::figures::figure(row.what, charted)
    });
    row_of(out, [&row.at, &row.to], &figures, y);
    let x = place(off);
    let outward = match row.verdict {
        "chart_high" => 1.0,
        "chart_low" => -1.0,
        _ => {
            inside(out, [x, y]);
            return;
        }
    };
    outside(
        out,
        [x, y],
        outward,
        "fill=\"white\" stroke=\"black\" stroke-width=\"2\"",
    );
}

fn in_words(view: &ChartView) -> String {
    let outside: Vec<String> = view
        .rows
        .iter()
        .filter_map(|row| match row.verdict {
            "chart_high" => Some(format!("{} above", row.at)),
            "chart_low" => Some(format!("{} below", row.at)),
            _ => None,
        })
        .collect();
    if outside.is_empty() {
        return "Every figure that a prediction covers lies in its band.".to_owned();
    }
    format!(
        "{} figures lie in their bands. Outside: {}.",
        view.counts.agrees,
        outside.join(", ")
    )
}
