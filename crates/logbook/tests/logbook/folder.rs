//! Out to a folder and back: nothing is lost, and what was changed by hand is told.

use std::collections::BTreeMap;
use std::fs;
use std::path::Path;

use logbook::{
    Conditions, Corrected, Entry, Fact, FolderFault, Logbook, Measured, PlainStory, Seen, Stamp,
    Standing, TestResult, Tested, Undone, What, export, import,
};
use proptest::prelude::*;

use crate::tried::{stamp, whole_book};

/// Every file of a folder by its name.
fn files(folder: &Path) -> BTreeMap<String, Vec<u8>> {
    let mut found = BTreeMap::new();
    let mut folders = vec![folder.to_path_buf()];
    while let Some(inner) = folders.pop() {
        for entry in fs::read_dir(inner).expect("listed") {
            let path = entry.expect("an entry").path();
            if path.is_dir() {
                folders.push(path);
            } else {
                let name = path
                    .strip_prefix(folder)
                    .expect("inside")
                    .to_string_lossy()
                    .into_owned();
                found.insert(name, fs::read(&path).expect("read"));
            }
        }
    }
    found
}

#[test]
fn out_and_back_and_out_again_is_the_same() {
    let folder = tempfile::tempdir().expect("a folder");
    let path = |name: &str| folder.path().join(name);
    let book = whole_book(&path("a.restoration"));
    let counts = export(&book, &path("one")).expect("written");
    assert_eq!(
        (counts.entries, counts.sheets, counts.photographs),
        (16, 2, 1)
    );
    assert_eq!(import(&path("one"), &path("b.restoration")), Ok(counts));
    let back = Logbook::look(&path("b.restoration")).expect("opens");
    assert_eq!(back.entries(), book.entries());
    assert_eq!(back.name(), book.name());
    for entry in book.entries().expect("read") {
        if let Some(hash) = entry.fact.photograph() {
            assert_eq!(back.photograph(hash), book.photograph(hash));
        }
        if let Some(hash) = entry.fact.sheet() {
            assert_eq!(back.sheet(hash), book.sheet(hash));
        }
    }
    export(&back, &path("two")).expect("written");
    let (one, two) = (files(&path("one")), files(&path("two")));
    assert_eq!(one, two);
    let names: Vec<&str> = one.keys().map(String::as_str).collect();
    assert_eq!(
        names,
        [
            "parts.csv",
            "photographs/0013.jpg",
            "picture_tubes.csv",
            "proof.csv",
            "re_forming.csv",
            "readings.csv",
            "sheets/0001.toml",
            "sheets/0014.toml",
            "story.txt",
            "tests.csv",
        ]
    );
    // The corrected reading holds in the list, the undone part is not in it.
    let readings = String::from_utf8_lossy(&one["readings.csv"]).into_owned();
    assert!(
        readings.contains("308 V") && !readings.contains("318 V"),
        "{readings}"
    );
    assert_eq!(
        String::from_utf8_lossy(&one["parts.csv"]).lines().count(),
        1
    );
}

#[test]
fn nothing_is_written_over_and_nothing_half_written() {
    let folder = tempfile::tempdir().expect("a folder");
    let path = |name: &str| folder.path().join(name);
    let book = whole_book(&path("a.restoration"));
    fs::create_dir(path("full")).expect("made");
    fs::write(path("full/own"), "own").expect("written");
    fs::create_dir(path("empty")).expect("made");
    assert!(export(&book, &path("full")).is_err());
    assert!(export(&book, &path("full/own")).is_err());
    assert!(export(&book, &path("none/at all")).is_err());
    assert!(export(&book, &path("empty")).is_ok());
    assert!(import(&path("empty"), &path("a.restoration")).is_err());
    assert_eq!(files(&path("full")).len(), 1);
    let left: Vec<String> = fs::read_dir(folder.path())
        .expect("listed")
        .filter_map(|entry| Some(entry.ok()?.file_name().to_string_lossy().into_owned()))
        .filter(|name| name.starts_with('.'))
        .collect();
    assert!(left.is_empty(), "{left:?}");
}

/// What is told after a change in the folder.
fn check(change: impl FnOnce(&Path), wanted: &[&str]) {
    let folder = tempfile::tempdir().expect("a folder");
    let book = whole_book(&folder.path().join("a.restoration"));
    let out = folder.path().join("out");
    export(&book, &out).expect("written");
    change(&out);
    let target = folder.path().join("b.restoration");
    let faults = import(&out, &target).expect_err("faults");
    let told: Vec<String> = faults
        .iter()
        .map(|fault| match fault {
            FolderFault::Story(fault) => {
                format!("line {}: {} {}", fault.line, fault.key, fault.text)
            }
            other => other.to_string(),
        })
        .collect();
    assert_eq!(told.len(), wanted.len(), "{told:#?}");
    for (told, wanted) in told.iter().zip(wanted) {
        assert!(told.contains(wanted), "`{wanted}` is not in `{told}`");
    }
    assert!(!target.exists());
}

fn edit(folder: &Path, from: &str, to: &str) {
    let path = folder.join("story.txt");
    let text = fs::read_to_string(&path).expect("read");
    assert!(text.contains(from), "{from}\n{text}");
    fs::write(path, text.replacen(from, to, 1)).expect("written");
}

#[test]
fn what_was_changed_by_hand_is_told_all_at_once() {
    check(
        |out| fs::write(out.join("sheets/0001.toml"), "sheet = 2\n").expect("written"),
        &["fact 1 names", "sheets/0001.toml"],
    );
    check(
        |out| fs::remove_file(out.join("photographs/0013.jpg")).expect("removed"),
        &["fact 13 names"],
    );
    check(
        |out| fs::write(out.join("photographs/other.jpg"), "x").expect("written"),
        &["photographs/other.jpg"],
    );
    check(
        |out| fs::remove_file(out.join("story.txt")).expect("removed"),
        &["no such file"],
    );
    check(
        |out| edit(out, "plain form 1", "plain form 7"),
        &["line 1:  the first line"],
    );
    check(
        |out| edit(out, "fact: 5\n", "fact: 6\n"),
        &["`fact: 5` expected"],
    );
    check(
        |out| edit(out, "names: 8", "names: 80"),
        &["no earlier fact"],
    );
    check(
        |out| edit(out, "names: 8", "names: 16"),
        &["no earlier fact"],
    );
    check(
        |out| {
            edit(out, "value: 318", "value: much");
            edit(out, "kind: decided", "kind: dreamt");
            edit(out, "at: 2026-11-29", "at: 2026-11-31");
        },
        &["line 4: at", "value `much`", "kind `dreamt`"],
    );
    // What cannot be read of the story keeps nothing else from being told.
    check(
        |out| {
            edit(out, "plain form 1", "plain form 7");
            fs::write(out.join("photographs/0013.jpg"), "a text").expect("written");
        },
        &["line 1:  the first line", "photographs/0013.jpg"],
    );
}

#[test]
fn names_of_files_and_ends_of_lines_do_not_matter() {
    let folder = tempfile::tempdir().expect("a folder");
    let path = |name: &str| folder.path().join(name);
    let book = whole_book(&path("a.restoration"));
    export(&book, &path("out")).expect("written");
    fs::rename(
        path("out/photographs/0013.jpg"),
        path("out/photographs/below.jpg"),
    )
    .expect("renamed");
    let story = path("out/story.txt");
    let text = fs::read_to_string(&story)
        .expect("read")
        .replace('\n', "\r\n");
    fs::write(&story, format!("{text}\r\n\r\n")).expect("written");
    import(&path("out"), &path("b.restoration")).expect("read");
    let back = Logbook::look(&path("b.restoration")).expect("opens");
    assert_eq!(back.entries(), book.entries());
}

fn words() -> impl Strategy<Value = String> {
    prop_oneof![
        "[a-z ]{0,12}",
        "\\PC{0,12}",
        "[ \\\\|:\n\r\t{}u=\"a]{0,10}",
        any::<String>()
    ]
}

fn said() -> impl Strategy<Value = String> {
    words().prop_filter("something said", |text| !text.is_empty())
}

fn figure() -> impl Strategy<Value = f64> {
    prop_oneof![
        -1.0e4..1.0e4,
        any::<f64>().prop_filter("a number", |value| value.is_finite())
    ]
}

fn conditions() -> impl Strategy<Value = Conditions> {
    let lists = (
        prop::collection::vec(figure(), 0..3),
        prop::collection::vec(said(), 0..3),
        prop::collection::vec(said(), 0..2),
    );
    (
        any::<bool>(),
        prop::option::of(figure()),
        prop::option::of(figure()),
        lists,
        words(),
    )
        .prop_map(
            |(plug_out, line_volts, seconds, (lamp_watts, pulled, open), dc)| Conditions {
                plug_out,
                line_volts,
                seconds,
                lamp_watts,
                pulled,
                open,
                dc,
                ..Conditions::default()
            },
        )
}

fn fact() -> impl Strategy<Value = Fact> {
    let seen = (said(), said(), words(), words()).prop_map(|(thing, found, part, note)| {
        Fact::Seen(Seen {
            area: String::new(),
            thing,
            part,
            found,
            note,
        })
    });
    let kinds = prop::sample::select(What::ALL.to_vec());
    let measured = (
        said(),
        words(),
        kinds,
        said(),
        figure(),
        conditions(),
        words(),
    )
        .prop_map(|(place, to, what, typed, value, conditions, note)| {
            let meter = String::new();
            Fact::Measured(Measured {
                place,
                to,
                what,
                typed,
                value,
                meter,
                conditions,
                note,
            })
        });
    let result = prop_oneof![
        figure().prop_map(TestResult::Percent),
        figure().prop_map(TestResult::Micromhos),
        said().prop_map(TestResult::Verdict),
    ];
    let tested = (said(), words(), result, words()).prop_map(|(part, tester, result, note)| {
        let (section, type_number) = Default::default();
        Fact::Tested(Tested {
            part,
            section,
            type_number,
            tester,
            result,
            note,
        })
    });
    prop_oneof![seen, measured, tested]
}

/// Facts, with an undo or a correction of the entry before wherever that may be.
fn story() -> impl Strategy<Value = Vec<Entry>> {
    prop::collection::vec((fact(), 0..4_u8, words()), 1..8).prop_map(|facts| {
        let mut entries: Vec<Entry> = Vec::new();
        let mut put = |fact: Fact| {
            let number = entries.len() as u64 + 1;
            entries.push(Entry {
                number,
                at: stamp(),
                fact,
                standing: Standing::Stands,
            });
            number
        };
        for (fact, then, because) in facts {
            let names = put(fact.clone());
            match then {
                0 => drop(put(Fact::Undone(Undone { names, because }))),
                1 => {
                    let instead = Box::new(fact);
                    put(Fact::Corrected(Corrected {
                        names,
                        instead,
                        because,
                    }));
                }
                _ => {}
            }
        }
        entries
    })
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 24, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn any_story_goes_out_and_comes_back(entries in story(), name in "[a-zA-Z][a-zA-Z0-9 ü]{0,12}[a-z]") {
        let folder = tempfile::tempdir().expect("a folder");
        let path = |name: &str| folder.path().join(name);
        let mut book = Logbook::start(&path("a.restoration"), &name).expect("starts");
        book.fill(&[], &[], &entries).expect("filled");
        let kept = book.entries().expect("read");
        let facts = |entries: &[Entry]| entries.iter().map(|entry| entry.fact.clone()).collect::<Vec<_>>();
        prop_assert_eq!(facts(&kept), facts(&entries));
        export(&book, &path("one")).expect("written");
        import(&path("one"), &path("b.restoration")).expect("read");
        let back = Logbook::look(&path("b.restoration")).expect("opens");
        prop_assert_eq!(back.entries().expect("read"), kept);
        export(&back, &path("two")).expect("written");
        prop_assert_eq!(files(&path("one")), files(&path("two")));
    }

    #[test]
    fn no_text_makes_the_reader_fall(text in any::<String>(), lines in "[a-z:| \\\\\n{}0-9-]{0,200}") {
        let _ = PlainStory::read(&text);
        let _ = PlainStory::read(&format!("restoration, plain form 1\nname: a\n\n{lines}"));
        let _ = Stamp::read(&text);
    }
}
