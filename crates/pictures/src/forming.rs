//! Leakage against minutes: the estimate or the readings continued, the limit, what was read.
//!
//! Minutes across, milliamperes upward. Full line: readings continued or the usual can; grey: nine of
//! ten. Nothing here fails.

use benchwork::view::FormingView;
use quantity::{Unit, bench};

use super::narrow_plot::{NarrowPlot, Sign};

/// Minutes shown where nothing was read.
const FIRST_MINUTES: f64 = 180.0;

/// The picture of one section.
pub fn svg(view: &FormingView) -> String {
    let own: Vec<(f64, f64)> = view
        .readings
        .iter()
        .filter(|one| one.is_at_present_volts)
        .map(|one| (one.minutes, one.milliamperes))
        .collect();
    let before: Vec<(f64, f64)> = view
        .readings
        .iter()
        .filter(|one| !one.is_at_present_volts)
        .map(|one| (one.minutes, one.milliamperes))
        .collect();
    let curve = view
        .forecast
        .as_ref()
        .map_or(&view.expected, |ahead| &ahead.curve);
    let last = own
        .iter()
        .chain(&before)
        .map(|one| one.0)
        .fold(0.0, f64::max);
    let end = match &view.forecast {
        Some(ahead) => ahead.curve.last().map_or(last, |row| row[0]).max(last),
        None => (2.0 * last).max(FIRST_MINUTES),
    };
    let highest = own
        .iter()
        .chain(&before)
        .map(|one| one.1)
        .fold(2.5 * view.limit_milliamperes, f64::max);
    let upward = 1.08 * highest;
    let title = format!(
        "{}, {} {} V: leakage",
        view.part,
        bench(view.microfarads * 1e-6, Unit::Farads),
        view.marked_volts
    );
    let told = match view.verdict {
        "not_begun" => "nothing was read yet: an estimate".to_owned(),
        "go_on" => "go on".to_owned(),
        "next_volts" => "put the next volts on".to_owned(),
        "accepted" => "its readings meet the limit".to_owned(),
        "stop" => "STOP: volts off".to_owned(),
        _ => "REPLACE it".to_owned(),
    };
    let mut plot = NarrowPlot::new(
        [&title, &told],
        (end, upward),
        ["minutes since the volts were put on", "mA"],
    );
    let at = |pick: usize| -> Vec<(f64, f64)> {
        curve
            .iter()
            .filter(|row| row[0] <= end)
            .map(|row| (row[0], row[pick]))
            .collect()
    };
    let (band, middle) = match view.forecast {
        Some(_) => (
            "nine of ten laws that fit the readings",
            "readings continued",
        ),
        None => (
            "nine of ten old cans that come back (judgement)",
            "the usual one",
        ),
    };
    plot.band(&at(1), &at(3), band);
    plot.curve(&at(2), Sign::Line("8 5", 2), middle);
    plot.level(
        view.limit_milliamperes,
        &format!(
            "limit {}",
            bench(view.limit_milliamperes * 1e-3, Unit::Amperes)
        ),
    );
    plot.points(
        &before,
        Sign::Cross,
        "read before, at other volts or another time",
    );
    plot.points(&own, Sign::Ring, "read at the present volts");
    let below = vec![match view.because.first() {
        Some(_) => format!("{}.", view.because.join("; ")),
        None => String::new(),
    }];
    let words = format!("{told}. {}", below[0]);
    plot.svg(&title, &words, &below)
}
