//! What a restoration keeps of the forming of one section.
//!
//! Readings since the section was last fitted new or taken up again after an end, in their order.
//! Nothing here fails.

use logbook::{Fact, FormingEnd, FormingFinding, OfReForming, Stamp, StandingFact, StepEvent};
use receiver::forming::{CanLook, LeakReading};
use receiver::plan::re_forming::top_volts;
use receiver::sheet::{PartValue, Sheet, SheetPart};

/// How a forming ended.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Ended {
    /// How.
    pub end: FormingEnd,
    /// Why.
    pub because: String,
    /// The entry.
    pub number: u64,
    /// When.
    pub at: Stamp,
}

/// What was found of one section.
#[derive(Debug, Clone, PartialEq, Default)]
pub(super) struct Gathered {
    /// Entries and readings.
    pub readings: Vec<(u64, LeakReading)>,
    /// The end, where no reading came after it.
    pub ended: Option<Ended>,
    /// Volts that were left at the last discharge, where none came after it.
    pub volts_left: Option<f64>,
    /// What was typed for its marks.
    pub marked: Option<String>,
    /// The last source volts, with the day on which they were told.
    pub source_volts: Option<(f64, String)>,
    /// The last series resistor.
    pub series_ohms: Option<f64>,
}

/// Gathers it.
pub(super) fn gather(facts: &[StandingFact<'_>], part: &str) -> Gathered {
    let mut gathered = Gathered::default();
    for one in facts {
        match one.fact {
            Fact::Fitted(fitted) if fitted.part.eq_ignore_ascii_case(part) => {
                gathered = Gathered::default();
            }
            Fact::OfReForming(forming) if forming.part.eq_ignore_ascii_case(part) => {
                gathered.take(one, forming);
            }
            _ => {}
        }
    }
    gathered
}

impl Gathered {
    fn take(&mut self, one: &StandingFact<'_>, forming: &OfReForming) {
        if !forming.marked.is_empty() {
            self.marked = Some(forming.marked.clone());
        }
        match &forming.found {
            FormingFinding::Reading {
                minutes,
                source_volts,
                section_volts,
                milliamperes,
                series_ohms,
                case_celsius,
                looks,
                typed: _,
            } => {
                if self.ended.take().is_some() {
                    // Taken up again: what was read before the end is another row.
                    self.readings.clear();
                }
                self.volts_left = None;
                let day = one.at.as_str().get(..10).unwrap_or_default().to_owned();
                self.source_volts = Some((*source_volts, day));
                self.series_ohms = series_ohms.or(self.series_ohms);
                let reading = LeakReading {
                    minutes: *minutes,
                    source_volts: *source_volts,
                    section_volts: *section_volts,
                    amperes: 1e-3 * milliamperes,
                    series_ohms: *series_ohms,
                    case_celsius: *case_celsius,
                    look: look_of(looks),
                };
                self.readings.push((one.number, reading));
            }
            FormingFinding::Discharged { volts_left, .. } => self.volts_left = Some(*volts_left),
            FormingFinding::Ended { end, because } => {
                self.ended = Some(Ended {
                    end: *end,
                    because: because.clone(),
                    number: one.number,
                    at: one.at.clone(),
                });
            }
        }
    }

    /// The readings alone.
    pub fn leak_readings(&self) -> Vec<LeakReading> {
        self.readings.iter().map(|(_, reading)| *reading).collect()
    }
}

/// The volts to which a section that counts as formed anew was formed: outside the set those of the source at the last
/// reading before it was accepted, in the set those of the plan of the first power-up; `None` where only the sheet says
/// that it was formed.
pub(crate) fn formed_volts(
    facts: &[StandingFact<'_>],
    sheet: &Sheet,
    part: &SheetPart,
) -> Option<f64> {
    let is_own = |name: &str| name.trim().eq_ignore_ascii_case(&part.reference);
    let (mut read, mut formed) = (None, None);
    for one in facts {
        match one.fact {
            Fact::Fitted(fitted) if is_own(&fitted.part) => (read, formed) = (None, None),
            Fact::OfReForming(forming) if is_own(&forming.part) => match forming.found {
                FormingFinding::Reading { source_volts, .. } => read = Some(source_volts),
                FormingFinding::Ended { end, .. } => match end {
                    FormingEnd::Accepted => formed = read,
                    FormingEnd::Stopped => {}
                    FormingEnd::Replace => formed = None,
                },
                FormingFinding::Discharged { .. } => {}
            },
            Fact::Stepped(stepped) if stepped.event == StepEvent::Done => {
                let own = stepped.key.strip_prefix("re_forming ").is_some_and(is_own);
                if let PartValue::Capacitor {
                    volts: Some(marked),
                    ..
                } = part.value
                    && own
                {
                    formed = Some(top_volts(sheet, marked));
                }
            }
            _ => {}
        }
    }
    formed
}

/// The look of this word.
pub(super) fn look_of(word: &str) -> Option<CanLook> {
    match word {
        "sound" => Some(CanLook::Sound),
        "warm" => Some(CanLook::Warm),
        "hot" => Some(CanLook::Hot),
        "bulging" => Some(CanLook::Bulging),
        "leaking" => Some(CanLook::Leaking),
        _ => None,
    }
}
