//! The first power-up as it goes on, as it is shown and as scripts read it.
//!
//! Units of the readings; seconds. The verdict stands first: `stop` before anything else.
//! Nothing here fails.

use receiver::judge_reading::inside_up_to;
use receiver::plan::{Limit, Step};
use receiver::power_up::{
    AnsweredStop, Asked, AskedVerdict, BegunAgain, BeyondLimit, Judged, Passed, PassedHow,
    StandingStop,
};
use serde::Serialize;

use super::{EntryView, NoticeView, StepView, six_figures};
use crate::{FORMAT, PROGRAM_VERSION};

/// The answer of `power`.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct PowerUpView {
    /// Edition of this form.
    pub format: u32,
    /// Version of the program.
    pub program: &'static str,
    /// Edition of the published figures.
    pub data: &'static str,
    /// `stop`, `wait` or `go_on`.
    pub verdict: &'static str,
    /// Why, one sentence each.
    pub reasons: Vec<String>,
    /// What a stop cuts: `line` (the set's plug), `source` (the d.c. source's), `none` (the plug
    /// is out already: go no further); null where there is no stop.
    pub cuts: Option<&'static str>,
    /// The readings beyond a limit in the step at hand.
    pub evidence: Vec<BeyondView>,
    /// The stop that nothing has answered yet.
    pub stop: Option<StandingStopView>,
    /// The stop before this that counts as answered by work on the set.
    pub answered_stop: Option<AnsweredStopView>,
    /// `to_begin`, `under_way` or `finished`.
    pub state: &'static str,
    /// The step at hand; null when all are passed.
    pub step: Option<StepView>,
    /// How many steps the plan has now.
    pub steps: usize,
    /// Of a step under way.
    pub timer: Option<TimerView>,
    /// What the step asks to be read, guarded places first.
    pub asked: Vec<AskedView>,
    /// What ending the step now would leave unknown.
    pub would_leave_unknown: Vec<String>,
    /// Why steps that were done come again; null where none does.
    pub begun_again: Option<&'static str>,
    /// The steps passed that still count.
    pub passed: Vec<PassedView>,
    /// What the facts have changed in the sheet, so in the plan.
    pub bent_by: Vec<String>,
    /// What the facts say that could not be used, and why.
    pub not_used: Vec<String>,
    /// The file, as it was named.
    pub file: String,
    /// Name of the restoration.
    pub restoration: String,
    /// The entries that were made.
    pub entries: Vec<EntryView>,
    /// What is worth knowing besides.
    pub notices: Vec<NoticeView>,
}

impl PowerUpView {
    /// An answer in which nothing is told yet.
    pub(crate) fn empty() -> PowerUpView {
        PowerUpView {
            format: FORMAT,
            program: PROGRAM_VERSION,
            data: parts::DATA_EDITION,
            verdict: "go_on",
            reasons: Vec::new(),
            cuts: None,
            evidence: Vec::new(),
            stop: None,
            answered_stop: None,
            state: "finished",
            step: None,
            steps: 0,
            timer: None,
            asked: Vec::new(),
            would_leave_unknown: Vec::new(),
            begun_again: None,
            passed: Vec::new(),
            bent_by: Vec::new(),
            not_used: Vec::new(),
            file: String::new(),
            restoration: String::new(),
            entries: Vec::new(),
            notices: Vec::new(),
        }
    }
}

/// A stop that nothing has answered yet.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct StandingStopView {
    /// The step it happened in.
    pub key: String,
    /// What was noticed or read.
    pub because: String,
    /// Number of its entry.
    pub entry: u64,
}

impl From<&StandingStop> for StandingStopView {
    fn from(stop: &StandingStop) -> Self {
        StandingStopView {
            key: stop.key.clone(),
            because: stop.because.clone(),
            entry: stop.entry,
        }
    }
}

/// A stop that counts as answered; whether that was its cause is not known.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct AnsweredStopView {
    /// What was noticed or read.
    pub because: String,
    /// Number of its entry.
    pub entry: u64,
    /// The entries that tell of work on the set since.
    pub by: Vec<u64>,
}

impl From<&AnsweredStop> for AnsweredStopView {
    fn from(answered: &AnsweredStop) -> Self {
        AnsweredStopView {
            because: answered.stop.because.clone(),
            entry: answered.stop.entry,
            by: answered.by.clone(),
        }
    }
}

/// The clock of a step under way.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct TimerView {
    /// Seconds since the step was begun.
    pub elapsed_seconds: i64,
    /// Seconds after which its readings are to be taken.
    pub wait_seconds: f64,
    /// Seconds until then; 0 when it is time.
    pub remaining_seconds: f64,
}

/// A reading that a step asks for.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct AskedView {
    /// Place, tube or part.
    pub at: String,
    /// The other place; null for the chassis or none.
    pub to: Option<String>,
    /// What is read.
    pub what: &'static str,
    /// The sign of the ohmmeter's lead at the place, where it makes a difference.
    pub lead: Option<&'static str>,
    /// What a healthy set shows.
    pub low: Option<f64>,
    /// The same.
    pub expected: Option<f64>,
    /// The same.
    pub high: Option<f64>,
    /// Up to which value a reading counts as inside: the upper end, for ohms at least what leads and clips add.
    pub inside_up_to: Option<f64>,
    /// The limits on it.
    pub limits: Vec<LimitView>,
    /// What was read last.
    pub read: Option<f64>,
    /// Number of that entry.
    pub entry: Option<u64>,
    /// `unread`, `too_early`, `inside`, `low`, `high` or `beyond`.
    pub verdict: &'static str,
}

/// A limit, above or below.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct LimitView {
    /// Stop above this.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub above: Option<f64>,
    /// Stop below this.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub below: Option<f64>,
    /// It counts from this second on.
    pub after_seconds: f64,
}

impl LimitView {
    fn of(limit: Limit, after_seconds: f64) -> LimitView {
        let (above, below) = match limit {
            Limit::Above(limit) => (Some(six_figures(limit)), None),
            Limit::Below(limit) => (None, Some(six_figures(limit))),
        };
        LimitView {
            above,
            below,
            after_seconds: six_figures(after_seconds),
        }
    }
}

impl AskedView {
    /// One of them.
    pub(crate) fn of(own: &Asked<'_>) -> AskedView {
        let band =
            |value: fn(&quantity::Band) -> f64| own.band.map(|band| six_figures(value(band)));
        let finite = |value: f64| value.is_finite().then(|| six_figures(value));
        AskedView {
            at: own.at.to_owned(),
            to: own.to.map(str::to_owned),
            what: own.what.name(),
            lead: own.lead.map(receiver::reading::Lead::sign),
            low: band(|band| band.low),
            expected: band(|band| band.expected),
            high: band(|band| band.high),
            inside_up_to: own
                .band
                .map(|band| six_figures(inside_up_to(band, own.what))),
            limits: own
                .rules
                .iter()
                .map(|rule| LimitView::of(rule.limit, rule.after_seconds))
                .collect(),
            read: own.read.and_then(|read| finite(read.taken.value)),
            entry: own.read.map(|read| read.entry),
            verdict: match own.verdict {
                AskedVerdict::Unread => "unread",
                AskedVerdict::TooEarly => "too_early",
                AskedVerdict::Inside => "inside",
                AskedVerdict::Low => "low",
                AskedVerdict::High => "high",
                AskedVerdict::Beyond => "beyond",
            },
        }
    }
}

/// A reading beyond a limit.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct BeyondView {
    /// Place, tube or part.
    pub at: String,
    /// The other place.
    pub to: Option<String>,
    /// What was read.
    pub what: &'static str,
    /// The reading; null for an open place.
    pub value: Option<f64>,
    /// Seconds after the step was begun.
    pub seconds: f64,
    /// The limit.
    pub limit: LimitView,
    /// Faults that it tells.
    pub tells: Vec<String>,
    /// Faults that it cannot tell from a healthy set.
    pub cannot_tell: Vec<String>,
    /// Number of its entry.
    pub entry: u64,
}

impl From<&BeyondLimit> for BeyondView {
    fn from(beyond: &BeyondLimit) -> Self {
        let taken = &beyond.reading.taken;
        BeyondView {
            at: taken.at.clone(),
            to: taken.to.clone(),
            what: taken.what.name(),
            value: taken.value.is_finite().then(|| six_figures(taken.value)),
            seconds: beyond.reading.seconds,
            limit: LimitView::of(beyond.limit, beyond.after_seconds),
            tells: beyond.tells.clone(),
            cannot_tell: beyond.cannot_tell.clone(),
            entry: beyond.reading.entry,
        }
    }
}

/// A step that is passed.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct PassedView {
    /// Its key.
    pub key: String,
    /// Its title in the plan as it is now; null where that has it no longer.
    pub title: Option<String>,
    /// `done` or `skipped`.
    pub how: &'static str,
    /// Number of the entry that says so.
    pub entry: u64,
    /// What it leaves unknown.
    pub leaves_unknown: Vec<String>,
}

impl PassedView {
    /// One of them, in a plan of these steps.
    pub(crate) fn of(passed: &Passed, steps: &[Step]) -> PassedView {
        let step = steps.iter().find(|step| step.key == passed.key);
        PassedView {
            key: passed.key.clone(),
            title: step.map(|step| step.title.clone()),
            how: match passed.how {
                PassedHow::Done => "done",
                PassedHow::Skipped => "skipped",
            },
            entry: passed.entry,
            leaves_unknown: passed.leaves_unknown.clone(),
        }
    }
}

/// Why steps come again, as scripts read it and in words.
pub(crate) fn again_in_words(cause: BegunAgain) -> (&'static str, &'static str) {
    match cause {
        BegunAgain::Left => (
            "left",
            "the bench was left: charges and cold resistances first, then the steps with power again",
        ),
        BegunAgain::LongSilence => (
            "long_silence",
            "nothing was entered for hours, so the bench counts as left: charges and cold resistances first, then the steps with power again",
        ),
        BegunAgain::SilenceUnderPower => (
            "silence_under_power",
            "nothing was entered for an hour in a step with power. SEE THAT THE PLUG IS OUT; charges and cold resistances come first",
        ),
        BegunAgain::Stopped => (
            "stopped",
            "the plug was pulled: charges and cold resistances come first",
        ),
        BegunAgain::WorkedOn => (
            "worked_on",
            "the set was worked on after it had power: charges and cold resistances come first",
        ),
    }
}

/// The asked readings of a judged step.
pub(crate) fn asked_views(judged: &Judged<'_>) -> Vec<AskedView> {
    judged.asked.iter().map(AskedView::of).collect()
}
