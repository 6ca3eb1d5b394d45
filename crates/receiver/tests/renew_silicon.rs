//! Selenium to silicon: B+ comes out as the maker's, the heat is that of the current, and the diodes bear it.
//!
//! Sources: SE001 and SE003 of data/checks.csv (five plates at 26 V each; the plain rule, which ignores the pulse form of
//! the current, so that the right resistor is smaller); 1N4007 sheet (1000 V, 1 A, 30 A); closed forms where named.

use receiver::conditions::BenchConditions;
use receiver::expect::Predictor;
use receiver::renew::altered::with_silicon;
use receiver::renew::instead_of_tube::tubes_against_silicon;
use receiver::renew::silicon::{Circuit, SiliconPlan, groups, silicon_plans};
use receiver::sheet::read_sheet;
use receiver::whole_set::read_variation;
use receiver::wiring::{SetModel, Variation};

fn plans(text: &str, line: f64) -> Vec<SiliconPlan> {
    let catalogue = parts::catalogue().expect("sound figures");
    let read = read_sheet(text, catalogue);
    let sheet = read.sheet.unwrap_or_else(|| panic!("{:?}", read.faults));
    let model = SetModel::new(&sheet, catalogue);
    silicon_plans(&Predictor::new(&model), catalogue, line).expect("solved")
}

fn sheet_with(parts: &str, load: &str) -> String {
    format!(
        "sheet = 1\nname = \"x\"\nline_volts = 117\nline_hertz = 60\ntubes = [[\"V1\", \"6AU6\", \"amplifier\"]]\n\
         heaters = [{{ from = \"line a\", to = \"line b\", series = [\"V1\"] }}]\nparts = [\n{parts}\n\
         [\"X1\", \"load\", \"{load}\", \"B+\", \"chassis\"],\n]\n"
    )
}

const HALF: &str = r#"["R1", "resistor", "5 ohm 5 W", "line a", "surge"],
["SR1", "selenium", "5 plates 300 mA", "surge", "B+"],
["C1", "electrolytic", "100 mfd 200 V", "B+", "chassis"],
["W1", "wire", "", "line b", "chassis"],"#;

const BRIDGE: &str = r#"["R1", "resistor", "5 ohm 5 W", "line a", "one"],
["W1", "wire", "", "line b", "two"],
["SR1", "selenium", "5 plates 300 mA", "one", "B+"],
["SR2", "selenium", "5 plates 300 mA", "two", "B+"],
["SR3", "selenium", "5 plates 300 mA", "chassis", "one"],
["SR4", "selenium", "5 plates 300 mA", "chassis", "two"],
["C1", "electrolytic", "100 mfd 200 V", "B+", "chassis"],"#;

fn whole_merrow() -> String {
    std::fs::read_to_string("../../examples/whole/merrow_17s.toml").expect("there")
}

/// B+ of the run of this name.
fn b_plus(plan: &SiliconPlan, name: &str) -> f64 {
    let mut runs = plan.runs.iter();
    runs.find(|own| own.name == name)
        .unwrap_or_else(|| panic!("{name}: {plan:?}"))
        .b_plus
}

fn check(text: &str, line: f64, circuit: Circuit) -> SiliconPlan {
    let plan = plans(text, line).remove(0);
    assert_eq!(plan.circuit, circuit);
    let resistor = plan.resistor.clone().expect("a resistor");
    let fitted = b_plus(&plan, "silicon with its resistor");
    assert!((fitted / plan.wanted_volts - 1.0).abs() < 0.01, "{fitted}");
    assert!(b_plus(&plan, "silicon without resistor") > plan.wanted_volts);
    assert!(resistor.rated_watts >= 3.0 * resistor.each_watts);
    let inverse = plan.burden.inverse_volts.clone().expect("told").value;
    assert!(inverse < 1000.0 * 2.0 / 3.0);
    plan
}

#[test]
fn in_a_half_wave_supply() {
    let text = sheet_with(HALF, "200 mA at 130 V");
    let plan = check(&text, 117.0, Circuit::HalfWave);
    let resistor = plan.resistor.expect("a resistor");
    // Check SE003: at the maker's line the plain rule gives (5 - 1) / I, and the right resistor is smaller.
    let rule = resistor.rule_ohms.expect("told");
    assert!(resistor.exact_ohms < rule, "{resistor:?}");
    assert_eq!(resistor.common.map(|own| own.0), Some(resistor.each_ohms));
    // In reverse a half-wave rectifier stands up to twice the peak of the line.
    let inverse = plan.burden.inverse_volts.expect("told").value;
    assert!(
        (inverse / (2.0 * 126.0 * 2f64.sqrt()) - 1.0).abs() < 0.03,
        "{inverse}"
    );
}

#[test]
fn a_stack_below_todays_line_is_told() {
    // Check SE001: five plates stand 130 V; four stand 104 V, less than any line of today.
    let few = HALF.replace("5 plates", "4 plates");
    let own = plans(&sheet_with(&few, "200 mA at 130 V"), 120.0).remove(0);
    assert!(
        own.notices
            .iter()
            .any(|text| text.contains("104 V of input")),
        "{:?}",
        own.notices
    );
    let own = plans(&sheet_with(HALF, "200 mA at 130 V"), 120.0).remove(0);
    assert!(
        own.notices.iter().all(|text| !text.contains("of input")),
        "{:?}",
        own.notices
    );
}

/// By hand: at the maker's line the resistor takes up the 4 V that silicon drops less (SE003); 7 V more of line add 9.9 V at the
/// peaks, so it has more than twice as many to take up, and half more ohms at the least.
#[test]
fn more_line_asks_for_more_ohms() {
    let text = sheet_with(HALF, "200 mA at 130 V");
    let of = |line: f64| {
        let plan = plans(&text, line).remove(0);
        plan.resistor.expect("a resistor").exact_ohms
    };
    assert!(of(124.0) > 1.5 * of(117.0));
}

/// Closed form: in a bridge two rectifiers are in the way at once, and the common lead carries both halves of the current: twice
/// the ohms in one, each heated half the time. The ohms are of E24, within 6 percent of the exact ones.
#[test]
fn in_a_bridge_one_resistor_in_the_lead_has_twice_the_ohms_and_four_times_the_heat() {
    let plan = check(
        &sheet_with(BRIDGE, "200 mA at 130 V"),
        124.0,
        Circuit::Bridge,
    );
    let own = plan.resistor.expect("a resistor");
    let (ohms, watts) = own.common.expect("a common lead");
    assert!((ohms / (2.0 * own.exact_ohms) - 1.0).abs() < 0.06);
    assert!((watts / own.each_watts - 4.0).abs() < 1e-9);
}

/// Two ways of calculation held against each other.
#[test]
fn in_a_doubler_of_a_whole_set() {
    let text = whole_merrow();
    let plan = check(&text, 124.0, Circuit::Doubler);
    assert_eq!(plan.references, ["SR1", "SR2"]);
    // A second way: the whole set with its tubes solved anew.
    let catalogue = parts::catalogue().expect("sound figures");
    let sheet = read_sheet(&text, catalogue).sheet.expect("sound");
    let model = SetModel::new(&sheet, catalogue);
    let parts = groups(&model).remove(0);
    let ohms = plan.resistor.clone().expect("a resistor").each_ohms;
    let altered = with_silicon(&sheet, &parts, "1N4007", ohms);
    let own = SetModel::new(&altered, catalogue);
    let place = own.places.find(&plan.place).expect("there").clone();
    let probe = receiver::probes::Probe {
        at: plan.place.clone(),
        to: None,
        what: receiver::reading::What::DcVolts,
        spot: receiver::probes::Spot::ToChassis(own.junction(&place).expect("there")),
    };
    let conditions = BenchConditions {
        line_volts: Some(124.0),
        ..BenchConditions::default()
    };
    let whole = read_variation(&own, &conditions, &Variation::none(), &[probe]).expect("solved")[0]
        .expect("told");
    let quick = b_plus(&plan, "silicon with its resistor");
    assert!(
        (whole / quick - 1.0).abs() < 0.005,
        "{whole} against {quick}"
    );
}

#[test]
fn heaters_on_a_higher_line_are_helped_by_less_line_and_not_by_a_thermistor() {
    let plan = plans(&whole_merrow(), 124.0).remove(0);
    let heaters = |name: &str| {
        let run = plan.runs.iter().find(|own| own.name == name);
        run.and_then(|own| own.heaters)
            .unwrap_or_else(|| panic!("{name}"))
            .1
    };
    let makers = heaters("good selenium, maker's line");
    // A string's heaters grow at least in proportion to the line, 124 over 117, for their ohms rise with their volts and
    // those of a dropper do not; were all the rest dropper, by the power 1 / 0.58 of it (a heater's current goes with the
    // power 0.58 of its volts, from memory). The middle, 1.072, is a snapshot.
    let now = heaters("silicon with its resistor");
    let line: f64 = 124.0 / 117.0;
    assert!(
        (line..line.powf(1.0 / 0.58)).contains(&(now / makers)),
        "{now} of {makers}"
    );
    assert!((now / makers - 1.072).abs() < 0.02, "{now} of {makers}");
    for name in ["bucking transformer", "dropping resistor ahead of the set"] {
        assert!((heaters(name) / makers - 1.0).abs() < 0.01, "{name}");
        assert!(
            (b_plus(&plan, name) / plan.wanted_volts - 1.0).abs() < 0.01,
            "{name}"
        );
    }
    let thermistor = heaters("thermistor ahead of the set");
    assert!(thermistor > 1.0 + 0.5 * (now - 1.0), "{thermistor}");
    let surge = |name: &str| {
        let run = plan.runs.iter().find(|own| own.name == name);
        run.and_then(|own| own.surge_amperes).expect("told")
    };
    assert!(surge("thermistor ahead of the set") < 0.5 * surge("silicon with its resistor"));
}

#[test]
fn silicon_in_place_of_a_tube_puts_the_filters_above_their_marking() {
    let catalogue = parts::catalogue().expect("sound figures");
    let text = std::fs::read_to_string("../../examples/whole/larkfield_12t.toml").expect("there");
    let sheet = read_sheet(&text, catalogue).sheet.expect("sound");
    let model = SetModel::new(&sheet, catalogue);
    let told = tubes_against_silicon(&Predictor::new(&model), catalogue).expect("solved");
    let own = &told[0];
    assert_eq!(own.tube, "V14");
    // The tube drops some 40 to 60 V more at its peaks (its published 44 V at 225 mA).
    let more = own.settled.1 - own.settled.0;
    assert!((30.0..120.0).contains(&more), "{own:?}");
    assert!(own.from_cold.1 > own.from_cold.0 && own.surge.1 > own.surge.0);
    assert!(
        own.exceeded
            .iter()
            .any(|(name, seen, marked)| name == "C1A" && seen > marked)
    );
    // Without load the filter charges to the peak of the winding: 325 V at 117 V, closed form.
    let peak = 325.0 * 126.0 / 117.0 * 2f64.sqrt();
    assert!(
        own.from_cold.1 <= 1.01 * peak,
        "{} of {peak}",
        own.from_cold.1
    );
    let none = plans(&text, 124.0);
    assert!(none.is_empty());
}
