//! What is changed from a page that is out of date is refused, and what overtook it is told.
//!
//! The set is the invented one of the demo; entry 1 is its sheet, entries 2 and 3 are readings.

use std::path::PathBuf;

use benchwork::view::{RecordedView, TroubleView};
use benchwork::{
    EXAMPLE_NAME, EXAMPLE_SHEET, Entering, NewReading, SheetFile, Stamp, Trouble, correct_entry,
    record_reading, start_restoration, take_in_sheet, tell_story, undo_entry,
};

struct Bench {
    _folder: tempfile::TempDir,
    file: PathBuf,
}

impl Bench {
    fn new() -> Bench {
        let folder = tempfile::tempdir().expect("a folder");
        let file = folder.path().join("a.restoration");
        let bench = Bench {
            _folder: folder,
            file,
        };
        let sheet = SheetFile::in_memory(EXAMPLE_NAME, EXAMPLE_SHEET);
        start_restoration(&bench.entering(None), &sheet, None).expect("started");
        bench.read("V9.1");
        bench.read("V9.2");
        bench
    }

    fn entering(&self, seen: Option<u64>) -> Entering<'_> {
        let at = Stamp::read("2026-11-29T08:49:51+01:00").expect("a time");
        Entering {
            seen,
            ..Entering::new(&self.file, at)
        }
    }

    /// A reading of a kind that nothing predicts, so that nothing is worked out.
    fn read(&self, place: &str) -> u64 {
        let new = NewReading {
            place: place.to_owned(),
            value: "3.2 mA".to_owned(),
            what: Some("leakage_milliamps".to_owned()),
            ..NewReading::default()
        };
        let made = record_reading(&self.entering(None), new).expect("recorded");
        made.entry.number
    }

    fn correct(&self, seen: Option<u64>, number: u64, text: &str) -> Result<RecordedView, Trouble> {
        correct_entry(&self.entering(seen), number, &[text.to_owned()], "")
    }

    fn undo(&self, seen: Option<u64>, number: Option<u64>) -> Result<RecordedView, Trouble> {
        undo_entry(&self.entering(seen), number, "")
    }

    fn take(&self, seen: Option<u64>, remark: &str) -> Result<RecordedView, Trouble> {
        let sheet = format!("{EXAMPLE_SHEET}\n# {remark}\n");
        let sheet = SheetFile::in_memory(EXAMPLE_NAME, sheet.into_bytes());
        take_in_sheet(&self.entering(seen), &sheet)
    }

    fn entered(&self) -> usize {
        tell_story(&self.file, true).expect("told").entered
    }

    /// Holds that it was refused because of that entry, with these words, and nothing written.
    fn check(&self, outcome: Result<RecordedView, Trouble>, wanted: (u64, &str), entered: usize) {
        let trouble = outcome.map(|made| made.entry.text).expect_err("refused");
        let (number, words) = wanted;
        match &trouble {
            Trouble::Overtaken { text, hint, by } => {
                assert_eq!(*by, number, "{text}");
                assert!(text.contains(words), "`{words}` is not in {text}");
                assert!(hint.contains("how it stands now"), "{hint}");
            }
            other => panic!("{other:?}"),
        }
        assert_eq!(trouble.exit_status(), 1);
        match TroubleView::from(&trouble) {
            TroubleView::Faults(view) => {
                assert_eq!(view.faults[0].text, trouble.to_string());
                assert_eq!(view.overtaken_by, Some(number));
            }
            other => panic!("{other:?}"),
        }
        assert_eq!(self.entered(), entered);
    }
}

#[test]
fn a_correction_of_what_was_corrected_meanwhile_is_refused() {
    let bench = Bench::new();
    bench.correct(None, 2, "note = hot").expect("corrected");
    let words = "entry 2 was corrected meanwhile, by entry 4 (entry 2 now reads: V9.1: 3.2 mA";
    bench.check(bench.correct(Some(3), 2, "note = cold"), (4, words), 4);
    bench.check(bench.undo(Some(3), Some(2)), (4, words), 4);
    // Two who say the same: the second is told that it stands so already, by which entry.
    bench.check(bench.correct(Some(3), 2, "note = hot"), (4, words), 4);
    // What was not touched may be changed, and what was seen as it stands.
    let made = bench.correct(Some(3), 3, "note = cold").expect("corrected");
    assert_eq!(made.entry.number, 5);
    bench.correct(Some(5), 2, "note = cold").expect("corrected");
    // Without a page everything is as it was.
    bench.correct(None, 2, "note = warm").expect("corrected");
    assert_eq!(bench.entered(), 7);
}

#[test]
fn an_undo_of_what_was_undone_meanwhile_is_refused() {
    let bench = Bench::new();
    bench.undo(None, Some(3)).expect("undone");
    let words = "entry 3 was undone meanwhile, by entry 4 (entry 3 undone); nothing was written";
    bench.check(bench.undo(Some(3), Some(3)), (4, words), 4);
    bench.check(bench.correct(Some(3), 3, "note = hot"), (4, words), 4);
    // The last one is the last that was shown, and that is undone already.
    bench.check(bench.undo(Some(3), None), (4, words), 4);
    // Shown again, the last that stands is entry 2; then somebody reads on.
    let last = bench.entered() as u64;
    bench.read("V9.6");
    let made = bench.undo(Some(last), None).expect("undone");
    assert!(
        made.entry.text.contains("entry 2 undone"),
        "{}",
        made.entry.text
    );
}

#[test]
fn a_sheet_in_the_place_of_another_than_was_shown_is_refused() {
    let bench = Bench::new();
    assert_eq!(bench.take(Some(3), "bench").expect("taken").entry.number, 4);
    let words = "another sheet was taken in meanwhile, by entry 4; nothing was written";
    bench.check(bench.take(Some(3), "phone"), (4, words), 4);
    assert_eq!(bench.take(Some(4), "phone").expect("taken").entry.number, 5);
    assert_eq!(bench.take(None, "bench").expect("taken").entry.number, 6);
}

#[test]
fn a_page_of_another_file_is_told_apart() {
    let bench = Bench::new();
    for outcome in [
        bench.undo(Some(40), Some(2)),
        bench.correct(Some(40), 2, "note = hot"),
        bench.take(Some(40), "phone"),
    ] {
        match outcome {
            Err(Trouble::Input { faults }) => {
                assert!(
                    faults[0].text.contains("there is no entry 40"),
                    "{faults:?}"
                );
            }
            other => panic!("{other:?}"),
        }
    }
    assert_eq!(bench.entered(), 3);
}
