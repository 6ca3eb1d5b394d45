//! Opening a restoration, appending to it and reading it, with few facts in the file and with 5,000.
//!
//! The figure to reach: entering a reading at most 50 ms with 5,000 facts in the file. The same
//! with 50 facts stands beside it, so that the ratio shows what the size of the file costs.
//! Appending waits for the disk; that part depends on the disk and not on the file.
//!
//! A page of the phone is to have its facts within 50 ms with 5,000 facts and 300 photographs in
//! the file: that is `open_to_read`, or, where the file stays open, `read_all` and `catch_up`.

#[allow(dead_code)] // the bench needs few of them
#[path = "../tests/logbook/tried.rs"]
mod tried;

use std::path::PathBuf;

use divan::{Bencher, black_box};
use logbook::{Entry, Fact, Logbook, Photograph, Standing, stand_anew, standing_facts};

fn main() {
    divan::main();
}

/// A file with so many facts, every twentieth undone, and 300 photographs beside them.
fn filled(facts: u64) -> (tempfile::TempDir, PathBuf) {
    let folder = tempfile::tempdir().expect("a folder");
    let path = folder.path().join("a.restoration");
    let mut book = Logbook::start(&path, "Larkfield 12T").expect("starts");
    let entries: Vec<Entry> = (1..=facts)
        .map(|number| Entry {
            number,
            at: tried::stamp(),
            fact: fact(number),
            standing: Standing::Stands,
        })
        .collect();
    book.fill(&[], &photographs(), &entries).expect("filled");
    (folder, path)
}

/// As large as pictures of a phone that are sent reduced: 200 kB, of noise.
fn photographs() -> Vec<Photograph> {
    let bytes = |number: usize, length: usize| -> Vec<u8> {
        let mut state = number as u64 + 1;
        let mut next = || {
            state = state
                .wrapping_mul(6_364_136_223_846_793_005)
                .wrapping_add(1);
            (state >> 56) as u8
        };
        (0..length).map(|_| next()).collect()
    };
    let photograph = |number| Photograph {
        original: bytes(number, 200_000),
        ending: "jpg",
        upright: bytes(number, 100_000),
        taken: None,
    };
    (0..300).map(photograph).collect()
}

fn fact(number: u64) -> Fact {
    if number.is_multiple_of(20) {
        let because = String::new();
        return Fact::Undone(logbook::Undone {
            names: number - 1,
            because,
        });
    }
    tried::reading("V9.5", number as f64 / 10.0)
}

#[divan::bench(args = [50, 5000])]
fn open_append_and_read_all(bencher: Bencher<'_, '_>, facts: u64) {
    let (_folder, path) = filled(facts);
    bencher.bench_local(|| {
        let mut book = Logbook::open(&path).expect("opens");
        book.append(&tried::stamp(), &tried::reading("V9.5", 135.0))
            .expect("appended");
        let entries = book.entries().expect("read");
        black_box(standing_facts(&entries).len())
    });
}

#[divan::bench(args = [50, 5000])]
fn open_to_read(bencher: Bencher<'_, '_>, facts: u64) {
    let (_folder, path) = filled(facts);
    bencher.bench_local(|| {
        let book = Logbook::look(&path).expect("opens");
        black_box(book.entries().expect("read").len())
    });
}

#[divan::bench(args = [50, 5000])]
fn append_to_an_open_file(bencher: Bencher<'_, '_>, facts: u64) {
    let (_folder, path) = filled(facts);
    let mut book = Logbook::open(&path).expect("opens");
    bencher.bench_local(|| {
        book.append(&tried::stamp(), &tried::reading("V9.5", 135.0))
            .expect("appended")
    });
}

#[divan::bench(args = [50, 5000])]
fn read_all(bencher: Bencher<'_, '_>, facts: u64) {
    let (_folder, path) = filled(facts);
    let book = Logbook::look(&path).expect("opens");
    bencher.bench_local(|| black_box(book.entries().expect("read").len()));
}

/// What came since, and how all of them stand with it.
#[divan::bench(args = [50, 5000])]
fn catch_up(bencher: Bencher<'_, '_>, facts: u64) {
    let (_folder, path) = filled(facts);
    let book = Logbook::look(&path).expect("opens");
    let mut entries = book.entries().expect("read");
    bencher.bench_local(|| {
        let last = entries.pop().expect("one");
        black_box(book.data_version().expect("told"));
        entries.extend(book.entries_after(last.number - 1).expect("read"));
        stand_anew(&mut entries);
        black_box(entries.len())
    });
}

/// An undo looks at how every earlier entry stands.
#[divan::bench(args = [50, 5000])]
fn undo_in_an_open_file(bencher: Bencher<'_, '_>, facts: u64) {
    let (_folder, path) = filled(facts);
    let mut book = Logbook::open(&path).expect("opens");
    let mut last = book.last_entry().expect("read").expect("one").number;
    bencher.bench_local(|| {
        let because = String::new();
        let names = last;
        let undone = Fact::Undone(logbook::Undone { names, because });
        last = book.append(&tried::stamp(), &undone).expect("undone");
    });
}
