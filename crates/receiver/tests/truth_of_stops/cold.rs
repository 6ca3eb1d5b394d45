//! Drawn sets with the plug out: the cold resistances of the plan held against them.
//!
//! Ohms. The limits are those of the plan's steps before power. A drawn set keeps its parts;
//! heaters have the drawn hot-to-cold ratio, rectifiers the other law, and the ohmmeter an
//! error of its own at each reading. Rules about insulation (to a transformer's core, to
//! metal that can be touched) have no drawn counterpart and are left out; their number is
//! told. What old electrolytics leak while they are formed is not drawn either. Fails by a
//! panic where a network has no solution, which would be a fault of ours.

use circuit::ohm_network::OhmNetwork;
use rayon::prelude::*;
use receiver::expect::ROOM_KELVIN;
use receiver::ohms::USUAL_OHMMETER;
use receiver::plan::StopRule;
use receiver::plan::dead::dead_steps;
use receiver::plan::step_builder::PlanState;
use receiver::reading::What;
use receiver::wiring::SetModel;

use crate::other_laws::bell;
use crate::walk::{DrawnSet, METER_SIGMA, Planned, beyond};

/// A limit of a dead step and the junctions that its meter touches.
pub struct ColdRule {
    pub rule: StopRule,
    a: usize,
    b: usize,
}

/// The limits in ohms of the steps before power.
pub fn cold_rules(model: &SetModel<'_>) -> Vec<ColdRule> {
    let mut state = PlanState::new(model);
    let dead = dead_steps(model, &mut state, None, &mut |_| {}).expect("the examples are planned");
    let junction = |name: &str| model.junction(model.places.find(name).ok()?);
    dead.steps
        .into_iter()
        .flat_map(|step| step.stop)
        .filter(|rule| rule.what == What::Ohms)
        .filter_map(|rule| {
            let a = junction(&rule.at)?;
            let b = junction(rule.to.as_deref()?)?;
            Some(ColdRule { rule, a, b })
        })
        .collect()
}

/// Which rules a set passes, with the ohms read.
pub fn cold_stops(planned: &Planned, rules: &[ColdRule], set: &DrawnSet) -> Vec<(usize, f64)> {
    let model = planned.predictor.model;
    let wired = set.wire_unplugged(model);
    let network = OhmNetwork::new(&wired.circuit, ROOM_KELVIN).expect("a resistive network");
    let mut meter = set.meter.clone();
    rules
        .iter()
        .enumerate()
        .filter_map(|(number, own)| {
            let ohms = network
                .ohms(wired.node(own.a), wired.node(own.b), USUAL_OHMMETER)
                .expect("decided");
            let ohms = ohms * bell(&mut meter, METER_SIGMA);
            beyond(own.rule.limit, ohms).then_some((number, ohms))
        })
        .collect()
}

/// Healthy sets that are stopped by a cold resistance: number of the set, rule, ohms.
pub fn false_cold_stops(
    planned: &Planned,
    rules: &[ColdRule],
    seed: u64,
    sets: u64,
) -> Vec<(u64, Vec<(usize, f64)>)> {
    (0..sets)
        .into_par_iter()
        .filter_map(|number| {
            let set = DrawnSet::healthy(planned, seed, number);
            let stops = cold_stops(planned, rules, &set);
            (!stops.is_empty()).then_some((number, stops))
        })
        .collect()
}
