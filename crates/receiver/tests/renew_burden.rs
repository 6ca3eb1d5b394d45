//! What each part bears, against closed forms: peak of the line, twice the peak in reverse, peak over the ohms in the way.
//!
//! Source: a capacitor without load charges to the peak of the line; the rectifier then stands twice that in reverse
//! (closed forms); an empty capacitor is a short at the first moment (closed form).

use receiver::expect::Predictor;
use receiver::renew::burden::{Burdens, Case, burdens};
use receiver::sheet::read_sheet;
use receiver::wiring::SetModel;

fn of(text: &str, line: f64) -> (Burdens, Vec<String>) {
    let catalogue = parts::catalogue().expect("sound figures");
    let read = read_sheet(text, catalogue);
    let sheet = read.sheet.unwrap_or_else(|| panic!("{:?}", read.faults));
    let model = SetModel::new(&sheet, catalogue);
    let own = burdens(&Predictor::new(&model), line).expect("solved");
    let names = sheet.parts.iter().map(|own| own.reference.clone());
    (own, names.collect())
}

const HALF_WAVE: &str = r#"
sheet = 1
name = "half wave"
line_volts = 117
line_hertz = 60
tubes = [["V1", "6AU6", "amplifier"]]
heaters = [{ from = "line a", to = "line b", series = ["V1"] }]
parts = [
  ["R1", "resistor", "100 ohm 10 W", "line a", "surge"],
  ["D1", "silicon", "1 A 1000 V", "surge", "B+"],
  ["C1", "electrolytic", "40 mfd 200 V", "B+", "chassis"],
  ["W1", "wire", "", "line b", "chassis"],
  ["R2", "resistor", "1k 10 W", "line a", "low"],
  ["R3", "resistor", "1k 10 W", "low", "chassis"],
  ["X1", "load", "60 mA at 140 V", "B+", "chassis"],
]
"#;

/// Closed forms named in the head of this file, and by each figure.
#[test]
fn a_filter_sees_the_peak_of_the_line_before_the_tubes_draw() {
    let (own, names) = of(HALF_WAVE, 126.0);
    let part = |name: &str| {
        let at = names.iter().position(|own| own == name).expect("there");
        &own.parts[at]
    };
    let peak = 126.0 * std::f64::consts::SQRT_2;
    let filter = part("C1").volts.clone().expect("told");
    assert!(
        (filter.value / peak - 1.0).abs() < 0.015,
        "{filter:?} of {peak}"
    );
    assert_ne!(filter.case, Case::HighLine);
    let running = part("C1").running_volts.expect("told");
    assert!(running < filter.value, "{running}");
    let inverse = part("D1").inverse_volts.clone().expect("told").value;
    assert!((inverse / (2.0 * peak) - 1.0).abs() < 0.02, "{inverse}");
    // In the way of an empty capacitor lie 100 ohms and its own series resistance (check EL009: 4.97 ohm of 40 mfd).
    let surge = part("D1").surge_amperes.clone().expect("told").value;
    assert!((surge / (peak / 104.97) - 1.0).abs() < 0.015, "{surge}");
    // Heat in a divider straight on the line: a quarter of V squared over R in each half. What counts is the upper end of
    // nine of ten sets, above that by the tolerance of the two resistors; that it is less than 1.3 of it is a snapshot.
    let heat = part("R2").watts.clone().expect("told").value;
    let closed = 126.0f64.powi(2) / 4.0 / 1e3;
    assert!(heat >= closed && heat < 1.3 * closed, "{heat} of {closed}");
}

/// C176 hangs on the yoke of a sheet whose chart does not tell the boosted line: its pulse cannot be calculated (the manual).
#[test]
fn what_is_not_told_has_its_reason_and_no_number() {
    let text = std::fs::read_to_string("../../examples/whole/larkfield_12t.toml").expect("there");
    let silent = text.replacen("  [\"boost\", 505],\n", "", 1);
    assert_ne!(silent, text);
    let (own, names) = of(&silent, 126.0);
    let boost = names.iter().position(|own| own == "C176").expect("there");
    let burden = &own.parts[boost];
    let why = burden.unknown.as_ref().expect("a reason").words();
    assert!(why.contains("pulses"), "{why}");
    assert!(own.unsolved.is_empty(), "{:?}", own.unsolved);
}

#[test]
fn a_set_without_a_plug_has_no_burdens() {
    let catalogue = parts::catalogue().expect("sound figures");
    let text = "sheet = 1\nname = \"x\"\nline_volts = 117\nline_hertz = 60\ntubes = []\nparts = [[\"R1\", \"resistor\", \"1k 1 W\", \"a\", \"chassis\"]]\n";
    let sheet = read_sheet(text, catalogue).sheet.expect("sound");
    let model = SetModel::new(&sheet, catalogue);
    assert!(burdens(&Predictor::new(&model), 120.0).is_err());
}
