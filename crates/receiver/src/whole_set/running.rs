//! Stages that a signal drives, as direct current sees them.
//!
//! Volts, amperes, siemens; junction numbers are those of the sheet's places. What such a
//! stage draws is found by holding every supply line and every pin of it at the maker's
//! figures and reading the current that the set's own parts then bring to the pin; of
//! plate and cathode the one is taken whose current depends less on the last digit of
//! the chart. Plates and screens become conductances, grids and the damper's lift become
//! volts that go with the supply. Without a chart the stage is unknown, and the supply
//! takes what such stages usually draw (trade numbers of the catalogue). Nothing here
//! fails; what the chart does not give stays unknown.

use std::collections::HashMap;

use circuit::operating::{Branch, Figure, Operating};
use circuit::tube::ELECTRODES;
use parts::SectionKind;

use crate::conditions::BenchConditions;
use crate::sheet::{PartValue, Place};
use crate::stages::{Drive, TubeStage};
use crate::wiring::{Rectifying, SetModel, Variation};

use super::cycle::Cycle;
use super::direct::{Direct, Supply};
use super::known::Known;

/// How one electrode of a driven stage is held.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Hold {
    /// It draws nothing.
    Nothing,
    /// It draws in proportion to its volts over the cathode.
    Draws {
        /// Siemens.
        siemens: f64,
    },
    /// The signal holds it at these volts over the cathode, in proportion to the supply.
    Volts {
        /// Volts at the supply of the anchor.
        volts: f64,
    },
}

/// How a stage runs.
#[derive(Debug, Clone, PartialEq)]
pub enum Running {
    /// Its tube is out or cold, or it is left out.
    Absent,
    /// By its own law, without signal.
    AtRest,
    /// A signal makes its direct volts.
    Driven {
        /// Plate and grids 1 to 3.
        holds: [Hold; ELECTRODES],
        /// How it is known.
        known: Known,
    },
    /// The sweep lifts its cathode above its plate: the damper.
    Lifts {
        /// Volts at the supply of the anchor.
        volts: f64,
        /// How it is known.
        known: Known,
    },
}

impl Running {
    /// How far the stage's readings are known.
    pub fn known(&self) -> Known {
        match self {
            Running::Absent | Running::AtRest => Known::Calculated,
            Running::Driven { known, .. } | Running::Lifts { known, .. } => known.clone(),
        }
    }

    /// Whether a signal makes its volts.
    pub fn is_driven(&self) -> bool {
        matches!(self, Running::Driven { .. } | Running::Lifts { .. })
    }
}

/// Below this a plate has no supply that a stage could run on, volts (judgement).
const LEAST_SUPPLY: f64 = 15.0;
/// Below this emission over its rated value a cathode runs no oscillation (judgement).
const LEAST_EMISSION: f64 = 0.05;
/// Conductance by which the chart's volts are held, siemens.
const CHART_HOLD: f64 = 10.0;
/// A chart's last digit: half a percent, at least a tenth of a volt (common practice: two
/// or three figures are printed).
const CHART_DIGIT: f64 = 0.005;
/// An estimate of a current with more doubt than this is none.
const MOST_DOUBT: f64 = 0.6;
/// Share of the cathode current that the screen of a driven beam tube takes (from memory:
/// data sheets of sweep tubes give 6 to 15 of 100).
const SCREEN_SHARE: f64 = 0.1;
/// What a running stage draws of what it would draw at rest, where nothing tells
/// (judgement; its band is wide).
const RUNNING_SHARE: f64 = 0.5;
/// The lift of a boosted line over the supply where no chart tells (trade numbers of
/// boosted B+: 400 to 600 V on supplies of 250 to 350 V).
const USUAL_LIFT: f64 = 0.65;

/// Every stage as it would be without any signal; driven ones absent.
pub(super) fn without_signals(model: &SetModel<'_>, conditions: &BenchConditions) -> Vec<Running> {
    model
        .stages
        .complete
        .iter()
        .map(|stage| {
            // A damper without sweep is a plain diode, and feeds what hangs on it.
            let driven = stage.drive.is_signal() && !stage.is_damper();
            if model.is_pulled(stage.tube, conditions) || driven {
                Running::Absent
            } else {
                Running::AtRest
            }
        })
        .collect()
}

/// Which stages run under these conditions, given how they run in the maker's set.
pub(super) fn under(
    model: &SetModel<'_>,
    conditions: &BenchConditions,
    usual: &[Running],
    plain_volts: &[f64],
    emission: &[Option<f64>],
) -> Vec<Running> {
    let stages = &model.stages.complete;
    let fitted = |number: usize| {
        let tube = stages[number].tube;
        !model.is_pulled(tube, conditions)
    };
    let warm = |number: usize| {
        emission
            .get(stages[number].tube)
            .copied()
            .flatten()
            .is_some_and(|emission| emission > LEAST_EMISSION)
    };
    let supplied = |stage: &TubeStage| {
        stage.electrodes[0].is_some_and(|plate| {
            let cathode = plain_volts.get(stage.cathode).copied().unwrap_or(0.0);
            plain_volts.get(plate).copied().unwrap_or(0.0) - cathode.min(0.0) > LEAST_SUPPLY
        })
    };
    let mut runs: Vec<bool> = stages
        .iter()
        .enumerate()
        .map(|(number, stage)| {
            stage.drive.is_signal() && fitted(number) && warm(number) && supplied(stage)
        })
        .collect();
    // What feeds a stage has to run as well; and so on along the chain.
    let mut again = true;
    while again {
        again = false;
        for (number, stage) in stages.iter().enumerate() {
            if !runs[number] {
                continue;
            }
            let fed = match &stage.drive {
                Drive::AtRest => false,
                Drive::Oscillates { with } => {
                    with.is_empty() || with.iter().any(|&other| runs[other])
                }
                Drive::Driven { by } => by.is_empty() || by.iter().any(|&other| runs[other]),
                Drive::Pulsed => sweep_outputs(model, stages)
                    .iter()
                    .any(|&output| runs[output]),
            };
            if !fed {
                runs[number] = false;
                again = true;
            }
        }
    }
    stages
        .iter()
        .enumerate()
        .map(|(number, stage)| {
            if !fitted(number) {
                Running::Absent
            } else if runs[number] {
                usual.get(number).cloned().unwrap_or(Running::Driven {
                    holds: [Hold::Nothing; ELECTRODES],
                    known: Known::Unknown {
                        because: format!(
                            "a signal makes the volts of {}",
                            model.sheet.tubes[stage.tube].reference
                        ),
                    },
                })
            } else {
                Running::AtRest
            }
        })
        .collect()
}

/// Stages whose plates hang on the coils of the damper.
fn sweep_outputs(model: &SetModel<'_>, stages: &[TubeStage]) -> Vec<usize> {
    let mut near = vec![false; model.places.junctions().len()];
    for stage in stages.iter().filter(|stage| stage.is_damper()) {
        for junction in [Some(stage.cathode), stage.electrodes[0]]
            .into_iter()
            .flatten()
        {
            for reached in along_coils(model, junction) {
                near[reached] = true;
            }
        }
    }
    let driven = |stage: &TubeStage| {
        matches!(stage.drive, Drive::Driven { .. } | Drive::Oscillates { .. })
            && matches!(stage.kind, SectionKind::Beam | SectionKind::Pentode)
    };
    let on_coils: Vec<usize> = (0..stages.len())
        .filter(|&number| {
            driven(&stages[number]) && stages[number].electrodes[0].is_some_and(|plate| near[plate])
        })
        .collect();
    if !on_coils.is_empty() {
        return on_coils;
    }
    (0..stages.len())
        .filter(|&number| driven(&stages[number]) && stages[number].kind == SectionKind::Beam)
        .collect()
}

/// Junctions that coils of little resistance, fuses, plugs and switches join to this one.
fn along_coils(model: &SetModel<'_>, from: usize) -> Vec<usize> {
    let mut found = vec![from];
    let mut at = 0;
    while at < found.len() {
        let here = found[at];
        at += 1;
        for (index, part) in model.sheet.parts.iter().enumerate() {
            let joins = match part.value {
                PartValue::Coil { .. } => model.ohms(index).is_some_and(|ohms| ohms < 100.0),
                PartValue::Fuse { .. } | PartValue::Switch { .. } | PartValue::Plug { .. } => true,
                _ => false,
            };
            if !joins {
                continue;
            }
            let ends = model.part_ends[index];
            if ends.contains(&Some(here)) {
                for &end in ends.iter().flatten() {
                    if !found.contains(&end) && Some(end) != model.chassis {
                        found.push(end);
                    }
                }
            }
        }
    }
    found
}

/// The maker's volts to the chassis by junction.
pub(super) fn charted(model: &SetModel<'_>) -> HashMap<usize, f64> {
    let mut found = HashMap::new();
    for reading in model.sheet.chart.iter().flat_map(|chart| &chart.volts) {
        if reading.to == Place::Chassis
            && let Some(junction) = model.junction(&reading.at)
            && Some(junction) != model.chassis
        {
            found.entry(junction).or_insert(reading.value);
        }
    }
    found
}

/// The set held at the maker's figures.
struct Held<'a> {
    model: &'a SetModel<'a>,
    operating: Operating,
    figures: Vec<Figure>,
    /// Branch that holds each junction.
    branches: HashMap<usize, usize>,
    direct: &'a Direct,
}

impl Held<'_> {
    /// Volts by junction and amperes into each held pin.
    fn solve(&self, moved: Option<(usize, f64)>) -> Option<(Vec<f64>, HashMap<usize, f64>)> {
        let mut figures = self.figures.clone();
        if let Some((junction, by)) = moved
            && let Some(&branch) = self.branches.get(&junction)
            && let Some(Figure::Source { volts, .. }) = figures.get_mut(branch)
        {
            *volts += by;
        }
        let point = self.operating.solve(&figures, None).ok()?;
        let amperes = self
            .branches
            .iter()
            .filter_map(|(&junction, &branch)| {
                let amperes = self
                    .operating
                    .branch_amperes(&figures, &point, branch)
                    .ok()?;
                Some((junction, amperes))
            })
            .collect();
        Some((self.direct.volts(&point), amperes))
    }

    /// The current into a held junction and its doubt by the chart's last digit, as a share.
    fn current(
        &self,
        junction: usize,
        amperes: &HashMap<usize, f64>,
        volts: f64,
    ) -> Option<(f64, f64)> {
        let own = *amperes.get(&junction)?;
        let digit = (CHART_DIGIT * volts.abs()).max(0.1);
        let (_, moved) = self.solve(Some((junction, digit)))?;
        let change = (moved.get(&junction)? - own).abs();
        Some((own, change / own.abs().max(1e-9)))
    }
}

/// How every driven stage runs in the maker's set.
pub(super) fn anchor(
    model: &SetModel<'_>,
    conditions: &BenchConditions,
    cycle: &Cycle,
    supply: &Supply<'_>,
) -> Vec<Running> {
    let stages = &model.stages.complete;
    let mut running = without_signals(model, conditions);
    if stages.iter().all(|stage| !stage.drive.is_signal()) {
        return running;
    }
    let charted = charted(model);
    // The damper first: what it lifts feeds others.
    for (number, stage) in stages.iter().enumerate() {
        if stage.is_damper() && !model.is_pulled(stage.tube, conditions) {
            running[number] = lift(model, stage, &charted, supply_of(model, &cycle.volts));
        }
    }
    let Ok(direct) = Direct::new(model, &cycle.wired, &running) else {
        return running;
    };
    let held = hold_at_chart(model, &direct, cycle, supply, &charted);
    let solved = held.as_ref().and_then(|held| held.solve(None));
    let at_rest = resting_currents(model, conditions, cycle, supply);
    for (number, stage) in stages.iter().enumerate() {
        if !stage.drive.is_signal() || model.is_pulled(stage.tube, conditions) {
            continue;
        }
        if stage.is_damper() {
            continue;
        }
        let from_chart = held
            .as_ref()
            .zip(solved.as_ref())
            .and_then(|(held, (volts, amperes))| {
                from_chart(held, stages, number, volts, amperes, &charted)
            });
        running[number] =
            from_chart.unwrap_or_else(|| usual(model, stage, &cycle.volts, at_rest.get(&number)));
    }
    running
}

/// The highest mean volts at a rectifier's cathode.
pub(super) fn supply_of(model: &SetModel<'_>, volts: &[f64]) -> f64 {
    model
        .rectifying()
        .iter()
        .filter_map(|rectifying| match rectifying {
            Rectifying::Tube { damper: true, .. } => None,
            Rectifying::Tube { cathode, .. } => volts.get(*cathode).copied(),
            Rectifying::Metal { part } => {
                model.part_ends[*part][1].and_then(|end| volts.get(end).copied())
            }
        })
        .fold(0.0, f64::max)
}

fn hold_at_chart<'a>(
    model: &'a SetModel<'a>,
    direct: &'a Direct,
    cycle: &Cycle,
    supply: &Supply<'_>,
    charted: &HashMap<usize, f64>,
) -> Option<Held<'a>> {
    let mut network = direct.operating.network().clone();
    let mut figures = direct.figures(model, &cycle.wired, &Variation::none(), supply);
    let mut branches = HashMap::new();
    let driven: Vec<usize> = model
        .stages
        .complete
        .iter()
        .filter(|stage| stage.drive.is_signal() && !stage.is_damper())
        .flat_map(|stage| stage.junctions().collect::<Vec<_>>())
        .collect();
    let mut junctions: Vec<(&usize, &f64)> = charted.iter().collect();
    junctions.sort_by_key(|(junction, _)| **junction);
    for (&junction, &volts) in junctions {
        let node = cycle.wired.node(junction);
        // Supply lines and the pins in question; what else the chart says may be a slip.
        if node == 0 || !(driven.contains(&junction) || model.has_ripple(junction)) {
            continue;
        }
        branches.insert(junction, network.add(Branch::Source { a: node, b: 0 }));
        figures.push(Figure::Source {
            volts,
            siemens: CHART_HOLD,
        });
    }
    Some(Held {
        model,
        operating: Operating::new(&network).ok()?,
        figures,
        branches,
        direct,
    })
}

/// A driven stage by the maker's chart; `None` where the chart does not give its current.
fn from_chart(
    held: &Held<'_>,
    stages: &[TubeStage],
    number: usize,
    volts: &[f64],
    amperes: &HashMap<usize, f64>,
    charted: &HashMap<usize, f64>,
) -> Option<Running> {
    let stage = &stages[number];
    let shared = |junction: usize| {
        stages.iter().enumerate().any(|(other, stage)| {
            other != number
                && stage.drive.is_signal()
                && stage.junctions().any(|own| own == junction)
        })
    };
    let current = |junction: usize| {
        let read = *charted.get(&junction)?;
        held.current(junction, amperes, read)
            .filter(|(own, doubt)| *own > 0.0 && *doubt < MOST_DOUBT)
    };
    let cathode_volts = volts.get(stage.cathode).copied().unwrap_or(0.0);
    let plate = stage.electrodes[0]?;
    let screen = stage.electrodes[2].filter(|screen| *screen != plate);
    let screen_amperes = match screen {
        Some(screen) => current(screen).map(|(amperes, _)| amperes),
        None => Some(0.0),
    };
    let by_plate = current(plate).filter(|_| !shared(plate));
    let by_cathode = (Some(stage.cathode) != held.model.chassis && !shared(stage.cathode))
        .then(|| {
            let read = *charted.get(&stage.cathode)?;
            let (own, doubt) = held.current(stage.cathode, amperes, read)?;
            // What flows out of the cathode flows out of the hold.
            Some((-own, doubt)).filter(|(own, doubt)| *own > 0.0 && *doubt < MOST_DOUBT)
        })
        .flatten();
    let of_cathode = |total: f64| match screen_amperes {
        Some(screen) if screen < total => (total - screen, screen),
        _ => (total * (1.0 - SCREEN_SHARE), total * SCREEN_SHARE),
    };
    let mut plate_is_usual = false;
    let (plate_amperes, screen_amperes) = match (by_plate, by_cathode) {
        (Some((own, doubt)), Some((_, other))) if doubt <= other => {
            (own, screen_amperes.unwrap_or(own * SCREEN_SHARE))
        }
        (_, Some((total, _))) => of_cathode(total),
        (Some((own, _)), None) => (own, screen_amperes.unwrap_or(own * SCREEN_SHARE)),
        (None, None) => match screen_amperes {
            // The chart never gives the plate of a sweep tube; its screen tells that it runs.
            Some(screen) if stage.kind == SectionKind::Beam && screen > 0.0 => {
                plate_is_usual = true;
                ((SWEEP_AMPERES - screen).max(0.0), screen)
            }
            _ => return None,
        },
    };
    let draws = |junction: usize, amperes: f64| {
        let across = volts.get(junction).copied().unwrap_or(0.0) - cathode_volts;
        if across > 1.0 && amperes > 0.0 {
            Hold::Draws {
                siemens: amperes / across,
            }
        } else {
            Hold::Nothing
        }
    };
    let mut holds = [Hold::Nothing; ELECTRODES];
    let mut missing = [plate_is_usual, false, false, false];
    holds[0] = draws(plate, plate_amperes);
    if let Some(screen) = screen {
        holds[2] = draws(screen, screen_amperes);
        missing[2] = !charted.contains_key(&screen);
    }
    for electrode in [1, 3] {
        let Some(grid) = stage.electrodes[electrode] else {
            continue;
        };
        if Some(grid) == held.model.chassis || grid == stage.cathode {
            continue;
        }
        match charted.get(&grid) {
            Some(read) => {
                holds[electrode] = Hold::Volts {
                    volts: read - cathode_volts,
                }
            }
            None => missing[electrode] = true,
        }
    }
    Some(Running::Driven {
        holds,
        known: Known::FromChart { missing },
    })
}

/// The damper's lift by the maker's chart, or as usual.
fn lift(
    model: &SetModel<'_>,
    stage: &TubeStage,
    charted: &HashMap<usize, f64>,
    supply: f64,
) -> Running {
    let near = |junction: usize| {
        along_coils(model, junction)
            .into_iter()
            .find_map(|near| charted.get(&near).copied())
    };
    let reference = &model.sheet.tubes[stage.tube].reference;
    let plate = stage.electrodes[0];
    let lifted = near(stage.cathode).zip(plate.and_then(near));
    match lifted {
        Some((above, below)) if above > below + 1.0 => Running::Lifts {
            volts: above - below,
            known: Known::FromChart {
                missing: [false; ELECTRODES],
            },
        },
        _ => Running::Lifts {
            volts: USUAL_LIFT * supply,
            known: Known::Unknown {
                because: format!(
                    "{reference} lifts it by the sweep's own pulses; the maker's chart does not say how far"
                ),
            },
        },
    }
}

/// Plate and screen currents of the driven stages if no signal drove them.
fn resting_currents(
    model: &SetModel<'_>,
    conditions: &BenchConditions,
    cycle: &Cycle,
    supply: &Supply<'_>,
) -> HashMap<usize, [f64; ELECTRODES]> {
    let all: Vec<Running> = model
        .stages
        .complete
        .iter()
        .map(|stage| {
            if model.is_pulled(stage.tube, conditions) {
                Running::Absent
            } else {
                Running::AtRest
            }
        })
        .collect();
    let mut found = HashMap::new();
    let Ok(direct) = Direct::new(model, &cycle.wired, &all) else {
        return found;
    };
    let figures = direct.figures(model, &cycle.wired, &Variation::none(), supply);
    if let Ok(point) = direct.operating.solve(&figures, None) {
        for number in 0..all.len() {
            if let Some(amperes) = direct.stage_amperes(&figures, &point, number) {
                found.insert(number, amperes);
            }
        }
    }
    found
}

/// Cathode current of a horizontal output tube, amperes: trade numbers of the catalogue
/// (70 to 120 mA in sets of 17 to 21 inches, 45 to 90 mA in smaller ones; from memory).
const SWEEP_AMPERES: f64 = 0.085;

/// What the supply feels of a driven stage that nothing tells of.
fn usual(
    model: &SetModel<'_>,
    stage: &TubeStage,
    volts: &[f64],
    at_rest: Option<&[f64; ELECTRODES]>,
) -> Running {
    let reference = &model.sheet.tubes[stage.tube].reference;
    let stages = &model.stages.complete;
    let is_output = sweep_outputs(model, stages)
        .iter()
        .any(|&number| std::ptr::eq(&stages[number], stage));
    let mut holds = [Hold::Nothing; ELECTRODES];
    let at = |junction: usize| volts.get(junction).copied().unwrap_or(0.0);
    for electrode in [0, 2] {
        let Some(junction) = stage.electrodes[electrode] else {
            continue;
        };
        let amperes = if is_output {
            SWEEP_AMPERES
                * match (electrode, stage.electrodes[2]) {
                    (2, _) => SCREEN_SHARE,
                    _ => 1.0 - SCREEN_SHARE,
                }
        } else {
            at_rest.map_or(0.0, |amperes| RUNNING_SHARE * amperes[electrode])
        };
        let across = at(junction) - at(stage.cathode);
        if across > 1.0 && amperes > 0.0 {
            holds[electrode] = Hold::Draws {
                siemens: amperes / across,
            };
        }
    }
    let what = match &stage.drive {
        Drive::Oscillates { .. } => "its own oscillation makes its volts",
        Drive::Pulsed => "the sweep's pulses make its volts",
        _ => "the signal at its grid makes its volts",
    };
    Running::Driven {
        holds,
        known: Known::Unknown {
            because: format!(
                "{reference} is driven: {what}, and the maker's chart does not give them"
            ),
        },
    }
}
