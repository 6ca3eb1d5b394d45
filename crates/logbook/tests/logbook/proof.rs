//! What is kept of a re-forming and of the proof at the end goes out to a folder and back; faults are told.

use logbook::{Fact, Logbook, PlainStory, export, import};

use crate::tried::{proof_facts, re_forming_facts, stamp};

#[test]
fn both_come_back_from_file_and_folder() {
    let folder = tempfile::tempdir().expect("a folder");
    let path = |name: &str| folder.path().join(name);
    let mut book = Logbook::start(&path("a.restoration"), "Larkfield 12T").expect("starts");
    let facts = [re_forming_facts(), proof_facts()].concat();
    assert_eq!(book.append_all(&stamp(), &facts), Ok(Some(1)));
    let entries = book.entries().expect("read");
    let back: Vec<Fact> = entries.iter().map(|entry| entry.fact.clone()).collect();
    assert_eq!(back, facts);
    export(&book, &path("out")).expect("written");
    import(&path("out"), &path("b.restoration")).expect("taken back");
    let again = Logbook::look(&path("b.restoration")).expect("opens");
    assert_eq!(again.entries(), Ok(entries));
    let list = |name: &str| std::fs::read_to_string(path("out").join(name)).expect("read");
    let formed = list("re_forming.csv");
    assert_eq!(formed.lines().count(), 4, "{formed}");
    assert!(
        formed.contains(",30,450,391.5,1.15,51000,27.5,sound,"),
        "{formed}"
    );
    let proved = list("proof.csv");
    assert_eq!(proved.lines().count(), 6, "{proved}");
    assert!(proved.contains(",other,off,figure,open,ohm,"), "{proved}");
}

/// What is told of an entry of this kind with these lines.
fn check(kind: &str, lines: &str, wanted: &[&str]) {
    let plain = format!(
        "restoration, plain form 1\nname: a\n\nfact: 1\nat: {}\nkind: {kind}\n{lines}",
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
    let forming = "re-forming";
    let reading = "part: C1A\nabout: reading\nminutes: 5\nsource_volts: 450\n";
    check(forming, &format!("{reading}milliamperes: 2\n"), &[]);
    check(forming, reading, &["milliamperes is not said"]);
    check(
        forming,
        &format!("{reading}milliamperes: open\nlooks: pretty\nend: accepted\n"),
        &[
            "`open` read",
            "`pretty` is no look",
            "end belongs to no fact",
        ],
    );
    check(
        forming,
        "part: C1A\nabout: smell\n",
        &["`smell` is nothing"],
    );
    check(
        forming,
        "about: ended\nend: perhaps\n",
        &["part is not said", "`perhaps` is no end"],
    );
    let proof = "proof";
    let figure = "item: leakage\nabout: figure\nvalue: 0.2\nunit: mA\n";
    check(proof, &format!("{figure}by: R. Miller\n"), &[]);
    check(proof, figure, &["by is not said"]);
    check(
        proof,
        "item: x\nabout: answer\nplug: sideways\nswitch: half\nby: R\n",
        &["answer is not said", "`sideways` read", "`half` read"],
    );
    check(
        proof,
        "item: x\nabout: signed\nup_to: all\nby: R\n",
        &["`all` is no number"],
    );
    check(
        proof,
        "item: x\nabout: not of this set\nby: R\n",
        &["because is not said"],
    );
}
