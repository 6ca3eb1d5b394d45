//! The weights of the suspects against the readings that came in, as an SVG picture.
//!
//! Readings that count across, weights of a hundred upward. Each part has dashes of its own and a form at its points;
//! nothing wrong and a fault that is not listed are the thin lines. Fails where nothing was read.

use benchwork::view::{AfterReadingView, AsReadView};

use super::narrow_plot::{NarrowPlot, Sign};

const TITLE: &str = "The suspects, reading by reading";

/// How the parts are drawn, in their order.
const PARTS: [(Sign, Option<Sign>); 6] = [
    (Sign::Line("", 3), None),
    (Sign::Line("", 2), Some(Sign::Ring)),
    (Sign::Line("9 5", 2), Some(Sign::Cross)),
    (Sign::Line("3 4", 2), Some(Sign::Up)),
    (Sign::Line("14 4 2 4", 2), None),
    (Sign::Line("2 8", 2), None),
];

/// Readings across at least, so that the marks of the axis are whole readings.
const LEAST_ACROSS: f64 = 5.0;

/// The picture.
pub fn svg(view: &AsReadView) -> Result<String, String> {
    let Some(last) = view.steps.last().filter(|last| last.count > 0) else {
        return Err("no reading counts, so there are no weights to draw".to_owned());
    };
    let under = match view.not_told {
        0 => "of 100 such sets".to_owned(),
        _ => format!("of 100 such sets; from reading {} on", view.not_told.max(1)),
    };
    let across = (last.count as f64).max(LEAST_ACROSS);
    let names = ["readings that count", "of 100"];
    let mut plot = NarrowPlot::new([TITLE, &under], (across, 100.0), names);
    for (place, (part, (line, form))) in view.parts.iter().zip(PARTS).enumerate() {
        let points = of(&view.steps, |step| {
            step.weights.get(place).copied().unwrap_or(0.0)
        });
        match form {
            None => plot.curve(&points, line, part),
            Some(form) => {
                plot.curve(&points, line, "");
                plot.points(&points, form, part);
            }
        }
    }
    plot.curve(
        &of(&view.steps, |step| step.healthy),
        Sign::Line("", 1),
        "nothing is wrong",
    );
    let not_listed = of(&view.steps, |step| step.not_listed);
    plot.curve(
        &not_listed,
        Sign::Line("3 4", 1),
        "a fault of a kind not listed",
    );
    Ok(plot.svg(TITLE, &in_words(view), &[]))
}

fn of(steps: &[AfterReadingView], weight: impl Fn(&AfterReadingView) -> f64) -> Vec<(f64, f64)> {
    steps
        .iter()
        .map(|step| (step.count as f64, 100.0 * weight(step)))
        .collect()
}

fn in_words(view: &AsReadView) -> String {
    let mut out = Vec::new();
    for step in &view.steps {
        let heaviest = view.parts.iter().zip(&step.weights);
        let heaviest = heaviest.max_by(|one, other| one.1.total_cmp(other.1));
        let Some((part, weight)) = heaviest else {
            continue;
        };
        let after = match &step.reading {
            None => "before any reading".to_owned(),
            Some(reading) => format!("after {}", reading.at),
        };
        out.push(format!("{after}: {part} {:.0}", 100.0 * weight));
    }
    format!(
        "The heaviest of the followed parts, of 100, {}.",
        out.join("; ")
    )
}

#[cfg(test)]
mod tests {
    use super::*;

    fn view(counts: &[(usize, [f64; 2])]) -> AsReadView {
        AsReadView {
            format: 1,
            program: "0",
            data: "0",
            file: String::new(),
            restoration: String::new(),
            parts: vec!["C50".to_owned(), "V<9".to_owned()],
            steps: counts
                .iter()
                .map(|(count, weights)| AfterReadingView {
                    count: *count,
                    reading: None,
                    healthy: 0.2,
                    not_listed: 0.1,
                    weights: weights.to_vec(),
                })
                .collect(),
            not_told: 0,
            notices: Vec::new(),
        }
    }

    #[test]
    fn each_weight_stands_at_its_height() {
        // By hand from the frame of the plot: 0 of 100 at y = 336, 100 at 76; 5 readings at x = 424, none at 54.
        let svg = svg(&view(&[(0, [0.0, 0.5]), (5, [1.0, 0.25])])).expect("drawn");
        assert!(svg.contains("M54.0 336.0L424.0 76.0"), "{svg}");
        assert!(svg.contains("M54.0 206.0L424.0 271.0"), "{svg}");
        assert!(svg.contains("V&lt;9"), "{svg}");
        assert!(svg.contains("before any reading: V&lt;9 50"), "{svg}");
    }

    #[test]
    fn without_a_reading_there_is_none() {
        assert!(svg(&view(&[(0, [0.1, 0.1])])).is_err());
        assert!(svg(&view(&[])).is_err());
    }
}
