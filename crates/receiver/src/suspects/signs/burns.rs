//! Leaks that would end themselves: what a leaking capacitor turns into heat beside what it can bear.
//!
//! Watts, from the volts foretold across the capacitor with its fault and the ohms of its leak (`V^2 / R`; of several
//! conditions the most). A can that takes tens of watts boils and vents within minutes, a paper capacitor of some
//! watts runs its wax and chars: a set in which readings were taken in peace has hardly such a leak. What each kind bears is judgement
//! (a can of 100 square centimetres in still air warms by some 10 kelvin a watt), and so is that one set of thirty is read
//! quickly enough. Where a smell or great heat is complained of nothing is held against such a leak. A place that is
//! not foretold is none; nothing here fails.

use std::collections::BTreeMap;

use crate::probes::Spot;
use crate::reading::What;
use crate::sheet::PartKind;
use crate::suspects::hypotheses::{Hypotheses, Hypothesis};
use crate::suspects::predict::Foretold;
use crate::wiring::{FaultKind, SetModel};

/// Watts that a can, a capacitor of foil and paper or film, and a small one of ceramic or mica bear for long.
const CAN_WATTS: f64 = 5.0;
const FOIL_WATTS: f64 = 1.5;
const SMALL_WATTS: f64 = 1.0;
/// Share of sets that are read before such a leak has ended itself.
const READ_QUICKLY: f64 = 0.03;

/// Logarithm below which a leak is too hot to last.
pub(super) const TOO_HOT: f64 = -std::f64::consts::LN_2;

/// Watts in each leaking capacitor, by hypothesis and severity; nothing for other faults.
pub(super) fn watts(
    model: &SetModel<'_>,
    hypotheses: &Hypotheses,
    foretold: &[Foretold],
) -> Vec<Vec<f64>> {
    let hot: Vec<(&Foretold, BTreeMap<usize, usize>)> = foretold
        .iter()
        .filter(|told| !told.is_cold())
        .map(|told| (told, by_junction(told)))
        .collect();
    let of = |(number, own): (usize, &Hypothesis)| -> Vec<f64> {
        let FaultKind::CapacitorLeak(part) = own.kind else {
            return Vec::new();
        };
        let [Some(from), Some(to), _] = model.part_junctions(part) else {
            return Vec::new();
        };
        let Some(first) = foretold.first().and_then(|told| told.faulty.get(number)) else {
            return Vec::new();
        };
        let at = |severity: usize| {
            let ohms = own.in_own_unit(first.severities[severity]);
            let across = hot.iter().filter_map(|(told, probes)| {
                let volts =
                    |junction: usize| volts(model, told, probes, (number, severity), junction);
                Some(volts(from)? - volts(to)?)
            });
            across.map(|volts| volts * volts / ohms).fold(0.0, f64::max)
        };
        (0..first.severities.len()).map(at).collect()
    };
    hypotheses.list.iter().enumerate().map(of).collect()
}

/// Probe of the direct volts at each junction.
fn by_junction(told: &Foretold) -> BTreeMap<usize, usize> {
    let probes = told.probes.iter().enumerate();
    probes
        .filter_map(|(number, probe)| match (probe.what, probe.spot) {
            (What::DcVolts, Spot::ToChassis(junction)) => Some((junction, number)),
            _ => None,
        })
        .collect()
}

/// Volts of a junction with a fault.
fn volts(
    model: &SetModel<'_>,
    told: &Foretold,
    probes: &BTreeMap<usize, usize>,
    (hypothesis, severity): (usize, usize),
    junction: usize,
) -> Option<f64> {
    if Some(junction) == model.chassis_junction() {
        return Some(0.0);
    }
    let probe = *probes.get(&junction)?;
    let shifts = told
        .faulty
        .get(hypothesis)?
        .shifts
        .get(severity)?
        .as_ref()?;
    Some((*told.healthy.get(probe)?)? + (*shifts.get(probe)?)?)
}

/// Logarithm of the share of sets that are read with so many watts in a capacitor of this kind.
pub(super) fn log(kind: PartKind, watts: f64) -> f64 {
    let bears = match kind {
        PartKind::Electrolytic => CAN_WATTS,
        PartKind::Ceramic | PartKind::Mica | PartKind::Trimmer => SMALL_WATTS,
        _ => FOIL_WATTS,
    };
    let lasts = 1.0 / (1.0 + (watts / bears).powi(2));
    if watts > 0.0 {
        (lasts + READ_QUICKLY * (1.0 - lasts)).ln()
    } else {
        0.0
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// What it bears halves the sets that are read so, a tenth of it is hardly felt, and tens of watts leave those that are read quickly.
    #[test]
    fn a_leak_of_many_watts_is_hardly_found_in_a_set_that_plays() {
        for (kind, bears) in [
            (PartKind::Electrolytic, 5.0),
            (PartKind::Paper, 1.5),
            (PartKind::Ceramic, 1.0),
        ] {
            let share = |watts: f64| log(kind, watts).exp();
            assert!((share(bears) - 0.515).abs() < 1e-9, "{}", share(bears));
            assert!(share(0.1 * bears) > 0.98);
            assert!((0.03..0.04).contains(&share(20.0 * bears)));
            assert_eq!(share(0.0), 1.0);
        }
        // 2.2k across 286 volts is 37 watts in a can.
        assert!(log(PartKind::Electrolytic, 286.0 * 286.0 / 2200.0) < -2.8);
    }
}
