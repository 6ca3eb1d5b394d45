//! What to replace in a set, with what, and in which order.
//!
//! Volts, amperes, ohms, farads, watts. What each part bears in the worst computed case stands in
//! [`burden`]; how far its value may move before a reading leaves the band of healthy sets, in
//! [`tolerated`]; the part of today that fits both, in [`right_part`]; which parts are replaced at once,
//! later, after a test or never, in [`plan`]; what becomes of selenium, in [`silicon`]. Sources: the set's
//! own circuit, and `data/todays_parts.csv`, `data/parts_trade.csv`, `data/ripple_ratings.csv` for what is made
//! and what fails. A set that finds no settled state has no burdens; a burden that cannot be told is said so with
//! its reason and is never read as none.

pub mod altered;
pub mod burden;
mod burden_in_sweep;
pub mod first_filter;
pub mod instead_of_tube;
mod moved_values;
pub mod plan;
mod rating;
mod remedies;
pub mod right_part;
mod selenium_groups;
pub mod silicon;
mod solved_run;
pub mod sweep_pulses;
pub mod tolerated;
mod value;
pub mod verdict;
mod verdict_resistor;
