//! Odd supplies: what the prediction says against a sum made by hand, and a sane first power-up.
//!
//! Volts. Each case states its sum; constants are those of any handbook (crest 1.414, mean of
//! a rectified wave 2/pi, charge lost between crests I / (f C)). Tube drops follow the
//! three-halves law through the published point. The sum has to lie inside the predicted band.

#[path = "odd_supplies/sheets.rs"]
mod sheets;

use receiver::conditions::BenchConditions;
use receiver::expect::expect;
use receiver::plan::Limit;
use receiver::plan::wake::wake;
use receiver::reading::{Reading, What};
use receiver::sheet::{Sheet, read_sheet};

fn sheet(text: &str) -> Sheet {
    let reading = read_sheet(text, parts::catalogue().expect("data"));
    let faults = format!("{:?}", reading.faults);
    reading.sheet.unwrap_or_else(|| panic!("{faults}"))
}

fn with_bands() -> BenchConditions {
    BenchConditions {
        bands: true,
        ..BenchConditions::default()
    }
}

/// Every sum lies inside its band, on the sheet's line or a little beside it.
fn check(name: &str, text: &str, sums: &[(&str, What, f64)]) {
    let sheet = sheet(text);
    let catalogue = parts::catalogue().expect("data");
    let expected = expect(&sheet, catalogue, &with_bands()).expect("solved");
    for (at, what, sum) in sums {
        let reading = expected
            .readings
            .iter()
            .find(|reading| reading.at == *at && reading.what == *what)
            .unwrap_or_else(|| panic!("{name}: no reading at {at}"));
        let band = &reading.band;
        assert!(
            (band.low..=band.high).contains(sum),
            "{name} {at}: {sum} by hand, {:.1} to {:.1} to {:.1} predicted",
            band.low,
            band.expected,
            band.high
        );
    }
    wakes(name, &sheet);
}

/// A first power-up that begins dead, comes to the line, and tells limits on both ways.
fn wakes(name: &str, sheet: &Sheet) {
    let catalogue = parts::catalogue().expect("data");
    let plan = wake(sheet, catalogue, &mut |_| {}).expect("a plan");
    let first = plan.steps.iter().position(|step| step.energised);
    assert!(first.is_some_and(|first| first >= 3), "{name}: {first:?}");
    let powered: Vec<_> = plan
        .steps
        .iter()
        .filter(|step| step.energised && step.conditions.line_volts.is_some())
        .collect();
    assert!(powered.len() >= 3, "{name}: {} steps", powered.len());
    for step in &powered {
        assert!(!step.expect.is_empty(), "{name}: {}", step.title);
        assert!(!step.stop_signs.is_empty(), "{name}: {}", step.title);
        for rule in &step.stop {
            let own = step.expect.iter().find(|reading| {
                reading.at == rule.at && reading.to == rule.to && reading.what == rule.what
            });
            if let Some(own) = own
                && rule.after_seconds >= step.wait_seconds
            {
                match rule.limit {
                    Limit::Above(most) => assert!(most > own.band.high, "{name}: {rule:?}"),
                    Limit::Below(least) => assert!(least < own.band.low, "{name}: {rule:?}"),
                }
            }
        }
    }
}

#[test]
fn a_doubler_without_a_transformer_and_a_dropper_for_its_string() {
    // String: 12.6 + 12.6 + 6.3 + 6.3 + 6.3 = 44.1 V; (117 - 44.1) / 0.6 A = 121.5 ohm.
    // B+: crest 117 x 1.414 = 165.4; less 0.9 V in silicon and 2.5 V in 5 ohm at peaks of
    // half an ampere: 162 each, twice 324; less I / (f C) = 20 mA / (60 x 100 uF) = 3.3: 321.
    // R20 carries 321 / 16k = 20 mA.
    check(
        "doubler",
        &sheets::DOUBLER_WITH_DROPPER.text(),
        &[
            ("B+", What::DcVolts, 321.0),
            ("V5", What::HeaterVoltsRms, 6.3),
            ("string top", What::AcVoltsRms, 44.1),
        ],
    );
}

#[test]
fn choke_input_with_a_bleeder_alone_and_a_tap_on_it() {
    // 250 V less 1 % at the primary: crest 350, times 2/pi = 222.8. 42 mA: 1.3 V in 30 ohm
    // of winding, 25 V x (42/175)^(2/3) = 9.7 V in a 5V4-G, 8.4 V in 200 ohm: 203.4 V, 40.7 mA
    // in 5k. Critical inductance 5k / 1131 = 4.4 H, and L1 has 10. Tap: three fifths, 122 V.
    check(
        "choke input",
        &sheets::CHOKE_INPUT_BLEEDER.text(),
        &[("B+", What::DcVolts, 203.4), ("tap", What::DcVolts, 122.0)],
    );
}

#[test]
fn a_biased_supply_with_a_negative_line_of_its_own() {
    // 50 V less 1 %: crest 70.0; less 0.9 V in silicon and 2.4 V in 20 ohm at peaks of 0.12 A:
    // 66.7; less half the ripple, 6.6 mA / (60 x 50 uF) / 2 = 1.1: -65.6 V.
    // B+: 300 V a plate less 3 %: crest 411; some 38 V lost in a 5U4-G and 20 V in the
    // windings at peaks of three times 100 mA, half a ripple of 100 mA / (120 x 40 uF) = 21 V
    // off: 343; less 100 mA x 100 ohm: 333 V.
    check(
        "biased",
        &sheets::NEGATIVE_LINE.text(),
        &[("bias", What::DcVolts, -65.6), ("B+", What::DcVolts, 333.0)],
    );
}

fn example(name: &str) -> String {
    let path = std::path::PathBuf::from(env!("CARGO_MANIFEST_DIR"))
        .join("../../examples/small")
        .join(name);
    std::fs::read_to_string(path).expect("an example")
}

#[test]
fn the_small_examples_hold_the_sums_at_their_heads() {
    // Each sum stands in the comment at the head of its sheet.
    check(
        "half wave with a heater transformer",
        &example("half_wave_heater_transformer.toml"),
        &[
            ("B+ raw", What::DcVolts, 143.0),
            ("B+ 125", What::DcVolts, 127.0),
        ],
    );
    check(
        "bridge",
        &example("bridge_selenium.toml"),
        &[("B+ raw", What::DcVolts, 141.0)],
    );
    check(
        "speaker field",
        &example("choke_input_speaker_field.toml"),
        &[("B+ 250", What::DcVolts, 248.0)],
    );
}

fn dead_rules(text: &str) -> Vec<receiver::plan::StopRule> {
    let sheet = sheet(text);
    let plan = wake(&sheet, parts::catalogue().expect("data"), &mut |_| {}).expect("a plan");
    plan.steps
        .into_iter()
        .filter(|step| !step.energised)
        .flat_map(|step| step.stop)
        .collect()
}

/// A line without a bleeder reads open; a short on it is told by the ohmmeter all the same.
#[test]
fn a_short_on_a_line_without_bleeder_is_told_cold() {
    let rules = dead_rules(&sheets::TWO_RECTIFIERS_AND_FIELD.text());
    for (at, tells) in [
        ("B+ 200", "B+ 200 touching the chassis"),
        ("V2.7", "heater of V2 shorted to its cathode"),
        ("V2.7", "V2.6 shorted to the cathode of V2"),
    ] {
        assert!(
            rules.iter().any(|rule| rule.at == at
                && matches!(rule.limit, Limit::Below(_))
                && rule.tells.iter().any(|own| own.starts_with(tells))),
            "{tells}: {rules:?}"
        );
    }
}

/// In a string the picture tube's socket cannot come off: where the sheet does not show that
/// its grid stays below the cathode, no step opens the sweep feed and none gives B+.
#[test]
fn a_string_whose_picture_grid_is_not_known_gets_no_direct_volts() {
    let sheet = sheet(&sheets::STRING_WITH_BALLAST.text());
    let plan = wake(&sheet, parts::catalogue().expect("data"), &mut |_| {}).expect("a plan");
    assert!(
        plan.steps
            .iter()
            .any(|step| step.title.starts_with("Heaters without B+"))
    );
    for step in &plan.steps {
        assert!(!step.title.starts_with("B+"), "{}", step.title);
        assert!(
            !step
                .acts
                .iter()
                .any(|act| act.starts_with("Open the sweep feed")),
            "{:?}",
            step.acts
        );
    }
    assert!(
        plan.notices
            .iter()
            .any(|notice| notice.text.contains("the plan ends before B+")),
        "{:?}",
        plan.notices
    );
}

/// The ballast drops what the string leaves: 117 - 61.4 V of heaters is 55.6 V, and it is
/// marked 55 V at 0.6 A: the string runs within a percent of its rating.
#[test]
fn a_ballast_holds_its_string_at_its_rating() {
    let sheet = sheet(&sheets::STRING_WITH_BALLAST.text());
    let catalogue = parts::catalogue().expect("data");
    let expected = expect(&sheet, catalogue, &with_bands()).expect("solved");
    let heater = expected
        .readings
        .iter()
        .find(|reading| reading.at == "V5" && reading.what == What::HeaterVoltsRms)
        .expect("the picture tube's heater");
    assert!(
        (heater.band.low..=heater.band.high).contains(&6.3)
            && (heater.band.expected - 6.3).abs() < 0.1,
        "{:?}",
        heater.band
    );
}

// Second method: where the set stands after a quarter of an hour, followed from switch-on.
#[test]
fn a_choke_to_the_chassis_settles_behind_a_lamp_where_time_leads_it() {
    let sheet = sheet(include_str!("rectifier_sheets/choke_to_chassis.toml"));
    for (line, lamp) in [(60.0, 60.0), (50.0, 100.0)] {
        let settled = BenchConditions {
            line_volts: Some(line),
            lamps: vec![lamp],
            ..BenchConditions::default()
        };
        let later = BenchConditions {
            seconds: Some(900.0),
            ..settled.clone()
        };
        let catalogue = parts::catalogue().expect("data");
        let read = |conditions: &BenchConditions| {
            let found = expect(&sheet, catalogue, conditions).expect("a settled state");
            let lamp = |reading: &&Reading| reading.what == What::LampVoltsRms;
            let reading = found.readings.iter().find(lamp).expect("a lamp");
            reading.band.expected
        };
        let (settled, later) = (read(&settled), read(&later));
        assert!((settled / later - 1.0).abs() < 1e-3, "{settled} {later}");
    }
}
