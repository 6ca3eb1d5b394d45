//! A plan kept in its restoration, and what has changed since: the sheet may be another by the time a part is fitted.
//!
//! Bench notation, one line a part: `C40: 0.05 mfd 600 V -> 0.047 mfd 630 V polyester film capacitor`. Kept as advice with
//! version and edition; it is compared with the plan of now and never read as input to it. Fails as opening the
//! restoration does; a line that cannot be read is left alone.

use logbook::{Entry, Fact, standing_facts};

use crate::keep_advice::keep_advice;
use crate::restoration::Entering;
use crate::trouble::Trouble;
use crate::view::{NoticeView, RenewalPlanView, RenewalView};

/// What the advice is kept as the answer to.
const ASKED: &str = "what to replace";

/// Keeps what a plan says of every part that is replaced or tested; the first entry and how many there are.
pub fn keep_plan(entering: &Entering<'_>, plan: &RenewalPlanView) -> Result<(u64, usize), Trouble> {
    let lines: Vec<String> = plan.renewals.iter().filter_map(line_of).collect();
    keep_advice(entering, ASKED, &lines.join("\n"))
}

/// The line of a part; `None` where nothing takes its place.
fn line_of(own: &RenewalView) -> Option<String> {
    let right = own.right.as_ref()?;
    Some(format!("{}: {} -> {}", own.part, own.marked, right.words))
}

/// What the plan kept last said of parts of which the sheet says something else now: both by these entries.
pub(super) fn changed_since(entries: &[Entry], renewals: &[RenewalView]) -> Vec<NoticeView> {
    let mut kept: Vec<(String, String)> = Vec::new();
    let mut when = String::new();
    let mut fitted: Vec<String> = Vec::new();
    for one in standing_facts(entries) {
        match one.fact {
            Fact::Advised(advised) if advised.asked.starts_with(ASKED) => {
                // A plan in several entries is one plan: the first of them begins anew.
                if !advised.asked.contains('(') || advised.asked.contains("(1 of") {
                    kept.clear();
                    fitted.clear();
                }
                when = one.at.to_string();
                kept.extend(advised.said.lines().filter_map(|line| {
                    let (part, rest) = line.split_once(": ")?;
                    let (marked, _) = rest.split_once(" -> ")?;
                    Some((part.to_owned(), marked.to_owned()))
                }));
            }
            Fact::Fitted(own) => fitted.push(own.part.to_lowercase()),
            _ => {}
        }
    }
    let mut found = Vec::new();
    for (part, marked) in kept {
        if fitted.contains(&part.to_lowercase()) {
            continue;
        }
        let now = renewals
            .iter()
            .find(|own| own.part.eq_ignore_ascii_case(&part));
        let text = match now {
            None => {
                format!("{part} was in the plan kept on {when} and is not on the sheet any more")
            }
            Some(now) if now.marked != marked => format!(
                "{part} was {marked} in the plan kept on {when}; the sheet says {} now",
                now.marked
            ),
            Some(_) => continue,
        };
        found.push(NoticeView {
            text,
            hint: "look at the part and at the sheet before you fit what was bought for it"
                .to_owned(),
            line: None,
        });
    }
    found
}
