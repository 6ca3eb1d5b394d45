//! Reads bench notation, period and modern: `4700`, `4.7k`, `4k7`, `1 meg`, `.05`, `0.05 mfd`, `220 mmf`, `1/2 W`, `+50 -10 %`,
//! `450 W.V.D.C.`, `95 mA at 330 V steady`.
//!
//! Numbers come out in SI. Sources: the spellings of parts lists and schematics of 1946 to 1965 and of modern parts (common
//! practice). What can be read in two ways is a fault that names both readings; the rules that decide are in [`Expect`] (numbers
//! without a unit, lone letters), beside the spellings of units (`mf` against `mF`), and for commas: groups of three digits are
//! thousands before ohm, V, Hz, mfd and mmf (`22,000 ohm`), unclear before any other unit (`1,250 mA`); `0,05` and `4,7k` are
//! decimal commas; other commas between digits are unclear.
//!
//! Every fault of a text is reported at once, each with its place. No text makes the reader panic; a text of more than
//! [`LONGEST_TEXT`] bytes is refused as a whole. Resistance, capacitance, inductance, power, time and percent have no sign; volts
//! and amperes may be negative.

mod cut_number;
mod cut_unit;
mod error;
mod item;
mod meaning;
mod number;
mod ranges;
mod reader;
mod spelling;
mod text;
mod unit_words;

pub use error::NotationError;
pub use item::{Expect, Item, ItemKind};
pub use spelling::nearest_spelling;

use crate::units::{
    Amperes, Farads, Henries, Hertz, Ohms, Seconds, Siemens, VoltAmperes, Volts, Watts,
};
use text::Text;

/// Longest text that is read, in bytes.
pub const LONGEST_TEXT: usize = 300;

/// Most faults reported for one text.
pub const MOST_FAULTS: usize = 20;

/// Reads everything in `text`, in order; an empty text holds nothing. On faults, all of them (at most [`MOST_FAULTS`]), in order.
pub fn read_items(text: &str, expect: Expect) -> Result<Vec<Item>, Vec<NotationError>> {
    if text.len() > LONGEST_TEXT {
        return Err(vec![NotationError {
            span: 0..text.len(),
            read: error::shown(text),
            expected: format!("a value of at most {LONGEST_TEXT} letters"),
            hint: "give each part a row of its own".to_string(),
            readings: Vec::new(),
        }]);
    }
    let text = Text::new(text);
    let mut faults = Vec::new();
    let pieces = reader::pieces(&text, expect, &mut faults);
    let items = meaning::items(&text, &pieces, expect, &mut faults);
    if faults.is_empty() {
        return Ok(items);
    }
    faults.sort_by_key(|fault| (fault.span.start, fault.span.end));
    faults.truncate(MOST_FAULTS);
    Err(faults)
}

/// Reads `text` under every expectation and prints all that comes out; never panics. A target for random texts.
pub fn read_anything(text: &str) -> String {
    let mut printed = String::new();
    for expect in ALL_EXPECTATIONS {
        match read_items(text, expect) {
            Ok(items) => printed.push_str(&format!("{expect:?}: {items:?}\n")),
            Err(faults) => {
                for fault in faults {
                    printed.push_str(&format!(
                        "{expect:?}: column {}: {fault}\n",
                        fault.column_in(text)
                    ));
                }
            }
        }
    }
    printed
}

/// Every expectation there is.
pub const ALL_EXPECTATIONS: [Expect; 16] = [
    Expect::Anything,
    Expect::Resistance,
    Expect::MeterResistance,
    Expect::Capacitance,
    Expect::PaperCapacitance,
    Expect::SmallCapacitance,
    Expect::Electrolytic,
    Expect::Inductance,
    Expect::Voltage,
    Expect::Current,
    Expect::Power,
    Expect::ApparentPower,
    Expect::Time,
    Expect::Frequency,
    Expect::Conductance,
    Expect::Percentage,
];

/// Reads one value of the kind expected and nothing else.
fn read_one<Q>(
    text: &str,
    expect: Expect,
    take: impl Fn(&ItemKind) -> Option<Q>,
) -> Result<Q, NotationError> {
    let wanted = expect.measure().map_or("a value", item::Measure::name);
    let fault = |span: std::ops::Range<usize>, hint: &str| NotationError {
        read: error::shown(text.get(span.clone()).unwrap_or("")),
        span,
        expected: format!("{wanted} and nothing else"),
        hint: hint.to_string(),
        readings: Vec::new(),
    };
    let items = match read_items(text, expect) {
        Ok(items) => items,
        Err(faults) => {
            return Err(faults
                .into_iter()
                .next()
                .unwrap_or_else(|| fault(0..text.len(), "")));
        }
    };
    let Some(first) = items.first() else {
        return Err(fault(0..text.len(), "write the value"));
    };
    match (take(&first.what), items.get(1)) {
        (Some(value), None) => Ok(value),
        (Some(_), Some(second)) => Err(fault(second.span.clone(), "leave this out")),
        (None, _) => Err(fault(first.span.clone(), "write the value first")),
    }
}

macro_rules! read_one {
    ($($(#[$doc:meta])* $name:ident: $quantity:ident from $kind:ident, expecting $expect:ident;)*) => {
        $(
            $(#[$doc])*
            pub fn $name(text: &str) -> Result<$quantity, NotationError> {
                read_one(text, Expect::$expect, |what| match what {
                    ItemKind::$kind(value) => Some($quantity(*value)),
                    _ => None,
                })
            }
        )*
    };
}

read_one! {
    /// Reads a resistance and nothing else: `4.7k`. The first fault if there are several.
    read_ohms: Ohms from Ohms, expecting Resistance;
    /// Reads the resistance of a meter, in which `10M` is 10 megohm. The first fault if there are several.
    read_meter_ohms: Ohms from Ohms, expecting MeterResistance;
    /// Reads a capacitance and nothing else: `0.05 mfd`, `.05`. The first fault if there are several.
    read_farads: Farads from Farads, expecting Capacitance;
    /// Reads an inductance and nothing else: `3.5 H`. The first fault if there are several.
    read_henries: Henries from Henries, expecting Inductance;
    /// Reads volts and nothing else, of either sign: `345 V`, `-22`. The first fault if there are several.
    read_volts: Volts from Volts, expecting Voltage;
    /// Reads amperes and nothing else, of either sign: `95 mA`. The first fault if there are several.
    read_amperes: Amperes from Amperes, expecting Current;
    /// Reads watts and nothing else: `1/2 W`. The first fault if there are several.
    read_watts: Watts from Watts, expecting Power;
    /// Reads volt-amperes and nothing else: `250 VA`. The first fault if there are several.
    read_volt_amperes: VoltAmperes from VoltAmperes, expecting ApparentPower;
    /// Reads a time and nothing else: `30 s`, `2 min`. The first fault if there are several.
    read_seconds: Seconds from Seconds, expecting Time;
    /// Reads a frequency and nothing else: `60 Hz`, `15.75 kc`. The first fault if there are several.
    read_hertz: Hertz from Hertz, expecting Frequency;
    /// Reads a conductance and nothing else: `2500 umho`. The first fault if there are several.
    read_siemens: Siemens from Siemens, expecting Conductance;
}
