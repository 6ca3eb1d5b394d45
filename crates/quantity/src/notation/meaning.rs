//! Makes items of pieces: signs, `at`, two-sided tolerances, and numbers without a unit.
//!
//! Second half of the reading. A number without a unit is given one from what is expected (see [`Expect`]) when the text holds
//! no value of that kind yet and it is the first such number; any further one stays [`ItemKind::Bare`]. Ranges are made in
//! [`super::ranges`].

use std::ops::Range;

use super::error::NotationError;
use super::item::{Expect, Item, ItemKind, Measure};
use super::reader::{Piece, PieceKind};
use super::text::Text;
use crate::tolerance::Tolerance;
use crate::units::scaled_by;

/// Items of `pieces`; faults are added to `faults`.
pub(super) fn items(
    text: &Text,
    pieces: &[Piece],
    expect: Expect,
    faults: &mut Vec<NotationError>,
) -> Vec<Item> {
    let wanted = expect.measure();
    let given = pieces.iter().any(|piece| matches!(piece.what, PieceKind::Number { measure, .. } if measure.is_some() && measure == wanted));
    let mut maker = Maker {
        text,
        expect,
        faults,
        items: Vec::new(),
        bare_is_value: wanted.is_some() && !given,
    };
    let mut rest = pieces;
    while !rest.is_empty() {
        let taken = maker.take(rest);
        rest = rest.get(taken.max(1)..).unwrap_or(&[]);
    }
    maker.items
}

/// Where the making stands.
pub(super) struct Maker<'r, 't> {
    text: &'r Text<'t>,
    pub expect: Expect,
    faults: &'r mut Vec<NotationError>,
    items: Vec<Item>,
    /// Whether the next number without a unit is the value that is expected.
    pub bare_is_value: bool,
}

impl Maker<'_, '_> {
    /// Makes what stands at the front of `pieces`; gives how many of them it took.
    fn take(&mut self, pieces: &[Piece]) -> usize {
        let Some(first) = pieces.first() else {
            return 1;
        };
        let second = pieces.get(1).map(|piece| &piece.what);
        match (&first.what, second) {
            (PieceKind::Refused, _) => 1,
            (PieceKind::Word(word), _) => {
                self.push(first.range.clone(), ItemKind::Word(word.clone()));
                1
            }
            (PieceKind::At, _) => self.take_at(pieces),
            (
                PieceKind::PlusMinus,
                Some(PieceKind::Number {
                    value,
                    sign: None,
                    measure,
                    ..
                }),
            ) => {
                self.take_plus_minus(pieces, *value, *measure);
                2
            }
            (PieceKind::PlusMinus, Some(PieceKind::Refused)) => 2,
            (PieceKind::PlusMinus, _) => {
                self.refuse(first.range.clone(), "percent behind ±", "write ±10%");
                1
            }
            (PieceKind::To, Some(PieceKind::Refused)) => 2,
            (PieceKind::To, _) => {
                self.refuse(
                    first.range.clone(),
                    "a number before and behind the dash",
                    "leave the dash out",
                );
                1
            }
            (PieceKind::Number { .. }, Some(PieceKind::To)) => self.take_range(pieces),
            (PieceKind::Number { .. }, _) => self
                .take_limits(pieces)
                .unwrap_or_else(|| self.take_number(first)),
        }
    }

    pub(super) fn push(&mut self, range: Range<usize>, what: ItemKind) {
        self.items.push(Item {
            span: self.text.span(range),
            what,
        });
    }

    pub(super) fn refuse(&mut self, range: Range<usize>, expected: &str, hint: &str) {
        self.faults
            .push(self.text.fault(range, expected, hint, Vec::new()));
    }

    /// `at 0.4`, `at 40%`, `at 330 V`.
    fn take_at(&mut self, pieces: &[Piece]) -> usize {
        let Some(
            [
                at,
                Piece {
                    range,
                    what:
                        PieceKind::Number {
                            value,
                            sign,
                            measure,
                            ..
                        },
                },
            ],
        ) = pieces.get(..2)
        else {
            let Some(at) = pieces.first() else { return 1 };
            if matches!(
                pieces.get(1),
                Some(Piece {
                    what: PieceKind::Refused,
                    ..
                })
            ) {
                return 2;
            }
            self.refuse(
                at.range.clone(),
                "a fraction from 0 to 1, or volts, behind \"at\"",
                "write at 0.4, or at 330 V",
            );
            return 1;
        };
        let whole = at.range.start..range.end;
        let signed = if *sign == Some('-') { -value } else { *value };
        match measure {
            None if (0.0..=1.0).contains(&signed) => self.push(whole, ItemKind::At(signed)),
            Some(Measure::Percent) if (0.0..=100.0).contains(&signed) => {
                self.push(whole, ItemKind::At(signed / 100.0))
            }
            Some(Measure::Volts) => self.push(whole, ItemKind::AtVolts(signed)),
            _ => self.refuse(
                whole,
                "a fraction from 0 to 1, or volts, behind \"at\"",
                "write at 0.4, or at 330 V",
            ),
        }
        2
    }

    fn take_plus_minus(&mut self, pieces: &[Piece], value: f64, measure: Option<Measure>) {
        let Some([sign, number]) = pieces.get(..2) else {
            return;
        };
        let whole = sign.range.start..number.range.end;
        let bare_percent = measure.is_none() && self.expect == Expect::Percentage;
        if measure == Some(Measure::Percent) || bare_percent {
            self.push_percent(whole, value);
        } else {
            self.refuse(whole, "percent behind ±", "write ±10%");
        }
    }

    fn push_percent(&mut self, range: Range<usize>, percent: f64) {
        if percent <= 1000.0 {
            self.push(range, ItemKind::Percent(percent));
        } else {
            self.refuse(range, "percent up to 1000", "write ±10%");
        }
    }

    /// `+50 -10 %`, `-10% +50%`.
    fn take_limits(&mut self, pieces: &[Piece]) -> Option<usize> {
        let one = signed_percent(pieces.first()?)?;
        let both = pieces
            .get(1)
            .and_then(signed_percent)
            .filter(|other| other.positive != one.positive);
        let (first, second) = match both {
            Some(other) if one.has_percent || other.has_percent => (one, Some(other)),
            _ if one.has_percent => (one, None),
            _ => return None,
        };
        let taken = if second.is_some() { 2 } else { 1 };
        let whole = pieces.first()?.range.start..pieces.get(taken - 1)?.range.end;
        let side = |positive: bool| {
            let of = |limit: &SignedPercent| {
                if limit.positive == positive {
                    Some(limit.percent)
                } else {
                    None
                }
            };
            of(&first).or(second.as_ref().and_then(of)).unwrap_or(0.0) / 100.0
        };
        match Tolerance::new(side(false), side(true)) {
            Ok(tolerance) if tolerance.up <= 10.0 => self.push(whole, ItemKind::Limits(tolerance)),
            _ => self.refuse(whole, "at most -100 % and +1000 %", "write +50 -10 %"),
        }
        Some(taken)
    }

    fn take_number(&mut self, piece: &Piece) -> usize {
        let PieceKind::Number {
            value,
            sign,
            measure,
            ..
        } = piece.what
        else {
            return 1;
        };
        let range = piece.range.clone();
        let measure = match measure {
            Some(measure) => measure,
            None => {
                let Some(measure) = self.measure_of_bare(&range, value) else {
                    return 1;
                };
                match measure {
                    (Some(measure), factor) => {
                        self.push_measured(range, scaled_by(value, factor), sign, measure);
                        return 1;
                    }
                    (None, _) => {
                        let signed = if sign == Some('-') { -value } else { value };
                        self.push(range, ItemKind::Bare(signed));
                        return 1;
                    }
                }
            }
        };
        self.push_measured(range, value, sign, measure);
        1
    }

    fn push_measured(
        &mut self,
        range: Range<usize>,
        value: f64,
        sign: Option<char>,
        measure: Measure,
    ) {
        let signed = if sign == Some('-') { -value } else { value };
        if sign.is_some() && !measure.may_be_negative() {
            let hint = if sign == Some('+') {
                "give each value a row of its own, or leave the + out"
            } else {
                "leave the minus out"
            };
            let expected = format!("{} without a sign", measure.name());
            self.refuse(range, &expected, hint);
            return;
        }
        let what = match measure {
            Measure::Ohms => ItemKind::Ohms(value),
            Measure::Farads => ItemKind::Farads(value),
            Measure::Henries => ItemKind::Henries(value),
            Measure::Volts => ItemKind::Volts(signed),
            Measure::Amperes => ItemKind::Amperes(signed),
            Measure::Watts => ItemKind::Watts(value),
            Measure::VoltAmperes => ItemKind::VoltAmperes(value),
            Measure::Hertz => ItemKind::Hertz(value),
            Measure::Seconds => ItemKind::Seconds(value),
            Measure::Kelvin => ItemKind::Kelvin(value),
            Measure::Siemens => ItemKind::Siemens(value),
            Measure::OhmsPerVolt => ItemKind::OhmsPerVolt(value),
            Measure::Percent => return self.push_percent(range, value),
            Measure::Celsius | Measure::Fahrenheit => {
                let kelvin = if measure == Measure::Celsius {
                    signed + 273.15
                } else {
                    (signed + 459.67) / 1.8
                };
                if kelvin < 0.0 {
                    return self.refuse(range, "a temperature above absolute zero", "write 25 °C");
                }
                ItemKind::Kelvin(kelvin)
            }
            Measure::Plates => {
                if value.fract() != 0.0 || !(1.0..=1000.0).contains(&value) {
                    return self.refuse(range, "a whole number of plates", "write 5 plates");
                }
                // In range, as just checked.
                ItemKind::Plates(value as u32)
            }
        };
        self.push(range, what);
    }

    /// Unit and factor of a number without unit (`(None, _)`: it stays bare), or nothing after a fault.
    fn measure_of_bare(
        &mut self,
        range: &Range<usize>,
        value: f64,
    ) -> Option<(Option<Measure>, f64)> {
        if !self.bare_is_value {
            return Some((None, 1.0));
        }
        self.bare_is_value = false;
        let measure = self.expect.measure();
        let Some(wanted) = measure else {
            return Some((None, 1.0));
        };
        const MFD: f64 = 1e-6;
        const MMF: f64 = 1e-12;
        let possible: &[f64] = match self.expect {
            _ if value == 0.0 => &[1.0],
            Expect::Capacitance if value < 1.0 => &[MFD],
            Expect::Capacitance => &[MFD, MMF],
            Expect::PaperCapacitance if value <= 10.0 => &[MFD],
            Expect::PaperCapacitance => &[MFD, MMF],
            Expect::SmallCapacitance if value >= 1.0 => &[MMF],
            Expect::SmallCapacitance if value < 0.1 => &[MFD],
            Expect::SmallCapacitance => &[MFD, MMF],
            Expect::Electrolytic if value <= 10_000.0 => &[MFD],
            Expect::Electrolytic => &[MFD, MMF],
            Expect::Inductance => &[1.0, 1e-3, 1e-6],
            Expect::Current => &[1.0, 1e-3],
            Expect::Frequency if value <= 100.0 => &[1.0],
            Expect::Frequency => &[1.0, 1e3],
            Expect::Conductance => &[1.0, 1e-6],
            _ => &[1.0],
        };
        if let [factor] = possible {
            return Some((measure, *factor));
        }
        let readings = possible
            .iter()
            .map(|factor| wanted.printed(scaled_by(value, *factor)))
            .collect();
        self.faults.push(
            self.text
                .fault(range.clone(), wanted.name(), "write the unit", readings),
        );
        None
    }
}

#[derive(Clone, Copy)]
struct SignedPercent {
    percent: f64,
    positive: bool,
    has_percent: bool,
}

/// A number with a sign that is percent, or may be because its neighbour is.
fn signed_percent(piece: &Piece) -> Option<SignedPercent> {
    let PieceKind::Number {
        value,
        sign: Some(sign),
        measure,
        ..
    } = piece.what
    else {
        return None;
    };
    let has_percent = match measure {
        Some(Measure::Percent) => true,
        None => false,
        _ => return None,
    };
    Some(SignedPercent {
        percent: value,
        positive: sign == '+',
        has_percent,
    })
}
