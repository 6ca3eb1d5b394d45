//! The law of a diode section from its published drop.
//!
//! Child's law through each published drop; where several disagree, the geometric mean. A
//! type without a drop gets what is usual for its kind, for the drop is small beside the
//! volts of its circuit; the basis says so. Volts, amperes.

use circuit::tube::{DiodeLaw, GridCurrent, TubeLaw};
use parts::{Section, SectionKind};

/// A diode's law and what is known of its doubt.
pub(super) struct FittedDiode {
    pub(super) law: TubeLaw,
    /// Perveance by each published drop, with its volts and amperes.
    pub(super) drops: Vec<(f64, f64)>,
    /// Whether it rests on the kind alone.
    pub(super) of_kind: bool,
    /// Greatest departure of a drop's current from the law.
    pub(super) left_over: f64,
}

/// Volts and amperes through which the law of a kind passes where a type has no drop:
/// the middle of the catalogue's types (dampers 6W4-GT, 6AU4-GT and 6BE3 21 to 25 V at 250 to
/// 350 mA; 1B3-GT 100 V at 7 mA; 6AL5 10 V at 60 mA, from memory). Rectifiers differ too
/// much, but their current rating tells: 25 V at the rated current of a plate.
fn usual_drop(section: &Section) -> (f64, f64) {
    let rated = section.rectifier.as_ref().and_then(|rating| {
        let both = rating.max_dc_milliamperes? * 1e-3;
        Some(if rating.dc_is_per_plate {
            both
        } else {
            both / f64::from(section.units.max(1))
        })
    });
    match section.kind {
        SectionKind::Damper => (24.0, 2.0 * rated.unwrap_or(0.125)),
        SectionKind::HvRectifier => (100.0, 14.0 * rated.unwrap_or(5e-4)),
        SectionKind::Rectifier => (25.0, 2.0 * rated.unwrap_or(0.07)),
        _ => (10.0, 0.04),
    }
}

/// The small diodes in the bulb of a triode: 1 to 3 mA at 10 V (makers' curves of the 6SQ7 and
/// the 6AV6, from memory).
pub(super) const BESIDE_A_TRIODE: (f64, f64) = (10.0, 0.002);

/// Contact potential of a small diode, volts: a diode with a large load rests at about half
/// a volt (common practice).
const SMALL_DIODE_CONTACT: f64 = 0.2;

pub(super) fn through(volts: f64, amperes: f64, is_small: bool, emission_amperes: f64) -> TubeLaw {
    let contact_volts = if is_small { SMALL_DIODE_CONTACT } else { 0.0 };
    TubeLaw::Diode(DiodeLaw {
        plate: GridCurrent {
            perveance: amperes / (volts + contact_volts).powf(1.5),
            contact_volts,
            softness_volts: 0.15,
        },
        emission_amperes,
    })
}

/// The law of a diode section.
pub(super) fn fit(section: &Section) -> Option<FittedDiode> {
    let is_small = section.kind == SectionKind::Diode;
    let rating = section.rectifier.as_ref();
    let drops: Vec<(f64, f64)> = rating
        .map(|rating| {
            rating
                .drop_points
                .iter()
                .map(|drop| (drop.volts, drop.milliamperes * 1e-3))
                .filter(|(volts, amperes)| *volts > 0.0 && *amperes > 0.0)
                .collect()
        })
        .unwrap_or_default();
    let of_kind = drops.is_empty();
    let used = if of_kind {
        vec![usual_drop(section)]
    } else {
        drops.clone()
    };
    let logs: Vec<f64> = used
        .iter()
        .map(|(volts, amperes)| (amperes / volts.powf(1.5)).ln())
        .collect();
    let mean = logs.iter().sum::<f64>() / logs.len() as f64;
    let left_over = logs
        .iter()
        .fold(0.0_f64, |worst, log| worst.max((log - mean).abs()));
    let (volts, _) = *used.first()?;
    let amperes = mean.exp() * volts.powf(1.5);
    // A cathode is made for its peaks and gives some times more when new.
    let peak = rating
        .and_then(|rating| rating.max_peak_milliamperes)
        .map_or(0.0, |peak| 2.5e-3 * peak);
    let most = used
        .iter()
        .fold(0.0_f64, |most, (_, amperes)| most.max(*amperes));
    let law = through(volts, amperes, is_small, peak.max(6.0 * most));
    law.check().is_ok().then_some(FittedDiode {
        law,
        drops,
        of_kind,
        left_over,
    })
}
