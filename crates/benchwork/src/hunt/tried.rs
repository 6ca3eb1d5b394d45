//! A good one tried for a part, and the volts at a capacitor's loose end: entered, and read back as figures.
//!
//! Volts, ohms. Another one in its place or a good capacitor across it: the fault is gone then, or it is the same. A
//! capacitor that is loose at one end, the set running, brings volts to the meter at that end by its leak; meter and leak
//! are one divider (closed form), so the volts of the other end and the meter's own resistance are asked for, and nothing
//! is taken in their place. Fails for words and figures that cannot be, for what is no capacitor, and where the file cannot
//! be opened or written; nothing is written then.

use logbook::{TestResult, Tested};
use quantity::{Unit, bench, read_ohms, read_volts};
use receiver::conditions::Meter;
use receiver::meter::meter_ohms;
use receiver::sheet::PartValue;
use receiver::suspects::by_itself::{ByItself, NO_SHARE, share_at_loose_end};
use receiver::suspects::hypotheses::Suspect;
use receiver::suspects::outcome::{Check, Found, Outcome};
use receiver::wiring::SetModel;

use super::outcomes::{CLEARED, CheckedBy};
use crate::bench_words;
use crate::record::record_test;
use crate::restoration::{Entering, OpenBook, open};
use crate::trouble::Trouble;
use crate::view::RecordedView;

/// What a trial is kept with: whether the fault was gone.
pub(crate) const TRIAL: [(&str, bool); 2] = [("the fault is gone", true), ("the same", false)];
/// What a trial is kept under, where a good capacitor was across the old one.
const BRIDGE: &str = "a good one across it";
/// What begins the words under which volts at a loose end are kept; the meter's ohms follow.
const LOOSE_END: &str = "volts at its loose end through ";
/// Least volts of the other end that tell anything (judgement).
const LEAST_VOLTS: f64 = 1.0;

/// How a good one was tried.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum TriedHow {
    /// In its place.
    Exchanged,
    /// Across it, the old one still there.
    Bridged,
}

/// A trial, as it is typed.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct NewTrial {
    /// The part or tube.
    pub part: String,
    /// How a good one was tried.
    pub how: TriedHow,
    /// `gone` or `the same`.
    pub then: String,
    /// Anything else.
    pub note: String,
}

/// Volts at a loose end, as they are typed.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct NewLooseEnd {
    /// The capacitor.
    pub part: String,
    /// Volts from the loose end to chassis.
    pub volts: String,
    /// Volts of the end that is in the set, with the same meter.
    pub other_end: String,
    /// The meter; empty for that of the last reading of direct volts.
    pub meter: String,
    /// Anything else.
    pub note: String,
}

/// Records what came of a good one in the place of a part, or across it.
pub fn record_trial(entering: &Entering<'_>, new: NewTrial) -> Result<RecordedView, Trouble> {
    let said = new.then.trim().to_lowercase();
    let words = TRIAL.iter().find(|(words, gone)| match gone {
        true => ["gone", *words].contains(&said.as_str()),
        false => said == *words,
    });
    let Some((words, _)) = words else {
        return Err(Trouble::input(
            format!(
                "`{}` is no word for what became of the fault",
                new.then.trim()
            ),
            "say gone, or \"the same\"",
        ));
    };
    if new.how == TriedHow::Bridged {
        capacitor(&mut open(entering)?, &new.part)?;
    }
    let tester = match new.how {
        TriedHow::Exchanged => CheckedBy::Exchange.words(),
        TriedHow::Bridged => BRIDGE,
    };
    record_test(entering, fact(new.part, tester, words, new.note))
}

/// Records the volts at the loose end of a capacitor.
pub fn record_loose_end(
    entering: &Entering<'_>,
    new: NewLooseEnd,
) -> Result<RecordedView, Trouble> {
    let mut open = open(entering)?;
    let part = capacitor(&mut open, &new.part)?;
    let (volts, other) = (volts(&new.volts)?, volts(&new.other_end)?);
    if other.abs() < LEAST_VOLTS {
        return Err(Trouble::input(
            format!("{other} V at the other end drive no leak that a meter shows"),
            "read where at least some tens of volts stand at the end that is in the set",
        ));
    }
    let share = volts / other;
    if !(-NO_SHARE..=1.05).contains(&share) {
        return Err(Trouble::input(
            format!("{volts} V cannot come through {part} from {other} V"),
            "read both ends again, to the chassis, with the same meter",
        ));
    }
    let meter = meter(&open, &new.meter, volts)?;
    let leak = match share {
        share if share <= NO_SHARE => "no leak to be seen".to_owned(),
        share => format!(
            "a leak of {}",
            bench((meter * (1.0 / share - 1.0)).max(0.0), Unit::Ohms)
        ),
    };
    drop(open);
    record_test(
        entering,
        fact(
            part,
            &format!("{LOOSE_END}{}", bench(meter, Unit::Ohms)),
            &format!("{volts} V of {other} V, {leak}"),
            new.note,
        ),
    )
}

fn fact(part: String, tester: &str, verdict: &str, note: String) -> Tested {
    Tested {
        part,
        section: String::new(),
        type_number: String::new(),
        tester: tester.to_owned(),
        result: TestResult::Verdict(verdict.to_owned()),
        note,
    }
}

/// A capacitor as the sheet spells it.
fn capacitor(open: &mut OpenBook, typed: &str) -> Result<String, Trouble> {
    let Some(sheet) = &open.sheet else {
        return Err(Trouble::input(
            "no sheet without faults was taken in, so no part is known",
            "take one in: `firstraster take FILE SHEET`",
        ));
    };
    let own = sheet.part(typed.trim());
    match own.map(|own| (&own.reference, &own.value)) {
        Some((reference, PartValue::Capacitor { .. })) => Ok(reference.clone()),
        Some((reference, _)) => Err(Trouble::input(
            format!("{reference} is no capacitor"),
            "this is a check of capacitors; measure its ohms, one end free",
        )),
        None if sheet.tube(typed.trim()).is_some() => Err(Trouble::input(
            format!("{} is no capacitor", typed.trim()),
            "another tube in its socket is entered with `exchanged`",
        )),
        None => Err(Trouble::input(
            format!("the sheet has no `{}`", typed.trim()),
            match sheet.nearest_reference(typed) {
                Some(nearest) => format!("did you mean `{nearest}`?"),
                None => "spell it as the sheet does".to_owned(),
            },
        )),
    }
}

fn volts(typed: &str) -> Result<f64, Trouble> {
    let plain = typed.trim().replace('\u{2212}', "-");
    let (sign, bare) = match plain.strip_prefix('-') {
        Some(rest) => (-1.0, rest.trim()),
        None => (1.0, plain.as_str()),
    };
    let number = bare.parse::<f64>().ok();
    let read = number.or_else(|| read_volts(bare).ok().map(|volts| volts.0));
    match read.filter(|volts| volts.is_finite() && *volts >= 0.0 && *volts <= 5000.0) {
        Some(volts) => Ok(sign * volts),
        None => Err(Trouble::input(
            format!("`{}` is no reading of volts", typed.trim()),
            "give volts up to 5000, such as 3.2 or \"3.2 V\"",
        )),
    }
}

/// The meter's own resistance: of the one that is named, else of the last reading of direct volts.
fn meter(open: &OpenBook, typed: &str, volts: f64) -> Result<f64, Trouble> {
    let hint = "add --meter 10M, or --meter \"20k/V 50 V\" with the range that was in use";
    let last;
    let text = match typed.trim() {
        "" => {
            last = open.last_meter()?;
            last.trim()
        }
        typed => typed,
    };
    if text.is_empty() {
        return Err(Trouble::input(
            "the leak cannot be told without the meter's own resistance, and no reading here names a meter",
            hint,
        ));
    }
    let meter = bench_words::meter(text).map_err(|because| Trouble::input(because, hint))?;
    if let Meter::OhmsPerVolt {
        range_volts: None, ..
    } = meter
    {
        return Err(Trouble::input(
            format!("`{text}` has another resistance on every range"),
            hint,
        ));
    }
    Ok(meter_ohms(&meter, volts))
}

/// What one fact of testing tells of a trial or of a loose end; `None` where it is neither.
pub(super) fn tried(
    model: &SetModel<'_>,
    suspect: Suspect,
    tested: &Tested,
    verdict: &str,
) -> Option<(Outcome, ByItself)> {
    let figure = |check: Check, value: f64| ByItself {
        suspect,
        check,
        value,
    };
    let tester = tested.tester.trim();
    if let Some(meter) = tester.strip_prefix(LOOSE_END) {
        let meter = read_ohms(meter).ok()?.0;
        let (volts, other) = verdict.split_once(" V of ")?;
        let (other, _) = other.split_once(" V")?;
        let share = volts.parse::<f64>().ok()? / other.parse::<f64>().ok()?;
        let check = Check::LooseEnd {
            meter_ohms: meter.round() as u64,
        };
        let is_good = share <= share_at_loose_end(receiver::suspects::by_itself::MOST_OHMS, meter);
        let found = match is_good {
            true => Found::Good(check),
            false => Found::Bad(verdict.to_owned()),
        };
        return Some((Outcome { suspect, found }, figure(check, share)));
    }
    let check = match tester {
        BRIDGE => Check::Bridge,
        own if own == CheckedBy::Exchange.words() => Check::Exchange,
        _ => return None,
    };
    let is_tube = matches!(suspect, Suspect::Tube(_));
    if check == Check::Bridge && (is_tube || !is_capacitor(model, suspect)) {
        return None;
    }
    let said = TRIAL.iter().find(|own| own.0 == verdict);
    let is_gone = match said {
        Some((_, gone)) => *gone,
        None if verdict == CLEARED => false,
        None => return None,
    };
    let found = match is_gone {
        true => Found::Bad(verdict.to_owned()),
        false => Found::Good(check),
    };
    let value = f64::from(u8::from(is_gone));
    Some((Outcome { suspect, found }, figure(check, value)))
}

fn is_capacitor(model: &SetModel<'_>, suspect: Suspect) -> bool {
    let Suspect::Part(part) = suspect else {
        return false;
    };
    let own = model.sheet.parts.get(part).map(|own| &own.value);
    matches!(own, Some(PartValue::Capacitor { .. }))
}
