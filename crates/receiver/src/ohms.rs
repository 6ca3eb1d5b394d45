//! What an ohmmeter should show with the set unplugged.
//!
//! Ohms. Everything is cold: tubes and their loads conduct nothing, heaters, lamps and
//! thermistors have their cold resistance, capacitors show their leakage once they are
//! charged. The bands come from the causes that count at rest. A metal rectifier or a crystal
//! that the meter's own volts turn on makes the reading depend on which lead is where: there
//! are two readings then, each with its lead. An electrolytic that the meter feeds with the
//! wrong sign leaks more by an amount that nobody states: where that counts only the other
//! way round is told, and a notice says so.
//! A place that nothing joins to the other lead is listed as unknown with that reason;
//! no reading is ever infinite. Fails when a name is not on the sheet.

use circuit::Element;
use circuit::ohm_network::OhmNetwork;
use circuit::resting::OhmMeter;
use parts::Catalogue;
use quantity::Band;

use crate::bands::{Values, movements};
use crate::causes::{COLD_HEATERS, Cause, Spread, causes};
use crate::conditions::BenchConditions;
use crate::expect::{ExpectError, Expectation, ROOM_KELVIN};
use crate::reading::{Lead, Notice, Reading, Unknown, What};
use crate::sheet::{CapacitorStyle, PartValue, Place, Sheet};
use crate::wiring::{Figure, SetModel, Variation, Wired, WiringError};

/// An ohmmeter as found on benches: one dry cell and a few kilohms in the middle
/// ranges (common practice). Only rectifiers feel it.
pub const USUAL_OHMMETER: OhmMeter = OhmMeter {
    open_volts: 1.5,
    series_ohms: 3e3,
};

/// Ohms above which the needle of a bench ohmmeter does not move (common practice:
/// scales end at some hundred megohms).
pub(crate) const END_OF_SCALE_OHMS: f64 = 2e8;

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
    let solve = |variation: &Variation, lead: Lead| -> Result<Values, ExpectError> {
        let (network, wired) = network_of(model, conditions, variation)?;
        let other = to_junction.map_or(0, |junction| wired.node(junction));
        (0..junctions)
            .map(|junction| {
                let node = wired.node(junction);
                let (plus, minus) = match lead {
                    Lead::Plus => (node, other),
                    Lead::Minus => (other, node),
                };
                let ohms = network.ohms(plus, minus, USUAL_OHMMETER)?;
                Ok(ohms.is_finite().then_some(ohms))
            })
            .collect()
    };
    let mut solved_states = 0;
    let mut both: Vec<(Values, Vec<Option<Band>>)> = Vec::new();
    for lead in [Lead::Plus, Lead::Minus] {
        if lead == Lead::Minus && !bends(model) {
            let plus = both[0].clone();
            both.push(plus);
            continue;
        }
        let expected = solve(&Variation::none(), lead)?;
        solved_states += 1;
        let bands = if conditions.bands {
            let found = causes_at_rest(model, conditions);
            let moved = movements(&found, expected.clone(), |variation| {
                solve(variation, lead).ok()
            });
            solved_states += moved.solved;
            moved.bands()
        } else {
            expected
                .iter()
                .map(|value| value.and_then(|value| Band::exactly(value).ok()))
                .collect()
        };
        both.push((expected, bands));
    }
    let wrong_way = wrong_way_round(model, conditions, to_junction)?;
    let mut readings = Vec::new();
    let mut unknown = Vec::new();
    let mut not_that_way = Vec::new();
    for place in model.places.iter() {
        let Some(junction) = model.junction(place) else {
            continue;
        };
        if Some(junction) == to_junction {
            continue;
        }
        let told = |lead: usize| {
            both[lead].1[junction]
                .as_ref()
                .filter(|band| band.expected < END_OF_SCALE_OHMS)
        };
        let (plus, minus) = (told(0), told(1));
        let [plus_wrong, minus_wrong] = &wrong_way[junction];
        let mut push = |band: &Band, lead: Option<Lead>| {
            readings.push(Reading {
                at: place.to_string(),
                to: Some(to.to_string()),
                what: What::Ohms,
                lead,
                band: band.clone(),
            });
        };
        let alike = match (plus, minus) {
            (Some(plus), Some(minus)) => {
                plus.contains(minus.expected) && minus.contains(plus.expected)
            }
            (None, None) => true,
            _ => false,
        };
        match (plus, minus) {
            (Some(band), _) if alike && plus_wrong.is_none() && minus_wrong.is_none() => {
                push(band, None);
                continue;
            }
            _ => {}
        }
        let mut any = false;
        for (band, lead, wrong) in [
            (plus, Lead::Plus, plus_wrong),
            (minus, Lead::Minus, minus_wrong),
        ] {
            match (band, wrong) {
                (Some(_), Some(part)) => not_that_way.push(format!(
                    "{place} with the {} lead there ({part})",
                    lead.sign()
                )),
                (Some(band), None) => {
                    push(band, Some(lead));
                    any = true;
                }
                (None, _) if !alike => any = true,
                (None, _) => {}
            }
        }
        if any {
            // The lead that is not told finds the place open.
            continue;
        }
        unknown.push(Unknown {
            at: place.to_string(),
            what: What::Ohms,
            because: match both[0].0[junction] {
                _ if plus.is_some() || minus.is_some() => {
                    "either way round the meter meets an electrolytic with the wrong sign, and what \
                     that leaks no figure tells"
                        .to_string()
                }
                None => format!("nothing joins it to {to}: {READS_OPEN}"),
                Some(_) => {
                    format!("only the insulation of parts joins it to {to}: {DOES_NOT_MOVE}")
                }
            },
        });
    }
    Ok(Expectation {
        readings,
        unknown,
        notices: notices(model, &not_that_way),
        line_volts: None,
        solved_states,
        balance_amperes: 0.0,
    })
}

/// Cold resistance of each junction to the chassis in a set with such a fault, the + lead at the junction;
/// `None` where nothing joins it.
///
/// # Errors
/// As [`cold_ohms`].
pub fn cold_values(
    model: &SetModel<'_>,
    conditions: &BenchConditions,
    variation: &Variation,
) -> Result<Values, ExpectError> {
    let (network, wired) = network_of(model, conditions, variation)?;
    (0..model.places.junctions().len())
        .map(|junction| {
            let ohms = network.ohms(wired.node(junction), 0, USUAL_OHMMETER)?;
            Ok(ohms.is_finite().then_some(ohms))
        })
        .collect()
}

const READS_OPEN: &str = "the meter reads open";
const DOES_NOT_MOVE: &str = "the needle does not move";

/// Whether a place is not told because an ohmmeter finds it open.
pub(crate) fn reads_open(unknown: &Unknown) -> bool {
    unknown.what == What::Ohms
        && [READS_OPEN, DOES_NOT_MOVE]
            .iter()
            .any(|end| unknown.because.ends_with(end))
}

/// The set unplugged, with its crystals and the like.
pub(crate) fn network_of(
    model: &SetModel<'_>,
    conditions: &BenchConditions,
    variation: &Variation,
) -> Result<(OhmNetwork, Wired), ExpectError> {
    let wired = model.wire_unplugged(conditions, variation)?;
    let mut small: Vec<(usize, _)> = model
        .small_laws
        .iter()
        .filter(|(part, _)| !wired.open_parts.get(**part).copied().unwrap_or(true))
        .filter_map(|(&part, &law)| {
            let [Some(a), Some(b), _] = model.part_ends[part] else {
                return None;
            };
            Some((part, (wired.node(a), wired.node(b), law)))
        })
        .collect();
    small.sort_by_key(|(part, _)| *part);
    let small: Vec<_> = small.into_iter().map(|(_, law)| law).collect();
    let network = OhmNetwork::with(&wired.circuit, ROOM_KELVIN, &small)?;
    Ok((network, wired))
}

/// For each junction and lead (+ there, - there) the electrolytic that the meter would then
/// feed with the wrong sign, where its leak counts in the reading. A sound electrolytic leaks
/// many times more the wrong way round (common practice); how much, nobody states.
fn wrong_way_round(
    model: &SetModel<'_>,
    conditions: &BenchConditions,
    to_junction: Option<usize>,
) -> Result<Vec<[Option<String>; 2]>, ExpectError> {
    let (network, wired) = network_of(model, conditions, &Variation::none())?;
    let other = to_junction.map_or(0, |junction| wired.node(junction));
    let cans: Vec<(usize, (usize, usize), f64)> = model
        .sheet
        .parts
        .iter()
        .enumerate()
        .filter(|(_, part)| is_electrolytic(&part.value))
        .filter_map(|(part, _)| {
            let element = *wired.parts.get(part)?.first()?;
            match wired.circuit.elements.get(element)? {
                Element::Capacitor {
                    a, b, leak_siemens, ..
                } => Some((part, (*a, *b), *leak_siemens)),
                _ => None,
            }
        })
        .collect();
    (0..model.places.junctions().len())
        .map(|junction| {
            let leads = (wired.node(junction), other);
            let ohms = network.ohms(leads.0, leads.1, USUAL_OHMMETER)?;
            let mut wrong = [None, None];
            if !ohms.is_finite() {
                return Ok(wrong);
            }
            for (part, ends, leak) in &cans {
                let share = network.share(*ends, leads);
                // What the reading loses when this leak grows (closed form of one branch).
                let more = share * share * ohms * leak * (WRONG_WAY_LEAK - 1.0);
                if more > WRONG_WAY_COUNTS {
                    let side = usize::from(share > 0.0);
                    wrong[side].get_or_insert_with(|| model.sheet.parts[*part].reference.clone());
                }
            }
            Ok(wrong)
        })
        .collect()
}

/// How many times more an electrolytic may leak the wrong way round (judgement).
const WRONG_WAY_LEAK: f64 = 30.0;
/// Share of a reading from which that counts.
const WRONG_WAY_COUNTS: f64 = 0.1;

fn is_electrolytic(value: &PartValue) -> bool {
    matches!(
        value,
        PartValue::Capacitor {
            style: CapacitorStyle::Electrolytic,
            ..
        }
    )
}

/// Whether the set has a part that conducts one way better than the other.
fn bends(model: &SetModel<'_>) -> bool {
    model.sheet.parts.iter().any(|part| {
        matches!(
            part.value,
            PartValue::Selenium { .. } | PartValue::Silicon { .. } | PartValue::Crystal { .. }
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

fn notices(model: &SetModel<'_>, not_that_way: &[String]) -> Vec<Notice> {
    let mut notices = vec![Notice {
        text: "plug out, every capacitor discharged through a resistor and proved empty with the \
               voltmeter before the ohmmeter touches anything"
            .to_string(),
        hint: String::new(),
    }];
    let charges = model
        .sheet
        .parts
        .iter()
        .any(|part| is_electrolytic(&part.value));
    if charges {
        notices.push(Notice {
            text: "the electrolytics charge from the meter: wait until the needle stops"
                .to_string(),
            hint: "their + end wants the + lead; some meters have their + volts on the black lead"
                .to_string(),
        });
    }
    if !not_that_way.is_empty() {
        notices.push(Notice {
            text: format!(
                "not told, because an electrolytic leaks more the wrong way round: {}",
                not_that_way.join(", ")
            ),
            hint: "turn the leads round".to_string(),
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
