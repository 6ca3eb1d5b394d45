//! A tube's base as seen from below, each pin a target for a finger with what a healthy set shows beside it.
//!
//! CSS pixels on a phone of 390, of which a page has 366 for it; 73.6 of them are 12 mm. Pins by shape and text alone, no
//! colour; their places are those of the base. Where a base has more pins than have room as targets of 12 mm,
//! the picture is wider. Contacts that are not on the base stand in a row below. Nothing here fails.

use crate::svg_text::{escaped, text};

/// A pin, cap or contact.
#[derive(Debug, Clone, PartialEq)]
pub struct Pin {
    /// As written behind the dot: `6`, `cap`.
    pub name: String,
    /// Where it stands, degrees clockwise from below; `None` for what is not on the base.
    pub degrees: Option<f64>,
    /// What it carries; empty where nothing is recorded.
    pub carries: String,
    /// What a healthy set shows there, as at the bench.
    pub shows: Option<String>,
    /// Where a tap leads.
    pub link: String,
}

/// Half a target's width.
const HALF: f64 = 38.0;
const WIDTH: f64 = 366.0;

/// The base with its pins as links. `mark` is `key`, `gap`, `thick pins` or `none`.
pub fn svg(reference: &str, type_name: &str, mark: &str, pins: &[Pin]) -> String {
    let on: Vec<(&Pin, f64)> = pins
        .iter()
        .filter_map(|pin| Some((pin, pin.degrees?)))
        .collect();
    let off: Vec<&Pin> = pins.iter().filter(|pin| pin.degrees.is_none()).collect();
    let ring = ring_of(&on);
    let width = (2.0 * (ring + HALF) + 8.0).max(WIDTH);
    let per_row = (width / (2.0 * HALF + 6.0)).floor().max(1.0) as usize;
    let rows = off.len().div_ceil(per_row) as f64;
    let [x, y] = [width / 2.0, ring + HALF + 4.0];
    let below = y + ring + HALF + 12.0;
    let height = below + rows * (2.0 * HALF + 8.0);
    let mut out = format!(
        "<svg xmlns=\"http://www.w3.org/2000/svg\" viewBox=\"0 0 {width:.0} {height:.0}\" width=\"{width:.0}\" height=\"{height:.0}\" role=\"group\" aria-label=\"{label}\" font-family=\"sans-serif\">\n",
        label = escaped(&format!("Base of {reference}, seen from below")),
    );
    out.push_str(&format!(
        "<circle cx=\"{x:.1}\" cy=\"{y:.1}\" r=\"{ring:.1}\" fill=\"none\" stroke=\"currentColor\" stroke-width=\"2\"/>\n"
    ));
    out.push_str("<g fill=\"currentColor\">\n");
    text(&mut out, [x, y - 8.0], "middle", 24.0, reference);
    text(&mut out, [x, y + 18.0], "middle", 18.0, type_name);
    match mark {
        "key" | "gap" => text(
            &mut out,
            [x, y + 44.0],
            "middle",
            15.0,
            &format!("{mark} ▼"),
        ),
        "thick pins" => text(
            &mut out,
            [x, y + 44.0],
            "middle",
            15.0,
            "first and last thick",
        ),
        _ => {}
    }
    out.push_str("</g>\n");
    for (pin, degrees) in on {
        let angle = degrees.to_radians();
        target(
            &mut out,
            reference,
            pin,
            [x - ring * angle.sin(), y + ring * angle.cos()],
        );
    }
    for (place, pin) in off.into_iter().enumerate() {
        let column = (place % per_row) as f64;
        let row = (place / per_row) as f64;
        let at = [
            HALF + 4.0 + column * (2.0 * HALF + 6.0),
            below + HALF + row * (2.0 * HALF + 8.0),
        ];
        target(&mut out, reference, pin, at);
    }
    out.push_str("</svg>\n");
    out
}

/// A ring on which neighbours do not overlap.
fn ring_of(on: &[(&Pin, f64)]) -> f64 {
    let mut degrees: Vec<f64> = on
        .iter()
        .map(|(_, degrees)| degrees.rem_euclid(360.0))
        .collect();
    degrees.sort_by(f64::total_cmp);
    let mut nearest: f64 = 360.0;
    for (place, own) in degrees.iter().enumerate() {
        let next = match degrees.get(place + 1) {
            Some(next) => *next,
            None => degrees.first().copied().unwrap_or(*own) + 360.0,
        };
        if next > *own {
            nearest = nearest.min(next - own);
        }
    }
    // A chord of two targets' width: 2 r sin(angle / 2).
    let needed = HALF / (nearest.to_radians() / 2.0).sin().max(0.05);
    needed.clamp(WIDTH / 2.0 - HALF - 4.0, 420.0)
}

fn target(out: &mut String, reference: &str, pin: &Pin, [x, y]: [f64; 2]) {
    let carries: String = pin.carries.chars().take(9).collect();
    let visible = [
        pin.name.as_str(),
        pin.shows.as_deref().unwrap_or(""),
        &carries,
    ];
    let visible: Vec<&str> = visible
        .into_iter()
        .filter(|words| !words.is_empty())
        .collect();
    // What is spoken begins with what is seen.
    let said = format!("{}, {reference}.{}", visible.join(" "), pin.name);
    let dashes = if pin.carries.is_empty() {
        " stroke-dasharray=\"5 4\""
    } else {
        ""
    };
    out.push_str(&format!(
        "<a href=\"{link}\" aria-label=\"{said}\"><circle cx=\"{x:.1}\" cy=\"{y:.1}\" r=\"{r}\" fill=\"Canvas\" stroke=\"currentColor\" stroke-width=\"3\"{dashes}/><g fill=\"currentColor\">\n",
        link = escaped(&pin.link),
        said = escaped(&said),
        r = HALF - 1.0,
    ));
    match &pin.shows {
        Some(shows) => {
            text(out, [x, y - 12.0], "middle", 20.0, &pin.name);
            text(out, [x, y + 6.0], "middle", 15.0, shows);
            text(out, [x, y + 22.0], "middle", 12.0, &carries);
        }
        None => {
            text(out, [x, y + 2.0], "middle", 20.0, &pin.name);
            text(out, [x, y + 20.0], "middle", 12.0, &carries);
        }
    }
    out.push_str("</g></a>\n");
}

#[cfg(test)]
mod tests {
    use super::*;

    fn pin(name: usize, degrees: f64) -> Pin {
        Pin {
            name: name.to_string(),
            degrees: Some(degrees),
            carries: "plate".to_owned(),
            shows: None,
            link: "/x?a=1&b=2".to_owned(),
        }
    }

    /// Two points of a circle lie 2 r sin(angle / 2) apart: neighbours must not share a target.
    #[test]
    fn targets_of_neighbours_keep_apart() {
        for count in [5usize, 7, 8, 9, 12, 14] {
            let step = 360.0 / (count as f64 + 1.0);
            let pins: Vec<Pin> = (1..=count)
                .map(|name| pin(name, step * name as f64))
                .collect();
            let on: Vec<(&Pin, f64)> = pins
                .iter()
                .filter_map(|own| Some((own, own.degrees?)))
                .collect();
            let apart = 2.0 * ring_of(&on) * (step.to_radians() / 2.0).sin();
            assert!(apart >= 2.0 * HALF - 0.01, "{count} pins: {apart}");
        }
    }

    #[test]
    fn a_pin_is_a_link_with_its_words() {
        let svg = svg("V9", "6AU6", "gap", &[pin(5, 90.0)]);
        assert!(
            svg.contains("href=\"/x?a=1&amp;b=2\" aria-label=\"5 plate, V9.5\""),
            "{svg}"
        );
    }
}
