//! What an ohmmeter should show with the set unplugged.
//!
//! Ohms. Everything is cold: tubes and their loads conduct nothing, heaters, lamps and
//! thermistors have their cold resistance, capacitors show their leakage once they are
//! charged. The bands come from the causes that count at rest. A metal rectifier that
//! the meter's own volts turn on makes the reading depend on which lead is where: the
//! reading is the one with the + lead at the place, and a notice tells the other.
//! A place that nothing joins to the other lead is listed as unknown with that reason;
//! no reading is ever infinite. Fails when a name is not on the sheet.

use circuit::ohm_network::OhmNetwork;
use circuit::resting::OhmMeter;
use parts::Catalogue;
use quantity::{Band, Unit, bench};

use crate::bands::{Values, movements};
use crate::causes::{COLD_HEATERS, Cause, Spread, causes};
use crate::conditions::BenchConditions;
use crate::expect::{ExpectError, Expectation, ROOM_KELVIN};
use crate::reading::{Notice, Reading, Unknown, What};
use crate::sheet::{CapacitorStyle, PartValue, Place, Sheet};
use crate::wiring::{Figure, SetModel, Variation, WiringError};

/// An ohmmeter as found on benches: one dry cell and a few kilohms in the middle
/// ranges (common practice). Only rectifiers feel it.
pub const USUAL_OHMMETER: OhmMeter = OhmMeter {
    open_volts: 1.5,
    series_ohms: 3e3,
};

/// Ohms above which the needle of a bench ohmmeter does not move (common practice:
/// scales end at some hundred megohms).
const END_OF_SCALE_OHMS: f64 = 2e8;

/// Cold resistance from each place to the chassis, or to the place `to`, with the tubes
/// of `pulled` out of their sockets.
///
/// # Errors
/// A place or reference that is not on the sheet, or a network without a solution.
pub fn cold_ohms(
    sheet: &Sheet,
    catalogue: &Catalogue,
    to: Option<&str>,
    pulled: &[String],
) -> Result<Expectation, ExpectError> {
    let conditions = BenchConditions {
        pulled: pulled.to_vec(),
        to: to.map(str::to_string),
        bands: true,
        ..BenchConditions::default()
    };
    cold_ohms_of(&SetModel::new(sheet, catalogue), &conditions)
}

/// The same for a model at hand. Of the conditions, what is pulled, open or cut loose,
/// the other lead and whether bands are wanted count.
///
/// # Errors
/// As [`cold_ohms`].
pub fn cold_ohms_of(
    model: &SetModel<'_>,
    conditions: &BenchConditions,
) -> Result<Expectation, ExpectError> {
    let to = match &conditions.to {
        Some(text) => model.places.find(text).map_err(WiringError::from)?.clone(),
        None => Place::Chassis,
    };
    let to_junction = model.junction(&to);
    let junctions = model.places.junctions().len();
    let solve = |variation: &Variation, forward: bool| -> Result<Values, ExpectError> {
        let wired = model.wire_unplugged(conditions, variation)?;
        let network = OhmNetwork::new(&wired.circuit, ROOM_KELVIN)?;
        let other = to_junction.map_or(0, |junction| wired.node(junction));
        (0..junctions)
            .map(|junction| {
                let node = wired.node(junction);
                let (plus, minus) = if forward {
                    (node, other)
                } else {
                    (other, node)
                };
                let ohms = network.ohms(plus, minus, USUAL_OHMMETER)?;
                Ok(ohms.is_finite().then_some(ohms))
            })
            .collect()
    };
    let expected = solve(&Variation::none(), true)?;
    let mut solved_states = 1;
    let bands: Vec<Option<Band>> = if conditions.bands {
        let found = causes_at_rest(model, conditions);
        let moved = movements(&found, expected.clone(), |variation| {
            solve(variation, true).ok()
        });
        solved_states += moved.solved;
        moved.bands()
    } else {
        expected
            .iter()
            .map(|value| value.and_then(|value| Band::exactly(value).ok()))
            .collect()
    };
    let turned = if has_metal_rectifier(model) {
        solved_states += 1;
        solve(&Variation::none(), false)?
    } else {
        expected.clone()
    };
    let mut readings = Vec::new();
    let mut unknown = Vec::new();
    let mut both_ways = Vec::new();
    for place in model.places.iter() {
        let Some(junction) = model.junction(place) else {
            continue;
        };
        if Some(junction) == to_junction {
            continue;
        }
        let told = bands[junction]
            .as_ref()
            .filter(|band| band.expected < END_OF_SCALE_OHMS);
        if let Some(other_way) = turned_around(told, turned[junction]) {
            both_ways.push(format!("{place} {other_way}"));
        }
        match told {
            Some(band) => readings.push(Reading {
                at: place.to_string(),
                to: Some(to.to_string()),
                what: What::Ohms,
                lead: None,
                band: band.clone(),
            }),
            None => unknown.push(Unknown {
                at: place.to_string(),
                what: What::Ohms,
                because: match expected[junction] {
                    None => format!("nothing joins it to {to}: the meter reads open"),
                    Some(_) => format!(
                        "only the insulation of parts joins it to {to}: the needle does not move"
                    ),
                },
            }),
        }
    }
    Ok(Expectation {
        readings,
        unknown,
        notices: notices(model, &both_ways),
        line_volts: None,
        solved_states,
        balance_amperes: 0.0,
    })
}

/// What the meter shows with its leads the other way round, where that is another reading.
fn turned_around(told: Option<&Band>, turned: Option<f64>) -> Option<String> {
    let turned = turned.filter(|ohms| *ohms < END_OF_SCALE_OHMS);
    match (told, turned) {
        (Some(band), Some(ohms)) if !band.contains(ohms) => Some(bench(ohms, Unit::Ohms)),
        (Some(_), None) => Some("open".to_string()),
        (None, Some(ohms)) => Some(bench(ohms, Unit::Ohms)),
        _ => None,
    }
}

fn has_metal_rectifier(model: &SetModel<'_>) -> bool {
    model.sheet.parts.iter().any(|part| {
        matches!(
            part.value,
            PartValue::Selenium { .. } | PartValue::Silicon { .. }
        )
    })
}

/// The causes that move a resistance: those of resistances, leakage and copper.
pub(crate) fn causes_at_rest(model: &SetModel<'_>, conditions: &BenchConditions) -> Vec<Cause> {
    let mut kept: Vec<Cause> = causes(model, conditions)
        .into_iter()
        .filter(|cause| match cause.figure {
            Figure::Ohms(part) => {
                !matches!(model.sheet.parts[part].value, PartValue::Thermistor { .. })
            }
            Figure::LoadCurrent(part) => matches!(
                model.sheet.parts[part].value,
                PartValue::Load { steady: true, .. }
            ),
            Figure::Leak(_)
            | Figure::ColdOhms(_)
            | Figure::Drop(_)
            | Figure::WindingOhms(_)
            | Figure::HeaterAmperes(_) => true,
            _ => false,
        })
        .collect();
    for cause in &mut kept {
        if let Figure::HeaterAmperes(_) = cause.figure {
            cause.spread = COLD_HEATERS;
            cause.name = "cold resistance of the heaters".to_string();
        }
    }
    kept.push(Cause {
        figure: Figure::Meter,
        name: "the ohmmeter".to_string(),
        spread: Spread::Bell { sigma: 0.015 },
    });
    kept
}

fn notices(model: &SetModel<'_>, both_ways: &[String]) -> Vec<Notice> {
    let mut notices = vec![Notice {
        text: "plug out, every capacitor discharged through a resistor and proved empty with the \
               voltmeter before the ohmmeter touches anything"
            .to_string(),
        hint: String::new(),
    }];
    let charges = model.sheet.parts.iter().any(|part| {
        matches!(
            part.value,
            PartValue::Capacitor {
                style: CapacitorStyle::Electrolytic,
                ..
            }
        )
    });
    if charges {
        notices.push(Notice {
            text: "the electrolytics charge from the meter: wait until the needle stops"
                .to_string(),
            hint: "their + end wants the + lead; some meters have their + volts on the black lead"
                .to_string(),
        });
    }
    if !both_ways.is_empty() {
        notices.push(Notice {
            text: format!(
                "readings with the meter's + lead at the place; with the leads the other way round: {}",
                both_ways.join(", ")
            ),
            hint: "the meter's own volts turn metal rectifiers on".to_string(),
        });
    }
    for left_out in &model.left_out {
        notices.push(Notice {
            text: format!(
                "left out: {}, because {}",
                left_out.reference, left_out.because
            ),
            hint: "complete the sheet to have it counted".to_string(),
        });
    }
    notices
}
