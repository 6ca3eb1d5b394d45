//! A restoration as it is after years: 5,000 facts of every kind and 300 photographs.
//!
//! One fact of each kind is entered as a restorer enters it; the others are told like these in the folder that `export`
//! writes, and taken back from there. What the photographs hold does not matter here, only their size. Fails as a test does.

use std::fs;
use std::path::Path;

use benchwork::{
    Changed, Decided, Entering, Fitted, NewFinding, NewNeedle, NewReading, PictureAsk, Seen, Stamp,
    TestResult, Tested, add_photograph_bytes, export_restoration, import_restoration, note_changed,
    note_decided, note_seen, read_sheet_file, record_findings, record_fitted, record_reading,
    record_test, start_restoration,
};

use super::one_point::ONE_POINT;

/// How many facts it has, the photographs among them.
pub const FACTS: usize = 5000;

/// How many photographs.
pub const PHOTOGRAPHS: usize = 300;

/// The set, from the folder of a crate.
pub const SHEET: &str = "../../examples/whole/larkfield_12t.toml";

/// Pages of single things that the list of all pages does not lead to.
pub const SINGLE_PAGES: [&str; 9] = [
    "/story/4000",
    "/look?thing=wax",
    "/readings/V9",
    "/readings/at?place=V9.5",
    "/sheet/stages",
    "/suspects/C31",
    "/renew/C31",
    "/reform/C1A",
    "/fit?part=C31",
];

/// The addresses that the list of all pages leads to.
pub fn listed(list: &str) -> Vec<String> {
    let rows = list.split("<a class=\"row\" href=\"").skip(1);
    rows.filter_map(|row| row.split('"').next())
        .map(str::to_owned)
        .collect()
}

/// Fills a new file.
pub fn filled(file: &Path, at: &Stamp) {
    let folder = tempfile::tempdir().expect("a folder");
    let (first, out) = (folder.path().join("first"), folder.path().join("out"));
    let entering = Entering::new(&first, at.clone());
    let sheet = Path::new(env!("CARGO_MANIFEST_DIR")).join(SHEET);
    let sheet = read_sheet_file(&sheet).expect("a sheet");
    start_restoration(&entering, &sheet, None).expect("started");
    one_of_each(&entering);
    photographs(&entering);
    export_restoration(&first, &out).expect("written out");
    let story = fs::read_to_string(out.join("story.txt")).expect("read");
    fs::write(out.join("story.txt"), continued(&story)).expect("written");
    import_restoration(&out, file).expect("taken back");
}

fn one_of_each(entering: &Entering<'_>) {
    let shown = |at: f64| 60.0 - 50.0 * (-at / 10.0_f64).exp();
    let readings = (1..=20)
        .map(|at| format!("{}={:.1}%", 2 * at, shown(2.0 * f64::from(at))))
        .collect();
    let needle = NewNeedle {
        scale_end: Some("100 %".to_owned()),
        ..NewNeedle::default()
    };
    let new = NewFinding::Emission { readings, needle };
    record_findings(entering, &PictureAsk::default(), ("", ""), &new).expect("recorded");
    let seen = Seen {
        thing: "wax".to_owned(),
        part: "C31".to_owned(),
        found: "wax run out".to_owned(),
        note: "as the others beside it".to_owned(),
        ..Seen::default()
    };
    note_seen(entering, seen, None).expect("noted");
    for (place, value) in [("V9.5", "0 ohms"), ("V9.6", "open"), ("B+ main", "47k")] {
        let reading = NewReading {
            place: place.to_owned(),
            value: value.to_owned(),
            meter: "10M".to_owned(),
            conditions: benchwork::Conditions {
                plug_out: true,
                ..benchwork::Conditions::default()
            },
            ..NewReading::default()
        };
        record_reading(entering, reading).expect("recorded");
    }
    let tested = Tested {
        part: "V9".to_owned(),
        section: String::new(),
        type_number: String::new(),
        tester: "own tester".to_owned(),
        result: TestResult::Percent(85.0),
        note: String::new(),
    };
    record_test(entering, tested).expect("recorded");
    let fitted = Fitted {
        part: "C31".to_owned(),
        new: "0.047 mfd".to_owned(),
        rating: "630 V".to_owned(),
        ..Fitted::default()
    };
    record_fitted(entering, fitted).expect("recorded");
    let changed = Changed {
        what: "height control".to_owned(),
        is: "in the middle".to_owned(),
        ..Changed::default()
    };
    note_changed(entering, changed).expect("recorded");
    let decided = Decided {
        what: "leave the mask".to_owned(),
        because: "rusted on".to_owned(),
    };
    note_decided(entering, decided).expect("recorded");
}

/// As large as pictures of a phone that are sent reduced: 200 kB.
fn photographs(entering: &Entering<'_>) {
    for number in 0..PHOTOGRAPHS {
        let mut bytes = ONE_POINT.to_vec();
        bytes.extend(number.to_le_bytes());
        bytes.resize(200_000, 0x5a);
        let (name, shows) = (
            format!("IMG {number}.png"),
            format!("below the chassis, {number}"),
        );
        add_photograph_bytes(entering, &name, bytes, &shows, "").expect("added");
    }
}

/// The story with as many facts as are wanted.
fn continued(story: &str) -> String {
    let pieces: Vec<&str> = story.trim_end().split("\n\n").skip(1).collect();
    // A piece is its number, and all that follows.
    let told = |piece: &str| piece.split_once('\n').expect("lines").1.to_owned();
    let is = |piece: &str, kind: &str| piece.contains(&format!("\nkind: {kind}\n"));
    let like: Vec<String> = pieces
        .iter()
        .filter(|piece| {
            let once = ["sheet taken", "picture tube", "photographed"];
            !once.iter().any(|kind| is(piece, kind))
        })
        .map(|piece| told(piece))
        .collect();
    let at = like[0].lines().next().expect("a time").to_owned();
    let said = "stop: B+ main (d.c. volts) above 380 V, from 30 s on; ".repeat(20);
    let advised = format!(
        "{at}\nkind: advised\nasked: power-up, supply 1\nsaid: {}\nprogram: 0.1.0\ndata: 1",
        said.trim_end()
    );
    let mut text = story.trim_end().to_owned();
    for number in pieces.len() + 1..=FACTS {
        let turn = number % (like.len() + 3);
        let piece = match turn.checked_sub(like.len()) {
            None => like[turn].clone(),
            Some(0) => advised.clone(),
            // What went before it was no undo, nor was it undone.
            Some(1) if number > pieces.len() + 20 => {
                format!("{at}\nkind: undone\nnames: {}\nbecause: twice", number - 3)
            }
            Some(_) => like[0].clone(),
        };
        text.push_str(&format!("\n\nfact: {number}\n{piece}"));
    }
    text.push('\n');
    text
}
