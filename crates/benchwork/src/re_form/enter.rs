//! Readings, discharge and end of a forming, as they are typed, checked and put into a restoration.
//!
//! `MINUTES=READING`, the reading in volts across the series resistor or in milliamperes; several go in
//! together or not at all. Source volts of the same day and the resistor are carried over from the last
//! reading of the same section. A section is accepted only where its readings meet the limit. All faults
//! come at once; then nothing is written.

use logbook::{
    CAN_LOOKS, Fact, FormingEnd, FormingFinding, OfReForming, StandingFact, standing_facts,
};
use quantity::read_volts;
use receiver::forming::{FormingVerdict, judge_forming};
use receiver::plan::charged::DISCHARGED_VOLTS;

use super::gather::{Gathered, gather};
use super::job::{FormingAsk, job};
use super::tell::view_of_part;
use crate::picture_tube::typed::{Typed, rounded};
use crate::restoration::{Entering, OpenBook, open, trouble};
use crate::sent_once::Made;
use crate::sheet_so_far::sheet_so_far;
use crate::trouble::Trouble;
use crate::view::{EntryView, FormingRecordedView, NoticeView};
use crate::{FORMAT, PROGRAM_VERSION};

/// Readings of one go, as typed.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct NewFormingReading {
    /// `MINUTES=READING`.
    pub readings: Vec<String>,
    /// Volts of the source; carried over within a day.
    pub source_volts: Option<String>,
    /// Volts across the section, of a single reading.
    pub across: Option<String>,
    /// The series resistor; carried over.
    pub resistor: Option<String>,
    /// Warmth of the case, degrees Celsius.
    pub case: Option<String>,
    /// How the can looks.
    pub looks: Option<String>,
}

/// What is entered of a forming.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum NewForming {
    /// Readings.
    Readings(NewFormingReading),
    /// The volts are off and the section is discharged.
    Discharged {
        /// Volts that the meter still shows.
        left: String,
        /// Seconds that it took.
        seconds: Option<String>,
        /// The resistor.
        through: Option<String>,
    },
    /// The end.
    Ended {
        /// accepted, stopped or replace.
        end: String,
        /// Why.
        because: String,
    },
}

/// Puts it into a restoration and tells the forming as it stands then.
pub fn record_forming(
    entering: &crate::Entering<'_>,
    part: &str,
    ask: &FormingAsk,
    (instrument, note): (&str, &str),
    new: &NewForming,
) -> Result<FormingRecordedView, Trouble> {
    let mut open = open(entering)?;
    let in_file = |error| trouble(entering.file, error);
    let entries = open.book.entries().map_err(in_file)?;
    if let Some(made) = open.made_before {
        open.notices.push(made.notice());
        let part = match logbook::at(&entries, made.first).map(|entry| &entry.fact) {
            Some(Fact::OfReForming(own)) => own.part.as_str(),
            _ => part,
        };
        return answer(entering, open, part, ask, made);
    }
    let facts = standing_facts(&entries);
    let before = gather(&facts, part);
    let is_listed = open
        .sheet
        .as_ref()
        .is_some_and(|sheet| sheet.part(part).is_some());
    let ask = FormingAsk {
        marked: ask
            .marked
            .clone()
            .or_else(|| before.marked.clone().filter(|_| !is_listed)),
        ..ask.clone()
    };
    let job = job(open.sheet.as_ref(), Some(part), &ask)?;
    let part = job.reference.clone();
    let mut typed = Typed::default();
    let day = entering.at.as_str().get(..10).unwrap_or_default();
    let found: Vec<FormingFinding> = match new {
        NewForming::Readings(new) => readings(new, &before, day, &mut typed),
        NewForming::Discharged {
            left,
            seconds,
            through,
        } => discharged(
            left,
            seconds.as_deref(),
            through.as_deref(),
            &mut typed,
            &mut open,
        )
        .into_iter()
        .collect(),
        NewForming::Ended { end, because } => {
            let verdict = judge_forming(&job.bench, &before.leak_readings());
            if let Some(end) = ended(end, &verdict, &mut typed) {
                if before.volts_left.is_none() && !before.readings.is_empty() {
                    open.notices.push(notice(
                        "no discharge is entered after the last reading",
                        "take the volts off, discharge it, prove it with the meter: `firstraster reform FILE PART discharged`",
                    ));
                }
                vec![FormingFinding::Ended {
                    end,
                    because: because.trim().to_owned(),
                }]
            } else {
                Vec::new()
            }
        }
    };
    typed.end()?;
    let facts: Vec<Fact> = found
        .into_iter()
        .map(|found| {
            Fact::OfReForming(OfReForming {
                part: part.clone(),
                marked: job.marked.clone(),
                found,
                instrument: instrument.trim().to_owned(),
                note: note.trim().to_owned(),
            })
        })
        .collect();
    let made = open.append_all(&facts)?.ok_or_else(|| {
        Trouble::input("nothing was read", "give MINUTES=READING, such as 30=58 V")
    })?;
    answer(entering, open, &part, &ask, made)
}

fn answer(
    entering: &Entering<'_>,
    open: OpenBook,
    part: &str,
    ask: &FormingAsk,
    made: Made,
) -> Result<FormingRecordedView, Trouble> {
    let in_file = |error| trouble(entering.file, error);
    let entries = open.book.entries().map_err(in_file)?;
    let facts: Vec<StandingFact<'_>> = standing_facts(&entries);
    let text = open.book.present_sheet().map_err(in_file)?;
    let so_far = match &text {
        Some(text) => sheet_so_far(text, &facts)?,
        None => None,
    };
    let sheet = so_far.as_ref().map(|so_far| &so_far.sheet);
    let forming = view_of_part(entering.file, &open.book, sheet, &facts, part, ask)?;
    Ok(FormingRecordedView {
        format: FORMAT,
        program: PROGRAM_VERSION,
        data: parts::DATA_EDITION,
        file: entering.file.display().to_string(),
        restoration: open.book.name().map_err(in_file)?,
        entries: entries
            .iter()
            .filter(|entry| made.has(entry.number))
            .map(EntryView::from)
            .collect(),
        forming,
        notices: open.notices,
    })
}

fn readings(
    new: &NewFormingReading,
    before: &Gathered,
    day: &str,
    typed: &mut Typed,
) -> Vec<FormingFinding> {
    let carried = before
        .source_volts
        .as_ref()
        .filter(|(_, told)| told == day)
        .map(|(volts, _)| *volts);
    let source_volts = match &new.source_volts {
        Some(text) => typed.volts("--source-volts", text, 2000.0),
        None if carried.is_some() => carried,
        None => {
            typed.fault(
                "the volts of the source are not told",
                "say them with --source-volts, such as 450; within a day they are carried over",
            );
            None
        }
    };
    let resistor = match &new.resistor {
        Some(text) => {
            let ohms = typed.ohms("--resistor", text);
            if ohms == Some(0.0) {
                typed.fault(
                    format!("--resistor: `{}`: without a resistor nothing limits a section that breaks down", text.trim()),
                    "take the volts off; put the resistor that `firstraster reform` names between source and capacitor",
                );
            }
            ohms.filter(|ohms| ohms.is_finite() && *ohms > 0.0)
        }
        None => before.series_ohms,
    };
    let across = new
        .across
        .as_ref()
        .and_then(|text| typed.volts("--across", text, 2000.0));
    if across.is_some() && new.readings.len() > 1 {
        typed.fault(
            "--across belongs to one reading, and several are given",
            "enter that reading by itself",
        );
    }
    let case = new.case.as_ref().and_then(|text| {
        let bare = text
            .trim()
            .trim_end_matches(['C', 'c'])
            .trim_end_matches('°')
            .trim();
        typed.figure(
            "--case",
            bare,
            (-20.0, 200.0),
            "degrees Celsius, such as 27",
        )
    });
    let looks = new.looks.as_ref().and_then(|text| {
        let folded = text.trim().to_lowercase();
        let known = CAN_LOOKS.contains(&folded.as_str());
        if !known {
            typed.fault(
                format!("--looks: `{text}` read, the look of the can expected"),
                format!("write one of: {}", CAN_LOOKS.join(", ")),
            );
        }
        known.then_some(folded)
    });
    let mut found = Vec::new();
    for text in &new.readings {
        let Some((minutes, reading)) = text.split_once('=') else {
            typed.fault(
                format!("`{text}` read, MINUTES=READING expected"),
                "such as 30=58V (across the series resistor) or 30=1.1mA",
            );
            continue;
        };
        let minutes = typed.minutes(text, minutes);
        let amperes = leakage(text, reading, resistor, typed);
        let (Some(minutes), Some(amperes), Some(source_volts)) = (minutes, amperes, source_volts)
        else {
            continue;
        };
        found.push(FormingFinding::Reading {
            minutes,
            source_volts,
            section_volts: across,
            milliamperes: rounded(1e3 * amperes),
            series_ohms: resistor,
            case_celsius: case,
            looks: looks.clone().unwrap_or_default(),
            typed: reading.trim().to_owned(),
        });
    }
    found
}

/// Leakage from volts across the resistor, or as it was read.
fn leakage(place: &str, text: &str, resistor: Option<f64>, typed: &mut Typed) -> Option<f64> {
    let Ok(volts) = read_volts(text.trim()) else {
        return typed.amperes(place, text, 1.0);
    };
    match resistor.filter(|ohms| *ohms > 0.0) {
        Some(ohms) => typed.within(
            place,
            text,
            Some(volts.0 / ohms),
            (0.0, 1.0),
            "volts across the series resistor",
        ),
        None => {
            typed.fault(
                format!("{place}: volts across a resistor that is not told"),
                "say its ohms with --resistor, such as 54k, or give the leakage in mA",
            );
            None
        }
    }
}

fn discharged(
    left: &str,
    seconds: Option<&str>,
    through: Option<&str>,
    typed: &mut Typed,
    open: &mut OpenBook,
) -> Option<FormingFinding> {
    let volts_left = typed.volts("--left", left, 2000.0);
    let seconds = seconds.and_then(|text| typed.seconds("--seconds", text));
    let through_ohms = through
        .and_then(|text| typed.ohms("--through", text))
        .filter(|ohms| ohms.is_finite());
    let volts_left = volts_left?;
    if volts_left > DISCHARGED_VOLTS {
        open.notices.push(notice(
            &format!("{volts_left} V are left: it is not empty"),
            "discharge it again through the resistor, leave that on, and prove it with the meter",
        ));
    }
    Some(FormingFinding::Discharged {
        through_ohms,
        seconds,
        volts_left,
    })
}

fn ended(
    text: &str,
    judged: &receiver::forming::JudgedForming,
    typed: &mut Typed,
) -> Option<FormingEnd> {
    let folded = text.trim().to_lowercase();
    let Some(end) = FormingEnd::from_word(&folded) else {
        let known: Vec<&str> = FormingEnd::ALL.iter().map(|end| end.word()).collect();
        typed.fault(
            format!("`{text}` read, the end of the forming expected"),
            format!("write one of: {}", known.join(", ")),
        );
        return None;
    };
    if end == FormingEnd::Accepted && judged.verdict != FormingVerdict::Accepted {
        typed.fault(
            format!(
                "its readings do not let it be accepted: {}",
                judged.because.join("; ")
            ),
            "go on until they do, or end it with stopped or replace",
        );
        return None;
    }
    Some(end)
}

fn notice(text: &str, hint: &str) -> NoticeView {
    NoticeView {
        text: text.to_owned(),
        hint: hint.to_owned(),
        line: None,
    }
}
