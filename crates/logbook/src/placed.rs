//! Where a tube or part is on a photograph.
//!
//! Fractions of the upright photograph's width and height, 0 to 1, from its upper left corner. The
//! photograph is one that is kept. Reading fields fails with all their faults.

use crate::fields::{Fields, Reader, needed};
use crate::stored::hash;

/// A tube or part marked on a photograph.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Placed {
    /// The tube or part, such as `V9`.
    pub part: String,
    /// The SHA-256 of the photograph's bytes, in hexadecimal: the name under which it is kept.
    pub photograph: String,
    /// How far from the left edge, of the width; 0 to 1.
    pub across: f64,
    /// How far from the upper edge, of the height; 0 to 1.
    pub down: f64,
}

impl Placed {
    pub(crate) fn to_fields(&self) -> Fields {
        let mut fields = Fields::default();
        fields.text("part", &self.part);
        fields.text("photograph", &self.photograph);
        fields.number("across", Some(self.across));
        fields.number("down", Some(self.down));
        fields
    }

    pub(crate) fn read(reader: &mut Reader<'_>) -> Placed {
        Placed {
            part: reader.required("part"),
            photograph: hash(reader, "photograph"),
            across: fraction(reader, "across", "from the left edge"),
            down: fraction(reader, "down", "from the upper edge"),
        }
    }
}

fn fraction(reader: &mut Reader<'_>, key: &str, from: &str) -> f64 {
    let value = needed(reader, key);
    if value.is_finite() && !(0.0..=1.0).contains(&value) {
        reader.fault(
            key,
            0,
            &format!("{value} read, a fraction from 0 to 1 expected"),
            &format!(
                "mark the place on the photograph itself: 0.25 is a quarter of the way {from}"
            ),
        );
    }
    value
}
