//! Tells what the catalogue knows of a tube type, and which types come near it.
//!
//! A restorer's own rows lie beside the built-in ones: where both have the number,
//! both are told, the built-in one first. Fails for a number that nothing resembles
//! (with the nearest ones) and for a table of own rows with faults (all of them).

use std::path::Path;

use parts::{Catalogue, OwnType, near_tubes, read_own_types};

use crate::check_sheet::catalogue;
use crate::read_own_file::read_own_file;
use crate::trouble::Trouble;
use crate::view::{NearTubeView, TubeAnswerView, TubeTypeView};
use crate::{FORMAT, PROGRAM_VERSION};

/// How many near types are told.
pub const NEAR_TYPES: usize = 8;

/// What holds for every exchange of a tube.
const CAUTIONS: &[&str] = &[
    "These are facts of the catalogue, not a leave to fit a type: look through what changes, and at what the stage asks.",
    "Plug out and every capacitor proved empty before a tube is drawn or a socket rewired.",
    "In a series string every heater must have the string's amperes; another number there puts the others in danger as well.",
];

/// What holds for every exchange of a picture tube besides.
const PICTURE_TUBE_CAUTIONS: &[&str] = &[
    "A picture tube stays charged: its anode contact is discharged to its own coating or chassis more than once before it is touched.",
    "It can implode: eye and neck protection, never held by the neck, face down on something soft.",
    "Anode volts above what the tube is rated for give X-rays as well as flash-over.",
];

/// The type of this number with all its figures; near types if `like`.
pub fn tell_tube(
    number: &str,
    like: bool,
    own_table: Option<&Path>,
) -> Result<TubeAnswerView, Trouble> {
    let own = match own_table {
        Some(path) => own_types(path)?,
        None => Vec::new(),
    };
    let built_in = catalogue()?;
    let together = built_in.with_own(&own);
    let own_row = own
        .iter()
        .find(|row| same_number(&row.tube.name, number))
        .map(|row| &row.tube);
    // An own row of that very number comes before a built-in one that only resembles it.
    let found = match (own_row, built_in.has_number(number)) {
        (Some(_), false) => None,
        _ => built_in.tube_match(number),
    };
    let mut types = Vec::new();
    let mut note = None;
    if let Some(found) = &found {
        types.push(TubeTypeView::new(found.tube, built_in, false));
        note.clone_from(&found.note);
    }
    types.extend(own_row.map(|tube| TubeTypeView::new(tube, built_in, true)));
    let Some(first) = found.as_ref().map(|found| found.tube).or(own_row) else {
        return Err(unknown(number, &together));
    };
    let near = like.then(|| {
        near_tubes(first, together.tubes(), NEAR_TYPES)
            .iter()
            .map(NearTubeView::new)
            .collect()
    });
    let mut cautions: Vec<String> = Vec::new();
    if like {
        cautions.extend(CAUTIONS.iter().map(|text| (*text).to_string()));
        if first.is_picture_tube {
            let more = PICTURE_TUBE_CAUTIONS.iter();
            cautions.extend(more.map(|text| (*text).to_string()));
        }
    }
    Ok(TubeAnswerView {
        format: FORMAT,
        program: PROGRAM_VERSION,
        data: parts::DATA_EDITION,
        asked: number.trim().to_string(),
        note,
        types,
        near,
        cautions,
    })
}

/// Reads a table of own types.
fn own_types(path: &Path) -> Result<Vec<OwnType>, Trouble> {
    read_own_file(path, read_own_types)
}

fn same_number(one: &str, other: &str) -> bool {
    let folded = |text: &str| {
        text.chars()
            .filter(|c| c.is_alphanumeric())
            .flat_map(char::to_uppercase)
            .collect::<String>()
    };
    !folded(one).is_empty() && folded(one) == folded(other)
}

fn unknown(number: &str, catalogue: &Catalogue) -> Trouble {
    let shown = number.trim();
    let near = catalogue.nearest_tubes(shown);
    let describe = "describe it by its columns in the sheet as [tube.\"TYPE\"], or in a table of your own given with --own";
    let hint = if near.is_empty() {
        format!("write the number as it stands on the tube, such as 6AU6 or 12LP4-A; {describe}")
    } else {
        format!(
            "nearest in the catalogue: {}; if it is another type, {describe}",
            near.join(", ")
        )
    };
    Trouble::input(
        format!("`{shown}` is no type of the catalogue, and no other number of one"),
        hint,
    )
}

#[cfg(test)]
mod tests {
    use super::*;

    fn told(number: &str) -> TubeAnswerView {
        tell_tube(number, true, None).unwrap_or_else(|trouble| panic!("{number}: {trouble}"))
    }

    #[test]
    fn a_type_is_told_under_any_of_its_numbers() {
        for (asked, wanted, has_note) in [
            ("6au6", "6AU6", false),
            ("EF94", "6AU6", true),
            (" 12lp4a ", "12LP4-A", false),
        ] {
            let answer = told(asked);
            assert_eq!(answer.types.len(), 1, "{asked}");
            assert_eq!(answer.types[0].name, wanted);
            assert_eq!(answer.note.is_some(), has_note, "{asked}");
            assert!(answer.near.is_some_and(|near| !near.is_empty()), "{asked}");
        }
    }

    #[test]
    fn every_contact_of_the_base_is_told_once() {
        // 6AU6 by the maker's base 7BK: grid 1 on pin 1, suppressor 2, heater 3 and 4,
        // plate 5, screen 6, cathode 7.
        let answer = told("6AU6");
        let base = answer.types[0].base.as_ref().expect("known");
        let carried: Vec<String> = base
            .contacts
            .iter()
            .map(|contact| format!("{}:{}", contact.contact, contact.elements.join("+")))
            .collect();
        assert_eq!(
            carried,
            [
                "1:grid1",
                "2:grid3+shield",
                "3:heater",
                "4:heater",
                "5:plate",
                "6:grid2",
                "7:cathode"
            ]
        );
    }

    #[test]
    fn every_type_of_the_catalogue_can_be_told() {
        let catalogue = catalogue().expect("sound");
        for tube in catalogue.tubes() {
            let answer = told(&tube.name);
            assert_eq!(answer.types[0].name, tube.name);
            assert!(!answer.types[0].what.is_empty());
        }
    }

    #[test]
    fn a_number_that_is_unknown_gets_its_neighbours() {
        for (number, wanted) in [("6SM8GT", "6SN7-GT"), ("12LP44", "12LP4"), ("", "6AU6")] {
            match tell_tube(number, false, None) {
                Err(Trouble::Input { faults }) => {
                    assert!(faults[0].hint.contains(wanted), "{number}: {faults:?}");
                }
                other => panic!("{number}: {other:?}"),
            }
        }
    }
}
