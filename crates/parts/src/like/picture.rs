//! Picture tubes that come near another: face, gun, coating, volts.
//!
//! Inches, degrees, volts, millimetres. Two are of one kind when deflected
//! alike, within 0.6 in of face and 4 degrees of angle, as far as both are
//! known. What the table itself names as a close replacement counts nearer.
//! A change of make is always work to be done; nothing here calls a picture
//! tube a plain substitute if one is listed.

use crate::like::{Change, Matter};
use crate::picture_tube::{Envelope, Focus, IonTrap, PictureTubeData};
use crate::tube::TubeType;

/// Whether the two are near enough to be compared at all.
pub(super) fn is_of_kind(asked: &TubeType, tube: &TubeType) -> bool {
    let (Some(own), Some(other)) = (&asked.picture, &tube.picture) else {
        return false;
    };
    let within = |one: Option<f64>, two: Option<f64>, most: f64| match (one, two) {
        (Some(one), Some(two)) => (one - two).abs() <= most,
        _ => true,
    };
    let inches_known =
        own.diagonal_or_diameter_inches.is_some() && other.diagonal_or_diameter_inches.is_some();
    inches_known
        && own.deflection == other.deflection
        && own.face == other.face
        && within(
            own.diagonal_or_diameter_inches,
            other.diagonal_or_diameter_inches,
            0.6,
        )
        && within(own.deflection_degrees, other.deflection_degrees, 4.0)
}

/// What differs in make and ratings, and how far off it is.
pub(super) fn changes(asked: &TubeType, tube: &TubeType) -> (Vec<Change>, f64) {
    let (Some(own), Some(other)) = (&asked.picture, &tube.picture) else {
        return (Vec::new(), 1.0);
    };
    let mut changes = Vec::new();
    make(own, other, &mut changes);
    sizes(own, other, &mut changes);
    ratings(own, other, &mut changes);
    let listed = own
        .close_replacements
        .iter()
        .find(|near| near.name == tube.name);
    if let Some(listed) = listed {
        let text = format!("listed as a close replacement: {}", listed.changes);
        changes.push(Change::words(
            Matter::RatingHigher,
            "close_replacements",
            text,
        ));
    }
    let off: f64 = changes
        .iter()
        .map(|change| match change.matter {
            Matter::Make => 0.2,
            Matter::RatingLower => 0.3,
            Matter::RatingUnknown => 0.1,
            _ => 0.05,
        })
        .sum();
    (changes, if listed.is_some() { 0.5 * off } else { off })
}

fn make(own: &PictureTubeData, other: &PictureTubeData, changes: &mut Vec<Change>) {
    let mut note = |what, text: String| changes.push(Change::words(Matter::Make, what, text));
    if own.ion_trap != other.ion_trap {
        note(
            "ion_trap",
            match other.ion_trap {
                None => "which ion trap magnet it needs is not known".to_string(),
                Some(IonTrap::None) => "needs no ion trap magnet: take it off".to_string(),
                Some(trap) => format!(
                    "needs a {} ion trap magnet instead of {}",
                    trap.word(),
                    own.ion_trap.map_or("one not known", IonTrap::word)
                ),
            },
        );
    }
    if own.has_coating != other.has_coating {
        note(
            "outer_coating_pf_max",
            match other.has_coating {
                None => "whether it has an outer coating is not known",
                Some(true) => "has an outer coating: ground it",
                Some(false) => {
                    "has no outer coating: the set needs a high-voltage filter capacitor"
                }
            }
            .to_string(),
        );
    }
    if own.focus != other.focus {
        let text = format!(
            "focus {} instead of {}",
            other.focus.map_or("not known", Focus::word),
            own.focus.map_or("not known", Focus::word)
        );
        note("focus", text);
    }
    if own.envelope != other.envelope {
        note(
            "envelope",
            match other.envelope {
                Some(Envelope::Metal) => {
                    "metal cone at anode volts: insulate its mount, never touch it".to_string()
                }
                Some(Envelope::Glass) => "glass: the mount and the anode lead differ".to_string(),
                None => "glass or metal is not known".to_string(),
            },
        );
    }
    if own.is_aluminized != other.is_aluminized {
        let (matter, text) = match other.is_aluminized {
            Some(true) => (Matter::RatingHigher, "aluminized: brighter"),
            Some(false) => (Matter::Make, "not aluminized: dimmer"),
            None => (Matter::Make, "whether it is aluminized is not known"),
        };
        changes.push(Change::words(matter, "aluminized", text));
    }
}

fn sizes(own: &PictureTubeData, other: &PictureTubeData, changes: &mut Vec<Change>) {
    for (what, words, unit, least, one, two) in [
        (
            "length_in",
            "length",
            "in",
            0.15,
            own.length_inches,
            other.length_inches,
        ),
        (
            "diagonal_or_diameter_in",
            "face",
            "in",
            0.1,
            own.diagonal_or_diameter_inches,
            other.diagonal_or_diameter_inches,
        ),
        (
            "neck_mm",
            "neck",
            "mm",
            0.5,
            own.neck_millimetres,
            other.neck_millimetres,
        ),
    ] {
        match (one, two) {
            (Some(one), Some(two)) if (one - two).abs() > least => {
                let text = format!("{words} {two} {unit} instead of {one} {unit}");
                changes.push(Change::figures(Matter::Make, what, one, two, text));
            }
            (Some(one), None) => {
                let text = format!("{words} not known, {one} {unit} asked");
                changes.push(Change::words(Matter::RatingUnknown, what, text));
            }
            _ => {}
        }
    }
}

fn ratings(own: &PictureTubeData, other: &PictureTubeData, changes: &mut Vec<Change>) {
    for (what, words, one, two) in [
        (
            "anode_max_v",
            "anode",
            own.anode_max_volts,
            other.anode_max_volts,
        ),
        (
            "grid2_max_v",
            "grid 2",
            own.grid2_max_volts,
            other.grid2_max_volts,
        ),
    ] {
        match (one, two) {
            (Some(one), Some(two)) if one != two => {
                let matter = if two < one {
                    Matter::RatingLower
                } else {
                    Matter::RatingHigher
                };
                let text = format!("{words} rated {two} V instead of {one} V");
                changes.push(Change::figures(matter, what, one, two, text));
            }
            (Some(one), None) => {
                let text = format!("{words}: no rating known, {one} V asked");
                changes.push(Change::words(Matter::RatingUnknown, what, text));
            }
            _ => {}
        }
    }
    let cutoff = |data: &PictureTubeData| {
        Some((
            data.grid2_typical_volts?,
            data.cutoff_nearest_volts?,
            data.cutoff_farthest_volts?,
        ))
    };
    if let (Some(one), Some(two)) = (cutoff(own), cutoff(other))
        && one != two
    {
        let text = format!(
            "cut-off {} to {} V at {} V on grid 2, instead of {} to {} V at {} V",
            two.1, two.2, two.0, one.1, one.2, one.0
        );
        changes.push(Change::words(Matter::Characteristic, "cutoff_low_v", text));
    }
}
