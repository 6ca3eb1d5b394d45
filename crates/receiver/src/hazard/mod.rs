//! Dangers of the work, what is never advised and why, as rules over typed acts.
//!
//! An [`Act`] says what is done, where, with what, energised or not, and under which computed
//! peak volts. [`judge`] lets it pass with the cautions that belong to it, or refuses it with
//! every rule it breaks. Rules look at acts only, never at sentences; the [`sentence`](Act::sentence)
//! shown to the restorer is made from the act afterwards.
//!
//! Units: volts (peak at a place, r.m.s. for the line), amperes, ohms, watts, seconds.
//! Source: `data/hazards.csv`, one danger a row with source and standing; the rules are that
//! table's `never_advise` column in typed form. Range: monochrome sets of 1946 to 1965 on a bench.
//! What is not known counts as the dangerous case: an act at an energised place of unknown volts is
//! refused. Fails only when the table built into the program is damaged ([`TableFault`]).
//!
//! ```
//! use receiver::hazard::{self, Act, ActPlace, Instrument, Measured, Situation, Verdict};
//!
//! let table = hazard::table().map_err(|faults| faults[0].clone())?;
//! let bench = Situation {
//!     isolation: hazard::Isolation::IsolationTransformer,
//!     ..Situation::default()
//! };
//! let reading = Act::measure(Measured::DcVolts, ActPlace::junction("B+ main"), ActPlace::Chassis)
//!     .energised(Some(390.0))
//!     .with(Instrument::Meter { rated_volts: Some(600.0) });
//! assert!(matches!(table.judge(&reading, &bench), Verdict::Allowed { .. }));
//!
//! let unknown = reading.energised(None);
//! assert!(matches!(table.judge(&unknown, &bench), Verdict::Refused { .. }));
//! # Ok::<(), hazard::TableFault>(())
//! ```

mod act;
mod details;
mod page;
mod place;
mod rules;
mod sentence;
mod signs;
mod situation;
mod table;
mod trigger;

pub use act::{Act, ActKind};
pub use details::{
    Absence, Carrying, Connected, CordReplacement, EnergisedBy, Glass, Grip, Hold, Instrument,
    Measured, ReFormed, Replacement, SafetyClass, Saying, Setting, ShockCase, StoredCharge,
    Treatment, Watch,
};
pub use place::ActPlace;
pub use rules::{Rule, all as rules};
pub use signs::{
    PULL_THE_PLUG_FIRST, STOP_SIGNS, Sense, StopSign, USUAL_STORED_CHARGE, USUAL_WHILE_ENERGISED,
    stop_signs,
};
pub use situation::{Cabinet, ChassisRelation, Cord, Isolation, Seen, Sign, Situation};
pub use table::{COLUMNS, HandledBy, Hazard, HazardTable, Standing, TableFault, table};
pub use trigger::{Trigger, TriggerWord};

/// Peak volts above which an energised place counts as hurtful: 30 V r.m.s. times root 2
/// (30 V a.c. and 60 V d.c. are the usual limits; the lower one is taken for both).
pub const HURTFUL_PEAK_VOLTS: f64 = 42.4;

/// Most watts in an electrolytic while it is formed anew.
pub const MOST_WATTS_IN_CAN: f64 = 1.0;

/// What the rules say of an act.
#[derive(Debug, Clone, PartialEq)]
pub enum Verdict<'t> {
    /// It may be advised, together with these cautions.
    Allowed {
        /// Cautions that belong to it, in the table's order.
        cautions: Vec<&'t Hazard>,
    },
    /// It may not be advised.
    Refused {
        /// Every rule it breaks, never empty.
        rules: Vec<Refusal<'t>>,
    },
}

impl Verdict<'_> {
    /// True when the act may be advised.
    #[must_use]
    pub fn is_allowed(&self) -> bool {
        matches!(self, Self::Allowed { .. })
    }
}

/// One rule that an act breaks.
#[derive(Debug, Clone, PartialEq)]
pub struct Refusal<'t> {
    /// The rule's name: the hazard's id, a slash, and what it forbids.
    pub rule: &'static str,
    /// The danger.
    pub hazard: &'t Hazard,
    /// Why this act is refused, with its figures.
    pub because: String,
}

/// Whether an act may be advised in this situation.
///
/// # Errors
/// The faults of the table, when this program was built with a damaged one.
pub fn judge(act: &Act, situation: &Situation) -> Result<Verdict<'static>, &'static [TableFault]> {
    Ok(table()?.judge(act, situation))
}
