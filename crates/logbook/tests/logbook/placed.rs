//! Tubes marked on photographs: kept, moved, taken away, and what is no place.

use logbook::{
    Corrected, Fact, Logbook, LogbookError, Placed, Undone, export, hash_of, import, standing_facts,
};

use crate::tried::{placed, stamp, text, whole_book};

#[test]
fn a_mark_is_kept_corrected_and_taken_away() {
    let folder = tempfile::tempdir().expect("a folder");
    let path = folder.path().join("a.restoration");
    let mut book = whole_book(&path);
    let hash = photograph_of(&book);
    book.append(&stamp(), &placed("V9", &hash)).expect("placed");
    let mark = book.last_entry().expect("read").expect("one");
    assert_eq!(mark.fact, placed("V9", &hash));
    assert_eq!(
        mark.fact.to_fields().to_plain(),
        format!("part: V9\nphotograph: {hash}\nacross: 0.4125\ndown: 1\n")
    );
    let moved = Fact::Placed(Placed {
        part: text("V9"),
        photograph: hash,
        across: 0.0,
        down: 0.5,
    });
    let corrected = Corrected {
        names: mark.number,
        instead: Box::new(moved.clone()),
        because: text("one socket too far"),
    };
    book.append(&stamp(), &Fact::Corrected(corrected))
        .expect("corrected");
    drop(book);
    let mut book = Logbook::open(&path).expect("opens");
    let marks = |book: &Logbook| -> Vec<Fact> {
        let entries = book.entries().expect("read");
        let standing = standing_facts(&entries);
        let of_marks = standing
            .iter()
            .filter(|one| matches!(one.fact, Fact::Placed(_)));
        of_marks.map(|one| one.fact.clone()).collect()
    };
    assert_eq!(marks(&book), [moved]);
    let because = String::new();
    let undone = Undone {
        names: mark.number,
        because,
    };
    book.append(&stamp(), &Fact::Undone(undone))
        .expect("undone");
    assert_eq!(marks(&book), []);
    // Out to a folder and back: the photograph is there once, named by the entry that brought it.
    let out = folder.path().join("out");
    assert_eq!(export(&book, &out).expect("written").photographs, 1);
    assert!(out.join("photographs/0013.jpg").exists());
    let back = folder.path().join("b.restoration");
    import(&out, &back).expect("read back");
    let back = Logbook::look(&back).expect("opens");
    assert_eq!(back.entries(), book.entries());
}

fn photograph_of(book: &Logbook) -> String {
    let entries = book.entries().expect("read");
    let mut hashes = entries.iter().filter_map(|entry| entry.fact.photograph());
    hashes.next().expect("one").to_owned()
}

#[test]
fn a_photograph_that_is_not_kept_bears_no_mark() {
    let folder = tempfile::tempdir().expect("a folder");
    let mut book = whole_book(&folder.path().join("a.restoration"));
    let hash = hash_of(b"a photograph of another set");
    let refused = book.append(&stamp(), &placed("V9", &hash));
    assert_eq!(refused, Err(LogbookError::NotKept { hash }));
}

/// What is told of a mark with these fields.
fn check(part: &str, photograph: &str, (across, down): (f64, f64), wanted: &[&str]) {
    let fact = Fact::Placed(Placed {
        part: text(part),
        photograph: text(photograph),
        across,
        down,
    });
    let told: Vec<String> = fact
        .faults()
        .iter()
        .map(|fault| format!("{} {}", fault.key, fault.text))
        .collect();
    assert_eq!(told.len(), wanted.len(), "{told:?}");
    for wanted in wanted {
        assert!(
            told.iter().any(|told| told.contains(wanted)),
            "`{wanted}` is not in {told:?}"
        );
    }
}

#[test]
fn what_is_no_place_is_told_all_at_once() {
    let hash = hash_of(b"any");
    check("V9", &hash, (0.0, 1.0), &[]);
    check("", &hash, (0.5, 0.5), &["part is not said"]);
    check("V9", &hash, (1.01, 0.5), &["across 1.01 read"]);
    check(
        "",
        "IMG 1.jpg",
        (-0.1, f64::NAN),
        &["part", "no SHA-256", "across -0.1 read", "down `NaN` read"],
    );
    check("V9", &hash, (f64::INFINITY, 0.5), &["across `open` read"]);
}
