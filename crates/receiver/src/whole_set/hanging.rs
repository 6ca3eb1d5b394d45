//! Readings that hang on what is not known of a stage.
//!
//! Units of the readings. A driven stage that neither a calculation nor the maker's chart
//! tells of stands in the network with what such stages usually draw, so that the supply feels
//! it. That is no knowledge of the places and parts around it. Here the supply lines are held,
//! what such a stage draws or lifts is moved over its usual range, a grid of which nothing is
//! known by a usual bias; a reading that follows by more than a quarter of itself hangs on that
//! stage. The supply lines themselves keep their wide bands. A network that cannot be solved
//! with the movement counts as hanging.

use circuit::Node;
use circuit::operating::{Branch, Figure, Network, Operating, Point};
use circuit::tube::ELECTRODES;

use crate::probes::{Probe, Spot};
use crate::reading::What;
use crate::wiring::{SetModel, Variation};

use super::couple::WholeSet;
use super::draws::supply_junctions;
use super::expecting::{is_direct, read_direct};
use super::known::Known;

/// What is usual of a stage moves by these factors (as its band does).
const USUAL: [f64; 2] = [0.4, 1.8];
/// Bias that a drive makes at a grid, volts (judgement: tens of volts at sweep stages).
const BIAS: f64 = -25.0;
/// What a plate or screen draws of which nothing is known, siemens (judgement: a milliampere
/// at a hundred volts).
const DRAWS: f64 = 1e-5;
/// A reading that moves by more than this share of itself hangs on the stage.
const MOVED: f64 = 0.25;
/// Conductance by which supply lines are held, siemens; that of a grid.
const HELD: f64 = 10.0;
const GRID_HELD: f64 = 1e-2;

/// A solved set whose supply lines are held, ready to be moved.
struct Held {
    network: Network,
    /// Branch at each electrode of which nothing is known, with its stage and what moves it.
    open: Vec<(usize, usize, Figure)>,
    /// Branches of the set itself.
    own: usize,
    /// Figures of what was added.
    added: Vec<Figure>,
}

impl Held {
    fn new(model: &SetModel<'_>, set: &WholeSet) -> Held {
        let wired = &set.cycle.wired;
        let mut network = set.direct.operating.network().clone();
        let own = network.branches.len();
        let mut added = Vec::new();
        for junction in supply_junctions(model, wired) {
            let node = wired.node(junction);
            network.add(Branch::Source { a: node, b: 0 });
            added.push(Figure::Source {
                volts: set.point.volts.get(node).copied().unwrap_or(0.0),
                siemens: HELD,
            });
        }
        let mut open = Vec::new();
        for (number, stage) in model.stages.complete.iter().enumerate() {
            for electrode in 0..ELECTRODES {
                let ends = stage.electrodes[electrode]
                    .map(|own| (wired.node(own), wired.node(stage.cathode)));
                let Some((a, b)) = ends.filter(|(a, b)| a != b && *a != 0) else {
                    continue;
                };
                let moved = match electrode {
                    0 | 2 => Figure::Source {
                        volts: 0.0,
                        siemens: DRAWS,
                    },
                    _ => Figure::Source {
                        volts: BIAS,
                        siemens: GRID_HELD,
                    },
                };
                if set.running[number].is_open(electrode) {
                    open.push((number, network.add(Branch::Source { a, b }), moved));
                    added.push(Figure::Source {
                        volts: 0.0,
                        siemens: 0.0,
                    });
                }
            }
        }
        Held {
            network,
            open,
            own,
            added,
        }
    }
}

/// The stage of which a reading hangs though nothing is known of it, by probe.
pub fn hanging(model: &SetModel<'_>, set: &WholeSet, probes: &[Probe]) -> Vec<Option<usize>> {
    let mut found: Vec<Option<usize>> = vec![None; probes.len()];
    let unknown: Vec<usize> = (0..set.running.len())
        .filter(|&stage| {
            let open = (0..ELECTRODES).any(|electrode| set.running[stage].is_open(electrode));
            open || matches!(set.running[stage].known(), Known::Unknown { .. })
        })
        .collect();
    if unknown.is_empty() {
        return found;
    }
    let held = Held::new(model, set);
    let Ok(operating) = Operating::new(&held.network) else {
        return found;
    };
    let solve =
        |variation: &Variation, open: Option<(usize, Figure)>| -> Option<(Vec<Figure>, Point)> {
            let wired = &set.cycle.wired;
            let mut figures = set.direct.figures(model, wired, variation, &set.supply());
            figures.extend_from_slice(&held.added);
            if let Some((branch, moved)) = open
                && let Some(figure) = figures.get_mut(branch)
            {
                *figure = moved;
            }
            let point = operating.solve(&figures, Some(&set.point.volts)).ok()?;
            figures.truncate(held.own);
            Some((figures, point))
        };
    let read = |solved: &Option<(Vec<Figure>, Point)>, probe: &Probe| {
        let (figures, point) = solved.as_ref()?;
        read_direct(model, &set.cycle.wired, &set.direct, figures, point, probe)
    };
    let base = solve(&Variation::none(), None);
    let mut most: Vec<f64> = vec![1.0; probes.len()];
    for &stage in &unknown {
        let drive = crate::wiring::Figure::StageDrive(stage);
        let mut moved: Vec<_> = match set.running[stage].known() {
            Known::Unknown { .. } => USUAL
                .iter()
                .map(|&factor| solve(&Variation::of(drive, factor), None))
                .collect(),
            _ => Vec::new(),
        };
        for &(own, branch, figure) in &held.open {
            if own == stage {
                moved.push(solve(&Variation::none(), Some((branch, figure))));
            }
        }
        for (number, probe) in probes.iter().enumerate() {
            if !is_direct(model, probe) || rests(model, set, probe) {
                continue;
            }
            let Some(expected) = read(&base, probe) else {
                continue;
            };
            let (low, high) = moved
                .iter()
                .map(|solved| read(solved, probe).unwrap_or(f64::INFINITY))
                .fold((expected, expected), |(low, high), value| {
                    (low.min(value), high.max(value))
                });
            let allowed = MOVED * expected.abs() + least(probe.what);
            let share = (high - low) / allowed;
            if share > most[number] {
                most[number] = share;
                found[number] = Some(stage);
            }
        }
    }
    found
}

/// Whether a probe reads a supply line to the chassis: the set at large holds it.
fn rests(model: &SetModel<'_>, set: &WholeSet, probe: &Probe) -> bool {
    let node = |junction: usize| -> Node { set.cycle.wired.node(junction) };
    match probe.spot {
        Spot::ToChassis(junction) => node(junction) == 0 || model.has_ripple(junction),
        _ => false,
    }
}

/// A movement that never counts, in the unit of the reading.
fn least(what: What) -> f64 {
    match what {
        What::DcVolts => 0.2,
        What::PartWatts => 0.01,
        // Milliamperes.
        _ => 0.01,
    }
}
