//! What was found of a picture tube goes in, out to a folder and back without loss; faults are told.

use logbook::{
    Corrected, Fact, Logbook, OfPictureTube, PlainStory, TubeFinding, export, holds_now, import,
};

use crate::tried::{picture_tube_facts, stamp, text};

fn book_of_findings(path: &std::path::Path) -> Logbook {
    let mut book = Logbook::start(path, "Larkfield 12T").expect("starts");
    let first = book.append_all(&stamp(), &picture_tube_facts());
    assert_eq!(first, Ok(Some(1)));
    book
}

#[test]
fn findings_come_back_from_file_and_folder() {
    let folder = tempfile::tempdir().expect("a folder");
    let path = |name: &str| folder.path().join(name);
    let mut book = book_of_findings(&path("a.restoration"));
    let facts = picture_tube_facts();
    let instead = facts[4].clone();
    let correction = Fact::Corrected(Corrected {
        names: 6,
        instead: Box::new(instead.clone()),
        because: text("it was no life test"),
    });
    book.append(&stamp(), &correction).expect("corrected");
    let entries = book.entries().expect("read");
    let back: Vec<&Fact> = entries.iter().map(|entry| &entry.fact).collect();
    assert!(facts.iter().eq(back[..8].iter().copied()));
    assert_eq!(holds_now(&entries, 6), Some(&instead));
    export(&book, &path("out")).expect("written");
    import(&path("out"), &path("b.restoration")).expect("taken back");
    let again = Logbook::look(&path("b.restoration")).expect("opens");
    assert_eq!(again.entries(), Ok(entries));
    let list = std::fs::read_to_string(path("out").join("picture_tubes.csv")).expect("read");
    let lines: Vec<&str> = list.lines().collect();
    assert_eq!(lines.len(), 9, "{list}");
    assert!(lines[1].contains(",6.3,0.58,open,no,"), "{list}");
    let columns = lines[0].split(',').count();
    for line in lines {
        // The instrument's name has a comma and stands in quotes.
        let commas = line.replace("\"emission tester, borrowed\"", "x");
        let commas = commas.replace("\"dim, silvery highlights\"", "x");
        assert_eq!(commas.split(',').count(), columns, "{line}");
    }
}

#[test]
fn several_go_in_together_or_not_at_all() {
    let folder = tempfile::tempdir().expect("a folder");
    let mut book = book_of_findings(&folder.path().join("a.restoration"));
    let mut facts = picture_tube_facts();
    facts.push(Fact::OfPictureTube(OfPictureTube {
        part: String::new(),
        type_number: String::new(),
        instrument: String::new(),
        found: TubeFinding::RunningSet {
            picture: text("bright"),
            cathode_microamperes: None,
        },
        note: String::new(),
    }));
    assert!(book.append_all(&stamp(), &facts).is_err());
    assert_eq!(book.entries().expect("read").len(), 8);
    assert_eq!(book.append_all(&stamp(), &[]), Ok(None));
}

/// What is told of an entry with these lines.
fn check(lines: &str, wanted: &[&str]) {
    let plain = format!(
        "restoration, plain form 1\nname: a\n\nfact: 1\nat: {}\nkind: picture tube\npart: V17\n{lines}",
        stamp()
    );
    let told = match PlainStory::read(&plain) {
        Ok(_) => String::new(),
        Err(faults) => faults
            .iter()
            .map(|fault| format!("{} {} {}\n", fault.line, fault.key, fault.text))
            .collect(),
    };
    assert_eq!(told.lines().count(), wanted.len(), "{lines}: {told}");
    for wanted in wanted {
        assert!(told.contains(wanted), "{lines}: `{wanted}` in {told}");
    }
}

#[test]
fn faults_are_told_all_at_once() {
    check("about: heater\nglows: yes\n", &[]);
    check("about: heater\n", &["nothing is said about the heater"]);
    check(
        "about: cut-off\nsecond_grid_volts: 250\n",
        &["nothing is said"],
    );
    check("about: running set\n", &["nothing is said"]);
    check("about: colour\n", &["`colour` is nothing"]);
    check(
        "about: heater\nglows: perhaps\nheater_volts: open\nminutes: 3\n",
        &[
            "`perhaps` read",
            "heater_volts `open` read",
            "11 minutes belongs to no fact",
        ],
    );
    check(
        "about: emission\nshown: many\n",
        &[
            "minutes is not said",
            "`many` read",
            "unit is not said",
            "scale_end is not said",
        ],
    );
    check(
        "about: leak\nplus: grid\n",
        &["minus is not said", "ohms is not said"],
    );
    check("about: leak\nplus: grid\nminus: cathode\nohms: open\n", &[]);
}
