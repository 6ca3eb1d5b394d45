//! Reasons about one television set: facts in, advice out.
//!
//! The restorer's [`sheet`] becomes a circuit ([`wiring`]), the circuit becomes
//! readings with bands ([`expect`], [`ohms`]), and readings of healthy and of
//! faulty sets become a staged first power-up ([`plan`]). Every piece of advice
//! is an act that [`hazard`] has let pass.
//!
//! Inside: volts, amperes, ohms, seconds. No file, clock, terminal or chance is
//! known here: the same facts give the same advice.

pub mod hazard;
pub mod sections;
pub mod sheet;

pub mod sheet_edit;

pub mod parts_list;

pub mod outlook;

pub mod conditions;
pub mod reading;

pub mod wiring;

pub mod stages;
pub mod whole_set;

pub mod probes;

pub mod causes;

pub mod bands;

pub mod unknowns;

pub mod untold;

pub mod meter;

pub mod expect;

pub mod ohms;

pub mod chart;

pub mod wrong_way;

pub mod stage_patterns;

pub mod curves;

pub mod plan;

pub mod power_up;

pub mod forming;

pub mod proof;

pub mod picture_tube;

pub mod foresight;

pub mod judge_reading;

pub mod sweep_drive;

pub mod learned;

pub mod suspects;

pub mod practice;

pub mod renew;

pub mod worth;
