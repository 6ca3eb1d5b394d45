//! What is to be heeded of a new part at the place where it was fitted.
//!
//! Capacitors across the line and from the line to metal: safety classes by IEC 60384-14 (from memory),
//! and the rule of `data/hazards.csv` on line capacitors. Tubes: base, heater and pins of the catalogue. The class is looked for in the words of the
//! entry, since parts bear it. Nothing here fails but for a fault of the program's own figures.

use logbook::Fitted;
use parts::TubeType;
use receiver::hazard::SafetyClass;
use receiver::plan::capacitors::review_capacitors;
use receiver::sheet::{Sheet, SheetTube};
use receiver::wiring::SetModel;

use crate::check_sheet::catalogue;
use crate::suits_part::differs_from;
use crate::trouble::Trouble;
use crate::view::NoticeView;

/// What is to be told of this entry; usually nothing.
pub(crate) fn cautions_of_a_new_part(
    sheet: &Sheet,
    fitted: &Fitted,
) -> Result<Vec<NoticeView>, Trouble> {
    let catalogue = catalogue()?;
    if let Some(own) = sheet.tube(&fitted.part) {
        let new = catalogue.tube(fitted.new.trim());
        return Ok(new
            .and_then(|new| another_tube(own, new))
            .into_iter()
            .collect());
    }
    let model = SetModel::new(sheet, catalogue);
    let reviews = review_capacitors(&model);
    let review = reviews
        .iter()
        .find(|review| review.reference == fitted.part);
    let Some((place, wanted)) =
        review.and_then(|review| Some((review.place, review.place.safety_class()?)))
    else {
        return Ok(Vec::new());
    };
    let words = [&fitted.new, &fitted.rating, &fitted.note];
    let told = words.iter().find_map(|words| class_in(words));
    let part = &fitted.part;
    let place = place.words();
    let only = match wanted {
        SafetyClass::X => "a safety capacitor of class X1 or X2 (Y1 and Y2 may too)",
        _ => "a safety capacitor of class Y1 or Y2, never one of class X",
    };
    let is_right = match wanted {
        SafetyClass::X => told.is_some(),
        _ => told == Some('Y'),
    };
    let text = match (is_right, told) {
        (true, _) => format!(
            "{part} stands {place}: no larger than drawn; where local codes say more, they come first"
        ),
        (false, Some(_)) => format!(
            "{part} stands {place}, where a part of class X must not be: only {only}. Plug out until it is changed"
        ),
        (false, None) => format!(
            "{part} stands {place}: only {only} may be there, no larger than drawn. Plug out until one is fitted; local codes come first"
        ),
    };
    let hint = match is_right {
        true => "compare its value with the drawing once more",
        false => {
            "if the part bears the class, correct the entry, such as `correct FILE NUMBER \"rating = 250 V Y2\"`"
        }
    };
    Ok(vec![NoticeView {
        text,
        hint: hint.to_owned(),
        line: None,
    }])
}

/// What a tube of another type has otherwise; `None` where it fits the socket as it is wired.
fn another_tube(own: &SheetTube, new: &TubeType) -> Option<NoticeView> {
    let differs = differs_from(&own.kind, new);
    (!differs.is_empty()).then(|| NoticeView {
        text: format!(
            "{}: {} in the place of {}: {}. No power before the socket is wired for it",
            own.reference,
            new.name,
            own.kind.name,
            differs.join("; ")
        ),
        hint: "if the socket was wired anew, put type, pins and heater feed into the sheet and `take` it in; else the entry or the tube is wrong".to_owned(),
        line: None,
    })
}

/// The class named in these words, `X` or `Y`; a `Y` counts where both stand, since such parts bear
/// both.
fn class_in(words: &str) -> Option<char> {
    let found: Vec<char> = words
        .split(|letter: char| !letter.is_alphanumeric())
        .filter_map(|word| match word.to_ascii_uppercase().as_str() {
            "X" | "X1" | "X2" => Some('X'),
            "Y" | "Y1" | "Y2" => Some('Y'),
            _ => None,
        })
        .collect();
    found
        .iter()
        .find(|class| **class == 'Y')
        .or(found.first())
        .copied()
}

#[cfg(test)]
mod tests {
    use super::*;
    use receiver::sheet::read_sheet;

    const SHEET: &str = r#"sheet = 1
name = "a set"
line_volts = 117
line_hertz = 60
tubes = [ ["V1", "6AU6", "sound"] ]
parts = [
  ["C1", "paper", ".1 mfd 400 V", "line a", "line b"],
  ["C2", "paper", ".01 mfd 400 V", "line a", "chassis"],
  ["C3", "paper", ".05 mfd 400 V", "V1.5", "chassis"],
]
"#;

    fn told(part: &str, new: &str, rating: &str) -> String {
        let read = read_sheet(SHEET, catalogue().expect("sound"));
        let sheet = read.sheet.unwrap_or_else(|| panic!("{:?}", read.faults));
        let fitted = Fitted {
            part: part.to_owned(),
            new: new.to_owned(),
            rating: rating.to_owned(),
            ..Fitted::default()
        };
        let notices = cautions_of_a_new_part(&sheet, &fitted).expect("sound");
        notices.into_iter().map(|one| one.text).collect()
    }

    #[test]
    fn at_the_line_a_class_is_asked_for() {
        // IEC 60384-14: X between the lines, Y to metal that is touched.
        for (part, new, rating, wanted) in [
            ("C1", "0.1 mfd", "630 V", "class X1 or X2"),
            ("C1", "0.1 mfd X2", "", "no larger"),
            ("C1", "0.1 mfd", "X1/Y2", "no larger"),
            ("C2", "0.01 mfd", "630 V film", "class Y1 or Y2"),
            ("C2", "0.01 mfd", "275 V X2", "must not be"),
            ("C2", "0.01 mfd", "300 V, y2", "no larger"),
            ("C2", "0.01 mfd", "X1 Y2", "no larger"),
        ] {
            let told = told(part, new, rating);
            assert!(told.contains(wanted), "{part} {new} {rating}: {told}");
            assert_eq!(told.contains("Plug out"), wanted != "no larger", "{told}");
        }
        assert_eq!(told("C3", "0.047 mfd", "630 V"), "");
        assert_eq!(told("V1", "6AU6", ""), "");
    }

    /// Bases and heaters as the makers' manuals have them (data/tubes.csv).
    #[test]
    fn a_tube_of_another_base_or_heater_is_told() {
        // The same base, pins and heater: it goes in.
        assert_eq!(told("V1", "6BA6", ""), "");
        let other = told("V1", "12AX7", "");
        for wanted in ["base is noval-9", "12.6 V", "0.15 A", "No power before"] {
            assert!(other.contains(wanted), "{other}");
        }
        // The same base, other pins.
        assert!(told("V1", "6C4", "").contains("something else is on pin"));
        assert_eq!(told("V1", "a new old one", ""), "");
    }
}
