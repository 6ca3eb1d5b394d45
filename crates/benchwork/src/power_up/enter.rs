//! Entries of a power-up: begin, read, done, skip, stop, leave.
//!
//! What breaks the order is refused with what to do instead; nothing is written then. A reason is
//! asked for whenever something stays unknown that would have told a fault.

use logbook::{Advised, Conditions, Fact, Measured, Stamp, StepEvent, Stepped};
use receiver::plan::Step;
use receiver::power_up::{
    AtHand, Judged, StepReading, StepVerdict, judge, left_unknown, skipping_leaves_unknown,
};

use super::tell::beyond_in_words;
use super::{Moment, PowerSession};
use crate::PROGRAM_VERSION;
use crate::judge_entry::taken;
use crate::reading_words::{Understood, reading};
use crate::restoration::trouble;
use crate::trouble::Trouble;
use crate::view::{ConditionsView, PowerUpView, StepView};

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

impl PowerSession {
    /// Begins the step at hand; its clock starts.
    pub fn begin(&mut self, at: &Stamp) -> Result<PowerUpView, Trouble> {
        let moment = self.moment(at)?;
        let step = to_begin(&moment)?;
        let facts = begun(step, moment.so_far.sheet.line_volts);
        self.write(moment, at, &facts)
    }

    /// Records a reading of the step under way. One beyond a limit makes a stop.
    pub fn read(&mut self, at: &Stamp, new: PowerReading) -> Result<PowerUpView, Trouble> {
        let moment = self.moment(at)?;
        let (step, elapsed, mut facts) = match &moment.standing.at_hand {
            AtHand::UnderWay { step, elapsed, .. } => (step_at(&moment, *step)?, *elapsed, vec![]),
            AtHand::ToBegin(at) => {
                let step = step_at(&moment, *at)?;
                if step.energised {
                    return Err(Trouble::input(
                        format!(
                            "\"{}\" was not begun, so nothing can be read in it",
                            step.title
                        ),
                        "begin it when the plug goes in, so that its clock runs",
                    ));
                }
                let line_volts = moment.so_far.sheet.line_volts;
                (step, 0, begun(step, line_volts))
            }
            AtHand::Finished => return Err(finished()),
        };
        let measured = measured(&moment, step, elapsed, new)?;
        let stopped = taken(&measured).and_then(|taken| {
            let reading = StepReading {
                entry: 0,
                taken,
                seconds: measured.conditions.seconds.unwrap_or(elapsed as f64),
            };
            stop_by(step, &reading)
        });
        facts.push(Fact::Measured(measured));
        facts.extend(stopped);
        self.write(moment, at, &facts)
    }

    /// Ends the step at hand as done. A reason is needed where something that guards stays unknown.
    pub fn done(&mut self, at: &Stamp, because: &str) -> Result<PowerUpView, Trouble> {
        let moment = self.moment(at)?;
        let (step, elapsed, readings, mut facts) = match &moment.standing.at_hand {
            AtHand::UnderWay {
                step,
                elapsed,
                readings,
            } => (step_at(&moment, *step)?, *elapsed, readings.clone(), vec![]),
            AtHand::ToBegin(at) => {
                let step = step_at(&moment, *at)?;
                if step.energised {
                    return Err(Trouble::input(
                        format!("\"{}\" was not begun", step.title),
                        "begin it, or pass it over with a reason",
                    ));
                }
                let line_volts = moment.so_far.sheet.line_volts;
                (step, 0, Vec::new(), begun(step, line_volts))
            }
            AtHand::Finished => return Err(finished()),
        };
        let judged = judge(step, &readings, elapsed as f64);
        refuse_to_end(step, &judged, because)?;
        facts.push(Fact::Stepped(Stepped {
            step: step.title.clone(),
            key: step.key.clone(),
            event: StepEvent::Done,
            because: because.trim().to_owned(),
            leaves_unknown: left_unknown(step, &judged).join("\n"),
        }));
        self.write(moment, at, &facts)
    }

    /// Passes the step at hand over, with a reason; what it leaves unknown is written down.
    pub fn skip(&mut self, at: &Stamp, because: &str) -> Result<PowerUpView, Trouble> {
        let moment = self.moment(at)?;
        let step = match moment.standing.at_hand {
            AtHand::UnderWay { step, .. } | AtHand::ToBegin(step) => step_at(&moment, step)?,
            AtHand::Finished => return Err(finished()),
        };
        if let Some(needed) = step.kind.is_needed_because() {
            return Err(Trouble::input(
                format!("\"{}\" is never passed over: {needed}", step.title),
                "do it, or leave the bench and take the power-up up again later",
            ));
        }
        if because.trim().is_empty() {
            return Err(Trouble::input(
                format!("why \"{}\" is passed over is not told", step.title),
                "give the reason; it is written down with what stays unknown",
            ));
        }
        let facts = [Fact::Stepped(Stepped {
            step: step.title.clone(),
            key: step.key.clone(),
            event: StepEvent::Skipped,
            because: because.trim().to_owned(),
            leaves_unknown: skipping_leaves_unknown(step).join("\n"),
        })];
        self.write(moment, at, &facts)
    }

    /// The plug was pulled because of what was noticed.
    pub fn stop(&mut self, at: &Stamp, noticed: &str) -> Result<PowerUpView, Trouble> {
        self.ended(at, StepEvent::Stopped, noticed)
    }

    /// The bench is left, the plug out.
    pub fn leave(&mut self, at: &Stamp, because: &str) -> Result<PowerUpView, Trouble> {
        self.ended(at, StepEvent::Left, because)
    }

    fn ended(
        &mut self,
        at: &Stamp,
        event: StepEvent,
        because: &str,
    ) -> Result<PowerUpView, Trouble> {
        let moment = self.moment(at)?;
        let step = match moment.standing.at_hand {
            AtHand::UnderWay { step, .. } | AtHand::ToBegin(step) => moment.steps.get(step),
            AtHand::Finished => moment.steps.last(),
        };
        let because = because.trim();
        if event == StepEvent::Stopped && because.is_empty() {
            return Err(Trouble::input(
                "what was noticed is not told",
                "say it in a word or two, such as smoke",
            ));
        }
        let named = |name: fn(&Step) -> &String| step.map(name).cloned().unwrap_or_default();
        let facts = [Fact::Stepped(Stepped {
            step: step.map_or_else(|| "no step".to_owned(), |step| step.title.clone()),
            key: named(|step| &step.key),
            event,
            because: because.to_owned(),
            leaves_unknown: String::new(),
        })];
        self.write(moment, at, &facts)
    }

    fn write(
        &mut self,
        mut moment: Moment,
        at: &Stamp,
        facts: &[Fact],
    ) -> Result<PowerUpView, Trouble> {
        let first = moment
            .book
            .append_all(at, facts)
            .map_err(|error| trouble(&self.path, error))?;
        let made: Vec<u64> = first
            .map(|first| (first..first + facts.len() as u64).collect())
            .unwrap_or_default();
        drop(moment);
        let moment = self.moment(at)?;
        self.view(&moment, &made)
    }
}

fn step_at(moment: &Moment, at: usize) -> Result<&Step, Trouble> {
    moment
        .steps
        .get(at)
        .ok_or_else(|| Trouble::ours("the step at hand is not in its own plan"))
}

fn finished() -> Trouble {
    Trouble::input(
        "every step of this plan is passed",
        "`firstraster power FILE` shows what they left unknown",
    )
}

fn to_begin(moment: &Moment) -> Result<&Step, Trouble> {
    match moment.standing.at_hand {
        AtHand::UnderWay { step, .. } => {
            let step = step_at(moment, step)?;
            Err(Trouble::input(
                format!("\"{}\" is under way already", step.title),
                "end it first: done, skip, stop or leave",
            ))
        }
        AtHand::Finished => Err(finished()),
        AtHand::ToBegin(at) => {
            let step = step_at(moment, at)?;
            match &moment.standing.stop {
                Some(stop) if moment.standing.is_barred(&moment.steps) => Err(Trouble::input(
                    format!(
                        "no power for \"{}\": the stop of entry {} stands ({})",
                        step.title, stop.entry, stop.because
                    ),
                    "find the cause and record what was changed (`fit`, `change`); where a reading was mistyped, `correct` or `undo` it",
                )),
                _ => Ok(step),
            }
        }
    }
}

/// That the step was begun, and the advice as it was given.
fn begun(step: &Step, line_volts: f64) -> Vec<Fact> {
    let view = StepView::of(step, line_volts);
    let mut said = vec![format!("{}. {}", step.title, view.conditions.in_words())];
    said.extend(step.acts.iter().cloned());
    for own in &step.stop {
        said.push(format!(
            "stop: {} {:?} {}",
            own.at,
            own.limit,
            own.what.name()
        ));
    }
    for own in &step.expect {
        let band = &own.band;
        let figure = crate::view::six_figures;
        said.push(format!(
            "expected: {} {} {} to {}",
            own.at,
            own.what.name(),
            figure(band.low),
            figure(band.high)
        ));
    }
    let mut said = said.join("\n");
    let most = logbook::LONGEST_TEXT / 2;
    if said.len() > most {
        let end = (0..=most).rev().find(|at| said.is_char_boundary(*at));
        said.truncate(end.unwrap_or(0));
    }
    vec![
        Fact::Stepped(Stepped {
            step: step.title.clone(),
            key: step.key.clone(),
            event: StepEvent::Begun,
            because: String::new(),
            leaves_unknown: String::new(),
        }),
        Fact::Advised(Advised {
            asked: format!("power-up, {}", step.key),
            said,
            program: PROGRAM_VERSION.to_owned(),
            data: parts::DATA_EDITION.to_owned(),
        }),
    ]
}

fn refuse_to_end(step: &Step, judged: &Judged<'_>, because: &str) -> Result<(), Trouble> {
    if judged.verdict == StepVerdict::Stop {
        return Err(Trouble::input(
            "a reading of this step lies beyond its limit: the plug comes out",
            "record the stop; where the reading was mistyped, correct or undo its entry",
        ));
    }
    let needed = step.kind.is_needed_because();
    if let (Some(needed), false) = (needed, step.parts.is_empty()) {
        return Err(Trouble::input(
            format!(
                "the file does not say that these are seen to: {}; {needed}",
                step.parts.join(", ")
            ),
            "record each: `firstraster fit FILE PART NEW`, or `firstraster change FILE PART --is \"cut loose\"`",
        ));
    }
    let unread: Vec<String> = judged
        .unread()
        .map(|own| match own.to {
            Some(to) => format!("{} to {to}", own.at),
            None => own.at.to_owned(),
        })
        .collect();
    let proves = step.kind == receiver::plan::step_kind::StepKind::LineToChassis;
    if let (true, false, Some(needed)) = (proves, unread.is_empty(), needed) {
        return Err(Trouble::input(
            format!("not read: {}; {needed}", unread.join(", ")),
            "read each and enter it",
        ));
    }
    let waits = match judged.verdict {
        StepVerdict::Wait { .. } => true,
        _ => !step.parts.is_empty(),
    };
    if waits && because.trim().is_empty() {
        let left = left_unknown(step, judged);
        let left = if left.is_empty() {
            "its time is not up".to_owned()
        } else {
            left.join("; ")
        };
        return Err(Trouble::input(
            format!("ended now, this step leaves unknown: {left}"),
            "read on, or give the reason; it is written down with what stays unknown",
        ));
    }
    Ok(())
}

/// The stop that a reading makes.
fn stop_by(step: &Step, reading: &StepReading) -> Option<Fact> {
    let readings = [reading.clone()];
    let judged = judge(step, &readings, reading.seconds);
    let reasons: Vec<String> = judged.evidence.iter().map(beyond_in_words).collect();
    (!reasons.is_empty()).then(|| {
        Fact::Stepped(Stepped {
            step: step.title.clone(),
            key: step.key.clone(),
            event: StepEvent::Stopped,
            because: reasons.join(" "),
            leaves_unknown: String::new(),
        })
    })
}

fn measured(
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
