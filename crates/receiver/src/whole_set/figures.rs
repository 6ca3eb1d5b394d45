//! Figures of single branches of the direct-current network.
//!
//! Volts, siemens. Each comes from the wired circuit of the supply's cycle, or from a stage's
//! own sample. An element that direct current does not see is open. Nothing here fails.

use circuit::Element;
use circuit::operating::{Figure, SHORT_SIEMENS};
use circuit::thermal::worn_currents;
use circuit::tube::TubeState;

use crate::wiring::{Figure as SetFigure, SetModel, Variation, Wired};

/// The figure of an element that is no winding.
pub(super) fn element_figure(wired: &Wired, index: usize, held: &[f64]) -> Figure {
    let held = held.get(index).copied().unwrap_or(0.0);
    // Tubes may hold what no part ties: there the cycle's own tie would short them.
    if wired.ties.contains(&index) {
        return Figure::Siemens(0.0);
    }
    match wired.circuit.elements.get(index) {
        Some(Element::Resistor { ohms, .. } | Element::Inductor { ohms, .. }) => {
            Figure::Siemens((1.0 / ohms).min(SHORT_SIEMENS))
        }
        Some(Element::Switch { closed: true, .. }) => Figure::Siemens(SHORT_SIEMENS),
        Some(Element::Capacitor { leak_siemens, .. }) => Figure::Siemens(*leak_siemens),
        Some(Element::Warm { .. }) => Figure::Siemens(held.min(SHORT_SIEMENS)),
        Some(Element::Load { siemens, .. }) => Figure::Siemens(siemens * held),
        Some(Element::Source {
            ohms, direct_volts, ..
        }) => Figure::Source {
            volts: *direct_volts,
            siemens: (1.0 / ohms).min(SHORT_SIEMENS),
        },
        _ => Figure::Siemens(0.0),
    }
}

/// Copper of a winding, siemens.
pub(super) fn winding_siemens(wired: &Wired, index: usize, number: usize) -> f64 {
    match wired.circuit.elements.get(index) {
        Some(Element::Transformer { windings, .. }) => windings
            .get(number)
            .map_or(0.0, |winding| (1.0 / winding.ohms).min(SHORT_SIEMENS)),
        _ => 0.0,
    }
}

/// How this sample of a stage departs from its law.
pub(super) fn state_of(
    model: &SetModel<'_>,
    stage: usize,
    variation: &Variation,
    emission: &[Option<f64>],
) -> TubeState {
    let own = &model.stages.complete[stage];
    let tube = own.tube;
    let usual = model.samples_of(own);
    let worn = variation.factor(SetFigure::Worn(tube));
    TubeState {
        emission: emission.get(tube).copied().flatten().unwrap_or(0.0)
            * usual.emission.middle
            * variation.factor(SetFigure::StageEmission(tube))
            * worn,
        strength: usual.strength.middle
            * variation.factor(SetFigure::TubeStrength(tube))
            * worn_currents(worn)
            * variation.factor(SetFigure::StageLaw(stage)),
        cutoff: variation.factor(SetFigure::TubeCutoff(tube)),
        contact_volts: usual.contact_volts.middle + variation.factor(SetFigure::TubeContact(tube))
            - 1.0,
    }
}
