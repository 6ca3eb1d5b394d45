//! For every rule one act that it refuses and a near one that passes all rules.
//!
//! What is refused comes from the `never_advise` column of `data/hazards.csv`, what passes from
//! its `safe_way` (common practice); 42.4 V is 30 V r.m.s. times root 2, closed form.

mod acts;
mod handling;
mod line;
mod measuring;
mod picture_tube;
mod supply;
mod sweep;

use std::collections::BTreeSet;

use receiver::hazard::{
    self, Act, ActKind, ActPlace, Connected, Measured, Replacement, Situation, StoredCharge,
    Treatment, Verdict,
};

use acts::{Case, at, at_set, b_plus, bench, volts};
use handling::{further_cases, handling_cases};
use line::line_cases;
use measuring::{charge_cases, measuring_cases};
use picture_tube::picture_tube_cases;
use supply::supply_cases;
use sweep::sweep_cases;

fn cases() -> Vec<Case> {
    [
        measuring_cases(),
        charge_cases(),
        line_cases(),
        sweep_cases(),
        picture_tube_cases(),
        supply_cases(),
        handling_cases(),
        further_cases(),
    ]
    .into_iter()
    .flatten()
    .collect()
}

fn broken_rules(act: &Act, situation: &Situation) -> Vec<&'static str> {
    match hazard::judge(act, situation).expect("the table reads") {
        Verdict::Allowed { .. } => Vec::new(),
        Verdict::Refused { rules } => rules.iter().map(|refusal| refusal.rule).collect(),
    }
}

#[test]
fn each_rule_refuses_its_act_and_lets_the_near_one_pass() {
    let mut wrong = Vec::new();
    for case in cases() {
        let (act, situation) = &case.refused;
        if !broken_rules(act, situation).contains(&case.rule) {
            wrong.push(format!("{}: does not refuse `{act}`", case.rule));
        }
        let (act, situation) = &case.near;
        let broken = broken_rules(act, situation);
        if !broken.is_empty() {
            wrong.push(format!("{}: `{act}` is refused by {broken:?}", case.rule));
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

#[test]
fn no_rule_is_without_a_case_and_no_case_without_a_rule() {
    let rules: BTreeSet<_> = hazard::rules().map(|rule| rule.id).collect();
    let cased: BTreeSet<_> = cases().iter().map(|case| case.rule).collect();
    assert_eq!(rules, cased);
    assert_eq!(rules.len(), hazard::rules().count(), "rule ids are unique");
}

#[test]
fn unknown_volts_are_refused_for_every_act_that_comes_to_an_energised_place() {
    let kinds = [
        ActKind::Measure(Measured::DcVolts),
        ActKind::Measure(Measured::Ohms),
        ActKind::Touch,
        ActKind::Lift,
        ActKind::Pull,
        ActKind::Open,
        ActKind::Close,
        ActKind::Discharge,
        ActKind::Solder,
        ActKind::Connect(Connected::ClipLead),
        ActKind::Replace(Replacement::SameValue),
        ActKind::Treat(Treatment::ContactCleaner),
    ];
    for kind in kinds {
        for peak_volts in [None, Some(f64::NAN), Some(f64::INFINITY)] {
            let act = at(kind.clone(), b_plus()).energised(peak_volts);
            assert!(
                broken_rules(&act, &bench()).contains(&"unknown-volts/energised"),
                "{act}"
            );
        }
    }
}

#[test]
fn pulling_the_plug_is_never_refused() {
    let mut worst = Situation {
        plug_in: Some(true),
        damp_floor: Some(true),
        living_room: true,
        coating_grounded: Some(false),
        picture_grid_above_cathode: Some(true),
        screen_fed_without_plate: Some(true),
        load_missing: true,
        loose_cap_lead: true,
        output_stage_fed: Some(true),
        old_line_capacitors: Some(true),
        cage_fitted: Some(false),
        metal_cone: Some(true),
        ..Situation::default()
    };
    worst.signs = hazard::STOP_SIGNS.iter().map(|sign| sign.sign).collect();
    for kind in [ActKind::PlugOut, ActKind::SwitchOff] {
        let act = at_set(kind).energised(None);
        assert_eq!(broken_rules(&act, &worst), Vec::<&str>::new());
    }
}

#[test]
fn nothing_known_means_no_power() {
    for kind in [ActKind::PlugIn, ActKind::SwitchOn, ActKind::KeepRunning] {
        let broken = broken_rules(&at_set(kind), &Situation::default());
        assert!(
            broken.contains(&"live-chassis/open-without-isolation"),
            "{broken:?}"
        );
    }
}

#[test]
fn a_source_on_the_bench_does_not_count_as_a_running_set() {
    let nothing_known = Situation::default();
    let reading = volts(Some(300.0)).energised_by_source(Some(300.0));
    assert_eq!(broken_rules(&reading, &nothing_known), Vec::<&str>::new());
    let touch = at(ActKind::Touch, b_plus()).energised_by_source(Some(300.0));
    assert!(broken_rules(&touch, &nothing_known).contains(&"body-current/touched-live"));
}

#[test]
fn the_anode_never_counts_as_discharged_by_time_or_once() {
    for charge in [
        StoredCharge::Unknown,
        StoredCharge::NoneHere,
        StoredCharge::TimeHasPassed,
        StoredCharge::AnotherWasDischarged,
        StoredCharge::DischargedOnce,
        StoredCharge::ProvenWithMeter,
    ] {
        let act = at(ActKind::Touch, ActPlace::PictureTubeAnode).charge(charge);
        assert!(
            broken_rules(&act, &bench()).contains(&"picture-tube-charge/handled"),
            "{charge:?}"
        );
    }
}

#[test]
fn a_refusal_tells_the_volts() {
    let table = hazard::table().expect("the table reads");
    let Verdict::Refused { rules } = table.judge(&volts(Some(712.0)), &bench()) else {
        panic!("712 V on a 600 V meter passed");
    };
    assert!(rules.iter().any(|refusal| {
        refusal.hazard.id == "meter-beyond-rating"
            && refusal.because.contains("712 V")
            && refusal.because.contains("600 V")
    }));
}
