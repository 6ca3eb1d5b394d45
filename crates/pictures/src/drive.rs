//! Cathode current against grid volts: the published laws side by side, and the band of the type.
//!
//! Volts that the grid stands below the cathode across, microamperes upward. Fails for a type
//! whose cut-off is not known.

use benchwork::view::PictureView;

use super::narrow_plot::{NarrowPlot, Sign};

/// The laws in the order in which the view has them, and how each is drawn.
const LAWS: [(&str, Sign); 4] = [
    ("law of 1953, drive to the power 2.43", Sign::Line("", 2)),
    ("law of the power 5/2", Sign::Line("9 5", 2)),
    ("older law, the power 3", Sign::Line("3 4", 2)),
    ("law of 1946, the power 7/2", Sign::Line("14 4 2 4", 2)),
];

/// The picture of a type at its second grid's volts.
pub fn svg(view: &PictureView) -> Result<String, String> {
    let drive = &view.drive;
    if let Some(unknown) = &drive.unknown {
        return Err(unknown.clone());
    }
    let title = format!("{}: cathode current and grid volts", view.type_name);
    let volts = drive.second_grid_volts.unwrap_or_default();
    let under = format!("second grid at {volts} V");
    let end = drive.laws.last().map_or(1.0, |point| point.bias_volts);
    let top = drive
        .laws
        .iter()
        .map(|point| point.band.high)
        .fold(0.0, f64::max);
    let names = ["volts that the grid stands below the cathode", "uA"];
    let mut plot = NarrowPlot::new([&title, &under], (end, 1.05 * top), names);
    let edge = |high: bool| -> Vec<(f64, f64)> {
        let pick = |band: &benchwork::view::BandView| if high { band.high } else { band.low };
        let points = drive.laws.iter();
        points
            .map(|point| (point.bias_volts, pick(&point.band)))
            .collect()
    };
    plot.band(
        &edge(false),
        &edge(true),
        "nine of ten healthy tubes of the type",
    );
    for (place, (name, sign)) in LAWS.iter().enumerate() {
        let points: Vec<(f64, f64)> = drive
            .laws
            .iter()
            .filter_map(|point| Some((point.bias_volts, *point.microamperes.get(place)?)))
            .collect();
        plot.curve(&points, *sign, name);
    }
    let mut below = vec!["The curves are those of a tube in the middle of the type.".to_owned()];
    if let Some([near, far]) = drive.cut_off_by_grid {
        below.push(format!(
            "Cut-off {near:.0} to {far:.0} V from tube to tube."
        ));
    }
    let words = below.join(" ");
    Ok(plot.svg(&title, &words, &below))
}
