//! How the power-up stands, for people and scripts.
//!
//! Units of the readings; seconds. Fails only where the file cannot be read.

use receiver::judge_reading::{MeantAs, slip};
use receiver::plan::step_kind::StepKind;
use receiver::plan::{Limit, Step};
use receiver::power_up::{
    Asked, AskedVerdict, AtHand, BeyondLimit, Judged, StepVerdict, judge, left_unknown,
};
use receiver::reading::What;

use super::drive::keeps_open;
use super::{Moment, PowerSession};
use crate::restoration::trouble;
use crate::trouble::Trouble;
use crate::view::{
    AnsweredStopView, BeyondView, EntryView, PassedView, PowerUpView, StandingStopView, StepView,
    TimerView, again_in_words, asked_views,
};

impl PowerSession {
    /// The view of a moment; `made` are the entries made for it, by number.
    pub(super) fn view(&self, moment: &Moment, made: &[u64]) -> Result<PowerUpView, Trouble> {
        let name = moment.book.name();
        let standing = &moment.standing;
        let line_volts = moment.so_far.sheet.line_volts;
        let entries = made
            .iter()
            .filter_map(|number| logbook::at(&moment.entries, *number));
        let mut view = PowerUpView {
            stop: standing.stop.as_ref().map(StandingStopView::from),
            answered_stop: standing.answered.as_ref().map(AnsweredStopView::from),
            steps: moment.steps.len(),
            begun_again: standing.begun_again.map(|cause| again_in_words(cause).0),
            passed: standing
                .passed
                .iter()
                .map(|passed| PassedView::of(passed, &moment.steps))
                .collect(),
            bent_by: moment.so_far.bent_by.clone(),
            not_used: moment.so_far.not_used.clone(),
            file: self.path.display().to_string(),
            restoration: name.map_err(|error| trouble(&self.path, error))?,
            entries: entries.map(EntryView::from).collect(),
            notices: self.notices(),
            ..PowerUpView::empty()
        };
        match &standing.at_hand {
            AtHand::UnderWay {
                step,
                elapsed,
                readings,
            } => {
                let Some(step) = moment.steps.get(*step) else {
                    return Err(Trouble::ours("a step under way is not in its own plan"));
                };
                let judged = judge(step, readings, *elapsed as f64);
                view.state = "under_way";
                view.step = Some(StepView::of(step, line_volts));
                view.timer = Some(timer(step, *elapsed));
                under_way(&mut view, step, &judged);
                if step.kind.has_line_power() && view.verdict != "stop" {
                    let told = keeps_open(&moment.so_far, &moment.entries)?;
                    view.reasons.extend(told);
                }
            }
            AtHand::ToBegin(at) => {
                let Some(step) = moment.steps.get(*at) else {
                    return Err(Trouble::ours("a step to begin is not in its own plan"));
                };
                let judged = judge(step, &[], 0.0);
                view.state = "to_begin";
                view.step = Some(StepView::of(step, line_volts));
                view.asked = asked_views(&judged);
                view.would_leave_unknown = left_unknown(step, &judged);
                to_begin(&mut view, moment, step);
            }
            AtHand::Finished => {
                view.reasons.push(
                    "Every step of this plan is passed. What they leave unknown stands with each."
                        .to_owned(),
                );
            }
        }
        Ok(view)
    }
}

fn timer(step: &Step, elapsed: i64) -> TimerView {
    let remaining = if step.energised {
        (step.wait_seconds - elapsed as f64).max(0.0)
    } else {
        0.0
    };
    TimerView {
        elapsed_seconds: elapsed,
        wait_seconds: step.wait_seconds,
        remaining_seconds: remaining,
    }
}

fn under_way(view: &mut PowerUpView, step: &Step, judged: &Judged<'_>) {
    view.asked = asked_views(judged);
    view.evidence = judged.evidence.iter().map(BeyondView::from).collect();
    view.would_leave_unknown = left_unknown(step, judged);
    let names = |own: Vec<String>| own.join(", ");
    match judged.verdict {
        StepVerdict::Stop => {
            view.verdict = "stop";
            view.cuts = Some(cuts(&step.key));
            for of_one in judged
                .evidence
                .chunk_by(|one, other| one.reading == other.reading)
            {
                view.reasons.extend(beyond_in_words(of_one));
            }
        }
        StepVerdict::Wait { seconds } => {
            view.verdict = "wait";
            if seconds > 0.0 {
                view.reasons
                    .push(format!("Its readings are to be taken in {seconds:.0} s."));
            }
            let unread: Vec<String> = judged
                .unread()
                .map(|own| {
                    let from = own.rules.iter().map(|rule| rule.after_seconds);
                    let from = from.fold(f64::INFINITY, f64::min);
                    let place = place(own.at, own.to, own.what);
                    if step.energised && from > step.wait_seconds {
                        format!("{place}, which counts from {from:.0} s on")
                    } else {
                        place
                    }
                })
                .collect();
            if !unread.is_empty() {
                view.reasons
                    .push(format!("Still to be read: {}.", names(unread)));
            }
            for own in judged.outside() {
                let (side, end) = match (own.verdict, own.band) {
                    (AskedVerdict::Low, Some(band)) => ("below", band.low),
                    (_, Some(band)) => ("above", band.high),
                    _ => continue,
                };
                let read = own.read.map_or(f64::NAN, |read| read.taken.value);
                view.reasons.push(format!(
                    "{} reads {}, {side} the {} that nine of ten healthy sets keep to: look again before you go on.",
                    place(own.at, own.to, own.what),
                    in_unit(own.what, read),
                    in_unit(own.what, end),
                ));
            }
        }
        StepVerdict::GoOn => {
            view.reasons.push(if judged.asked.is_empty() {
                "Nothing is read in this step: when all of it is done, say so.".to_owned()
            } else {
                "Everything that guards this step reads as it should.".to_owned()
            });
        }
    }
    view.reasons
        .extend(judged.asked.iter().filter_map(slip_in_words));
    if !step.parts.is_empty() {
        if view.verdict == "go_on" {
            view.verdict = "wait";
        }
        view.reasons.push(format!(
            "The file does not say yet that these are seen to: {}.",
            step.parts.join(", ")
        ));
    }
}

fn to_begin(view: &mut PowerUpView, moment: &Moment, step: &Step) {
    let standing = &moment.standing;
    if let Some(stop) = &standing.stop {
        let is_fresh = standing.passed.iter().all(|one| one.entry < stop.entry);
        if is_fresh || standing.is_barred(&moment.steps) {
            view.verdict = "stop";
            view.cuts = Some(if is_fresh { cuts(&stop.key) } else { "none" });
            view.reasons.push(stop.because.clone());
        }
        if standing.is_barred(&moment.steps) {
            view.reasons.push(
                "No power before the cause is found and something is changed: a part replaced or cut loose, a wire mended. Where a reading was mistyped, correct or undo it."
                    .to_owned(),
            );
        }
    }
    if let Some(cause) = standing.begun_again {
        let words = again_in_words(cause).1;
        let mut letters = words.chars();
        let first: String = letters
            .next()
            .iter()
            .flat_map(|one| one.to_uppercase())
            .collect();
        view.reasons.push(format!("{first}{}.", letters.as_str()));
    }
    if let Some(answered) = standing.answered.as_ref().filter(|_| step.energised) {
        let work: Vec<String> = answered
            .by
            .iter()
            .filter_map(|number| logbook::at(&moment.entries, *number))
            .map(|entry| EntryView::from(entry).text)
            .collect();
        view.reasons.push(format!(
            "The stop of entry {} counts as answered by what was done since: {}. It was: {}. If that was not its cause, the fault is still there: do not begin.",
            answered.stop.entry,
            work.join("; "),
            answered.stop.because.trim_end_matches('.'),
        ));
    }
    if step.energised {
        view.reasons.push(
            "This step has power. Begin it when all before the plug is done; its clock starts then."
                .to_owned(),
        );
    }
}

/// What a stop in the step of this key cuts.
fn cuts(key: &str) -> &'static str {
    let kind = StepKind::from_name(key.split(' ').next().unwrap_or_default());
    match kind {
        Some(kind) if kind.has_line_power() => "line",
        Some(StepKind::ReForming) => "source",
        Some(_) => "none",
        // Where no step is known the plug is in doubt.
        None => "line",
    }
}

/// A value with its unit, as at the bench.
pub(super) fn in_unit(what: What, value: f64) -> String {
    let unit = logbook::What::from_name(what.name()).map_or("", logbook::What::unit);
    match unit {
        "ohm" if value.is_infinite() => "open".to_owned(),
        "ohm" => quantity::bench(value, quantity::Unit::Ohms),
        unit => format!("{} {unit}", format!("{value:.3e}").parse().unwrap_or(value)),
    }
}

/// A reading beyond its limits in a sentence: the closest of them, and all faults that they tell.
/// `None` where it lies beyond none.
pub(super) fn beyond_in_words(of_one: &[BeyondLimit]) -> Option<String> {
    let margin = |one: &BeyondLimit| match one.limit {
        Limit::Above(limit) => limit,
        Limit::Below(limit) => -limit,
    };
    let mut closest: Vec<&BeyondLimit> = of_one.iter().collect();
    closest.sort_by(|one, other| margin(one).total_cmp(&margin(other)));
    let one = *closest.first()?;
    let taken = &one.reading.taken;
    let (side, limit) = match one.limit {
        Limit::Above(limit) => ("above", limit),
        Limit::Below(limit) => ("below", limit),
    };
    let from = if one.after_seconds > 0.0 {
        format!(", which counts from {:.0} s on", one.after_seconds)
    } else {
        String::new()
    };
    // The same fault from a larger share on says nothing more.
    let name = |fault: &str| fault.split(", from ").next().map(str::to_owned);
    let mut tells: Vec<&str> = Vec::new();
    for fault in closest.iter().flat_map(|one| &one.tells) {
        if !tells.iter().any(|told| name(told) == name(fault)) {
            tells.push(fault);
        }
    }
    let tells = if tells.is_empty() {
        String::new()
    } else {
        format!(" It tells: {}.", tells.join("; "))
    };
    Some(format!(
        "{} reads {}, {side} its limit of {}{from}.{tells}",
        place(&taken.at, taken.to.as_deref(), taken.what),
        in_unit(taken.what, taken.value),
        in_unit(taken.what, limit),
    ))
}

/// What a reading far from its band may have been meant as, as a question; `None` where it may
/// well be true. Before the step has settled it may lie anywhere below.
pub(super) fn slip_in_words(own: &Asked<'_>) -> Option<String> {
    let (read, band) = own.read.zip(own.band)?;
    let value = read.taken.value;
    let may_rise =
        own.verdict == AskedVerdict::TooEarly && value.abs() < band.low.abs().max(band.high.abs());
    if own.verdict == AskedVerdict::Inside || (may_rise && value * band.expected >= 0.0) {
        return None;
    }
    let (asks, meant) = match slip(band, &read.taken, &[])? {
        MeantAs::Times(factor) => ("Is it", factor * value),
        MeantAs::LeadsExchanged => ("Were the leads exchanged? Is it", -value),
        MeantAs::OtherPin(_) => return None,
    };
    let meant = in_unit(own.what, meant);
    let entry = match read.entry {
        0 => "ENTRY".to_owned(),
        number => number.to_string(),
    };
    Some(format!(
        "{} reads {}. {asks} {meant}? That would be inside. If so: `firstraster correct FILE {entry} \"value = {meant}\"`.",
        place(own.at, own.to, own.what),
        in_unit(own.what, value),
    ))
}

/// A place with its other lead and what is read there.
pub(super) fn place(at: &str, to: Option<&str>, what: What) -> String {
    let what = logbook::What::from_name(what.name()).map_or("reading", logbook::What::text);
    match to {
        Some(to) if to != "chassis" => format!("{at} to {to} ({what})"),
        _ => format!("{at} ({what})"),
    }
}
