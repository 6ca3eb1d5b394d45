//! The picture tube judged: the part that cannot be bought again gets the most careful reasoning.
//!
//! Facts in (type, volts, readings with their instrument), judgement out, each with its doubt and
//! its reason. Volts, amperes, ohms, minutes as each name says. Figures of types come from
//! `data/picture_tubes.csv`, rules of thumb from `data/trade_numbers.csv` with their standing.
//! No file, clock or chance is known here. What cannot be told is a result, with its reason.

pub mod emission;

pub mod heater;

pub mod drive;

pub mod life_test;

pub mod life_fall;

pub mod advised;

pub mod ion_trap;

pub mod recovery;

pub mod bench_method;

pub mod leakage;

pub mod set_range;

pub mod verdict;

pub mod judge_tube;
