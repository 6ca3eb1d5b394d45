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

use circuit::Element;
use circuit::resting::resting;
use quantity::{Series, Unit, bench};

use crate::conditions::{BenchConditions, DirectSource};
use crate::expect::ROOM_KELVIN;
use crate::hazard::{
    Absence, Act, ActKind, ActPlace, Connected, Instrument, MOST_WATTS_IN_CAN, Measured, ReFormed,
    Setting, StoredCharge,
};
use crate::plan::{Charged, Limit, Step, StopRule};
use crate::reading::{Unknown, What};
use crate::sheet::PartValue;
use crate::wiring::{Change, Figure, SetModel, Variation, leakage_limit_amperes};

use super::capacitors::{CapacitorReview, Wish};
use super::situation::{act_junction, act_part, ends, is_electrolytic};
use super::step_builder::{PlanError, PlanState};
use super::step_kind::StepKind;

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
    let decade = 10f64.powf(least.log10().floor());
    Series::E24
        .members()
        .into_iter()
        .map(|member| member * decade)
        .chain(std::iter::once(10.0 * decade))
        .find(|ohms| *ohms >= least * (1.0 - 1e-9))
        .unwrap_or(least)
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
        let top_volts = source.map_or(marked_volts, |source| source.high_volts.min(marked_volts));
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

    /// The step in which it is formed.
    ///
    /// # Errors
    /// A refused act: a fault of ours.
    pub fn step(
        &self,
        model: &SetModel<'_>,
        state: &mut PlanState,
        base: &BenchConditions,
    ) -> Result<Step, PlanError> {
        let reference = model.sheet.parts[self.part].reference.clone();
        let can = act_part(model, self.part);
        let negative = model.junction_name(self.negative);
        let positive = model.junction_name(self.positive);
        let milliamperes = |amperes: f64| format!("{:.1} mA", 1e3 * amperes);
        let mut step = state.step(
            StepKind::ReForming,
            format!("Re-form {reference}"),
            format!(
                "As found its oxide is thin and it would draw the rectifier's whole current. \
                 From {} V behind {} it can never take more than {:.1} W.",
                self.top_volts.round(),
                bench(self.series_ohms, Unit::Ohms),
                self.most_can_watts
            ),
        );
        step.about(&reference);
        for &part in &self.cut_loose {
            let at = if part == self.part {
                act_junction(model, self.hot_end(model))
            } else {
                act_junction(model, self.shared_end(model, part))
            };
            step.act(proven(
                Act::new(ActKind::Lift, act_part(model, part)).to(at),
            ));
        }
        let peak = Some(self.top_volts);
        step.act(proven(
            Act::new(
                ActKind::Connect(Connected::DcSource {
                    volts: self.raised_volts.first().copied().unwrap_or(self.top_volts),
                    series_ohms: self.series_ohms,
                }),
                can.clone(),
            )
            .to(act_junction(model, self.negative)),
        ));
        step.say(format!(
            "The source's + goes through the resistor to the + end of {reference} ({positive}), its \
             other lead to the other end ({negative}). The resistor must bear {:.0} W.",
            (RATING_OVER_HEAT * self.series_watts).ceil()
        ));
        if Some(self.positive) == model.chassis {
            step.say(format!(
                "This can is on a negative line: its + end is the chassis, and {negative} is below it."
            ));
        } else if Some(self.negative) != model.chassis {
            step.say(format!(
                "Its other end is {negative}, not the chassis; a can that is insulated from the chassis \
                 stands at that place's volts."
            ));
        }
        step.act(
            Act::new(
                ActKind::ReForm(ReFormed::FromSeparateSource {
                    volts: self.top_volts,
                    marked_volts: Some(self.marked_volts),
                    series_ohms: self.series_ohms,
                    most_watts_in_can: Some(self.most_can_watts),
                    shield: true,
                }),
                can.clone(),
            )
            .energised_by_source(peak),
        );
        for &volts in &self.raised_volts {
            step.act(
                Act::new(
                    ActKind::Set(Setting::SourceVolts {
                        volts,
                        marked_volts: Some(self.marked_volts),
                    }),
                    can.clone(),
                )
                .energised_by_source(Some(volts)),
            );
        }
        step.say(format!(
            "Go to the next volts when the leakage has fallen to {}, or after {NO_FALL_MINUTES:.0} \
             minutes if it has halved by then.",
            milliamperes(2.0 * self.acceptance_amperes)
        ));
        let mut reading = Act::measure(
            Measured::DcVolts,
            ActPlace::Junction("the source's + end of the series resistor".to_owned()),
            ActPlace::Junction("its other end".to_owned()),
        )
        .energised_by_source(peak);
        reading.instrument = Instrument::meter_for(self.top_volts);
        step.act(reading);
        step.say(self.leakage_words(milliamperes));
        step.act(
            Act::new(
                ActKind::Set(Setting::SourceVolts {
                    volts: 0.0,
                    marked_volts: Some(self.marked_volts),
                }),
                can.clone(),
            )
            .energised_by_source(peak),
        );
        step.act(
            Act::new(ActKind::Discharge, can.clone())
                .to(act_junction(model, self.negative))
                .with(Instrument::DischargeResistor),
        );
        let mut proof =
            Act::measure(Measured::DcVolts, can, act_junction(model, self.negative)).peak(peak);
        proof.instrument = Instrument::meter_for(self.top_volts);
        step.act(proof);
        let mut made = step.finish()?;
        made.conditions = self.conditions(model, base);
        made.wait_seconds = 60.0 * ACCEPTANCE_MINUTES;
        made.live = self.live(model);
        made.charged = vec![Charged {
            at: reference.clone(),
            volts: self.top_volts,
            seconds_to_ten_volts: None,
            if_bleeder_open_seconds: None,
        }];
        made.unknown = vec![Unknown {
            at: reference.clone(),
            what: What::PartMilliamps,
            because: "nobody can tell how an old can leaks; the forming itself shows it".to_owned(),
        }];
        made.stop = vec![
            StopRule {
                at: reference.clone(),
                to: None,
                what: What::PartMilliamps,
                limit: Limit::Above(hundredths(
                    1e3 * (self.other_amperes
                        + leakage_after(self.acceptance_amperes, NO_FALL_MINUTES)),
                )),
                after_seconds: 60.0 * NO_FALL_MINUTES,
                tells: vec![format!("{reference} not taking form")],
                cannot_tell: vec![format!(
                    "{reference} with too little capacitance or too much series resistance"
                )],
            },
            StopRule {
                at: reference.clone(),
                to: None,
                what: What::PartMilliamps,
                limit: Limit::Above(hundredths(
                    1e3 * (self.other_amperes + self.acceptance_amperes),
                )),
                after_seconds: 3600.0 * GIVE_UP_HOURS,
                tells: vec![format!("{reference} leaking for good: replace it")],
                cannot_tell: Vec::new(),
            },
        ];
        Ok(made)
    }

    fn hot_end(&self, model: &SetModel<'_>) -> usize {
        if Some(self.positive) == model.chassis {
            self.negative
        } else {
            self.positive
        }
    }

    fn shared_end(&self, model: &SetModel<'_>, part: usize) -> usize {
        match ends(model, part) {
            Some((from, _))
                if Some(from) != model.chassis
                    && [self.positive, self.negative].contains(&from) =>
            {
                from
            }
            Some((_, to)) => to,
            None => self.positive,
        }
    }

    fn live(&self, model: &SetModel<'_>) -> Vec<String> {
        if self.by_its_own_lead() {
            return vec![format!(
                "the lifted lead of {}",
                model.sheet.parts[self.part].reference
            )];
        }
        [self.positive, self.negative]
            .into_iter()
            .filter(|junction| Some(*junction) != model.chassis)
            .map(|junction| model.junction_name(junction))
            .collect()
    }

    fn leakage_words(&self, milliamperes: impl Fn(f64) -> String) -> String {
        let accepted = self.acceptance_amperes;
        let mut words = format!(
            "Leakage is the volts across the resistor over its ohms: {:.0} V is 1 mA. At {:.0} V it \
             should be below {} after 15 minutes, {} after 30 and {} after 60 (how fast it falls \
             is judgement; the last is the acceptance limit, as quoted from JAN-C-62).",
            1e-3 * self.series_ohms,
            self.top_volts,
            milliamperes(leakage_after(accepted, 15.0)),
            milliamperes(leakage_after(accepted, 30.0)),
            milliamperes(accepted),
        );
        if self.other_amperes > 0.02 * accepted {
            words.push_str(&format!(
                " Subtract {} first: that is what the paths left in take.",
                milliamperes(self.other_amperes)
            ));
        }
        words.push_str(&format!(
            " Give up and replace it when {NO_FALL_MINUTES:.0} minutes bring no fall, when it is still \
             above the limit after {GIVE_UP_HOURS:.0} hours, or when the can grows warm or bulges."
        ));
        if self.top_volts < self.marked_volts {
            words.push_str(&format!(
                " It is formed to {:.0} V only: the set must not put more on it.",
                self.top_volts
            ));
        }
        words
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

/// A limit in milliamperes as it is read off a scale.
fn hundredths(milliamperes: f64) -> f64 {
    (100.0 * milliamperes).round() / 100.0
}

fn proven(act: Act) -> Act {
    act.charge(StoredCharge::ProvenWithMeter)
}

/// The step in which everything that was lifted for the forming is put back: none before line power may be missing.
///
/// # Errors
/// A refused act: a fault of ours.
pub fn put_back(
    model: &SetModel<'_>,
    state: &mut PlanState,
    formings: &[ReForming],
    pulled: &[usize],
) -> Result<Option<Step>, PlanError> {
    let mut lifted: Vec<(usize, usize)> = Vec::new();
    for forming in formings {
        for &part in &forming.cut_loose {
            let at = if part == forming.part {
                forming.hot_end(model)
            } else {
                forming.shared_end(model, part)
            };
            if !lifted.contains(&(part, at)) {
                lifted.push((part, at));
            }
        }
    }
    if lifted.is_empty() && pulled.is_empty() {
        return Ok(None);
    }
    let mut step = state.step(
        StepKind::PutBack,
        "Put back what was lifted",
        "A bleeder left open leaves the charge standing and lets the volts climb; each joint is \
         closed again before any line power.",
    );
    for (part, at) in lifted {
        step.act(proven(
            Act::new(ActKind::Fit, act_part(model, part)).to(act_junction(model, at)),
        ));
    }
    for &tube in pulled {
        step.act(proven(
            Act::new(
                ActKind::Fit,
                ActPlace::Tube(model.sheet.tubes[tube].reference.clone()),
            )
            .absence(Absence::HARMLESS),
        ));
    }
    step.say("Tick each off against this list; the cold resistances are then as on the first day.");
    step.finish().map(Some)
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
