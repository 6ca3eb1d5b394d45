//! Go on, wait, or stop: the verdict on a step under way.
//!
//! Units of the readings; seconds. Any reading beyond a limit that counts makes a stop, also
//! when a later one lies inside: the plug should have been out by then. A reading that was
//! mistyped is corrected and then counts no longer. Nothing here fails.

use super::StepReading;
use super::asked::{Asked, AskedVerdict, asked, counts, is_beyond, is_of};
use crate::plan::{Limit, Step, StopRule};

/// A reading beyond a limit.
#[derive(Debug, Clone, PartialEq)]
pub struct BeyondLimit {
    /// The reading.
    pub reading: StepReading,
    /// The limit it passed.
    pub limit: Limit,
    /// The limit counts from this second on.
    pub after_seconds: f64,
    /// Faults that it tells.
    pub tells: Vec<String>,
    /// Faults that it cannot tell from a healthy set.
    pub cannot_tell: Vec<String>,
}

/// The verdict on a step.
#[derive(Debug, Clone, PartialEq)]
pub enum StepVerdict {
    /// Everything guarded was read and is as it should be.
    GoOn,
    /// Not yet.
    Wait {
        /// Seconds until the readings are to be taken; 0 when that time is there.
        seconds: f64,
    },
    /// Pull the plug.
    Stop,
}

/// A step under way, judged.
#[derive(Debug, Clone, PartialEq)]
pub struct Judged<'s> {
    /// The verdict.
    pub verdict: StepVerdict,
    /// What makes a stop.
    pub evidence: Vec<BeyondLimit>,
    /// Everything asked for, with its state.
    pub asked: Vec<Asked<'s>>,
}

impl Judged<'_> {
    /// Guarded places that were not read so that a limit counts.
    pub fn unread(&self) -> impl Iterator<Item = &Asked<'_>> {
        self.asked.iter().filter(|own| {
            own.is_guard() && matches!(own.verdict, AskedVerdict::Unread | AskedVerdict::TooEarly)
        })
    }

    /// Places that read outside their band.
    pub fn outside(&self) -> impl Iterator<Item = &Asked<'_>> {
        self.asked
            .iter()
            .filter(|own| matches!(own.verdict, AskedVerdict::Low | AskedVerdict::High))
    }
}

/// Judges a step after what was read in it, so many seconds after it was begun.
pub fn judge<'s>(step: &'s Step, readings: &'s [StepReading], elapsed: f64) -> Judged<'s> {
    let evidence: Vec<BeyondLimit> = readings
        .iter()
        .flat_map(|read| beyond(step, read))
        .collect();
    let mut judged = Judged {
        verdict: StepVerdict::GoOn,
        evidence,
        asked: asked(step, readings),
    };
    let settled = judged
        .asked
        .iter()
        .filter_map(|own| own.read)
        .map(|read| read.seconds)
        .fold(elapsed, f64::max);
    let remaining = if step.energised {
        (step.wait_seconds - settled).max(0.0)
    } else {
        0.0
    };
    let open = judged.unread().next().is_some() || judged.outside().next().is_some();
    judged.verdict = if !judged.evidence.is_empty() {
        StepVerdict::Stop
    } else if remaining > 0.0 || open {
        StepVerdict::Wait { seconds: remaining }
    } else {
        StepVerdict::GoOn
    };
    judged
}

fn beyond(step: &Step, read: &StepReading) -> Vec<BeyondLimit> {
    let passes = |rule: &&StopRule| {
        is_of(&rule.at, rule.to.as_deref(), rule.what, &read.taken)
            && counts(step, rule, read)
            && is_beyond(rule.limit, read.taken.value)
    };
    let passed = step.stop.iter().filter(passes);
    passed
        .map(|rule| BeyondLimit {
            reading: read.clone(),
            limit: rule.limit,
            after_seconds: rule.after_seconds,
            tells: rule.tells.clone(),
            cannot_tell: rule.cannot_tell.clone(),
        })
        .collect()
}
