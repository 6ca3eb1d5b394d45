//! The facts of a restoration as what happened at the bench.
//!
//! Seconds since 1970. A reading belongs to the step under way where the set stood as that step
//! wants it; other readings are no part of the power-up. Undone entries count for nothing, a
//! corrected one says what holds now. Nothing here fails.

use logbook::{Conditions, Entry, Fact, Measured, Standing, StepEvent, Stepped, holds_now};
use receiver::plan::Step;
use receiver::plan::step_kind::StepKind;
use receiver::power_up::{Happened, Happening, StepReading, StepVerdict, judge};

use crate::judge_entry::taken;

/// Share by which the line that was read may differ from the step's.
const SAME_LINE: f64 = 0.04;

/// What happened, in the order of entry.
pub(super) fn happenings(entries: &[Entry], steps: &[Step]) -> Vec<Happening> {
    let mut all = Vec::new();
    let mut open: Option<String> = None;
    for entry in entries {
        if matches!(entry.standing, Standing::UndoneBy(_)) {
            continue;
        }
        let fact = match entry.standing {
            Standing::CorrectedBy(_) => holds_now(entries, entry.number).unwrap_or(&entry.fact),
            _ => &entry.fact,
        };
        let what = match fact {
            Fact::Stepped(stepped) => {
                open = match stepped.event {
                    StepEvent::Begun => Some(stepped.key.clone()),
                    _ => None,
                };
                Some(of_step(stepped))
            }
            Fact::Measured(measured) => {
                let step = open
                    .as_ref()
                    .and_then(|key| steps.iter().find(|step| &step.key == key));
                step.filter(|step| stands_as(step, &measured.conditions))
                    .and_then(|_| taken(measured))
                    .map(|taken| Happened::Read(taken, measured.conditions.seconds))
            }
            Fact::Fitted(_) | Fact::Changed(_) => Some(Happened::WorkedOn),
            Fact::Corrected(corrected) => answered(entries, steps, corrected.names),
            Fact::Undone(undone) => answered(entries, steps, undone.names),
            _ => None,
        };
        all.extend(what.map(|what| Happening {
            entry: entry.number,
            second: entry.at.seconds(),
            what,
        }));
    }
    all
}

fn of_step(stepped: &Stepped) -> Happened {
    let key = stepped.key.clone();
    let unknown = || stepped.leaves_unknown.lines().map(str::to_owned).collect();
    match stepped.event {
        StepEvent::Begun => Happened::Begun(key),
        StepEvent::Done => Happened::Done(key, unknown()),
        StepEvent::Skipped => Happened::Skipped(key, unknown()),
        StepEvent::Stopped => Happened::Stopped {
            key,
            because: stepped.because.clone(),
        },
        StepEvent::Left => Happened::Left,
    }
}

/// The stop that an entry told anew or taken back answers: the stop itself, or the one that was
/// written together with this reading, where what holds now is no longer beyond a limit.
fn answered(entries: &[Entry], steps: &[Step], number: u64) -> Option<Happened> {
    match &logbook::at(entries, number)?.fact {
        Fact::Stepped(stepped) => {
            (stepped.event == StepEvent::Stopped).then_some(Happened::Corrected(number))
        }
        Fact::Measured(measured) => {
            let next = logbook::at(entries, number + 1)?;
            let Fact::Stepped(stopped) = &next.fact else {
                return None;
            };
            let by_it =
                stopped.event == StepEvent::Stopped && stopped.because.starts_with(&measured.place);
            let step = steps.iter().find(|step| step.key == stopped.key);
            let now = match holds_now(entries, number) {
                Some(Fact::Measured(now)) => Some(now),
                _ => None,
            };
            let is_beyond = step.zip(now).is_some_and(|(step, now)| beyond(step, now));
            (by_it && !is_beyond).then_some(Happened::Corrected(next.number))
        }
        _ => None,
    }
}

/// Whether a reading lies beyond a limit of this step.
fn beyond(step: &Step, measured: &Measured) -> bool {
    let seconds = measured.conditions.seconds.unwrap_or(0.0);
    taken(measured).is_some_and(|taken| {
        let reading = StepReading {
            entry: 0,
            taken,
            seconds,
        };
        judge(step, &[reading], seconds).verdict == StepVerdict::Stop
    })
}

/// Whether the set stood as the step wants it.
fn stands_as(step: &Step, said: &Conditions) -> bool {
    let wanted = &step.conditions;
    let same = |one: &[String], other: &[String]| {
        let sorted = |list: &[String]| {
            let mut list: Vec<String> = list.iter().map(|own| own.to_lowercase()).collect();
            list.sort();
            list
        };
        sorted(one) == sorted(other)
    };
    if step.kind.has_line_power() {
        let line = said.line_volts.or(said.dial_volts);
        let near = line
            .zip(wanted.line_volts)
            .is_none_or(|(said, wanted)| (said / wanted - 1.0).abs() <= SAME_LINE);
        return !said.plug_out
            && said.dc.is_empty()
            && near
            && said.lamp_watts == wanted.lamps
            && same(&said.pulled, &wanted.pulled)
            && same(&said.open, &wanted.open)
            && same(&said.fitted_without, &wanted.fitted_without);
    }
    if step.kind == StepKind::ReForming {
        return !said.dc.is_empty();
    }
    said.plug_out && said.dc.is_empty()
}
