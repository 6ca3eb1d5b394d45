//! Direct volts that were read in the steps of a first power-up, in the order of the steps.
//!
//! Steps across, volts upward, to chassis. Only what was read, nothing worked out. Places read in
//! more than one step have a line, four at most: those read most often, then the highest. Lines
//! differ by their dashes. Without such a place there is no picture.

use benchwork::view::PowerHandedView;

use super::narrow_plot::{NarrowPlot, Sign};

/// Lines that can be told apart.
const DASHES: [&str; 4] = ["", "9 5", "3 4", "16 6"];

/// The picture.
pub fn svg(view: &PowerHandedView) -> Option<String> {
    let mut lines: Vec<(String, Vec<(f64, f64)>)> = Vec::new();
    let mut steps = 0.0_f64;
    for step in &view.steps {
        let direct = |own: &&benchwork::view::StepReadingView| {
            own.what == "dc_volts" && ["", "chassis"].contains(&own.to.as_str())
        };
        let read: Vec<_> = step.readings.iter().filter(direct).collect();
        if read.is_empty() {
            continue;
        }
        steps += 1.0;
        for own in read {
            let Some(volts) = own.value.filter(|volts| *volts >= 0.0) else {
                continue;
            };
            let known = lines.iter_mut().find(|(at, _)| *at == own.at);
            match known {
                // Of several readings in one step the last counts.
                Some((_, points)) => {
                    points.retain(|point| point.0 != steps);
                    points.push((steps, volts));
                }
                None => lines.push((own.at.clone(), vec![(steps, volts)])),
            }
        }
    }
    lines.retain(|(_, points)| points.len() > 1);
    let highest = |points: &[(f64, f64)]| points.iter().map(|point| point.1).fold(0.0, f64::max);
    lines.sort_by(|(_, one), (_, other)| {
        let by_count = other.len().cmp(&one.len());
        by_count.then(highest(other).total_cmp(&highest(one)))
    });
    lines.truncate(DASHES.len());
    if lines.is_empty() {
        return None;
    }
    let top = lines
        .iter()
        .map(|(_, points)| highest(points))
        .fold(0.0, f64::max);
    let title = "Volts in the steps of the power-up";
    let names = ["steps in which volts were read", "V, to chassis"];
    let mut plot = NarrowPlot::new([title, "as read"], (steps + 0.5, 1.1 * top), names);
    let mut words = Vec::new();
    for ((at, points), dashes) in lines.iter().zip(DASHES) {
        plot.curve(points, Sign::Line(dashes, 2), at);
        let volts: Vec<String> = points
            .iter()
            .map(|point| format!("{:.0}", point.1))
            .collect();
        words.push(format!("{at}: {} V", volts.join(", ")));
    }
    let all: Vec<(f64, f64)> = lines
        .iter()
        .flat_map(|(_, points)| points.clone())
        .collect();
    plot.points(&all, Sign::Ring, "read");
    Some(plot.svg(title, &words.join("; "), &[]))
}
