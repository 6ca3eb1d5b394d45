//! Pairs of places with an ohmmeter between them: what healthy sets read, and from where
//! on a fault shows.
//!
//! Ohms. The limit stands well outside the band that holds nine of ten healthy sets, so
//! that a whole plan stops at most two of a hundred of them. A faulty network that has
//! no solution tells nothing. The reading holds with the meter's + lead at the first
//! place.

use circuit::ohm_network::OhmNetwork;
use quantity::Band;
use rayon::prelude::*;

use crate::bands::{Values, movements};
use crate::conditions::BenchConditions;
use crate::expect::ROOM_KELVIN;
use crate::hazard::ActPlace;
use crate::ohms::{USUAL_OHMMETER, causes_at_rest};
use crate::plan::capacitors::{CapacitorPlace, CapacitorReview};
use crate::plan::faults::LikelyFault;
use crate::plan::situation::{act_junction, act_place, ends, line_side};
use crate::plan::step_builder::PlanError;
use crate::plan::{Limit, PlanWork, StopRule};
use crate::reading::{Reading, Unknown, What};
use crate::sheet::{CapacitorStyle, CoilKind, HeaterArrangement, PartValue, Place};
use crate::wiring::{SetModel, Variation};

/// How far a limit stands from the expected value, in half widths of the band that holds nine of ten.
const HALF_WIDTHS: f64 = 2.2;
/// Most that a faulty reading may be off: a gross fault rules it, whatever the healthy spread.
const MOST_DOUBT: f64 = 0.3;
/// Share of the expected reading below which a limit is set in the logarithm.
const WIDE: f64 = 0.2;
/// Least distance of a limit, relative to the reading.
const LEAST_RELATIVE: f64 = 0.06;
/// Least distance of a limit in ohms: leads and clips.
const LEAST_OHMS: f64 = 0.5;
/// Ohms above which the needle does not move.
const END_OF_SCALE_OHMS: f64 = 2e8;

/// Ohms that a line with nothing but electrolytics on it has to show once the needle has
/// stopped (common practice, from memory: a sound old can reads some hundred kilohms).
const LEAST_OPEN_OHMS: f64 = 5e4;

/// Two places with an ohmmeter between them.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Pair {
    /// Place of the + lead.
    pub(super) at: String,
    /// Place of the other lead.
    pub(super) to: String,
    /// Their junctions.
    pub(super) a: usize,
    pub(super) b: usize,
}

impl Pair {
    pub(super) fn of(at: String, to: String, a: usize, b: usize) -> Pair {
        Pair { at, to, a, b }
    }
}

/// The pairs of places at which an ohmmeter tells most.
pub(super) fn cold_pairs(model: &SetModel<'_>, capacitors: &[CapacitorReview]) -> Vec<Pair> {
    let mut pairs: Vec<Pair> = Vec::new();
    let mut add = |at: String, to: String, a: usize, b: usize| {
        let known = pairs
            .iter()
            .any(|pair| (pair.a, pair.b) == (a, b) || (pair.a, pair.b) == (b, a));
        if a != b && !known {
            pairs.push(Pair::of(at, to, a, b));
        }
    };
    if let (Some(a), Some(b)) = (model.junction(&Place::LineA), model.junction(&Place::LineB)) {
        add("line a".to_owned(), "line b".to_owned(), a, b);
    }
    if let Some(chassis) = model.chassis {
        let mut supplies = model.supply_places();
        for review in capacitors {
            if review.style == CapacitorStyle::Electrolytic
                && let Some((from, to)) = ends(model, review.part)
            {
                supplies.extend([from, to]);
            }
        }
        for junction in supplies {
            add(
                model.junction_name(junction),
                "chassis".to_owned(),
                junction,
                chassis,
            );
        }
    }
    let line = line_side(model);
    for winding in &model.sheet.windings {
        if let (Some(a), Some(b)) = (model.junction(&winding.start), model.junction(&winding.end))
            && !(line.contains(&a) && line.contains(&b))
        {
            add(winding.start.to_string(), winding.end.to_string(), a, b);
        }
    }
    for review in capacitors {
        if review.place == CapacitorPlace::Boost
            && let Some((from, to)) = ends(model, review.part)
        {
            add(model.junction_name(from), model.junction_name(to), from, to);
        }
    }
    for row in &model.sheet.heaters {
        if row.arrangement == HeaterArrangement::Series
            && let (Some(a), Some(b)) = (model.junction(&row.from), model.junction(&row.to))
        {
            add(row.from.to_string(), row.to.to_string(), a, b);
        }
    }
    for (index, part) in model.sheet.parts.iter().enumerate() {
        // Coils of the supply; and what drops volts for a heater string, because a wrong one
        // is hard to tell once the string glows.
        let by_itself = matches!(
            part.value,
            PartValue::Coil {
                kind: CoilKind::Choke | CoilKind::FocusCoil,
                ..
            } | PartValue::Ballast { .. }
                | PartValue::Thermistor { .. }
        ) || model.drops_for_string(index);
        if by_itself
            && let (Some(a), Some(b)) = (model.junction(&part.from), model.junction(&part.to))
        {
            add(part.from.to_string(), part.to.to_string(), a, b);
        }
    }
    pairs
}

/// What healthy sets read between the pairs.
pub(super) fn read_pairs(
    model: &SetModel<'_>,
    conditions: &BenchConditions,
    pairs: &[Pair],
    work: &mut PlanWork,
) -> Result<PairBands, PlanError> {
    let expected = solve(model, conditions, &Variation::none(), pairs)?;
    work.solved_states += 1;
    if expected.iter().all(Option::is_none) {
        return Ok(PairBands {
            bands: vec![None; pairs.len()],
            expected,
        });
    }
    let causes = causes_at_rest(model, conditions);
    let moved = movements(&causes, expected.clone(), |variation| {
        solve(model, conditions, variation, pairs).ok()
    });
    let solved = moved.solved;
    let bands = moved.bands();
    work.solved_states += solved;
    Ok(PairBands { bands, expected })
}

/// The place of an act at one of a pair.
pub(super) fn pair_place(model: &SetModel<'_>, junction: usize, name: &str) -> ActPlace {
    match model.places.find(name) {
        Ok(place) => act_place(model, place),
        Err(_) => act_junction(model, junction),
    }
}

/// Readings of healthy sets, pair by pair.
pub(super) struct PairBands {
    /// As the sheet has it; `None` where the needle does not move.
    pub(super) expected: Values,
    bands: Vec<Option<Band>>,
}

impl PairBands {
    pub(super) fn readings(&self, pairs: &[Pair]) -> Vec<Reading> {
        pairs
            .iter()
            .zip(&self.bands)
            .filter_map(|(pair, band)| {
                Some(Reading {
                    at: pair.at.clone(),
                    to: Some(pair.to.clone()),
                    what: What::Ohms,
                    lead: None,
                    band: band.clone()?,
                })
            })
            .collect()
    }

    pub(super) fn unknown(&self, pairs: &[Pair]) -> Vec<Unknown> {
        pairs
            .iter()
            .zip(&self.bands)
            .filter(|(_, band)| band.is_none())
            .map(|(pair, _)| Unknown {
                at: pair.at.clone(),
                what: What::Ohms,
                because: format!(
                    "nothing but insulation joins it to {}: the needle does not move",
                    pair.to
                ),
            })
            .collect()
    }
}

fn solve(
    model: &SetModel<'_>,
    conditions: &BenchConditions,
    variation: &Variation,
    pairs: &[Pair],
) -> Result<Values, PlanError> {
    let wired = model.wire_unplugged(conditions, variation)?;
    let network = OhmNetwork::new(&wired.circuit, ROOM_KELVIN)?;
    pairs
        .iter()
        .map(|pair| {
            let ohms = network.ohms(wired.node(pair.a), wired.node(pair.b), USUAL_OHMMETER)?;
            Ok(Some(ohms).filter(|ohms| *ohms < END_OF_SCALE_OHMS))
        })
        .collect()
}

pub(super) fn below(at: &str, to: &str, ohms: f64, tells: &str) -> StopRule {
    StopRule {
        at: at.to_owned(),
        to: Some(to.to_owned()),
        what: What::Ohms,
        limit: Limit::Below(ohms),
        after_seconds: 0.0,
        tells: vec![tells.to_owned()],
        cannot_tell: vec!["insulation that breaks down only at line volts".to_owned()],
    }
}

/// Where a healthy pair ends: below and above.
fn ends_of(band: &Band) -> (f64, f64) {
    let size = band.expected.abs();
    let down = (HALF_WIDTHS * (band.expected - band.low))
        .max(LEAST_RELATIVE * size)
        .max(LEAST_OHMS);
    let up = (HALF_WIDTHS * (band.high - band.expected))
        .max(LEAST_RELATIVE * size)
        .max(LEAST_OHMS);
    let low = band.expected - down;
    // A line that only the leakage of its cans loads spreads over decades: there the distance
    // counts in the logarithm, or the limit would lie below zero and tell no short at all.
    let low = if low < WIDE * size && band.low > 0.0 {
        size * (band.low / size).powf(HALF_WIDTHS)
    } else {
        low
    };
    (low, band.expected + up)
}

/// Limits of the pairs with the faults that each tells, the faults that none tells, and
/// the networks solved.
pub(super) fn limits(
    model: &SetModel<'_>,
    conditions: &BenchConditions,
    pairs: &[Pair],
    seen: &PairBands,
    faults: &[LikelyFault],
) -> (Vec<StopRule>, Vec<String>, usize) {
    let told: Vec<(Option<ToldBy>, usize)> = faults
        .par_iter()
        .map(|fault| told_by(model, conditions, pairs, seen, fault))
        .collect();
    let mut rules: Vec<(usize, bool, StopRule)> = Vec::new();
    let mut untold = Vec::new();
    let mut solved = 0;
    for (fault, (by, runs)) in faults.iter().zip(told) {
        solved += runs;
        let Some(ToldBy {
            pair,
            is_above,
            severity,
        }) = by
        else {
            untold.push(fault.name.clone());
            continue;
        };
        {
            let words = fault.in_words(severity);
            match rules
                .iter_mut()
                .find(|(own, own_above, _)| (*own, *own_above) == (pair, is_above))
            {
                Some((_, _, rule)) => rule.tells.push(words),
                None => {
                    // Where nothing but insulation joins the places, open is healthy.
                    let (low, high) = match &seen.bands[pair] {
                        Some(band) => ends_of(band),
                        None => (LEAST_OPEN_OHMS, f64::INFINITY),
                    };
                    rules.push((
                        pair,
                        is_above,
                        StopRule {
                            at: pairs[pair].at.clone(),
                            to: Some(pairs[pair].to.clone()),
                            what: What::Ohms,
                            limit: if is_above {
                                Limit::Above(two_figures(high, true))
                            } else {
                                Limit::Below(two_figures(low, false))
                            },
                            after_seconds: 0.0,
                            tells: vec![words],
                            cannot_tell: Vec::new(),
                        },
                    ));
                }
            }
        }
    }
    rules.sort_by_key(|(pair, is_above, _)| (*pair, *is_above));
    let mut rules: Vec<StopRule> = rules.into_iter().map(|(_, _, rule)| rule).collect();
    for rule in &mut rules {
        if rule.to.as_deref() == Some("chassis") {
            rule.cannot_tell
                .push("leakage that begins only at working volts".to_owned());
        }
    }
    (rules, untold, solved)
}

/// The reading that tells a fault, and the severity from which on.
struct ToldBy {
    pair: usize,
    is_above: bool,
    severity: f64,
}

/// The reading that tells a fault at its slightest; of several that which the gross fault
/// moves most. Also the networks solved.
fn told_by(
    model: &SetModel<'_>,
    conditions: &BenchConditions,
    pairs: &[Pair],
    seen: &PairBands,
    fault: &LikelyFault,
) -> (Option<ToldBy>, usize) {
    let mut runs = 0;
    // Pairs that pass a limit, on which side, and how far the reading has moved.
    let mut passing = |severity: f64| -> Vec<(usize, bool, f64)> {
        runs += 1;
        let Ok(values) = solve(model, conditions, &fault.variation(severity), pairs) else {
            return Vec::new();
        };
        values
            .iter()
            .zip(&seen.bands)
            .enumerate()
            .filter_map(|(pair, (value, band))| {
                let Some(band) = band.as_ref() else {
                    return value
                        .filter(|ohms| *ohms < 0.9 * LEAST_OPEN_OHMS)
                        .map(|ohms| (pair, false, LEAST_OPEN_OHMS / ohms.max(1e-3)));
                };
                let (low, high) = ends_of(band);
                let size = band.expected.abs().max(1e-6);
                let doubt = (0.5 * (band.high - band.low) / size).clamp(0.02, MOST_DOUBT);
                match value {
                    None => Some((pair, true, f64::INFINITY)),
                    Some(ohms) if ohms * (1.0 - doubt) > two_figures(high, true) => {
                        Some((pair, true, ohms / size))
                    }
                    Some(ohms) if ohms * (1.0 + doubt) < two_figures(low, false) => {
                        Some((pair, false, size / ohms.max(1e-3)))
                    }
                    Some(_) => None,
                }
            })
            .collect()
    };
    let Some(&gross) = fault.severities.last() else {
        return (None, 0);
    };
    let by = passing(gross);
    if by.is_empty() {
        return (None, runs);
    }
    // The slightest rung that is still told, by halving.
    let (mut untold, mut told) = (0, fault.severities.len());
    let mut last = by.clone();
    while told - untold > 1 {
        let middle = (told + untold) / 2;
        let Some(&severity) = fault.severities.get(middle - 1) else {
            break;
        };
        let now = passing(severity);
        let still: Vec<_> = now
            .into_iter()
            .filter(|(pair, is_above, _)| {
                by.iter()
                    .any(|(own, own_above, _)| own == pair && own_above == is_above)
            })
            .collect();
        if still.is_empty() {
            untold = middle;
        } else {
            told = middle;
            last = still;
        }
    }
    let severity = fault.severities.get(told - 1).copied().unwrap_or(gross);
    let strongest = by
        .into_iter()
        .filter(|(pair, is_above, _)| {
            last.iter()
                .any(|(own, own_above, _)| own == pair && own_above == is_above)
        })
        .max_by(|one, other| one.2.total_cmp(&other.2));
    (
        strongest.map(|(pair, is_above, _)| ToldBy {
            pair,
            is_above,
            severity,
        }),
        runs,
    )
}

/// Two significant figures, as a limit is read off a scale; rounded away from the healthy
/// sets, because the last digit of two is up to a tenth of the value.
fn two_figures(value: f64, is_above: bool) -> f64 {
    if value <= 0.0 || !value.is_finite() {
        return value;
    }
    let unit = 10f64.powf(value.log10().floor() - 1.0);
    let units = value / unit;
    // A whole number of units stays what it is.
    let whole = units.round();
    let units = if (units - whole).abs() < 1e-9 {
        whole
    } else if is_above {
        units.ceil()
    } else {
        units.floor()
    };
    units * unit
}
