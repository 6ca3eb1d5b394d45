//! A reader that keeps what it read takes what came since, and knows when to.

use logbook::{Corrected, Fact, Logbook, Undone, stand_anew};

use crate::tried::{reading, stamp, whole_book};

#[test]
fn what_came_since_makes_the_same_story_as_all_of_it() {
    let folder = tempfile::tempdir().expect("a folder");
    let path = folder.path().join("a.restoration");
    let mut writer = whole_book(&path);
    let reader = Logbook::look(&path).expect("opens");
    let mut kept = reader.entries().expect("read");
    let all = kept.len() as u64;
    assert_eq!(reader.entries_after(all), Ok(Vec::new()));
    assert_eq!(reader.entries_after(0).as_ref(), Ok(&kept));
    assert_eq!(reader.entries_after(u64::from(u32::MAX)), Ok(Vec::new()));
    let undo = |names| {
        let because = String::new();
        Fact::Undone(Undone { names, because })
    };
    let correct = |names| {
        let instead = Box::new(reading("B+ main", 300.0));
        let because = String::new();
        Fact::Corrected(Corrected {
            names,
            instead,
            because,
        })
    };
    // Each of them changes how an earlier one stands, or itself stands no more in the end.
    let facts = [
        undo(2),
        correct(3),
        undo(all + 2),
        reading("V9.5", 1.0),
        undo(all + 4),
        undo(all),
    ];
    for fact in facts {
        writer.append(&stamp(), &fact).expect("appended");
        let last = kept.last().map_or(0, |last| last.number);
        kept.extend(reader.entries_after(last).expect("read"));
        stand_anew(&mut kept);
        assert_eq!(reader.entries().as_ref(), Ok(&kept), "{fact:?}");
    }
    let late = reader.entries_after(all).expect("read");
    assert_eq!(late, kept[kept.len() - 6..]);
}

#[test]
fn the_writing_of_others_is_told_and_nothing_else() {
    let folder = tempfile::tempdir().expect("a folder");
    let path = folder.path().join("a.restoration");
    let mut writer = whole_book(&path);
    let mut other = Logbook::open(&path).expect("opens");
    let reader = Logbook::look(&path).expect("opens");
    let told = |book: &Logbook| book.data_version().expect("told");
    let (of_reader, of_writer) = (told(&reader), told(&writer));
    drop(reader.entries().expect("read"));
    drop(other.entries().expect("read"));
    assert_eq!((told(&reader), told(&writer)), (of_reader, of_writer));
    // Its own writing is no news to a writer.
    writer
        .append(&stamp(), &reading("V9.5", 1.0))
        .expect("appended");
    assert_eq!(told(&writer), of_writer);
    let after_writer = told(&reader);
    assert_ne!(after_writer, of_reader);
    assert_eq!(told(&reader), after_writer);
    // What is worked out and kept beside the facts counts as writing too.
    other
        .keep_worked_out("a question", b"an answer")
        .expect("kept");
    assert_ne!(told(&writer), of_writer);
    assert_ne!(told(&reader), after_writer);
}
