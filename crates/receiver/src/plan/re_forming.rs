//! Forming old electrolytics anew, in the set, from a separate current-limited d.c. source.
//!
//! Units: volts, amperes, ohms, watts, seconds. What bleeder, dividers and every other
//! path take from the source is solved from the sheet's resistances with the plug out;
//! what has to be cut loose is found by opening the path that takes most until the
//! leakage can be read. The series resistor keeps the can within 1 W whatever it draws:
//! the most that a source of V behind R gives is V squared over 4 R. The leakage that
//! ends the forming is the acceptance limit of [`leakage_limit_amperes`]; how fast it
//! falls is judgement. A can without marked volts is not formed. Fails when the network
//! has no solution.

mod words;

pub use words::put_back;

use circuit::Element;
use circuit::resting::resting;
use quantity::Series;

use crate::conditions::{BenchConditions, DirectSource};
use crate::expect::ROOM_KELVIN;
use crate::hazard::MOST_WATTS_IN_CAN;
use crate::sheet::{PartValue, Sheet};
use crate::wiring::{Change, Figure, SetModel, Variation, leakage_limit_amperes};

use super::capacitors::{CapacitorReview, Wish};
use super::situation::{ends, is_electrolytic};
use super::step_builder::PlanError;

/// Current to which the source is held at most (trade number: 2 to 10 mA).
const MOST_AMPERES: f64 = 0.010;
/// The same at least, so that it does not take days.
const LEAST_AMPERES: f64 = 0.002;
/// Parts of the marked volts by which the source is raised (trade number: 5 to 20 percent).
const RAISE_SHARE: f64 = 0.2;
/// Share of the acceptance limit that computed paths may take and be subtracted.
const SUBTRACTED_SHARE: f64 = 0.5;
/// Share of it that the leakage of other cans may take: nobody knows it.
const UNKNOWN_SHARE: f64 = 0.25;
/// A sound can is taken to leak a tenth of the acceptance limit.
const ACCEPTANCE_OVER_SOUND: f64 = 10.0;
/// More joints than this are not opened: the can's own + lead is then one.
const MOST_CUTS: usize = 2;
/// Minutes after which the acceptance limit counts, and after which a step that has not
/// halved its leakage is given up (judgement; trade number "re-forming time": half an hour
/// to a day, from memory).
const ACCEPTANCE_MINUTES: f64 = 60.0;
/// Minutes after which a step that shows no fall is given up.
const NO_FALL_MINUTES: f64 = 30.0;
/// Hours after which the can is given up.
const GIVE_UP_HOURS: f64 = 3.0;
/// Ohms that tie what hangs free to the chassis; what flows there is far below a microampere.
const NOWHERE_OHMS: f64 = 1e12;
/// A resistor is used at half its rated watts (common practice).
const RATING_OVER_HEAT: f64 = 2.0;

/// How one can is formed anew.
#[derive(Debug, Clone, PartialEq)]
pub struct ReForming {
    /// Position of the can's section among the sheet's parts.
    pub part: usize,
    /// Junction of its + end.
    pub positive: usize,
    /// Junction of its other end.
    pub negative: usize,
    /// Volts marked on it.
    pub marked_volts: f64,
    /// Highest volts of the source.
    pub top_volts: f64,
    /// The series resistor, ohms.
    pub series_ohms: f64,
    /// Most heat in that resistor, watts.
    pub series_watts: f64,
    /// Most heat in the can, whatever it draws, watts.
    pub most_can_watts: f64,
    /// Leakage at which it is formed, amperes.
    pub acceptance_amperes: f64,
    /// What other paths take at the highest volts, amperes; to be subtracted.
    pub other_amperes: f64,
    /// Parts to cut loose, the can itself where its own + lead is the one joint.
    pub cut_loose: Vec<usize>,
    /// Source volts, rising.
    pub raised_volts: Vec<f64>,
    /// Whether a source was named; otherwise this is what one would have to give.
    pub source_named: bool,
}

/// Why an electrolytic cannot be formed anew.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct CannotForm {
    /// Position of the part.
    pub part: usize,
    /// The reason.
    pub because: String,
}

/// The series resistor for a source of these volts that gives `most_amperes` at most: no
/// leakage makes more than 1 W in the can. Ohms, the next of the 5 percent values up.
#[must_use]
pub fn series_ohms(top_volts: f64, most_amperes: f64) -> f64 {
    let amperes = most_amperes.clamp(LEAST_AMPERES, MOST_AMPERES);
    let least = (top_volts * top_volts / (4.0 * MOST_WATTS_IN_CAN)).max(top_volts / amperes);
    Series::E24.at_least(least).unwrap_or(least)
}

/// The volts to which a can of these marked volts is formed in the set: those, or the highest of the bench's source where
/// that reaches less.
#[must_use]
pub fn top_volts(sheet: &Sheet, marked_volts: f64) -> f64 {
    let source = sheet.bench.as_ref().and_then(|bench| bench.dc_source);
    source.map_or(marked_volts, |source| source.high_volts.min(marked_volts))
}

/// Leakage that may still be there after these minutes on full volts, amperes: falling with
/// time until the acceptance limit counts (judgement).
#[must_use]
pub fn leakage_after(acceptance_amperes: f64, minutes: f64) -> f64 {
    acceptance_amperes * (ACCEPTANCE_MINUTES / minutes.max(1e-3)).max(1.0)
}

impl ReForming {
    /// How an electrolytic is formed anew, the rectifiers out and `open` plugs open.
    ///
    /// # Errors
    /// No marked volts, or the network has no solution.
    pub fn of(
        model: &SetModel<'_>,
        part: usize,
        conditions: &BenchConditions,
    ) -> Result<Result<ReForming, CannotForm>, PlanError> {
        let cannot = |because: &str| {
            Ok(Err(CannotForm {
                part,
                because: because.to_owned(),
            }))
        };
        let marked = match model.sheet.parts.get(part).map(|part| &part.value) {
            Some(PartValue::Capacitor { volts, .. }) => *volts,
            _ => None,
        };
        let (Some(marked_volts), Some(farads)) = (marked, model.farads(part)) else {
            return cannot("its marked volts are not on the sheet, so no safe end is known");
        };
        let Some((positive, negative)) = ends(model, part) else {
            return cannot("its ends are not on the sheet");
        };
        let source = model.sheet.bench.as_ref().and_then(|bench| bench.dc_source);
        let top_volts = top_volts(model.sheet, marked_volts);
        if source.is_some_and(|source| source.low_volts > marked_volts) {
            return cannot("the bench's d.c. source does not go down to its marked volts");
        }
        let most_amperes = source
            .and_then(|source| source.amperes)
            .unwrap_or(MOST_AMPERES);
        let series_ohms = series_ohms(top_volts, most_amperes);
        let mut forming = ReForming {
            part,
            positive,
            negative,
            marked_volts,
            top_volts,
            series_ohms,
            series_watts: top_volts * top_volts / series_ohms,
            most_can_watts: top_volts * top_volts / (4.0 * series_ohms),
            acceptance_amperes: leakage_limit_amperes(farads, marked_volts),
            other_amperes: 0.0,
            cut_loose: Vec::new(),
            raised_volts: raised(
                source.map_or(0.0, |source| source.low_volts),
                top_volts,
                marked_volts,
            ),
            source_named: source.is_some(),
        };
        forming.find_cuts(model, conditions)?;
        Ok(Ok(forming))
    }

    fn find_cuts(
        &mut self,
        model: &SetModel<'_>,
        conditions: &BenchConditions,
    ) -> Result<(), PlanError> {
        // Old selenium leaks backwards as it likes: at the can it is cut loose in any case.
        let mut cuts: Vec<usize> = (0..model.sheet.parts.len())
            .filter(|&part| {
                matches!(
                    model.sheet.parts[part].value,
                    PartValue::Selenium { .. } | PartValue::Silicon { .. }
                ) && self.touches(model, part)
            })
            .collect();
        loop {
            let taken = self.taken(model, conditions, &cuts)?;
            if self.can_be_read(taken) {
                self.other_amperes = taken.0;
                break;
            }
            if cuts.len() >= MOST_CUTS {
                cuts.clear();
                break;
            }
            let mut best: Option<(f64, usize)> = None;
            for part in 0..model.sheet.parts.len() {
                if cuts.contains(&part) || !self.may_be_cut(model, part) {
                    continue;
                }
                cuts.push(part);
                let (known, unknown) = self.taken(model, conditions, &cuts)?;
                cuts.pop();
                if best.is_none_or(|(least, _)| known + unknown < least) {
                    best = Some((known + unknown, part));
                }
            }
            match best.filter(|(least, _)| *least < 0.98 * (taken.0 + taken.1)) {
                Some((_, part)) => cuts.push(part),
                None => {
                    cuts.clear();
                    break;
                }
            }
        }
        let taken = self.taken(model, conditions, &cuts)?;
        self.cut_loose = if cuts.len() <= MOST_CUTS && self.can_be_read(taken) {
            cuts
        } else {
            self.other_amperes = 0.0;
            vec![self.part]
        };
        Ok(())
    }

    fn touches(&self, model: &SetModel<'_>, part: usize) -> bool {
        let hot = |junction: usize| {
            Some(junction) != model.chassis && [self.positive, self.negative].contains(&junction)
        };
        part != self.part && ends(model, part).is_some_and(|(from, to)| hot(from) || hot(to))
    }

    fn may_be_cut(&self, model: &SetModel<'_>, part: usize) -> bool {
        self.touches(model, part)
            && matches!(
                model.sheet.parts[part].value,
                PartValue::Resistor { .. }
                    | PartValue::Control { .. }
                    | PartValue::Coil { .. }
                    | PartValue::Capacitor { .. }
                    | PartValue::Load { .. }
                    | PartValue::Fuse { .. }
            )
    }

    fn can_be_read(&self, (known, unknown): (f64, f64)) -> bool {
        known <= SUBTRACTED_SHARE * self.acceptance_amperes
            && unknown <= UNKNOWN_SHARE * self.acceptance_amperes
    }

    /// What the other paths take at the highest volts: computed ones, and what other
    /// electrolytics might leak on top, amperes.
    fn taken(
        &self,
        model: &SetModel<'_>,
        conditions: &BenchConditions,
        cuts: &[usize],
    ) -> Result<(f64, f64), PlanError> {
        let through = |leak: f64| -> Result<f64, PlanError> {
            let mut variation = Variation::change(Change::Open(self.part));
            variation
                .changes
                .extend(cuts.iter().map(|&part| Change::Open(part)));
            for other in 0..model.sheet.parts.len() {
                if other != self.part && is_electrolytic(model, other) {
                    variation.set(Figure::Leak(other), leak);
                }
            }
            let mut wired = model.wire_unplugged(conditions, &variation)?;
            for node in 1..wired.circuit.nodes {
                wired.circuit.resistor(node, 0, NOWHERE_OHMS);
            }
            let source = wired.circuit.add(Element::Source {
                a: wired.node(self.positive),
                b: wired.node(self.negative),
                ohms: 1.0,
                direct_volts: self.top_volts,
                peak_volts: 0.0,
                phase: 0.0,
            });
            let record = resting(&wired.circuit, ROOM_KELVIN)?;
            Ok(record.amperes(source).mean().abs())
        };
        let known = through(1e-6)?;
        let with_others = through(ACCEPTANCE_OVER_SOUND)?;
        Ok((known, (with_others - known).max(0.0)))
    }

    /// The can's own + lead is the joint that is opened.
    #[must_use]
    pub fn by_its_own_lead(&self) -> bool {
        self.cut_loose == [self.part]
    }

    /// How set and source stand while it is formed. The source is at a place of the set, or at
    /// the can itself, by its reference, where the can does not stand on the chassis.
    #[must_use]
    pub fn conditions(&self, model: &SetModel<'_>, base: &BenchConditions) -> BenchConditions {
        let (place, volts) = if Some(self.negative) == model.chassis {
            (Some(self.positive), self.top_volts)
        } else if Some(self.positive) == model.chassis {
            (Some(self.negative), -self.top_volts)
        } else {
            (None, 0.0)
        };
        let mut fitted_without = base.fitted_without.clone();
        fitted_without.extend(
            self.cut_loose
                .iter()
                .filter(|part| **part != self.part)
                .map(|&part| model.sheet.parts[part].reference.clone()),
        );
        BenchConditions {
            fitted_without,
            // Where the can hangs free, or sits between two places off the chassis, the source
            // is at the can and not at a place of the set.
            direct_source: Some(DirectSource {
                place: place.filter(|_| !self.by_its_own_lead()).map_or_else(
                    || model.sheet.parts[self.part].reference.clone(),
                    |junction| model.junction_name(junction),
                ),
                volts: if volts == 0.0 { self.top_volts } else { volts },
                series_ohms: self.series_ohms,
            }),
            ..base.clone()
        }
    }
}

/// The volts by which the source is raised, up to its highest.
fn raised(low_volts: f64, top_volts: f64, marked_volts: f64) -> Vec<f64> {
    let mut raised = Vec::new();
    let mut share = RAISE_SHARE;
    while share * marked_volts < top_volts * 0.999 {
        let volts = (share * marked_volts).round();
        if volts >= low_volts {
            raised.push(volts);
        }
        share += RAISE_SHARE;
    }
    raised.push(top_volts);
    raised
}

/// The electrolytics that have to be formed anew or replaced.
#[must_use]
pub fn to_be_formed(reviews: &[CapacitorReview]) -> Vec<usize> {
    reviews
        .iter()
        .filter(|review| review.wish == Wish::ReplaceOrReForm)
        .map(|review| review.part)
        .collect()
}
