//! Notices: what is odd or lacking in a sheet that can be used as it stands.
//!
//! Source of what is a notice: the form of the sheet. A case gives rows and the
//! notices that must come of them; for near cases no such notice may come.

use receiver::sheet::read_sheet;

const HEAD: &str = "sheet = 1\nname = \"x\"\nline_volts = 117\nline_hertz = 60\n";

/// All notices as "line text | hint", line 0 for the whole sheet. Line 1 is the first line of the given rows.
fn notices(rows: &str) -> Vec<String> {
    let text = format!("{HEAD}{rows}");
    let reading = read_sheet(&text, parts::catalogue().expect("the tables are sound"));
    assert_eq!(reading.faults, [], "{rows}");
    let line = |line: Option<usize>| line.map_or(0, |line| line.saturating_sub(4));
    reading
        .notices
        .iter()
        .map(|notice| format!("{} {} | {}", line(notice.line), notice.text, notice.hint))
        .collect()
}

/// Exactly one notice holds all parts of the expectation, parted by " ~ ".
fn check(rows: &str, expected: &str) {
    let all = notices(rows);
    let holds = |notice: &&String| expected.split(" ~ ").all(|part| notice.contains(part));
    assert_eq!(
        all.iter().filter(holds).count(),
        1,
        "{rows}\n{expected}\n{all:#?}"
    );
}

/// No notice holds the text.
fn check_silent(rows: &str, text: &str) {
    let all = notices(rows);
    assert!(
        !all.iter().any(|notice| notice.contains(text)),
        "{rows}\n{text}\n{all:#?}"
    );
}

const TUBES: &str = "tubes = [[\"V9\", \"6AU6\"], [\"V14\", \"5U4-G\"], [\"V17\", \"6BG6-G\"], [\"V20\", \"12LP4-A\"]]\n";

#[test]
fn odd_parts() {
    check(
        "parts = [[\"R1\", \"resistor\", \"1k\", \"a\", \"a\"]]",
        "1 `R1`: both ends are on one place ~ misspelled",
    );
    check(
        "parts = [[\"W1\", \"wire\", \"\", \"a\", \"a\"]]",
        "1 `W1`: both ends are on one place",
    );
    check(
        "parts = [\n[\"W1\", \"wire\", \"\", \"a\", \"chassis\"],\n[\"R1\", \"resistor\", \"1k\", \"a\", \"chassis\"]]",
        "3 `R1`: both ends are joined by wire W1",
    );
    let loop_of_wires = "parts = [\n[\"W1\", \"wire\", \"\", \"a\", \"b\"],\n[\"W2\", \"wire\", \"\", \"b\", \"c\"],\n[\"W3\", \"wire\", \"\", \"c\", \"a\"]]";
    check(
        loop_of_wires,
        "4 `W3` closes a loop of wires ~ count as one",
    );
    check_silent(loop_of_wires, "`W2` closes");
    check(
        "parts = [[\"R1\", \"control\", \"1k\", \"a\", \"chassis\", \"b\"]]",
        "1 R1: where its wiper stands is not told ~ at 0.4",
    );
    check(
        "parts = [[\"R1\", \"control\", \"1k at 0.3\", \"a\", \"chassis\"]]",
        "1 R1: the share is told but no place for the wiper",
    );
    check_silent(
        "parts = [[\"R1\", \"control\", \"1k at 0.3\", \"a\", \"chassis\", \"a\"]]",
        "R1:",
    );
}

#[test]
fn places_that_lead_nowhere() {
    check(
        "parts = [[\"R1\", \"resistor\", \"1k\", \"a\", \"chassis\"]]",
        "1 `a` is reached by `R1` only",
    );
    let two = "parts = [\n[\"R1\", \"resistor\", \"1k\", \"B+ main\", \"chassis\"],\n[\"R2\", \"resistor\", \"1k\", \"B+ mian\", \"chassis\"]]";
    check(
        two,
        "3 `B+ mian` is reached by `R2` only ~ did you mean `B+ main`?",
    );
    check_silent(
        "parts = [[\"R1\", \"resistor\", \"1k\", \"a\", \"chassis\"], [\"R2\", \"resistor\", \"1k\", \"a\", \"line a\"]]",
        "reached by",
    );
    // Through a wire two parts are at one junction.
    check_silent(
        "parts = [[\"R1\", \"resistor\", \"1k\", \"a\", \"chassis\"], [\"W1\", \"wire\", \"\", \"a\", \"b\"], [\"R2\", \"resistor\", \"1k\", \"b\", \"line a\"]]",
        "reached by",
    );
    check(
        "parts = [[\"R1\", \"resistor\", \"1k\", \"a\", \"b\"]]",
        "1 `a` and `b` float: no path leads to the chassis or the line",
    );
    check_silent(
        "parts = [[\"R1\", \"resistor\", \"1k\", \"a\", \"b\"]]",
        "reached by",
    );
    // A tube is a path, and a part at its pin is not alone there.
    let at_tube = format!(
        "{TUBES}parts = [[\"R1\", \"resistor\", \"1k\", \"V9.5\", \"B+\"], [\"R2\", \"resistor\", \"1k\", \"V9.7\", \"chassis\"]]"
    );
    check(&at_tube, "`B+` is reached by `R1` only");
    check_silent(&at_tube, "float");
    check_silent(&at_tube, "`V9.5` is reached");
    // A pin with nothing on it is no tube's pin: a tie point.
    let tie = format!("{TUBES}parts = [[\"R1\", \"resistor\", \"1k\", \"V14.3\", \"chassis\"]]");
    check(
        &tie,
        "2 `V14.3`: the catalogue has nothing on pin 3 of 5U4-G ~ tie point ~ 2 filament",
    );
    check(&tie, "`V14.3` is reached by `R1` only");
}

#[test]
fn names_that_look_like_something_else() {
    check(
        "parts = [[\"R1\", \"resistor\", \"1k\", \"ground\", \"line a\"]]",
        "1 `ground` is taken as the name of a place ~ `chassis`",
    );
    check(
        "parts = [[\"R1\", \"resistor\", \"1k\", \"chasis\", \"line a\"]]",
        "`chasis` is taken as the name ~ did you mean `chassis`?",
    );
    check(
        "parts = [[\"R1\", \"resistor\", \"1k\", \"line 1\", \"line a\"]]",
        "`line 1` is taken as the name ~ `line a` and `line b`",
    );
    check(
        &format!("{TUBES}parts = [[\"R1\", \"resistor\", \"1k\", \"V9 pin 5\", \"line a\"]]"),
        "`V9 pin 5` is taken as the name ~ `V9.5`",
    );
    check_silent(
        &format!("{TUBES}parts = [[\"R1\", \"resistor\", \"1k\", \"V9 plate\", \"line a\"]]"),
        "is taken as the name",
    );
}

#[test]
fn heaters_that_stay_cold_or_do_not_fit() {
    check(TUBES, "1 nothing heats `V9` (6AU6) ~ row of `heaters`");
    check(
        "tubes = [[\"V19\", \"1B3-GT\"]]",
        "nothing heats `V19` ~ sweep transformer",
    );
    let fed = |rows: &str| {
        format!(
            "{TUBES}windings = [\n[\"T1\", \"r\", \"5 V 0.03 ohm\", \"V14.2\", \"V14.8\"],\n[\"T1\", \"h\", \"6.5 V 0.02 ohm\", \"h\", \"chassis\"]]\n{rows}"
        )
    };
    check_silent(&fed(""), "nothing heats `V14`");
    let row = |tubes: &str| {
        fed(&format!(
            "heaters = [{{ from = \"h\", to = \"chassis\", parallel = [{tubes}] }}]"
        ))
    };
    check_silent(&row("\"V9\", \"V20\", \"V17\""), "nothing heats");
    check_silent(&row("\"V9\", \"V20\", \"V17\""), "do not fit");
    let wrong = "tubes = [[\"V1\", \"25L6-GT\"]]\nwindings = [[\"T1\", \"h\", \"6.5 V 0.02 ohm\", \"h\", \"chassis\"]]\nheaters = [\n{ from = \"h\", to = \"chassis\", parallel = [\"V1\"] }]";
    check(wrong, "4 heaters in this row do not fit its 6.5 V: V1 25 V");
    // A heater with its middle on a pin fits at half its volts.
    let tapped = "tubes = [[\"V1\", \"12AU7\"], [\"V2\", \"6AU6\"]]\nheaters = [{ from = \"h\", to = \"chassis\", parallel = [\"V1\", \"V2\"] }]";
    check_silent(tapped, "do not fit");
    let string = "tubes = [[\"V1\", \"25L6-GT\"], [\"V2\", \"25L6-GT\"], [\"V3\", \"6SN7-GT\"]]\nheaters = [{ from = \"line a\", to = \"line b\", series = [\"V1\", \"V2\", \"V3\"] }]";
    check(
        string,
        "2 in this string of 300 mA heaters not all have the same current: V3 600 mA",
    );
    let mixed = fed("").replace("\"V14.2\", \"V14.8\"", "\"q\", \"chassis\"")
        + "heaters = [{ from = \"q\", to = \"chassis\", parallel = [\"V14\", \"V9\"] }]";
    check(
        &mixed,
        "V14 in this row of heaters is directly heated ~ its filament is its cathode",
    );
    // A part at a heater pin of a tube that a row feeds: which end is it?
    let part_at_pin = row("\"V9\"").replace(
        "heaters =",
        "parts = [[\"C1\", \"ceramic\", \"470 mmf\", \"V9.3\", \"chassis\"]]\nheaters =",
    );
    check(
        &part_at_pin,
        "`V9.3` is a heater pin ~ which end of the row",
    );
    let wired_pin = row("\"V9\"").replace(
        "heaters =",
        "parts = [[\"W1\", \"wire\", \"\", \"V9.3\", \"chassis\"]]\nheaters =",
    );
    check_silent(&wired_pin, "is a heater pin");
}

#[test]
fn where_the_chassis_stands() {
    let rows = |extra: &str| {
        format!(
            "windings = [[\"T1\", \"primary\", \"117 V 4 ohm, idle 0.25 A 9 W\", \"line a\", \"line b\"], [\"T1\", \"h\", \"6.3 V 0.1 ohm\", \"h\", \"chassis\"]]\nparts = [[\"R1\", \"resistor\", \"1k\", \"h\", \"chassis\"]{extra}]"
        )
    };
    check_silent(&rows(""), "chassis is on the line");
    check_silent(&rows(""), "is not told");
    check(
        &rows(", [\"C9\", \"paper\", \"0.05 mfd\", \"line a\", \"chassis\"]"),
        "0 C9 between line and chassis ~ leaky",
    );
    check(
        &rows(", [\"R9\", \"resistor\", \"470k\", \"line a\", \"chassis\"]"),
        "0 the chassis is on the line: it is reached from `line a` through R9 ~ kill",
    );
    check(
        "parts = [[\"W1\", \"wire\", \"\", \"line b\", \"chassis\"]]",
        "0 the chassis is on the line: it is reached from `line b` by wires alone",
    );
    check(
        "parts = [[\"S1\", \"switch\", \"\", \"line b\", \"x\"], [\"F1\", \"fuse\", \"2 A\", \"x\", \"chassis\"]]",
        "from `line b` through S1 and F1",
    );
    check(
        "parts = [[\"R1\", \"resistor\", \"1k\", \"a\", \"chassis\"]]",
        "0 whether the chassis is on the line is not told ~ it counts as on the line",
    );
    // A tube's unused pin may tie a line wire, and its heater may hang on the line, without a path to its other electrodes.
    let tied = |pin: &str| {
        let parts = format!(
            ", [\"F1\", \"fuse\", \"2 A\", \"line a\", \"{pin}\"], [\"R8\", \"resistor\", \"1k\", \"V9.7\", \"chassis\"], [\"R9\", \"resistor\", \"1k\", \"V14.2\", \"chassis\"]"
        );
        format!("{TUBES}{}", rows(&parts))
    };
    check_silent(&tied("V14.3"), "chassis is on the line");
    check_silent(&tied("V9.3"), "chassis is on the line");
    check(&tied("V14.4"), "from `line a` through F1, V14 and R9");
    // A transformer that only joins places does not hold the chassis off the line, where a part bridges it.
    check(
        &rows(", [\"L9\", \"choke\", \"1 H 10 ohm\", \"line b\", \"h\"]"),
        "the chassis is on the line: it is reached from `line b` through L9",
    );
}

#[test]
fn what_is_lacking() {
    check("", "0 the sheet has no tubes");
    check("", "0 the power supply is not on the sheet");
    for table in ["chart", "bench", "state"] {
        check("", &format!("0 the sheet has no `[{table}]`"));
        check_silent(
            &format!("[{table}]\n"),
            &format!("the sheet has no `[{table}]`"),
        );
    }
    let windings = "windings = [\n[\"T1\", \"primary\", \"117 V\", \"line a\", \"line b\"],\n[\"T1\", \"h\", \"0.1 ohm\", \"h\", \"chassis\"]]";
    check(windings, "2 T1: the ohms of primary are not told");
    check(windings, "2 T1: the volts of h are not told");
    check(
        windings,
        "2 T1: what it draws unloaded is not told ~ idle 0.25 A 9 W",
    );
    check_silent(
        &windings.replace("117 V", "117 V 4 ohm, idle 0.2 A 9 W"),
        "unloaded",
    );
    let part = |kind: &str, value: &str| {
        format!("parts = [[\"P1\", \"{kind}\", \"{value}\", \"a\", \"chassis\"]]")
    };
    check(
        &part("electrolytic", "40 mfd"),
        "1 P1: the marked volts are not told",
    );
    check(&part("choke", "3 H"), "1 P1: the ohms are not told");
    check(&part("choke", "85 ohm"), "1 P1: the henries are not told");
    check_silent(&part("coil", "85 ohm"), "the henries");
    check(
        &part("thermistor", "120 ohm cold"),
        "1 P1: cold ohms, hot ohms and their current",
    );
    check_silent(&part("thermistor", "CL-90"), "P1:");
    check(&part("silicon", "1 A"), "1 P1: the peak inverse volts");
    check(&part("crystal", ""), "1 P1: no forward current is told");
    check(&part("crystal", "1N64"), "1 P1: no forward current is told");
    check_silent(&part("crystal", "1N34"), "no forward current");
    check(
        &part("neon", "65 V strike"),
        "1 P1: striking and burning volts are not both told",
    );
    check_silent(&part("neon", "NE-2"), "striking and burning volts");
    check(&part("vdr", ""), "1 P1: its current at its volts");
    check(
        &part("vdr", "1 mA at 100 V"),
        "1 P1: the exponent is not told ~ beta 0.2",
    );
    check_silent(&part("vdr", "1 mA at 100 V beta 0.2"), "the exponent");

    check(
        "parts = [[\"R1\", \"resistor\", \"1k\", \"B+ main\", \"chassis\"]]\n[chart]\nvolts = [\n[\"B+ mian\", \"chassis\", 300]]",
        "4 no part of the sheet reaches `B+ mian` ~ did you mean `B+ main`?",
    );
    check(
        "[chart]\nmeter = \"the old one\"",
        "2 the chart's meter `the old one` is not understood",
    );
    check("made = 1939", "1 1939 lies outside 1946 to 1965");
    let nameless = read_sheet(
        "sheet = 1\nline_volts = 117\nline_hertz = 60\n",
        parts::catalogue().expect("sound"),
    );
    assert!(
        nameless
            .notices
            .iter()
            .any(|notice| notice.text == "the set has no name")
    );
}

#[test]
fn tube_types_of_the_sheet_itself() {
    let described = "tubes = [[\"V1\", \"6XX6\"]]\n[tube.\"6XX6\"]\nheater_v = 6.3\nheater_a = 0.3\nheating = \"indirect\"\nkind = \"pentode\"\nbase = \"miniature-7\"\npins = \"3:heater 4:heater 5:plate\"";
    check(described, "2 `6XX6` is used as the sheet describes it");
    check(
        &described.replace("[\"V1\", \"6XX6\"]", ""),
        "2 no tube of the sheet is a `6XX6` ~ not used",
    );
    check(
        &described.replace("6XX6", "6AU6"),
        "2 `6AU6` is in the catalogue too",
    );
}

#[test]
fn an_incomplete_wiring_is_not_judged_for_what_it_lacks() {
    let text = format!("{HEAD}parts = [[\"R1\", \"resistor\", \"1k\", \"V77.3\", \"b\"]]");
    let reading = read_sheet(&text, parts::catalogue().expect("sound"));
    assert_eq!((reading.faults.len(), reading.notices.len()), (1, 0));
}
