//! How long a set stays charged, against closed forms of charged networks.

use receiver::conditions::BenchConditions;
use receiver::plan::Charged;
use receiver::plan::charged::{charged, volts_across};
use receiver::sheet::{Sheet, read_sheet};
use receiver::wiring::SetModel;

fn sheet(rows: &str) -> Sheet {
    let text = format!(
        "sheet = 1\nname = \"study\"\nline_volts = 117\nline_hertz = 60\ntubes = []\nparts = [\n\
         [\"RP\", \"resistor\", \"1k\", \"line a\", \"line b\"],\n{rows}\n]\n"
    );
    let reading = read_sheet(&text, parts::catalogue().expect("the tables are sound"));
    assert_eq!(reading.faults, []);
    reading.sheet.expect("no fault, so a sheet")
}

fn left_charged(rows: &str, volts: &[(&str, f64)]) -> Vec<Charged> {
    let sheet = sheet(rows);
    let model = SetModel::new(&sheet, parts::catalogue().expect("the tables are sound"));
    let mut junction_volts = vec![0.0; model.places.junctions().len()];
    for (place, volts) in volts {
        let place = model.places.find(place).expect("on the sheet");
        junction_volts[model.junction(place).expect("on the sheet")] = *volts;
    }
    charged(
        &model,
        &BenchConditions::default(),
        &volts_across(&model, &junction_volts),
    )
    .expect("the network is sound")
}

/// One place's seconds, with and without the bleeder, within a hundredth.
fn check(rows: &str, volts: &[(&str, f64)], at: &str, whole: Option<f64>, open: Option<f64>) {
    let listed = left_charged(rows, volts);
    let found = listed
        .iter()
        .find(|charged| charged.at == at)
        .unwrap_or_else(|| panic!("{at} is not listed in {listed:?}"));
    for (what, read, expected) in [
        ("whole", found.seconds_to_ten_volts, whole),
        ("bleeder open", found.if_bleeder_open_seconds, open),
    ] {
        match (read, expected) {
            (Some(read), Some(expected)) => assert!(
                (read / expected - 1.0).abs() < 0.01,
                "{at}, {what}: {read} s read, {expected} s expected"
            ),
            (read, expected) => assert_eq!(read, expected, "{at}, {what}"),
        }
    }
}

#[test]
fn one_capacitor_follows_the_exponential() {
    // t = RC ln(V/10): 22k, 40 mfd, from 300 V.
    let seconds = 22e3 * 40e-6 * (300.0f64 / 10.0).ln();
    check(
        r#"["C1", "electrolytic", "40 mfd 450 V", "B+", "chassis"],
           ["R1", "resistor", "22k 5 W", "B+", "chassis"],"#,
        &[("B+", 300.0)],
        "B+",
        Some(seconds),
        // Without the bleeder nothing discharges it: time never counts.
        None,
    );
}

#[test]
fn two_resistors_and_the_slower_of_them() {
    // Both: 10k parallel 40k = 8k. The longest with one open is that with the 10k gone: 40k.
    let ln = (200.0f64 / 10.0).ln();
    check(
        r#"["C1", "electrolytic", "100 mfd 250 V", "B+", "chassis"],
           ["R1", "resistor", "10k 5 W", "B+", "chassis"],
           ["R2", "resistor", "40k 1 W", "B+", "chassis"],"#,
        &[("B+", 200.0)],
        "B+",
        Some(8e3 * 100e-6 * ln),
        Some(40e3 * 100e-6 * ln),
    );
}

#[test]
fn a_choke_is_its_copper() {
    // Two cans joined by 100 ohm discharge as one: the join is far quicker than the bleeder.
    let seconds = 20e3 * 80e-6 * (350.0f64 / 10.0).ln();
    for at in ["raw", "B+"] {
        check(
            r#"["C1", "electrolytic", "40 mfd 450 V", "raw", "chassis"],
               ["L1", "choke", "4 H 100 ohm", "raw", "B+"],
               ["C2", "electrolytic", "40 mfd 450 V", "B+", "chassis"],
               ["R1", "resistor", "20k 10 W", "B+", "chassis"],"#,
            &[("raw", 350.0), ("B+", 350.0)],
            at,
            Some(seconds),
            None,
        );
    }
}

#[test]
fn two_capacitors_with_two_rates() {
    // C1 behind Ra feeds C2, which Rb discharges. With Ra = Rb = R and C1 = C2 = C the rates are
    // (3 +- root 5) / 2 over RC (characteristic polynomial s^2 + 3 s + 1 of that ladder), and from
    // equal volts the first capacitor follows A exp(-slow t) + B exp(-fast t).
    let rc: f64 = 100e3 * 10e-6;
    let root: f64 = 5.0f64.sqrt();
    let (slow, fast) = ((3.0 - root) / 2.0, (3.0 + root) / 2.0);
    // v1' = -(v1 - v2), v1(0) = v2(0) = 1, so v1'(0) = 0: A + B = 1, slow A + fast B = 0.
    let (a, b) = (fast / (fast - slow), -slow / (fast - slow));
    let first = |t: f64| 200.0 * (a * (-slow * t / rc).exp() + b * (-fast * t / rc).exp());
    let (mut low, mut high) = (0.0, 100.0);
    for _ in 0..100 {
        let middle = 0.5 * (low + high);
        if first(middle) > 10.0 {
            low = middle;
        } else {
            high = middle;
        }
    }
    check(
        r#"["C1", "film", "10 mfd 400 V", "far", "chassis"],
           ["R1", "resistor", "100k", "far", "near"],
           ["C2", "film", "10 mfd 400 V", "near", "chassis"],
           ["R2", "resistor", "100k", "near", "chassis"],"#,
        &[("far", 200.0), ("near", 200.0)],
        "far",
        Some(low),
        None,
    );
}

#[test]
fn charge_that_has_nowhere_to_go_stays() {
    // Two equal capacitors share their charge and both stay at half the volts.
    check(
        r#"["C1", "electrolytic", "40 mfd 450 V", "full", "chassis"],
           ["R1", "resistor", "10k", "full", "empty"],
           ["C2", "electrolytic", "40 mfd 450 V", "empty", "chassis"],"#,
        &[("full", 300.0)],
        "full",
        None,
        None,
    );
}

#[test]
fn a_metal_rectifier_lets_charge_out_forwards_only() {
    // From its + end nothing comes back; its bleeder alone counts.
    let ln = (150.0f64 / 10.0).ln();
    check(
        r#"["C1", "electrolytic", "40 mfd 250 V", "in", "chassis"],
           ["SR1", "silicon", "1 A 1000 V", "in", "out"],
           ["C2", "electrolytic", "20 mfd 250 V", "out", "chassis"],
           ["R1", "resistor", "50k", "out", "chassis"],
           ["R2", "resistor", "10k", "in", "chassis"],"#,
        &[("in", 150.0), ("out", 150.0)],
        "out",
        Some(50e3 * 20e-6 * ln),
        None,
    );
    // Forwards it is a wire: both discharge through the bleeder behind it.
    check(
        r#"["C1", "electrolytic", "40 mfd 250 V", "in", "chassis"],
           ["SR1", "silicon", "1 A 1000 V", "in", "out"],
           ["C2", "electrolytic", "20 mfd 250 V", "out", "chassis"],
           ["R1", "resistor", "50k", "out", "chassis"],"#,
        &[("in", 150.0), ("out", 150.0)],
        "in",
        Some(50e3 * 60e-6 * ln),
        None,
    );
}

#[test]
fn a_can_on_the_negative_line_counts_by_its_size() {
    let seconds = 10e3 * 40e-6 * (100.0f64 / 10.0).ln();
    check(
        r#"["C5", "electrolytic", "40 mfd 150 V", "chassis", "minus"],
           ["R1", "resistor", "10k", "minus", "chassis"],"#,
        &[("minus", -100.0)],
        "minus",
        Some(seconds),
        None,
    );
}

#[test]
fn what_is_low_or_tiny_is_not_listed() {
    // 50 V is below the usual limit for direct volts; 100 mmf at 300 V holds 4.5 microjoules.
    let listed = left_charged(
        r#"["C1", "electrolytic", "100 mfd 100 V", "low", "chassis"],
           ["R1", "resistor", "10k", "low", "chassis"],
           ["C2", "mica", "100 mmf 500 V", "small", "chassis"],
           ["R2", "resistor", "1 meg", "small", "chassis"],"#,
        &[("low", 50.0), ("small", 300.0)],
    );
    assert_eq!(listed, []);
}

#[test]
fn the_boost_capacitor_is_listed_between_its_places() {
    let seconds = 2e6 * 0.1e-6 * (300.0f64 / 10.0).ln();
    check(
        r#"["C60", "paper", "0.1 mfd 600 V", "boost", "feed"],
           ["R1", "resistor", "2 meg", "boost", "feed"],
           ["R2", "resistor", "10k", "feed", "chassis"],"#,
        &[("boost", 300.0)],
        "boost to feed",
        Some(seconds),
        None,
    );
}

#[test]
fn the_picture_tubes_anode_never_counts_as_discharged() {
    let root = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("../../examples");
    for name in ["larkfield_12t.toml", "merrow_17s.toml"] {
        let text = std::fs::read_to_string(root.join(name)).expect("an example");
        let catalogue = parts::catalogue().expect("the tables are sound");
        let sheet = read_sheet(&text, catalogue).sheet.expect("a sound sheet");
        let model = SetModel::new(&sheet, catalogue);
        let nothing = vec![0.0; sheet.parts.len()];
        let listed = charged(&model, &BenchConditions::default(), &nothing).expect("sound");
        let anode = listed.last().expect("the anode is always there");
        assert!(anode.at.ends_with(".anode"), "{}: {}", name, anode.at);
        assert_eq!(anode.seconds_to_ten_volts, None);
        assert_eq!(anode.if_bleeder_open_seconds, None);
    }
}

#[test]
fn a_small_resistor_in_the_return_is_no_bleeder() {
    // C1 stands 30 V above C2 behind 88 ohm and evens out first; the bleeder is R1 alone, and with
    // R2 it carries everything: 10k parallel 40k = 8k, 40k without R1.
    let evened = (40.0 * 330.0 + 40.0 * 300.0) / 80.0;
    let ln = (evened / 10.0f64).ln();
    check(
        r#"["C1", "electrolytic", "40 mfd 450 V", "raw", "minus"],
           ["RM", "resistor", "75 ohm 10 W", "minus", "chassis"],
           ["L1", "choke", "4 H 88 ohm", "raw", "B+"],
           ["C2", "electrolytic", "40 mfd 450 V", "B+", "chassis"],
           ["R1", "resistor", "10k 10 W", "B+", "chassis"],
           ["R2", "resistor", "40k 5 W", "B+", "chassis"],"#,
        &[("raw", 330.0), ("B+", 300.0)],
        "B+",
        Some(8e3 * 80e-6 * ln),
        Some(40e3 * 80e-6 * ln),
    );
}

#[test]
fn with_every_capacitor_out_and_a_rectifier_in_nothing_is_charged() {
    let text = "sheet = 1\nname = \"study\"\nline_volts = 117\nline_hertz = 60\ntubes = []\nparts = [\n\
         [\"RP\", \"resistor\", \"1k\", \"line a\", \"line b\"],\n\
         [\"SR1\", \"selenium\", \"5 plates 200 mA\", \"line a\", \"B+\"],\n\
         [\"C1\", \"electrolytic\", \"100 mfd 200 V\", \"B+\", \"line b\"],\n]\n\
         [state]\ncut_loose = [\"C1\"]\n";
    let catalogue = parts::catalogue().expect("the tables are sound");
    let reading = read_sheet(text, catalogue);
    assert_eq!(reading.faults, []);
    let sheet = reading.sheet.expect("no fault, so a sheet");
    let model = SetModel::new(&sheet, catalogue);
    let volts = vec![100.0; model.places.junctions().len()];
    let across = volts_across(&model, &volts);
    let left = charged(&model, &BenchConditions::default(), &across);
    assert_eq!(left.expect("the network is sound"), []);
}
