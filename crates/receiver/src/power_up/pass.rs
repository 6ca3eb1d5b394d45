//! What happened, walked through in its order: what is passed, what is open, which stop stands.
//!
//! Seconds from any one moment. A reading beyond its limit stays a stop however its step ended: the
//! bench left, the step passed over, silence. Nothing here fails.

use crate::plan::step_kind::StepKind;

use super::{LEFT_AFTER_SECONDS, POWER_LEFT_AFTER_SECONDS, StepReading, judge};
use crate::judge_reading::TakenReading;
use crate::plan::Step;

/// Something that happened at the bench.
#[derive(Debug, Clone, PartialEq)]
pub struct Happening {
    /// Number of its entry.
    pub entry: u64,
    /// When, seconds.
    pub second: i64,
    /// What.
    pub what: Happened,
}

/// What happened.
#[derive(Debug, Clone, PartialEq)]
pub enum Happened {
    /// The step of this key was begun.
    Begun(String),
    /// It was done; what that leaves unknown.
    Done(String, Vec<String>),
    /// It was passed over; what that leaves unknown.
    Skipped(String, Vec<String>),
    /// The plug was pulled because of a sign or a limit.
    Stopped {
        /// The step it happened in.
        key: String,
        /// What was noticed or read.
        because: String,
    },
    /// The bench was left.
    Left,
    /// A meter was read; seconds after switch-on where they were told.
    Read(TakenReading, Option<f64>),
    /// The set was worked on: a part replaced, a wire changed.
    WorkedOn,
    /// What made the stop of this entry was told anew or taken back, and is none now.
    Corrected(u64),
}

/// A step that is passed.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Passed {
    /// Its key.
    pub key: String,
    /// How.
    pub how: PassedHow,
    /// Number of the entry that says so.
    pub entry: u64,
    /// What it leaves unknown.
    pub leaves_unknown: Vec<String>,
}

/// How a step was passed.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum PassedHow {
    /// It was done.
    Done,
    /// It was passed over.
    Skipped,
}

/// A stop that nothing has answered yet.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct StandingStop {
    /// The step it happened in.
    pub key: String,
    /// What was noticed or read.
    pub because: String,
    /// Number of its entry.
    pub entry: u64,
}

/// A stop that counts as answered because the set was worked on since. Whether that was its cause is
/// not known here.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct AnsweredStop {
    /// The stop.
    pub stop: StandingStop,
    /// Numbers of the entries that tell of work on the set since.
    pub by: Vec<u64>,
}

/// Why steps that were done are to be done again.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum BegunAgain {
    /// The bench was left.
    Left,
    /// Nothing was entered for so long that it counts as left.
    LongSilence,
    /// The same while a step with power was open.
    SilenceUnderPower,
    /// The plug was pulled at a sign or a limit.
    Stopped,
    /// The set was worked on after it had power.
    WorkedOn,
}

/// A step under way.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Open {
    pub key: String,
    pub entry: u64,
    pub begun: i64,
    pub readings: Vec<StepReading>,
}

/// What the walk came to.
#[derive(Debug, Clone, PartialEq, Default)]
pub(super) struct Walked {
    pub passed: Vec<Passed>,
    pub open: Option<Open>,
    pub stop: Option<StandingStop>,
    pub answered: Option<AnsweredStop>,
    pub begun_again: Option<BegunAgain>,
}

/// The kind that a key begins with.
fn kind_of(key: &str) -> Option<StepKind> {
    StepKind::from_name(key.split(' ').next().unwrap_or_default())
}

fn has_line_power(key: &str) -> bool {
    kind_of(key).is_some_and(StepKind::has_line_power)
}

/// Walks through all that happened, and the time since.
pub(super) fn walk(steps: &[Step], happenings: &[Happening], now: i64) -> Walked {
    let mut at = Walk {
        steps,
        found: Walked::default(),
        last: None,
        powered: false,
    };
    for happening in happenings {
        at.pause(happening.second);
        at.take(happening);
        at.last = Some(happening.second);
    }
    at.pause(now);
    at.found
}

struct Walk<'s> {
    steps: &'s [Step],
    found: Walked,
    last: Option<i64>,
    /// Whether the set had line power since the steps were last begun again.
    powered: bool,
}

impl Walk<'_> {
    /// Time passes without an entry. A clock that was set back a little counts as no time; one that
    /// jumped back further tells nothing of the time that passed, which counts as long.
    fn pause(&mut self, second: i64) {
        let Some(last) = self.last else {
            return;
        };
        let silence = second.saturating_sub(last).saturating_abs();
        let power = self
            .found
            .open
            .as_ref()
            .is_some_and(|open| has_line_power(&open.key));
        if power && silence > POWER_LEFT_AFTER_SECONDS {
            self.again(BegunAgain::SilenceUnderPower);
        } else if silence > LEFT_AFTER_SECONDS {
            self.again(BegunAgain::LongSilence);
        }
    }

    /// What is done again after the bench was left is no longer passed.
    fn again(&mut self, cause: BegunAgain) {
        self.end_undone();
        self.powered = false;
        let before = self.found.passed.len();
        self.found
            .passed
            .retain(|passed| !kind_of(&passed.key).is_some_and(StepKind::is_done_again));
        if self.found.passed.len() < before || cause == BegunAgain::SilenceUnderPower {
            self.found.begun_again = Some(cause);
        }
    }

    /// Ends the step under way without its being done; whether that makes a stop.
    fn end_undone(&mut self) -> bool {
        let Some(open) = self.found.open.take() else {
            return false;
        };
        let step = self.steps.iter().find(|step| step.key == open.key);
        let Some(step) = step.filter(|_| self.found.stop.is_none()) else {
            return false;
        };
        let judged = judge(step, &open.readings, 0.0);
        let first = judged.evidence.first();
        if let Some(first) = first {
            self.found.stop = Some(StandingStop {
                because: format!("{} read beyond its limit", first.reading.taken.at),
                entry: first.reading.entry,
                key: open.key,
            });
        }
        first.is_some()
    }

    fn pass(&mut self, key: &str, how: PassedHow, entry: u64, leaves_unknown: &[String]) {
        if self.found.open.as_ref().is_some_and(|open| open.key == key) {
            self.found.open = None;
        }
        self.found.passed.retain(|passed| passed.key != key);
        self.found.passed.push(Passed {
            key: key.to_owned(),
            how,
            entry,
            leaves_unknown: leaves_unknown.to_vec(),
        });
    }

    fn take(&mut self, happening: &Happening) {
        match &happening.what {
            Happened::Begun(key) => {
                self.end_undone();
                self.found.passed.retain(|passed| &passed.key != key);
                self.powered |= has_line_power(key);
                self.found.open = Some(Open {
                    key: key.clone(),
                    entry: happening.entry,
                    begun: happening.second,
                    readings: Vec::new(),
                });
            }
            Happened::Done(key, unknown) => {
                // The set went through the step that stopped it, or one with power before it: what
                // answered the stop is shown no more.
                let is_over = |own: &mut AnsweredStop| own.stop.key == *key || has_line_power(key);
                self.found.answered.take_if(is_over);
                self.pass(key, PassedHow::Done, happening.entry, unknown);
            }
            Happened::Skipped(key, unknown) => {
                if self.end_undone() {
                    self.again(BegunAgain::Stopped);
                } else {
                    self.pass(key, PassedHow::Skipped, happening.entry, unknown);
                }
            }
            Happened::Stopped { key, because } => {
                self.found.open = None;
                self.found.stop = Some(StandingStop {
                    key: key.clone(),
                    because: because.clone(),
                    entry: happening.entry,
                });
                self.again(BegunAgain::Stopped);
            }
            Happened::Left => self.again(BegunAgain::Left),
            Happened::Read(taken, seconds) => {
                if let Some(open) = &mut self.found.open {
                    let elapsed = happening.second.saturating_sub(open.begun).max(0);
                    open.readings.push(StepReading {
                        entry: happening.entry,
                        taken: taken.clone(),
                        seconds: seconds.unwrap_or(elapsed as f64),
                    });
                }
            }
            Happened::Corrected(entry) => {
                self.found.stop.take_if(|stop| stop.entry == *entry);
            }
            Happened::WorkedOn => {
                if let Some(stop) = self.found.stop.take() {
                    let by = Vec::new();
                    self.found.answered = Some(AnsweredStop { stop, by });
                }
                if let Some(answered) = &mut self.found.answered {
                    answered.by.push(happening.entry);
                }
                if self.powered {
                    self.again(BegunAgain::WorkedOn);
                }
            }
        }
    }
}
