//! Emission against minutes: what was read, the fit with its band, the forecast, the scale's end.
//!
//! Minutes across, the readings' own unit upward. The fit is at rated heater. Full line: so far;
//! dashed: forecast. Fails where no emission was read.

use benchwork::view::{EmissionView, PictureView};

use receiver::picture_tube::emission::level_text;

use super::narrow_plot::{NarrowPlot, Sign};

/// The picture of the last sitting.
pub fn svg(view: &PictureView) -> Result<String, String> {
    let one = view
        .emission
        .last()
        .ok_or("no emission was read that could be drawn")?;
    let tube = view.tube.as_deref().unwrap_or("picture tube");
    let sitting = match one.sitting.as_str() {
        "" => String::new(),
        sitting => format!(", sitting {sitting}"),
    };
    let title = format!("{tube} ({}): emission{sitting}", view.type_name);
    let told = heading(one);
    let last = one.readings.last().map_or(0.0, |reading| reading[0]);
    let end = one.curve.last().map_or(last, |point| point[0]).max(last);
    let highest = one
        .curve
        .iter()
        .map(|point| point[3])
        .chain(one.readings.iter().map(|reading| reading[1]))
        .fold(one.scale_end, f64::max);
    let upward = highest.min(1.6 * one.scale_end) * 1.08;
    let names = ["minutes since the heater was put on", one.unit.as_str()];
    let mut plot = NarrowPlot::new([&title, &told], (end, upward), names);
    let at = |pick: usize| -> Vec<(f64, f64)> {
        let points = one.curve.iter();
        points.map(|point| (point[0], point[pick])).collect()
    };
    plot.band(&at(1), &at(3), "nine of ten cathodes like this lie here");
    let middle = at(2);
    let split = |wanted: &dyn Fn(f64) -> bool| -> Vec<(f64, f64)> {
        middle
            .iter()
            .copied()
            .filter(|point| wanted(point.0))
            .collect()
    };
    plot.curve(
        &split(&|minutes| minutes <= last),
        Sign::Line("", 2),
        "fit so far",
    );
    plot.curve(
        &split(&|minutes| minutes >= last),
        Sign::Line("8 5", 2),
        "forecast",
    );
    plot.level(
        one.scale_end,
        &format!("end of the scale, {} {}", one.scale_end, one.unit),
    );
    plot.upright(last, "now");
    let kinds = |wanted: &dyn Fn(usize) -> bool| -> Vec<(f64, f64)> {
        let own = one.readings.iter().enumerate();
        own.filter(|(place, _)| wanted(place + 1))
            .map(|(_, reading)| (reading[0], reading[1]))
            .collect()
    };
    let is_misread = |number: usize| one.misread.contains(&number);
    let is_at_end = |number: usize| one.at_scale_end.contains(&number);
    plot.points(
        &kinds(&|own| !is_misread(own) && !is_at_end(own)),
        Sign::Ring,
        "read",
    );
    plot.points(
        &kinds(&is_misread),
        Sign::Cross,
        "read, but does not go with the others",
    );
    plot.points(
        &kinds(&is_at_end),
        Sign::Up,
        "at the end of the scale: that much or more",
    );
    if one.heading_is_told {
        plot.span(
            one.heading.low,
            one.heading.high,
            "heading for, nine of ten",
        );
    }
    let mut letters = one.waiting_text.chars();
    let first = letters
        .next()
        .map(|first| first.to_uppercase().collect::<String>());
    let below = vec![format!(
        "{}{}.",
        first.unwrap_or_default(),
        letters.as_str()
    )];
    let words = format!("{told}. {}.", one.waiting_text);
    Ok(plot.svg(&title, &words, &below))
}

fn heading(one: &EmissionView) -> String {
    let direction = match one.direction {
        "cannot_tell" => String::new(),
        direction => format!(", {direction}"),
    };
    if one.heading_is_told {
        format!(
            "heading for {} to {} {}{}",
            level_text(one.heading.low),
            level_text(one.heading.high),
            one.unit,
            direction
        )
    } else {
        "where it is heading cannot be told yet".to_owned()
    }
}
