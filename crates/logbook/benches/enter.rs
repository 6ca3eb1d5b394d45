//! Opening a restoration and appending to it, with few facts in the file and with 5,000.
//!
//! The figure to reach: entering a reading at most 50 ms with 5,000 facts in the file. The same
//! with 50 facts stands beside it, so that the ratio shows what the size of the file costs.
//! Appending waits for the disk; that part depends on the disk and not on the file.

#[allow(dead_code)] // the bench needs few of them
#[path = "../tests/logbook/tried.rs"]
mod tried;

use std::path::PathBuf;

use divan::{Bencher, black_box};
use logbook::{Entry, Fact, Logbook, Standing, standing_facts};

fn main() {
    divan::main();
}

/// A file with so many facts, every twentieth undone.
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
    book.fill(&[], &[], &entries).expect("filled");
    (folder, path)
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
