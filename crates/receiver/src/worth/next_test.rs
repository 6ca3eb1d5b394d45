//! The cheapest next test that would change what one does.
//!
//! Money, minutes, chances. For each test of `data/worth_tests.csv` both outcomes are weighed: what one would do after it
//! passes and after it fails. Where these differ the test can change the decision, and what it saves is the expected worth
//! with it over that without it, its own cost taken off (closed form). Parts that are sure already are not tested again.
//! Nothing here can fail; where no test changes anything, that is the answer.

use parts::WorthTest;

use super::chance::{PartOutlook, after};
use super::weigh::{Advice, AskedFigure, Figures, PlanNeeds, weigh, weigh_with};

/// Minutes of an evening at the bench.
const EVENING_MINUTES: f64 = 180.0;
/// Chances beyond which a part is sure.
const SURE: (f64, f64) = (0.02, 0.98);

/// One test weighed.
#[derive(Debug, Clone, PartialEq)]
pub struct TestWeighed {
    /// The test.
    pub test: WorthTest,
    /// Chance that it passes.
    pub passes: f64,
    /// Chance of a good part after it passed.
    pub good_if_passed: f64,
    /// Chance of a good part after it failed.
    pub good_if_failed: f64,
    /// What one does after it passed.
    pub if_passed: Advice,
    /// What one does after it failed.
    pub if_failed: Advice,
    /// What it saves on average, money.
    pub saves: f64,
    /// What it costs, money with the time in it.
    pub costs: f64,
}

impl TestWeighed {
    /// Whether its outcome changes what one does.
    #[must_use]
    pub fn changes(&self) -> bool {
        self.if_passed != self.if_failed
    }
}

/// Every test of a part that the set has and that is not sure, those that change the decision first, by what
/// they save over their minutes; the others by how far they move the chance, over their minutes.
#[must_use]
pub fn next_tests(
    figures: Figures<'_>,
    three: &[PartOutlook; 3],
    needs: &PlanNeeds,
    tests: &[WorthTest],
    made: &[String],
) -> Vec<TestWeighed> {
    let now = weigh(figures, three, needs);
    let best_now = now.going_on.max(now.stopping);
    let mut found: Vec<TestWeighed> = tests
        .iter()
        .filter(|test| !made.contains(&test.test))
        .filter_map(|test| {
            let at = three.iter().position(|own| own.which == test.of)?;
            let own = &three[at];
            if !own.is_there() || own.good < SURE.0 || own.good > SURE.1 {
                return None;
            }
            let passes = own.good * (1.0 - test.false_alarm) + (1.0 - own.good) * test.misses;
            let with = |good: f64| {
                let mut all = [three[0].good, three[1].good, three[2].good];
                all[at] = good;
                weigh_with(figures, three, all, needs)
            };
            let good_if_passed = after(own.good, 1.0 - test.false_alarm, test.misses);
            let good_if_failed = after(own.good, test.false_alarm, 1.0 - test.misses);
            let (passed, failed) = (with(good_if_passed), with(good_if_failed));
            let best = passes * passed.going_on.max(passed.stopping)
                + (1.0 - passes) * failed.going_on.max(failed.stopping);
            let costs =
                test.money + test.minutes / EVENING_MINUTES * figures.mean(AskedFigure::Evening);
            Some(TestWeighed {
                test: test.clone(),
                passes,
                good_if_passed,
                good_if_failed,
                if_passed: passed.advice(),
                if_failed: failed.advice(),
                saves: best - best_now,
                costs,
            })
        })
        .collect();
    let worth = |own: &TestWeighed| {
        let moved = own.passes * (1.0 - own.passes) * (own.good_if_passed - own.good_if_failed);
        let gain = if own.changes() {
            own.saves - own.costs
        } else {
            moved
        };
        gain / own.test.minutes
    };
    found.sort_by(|one, other| {
        other
            .changes()
            .cmp(&one.changes())
            .then(worth(other).total_cmp(&worth(one)))
    });
    found
}
