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
use crate::record::put_test;
use crate::restoration::{Entering, OpenBook};
use crate::sent_once::enter;
use crate::trouble::Trouble;
use crate::view::RecordedView;

/// What a trial is kept with: whether the fault was gone.
pub(crate) const TRIAL: [(&str, bool); 2] = [("the fault is gone", true), ("the same", false)];
/// What a trial is kept under, where a good capacitor was across the old one.
const BRIDGE: &str = "trial with a good one across it";
/// Words under which volts at a loose end are kept, before and behind the meter's ohms.
const LOOSE_END: (&str, &str) = ("meter of ", " at its loose end");
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
    let tester = match new.how {
        TriedHow::Exchanged => CheckedBy::Exchange.words(),
        TriedHow::Bridged => BRIDGE,
    };
    enter(entering, |open| {
        if new.how == TriedHow::Bridged {
            capacitor(&open, &new.part)?;
        }
        put_test(open, fact(new.part, tester, words, new.note))
    })
}

/// Records the volts at the loose end of a capacitor.
pub fn record_loose_end(
    entering: &Entering<'_>,
    new: NewLooseEnd,
) -> Result<RecordedView, Trouble> {
    enter(entering, |open| loose_end(open, new))
}

fn loose_end(open: OpenBook, new: NewLooseEnd) -> Result<RecordedView, Trouble> {
    let part = capacitor(&open, &new.part)?;
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
    put_test(
        open,
        fact(
            part,
            &format!("{}{}{}", LOOSE_END.0, bench(meter, Unit::Ohms), LOOSE_END.1),
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
fn capacitor(open: &OpenBook, typed: &str) -> Result<String, Trouble> {
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
    let of_meter = tester.strip_prefix(LOOSE_END.0);
    if let Some(meter) = of_meter.and_then(|rest| rest.strip_suffix(LOOSE_END.1)) {
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

#[cfg(test)]
mod tests {
    use super::super::gather::endings;
    use super::super::noticed::noticed;
    use super::super::outcomes::outcomes;
    use super::*;
    use crate::test_facts::with_standing;
    use logbook::{Fact, Fitted};
    use receiver::sheet::read_sheet;
    use receiver::suspects::hypotheses::Hypotheses;

    const LARKFIELD: &str = include_str!("../../../../examples/whole/larkfield_12t.toml");
    const EXCHANGE: &str = "exchange for another one";
    const METER: &str = "meter of 10 meg at its loose end";

    fn tested(part: &str, tester: &str, verdict: &str) -> Fact {
        Fact::Tested(fact(part.to_owned(), tester, verdict, String::new()))
    }

    fn fitted(part: &str) -> Fact {
        Fact::Fitted(Fitted {
            part: part.to_owned(),
            new: "new".to_owned(),
            ..Fitted::default()
        })
    }

    /// Each figure that stands, with whether it belongs to the former state.
    fn told(facts: &[Fact]) -> Vec<(Check, f64, bool)> {
        let catalogue = crate::catalogue().expect("sound");
        let sheet = read_sheet(LARKFIELD, catalogue).sheet.expect("no fault");
        let model = SetModel::new(&sheet, catalogue);
        let hypotheses = Hypotheses::of(&model, catalogue);
        with_standing(facts, |standing| {
            let found = outcomes(&model, standing);
            let ends = endings(&sheet, standing);
            noticed(&model, &hypotheses, &[], standing, &found, &ends)
        })
        .into_iter()
        .filter_map(|own| match own.sign {
            Ok(receiver::suspects::signs::Sign::Measured(figure)) => {
                Some((figure.check, figure.value, own.former.is_some()))
            }
            _ => None,
        })
        .collect()
    }

    #[test]
    fn what_is_kept_is_read_back() {
        let gone = TRIAL[0].0;
        let same = TRIAL[1].0;
        assert_eq!(
            told(&[tested("c50", EXCHANGE, gone)]),
            [(Check::Exchange, 1.0, false)]
        );
        assert_eq!(
            told(&[tested("V9", EXCHANGE, same)]),
            [(Check::Exchange, 0.0, false)]
        );
        assert_eq!(
            told(&[tested("V9", EXCHANGE, "good")]),
            [(Check::Exchange, 0.0, false)]
        );
        assert_eq!(
            told(&[tested("C50", BRIDGE, gone)]),
            [(Check::Bridge, 1.0, false)]
        );
        let ten = Check::LooseEnd {
            meter_ohms: 10_000_000,
        };
        for (words, share) in [
            ("70 V of 140 V, a leak of 10 meg", 0.5),
            ("-3 V of -30 V, a leak of 90 meg", 0.1),
            ("0 V of 140 V, no leak to be seen", 0.0),
        ] {
            assert_eq!(told(&[tested("C50", METER, words)]), [(ten, share, false)]);
        }
        // What cannot be is no figure.
        for (part, tester, words) in [
            ("V9", BRIDGE, gone),
            ("R71", BRIDGE, gone),
            ("Z9", EXCHANGE, gone),
            ("C50", EXCHANGE, "better"),
            ("C50", METER, "some volts"),
            (
                "C50",
                "meter of many ohms at its loose end",
                "70 V of 140 V",
            ),
        ] {
            assert_eq!(
                told(&[tested(part, tester, words)]),
                [],
                "{part} {tester} {words}"
            );
        }
    }

    #[test]
    fn the_last_of_one_kind_holds_and_a_repair_ends_a_trial() {
        let exchange = |words| tested("C50", EXCHANGE, words);
        let leaks = || tested("C50", METER, "70 V of 140 V, a leak of 10 meg");
        let values = |facts: &[Fact]| -> Vec<(f64, bool)> {
            told(facts).into_iter().map(|own| (own.1, own.2)).collect()
        };
        let (gone, same) = (TRIAL[0].0, TRIAL[1].0);
        assert_eq!(values(&[exchange(gone), exchange(same)]), [(0.0, false)]);
        assert_eq!(
            values(&[exchange(same), tested("C50", BRIDGE, same), leaks()]),
            [(0.0, false), (0.0, false), (0.5, false)]
        );
        // Another part is replaced: the trial was of the fault of that time, the leak is the capacitor's own.
        assert_eq!(
            values(&[exchange(same), leaks(), fitted("R71")]),
            [(0.0, true), (0.5, false)]
        );
        assert_eq!(values(&[exchange(same), leaks(), fitted("C50")]), []);
    }
}
