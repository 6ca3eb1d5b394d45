//! What each way of running a set of silicon does to B+ and heaters, as an SVG picture.
//!
//! Percent across: B+ of the maker's, heater volts of the rated ones. A full dot is B+, an open box the heaters from the
//! lowest to the highest; a line stands at 100. Shape tells them apart, and each row bears its figures. Fails where the
//! set has no selenium.

use benchwork::view::{RunView, SeleniumGroupView, SiliconView};

use super::svg_text::{escaped, text};

/// As wide as a phone held upright, so that nothing shrinks there.
const WIDTH: f64 = 390.0;
const LEFT: f64 = 24.0;
const RIGHT: f64 = 366.0;
const TOP: f64 = 112.0;
const ROW: f64 = 62.0;
const TEXT: f64 = 13.0;
/// Ends of the scale, percent.
const SCALE: (f64, f64) = (85.0, 115.0);
const MARKS: [f64; 7] = [85.0, 90.0, 95.0, 100.0, 105.0, 110.0, 115.0];
const TITLE: &str = "B+ and heaters, silicon for selenium";

/// The picture of every group.
pub fn svg(view: &SiliconView) -> Result<String, String> {
    if view.groups.is_empty() {
        return Err("this set has no selenium".to_owned());
    }
    let rows: usize = view.groups.iter().map(|own| own.runs.len()).sum();
    let heads = 34.0 * view.groups.len() as f64;
    let height = TOP + ROW * rows as f64 + heads + 40.0;
    let mut out = format!(
        "<svg xmlns=\"http://www.w3.org/2000/svg\" viewBox=\"0 0 {WIDTH} {height}\" width=\"{WIDTH}\" height=\"{height}\" role=\"img\" font-family=\"sans-serif\" font-size=\"13\">\n<title>{TITLE}</title>\n<desc>{}</desc>\n<rect width=\"{WIDTH}\" height=\"{height}\" fill=\"white\"/>\n",
        escaped(&in_words(view))
    );
    text(&mut out, [12.0, 28.0], "start", 17.0, TITLE);
    let under = format!("{}; line {:.0} V", view.set, view.line_volts);
    text(&mut out, [12.0, 50.0], "start", TEXT, &under);
    dot(&mut out, 22.0, 66.0);
    text(&mut out, [34.0, 71.0], "start", TEXT, "B+, of the maker's");
    out.push_str(
        "<rect x=\"182\" y=\"61\" width=\"20\" height=\"10\" fill=\"none\" stroke=\"black\" stroke-width=\"1.5\"/>\n",
    );
    text(
        &mut out,
        [208.0, 71.0],
        "start",
        TEXT,
        "heaters, of their rating",
    );
    for mark in MARKS {
        let words = format!("{mark:.0}");
        text(&mut out, [place(mark), 96.0], "middle", TEXT, &words);
    }
    let mut y = TOP;
    for group in &view.groups {
        let words = format!("{}, {}", group.parts.join(", "), group.circuit);
        text(&mut out, [12.0, y + 16.0], "start", 14.0, &words);
        y += 34.0;
        for run in &group.runs {
            row(&mut out, y, run, group);
            y += ROW;
        }
    }
    out.push_str("</svg>\n");
    Ok(out)
}

fn row(out: &mut String, y: f64, run: &RunView, group: &SeleniumGroupView) {
    let name = format!("{}, {:.0} V", run.name, run.line_volts);
    text(out, [LEFT, y + 2.0], "start", TEXT, &name);
    let middle = y + 14.0;
    for mark in MARKS {
        let (x, dashes) = (place(mark), if mark == 100.0 { "" } else { "2 4" });
        out.push_str(&format!(
            "<line x1=\"{x:.1}\" y1=\"{:.1}\" x2=\"{x:.1}\" y2=\"{:.1}\" stroke=\"#555\" stroke-width=\"1\" stroke-dasharray=\"{dashes}\"/>\n",
            middle - 6.0,
            middle + 10.0
        ));
    }
    if let (Some(low), Some(high)) = (run.heaters_low_percent, run.heaters_high_percent) {
        let (left, right) = (place(low) - 4.0, place(high) + 4.0);
        out.push_str(&format!(
            "<rect x=\"{left:.1}\" y=\"{:.1}\" width=\"{:.1}\" height=\"10\" fill=\"none\" stroke=\"black\" stroke-width=\"1.5\"/>\n",
            middle - 4.0,
            right - left
        ));
    }
    dot(out, place(share(run, group)), middle + 1.0);
    let heaters = match (run.heaters_low_percent, run.heaters_high_percent) {
        (Some(low), Some(high)) if high - low >= 0.5 => {
            format!(", heaters {low:.0} to {high:.0} %")
        }
        (Some(low), _) => format!(", heaters {low:.1} %"),
        _ => String::new(),
    };
    let figures = format!("B+ {:.0} V{heaters}", run.b_plus_volts);
    text(out, [LEFT, middle + 24.0], "start", TEXT, &figures);
}

fn dot(out: &mut String, x: f64, y: f64) {
    out.push_str(&format!(
        "<circle cx=\"{x:.1}\" cy=\"{y:.1}\" r=\"4\" fill=\"black\"/>\n"
    ));
}

/// B+ of a run, percent of the maker's.
fn share(run: &RunView, group: &SeleniumGroupView) -> f64 {
    100.0 * run.b_plus_volts / group.wanted_volts
}

fn place(percent: f64) -> f64 {
    let along = (percent.clamp(SCALE.0, SCALE.1) - SCALE.0) / (SCALE.1 - SCALE.0);
    LEFT + along * (RIGHT - LEFT)
}

fn in_words(view: &SiliconView) -> String {
    let mut told = Vec::new();
    for group in &view.groups {
        for run in &group.runs {
            let heaters = run.heaters_high_percent.map_or_else(String::new, |own| {
                format!(", heaters up to {own:.0} percent")
            });
            told.push(format!(
                "{} on {:.0} volts: B+ {:.0} volts{heaters}",
                run.name, run.line_volts, run.b_plus_volts
            ));
        }
    }
    format!("{}.", told.join("; "))
}
