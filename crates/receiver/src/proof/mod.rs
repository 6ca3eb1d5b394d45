//! The proof at the end: what is measured and seen on one set before somebody else uses it.
//!
//! Units: milliamperes, volts, ohms, amperes, seconds, degrees Celsius, kilovolts, as each item says.
//! The items follow from the set's sheet (chassis on the line or not, string, high voltage, what stays
//! charged); limits come with their source and standing; what a healthy set gives is solved where it
//! can be. Every act is judged by the rules on hazards, and an item whose acts are refused is told as
//! not to be done yet. Nothing here says that a set is safe or meets a standard: readings stand against
//! figures, and local codes and licensed practice decide. What cannot be solved is named with its reason.

mod figures;
mod fuse;
mod items;
mod judge;
mod leak;
mod list;
mod network;
mod under_power;

pub use figures::{ProofFigures, SolvedSupply, proof_figures};
pub use fuse::{FUSE_RATINGS, FuseChoice, choose_fuse};
pub use items::{
    Asks, Expected, ItemState, LEAKAGE, ProofItem, ProofLimit, ReopenedBy, SOAK_MINUTES, Slot,
};
pub use judge::{JudgedItem, JudgedSlot, ProofAnswer, SlotAnswer, judge_item};
pub use leak::{LeakState, computed_leakage};
pub use list::proof_items;
pub use network::{
    DIRECT_OHMS, NETWORK_FARADS, NETWORK_OHMS, direct_milliamperes, network_milliamperes,
    network_ohms,
};
