//! The curves of the pictures: B+ against the line, and B+ and heaters against time.
//!
//! Units: in the axes of the curves. Fails when the sheet has faults, when the
//! conditions do not fit it, or when the set could not be solved.

use receiver::conditions::BenchConditions;
use receiver::curves::Curves;
use receiver::sheet::Sheet;

use crate::asked_of_receiver;
use crate::check_conditions::fitting;
use crate::check_sheet::powered_sheet;
use crate::read_sheet_file::SheetFile;
use crate::trouble::Trouble;

/// The lamp drawn where none is named and the bench has none, watts (common practice).
const USUAL_LAMP_WATTS: f64 = 100.0;

/// B+ against line voltage, without a lamp and with one: that of the conditions, else the
/// largest of the bench.
pub fn curves_over_line(file: &SheetFile, conditions: &BenchConditions) -> Result<Curves, Trouble> {
    let (sheet, _) = powered_sheet(file)?;
    let conditions = plugged_in(fitting(conditions, &sheet)?)?;
    let lamps = lamps_to_draw(&conditions, &sheet);
    asked_of_receiver::supply_against_line(&sheet, &conditions, &lamps)
}

/// B+ and heaters against seconds from switch-on, with the marked volts of the cans.
pub fn curves_over_time(file: &SheetFile, conditions: &BenchConditions) -> Result<Curves, Trouble> {
    let (sheet, _) = powered_sheet(file)?;
    let conditions = plugged_in(fitting(conditions, &sheet)?)?;
    asked_of_receiver::warm_up_curves(&sheet, &conditions)
}

fn plugged_in(conditions: BenchConditions) -> Result<BenchConditions, Trouble> {
    if conditions.direct_source.is_some() {
        return Err(Trouble::input(
            "a picture needs the line: with a d.c. source the plug is out",
            "leave out the source, or the picture",
        ));
    }
    Ok(BenchConditions {
        to: None,
        meter: None,
        ..conditions
    })
}

fn lamps_to_draw(conditions: &BenchConditions, sheet: &Sheet) -> Vec<f64> {
    if !conditions.lamps.is_empty() {
        return conditions.lamps.clone();
    }
    let own = sheet
        .bench
        .iter()
        .flat_map(|bench| bench.lamps.iter().copied());
    vec![own.max_by(f64::total_cmp).unwrap_or(USUAL_LAMP_WATTS)]
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{EXAMPLE_NAME, EXAMPLE_SHEET};

    fn example() -> SheetFile {
        SheetFile::in_memory(EXAMPLE_NAME, EXAMPLE_SHEET)
    }

    #[test]
    fn the_line_is_drawn_without_a_lamp_and_with_that_of_the_bench() {
        let curves = curves_over_line(&example(), &BenchConditions::default());
        let curves = curves.unwrap_or_else(|trouble| panic!("{trouble}"));
        let names: Vec<&str> = curves
            .panels
            .iter()
            .flat_map(|panel| &panel.curves)
            .map(|curve| curve.name.as_str())
            .collect();
        assert!(
            names.iter().any(|name| name.contains("without lamp")),
            "{names:?}"
        );
        assert!(
            names.iter().any(|name| name.contains("behind")),
            "{names:?}"
        );
    }

    #[test]
    fn a_picture_without_the_line_is_refused() {
        let source = receiver::conditions::DirectSource {
            place: "B+ main".to_owned(),
            volts: 300.0,
            series_ohms: 47e3,
        };
        let conditions = BenchConditions {
            direct_source: Some(source),
            ..Default::default()
        };
        assert!(matches!(
            curves_over_line(&example(), &conditions),
            Err(Trouble::Input { .. })
        ));
        assert!(matches!(
            curves_over_time(&example(), &conditions),
            Err(Trouble::Input { .. })
        ));
    }
}
