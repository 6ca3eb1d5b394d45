//! Readings of one place before and after the set was changed, both with the set standing alike.
//!
//! Units of the readings, as they were typed. Before is the last reading of the set as it was; after
//! is the last of the set as it is now. Nothing here fails.

use std::collections::HashMap;

use logbook::{Conditions, Fact, Measured};

use super::Handed;
use crate::hunt::{Stands, gather};
use crate::view::BeforeAndAfterView;

/// Lines that differ by less than this share count as alike.
const ALIKE: f64 = 0.05;

/// Every place that was read before and after.
pub(super) fn rows(handed: &Handed<'_>) -> Vec<BeforeAndAfterView> {
    let gathered = gather(&handed.so_far.sheet, handed.facts);
    let by_number: HashMap<u64, &Measured> = handed
        .facts
        .iter()
        .filter_map(|one| match one.fact {
            Fact::Measured(measured) => Some((one.number, measured)),
            _ => None,
        })
        .collect();
    let measured = |number: u64| by_number.get(&number).copied();
    let mut rows: Vec<BeforeAndAfterView> = Vec::new();
    for now in gathered.iter().rev() {
        if !matches!(now.stands, Stands::Now(..)) {
            continue;
        }
        let Some(after) = measured(now.entry) else {
            continue;
        };
        let is_known = rows
            .iter()
            .any(|row| row.at == now.at && row.what == now.what && row.to == after.to);
        if is_known {
            continue;
        }
        let before = gathered.iter().rev().find_map(|then| {
            let Stands::Former { since, because } = &then.stands else {
                return None;
            };
            let own = measured(then.entry)?;
            let is_same = then.at == now.at && then.to == now.to && then.what == now.what;
            (is_same && alike(&own.conditions, &after.conditions))
                .then_some((then.entry, own, since, because))
        });
        if let Some((entry, before, since, because)) = before {
            rows.push(BeforeAndAfterView {
                at: now.at.clone(),
                to: after.to.clone(),
                what: now.what,
                conditions: crate::view::conditions_in_words(&after.conditions).join(", "),
                before: before.typed.clone(),
                before_entry: entry,
                after: after.typed.clone(),
                after_entry: now.entry,
                between: format!("{because} (entry {since})"),
            });
        }
    }
    rows.sort_by_key(|row| row.after_entry);
    rows
}

/// Whether the set stood alike.
fn alike(one: &Conditions, other: &Conditions) -> bool {
    let near = |one: Option<f64>, other: Option<f64>| match (one, other) {
        (Some(one), Some(other)) => (one - other).abs() <= ALIKE * one.abs().max(other.abs()),
        (None, None) => true,
        _ => false,
    };
    one.plug_out == other.plug_out
        && near(
            one.line_volts.or(one.dial_volts),
            other.line_volts.or(other.dial_volts),
        )
        && one.lamp_watts == other.lamp_watts
        && one.pulled == other.pulled
        && one.open == other.open
        && one.fitted_without == other.fitted_without
        && one.dc == other.dc
}
