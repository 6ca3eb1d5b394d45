//! The laws and draws of sets that differ from the prediction, shared by the measurements
//! of the bands and of the stop limits.
//!
//! Amperes, volts, ohms, seconds, plain ratios. No real set follows the prediction's laws,
//! so the drawn ones do not either:
//!
//! - tube rectifiers: `k (v + c)^p` with a contact potential of 0.7 V and a power that the
//!   caller chooses, through the same published drop, with a softer passage to the emission
//!   limit;
//! - selenium: two slopes, through the published drop of the stack;
//! - heaters: every tube its own current (4 percent) and its own warm-up time (10 percent),
//!   another hot-to-cold ratio, other ways of the heat and other heat capacities;
//! - loads: tubes with five to twelve times the emission that they need.
//!
//! All of it is judgement: what is asked is whether bands and limits survive another
//! plausible set of laws. Fails by a panic where a drawn figure cannot be, which would be a
//! fault of the draws.
#![allow(dead_code)]

use circuit::thermal::{HeaterLaw, HeaterShares, HeaterSpec, Heating, ThermalLaw};
use circuit::{BodyRef, Element, MeasuredCurve, RectifierLaw};
use rand::{RngExt, SeedableRng};
use rand_pcg::Pcg64;
use receiver::causes::Cause;
use receiver::wiring::{Figure, SetModel, Variation, Wired};

/// The source of all draws of one set: seed and number of the set.
pub fn random(seed: u64, set: u64) -> Pcg64 {
    Pcg64::seed_from_u64(seed.wrapping_mul(0x9E37_79B9_7F4A_7C15) ^ set)
}

/// A bell around 1 from the sum of twelve even draws: normal enough to four sigma.
pub fn bell(random: &mut Pcg64, sigma: f64) -> f64 {
    let sum: f64 = (0..12).map(|_| random.random::<f64>()).sum();
    1.0 + sigma * (sum - 6.0)
}

/// Evenly in the logarithm.
pub fn between(random: &mut Pcg64, low: f64, high: f64) -> f64 {
    low * (high / low).powf(random.random::<f64>())
}

/// Standard deviations of one heater's current and warm-up time about those of its type.
pub const OWN_AMPERES: f64 = 0.04;
/// The second of the two.
pub const OWN_SECONDS: f64 = 0.1;
/// Standard deviation of the current of all heaters at one place together.
pub const COMMON_AMPERES: f64 = 0.01;

/// What all heaters at one place have in common.
#[derive(Debug, Clone, Copy)]
pub struct HeatersTogether {
    /// Current over the published one.
    pub amperes: f64,
    /// Hot over cold resistance, of indirectly heated tubes.
    pub hot_to_cold: f64,
}

/// Draws what the heaters at one place have in common.
pub fn heaters_together(random: &mut Pcg64) -> HeatersTogether {
    HeatersTogether {
        amperes: bell(random, COMMON_AMPERES),
        hot_to_cold: between(random, 5.8, 8.5),
    }
}

/// Emission of the tubes behind a load over what they need.
pub fn reserve(random: &mut Pcg64) -> f64 {
    between(random, 5.0, 12.0)
}

/// Draws the departures of a set from its sheet by the causes of its spread, but for those
/// that the laws here stand for: heaters, curves, meter and model, and what `besides` tells.
pub fn departures(
    causes: &[Cause],
    random: &mut Pcg64,
    besides: impl Fn(Figure) -> bool,
) -> Variation {
    let mut variation = Variation::none();
    for cause in causes {
        let ratio = cause.spread.ratio(random.random::<f64>());
        let own = matches!(
            cause.figure,
            Figure::HeaterAmperes(_)
                | Figure::HeaterCold(_)
                | Figure::OwnHeater(_)
                | Figure::CurveShape
                | Figure::Meter
                | Figure::Model
        );
        if !own && !besides(cause.figure) {
            variation.set(cause.figure, ratio);
        }
    }
    variation
}

/// Gives every rectifier of a wired set another law.
pub fn other_rectifiers(wired: &mut Wired, power: f64) {
    for element in &mut wired.circuit.elements {
        if let Element::Rectifier { law, .. } = element {
            *law = other_rectifier(law, power);
        }
    }
}

/// Gives every heater of a wired set another law. `warm_up` is the ratio of all warm-up
/// times; `together` has one entry for each place where heaters are fed; `own` tells a
/// tube's current and warm-up time over those of its type.
pub fn other_heaters(
    model: &SetModel<'_>,
    wired: &mut Wired,
    shares: HeaterShares,
    warm_up: f64,
    together: &[HeatersTogether],
    mut own: impl FnMut(usize, BodyRef) -> (f64, f64),
) {
    let places = model.heater_places();
    for (parted, together) in wired.heaters.iter().take(places.len()).zip(together) {
        for heaters in parted {
            for (body, &tube) in heaters.tubes.iter().enumerate() {
                let group = heaters.group;
                let rating = model.sheet.tubes[tube]
                    .kind
                    .heater
                    .as_ref()
                    .expect("heated, so rated");
                let direct = matches!(rating.heating, Some(parts::Heating::Direct));
                let (amperes, seconds) = own(tube, BodyRef { group, body });
                let law = HeaterLaw::with_shares(
                    HeaterSpec {
                        volts: rating.volts,
                        amperes: rating.amperes * together.amperes * amperes,
                        heating: if direct {
                            Heating::Direct
                        } else {
                            Heating::Indirect
                        },
                        warm_up_seconds: rating.warm_up_seconds,
                        controlled: rating.controlled_warm_up,
                        hot_to_cold: if direct { 4.5 } else { together.hot_to_cold },
                    },
                    shares,
                )
                .expect("figures of a real heater")
                .slower(warm_up * seconds);
                wired.circuit.groups[group].bodies[body].law = ThermalLaw::Heater(law);
            }
        }
    }
}

/// Amperes at which both laws of a tube have the same drop: the published drops of the
/// examples' rectifier are at 225 mA a plate.
const PUBLISHED_AMPERES: f64 = 0.225;
const CONTACT_VOLTS: f64 = 0.7;

/// Another law through the same published point.
pub fn other_rectifier(law: &RectifierLaw, power: f64) -> RectifierLaw {
    match *law {
        RectifierLaw::Tube {
            perveance,
            rated_emission,
        } => {
            let drop = (PUBLISHED_AMPERES / perveance).powf(2.0 / 3.0);
            let k = PUBLISHED_AMPERES / (drop + CONTACT_VOLTS).powf(power);
            let points = [0.0, 0.12, 0.4, 1.0, 2.2, 5.0].map(|share: f64| {
                let volts = -CONTACT_VOLTS + share * (drop + CONTACT_VOLTS);
                (volts, k * (volts + CONTACT_VOLTS).powf(power))
            });
            RectifierLaw::Curve {
                through: MeasuredCurve::through(points).expect("a power rises"),
                rated_emission,
                leak_siemens: 1e-10,
            }
        }
        RectifierLaw::Junction {
            threshold,
            series_ohms,
            leak_siemens,
            corner,
        } if corner > 0.2 => {
            // A stack: its published drop is five volts at 0.9 A in the examples.
            let amperes = 0.9;
            let drop = threshold + amperes * series_ohms;
            let points = [
                (0.2, 0.0),
                (0.45, 0.08),
                (0.68, 0.3),
                (0.86, 0.62),
                (1.0, 1.0),
                (1.65, 3.2),
            ]
            .map(|(volts, share)| (volts * drop, share * amperes));
            RectifierLaw::Curve {
                through: MeasuredCurve::through(points).expect("two slopes that rise"),
                rated_emission: f64::INFINITY,
                leak_siemens,
            }
        }
        other => other,
    }
}
