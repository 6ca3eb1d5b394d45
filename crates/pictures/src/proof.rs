//! The proof in pictures: leakage at each point against the limit, and the soak against minutes.
//!
//! Milliamperes along a bar for each of the four ways; degrees Celsius upward over minutes. Bars differ by
//! their fill and bear their figures. Fails where nothing was read.

use benchwork::view::{ProofItemView, ProofSlotView, ProofView};

use super::narrow_plot::{LETTER, NarrowPlot, Sign, WIDTH, broken, framed};
use super::svg_text::text;

const LEFT: f64 = 128.0;
const RIGHT: f64 = 356.0;
const ROW: f64 = 19.0;

fn item<'v>(view: &'v ProofView, key: &str) -> Result<&'v ProofItemView, String> {
    let found = view.items.iter().find(|item| item.key == key);
    found.ok_or_else(|| format!("the list has no {key}"))
}

/// Leakage at every point that was measured.
pub fn leakage(view: &ProofView) -> Result<String, String> {
    let item = item(view, "leakage")?;
    let read: Vec<&ProofSlotView> = item
        .slots
        .iter()
        .filter(|slot| slot.value.is_some())
        .collect();
    if read.is_empty() {
        return Err("no leakage was measured that could be drawn".to_owned());
    }
    let limit = item.limit_high.unwrap_or(0.5);
    let highest = read
        .iter()
        .filter_map(|slot| slot.value)
        .fold(limit, f64::max);
    let across = |value: f64| LEFT + (RIGHT - LEFT) * (value / (1.1 * highest)).clamp(0.0, 1.0);
    let title = format!("{}: leakage to ground", view.set);
    let mut out = String::new();
    text(&mut out, [WIDTH / 2.0, 26.0], "middle", 17.0, &title);
    let told = format!("milliamperes; the line stands at {limit} mA");
    text(&mut out, [WIDTH / 2.0, 46.0], "middle", LETTER, &told);
    let mut y = 76.0;
    let top = y - 8.0;
    let mut point = "";
    for slot in &read {
        if slot.point != point {
            point = &slot.point;
            y += 8.0;
            text(&mut out, [14.0, y + 5.0], "start", LETTER, point);
            y += ROW;
        }
        let value = slot.value.unwrap_or_default();
        let way = format!(
            "{} way, {}",
            slot.plug.unwrap_or_default(),
            slot.switch.unwrap_or_default()
        );
        text(&mut out, [LEFT - 6.0, y + 5.0], "end", LETTER, &way);
        let (fill, mark) = if slot.state == "failed" {
            ("#333", " ABOVE")
        } else {
            ("#d8d8d8", "")
        };
        out.push_str(&format!(
            "<rect x=\"{LEFT}\" y=\"{:.1}\" width=\"{:.1}\" height=\"11\" fill=\"{fill}\" stroke=\"black\"/>\n",
            y - 5.0,
            across(value) - LEFT
        ));
        let figure = format!("{:.2}{mark}", value);
        text(
            &mut out,
            [across(value) + 5.0, y + 5.0],
            "start",
            LETTER,
            &figure,
        );
        y += ROW;
    }
    let x = across(limit);
    out.push_str(&format!(
        "<path d=\"M{x:.1} {top:.1}V{y:.1}\" fill=\"none\" stroke=\"black\" stroke-width=\"1.6\" stroke-dasharray=\"2 3\"/>\n"
    ));
    let open = item
        .slots
        .iter()
        .filter(|slot| slot.state == "open")
        .count();
    let words = format!(
        "{open} of {} readings are not done. {}",
        item.slots.len(),
        view.words
    );
    y += ROW;
    for line in broken(&words) {
        text(&mut out, [14.0, y], "start", LETTER, &line);
        y += 22.0;
    }
    Ok(framed(&out, y, &title, &words))
}

/// Warmth of the cabinet through the soak.
pub fn soak(view: &ProofView) -> Result<String, String> {
    let item = item(view, "soak-heat")?;
    let read: Vec<(f64, f64)> = item
        .slots
        .iter()
        .filter_map(|slot| Some((slot.minutes?, slot.value?)))
        .collect();
    if read.is_empty() {
        return Err("no warmth of the soak was read that could be drawn".to_owned());
    }
    let limit = item.limit_high.unwrap_or(60.0);
    let highest = read.iter().map(|own| own.1).fold(limit, f64::max);
    let title = format!("{}: the soak", view.set);
    let told = "warmest place on the cabinet's outside";
    let mut plot = NarrowPlot::new(
        [&title, told],
        (240.0, 1.15 * highest),
        ["minutes since switch-on", "C"],
    );
    plot.curve(&read, Sign::Line("", 2), "from reading to reading");
    plot.points(&read, Sign::Ring, "read");
    plot.level(limit, &format!("figure {limit} C"));
    let words = format!("{} {}", item.because.join("; "), view.words);
    Ok(plot.svg(&title, &words, std::slice::from_ref(&words)))
}
