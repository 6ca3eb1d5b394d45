//! Entries of a power-up: begin, read, done, skip, stop, leave.
//!
//! What breaks the order is refused with what to do instead; nothing is written then. A reason is
//! asked for whenever something stays unknown that would have told a fault.

use logbook::{Advised, Fact, LogbookError, Stamp, StepEvent, Stepped};
use receiver::plan::step_kind::StepKind;
use receiver::plan::{Limit, Step};
use receiver::power_up::{
    AtHand, Judged, StepReading, StepVerdict, judge, left_unknown, skipping_leaves_unknown,
};

use super::drive::stop_for_drive;
use super::tell::{beyond_in_words, in_unit, place, slip_in_words};
use super::understand::{PowerReading, measured};
use super::{Moment, PowerSession};
use crate::PROGRAM_VERSION;
use crate::judge_entry::taken;
use crate::restoration::trouble;
use crate::sent_once::Made;
use crate::trouble::Trouble;
use crate::view::{BeyondView, PowerUpView, StepView};

impl PowerSession {
    /// Begins the step at hand; its clock starts.
    pub fn begin(&mut self, at: &Stamp) -> Result<PowerUpView, Trouble> {
        self.enter(at, |moment| {
            let step = to_begin(moment)?;
            Ok(begun(step, moment.so_far.sheet.line_volts))
        })
    }

    /// Records a reading of the step under way. One beyond a limit makes a stop.
    pub fn read(&mut self, at: &Stamp, new: PowerReading) -> Result<PowerUpView, Trouble> {
        let mut stopping = None;
        let mut view = self.enter(at, |moment| {
            let InHand {
                step,
                elapsed,
                mut facts,
                ..
            } = in_hand(
                moment,
                "nothing can be read in it",
                "begin it when the plug goes in, so that its clock runs",
            )?;
            let measured = measured(moment, step, elapsed, new)?;
            let readings: Vec<StepReading> = taken(&measured)
                .map(|taken| StepReading {
                    entry: 0,
                    taken,
                    seconds: measured.conditions.seconds.unwrap_or(elapsed as f64),
                })
                .into_iter()
                .collect();
            let fact = Fact::Measured(measured);
            let by_drive = match step.kind.has_line_power() {
                true => stop_for_drive(&moment.so_far, &moment.entries, &fact)?,
                false => None,
            };
            facts.push(fact);
            if let Some(stop) = stop_by(step, &readings) {
                facts.push(stop);
                stopping = Some((step.clone(), readings, elapsed));
            } else if let Some(because) = by_drive {
                facts.push(stopped(step, because));
            }
            Ok(facts)
        })?;
        if let Some((step, mut readings, elapsed)) = stopping {
            let written = view.entries.iter().find(|entry| entry.kind == "measured");
            for reading in &mut readings {
                reading.entry = written.map_or(0, |entry| entry.number);
            }
            let judged = judge(&step, &readings, elapsed as f64);
            view.evidence = judged.evidence.iter().map(BeyondView::from).collect();
            view.reasons
                .extend(judged.asked.iter().filter_map(slip_in_words));
        }
        Ok(view)
    }

    /// Ends the step at hand as done. A reason is needed where something that guards stays unknown.
    pub fn done(&mut self, at: &Stamp, because: &str) -> Result<PowerUpView, Trouble> {
        self.enter(at, |moment| {
            let InHand {
                step,
                elapsed,
                readings,
                mut facts,
            } = in_hand(
                moment,
                "it cannot be done",
                "begin it, or pass it over with a reason",
            )?;
            let judged = judge(step, &readings, elapsed as f64);
            refuse_to_end(step, &judged, because)?;
            facts.push(Fact::Stepped(Stepped {
                step: step.title.clone(),
                key: step.key.clone(),
                event: StepEvent::Done,
                because: because.trim().to_owned(),
                leaves_unknown: left_unknown(step, &judged).join("\n"),
            }));
            Ok(facts)
        })
    }

    /// Passes the step at hand over, with a reason; what it leaves unknown is written down.
    pub fn skip(&mut self, at: &Stamp, because: &str) -> Result<PowerUpView, Trouble> {
        self.enter(at, |moment| skipped(moment, because))
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
        self.enter(at, |moment| ended(moment, event, because))
    }

    /// Enters what the moment makes of it; what was sent before is told instead, with how the
    /// power-up stands now.
    fn enter(
        &mut self,
        at: &Stamp,
        make: impl FnOnce(&Moment) -> Result<Vec<Fact>, Trouble>,
    ) -> Result<PowerUpView, Trouble> {
        let once = self.once.take();
        let mut moment = self.moment(at)?;
        if let Some(id) = &once {
            let sent = moment.book.sent(id);
            if let Some((first, last)) = sent.map_err(|error| trouble(&self.path, error))? {
                return self.tell_again(&moment, Made { first, last });
            }
        }
        let facts = make(&moment)?;
        // What is entered was decided on what was read: a stop or a leave of another program in
        // between would make it wrong.
        let last = moment.entries.last().map_or(0, |entry| entry.number);
        let marked = once.map_or(Ok(()), |id| moment.book.once(&id));
        let written = marked.and_then(|()| moment.book.append_all_after(last, at, &facts));
        drop(moment);
        match written {
            Ok(first) => {
                let made = first.map(|first| first..first + facts.len() as u64);
                let made: Vec<u64> = made.into_iter().flatten().collect();
                let moment = self.moment(at)?;
                self.view(&moment, &made)
            }
            // The same came twice at once, and the other was first.
            Err(LogbookError::SentBefore { first, last }) => {
                let moment = self.moment(at)?;
                self.tell_again(&moment, Made { first, last })
            }
            Err(error) => Err(trouble(&self.path, error)),
        }
    }

    fn tell_again(&self, moment: &Moment, made: Made) -> Result<PowerUpView, Trouble> {
        let numbers: Vec<u64> = (made.first..=made.last).collect();
        let mut view = self.view(moment, &numbers)?;
        view.notices.insert(0, made.notice());
        Ok(view)
    }
}

/// That the step at hand is passed over.
fn skipped(moment: &Moment, because: &str) -> Result<Vec<Fact>, Trouble> {
    let (step, readings) = match &moment.standing.at_hand {
        AtHand::UnderWay { step, readings, .. } => (step_at(moment, *step)?, readings.clone()),
        AtHand::ToBegin(step) => (step_at(moment, *step)?, Vec::new()),
        AtHand::Finished => return Err(finished()),
    };
    refuse_beyond(&judge(step, &readings, 0.0))?;
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
    Ok(vec![Fact::Stepped(Stepped {
        step: step.title.clone(),
        key: step.key.clone(),
        event: StepEvent::Skipped,
        because: because.trim().to_owned(),
        leaves_unknown: skipping_leaves_unknown(step).join("\n"),
    })])
}

/// That the step at hand is stopped or left.
fn ended(moment: &Moment, event: StepEvent, because: &str) -> Result<Vec<Fact>, Trouble> {
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
    Ok(vec![Fact::Stepped(Stepped {
        step: step.map_or_else(|| "no step".to_owned(), |step| step.title.clone()),
        key: named(|step| &step.key),
        event,
        because: because.to_owned(),
        leaves_unknown: String::new(),
    })])
}

/// The step that an entry belongs to, with what begins it where that was not said.
struct InHand<'m> {
    step: &'m Step,
    elapsed: i64,
    readings: Vec<StepReading>,
    facts: Vec<Fact>,
}

/// The step at hand. One without power begins with its first entry; one with power is refused.
fn in_hand<'m>(moment: &'m Moment, why: &str, hint: &str) -> Result<InHand<'m>, Trouble> {
    match &moment.standing.at_hand {
        AtHand::UnderWay {
            step,
            elapsed,
            readings,
        } => Ok(InHand {
            step: step_at(moment, *step)?,
            elapsed: *elapsed,
            readings: readings.clone(),
            facts: Vec::new(),
        }),
        AtHand::ToBegin(at) => {
            let step = step_at(moment, *at)?;
            if step.energised {
                let text = format!("\"{}\" was not begun, so {why}", step.title);
                return Err(Trouble::input(text, hint));
            }
            Ok(InHand {
                step,
                elapsed: 0,
                readings: Vec::new(),
                facts: begun(step, moment.so_far.sheet.line_volts),
            })
        }
        AtHand::Finished => Err(finished()),
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
        let (side, limit) = match own.limit {
            Limit::Above(limit) => ("above", limit),
            Limit::Below(limit) => ("below", limit),
        };
        let place = place(&own.at, own.to.as_deref(), own.what);
        let limit = in_unit(own.what, limit);
        said.push(format!(
            "stop: {place} {side} {limit}, from {:.0} s on",
            own.after_seconds
        ));
    }
    for own in &step.expect {
        let place = place(&own.at, own.to.as_deref(), own.what);
        let (low, high) = (own.band.low, own.band.high);
        said.push(format!(
            "expected: {place} {} to {}",
            in_unit(own.what, low),
            in_unit(own.what, high)
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

fn refuse_beyond(judged: &Judged<'_>) -> Result<(), Trouble> {
    if judged.verdict == StepVerdict::Stop {
        return Err(Trouble::input(
            "a reading of this step lies beyond its limit: the plug comes out",
            "record the stop; where the reading was mistyped, correct or undo its entry",
        ));
    }
    Ok(())
}

fn refuse_to_end(step: &Step, judged: &Judged<'_>, because: &str) -> Result<(), Trouble> {
    refuse_beyond(judged)?;
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
    let guarded = judged.asked.iter().filter(|own| own.is_guard());
    let none_read = unread.len() == guarded.count();
    let proves = step.kind == StepKind::LineToChassis || none_read;
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

/// The stop that these readings of one moment make.
fn stop_by(step: &Step, readings: &[StepReading]) -> Option<Fact> {
    let seconds = readings.first()?.seconds;
    let judged = judge(step, readings, seconds);
    beyond_in_words(&judged.evidence).map(|because| stopped(step, because))
}

fn stopped(step: &Step, because: String) -> Fact {
    Fact::Stepped(Stepped {
        step: step.title.clone(),
        key: step.key.clone(),
        event: StepEvent::Stopped,
        because,
        leaves_unknown: String::new(),
    })
}
