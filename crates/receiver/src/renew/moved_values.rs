//! Values moved one at a time: which factors, what is read meanwhile, and what each capacitor works into.
//!
//! Factors, ohms. Source: the solved network's own answer to a small current between a capacitor's ends. Nothing here
//! can fail; a network whose answer cannot be worked out gives `None` for its capacitors.

use crate::probes::{Probe, Spot, all_probes};
use crate::reading::What;
use crate::sheet::PartValue;
use crate::whole_set::WholeSet;
use crate::wiring::{Figure, Rectifying, SetModel, Variation};

/// A value moved for a look, as a factor.
pub(super) const LOOK: f64 = 1.1;
/// Steps in which a value is moved, away from the marked one: up, then down. Of ohms the first of each alone.
pub(super) const FACTORS: [f64; 8] = [LOOK, 1.25, 1.5, 2.0, 1.0 / LOOK, 1.0 / 1.25, 1.0 / 1.5, 0.5];
/// Steps on each side.
pub(super) const STEPS: usize = 4;

/// What a capacitor sees.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct EndOhms {
    /// From end to end.
    pub between: f64,
    /// Of each end to the chassis.
    pub ends: [f64; 2],
}

/// The variations by which the values of these parts are moved, each with its key.
pub(super) fn moved_values(
    model: &SetModel<'_>,
    parts: &[usize],
) -> (Vec<(usize, usize)>, Vec<Variation>) {
    let mut keys = Vec::new();
    let mut variations = Vec::new();
    for &part in parts {
        let (figure, numbers): (Figure, Vec<usize>) = match model.sheet.parts[part].value {
            PartValue::Resistor { .. } | PartValue::Control { .. } => {
                (Figure::Ohms(part), vec![0, STEPS])
            }
            PartValue::Capacitor { .. } if model.follows(part) => {
                (Figure::Farads(part), (0..FACTORS.len()).collect())
            }
            _ => continue,
        };
        for number in numbers {
            keys.push((part, number));
            variations.push(Variation::of(figure, FACTORS[number]));
        }
    }
    (keys, variations)
}

/// The readings that the value of a part may move: direct volts and ripple of each junction once, heaters, and
/// the peaks of rectifiers.
pub(super) fn worth_reading(model: &SetModel<'_>) -> Vec<Probe> {
    let mut seen: Vec<(What, Spot)> = Vec::new();
    all_probes(model, None)
        .into_iter()
        .filter(|probe| {
            let wanted = matches!(
                probe.what,
                What::DcVolts
                    | What::RippleVoltsPeakToPeak
                    | What::HeaterVoltsRms
                    | What::RectifierPeakMilliamps
            );
            let pulses = match probe.spot {
                Spot::ToChassis(junction) => {
                    model.stages.pulsed.get(junction).copied().unwrap_or(false)
                }
                Spot::Rectifier(number) => matches!(
                    model.rectifying().get(number),
                    Some(Rectifying::Tube { damper: true, .. })
                ),
                _ => false,
            };
            let key = (probe.what, probe.spot);
            wanted && !pulses && !seen.contains(&key) && {
                seen.push(key);
                true
            }
        })
        .collect()
}

/// What each capacitor works into, from the solved network's answer to a small current.
pub(super) fn seen_ohms(model: &SetModel<'_>, set: &WholeSet) -> Vec<Option<EndOhms>> {
    let none = || vec![None; model.sheet.parts.len()];
    let direct = &set.direct;
    let Ok(response) = direct.operating.response(&set.figures, &set.point) else {
        return none();
    };
    let mut answers: Vec<Option<Vec<f64>>> = vec![None; direct.operating.network().nodes];
    let mut found = none();
    for (part, own) in model.sheet.parts.iter().enumerate() {
        let (PartValue::Capacitor { .. }, [Some(from), Some(to), _]) =
            (&own.value, model.part_ends[part])
        else {
            continue;
        };
        let (Some(&from), Some(&to)) = (direct.nodes.get(from), direct.nodes.get(to)) else {
            continue;
        };
        let mut of = |node: usize, at: usize| -> f64 {
            if node == 0 || at == 0 {
                return 0.0;
            }
            match answers.get_mut(node) {
                Some(own) => own
                    .get_or_insert_with(|| response.of_current(node))
                    .get(at)
                    .copied()
                    .unwrap_or(0.0),
                None => 0.0,
            }
        };
        let ends = [of(from, from), of(to, to)];
        let between = ends[0] + ends[1] - of(from, to) - of(to, from);
        if between.is_finite() && between > 0.0 && between < 1e9 {
            found[part] = Some(EndOhms { between, ends });
        }
    }
    found
}
