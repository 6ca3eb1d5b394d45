//! Possible slips, and a quick look at each.
//!
//! Volts and ohms. Figures of the chart are tried times ten, a tenth, with the other sign and
//! exchanged within a tube. Parts are tried on the solved set by [`crate::whole_set::Trials`]:
//! ohms a factor of ten to a thousand off, and each end at another place - a part at a
//! disagreeing place elsewhere, any other part there. Places tried are those a pen slips to:
//! named lines and the chassis, other pins of the tubes at hand, the same pin of other tubes.
//! What cannot be solved is left out. Nothing here fails.

use std::collections::HashMap;

use rayon::prelude::*;

use crate::ohms::USUAL_OHMMETER;
use crate::reading::What;
use crate::sheet::{PartValue, Place, Sheet};
use crate::whole_set::{Trial, Trials};
use crate::wiring::SetModel;

use super::rows::{ChartRow, Laid};
use super::slips::{End, Judges, LEAST_MOST, Score, SlipChange, is_ohms};

/// Half widths outside from which a place is worth a look at its parts.
const WORTH_A_LOOK: f64 = 0.2;
/// Factors a pen slips by: a digit lost or won, k for meg.
const FACTORS: [f64; 6] = [10.0, 0.1, 100.0, 0.01, 1e3, 1e-3];
/// Changes between two looks at whoever waits.
const BATCH: usize = 64;
/// Places told for one end of a part.
const PLACES_OF_AN_END: usize = 4;
/// Most pairs of pins for which the whole set is solved.
const MOST_PAIRS: usize = 60;

/// Slips in the chart itself.
pub(super) fn figures(rows: &[ChartRow], judges: &Judges) -> Vec<(SlipChange, Score)> {
    let mut found = Vec::new();
    let outside = |row: usize| judges.base().get(row).is_some_and(|excess| *excess > 0.0);
    for (number, row) in rows.iter().enumerate().filter(|(row, _)| outside(*row)) {
        let mut tries = vec![10.0 * row.charted, 0.1 * row.charted];
        if row.what == What::DcVolts {
            tries.push(-row.charted);
        } else {
            tries.extend([1e3 * row.charted, 1e-3 * row.charted]);
        }
        for would_be in tries.into_iter().filter(|ohms| ohms.is_finite()) {
            let mut score = Score::default();
            judges.with_figure(&mut score, number, would_be);
            let row = number;
            found.push((SlipChange::Figure { row, would_be }, score));
        }
        for (second, other) in rows.iter().enumerate().skip(number + 1) {
            let exchangeable = outside(second)
                && other.what == row.what
                && other.to == row.to
                && tube_of(&other.at).is_some_and(|tube| Some(tube) == tube_of(&row.at));
            if exchangeable {
                let mut score = Score::default();
                judges.with_figure(&mut score, number, other.charted);
                judges.with_figure(&mut score, second, row.charted);
                let (one, other) = (number, second);
                found.push((SlipChange::FiguresExchanged { one, other }, score));
            }
        }
    }
    found
}

fn tube_of(at: &str) -> Option<&str> {
    at.split_once('.').map(|(tube, _)| tube)
}

/// What the quick look found.
pub(super) struct Quick {
    /// Changes that bring something home, the best first.
    pub best: Vec<SlipChange>,
    pub tried: usize,
    pub stopped: bool,
}

/// Slips in the parts, by the quick look.
pub(super) fn changes(
    model: &SetModel<'_>,
    laid: &Laid<'_, '_>,
    judges: &Judges,
    go_on: &mut dyn FnMut(f64) -> bool,
) -> Quick {
    let look = Look::new(model, &laid.trials, &laid.rows, judges);
    let mut all = ohms_off(model);
    all.extend(look.wrong_ends());
    let batches = all.len().div_ceil(BATCH).max(1);
    let mut scored: Vec<(Trial, Score)> = Vec::new();
    let mut stopped = false;
    for (number, batch) in all.chunks(BATCH).enumerate() {
        if !go_on(number as f64 / batches as f64) {
            stopped = true;
            break;
        }
        let found: Vec<Option<Score>> = batch.par_iter().map(|trial| look.score(*trial)).collect();
        for (trial, score) in batch.iter().zip(found) {
            if let Some(score) = score.filter(|score| score.may_be_told()) {
                scored.push((*trial, score));
            }
        }
    }
    scored.sort_by_key(|(trial, score)| std::cmp::Reverse((score.steps(), busy(model, *trial))));
    // Places that differ little from one another must not push all others out.
    let mut ends: HashMap<(usize, usize), usize> = HashMap::new();
    scored.retain(|(trial, _)| match *trial {
        Trial::Ohms { .. } => true,
        Trial::End { part, end, .. } => {
            let seen = ends.entry((part, end)).or_default();
            *seen += 1;
            *seen <= PLACES_OF_AN_END
        }
    });
    Quick {
        best: scored
            .into_iter()
            .filter_map(|(trial, _)| told(model, trial))
            .collect(),
        tried: all.len(),
        stopped,
    }
}

/// How many ends of parts sit at the place of a trial: a line that feeds much is where a pen
/// meant to go.
fn busy(model: &SetModel<'_>, trial: Trial) -> usize {
    match trial {
        Trial::Ohms { .. } => usize::MAX,
        Trial::End { junction, .. } => model
            .part_ends
            .iter()
            .flatten()
            .filter(|end| **end == Some(junction))
            .count(),
    }
}

/// Every part with its ohms off by a factor.
fn ohms_off(model: &SetModel<'_>) -> Vec<Trial> {
    model
        .sheet
        .parts
        .iter()
        .enumerate()
        .filter(|(_, part)| has_ohms(&part.value))
        .flat_map(|(part, _)| FACTORS.map(|factor| Trial::Ohms { part, factor }))
        .collect()
}

fn has_ohms(value: &PartValue) -> bool {
    matches!(
        value,
        PartValue::Resistor { .. }
            | PartValue::Control { .. }
            | PartValue::Coil { ohms: Some(_), .. }
    )
}

/// The solved set and its chart, for a quick look at one change.
struct Look<'a, 'm, 's> {
    model: &'m SetModel<'s>,
    trials: &'a Trials<'m, 's>,
    rows: &'a [ChartRow],
    judges: &'a Judges,
    /// Junctions of each row's leads; `None` is the chassis.
    leads: Vec<Option<(usize, Option<usize>)>>,
    /// What the meter shows of the open volts.
    shares: Vec<f64>,
    /// Whether a row in ohms disagrees.
    ohms_count: bool,
}

impl<'a, 'm, 's> Look<'a, 'm, 's> {
    fn new(
        model: &'m SetModel<'s>,
        trials: &'a Trials<'m, 's>,
        rows: &'a [ChartRow],
        judges: &'a Judges,
    ) -> Look<'a, 'm, 's> {
        let junction = |name: &str| {
            let place = model.places.find(name).ok()?;
            model.junction(place)
        };
        let leads: Vec<_> = rows
            .iter()
            .map(|row| {
                let to = junction(&row.to).filter(|to| Some(*to) != model.chassis_junction());
                Some((junction(&row.at)?, to))
            })
            .collect();
        let shares = rows
            .iter()
            .zip(&leads)
            .map(|(row, leads)| {
                let open = leads.map_or(0.0, |leads| between(trials.base(), leads));
                match &row.expected {
                    Some(band) if open.abs() > 0.01 => (band.expected / open).clamp(0.05, 1.05),
                    _ => 1.0,
                }
            })
            .collect();
        let ohms_count = rows
            .iter()
            .zip(judges.base())
            .any(|(row, excess)| is_ohms(row) && *excess > WORTH_A_LOOK);
        Look {
            model,
            trials,
            rows,
            judges,
            leads,
            shares,
            ohms_count,
        }
    }

    fn score(&self, trial: Trial) -> Option<Score> {
        let volts = self.trials.volts(trial)?;
        let ohms = if self.ohms_count {
            let pairs: Vec<(usize, Option<usize>)> = self
                .rows
                .iter()
                .zip(&self.leads)
                .filter(|(row, _)| is_ohms(row))
                .filter_map(|(_, leads)| *leads)
                .collect();
            self.trials.ohms(trial, USUAL_OHMMETER, &pairs)?
        } else {
            Vec::new()
        };
        let mut ohms = ohms.into_iter();
        let values: Vec<Option<f64>> = self
            .rows
            .iter()
            .zip(self.leads.iter().zip(&self.shares))
            .map(|(row, (leads, share))| {
                let leads = (*leads)?;
                if is_ohms(row) {
                    ohms.next()
                } else {
                    Some(between(&volts, leads) * share)
                }
            })
            .collect();
        Some(self.judges.score(&values))
    }

    /// Ends of parts at other places: of parts at a disagreeing place anywhere, of others there.
    fn wrong_ends(&self) -> Vec<Trial> {
        let model = self.model;
        let mut odd: Vec<usize> = self
            .leads
            .iter()
            .zip(self.judges.base())
            .filter(|(_, excess)| **excess > WORTH_A_LOOK)
            .filter_map(|(leads, _)| leads.map(|(at, _)| at))
            .collect();
        odd.sort_unstable();
        odd.dedup();
        let mut found = Vec::new();
        for (part, own) in model.sheet.parts.iter().enumerate() {
            if !matches!(
                own.value,
                PartValue::Resistor { .. } | PartValue::Control { .. }
            ) {
                continue;
            }
            let ends = model.part_ends[part];
            let at_odd = ends.iter().flatten().any(|end| odd.contains(end));
            let targets = if at_odd {
                let mut targets = self.slips_of_the_pen(part);
                targets.extend(&odd);
                targets.sort_unstable();
                targets.dedup();
                targets
            } else {
                odd.clone()
            };
            for (end, from) in ends.iter().enumerate() {
                let Some(from) = from else { continue };
                for &junction in &targets {
                    if junction != *from && !ends.contains(&Some(junction)) {
                        found.push(Trial::End {
                            part,
                            end,
                            junction,
                        });
                    }
                }
            }
        }
        found
    }

    /// Places that a pen may slip to from the ends of a part.
    fn slips_of_the_pen(&self, part: usize) -> Vec<usize> {
        let own = &self.model.sheet.parts[part];
        let ends = [Some(&own.from), Some(&own.to), own.third.as_ref()];
        let pins: Vec<_> = ends.into_iter().flatten().filter_map(Place::pin).collect();
        self.model
            .places
            .iter()
            .filter(|place| match place.pin() {
                Some((tube, pin)) => pins
                    .iter()
                    .any(|(own_tube, own_pin)| tube == *own_tube || pin == *own_pin),
                None => !place.is_line(),
            })
            .filter_map(|place| self.model.junction(place))
            .collect()
    }
}

fn between(volts: &[f64], (a, b): (usize, Option<usize>)) -> f64 {
    let at = |junction: usize| volts.get(junction).copied().unwrap_or(0.0);
    at(a) - b.map_or(0.0, at)
}

/// A change of the circuit as a change of the sheet.
fn told(model: &SetModel<'_>, trial: Trial) -> Option<SlipChange> {
    match trial {
        Trial::Ohms { part, factor } => {
            let own = model.sheet.parts.get(part)?;
            let (PartValue::Resistor { ohms, .. }
            | PartValue::Control { ohms, .. }
            | PartValue::Coil {
                ohms: Some(ohms), ..
            }) = own.value
            else {
                return None;
            };
            Some(SlipChange::PartOhms {
                reference: own.reference.clone(),
                line: own.line,
                written: ohms,
                would_be: ohms * factor,
            })
        }
        Trial::End {
            part,
            end,
            junction,
        } => {
            let own = model.sheet.parts.get(part)?;
            let (end, written) = match end {
                0 => (End::From, own.from.to_string()),
                1 => (End::To, own.to.to_string()),
                _ => (End::Third, own.third.as_ref()?.to_string()),
            };
            Some(SlipChange::PartEnd {
                reference: own.reference.clone(),
                line: own.line,
                end,
                written,
                would_be: model.junction_name(junction),
            })
        }
    }
}

/// Pairs of pins of tubes with a wild figure, at most [`MOST_PAIRS`].
pub(super) fn pin_pairs(sheet: &Sheet, rows: &[ChartRow], judges: &Judges) -> Vec<SlipChange> {
    let places = sheet.places();
    let mut pins: Vec<(&str, String)> = Vec::new();
    for part in &sheet.parts {
        for place in [Some(&part.from), Some(&part.to), part.third.as_ref()]
            .into_iter()
            .flatten()
        {
            if let Some((tube, pin)) = place.pin() {
                let pin = (tube, pin.to_string());
                if !pins.contains(&pin) {
                    pins.push(pin);
                }
            }
        }
    }
    let is_wild = |tube: &str| {
        rows.iter()
            .zip(judges.base())
            .any(|(row, excess)| tube_of(&row.at) == Some(tube) && *excess >= LEAST_MOST)
    };
    let excess = |tube: &str, pin: &str| {
        let name = format!("{tube}.{pin}");
        rows.iter()
            .zip(judges.base())
            .filter(|(row, _)| row.at == name)
            .map(|(_, excess)| *excess)
            .fold(0.0, f64::max)
    };
    let mut pairs = Vec::new();
    for (number, (tube, one)) in pins.iter().enumerate() {
        for (other_tube, other) in &pins[number + 1..] {
            let both = excess(tube, one) + excess(tube, other);
            if tube != other_tube || both <= WORTH_A_LOOK || !is_wild(tube) {
                continue;
            }
            let place = |pin: &str| places.find(&format!("{tube}.{pin}")).ok();
            let (Some(a), Some(b)) = (place(one), place(other)) else {
                continue;
            };
            if places.joined(a, b) {
                continue;
            }
            let at = |part: &&crate::sheet::SheetPart| {
                [Some(&part.from), Some(&part.to), part.third.as_ref()]
                    .into_iter()
                    .flatten()
                    .any(|place| place == a || place == b)
            };
            let lines = sheet
                .parts
                .iter()
                .filter(at)
                .map(|part| part.line)
                .collect();
            let change = SlipChange::PinsExchanged {
                tube: (*tube).to_string(),
                one: one.clone(),
                other: other.clone(),
                lines,
            };
            pairs.push((both, change));
        }
    }
    pairs.sort_by(|(one, _), (other, _)| other.total_cmp(one));
    pairs.truncate(MOST_PAIRS);
    pairs.into_iter().map(|(_, change)| change).collect()
}
