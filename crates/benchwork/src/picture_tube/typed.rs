//! Values of the picture tube's bench as they are typed: volts, amperes, ohms, minutes, needles.
//!
//! Bench notation with its unit; volts, minutes and seconds may be bare, since their places say
//! what they are. Faults are gathered, so that all come at once; each names the value's place,
//! what was read and what was expected. Values out of any reason (a heater of 600 V) are faults.

use quantity::{read_amperes, read_ohms, read_volts};
use receiver::picture_tube::leakage::Element;

use crate::trouble::Trouble;
use crate::view::FaultView;

/// Gathers values and their faults.
#[derive(Debug, Default)]
pub(crate) struct Typed {
    faults: Vec<FaultView>,
}

impl Typed {
    /// Notes a fault.
    pub fn fault(&mut self, text: impl Into<String>, hint: impl Into<String>) {
        self.faults.push(FaultView::of_input(text, hint));
    }

    /// All faults, if there are any.
    pub fn end(self) -> Result<(), Trouble> {
        if self.faults.is_empty() {
            Ok(())
        } else {
            Err(Trouble::Input {
                faults: self.faults,
            })
        }
    }

    /// Volts of a place, within what it can have; a sign is dropped where `either` sign is meant.
    pub fn volts(&mut self, place: &str, text: &str, most: f64) -> Option<f64> {
        let plain = without_kind(text);
        let bare = plain.trim_start_matches(['-', '\u{2212}']).trim();
        let read = number(bare).or_else(|| read_volts(bare).ok().map(|volts| volts.0));
        self.within(place, text, read, (0.0, most), "volts, such as 6.3 V")
    }

    /// Amperes, with their unit.
    pub fn amperes(&mut self, place: &str, text: &str, most: f64) -> Option<f64> {
        let plain = without_kind(text);
        let read = match number(&plain) {
            Some(_) => None,
            None => read_amperes(&plain).ok().map(|amperes| amperes.0),
        };
        let expected = "amperes with their unit, such as 0.6 A, 600 mA or 350 uA";
        self.within(place, text, read, (0.0, most), expected)
    }

    /// Ohms, or `open`.
    pub fn ohms(&mut self, place: &str, text: &str) -> Option<f64> {
        if ["open", "infinite", "inf", "ol", "∞"].contains(&text.trim().to_lowercase().as_str()) {
            return Some(f64::INFINITY);
        }
        let read = number(text).or_else(|| read_ohms(text).ok().map(|ohms| ohms.0));
        let expected = "ohms, such as 1.4, 470k, 20 meg or open";
        self.within(place, text, read, (0.0, 1e12), expected)
    }

    /// Minutes: `4`, `4 min`, `90 s`, `1 h`.
    pub fn minutes(&mut self, place: &str, text: &str) -> Option<f64> {
        let read = time(text, 60.0).map(|seconds| rounded(seconds / 60.0));
        let expected = "minutes, such as 4, 90 s or 1 h";
        self.within(place, text, read, (0.0, 10_080.0), expected)
    }

    /// Seconds: `5`, `5 s`, `2 min`.
    pub fn seconds(&mut self, place: &str, text: &str) -> Option<f64> {
        let read = time(text, 1.0);
        let expected = "seconds since the heater was reduced or cut, such as 5 or 2 min";
        self.within(place, text, read, (0.0, 3600.0), expected)
    }

    /// What a needle shows: a figure, with or without the unit of its scale.
    pub fn shown(&mut self, place: &str, text: &str) -> Option<(f64, Option<String>)> {
        let text = text.trim();
        let end = text
            .find(|letter: char| !(letter.is_ascii_digit() || ".+-".contains(letter)))
            .unwrap_or(text.len());
        let (figure, unit) = text.split_at(end);
        let unit = unit.trim();
        let read = number(figure);
        let expected = "what the needle shows, such as 22, 22 % or 350 uA";
        let shown = self.within(place, text, read, (0.0, 1e9), expected)?;
        Some((shown, (!unit.is_empty()).then(|| unit_word(unit))))
    }

    /// A figure within bounds.
    pub fn figure(
        &mut self,
        place: &str,
        text: &str,
        bounds: (f64, f64),
        what: &str,
    ) -> Option<f64> {
        let bare = text.trim().trim_end_matches('%').trim();
        self.within(place, text, number(bare), bounds, what)
    }

    /// An element of the tube.
    pub fn element(&mut self, place: &str, text: &str) -> Option<Element> {
        let folded = text.trim().to_lowercase().replace(['-', '_'], " ");
        let found = match folded.as_str() {
            "heater" | "filament" | "h" => Element::Heater,
            "cathode" | "k" => Element::Cathode,
            "grid" | "grid1" | "grid 1" | "g1" | "control grid" | "first grid" => Element::Grid,
            "second grid" | "grid2" | "grid 2" | "g2" | "screen" => Element::SecondGrid,
            "focus" | "focusing electrode" | "grid4" | "g4" => Element::Focus,
            _ => {
                self.fault(
                    format!("{place}: `{text}` read, an element of the tube expected"),
                    "write heater, cathode, grid, second grid or focus",
                );
                return None;
            }
        };
        Some(found)
    }

    /// Yes or no.
    pub fn yes_or_no(&mut self, place: &str, text: &str) -> Option<bool> {
        match text.trim().to_lowercase().as_str() {
            "yes" | "y" => Some(true),
            "no" | "n" => Some(false),
            _ => {
                let fault = format!("{place}: `{text}` read, yes or no expected");
                self.fault(fault, "write yes or no");
                None
            }
        }
    }

    /// A value within its bounds; `None`, with its fault, where it is none or lies beyond them.
    pub fn within(
        &mut self,
        place: &str,
        text: &str,
        read: Option<f64>,
        (least, most): (f64, f64),
        expected: &str,
    ) -> Option<f64> {
        match read {
            Some(value) if (least..=most).contains(&value) => Some(value),
            Some(_) => {
                self.fault(
                    format!("{place}: `{text}` is out of range, {least} to {most} expected"),
                    "look for a slip of the point or of the unit",
                );
                None
            }
            None => {
                self.fault(
                    format!("{place}: `{text}` read, {expected} expected"),
                    "write the value with its unit",
                );
                None
            }
        }
    }
}

/// The word under which a unit is kept.
pub(super) fn unit_word(text: &str) -> String {
    match text.trim().to_lowercase().as_str() {
        "%" | "percent" | "per cent" => "percent".to_owned(),
        "ua" | "µa" | "μa" | "microamperes" | "microamps" => "uA".to_owned(),
        "ma" | "milliamperes" => "mA".to_owned(),
        _ => text.trim().to_owned(),
    }
}

/// The text without words that only say a.c. or d.c.
fn without_kind(text: &str) -> String {
    let is_kind = |word: &&str| {
        let folded = word.to_lowercase().replace('.', "");
        !["ac", "dc", "rms"].contains(&folded.as_str())
    };
    let words: Vec<&str> = text.split_whitespace().filter(is_kind).collect();
    words.join(" ")
}

fn number(text: &str) -> Option<f64> {
    let plain = |letter: char| letter.is_ascii_digit() || ".+-".contains(letter);
    let text = text.trim();
    text.parse()
        .ok()
        .filter(|value: &f64| value.is_finite() && text.chars().all(plain))
}

/// Seconds of a time whose bare number is in so many seconds.
fn time(text: &str, bare: f64) -> Option<f64> {
    let text = text.trim();
    let end = text
        .find(|letter: char| !(letter.is_ascii_digit() || letter == '.'))
        .unwrap_or(text.len());
    let (figure, unit) = text.split_at(end);
    let times = match unit.trim().to_lowercase().as_str() {
        "" => bare,
        "s" | "sec" | "second" | "seconds" => 1.0,
        "m" | "min" | "mins" | "minute" | "minutes" => 60.0,
        "h" | "hour" | "hours" => 3600.0,
        _ => return None,
    };
    Some(number(figure)? * times)
}

/// A change of unit brings digits that nobody typed; twelve figures are kept.
pub(crate) fn rounded(value: f64) -> f64 {
    format!("{value:.11e}").parse().unwrap_or(value)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn values_as_they_are_typed() {
        let mut typed = Typed::default();
        for (text, wanted) in [
            ("6.3 V", Some(6.3)),
            ("6.3 V a.c.", Some(6.3)),
            ("6.3", Some(6.3)),
            ("-45 V", Some(45.0)),
            ("45 A", None),
            ("lots", None),
            ("5000 V", None),
        ] {
            assert_eq!(typed.volts("x", text, 1000.0), wanted, "{text}");
        }
        for (text, wanted) in [("600 mA", Some(0.6)), ("0.6 A", Some(0.6)), ("0.6", None)] {
            assert_eq!(typed.amperes("x", text, 5.0), wanted, "{text}");
        }
        for (text, wanted) in [
            ("4", Some(4.0)),
            ("90 s", Some(1.5)),
            ("1 h", Some(60.0)),
            ("-1", None),
        ] {
            assert_eq!(typed.minutes("x", text), wanted, "{text}");
        }
        for (text, wanted) in [
            ("open", Some(f64::INFINITY)),
            ("1.4", Some(1.4)),
            ("470k", Some(470e3)),
            ("x", None),
        ] {
            assert_eq!(typed.ohms("x", text), wanted, "{text}");
        }
        assert_eq!(
            typed.shown("x", "22 %"),
            Some((22.0, Some("percent".to_owned())))
        );
        assert_eq!(
            typed.shown("x", "350uA"),
            Some((350.0, Some("uA".to_owned())))
        );
        assert_eq!(typed.shown("x", "22"), Some((22.0, None)));
        assert_eq!(typed.shown("x", "%"), None);
        assert_eq!(typed.element("x", "Grid 2"), Some(Element::SecondGrid));
        assert_eq!(typed.element("x", "plate"), None);
        let Err(Trouble::Input { faults }) = typed.end() else {
            panic!("faults were expected")
        };
        assert_eq!(faults.len(), 8, "{faults:?}");
        assert!(faults.iter().all(|fault| fault.text.starts_with("x: `")));
    }
}
