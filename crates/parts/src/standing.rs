//! How far a figure can be trusted.
//!
//! Each row of `data/` carries one of a few words. A row marked `mixed` names
//! in `read_fields` the columns that were read in a published source; all its
//! other columns count as memory. A figure named in `doubt_fields` is doubtful
//! whatever its standing. Fails by returning `None` for an unknown word.

use std::fmt;

/// Where a figure comes from, from the firmest to the weakest.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Standing {
    /// Read in a maker's sheet, a standard, a handbook or a copy of one.
    Published,
    /// Measured on a real part.
    Measured,
    /// Follows by arithmetic from a definition or a law.
    ClosedForm,
    /// Worked out from a published law or figure, apart from the program.
    Computed,
    /// What the trade does or did; the figure itself is habit.
    CommonPractice,
    /// Partly read, partly from memory; `read_fields` tells which.
    Mixed,
    /// From memory of manuals; not read again.
    Memory,
    /// Scaled or judged from other figures.
    Estimated,
    /// Stated by the restorer in the sheet.
    Stated,
}

impl Standing {
    /// The words used in the tables, one for each standing.
    pub const WORDS: [(&'static str, Standing); 9] = [
        ("published", Standing::Published),
        ("measured", Standing::Measured),
        ("closed form", Standing::ClosedForm),
        ("computed", Standing::Computed),
        ("common practice", Standing::CommonPractice),
        ("mixed", Standing::Mixed),
        ("memory", Standing::Memory),
        ("estimated", Standing::Estimated),
        ("stated in the sheet", Standing::Stated),
    ];

    /// The word of the tables and of answers.
    pub fn word(self) -> &'static str {
        Self::WORDS
            .iter()
            .find(|(_, standing)| *standing == self)
            .map_or("memory", |(text, _)| text)
    }

    /// Reads one of the words; `None` if it is none of them.
    pub fn read(word: &str) -> Option<Standing> {
        Self::WORDS
            .iter()
            .find(|(text, _)| *text == word.trim())
            .map(|(_, standing)| *standing)
    }
}

impl fmt::Display for Standing {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        out.write_str(self.word())
    }
}

/// How the source of a row begins that is not of the first collection.
const ADDED: &str = "added: ";

/// The source of a row with what was read and what is doubtful in it.
#[derive(Clone, Debug, PartialEq)]
pub struct Provenance {
    /// The source in words.
    pub source: String,
    /// The standing of the row as a whole.
    pub standing: Standing,
    /// Columns that were read in the source.
    pub read_fields: Vec<String>,
    /// Columns whose figure is doubtful.
    pub doubt_fields: Vec<String>,
    /// Remarks of the row.
    pub notes: String,
}

impl Provenance {
    /// The standing of one column: where a row names what was read, that is
    /// published and all else memory; a mixed row that names nothing is memory.
    pub fn standing_of(&self, column: &str) -> Standing {
        match self.standing {
            Standing::Mixed | Standing::Published if self.was_read(column) => Standing::Published,
            Standing::Mixed => Standing::Memory,
            Standing::Published if !self.read_fields.is_empty() => Standing::Memory,
            standing => standing,
        }
    }

    /// Whether the row was added to the first collection of figures later; see
    /// `data/README.md`. Such rows count in no measure of how well a law meets
    /// the figures of that collection.
    pub fn is_added(&self) -> bool {
        self.source.starts_with(ADDED)
    }

    /// Whether the column is named as read in the source.
    pub fn was_read(&self, column: &str) -> bool {
        self.read_fields.iter().any(|field| field == column)
    }

    /// Whether the column is named as doubtful.
    pub fn is_doubtful(&self, column: &str) -> bool {
        self.doubt_fields.iter().any(|field| field == column)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_word_is_read_back() {
        for (word, standing) in Standing::WORDS {
            assert_eq!(Standing::read(word), Some(standing));
            assert_eq!(standing.to_string(), word);
            assert_eq!(standing.word(), word);
        }
        assert_eq!(Standing::read("hearsay"), None);
    }

    #[test]
    fn a_mixed_row_is_published_only_where_it_was_read() {
        let provenance = Provenance {
            source: "a sheet".into(),
            standing: Standing::Mixed,
            read_fields: vec!["heater_v".into()],
            doubt_fields: vec!["pins".into()],
            notes: String::new(),
        };
        assert_eq!(provenance.standing_of("heater_v"), Standing::Published);
        assert_eq!(provenance.standing_of("pins"), Standing::Memory);
        assert!(provenance.is_doubtful("pins"));
        assert!(!provenance.is_doubtful("heater_v"));
    }
}
