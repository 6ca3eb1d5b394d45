//! What a fault would change, in the order of the chassis, as an SVG picture.
//!
//! One line a place, tube by tube as on the sheet, then the named lines. A grey bar is what nine of
//! ten healthy sets read, a short stroke what is expected; an open disc is the reading with the
//! fault half way along its severities, a full triangle the reading where it moves most, pointing
//! the way it moves. The scale is in half widths of the band, so volts and watts stand beside one
//! another; what lies farther out sits at its edge. Shape tells what colour would. Nothing here
//! fails.

use benchwork::view::{WhatIfRowView, WhatIfView};

use super::svg_text::{escaped, shortened, text};

/// As wide as a phone held upright, so that nothing shrinks there.
const WIDTH: f64 = 390.0;
const LEFT: f64 = 190.0;
const RIGHT: f64 = 376.0;
const TOP: f64 = 150.0;
const LINE: f64 = 22.0;
const TEXT: f64 = 14.0;
/// Half widths to each side.
const REACH: f64 = 6.0;
/// Characters of a name, and of a line under the title, that fit.
const LONGEST_NAME: usize = 14;
const LONGEST_LINE: usize = 50;
const BANDS: &str = "grey: nine of ten healthy sets; stroke: expected";
const SPREAD: &str = "triangle: with the fault at worst; disc: half way";
const ONCE: &str = "triangle: with the fault";

/// The picture.
pub fn svg(view: &WhatIfView) -> String {
    let mut rows: Vec<&WhatIfRowView> = view.rows.iter().collect();
    rows.sort_by_key(|row| row.on_chassis);
    let mut lines: Vec<(f64, Line<'_>)> = Vec::new();
    let mut y = TOP;
    let mut tube = "";
    for row in rows {
        let own = tube_of(&row.at);
        if own != tube {
            y += 6.0;
            lines.push((y, Line::Rule));
            tube = own;
        }
        lines.push((y + LINE / 2.0, Line::Row(row)));
        y += LINE;
    }
    let height = y + 50.0;
    let title = format!("If {} were bad", view.part);
    let mut out = format!(
        "<svg xmlns=\"http://www.w3.org/2000/svg\" viewBox=\"0 0 {WIDTH} {height}\" width=\"{WIDTH}\" height=\"{height}\" role=\"img\" font-family=\"sans-serif\" font-size=\"13\">\n<title>{}</title>\n<desc>{}</desc>\n<rect width=\"{WIDTH}\" height=\"{height}\" fill=\"white\"/>\n",
        escaped(&title),
        escaped(&in_words(view))
    );
    text(&mut out, [12.0, 28.0], "start", 17.0, &title);
    let under = [
        shortened(&view.at_worst, LONGEST_LINE),
        shortened(&view.conditions.in_words(), LONGEST_LINE),
    ];
    let legend = [
        BANDS,
        if view.half_way.is_empty() {
            ONCE
        } else {
            SPREAD
        },
    ];
    for (line, words) in under.iter().map(String::as_str).chain(legend).enumerate() {
        let at = [12.0, 50.0 + 18.0 * line as f64];
        text(&mut out, at, "start", TEXT, words);
    }
    for half in [-6, -4, -2, 0, 2, 4, 6] {
        let x = place(f64::from(half));
        let dashes = if half == 0 {
            ""
        } else {
            " stroke-dasharray=\"2 4\""
        };
        out.push_str(&format!(
            "<line x1=\"{x:.1}\" y1=\"{:.1}\" x2=\"{x:.1}\" y2=\"{y:.1}\" stroke=\"#777\" stroke-width=\"1\"{dashes}/>\n",
            TOP - 4.0
        ));
        let words = half.to_string();
        text(&mut out, [x, TOP - 10.0], "middle", TEXT, &words);
    }
    for (y, line) in &lines {
        match line {
            Line::Rule => out.push_str(&format!(
                "<line x1=\"12\" y1=\"{y:.1}\" x2=\"{RIGHT}\" y2=\"{y:.1}\" stroke=\"#bbb\" stroke-width=\"1\"/>\n"
            )),
            Line::Row(row) => draw(&mut out, row, *y),
        }
    }
    let below = if view.rows.is_empty() {
        "No reading would leave its band."
    } else {
        "half widths of the band from the expected"
    };
    text(&mut out, [WIDTH / 2.0, y + 26.0], "middle", TEXT, below);
    out.push_str("</svg>\n");
    out
}

enum Line<'a> {
    /// Between two tubes.
    Rule,
    Row(&'a WhatIfRowView),
}

fn draw(out: &mut String, row: &WhatIfRowView, y: f64) {
    let name = shortened(&row.at, LONGEST_NAME);
    text(out, [12.0, y + 5.0], "start", TEXT, &name);
    let figure = benchwork::figures::figure(row.what, row.at_worst);
    text(out, [LEFT - 8.0, y + 5.0], "end", TEXT, &figure);
    out.push_str(&format!(
        "<rect x=\"{:.1}\" y=\"{:.1}\" width=\"{:.1}\" height=\"10\" fill=\"#ccc\"/>\n<line x1=\"{x:.1}\" y1=\"{:.1}\" x2=\"{x:.1}\" y2=\"{:.1}\" stroke=\"black\" stroke-width=\"2\"/>\n",
        place(-1.0),
        y - 5.0,
        place(1.0) - place(-1.0),
        y - 5.0,
        y + 5.0,
        x = place(0.0),
    ));
    let x = place(row.half_widths);
    let outward = if row.half_widths < 0.0 { -1.0 } else { 1.0 };
    out.push_str(&format!(
        "<path d=\"M {:.1} {:.1} L {:.1} {y:.1} L {:.1} {:.1} Z\" fill=\"black\"/>\n",
        x - 5.0 * outward,
        y - 6.0,
        x + 6.0 * outward,
        x - 5.0 * outward,
        y + 6.0,
    ));
    if let Some(value) = row.half_way {
        let x = place(half_widths(row, value));
        out.push_str(&format!(
            "<circle cx=\"{x:.1}\" cy=\"{y:.1}\" r=\"4\" fill=\"white\" stroke=\"black\" stroke-width=\"1.5\"/>\n"
        ));
    }
}

/// Half widths of the band from the expected value.
fn half_widths(row: &WhatIfRowView, value: f64) -> f64 {
    let by = value - row.expected;
    let half = if by < 0.0 {
        row.expected - row.low
    } else {
        row.high - row.expected
    };
    by / half.max(1e-6)
}

fn place(half_widths: f64) -> f64 {
    let middle = (LEFT + RIGHT) / 2.0;
    // Room for the triangle at either edge.
    let half = (RIGHT - LEFT) / 2.0 - 8.0;
    middle + half_widths.clamp(-REACH, REACH) / REACH * half
}

/// The tube of a pin; a named line by itself.
fn tube_of(at: &str) -> &str {
    at.split_once('.').map_or("", |(tube, _)| tube)
}

fn in_words(view: &WhatIfView) -> String {
    if view.rows.is_empty() {
        return format!(
            "With {} {} no reading would leave its band.",
            view.part, view.at_worst
        );
    }
    let listed: Vec<String> = view
        .rows
        .iter()
        .take(12)
        .map(|row| {
            let way = if row.half_widths < 0.0 {
                "lower"
            } else {
                "higher"
            };
            format!("{} {way}", row.at)
        })
        .collect();
    format!(
        "With {} {} these readings leave their bands, largest first: {}.",
        view.part,
        view.at_worst,
        listed.join(", ")
    )
}
