//! Bench conditions as they are typed, turned into checked numbers.
//!
//! Units out: volts, watts, ohms, seconds. Bare numbers are in these units;
//! bench notation with its unit is read as well (`117 V`, `47k`). Every error is
//! one sentence that says what was read and what was expected. Whether a tube or
//! a place of that name exists is judged later, against the sheet.

use quantity::{read_ohms, read_seconds, read_volts};
use receiver::conditions::{BenchConditions, DirectSource, KnownReading, Meter};
use receiver::sheet::read_meter;

use crate::trouble::Trouble;
use crate::view::FaultView;

/// Conditions of the bench as they are typed; empty where nothing was.
#[derive(Debug, Clone, Copy, Default)]
pub struct TypedConditions<'a> {
    /// Line volts.
    pub line: &'a str,
    /// Limiter lamps.
    pub lamp: &'a str,
    /// Ohms ahead of the set.
    pub source_ohms: &'a str,
    /// Tubes out of their sockets, parted by commas.
    pub pulled: &'a str,
    /// Switches and plugs that are open.
    pub open: &'a str,
    /// Parts cut loose.
    pub fitted_without: &'a str,
    /// Seconds after switch-on.
    pub seconds: &'a str,
    /// The meter.
    pub meter: &'a str,
    /// A d.c. source at a place.
    pub direct_source: &'a str,
    /// Where the other lead is.
    pub to: &'a str,
}

/// The conditions that were typed, with bands; all faults at once.
pub fn conditions(typed: &TypedConditions<'_>) -> Result<BenchConditions, Trouble> {
    let mut faults = Vec::new();
    let names = |text: &str| -> Vec<String> {
        let names = text.split(',').map(str::trim);
        names
            .filter(|name| !name.is_empty())
            .map(str::to_owned)
            .collect()
    };
    let conditions = BenchConditions {
        line_volts: read(typed.line, line_volts, &mut faults),
        lamps: read(typed.lamp, lamp_watts, &mut faults).unwrap_or_default(),
        source_ohms: read(typed.source_ohms, source_ohms, &mut faults).unwrap_or(0.0),
        pulled: names(typed.pulled),
        open: names(typed.open),
        fitted_without: names(typed.fitted_without),
        seconds: read(typed.seconds, seconds, &mut faults),
        meter: read(typed.meter, meter, &mut faults),
        direct_source: read(typed.direct_source, direct_source, &mut faults),
        to: Some(typed.to.trim().to_owned()).filter(|to| !to.is_empty()),
        bands: true,
        ..BenchConditions::default()
    };
    if conditions.direct_source.is_some()
        && (conditions.line_volts.is_some() || !conditions.lamps.is_empty())
    {
        faults.push(FaultView::of_input(
            "a d.c. source feeds the set with the plug out",
            "leave out the line and the lamp, or the source",
        ));
    }
    match faults.is_empty() {
        true => Ok(conditions),
        false => Err(Trouble::Input { faults }),
    }
}

/// One condition, where anything was typed.
fn read<T>(
    typed: &str,
    reader: impl Fn(&str) -> Result<T, String>,
    faults: &mut Vec<FaultView>,
) -> Option<T> {
    if typed.trim().is_empty() {
        return None;
    }
    match reader(typed.trim()) {
        Ok(value) => Some(value),
        Err(text) => {
            faults.push(FaultView::of_input(
                text,
                "type it again, or leave it empty",
            ));
            None
        }
    }
}

/// Line volts rms: above 0, up to 300.
pub fn line_volts(text: &str) -> Result<f64, String> {
    let volts = number(text)
        .or_else(|| read_volts(text).ok().map(|volts| volts.0))
        .ok_or_else(|| format!("`{text}` is no line voltage: give volts, such as 117"))?;
    within(volts, 0.0, 300.0, text, "line volts above 0 and up to 300")
}

/// Rated watts of the limiter lamps: `100`, or `100+60` for two in parallel.
pub fn lamp_watts(text: &str) -> Result<Vec<f64>, String> {
    text.split('+')
        .map(|one| {
            let bare = one.trim().trim_end_matches(['W', 'w']);
            let watts = number(bare).ok_or_else(|| {
                format!("`{text}` names no lamp: give its watts, such as 100, or 100+60 for two in parallel")
            })?;
            within(watts, 1.0, 2000.0, text, "lamps of 1 to 2000 W")
        })
        .collect()
}

/// Ohms of a transformer ahead of the set: 0 up to 1000.
pub fn source_ohms(text: &str) -> Result<f64, String> {
    let ohms = number(text)
        .or_else(|| read_ohms(text).ok().map(|ohms| ohms.0))
        .ok_or_else(|| format!("`{text}` is no resistance: give ohms, such as 1.5"))?;
    if ohms == 0.0 {
        return Ok(0.0);
    }
    within(ohms, 0.0, 1000.0, text, "0 to 1000 ohm")
}

/// Seconds after switch-on from cold: 0 up to an hour.
pub fn seconds(text: &str) -> Result<f64, String> {
    let seconds = number(text)
        .or_else(|| read_seconds(text).ok().map(|seconds| seconds.0))
        .ok_or_else(|| format!("`{text}` is no time: give seconds after switch-on, such as 30"))?;
    if seconds == 0.0 {
        return Ok(0.0);
    }
    within(seconds, 0.0, 3600.0, text, "0 to 3600 seconds")
}

/// A meter: `10M`, `11 megohm`, `20k/V` or `20k/V 500 V`.
pub fn meter(text: &str) -> Result<Meter, String> {
    let expected = || {
        format!(
            "`{text}` is no meter: give its input resistance, such as 10M, or its ohms per volt and range, such as \"20k/V 500 V\""
        )
    };
    let meter = read_meter(text).ok_or_else(expected)?;
    match meter {
        Meter::InputOhms(ohms) => within(
            ohms,
            1000.0,
            1.0e12,
            text,
            "an input resistance of 1k or more",
        )?,
        Meter::OhmsPerVolt { ohms_per_volt, .. } => {
            within(ohms_per_volt, 10.0, 1.0e8, text, "10 ohms per volt or more")?
        }
    };
    Ok(meter)
}

/// A d.c. source at a place: `B+ main 300 V 47k`.
pub fn direct_source(text: &str) -> Result<DirectSource, String> {
    let expected = || {
        format!(
            "`{text}` is no d.c. source: give place, volts and series resistor, such as \"B+ main 300 V 47k\""
        )
    };
    let words: Vec<&str> = text.split_whitespace().collect();
    for volts_end in (1..words.len()).rev() {
        let is_unit = |word: &str| matches!(word.to_lowercase().as_str(), "v" | "volt" | "volts");
        let volts_start = if words.get(volts_end).is_some_and(|word| is_unit(word)) {
            volts_end - 1
        } else {
            volts_end
        };
        let volts_text = words
            .get(volts_start..=volts_end)
            .unwrap_or_default()
            .join(" ");
        let has_unit = volts_text.to_lowercase().contains('v');
        let Some(volts) = read_volts(&volts_text).ok().filter(|_| has_unit) else {
            continue;
        };
        let place = words.get(..volts_start).unwrap_or_default().join(" ");
        let resistor = words.get(volts_end + 1..).unwrap_or_default().join(" ");
        if place.is_empty() {
            return Err(expected());
        }
        if resistor.is_empty() {
            return Err(format!(
                "`{text}` names no series resistor: a source without one is not used here; say for example \"{place} {volts_text} 47k\""
            ));
        }
        let volts = within(
            volts.0,
            0.0,
            2000.0,
            text,
            "a source above 0 and up to 2000 V",
        )?;
        let ohms = number(&resistor)
            .or_else(|| read_ohms(&resistor).ok().map(|ohms| ohms.0))
            .ok_or_else(expected)?;
        let series_ohms = within(ohms, 0.0, 1.0e9, text, "a series resistor above 0 ohm")?;
        return Ok(DirectSource {
            place,
            volts,
            series_ohms,
        });
    }
    Err(expected())
}

/// A reading taken already: `B+ main 318 V`.
pub fn known_reading(text: &str) -> Result<KnownReading, String> {
    let expected = || {
        format!(
            "`{text}` is no known reading: give place and d.c. volts with their unit, such as \"B+ main 318 V\""
        )
    };
    let words: Vec<&str> = text.split_whitespace().collect();
    let last = words.last().ok_or_else(expected)?;
    let alone = matches!(last.to_lowercase().as_str(), "v" | "volt" | "volts");
    let place_end = words.len().saturating_sub(if alone { 2 } else { 1 });
    let volts_text = words.get(place_end..).unwrap_or_default().join(" ");
    let place = words.get(..place_end).unwrap_or_default().join(" ");
    if place.is_empty() || !volts_text.to_lowercase().contains('v') {
        return Err(expected());
    }
    // A negative line reads below the chassis.
    let (sign, bare) = match volts_text.strip_prefix('-') {
        Some(bare) => (-1.0, bare.to_string()),
        None => (1.0, volts_text),
    };
    let volts = read_volts(&bare).map_err(|_| expected())?.0;
    if !(0.0..=2000.0).contains(&volts) {
        return Err(format!(
            "`{text}` is out of range: up to 2000 V was expected"
        ));
    }
    Ok(KnownReading {
        place,
        volts: sign * volts,
    })
}

fn number(text: &str) -> Option<f64> {
    text.trim()
        .parse::<f64>()
        .ok()
        .filter(|number| number.is_finite())
}

fn within(value: f64, above: f64, up_to: f64, text: &str, expected: &str) -> Result<f64, String> {
    let is_lowest = value == above && above > 0.0;
    if (value > above || is_lowest) && value <= up_to {
        Ok(value)
    } else {
        Err(format!("`{text}` is out of range: {expected} was expected"))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn conditions_are_read_whole_and_all_faults_come_at_once() {
        let typed = TypedConditions {
            line: "117",
            lamp: "100+60",
            pulled: "V14, V12,",
            to: " B minus ",
            ..TypedConditions::default()
        };
        let read = conditions(&typed).expect("conditions");
        assert_eq!(read.line_volts, Some(117.0));
        assert_eq!(read.lamps, [100.0, 60.0]);
        assert_eq!(read.pulled, ["V14", "V12"]);
        assert_eq!(read.to.as_deref(), Some("B minus"));
        let typed = TypedConditions {
            line: "soup",
            seconds: "never",
            ..TypedConditions::default()
        };
        let Err(Trouble::Input { faults }) = conditions(&typed) else {
            panic!("soup is no line");
        };
        assert_eq!(faults.len(), 2);
        let typed = TypedConditions {
            line: "117",
            direct_source: "B+ main 300 V 47k",
            ..TypedConditions::default()
        };
        assert!(conditions(&typed).is_err());
    }

    #[test]
    fn line_volts_are_read_with_or_without_their_unit() {
        for (text, wanted) in [
            ("117", Some(117.0)),
            ("117 V", Some(117.0)),
            ("0", None),
            ("-3", None),
            ("NaN", None),
            ("inf", None),
            ("mains", None),
            ("1e9", None),
        ] {
            assert_eq!(line_volts(text).ok(), wanted, "{text}");
        }
    }

    #[test]
    fn lamps_are_read_alone_and_in_parallel() {
        for (text, wanted) in [
            ("100", Some(vec![100.0])),
            ("100+60", Some(vec![100.0, 60.0])),
            ("100 W + 60 W", Some(vec![100.0, 60.0])),
            ("100+", None),
            ("0", None),
            ("bright", None),
        ] {
            assert_eq!(lamp_watts(text).ok(), wanted, "{text}");
        }
    }

    #[test]
    fn meters_are_read_by_input_or_by_ohms_per_volt() {
        let moving_coil = |ohms_per_volt, range_volts| {
            Some(Meter::OhmsPerVolt {
                ohms_per_volt,
                range_volts,
            })
        };
        for (text, wanted) in [
            ("10M", Some(Meter::InputOhms(10.0e6))),
            ("11 meg", Some(Meter::InputOhms(11.0e6))),
            ("20k/V 500 V", moving_coil(20_000.0, Some(500.0))),
            ("20k/V", moving_coil(20_000.0, None)),
            (
                "20k per volt, 500 V range",
                moving_coil(20_000.0, Some(500.0)),
            ),
            ("1k/V 250 V", moving_coil(1000.0, Some(250.0))),
            ("1000/V 50 V", moving_coil(1000.0, Some(50.0))),
            ("0", None),
            ("good one", None),
            ("/V", None),
        ] {
            assert_eq!(meter(text).ok(), wanted, "{text}");
        }
    }

    #[test]
    fn a_source_names_place_volts_and_resistor() {
        let source = |place: &str, volts, series_ohms| {
            Some(DirectSource {
                place: place.to_owned(),
                volts,
                series_ohms,
            })
        };
        for (text, wanted) in [
            ("B+ main 300 V 47k", source("B+ main", 300.0, 47_000.0)),
            ("B+ 275 250V 100k", source("B+ 275", 250.0, 100_000.0)),
            ("V14.8 25 V 1 meg", source("V14.8", 25.0, 1.0e6)),
            ("B+ main 300 V", None),
            ("300 V 47k", None),
            ("B+ main 47k", None),
            ("", None),
        ] {
            assert_eq!(direct_source(text).ok(), wanted, "{text}");
        }
    }

    #[test]
    fn every_refusal_shows_what_was_read() {
        for refusal in [
            line_volts("mains").err(),
            lamp_watts("mains").err(),
            source_ohms("mains").err(),
            seconds("mains").err(),
            meter("mains").err(),
            direct_source("mains").err(),
        ] {
            assert!(refusal.is_some_and(|text| text.contains("`mains`")));
        }
    }
}
