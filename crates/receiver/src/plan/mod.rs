//! The staged first power-up of one set, derived from its sheet.
//!
//! Units: volts rms for the line, watts for lamps and heat, seconds.
//! Source: the solved circuit of the healthy set and of the same set with each of
//! its likely faults. A limit that the calculation cannot give is named in
//! `cannot_tell` or `unguarded`; it is never filled in by habit.

pub mod bench_facts;
pub mod capacitors;
pub mod charged;
mod course;
pub mod dead;
pub mod faults;
pub mod lamp;
pub mod limits;
pub mod powered;
pub mod powered_words;
pub mod ratings;
pub mod re_forming;
pub mod situation;
pub mod step_builder;
pub mod step_kind;
pub mod wake;
pub mod watch;

use crate::conditions::BenchConditions;
use crate::reading::{Notice, Reading, Unknown, What};
use step_kind::StepKind;

/// The whole plan.
#[derive(Debug, Clone)]
pub struct PowerUpPlan {
    /// The steps in order.
    pub steps: Vec<Step>,
    /// Faults that no reading of this plan guards, each with its reason.
    pub unguarded: Vec<Unguarded>,
    /// What was assumed, and what the plan would gain from more.
    pub notices: Vec<Notice>,
    /// Work done to find it.
    pub work: PlanWork,
}

/// Work done to find a plan.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct PlanWork {
    /// Solved states: settled or resting solutions of healthy and faulty sets.
    pub solved_states: usize,
    /// Runs from switch-on.
    pub warm_up_runs: usize,
}

/// One step of the plan.
#[derive(Debug, Clone)]
pub struct Step {
    /// Number from 1.
    pub number: usize,
    /// What it is for.
    pub kind: StepKind,
    /// Its name through every plan of this set, whatever its title: the kind, with the part or
    /// the count among its like.
    pub key: String,
    /// A few words.
    pub title: String,
    /// Parts that are to be seen to in this step and of which the sheet does not say so yet.
    pub parts: Vec<String>,
    /// What to do, in order, one sentence each.
    pub acts: Vec<String>,
    /// How the set stands on the bench in this step.
    pub conditions: BenchConditions,
    /// Whether the set gets power in this step.
    pub energised: bool,
    /// Time until the readings are to be taken.
    pub wait_seconds: f64,
    /// Why this step exists and why its lamp and line were chosen.
    pub because: String,
    /// What a healthy set shows.
    pub expect: Vec<Reading>,
    /// What cannot be told in this step.
    pub unknown: Vec<Unknown>,
    /// Readings at which the plug is pulled.
    pub stop: Vec<StopRule>,
    /// What eye, ear and nose notice; these come before any reading.
    pub stop_signs: Vec<String>,
    /// Places that are live in this step.
    pub live: Vec<String>,
    /// What stays charged after the plug is out.
    pub charged: Vec<Charged>,
    /// Cautions that hold in this step.
    pub cautions: Vec<String>,
    /// The lamp chosen for this step, if the step has one to choose.
    pub lamp: Option<LampChoice>,
}

/// A reading at which to pull the plug.
#[derive(Debug, Clone, PartialEq)]
pub struct StopRule {
    /// Place, tube or part.
    pub at: String,
    /// The other place of a reading between two.
    pub to: Option<String>,
    /// What is read.
    pub what: What,
    /// The limit: pull the plug when the reading is beyond it.
    pub limit: Limit,
    /// The limit counts from this time after switch-on.
    pub after_seconds: f64,
    /// Faults that this reading tells, with the severity from which on.
    pub tells: Vec<String>,
    /// Faults that this reading cannot tell from a healthy set.
    pub cannot_tell: Vec<String>,
}

/// Which side of a value is bad.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Limit {
    /// Stop when the reading is above.
    Above(f64),
    /// Stop when the reading is below.
    Below(f64),
}

/// A capacitor that keeps its charge.
#[derive(Debug, Clone, PartialEq)]
pub struct Charged {
    /// The place.
    pub at: String,
    /// Volts when the plug is pulled.
    pub volts: f64,
    /// Seconds until 10 volts are left; `None` when time never counts as discharge.
    pub seconds_to_ten_volts: Option<f64>,
    /// The same with the bleeder open; `None` when time never counts as discharge.
    pub if_bleeder_open_seconds: Option<f64>,
}

/// The lamp of a step and what it does.
#[derive(Debug, Clone, PartialEq)]
pub struct LampChoice {
    /// Rated watts of the lamps in parallel; empty when none is used.
    pub watts: Vec<f64>,
    /// Share of rated heater volts reached behind it, if heaters are fed.
    pub heater_share: Option<f64>,
    /// Share of the normal B+ reading reached behind it, if B+ is fed.
    pub supply_share: Option<f64>,
    /// Share of the volts that unloaded windings show without it, if they are read.
    pub winding_share: Option<f64>,
    /// For each likely fault: watts in the faulty part and in the irreplaceable one.
    pub faults: Vec<LampFault>,
    /// What this lamp does not guard, or that no lamp does both.
    pub remark: String,
}

/// What one fault does behind a lamp.
#[derive(Debug, Clone, PartialEq)]
pub struct LampFault {
    /// The fault in words.
    pub fault: String,
    /// Watts in the faulty part.
    pub part_watts: f64,
    /// The irreplaceable part it threatens and the watts in it, if any.
    pub irreplaceable: Option<(String, f64)>,
}

/// A fault that the plan cannot guard.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Unguarded {
    /// The fault in words.
    pub fault: String,
    /// Why no reading tells it.
    pub because: String,
}
