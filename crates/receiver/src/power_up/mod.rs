//! The first power-up as it goes on: where it stands, and go on, wait or stop.
//!
//! Facts in (what happened at the bench, in its order, each with its second), advice out. The
//! steps are those of the plan as it is now ([`crate::plan`]); a step is known through all plans
//! of a set by its key. Seconds count from any one moment; now is handed in, no clock is read
//! here. After the bench was left, after a stop and after work on a set that had power, what
//! follows from the cold resistances on is done again. Nothing here fails; a happening that
//! names a step which the plan no longer has counts for nothing.

mod asked;
mod judge;
mod left_unknown;
mod pass;

pub use asked::{Asked, AskedVerdict, asked};
pub use judge::{BeyondLimit, Judged, StepVerdict, judge};
pub use left_unknown::{left_unknown, skipping_leaves_unknown};
pub use pass::{AnsweredStop, BegunAgain, Happened, Happening, Passed, PassedHow, StandingStop};

use crate::judge_reading::TakenReading;
use crate::plan::Step;
use pass::walk;

/// Seconds without an entry after which the bench counts as left (judgement: six hours).
pub const LEFT_AFTER_SECONDS: i64 = 6 * 3600;
/// The same in a step with line power, which lasts minutes (judgement: an hour).
pub const POWER_LEFT_AFTER_SECONDS: i64 = 3600;

/// A reading of a step.
#[derive(Debug, Clone, PartialEq)]
pub struct StepReading {
    /// Number of its entry.
    pub entry: u64,
    /// The reading.
    pub taken: TakenReading,
    /// Seconds after the step was begun at which it was taken.
    pub seconds: f64,
}

/// Which step is at hand.
#[derive(Debug, Clone, PartialEq)]
pub enum AtHand {
    /// The step at this position is next; it was not begun.
    ToBegin(usize),
    /// The step at this position is under way.
    UnderWay {
        /// Its position.
        step: usize,
        /// Seconds since it was begun.
        elapsed: i64,
        /// What was read in it.
        readings: Vec<StepReading>,
    },
    /// Every step is passed.
    Finished,
}

/// How the power-up stands.
#[derive(Debug, Clone, PartialEq)]
pub struct PowerUpStanding {
    /// The step at hand.
    pub at_hand: AtHand,
    /// The stop that nothing has answered yet.
    pub stop: Option<StandingStop>,
    /// The stop before this that counts as answered, until a step with power is done.
    pub answered: Option<AnsweredStop>,
    /// Why steps that were done are to be done again; the last cause.
    pub begun_again: Option<BegunAgain>,
    /// The steps passed that still count, in the plan's order.
    pub passed: Vec<Passed>,
}

impl PowerUpStanding {
    /// Whether the step at hand must not be begun: it brings power, and the stop before it was not
    /// answered by anything found and changed.
    pub fn is_barred(&self, steps: &[Step]) -> bool {
        let AtHand::ToBegin(at) = self.at_hand else {
            return false;
        };
        self.stop.is_some() && steps.get(at).is_some_and(|step| step.energised)
    }
}

/// The entry that began the step under way; `None` where none is. No reading is looked at.
pub fn under_way_since(happenings: &[Happening], now: i64) -> Option<u64> {
    walk(&[], happenings, now).open.map(|open| open.entry)
}

/// Where the power-up stands after all that happened. `happenings` are in the order of entry.
pub fn standing(steps: &[Step], happenings: &[Happening], now: i64) -> PowerUpStanding {
    let found = walk(steps, happenings, now);
    let position = |key: &str| steps.iter().position(|step| step.key == key);
    let open = found
        .open
        .and_then(|open| position(&open.key).map(|at| (at, open)));
    let at_hand = match open {
        Some((step, open)) => AtHand::UnderWay {
            step,
            elapsed: (now - open.begun).max(0),
            readings: open.readings,
        },
        None => steps
            .iter()
            .position(|step| !found.passed.iter().any(|passed| passed.key == step.key))
            .map_or(AtHand::Finished, AtHand::ToBegin),
    };
    let mut passed = found.passed;
    passed.sort_by_key(|one| position(&one.key).unwrap_or(usize::MAX));
    PowerUpStanding {
        at_hand,
        stop: found.stop,
        answered: found.answered,
        begun_again: found.begun_again,
        passed,
    }
}
