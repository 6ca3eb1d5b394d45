//! Reads values from colours: resistor bands, the older body-end-dot painting, and the dots of mica capacitors.
//!
//! Results are in ohms and farads with a [`Tolerance`](crate::Tolerance) and notes for the restorer. Sources: the RMA colour code and IEC 60062 /
//! IEC 60063, from memory; of the mica schemes only the outlines were at hand, from memory too, so every result carries its
//! [`Standing`]. Paint fades and burns (common practice: brown, red and orange are easily confused, so are yellow and white, grey and
//! violet), so a value outside the preferred series is reported with a note; older parts hold such values honestly.
//! Colours that cannot stand where they are given are refused, all of them at once.

mod colour;
mod mica;
mod resistor;

pub use colour::Colour;
pub use mica::{MicaReading, read_mica_six_dots, read_mica_three_dots};
pub use resistor::{ResistorReading, read_bands, read_body_end_dot};

use crate::notation::nearest_spelling;

/// How far a scheme is to be trusted.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Standing {
    /// The code is written down from memory of the standard.
    FromMemory,
}

impl std::fmt::Display for Standing {
    fn fmt(&self, formatter: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        match self {
            Standing::FromMemory => formatter.pad("from memory"),
        }
    }
}

/// Why colours were refused.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub enum ColourError {
    /// A word that is no colour of the code; `nearest` is the nearest spelling, empty when none is near.
    #[error(
        "\"{read}\" (number {place}): expected a colour of the code, black to white, gold, silver or none{}",
        hint(nearest)
    )]
    NoColour {
        /// Which of the words, from 1.
        place: usize,
        /// The word, shortened when long.
        read: String,
        /// The nearest colour, or nothing.
        nearest: String,
    },
    /// A number of colours that no scheme has.
    #[error("{count} colours: expected {expected}")]
    Count {
        /// How many were given.
        count: usize,
        /// How many there should be.
        expected: &'static str,
    },
    /// A colour that cannot stand where it is given.
    #[error("{colour} as {role} (number {place}): {why}")]
    Impossible {
        /// Which of the colours, from 1.
        place: usize,
        /// The colour.
        colour: Colour,
        /// What it would be there: first figure, multiplier, tolerance, ...
        role: &'static str,
        /// Why not, and what to look at.
        why: &'static str,
    },
    /// Colours that two schemes read differently.
    #[error("these colours can be read as {one} or as {other}; {hint}")]
    TwoReadings {
        /// One reading.
        one: String,
        /// The other.
        other: String,
        /// What decides between them.
        hint: &'static str,
    },
}

fn hint(nearest: &str) -> String {
    if nearest.is_empty() {
        String::new()
    } else {
        format!("; write {nearest}")
    }
}

/// Reads the names of colours, separated by spaces, commas or dashes: `red violet yellow gold`. All faults at once.
pub fn read_colours(text: &str) -> Result<Vec<Colour>, Vec<ColourError>> {
    let words = text
        .split(|character: char| character.is_whitespace() || ",;-/".contains(character))
        .filter(|word| !word.is_empty());
    let mut colours = Vec::new();
    let mut faults = Vec::new();
    for (index, word) in words.enumerate().take(20) {
        match Colour::from_name(word) {
            Some(colour) => colours.push(colour),
            None => faults.push(ColourError::NoColour {
                place: index + 1,
                read: word.chars().take(20).collect(),
                nearest: nearest_spelling(word, Colour::ALL.iter().map(|colour| colour.name()))
                    .unwrap_or("")
                    .to_string(),
            }),
        }
    }
    if faults.is_empty() {
        Ok(colours)
    } else {
        Err(faults)
    }
}
