//! What a meter shows of stages that run: how their means hold them in the network.
//!
//! Volts, amperes, siemens. Mean currents come from Kirchhoff on means, not from integrals over
//! short pulses; the laws on the samples only share them out. Nothing here fails; a stage
//! without a branch of its own has no means.

use circuit::Node;
use circuit::operating::{Branch, Figure, Operating};
use circuit::running::Wave;
use circuit::tube::{ELECTRODES, TubeState};

use super::Hold;
use super::build::Built;

/// A grid whose current makes less of its volts, as a share of its swing, stands where the
/// circuit brings it; from there on it holds itself against its cathode (judgement).
const CLAMPED: f64 = 0.15;

/// Amperes by its law below which a grid takes nothing: what Kirchhoff on means leaves there still charges a coupling capacitor.
const TAKES_NOTHING: f64 = 1e-9;

impl Built {
    /// How each stage of the group is held by the means of a wave.
    pub(super) fn holds(&self, wave: &Wave) -> Vec<(usize, [Hold; ELECTRODES])> {
        let amperes = self.mean_amperes(wave);
        let stands = |node: Node| {
            node == 0
                || self
                    .network
                    .network
                    .branches
                    .iter()
                    .any(|branch| matches!(branch, Branch::Source { a, b: 0 } if *a == node))
        };
        self.tubes
            .iter()
            .zip(amperes)
            .filter_map(|(&(stage, branch), amperes)| {
                let Branch::Tube {
                    cathode,
                    electrodes,
                    ..
                } = &self.network.network.branches[branch]
                else {
                    return None;
                };
                let volts = |node: Node| wave.volts[node].average;
                let mut holds = [Hold::Nothing; ELECTRODES];
                for (electrode, hold) in holds.iter_mut().enumerate() {
                    let Some(node) = electrodes[electrode] else {
                        continue;
                    };
                    let across = volts(node) - volts(*cathode);
                    let plate = self.plates.iter().find(|(own, _)| *own == stage);
                    match (electrode, plate) {
                        // Its mean volts are the flyback's affair; its current is the grid's.
                        (0, Some(&(_, at))) => {
                            *hold = Hold::Takes {
                                amperes: amperes[0],
                                at,
                            };
                        }
                        (0 | 2, _) if across > 0.0 && amperes[electrode] > 0.0 => {
                            *hold = Hold::Draws {
                                siemens: amperes[electrode] / across,
                            };
                        }
                        (1 | 3, _) if !stands(node) => {
                            // What the signal makes of the grid's volts by itself.
                            let own = amperes[electrode] * self.ohms_at(node);
                            let swing = wave.volts[node].peak_to_peak();
                            *hold = if own.abs() > CLAMPED * swing {
                                Hold::Volts { volts: across }
                            } else {
                                Hold::Takes {
                                    amperes: amperes[electrode],
                                    at: across,
                                }
                            };
                        }
                        _ => {}
                    }
                }
                Some((stage, holds))
            })
            .collect()
    }

    /// Resistance of the linear parts between a place and what stands still, ohms.
    fn ohms_at(&self, node: Node) -> f64 {
        let silent: Vec<Figure> = self
            .figures
            .figures
            .iter()
            .map(|figure| match figure {
                Figure::Tube(state) => Figure::Tube(TubeState {
                    emission: 0.0,
                    ..*state
                }),
                Figure::TwoTerminal { .. } => Figure::TwoTerminal { scale: 0.0 },
                other => *other,
            })
            .collect();
        let found = || -> Option<f64> {
            let operating = Operating::new(&self.network.network).ok()?;
            let point = operating.solve(&silent, None).ok()?;
            let response = operating.response(&silent, &point).ok()?;
            response.of_current(node).get(node).copied()
        };
        found().unwrap_or(0.0)
    }

    /// Mean amperes into the electrodes of each stage. Plates and screens are what the
    /// linear parts at their place bring on average (Kirchhoff on means: no rounding of short
    /// pulses); where several share a place, in the proportion of their laws on the samples.
    fn mean_amperes(&self, wave: &Wave) -> Vec<[f64; ELECTRODES]> {
        let network = &self.network.network;
        let mut left = vec![0.0; network.nodes];
        for (index, (branch, figure)) in network
            .branches
            .iter()
            .zip(&self.figures.figures)
            .enumerate()
        {
            let volts = |node: Node| wave.volts[node].average;
            let (a, b, amperes) = match (branch, figure) {
                (Branch::Resistance { a, b }, Figure::Siemens(siemens)) => {
                    let coil = self.network.coils.iter().position(|&own| own == index);
                    let amperes = match coil {
                        Some(coil) => wave.coil_amperes[coil].average,
                        None => siemens * (volts(*a) - volts(*b)),
                    };
                    (*a, *b, amperes)
                }
                (
                    Branch::Source { a, b },
                    Figure::Source {
                        volts: own,
                        siemens,
                    },
                ) => (*a, *b, siemens * (volts(*a) - volts(*b) - own)),
                (Branch::Current { a, b }, Figure::Amperes(amperes)) => (*a, *b, *amperes),
                _ => continue,
            };
            left[a] += amperes;
            left[b] -= amperes;
        }
        let by_law: Vec<(usize, [f64; ELECTRODES])> = network
            .branches
            .iter()
            .enumerate()
            .filter_map(|(index, branch)| {
                let means = self.by_law(wave, index)?;
                if let Branch::Tube {
                    cathode,
                    electrodes,
                    ..
                } = branch
                {
                    for (node, amperes) in electrodes.iter().zip(means) {
                        if let Some(node) = node {
                            left[*node] += amperes;
                            left[*cathode] -= amperes;
                        }
                    }
                }
                Some((index, means))
            })
            .collect();
        // What is left over at a place is the rounding of its samples: it goes to plates and
        // screens there.
        let mut at_node = vec![0.0; network.nodes];
        for (index, means) in &by_law {
            if let Branch::Tube { electrodes, .. } = &network.branches[*index] {
                for electrode in [0, 2] {
                    if let Some(node) = electrodes[electrode] {
                        at_node[node] += means[electrode];
                    }
                }
            }
        }
        self.tubes
            .iter()
            .map(|(_, branch)| {
                let mut means = by_law
                    .iter()
                    .find(|(index, _)| index == branch)
                    .map_or([0.0; ELECTRODES], |(_, means)| *means);
                if let Branch::Tube { electrodes, .. } = &network.branches[*branch] {
                    for electrode in [0, 2] {
                        if let Some(node) = electrodes[electrode]
                            && node != 0
                            && at_node[node] > 0.0
                        {
                            means[electrode] *= 1.0 - left[node] / at_node[node];
                        }
                    }
                    // A grid by itself takes what its leak brings.
                    for electrode in [1, 3] {
                        if let Some(node) = electrodes[electrode]
                            && node != 0
                            && at_node[node] == 0.0
                            && (wave.missed < self.charged || means[electrode] > TAKES_NOTHING)
                        {
                            means[electrode] -= left[node];
                        }
                    }
                }
                means
            })
            .collect()
    }

    /// Mean amperes by a tube's law on the samples of a wave (trapezoids).
    fn by_law(&self, wave: &Wave, index: usize) -> Option<[f64; ELECTRODES]> {
        let (
            Branch::Tube {
                cathode,
                electrodes,
                law,
            },
            Figure::Tube(state),
        ) = (
            &self.network.network.branches[index],
            &self.figures.figures[index],
        )
        else {
            return None;
        };
        let mut means = [0.0; ELECTRODES];
        let mut before: Option<(f64, [f64; ELECTRODES])> = None;
        for (&seconds, sample) in wave.seconds.iter().zip(&wave.samples) {
            let across =
                electrodes.map(|node| node.map_or(0.0, |node| sample[node] - sample[*cathode]));
            let now = law.currents(across, state).amperes;
            if let Some((earlier, amperes)) = before {
                let share = (seconds - earlier) / wave.period_seconds;
                for (mean, (one, two)) in means.iter_mut().zip(amperes.iter().zip(&now)) {
                    *mean += 0.5 * share * (one + two);
                }
            }
            before = Some((seconds, now));
        }
        Some(means)
    }
}
