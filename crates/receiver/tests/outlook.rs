//! What the tubes alone tell, against sums made by hand.
//!
//! Watts, volts, amperes. Ratings: the catalogue's own rows (RCA manuals, from memory).

use receiver::outlook::outlook;
use receiver::sheet::read_sheet;

fn told(sheet: &str) -> receiver::outlook::Outlook {
    let catalogue = parts::catalogue().expect("data");
    let reading = read_sheet(sheet, catalogue);
    outlook(&reading.sheet.expect("a sheet without fault"), catalogue)
}

#[test]
fn a_line_up_alone_tells_its_heaters_and_a_likely_draw() {
    // 6AU6 6.3 V 0.3 A, 6SN7-GT 6.3 V 0.6 A, 12LP4-A 6.3 V 0.6 A, 5U4-G 5 V 3 A:
    // 6.3 x 1.5 + 15 = 24.45 W, sum by hand.
    let told = told(
        r#"
sheet = 1
name = "line-up"
line_volts = 117
line_hertz = 60
tubes = [
  ["V1", "6AU6", "sync amplifier"],
  ["V2", "6SN7-GT", "oscillator"],
  ["V3", "12LP4-A", "picture tube"],
  ["V4", "5U4-G", "rectifier"],
]
"#,
    );
    assert!(
        (told.heater_watts - 24.45).abs() < 0.01,
        "{}",
        told.heater_watts
    );
    // Common practice: 170 to 260 W for 12 to 17 inch transformer sets.
    let watts = told.line_watts.expect("a range");
    assert!(watts.low >= 100.0 && watts.high <= 300.0, "{watts:?}");
    assert!(told.lamp_watts.is_some());
}

#[test]
fn a_string_adds_volts_and_parallel_heaters_add_amperes() {
    let told = told(
        r#"
sheet = 1
name = "rows"
line_volts = 117
line_hertz = 60
tubes = [
  ["V1", "6CG7", "oscillator"],
  ["V2", "12AX4-GTA", "damper"],
  ["V3", "6AU6", "a"],
  ["V4", "6SN7-GT", "b"],
]
heaters = [
  { from = "line a", to = "line b", series = ["V1", "V2"] },
  { from = "heater", to = "chassis", parallel = ["V3", "V4"] },
]
"#,
    );
    // 6.3 + 12.6 V at 0.6 A; 0.3 + 0.6 A at 6.3 V.
    let [string, parallel] = &told.heater_rows[..] else {
        panic!("two rows");
    };
    assert!((string.volts - 18.9).abs() < 0.01 && (string.amperes - 0.6).abs() < 0.01);
    assert!((parallel.volts - 6.3).abs() < 0.01 && (parallel.amperes - 0.9).abs() < 0.01);
}

/// A lamp for 120 V before a short on a line of 220 V gets 220 V (Kirchhoff's second law); lamps are sold for their line.
#[test]
fn on_another_line_the_lamps_are_told_to_be_wrong() {
    let on = |line: u16| {
        told(&format!(
            "sheet = 1\nname = \"line-up\"\nline_volts = {line}\nline_hertz = 50\ntubes = [ [\"V1\", \"6AU6\", \"sync amplifier\"] ]\n"
        ))
    };
    assert_eq!(on(117).lamp_notice, None);
    assert_eq!(on(127).lamp_notice, None);
    let all = on(220).sentences().join(" ");
    assert!(all.contains("only a lamp for 220 V"), "{all}");
    assert!(all.contains("no stop limit"), "{all}");
}
