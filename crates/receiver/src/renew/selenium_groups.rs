//! Which selenium rectifiers work together, and how.
//!
//! No units; ratios of ohms and heat. Source: the wiring; a bridge carries each half cycle through two rectifiers, a doubler
//! one half cycle through each (closed forms). Nothing here can fail.

use crate::sheet::PartValue;
use crate::wiring::{Rectifying, SetModel};

/// How the rectifiers of a group work together.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Circuit {
    /// One rectifier.
    HalfWave,
    /// Two that feed one place in turn.
    FullWave,
    /// Two in a doubler.
    Doubler,
    /// Four in a bridge.
    Bridge,
    /// Any other number.
    Other,
}

impl Circuit {
    /// In words.
    #[must_use]
    pub fn words(self) -> &'static str {
        match self {
            Circuit::HalfWave => "half-wave",
            Circuit::FullWave => "full-wave",
            Circuit::Doubler => "doubler",
            Circuit::Bridge => "bridge",
            Circuit::Other => "several rectifiers",
        }
    }

    /// Ohms and heat of one resistor in the common alternating-current lead, over those of one in series with each
    /// rectifier; `None` where there is no such lead.
    pub(super) fn common(self) -> Option<(f64, f64)> {
        match self {
            Circuit::HalfWave => Some((1.0, 1.0)),
            // The lead carries both half cycles.
            Circuit::Doubler => Some((1.0, 2.0)),
            // Two rectifiers in series carry each half cycle.
            Circuit::Bridge => Some((2.0, 4.0)),
            Circuit::FullWave | Circuit::Other => None,
        }
    }
}

/// The groups of selenium that feed B+ or bias, each with its parts.
#[must_use]
pub fn groups(model: &SetModel<'_>) -> Vec<Vec<usize>> {
    let selenium: Vec<usize> = model
        .rectifying()
        .iter()
        .filter_map(|way| match way {
            Rectifying::Metal { part } => Some(*part),
            Rectifying::Tube { .. } => None,
        })
        .filter(|&part| matches!(model.sheet.parts[part].value, PartValue::Selenium { .. }))
        .collect();
    let mut found: Vec<Vec<usize>> = Vec::new();
    for part in selenium {
        let touches = |other: &usize| {
            let (one, other) = (model.part_ends[part], model.part_ends[*other]);
            one[..2]
                .iter()
                .flatten()
                .any(|end| other[..2].contains(&Some(*end)) && Some(*end) != model.chassis)
        };
        match found.iter_mut().find(|own| own.iter().any(touches)) {
            Some(own) => own.push(part),
            None => found.push(vec![part]),
        }
    }
    found
}

/// How a group works.
pub(super) fn circuit_of(model: &SetModel<'_>, parts: &[usize]) -> Circuit {
    let end = |part: usize, end: usize| model.part_ends[part][end];
    match parts {
        [_] => Circuit::HalfWave,
        [one, other] if end(*one, 1) == end(*other, 1) => Circuit::FullWave,
        [_, _] => Circuit::Doubler,
        [_, _, _, _] => Circuit::Bridge,
        _ => Circuit::Other,
    }
}
