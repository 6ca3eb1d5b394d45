//! The whole plan: dead steps, energised steps, and where it ends.
//!
//! Units as the steps say. The plan stops before the sweep feed is closed: the drive of
//! the horizontal output stage is not calculated, so its end is a step of conditions
//! that the restorer has to meet. Fails when the sheet makes no circuit, when a state
//! was not found. Where an act would have to be advised that must not be, the plan ends before
//! it and says why.

use parts::Catalogue;

use crate::conditions::BenchConditions;
use crate::expect::Predictor;
use crate::hazard::{Act, ActKind, ActPlace, Setting};
use crate::probes::{Probe, Spot};
use crate::reading::{Notice, What};
use crate::sheet::Sheet;
use crate::sweep_drive::DRIVE_AT_THE_GRID;
use crate::wiring::{SetModel, Variation};

use super::bench_facts::{BenchFacts, bench_facts};
use super::dead::dead_steps;
use super::faults::{LikelyFault, likely_faults};
use super::lamp::of_the_line;
use super::powered::{PoweredSteps, powered_steps};
use super::powered_words::{Standing, in_words};
use super::situation::{is_horizontal_output, picture_tube};
use super::step_builder::{PlanError, PlanState};
use super::step_kind::StepKind;
use crate::wrong_way::{WrongWay, wrong_way_of};

use super::watch::NotSeen;
use super::{PlanWork, PowerUpPlan, Step, Unguarded};

/// Plans the first power-up of a set; each step is handed out as soon as it stands.
pub fn wake(
    sheet: &Sheet,
    catalogue: &Catalogue,
    on_step: &mut dyn FnMut(&Step),
) -> Result<PowerUpPlan, PlanError> {
    let model = SetModel::new(sheet, catalogue);
    wake_of(&Predictor::new(&model), on_step)
}

/// The same for a set at hand.
///
/// # Errors
/// As [`wake`].
pub fn wake_of(
    predictor: &Predictor<'_, '_>,
    on_step: &mut dyn FnMut(&Step),
) -> Result<PowerUpPlan, PlanError> {
    let model = predictor.model;
    let bench = bench_facts(model);
    let mut state = PlanState::new(model);
    let mut work = PlanWork::default();
    let mut steps = Vec::new();
    let needed = needed_volt_amperes(predictor);
    let dead = dead_steps(model, &mut state, needed, &mut |step| {
        on_step(step);
        steps.push(step.clone());
    });
    let dead = match dead {
        Ok(dead) => dead,
        Err(refused) => {
            let mut notices = vec![ends_there(refused)?];
            notices.extend(of_the_line(model.sheet.line_volts));
            notices.extend(bench.notices.iter().cloned());
            return Ok(PowerUpPlan {
                steps,
                unguarded: Vec::new(),
                notices,
                work,
            });
        }
    };
    work.solved_states += dead.work.solved_states;
    work.warm_up_runs += dead.work.warm_up_runs;
    let faults = likely_faults(model);
    let mut standing = Standing::default();
    let mut refused = None;
    let mut found = powered_steps(predictor, &bench, &faults, &mut work, &mut |powered| {
        if refused.is_some() {
            return;
        }
        match in_words(model, &bench, &mut state, &mut standing, powered) {
            Ok(step) => {
                on_step(&step);
                steps.push(step);
            }
            Err(error) => refused = Some(error),
        }
    })
    .map_err(|error| match error {
        NotSeen::Wiring(error) => PlanError::Wiring(error),
        NotSeen::Circuit(error) => PlanError::NotSettled(error),
        NotSeen::Apart(error) => PlanError::Expect(error),
    })?;
    let last = match refused {
        Some(error) => Err(error),
        None => before_the_sweep(model, &found, &mut state),
    };
    match last {
        Ok(Some(step)) => {
            on_step(&step);
            steps.push(step);
        }
        Ok(None) => {}
        Err(error) => {
            // What was solved beyond is not shown, so it guards nothing.
            let shown = steps.iter().filter(|step| step.energised).count();
            let forming = dead.steps.iter().filter(|step| step.energised).count();
            found.steps.truncate(shown - forming);
            found.notices.insert(0, ends_there(error)?);
        }
    }
    let mut notices: Vec<Notice> = of_the_line(model.sheet.line_volts).into_iter().collect();
    notices.extend(bench.notices.iter().cloned());
    notices.extend(wrong_way_of(predictor).iter().map(WrongWay::notice));
    notices.extend(dead.notices.iter().cloned());
    notices.extend(found.notices.clone());
    notices.extend(line_notices(&bench, &found));
    notices.extend(model.assumed.iter().map(|assumed| Notice {
        text: format!("assumed: {}", assumed.what),
        hint: format!("{}; measure it and put it on the sheet", assumed.from),
    }));
    notices.extend(model.left_out.iter().map(|left_out| Notice {
        text: format!(
            "left out: {}, because {}",
            left_out.reference, left_out.because
        ),
        hint: "complete the sheet to have it counted".to_string(),
    }));
    Ok(PowerUpPlan {
        unguarded: unguarded(&faults, &found, &dead.steps),
        steps,
        notices,
        work,
    })
}

/// Where an act that must not be advised ends a plan, and why; other errors stay errors.
fn ends_there(error: PlanError) -> Result<Notice, PlanError> {
    match error {
        PlanError::Refused { step, act, because } => Ok(Notice {
            text: format!(
                "The plan ends before \"{step}\": it would ask for \"{act}\", and that must not be advised, because {because}."
            ),
            hint: "look at the tubes and parts that the act names: what heats, feeds, drives or \
                   holds them may stand at a wrong place on the sheet, or be missing"
                .to_string(),
        }),
        other => Err(other),
    }
}

/// Size of isolation transformer over what the set takes (trade number "isolation
/// transformer size": 1.3 to 2.5, the higher figure where direct current flows).
const ISOLATION_SHARE: f64 = 1.3;
const ISOLATION_SHARE_HALF_WAVE: f64 = 1.6;

/// Volt-amperes of the isolation transformer that the whole set wants at its own line;
/// `None` where that state was not found.
fn needed_volt_amperes(predictor: &Predictor<'_, '_>) -> Option<f64> {
    let probe = Probe {
        at: "line".to_string(),
        to: None,
        what: What::LineAmpsRms,
        spot: Spot::Line,
    };
    let conditions = BenchConditions {
        line_volts: Some(predictor.model.sheet.line_volts),
        ..BenchConditions::default()
    };
    let solved = predictor
        .solve(&conditions, &Variation::none(), &[probe], None)
        .ok()?;
    let amperes = solved.values.first().copied().flatten()?;
    let half_wave = predictor.model.chassis_may_be_live();
    let share = if half_wave {
        ISOLATION_SHARE_HALF_WAVE
    } else {
        ISOLATION_SHARE
    };
    Some(share * amperes * predictor.model.sheet.line_volts)
}

fn line_notices(bench: &BenchFacts, found: &PoweredSteps) -> Vec<Notice> {
    let mut notices = Vec::new();
    let needed = found.volt_amperes;
    if needed > 0.0 {
        let text = format!(
            "At full line the set takes {needed:.0} VA{}{}.",
            if found.sweep_opening.is_some() {
                " without its sweep stage"
            } else {
                ""
            },
            if found.direct_line_amperes > 0.01 {
                format!(
                    ", and {:.0} mA of direct current through whatever transformer feeds it",
                    1000.0 * found.direct_line_amperes
                )
            } else {
                String::new()
            }
        );
        let hint = match bench.isolation_volt_amperes {
            Some(owned) if found.direct_line_amperes > 0.01 && owned < 1.6 * needed => format!(
                "the isolation transformer of {owned:.0} VA is small for it: direct current saturates iron; watch its heat, or take one of {:.0} VA",
                1.6 * needed
            ),
            Some(owned) if owned < needed => format!(
                "the isolation transformer of {owned:.0} VA is too small; take one of {:.0} VA",
                1.3 * needed
            ),
            Some(owned) => format!("the isolation transformer of {owned:.0} VA carries that"),
            None => format!("an isolation transformer for it: {:.0} VA", 1.3 * needed),
        };
        notices.push(Notice { text, hint });
    }
    notices
}

/// Where the plan ends: what has to be met before the sweep feed is closed.
fn before_the_sweep(
    model: &SetModel<'_>,
    found: &PoweredSteps,
    state: &mut PlanState,
) -> Result<Option<Step>, PlanError> {
    if !model.sheet.tubes.iter().any(is_horizontal_output) {
        return Ok(None);
    }
    let opened = found.sweep_opening.as_deref();
    let mut step = state.step(
        StepKind::BeforeSweep, "Before the sweep feed is closed",
        "The drive of the horizontal output tube is not calculated yet. Without drive that tube and the flyback burn within a minute or two, so the plan stops here until these are met.",
    );
    step.act(Act::new(ActKind::PlugOut, ActPlace::WholeSet));
    match opened {
        Some(reference) => {
            step.say(format!("Leave {reference} open until all of this is met."));
        }
        None => {
            step.say("The sheet shows nothing that opens the sweep feed: find the wire that feeds the damper's plate and lift it, or leave B+ off.");
        }
    }
    step.say(format!("A negative grid at the horizontal output tube: {DRIVE_AT_THE_GRID}. Read it with the sweep feed still open."));
    step.say("A limit for its cathode current, read across a resistor of 10 ohm in its cathode: 1 V is 100 mA. Common practice: 70 to 120 mA for 17 to 21 inch sets, 45 to 90 mA for 10 to 12 inch sets; never beyond the tube's own maximum.");
    step.act(Act::new(
        ActKind::Set(Setting::BrightnessToMinimum),
        ActPlace::WholeSet,
    ));
    let needs_trap = picture_tube(model)
        .and_then(|tube| tube.kind.picture.as_ref())
        .and_then(|picture| picture.ion_trap)
        .is_none_or(|trap| trap != parts::IonTrap::None);
    if needs_trap {
        step.say("The ion trap on the neck, as the picture tube's type wants it; set for the brightest raster, at low brightness, as soon as there is light.");
    }
    step.say("No ordinary meter at the plate cap, the damper's cathode or the high-voltage rectifier, ever.");
    Ok(Some(step.finish()?))
}

/// Faults that no step tells at any severity, or that stay untold where they work.
fn unguarded(faults: &[LikelyFault], found: &PoweredSteps, dead: &[Step]) -> Vec<Unguarded> {
    let mut list = Vec::new();
    for (number, fault) in faults.iter().enumerate() {
        let told = found
            .steps
            .iter()
            .any(|step| step.limits.told.iter().any(|told| told.fault == number));
        let told_dead = dead
            .iter()
            .flat_map(|step| &step.stop)
            .flat_map(|rule| &rule.tells)
            .any(|tells| tells.starts_with(fault.name.as_str()));
        if told || told_dead {
            continue;
        }
        let why = found.steps.iter().find_map(|step| {
            step.limits
                .untold
                .iter()
                .find(|(own, _)| *own == number)
                .map(|(_, because)| because.clone())
        });
        list.push(Unguarded {
            fault: fault.name.clone(),
            because: why.unwrap_or_else(|| {
                "no step of this plan feels it; it shows only once the sweep runs, or in cold resistances".to_string()
            }),
        });
    }
    list
}
