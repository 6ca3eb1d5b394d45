//! The forming of an electrolytic in words: the step itself, and what is put back after all of them.
//!
//! Volts, milliamperes, minutes. Every act is judged by the rules on hazards. Fails where one is
//! refused, which is a fault of ours.

use quantity::{Unit, bench};

use super::{
    ACCEPTANCE_MINUTES, GIVE_UP_HOURS, NO_FALL_MINUTES, RATING_OVER_HEAT, ReForming, leakage_after,
};
use crate::conditions::BenchConditions;
use crate::hazard::{
    Absence, Act, ActKind, ActPlace, Connected, Instrument, Measured, ReFormed, Setting,
    StoredCharge,
};
use crate::plan::situation::{act_junction, act_part, ends};
use crate::plan::step_builder::{PlanError, PlanState};
use crate::plan::step_kind::StepKind;
use crate::plan::{Charged, Limit, Step, StopRule};
use crate::reading::{Unknown, What};
use crate::wiring::SetModel;

impl ReForming {
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
