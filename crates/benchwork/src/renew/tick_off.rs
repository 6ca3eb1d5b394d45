//! A part of the plan ticked off: fitted, with the old value and what the plan chose, or what was put in instead.
//!
//! Bench notation. The entry is a fact like any other: it can be corrected and undone. Fails as opening the restoration
//! does, for a part that the sheet has not, and for one of which the plan has no right part when nothing else is named.

use logbook::Fitted;

use super::plan::{RenewAsk, tell_renewal};
use crate::long_work::LongWork;
use crate::record::record_fitted;
use crate::restoration::Entering;
use crate::sent_once::told_before;
use crate::trouble::Trouble;
use crate::view::RecordedView;

/// Records that a part was fitted: `new` in place of what the plan says, where it is not the same.
pub fn tick_off(
    entering: &Entering<'_>,
    part: &str,
    new: Option<&str>,
    note: &str,
) -> Result<RecordedView, Trouble> {
    // Ticked off once, the part may have left the plan.
    if let Some(told) = told_before(entering)? {
        return Ok(told);
    }
    let ask = RenewAsk {
        parts: vec![part.to_owned()],
    };
    let plan = tell_renewal(entering.file, &ask, LongWork::untold())?;
    let Some(own) = plan.renewals.first() else {
        return Err(Trouble::input(
            format!("{part} has no place in the plan"),
            "wires, plugs and loads are changed in the sheet; `firstraster fit` records anything else",
        ));
    };
    let (value, rating) = match (new, &own.right) {
        (Some(new), _) => (new.to_owned(), String::new()),
        (None, Some(right)) => {
            let unit = match right.unit {
                "ohms" => quantity::Unit::Ohms,
                _ => quantity::Unit::Farads,
            };
            let total = right.value + right.beside.unwrap_or(0.0);
            let rating = match right.rating_unit {
                "watts" => format!("{} W", right.rating),
                "volts_ac" => format!("{} V a.c.", right.rating),
                _ => format!("{} V", right.rating),
            };
            (quantity::bench(total, unit), rating)
        }
        (None, None) => {
            return Err(Trouble::input(
                format!("the plan names no part for {part}"),
                "say what was put in with --new",
            ));
        }
    };
    let mut made = record_fitted(
        entering,
        Fitted {
            part: own.part.clone(),
            old: own.marked.clone(),
            new: value,
            rating,
            note: match (&own.right, new) {
                (Some(right), None) if note.is_empty() => right.words.clone(),
                _ => note.to_owned(),
            },
        },
    )?;
    // What has changed of this part since the plan was kept by which it was bought.
    let begins = format!("{} was ", own.part);
    let changed = plan.notices.into_iter();
    made.notices
        .extend(changed.filter(|notice| notice.text.starts_with(&begins)));
    Ok(made)
}
