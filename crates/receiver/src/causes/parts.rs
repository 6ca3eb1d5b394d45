//! How the parts of a set differ from what is marked on them.
//!
//! Plain ratios. Sources: marked tolerance, what is known of the part (measured, replaced,
//! original), common practice, judgement where said. Nothing here can fail.

use crate::conditions::BenchConditions;
use crate::sheet::{CapacitorStyle, PartValue, ResistorMake};
use crate::untold::{UNTOLD, UNTOLD_SHARES, USUAL_SHARE};
use crate::wiring::{Figure, SetModel};

use super::spread::{Spread, even};
use super::{MEASURED_SHARE, listed};

/// A resistor without a marked tolerance (common practice: no fourth band is 20 percent).
const UNMARKED_SHARE: f64 = 0.2;
/// Upward drift of carbon composition that still counts as healthy (common practice:
/// 5 to 20 percent typical after decades).
const CARBON_DRIFT: f64 = 0.15;

/// How near a knob is set to what the sheet says, of its whole turn (judgement).
const SETTING: f64 = 0.04;

/// Each part of the sheet.
pub(super) fn of_parts(
    model: &SetModel<'_>,
    conditions: &BenchConditions,
    push: &mut impl FnMut(Figure, String, Spread),
) {
    let sheet = model.sheet;
    for (index, part) in sheet.parts.iter().enumerate() {
        let reference = &part.reference;
        let replaced = listed(&sheet.state.replaced, reference);
        let re_formed = listed(&sheet.state.re_formed, reference);
        let measured_ohms = sheet.state.measured_ohms(reference).is_some();
        let measured_farads = sheet.state.measured_farads(reference).is_some();
        match &part.value {
            PartValue::Resistor {
                tolerance,
                watts,
                make,
                ..
            } => {
                let spread = if measured_ohms {
                    even(MEASURED_SHARE)
                } else {
                    let (down, up) = tolerance
                        .map_or((UNMARKED_SHARE, UNMARKED_SHARE), |own| (own.down, own.up));
                    let carbon = match make {
                        Some(ResistorMake::Carbon) => true,
                        Some(_) => false,
                        None => watts.is_none_or(|watts| watts <= 2.0),
                    };
                    let drift = if carbon && !replaced {
                        CARBON_DRIFT
                    } else {
                        0.0
                    };
                    Spread::Even {
                        low: 1.0 - down,
                        high: (1.0 + up) * (1.0 + drift),
                    }
                };
                push(
                    Figure::Ohms(index),
                    format!("tolerance of {reference}"),
                    spread,
                );
            }
            PartValue::Control { tolerance, .. } => {
                if part.third.is_some() && model.has_stages() {
                    push(
                        Figure::Setting(index),
                        format!("setting of {reference}"),
                        even(SETTING),
                    );
                }
                let share = tolerance.map_or(0.2, |own| own.up);
                push(
                    Figure::Ohms(index),
                    if part.third.is_some() && model.has_stages() {
                        format!("tolerance of {reference}")
                    } else {
                        format!("tolerance and setting of {reference}")
                    },
                    even(if measured_ohms { 0.05 } else { share }),
                );
            }
            PartValue::Capacitor {
                style: CapacitorStyle::Electrolytic,
                ..
            } => {
                let farads = if measured_farads {
                    even(0.05)
                } else if replaced {
                    even(0.2)
                } else if re_formed {
                    Spread::Even {
                        low: 0.75,
                        high: 1.4,
                    }
                } else {
                    // Aged but serviceable (common practice: -10 to +100 percent when new).
                    Spread::Even {
                        low: 0.6,
                        high: 1.5,
                    }
                };
                push(
                    Figure::Farads(index),
                    format!("capacitance of {reference}"),
                    farads,
                );
                push(
                    Figure::SeriesOhms(index),
                    format!("series resistance of {reference}"),
                    if replaced {
                        Spread::EvenLog {
                            low: 0.15,
                            high: 1.0,
                        }
                    } else {
                        Spread::EvenLog {
                            low: 0.5,
                            high: 1.7,
                        }
                    },
                );
                push(
                    Figure::Leak(index),
                    format!("leakage of {reference}"),
                    Spread::EvenLog {
                        low: 0.1,
                        high: 8.0,
                    },
                );
            }
            PartValue::Coil { .. } => {
                let assumed = model
                    .assumed
                    .iter()
                    .any(|assumed| assumed.figure == Figure::Ohms(index));
                push(
                    Figure::Ohms(index),
                    format!("copper of {reference}"),
                    if measured_ohms {
                        even(MEASURED_SHARE)
                    } else if assumed {
                        Spread::EvenLog {
                            low: 0.35,
                            high: 2.5,
                        }
                    } else {
                        even(0.1)
                    },
                );
                if model.follows(index) {
                    push(
                        Figure::Henries(index),
                        format!("inductance of {reference}"),
                        even(0.3),
                    );
                }
            }
            PartValue::Selenium { .. } => push(
                Figure::Drop(index),
                format!("drop in {reference}"),
                if replaced {
                    Spread::EvenLog {
                        low: 0.8,
                        high: 1.25,
                    }
                } else {
                    Spread::EvenLog {
                        low: 0.8,
                        high: 1.8,
                    }
                },
            ),
            PartValue::Silicon { .. } => push(
                Figure::Drop(index),
                format!("drop in {reference}"),
                even(0.15),
            ),
            PartValue::Thermistor { .. } => {
                push(
                    Figure::Ohms(index),
                    format!("hot ohms of {reference}"),
                    even(0.2),
                );
                push(
                    Figure::ColdOhms(index),
                    format!("cold ohms of {reference}"),
                    even(if measured_ohms { 0.05 } else { 0.2 }),
                );
                if conditions.seconds.is_some() {
                    push(
                        Figure::ThermistorSeconds(index),
                        format!("time that {reference} takes"),
                        // Trade number: 25 to 90 s where its type does not tell.
                        Spread::EvenLog {
                            low: 0.65,
                            high: 1.6,
                        },
                    );
                }
            }
            PartValue::Ballast { .. } | PartValue::Fuse { .. } => push(
                Figure::Ohms(index),
                format!("ohms of {reference}"),
                even(if measured_ohms { MEASURED_SHARE } else { 0.1 }),
            ),
            PartValue::Load { steady, .. } => push(
                Figure::LoadCurrent(index),
                format!("current of {reference}"),
                if reference == UNTOLD {
                    Spread::EvenLog {
                        low: UNTOLD_SHARES.0 / USUAL_SHARE,
                        high: UNTOLD_SHARES.1 / USUAL_SHARE,
                    }
                } else if *steady {
                    even(0.1)
                } else {
                    // New tubes of one type differ by a third either way (check rows TP003 to
                    // TP006); several behind one load average out.
                    Spread::Bell { sigma: 0.1 }
                },
            ),
            PartValue::Crystal { .. } | PartValue::Neon { .. } | PartValue::Vdr { .. } => push(
                Figure::SmallPart(index),
                format!("curve of {reference}"),
                Spread::EvenLog {
                    low: 0.6,
                    high: 1.6,
                },
            ),
            PartValue::Capacitor { .. }
            | PartValue::Lamp(_)
            | PartValue::Switch { .. }
            | PartValue::Plug { .. }
            | PartValue::Wire => {}
        }
    }
}
