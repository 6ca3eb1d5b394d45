//! The page docs/theory/truth_of_stops.md: what the plan makes of each likely fault.
//!
//! Ohms, percent of turns, ratios; seconds; watt-seconds. Seconds and watt-seconds are
//! those of the fault at its grossest in an otherwise ordinary set, solved from switch-on;
//! the heat of earlier steps that let the fault pass is counted in.

use receiver::plan::lamp::name_of;
use receiver::plan::powered::{PoweredStep, Stage};
use receiver::plan::watch::Watch;
use receiver::plan::{Limit, StopRule};
use receiver::wiring::Variation;

use crate::walk::{Planned, Planted, beyond, probe_of, told};

/// Shares measured for one example.
pub struct Measured {
    pub name: &'static str,
    pub sets: u64,
    pub cold_limits: usize,
    pub stopped_cold: usize,
    pub stopped_under_power: usize,
    pub stopped: usize,
    pub planted: Vec<Planted>,
}

/// How a gross fault is stopped.
struct Stopped {
    step: usize,
    seconds: f64,
    /// Heat above a healthy set's in the part that cannot be bought again.
    watt_seconds: Option<f64>,
}

/// The page's table of one example.
pub fn table(planned: &Planned, planted: &[Planted]) -> String {
    let mut page = String::from(
        "| likely fault | told | stopped from | at its grossest | watt-seconds until then | planted |\n\
         |---|---|---|---|---|---|\n",
    );
    let model = planned.predictor.model;
    for (number, fault) in planned.faults.iter().enumerate() {
        let Some((step, severity)) = told(planned, number) else {
            page.push_str(&format!(
                "| {} | unguarded: {} | | | | |\n",
                fault.name,
                why_unguarded(planned, number)
            ));
            continue;
        };
        let limits = &planned.steps[step].limits;
        let rule = limits
            .told
            .iter()
            .find(|told| told.fault == number && told.severity == severity)
            .map(|told| &limits.rules[told.rule])
            .expect("a told fault has its rule");
        let from = fault.in_words(severity);
        let from = from
            .strip_prefix(&fault.name)
            .map_or(from.as_str(), |rest| rest.trim_start_matches([',', ' ']));
        let from = if from.is_empty() { "any" } else { from };
        let (when, heat) = match gross(planned, number) {
            Some(stopped) => (
                format!("step {}, {} s", stopped.step + 1, figure(stopped.seconds)),
                match (&fault.endangers, stopped.watt_seconds) {
                    (Some(part), Some(heat)) => {
                        format!("{} in {}", figure(heat), name_of(model, part))
                    }
                    _ => "no such part".to_string(),
                },
            ),
            None => (
                "not by the ordinary set's readings".to_string(),
                String::new(),
            ),
        };
        let share = planted
            .iter()
            .find(|planted| planted.fault == number)
            .map_or(String::new(), |planted| {
                format!("{} of {}", planted.stopped, planted.cases)
            });
        page.push_str(&format!(
            "| {} | step {}: {} | {from} | {when} | {heat} | {share} |\n",
            fault.name,
            step + 1,
            reading(rule)
        ));
    }
    page
}

/// The steps of one example, numbered as in the table.
pub fn steps(planned: &Planned) -> String {
    planned
        .steps
        .iter()
        .enumerate()
        .map(|(number, step)| format!("{}. {}\n", number + 1, step_words(step)))
        .collect()
}

/// Faults of a table's page as listed there: name and whether guarded.
pub fn listed(page: &str) -> Vec<(String, bool)> {
    page.lines()
        .filter_map(|line| line.strip_prefix("| "))
        .filter(|line| !line.starts_with("likely fault") && !line.starts_with("example"))
        .filter_map(|line| {
            let mut cells = line.split(" | ");
            let name = cells.next()?.to_string();
            Some((name, !cells.next()?.starts_with("unguarded")))
        })
        .collect()
}

fn step_words(step: &PoweredStep) -> String {
    let what = match step.stage {
        Stage::TransformerAlone => "transformer alone",
        Stage::HeatersAlone => "heaters without B+",
        Stage::Supply => "B+ with the sweep feed open",
    };
    let lamp = match step.conditions.lamps.as_slice() {
        [] => "no lamp".to_string(),
        lamps => format!(
            "lamp of {} W",
            lamps
                .iter()
                .map(f64::to_string)
                .collect::<Vec<_>>()
                .join(" and ")
        ),
    };
    format!(
        "{what}, {lamp}, {:.0} V, readings after {} s",
        step.conditions.line_volts.unwrap_or(0.0),
        step.wait_seconds
    )
}

fn reading(rule: &StopRule) -> String {
    let limit = match rule.limit {
        Limit::Above(most) => format!("above {most}"),
        Limit::Below(least) => format!("below {least}"),
    };
    format!(
        "{} {} {limit}, from {} s on",
        rule.at,
        rule.what.name().replace('_', " "),
        rule.after_seconds
    )
}

/// Two significant figures.
fn figure(value: f64) -> String {
    if value < 0.5 {
        return "0".to_string();
    }
    let scale = 10f64.powf(1.0 - value.log10().floor());
    format!("{}", (value * scale).round() / scale)
}

/// The reason of the last step that feels the fault.
fn why_unguarded(planned: &Planned, fault: usize) -> String {
    planned
        .steps
        .iter()
        .rev()
        .flat_map(|step| &step.limits.untold)
        .find(|(own, _)| *own == fault)
        .map_or_else(
            || "no energised step feels it".to_string(),
            |(_, because)| because.clone(),
        )
}

/// Takes the ordinary set with the gross fault through the plan until a rule is passed.
fn gross(planned: &Planned, number: usize) -> Option<Stopped> {
    let fault = &planned.faults[number];
    let variation = fault.variation(*fault.severities.last()?);
    let mut heat = fault.endangers.as_ref().map(|_| 0.0);
    for (step, own) in planned.steps.iter().enumerate() {
        let watch = Watch::new(&planned.predictor, own.conditions.clone());
        let moments = moments(own);
        let faulty = watch.at_moments(&variation, &moments).ok()?;
        let healthy = watch.at_moments(&Variation::none(), &moments).ok()?;
        let stopped = faulty.iter().find(|(seconds, seen)| {
            own.limits.rules.iter().any(|rule| {
                *seconds >= rule.after_seconds - 0.01
                    && probe_of(&watch, rule)
                        .and_then(|place| seen.values[place])
                        .is_some_and(|value| beyond(rule.limit, value))
            })
        });
        let until = stopped.map_or(own.wait_seconds, |(seconds, _)| *seconds);
        if let (Some(sum), Some(part)) = (&mut heat, &fault.endangers) {
            let mut before: Option<(f64, f64)> = None;
            for ((seconds, faulty), (_, healthy)) in faulty.iter().zip(&healthy) {
                let model = planned.predictor.model;
                let watts = |seen: &receiver::plan::watch::Seen| {
                    seen.endangered_watts(model, part).unwrap_or(0.0)
                };
                if *seconds > until {
                    break;
                }
                let more = (watts(faulty) - watts(healthy)).max(0.0);
                let (then, last) = before.unwrap_or((0.0, more));
                *sum += 0.5 * (more + last) * (seconds - then);
                before = Some((*seconds, more));
            }
        }
        if let Some((seconds, _)) = stopped {
            return Some(Stopped {
                step,
                seconds: *seconds,
                watt_seconds: heat,
            });
        }
    }
    None
}

/// Moments at which the heat is summed and the rules are held against the readings.
fn moments(step: &PoweredStep) -> Vec<f64> {
    let mut found: Vec<f64> = [
        0.1, 0.3, 0.6, 1.0, 2.0, 3.0, 5.0, 7.0, 10.0, 13.0, 16.0, 20.0, 25.0, 30.0, 45.0, 60.0,
    ]
    .into_iter()
    .filter(|seconds| *seconds < step.wait_seconds)
    .chain(step.limits.rules.iter().map(|rule| rule.after_seconds))
    .chain([step.wait_seconds])
    .filter(|seconds| *seconds > 0.0)
    .collect();
    found.sort_by(f64::total_cmp);
    found.dedup();
    found
}
