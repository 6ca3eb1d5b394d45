//! The energised steps: which come in which order, and what each is made of.
//!
//! Volts rms for the line, watts, seconds. The order (`order`) follows
//! from the set; every figure of a step (`one_step`) is solved for that step. A step that cannot be solved ends the plan there,
//! with the reason.

mod one_step;
mod order;
mod reasons;
mod sweep_feed;

use circuit::Element;
use rayon::prelude::*;

use crate::conditions::BenchConditions;
use crate::expect::Predictor;
use crate::reading::{Notice, Reading, Unknown};
use crate::wiring::{Rectifying, SetModel, Variation};

use super::bench_facts::BenchFacts;
use super::faults::LikelyFault;
use super::lamp::choose;
use super::limits::{Faults, StepLimits};
use super::ratings::{Strain, highest_line};
use super::watch::NotSeen;
use super::{LampChoice, PlanWork};

use one_step::one_step;
use order::{Planned, order};
pub use sweep_feed::sweep_opening;

/// What an energised step is about.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Stage {
    /// The transformer with every tube out.
    TransformerAlone,
    /// Heaters with the rectifiers out.
    HeatersAlone,
    /// B+ with the sweep feed open.
    Supply,
}

/// An energised step before it is put into words.
#[derive(Debug, Clone)]
pub struct PoweredStep {
    /// What it is about.
    pub stage: Stage,
    /// How the set stands on the bench.
    pub conditions: BenchConditions,
    /// Why it exists, and why its lamp and line.
    pub because: String,
    /// The lamp, where one was chosen.
    pub lamp: Option<LampChoice>,
    /// What a healthy set shows.
    pub expect: Vec<Reading>,
    /// What cannot be told.
    pub unknown: Vec<Unknown>,
    /// Limits and what they tell.
    pub limits: StepLimits,
    /// Seconds until the readings are taken.
    pub wait_seconds: f64,
    /// Highest momentary volts to chassis at each junction.
    pub peaks: Vec<f64>,
    /// Volts to chassis at each junction that a capacitor there holds at most, with sign.
    pub peaks_signed: Vec<f64>,
    /// What is strained most.
    pub strains: Vec<Strain>,
    /// Share of rated heater volts.
    pub heater_share: Option<f64>,
}

/// All energised steps and what was found on the way.
#[derive(Debug, Clone, Default)]
pub struct PoweredSteps {
    /// The steps.
    pub steps: Vec<PoweredStep>,
    /// What was found.
    pub notices: Vec<Notice>,
    /// Plug, fuse or part that opens the sweep feed.
    pub sweep_opening: Option<String>,
    /// Highest line that spares every part, volts.
    pub highest_line: f64,
    /// Direct current that the set draws through an isolation transformer, amperes.
    pub direct_line_amperes: f64,
    /// Volt-amperes at full line.
    pub volt_amperes: f64,
}

/// Share of the sheet's line below which a limit points at the sheet itself (judgement).
const FAR_BELOW: f64 = 0.75;

/// Works out the energised steps; each is handed to `ready` as soon as it stands.
pub fn powered_steps(
    predictor: &Predictor<'_, '_>,
    bench: &BenchFacts,
    faults: &[LikelyFault],
    work: &mut PlanWork,
    ready: &mut dyn FnMut(&PoweredStep),
) -> Result<PoweredSteps, NotSeen> {
    let model = predictor.model;
    let sheet = model.sheet;
    let feed = super::situation::sweep_feed(model);
    let may_open =
        feed.is_none_or(|part| super::situation::opening_the_sweep(model, part).is_harmless);
    let mut all = PoweredSteps {
        sweep_opening: feed.map(|part| sheet.parts[part].reference.clone()),
        ..PoweredSteps::default()
    };
    let supply_base = BenchConditions {
        source_ohms: bench.source_ohms,
        meter: bench.meter.clone(),
        bands: true,
        // Where it must not be opened every step leaves the rectifiers out.
        open: all
            .sweep_opening
            .iter()
            .filter(|_| may_open)
            .cloned()
            .collect(),
        ..BenchConditions::default()
    };
    // How far the line may be raised without harm to a healthy part.
    let today = model.todays_line();
    let (highest, top, runs) = highest_line(predictor, &supply_base, today)?;
    work.warm_up_runs += runs;
    all.highest_line = highest;
    let no_line = highest <= 0.0;
    // Without a variable transformer the set gets the line that is there.
    let wanted = match bench.line_volts {
        Some(measured) if !bench.variable => measured,
        _ => sheet.line_volts,
    };
    let full = if no_line { wanted } else { wanted.min(highest) };
    if highest < today {
        let worst = over_their_limit(&top);
        let ends = if no_line {
            "No line is low enough, so the plan ends before B+".to_string()
        } else {
            format!("The plan ends at {full:.0} V")
        };
        let first = if highest < FAR_BELOW * sheet.line_volts {
            "look first whether marks, values and places of these parts are right on the sheet; "
        } else {
            ""
        };
        all.notices.push(Notice {
            text: format!("On a line of {today:.0} V the healthy set goes beyond its ratings: {worst}. {ends}."),
            hint: format!("{first}remedies: a lower line by a bucking or variable transformer, parts of a higher rating, or a slower rectifier"),
        });
    }
    all.notices
        .extend(what_open_plugs_do(predictor, &supply_base, full, work)?);
    let mut planned = order(model, bench, &supply_base, full, &mut all.notices);
    if !may_open || no_line {
        // The notice stands with the dead steps, or above.
        planned.retain(|planned| planned.stage != Stage::Supply);
    }
    all_steps(predictor, bench, faults, planned, &mut |found| {
        let Solved { step, held, used } = found?;
        work.solved_states += used.solved_states;
        work.warm_up_runs += used.warm_up_runs;
        all.notices.extend(held);
        ready(&step);
        all.steps.push(step);
        Ok(())
    })?;
    let at_full = BenchConditions {
        line_volts: Some(full),
        ..supply_base
    };
    line_draw(predictor, &at_full, &mut all)?;
    Ok(all)
}

/// A step, why its line is held lower, and the work it took.
struct Solved {
    step: PoweredStep,
    held: Option<Notice>,
    used: PlanWork,
}

/// Solves all steps side by side and hands them on in their order, each as soon as it and
/// those before it stand; ends with the first that `take` refuses.
fn all_steps(
    predictor: &Predictor<'_, '_>,
    bench: &BenchFacts,
    faults: &[LikelyFault],
    planned: Vec<Planned>,
    take: &mut dyn FnMut(Result<Solved, NotSeen>) -> Result<(), NotSeen>,
) -> Result<(), NotSeen> {
    let solve = |planned| solve_step(predictor, bench, faults, planned);
    if rayon::current_thread_index().is_some() {
        // A thread that works for all must not wait for the others.
        let found: Vec<_> = planned.into_par_iter().map(solve).collect();
        return found.into_iter().try_for_each(take);
    }
    let count = planned.len();
    let (hand_on, arrived) = std::sync::mpsc::channel();
    std::thread::scope(|scope| {
        scope.spawn(move || {
            planned.into_par_iter().enumerate().for_each_with(
                hand_on,
                |hand_on, (number, planned)| {
                    // Nobody waits for it any more once a step before it failed.
                    let _ = hand_on.send((number, solve(planned)));
                },
            );
        });
        let mut early: Vec<Option<Result<Solved, NotSeen>>> = (0..count).map(|_| None).collect();
        let mut next = 0;
        for (number, found) in arrived {
            if let Some(place) = early.get_mut(number) {
                *place = Some(found);
            }
            while let Some(found) = early.get_mut(next).and_then(Option::take) {
                next += 1;
                take(found)?;
            }
        }
        Ok(())
    })
}

fn solve_step(
    predictor: &Predictor<'_, '_>,
    bench: &BenchFacts,
    faults: &[LikelyFault],
    planned: Planned,
) -> Result<Solved, NotSeen> {
    let Planned {
        stage,
        mut conditions,
        reach,
    } = planned;
    let mut used = PlanWork::default();
    let lamp = reach.and_then(|reach| {
        choose(
            predictor,
            &conditions,
            &bench.lamps,
            faults,
            reach,
            &mut used,
        )
    });
    let (lamp, mut gross) = match lamp {
        Some((lamp, gross)) => {
            conditions.lamps.clone_from(&lamp.watts);
            (Some(lamp), gross)
        }
        None => (None, Vec::new()),
    };
    let mut held = None;
    if stage != Stage::Supply {
        // With tubes out the windings stand higher: the line is lowered where that is too much.
        let sheet = predictor.model.sheet;
        let wanted = conditions.line_volts.unwrap_or(sheet.line_volts);
        let (spared, strained, runs) = highest_line(predictor, &conditions, wanted)?;
        used.warm_up_runs += runs;
        if spared > 0.0 && spared < wanted {
            held = Some(Notice {
                text: format!(
                    "A step is held at {spared:.0} V instead of {wanted:.0} V: {}.",
                    over_their_limit(&strained)
                ),
                hint: "with tubes out a winding stands higher than in the working set".to_string(),
            });
            conditions.line_volts = Some(spared);
            gross.clear();
        }
    }
    let faults = Faults { all: faults, gross };
    let step = one_step(predictor, stage, conditions, lamp, &faults, &mut used)?;
    Ok(Solved { step, held, used })
}

/// What the healthy set does at full line with one of its other plugs out: a speaker or
/// focus plug that is not home takes the load away. The plan never opens these; it
/// tells which of them must not be open.
fn what_open_plugs_do(
    predictor: &Predictor<'_, '_>,
    base: &BenchConditions,
    line: f64,
    work: &mut PlanWork,
) -> Result<Vec<Notice>, NotSeen> {
    let mut notices = Vec::new();
    for plug in super::powered_words::supply_plugs(predictor.model, base) {
        let mut conditions = BenchConditions {
            line_volts: Some(line),
            ..base.clone()
        };
        conditions.open.push(plug.clone());
        let strained = super::ratings::strains(predictor, &conditions)?;
        work.warm_up_runs += 1;
        let over = over_their_limit(&strained);
        if !over.is_empty() {
            notices.push(Notice {
                text: format!(
                    "With {plug} out at {line:.0} V the set goes beyond its ratings: {over}."
                ),
                hint: format!(
                    "switch on only with {plug} home; pull the plug of the set before you open it"
                ),
            });
        }
    }
    Ok(notices)
}

/// The parts beyond their limit, in words.
fn over_their_limit(strains: &[Strain]) -> String {
    strains
        .iter()
        .filter(|strain| strain.share > 1.0)
        .map(Strain::words)
        .collect::<Vec<_>>()
        .join("; ")
}

/// Rectifier tubes of the supply, by reference.
pub fn tube_rectifiers(model: &SetModel<'_>) -> Vec<String> {
    let mut found: Vec<String> = Vec::new();
    for rectifying in model.rectifying() {
        if let Rectifying::Tube {
            tube,
            damper: false,
            ..
        } = rectifying
        {
            let reference = &model.sheet.tubes[*tube].reference;
            if !found.contains(reference) {
                found.push(reference.clone());
            }
        }
    }
    found
}

/// What the set draws at full line: volt-amperes, and direct current of half-wave sets.
fn line_draw(
    predictor: &Predictor<'_, '_>,
    conditions: &BenchConditions,
    all: &mut PoweredSteps,
) -> Result<(), NotSeen> {
    let wired = predictor.model.wire(conditions, &Variation::none())?;
    let solver = circuit::Solver::new(&wired.circuit, circuit::SolverOptions::default())?;
    let start = if predictor.model.has_thermistor() {
        circuit::Start::Cold
    } else {
        circuit::Start::Warm
    };
    let settled = solver.settled(start)?;
    if let Some(line) = wired.line
        && matches!(
            wired.circuit.elements.get(line),
            Some(Element::Source { .. })
        )
    {
        let current = settled.record.amperes(line);
        all.direct_line_amperes = current.mean().abs();
        all.volt_amperes = current.rms() * wired.line_volts;
    }
    Ok(())
}
