//! The rules, each a typed test over an act and its situation.
//!
//! A rule names the hazard it serves and tells why it refuses. Facts that are not known are read
//! as the dangerous case. Volts, amperes, watts, seconds. No rule can fail; pulling the plug and
//! switching off pass every one of them.

mod charge;
mod handling;
mod line;
mod measuring;
mod picture_tube;
mod supply;
mod sweep;

use super::act::Act;
use super::situation::Situation;

/// One thing that is never advised.
#[derive(Debug, Clone, Copy)]
pub struct Rule {
    /// The hazard's id, a slash, and what is forbidden.
    pub id: &'static str,
    /// The hazard's id in the table.
    pub hazard: &'static str,
    /// Why the act is refused; `None` when this rule lets it pass.
    pub refuses: fn(&Act, &Situation) -> Option<String>,
}

/// All rules.
pub fn all() -> impl Iterator<Item = &'static Rule> {
    [
        measuring::RULES,
        charge::RULES,
        line::RULES,
        sweep::RULES,
        picture_tube::RULES,
        supply::RULES,
        handling::RULES,
    ]
    .into_iter()
    .flatten()
}

/// The reason, when the condition holds.
fn when(condition: bool, because: &str) -> Option<String> {
    condition.then(|| because.to_owned())
}
