//! What a step asks to be read, and how each reading stands.
//!
//! Units of the readings. A place is asked for when a limit guards it or when the plan tells
//! what a healthy set shows there. A limit counts from its own second on; the band counts once
//! the step has settled. Nothing here fails.

use quantity::Band;

use super::StepReading;
use crate::judge_reading::{self, LEADS_OHMS, ReadingVerdict, TakenReading};
use crate::plan::{Limit, Step, StopRule};
use crate::reading::{Lead, What};

/// One reading that a step asks for.
#[derive(Debug, Clone, PartialEq)]
pub struct Asked<'s> {
    /// Place, tube or part.
    pub at: &'s str,
    /// The other place, if not the chassis.
    pub to: Option<&'s str>,
    /// What is read.
    pub what: What,
    /// Which lead of the ohmmeter is at the place, where that makes a difference.
    pub lead: Option<Lead>,
    /// What a healthy set shows, where the plan tells it.
    pub band: Option<&'s Band>,
    /// The limits on it.
    pub rules: Vec<&'s StopRule>,
    /// The last reading of it in this step.
    pub read: Option<&'s StepReading>,
    /// How that stands.
    pub verdict: AskedVerdict,
}

impl Asked<'_> {
    /// Whether a limit guards the step by it that an ordinary meter can read. A limit on ohms below
    /// what leads and clips make is read by a milliohm meter alone.
    pub fn is_guard(&self) -> bool {
        let can_be_read = |limit: Limit| match limit {
            Limit::Below(ohms) if self.what == What::Ohms => ohms >= LEADS_OHMS,
            _ => true,
        };
        self.rules.iter().any(|rule| can_be_read(rule.limit))
    }
}

/// How a reading stands.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum AskedVerdict {
    /// Not read yet.
    Unread,
    /// Read, and no limit or band counts yet.
    TooEarly,
    /// Within its limits, and within its band where there is one.
    Inside,
    /// Within its limits, below its band.
    Low,
    /// Within its limits, above its band.
    High,
    /// Beyond a limit.
    Beyond,
}

/// Everything that a step asks to be read, guarded places first, in the plan's order.
pub fn asked<'s>(step: &'s Step, readings: &'s [StepReading]) -> Vec<Asked<'s>> {
    let mut all: Vec<Asked<'s>> = Vec::new();
    for rule in &step.stop {
        let own = all
            .iter_mut()
            .find(|own| own.at == rule.at && own.to == rule.to.as_deref() && own.what == rule.what);
        match own {
            Some(own) => own.rules.push(rule),
            None => all.push(Asked {
                at: &rule.at,
                to: rule.to.as_deref(),
                what: rule.what,
                lead: None,
                band: None,
                rules: vec![rule],
                read: None,
                verdict: AskedVerdict::Unread,
            }),
        }
    }
    for reading in &step.expect {
        let own = all.iter_mut().find(|own| {
            own.at == reading.at
                && own.to == reading.to.as_deref()
                && own.what == reading.what
                && (own.band.is_none() || own.lead == reading.lead)
        });
        match own {
            Some(own) => {
                own.band = Some(&reading.band);
                own.lead = reading.lead;
            }
            None => all.push(Asked {
                at: &reading.at,
                to: reading.to.as_deref(),
                what: reading.what,
                lead: reading.lead,
                band: Some(&reading.band),
                rules: Vec::new(),
                read: None,
                verdict: AskedVerdict::Unread,
            }),
        }
    }
    for own in &mut all {
        own.read = readings
            .iter()
            .rev()
            .find(|read| is_of(own.at, own.to, own.what, &read.taken));
        if let Some(read) = own.read {
            own.verdict = verdict(step, own.band, &own.rules, read);
        }
    }
    all
}

/// Whether a reading was taken there. The chassis may be named or not, and the two places may
/// be named in either order where the sign makes no difference.
pub(super) fn is_of(at: &str, to: Option<&str>, what: What, taken: &TakenReading) -> bool {
    let other = |to: Option<&str>| to.filter(|to| *to != "chassis").map(str::to_owned);
    if what != taken.what {
        return false;
    }
    let (asked_to, taken_to) = (other(to), other(taken.to.as_deref()));
    if at == taken.at && asked_to == taken_to {
        return true;
    }
    let has_sign = what == What::DcVolts;
    !has_sign
        && taken_to.as_deref().unwrap_or("chassis") == at
        && asked_to.as_deref().unwrap_or("chassis") == taken.at
}

/// Whether a value lies beyond a limit.
pub(super) fn is_beyond(limit: Limit, value: f64) -> bool {
    match limit {
        Limit::Above(most) => value > most,
        Limit::Below(least) => value < least,
    }
}

/// Whether a limit counts for a reading of this second. With the plug out it always does.
pub(super) fn counts(step: &Step, rule: &StopRule, read: &StepReading) -> bool {
    !step.energised || read.seconds >= rule.after_seconds
}

fn verdict(
    step: &Step,
    band: Option<&Band>,
    rules: &[&StopRule],
    read: &StepReading,
) -> AskedVerdict {
    let value = read.taken.value;
    let counting: Vec<&&StopRule> = rules
        .iter()
        .filter(|rule| counts(step, rule, read))
        .collect();
    if counting.iter().any(|rule| is_beyond(rule.limit, value)) {
        return AskedVerdict::Beyond;
    }
    let settled = !step.energised || read.seconds >= step.wait_seconds;
    match band {
        Some(band) if settled => match judge_reading::verdict(band, read.taken.what, value) {
            ReadingVerdict::Low => AskedVerdict::Low,
            ReadingVerdict::High => AskedVerdict::High,
            _ => AskedVerdict::Inside,
        },
        _ if settled || (!rules.is_empty() && counting.len() == rules.len()) => {
            AskedVerdict::Inside
        }
        _ => AskedVerdict::TooEarly,
    }
}
