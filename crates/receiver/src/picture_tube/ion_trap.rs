//! The ion trap: needed or not, and what a substitute of another type changes.
//!
//! Strictly by the type's own row of `data/picture_tubes.csv`; never concluded from an aluminized
//! screen. Inches, volts, amperes as each name says. How it is set is common practice. Where a
//! row is silent the answer is "not known", and the trap is then fitted and tried.

use parts::{IonTrap, TubeType};

/// Whether a type needs an ion trap.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum TrapNeed {
    /// It needs none: leave the magnet off.
    None,
    /// One magnet.
    Single,
    /// Two magnets.
    Double,
    /// The row does not say.
    NotKnown,
}

/// How a trap is set, step by step (common practice).
pub const HOW_IT_IS_SET: [&str; 4] = [
    "Brightness low, the trap on the neck near the base, over the bend of the gun.",
    "Within the first seconds turn it and slide it for the brightest raster.",
    "Turn brightness down, set it again for the brightest, and repeat at the end of the work.",
    "Never set it against a shadow or to centre the picture: that is for focus coil and yoke.",
];

/// What a wrong setting does (common practice).
pub const WHAT_A_WRONG_SETTING_DOES: &str = "No raster, a dim one, or a shadow at a corner; the \
    beam then strikes the gun, heats it and may end the tube within minutes. Where a straight gun \
    is given a trap, the beam is bent into the neck.";

/// Whether the type needs a trap.
pub fn trap_need(tube: &TubeType) -> TrapNeed {
    match tube.picture.as_ref().and_then(|picture| picture.ion_trap) {
        Some(IonTrap::None) => TrapNeed::None,
        Some(IonTrap::Single) => TrapNeed::Single,
        Some(IonTrap::Double) => TrapNeed::Double,
        None => TrapNeed::NotKnown,
    }
}

/// What changes when `other` stands in for `own`, the gravest first; empty when nothing known does.
pub fn what_a_substitute_changes(own: &TubeType, other: &TubeType) -> Vec<String> {
    let mut changes = Vec::new();
    let (Some(a), Some(b)) = (&own.picture, &other.picture) else {
        return vec!["one of the two is no picture tube".to_owned()];
    };
    match (&own.heater, &other.heater) {
        (Some(one), Some(two)) => {
            if (one.volts - two.volts).abs() > 0.05 * one.volts
                || (one.amperes - two.amperes).abs() > 0.05 * one.amperes
            {
                changes.push(format!(
                    "heater {} V {} A in place of {} V {} A",
                    two.volts, two.amperes, one.volts, one.amperes
                ));
            }
        }
        _ => changes.push("the heater of one of the two is not known".to_owned()),
    }
    if own.base != other.base {
        changes.push(format!("base {} in place of {}", other.base, own.base));
    }
    match (trap_need(own), trap_need(other)) {
        (one, two) if one == two => {}
        (_, TrapNeed::None) => changes.push("the ion trap comes off".to_owned()),
        (_, TrapNeed::Single) => changes.push("a single ion trap goes on".to_owned()),
        (_, TrapNeed::Double) => changes.push("a double ion trap goes on".to_owned()),
        (_, TrapNeed::NotKnown) => changes.push(
            "whether it needs an ion trap is not known: fit it and try both, brightness low"
                .to_owned(),
        ),
    }
    if b.anode_max_volts.is_some() && b.anode_max_volts < a.anode_max_volts {
        changes.push(format!(
            "its anode stands {} V at most, {} V less than the own type",
            b.anode_max_volts.unwrap_or_default(),
            a.anode_max_volts.unwrap_or_default() - b.anode_max_volts.unwrap_or_default()
        ));
    }
    if a.has_coating != b.has_coating {
        changes.push(match b.has_coating {
            Some(true) => "it has an outer coating, which wants its ground spring".to_owned(),
            Some(false) => "it has no outer coating: fit a high-voltage capacitor".to_owned(),
            None => "whether it has an outer coating is not known".to_owned(),
        });
    }
    if let (Some(one), Some(two)) = (a.length_inches, b.length_inches)
        && (one - two).abs() > 0.25
    {
        changes.push(format!("length {two} inches in place of {one}"));
    }
    if let (Some(one), Some(two)) = (a.grid2_typical_volts, b.grid2_typical_volts)
        && (one - two).abs() > 0.1 * one
    {
        changes.push(format!("second grid at {two} V in place of {one} V"));
    }
    if a.focus != b.focus && b.focus.is_some() {
        changes.push("it is focused in another way".to_owned());
    }
    if a.deflection_degrees != b.deflection_degrees && b.deflection_degrees.is_some() {
        changes.push("its deflection angle differs: yoke and sweep must go with it".to_owned());
    }
    changes
}
