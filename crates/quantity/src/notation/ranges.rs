//! Two numbers with a dash or `to` between them.
//!
//! Two things have a range: the volts of a source (`0-450 V`) and the capacitance of a trimmer (`5-30 mmf`), SI here as elsewhere. A
//! lower end without a unit has the unit of the upper one. Every other range is refused, and a lower end above the upper one too.

use super::item::{Expect, ItemKind, Measure};
use super::meaning::Maker;
use super::reader::{Piece, PieceKind};
use crate::units::scaled_by;

impl Maker<'_, '_> {
    /// Makes the range at the front of `pieces`; gives how many of them it took.
    pub(super) fn take_range(&mut self, pieces: &[Piece]) -> usize {
        // Number, dash, number, and further dashes and numbers for what has more ends than a range.
        let mut taken = 1;
        while matches!(
            pieces.get(taken),
            Some(Piece {
                what: PieceKind::To,
                ..
            })
        ) {
            taken += 1;
            if matches!(
                pieces.get(taken),
                Some(Piece {
                    what: PieceKind::Number { .. } | PieceKind::Refused,
                    ..
                })
            ) {
                taken += 1;
            }
        }
        let taken_pieces = pieces.get(..taken).unwrap_or(pieces);
        let (Some(first), Some(last)) = (taken_pieces.first(), taken_pieces.last()) else {
            return 1;
        };
        let whole = first.range.start..last.range.end;
        if taken_pieces
            .iter()
            .any(|piece| matches!(piece.what, PieceKind::Refused))
        {
            return taken;
        }
        let ends = match taken_pieces {
            [low, _, high] => self.ends(low, high),
            [_, _] => {
                self.refuse(
                    whole,
                    "a number before and behind the dash",
                    "leave the dash out",
                );
                return taken;
            }
            _ => {
                self.refuse(
                    whole,
                    "one value, or two ends of a range",
                    "a tapped winding is two rows that meet at the tap; sections of one can are rows of their own",
                );
                return taken;
            }
        };
        match ends {
            Some((_, low, high)) if low > high => {
                self.refuse(whole, "the lower end of a range first", "write 0-450 V or 5-30 mmf");
            }
            Some((Measure::Volts, low, high)) => {
                self.bare_is_value = false;
                self.push(whole, ItemKind::VoltsRange { low, high });
            }
            Some((_, low, high)) => {
                self.bare_is_value = false;
                self.push(whole, ItemKind::FaradsRange { low, high });
            }
            None => self.refuse(
                whole,
                "one value (a range is for a source of volts, 0-450 V, or for a trimmer, 5-30 mmf)",
                "write the marked value, with its tolerance in percent; sections of one can are rows of their own",
            ),
        }
        taken
    }

    /// Measure and both ends in SI, where a range has a meaning.
    fn ends(&self, low: &Piece, high: &Piece) -> Option<(Measure, f64, f64)> {
        let (low, high) = (End::of(low)?, End::of(high)?);
        let (measure, factor) = match (high.measure, self.expect) {
            (Some(measure), _) => (measure, high.factor),
            (None, Expect::Voltage) => (Measure::Volts, 1.0),
            // A trimmer is marked in mmf.
            (None, Expect::SmallCapacitance) if high.value >= 1.0 => (Measure::Farads, 1e-12),
            _ => return None,
        };
        let upper = if high.measure.is_some() {
            high.value
        } else {
            scaled_by(high.value, factor)
        };
        let lower = match low.measure {
            None => scaled_by(low.value, factor),
            Some(its) if its == measure => low.value,
            Some(_) => return None,
        };
        let signed = low.signed || high.signed;
        match (measure, self.expect) {
            (Measure::Volts, _) => Some((measure, lower, upper)),
            // Elsewhere "40-20 mfd" is more likely two sections of a can.
            (Measure::Farads, Expect::SmallCapacitance) if !signed => Some((measure, lower, upper)),
            _ => None,
        }
    }
}

/// One end of a range, its sign in the value.
struct End {
    value: f64,
    signed: bool,
    measure: Option<Measure>,
    factor: f64,
}

impl End {
    fn of(piece: &Piece) -> Option<End> {
        let PieceKind::Number {
            value,
            sign,
            measure,
            factor,
        } = piece.what
        else {
            return None;
        };
        let value = if sign == Some('-') { -value } else { value };
        Some(End {
            value,
            signed: sign.is_some(),
            measure,
            factor,
        })
    }
}
