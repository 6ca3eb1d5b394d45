//! Whatever is read, reading ends, does not panic, and tells the same each time.

use std::fmt::Write;

use proptest::prelude::*;
use receiver::sheet::{read_anything, read_sheet, read_sheet_bytes};

const EXAMPLE: &str = include_str!("sheets/contract_example.toml");

/// Pieces that sheets are made of, to be strung together in any order.
const WORDS: &[&str] = &[
    "1N34", "1N99", "NE-2", "selenium", "65 V", "55 V", "at 1 V", "0.5 mA", "strike", "burning",
    "beta", "0.2", "5", "10%", "4.7k", "µ", "0 V", "1e9 V",
];
const PIECES: &[&str] = &[
    "sheet = 1\n",
    "line_volts = 117\n",
    "line_hertz = 60\n",
    "tubes = [",
    "parts = [",
    "windings = [",
    "heaters = [",
    "[chart]\n",
    "[bench]\n",
    "[state]\n",
    "[tube.\"6XX6\"]\n",
    "]\n",
    "],\n",
    "[\"V9\", \"6AU6\"],",
    "[\"R1\", \"resistor\", \"1k\", \"V9.5\", \"a\"],",
    "[\"Y1\", \"crystal\", \"1N34 60 V\", \"a\", \"b\"],",
    "[\"N1\", \"neon\", \"65 V strike 55 V burning\", \"a\", \"b\"],",
    "[\"Z1\", \"vdr\", \"1 mA at 100 V beta 0.2\", \"a\", \"b\"],",
    "[\"W1\", \"wire\", \"\", \"line a\", \"line b\"],",
    "[\"T1\", \"p\", \"117 V\", \"a\", \"a\"],",
    "{ from = \"a\", to = \"a\", series = [\"V9\"] },",
    "volts = [[\"V9.5\", 3]]\n",
    "measured = { R1 = \"1M\" }\n",
    "replaced = [\"R1\", 3]\n",
    "lamps = [60]\n",
    "\"\\u0000µΩ\"",
    "'''",
    "\"\"\"",
    "\u{feff}",
    "heater_v = 6.3\n",
    "pins = \"1:heater\"\n",
    "{",
    "}",
    "=",
    "inf",
    "-1",
    "9999999999999999999",
    "\"V9.cap\"",
    "\"V9.\"",
    "\".\"",
    "\r\n",
    "#",
];

proptest! {
    #![proptest_config(ProptestConfig::with_cases(300))]

    #[test]
    fn any_text(text in ".{0,300}") {
        read_anything(text.as_bytes());
    }

    #[test]
    fn any_bytes(bytes in prop::collection::vec(any::<u8>(), 0..300)) {
        read_anything(&bytes);
    }

    #[test]
    fn any_order_of_pieces(order in prop::collection::vec(0..PIECES.len(), 0..25)) {
        let text: String = order.iter().map(|piece| PIECES[*piece]).collect();
        read_anything(text.as_bytes());
    }

    #[test]
    fn any_text_in_a_cell(cell in "[^\"\\\\\\n\\r\\p{Cc}]{0,40}", column in 0usize..6) {
        let mut row = ["R1", "resistor", "1k", "a", "b", "c"].map(str::to_string);
        row[column] = cell;
        let text = format!("{EXAMPLE}\n").replace("parts = [\n", &format!("parts = [\n  [\"{}\"],\n", row.join("\", \"")));
        read_anything(text.as_bytes());
    }

    /// Words and figures of the small parts without heater, in any order.
    #[test]
    fn any_order_of_a_value(kind in 0usize..3, order in prop::collection::vec(0..WORDS.len(), 0..7)) {
        let kind = ["crystal", "neon", "vdr"][kind];
        let words: Vec<&str> = order.iter().map(|word| WORDS[*word]).collect();
        let text = format!("sheet = 1\nline_volts = 117\nline_hertz = 60\nparts = [[\"P1\", \"{kind}\", \"{}\", \"a\", \"b\"]]\n", words.join(" "));
        let reading = read_sheet(&text, parts::catalogue().expect("the tables are sound"));
        for fault in &reading.faults {
            prop_assert!(fault.line == 4 && !fault.text.is_empty() && !fault.hint.is_empty(), "{text}{fault}");
        }
        prop_assert_eq!(reading.sheet.is_some(), reading.faults.is_empty());
    }

    /// The example with bytes taken out, put in or changed.
    #[test]
    fn any_slip_of_the_pen(slips in prop::collection::vec((0..EXAMPLE.len(), 0u8..3, any::<u8>()), 1..6)) {
        let mut bytes = EXAMPLE.as_bytes().to_vec();
        for (at, what, byte) in slips {
            let at = at.min(bytes.len().saturating_sub(1));
            match what {
                0 => { bytes.remove(at); }
                1 => bytes.insert(at, byte),
                _ => bytes[at] = byte,
            }
        }
        read_anything(&bytes);
    }

    /// Every fault lies inside the text, and a second reading tells the same.
    #[test]
    fn faults_lie_inside_the_text(at in 0..EXAMPLE.len(), put in "[a-z0-9.\"\\[\\], ]{0,3}") {
        prop_assume!(EXAMPLE.is_char_boundary(at));
        let text = format!("{}{put}{}", &EXAMPLE[..at], &EXAMPLE[at..]);
        let catalogue = parts::catalogue().expect("the tables are sound");
        let reading = read_sheet(&text, catalogue);
        for fault in &reading.faults {
            let line = text.lines().nth(fault.line - 1).unwrap_or("");
            prop_assert!(fault.column >= 1 && fault.column <= line.chars().count() + 1, "{fault}");
            prop_assert!(!fault.text.is_empty() && !fault.hint.is_empty(), "{fault}");
        }
        prop_assert_eq!(reading.sheet.is_some(), reading.faults.is_empty());
        let again = read_sheet_bytes(text.as_bytes(), catalogue);
        prop_assert_eq!((reading.faults, reading.notices), (again.faults, again.notices));
    }
}

#[test]
fn line_ends_and_a_byte_order_mark_change_nothing() {
    let catalogue = parts::catalogue().expect("the tables are sound");
    let told = |text: &str| {
        let reading = read_sheet(text, catalogue);
        (reading.faults, reading.notices)
    };
    let broken = EXAMPLE
        .replace("\"22k 10 W\"", "\"22k 10 Wh\"")
        .replace("\"V9.5\", ", "\"V9.9\", ");
    for text in [EXAMPLE, broken.as_str()] {
        let plain = told(text);
        assert_eq!(told(&text.replace('\n', "\r\n")), plain);
        assert_eq!(told(&format!("\u{feff}{text}")), plain);
    }
    assert!(!told(&broken).0.is_empty());
}

/// A long sheet must take time in proportion to its length. No clock is asked: a reading whose work
/// grows with the square of the length would take minutes here.
#[test]
fn ten_thousand_lines_are_read_good_and_bad() {
    let catalogue = parts::catalogue().expect("the tables are sound");
    let mut good =
        String::from("sheet = 1\nname = \"long\"\nline_volts = 117\nline_hertz = 60\nparts = [\n");
    let mut bad = good.clone();
    for n in 0..10_000 {
        let _ = writeln!(
            good,
            "  [\"R{n}\", \"resistor\", \"1k\", \"p{n}\", \"p{}\"],",
            n + 1
        );
        let _ = writeln!(bad, "  [\"R{n}\", \"resister\", \"1Q\", \"V{n}.3\", \"\"],");
    }
    good.push_str("  [\"RZ\", \"resistor\", \"1k\", \"p0\", \"chassis\"],\n]\n[state]\nreplaced = [\"R77\"]\n");
    bad.push_str("]\n");
    let reading = read_sheet(&good, catalogue);
    assert_eq!(reading.faults, []);
    assert_eq!(
        reading.sheet.map(|sheet| sheet.places().len()),
        Some(10_002)
    );
    // Kind, value is not read without a kind, two places: three faults a row.
    assert_eq!(read_sheet(&bad, catalogue).faults.len(), 30_000);
    let one_line = bad.replace('\n', " ").replace(
        "sheet = 1 name = \"long\" line_volts = 117 line_hertz = 60 ",
        "sheet = 1\nline_volts = 117\nline_hertz = 60\n",
    );
    assert_eq!(read_sheet(&one_line, catalogue).faults.len(), 30_000);
}

#[test]
fn long_sheets_of_other_shapes() {
    let catalogue = parts::catalogue().expect("the tables are sound");
    let head = "sheet = 1\nname = \"long\"\nline_volts = 117\nline_hertz = 60\n";
    let rows =
        |form: &dyn Fn(usize) -> String| (0..10_000).map(form).collect::<Vec<_>>().join(",\n");
    let fed = format!(
        "{head}tubes = [{}]\nwindings = [{}]\nheaters = [{}]\n",
        rows(&|n| format!("[\"V{n}\", \"6AU6\"]")),
        rows(&|n| format!("[\"T{n}\", \"h\", \"6.3 V 0.1 ohm\", \"h{n}\", \"chassis\"]")),
        rows(&|n| format!("{{ from = \"h{n}\", to = \"chassis\", parallel = [\"V{n}\"] }}")),
    );
    assert_eq!(read_sheet(&fed, catalogue).faults, []);
    let unknown_types = format!(
        "{head}tubes = [{}]\n",
        rows(&|n| format!("[\"V{n}\", \"Q{n}X\"]"))
    );
    assert_eq!(read_sheet(&unknown_types, catalogue).faults.len(), 10_000);
    let wires = format!(
        "{head}parts = [{}]\n",
        rows(&|n| format!("[\"W{n}\", \"wire\", \"\", \"p{n}\", \"p{}\"]", n / 2))
    );
    assert_eq!(read_sheet(&wires, catalogue).faults, []);
    let islands = format!(
        "{head}parts = [{}]\n",
        rows(&|n| format!("[\"R{n}\", \"resistor\", \"1k\", \"a{n}\", \"b{n}\"]"))
    );
    assert!(read_sheet(&islands, catalogue).notices.len() >= 10_000);
    let unknown_state = format!(
        "{head}[state]\nreplaced = [{}]\n",
        rows(&|n| format!("\"R{n}\""))
    );
    assert_eq!(read_sheet(&unknown_state, catalogue).faults.len(), 10_000);
    read_anything(format!("{head}name2 = \"{}\"\n", "x".repeat(1_000_000)).as_bytes());
    read_anything(
        format!(
            "{head}parts = [[\"{0}\", \"{0}\", \"{0}\", \"{0}\", \"{0}\"]]\n",
            "5 V ".repeat(50_000)
        )
        .as_bytes(),
    );
    read_anything("[".repeat(100_000).as_bytes());
    read_anything(format!("a = {}", "[".repeat(100_000)).as_bytes());
    read_anything(format!("a = {}", "{a=".repeat(100_000)).as_bytes());
    read_anything("a.".repeat(50_000).as_bytes());
}
