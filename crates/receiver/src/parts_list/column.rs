//! The columns of a list of parts.
//!
//! Headings are found in any order, in any letters, with or without `_`, dash or space;
//! a few everyday words stand for them as well. Nothing here fails.

use crate::sheet_edit::StateList;

/// A column of the list.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum PartColumn {
    /// The reference; every list must have it.
    Reference,
    /// The kind of part.
    Kind,
    /// The value.
    Value,
    /// Where it starts.
    From,
    /// Where it ends.
    To,
    /// Wiper or tap.
    Third,
    /// Whether `[state]` names it in this list.
    State(StateList),
    /// What was measured of it.
    Measured,
}

impl PartColumn {
    /// Every column, in the order in which a list is written.
    pub const ALL: [PartColumn; 11] = [
        PartColumn::Reference,
        PartColumn::Kind,
        PartColumn::Value,
        PartColumn::From,
        PartColumn::To,
        PartColumn::Third,
        PartColumn::State(StateList::Replaced),
        PartColumn::State(StateList::ReFormed),
        PartColumn::State(StateList::CutLoose),
        PartColumn::State(StateList::Original),
        PartColumn::Measured,
    ];

    /// Its heading.
    pub fn heading(self) -> &'static str {
        match self {
            PartColumn::Reference => "ref",
            PartColumn::Kind => "kind",
            PartColumn::Value => "value",
            PartColumn::From => "from",
            PartColumn::To => "to",
            PartColumn::Third => "third",
            PartColumn::State(list) => list.key(),
            PartColumn::Measured => "measured",
        }
    }

    /// The cell of a row of the sheet that it is; none for what `[state]` holds.
    pub fn row_cell(self) -> Option<usize> {
        match self {
            PartColumn::Reference => Some(0),
            PartColumn::Kind => Some(1),
            PartColumn::Value => Some(2),
            PartColumn::From => Some(3),
            PartColumn::To => Some(4),
            PartColumn::Third => Some(5),
            PartColumn::State(_) | PartColumn::Measured => None,
        }
    }

    /// The column of this heading.
    pub fn named(heading: &str) -> Option<PartColumn> {
        let wanted = folded(heading);
        let own = PartColumn::ALL
            .into_iter()
            .find(|column| folded(column.heading()) == wanted);
        own.or(match wanted.as_str() {
            "reference" | "part" => Some(PartColumn::Reference),
            "thirdplace" | "wiper" | "tap" => Some(PartColumn::Third),
            _ => None,
        })
    }

    /// The heading that is spelled nearest to this, if one is near.
    pub fn nearest(heading: &str) -> Option<PartColumn> {
        let wanted = folded(heading);
        PartColumn::ALL
            .into_iter()
            .map(|column| {
                let own = folded(column.heading());
                let most = if own.len() < 4 { 1 } else { 2 };
                (strsim::osa_distance(&own, &wanted), most, column)
            })
            .filter(|(distance, most, _)| distance <= most)
            .min_by_key(|(distance, _, _)| *distance)
            .map(|(_, _, column)| column)
    }
}

/// Letters and digits alone, small.
fn folded(heading: &str) -> String {
    heading
        .chars()
        .filter(|letter| letter.is_alphanumeric())
        .flat_map(char::to_lowercase)
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn headings_are_found_however_they_are_written() {
        for (heading, wanted) in [
            ("REF", Some("ref")),
            (" Reference ", Some("ref")),
            ("Re-formed", Some("re_formed")),
            ("cut loose", Some("cut_loose")),
            ("Wiper", Some("third")),
            ("price", None),
            ("", None),
        ] {
            let found = PartColumn::named(heading).map(PartColumn::heading);
            assert_eq!(found, wanted, "{heading}");
        }
        for (heading, wanted) in [
            ("vaule", Some("value")),
            ("replaces", Some("replaced")),
            ("price", None),
            ("note", None),
            ("", None),
        ] {
            let near = PartColumn::nearest(heading).map(PartColumn::heading);
            assert_eq!(near, wanted, "{heading}");
        }
    }
}
