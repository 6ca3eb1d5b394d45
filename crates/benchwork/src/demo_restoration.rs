//! A restoration of the demo's set, begun in a file of its own: three readings, each judged.
//!
//! Volts. The file stands in a folder that goes away with the demo; the time is a fixed one. What
//! the set foresees was worked out for the demo's readings already and is kept in the file, as it is
//! after the first reading of any restoration. Fails where no file can be written.

use logbook::{Logbook, Stamp};
use receiver::conditions::BenchConditions;
use receiver::foresight::Foresight;
use receiver::judge_reading::TakenReading;
use receiver::reading::What;

use crate::judge_entry::foresight_rests_on;
use crate::kept_foresight;
use crate::read_sheet_file::SheetFile;
use crate::record::{NewReading, record_reading};
use crate::restoration::{Entering, trouble};
use crate::sheet_so_far::sheet_so_far;
use crate::start_restoration::start_restoration;
use crate::tell_demo::{EXAMPLE_NAME, EXAMPLE_SHEET};
use crate::trouble::Trouble;
use crate::view::RecordedView;

/// The day on which the demo's set is measured.
const DAY: &str = "2026-11-29T10:00:00+00:00";

/// What the restorer reads: one inside, one low, one a slip of the decimal point.
const READINGS: [(&str, &str); 3] = [("B+ main", "312 V"), ("V9.6", "61 V"), ("V9.7", "11.5 V")];

/// The entries, each with its verdict.
pub(crate) fn demo_restoration(foresight: &Foresight) -> Result<Vec<RecordedView>, Trouble> {
    let folder = tempfile::tempdir().map_err(|error| Trouble::File {
        name: "the folder for passing files".to_owned(),
        text: error.to_string(),
        hint: "the demo keeps its restoration there for a moment: make room, or set TMPDIR"
            .to_owned(),
    })?;
    let path = folder.path().join("larkfield.restoration");
    let at = Stamp::read(DAY).map_err(Trouble::ours)?;
    let entering = Entering::new(&path, at);
    let sheet = SheetFile::in_memory(EXAMPLE_NAME, EXAMPLE_SHEET);
    start_restoration(&entering, &sheet, None)?;
    if let (Some(so_far), Some(bytes)) = (
        sheet_so_far(EXAMPLE_SHEET, &[])?,
        kept_foresight::to_bytes(foresight),
    ) {
        let conditions = BenchConditions {
            bands: true,
            ..BenchConditions::default()
        };
        let taken = TakenReading {
            at: String::new(),
            to: None,
            what: What::DcVolts,
            value: 0.0,
        };
        let rests_on = foresight_rests_on(&so_far, &conditions, &taken);
        let mut book = Logbook::open(&path).map_err(|error| trouble(&path, error))?;
        book.keep_worked_out(&rests_on, &bytes)
            .map_err(|error| trouble(&path, error))?;
    }
    let read = |(place, value): (&str, &str)| {
        record_reading(
            &entering,
            NewReading {
                place: place.to_owned(),
                value: value.to_owned(),
                ..NewReading::default()
            },
        )
    };
    READINGS.into_iter().map(read).collect()
}

#[cfg(test)]
mod tests {
    use crate::tell_demo;

    #[test]
    fn the_demo_shows_one_reading_inside_one_low_and_one_slip() {
        let demo = tell_demo().expect("told");
        let verdicts: Vec<(&str, bool)> = demo
            .readings
            .iter()
            .filter_map(|made| made.judged.as_ref())
            .map(|judged| (judged.verdict, judged.meant_as.is_some()))
            .collect();
        assert_eq!(
            verdicts,
            [("inside", false), ("low", false), ("high", true)]
        );
        // The first narrows what hangs on it.
        let first = demo.readings[0].judged.as_ref().expect("judged");
        assert!(!first.narrows.is_empty());
    }
}
