//! Reads the values of crystals, neon lamps and voltage-dependent resistors.
//!
//! Volts, amperes, ohms. A type of the catalogue may stand first; what is written
//! behind it goes before the catalogue's figure. A type that the catalogue lacks is a
//! fault with the nearest type. Nothing is put in for what is not told.

use std::ops::Range;

use parts::DiodeMaterial;
use quantity::{Expect, Item, ItemKind, Unit, read_items};

use super::messages::shown;
use super::part_kind::{PartKind, PartValue};
use super::reader::{Cell, Reader};
use super::value_slots::{Slots, is, items_left};

/// Words after or before the volts at which a neon lamp lights.
const STRIKE_WORDS: &[&str] = &["strike", "strikes", "striking", "starting", "breakdown"];
/// Words after or before the volts that a neon lamp holds.
const BURNING_WORDS: &[&str] = &["burning", "burns", "maintaining", "operating"];
/// Words for the exponent of a voltage-dependent resistor.
const BETA_WORDS: &[&str] = &["beta", "exponent"];
/// Exponents from the sharpest part made to a plain resistor, which has 1.
const BETA_RANGE: Range<f64> = 0.01..1.0;

/// The value of a crystal: a type or `selenium`, forward current at its volts, inverse volts; all may be missing.
pub(super) fn crystal(reader: &mut Reader<'_>, cell: &Cell) -> Option<PartValue> {
    let catalogue = reader.catalogue;
    let known: Vec<&str> = catalogue
        .small_diodes()
        .iter()
        .filter(|row| !row.is_general())
        .map(|row| row.name.as_str())
        .collect();
    let (kind, rest) = cut_type(reader, cell, PartKind::Crystal, &known)?;
    let row = kind.as_deref().and_then(|kind| catalogue.small_diode(kind));
    let mut material = row.map(|row| row.material);
    let (items, whole) = items_left(reader, &rest, Expect::Anything);
    let mut slots = slots_of(reader, &rest, PartKind::Crystal, whole);
    let (mut forward_amperes, mut forward_volts, mut inverse_volts) = (None, None, None);
    for item in items {
        match item.what {
            ItemKind::Word(ref word) if is(word, "selenium") && material.is_none() => {
                material = Some(DiodeMaterial::Selenium);
            }
            ItemKind::Word(ref word) if is(word, "germanium") && material.is_none() => {
                material = Some(DiodeMaterial::Germanium);
            }
            ItemKind::Amperes(number) => slots.fill_positive(
                &mut forward_amperes,
                number,
                &item.span,
                Unit::Amperes,
                "forward current",
            ),
            ItemKind::AtVolts(number) => slots.fill_positive(
                &mut forward_volts,
                number,
                &item.span,
                Unit::Volts,
                "forward volts",
            ),
            ItemKind::Volts(number) => slots.fill_positive(
                &mut inverse_volts,
                number,
                &item.span,
                Unit::Volts,
                "inverse volts",
            ),
            _ => slots.does_not_belong(&item),
        }
    }
    together(
        &mut slots,
        (forward_amperes, "the forward current is missing"),
        (
            forward_volts,
            "the volts of the forward current are missing",
        ),
    );
    if slots.failed {
        return None;
    }
    let published = row.and_then(|row| row.forward_milliamperes_at_1_volt);
    let (amperes, volts) = match (forward_amperes, published) {
        (Some(amperes), _) => (Some(amperes), forward_volts),
        (None, Some(milliamperes)) => (Some(milliamperes / 1e3), Some(1.0)),
        (None, None) => (None, None),
    };
    Some(PartValue::Crystal {
        kind,
        material: material.unwrap_or(DiodeMaterial::Germanium),
        forward_amperes: amperes,
        forward_volts: volts,
        inverse_volts: inverse_volts.or(row.and_then(|row| row.max_inverse_volts)),
    })
}

/// The value of a neon lamp: a type, striking and burning volts, current, ohms in its base; all may be missing.
pub(super) fn neon(reader: &mut Reader<'_>, cell: &Cell) -> Option<PartValue> {
    let catalogue = reader.catalogue;
    let known: Vec<&str> = catalogue
        .neon_lamps()
        .iter()
        .map(|row| row.name.as_str())
        .collect();
    let (kind, rest) = cut_type(reader, cell, PartKind::Neon, &known)?;
    let row = kind.as_deref().and_then(|kind| catalogue.neon_lamp(kind));
    let (items, whole) = items_left(reader, &rest, Expect::Anything);
    let mut slots = slots_of(reader, &rest, PartKind::Neon, whole);
    let (mut strike, mut burning, mut amperes, mut ohms) = (None, None, None, None);
    // `65 V strike` and `strike 65 V` are both written.
    let mut volts_waiting: Option<(f64, Item)> = None;
    let mut word_waiting: Option<(bool, Item)> = None;
    for item in items {
        let strikes = match &item.what {
            ItemKind::Word(word) if STRIKE_WORDS.iter().any(|known| is(word, known)) => Some(true),
            ItemKind::Word(word) if BURNING_WORDS.iter().any(|known| is(word, known)) => {
                Some(false)
            }
            _ => None,
        };
        let volts = match item.what {
            ItemKind::Volts(number) | ItemKind::AtVolts(number) => Some(number),
            _ => None,
        };
        let told = match (strikes, volts, volts_waiting.take(), word_waiting.take()) {
            (Some(strikes), _, Some((number, volts)), _) => Some((strikes, number, volts.span)),
            (Some(strikes), _, None, None) => {
                word_waiting = Some((strikes, item));
                continue;
            }
            (None, Some(number), None, Some((strikes, _))) => {
                Some((strikes, number, item.span.clone()))
            }
            (None, Some(number), None, None) => {
                volts_waiting = Some((number, item));
                continue;
            }
            (_, _, volts, word) => {
                // A misspelled word behind volts is one fault, not two.
                let misspelled = strikes.is_none() && matches!(item.what, ItemKind::Word(_));
                let volts = volts.filter(|_| !misspelled).map(|(_, item)| item);
                for idle in volts.into_iter().chain(word.map(|(_, item)| item)) {
                    not_told(&mut slots, &idle);
                }
                match item.what {
                    ItemKind::Amperes(number) => slots.fill_positive(
                        &mut amperes,
                        number,
                        &item.span,
                        Unit::Amperes,
                        "current",
                    ),
                    ItemKind::Ohms(number) => slots.fill_positive(
                        &mut ohms,
                        number,
                        &item.span,
                        Unit::Ohms,
                        "ohms in its base",
                    ),
                    ItemKind::Volts(number) => volts_waiting = Some((number, item)),
                    ItemKind::Word(_) if strikes.is_some() => {
                        word_waiting = strikes.map(|strikes| (strikes, item));
                    }
                    _ => slots.does_not_belong(&item),
                }
                continue;
            }
        };
        if let Some((strikes, number, span)) = told {
            let (slot, what) = if strikes {
                (&mut strike, "striking volts")
            } else {
                (&mut burning, "burning volts")
            };
            slots.fill_positive(slot, number, &span, Unit::Volts, what);
        }
    }
    for idle in [
        volts_waiting.map(|(_, item)| item),
        word_waiting.map(|(_, item)| item),
    ]
    .into_iter()
    .flatten()
    {
        not_told(&mut slots, &idle);
    }
    let strike_volts = strike.or(row.and_then(|row| row.strike_volts));
    let burning_volts = burning.or(row.and_then(|row| row.burning_volts));
    if let (Some(strike), Some(burning), false) = (strike_volts, burning_volts, slots.failed)
        && burning >= strike
    {
        slots.fault_at_start("the burning volts are not below the striking volts");
    }
    if slots.failed {
        return None;
    }
    Some(PartValue::Neon {
        kind,
        strike_volts,
        burning_volts,
        amperes: amperes.or(row
            .and_then(|row| row.burning_milliamperes)
            .map(|milliamperes| milliamperes / 1e3)),
        base_ohms: ohms.or(row.and_then(|row| row.base_ohms)),
    })
}

/// The value of a voltage-dependent resistor: its current at its volts, its exponent; all may be missing.
pub(super) fn vdr(reader: &mut Reader<'_>, cell: &Cell) -> Option<PartValue> {
    let (items, whole) = items_left(reader, cell, Expect::Anything);
    let mut slots = slots_of(reader, cell, PartKind::Vdr, whole);
    let (mut amperes, mut volts, mut beta, mut tolerance) = (None, None, None, None);
    let mut beta_word: Option<Item> = None;
    let mut misspelled = false;
    for item in items {
        if let (Some(word), false) = (&beta_word, matches!(item.what, ItemKind::Bare(_))) {
            slots.fault(
                &word.span,
                format!("{} has no number", slots.written(&word.span)),
                slots.form.to_string(),
            );
            beta_word = None;
        }
        match item.what {
            ItemKind::Amperes(number) => {
                slots.fill_positive(&mut amperes, number, &item.span, Unit::Amperes, "current")
            }
            ItemKind::AtVolts(number) | ItemKind::Volts(number) => {
                slots.fill_positive(&mut volts, number, &item.span, Unit::Volts, "volts")
            }
            ItemKind::Word(ref word) if BETA_WORDS.iter().any(|known| is(word, known)) => {
                beta_word = Some(item);
            }
            // The number of a misspelled word is no further fault.
            ItemKind::Bare(_) if std::mem::take(&mut misspelled) => {}
            ItemKind::Bare(number) if beta_word.take().is_some() => {
                if !BETA_RANGE.contains(&number) {
                    let text = format!("{} is no possible exponent", slots.written(&item.span));
                    let hint = format!(
                        "expected from {} to below {}: volts grow as the current to that power, and with 1 it is a plain resistor",
                        BETA_RANGE.start, BETA_RANGE.end
                    );
                    slots.fault(&item.span, text, hint);
                } else if beta.replace(number).is_some() {
                    let text =
                        format!("{}: it has its exponent already", slots.written(&item.span));
                    slots.fault(&item.span, text, slots.form.to_string());
                }
            }
            ItemKind::Percent(number) => slots.fill_tolerance(
                &mut tolerance,
                quantity::Tolerance::plus_minus(number / 100.0),
                &item.span,
            ),
            ItemKind::Limits(limits) => {
                slots.fill_tolerance(&mut tolerance, Ok(limits), &item.span)
            }
            _ => {
                misspelled = matches!(item.what, ItemKind::Word(_));
                slots.does_not_belong(&item);
            }
        }
    }
    if let Some(word) = beta_word {
        slots.fault(
            &word.span,
            format!("{} has no number", slots.written(&word.span)),
            slots.form.to_string(),
        );
    }
    together(
        &mut slots,
        (amperes, "its current is missing"),
        (volts, "the volts of its current are missing"),
    );
    if !slots.failed && amperes.is_none() && (beta.is_some() || tolerance.is_some()) {
        slots.fault_at_start("its current and the volts of it are missing");
    }
    if slots.failed {
        return None;
    }
    Some(PartValue::Vdr {
        amperes,
        volts,
        beta,
        tolerance,
    })
}

fn slots_of<'r, 'a, 'c>(
    reader: &'r mut Reader<'a>,
    cell: &'c Cell,
    kind: PartKind,
    whole: bool,
) -> Slots<'r, 'a, 'c> {
    let mut slots = Slots::new(reader, cell, kind.with_article(), kind.value_form());
    slots.failed = !whole;
    slots
}

/// Two figures of which neither means anything alone.
fn together(slots: &mut Slots<'_, '_, '_>, one: (Option<f64>, &str), other: (Option<f64>, &str)) {
    match (one, other) {
        _ if slots.failed => {}
        ((None, lacking), (Some(_), _)) | ((Some(_), _), (None, lacking)) => {
            slots.fault_at_start(lacking);
        }
        _ => {}
    }
}

/// Volts of a neon lamp without their word, or the word without its volts.
fn not_told(slots: &mut Slots<'_, '_, '_>, item: &Item) {
    let written = slots.written(&item.span);
    let text = if matches!(item.what, ItemKind::Word(_)) {
        format!("{written} has no volts")
    } else {
        format!("{written}: striking or burning is not told")
    };
    slots.fault(&item.span, text, slots.form.to_string());
}

/// The type at the beginning of a value as the catalogue spells it, and the cell with
/// blanks in its place. `None` if what stands there looks like a type and is not known.
fn cut_type(
    reader: &mut Reader<'_>,
    cell: &Cell,
    kind: PartKind,
    known: &[&str],
) -> Option<(Option<String>, Cell)> {
    let start = cell.text.len() - cell.text.trim_start().len();
    let first = cell.text.split_whitespace().next().unwrap_or_default();
    let plain = |text: &str| text.replace('-', "").to_ascii_uppercase();
    if let Some(name) = known.iter().find(|name| plain(name) == plain(first)) {
        let mut rest = cell.clone();
        rest.text
            .replace_range(start..start + first.len(), &" ".repeat(first.len()));
        return Some((Some((*name).to_string()), rest));
    }
    if !looks_like_a_type(first) {
        return Some((None, cell.clone()));
    }
    let near = reader.speller.did_you_mean(first, known.iter().copied());
    let text = format!("{} is no type of the catalogue", shown(first));
    let hint = format!(
        "{near}known are {}; for any other {}",
        known.join(", "),
        kind.value_form()
    );
    reader.fault_inside(cell, start, text, hint);
    None
}

/// Letters and digits that are no figure with its unit.
fn looks_like_a_type(text: &str) -> bool {
    let has = |test: fn(&char) -> bool| text.chars().any(|letter| test(&letter));
    has(char::is_ascii_digit)
        && has(char::is_ascii_alphabetic)
        && text.chars().all(|c| c.is_ascii_alphanumeric() || c == '-')
        && match read_items(text, Expect::Anything) {
            Ok(items) => items
                .iter()
                .any(|item| matches!(item.what, ItemKind::Word(_))),
            Err(_) => true,
        }
}
