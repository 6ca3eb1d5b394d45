//! The transformers of a set as elements of its circuit.
//!
//! Volts, ohms, watts. Source: the sheet's windings and what is usual where it is
//! silent. Nothing here can fail: a winding without volts or ends is left out, and
//! [`SetModel::left_out`] says so.

use circuit::{Element, Winding};

use super::SetModel;
use super::build::Wired;
use super::variation::{Change, Figure, Variation};

impl SetModel<'_> {
    pub(super) fn wire_transformers(&self, wired: &mut Wired, variation: &Variation) {
        let warmth = variation.factor(Figure::CopperWarmth);
        let omega = std::f64::consts::TAU * self.sheet.line_hertz;
        for transformer in &self.resolved.transformers {
            let volts_of = |index: usize| self.resolved.windings[index].volts;
            let reference = transformer.primary.and_then(volts_of).or(transformer
                .windings
                .iter()
                .copied()
                .find_map(volts_of));
            let Some(reference) = reference else {
                continue;
            };
            let mut windings = Vec::new();
            let mut positions = Vec::new();
            for &index in &transformer.windings {
                let (Some(volts), [Some(start), Some(end)]) =
                    (volts_of(index), self.winding_ends[index])
                else {
                    continue;
                };
                windings.push(Winding {
                    start: wired.nodes[start],
                    end: wired.nodes[end],
                    turns: volts / reference * variation.factor(Figure::WindingVolts(index)),
                    ohms: self.resolved.windings[index].ohms
                        * variation.factor(Figure::WindingOhms(index))
                        * warmth,
                    leakage_henries: 0.0,
                });
                positions.push(index);
            }
            for change in &variation.changes {
                if let Change::ShortedTurns { winding, share } = change
                    && let Some(position) = positions.iter().position(|index| index == winding)
                {
                    let whole = windings[position];
                    windings.push(Winding {
                        start: 0,
                        end: 0,
                        turns: whole.turns * share,
                        ohms: (whole.ohms * share).max(1e-5),
                        leakage_henries: 0.0,
                    });
                }
            }
            let first = transformer.windings.first().copied().unwrap_or(0);
            let idle = variation.factor(Figure::Idle(first));
            let loss = transformer.idle_watts * idle / (reference * reference);
            let magnetising = transformer.idle_amperes.and_then(|amperes| {
                let in_phase = transformer.idle_watts / reference;
                let across = amperes * amperes - in_phase * in_phase;
                (across > 0.0).then(|| reference / (omega * across.sqrt() * idle))
            });
            let element = wired.circuit.add(Element::Transformer {
                windings,
                loss_siemens: loss.max(0.0),
                magnetising_henries: magnetising,
            });
            wired.transformers.push((element, positions));
        }
    }
}
