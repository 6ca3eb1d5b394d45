//! A reading of the step under way, as it was typed, with what the step says of it.
//!
//! Units of the readings; a bare number is in the unit of what the step asks for at its place. Where a
//! number may be two things there (amperes or watts of the line), or the other lead is in doubt,
//! nothing is guessed: it is asked for. Fails with what to write instead.

use logbook::{Conditions, Measured};
use receiver::plan::Step;
use receiver::power_up::{Asked, judge};
use receiver::reading::What;

use super::Moment;
use crate::reading_words::{Understood, reading};
use crate::trouble::Trouble;
use crate::view::{ConditionsView, FaultView};

/// A reading of the step under way, as it is typed.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct PowerReading {
    /// Place, tube or part.
    pub place: String,
    /// The value; without a unit it is in the unit of what the step asks for there.
    pub value: String,
    /// Where the other lead was; empty where the step asks for one pair only, or for the chassis.
    pub to: String,
    /// The kind, where the value does not say it.
    pub what: Option<String>,
    /// Seconds after switch-on; what the clock says if not told.
    pub seconds: Option<f64>,
    /// The meter, if not the one that the plan counts with.
    pub meter: Option<String>,
    /// Anything else.
    pub note: String,
}

/// The reading as it is written down.
pub(super) fn measured(
    moment: &Moment,
    step: &Step,
    elapsed: i64,
    new: PowerReading,
) -> Result<Measured, Trouble> {
    let view = ConditionsView::of(&step.conditions, 0.0, step.kind.has_line_power());
    let line = step.kind.has_line_power();
    let new = two_leads(step, new);
    let place = spelled(moment, step, &new.place);
    let (to, understood) = understood(moment, step, &place, &new)?;
    let wanted = &step.conditions;
    Ok(Measured {
        place,
        to,
        what: understood.what,
        typed: new.value.trim().to_owned(),
        value: understood.value,
        meter: new
            .meter
            .or(view.meter)
            .unwrap_or_default()
            .trim()
            .to_owned(),
        conditions: Conditions {
            plug_out: !line && view.dc.is_none(),
            line_volts: wanted.line_volts.filter(|_| line),
            dial_volts: None,
            lamp_watts: wanted.lamps.clone(),
            pulled: wanted.pulled.clone(),
            open: wanted.open.clone(),
            fitted_without: wanted.fitted_without.clone(),
            seconds: (step.energised).then(|| new.seconds.unwrap_or(elapsed as f64)),
            dc: view.dc.unwrap_or_default(),
        },
        note: new.note,
    })
}

/// A pair typed as one place, `line a to core of T1`, where the step asks for that pair.
fn two_leads(step: &Step, new: PowerReading) -> PowerReading {
    let judged = judge(step, &[], 0.0);
    let typed = new.place.trim();
    let pair = judged.asked.iter().find(|own| {
        let to = own.to.unwrap_or("chassis");
        format!("{} to {to}", own.at).eq_ignore_ascii_case(typed)
    });
    match pair {
        Some(own) if new.to.is_empty() => PowerReading {
            place: own.at.to_owned(),
            to: own.to.unwrap_or("chassis").to_owned(),
            ..new
        },
        _ => new,
    }
}

/// The place as step and sheet spell it; one that neither has stays as it was typed.
fn spelled(moment: &Moment, step: &Step, typed: &str) -> String {
    let typed = typed.trim();
    let of_step = step
        .stop
        .iter()
        .map(|rule| &rule.at)
        .chain(step.expect.iter().map(|own| &own.at));
    if let Some(own) = of_step
        .into_iter()
        .find(|own| own.eq_ignore_ascii_case(typed))
    {
        return own.clone();
    }
    let sheet = &moment.so_far.sheet;
    let tube = sheet.tube(typed).map(|tube| tube.reference.clone());
    let part = sheet.part(typed).map(|part| part.reference.clone());
    let place = sheet.places().find(typed).map(ToString::to_string).ok();
    tube.or(part).or(place).unwrap_or_else(|| typed.to_owned())
}

/// The other lead and the kind and value of a reading: what the step asks for at that place comes
/// first, so that a bare number is enough.
fn understood(
    moment: &Moment,
    step: &Step,
    place: &str,
    new: &PowerReading,
) -> Result<(String, Understood), Trouble> {
    let judged = judge(step, &[], 0.0);
    let to_typed = spelled(moment, step, &new.to);
    let fits = |to: Option<&str>| to_typed.is_empty() || to.unwrap_or("chassis") == to_typed;
    let plain = reading(place, &new.value, new.what.as_deref());
    let here = || {
        let asked = judged.asked.iter();
        asked.filter(|own| own.at == place && fits(own.to))
    };
    let as_typed = |own: &Asked<'_>| {
        let plain = plain.as_ref().ok()?;
        (plain.what.name() == own.what.name()).then_some(*plain)
    };
    // Plain volts are d.c. unless none are asked for there, as at a heater.
    let is_asked_as_typed = here().any(|own| as_typed(own).is_some());
    let mut readable: Vec<(&Asked<'_>, Understood)> = here()
        .filter_map(|own| {
            let understood = if is_asked_as_typed {
                as_typed(own)
            } else {
                in_its_kind(place, own.what, new).and_then(Result::ok)
            };
            Some((own, understood?))
        })
        .collect();
    let is_chassis = |own: &Asked<'_>| own.to.is_none_or(|to| to == "chassis");
    // Of several the one to chassis is meant, and of several volts the d.c. ones.
    readable.sort_by_key(|(own, _)| (!is_chassis(own), own.what != What::DcVolts));
    let Some((first, understood)) = readable.first().copied() else {
        return match plain {
            Ok(plain) if to_typed == "chassis" => Ok((String::new(), plain)),
            Ok(plain) => Ok((to_typed, plain)),
            Err(fault) => {
                // A bare number that cannot be what is asked for here says so, not that it lacks a unit.
                let of_kind = here().find_map(|own| in_its_kind(place, own.what, new)?.err());
                Err(Trouble::Input {
                    faults: vec![of_kind.unwrap_or(fault)],
                })
            }
        };
    };
    let unit = |own: &Asked<'_>| logbook::What::from_name(own.what.name()).map(logbook::What::unit);
    if let Some((other, _)) = readable.iter().find(|(own, _)| unit(own) != unit(first)) {
        let called = |own: &Asked<'_>| {
            logbook::What::from_name(own.what.name()).map_or("", logbook::What::text)
        };
        return Err(Trouble::input(
            format!(
                "{place} is read as {} and as {} here, and `{}` may be either",
                called(first),
                called(other),
                new.value.trim()
            ),
            format!(
                "write the unit: {value} {} or {value} {}",
                unit(first).unwrap_or_default(),
                unit(other).unwrap_or_default(),
                value = new.value.trim()
            ),
        ));
    }
    let mut others = readable.iter().map(|(own, _)| own.to);
    if !is_chassis(first) && others.any(|to| to != first.to) {
        let pairs: Vec<String> = readable
            .iter()
            .map(|(own, _)| format!("--to \"{}\"", own.to.unwrap_or("chassis")))
            .collect();
        return Err(Trouble::input(
            format!("{place} is read to several places here"),
            format!("say where the other lead was: {}", pairs.join(" or ")),
        ));
    }
    let to = first.to.filter(|to| *to != "chassis").unwrap_or("");
    Ok((to.to_owned(), understood))
}

/// What was typed as a reading of this kind, a number without a unit in its unit; `None` where another kind was
/// named, a fault where it cannot be one.
fn in_its_kind(
    place: &str,
    what: What,
    new: &PowerReading,
) -> Option<Result<Understood, FaultView>> {
    let name = what.name();
    if new.what.as_deref().is_some_and(|asked| asked != name) {
        return None;
    }
    let unit = logbook::What::from_name(name).map_or("", logbook::What::unit);
    let is_bare = new.value.trim().parse::<f64>().is_ok();
    let typed = if is_bare {
        format!("{} {unit}", new.value.trim())
    } else {
        new.value.clone()
    };
    Some(reading(place, &typed, Some(name)))
}
