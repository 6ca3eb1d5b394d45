//! Reads the value of a part and the rating of a winding.
//!
//! The bench notation itself is read by `quantity`; here its items are given to
//! the kind of part they stand with. An item that the kind does not have, one
//! that is there twice, and one that is missing are faults at the item, with the
//! form the kind expects.

use std::ops::Range;

use quantity::{Expect, Item, ItemKind, Tolerance, Unit};

use super::messages::shown;
use super::part_kind::{CapacitorStyle, CoilKind, LampRating, PartKind, PartValue, ResistorMake};
use super::read_small_parts;
use super::reader::{Cell, Reader};
use super::value_slots::{Slots, is, items_left};

/// Rated volts of a lamp that is marked in watts alone.
const LINE_LAMP_VOLTS: f64 = 120.0;

/// The value of a part of this kind; `None` if a fault was found.
pub(super) fn read_value(
    reader: &mut Reader<'_>,
    kind: PartKind,
    cell: &Cell,
) -> Option<PartValue> {
    match kind {
        PartKind::Wire => {
            if !cell.is_blank() {
                reader.findings.fault(
                    cell.at(),
                    format!("{} does not belong to a wire", shown(&cell.text)),
                    kind.value_form(),
                );
                return None;
            }
            return Some(PartValue::Wire);
        }
        PartKind::Switch => {
            return open_or_closed(reader, kind, cell).map(|open| PartValue::Switch { open });
        }
        PartKind::Plug => {
            return open_or_closed(reader, kind, cell).map(|open| PartValue::Plug { open });
        }
        PartKind::Crystal => return read_small_parts::crystal(reader, cell),
        PartKind::Neon => return read_small_parts::neon(reader, cell),
        PartKind::Vdr => return read_small_parts::vdr(reader, cell),
        PartKind::Thermistor => {
            if let Some(thermistor) = thermistor_type(reader, cell) {
                return Some(thermistor);
            }
        }
        PartKind::Silicon => {
            if let Some(silicon) = silicon_type(reader, cell) {
                return Some(silicon);
            }
        }
        _ => {}
    }
    let expect = match kind {
        PartKind::Resistor | PartKind::Control => Expect::Resistance,
        PartKind::Electrolytic => Expect::Electrolytic,
        PartKind::Paper | PartKind::MouldedPaper | PartKind::Film => Expect::PaperCapacitance,
        PartKind::Mica | PartKind::Ceramic | PartKind::Trimmer => Expect::SmallCapacitance,
        _ => Expect::Anything,
    };
    let (items, whole) = items_left(reader, cell, expect);
    let mut slots = Slots::new(reader, cell, kind.with_article(), kind.value_form());
    slots.failed = !whole;
    let value = match kind {
        PartKind::Resistor => resistor(&mut slots, items),
        PartKind::Control => control(&mut slots, items),
        PartKind::Thermistor => thermistor(&mut slots, items),
        PartKind::Ballast => ballast(&mut slots, items),
        PartKind::Fuse => fuse(&mut slots, items),
        PartKind::Lamp => lamp(&mut slots, items),
        PartKind::Electrolytic => capacitor(&mut slots, items, CapacitorStyle::Electrolytic),
        PartKind::Paper => capacitor(&mut slots, items, CapacitorStyle::Paper),
        PartKind::MouldedPaper => capacitor(&mut slots, items, CapacitorStyle::MouldedPaper),
        PartKind::Film => capacitor(&mut slots, items, CapacitorStyle::Film),
        PartKind::Mica => capacitor(&mut slots, items, CapacitorStyle::Mica),
        PartKind::Ceramic => capacitor(&mut slots, items, CapacitorStyle::Ceramic),
        PartKind::Trimmer => capacitor(&mut slots, items, CapacitorStyle::Trimmer),
        PartKind::Choke => coil(&mut slots, items, CoilKind::Choke),
        PartKind::Coil => coil(&mut slots, items, CoilKind::Coil),
        PartKind::FocusCoil => coil(&mut slots, items, CoilKind::FocusCoil),
        PartKind::Yoke => coil(&mut slots, items, CoilKind::Yoke),
        PartKind::Selenium => selenium(&mut slots, items),
        PartKind::Silicon => silicon(&mut slots, items),
        PartKind::Load => load(&mut slots, items),
        PartKind::Crystal
        | PartKind::Neon
        | PartKind::Vdr
        | PartKind::Switch
        | PartKind::Plug
        | PartKind::Wire => None,
    };
    if slots.failed { None } else { value }
}

/// The rating of a winding.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub(super) struct WindingRating {
    pub(super) volts: Option<f64>,
    pub(super) ohms: Option<f64>,
    pub(super) rated_amperes: Option<f64>,
    pub(super) idle_amperes: Option<f64>,
    pub(super) idle_watts: Option<f64>,
}

/// The rating of a winding, "117 V 4.1 ohm, idle 0.25 A 9 W"; `None` if a fault was found.
pub(super) fn read_winding_rating(reader: &mut Reader<'_>, cell: &Cell) -> Option<WindingRating> {
    let (items, whole) = items_left(reader, cell, Expect::Anything);
    let form = "a winding has volts and ohms of its copper, may have its rated current, and after `idle` what the unloaded transformer draws: `117 V 4.1 ohm, idle 0.25 A 9 W`";
    let mut slots = Slots::new(reader, cell, "a winding".to_string(), form);
    slots.failed = !whole;
    let mut rating = WindingRating::default();
    let mut idle = false;
    for item in items {
        match item.what {
            ItemKind::Volts(volts) if !idle => {
                slots.fill_positive(&mut rating.volts, volts, &item.span, Unit::Volts, "volts")
            }
            ItemKind::Ohms(ohms) if !idle => {
                slots.fill_positive(&mut rating.ohms, ohms, &item.span, Unit::Ohms, "ohms")
            }
            ItemKind::Amperes(amperes) if idle => slots.fill_positive(
                &mut rating.idle_amperes,
                amperes,
                &item.span,
                Unit::Amperes,
                "idle current",
            ),
            ItemKind::Amperes(amperes) => slots.fill_positive(
                &mut rating.rated_amperes,
                amperes,
                &item.span,
                Unit::Amperes,
                "current",
            ),
            ItemKind::Watts(watts) if idle => slots.fill_positive(
                &mut rating.idle_watts,
                watts,
                &item.span,
                Unit::Watts,
                "idle watts",
            ),
            ItemKind::Word(ref word) if is(word, "idle") && !idle => idle = true,
            ItemKind::Word(ref word)
                if ["ct", "tapped", "centre-tapped", "center-tapped"]
                    .iter()
                    .any(|w| is(word, w)) =>
            {
                let hint = "a tapped winding is written as two rows that meet at the tap";
                slots.fault(
                    &item.span,
                    "a tap does not stand in the rating".to_string(),
                    hint.to_string(),
                );
            }
            _ => slots.does_not_belong(&item),
        }
    }
    if idle && rating.idle_amperes.is_none() && rating.idle_watts.is_none() && !slots.failed {
        slots.fault_at_start("after `idle` nothing follows");
    }
    if slots.failed { None } else { Some(rating) }
}

fn resistor(slots: &mut Slots<'_, '_, '_>, items: Vec<Item>) -> Option<PartValue> {
    let (mut ohms, mut at, mut watts, mut tolerance, mut make) = (None, None, None, None, None);
    for item in items {
        match item.what {
            ItemKind::Ohms(number) => {
                slots.fill_positive(&mut ohms, number, &item.span, Unit::Ohms, "ohms")
            }
            ItemKind::At(share) => slots.fill_share(&mut at, share, &item.span),
            ItemKind::Watts(number) => {
                slots.fill_positive(&mut watts, number, &item.span, Unit::Watts, "watts")
            }
            ItemKind::Percent(number) => slots.fill_tolerance(
                &mut tolerance,
                Tolerance::plus_minus(number / 100.0),
                &item.span,
            ),
            ItemKind::Limits(limits) => {
                slots.fill_tolerance(&mut tolerance, Ok(limits), &item.span)
            }
            ItemKind::Word(ref word) => match ResistorMake::WORDS
                .iter()
                .find(|(name, _)| is(word, name))
            {
                Some((_, found)) if make.is_none() || make == Some(*found) => make = Some(*found),
                _ => slots.does_not_belong(&item),
            },
            _ => slots.does_not_belong(&item),
        }
    }
    let ohms = slots.need(ohms, "ohms")?;
    Some(PartValue::Resistor {
        ohms,
        at,
        watts,
        tolerance,
        make,
    })
}

fn control(slots: &mut Slots<'_, '_, '_>, items: Vec<Item>) -> Option<PartValue> {
    let (mut ohms, mut at, mut watts, mut tolerance) = (None, None, None, None);
    for item in items {
        match item.what {
            ItemKind::Ohms(number) => {
                slots.fill_positive(&mut ohms, number, &item.span, Unit::Ohms, "ohms")
            }
            ItemKind::At(share) => slots.fill_share(&mut at, share, &item.span),
            ItemKind::Watts(number) => {
                slots.fill_positive(&mut watts, number, &item.span, Unit::Watts, "watts")
            }
            ItemKind::Percent(number) => slots.fill_tolerance(
                &mut tolerance,
                Tolerance::plus_minus(number / 100.0),
                &item.span,
            ),
            ItemKind::Limits(limits) => {
                slots.fill_tolerance(&mut tolerance, Ok(limits), &item.span)
            }
            _ => slots.does_not_belong(&item),
        }
    }
    let ohms = slots.need(ohms, "ohms")?;
    Some(PartValue::Control {
        ohms,
        at,
        watts,
        tolerance,
    })
}

/// "120 ohm cold 1.2 ohm hot 1.5 A": each resistance is followed by what it is.
fn thermistor(slots: &mut Slots<'_, '_, '_>, items: Vec<Item>) -> Option<PartValue> {
    let (mut cold_ohms, mut hot_ohms, mut amperes) = (None, None, None);
    let mut pending: Option<(f64, Range<usize>)> = None;
    for item in items {
        match item.what {
            ItemKind::Ohms(ohms) if pending.is_none() => pending = Some((ohms, item.span.clone())),
            ItemKind::Word(ref word) if is(word, "cold") && pending.is_some() => {
                if let Some((ohms, span)) = pending.take() {
                    slots.fill_positive(&mut cold_ohms, ohms, &span, Unit::Ohms, "cold ohms");
                }
            }
            ItemKind::Word(ref word) if is(word, "hot") && pending.is_some() => {
                if let Some((ohms, span)) = pending.take() {
                    slots.fill_positive(&mut hot_ohms, ohms, &span, Unit::Ohms, "hot ohms");
                }
            }
            ItemKind::Amperes(number) => {
                slots.fill_positive(&mut amperes, number, &item.span, Unit::Amperes, "current")
            }
            _ => slots.does_not_belong(&item),
        }
    }
    if let Some((_, span)) = pending {
        let text = format!("{}: cold or hot is not told", slots.written(&span));
        slots.fault(&span, text, slots.form.to_string());
    }
    if !slots.failed && cold_ohms.is_none() && hot_ohms.is_none() {
        slots.fault_at_start("cold ohms missing");
    }
    if let (Some(cold), Some(hot), false) = (cold_ohms, hot_ohms, slots.failed)
        && hot >= cold
    {
        slots.fault_at_start("the hot ohms are not below the cold ohms");
    }
    Some(PartValue::Thermistor {
        kind: None,
        cold_ohms,
        hot_ohms,
        amperes,
    })
}

fn ballast(slots: &mut Slots<'_, '_, '_>, items: Vec<Item>) -> Option<PartValue> {
    let (mut volts, mut amperes) = (None, None);
    for item in items {
        match item.what {
            ItemKind::Volts(number) => {
                slots.fill_positive(&mut volts, number, &item.span, Unit::Volts, "volts")
            }
            ItemKind::Amperes(number) => {
                slots.fill_positive(&mut amperes, number, &item.span, Unit::Amperes, "current")
            }
            _ => slots.does_not_belong(&item),
        }
    }
    let volts = slots.need(volts, "volts");
    let amperes = slots.need(amperes, "current");
    Some(PartValue::Ballast {
        volts: volts?,
        amperes: amperes?,
    })
}

fn fuse(slots: &mut Slots<'_, '_, '_>, items: Vec<Item>) -> Option<PartValue> {
    let (mut amperes, mut ohms, mut volts, mut slow) = (None, None, None, false);
    for item in items {
        match item.what {
            ItemKind::Amperes(number) => {
                slots.fill_positive(&mut amperes, number, &item.span, Unit::Amperes, "current")
            }
            ItemKind::Ohms(number) => {
                slots.fill_positive(&mut ohms, number, &item.span, Unit::Ohms, "ohms")
            }
            // Marked on every fuse and of no use here.
            ItemKind::Volts(number) => {
                slots.fill_positive(&mut volts, number, &item.span, Unit::Volts, "volts")
            }
            ItemKind::Word(ref word)
                if ["slow", "slow-blow", "slo-blo", "time-lag"]
                    .iter()
                    .any(|w| is(word, w)) =>
            {
                slow = true
            }
            ItemKind::Word(ref word) if slow && is(word, "blow") => {}
            ItemKind::Word(ref word) if is(word, "fast") || is(word, "quick") => {}
            _ => slots.does_not_belong(&item),
        }
    }
    Some(PartValue::Fuse {
        amperes,
        ohms,
        slow,
    })
}

fn lamp(slots: &mut Slots<'_, '_, '_>, items: Vec<Item>) -> Option<PartValue> {
    let (mut watts, mut volts, mut amperes) = (None, None, None);
    for item in items {
        match item.what {
            ItemKind::Watts(number) => {
                slots.fill_positive(&mut watts, number, &item.span, Unit::Watts, "watts")
            }
            ItemKind::Volts(number) => {
                slots.fill_positive(&mut volts, number, &item.span, Unit::Volts, "volts")
            }
            ItemKind::Amperes(number) => {
                slots.fill_positive(&mut amperes, number, &item.span, Unit::Amperes, "current")
            }
            _ => slots.does_not_belong(&item),
        }
    }
    match (watts, volts, amperes) {
        (Some(watts), volts, None) => Some(PartValue::Lamp(LampRating::Watts {
            watts,
            volts: volts.unwrap_or(LINE_LAMP_VOLTS),
        })),
        (None, Some(volts), Some(amperes)) => {
            Some(PartValue::Lamp(LampRating::Amperes { volts, amperes }))
        }
        (Some(_), _, Some(_)) => {
            slots.fault_at_start("watts and amperes are both there");
            None
        }
        (None, _, _) => {
            slots.need(None, "watts, or volts and amperes")?;
            None
        }
    }
}

fn capacitor(
    slots: &mut Slots<'_, '_, '_>,
    items: Vec<Item>,
    style: CapacitorStyle,
) -> Option<PartValue> {
    let (mut farads, mut volts, mut surge_volts, mut tolerance) = (None, None, None, None);
    let electrolytic = style == CapacitorStyle::Electrolytic;
    let mut surge_next = false;
    let mut last_volts: Option<Range<usize>> = None;
    let mut items = items.into_iter().peekable();
    while let Some(item) = items.next() {
        match item.what {
            ItemKind::Farads(number) => {
                slots.fill_positive(&mut farads, number, &item.span, Unit::Farads, "capacitance")
            }
            ItemKind::Volts(number) => {
                // `525 V surge` and `surge 525 V` are both on cans.
                let surge_behind = electrolytic
                    && !surge_next
                    && volts.is_some()
                    && matches!(items.peek(), Some(Item { what: ItemKind::Word(word), .. }) if is(word, "surge"));
                if surge_next || surge_behind {
                    if surge_behind {
                        items.next();
                    }
                    slots.fill_positive(
                        &mut surge_volts,
                        number,
                        &item.span,
                        Unit::Volts,
                        "surge volts",
                    );
                } else {
                    slots.fill_positive(&mut volts, number, &item.span, Unit::Volts, "volts");
                }
                surge_next = false;
                last_volts = Some(item.span.clone());
            }
            ItemKind::Word(ref word) if electrolytic && is(word, "surge") && !surge_next => {
                surge_next = true
            }
            ItemKind::Percent(number) => slots.fill_tolerance(
                &mut tolerance,
                Tolerance::plus_minus(number / 100.0),
                &item.span,
            ),
            ItemKind::Limits(limits) => {
                slots.fill_tolerance(&mut tolerance, Ok(limits), &item.span)
            }
            ItemKind::Word(ref word)
                if style == CapacitorStyle::Ceramic && temperature_mark(word) => {}
            _ => slots.does_not_belong(&item),
        }
    }
    if surge_next && !slots.failed {
        slots.fault_at_start("`surge` has no volts");
    }
    if let (Some(working), Some(surge), Some(span), false) =
        (volts, surge_volts, last_volts, slots.failed)
        && surge <= working
    {
        let text = format!(
            "{}: the surge volts are not above the working volts",
            slots.written(&span)
        );
        slots.fault(&span, text, slots.form.to_string());
    }
    let farads = slots.need(farads, "capacitance")?;
    Some(PartValue::Capacitor {
        style,
        farads,
        volts,
        surge_volts,
        tolerance,
    })
}

/// `NPO`, `N750`, `GMV`: marks on ceramics that say nothing about a supply.
fn temperature_mark(word: &str) -> bool {
    let upper = word.to_ascii_uppercase();
    matches!(upper.as_str(), "NPO" | "NP0" | "GMV")
        || (upper.len() > 1
            && upper.starts_with(['N', 'P'])
            && upper.chars().skip(1).all(|c| c.is_ascii_digit()))
}

fn coil(slots: &mut Slots<'_, '_, '_>, items: Vec<Item>, kind: CoilKind) -> Option<PartValue> {
    let (mut henries, mut ohms, mut amperes, mut at) = (None, None, None, None);
    for item in items {
        match item.what {
            ItemKind::Henries(number) => slots.fill_positive(
                &mut henries,
                number,
                &item.span,
                Unit::Henries,
                "inductance",
            ),
            ItemKind::Ohms(number) => {
                slots.fill_positive(&mut ohms, number, &item.span, Unit::Ohms, "ohms")
            }
            ItemKind::Amperes(number) => {
                slots.fill_positive(&mut amperes, number, &item.span, Unit::Amperes, "current")
            }
            ItemKind::At(share) => slots.fill_share(&mut at, share, &item.span),
            _ => slots.does_not_belong(&item),
        }
    }
    Some(PartValue::Coil {
        kind,
        henries,
        ohms,
        amperes,
        at,
    })
}

fn selenium(slots: &mut Slots<'_, '_, '_>, items: Vec<Item>) -> Option<PartValue> {
    let mut plates: Option<u32> = None;
    let (mut amperes, mut volts) = (None, None);
    for item in items {
        match item.what {
            ItemKind::Plates(count) if plates.is_none() => plates = Some(count),
            ItemKind::Amperes(number) => {
                slots.fill_positive(&mut amperes, number, &item.span, Unit::Amperes, "current")
            }
            // Input volts are marked on many stacks; the plates say the same.
            ItemKind::Volts(number) => {
                slots.fill_positive(&mut volts, number, &item.span, Unit::Volts, "volts")
            }
            _ => slots.does_not_belong(&item),
        }
    }
    if plates.is_none() && !slots.failed {
        slots.fault_at_start("number of plates missing");
    }
    Some(PartValue::Selenium {
        plates: plates?,
        milliamperes: amperes.map(|amperes| amperes * 1e3),
    })
}

fn silicon(slots: &mut Slots<'_, '_, '_>, items: Vec<Item>) -> Option<PartValue> {
    let (mut amperes, mut inverse_volts) = (None, None);
    for item in items {
        match item.what {
            ItemKind::Amperes(number) => {
                slots.fill_positive(&mut amperes, number, &item.span, Unit::Amperes, "current")
            }
            ItemKind::Volts(number) => slots.fill_positive(
                &mut inverse_volts,
                number,
                &item.span,
                Unit::Volts,
                "peak inverse volts",
            ),
            _ => slots.does_not_belong(&item),
        }
    }
    Some(PartValue::Silicon {
        kind: None,
        amperes,
        inverse_volts,
    })
}

fn load(slots: &mut Slots<'_, '_, '_>, items: Vec<Item>) -> Option<PartValue> {
    let (mut amperes, mut volts, mut steady, mut at_next) = (None, None, false, false);
    for item in items {
        match item.what {
            ItemKind::Amperes(number) => {
                slots.fill_positive(&mut amperes, number, &item.span, Unit::Amperes, "current")
            }
            ItemKind::AtVolts(number) => {
                slots.fill_positive(&mut volts, number, &item.span, Unit::Volts, "volts")
            }
            ItemKind::Volts(number) => {
                at_next = false;
                slots.fill_positive(&mut volts, number, &item.span, Unit::Volts, "volts");
            }
            ItemKind::Word(ref word) if is(word, "at") && !at_next && volts.is_none() => {
                at_next = true
            }
            ItemKind::Word(ref word) if is(word, "steady") && !steady => steady = true,
            _ => slots.does_not_belong(&item),
        }
    }
    if !slots.failed && (amperes.is_none() || volts.is_none()) {
        let what = match (amperes, volts) {
            (None, None) => "its current and the volts at which it draws it are missing",
            (None, _) => "its current is missing",
            _ => "the volts at which it draws its current are missing",
        };
        slots.fault_at_start(what);
    }
    Some(PartValue::Load {
        amperes: amperes?,
        volts: volts?,
        steady,
        stands_for: Vec::new(),
    })
}

fn open_or_closed(reader: &mut Reader<'_>, kind: PartKind, cell: &Cell) -> Option<bool> {
    match cell.text.trim() {
        text if text.is_empty() || is(text, "closed") => Some(false),
        text if is(text, "open") => Some(true),
        text => {
            let near = reader.speller.did_you_mean(text, ["open", "closed"]);
            reader.findings.fault(
                cell.at(),
                format!("{} does not belong to {}", shown(text), kind.with_article()),
                format!("{near}{}", kind.value_form()),
            );
            None
        }
    }
}

/// A thermistor by its type alone.
fn thermistor_type(reader: &Reader<'_>, cell: &Cell) -> Option<PartValue> {
    let found = reader.catalogue.thermistor(cell.text.trim())?;
    Some(PartValue::Thermistor {
        kind: Some(found.name.clone()),
        cold_ohms: found.cold_ohms,
        hot_ohms: found.hot_ohms,
        amperes: found
            .rated_milliamperes
            .map(|milliamperes| milliamperes / 1e3),
    })
}

/// A silicon rectifier by its type alone.
fn silicon_type(reader: &Reader<'_>, cell: &Cell) -> Option<PartValue> {
    let found = reader.catalogue.silicon(cell.text.trim())?;
    Some(PartValue::Silicon {
        kind: Some(found.name.clone()),
        amperes: found
            .rated_milliamperes
            .map(|milliamperes| milliamperes / 1e3),
        inverse_volts: found.max_inverse_volts,
    })
}
