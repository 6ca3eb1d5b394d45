//! The steps before power: their order, what they demand, and what they never hold.
//!
//! Expected values are read off the sheets, or follow from what a step is for.

use std::path::Path;

use receiver::hazard::{Act, ActKind, ActPlace, Connected, StoredCharge};
use receiver::plan::dead::{DeadSteps, dead_steps};
use receiver::plan::step_builder::{PlanError, PlanState};
use receiver::plan::step_kind::StepKind;
use receiver::plan::{Limit, Step};
use receiver::sheet::{Sheet, read_sheet};
use receiver::wiring::SetModel;

const EXAMPLES: [&str; 6] = [
    "larkfield_12t",
    "merrow_17s",
    "small/bridge_selenium",
    "small/choke_input_speaker_field",
    "small/half_wave_heater_transformer",
    "small/two_rectifiers",
];

fn text_of(name: &str) -> String {
    let path = Path::new(env!("CARGO_MANIFEST_DIR"))
        .join("../../examples")
        .join(format!("{name}.toml"));
    std::fs::read_to_string(path).expect("an example")
}

fn sheet_of(text: &str) -> Sheet {
    let reading = read_sheet(text, parts::catalogue().expect("the tables are sound"));
    assert_eq!(reading.faults, []);
    reading.sheet.expect("no fault, so a sheet")
}

fn dead(sheet: &Sheet) -> DeadSteps {
    let model = SetModel::new(sheet, parts::catalogue().expect("the tables are sound"));
    let mut state = PlanState::new(&model);
    let mut shown = 0;
    let steps = dead_steps(&model, &mut state, Some(180.0), &mut |_| shown += 1)
        .unwrap_or_else(|error| panic!("{}: {error}", sheet.name));
    assert_eq!(shown, steps.steps.len(), "each step is handed out once");
    steps
}

fn says(step: &Step, words: &str) -> bool {
    step.acts.iter().any(|act| act.contains(words))
}

fn position(steps: &[Step], words: &str) -> Option<usize> {
    steps.iter().position(|step| says(step, words))
}

/// Everything electrolytic as found, with a source to form it.
fn untouched(name: &str) -> String {
    let text = text_of(name);
    let state = text.find("[state]").unwrap_or(text.len());
    let mut text = text[..state].to_string();
    if !text.contains("dc_source") {
        text = text.replace("[bench]", "[bench]\ndc_source = \"0-450 V 20 mA\"");
    }
    text
}

#[test]
fn every_example_gets_steps_that_the_rules_let_pass() {
    for name in EXAMPLES {
        for text in [text_of(name), untouched(name)] {
            let found = dead(&sheet_of(&text));
            assert!(found.steps.len() >= 5, "{name}");
            for (number, step) in found.steps.iter().enumerate() {
                assert_eq!(step.number, number + 1, "{name}");
                assert!(!step.because.is_empty(), "{name}: {}", step.title);
                let forming = step.title.starts_with("Re-form ");
                assert_eq!(step.energised, forming, "{name}: {}", step.title);
                assert_eq!(
                    step.stop_signs.is_empty(),
                    !forming,
                    "{name}: {}",
                    step.title
                );
            }
        }
    }
}

#[test]
fn the_cord_is_new_and_the_plug_is_out_before_anything_is_touched() {
    for name in EXAMPLES {
        let steps = dead(&sheet_of(&text_of(name))).steps;
        let plug = position(&steps, "Pull the plug and see it lie there.");
        let cord = position(&steps, "Replace the line cord");
        let discharge = position(&steps, "Discharge ").expect("a discharge");
        assert_eq!(plug, Some(0), "{name}");
        assert!(cord.expect("a cord") < discharge, "{name}");
        for step in &steps[..discharge] {
            assert!(
                !says(step, "Measure "),
                "{name}: measured before discharged"
            );
        }
        // The step that discharges also proves it.
        assert!(says(&steps[discharge], "prove it with the meter"), "{name}");
    }
}

const TUBES_ALONE: &str = "sheet = 1\nname = \"tubes alone\"\nline_volts = 117\nline_hertz = 60\n\
    tubes = [ [\"V1\", \"6AU6\", \"sound i.f.\"], [\"V2\", \"12LP4-A\", \"picture tube\"] ]\n";

#[test]
fn a_live_or_untold_chassis_demands_isolation_before_anything_else() {
    let untold = sheet_of(TUBES_ALONE);
    for (name, sheet) in [
        ("merrow_17s", sheet_of(&text_of("merrow_17s"))),
        (
            "half wave",
            sheet_of(&text_of("small/half_wave_heater_transformer")),
        ),
        ("tubes alone", untold),
    ] {
        let steps = dead(&sheet).steps;
        assert_eq!(
            position(&steps, "Feed the set through the isolation transformer"),
            Some(0),
            "{name}"
        );
        assert!(says(&steps[0], "180 volt-amperes"), "{name}");
        first_measurement_is_megohms(name, &steps);
    }
}

fn first_measurement_is_megohms(name: &str, steps: &[Step]) {
    let first = steps
        .iter()
        .find(|step| step.acts.iter().any(|act| act.contains("ohms from")))
        .unwrap_or_else(|| panic!("{name}: nothing is measured"));
    for words in [
        "Measure megohms from line a to chassis.",
        "Measure megohms from line b to chassis.",
    ] {
        assert!(says(first, words), "{name}: {words}");
    }
}

#[test]
fn an_isolated_chassis_demands_none_and_is_measured_first_all_the_same() {
    for name in [
        "larkfield_12t",
        "small/bridge_selenium",
        "small/choke_input_speaker_field",
        "small/two_rectifiers",
    ] {
        let steps = dead(&sheet_of(&text_of(name))).steps;
        assert_eq!(
            position(&steps, "Feed the set through the isolation transformer"),
            None,
            "{name}"
        );
        first_measurement_is_megohms(name, &steps);
        let line = position(&steps, "Measure megohms from line a to the core of T1.")
            .expect("the core is measured");
        assert!(says(&steps[line], "Close switch SW1."), "{name}");
    }
}

#[test]
fn a_chassis_counts_as_isolated_only_after_the_dead_measurement() {
    use receiver::hazard::ChassisRelation;
    let sheet = sheet_of(&text_of("larkfield_12t"));
    let model = SetModel::new(&sheet, parts::catalogue().expect("the tables are sound"));
    let mut state = PlanState::new(&model);
    assert_eq!(state.situation.chassis, ChassisRelation::Unknown);
    dead_steps(&model, &mut state, None, &mut |_| {}).expect("sound");
    assert_eq!(
        state.situation.chassis,
        ChassisRelation::IsolatedByTransformer
    );
    assert_eq!(state.situation.old_line_capacitors, Some(false));
    assert_eq!(state.situation.electrolytics_as_found, Some(false));
    assert_eq!(state.situation.output_stage_fed, Some(false));
    assert!(!state.situation.load_missing || state.situation.output_stage_fed == Some(false));
}

fn cold(steps: &[Step]) -> &Step {
    steps
        .iter()
        .find(|step| step.title == "Cold resistances")
        .expect("cold resistances")
}

/// The reading's expected ohms, within a twentieth of the sum beside it.
fn check_ohms(name: &str, at: &str, to: &str, expected: f64) {
    let steps = dead(&sheet_of(&text_of(name))).steps;
    let reading = cold(&steps)
        .expect
        .iter()
        .find(|reading| reading.at == at && reading.to.as_deref() == Some(to))
        .unwrap_or_else(|| panic!("{name}: no {at} to {to}"));
    assert!(
        (reading.band.expected / expected - 1.0).abs() < 0.05,
        "{name}: {at} to {to}: {} read, {expected} expected",
        reading.band.expected
    );
    assert!(reading.band.low <= expected && expected <= reading.band.high);
}

#[test]
fn cold_resistances_are_those_of_the_sheet() {
    // Copper alone; nothing else joins the ends.
    check_ohms("larkfield_12t", "V14.4", "B minus", 31.0);
    check_ohms("larkfield_12t", "V14.8", "B+ main", 88.0);
    check_ohms(
        "small/choke_input_speaker_field",
        "field hot",
        "field cold",
        450.0,
    );
    check_ohms("small/choke_input_speaker_field", "V1.4", "chassis", 45.0);
    // 33k to the chassis, and nothing else while the tubes are cold.
    check_ohms("small/two_rectifiers", "B+ 350", "chassis", 33_000.0);
    // The maker's chart of the example: 9.9k.
    check_ohms("larkfield_12t", "B+ main", "chassis", 9_900.0);
}

#[test]
fn limits_stand_outside_the_bands_and_tell_a_shorted_filter() {
    for name in EXAMPLES {
        let steps = dead(&sheet_of(&text_of(name))).steps;
        let cold = cold(&steps);
        assert!(!cold.stop.is_empty(), "{name}");
        for rule in &cold.stop {
            let band = &cold
                .expect
                .iter()
                .find(|reading| reading.at == rule.at && reading.to == rule.to)
                .unwrap_or_else(|| panic!("{name}: a limit without a reading at {}", rule.at))
                .band;
            match rule.limit {
                Limit::Below(ohms) => assert!(ohms < band.low, "{name}: {} {ohms}", rule.at),
                Limit::Above(ohms) => assert!(ohms > band.high, "{name}: {} {ohms}", rule.at),
            }
            assert!(!rule.tells.is_empty());
        }
        // Every filter can of the examples is told when it is shorted.
        let told: Vec<&String> = cold.stop.iter().flat_map(|rule| &rule.tells).collect();
        for part in &sheet_of(&text_of(name)).parts {
            if part.reference.starts_with("C1") || part.reference.starts_with("C2") {
                let electrolytic = matches!(
                    part.value,
                    receiver::sheet::PartValue::Capacitor {
                        style: receiver::sheet::CapacitorStyle::Electrolytic,
                        ..
                    }
                );
                let words = format!("{} leaking or shorted", part.reference);
                assert!(
                    !electrolytic || told.iter().any(|tells| tells.starts_with(&words)),
                    "{name}: {words} is not told"
                );
            }
        }
    }
}

#[test]
fn what_must_not_stay_is_asked_for_before_the_old_cans() {
    let steps = dead(&sheet_of(&text_of("larkfield_12t"))).steps;
    for words in [
        "Replace C2 by a safety capacitor of class Y1 or Y2.",
        "Replace C3 by a safety capacitor of class Y1 or Y2.",
        "Replace C41 by a new part of the same value.",
        "Replace C50 by",
        "Replace C51 by",
        "Replace C60 by",
    ] {
        let at = position(&steps, words).unwrap_or_else(|| panic!("{words} is missing"));
        let cans = steps
            .iter()
            .position(|step| step.title.starts_with("Old electrolytics"))
            .expect("old cans");
        assert!(at < cans, "{words}");
    }
    // Cut loose already, replaced already, or harmless: not asked for.
    for words in ["Replace C40 ", "Replace C1A", "Replace C7 ", "Replace C52 "] {
        assert_eq!(position(&steps, words), None, "{words}");
    }
    // Across the line of a set whose chassis is a blade: class X.
    let steps = dead(&sheet_of(&text_of("small/half_wave_heater_transformer"))).steps;
    assert!(
        position(
            &steps,
            "Replace C3 by a safety capacitor of class X1 or X2."
        )
        .is_some()
    );
}

#[test]
fn what_remains_is_named_with_its_risk() {
    let steps = dead(&sheet_of(&text_of("larkfield_12t"))).steps;
    let remains = steps
        .iter()
        .find(|step| step.title == "What remains as found")
        .expect("something remains");
    for words in ["C7, B+ bypass:", "C52, coupling:", "C40 (screen bypass)"] {
        assert!(says(remains, words), "{words}");
    }
    assert!(says(remains, "too much beam"), "the picture tube's cathode");
    for other in ["C41", "C1A", "C2,"] {
        assert!(!says(remains, other), "{other}");
    }
}

#[test]
fn no_act_of_power_stands_before_power() {
    for name in EXAMPLES {
        for step in dead(&sheet_of(&untouched(name))).steps {
            for words in ["Put the plug in", "Switch the set on", "Set the line"] {
                assert!(!says(&step, words), "{name}: {words} in {}", step.title);
            }
        }
    }
}

#[test]
fn the_sweep_feed_is_open_at_the_end() {
    for (name, feed) in [("larkfield_12t", "J2"), ("merrow_17s", "J2")] {
        let steps = dead(&sheet_of(&text_of(name))).steps;
        let last = steps.last().expect("steps");
        assert!(
            says(last, &format!("Open the sweep feed {feed}.")),
            "{name}"
        );
        assert_eq!(last.conditions.open, [feed.to_string()]);
    }
    // Where grid and cathode of the picture tube are not on the sheet its socket stays off.
    let steps = dead(&sheet_of(&text_of("small/two_rectifiers"))).steps;
    let last = steps.last().expect("steps");
    let socket = last
        .acts
        .iter()
        .position(|act| act.starts_with("Pull the picture tube's socket"));
    let feed = last
        .acts
        .iter()
        .position(|act| act.starts_with("Open the sweep feed J1"));
    assert!(socket.expect("socket off") < feed.expect("feed open"));
}

#[test]
fn a_sheet_with_tubes_alone_still_gets_its_steps() {
    let found = dead(&sheet_of(TUBES_ALONE));
    assert!(
        found
            .notices
            .iter()
            .any(|notice| notice.text.contains("no cold resistance"))
    );
    assert!(says(&found.steps[2], "filter capacitor"));
}

#[test]
fn a_refused_act_is_never_shown() {
    let sheet = sheet_of(&text_of("larkfield_12t"));
    let model = SetModel::new(&sheet, parts::catalogue().expect("the tables are sound"));
    let check = |act: Act, allowed: bool| {
        let mut state = PlanState::new(&model);
        let mut step = state.step(StepKind::LookOver, "A step", "for the test");
        step.act(Act::new(ActKind::PlugOut, ActPlace::LineCord));
        step.act(act);
        match step.finish() {
            Ok(step) => assert!(allowed, "{:?}", step.acts),
            Err(PlanError::Refused { step, because, .. }) => {
                assert!(!allowed, "{because}");
                assert_eq!(step, "A step");
            }
            Err(other) => panic!("{other}"),
        }
    };
    let lift = Act::new(ActKind::Lift, ActPlace::part("C2"));
    check(lift.clone(), false);
    check(lift.charge(StoredCharge::ProvenWithMeter), true);
    check(
        Act::new(
            ActKind::Connect(Connected::VariableTransformer {
                counted_as_isolation: true,
            }),
            ActPlace::WholeSet,
        ),
        false,
    );
}

#[test]
fn a_sheet_with_rows_missing_never_brings_a_refused_act() {
    // A restorer copies row by row: whatever is not there yet, no act may be refused.
    for name in ["larkfield_12t", "merrow_17s", "small/two_rectifiers"] {
        let text = untouched(name);
        let lines: Vec<&str> = text.lines().collect();
        let rows: Vec<usize> = lines
            .iter()
            .enumerate()
            .filter(|(_, line)| line.trim_start().starts_with("[\""))
            .map(|(number, _)| number)
            .collect();
        let catalogue = parts::catalogue().expect("the tables are sound");
        for first in rows.iter().step_by(3) {
            let kept: Vec<&str> = lines
                .iter()
                .enumerate()
                .filter(|(number, _)| number != first && *number != first + 1)
                .map(|(_, line)| *line)
                .collect();
            // Without a tube the sheet itself may be at fault; that is told elsewhere.
            let Some(sheet) = read_sheet(&kept.join("\n"), catalogue).sheet else {
                continue;
            };
            let model = SetModel::new(&sheet, catalogue);
            let mut state = PlanState::new(&model);
            let found = dead_steps(&model, &mut state, None, &mut |_| {});
            assert!(
                !matches!(found, Err(PlanError::Refused { .. })),
                "{name} without line {}: {:?}",
                first + 1,
                found.err()
            );
        }
    }
}
