//! Curves over one axis, in one panel or several below each other, as SVG text.
//!
//! Units: pixels for sizes, the panel's own for values. Curves differ by dashes
//! and by how dark they are, and bear their names at their right ends, moved
//! apart where they would meet. A level is a thin dotted line with its name, such
//! as the marked volts of a can. Values that are no numbers are left out; a
//! picture without one curve of two points is refused.

use plotters::coord::Shift;
use plotters::prelude::*;
use plotters::style::text_anchor::{HPos, Pos, VPos};
use receiver::curves::{Axis, Curves, Panel};

const WIDTH: u32 = 900;
const HEAD: u32 = 46;
const PANEL: u32 = 330;
const LETTER: i32 = 13;
const FAMILY: &str = "sans-serif";

const PAPER: RGBColor = RGBColor(253, 252, 248);
const INK: RGBColor = RGBColor(24, 24, 24);
const GREY: RGBColor = RGBColor(110, 110, 110);
const FAINT: RGBColor = RGBColor(222, 220, 212);

/// Dash and gap of each curve in turn, pixels; no gap is a full line.
const DASHES: &[(i32, i32)] = &[(0, 0), (9, 5), (3, 4), (16, 6), (6, 10), (2, 8)];

/// The picture as the text of an SVG file, or why there is none.
pub fn svg(plot: &Curves) -> Result<String, String> {
    let panels = plot.panels.len() as u32;
    if !plot
        .panels
        .iter()
        .flat_map(|panel| &panel.curves)
        .any(|curve| finite(&curve.points).len() > 1)
    {
        return Err("there is no curve to draw".to_owned());
    }
    let mut text = String::new();
    draw(plot, panels, &mut text)
        .map_err(|error| format!("the picture cannot be drawn: {error}"))?;
    Ok(with_words(&text, &plot.title, &plot.text))
}

type Failure = Box<dyn std::error::Error>;
type Area<'a> = DrawingArea<SVGBackend<'a>, Shift>;

fn draw(plot: &Curves, panels: u32, text: &mut String) -> Result<(), Failure> {
    let height = HEAD + PANEL * panels;
    let root = SVGBackend::with_string(text, (WIDTH, height)).into_drawing_area();
    root.fill(&PAPER).map_err(failure)?;
    let heading = (FAMILY, 18).into_font().color(&INK);
    root.draw_text(&plot.title, &heading, (18, 16))
        .map_err(failure)?;
    let room = room_for_names(plot);
    let right = plot
        .panels
        .iter()
        .flat_map(|panel| &panel.curves)
        .flat_map(|curve| finite(&curve.points))
        .fold(
            (f64::INFINITY, f64::NEG_INFINITY),
            |(low, high), (across, _)| (low.min(across), high.max(across)),
        );
    let (_, below) = root.split_vertically(HEAD as i32);
    for (panel, area) in plot
        .panels
        .iter()
        .zip(below.split_evenly((panels as usize, 1)))
    {
        draw_panel(panel, &plot.horizontal, room, right, &area)?;
    }
    root.present().map_err(failure)
}

fn draw_panel(
    panel: &Panel,
    across: &Axis,
    room: u32,
    (left, right): (f64, f64),
    area: &Area<'_>,
) -> Result<(), Failure> {
    let left = left.min(0.0);
    let right = if right > left { right } else { left + 1.0 };
    let mut chart = ChartBuilder::on(area)
        .margin_left(14)
        .margin_top(8)
        .margin_bottom(8)
        .margin_right(room)
        .x_label_area_size(44)
        .y_label_area_size(62)
        .build_cartesian_2d(left..right, 0.0..top(panel))
        .map_err(failure)?;
    chart
        .configure_mesh()
        .light_line_style(TRANSPARENT)
        .bold_line_style(FAINT)
        .axis_style(GREY)
        .label_style((FAMILY, LETTER).into_font().color(&INK))
        .axis_desc_style((FAMILY, LETTER).into_font().color(&INK))
        .x_desc(in_words(across))
        .y_desc(in_words(&panel.upright))
        .x_label_formatter(&short)
        .y_label_formatter(&short)
        .draw()
        .map_err(failure)?;

    let mut names: Vec<(i32, i32, String)> = Vec::new();
    for level in panel.levels.iter().filter(|level| level.value.is_finite()) {
        let ends = [(left, level.value), (right, level.value)];
        chart
            .draw_series(DashedLineSeries::new(ends, 2, 3, GREY.stroke_width(1)))
            .map_err(failure)?;
        let (across, down) = chart.backend_coord(&(right, level.value));
        names.push((across, down, level.name.clone()));
    }
    for (number, (curve, (dash, gap))) in panel.curves.iter().zip(DASHES.iter().cycle()).enumerate()
    {
        let points = finite(&curve.points);
        let Some(last) = points.last().copied() else {
            continue;
        };
        // Past the last kind of dash the strokes are thin, so that no two curves look alike.
        let stroke = INK.stroke_width(if number < DASHES.len() { 2 } else { 1 });
        if *gap == 0 {
            chart
                .draw_series(LineSeries::new(points, stroke))
                .map_err(failure)?;
        } else {
            chart
                .draw_series(DashedLineSeries::new(points, *dash, *gap, stroke))
                .map_err(failure)?;
        }
        let (across, down) = chart.backend_coord(&last);
        names.push((across, down, curve.name.clone()));
    }
    draw_names(names, area)
}

/// Names at the right ends, moved down where they would overlap, each tied to its end.
fn draw_names(mut names: Vec<(i32, i32, String)>, area: &Area<'_>) -> Result<(), Failure> {
    names.sort_by_key(|(_, down, _)| *down);
    let style = (FAMILY, LETTER)
        .into_font()
        .color(&INK)
        .pos(Pos::new(HPos::Left, VPos::Center));
    let (from_left, from_top) = area.get_base_pixel();
    let mut free_from = i32::MIN;
    for (across, down, name) in names {
        let (across, down) = (across - from_left, down - from_top);
        let at = down.max(free_from);
        free_from = at + LETTER + 4;
        let tie = vec![(across + 3, down), (across + 12, at)];
        area.draw(&PathElement::new(tie, GREY.stroke_width(1)))
            .map_err(failure)?;
        area.draw_text(&name, &style, (across + 16, at))
            .map_err(failure)?;
    }
    Ok(())
}

/// Pixels to the right of the panels: the longest name, its tie, and a margin.
fn room_for_names(plot: &Curves) -> u32 {
    let curves = plot
        .panels
        .iter()
        .flat_map(|panel| &panel.curves)
        .map(|curve| &curve.name);
    let levels = plot
        .panels
        .iter()
        .flat_map(|panel| &panel.levels)
        .map(|level| &level.name);
    let letters = curves
        .chain(levels)
        .map(|name| name.chars().count())
        .max()
        .unwrap_or(0) as u32;
    (30 + 8 * letters).clamp(120, WIDTH / 2)
}

/// What an axis counts, with its unit.
fn in_words(axis: &Axis) -> String {
    if axis.unit.is_empty() {
        axis.name.clone()
    } else {
        format!("{}, {}", axis.name, axis.unit)
    }
}

/// A round number a little above everything in the panel.
fn top(panel: &Panel) -> f64 {
    let curves = panel
        .curves
        .iter()
        .flat_map(|curve| finite(&curve.points))
        .map(|(_, height)| height);
    let levels = panel
        .levels
        .iter()
        .map(|level| level.value)
        .filter(|height| height.is_finite());
    let highest = curves.chain(levels).fold(0.0, f64::max) * 1.05;
    if highest <= 0.0 {
        return 1.0;
    }
    let decade = 10f64.powf(highest.log10().floor());
    let steps = [1.0, 1.2, 1.5, 2.0, 2.5, 3.0, 4.0, 5.0, 6.0, 8.0, 10.0];
    decade
        * steps
            .iter()
            .copied()
            .find(|step| step * decade >= highest)
            .unwrap_or(10.0)
}

fn finite(points: &[(f64, f64)]) -> Vec<(f64, f64)> {
    points
        .iter()
        .copied()
        .filter(|(across, height)| across.is_finite() && height.is_finite())
        .collect()
}

#[allow(clippy::trivially_copy_pass_by_ref)] // the form that the axis asks for
fn short(value: &f64) -> String {
    let rounded = (value * 1000.0).round() / 1000.0;
    format!("{rounded}")
}

fn failure<E: std::error::Error + Send + Sync>(error: DrawingAreaErrorKind<E>) -> Failure {
    error.to_string().into()
}

/// The file with its title and description, for readers that speak.
fn with_words(svg: &str, title: &str, description: &str) -> String {
    let Some((tag, content)) = svg.split_once('>') else {
        return svg.to_owned();
    };
    let (title, description) = (escaped(title), escaped(description));
    format!("{tag} role=\"img\">\n<title>{title}</title>\n<desc>{description}</desc>{content}")
}

fn escaped(text: &str) -> String {
    text.replace('&', "&amp;")
        .replace('<', "&lt;")
        .replace('>', "&gt;")
}

#[cfg(test)]
mod tests {
    use super::*;
    use receiver::curves::{Curve, Level};

    fn axis(name: &str, unit: &str) -> Axis {
        Axis {
            name: name.to_owned(),
            unit: unit.to_owned(),
        }
    }

    fn panel_with(levels: Vec<Level>) -> Panel {
        Panel {
            upright: axis("B+", "volts"),
            curves: Vec::new(),
            levels,
        }
    }

    fn two_curves() -> Curves {
        let curve = |name: &str, slope: f64| Curve {
            name: name.to_owned(),
            points: (0..=12)
                .map(|step| (f64::from(step) * 10.0, f64::from(step) * slope))
                .collect(),
        };
        Curves {
            title: "B+ against line <Larkfield & others>".to_owned(),
            text: "Without the lamp B+ rises to 345 V.".to_owned(),
            horizontal: axis("line", "volts rms"),
            peaks: Vec::new(),
            panels: vec![Panel {
                upright: axis("B+ main", "volts"),
                curves: vec![curve("without lamp", 28.0), curve("100 W lamp", 27.5)],
                levels: vec![Level {
                    name: "C1A marked 450 V".to_owned(),
                    value: 450.0,
                }],
            }],
        }
    }

    #[test]
    fn title_and_description_are_there_in_words() {
        let svg = svg(&two_curves()).unwrap_or_default();
        for wanted in [
            "<title>B+ against line &lt;Larkfield &amp; others&gt;</title>",
            "<desc>Without the lamp B+ rises to 345 V.</desc>",
            "role=\"img\"",
            "100 W lamp",
            "without lamp",
            "C1A marked 450 V",
            "line, volts rms",
        ] {
            assert!(svg.contains(wanted), "`{wanted}` is not in the picture");
        }
        assert!(svg.trim_end().ends_with("</svg>"));
    }

    #[test]
    fn the_second_curve_is_dashed() {
        let pieces = |plot: &Curves| svg(plot).unwrap_or_default().matches("<polyline").count();
        let both = two_curves();
        let mut first_only = both.clone();
        first_only.panels[0].curves.truncate(1);
        assert!(pieces(&both) > pieces(&first_only) + 10);
    }

    #[test]
    fn names_that_would_meet_are_moved_apart() {
        let svg = svg(&two_curves()).unwrap_or_default();
        let lines: Vec<&str> = svg.lines().collect();
        let height_of = |name: &str| -> i32 {
            let at = lines
                .iter()
                .position(|line| line.trim() == name)
                .unwrap_or_default();
            let tag = lines.get(at.saturating_sub(1)).copied().unwrap_or_default();
            let after = tag.split(" y=\"").nth(1).unwrap_or_default();
            after
                .split('"')
                .next()
                .and_then(|text| text.parse().ok())
                .unwrap_or_default()
        };
        let apart = (height_of("100 W lamp") - height_of("without lamp")).abs();
        assert!(apart >= LETTER, "{apart} pixels apart");
    }

    #[test]
    fn values_that_are_no_numbers_do_not_spoil_the_picture() {
        let mut plot = two_curves();
        plot.panels[0].curves[0].points.push((f64::NAN, 3.0));
        plot.panels[0].curves[1].points.push((130.0, f64::INFINITY));
        assert!(svg(&plot).is_ok_and(|text| !text.contains("NaN") && !text.contains("inf")));
    }

    #[test]
    fn nothing_to_draw_is_said() {
        let mut plot = two_curves();
        plot.panels = vec![panel_with(Vec::new())];
        assert!(svg(&plot).is_err());
        plot.panels.clear();
        assert!(svg(&plot).is_err());
    }

    #[test]
    fn the_top_is_round_and_above_everything() {
        for (highest, wanted) in [(345.0, 400.0), (450.0, 500.0), (6.3, 8.0), (0.0, 1.0)] {
            let level = Level {
                name: String::new(),
                value: highest,
            };
            assert_eq!(top(&panel_with(vec![level])), wanted);
        }
    }

    #[test]
    fn a_long_name_gets_its_room() {
        let mut plot = two_curves();
        let narrow = room_for_names(&plot);
        plot.panels[0].curves[0].name = "B+ main behind two lamps in parallel".to_owned();
        assert!(room_for_names(&plot) > narrow);
    }
}
