//! Photographs that come as bytes, and the tubes that are marked on them.
//!
//! The set is the invented one of the demo, the photographs single pixels made by hand after the PNG
//! specification.

use std::path::PathBuf;

use benchwork::view::{ChassisView, FoundThereView, RecordedView};
use benchwork::{
    EXAMPLE_NAME, EXAMPLE_SHEET, Entering, HandOnAsk, LARGEST_PHOTOGRAPH_BYTES, PhotographForm,
    Placed, SheetFile, Stamp, Trouble, add_photograph, add_photograph_bytes, correct_entry,
    find_on_photographs, hand_on, photograph, place_on_photograph, start_restoration,
    take_in_sheet, take_off_photograph, tell_chassis, tell_story, undo_entry,
};

/// A grey pixel. Each comment behind it makes another file of the same picture.
const PIXEL: &[u8] = &[
    0x89, b'P', b'N', b'G', 0x0d, 0x0a, 0x1a, 0x0a, 0, 0, 0, 13, b'I', b'H', b'D', b'R', 0, 0, 0,
    1, 0, 0, 0, 1, 8, 0, 0, 0, 0, 0x3a, 0x7e, 0x9b, 0x55, 0, 0, 0, 10, b'I', b'D', b'A', b'T',
    0x78, 0x9c, 0x63, 0x60, 0, 0, 0, 2, 0, 1, 0x48, 0xaf, 0xa4, 0x71, 0, 0, 0, 0, b'I', b'E', b'N',
    b'D', 0xae, 0x42, 0x60, 0x82,
];

/// Part, type, place, entry.
type Marked = (String, Option<String>, (f64, f64), u64);

struct Bench {
    _folder: tempfile::TempDir,
    file: PathBuf,
}

impl Bench {
    fn new() -> Bench {
        Bench::with(EXAMPLE_SHEET)
    }

    fn with(sheet: &str) -> Bench {
        let folder = tempfile::tempdir().expect("a folder");
        let file = folder.path().join("a.restoration");
        let bench = Bench {
            _folder: folder,
            file,
        };
        let sheet = SheetFile::in_memory(EXAMPLE_NAME, sheet);
        start_restoration(&bench.entering(), &sheet, None).expect("started");
        bench
    }

    fn entering(&self) -> Entering<'_> {
        let at = Stamp::read("2026-11-29T08:49:51+01:00").expect("a time");
        Entering::new(&self.file, at)
    }

    /// Adds a photograph of its own; its entry and hash.
    fn photograph(&self, shows: &str) -> (u64, String) {
        let bytes = [PIXEL, shows.as_bytes()].concat();
        let made = add_photograph_bytes(&self.entering(), "IMG 1.png", bytes, shows, "");
        let made = made.expect("added");
        let hash = made.entry.says["photograph"].as_str().expect("a hash");
        (made.entry.number, hash.to_owned())
    }

    fn place(&self, part: &str, on: &str, at: (f64, f64)) -> Result<RecordedView, Trouble> {
        let placed = Placed {
            part: part.to_owned(),
            photograph: on.to_owned(),
            across: at.0,
            down: at.1,
        };
        place_on_photograph(&self.entering(), placed)
    }

    fn chassis(&self) -> ChassisView {
        tell_chassis(&self.file).expect("told")
    }

    /// The marks of a photograph.
    fn marks(&self, on: &str) -> Vec<Marked> {
        let view = self.chassis();
        let own = view.photographs.iter().find(|own| own.photograph == on);
        let marks = own.map_or(&[][..], |own| &own.marks);
        marks
            .iter()
            .map(|mark| {
                let place = (mark.across, mark.down);
                (
                    mark.part.clone(),
                    mark.type_number.clone(),
                    place,
                    mark.entry,
                )
            })
            .collect()
    }
}

fn faults(outcome: Result<RecordedView, Trouble>) -> Vec<String> {
    match outcome {
        Err(Trouble::Input { faults }) => {
            assert!(faults.iter().all(|fault| !fault.hint.is_empty()));
            faults.into_iter().map(|fault| fault.text).collect()
        }
        other => panic!("{other:?}"),
    }
}

#[test]
fn tubes_are_marked_moved_and_taken_off() {
    let bench = Bench::new();
    let (_, above) = bench.photograph("above");
    let (_, below) = bench.photograph("below");
    let all = bench.chassis().not_placed.len();
    assert!(all > 10 && bench.chassis().photographs.len() == 2);
    let made = bench.place(" v9 ", &above, (0.25, 0.5)).expect("marked");
    assert_eq!(made.entry.kind, "placed");
    assert!(made.notices.is_empty(), "{:?}", made.notices);
    assert_eq!(made.entry.says["across"], 0.25);
    assert!(
        made.entry
            .text
            .contains("25 percent from the left, 50 from the top"),
        "{}",
        made.entry.text
    );
    let first = made.entry.number;
    bench.place("V9", &below, (0.75, 0.5)).expect("marked");
    bench.place("C40", &below, (0.0, 1.0)).expect("marked");
    let type_of_v9 = || Some("6AU6".to_owned());
    let v9 = |place, entry| ("V9".to_owned(), type_of_v9(), place, entry);
    assert_eq!(bench.marks(&above), [v9((0.25, 0.5), first)]);
    let c40 = ("C40".to_owned(), None, (0.0, 1.0), first + 2);
    assert_eq!(bench.marks(&below), [v9((0.75, 0.5), first + 1), c40]);
    let view = bench.chassis();
    assert_eq!(view.not_placed.len(), all - 1);
    assert!(view.not_placed.iter().all(|tube| tube.part != "V9"));
    // Marked again, it is there once; corrected, it moves as well.
    let moved = bench.place("V9", &above, (0.3, 0.5)).expect("marked");
    let moved = moved.entry.number;
    assert_eq!(bench.marks(&above), [v9((0.3, 0.5), moved)]);
    correct_entry(&bench.entering(), moved, &["down = 0.6".to_owned()], "").expect("corrected");
    assert_eq!(bench.marks(&above), [v9((0.3, 0.6), moved)]);
    // The last mark undone, the one before holds again; taken off, none does.
    undo_entry(&bench.entering(), Some(moved), "").expect("undone");
    assert_eq!(bench.marks(&above), [v9((0.25, 0.5), first)]);
    bench.place("V9", &above, (0.3, 0.5)).expect("marked");
    let before = tell_story(&bench.file, true).expect("told").entered;
    let off = Entering {
        once: Some("taken-off-once"),
        ..bench.entering()
    };
    for _ in 0..2 {
        let taken = take_off_photograph(&off, "v9", &above).expect("taken off");
        assert_eq!(taken.entry.number, before as u64 + 1);
    }
    assert_eq!(
        tell_story(&bench.file, true).expect("told").entered,
        before + 2
    );
    assert_eq!(bench.marks(&above), []);
    assert_eq!(bench.marks(&below).len(), 2);
    let again = take_off_photograph(&bench.entering(), "V9", &above);
    assert_eq!(faults(again), ["`V9` is not marked on this photograph"]);
}

#[test]
fn a_mark_is_sent_once() {
    let bench = Bench::new();
    let (_, above) = bench.photograph("above");
    let entering = Entering {
        once: Some("a-mark-of-v9"),
        ..bench.entering()
    };
    let placed = Placed {
        part: "V9".to_owned(),
        photograph: above.clone(),
        across: 0.5,
        down: 0.5,
    };
    let made = place_on_photograph(&entering, placed.clone()).expect("marked");
    let again = place_on_photograph(&entering, placed).expect("told");
    assert_eq!(made.entry, again.entry);
    assert!(
        again.notices[0]
            .text
            .contains("entered already, as entry 3")
    );
    assert_eq!(bench.marks(&above).len(), 1);
}

#[test]
fn what_is_no_mark_is_told_all_at_once() {
    let bench = Bench::new();
    let (number, above) = bench.photograph("above");
    let told = faults(bench.place("", &above, (1.5, -0.1)));
    for (told, wanted) in told
        .iter()
        .zip(["part", "across 1.5 read", "down -0.1 read"])
    {
        assert!(told.contains(wanted), "{told}");
    }
    assert_eq!(told.len(), 3);
    let told = faults(bench.place("V9", "IMG 1.png", (0.5, f64::NAN)));
    assert_eq!(told.len(), 3, "{told:?}");
    // A photograph of another set; one that was undone.
    let other = "0123456789abcdef".repeat(4);
    assert!(faults(bench.place("V9", &other, (0.5, 0.5)))[0].contains("no photograph"));
    bench.place("V9", &above, (0.5, 0.5)).expect("marked");
    let all = bench.chassis().not_placed.len();
    undo_entry(&bench.entering(), Some(number), "blurred").expect("undone");
    assert!(faults(bench.place("V9", &above, (0.5, 0.5)))[0].contains("no photograph"));
    let view = bench.chassis();
    assert_eq!(
        (view.photographs.len(), view.not_placed.len()),
        (0, all + 1)
    );
}

#[test]
fn what_the_sheet_lacks_is_kept_and_told() {
    let bench = Bench::new();
    let (first, above) = bench.photograph("above");
    let made = bench.place("V99", &above, (0.5, 0.5)).expect("marked");
    assert!(made.notices[0].text.contains("the sheet has no `V99`"));
    let mark = &bench.chassis().photographs[0].marks[0];
    assert_eq!((mark.part.as_str(), mark.on_sheet), ("V99", false));
    assert_eq!(mark.type_number, None);
    // With a sheet of another set the marks are still there.
    let merrow = include_str!("../../../examples/merrow_17s.toml");
    let merrow = SheetFile::in_memory("merrow.toml", merrow);
    take_in_sheet(&bench.entering(), &merrow).expect("taken in");
    assert_eq!(bench.marks(&above).len(), 1);
    // The same photograph added again is one, as it was described last.
    let again = [PIXEL, b"above".as_slice()].concat();
    let made = add_photograph_bytes(&bench.entering(), "a.png", again, "from above", "");
    let last = made.expect("added").entry.number;
    let view = bench.chassis();
    assert_eq!(view.photographs.len(), 1);
    let own = &view.photographs[0];
    assert_eq!((own.entry, own.shows.as_str()), (last, "from above"));
    assert!(last > first && own.marks.len() == 1);
}

#[test]
fn photographs_come_back_with_their_media_type() {
    let bench = Bench::new();
    let (_, hash) = bench.photograph("above");
    let original = photograph(&bench.file, &hash, PhotographForm::Original).expect("kept");
    assert_eq!(original.bytes, [PIXEL, b"above".as_slice()].concat());
    assert_eq!(original.media_type, "image/png");
    let upright = photograph(&bench.file, &hash, PhotographForm::Upright).expect("kept");
    assert_eq!(upright.media_type, "image/jpeg");
    assert!(upright.bytes.starts_with(&[0xff, 0xd8, 0xff]));
    for form in [PhotographForm::Original, PhotographForm::Upright] {
        match photograph(&bench.file, "no/such/../photograph", form) {
            Err(Trouble::Input { faults }) => assert!(faults[0].text.contains("no photograph")),
            other => panic!("{other:?}"),
        }
    }
}

#[test]
fn bytes_and_files_are_held_to_the_same() {
    let bench = Bench::new();
    let path = bench.file.with_extension("jpg");
    let mut huge = PIXEL.to_vec();
    // 65,536 by 65,536 pixels, with the checksum of such a head (CRC-32, PNG specification).
    huge[17] = 1;
    huge[19] = 0;
    huge[21] = 1;
    huge[23] = 0;
    let crc = crc_32(&huge[12..29]).to_be_bytes();
    huge[29..33].copy_from_slice(&crc);
    let long = [PIXEL, &vec![0; LARGEST_PHOTOGRAPH_BYTES]].concat();
    for (bytes, wanted) in [
        (b"tubes = 3\n".to_vec(), "the file is a text and no picture"),
        (vec![7; 4000], "no picture that is known here"),
        (Vec::new(), "the file is empty"),
        (PIXEL[..50].to_vec(), "cannot be read"),
        (huge, "65536 by 65536 pixels are more than the 220 million"),
        (long, "bytes are more than the 67108864 that are kept"),
    ] {
        std::fs::write(&path, &bytes).expect("written");
        let of_path = add_photograph(&bench.entering(), &path, "", "");
        let of_bytes = add_photograph_bytes(&bench.entering(), "a.jpg", bytes, "", "");
        for (outcome, name) in [
            (of_path, path.display().to_string()),
            (of_bytes, "a.jpg".into()),
        ] {
            match outcome {
                Err(Trouble::File {
                    name: told,
                    text,
                    hint,
                }) => {
                    assert!(text.contains(wanted), "`{wanted}` is not in {text}");
                    assert!(told == name && !hint.is_empty());
                }
                other => panic!("{wanted}: {other:?}"),
            }
        }
    }
    assert_eq!(tell_story(&bench.file, true).expect("told").entered, 1);
    // Another device may put a folder before the name, or none at all.
    let named = |name: &str| {
        let made = add_photograph_bytes(&bench.entering(), name, PIXEL.to_vec(), "", "");
        made.expect("added").entry.says["name"].clone()
    };
    assert_eq!(named("C:\\fakepath\\IMG 2.png"), "IMG 2.png");
    assert_eq!(named(""), "photograph");
}

fn crc_32(bytes: &[u8]) -> u32 {
    let mut crc = u32::MAX;
    for byte in bytes {
        crc ^= u32::from(*byte);
        for _ in 0..8 {
            let low = crc & 1;
            crc >>= 1;
            if low == 1 {
                crc ^= 0xedb8_8320;
            }
        }
    }
    !crc
}

#[test]
fn what_has_no_mark_is_looked_for_at_the_tubes_that_it_is_wired_to() {
    // A coupling capacitor from a plate to the next grid, as a row of a sheet has it.
    let row = r#"["C99", "paper", "0.01 mfd 600 V", "V13.7", "V15.5"],"#;
    let sheet = EXAMPLE_SHEET.replacen("parts = [", &format!("parts = [\n  {row}"), 1);
    assert_ne!(sheet, EXAMPLE_SHEET);
    let bench = Bench::with(&sheet);
    let (_, side) = bench.photograph("from the side");
    let (_, above) = bench.photograph("from above");
    bench.place("V13", &side, (0.1, 0.1)).expect("placed");
    bench.place("V13", &above, (0.2, 0.5)).expect("placed");
    bench.place("V15", &above, (0.4, 0.5)).expect("placed");
    let named = ["c99", "v15.5", "nothing", "V13's socket"].map(str::to_owned);
    let told = || {
        let found = find_on_photographs(&bench.file, &named).expect("told");
        let found = found.expect("a photograph shows them");
        let at = |own: &FoundThereView| own.at.iter().map(|mark| mark.part.clone()).collect();
        let at: Vec<(String, Vec<String>)> = found
            .found
            .iter()
            .map(|own| (own.named.clone(), at(own)))
            .collect();
        (found.photograph, at)
    };
    let of = |named: &str, at: &[&str]| {
        let at: Vec<String> = at.iter().map(|own| (*own).to_owned()).collect();
        (named.to_owned(), at)
    };
    // Of two photographs the one that shows most.
    assert_eq!(
        told(),
        (
            above.clone(),
            vec![
                of("c99", &["V13", "V15"]),
                of("v15.5", &["V15"]),
                of("V13's socket", &["V13"])
            ]
        )
    );
    // Its own mark goes before those of its tubes.
    bench.place("C99", &above, (0.9, 0.9)).expect("placed");
    assert_eq!(
        told(),
        (
            above,
            vec![
                of("c99", &["C99"]),
                of("v15.5", &["V15"]),
                of("V13's socket", &["V13"])
            ]
        )
    );
    let none = find_on_photographs(&bench.file, &["nothing".to_owned()]);
    assert!(none.expect("told").is_none());
}

#[test]
fn the_story_that_is_handed_on_tells_no_marks() {
    let bench = Bench::new();
    let (photographed, above) = bench.photograph("from above");
    bench.place("V13", &above, (0.2, 0.5)).expect("placed");
    let at = Stamp::read("2026-11-29T09:00:00+01:00").expect("a time");
    let ask = HandOnAsk {
        file: &bench.file,
        at,
        restored_by: None,
    };
    let view = hand_on(&ask).expect("told");
    let told: Vec<u64> = view.story.iter().map(|own| own.entry.number).collect();
    assert_eq!(told, [1, photographed]);
    assert_eq!(view.left_out, 1);
}
