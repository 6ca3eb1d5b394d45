//! Lists of parts out of a sheet and back into it.
//!
//! What must hold comes from the contract of the sheet (comments, order and every
//! other byte are the restorer's own) and from RFC 4180; what spreadsheets do to cells is common
//! practice, from memory.

use proptest::prelude::*;
use receiver::parts_list::{
    ListFault, PartColumn, TakeError, TakenList, csv_of, parts_of, read_list, take_list,
};
use receiver::sheet::read_sheet;
use receiver::sheet_edit::new_notices;

const LARKFIELD: &str = include_str!("../../../examples/larkfield_12t.toml");
const MERROW: &str = include_str!("../../../examples/whole/merrow_17s.toml");

/// A small sheet with words of its own.
const SMALL: &str = r##"# My set.
sheet = 1
line_volts = 117
line_hertz = 60
tubes = [["V1", "6AG5", "r.f. amplifier"]]

parts = [
  # ref, kind, value
  ["R1",  "resistor", "22k",            "B+ 275", "chassis"],   # by the tuner
  ["C1",  "paper",    ".05",            "B+ 275", "chassis"],
  ["C1A", "electrolytic", "40 mfd 450 V", "B+ 275", "chassis"],
  ["R2",  "control",  "100k at 0.4",    "B+ 275", "chassis", "V1.1"],
  ["F1",  "fuse",     "",               "a",      "B+ 275"],
]

[state]
replaced = ["C1A"]   # in May
measured = { R1 = "23k" }
"##;

fn catalogue() -> &'static parts::Catalogue {
    parts::catalogue().expect("the tables are sound")
}

fn take(sheet: &str, list: &str) -> Result<TakenList, Vec<ListFault>> {
    let list = read_list(list.as_bytes())?;
    taken(sheet, &list, false)
}

fn taken(
    sheet: &str,
    list: &receiver::parts_list::TypedList,
    remove_missing: bool,
) -> Result<TakenList, Vec<ListFault>> {
    take_list(sheet, list, remove_missing, catalogue()).map_err(|error| match error {
        TakeError::List(faults) => faults,
        TakeError::Sheet(error) => panic!("{error}"),
    })
}

/// Line, cell, and a piece of the text and the hint of each fault.
fn check_faults(list: &str, wanted: &[(usize, usize, &str, &str)]) {
    let faults = match take(SMALL, list) {
        Err(faults) => faults,
        Ok(taken) => panic!("{list}: {:?}", taken.changed),
    };
    let places: Vec<(usize, usize)> = faults
        .iter()
        .map(|fault| (fault.line.unwrap_or(0), fault.cell.unwrap_or(0)))
        .collect();
    let expected: Vec<(usize, usize)> = wanted.iter().map(|one| (one.0, one.1)).collect();
    assert_eq!(places, expected, "{list}: {faults:#?}");
    for (fault, (_, _, text, hint)) in faults.iter().zip(wanted) {
        assert!(fault.text.contains(text), "{text}: {fault:?}");
        assert!(
            fault.hint.contains(hint) && !fault.hint.is_empty(),
            "{hint}: {fault:?}"
        );
    }
}

#[test]
fn a_list_says_what_the_sheet_says() {
    let parts = parts_of(SMALL).expect("sound");
    assert_eq!(
        csv_of(&parts, b','),
        "ref,kind,value,from,to,third,replaced,re_formed,cut_loose,original,measured\n\
         R1,resistor,22k,B+ 275,chassis,,,,,,23k\n\
         C1,paper,.05,B+ 275,chassis,,,,,,\n\
         C1A,electrolytic,40 mfd 450 V,B+ 275,chassis,,yes,,,,\n\
         R2,control,100k at 0.4,B+ 275,chassis,V1.1,,,,,\n\
         F1,fuse,,a,B+ 275,,,,,,\n"
    );
    assert_eq!(parts[2].cell(PartColumn::Value), "40 mfd 450 V");
}

#[test]
fn changed_cells_change_and_everything_else_stays() {
    let list = "\u{feff}Value;REF;Replaced;measured;price\r\n\
                24k;r1;;;0,50\r\n\
                40 mfd 500 V;C1A;;;\r\n\
                0,05;C1;x;0.052 mfd;\r\n\
                ;;;;\r\n";
    let result = take(SMALL, list).expect("no fault");
    let wanted = SMALL
        .replace("\"22k\",            \"B+", "\"24k\",            \"B+")
        .replace("40 mfd 450 V", "40 mfd 500 V")
        .replace("replaced = [\"C1A\"]", "replaced = [\"C1\"]")
        .replace("{ R1 = \"23k\" }", "{ C1 = \"0.052 mfd\" }");
    assert_eq!(result.text, wanted);
    assert_eq!(result.kept, ["R2", "F1"]);
    let changed: Vec<String> = result
        .changed
        .iter()
        .map(|one| {
            format!(
                "{} {} {}: {} > {}",
                one.line,
                one.reference,
                one.column.heading(),
                one.was,
                one.is
            )
        })
        .collect();
    assert_eq!(
        changed,
        [
            "2 R1 value: 22k > 24k",
            "2 R1 measured: 23k > ",
            "3 C1A value: 40 mfd 450 V > 40 mfd 500 V",
            "3 C1A replaced: yes > ",
            "4 C1 replaced:  > yes",
            "4 C1 measured:  > 0.052 mfd",
        ]
    );
}

#[test]
fn new_parts_go_to_the_end_and_missing_ones_stay_or_go() {
    let list = "ref,kind,value,from,to,third,original\n\
                R9,resistor,1 meg,V1.1,chassis,,yes\n\
                C9,Ceramic,\"0.005 mfd\",V1.1,chassis\n\
                R1,resistor,22k,B+ 275,chassis,,\n";
    let typed = read_list(list.as_bytes()).expect("sound");
    let kept = taken(SMALL, &typed, false).expect("no fault");
    let row = "  [\"R9\",  \"resistor\", \"1 meg\",          \"V1.1\",   \"chassis\"],\n  [\"C9\",  \"Ceramic\",  \"0.005 mfd\",      \"V1.1\",   \"chassis\"],\n]";
    assert_eq!(
        kept.text,
        SMALL
            .replace("\"B+ 275\"],\n]", &format!("\"B+ 275\"],\n{row}"))
            .replace(
                "{ R1 = \"23k\" }\n",
                "{ R1 = \"23k\" }\noriginal = [\"R9\"]\n"
            )
    );
    assert_eq!(kept.kept, ["C1", "C1A", "R2", "F1"]);
    assert_eq!(
        kept.added.iter().map(|one| one.line).collect::<Vec<_>>(),
        [2, 3]
    );
    let gone = taken(SMALL, &typed, true).expect("no fault");
    assert_eq!(gone.removed, ["C1", "C1A", "R2", "F1"]);
    let left = parts_of(&gone.text).expect("sound");
    let left: Vec<&str> = left
        .iter()
        .map(|part| part.cell(PartColumn::Reference))
        .collect();
    assert_eq!(left, ["R1", "R9", "C9"]);
    assert!(
        gone.text.contains("replaced = []   # in May"),
        "{}",
        gone.text
    );
    assert_eq!(read_sheet(&gone.text, catalogue()).faults, []);
}

#[test]
fn lines_are_counted_with_any_line_ends() {
    for end in ["\n", "\r\n", "\r"] {
        for before in ["", "sep=,\n", "\u{feff}"] {
            let list = [
                "ref,value",
                "R1,22k",
                "",
                "C1,\"0.05 mfd",
                "600 V\"",
                ",,",
                "R2,1k,,x",
            ]
            .join(end);
            let faults =
                read_list(format!("{before}{list}").as_bytes()).expect_err("too many cells");
            let extra = before.matches('\n').count();
            assert_eq!(
                faults[0].line,
                Some(7 + extra),
                "{end:?} {before:?}: {faults:?}"
            );
        }
    }
}

#[test]
fn what_the_sheet_says_in_another_spelling_is_no_change() {
    for list in [
        "ref,kind,value\nc1,PAPER,0.05\n",
        "ref\tkind\tvalue\nC1\tpaper\t0,05\n",
        "sep=;\nref;kind;value\nC1;paper;5E-02\n",
        "ref,from,to\nR1,\" B+  275 \",chassis\n",
        "ref,replaced,original\nC1A,TRUE,no\n",
        "ref,kind,value,from,to,third\nR1\n\n,,,\n",
        "ref\n",
    ] {
        let result = take(SMALL, list).unwrap_or_else(|faults| panic!("{list}: {faults:#?}"));
        assert_eq!(result.text, SMALL, "{list}");
        assert_eq!(result.changed, [], "{list}");
    }
}

#[test]
fn faults_of_the_file_are_told() {
    check_faults("", &[(1, 0, "empty", "headings")]);
    check_faults("\u{feff}\r\n\r\n", &[(1, 0, "empty", "headings")]);
    check_faults(
        "R1,resistor,22k\n",
        &[(1, 0, "no heading `ref`", "first line")],
    );
    check_faults(
        "ref,vaule,kind,Kind\n",
        &[
            (1, 2, "`vaule`", "`value`"),
            (1, 4, "twice", "one of the two"),
        ],
    );
    check_faults(
        "ref,value\nR1,22k,B+ 275\nC1,0.05 mfd, 600 V\n",
        &[(2, 0, "3 cells", "quotes"), (3, 0, "3 cells", "quotes")],
    );
    let long = format!("ref,value\n{}", "R1,22k\n".repeat(2000));
    check_faults(&long, &[(1, 0, "2001 lines", "2,000")]);
    for (bytes, wanted) in [
        (&b"\xff\xfer\x00"[..], "UTF-16"),
        (b"PK\x03\x04abc", "no text file"),
        (b"ref,value\nR1,5 \xb5F\n", "0xb5"),
    ] {
        let faults = read_list(bytes).expect_err("no list");
        assert!(faults[0].text.contains(wanted), "{faults:?}");
    }
}

#[test]
fn faults_of_lines_are_told_all_at_once() {
    check_faults(
        "ref,kind,value,from,to,third,replaced,original,measured\n\
         R1,resistor,22 kk,B+ 275,chassis,,maybe,,\n\
         C1,paper,05. Jan,B+ 275,chassis,,,,\n\
         ,paper,0.1 mfd,a,b,,,,\n\
         C1A,electrolytic,\"4,7 mfd\",#NAME?,chassis,,yes,,\n\
         r1,resistor,22k,B+ 275,chassis,,,,\n\
         C20,paper,1.00E-02,a,b,,,,\n\
         R21,resistor,\"1\n2k\",a,b,,,,\n",
        &[
            (2, 7, "`maybe` is neither", "`yes`"),
            (3, 3, "`05. Jan` is a date", "the sheet says `.05`"),
            (4, 1, "no reference", "R71"),
            (5, 3, "`4,7 mfd` has a comma", "0.05"),
            (5, 4, "sum that failed", "the sheet says `B+ 275`"),
            (6, 1, "twice, first on line 2", "keep one"),
            (7, 3, "as spreadsheets write it", "the sheet has nothing"),
            (8, 3, "line break", "one line"),
        ],
    );
    // What the checker of the sheet says, in the place of the list.
    check_faults(
        "ref,kind,value,from,to,third,replaced,re_formed,original,measured\n\
         R1,resistor,1 M,B+ 275,V1.9,,,,,23 mfd\n\
         C1A,electrolytic,40 mfd 450 V,B+ 275,chassis,,yes,,yes,\n\
         R30,resitor,1k,a,b,,,,,\n\
         V1,resistor,1k,a,b,,,,,\n\
         R40,resistor,\"0,5 meg\",a,b,,yes,,,\n",
        &[
            (2, 3, "two ways", "meg for million"),
            (2, 5, "V1.9", ""),
            (2, 10, "no measured value", "ohms"),
            (3, 9, "as replaced and as original", "keep"),
            (4, 2, "resitor", "resistor"),
            (5, 1, "twice", ""),
            (6, 3, "has a comma", "point"),
        ],
    );
    // The entry that is at odds with the new one stands in the sheet already.
    check_faults(
        "ref,original\nC1A,yes\n",
        &[(2, 2, "as replaced and as original", "keep")],
    );
    check_faults(
        "ref,value\nR77,1k\n",
        &[(2, 1, "no part `R77`", "kind, from, to")],
    );
    check_faults("ref,third\nC1,V1.1\n", &[(2, 2, "", "")]);
}

#[test]
fn the_longest_list_is_survived() {
    let heading = "ref,kind,value,from,to,replaced,cut_loose,measured\n";
    let lines = |cells: &str| -> String {
        (0..1990)
            .map(|at| format!("R{},{cells}\n", 1000 + at))
            .collect()
    };
    let good = format!("{heading}{}", lines("resistor,1k,V1.1,B+ 275,yes,yes,1.1k"));
    let taken = take(SMALL, &good).expect("no fault");
    assert_eq!(taken.added.len(), 1990);
    assert_eq!(read_sheet(&taken.text, catalogue()).faults, []);
    let bad = format!("{heading}{}", lines("resisor,1z,V1.99,B+ 275,yes,yes,1.1z"));
    let faults = take(SMALL, &bad).expect_err("faults");
    assert!(faults.len() >= 2 * 1990, "{}", faults.len());
}

#[test]
fn a_sheet_that_has_a_part_twice_is_told_before_anything_else() {
    let twice = SMALL.replace("[\"C1\", ", "[\"R1\", ");
    let list = read_list(b"ref,value\nR1,1k\n").expect("sound");
    match take_list(&twice, &list, false, catalogue()) {
        Err(TakeError::List(faults)) => {
            assert!(faults[0].text.contains("lines 9 and 10"), "{faults:?}")
        }
        other => panic!("{other:?}"),
    }
}

#[test]
fn what_hung_on_a_part_that_is_taken_out_is_to_be_noticed() {
    // F1 alone reaches the place `a`, at which the chart has a reading.
    let hung = SMALL.to_string() + "\n[chart]\nvolts = [[\"a\", \"chassis\", 5]]\n";
    assert_eq!(read_sheet(&hung, catalogue()).faults, []);
    let list = read_list(b"ref\nR1\nC1\nC1A\nR2\n").expect("sound");
    let new = taken(&hung, &list, true).expect("no fault").text;
    let notices = new_notices(&hung, &new, catalogue());
    assert!(
        notices
            .iter()
            .any(|notice| notice.text.contains("no part of the sheet reaches")),
        "{notices:?}"
    );
    assert_eq!(new_notices(&hung, &hung, catalogue()), []);
    assert_eq!(taken(&hung, &list, false).map(|kept| kept.text), Ok(hung));
}

#[test]
fn a_fault_of_the_sheet_itself_stays_its_own_when_a_nearer_name_comes() {
    // The hint of the old fault names no part before the change and R1235 after it.
    let faulty = SMALL.replace("[\"C1A\"]", "[\"C1A\", \"R1234\"]");
    assert_eq!(read_sheet(&faulty, catalogue()).faults.len(), 1);
    let list = "ref,kind,value,from,to\nR1235,resistor,1k,V1.1,chassis\n";
    let new = take(&faulty, list).unwrap_or_else(|faults| panic!("{faults:#?}"));
    assert_eq!(new.added.len(), 1);
    let hint = |text: &str| read_sheet(text, catalogue()).faults[0].hint.clone();
    assert_ne!(hint(&faulty), hint(&new.text));
}

/// What a spreadsheet does on its way: mark, line ends, separator, quotes around everything.
fn saved(csv: &str, mark: bool, crlf: bool, separator: u8) -> String {
    let mut reader = csv::ReaderBuilder::new()
        .has_headers(false)
        .from_reader(csv.as_bytes());
    let mut writer = csv::WriterBuilder::new()
        .delimiter(separator)
        .quote_style(if crlf {
            csv::QuoteStyle::Always
        } else {
            csv::QuoteStyle::Necessary
        })
        .terminator(if crlf {
            csv::Terminator::CRLF
        } else {
            csv::Terminator::Any(b'\n')
        })
        .from_writer(Vec::new());
    for record in reader.records() {
        writer
            .write_record(&record.expect("a record"))
            .expect("in memory");
    }
    let text = String::from_utf8(writer.into_inner().expect("in memory")).expect("UTF-8");
    format!("{}{text}", if mark { "\u{feff}" } else { "" })
}

#[test]
fn the_examples_go_out_and_back_without_a_byte_changed() {
    for sheet in [LARKFIELD, MERROW, SMALL] {
        for separator in [b',', b';', b'\t'] {
            let csv = csv_of(&parts_of(sheet).expect("sound"), separator);
            let result = take(sheet, &csv).unwrap_or_else(|faults| panic!("{faults:#?}"));
            assert_eq!(result.text, sheet);
            assert_eq!((result.changed.len(), result.kept.len()), (0, 0));
        }
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(80))]

    /// Any cells, in any dress of a spreadsheet: out and back changes no byte.
    #[test]
    fn any_list_goes_out_and_back(
        cells in prop::collection::vec(prop::collection::vec("[^\\x00]{0,9}", 5), 0..8),
        mark in any::<bool>(), crlf in any::<bool>(), separator in 0usize..3,
    ) {
        let rows: Vec<String> = cells
            .iter()
            .enumerate()
            .map(|(at, cells)| {
                let cells: Vec<String> = cells.iter().map(|cell| receiver::sheet_edit::quoted(cell)).collect();
                format!("  [\"X{at}\", {}],   # mine\n", cells.join(",  "))
            })
            .collect();
        let sheet = format!("sheet = 1 # one\nparts = [\n{}]\n[state]\nreplaced = [\"x0\"]\nmeasured = {{ X1 = '0,05' }}\n", rows.concat());
        let csv = csv_of(&parts_of(&sheet).expect("sound"), b',');
        let csv = saved(&csv, mark, crlf, [b',', b';', b'\t'][separator]);
        let list = read_list(csv.as_bytes()).expect("sound");
        match take_list(&sheet, &list, true, catalogue()) {
            Ok(taken) => prop_assert_eq!(taken.text, sheet),
            Err(error) => prop_assert!(false, "{:?}", error),
        }
    }

    /// Whatever a file holds, it is read or refused with lines; what is taken brings no new fault.
    #[test]
    fn any_file_is_survived(text in "(ref|R1|C1A|[,;\\n\"x=#]|kind|value|.){0,40}", remove in any::<bool>()) {
        match read_list(text.as_bytes()) {
            Ok(list) => {
                if let Ok(taken) = take_list(SMALL, &list, remove, catalogue()) {
                    prop_assert_eq!(read_sheet(&taken.text, catalogue()).faults, []);
                }
            }
            Err(faults) => prop_assert!(faults.iter().all(|fault| fault.line.is_some() && !fault.hint.is_empty())),
        }
    }

    /// A cell changed in a list is the only thing that changes, and changing it back gives the sheet again.
    #[test]
    fn one_cell_changes_one_cell(row in 0usize..40, ohms in 1u32..9000) {
        let csv = csv_of(&parts_of(MERROW).expect("sound"), b';');
        let mut lines: Vec<String> = csv.lines().map(str::to_string).collect();
        let line = lines[row + 1].clone();
        let mut cells: Vec<&str> = line.split(';').collect();
        prop_assume!(cells[1] == "resistor" && !line.contains('"'));
        let value = format!("{ohms} ohm 1 W");
        prop_assume!(cells[2] != value);
        cells[2] = &value;
        lines[row + 1] = cells.join(";");
        let there = take(MERROW, &lines.join("\n")).map_err(|faults| TestCaseError::fail(format!("{faults:?}")))?;
        prop_assert_eq!(there.changed.len(), 1);
        prop_assert_eq!(there.text.lines().zip(MERROW.lines()).filter(|(new, old)| new != old).count(), 1);
        let back = take(&there.text, &csv).map_err(|faults| TestCaseError::fail(format!("{faults:?}")))?;
        prop_assert_eq!(back.changed.len(), 1);
        let words = |text: &str| text.split_whitespace().map(str::to_string).collect::<Vec<_>>();
        prop_assert_eq!(words(&back.text), words(MERROW));
    }
}
