//! Gives the items of a value text to slots, and keeps the faults found on the way.
//!
//! Units: SI. Each slot is filled once, with a figure that a part of such a set
//! can have; everything else is a fault at its item. Faults of the notation come
//! from `quantity`, at their place inside the cell, with both readings where
//! there are two.

use std::ops::Range;

use quantity::{Expect, Item, ItemKind, NotationError, Tolerance, Unit, bench};

use super::messages::{listed, shown};
use super::reader::{Cell, Reader};

/// The items of a cell; faults of the notation are entered at their place.
pub(super) fn items_of(reader: &mut Reader<'_>, cell: &Cell, expect: Expect) -> Option<Vec<Item>> {
    let (items, whole) = items_left(reader, cell, expect);
    whole.then_some(items)
}

/// The items of a cell, and whether those are all. Where the notation has faults, they are entered and the rest is read without
/// them, so that an item that does not belong is told at once as well.
pub(super) fn items_left(
    reader: &mut Reader<'_>,
    cell: &Cell,
    expect: Expect,
) -> (Vec<Item>, bool) {
    let errors = match quantity::read_items(&cell.text, expect) {
        Ok(items) => return (items, true),
        Err(errors) => errors,
    };
    let mut left = cell.text.clone().into_bytes();
    for error in errors {
        for byte in left.get_mut(error.span.clone()).into_iter().flatten() {
            *byte = b' ';
        }
        notation_fault(reader, cell, &error);
    }
    let left = String::from_utf8(left).unwrap_or_default();
    let items = quantity::read_items(&left, Expect::Anything).unwrap_or_default();
    (
        items
            .into_iter()
            .filter(|item| !matches!(item.what, ItemKind::Bare(_)))
            .collect(),
        false,
    )
}

/// A fault of the notation, at its place inside the cell, with both readings if it has two.
pub(super) fn notation_fault(reader: &mut Reader<'_>, cell: &Cell, error: &NotationError) {
    if error.read.trim().is_empty() {
        let hint = format!("expected {}", error.expected);
        reader.findings.fault(cell.at(), "the value is empty", hint);
        return;
    }
    let text = if error.readings.is_empty() {
        format!("{} is not understood", shown(&error.read))
    } else {
        let readings: Vec<String> = error
            .readings
            .iter()
            .map(|reading| shown(reading))
            .collect();
        format!(
            "{} can be read two ways: {}",
            shown(&error.read),
            listed(&readings, "or")
        )
    };
    let mut hint = String::new();
    if !error.expected.is_empty() {
        hint = format!("expected {}", error.expected);
    }
    if !error.hint.is_empty() {
        let gap = if hint.is_empty() { "" } else { "; " };
        hint = format!("{hint}{gap}{}", error.hint);
    }
    reader.fault_inside(cell, error.span.start, text, hint);
}

/// The range of figures that any part of such a set can have; beyond it a figure is a slip, and no sum with it would hold.
pub(super) fn limits(unit: Unit) -> (f64, f64) {
    match unit {
        Unit::Ohms => (1e-6, 1e12),
        Unit::Farads => (1e-14, 0.1),
        Unit::Henries => (1e-9, 1e4),
        Unit::Volts => (1e-3, 1e5),
        Unit::Amperes => (1e-8, 1e3),
        Unit::Watts => (1e-4, 1e4),
        _ => (f64::MIN_POSITIVE, f64::MAX),
    }
}

pub(super) fn is(word: &str, wanted: &str) -> bool {
    word.eq_ignore_ascii_case(wanted)
}

/// Gives items to the slots of a value and keeps the faults found on the way.
pub(super) struct Slots<'r, 'a, 'c> {
    reader: &'r mut Reader<'a>,
    cell: &'c Cell,
    whose: String,
    /// What the value should look like.
    pub(super) form: &'static str,
    /// Whether a fault was found.
    pub(super) failed: bool,
}

impl<'r, 'a, 'c> Slots<'r, 'a, 'c> {
    pub(super) fn new(
        reader: &'r mut Reader<'a>,
        cell: &'c Cell,
        whose: String,
        form: &'static str,
    ) -> Self {
        Slots {
            reader,
            cell,
            whose,
            form,
            failed: false,
        }
    }

    pub(super) fn fault(&mut self, span: &Range<usize>, text: String, hint: String) {
        self.failed = true;
        self.reader.fault_inside(self.cell, span.start, text, hint);
    }

    /// A fault of the whole value, at its cell.
    pub(super) fn fault_at_start(&mut self, text: &str) {
        self.failed = true;
        let text = if self.cell.is_blank() {
            format!("{} has no value: {text}", self.whose)
        } else {
            format!("{}: {text}", shown(self.cell.text.trim()))
        };
        self.reader.findings.fault(self.cell.at(), text, self.form);
    }

    pub(super) fn written(&self, span: &Range<usize>) -> String {
        shown(
            self.cell
                .text
                .get(span.clone())
                .unwrap_or(&self.cell.text)
                .trim(),
        )
    }

    pub(super) fn does_not_belong(&mut self, item: &Item) {
        let written = self.written(&item.span);
        let (text, hint) = match &item.what {
            ItemKind::Bare(_) => (format!("{written} has no unit"), self.form.to_string()),
            ItemKind::Word(word) => {
                let known = [
                    "idle",
                    "steady",
                    "slow",
                    "cold",
                    "hot",
                    "surge",
                    "open",
                    "closed",
                    "plates",
                    "at",
                    "strike",
                    "burning",
                    "beta",
                    "selenium",
                    "germanium",
                ];
                let near = self.reader.speller.did_you_mean(word, known);
                (
                    format!("{written} does not belong to {}", self.whose),
                    format!("{near}{}", self.form),
                )
            }
            _ => (
                format!("{written} does not belong to {}", self.whose),
                self.form.to_string(),
            ),
        };
        self.fault(&item.span, text, hint);
    }

    /// Fills a slot with a number within what parts of such sets have; a second one is a fault.
    pub(super) fn fill_positive(
        &mut self,
        slot: &mut Option<f64>,
        number: f64,
        span: &Range<usize>,
        unit: Unit,
        what: &str,
    ) {
        let (lowest, highest) = limits(unit);
        if !(lowest..=highest).contains(&number) {
            let text = format!(
                "{} is no possible {what} of {}",
                self.written(span),
                self.whose
            );
            let hint = format!(
                "expected from {} to {}",
                bench(lowest, unit),
                bench(highest, unit)
            );
            self.fault(span, text, hint);
        } else if slot.is_some() {
            let text = format!(
                "{}: {} has its {what} already",
                self.written(span),
                self.whose
            );
            self.fault(span, text, self.form.to_string());
        } else {
            *slot = Some(number);
        }
    }

    /// Fills the share of a track, 0 to 1.
    pub(super) fn fill_share(&mut self, slot: &mut Option<f64>, share: f64, span: &Range<usize>) {
        if !(0.0..=1.0).contains(&share) {
            let text = format!("{} is no share of {}", self.written(span), self.whose);
            self.fault(span, text, "expected `at` with a share from 0 to 1: `at 0.4` is four tenths of the ohms between `from` and the wiper".to_string());
        } else if slot.is_some() {
            let text = format!(
                "{}: {} has its setting already",
                self.written(span),
                self.whose
            );
            self.fault(span, text, self.form.to_string());
        } else {
            *slot = Some(share);
        }
    }

    pub(super) fn fill_tolerance(
        &mut self,
        slot: &mut Option<Tolerance>,
        tolerance: Result<Tolerance, quantity::ToleranceError>,
        span: &Range<usize>,
    ) {
        match tolerance {
            Ok(tolerance) if slot.is_none() => *slot = Some(tolerance),
            Ok(_) => {
                let text = format!(
                    "{}: {} has its tolerance already",
                    self.written(span),
                    self.whose
                );
                self.fault(span, text, self.form.to_string());
            }
            Err(_) => {
                let text = format!("{} is no possible tolerance", self.written(span));
                self.fault(
                    span,
                    text,
                    "expected a tolerance like `10%` or `+80 -20%`".to_string(),
                );
            }
        }
    }

    /// The value of a slot that must be filled.
    pub(super) fn need(&mut self, slot: Option<f64>, what: &str) -> Option<f64> {
        if slot.is_none() && !self.failed {
            self.fault_at_start(&format!("{what} missing"));
        }
        slot
    }
}
