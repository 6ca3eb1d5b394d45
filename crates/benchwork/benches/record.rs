//! Entering a reading as a restorer does, with few facts in the file and with 5,000; telling what is kept.
//!
//! The figure to reach: at most 50 ms with 5,000 facts and 300 photographs in the file. Measured is the whole
//! way: opening and checking the file, reading the sheet that holds, writing, waiting for the
//! disk, telling the entry. The same with 50 facts stands beside it for the ratio.

use std::path::PathBuf;

use benchwork::{
    EXAMPLE_SHEET, Entering, NewFinding, NewNeedle, NewReading, PhotographForm, PictureAsk, Placed,
    SheetFile, Stamp, photograph, place_on_photograph, record_findings, record_reading,
    start_restoration, tell_chassis, tell_story, undo_entry,
};
use divan::{Bencher, black_box};
use logbook::{Fact, Logbook, Photograph, Photographed};

fn main() {
    divan::main();
}

fn stamp() -> Stamp {
    Stamp::read("2026-11-29T08:49:51+01:00").expect("a time")
}

fn reading() -> NewReading {
    NewReading {
        place: "V9.5".to_owned(),
        value: "135 V".to_owned(),
        meter: "20k/V 500 V".to_owned(),
        ..NewReading::default()
    }
}

/// A restoration of the example set with so many facts.
fn filled(facts: usize) -> (tempfile::TempDir, PathBuf) {
    let folder = tempfile::tempdir().expect("a folder");
    let file = folder.path().join("a.restoration");
    let entering = Entering::new(&file, stamp());
    let sheet = SheetFile::in_memory("larkfield.toml", EXAMPLE_SHEET);
    start_restoration(&entering, &sheet, None).expect("started");
    record_reading(&entering, reading()).expect("recorded");
    let mut book = Logbook::open(&file).expect("opens");
    let last = book.last_entry().expect("read").expect("one");
    assert!(matches!(last.fact, Fact::Measured(_)));
    book.fill(&[], &[], &vec![last; facts - 2]).expect("filled");
    drop(book);
    (folder, file)
}

#[divan::bench(args = [50, 5000])]
fn enter_a_reading(bencher: Bencher<'_, '_>, facts: usize) {
    let (_folder, file) = filled(facts);
    bencher.bench_local(|| {
        let entering = Entering::new(&file, stamp());
        black_box(record_reading(&entering, reading()).expect("recorded"))
    });
}

/// A picture tube's reading among so many facts, twenty of them emission; the tube is judged.
#[divan::bench(args = [50, 5000])]
fn enter_a_picture_tube_reading(bencher: Bencher<'_, '_>, facts: usize) {
    let (_folder, file) = filled(facts - 21);
    let ask = PictureAsk::default();
    let enter = |readings: Vec<String>| {
        let entering = Entering::new(&file, stamp());
        let needle = NewNeedle {
            scale_end: Some("100 %".to_owned()),
            ..NewNeedle::default()
        };
        let new = NewFinding::Emission { readings, needle };
        record_findings(&entering, &ask, ("", ""), &new).expect("recorded")
    };
    let shown = |at: f64| 60.0 - 50.0 * (-at / 10.0_f64).exp();
    enter(
        (1..=20)
            .map(|at| format!("{}={:.1}%", 2 * at, shown(2.0 * f64::from(at))))
            .collect(),
    );
    bencher.bench_local(|| {
        let entering = Entering::new(&file, stamp());
        let heater = NewFinding::Heater {
            cold: None,
            volts: Some("6.3 V".to_owned()),
            amperes: Some("590 mA".to_owned()),
            glow: None,
        };
        black_box(record_findings(&entering, &ask, ("", ""), &heater).expect("recorded"))
    });
}

#[divan::bench(args = [50, 5000])]
fn tell_the_story(bencher: Bencher<'_, '_>, facts: usize) {
    let (_folder, file) = filled(facts);
    bencher.bench_local(|| black_box(tell_story(&file, false).expect("told")));
}

/// The same with 300 photographs of 200 kB, each with a tube marked on it; the hash of the last one.
fn filled_with_photographs(facts: usize) -> (tempfile::TempDir, PathBuf, String) {
    let (folder, file) = filled(facts);
    let mut book = Logbook::open(&file).expect("opens");
    for number in 0..300_u64 {
        // What stands in it does not matter here, only that each is another one.
        let mut original = vec![0x5a; 200_000];
        original[..8].copy_from_slice(&number.to_le_bytes());
        let photograph = Photograph {
            upright: original[..100_000].to_vec(),
            original,
            ending: "jpg",
            taken: None,
        };
        let about = Photographed {
            name: format!("IMG {number}.jpg"),
            ..Photographed::default()
        };
        book.add_photograph(&stamp(), &photograph, about)
            .expect("added");
    }
    let last = book.last_entry().expect("read").expect("one");
    let hash = last.fact.photograph().expect("a photograph").to_owned();
    drop(book);
    let placed = Placed {
        part: "V9".to_owned(),
        photograph: hash.clone(),
        across: 0.5,
        down: 0.5,
    };
    place_on_photograph(&Entering::new(&file, stamp()), placed).expect("marked");
    (folder, file, hash)
}

#[divan::bench(args = [50, 5000], sample_count = 30)]
fn tell_the_chassis(bencher: Bencher<'_, '_>, facts: usize) {
    let (_folder, file, _) = filled_with_photographs(facts);
    bencher.bench_local(|| black_box(tell_chassis(&file).expect("told")));
}

#[divan::bench(args = [50, 5000], sample_count = 30)]
fn hand_a_photograph_out(bencher: Bencher<'_, '_>, facts: usize) {
    let (_folder, file, hash) = filled_with_photographs(facts);
    bencher.bench_local(|| {
        black_box(photograph(&file, &hash, PhotographForm::Upright).expect("kept"))
    });
}

#[divan::bench(args = [50, 5000], sample_count = 30)]
fn undo_an_entry(bencher: Bencher<'_, '_>, facts: usize) {
    let (_folder, file) = filled(facts);
    bencher.bench_local(|| {
        let entering = Entering::new(&file, stamp());
        black_box(undo_entry(&entering, None, "").expect("undone"))
    });
}
