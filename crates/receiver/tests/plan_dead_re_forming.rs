//! Forming old electrolytics anew: closed forms for the series resistor, bounds that hold for
//! every can, and what is cut loose and put back.

use std::path::Path;

use receiver::conditions::BenchConditions;
use receiver::plan::Limit;
use receiver::plan::capacitors::{Wish, review_capacitors};
use receiver::plan::dead::dead_steps;
use receiver::plan::re_forming::{ReForming, leakage_after, series_ohms};
use receiver::plan::step_builder::PlanState;
use receiver::sheet::{Sheet, read_sheet};
use receiver::wiring::{SetModel, leakage_limit_amperes};

const EXAMPLES: [&str; 6] = [
    "larkfield_12t",
    "merrow_17s",
    "small/bridge_selenium",
    "small/choke_input_speaker_field",
    "small/half_wave_heater_transformer",
    "small/two_rectifiers",
];

fn sheet_of(text: &str) -> Sheet {
    let reading = read_sheet(text, parts::catalogue().expect("the tables are sound"));
    assert_eq!(reading.faults, []);
    reading.sheet.expect("no fault, so a sheet")
}

/// An example with every part as found and a source of the bench.
fn as_found(name: &str) -> Sheet {
    let path = Path::new(env!("CARGO_MANIFEST_DIR"))
        .join("../../examples")
        .join(format!("{name}.toml"));
    let text = std::fs::read_to_string(path).expect("an example");
    let state = text.find("[state]").unwrap_or(text.len());
    let mut text = text[..state].to_string();
    if !text.contains("dc_source") {
        text = text.replace("[bench]", "[bench]\ndc_source = \"0-450 V 20 mA\"");
    }
    sheet_of(&text)
}

#[test]
fn the_series_resistor_follows_from_one_watt_and_the_source() {
    let check = |volts: f64, amperes: f64, least: f64, chosen: f64| {
        let ohms = series_ohms(volts, amperes);
        assert!((ohms / chosen - 1.0).abs() < 1e-9, "{volts} V: {ohms}");
        assert!(ohms >= least && ohms < 1.11 * least, "{volts} V: {ohms}");
        // Whatever the can draws, V^2 / 4R is the most that reaches it.
        assert!(volts * volts / (4.0 * ohms) <= 1.0);
    };
    // 450^2 / 4 = 50.6k; 10 mA would want 45k.
    check(450.0, 0.020, 50_625.0, 51e3);
    // 50 V / 10 mA = 5k; one watt would want 625 ohm.
    check(50.0, 0.020, 5_000.0, 5.1e3);
    // A source of 5 mA: 300 / 0.005 = 60k, more than 300^2 / 4 = 22.5k.
    check(300.0, 0.005, 60_000.0, 62e3);
    // Below 2 mA it would take days: 100 / 0.002 = 50k.
    check(100.0, 0.0001, 50_000.0, 51e3);
}

#[test]
fn leakage_falls_to_the_acceptance_limit_in_an_hour() {
    // 40 mfd, 450 V: 0.04 mA per mfd and 0.3 mA are 1.9 mA (JAN-C-62 as quoted).
    let accepted = leakage_limit_amperes(40e-6, 450.0);
    assert!((accepted - 1.9e-3).abs() < 1e-9);
    assert!((leakage_after(accepted, 15.0) - 7.6e-3).abs() < 1e-9);
    assert!((leakage_after(accepted, 60.0) - 1.9e-3).abs() < 1e-9);
    assert!((leakage_after(accepted, 600.0) - 1.9e-3).abs() < 1e-9);
}

fn formings(model: &SetModel<'_>) -> Vec<ReForming> {
    review_capacitors(model)
        .iter()
        .filter(|review| review.wish == Wish::ReplaceOrReForm)
        .map(|review| {
            ReForming::of(model, review.part, &BenchConditions::default())
                .expect("a sound network")
                .expect("marked volts")
        })
        .collect()
}

#[test]
fn no_can_ever_gets_more_than_a_watt_or_more_than_its_volts() {
    let mut cans = 0;
    for name in EXAMPLES {
        let sheet = as_found(name);
        let model = SetModel::new(&sheet, parts::catalogue().expect("the tables are sound"));
        for forming in formings(&model) {
            cans += 1;
            let reference = &sheet.parts[forming.part].reference;
            assert!(forming.most_can_watts <= 1.0, "{name} {reference}");
            assert!(
                forming.top_volts <= forming.marked_volts,
                "{name} {reference}"
            );
            assert!(forming.top_volts / forming.series_ohms <= 0.010 + 1e-12);
            let mut last = 0.0;
            for &volts in &forming.raised_volts {
                assert!(
                    volts > last && volts <= forming.top_volts,
                    "{name} {reference}"
                );
                last = volts;
            }
            assert_eq!(last, forming.top_volts);
            // What is left in takes the smaller part, or nothing at all.
            assert!(
                forming.other_amperes <= 0.5 * forming.acceptance_amperes,
                "{name} {reference}"
            );
        }
    }
    assert!(cans >= 15, "{cans} cans");
}

fn cut(name: &str, can: &str) -> Vec<String> {
    let sheet = as_found(name);
    let model = SetModel::new(&sheet, parts::catalogue().expect("the tables are sound"));
    let forming = formings(&model)
        .into_iter()
        .find(|forming| sheet.parts[forming.part].reference == can)
        .unwrap_or_else(|| panic!("{name}: {can} is not formed"));
    let mut cut: Vec<String> = forming
        .cut_loose
        .iter()
        .map(|&part| sheet.parts[part].reference.clone())
        .collect();
    cut.sort();
    cut
}

#[test]
fn just_what_hides_the_leakage_is_cut_loose() {
    let check = |name: &str, can: &str, expected: &[&str]| {
        assert_eq!(cut(name, can), expected, "{name} {can}");
    };
    // 8k bleeder: 450 V would drive 56 mA through it, beside 1.9 mA of leakage.
    check("small/choke_input_speaker_field", "C1", &["R1"]);
    // Divider of two resistors, both at its + end.
    check("larkfield_12t", "C4B", &["R34", "R35"]);
    // One feed resistor, behind which everything else lies.
    check("larkfield_12t", "C43", &["R49"]);
    check("larkfield_12t", "C5", &["R36"]);
    // Six paths meet at it: its own + lead is the one joint.
    check("larkfield_12t", "C4A", &["C4A"]);
}

#[test]
fn a_path_that_takes_the_smaller_part_stays_and_is_subtracted() {
    // 2.2 meg across 450 V takes 0.205 mA; the acceptance limit of 40 mfd is 1.9 mA.
    let sheet = sheet_of(
        "sheet = 1\nname = \"study\"\nline_volts = 117\nline_hertz = 60\ntubes = []\nparts = [\n\
         [\"C1\", \"electrolytic\", \"40 mfd 450 V\", \"B+\", \"chassis\"],\n\
         [\"R1\", \"resistor\", \"2.2 meg\", \"B+\", \"chassis\"],\n]\n\
         [bench]\ndc_source = \"0-450 V 20 mA\"\n",
    );
    let model = SetModel::new(&sheet, parts::catalogue().expect("the tables are sound"));
    let forming = &formings(&model)[0];
    assert_eq!(forming.cut_loose, Vec::<usize>::new());
    assert!((forming.other_amperes / (450.0 / 2.2e6) - 1.0).abs() < 0.01);
}

#[test]
fn polarity_follows_the_plus_end_also_on_a_negative_line() {
    let sheet = as_found("larkfield_12t");
    let model = SetModel::new(&sheet, parts::catalogue().expect("the tables are sound"));
    let conditions = |can: &str| {
        formings(&model)
            .iter()
            .find(|forming| sheet.parts[forming.part].reference == can)
            .map(|forming| forming.conditions(&model, &BenchConditions::default()))
            .expect("formed")
    };
    let source = |can: &str| {
        conditions(can)
            .direct_source
            .map(|source| (source.place, source.volts))
    };
    assert_eq!(source("C4B"), Some(("B+ 140".to_string(), 350.0)));
    assert_eq!(source("C5"), Some(("bias -18".to_string(), -50.0)));
    assert_eq!(source("C6"), Some(("bias -3".to_string(), -25.0)));
    // Between two places that are not the chassis the source is told at the can itself.
    assert_eq!(source("C1A"), Some(("C1A".to_string(), 450.0)));
}

#[test]
fn everything_lifted_is_back_before_line_power() {
    for name in EXAMPLES {
        let sheet = as_found(name);
        let model = SetModel::new(&sheet, parts::catalogue().expect("the tables are sound"));
        let mut state = PlanState::new(&model);
        let found = dead_steps(&model, &mut state, None, &mut |_| {}).expect("sound");
        let mut lifted = Vec::new();
        let mut formed = 0;
        for step in &found.steps {
            let forming = step.title.starts_with("Re-form ");
            formed += usize::from(forming);
            for act in &step.acts {
                if let Some(rest) = act.strip_prefix("Cut ").filter(|_| forming) {
                    let part = rest.split(" loose").next().unwrap_or_default();
                    lifted.push(part.to_string());
                }
                if let Some(rest) = act.strip_prefix("Pull V") {
                    let tube = rest.split(['.', ' ']).next().unwrap_or_default();
                    lifted.push(format!("V{tube}"));
                }
                for part in act.strip_prefix("Fit ").into_iter() {
                    let part = part.split([' ', '.']).next().unwrap_or_default();
                    lifted.retain(|own| {
                        own != part && own != &format!("the selenium rectifier {part}")
                    });
                    let whole = act.trim_start_matches("Fit ");
                    lifted.retain(|own| !whole.starts_with(own.as_str()));
                }
            }
        }
        assert!(formed > 0, "{name}");
        assert_eq!(lifted, Vec::<String>::new(), "{name}");
    }
}

#[test]
fn a_forming_step_has_its_end_and_its_proof() {
    let sheet = as_found("larkfield_12t");
    let model = SetModel::new(&sheet, parts::catalogue().expect("the tables are sound"));
    let mut state = PlanState::new(&model);
    let found = dead_steps(&model, &mut state, None, &mut |_| {}).expect("sound");
    for step in found
        .steps
        .iter()
        .filter(|step| step.title.starts_with("Re-form "))
    {
        let says = |words: &str| step.acts.iter().any(|act| act.contains(words));
        assert!(says("behind a shield, plug out"), "{}", step.title);
        assert!(says(" to 0 V."), "{}: the source goes down", step.title);
        assert!(says("prove it with the meter"), "{}", step.title);
        assert!(says("Give up and replace it"), "{}", step.title);
        assert!(step.stop_signs[0].contains("pull the plug first"));
        assert!(!step.live.is_empty() && !step.charged.is_empty());
        let [first, last] = &step.stop[..] else {
            panic!("{}: {:?}", step.title, step.stop);
        };
        assert!(first.after_seconds < last.after_seconds);
        let (Limit::Above(early), Limit::Above(late)) = (first.limit, last.limit) else {
            panic!("{}", step.title);
        };
        assert!(early > late);
    }
}

#[test]
fn without_marked_volts_a_can_is_only_replaced() {
    let sheet = sheet_of(
        "sheet = 1\nname = \"study\"\nline_volts = 117\nline_hertz = 60\ntubes = []\nparts = [\n\
         [\"C1\", \"electrolytic\", \"40 mfd\", \"B+\", \"chassis\"],\n\
         [\"R1\", \"resistor\", \"22k\", \"B+\", \"chassis\"],\n]\n\
         [bench]\ndc_source = \"0-450 V 20 mA\"\n",
    );
    let model = SetModel::new(&sheet, parts::catalogue().expect("the tables are sound"));
    let refused = ReForming::of(&model, 0, &BenchConditions::default())
        .expect("a sound network")
        .expect_err("no marked volts");
    assert!(refused.because.contains("marked volts"));
}
