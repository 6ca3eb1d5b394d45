//! Readings of a needle, of emission and of the life test, as they are typed.
//!
//! `MINUTES=READING@HEATER VOLTS` and `SECONDS=READING`. Unit, end of the scale, needle error and
//! sitting are carried over from the last reading of the same tube; a new day asks which sitting
//! it is, and one sitting keeps to one scale. Faults go to the gatherer.

use logbook::{Needle, StandingFact, TubeFinding};

use super::enter::NewNeedle;
use super::gather::findings_of;
use super::typed::{Typed, unit_word};

/// The last needle of each kind, from which unit, scale and sitting are carried over.
pub(super) struct LastNeedle {
    emission: Option<(Needle, String)>,
    life_test: Option<(Needle, String)>,
    today: String,
}

impl LastNeedle {
    pub fn of(facts: &[StandingFact<'_>], part: &str, today: &str) -> LastNeedle {
        let own = findings_of(facts, part);
        let last = |is_life: bool| {
            own.iter().rev().find_map(|(one, found)| {
                let day = one.at.as_str().get(..10).unwrap_or_default().to_owned();
                match (&found.found, is_life) {
                    (TubeFinding::Emission { needle, .. }, false)
                    | (TubeFinding::LifeTest { needle, .. }, true) => Some((needle.clone(), day)),
                    _ => None,
                }
            })
        };
        LastNeedle {
            emission: last(false),
            life_test: last(true),
            today: today.to_owned(),
        }
    }

    /// The needle to carry over from, and the day of it where it belongs to the same kind.
    fn carried(&self, is_life: bool) -> (Option<&Needle>, Option<&Needle>, Option<&str>) {
        let (own, other) = if is_life {
            (&self.life_test, &self.emission)
        } else {
            (&self.emission, &self.life_test)
        };
        let own_needle = own.as_ref().map(|(needle, _)| needle);
        let scale = own_needle.or(other.as_ref().map(|(needle, _)| needle));
        (own_needle, scale, own.as_ref().map(|(_, day)| day.as_str()))
    }
}

pub(super) fn needle_findings(
    readings: &[String],
    new: &NewNeedle,
    last: &LastNeedle,
    is_life: bool,
    typed: &mut Typed,
) -> Vec<TubeFinding> {
    let (own, scale, day) = last.carried(is_life);
    let sitting = match (&new.sitting, own, day) {
        (Some(sitting), _, _) => sitting.trim().to_owned(),
        (None, Some(own), Some(day)) if day != last.today => {
            let name = if own.sitting.is_empty() {
                "the first one"
            } else {
                &own.sitting
            };
            typed.fault(
                format!("the last sitting ({name}) was on {day}, this entry is of {}", last.today),
                "say which sitting it is: --sitting with a new name, or with the old one (\"\" for the first)",
            );
            String::new()
        }
        (None, Some(own), _) => own.sitting.clone(),
        (None, None, _) => String::new(),
    };
    let same = own.filter(|own| own.sitting == sitting);
    let scale_end = match &new.scale_end {
        Some(text) => typed
            .shown("--scale-end", text)
            .map(|(end, unit)| (end, unit.or_else(|| new.unit.as_deref().map(unit_word)))),
        None => scale.map(|needle| (needle.scale_end, Some(needle.unit.clone()))),
    };
    if scale_end.is_none() && new.scale_end.is_none() {
        typed.fault(
            "the end of the scale is not known",
            "say once where the scale ends: --scale-end \"100 %\", or \"500 uA\"",
        );
    }
    let needle_percent = match &new.needle_percent {
        Some(text) => typed.figure(
            "--needle",
            text,
            (0.01, 20.0),
            "percent of the whole scale, such as 2",
        ),
        None => scale.and_then(|needle| needle.needle_percent),
    };
    let heater = match new.heater.as_deref().map(str::trim) {
        Some("cut" | "off") if is_life => Some(0.0),
        Some(text) => typed.volts("--heater", text, 120.0),
        None => same
            .filter(|_| is_life)
            .and_then(|needle| needle.heater_volts),
    };
    let mut found = Vec::new();
    for text in readings {
        let Some((when, shown, own_heater)) = reading(text, is_life, typed) else {
            continue;
        };
        let (shown, own_unit) = shown;
        let said_unit = own_unit.or_else(|| new.unit.as_deref().map(unit_word));
        let (end, scale_unit) = scale_end.clone().unwrap_or((f64::INFINITY, None));
        let unit = said_unit.or(scale_unit);
        if let (Some(same), Some(unit)) = (same, &unit)
            && (same.unit != *unit || (same.scale_end - end).abs() > 1e-9 * end)
        {
            typed.fault(
                format!(
                    "`{text}`: {unit} on a scale to {end}, but this sitting is read in {} on a scale to {}",
                    same.unit, same.scale_end
                ),
                "read one sitting on one scale, or give another name with --sitting",
            );
        }
        let Some(unit) = unit else {
            typed.fault(
                format!("`{text}`: the unit of the scale is not known"),
                "write it behind the figure, such as 22%, or give --unit once",
            );
            continue;
        };
        if shown > end {
            typed.fault(
                format!("`{text}`: {shown} is beyond the end of the scale, {end}"),
                "a needle at the end of the scale is entered as the end",
            );
        }
        let needle = Needle {
            sitting: sitting.clone(),
            shown,
            unit,
            scale_end: end,
            needle_percent,
            heater_volts: own_heater.or(heater.filter(|_| !(is_life && when == 0.0))),
        };
        found.push(if is_life {
            TubeFinding::LifeTest {
                seconds: when,
                needle,
            }
        } else {
            TubeFinding::Emission {
                minutes: when,
                needle,
            }
        });
    }
    found
}

/// A time, what was shown, and heater volts if they stand behind it.
type TypedReading = (f64, (f64, Option<String>), Option<f64>);

fn reading(text: &str, is_life: bool, typed: &mut Typed) -> Option<TypedReading> {
    let Some((when, rest)) = text.split_once('=') else {
        let (what, such) = if is_life {
            ("SECONDS=READING", "5=62%")
        } else {
            (
                "MINUTES=READING",
                "4=22%, or 4=22%@6.2V with the heater volts",
            )
        };
        typed.fault(
            format!("`{text}` read, {what} expected"),
            format!("such as {such}"),
        );
        return None;
    };
    let place = format!("`{text}`");
    let when = if is_life {
        typed.seconds(&place, when)
    } else {
        typed.minutes(&place, when)
    };
    let (shown, heater) = match rest.split_once('@') {
        Some((shown, heater)) => (shown, Some(typed.volts(&place, heater, 120.0))),
        None => (rest, None),
    };
    let shown = typed.shown(&place, shown);
    Some((when?, shown?, heater.flatten()))
}
