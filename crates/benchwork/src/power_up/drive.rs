//! The drive of the horizontal output tube in a step of the power-up: a stop, or what keeps the sweep feed open.
//!
//! Words. The law is that of [`receiver::sweep_drive`]. Fails only for a fault of the program's own figures.

use logbook::{Entry, Fact, StandingFact, standing_facts};
use receiver::sweep_drive::{Draws, Drive, OutputDrive, danger};
use receiver::untold::with_untold_tubes;
use receiver::wiring::SetModel;

use crate::check_sheet::catalogue;
use crate::drive_shown::drive_shown;
use crate::sheet_so_far::SheetSoFar;
use crate::trouble::Trouble;

/// Why these entries, and this fact behind them, make a stop; `None` where they do not.
pub(super) fn stop_for_drive(
    so_far: &SheetSoFar,
    entries: &[Entry],
    new: &Fact,
) -> Result<Option<String>, Trouble> {
    let danger = danger(&drives(so_far, entries, Some(new))?);
    Ok(danger.map(|own| format!("{} {}", own.head, own.because)))
}

/// What is told of a grid that shows no drive, or too little, while nothing feeds its tube.
pub(super) fn keeps_open(so_far: &SheetSoFar, entries: &[Entry]) -> Result<Vec<String>, Trouble> {
    let drives = drives(so_far, entries, None)?;
    let told = drives.iter().filter(|own| {
        matches!(own.drive, Drive::Nothing(_) | Drive::Weak(_))
            && matches!(own.draws, Draws::NotFed(_))
    });
    Ok(told.filter_map(OutputDrive::comes_first).collect())
}

fn drives(
    so_far: &SheetSoFar,
    entries: &[Entry],
    new: Option<&Fact>,
) -> Result<Vec<OutputDrive>, Trouble> {
    let sheet = &so_far.sheet;
    let catalogue = catalogue()?;
    let whole = with_untold_tubes(sheet, catalogue).map(|(whole, _)| whole);
    let model = SetModel::new(whole.as_ref().unwrap_or(sheet), catalogue);
    let mut facts = standing_facts(entries);
    if let (Some(fact), Some(last)) = (new, entries.last()) {
        facts.push(StandingFact {
            number: last.number + 1,
            at: &last.at,
            fact,
        });
    }
    Ok(drive_shown(&model, sheet, &facts, |_| None))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::sheet_so_far::sheet_so_far;
    use logbook::{Conditions, Logbook, Measured, Stamp, What};

    #[test]
    fn a_grid_without_drive_stops_a_fed_set_and_keeps_an_open_feed_open() {
        let text = include_str!("../../../../examples/whole/larkfield_12t.toml");
        let so_far = sheet_so_far(text, &[]).expect("read").expect("no fault");
        let grid = |volts: f64, open: &[&str]| {
            Fact::Measured(Measured {
                place: "V17.5".to_owned(),
                to: String::new(),
                what: What::DcVolts,
                typed: format!("{volts} V"),
                value: volts,
                meter: "10M".to_owned(),
                conditions: Conditions {
                    line_volts: Some(117.0),
                    open: open.iter().map(|own| (*own).to_owned()).collect(),
                    seconds: Some(120.0),
                    ..Conditions::default()
                },
                note: String::new(),
            })
        };
        let folder = tempfile::tempdir().expect("a folder");
        let mut book = Logbook::start(&folder.path().join("a.restoration"), "L").expect("starts");
        let at = Stamp::read("2026-11-29T08:00:00+01:00").expect("a time");
        book.append(&at, &grid(-24.0, &["J2"])).expect("kept");
        let entries = book.entries().expect("read");
        assert_eq!(keeps_open(&so_far, &entries).expect("told"), [""; 0]);
        let stop = |new: &Fact| stop_for_drive(&so_far, &entries, new).expect("told");
        assert_eq!(stop(&grid(-24.0, &[])), None);
        assert_eq!(stop(&grid(0.0, &["J2"])), None);
        let told = stop(&grid(0.0, &[])).expect("a stop");
        assert!(told.contains("pull the plug now"), "{told}");
        book.append(&at, &grid(0.0, &["J2"])).expect("kept");
        let told = keeps_open(&so_far, &book.entries().expect("read")).expect("told");
        assert!(told[0].contains("J2 is open"), "{told:?}");
    }
}
