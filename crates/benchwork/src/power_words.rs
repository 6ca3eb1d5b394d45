//! Words of the power-up, for pages and commands: places with their other lead, limits, what steps left unknown.
//!
//! Units of the readings. Nothing here fails.

use crate::figures::figure;
use crate::view::{AskedView, PowerUpView};

/// A place with its other lead.
pub fn place(own: &AskedView) -> String {
    match &own.to {
        Some(to) if to != "chassis" => format!("{} to {to}", own.at),
        _ => own.at.clone(),
    }
}

/// The limits on a reading; empty where there are none.
pub fn limits(own: &AskedView) -> String {
    let limits = own.limits.iter();
    let words: Vec<String> = limits
        .map(|one| limit(own.what, one.above, one.below, one.after_seconds))
        .collect();
    words.join(", ")
}

/// One limit: its side, its value, the second from which it counts.
pub fn limit(what: &str, above: Option<f64>, below: Option<f64>, after_seconds: f64) -> String {
    let (side, value) = match (above, below) {
        (Some(value), _) => ("above", value),
        (_, Some(value)) => ("below", value),
        _ => return String::new(),
    };
    let from = match after_seconds > 0.0 {
        true => format!(" from {after_seconds:.0} s"),
        false => String::new(),
    };
    format!("{side} {}{from}", figure(what, value))
}

/// What the steps passed have left unknown, a line for each step.
pub fn left_unknown(view: &PowerUpView) -> Vec<String> {
    let passed = view.passed.iter();
    passed
        .filter(|passed| !passed.leaves_unknown.is_empty())
        .map(|passed| {
            let name = passed.title.as_ref().unwrap_or(&passed.key);
            format!(
                "{name} ({}): {}",
                passed.how,
                passed.leaves_unknown.join("; ")
            )
        })
        .collect()
}
