//! A reading of the step under way: as it is typed, and as it is kept.
//!
//! Units as typed; a bare number is in the unit of what the step asks for at that place. How the set
//! stood is what the step wants. Fails for a value that cannot be understood.

use logbook::{Conditions, Measured};
use receiver::plan::Step;
use receiver::power_up::judge;

use super::Moment;
use crate::reading_words::{Understood, reading};
use crate::trouble::Trouble;
use crate::view::ConditionsView;

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

/// The reading as it is kept.
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
    let asked: Vec<_> = judged.asked.iter().filter(|own| own.at == place).collect();
    let to_typed = spelled(moment, step, &new.to);
    let fits = |to: Option<&str>| to_typed.is_empty() || to.unwrap_or("chassis") == to_typed;
    let plain = reading(place, &new.value, new.what.as_deref());
    let other = |to: Option<&str>| to.filter(|to| *to != "chassis").unwrap_or("").to_owned();
    let of_kind = |what: receiver::reading::What| {
        let name = what.name();
        if new.what.as_deref().is_some_and(|asked| asked != name) {
            return None;
        }
        let unit = logbook::What::from_name(name).map_or("", logbook::What::unit);
        let with_unit = format!("{} {unit}", new.value.trim());
        let is_bare = new.value.trim().parse::<f64>().is_ok();
        let typed = if is_bare { &with_unit } else { &new.value };
        reading(place, typed, Some(name)).ok()
    };
    if let Ok(plain) = &plain {
        let exact = asked
            .iter()
            .find(|own| own.what.name() == plain.what.name() && fits(own.to));
        if let Some(own) = exact {
            return Ok((other(own.to), *plain));
        }
    }
    for own in asked.iter().filter(|own| fits(own.to)) {
        if let Some(understood) = of_kind(own.what) {
            return Ok((other(own.to), understood));
        }
    }
    match plain {
        Ok(plain) => Ok((
            if to_typed == "chassis" {
                String::new()
            } else {
                to_typed
            },
            plain,
        )),
        Err(fault) => Err(Trouble::Input {
            faults: vec![fault],
        }),
    }
}
