//! Stages that drive themselves, calculated as they run.
//!
//! Volts, amperes, siemens, seconds; junction numbers are those of the sheet's places. A
//! multivibrator or blocking oscillator, with the output stage that it drives, is cut out of
//! the set (`find`, `build`), followed in time until it repeats ([`circuit::running`]), and
//! its means are put back into the direct-current network as what its electrodes draw and
//! where its grids stand. Doubt of the laws far from their published points, of fluxes that
//! no sheet tells and of strays belongs to the bands. What cannot be calculated says why;
//! such a stage falls back on the maker's chart.

mod build;
mod chain;
mod fault_answers;
mod felt;
mod find;
mod means;
mod terms;

use std::borrow::Cow;
use std::sync::Arc;

use circuit::operating::{Figure, Point};
use circuit::running::{Limits, Settled, Wave};
use circuit::tube::ELECTRODES;
use rayon::prelude::*;

use crate::wiring::{SetModel, Variation, Wired};

use super::direct::Direct;
use super::known::Known;
use super::running::{Hold, Running, along_coils};

pub use fault_answers::FaultAnswers;
pub(super) use fault_answers::runs_otherwise;
pub(super) use felt::acts;
use felt::felt_by;
pub use find::{Group, groups};
pub(super) use terms::Terms;

/// The whole set in which stages run.
pub(super) struct Around<'a> {
    pub wired: &'a Wired,
    pub direct: &'a Direct,
    pub figures: &'a [Figure],
    pub point: &'a Point,
    pub variation: &'a Variation,
    pub emission: &'a [Option<f64>],
}

/// What a group of stages does.
#[derive(Debug, Clone)]
pub(super) enum Found {
    /// It runs.
    Runs {
        /// How each stage is held on average, volts at this supply.
        holds: Holds,
        /// One period.
        wave: Box<Wave>,
    },
    /// It stands still.
    Rests,
}

/// How each stage of a group is held on average, by position.
type Holds = Vec<(usize, [Hold; ELECTRODES])>;

/// What was learned of a group in the maker's set.
#[derive(Debug, Clone)]
pub struct Learned {
    /// Its stages.
    pub group: Group,
    /// How it runs: each stage on average, and one period.
    state: Result<(Holds, Wave), String>,
}

impl Learned {
    /// Why it is not calculated, if it is not.
    pub fn because(&self) -> Option<&str> {
        self.state.as_ref().err().map(String::as_str)
    }

    /// One period of it in the maker's set.
    pub fn wave(&self) -> Option<&Wave> {
        self.state.as_ref().ok().map(|(_, wave)| wave)
    }

    /// Puts its stages among those that run; what runs but is unknown gets the reason.
    pub(super) fn tell(&self, running: &mut [Running]) {
        match &self.state {
            Ok((holds, wave)) => tell(running, holds, wave, 1.0),
            Err(reason) => {
                for stage in self.group.told() {
                    if let Some(Running::Driven {
                        known: Known::Unknown { because },
                        ..
                    }) = running.get_mut(stage)
                        && !because.contains(reason)
                    {
                        because.push_str("; not calculated: ");
                        because.push_str(reason);
                    }
                }
            }
        }
    }
}

fn tell(running: &mut [Running], holds: &[(usize, [Hold; ELECTRODES])], wave: &Wave, scale: f64) {
    for (stage, holds) in holds {
        if let Some(own) = running.get_mut(*stage)
            && own.is_driven()
        {
            *own = Running::Driven {
                holds: holds.map(|hold| match hold {
                    Hold::Volts { volts } => Hold::Volts {
                        volts: volts / scale,
                    },
                    Hold::Takes { amperes, at } => Hold::Takes {
                        amperes: amperes / scale,
                        at: at / scale,
                    },
                    other => other,
                }),
                known: Known::Running {
                    hertz: wave.frequency() * cycles_in(wave).max(1) as f64,
                },
            };
        }
    }
}

/// What groups of stages do under given conditions.
#[derive(Debug, Clone, Default)]
pub(super) struct Refreshed {
    /// Stages that stand still, by position.
    pub stopped: Vec<usize>,
    /// One period of each group; `None` where it was not calculated.
    pub waves: Vec<Option<Arc<Wave>>>,
    /// How each group runs, by its position, over the supply's scale there.
    holds: Vec<(usize, Holds, Arc<Wave>, f64)>,
    /// Stages that run in the maker's set and could not be calculated here, and why.
    lost: Vec<(Vec<usize>, String)>,
}

impl Refreshed {
    /// Puts them among the stages that run.
    pub(super) fn tell(&self, running: &mut [Running]) {
        for (_, holds, wave, scale) in &self.holds {
            tell(running, holds, wave, *scale);
        }
        for (stages, because) in &self.lost {
            for &stage in stages {
                if let Some(Running::Driven { known, .. }) = running.get_mut(stage) {
                    *known = Known::Unknown {
                        because: format!(
                            "how it runs under these conditions was not found: {because}"
                        ),
                    };
                }
            }
        }
    }

    /// Whether each signal returned to where it began, so that its means are those of a settled state.
    pub(super) fn is_settled(&self) -> bool {
        self.holds
            .iter()
            .all(|(_, _, wave, _)| wave.missed < SETTLED)
    }

    /// By stage: how the signal was found to hold its first grid.
    pub(super) fn grids(&self) -> impl Iterator<Item = (usize, Hold)> + '_ {
        let holds = self.holds.iter().flat_map(|(_, holds, ..)| holds);
        holds.map(|(stage, holds)| (*stage, holds[1]))
    }

    /// Takes over how a group ran earlier.
    fn stay(&mut self, number: usize, group: &Group, earlier: &Refreshed) {
        let own = earlier.holds.iter().filter(|own| own.0 == number);
        self.holds.extend(own.cloned());
        let stopped = earlier.stopped.iter();
        let stopped = stopped.filter(|stage| group.stages.contains(stage));
        self.stopped.extend(stopped);
        let told: Vec<usize> = group.told().collect();
        let lost = earlier.lost.iter().filter(|own| own.0 == told);
        self.lost.extend(lost.cloned());
        self.waves
            .push(earlier.waves.get(number).cloned().flatten());
    }
}

/// Calculates every group in the maker's set; from what was learned on an earlier turn.
pub(super) fn learn(
    model: &SetModel<'_>,
    at: &Around<'_>,
    running: &[Running],
    earlier: Vec<Learned>,
) -> Vec<Learned> {
    if earlier.is_empty() {
        return groups(model)
            .into_par_iter()
            .map(|group| {
                let state = match hangs_on(model, &group, running) {
                    Some(because) => Err(because),
                    None => first(model, &group, at),
                };
                Learned { group, state }
            })
            .collect();
    }
    earlier
        .into_par_iter()
        .map(|mut own| {
            if let Ok((_, wave)) = &own.state {
                own.state = match run(model, &own.group, at, Terms::USUAL, Some(wave)) {
                    Ok(Found::Runs { holds, wave }) => Ok((holds, *wave)),
                    Ok(Found::Rests) => Err(STILL.to_string()),
                    Err(because) => Err(because),
                };
            }
            own
        })
        .collect()
}

/// The line that feeds a group and hangs on a stage of which nothing is known, if there is one.
fn hangs_on(model: &SetModel<'_>, group: &Group, running: &[Running]) -> Option<String> {
    let region = group.region.as_ref().ok()?;
    let stages = &model.stages.complete;
    for (number, stage) in stages.iter().enumerate() {
        let unknown = running
            .get(number)
            .is_some_and(|own| matches!(own.known(), Known::Unknown { .. }));
        if !unknown || group.told().any(|told| told == number) {
            continue;
        }
        for &border in &region.borders {
            // A line with its own capacitors and rectifier stands whatever one stage draws.
            if Some(border) == model.chassis || model.has_ripple(border) {
                continue;
            }
            // What stands behind capacitors alone moves no mean.
            if !group
                .told()
                .any(|told| stages[told].junctions().any(|own| own == border))
                && !region.is_fed_by(model, border)
            {
                continue;
            }
            let near = along_coils(model, border);
            let lifted = stage.is_damper() && near.contains(&stage.cathode);
            let touched = !stage.is_damper() && stage.junctions().any(|own| own == border);
            if lifted || touched {
                return Some(format!(
                    "{} hangs on {}, of which nothing is known",
                    model.junction_name(border),
                    model.sheet.tubes[stage.tube].reference
                ));
            }
        }
    }
    None
}

/// Share by which a supply may differ from that of a wave that is begun from as it is.
const IN_PROPORTION: f64 = 0.01;
/// Miss of a lap, in tolerances, up to which a signal counts as settled.
const SETTLED: f64 = 20.0;
/// Why a group that should run has no running state.
const STILL: &str = "by calculation it stands still";

/// How a group runs, looked for from a push, if what no sheet tells does not decide it.
fn first(model: &SetModel<'_>, group: &Group, at: &Around<'_>) -> Result<(Holds, Wave), String> {
    let Found::Runs { holds, wave } = run(model, group, at, Terms::USUAL, None)? else {
        return Err(STILL.to_string());
    };
    let coils = group
        .region
        .as_ref()
        .map_or(&[][..], |region| &region.coils);
    if !coils.is_empty() {
        let names: Vec<&str> = coils
            .iter()
            .map(|&coil| model.sheet.parts[coil].reference.as_str())
            .collect();
        let hangs = || {
            format!(
                "how it runs hangs on capacitance and losses of {}, which no sheet holds",
                names.join(", ")
            )
        };
        match run(model, group, at, Terms::LOSSY, Some(&wave)).map_err(|_| hangs())? {
            Found::Runs {
                holds: others,
                wave: other,
            } if alike(&holds, &wave, &others, &other) => {}
            _ => return Err(hangs()),
        }
    }
    Ok((holds, *wave))
}

/// Cycles in one period of a wave: how often the place that swings most goes up through its
/// middle and has been well below it.
fn cycles_in(wave: &Wave) -> usize {
    let swings = |node: &usize| wave.volts[*node].peak_to_peak();
    let Some(node) = (0..wave.volts.len()).max_by(|a, b| swings(a).total_cmp(&swings(b))) else {
        return 0;
    };
    let reading = &wave.volts[node];
    let middle = 0.5 * (reading.lowest + reading.highest);
    let apart = 0.1 * reading.peak_to_peak();
    let mut found = 0;
    let mut below = None;
    // Twice through the period: the first time to find where it stands.
    for turn in 0..2 {
        for sample in &wave.samples {
            let volts = sample[node];
            if volts < middle - apart {
                below = Some(true);
            } else if volts > middle + apart {
                if turn == 1 && below == Some(true) {
                    found += 1;
                }
                below = Some(false);
            }
        }
    }
    found
}

/// How far two calculations of one stage may lie apart and still tell the same (judgement: as
/// far as good parts move it).
const ALIKE: f64 = 0.2;
/// Volts that always count as the same.
const ALIKE_VOLTS: f64 = 1.0;

fn alike(
    one: &[(usize, [Hold; ELECTRODES])],
    wave: &Wave,
    two: &[(usize, [Hold; ELECTRODES])],
    other: &Wave,
) -> bool {
    let near = |a: f64, b: f64, least: f64| (a - b).abs() <= ALIKE * a.abs() + least;
    near(wave.period_seconds, other.period_seconds, 0.0)
        && one.len() == two.len()
        && one.iter().zip(two).all(|((_, one), (_, two))| {
            one.iter().zip(two).all(|pair| match pair {
                (Hold::Draws { siemens: a }, Hold::Draws { siemens: b }) => near(*a, *b, 1e-8),
                (Hold::Volts { volts: a }, Hold::Volts { volts: b }) => near(*a, *b, ALIKE_VOLTS),
                (Hold::Takes { amperes: a, .. }, Hold::Takes { amperes: b, .. }) => {
                    near(*a, *b, 1e-6)
                }
                (Hold::Nothing, Hold::Nothing) => true,
                // A grid that just begins to hold itself.
                (Hold::Takes { .. }, Hold::Volts { .. })
                | (Hold::Volts { .. }, Hold::Takes { .. }) => true,
                _ => false,
            })
        })
}

/// Calculates the groups whose stages all run under given conditions, from how they ran on an
/// earlier turn; `scale` is the supply over that of the maker's set.
pub(super) fn refresh(
    model: &SetModel<'_>,
    learned: &[Learned],
    at: &Around<'_>,
    scale: f64,
    running: &[Running],
    earlier: &Refreshed,
) -> Refreshed {
    let every = vec![true; learned.len()];
    let run = (running, scale);
    refresh_by(Terms::USUAL, model, learned, at, run, (earlier, &every))
}

/// The same on these terms, for the groups, by position, that are to be run `anew`; others run as they ran.
fn refresh_by(
    terms: Terms,
    model: &SetModel<'_>,
    learned: &[Learned],
    at: &Around<'_>,
    (running, scale): (&[Running], f64),
    (earlier, anew): (&Refreshed, &[bool]),
) -> Refreshed {
    let found: Vec<Option<Result<Found, String>>> = learned
        .par_iter()
        .enumerate()
        .map(|(number, own)| {
            let wave = own.wave()?;
            if anew.get(number) == Some(&false) {
                return None;
            }
            let near = earlier.waves.get(number).and_then(Option::as_deref);
            // What has come to rest stays at rest: nothing pushes it again.
            if own
                .group
                .stages
                .iter()
                .any(|stage| earlier.stopped.contains(stage))
            {
                return Some(Ok(Found::Rests));
            }
            let all_run = own
                .group
                .stages
                .iter()
                .all(|&stage| running.get(stage).is_some_and(Running::is_driven));
            if !all_run {
                return None;
            }
            let found = earlier.holds.iter().find(|own| own.0 == number);
            let share = scale / found.map_or(1.0, |own| own.3);
            let mut near = Cow::Borrowed(near.unwrap_or(wave));
            // On another supply the wave stands in proportion.
            if (share - 1.0).abs() > IN_PROPORTION && share > 0.0 {
                near.to_mut().scale(share);
            }
            Some(run(model, &own.group, at, terms, Some(&near)))
        })
        .collect();
    let mut refreshed = Refreshed::default();
    for ((number, own), found) in learned.iter().enumerate().zip(found) {
        if anew.get(number) == Some(&false) {
            refreshed.stay(number, &own.group, earlier);
            continue;
        }
        let wave = match found {
            Some(Ok(Found::Runs { holds, mut wave })) => {
                let scale = scale.max(1e-3);
                if terms.is_faulty() {
                    // What is missed counts in one and the same tolerance.
                    wave.missed *= terms.tolerance / Terms::FAULTY.tolerance;
                }
                let wave = Arc::new(*wave);
                refreshed
                    .holds
                    .push((number, holds, Arc::clone(&wave), scale));
                Some(wave)
            }
            Some(Ok(Found::Rests)) => {
                refreshed.stopped.extend(&own.group.stages);
                None
            }
            // With a fault it is told as it ran before, and never as settled.
            Some(Err(_)) if terms.is_faulty() => {
                refreshed.stay(number, &own.group, earlier);
                for (_, _, wave, _) in refreshed.holds.iter_mut().filter(|own| own.0 == number) {
                    Arc::make_mut(wave).missed = f64::INFINITY;
                }
                continue;
            }
            Some(Err(because)) => {
                refreshed.lost.push((own.group.told().collect(), because));
                None
            }
            None => None,
        };
        refreshed.waves.push(wave);
    }
    refreshed
}

/// How a group runs in this set; `near` is the wave of a set nearby.
///
/// # Errors
/// Why it cannot be calculated.
pub(super) fn run(
    model: &SetModel<'_>,
    group: &Group,
    at: &Around<'_>,
    terms: Terms,
    near: Option<&Wave>,
) -> Result<Found, String> {
    let region = group.region.as_ref().map_err(String::clone)?;
    let mut built = build::Built::new(model, group, region, at, terms);
    let limits = Limits {
        tolerance: terms.tolerance,
        missed: terms.missed,
        most_steps: terms.most_steps,
        last_steps: terms.last_steps,
        only_beside: terms.only_beside,
    };
    let told = |error: circuit::CircuitError| format!("no running state was found: {error}");
    let mut turned = false;
    loop {
        let running = circuit::running::Running::new(&built.network).map_err(told)?;
        match running.settle(&built.figures, near, limits).map_err(told)? {
            Settled::Repeats(wave) => {
                let cycles = cycles_in(&wave);
                if cycles > 1 && !terms.moved {
                    return Err(format!(
                        "its cycles are not alike: {cycles} of them return together, as where a coil or a knob stands off its place"
                    ));
                }
                return Ok(Found::Runs {
                    holds: built.holds(&wave),
                    wave,
                });
            }
            Settled::Rests(_) => {}
        }
        if turned || !built.turn_over() {
            return Ok(Found::Rests);
        }
        turned = true;
    }
}
