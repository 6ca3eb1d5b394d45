//! Shorts and leakage between any two elements, from ohmmeter readings.
//!
//! Ohms. Limits are common practice (from memory): 10 megohms and more is sound, below 1 megohm
//! leaks, below 10k counts as a short. A cold leak may be dirt between base pins, so cleaning
//! comes first. With the heater hot an ohmmeter whose plus lead is at a grid and the minus at
//! the cathode sends emission through the vacuum: such a reading says nothing of leakage.

use quantity::Ohms;

/// An element on the base.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Element {
    /// The heater.
    Heater,
    /// The cathode.
    Cathode,
    /// The first grid.
    Grid,
    /// The second grid.
    SecondGrid,
    /// A focusing electrode.
    Focus,
}

impl Element {
    /// In words.
    pub fn word(self) -> &'static str {
        match self {
            Self::Heater => "heater",
            Self::Cathode => "cathode",
            Self::Grid => "grid",
            Self::SecondGrid => "second grid",
            Self::Focus => "focus",
        }
    }
}

/// One reading between two elements, the socket off.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct LeakReading {
    /// Where the plus lead is.
    pub plus: Element,
    /// Where the minus lead is.
    pub minus: Element,
    /// What was read; infinite when the meter did not move.
    pub ohms: Ohms,
    /// Whether the heater was hot.
    pub hot: bool,
}

/// How the insulation between two elements stands.
#[derive(Clone, Debug, PartialEq)]
pub enum Leak {
    /// Sound.
    Sound,
    /// Between sound and leaking: clean the base and read again.
    Watch,
    /// It leaks, and what that does in the set.
    Leaks(&'static str),
    /// They touch, and what that does in the set.
    Short(&'static str),
    /// The reading says nothing, with the reason.
    SaysNothing(&'static str),
}

/// Ohms from which on insulation is sound.
const SOUND: f64 = 10e6;
/// Ohms below which it leaks.
const LEAKS: f64 = 1e6;
/// Ohms below which two elements count as touching.
const SHORT: f64 = 10e3;

/// Judges one reading.
pub fn judge_leak(reading: &LeakReading) -> Leak {
    let ohms = reading.ohms.0;
    if reading.plus == reading.minus {
        return Leak::SaysNothing("both leads were at one element");
    }
    if ohms.is_nan() || ohms < 0.0 {
        return Leak::SaysNothing("ohms are a figure from zero on");
    }
    if ohms >= SOUND {
        return Leak::Sound;
    }
    if reading.hot && reading.minus == Element::Cathode && reading.plus != Element::Heater {
        return Leak::SaysNothing(
            "with the heater hot the cathode gives the meter current through the vacuum: \
             exchange the leads",
        );
    }
    let does = what_it_does(reading.plus, reading.minus);
    if ohms < SHORT {
        Leak::Short(does)
    } else if ohms < LEAKS {
        Leak::Leaks(does)
    } else {
        Leak::Watch
    }
}

/// What such a leak does in a set (common practice).
fn what_it_does(one: Element, other: Element) -> &'static str {
    let pair = |a: Element, b: Element| (one == a && other == b) || (one == b && other == a);
    if pair(Element::Heater, Element::Cathode) {
        "brightness runs away or a shaded bar of hum crosses the picture; an isolating heater \
         transformer lets the tube live"
    } else if pair(Element::Grid, Element::Cathode) {
        "brightness cannot be turned down, or the picture washes out: never run it bright to find out"
    } else if pair(Element::Grid, Element::SecondGrid) {
        "the second grid pulls the grid up: full brightness without control"
    } else if one == Element::Heater || other == Element::Heater {
        "hum on the picture, and the heater winding carries the element's volts"
    } else {
        "focus or brightness shift while it warms up"
    }
}
