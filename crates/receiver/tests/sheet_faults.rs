//! Every fault of a sheet: where it is told, what it says was read, what it says was expected.
//!
//! In the sheets below `«` marks the character at which a fault must be told; the
//! marks are taken out before reading, and their lines and columns are the
//! expected ones. Source of what is a fault: the form of the sheet.

use receiver::sheet::{SheetReading, read_sheet, read_sheet_bytes};

const HEAD: &str = "sheet = 1\nname = \"x\"\nline_volts = 117\nline_hertz = 60\ntubes = [[\"V9\", \"6AU6\", \"\"], [\"V14\", \"5U4-G\"], [\"V20\", \"12LP4-A\", \"picture\"]]\n";

fn read(text: &str) -> SheetReading {
    read_sheet(text, parts::catalogue().expect("the tables are sound"))
}

/// The text without its marks, and line and column of each mark.
fn take_marks(marked: &str) -> (String, Vec<(usize, usize)>) {
    let mut text = String::new();
    let mut marks = Vec::new();
    let (mut line, mut column) = (1, 1);
    for character in marked.chars() {
        match character {
            '«' => marks.push((line, column)),
            '\n' => {
                text.push(character);
                line += 1;
                column = 1;
            }
            _ => {
                text.push(character);
                column += 1;
            }
        }
    }
    (text, marks)
}

/// Each expectation is "part of the text ~ part of the hint", in the order of the marks.
fn check_whole(marked: &str, expected: &[&str]) {
    let (text, marks) = take_marks(marked);
    let reading = read(&text);
    let told: Vec<String> = reading
        .faults
        .iter()
        .map(|fault| fault.to_string())
        .collect();
    assert_eq!(reading.faults.len(), expected.len(), "{marked}\n{told:#?}");
    assert_eq!(marks.len(), expected.len(), "marks of {marked}");
    for ((fault, mark), expected) in reading.faults.iter().zip(&marks).zip(expected) {
        let (in_text, in_hint) = expected.split_once(" ~ ").unwrap_or((expected, ""));
        assert_eq!((fault.line, fault.column), *mark, "{marked}\n{fault}");
        assert!(
            fault.text.contains(in_text) && fault.hint.contains(in_hint),
            "{marked}\ntold: {fault}\nwanted: {expected}"
        );
    }
    assert!(reading.sheet.is_none() || expected.is_empty());
}

/// As `check_whole`, behind a head with three tubes.
fn check(marked: &str, expected: &[&str]) {
    check_whole(&format!("{HEAD}{marked}"), expected);
}

/// One row of parts.
fn check_part(marked_row: &str, expected: &[&str]) {
    check(&format!("parts = [\n  {marked_row},\n]"), expected);
}

/// A value of a kind: faults at the marks, or none.
fn check_value(kind: &str, marked_value: &str, expected: &[&str]) {
    check_part(
        &format!("[\"P1\", \"{kind}\", \"{marked_value}\", \"a\", \"chassis\"]"),
        expected,
    );
}

#[test]
fn what_the_sheet_must_begin_with() {
    let good = "sheet = 1\nline_volts = 117\nline_hertz = 60\n";
    check_whole(good, &[]);
    check_whole(
        "««line_hertz = 60\n",
        &["`sheet = 1` is missing", "`line_volts` is missing"],
    );
    check_whole(
        "sheet = «2\nline_volts = 117\nline_hertz = 60",
        &["edition 2 ~ edition 1"],
    );
    check_whole(
        "sheet = «\"1\"\nline_volts = 117\nline_hertz = 60",
        &["a text ~ sheet = 1"],
    );
    check_whole(
        "sheet = 1\nline_volts = «\"117 V\"\nline_hertz = 60",
        &["`line_volts` is a text ~ line_volts = 117"],
    );
    check_whole(
        "sheet = 1\nline_volts = «17\nline_hertz = «0",
        &["17 V is no line", "0 Hz ~ 60"],
    );
    check_whole(
        "sheet = 1\nline_volts = «nan\nline_hertz = 60",
        &["line_volts"],
    );
    check_whole(
        "sheet = 1\nname = «12\nmade = «\"1950\"\nline_volts = 117\nline_hertz = 60",
        &["`name` is a number", "made"],
    );
    check_whole(
        "sheet = 1\nmade = «195\nline_volts = 117\nline_hertz = 60",
        &["195 is no year"],
    );
}

#[test]
fn an_empty_sheet_says_what_belongs_in_it() {
    for text in ["", "\n\n", "# only a comment\n", "\u{feff}"] {
        let reading = read(text);
        assert_eq!(reading.faults.len(), 3, "{text:?}");
        assert!(reading.sheet.is_none());
    }
    assert!(
        read("")
            .faults
            .iter()
            .any(|fault| fault.text == "the sheet is empty")
    );
}

#[test]
fn unknown_keys_are_told_with_the_nearest() {
    check(
        "«line_volt = 3",
        &["unknown key `line_volt` ~ did you mean `line_volts`?"],
    );
    check(
        "«part = []",
        &["unknown key `part` in the sheet ~ did you mean `parts`?"],
    );
    check(
        "[chart]\n«volt = []",
        &["in the chart ~ did you mean `volts`?"],
    );
    check(
        "[bench]\n«lamp = [60]",
        &["in the bench ~ did you mean `lamps`?"],
    );
    check(
        "[state]\n«reformed = []",
        &["in the state ~ did you mean `re_formed`?"],
    );
    check(
        "heaters = [ { from = \"a\", to = \"chassis\", «serie = [\"V9\"], series = [\"V14\"] } ]",
        &["`serie` in a row of heaters ~ did you mean `series`?"],
    );
}

#[test]
fn broken_toml_is_told_at_its_place() {
    check_whole("sheet = 1\nname = «“x”\n", &[" ~ straight quotes"]);
    check_whole("sheet = 1\n«sheet = 1\n", &["duplicate ~ once"]);
    let reading = read("sheet = 1\nparts = [\n  [\"R1\", \"resistor\" \"1k\", \"a\", \"b\"],\n]\n");
    assert_eq!((reading.faults.len(), reading.faults[0].line), (1, 3));
    assert_eq!(read("name = \"no end\n").faults[0].line, 1);
    assert_eq!(read("[[[[[").faults.len(), 1);
}

#[test]
fn what_is_no_text_is_told_once() {
    let bytes = |bytes: &[u8]| read_sheet_bytes(bytes, parts::catalogue().expect("sound")).faults;
    let faults = bytes(b"sheet = 1\nname = \"4\xb5F\"");
    assert_eq!((faults.len(), faults[0].line, faults[0].column), (1, 2, 10));
    assert!(faults[0].text.contains("0xb5") && faults[0].hint.contains("UTF-8"));
    assert!(bytes(&[0xff, 0xfe, b's', 0])[0].text.contains("UTF-16"));
    assert!(
        bytes(b"\x7fELF\0\0\x80\xff")[0]
            .text
            .contains("no text file")
    );
    assert_eq!(bytes(b"\0\0\0\0").len(), 1);
}

#[test]
fn rows_of_the_wrong_shape() {
    check("parts = «3", &["`parts` is a number ~ rows between"]);
    check("parts = [«\"R1\"]", &["row of parts ~ a row like"]);
    check(
        "parts = [«[\"R1\", \"resistor\", \"1k\", \"a\"]]",
        &["has 4 cells ~ reference, kind, value, from, to"],
    );
    check("parts = [«[]]", &["has no cells"]);
    check(
        "parts = [«[\"R1\", \"control\", \"1k\", \"a\", \"b\", \"c\", \"d\"]]",
        &["has 7 cells"],
    );
    check(
        "parts = [[\"R1\", \"resistor\", «true, \"a\", \"chassis\"]]",
        &["`value` is `true` or `false` ~ a text"],
    );
    check(
        "windings = [«[\"T1\", \"p\", \"117 V\", \"line a\", \"line b\", \"x\"]]",
        &["has 6 cells ~ two rows that meet at the tap"],
    );
    check("heaters = [«[\"V9\"]]", &["row of heaters ~ { from ="]);
    check("chart = «1", &["`chart` is a number ~ [chart]"]);
    check("[chart]\nvolts = [«[\"V9.5\"]]", &["has 1 cells"]);
    // A number stands for its text.
    check(
        "parts = [[\"R1\", \"resistor\", 4700, \"a\", \"chassis\"]]",
        &[],
    );
}

#[test]
fn references_are_told_apart() {
    let part =
        |reference: &str| format!("[\"{reference}\", \"resistor\", \"1k\", \"a\", \"chassis\"]");
    check(
        &format!(
            "parts = [{}, [«\"r1\", \"wire\", \"\", \"a\", \"chassis\"]]",
            part("R1")
        ),
        &["`r1` is there twice: a part on line 6"],
    );
    check(
        "parts = [[«\"V9\", \"wire\", \"\", \"a\", \"chassis\"]]",
        &["`V9` is there twice: a tube on line 5"],
    );
    check(
        "windings = [[\"T1\", \"p\", \"117 V\", \"line a\", \"line b\"]]\nparts = [[«\"T1\", \"wire\", \"\", \"a\", \"chassis\"]]",
        &["`T1` is there twice: a transformer"],
    );
    check(
        "parts = [[«\"\", \"wire\", \"\", \"a\", \"chassis\"]]",
        &["no reference"],
    );
    check(
        "parts = [[\"R1«,R2\", \"wire\", \"\", \"a\", \"chassis\"]]",
        &["no reference ~ comma"],
    );
    let head = "sheet = 1\nline_volts = 117\nline_hertz = 60\n";
    check_whole(
        &format!("{head}tubes = [[\"V9\", \"6AU6\"], [«\"V9\", \"5U4-G\"]]"),
        &["`V9` is there twice: a tube on line 4"],
    );
    check_whole(
        &format!("{head}tubes = [[\"V9«.1\", \"6AU6\"], [«\"\", \"6AU6\"]]"),
        &[
            "is no reference of a tube ~ no dot",
            "the tube has no reference",
        ],
    );
}

#[test]
fn tube_types_must_be_known() {
    let head = "sheet = 1\nline_volts = 117\nline_hertz = 60\n";
    check_whole(
        &format!("{head}tubes = [[\"V9\", «\"6UA6\", \"\"]]"),
        &["no tube type `6UA6` ~ `6AU6`"],
    );
    check_whole(
        &format!("{head}tubes = [[\"V9\", «\"\"]]"),
        &["the tube has no type"],
    );
    check_whole(
        &format!("{head}tubes = [«[\"V9\"]]"),
        &["the row of a tube has 1 cells"],
    );
    check_whole(
        &format!(
            "{head}tubes = [[\"V9\", \"6XX6\"]]\n[tube.\"6XX6\"]\nheater_v = «\"six\"\nheater_a = 0.3\n«heater_watts = 3"
        ),
        &["column `heater_v` of `6XX6`", "heater_watts"],
    );
}

#[test]
fn kinds_must_be_known() {
    check_part(
        "[\"R1\", «\"resister\", \"1k\", \"a\", \"chassis\"]",
        &["unknown kind of part `resister` ~ did you mean `resistor`?"],
    );
    check_part(
        "[\"R1\", «\"potentiometer\", \"1k\", \"a\", \"chassis\"]",
        &[" ~ did you mean `control`?"],
    );
    check_part(
        "[\"R1\", «\"condenser\", \"0.05 mfd\", \"a\", \"chassis\"]",
        &[" ~ did you mean `paper`?"],
    );
    check_part(
        "[\"R1\", «\"\", \"1k\", \"a\", \"chassis\"]",
        &["the part has no kind ~ kinds are resistor, control"],
    );
    check_part(
        "[\"T1\", «\"transformer\", \"\", \"a\", \"chassis\"]",
        &["unknown kind of part `transformer` ~ one row of `windings`"],
    );
    check_part(
        "[\"R1\", \"Focus Coil\", \"360 ohm\", \"a\", \"chassis\"]",
        &[],
    );
    check_part(
        "[\"R1\", \"wire\", \"\", \"a\", \"chassis\", «\"b\"]",
        &["a wire has no third place ~ wiper of a control"],
    );
}

#[test]
fn places_must_be_there() {
    check_part(
        "[\"R1\", \"wire\", \"\", «\"V77.3\", \"chassis\"]",
        &["the sheet has no tube `V77` ~ enter the tube"],
    );
    check_part(
        "[\"R1\", \"wire\", \"\", «\"V15.3\", \"chassis\"]",
        &["the sheet has no tube `V15` ~ did you mean `V14.3`?"],
    );
    check_part(
        "[\"R1\", \"wire\", \"\", «\"V9.8\", \"chassis\"]",
        &["6AU6 has a base of 7 pins ~ pins are 1 to 7; on 6AU6: 1 grid1"],
    );
    check_part(
        "[\"R1\", \"wire\", \"\", «\"V9.x\", \"chassis\"]",
        &["`x` is no pin ~ expected a pin number"],
    );
    check_part(
        "[\"R1\", \"wire\", \"\", «\"V9.07\", \"chassis\"]",
        &["`07` is no pin"],
    );
    check_part(
        "[\"R1\", \"wire\", \"\", «\"V9.cap\", \"chassis\"]",
        &["6AU6 has no top cap"],
    );
    check_part(
        "[\"R1\", \"wire\", \"\", «\"V9.anode\", \"chassis\"]",
        &["6AU6 is no picture tube"],
    );
    check_part(
        "[\"R1\", \"wire\", \"\", «\"\", \"chassis\"]",
        &["the place is empty ~ `V5.6`"],
    );
    check(
        "parts = [[\"R5\", \"wire\", \"\", \"a\", \"chassis\"], [\"R6\", \"wire\", \"\", «\"R5.cap\", \"chassis\"]]",
        &["`R5` is no tube"],
    );
    // Names with a dot in them are names; pins are found in any case.
    check_part("[\"R1\", \"resistor\", \"1k\", \"B+ 2.5\", \"J2.3\"]", &[]);
    check_part("[\"R1\", \"resistor\", \"1k\", \"v9.5\", \"Line A\"]", &[]);
}

#[test]
fn values_are_told_at_the_item() {
    check_value(
        "resistor",
        "«1M",
        &["can be read two ways: `1k` or `1 meg`"],
    );
    check_value("resistor", "1k 2 «Q", &["`Q` is not understood ~ unit"]);
    check_value(
        "resistor",
        "1k «450 V",
        &["`450 V` does not belong to a resistor ~ 4.7k 2 W 10%"],
    );
    check_value("resistor", "1k «2k", &["a resistor has its ohms already"]);
    check_value(
        "paper",
        "0.05 mfd «10 ohm",
        &["`10 ohm` does not belong to a paper"],
    );
    check_value(
        "control",
        "5k «at 1.4",
        &["`at 1.4` ~ a fraction from 0 to 1"],
    );
    check_value(
        "load",
        "95 mA at 330 V «soon",
        &["`soon` does not belong to a load"],
    );
    check_value(
        "load",
        "95 mA at 330 V «stedy",
        &[" ~ did you mean `steady`?"],
    );
    check_value(
        "lamp",
        "6.3 V 0.15 A «5 mfd",
        &["does not belong to a lamp"],
    );
    check_value(
        "electrolytic",
        "40 mfd 450 V surge «400 V",
        &["surge volts are not above the working volts"],
    );
    check_value("thermistor", "«120 ohm 1.5 A", &["cold or hot is not told"]);
    check_value("selenium", "5 plates «300", &["has no unit"]);
    check_part(
        "[\"W1\", \"wire\", «\"1 ohm\", \"a\", \"chassis\"]",
        &["does not belong to a wire"],
    );
    check_part(
        "[\"S1\", \"switch\", «\"opn\", \"a\", \"chassis\"]",
        &["`opn` does not belong to a switch ~ did you mean `open`?"],
    );
}

#[test]
fn figures_that_no_part_has_are_slips() {
    check_value(
        "resistor",
        "«0",
        &["`0` is no possible ohms of a resistor ~ expected from"],
    );
    check_value("resistor", "«5e15 ohm", &["no possible ohms"]);
    check_value(
        "electrolytic",
        "40 mfd «-450 V",
        &["`-450 V` is no possible volts of an electrolytic"],
    );
    check_value("choke", "«1e9 H 85 ohm", &["no possible inductance"]);
    check_value("load", "«0 mA at 330 V", &["no possible current"]);
    check(
        "parts = [[\"R1\", \"resistor\", \"1k\", \"a\", \"chassis\"]]\n[state]\nmeasured = { R1 = «\"0 ohm\" }",
        &["is no measured value of `R1`"],
    );
}

#[test]
fn values_must_be_whole() {
    let check_missing = |kind: &str, value: &str, expected: &str| {
        check_part(
            &format!("[\"P1\", \"{kind}\", «\"{value}\", \"a\", \"chassis\"]"),
            &[expected],
        );
    };
    check_missing(
        "resistor",
        "",
        "a resistor has no value: ohms missing ~ 4.7k",
    );
    check_missing("resistor", "10 W", "ohms missing");
    check_missing("control", "", "ohms missing");
    check_missing(
        "electrolytic",
        "450 V",
        "capacitance missing ~ 40 mfd 450 V",
    );
    check_missing("paper", "", "capacitance missing");
    check_missing(
        "load",
        "95 mA",
        "the volts at which it draws its current are missing ~ 95 mA at 330 V",
    );
    check_missing("load", "", "its current and the volts");
    check_missing("lamp", "6.3 V", "watts, or volts and amperes missing");
    check_missing("selenium", "300 mA", "number of plates missing");
    check_missing("ballast", "43 V", "current missing");
    check_missing("thermistor", "", "cold ohms missing");
    check_missing(
        "thermistor",
        "5 ohm cold 50 ohm hot",
        "hot ohms are not below",
    );
    // These may say nothing.
    for kind in [
        "fuse", "choke", "coil", "silicon", "crystal", "neon", "vdr", "switch", "plug", "wire",
    ] {
        check_value(kind, "", &[]);
    }
}

#[test]
fn small_parts_without_heater_are_checked() {
    // A fault of the value as a whole is told at its cell.
    let check_whole_value = |kind: &str, value: &str, expected: &[&str]| {
        check_part(
            &format!("[\"P1\", \"{kind}\", «\"{value}\", \"a\", \"chassis\"]"),
            expected,
        );
    };
    check_value("crystal", "«1N43", &["1N43 ~ did you mean `1N34`?"]);
    check_value(
        "crystal",
        "  «1n99a 60 V",
        &["`1n99a` is no type of the catalogue ~ known are 1N34"],
    );
    check_value("crystal", "«NE-2", &["`NE-2` is no type of the catalogue"]);
    check_value(
        "crystal",
        "«sellenium",
        &["does not belong ~ did you mean `selenium`?"],
    );
    check_whole_value(
        "crystal",
        "5 mA",
        &["the volts of the forward current are missing ~ 5 mA at 1 V"],
    );
    check_whole_value(
        "crystal",
        "60 V at 1 V",
        &["the forward current is missing"],
    );
    check_value(
        "crystal",
        "60 V «50 V",
        &["a crystal has its inverse volts already"],
    );
    check_value(
        "crystal",
        "1N34 «4.7k",
        &["does not belong to a crystal ~ 1N34"],
    );
    check_value("crystal", "60 V «1N34", &["does not belong"]);
    check_value(
        "crystal",
        "1N34 «1N34A",
        &["`1N34A` does not belong to a crystal"],
    );
    check_value("neon", "«NE-22", &["NE-22 ~ did you mean `NE-2`?"]);
    check_value("neon", "«65 V", &["striking or burning is not told"]);
    check_value(
        "neon",
        "«65 V 55 V strike «burning",
        &["striking or burning is not told", "has no volts"],
    );
    check_value(
        "neon",
        "65 V strike «70 V strike",
        &["striking volts already"],
    );
    check_value("neon", "«strike 0.5 mA", &["`strike` has no volts"]);
    check_whole_value(
        "neon",
        "55 V strike 65 V burning",
        &["the burning volts are not below"],
    );
    check_value(
        "neon",
        "65 V «stike",
        &["`stike` does not belong ~ did you mean `strike`?"],
    );
    check_value("neon", "NE-2 «0.05 mfd", &["does not belong to a neon"]);
    check_whole_value(
        "vdr",
        "1 mA",
        &["the volts of its current are missing ~ 1 mA at 100 V"],
    );
    check_whole_value(
        "vdr",
        "beta 0.2",
        &["its current and the volts of it are missing"],
    );
    check_value(
        "vdr",
        "1 mA at 100 V beta «5",
        &["is no possible exponent ~ from 0.01 to below 1"],
    );
    check_value("vdr", "1 mA at 100 V «beta", &["`beta` has no number"]);
    check_value(
        "vdr",
        "1 mA at 100 V «bta 0.2",
        &["`bta` ~ did you mean `beta`?"],
    );
    check_value("vdr", "1 mA at 100 V «0.2", &["has no unit"]);
    check_value(
        "vdr",
        "1 mA at 100 V beta 0.2 beta «0.3",
        &["it has its exponent already"],
    );
    check_part(
        "[\"Y1\", \"crystal\", \"selenium\", \"a\", \"b\", «\"mid\"]",
        &["a crystal has no third place ~ a twin diode is two rows"],
    );
    check_part(
        "[\"Y1\", «\"varistor\", \"\", \"a\", \"b\"]",
        &["unknown kind of part `varistor` ~ did you mean `vdr`?"],
    );
    check_part(
        "[\"Y1\", «\"cristal\", \"\", \"a\", \"b\"]",
        &["unknown kind of part `cristal` ~ did you mean `crystal`?"],
    );
}

#[test]
fn a_place_inside_a_value_is_found_behind_escapes() {
    check_part(
        r#"["R1", "resistor", "4.7\u0020k «450 V", "a", "chassis"]"#,
        &["does not belong"],
    );
    check_part(
        r#"["R1", "resistor", '4.7k «450 V', "a", "chassis"]"#,
        &["does not belong"],
    );
    check_part(
        "[\"R1\", \"resistor\", \"47Ω «450 V\", \"a\", \"chassis\"]",
        &["does not belong"],
    );
}

#[test]
fn windings_are_checked() {
    check(
        "windings = [[\"T1\", \"p\", \"117 V «5 mfd\", \"line a\", \"line b\"]]",
        &["`5 mfd` does not belong to a winding ~ idle 0.25 A 9 W"],
    );
    check(
        "windings = [[\"T1\", \"p\", \"650 V «CT\", \"a\", \"chassis\"]]",
        &["a tap does not stand in the rating ~ two rows"],
    );
    check(
        "windings = [[\"T1\", \"p\", «\"117 V, idle\", \"line a\", \"line b\"]]",
        &["after `idle` nothing follows"],
    );
    check(
        "windings = [[\"T1\", «\"\", \"117 V\", \"line a\", \"line b\"]]",
        &["the winding has no name"],
    );
    check(
        "windings = [[\"T1\", \"p\", \"117 V\", \"line a\", \"line b\"], «[\"T1\", \"P\", \"6.3 V\", \"a\", \"chassis\"]]",
        &["`T1` has two windings `P`"],
    );
}

#[test]
fn shorted_sources_are_faults() {
    check(
        "parts = [[«\"W1\", \"wire\", \"\", \"line a\", \"line b\"]]",
        &["joins `line a` to `line b`: the line is shorted"],
    );
    check(
        "parts = [[\"W1\", \"wire\", \"\", \"line a\", \"x\"], [«\"W2\", \"wire\", \"\", \"x\", \"line b\"]]",
        &["`W2` joins ~ W1 and W2"],
    );
    check(
        "windings = [«[\"T1\", \"heaters\", \"6.3 V\", \"h\", \"chassis\"]]\nparts = [[\"W1\", \"wire\", \"\", \"h\", \"chassis\"]]",
        &["`T1 heaters`: both ends are joined by wire W1"],
    );
    check(
        "windings = [«[\"T1\", \"heaters\", \"6.3 V\", \"h\", \"h\"]]",
        &["both ends are on one place: the winding is shorted"],
    );
    check(
        "heaters = [«{ from = \"h\", to = \"h\", parallel = [\"V9\"] }]",
        &["no heater gets any volts"],
    );
    check(
        "windings = [\n[\"T1\", \"a\", \"6.3 V\", \"h\", \"chassis\"],\n«[\"T1\", \"b\", \"6.3 V\", \"chassis\", \"h\"],\n]",
        &["`T1 b` closes a loop of windings with 12.6 V left over"],
    );
    // Side by side, starts on starts, they are in order; so is a closed switch across the line, which is no wire.
    check(
        "windings = [[\"T1\", \"a\", \"6.3 V\", \"h\", \"chassis\"], [\"T1\", \"b\", \"6.4 V\", \"h\", \"chassis\"]]",
        &[],
    );
    check(
        "parts = [[\"S1\", \"switch\", \"\", \"line a\", \"line b\"]]",
        &[],
    );
}

#[test]
fn heaters_are_checked() {
    let row =
        |inside: &str| format!("heaters = [ {{ from = \"h\", to = \"chassis\", {inside} }} ]");
    check(
        &row("parallel = [\"V9\", «\"V8\"]"),
        &["the sheet has no tube `V8` ~ did you mean `V9`?"],
    );
    check(
        &row("parallel = [\"V9\", «\"V9\"]"),
        &["`V9` is heated twice: line 6"],
    );
    check(&row("«parallel = []"), &["names no tube"]);
    check(&row("series = [«3]"), &["`heater` is a number"]);
    check(
        &row("series = [\"V9\"], «parallel = [\"V20\"]"),
        &["parallel and series at once ~ two rows"],
    );
    check(
        "heaters = [ «{ from = \"h\", to = \"chassis\" } ]",
        &["neither `parallel` nor `series`"],
    );
    check(
        "heaters = [ «{ to = \"chassis\", parallel = [\"V9\"] } ]",
        &["has no `from`"],
    );
    check(
        "parts = [[\"R1\", \"resistor\", \"10\", \"h\", \"chassis\"]]\nheaters = [ { from = \"h\", to = \"chassis\", series = [«\"R1\"] } ]",
        &["`R1` is no tube ~ two rows of heaters"],
    );
    let head = "sheet = 1\nline_volts = 117\nline_hertz = 60\n";
    check_whole(
        &format!(
            "{head}tubes = [[«\"V14\", \"5U4-G\"]]\nwindings = [[\"T1\", \"r\", \"5 V\", \"V14.2\", \"V14.8\"]]\nheaters = [ {{ from = \"h\", to = \"chassis\", parallel = [\"V14\"] }} ]"
        ),
        &["`V14` is heated twice: by the row of heaters on line 6 and by `T1 r`"],
    );
}

#[test]
fn chart_bench_and_state_are_checked() {
    check(
        "[chart]\nvolts = [[«\"V9.9\", \"chassis\", 3]]",
        &["6AU6 has a base of 7 pins"],
    );
    check(
        "[chart]\nvolts = [[\"V9.5\", \"chassis\", «\"3 mfd\"]]",
        &["`3 mfd` is no reading of the chart"],
    );
    check(
        "[chart]\nohms = [[\"V9.5\", \"chassis\", \"«1M\"]]",
        &["two ways"],
    );
    check("[chart]\nline_volts = «1000", &["no line"]);
    check(
        "[chart]\nohms = [[\"V9.5\", \"chassis\", \"infinite\"], [\"V9.6\", \"90k\"]]",
        &[],
    );
    check("[bench]\nlamps = [40, «-3, \"«x\"]", &["", ""]);
    check(
        "[bench]\nlamps = «60",
        &["`lamps` is a number ~ lamps = [40, 60, 100]"],
    );
    check("[bench]\nisolation_va = «\"\"", &["the value is empty"]);
    check(
        "[bench]\nvariable_transformer = «\"yes\"",
        &["is a text ~ `true` or `false`"],
    );
    check(
        "[bench]\nmeters = [\"10M\", «\"good one\"]",
        &["is no meter ~ 20k/V"],
    );
    check(
        "[bench]\ndc_source = «\"20 mA\"",
        &["volts of the d.c. source are missing"],
    );
    check(
        "[bench]\ndc_source = \"0-450 V «5 mfd\"",
        &["is no d.c. source"],
    );
    let part = "parts = [[\"R31\", \"resistor\", \"4.7k\", \"a\", \"chassis\"], [\"W1\", \"wire\", \"\", \"a\", \"b\"]]\n";
    check(
        &format!("{part}[state]\nreplaced = [«\"R13\"]"),
        &["replaced: the sheet has no part, tube or transformer `R13` ~ did you mean `R31`?"],
    );
    check(
        &format!("{part}[state]\nreplaced = [«31]"),
        &["`reference` is a number"],
    );
    check(
        &format!("{part}[state]\nre_formed = [«\"R31\"]"),
        &["is no electrolytic"],
    );
    check(
        &format!("{part}[state]\nreplaced = [\"R31\"]\noriginal = [«\"r31\"]"),
        &["named as replaced and as original"],
    );
    check(
        &format!("{part}[state]\nmeasured = {{ R31 = «\"88 mfd\" }}"),
        &[""],
    );
    check(
        &format!("{part}[state]\nmeasured = {{ «W1 = \"1\" }}"),
        &["a wire has no value to measure"],
    );
    check(
        &format!("{part}[state]\nmeasured = {{ «V9 = \"1\" }}"),
        &["`V9` is a tube"],
    );
    check(
        &format!("{part}[state]\nmeasured = {{ «R3 = \"1\" }}"),
        &["no part `R3` ~ did you mean `R31`?"],
    );
    let winding =
        "windings = [[\"T1\", \"primary\", \"117 V\", \"line a\", \"line b\"]]\n[state]\n";
    check(
        &format!("{winding}measured = {{ \"T1 primary\" = \"4.3 ohm\" }}"),
        &[],
    );
    check(
        &format!("{winding}measured = {{ «\"T1 primry\" = \"4.3 ohm\" }}"),
        &["no winding `primry` ~ did you mean `T1 primary`?"],
    );
    check(
        &format!("{winding}measured = {{ «T1 = \"4.3 ohm\" }}"),
        &["which winding of `T1`"],
    );
}

#[test]
fn all_faults_come_at_once() {
    check(
        "parts = [\n  [\"R1\", «\"resister\", \"1k\", «\"V77.3\", \"chassis\"],\n  [\"R2\", \"resistor\", \"«1M «3 V\", \"a\", «\"V9.9\"],\n]\n[bench]\n«lamp = []\n[state]\nreplaced = [«\"R3\"]",
        &["resister", "V77", "two ways", "", "7 pins", "lamp", "R3"],
    );
}
