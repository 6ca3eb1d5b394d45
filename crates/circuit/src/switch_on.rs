//! From switch-on, step by step, with error control and located rectifier events.
//!
//! Inside: volts, amperes, seconds, kelvin. The same implicit scheme as the cycle,
//! but each step is as long as its error allows (the difference to the embedded
//! first-order result), and a step in which a rectifier begins or ends to conduct
//! is cut at that moment. Slower than [`crate::solver::Solver::warm_up`]; meant for
//! the first second and as an independent check. Fails with the time reached when
//! a step would have to become too small.

use std::collections::HashMap;

use crate::cycle::{CARRY, CycleModel, GAMMA};
use crate::dense::dot;
use crate::element::{Circuit, Node};
use crate::error::CircuitError;
use crate::fold::Folded;
use crate::rectify::Rectified;
use crate::solver::GoOn;
use crate::stage::{Alpha, Stage};
use crate::state::{SetState, Work, group_drive};

/// How closely to follow.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct StepControl {
    /// Error allowed in a step relative to the largest value so far. Default 1e-4.
    pub relative: f64,
    /// Volts or amperes below which an error is noise. Default 1e-3.
    pub absolute: f64,
    /// Longest step, seconds. Default a 64th of a 60 Hz cycle.
    pub longest: f64,
    /// Seconds to which a rectifier event is located. Default 1e-6.
    pub event_seconds: f64,
    /// Phase of the line at switch-on, radians. Default 0, the sine's rise through zero.
    pub phase: f64,
    /// Room temperature, kelvin. Default 298.
    pub ambient_kelvin: f64,
}

impl Default for StepControl {
    fn default() -> StepControl {
        StepControl {
            relative: 1e-4,
            absolute: 1e-3,
            longest: 1.0 / (60.0 * 64.0),
            event_seconds: 1e-6,
            phase: 0.0,
            ambient_kelvin: 298.0,
        }
    }
}

/// One moment of the run.
pub struct Instant<'r> {
    /// Seconds since switch-on.
    pub seconds: f64,
    /// Whether a rectifier began or ended to conduct here.
    pub event: bool,
    columns: &'r [f64],
    stage: &'r Stage,
    rectifier_amperes: &'r [f64],
}

impl Instant<'_> {
    /// Volts from `a` to `b`.
    pub fn volts(&self, a: Node, b: Node) -> f64 {
        let one = |node: Node| match node {
            0 => 0.0,
            _ => self
                .stage
                .nodes
                .get((node - 1) * self.stage.columns..node * self.stage.columns)
                .map_or(0.0, |row| dot(row, self.columns)),
        };
        one(a) - one(b)
    }

    /// Current of the rectifiers, in the order of the elements.
    pub fn rectifier_amperes(&self) -> &[f64] {
        self.rectifier_amperes
    }
}

/// Result of one trial step.
struct Trial {
    first: Vec<f64>,
    last: Vec<f64>,
    volts: Vec<f64>,
    columns: Vec<f64>,
    amperes: Vec<f64>,
    /// Mean-square volts of the thermal groups over the step.
    drive: Vec<f64>,
}

/// Runs the circuit from cold for `seconds`; `observe` sees every accepted step.
pub fn switch_on(
    circuit: &Circuit,
    seconds: f64,
    control: StepControl,
    observe: &mut dyn FnMut(&Instant<'_>) -> GoOn,
) -> Result<Work, CircuitError> {
    let model = CycleModel::new(circuit)?;
    let mut state = SetState::cold(&model, control.ambient_kelvin);
    let mut stages: HashMap<i32, Stage> = HashMap::new();
    let mut work = Work::default();
    let mut now = 0.0;
    let mut rung = -4;
    let mut largest = vec![0.0f64; model.layout.states.len()];
    while now < seconds {
        let step = (control.longest * 2f64.powi(rung)).min(control.longest);
        if step < 1e-10 {
            return Err(CircuitError::StepTooSmall {
                seconds: now,
                step_seconds: step,
            });
        }
        if let std::collections::hash_map::Entry::Vacant(entry) = stages.entry(rung) {
            work.factorisations += 1;
            entry.insert(Stage::new(
                circuit,
                &model.layout,
                Alpha::Seconds(GAMMA * step),
            )?);
        }
        let mut stage = &stages[&rung];
        let mut taken = step;
        let mut trial = match attempt(&model, stage, &state, now, step, &control, &mut work) {
            Ok(trial) => trial,
            Err(CircuitError::Rectifier { .. }) if rung > -20 => {
                rung -= 2;
                continue;
            }
            Err(error) => return Err(error),
        };
        let error = step_error(&state, &trial, &largest, &control);
        if error > 1.0 && rung > -20 {
            rung -= if error > 8.0 { 2 } else { 1 };
            continue;
        }
        let own;
        let mut event = false;
        if let Some(crossed) = crossing(&model, &state.volts, &trial.volts)
            && step > 4.0 * control.event_seconds
        {
            // Close in on the moment by halving between "not yet" and "already".
            let (mut before, mut after) = (0.0, step);
            let mut guess = crossed * step;
            let mut best = None;
            for _ in 0..12 {
                guess = guess.clamp(
                    before + 0.05 * (after - before),
                    after - 0.05 * (after - before),
                );
                work.factorisations += 1;
                let cut = Stage::new(circuit, &model.layout, Alpha::Seconds(GAMMA * guess))?;
                let part = attempt(&model, &cut, &state, now, guess, &control, &mut work)?;
                match crossing(&model, &state.volts, &part.volts) {
                    Some(share) => {
                        after = guess;
                        let next = share * guess;
                        best = Some((cut, part, guess));
                        guess = next;
                    }
                    None => {
                        before = guess;
                        guess = 0.5 * (before + after);
                    }
                }
                if after - before < control.event_seconds {
                    break;
                }
            }
            if let Some((cut, part, length)) = best {
                own = cut;
                stage = &own;
                trial = part;
                taken = length;
                event = true;
            }
        }
        now += taken;
        for (largest, value) in largest.iter_mut().zip(&trial.last) {
            *largest = largest.max(value.abs());
        }
        state.electrical.copy_from_slice(&trial.last);
        state.volts.copy_from_slice(&trial.volts);
        for (number, &(port, group)) in model.layout.thermal.iter().enumerate() {
            let law = &circuit.groups[group];
            let drive = group_drive(law.arrangement, state.siemens[port], trial.drive[number]);
            law.advance_in_place(&mut state.groups[group], drive, taken);
        }
        state.take_temperatures(&model);
        state.follow_warm_up(&model);
        let instant = Instant {
            seconds: now,
            event,
            columns: &trial.columns,
            stage,
            rectifier_amperes: &trial.amperes,
        };
        if observe(&instant) == GoOn::Enough {
            break;
        }
        if event {
            rung = (rung - 3).max(-12);
        } else if error < 0.2 {
            rung = (rung + 1).min(0);
        }
    }
    Ok(work)
}

fn attempt(
    model: &CycleModel<'_>,
    stage: &Stage,
    state: &SetState,
    now: f64,
    step: f64,
    control: &StepControl,
    work: &mut Work,
) -> Result<Trial, CircuitError> {
    let folded = Folded::new(&model.layout, stage, &state.siemens)?;
    let Folded { m, k, t, first, .. } = folded;
    let mut known = vec![0.0; first];
    let mut out = vec![0.0; folded.height];
    let mut volts = state.volts.clone();
    let mut rectified = Rectified::new(k);
    rectified.begin(&model.laws, &state.emission, &volts);
    let mut middle = vec![0.0; m];
    let mut drive = vec![0.0; t];
    for half in 0..2 {
        let part = if half == 0 { GAMMA } else { 1.0 };
        let seconds = now + part * step;
        if half == 0 {
            known[..m].copy_from_slice(&state.electrical);
        } else {
            for ((known, start), stage) in known.iter_mut().zip(&state.electrical).zip(&middle) {
                *known = start + CARRY * (stage - start);
            }
        }
        let angle = std::f64::consts::TAU * model.circuit.hertz * seconds + control.phase;
        known[m] = 1.0;
        known[m + 1] = angle.sin();
        known[m + 2] = angle.cos();
        folded.open(&known, &mut out);
        if k > 0 {
            work.rectifier_tries += rectified.find(
                &folded,
                &model.laws,
                &state.emission,
                &out[..k],
                &mut volts,
                seconds,
            )?;
            folded.add_rectified(&rectified.amperes, &mut out);
        }
        if half == 0 {
            middle.copy_from_slice(&out[k..k + m]);
        }
        let weight = if half == 0 { 1.0 - GAMMA } else { GAMMA };
        for (drive, volts) in drive.iter_mut().zip(&out[k + m..]) {
            *drive += weight * volts * volts;
        }
    }
    work.steps += 1;
    known.extend_from_slice(&rectified.amperes);
    let mut columns = Vec::new();
    folded.complete(&known, &mut columns);
    Ok(Trial {
        first: middle,
        last: out[k..k + m].to_vec(),
        volts,
        columns,
        amperes: rectified.amperes,
        drive,
    })
}

/// Difference to the embedded first-order result over the allowed error.
fn step_error(state: &SetState, trial: &Trial, largest: &[f64], control: &StepControl) -> f64 {
    let mut worst = 0.0f64;
    for (index, &start) in state.electrical.iter().enumerate() {
        let plain = start + (trial.first[index] - start) / GAMMA;
        let size = largest[index].max(trial.last[index].abs());
        let allowed = control.absolute + control.relative * size;
        worst = worst.max((trial.last[index] - plain).abs() / allowed);
    }
    worst
}

/// Share of the step after which the first rectifier passes its corner.
fn crossing(model: &CycleModel<'_>, before: &[f64], after: &[f64]) -> Option<f64> {
    let mut first: Option<f64> = None;
    for ((law, &before), &after) in model.laws.iter().zip(before).zip(after) {
        let (corner, width) = law.corner();
        let (from, to) = (before - corner, after - corner);
        if from * to < 0.0 && from.abs() > width && to.abs() > width {
            let share = from / (from - to);
            first = Some(first.map_or(share, |other| other.min(share)));
        }
    }
    first
}
