//! What a restorer types of a reading, turned into its kind and its value.
//!
//! `135 V`, `6.3 V a.c.`, `0.4 V p-p`, `95 mA`, `4.7k`, `open`, `120 W`. Volts without more are
//! d.c., as on every chart; at `line` and `lamp` they are a.c. Amperes of a tube do not say of
//! which electrode: that is asked. A number without its unit is a fault. Values come in the
//! unit that the kind of reading names.

use logbook::What;
use quantity::{Expect, ItemKind, read_items};

use crate::lamp_words::lamp_volts;
use crate::view::FaultView;

/// A reading as it was understood.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Understood {
    /// What was read.
    pub what: What,
    /// The value in the unit that `what` names.
    pub value: f64,
}

/// The names of the kinds of reading, for `--what`.
pub fn what_names() -> Vec<&'static str> {
    What::ALL.iter().map(|what| what.name()).collect()
}

/// Reads the value at a place; `what` is the kind's name where it was given.
pub fn reading(place: &str, typed: &str, what: Option<&str>) -> Result<Understood, FaultView> {
    let asked = match what {
        Some(name) => Some(What::from_name(name).ok_or_else(|| {
            FaultView::of_input(
                format!("`{name}` is no kind of reading"),
                format!("kinds are: {}", what_names().join(", ")),
            )
        })?),
        None => None,
    };
    if place.eq_ignore_ascii_case("lamp")
        && asked.is_none_or(|asked| asked == What::LampVoltsRms)
        && let Some((value, _)) = lamp_volts(typed)
    {
        return Ok(Understood {
            what: What::LampVoltsRms,
            value,
        });
    }
    let (plain, kind) = without_kind(typed);
    let is_open = ["open", "infinite", "inf", "ol", "∞"].contains(&plain.to_lowercase().as_str());
    let (item, size) = if is_open {
        (What::Ohms, f64::INFINITY)
    } else {
        measured(place, typed, &plain, kind, asked)?
    };
    let what = match asked {
        None => item,
        Some(asked) if family(asked) == family(item) => asked,
        Some(asked) => {
            return Err(FaultView::of_input(
                format!("`{typed}` is no reading in {}", asked.unit()),
                format!("{} is {}", asked.name(), asked.text()),
            ));
        }
    };
    // The value so far is in volts, amperes, ohms, farads and so on.
    let value = match what.unit() {
        "mA" => size * 1.0e3,
        "mfd" => size * 1.0e6,
        _ => size,
    };
    if let Some(most) = most(what)
        && value.is_finite()
        && value.abs() > most
    {
        return Err(FaultView::of_input(
            format!(
                "`{typed}` is more than any such set has: at most {most} {}",
                what.unit()
            ),
            "read again, and look at the figure and its unit",
        ));
    }
    Ok(Understood {
        what,
        value: rounded(value),
    })
}

/// More than this no such set has, in the unit of the reading (judgement: the highest of all are the 20
/// kilovolts of a picture tube, and a line shorted through its fuse); `None` where anything may be.
fn most(what: What) -> Option<f64> {
    match what.unit() {
        "V" => Some(1e5),
        "A" => Some(1e3),
        "mA" => Some(1e6),
        "W" => Some(1e5),
        _ => None,
    }
}

/// One step of the last figure that was typed, in the unit of the reading: 1 for `0 V`, 0.1 for `12.5 V`; `None` for what
/// is no figure, as an open place.
pub(crate) fn last_figure(place: &str, typed: &str, what: What) -> Option<f64> {
    let begin = typed.find(|letter: char| letter.is_ascii_digit())?;
    let digits = typed[begin..]
        .find(|letter: char| !letter.is_ascii_digit() && letter != '.' && letter != ',')
        .map_or(typed.len(), |length| begin + length);
    let step: String = {
        let own = typed[begin..digits].replace(',', "");
        let decimals = own.split_once('.').map_or(0, |(_, behind)| behind.len());
        format!("{:.decimals$}", 0.1_f64.powi(i32::try_from(decimals).ok()?))
    };
    let one = reading(
        place,
        &format!("{step}{}", &typed[digits..]),
        Some(what.name()),
    )
    .ok()?;
    (one.value.is_finite() && one.value > 0.0).then_some(one.value)
}

/// A change of unit brings digits that nobody typed; fifteen figures are kept.
fn rounded(value: f64) -> f64 {
    if value.is_finite() {
        format!("{value:.14e}").parse().unwrap_or(value)
    } else {
        value
    }
}

/// Which of the kinds of volts was said.
#[derive(Debug, Clone, Copy, PartialEq)]
enum Said {
    Nothing,
    Direct,
    Alternating,
    PeakToPeak,
}

/// The text without the words that tell direct from alternating.
fn without_kind(typed: &str) -> (String, Said) {
    let mut said = Said::Nothing;
    let mut words = Vec::new();
    for word in typed.split_whitespace() {
        match word.to_lowercase().replace('.', "").as_str() {
            "dc" | "vdc" => said = Said::Direct,
            "ac" | "rms" | "vac" => said = Said::Alternating,
            "p-p" | "pp" | "peak-to-peak" | "vpp" => said = Said::PeakToPeak,
            _ => {
                words.push(word);
                continue;
            }
        }
        if word.to_lowercase().starts_with('v') {
            words.push("V");
        }
    }
    (words.join(" "), said)
}

fn measured(
    place: &str,
    typed: &str,
    plain: &str,
    said: Said,
    asked: Option<What>,
) -> Result<(What, f64), FaultView> {
    let items = read_items(plain, Expect::Anything).map_err(|faults| {
        let first = faults.first();
        FaultView::of_input(
            first.map_or_else(|| format!("`{typed}` is no reading"), ToString::to_string),
            "write the value with its unit, such as 135 V, 6.3 V a.c., 95 mA, 4.7k or open",
        )
    })?;
    let [item] = items.as_slice() else {
        return Err(FaultView::of_input(
            format!("`{typed}` is not one value"),
            "write one value with its unit, such as 135 V; conditions go into options, a remark into --note",
        ));
    };
    let is_line = place.eq_ignore_ascii_case("line");
    let is_lamp = place.eq_ignore_ascii_case("lamp");
    let said_of_volts = if asked.is_some() { Said::Nothing } else { said };
    Ok(match item.what {
        ItemKind::Volts(volts) => {
            let what = match said_of_volts {
                Said::PeakToPeak => What::RippleVoltsPeakToPeak,
                _ if is_lamp => What::LampVoltsRms,
                Said::Alternating => What::AcVoltsRms,
                Said::Nothing if is_line => What::AcVoltsRms,
                Said::Nothing | Said::Direct => What::DcVolts,
            };
            (what, volts)
        }
        ItemKind::Amperes(amperes) if is_line => (What::LineAmpsRms, amperes),
        ItemKind::Amperes(amperes) => {
            if asked.is_none() && is_tube(place) {
                return Err(FaultView::of_input(
                    format!("`{typed}` at `{place}` does not say which current of the tube"),
                    "add --what plate_milliamps, screen_milliamps, cathode_milliamps or heater_amps_rms",
                ));
            }
            (What::PartMilliamps, amperes)
        }
        ItemKind::Watts(watts) if is_line => (What::LineWatts, watts),
        ItemKind::Watts(watts) => (What::PartWatts, watts),
        ItemKind::Ohms(ohms) => (What::Ohms, ohms),
        ItemKind::Farads(farads) => (What::Microfarads, farads),
        ItemKind::Henries(henries) => (What::Henries, henries),
        ItemKind::Hertz(hertz) => (What::Hertz, hertz),
        ItemKind::Bare(_) => {
            return Err(FaultView::of_input(
                format!("`{typed}` has no unit"),
                "write the unit, such as 135 V, 95 mA or 4.7k",
            ));
        }
        _ => {
            return Err(FaultView::of_input(
                format!("`{typed}` is nothing that a meter shows"),
                "write volts, amperes, ohms, watts, mfd, H or cycles",
            ));
        }
    })
}

/// Kinds that the same unit can be.
fn family(what: What) -> &'static str {
    match what.unit() {
        "mA" => "A",
        other => other,
    }
}

/// `V9`, `V9.5` and the like.
fn is_tube(place: &str) -> bool {
    let mut letters = place.chars();
    letters
        .next()
        .is_some_and(|first| first.eq_ignore_ascii_case(&'v'))
        && letters.next().is_some_and(|second| second.is_ascii_digit())
}

#[cfg(test)]
mod tests {
    use super::*;

    fn check(place: &str, typed: &str, wanted: &str) {
        let read = match reading(place, typed, None) {
            Ok(read) => format!("{} {}", read.what.name(), read.value),
            Err(fault) => format!("{}: {}", fault.text, fault.hint),
        };
        assert!(read.contains(wanted), "{place} {typed}: {read}");
    }

    #[test]
    fn the_last_figure_says_how_finely_it_was_read() {
        for (typed, what, step) in [
            ("0 V", What::DcVolts, 1.0),
            ("12.5 V", What::DcVolts, 0.1),
            ("-0.25 V d.c.", What::DcVolts, 0.01),
            ("135V", What::DcVolts, 1.0),
            ("1,250 V", What::DcVolts, 1.0),
            ("95 mA", What::PartMilliamps, 1.0),
            ("4.7k", What::Ohms, 100.0),
        ] {
            let own = last_figure("V9.5", typed, what).expect("a figure");
            assert!((own / step - 1.0).abs() < 1e-9, "{typed}: {own}");
        }
        for typed in ["open", "", "dim"] {
            assert_eq!(last_figure("V9.5", typed, What::Ohms), None, "{typed}");
        }
    }

    #[test]
    fn readings_as_they_are_typed() {
        for (place, typed, wanted) in [
            ("V9.5", "135 V", "dc_volts 135"),
            ("V9.5", "135V", "dc_volts 135"),
            ("V9.5", "-1.2 V d.c.", "dc_volts -1.2"),
            ("heater", "6.3 V a.c.", "ac_volts_rms 6.3"),
            ("heater", "6.3 VAC", "ac_volts_rms 6.3"),
            ("line", "117 V", "ac_volts_rms 117"),
            ("lamp", "35 V", "lamp_volts_rms 35"),
            ("B+ main", "0.4 V p-p", "ripple_volts_peak_to_peak 0.4"),
            ("line", "1.1 A", "line_amps_rms 1.1"),
            ("line", "120 W", "line_watts 120"),
            ("R30", "95 mA", "part_milliamps 95"),
            ("C1A", "0.3 mA", "part_milliamps 0.3"),
            ("V9.5", "4.7k", "ohms 4700"),
            ("V9.5", "open", "ohms inf"),
            ("C12", "0.047 mfd", "microfarads 0.047"),
            ("L3", "3.5 H", "henries 3.5"),
            ("V10.1", "60 cycles", "hertz 60"),
            ("V9", "8 mA", "which current"),
            ("V9.5", "135", "no unit"),
            ("V9.5", "135 V 4 mA", "not one value"),
            ("V9.5", "135 votls", "V"),
            ("V9.5", "", "not one value"),
            ("V9.5", "good", ""),
            ("V9.5", "1e9 V", "at most 100000 V"),
            ("V9.5", "-1000000 V", "at most 100000 V"),
            ("V20.anode", "11000 V", "dc_volts 11000"),
            ("V9.5", "900 meg", "ohms 900000000"),
        ] {
            check(place, typed, wanted);
        }
    }

    #[test]
    fn a_kind_that_is_given_must_have_the_unit() {
        let read = |typed, what| {
            reading("V9", typed, Some(what))
                .ok()
                .map(|read| (read.what, read.value))
        };
        assert_eq!(
            read("8 mA", "plate_milliamps"),
            Some((What::PlateMilliamps, 8.0))
        );
        assert_eq!(
            read("8 mA", "heater_amps_rms"),
            Some((What::HeaterAmpsRms, 0.008))
        );
        assert_eq!(
            read("6.3 V", "heater_volts_rms"),
            Some((What::HeaterVoltsRms, 6.3))
        );
        assert_eq!(read("8 V", "plate_milliamps"), None);
        assert_eq!(read("8 V", "dreams"), None);
    }

    #[test]
    fn every_kind_that_is_predicted_can_be_kept() {
        use receiver::reading::What as Predicted;
        for what in Predicted::ALL {
            assert!(What::from_name(what.name()).is_some(), "{}", what.name());
        }
    }
}
