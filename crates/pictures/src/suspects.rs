//! The weights of the suspects as an SVG picture: one bar a suspect, heaviest on top.
//!
//! Weights of a hundred across. A full bar is a part; one with slanted lines stands for nothing
//! wrong, one with dots for a fault that is not listed: shape tells what colour would. Where
//! nothing explains the readings the picture says so in words. Fails where nothing was read.

use benchwork::view::SuspectsView;

use super::svg_text::{escaped, shortened, text};

/// As wide as a phone held upright, so that nothing shrinks there.
const WIDTH: f64 = 390.0;
const LEFT: f64 = 24.0;
const RIGHT: f64 = 366.0;
const TOP: f64 = 96.0;
const LINE: f64 = 44.0;
const TEXT: f64 = 14.0;
/// Marks of the scale, of a hundred.
const MARKS: [u8; 5] = [0, 25, 50, 75, 100];
const TITLE: &str = "What explains the readings";
/// Bars drawn, and the least weight of one.
const MOST: usize = 10;
const LEAST: f64 = 0.01;
/// Characters of a line that fit.
const LONGEST: usize = 46;

struct Bar {
    name: String,
    weight: f64,
    fill: &'static str,
}

/// The picture.
pub fn svg(view: &SuspectsView) -> Result<String, String> {
    if view.verdict == "nothing_read" {
        return Err("no reading counts, so there are no weights to draw".to_owned());
    }
    let mut bars: Vec<Bar> = view
        .suspects
        .iter()
        .take(MOST)
        .filter(|own| own.weight >= LEAST)
        .map(|own| Bar {
            name: match own.ways.first() {
                Some(way) => format!("{}: {}", own.part, way.text),
                None => own.part.clone(),
            },
            weight: own.weight,
            fill: "black",
        })
        .collect();
    bars.push(Bar {
        name: "nothing is wrong".to_owned(),
        weight: view.healthy,
        fill: "url(#slanted)",
    });
    bars.push(Bar {
        name: "a fault of a kind not listed".to_owned(),
        weight: view.not_listed,
        fill: "url(#dotted)",
    });
    let bottom = TOP + LINE * bars.len() as f64;
    let height = bottom + 44.0;
    let mut out = format!(
        "<svg xmlns=\"http://www.w3.org/2000/svg\" viewBox=\"0 0 {WIDTH} {height}\" width=\"{WIDTH}\" height=\"{height}\" role=\"img\" font-family=\"sans-serif\" font-size=\"13\">\n<title>{TITLE}</title>\n<desc>{}</desc>\n<defs><pattern id=\"slanted\" width=\"7\" height=\"7\" patternUnits=\"userSpaceOnUse\"><rect width=\"7\" height=\"7\" fill=\"white\"/><path d=\"M 0 7 L 7 0\" stroke=\"black\" stroke-width=\"1.5\"/></pattern><pattern id=\"dotted\" width=\"6\" height=\"6\" patternUnits=\"userSpaceOnUse\"><rect width=\"6\" height=\"6\" fill=\"white\"/><circle cx=\"3\" cy=\"3\" r=\"1.4\" fill=\"black\"/></pattern></defs>\n<rect width=\"{WIDTH}\" height=\"{height}\" fill=\"white\"/>\n",
        escaped(&in_words(view, &bars))
    );
    text(&mut out, [12.0, 28.0], "start", 17.0, TITLE);
    let counting = view
        .readings
        .iter()
        .filter(|own| own.state == "weighed")
        .count();
    let noticed = view.noticed.iter().filter(|own| own.state == "weighed");
    let count = |count: usize, one: &str, several: &str| match count {
        0 => None,
        1 => Some(format!("1 {one}")),
        _ => Some(format!("{count} {several}")),
    };
    let told = [
        count(counting, "reading", "readings"),
        count(noticed.count(), "thing noticed", "things noticed"),
    ];
    let told: Vec<String> = told.into_iter().flatten().collect();
    let under = format!("of 100 such sets; {}", told.join(", "));
    text(&mut out, [12.0, 50.0], "start", TEXT, &under);
    let verdict = match view.verdict {
        "nothing_explains" => "Nothing here explains them: only the least bad.",
        "healthy" => "A healthy set explains them best.",
        "undecided" => "No part stands out.",
        _ => "",
    };
    text(&mut out, [12.0, 70.0], "start", TEXT, verdict);
    for tens in MARKS {
        let x = place(f64::from(tens) / 100.0);
        let words = tens.to_string();
        text(&mut out, [x, bottom + 18.0], "middle", TEXT, &words);
    }
    for (number, bar) in bars.iter().enumerate() {
        let y = TOP + LINE * number as f64;
        let named = format!(
            "{} ({})",
            shortened(&bar.name, LONGEST),
            hundred(bar.weight)
        );
        text(&mut out, [LEFT, y + 14.0], "start", TEXT, &named);
        // The marks stand beside the bars alone, so that no line runs through words.
        for tens in MARKS {
            let x = place(f64::from(tens) / 100.0);
            out.push_str(&format!(
                "<line x1=\"{x:.1}\" y1=\"{:.1}\" x2=\"{x:.1}\" y2=\"{:.1}\" stroke=\"#777\" stroke-width=\"1\" stroke-dasharray=\"2 4\"/>\n",
                y + 18.0,
                y + 36.0
            ));
        }
        let wide = (place(bar.weight) - LEFT).max(1.0);
        out.push_str(&format!(
            "<rect x=\"{LEFT}\" y=\"{:.1}\" width=\"{wide:.1}\" height=\"14\" fill=\"{}\" stroke=\"black\" stroke-width=\"1\"/>\n",
            y + 20.0,
            bar.fill
        ));
    }
    out.push_str("</svg>\n");
    Ok(out)
}

fn place(weight: f64) -> f64 {
    LEFT + weight.clamp(0.0, 1.0) * (RIGHT - LEFT)
}

fn hundred(weight: f64) -> String {
    if weight < LEAST {
        "below 1".to_owned()
    } else {
        format!("{:.0}", 100.0 * weight)
    }
}

fn in_words(view: &SuspectsView, bars: &[Bar]) -> String {
    let listed: Vec<String> = bars
        .iter()
        .map(|bar| format!("{} {}", bar.name, hundred(bar.weight)))
        .collect();
    let first = match view.verdict {
        "nothing_explains" => "Nothing here explains the readings. ",
        "healthy" => "A healthy set explains the readings best. ",
        "undecided" => "No part stands out. ",
        _ => "",
    };
    format!("{first}Of 100: {}.", listed.join("; "))
}
