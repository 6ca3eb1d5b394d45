//! Whether the stop limits tell the truth: healthy sets drawn at random, with other laws
//! than the prediction uses, go through the whole plan unstopped, and sets with a fault
//! planted in them do not.
//!
//! At most 2 of 100 healthy sets may be stopped anywhere in the plan, and at least 95 of
//! 100 planted faults have to be, by the step that tells them. The checks here draw few
//! sets, fast enough for every day; with `FULL_TRUTH=1` in the environment a thousand sets
//! for each example are drawn and forty of each fault, and with `WRITE_TABLE=1` as well the
//! page docs/theory/truth_of_stops.md is written anew:
//! `FULL_TRUTH=1 WRITE_TABLE=1 cargo test --release -p receiver --test truth_of_stops`.

#[path = "truth_of_stops/cold.rs"]
mod cold;
mod other_laws;
#[path = "truth_of_stops/page.rs"]
mod page;
#[path = "truth_of_stops/walk.rs"]
mod walk;

use std::collections::BTreeSet;
use std::path::PathBuf;
use std::sync::LazyLock;

use cold::{cold_rules, cold_stops, false_cold_stops};
use page::{Measured, listed};
use walk::{DrawnSet, EXAMPLES, Planned, false_stops, plan, planted, told};

static LARKFIELD: LazyLock<Planned> = LazyLock::new(|| plan(EXAMPLES[0]));
static MERROW: LazyLock<Planned> = LazyLock::new(|| plan(EXAMPLES[1]));

/// Seeds: one for the healthy sets, one for those that get a fault.
const HEALTHY: u64 = 1950;
const FAULTY: u64 = 1951;

fn asked(variable: &str) -> bool {
    std::env::var(variable).is_ok_and(|value| value == "1")
}

/// Sets of each example, and cases of each fault.
fn numbers() -> (u64, u64) {
    if asked("FULL_TRUTH") {
        (1000, 40)
    } else {
        (60, 2)
    }
}

fn check_healthy(planned: &Planned) {
    let sets = numbers().0;
    let stopped = false_stops(planned, HEALTHY, sets);
    for (set, stops) in &stopped {
        for stop in stops {
            let step = &planned.steps[stop.step];
            let rule = &step.limits.rules[stop.rule];
            println!(
                "{} set {set}, step {}: {} {} {:.3} at {} s, {:?} from {} s on",
                planned.name,
                stop.step + 1,
                rule.at,
                rule.what.name(),
                stop.value,
                stop.seconds,
                rule.limit,
                rule.after_seconds
            );
        }
    }
    let rules = cold_rules(planned.predictor.model);
    assert!(
        rules.len() > 5,
        "{}: {} cold limits",
        planned.name,
        rules.len()
    );
    let cold = false_cold_stops(planned, &rules, HEALTHY, sets);
    for (set, stops) in &cold {
        for (rule, ohms) in stops {
            let rule = &rules[*rule].rule;
            println!(
                "{} set {set}, plug out: {} to {:?} {ohms:.3} ohm, {:?}",
                planned.name, rule.at, rule.to, rule.limit
            );
        }
    }
    println!(
        "{}: {} of {sets} healthy sets stopped with the plug out by one of {} limits",
        planned.name,
        cold.len(),
        rules.len()
    );
    let stopped: BTreeSet<u64> = stopped
        .into_iter()
        .map(|(set, _)| set)
        .chain(cold.into_iter().map(|(set, _)| set))
        .collect();
    // Two of a hundred; of a few sets chance allows one more.
    let allowed = 0.02 * sets as f64 + if asked("FULL_TRUTH") { 0.0 } else { 1.0 };
    println!(
        "{}: {} of {sets} healthy sets stopped",
        planned.name,
        stopped.len()
    );
    assert!(
        stopped.len() as f64 <= allowed,
        "{}: {} of {sets} healthy sets stopped",
        planned.name,
        stopped.len()
    );
}

fn check_planted(planned: &Planned) {
    let found = planted(planned, FAULTY, numbers().1);
    assert!(!found.is_empty(), "{}: no fault is told", planned.name);
    let cases: usize = found.iter().map(|planted| planted.cases).sum();
    let stopped: usize = found.iter().map(|planted| planted.stopped).sum();
    for planted in found.iter().filter(|planted| !planted.missed.is_empty()) {
        println!(
            "{}: {} told {:?}, missed {:?}",
            planned.name,
            planned.faults[planted.fault].name,
            told(planned, planted.fault),
            planted.missed
        );
    }
    println!(
        "{}: {stopped} of {cases} planted faults stopped",
        planned.name
    );
    assert!(
        stopped as f64 >= 0.95 * cases as f64,
        "{}: {stopped} of {cases} planted faults stopped",
        planned.name
    );
}

#[test]
fn healthy_larkfields_are_not_stopped() {
    check_healthy(&LARKFIELD);
}

#[test]
fn healthy_merrows_are_not_stopped() {
    check_healthy(&MERROW);
}

#[test]
fn faults_in_larkfields_are_stopped() {
    check_planted(&LARKFIELD);
}

#[test]
fn faults_in_merrows_are_stopped() {
    check_planted(&MERROW);
}

/// A limit that a set passes stops it: a rule put on the wrong side of the expected
/// reading stops every healthy set, so the walk does look at the readings.
#[test]
fn the_walk_applies_the_rules() {
    let mut planned = plan(EXAMPLES[1]);
    let step = &mut planned.steps[0];
    let expected = step.expect[0].band.expected;
    let rule = step
        .limits
        .rules
        .iter_mut()
        .find(|rule| rule.at == step.expect[0].at && rule.what == step.expect[0].what)
        .expect("the first reading has a rule");
    rule.limit = receiver::plan::Limit::Above(0.5 * expected);
    assert_eq!(false_stops(&planned, HEALTHY, 3).len(), 3);
}

/// The limits in ohms alone, a thousand sets of each example: networks of resistors are quick.
#[test]
fn cold_limits_spare_healthy_sets() {
    for planned in [&*LARKFIELD, &*MERROW] {
        let rules = cold_rules(planned.predictor.model);
        let stopped = false_cold_stops(planned, &rules, HEALTHY, 1000);
        for (set, stops) in &stopped {
            for (rule, ohms) in stops {
                let rule = &rules[*rule].rule;
                println!(
                    "{} set {set}: {} to {:?} {ohms:.3} ohm, {:?}",
                    planned.name, rule.at, rule.to, rule.limit
                );
            }
        }
        println!(
            "{}: {} of 1000 healthy sets stopped by one of {} limits in ohms",
            planned.name,
            stopped.len(),
            rules.len()
        );
        // Half of the two in a hundred that the whole plan is allowed.
        assert!(stopped.len() <= 10, "{}: {}", planned.name, stopped.len());
    }
}

/// The same of the ohmmeter: a set whose B+ line is shorted passes a limit.
#[test]
fn the_cold_walk_applies_the_rules() {
    let planned = &*MERROW;
    let rules = cold_rules(planned.predictor.model);
    let fault = planned
        .faults
        .iter()
        .find(|fault| fault.name.starts_with("B+ 265 touching"))
        .expect("a likely fault");
    let healthy = DrawnSet::healthy(planned, HEALTHY, 3);
    assert_eq!(cold_stops(planned, &rules, &healthy), []);
    let gross = fault.severities[fault.severities.len() - 1];
    let stops = cold_stops(planned, &rules, &healthy.with(fault, gross));
    assert!(
        stops
            .iter()
            .any(|(rule, _)| rules[*rule].rule.at == "B+ 265"),
        "{stops:?}"
    );
}

fn page_path() -> PathBuf {
    PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("../../docs/theory/truth_of_stops.md")
}

#[test]
fn the_page_lists_what_the_plan_makes_of_each_fault() {
    if asked("WRITE_TABLE") {
        std::fs::write(page_path(), written()).expect("the page can be written");
    }
    let page = std::fs::read_to_string(page_path()).expect("the page is there");
    let now: Vec<(String, bool)> = [&*LARKFIELD, &*MERROW]
        .into_iter()
        .flat_map(|planned| {
            (0..planned.faults.len()).map(|fault| {
                let name = planned.faults[fault].name.clone();
                (name, told(planned, fault).is_some())
            })
        })
        .collect();
    assert_eq!(
        listed(&page),
        now,
        "write the page anew: FULL_TRUTH=1 WRITE_TABLE=1 cargo test --release -p receiver \
         --test truth_of_stops"
    );
}

/// The whole page.
fn written() -> String {
    let (sets, cases) = numbers();
    let measured: Vec<Measured> = [&*LARKFIELD, &*MERROW]
        .into_iter()
        .map(|planned| {
            let rules = cold_rules(planned.predictor.model);
            let cold = false_cold_stops(planned, &rules, HEALTHY, sets);
            let powered = false_stops(planned, HEALTHY, sets);
            let anywhere: BTreeSet<u64> = cold
                .iter()
                .map(|(set, _)| *set)
                .chain(powered.iter().map(|(set, _)| *set))
                .collect();
            Measured {
                name: planned.name,
                sets,
                cold_limits: rules.len(),
                stopped_cold: cold.len(),
                stopped_under_power: powered.len(),
                stopped: anywhere.len(),
                planted: planted(planned, FAULTY, cases),
            }
        })
        .collect();
    let mut page = String::from(HEAD);
    page.push_str("| example | healthy sets | limits in ohms | stopped with the plug out | stopped under power | stopped anywhere in the plan | planted faults | stopped in time |\n|---|---|---|---|---|---|---|---|\n");
    for own in &measured {
        let all: usize = own.planted.iter().map(|planted| planted.cases).sum();
        let stopped: usize = own.planted.iter().map(|planted| planted.stopped).sum();
        page.push_str(&format!(
            "| example {} | {} | {} | {} | {} | {} ({:.1} of 100) | {all} | {stopped} ({:.1} of 100) |\n",
            own.name,
            own.sets,
            own.cold_limits,
            own.stopped_cold,
            own.stopped_under_power,
            own.stopped,
            100.0 * own.stopped as f64 / own.sets as f64,
            100.0 * stopped as f64 / all.max(1) as f64
        ));
    }
    for (planned, own) in [&*LARKFIELD, &*MERROW].into_iter().zip(&measured) {
        page.push_str(&format!(
            "\n## {}\n\nSteps under power:\n\n{}\n{}",
            planned.name,
            page::steps(planned),
            page::table(planned, &own.planted)
        ));
    }
    page
}

const HEAD: &str = "\
# How true the stop limits are

A stop limit is right when healthy sets stay within it and faulty ones do not. Both are
measured on sets drawn at random, with other laws than the prediction uses: tube rectifiers
with a power of 1.35 to 1.6 and a contact potential, selenium of two slopes, every heater
with its own current, warm-up time, hot-to-cold ratio and ways of its heat, loads of tubes
with five to twelve times the emission that they need, and a meter with an error at each
reading. Parts differ by the spreads that the prediction states. One set keeps its parts
through the whole plan. The line is taken as the plan names it.

A rule counts from its time on: at every moment from then until the set is settled.

A fault counts as stopped when a rule is passed in the step that tells it or earlier. It is
planted at a severity drawn evenly (in the logarithm) between the one named here and the
grossest. Seconds and watt-seconds are those of the grossest in an otherwise ordinary set,
with the heat of earlier steps counted in: heat above a healthy set's, in the part that
cannot be bought again.

The limits in ohms of the steps before power are walked as well: the drawn set with its plug
out, heaters as cold as the draw has them, the other laws of its metal rectifiers, and an
ohmmeter with an error at each reading. Limits about insulation (line to core, to metal that
a hand can touch) have no drawn counterpart; neither has what an old can leaks while it is
formed. What is *unguarded* is told by no reading of the steps under power.

Written by

    FULL_TRUTH=1 WRITE_TABLE=1 cargo test --release -p receiver --test truth_of_stops

The distances of the limits were settled on these very draws.

";
