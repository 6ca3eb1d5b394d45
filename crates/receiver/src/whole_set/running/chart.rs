//! Driven stages anchored on the maker's chart.
//!
//! Volts, amperes, siemens. What such a stage draws is found by holding every supply line
//! and every pin of it at the maker's figures and reading the current that the set's own
//! parts then bring to the pin; of plate and cathode the one is taken whose current depends
//! less on the last digit of the chart. What the chart does not give is as usual, and
//! unknown. Nothing here fails.

use std::collections::HashMap;

use circuit::operating::{Branch, Figure, Operating};
use circuit::tube::ELECTRODES;
use parts::SectionKind;

use crate::conditions::BenchConditions;
use crate::sheet::Place;
use crate::stages::TubeStage;
use crate::wiring::{SetModel, Variation};

use super::super::cycle::Cycle;
use super::super::direct::{Direct, Supply};
use super::usual::{SCREEN_SHARE, SWEEP_AMPERES, resting_currents, usual};
use super::{Hold, Known, Running, along_coils, supply_of, without_signals};

/// Conductance by which the chart's volts are held, siemens.
const CHART_HOLD: f64 = 10.0;
/// A chart's last digit: half a percent, at least a tenth of a volt (common practice: two
/// or three figures are printed).
const CHART_DIGIT: f64 = 0.005;
/// An estimate of a current with more doubt than this is none.
const MOST_DOUBT: f64 = 0.6;
/// The lift of a boosted line over the supply where no chart tells (trade numbers of
/// boosted B+: 400 to 600 V on supplies of 250 to 350 V).
const USUAL_LIFT: f64 = 0.65;

/// The maker's volts to the chassis by junction.
pub(crate) fn charted(model: &SetModel<'_>) -> HashMap<usize, f64> {
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
pub(in crate::whole_set) fn anchor(
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
