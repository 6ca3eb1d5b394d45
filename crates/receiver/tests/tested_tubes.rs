//! What a tester said of a tube moves what its stage should show.
//!
//! Expected: currents go with the strength of the tube (the law is a factor on them), so a weak
//! tube's plate stands higher, its cathode lower. Doubts of testers are common practice with
//! widths of judgement; what no tester can say of use moves nothing.

use receiver::conditions::BenchConditions;
use receiver::expect::Predictor;
use receiver::reading::{Reading, What};
use receiver::sheet::{Sheet, read_sheet};
use receiver::stages::{TestedTube, TesterKind, TesterSaid};
use receiver::wiring::SetModel;

fn sheet() -> Sheet {
    let path = std::path::Path::new(env!("CARGO_MANIFEST_DIR"))
        .join("../../examples/whole/larkfield_12t.toml");
    let text = std::fs::read_to_string(path).expect("an example");
    let tables = parts::catalogue().expect("sound tables");
    read_sheet(&text, tables).sheet.expect("a sound sheet")
}

fn tested(reference: &str, section: &str, kind: TesterKind, said: TesterSaid) -> TestedTube {
    TestedTube {
        reference: reference.to_owned(),
        section: section.to_owned(),
        kind,
        said,
    }
}

/// Plate volts of these pins with what testers said: low, expected, high.
fn volts(tests: Vec<TestedTube>, pins: &[&str]) -> Vec<[f64; 3]> {
    let mut sheet = sheet();
    sheet.state.tested = tests;
    let tables = parts::catalogue().expect("sound tables");
    let model = SetModel::new(&sheet, tables);
    let conditions = BenchConditions {
        line_volts: Some(117.0),
        bands: true,
        ..BenchConditions::default()
    };
    let told = Predictor::new(&model).expect(&conditions).expect("settles");
    let readings: &[Reading] = &told.readings;
    pins.iter()
        .map(|pin| {
            let own = readings
                .iter()
                .find(|own| own.at == *pin && own.what == What::DcVolts);
            let band = &own.unwrap_or_else(|| panic!("{pin} is not told")).band;
            [band.low, band.expected, band.high]
        })
        .collect()
}

const PINS: [&str; 2] = ["V9.5", "V9.7"];

#[test]
fn a_weak_tube_stands_higher_at_its_plate_and_lower_at_its_cathode() {
    let plain = volts(Vec::new(), &PINS);
    // 6AU6: 5200, 4500 and 3900 micromhos by its rows.
    let weak = tested(
        "V9",
        "",
        TesterKind::Conductance,
        TesterSaid::Micromhos(2200.0),
    );
    let sound = tested(
        "V9",
        "",
        TesterKind::Conductance,
        TesterSaid::Micromhos(4500.0),
    );
    let (weak, sound) = (volts(vec![weak], &PINS), volts(vec![sound], &PINS));
    // Some of what half the current gives back is lost as the screen rises too.
    assert!(weak[0][1] > plain[0][1] + 5.0, "{weak:?} {plain:?}");
    assert!(weak[1][1] < plain[1][1], "{weak:?} {plain:?}");
    assert!(weak[0][1] > sound[0][1], "{weak:?} {sound:?}");
    // A tube that reads as its type should stays inside the band of untested ones.
    assert!(
        (plain[0][0]..=plain[0][2]).contains(&sound[0][1]),
        "{sound:?} {plain:?}"
    );
    // A reading of the weak tube that an untested one would not show.
    assert!(weak[0][2] > plain[0][2], "{weak:?} {plain:?}");
}

#[test]
fn kinds_of_tester_and_plain_words_are_told_apart() {
    let half = TesterSaid::Percent(45.0);
    let with = |kind, said| volts(vec![tested("v9", "", kind, said)], &PINS)[0];
    let plain = volts(Vec::new(), &PINS)[0];
    let conductance = with(TesterKind::Conductance, half);
    let emission = with(TesterKind::Emission, half);
    let unknown = with(TesterKind::NotSaid, half);
    // Half the emission of a healthy cathode still gives nearly all of the current.
    assert!(
        (emission[1] - plain[1]).abs() < 0.5 * (conductance[1] - plain[1]),
        "{emission:?}"
    );
    // Where the kind is not said the band covers both.
    assert!(
        unknown[0] < emission[1] && unknown[2] > conductance[1],
        "{unknown:?}"
    );
    let weak = with(TesterKind::NotSaid, TesterSaid::Weak);
    let good = with(TesterKind::NotSaid, TesterSaid::Good);
    assert!(good[1] < weak[1], "{good:?} {weak:?}");
    assert!(
        good[2] - good[0] < plain[2] - plain[0],
        "{good:?} {plain:?}"
    );
}

#[test]
fn a_test_of_another_tube_or_section_moves_nothing() {
    let plain = volts(Vec::new(), &["V9.5", "V10.2", "V10.5"]);
    // The supply feels a little of every tube.
    let other = tested("V8", "", TesterKind::Conductance, TesterSaid::Percent(95.0));
    let elsewhere = volts(vec![other], &["V9.5"]);
    assert!(
        (elsewhere[0][1] - plain[0][1]).abs() < 2.0,
        "{elsewhere:?} {plain:?}"
    );
    // V10 oscillates with its first half (pins 4 to 6 by the base of a 6SN7-GT) and separates with
    // its second.
    let of_section = |section| {
        let half = tested(
            "V10",
            section,
            TesterKind::Conductance,
            TesterSaid::Percent(45.0),
        );
        volts(vec![half], &["V10.2", "V10.5"])
    };
    let moves = |told: &[[f64; 3]], at: usize| (told[at][1] / plain[1 + at][1] - 1.0).abs();
    let (first, second) = (of_section("1"), of_section("2"));
    assert!(moves(&first, 0) < 0.01, "{first:?} {plain:?}");
    assert!(moves(&first, 1) > 0.02, "{first:?} {plain:?}");
    assert!(moves(&second, 0) > 0.1, "{second:?} {plain:?}");
    assert!(moves(&second, 1) < 0.01, "{second:?} {plain:?}");
    // The last one counts.
    let twice = vec![
        tested("V9", "", TesterKind::Conductance, TesterSaid::Percent(20.0)),
        tested(
            "V9",
            "",
            TesterKind::Conductance,
            TesterSaid::Micromhos(4500.0),
        ),
    ];
    let once = volts(twice[1..].to_vec(), &["V9.5"]);
    assert_eq!(volts(twice, &["V9.5"]), once);
}
