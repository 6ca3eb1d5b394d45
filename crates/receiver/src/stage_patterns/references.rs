//! References: which are taken, which is the next free one.
//!
//! A reference is letters, a number, and perhaps the letter of a section: `R31`,
//! `C1A`. The next free number of a letter is one above the highest in use, so
//! that no gap is mistaken for a part that is known. Nothing here fails.

use crate::sheet::PartKind;
use crate::sheet_edit::ReferenceUse;

/// The letters that references of this kind begin with, by common practice.
pub(super) fn letters(kind: PartKind) -> &'static str {
    match kind.name() {
        "resistor" | "control" | "thermistor" | "ballast" | "vdr" => "R",
        "electrolytic" | "paper" | "moulded-paper" | "film" | "mica" | "ceramic" | "trimmer" => "C",
        "choke" | "coil" | "focus-coil" | "yoke" => "L",
        "fuse" => "F",
        "lamp" => "I",
        "selenium" | "silicon" => "SR",
        "crystal" => "Y",
        "neon" => "NE",
        "switch" => "SW",
        "plug" => "J",
        "wire" => "W",
        _ => "X",
    }
}

/// Whether a word has the form of a reference.
pub(super) fn is_reference(word: &str) -> bool {
    split(word).is_some_and(|(letters, _)| letters.len() <= 3)
}

/// The next free reference with these letters.
pub(super) fn next_free(letters: &str, used: &[ReferenceUse]) -> String {
    let highest = used
        .iter()
        .filter_map(|one| split(&one.reference))
        .filter(|(own, _)| own.eq_ignore_ascii_case(letters))
        .map(|(_, number)| number)
        .max()
        .unwrap_or(0);
    format!("{letters}{}", highest + 1)
}

/// Letters and number of a reference, its section's letter dropped.
fn split(word: &str) -> Option<(&str, u32)> {
    let digits = word.find(|character: char| character.is_ascii_digit())?;
    let (letters, rest) = (word.get(..digits)?, word.get(digits..)?);
    let end = rest
        .find(|character: char| !character.is_ascii_digit())
        .unwrap_or(rest.len());
    let section = rest.get(end..)?;
    let fits = !letters.is_empty()
        && letters
            .chars()
            .all(|character| character.is_ascii_alphabetic())
        && section.len() <= 1
        && section
            .chars()
            .all(|character| character.is_ascii_alphabetic());
    let number: u32 = rest.get(..end)?.parse().ok()?;
    (fits && number < 100_000).then_some((letters, number))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::sheet_edit::SheetList;

    #[test]
    fn the_next_free_number_is_above_all_in_use() {
        let used: Vec<ReferenceUse> = ["R9", "R31", "C1A", "c60", "T2B", "RV3", "input"]
            .into_iter()
            .map(|reference| ReferenceUse {
                reference: reference.to_string(),
                list: SheetList::Parts,
                line: 1,
            })
            .collect();
        for (letters, wanted) in [("R", "R32"), ("C", "C61"), ("L", "L1"), ("T", "T3")] {
            assert_eq!(next_free(letters, &used), wanted);
        }
    }

    #[test]
    fn values_are_no_references() {
        for (word, wanted) in [
            ("R31", true),
            ("C1A", true),
            ("SW1", true),
            ("4k7", false),
            ("220", false),
            ("CL-90", false),
            (".05", false),
            ("wire", false),
            ("1N34", false),
        ] {
            assert_eq!(is_reference(word), wanted, "{word}");
        }
    }
}
