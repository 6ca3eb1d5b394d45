//! The staged first power-up, as `wake` answers it.
//!
//! Units: in the fields' names, or as the `what` beside a limit says. A time that
//! never counts as discharge is null.

use receiver::plan::{
    Charged, LampChoice, Limit, PlanWork, PowerUpPlan, Step, StopRule, Unguarded,
};
use serde::Serialize;

use crate::view::{ConditionsView, NoticeView, ReadingView, UnknownView, six_figures};
use crate::{FORMAT, PROGRAM_VERSION};

/// The answer of `wake`.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct PlanView {
    /// Edition of this form.
    pub format: u32,
    /// Version of the program.
    pub program: &'static str,
    /// Edition of the published figures.
    pub data: &'static str,
    /// The steps in order.
    pub steps: Vec<StepView>,
    /// Faults that no reading of the plan guards.
    pub unguarded: Vec<UnguardedView>,
    /// What was assumed, and what the plan would gain from more.
    pub notices: Vec<NoticeView>,
    /// Work done to find the plan.
    pub work: WorkView,
}

impl PlanView {
    /// The view of a plan for a sheet with this line.
    pub fn of(plan: &PowerUpPlan, sheet_line_volts: f64) -> Self {
        PlanView {
            format: FORMAT,
            program: PROGRAM_VERSION,
            data: parts::DATA_EDITION,
            steps: plan
                .steps
                .iter()
                .map(|step| StepView::of(step, sheet_line_volts))
                .collect(),
            unguarded: plan.unguarded.iter().map(UnguardedView::from).collect(),
            notices: plan.notices.iter().cloned().map(NoticeView::from).collect(),
            work: WorkView::from(plan.work),
        }
    }
}

/// One step.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct StepView {
    /// Number from 1.
    pub step: usize,
    /// What it is for, such as `cold_resistances` or `supply`.
    pub kind: &'static str,
    /// Its name through every plan of this set, such as `supply 2` or `re_forming C4A`.
    pub key: String,
    /// A few words.
    pub title: String,
    /// Parts to be seen to in this step, of which the sheet does not say so yet.
    pub parts: Vec<String>,
    /// What to do, in order, one sentence each.
    #[serde(rename = "do")]
    pub acts: Vec<String>,
    /// How the set stands on the bench.
    pub conditions: ConditionsView,
    /// Whether the set gets power.
    pub energised: bool,
    /// Time until the readings are taken.
    pub wait_seconds: f64,
    /// Why the step exists and why its lamp and line were chosen.
    pub because: String,
    /// What a healthy set shows.
    pub expect: Vec<ReadingView>,
    /// What cannot be told in this step.
    pub unknown: Vec<UnknownView>,
    /// Readings at which the plug is pulled.
    pub stop: Vec<StopView>,
    /// What eye, ear and nose notice.
    pub stop_signs: Vec<String>,
    /// Places that are live.
    pub live: Vec<String>,
    /// What stays charged after the plug is out.
    pub charged: Vec<ChargedView>,
    /// Cautions that hold in this step.
    pub cautions: Vec<String>,
    /// The lamp chosen; null where there is none to choose.
    pub lamp: Option<LampView>,
}

impl StepView {
    /// The view of a step for a sheet with this line.
    pub fn of(step: &Step, sheet_line_volts: f64) -> Self {
        StepView {
            step: step.number,
            kind: step.kind.name(),
            key: step.key.clone(),
            title: step.title.clone(),
            parts: step.parts.clone(),
            acts: step.acts.clone(),
            // A step fed by a d.c. source names no line: its plug is out.
            conditions: ConditionsView::of(
                &step.conditions,
                sheet_line_volts,
                step.energised && step.conditions.line_volts.is_some(),
            ),
            energised: step.energised,
            wait_seconds: six_figures(step.wait_seconds),
            because: step.because.clone(),
            expect: step.expect.iter().map(ReadingView::from).collect(),
            unknown: step.unknown.iter().map(UnknownView::from).collect(),
            stop: step.stop.iter().map(StopView::from).collect(),
            stop_signs: step.stop_signs.clone(),
            live: step.live.clone(),
            charged: step.charged.iter().map(ChargedView::from).collect(),
            cautions: step.cautions.clone(),
            lamp: step.lamp.as_ref().map(LampView::from),
        }
    }
}

/// A reading at which to pull the plug: above or below, never both.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct StopView {
    /// Place, tube or part.
    pub at: String,
    /// Where the other lead is, for a reading between two places.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub to: Option<String>,
    /// What is read.
    pub what: &'static str,
    /// Stop when the reading is above this.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub above: Option<f64>,
    /// Stop when the reading is below this.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub below: Option<f64>,
    /// The limit counts from this time after switch-on.
    pub after_seconds: f64,
    /// Faults that this reading tells.
    pub tells: Vec<String>,
    /// Faults that it cannot tell from a healthy set.
    pub cannot_tell: Vec<String>,
}

impl From<&StopRule> for StopView {
    fn from(rule: &StopRule) -> Self {
        let (above, below) = match rule.limit {
            Limit::Above(limit) => (Some(six_figures(limit)), None),
            Limit::Below(limit) => (None, Some(six_figures(limit))),
        };
        StopView {
            at: rule.at.clone(),
            to: rule.to.clone(),
            what: rule.what.name(),
            above,
            below,
            after_seconds: six_figures(rule.after_seconds),
            tells: rule.tells.clone(),
            cannot_tell: rule.cannot_tell.clone(),
        }
    }
}

/// A capacitor that keeps its charge.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct ChargedView {
    /// The place.
    pub at: String,
    /// Volts when the plug is pulled.
    pub volts: f64,
    /// Seconds until 10 volts are left; null when time never counts as discharge.
    pub seconds_to_10_volts: Option<f64>,
    /// The same with the bleeder open; null when time never counts as discharge.
    pub if_bleeder_open_seconds: Option<f64>,
}

impl From<&Charged> for ChargedView {
    fn from(charged: &Charged) -> Self {
        ChargedView {
            at: charged.at.clone(),
            volts: six_figures(charged.volts),
            seconds_to_10_volts: charged.seconds_to_ten_volts.map(six_figures),
            if_bleeder_open_seconds: charged.if_bleeder_open_seconds.map(six_figures),
        }
    }
}

/// The lamp of a step and what it does.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct LampView {
    /// Rated watts of the lamps in parallel; empty when none is used.
    pub watts: Vec<f64>,
    /// Share of rated heater volts reached behind it.
    pub heater_share: Option<f64>,
    /// Share of the normal B+ reading reached behind it.
    pub supply_share: Option<f64>,
    /// Share of the volts that unloaded windings show without it.
    pub winding_share: Option<f64>,
    /// What each likely fault does behind it.
    pub faults: Vec<LampFaultView>,
    /// What it does not guard.
    pub remark: String,
}

impl From<&LampChoice> for LampView {
    fn from(lamp: &LampChoice) -> Self {
        LampView {
            watts: lamp.watts.clone(),
            heater_share: lamp.heater_share.map(six_figures),
            supply_share: lamp.supply_share.map(six_figures),
            winding_share: lamp.winding_share.map(six_figures),
            faults: lamp
                .faults
                .iter()
                .map(|fault| LampFaultView {
                    fault: fault.fault.clone(),
                    part_watts: six_figures(fault.part_watts),
                    irreplaceable: fault.irreplaceable.as_ref().map(|(part, watts)| {
                        ThreatenedView {
                            part: part.clone(),
                            watts: six_figures(*watts),
                        }
                    }),
                })
                .collect(),
            remark: lamp.remark.clone(),
        }
    }
}

/// What one fault does behind a lamp.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct LampFaultView {
    /// The fault in words.
    pub fault: String,
    /// Watts in the faulty part.
    pub part_watts: f64,
    /// The irreplaceable part it threatens.
    pub irreplaceable: Option<ThreatenedView>,
}

/// An irreplaceable part with the heat a fault puts into it.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct ThreatenedView {
    /// The part.
    pub part: String,
    /// Watts in it.
    pub watts: f64,
}

/// A fault that the plan cannot guard.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct UnguardedView {
    /// The fault in words.
    pub fault: String,
    /// Why no reading tells it.
    pub because: String,
}

impl From<&Unguarded> for UnguardedView {
    fn from(unguarded: &Unguarded) -> Self {
        UnguardedView {
            fault: unguarded.fault.clone(),
            because: unguarded.because.clone(),
        }
    }
}

/// Work done to find a plan.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
pub struct WorkView {
    /// Settled or resting solutions of healthy and faulty sets.
    pub solved_states: usize,
    /// Runs from switch-on.
    pub warm_up_runs: usize,
}

impl From<PlanWork> for WorkView {
    fn from(work: PlanWork) -> Self {
        WorkView {
            solved_states: work.solved_states,
            warm_up_runs: work.warm_up_runs,
        }
    }
}
