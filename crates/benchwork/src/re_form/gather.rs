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

#[cfg(test)]
mod tests {
    use super::*;
    use crate::test_facts::with_standing;
    use logbook::{Fitted, Stepped};
    use receiver::sheet::read_sheet;

    /// A bench whose source reaches 300 V, and a can marked 450 V.
    const SHEET: &str = "sheet = 1\nname = \"x\"\nline_volts = 117\nline_hertz = 60\ntubes = []\n\
        parts = [[\"C1A\", \"electrolytic\", \"40 mfd 450 V\", \"B+\", \"chassis\"]]\n\
        [bench]\ndc_source = \"0-300 V 20 mA\"\n";

    fn of(found: FormingFinding) -> Fact {
        Fact::OfReForming(OfReForming {
            part: "c1a".to_owned(),
            marked: String::new(),
            found,
            instrument: String::new(),
            note: String::new(),
        })
    }

    fn read(volts: f64) -> Fact {
        of(FormingFinding::Reading {
            minutes: 30.0,
            source_volts: volts,
            section_volts: Some(0.95 * volts),
            milliamperes: 0.2,
            series_ohms: None,
            case_celsius: None,
            looks: String::new(),
            typed: String::new(),
        })
    }

    fn ended(end: FormingEnd) -> Fact {
        of(FormingFinding::Ended {
            end,
            because: String::new(),
        })
    }

    fn in_the_set() -> Fact {
        Fact::Stepped(Stepped {
            step: "form C1A".to_owned(),
            key: "re_forming C1A".to_owned(),
            event: StepEvent::Done,
            because: String::new(),
            leaves_unknown: String::new(),
        })
    }

    fn volts(facts: &[Fact]) -> Option<f64> {
        let catalogue = crate::catalogue().expect("sound");
        let sheet = read_sheet(SHEET, catalogue).sheet.expect("no fault");
        with_standing(facts, |standing| {
            formed_volts(standing, &sheet, &sheet.parts[0])
        })
    }

    /// The last reading before it was accepted; in the set the least of source and marked volts (the plan's own rule).
    #[test]
    fn to_which_volts_a_can_was_formed() {
        let accepted = || ended(FormingEnd::Accepted);
        assert_eq!(volts(&[]), None);
        assert_eq!(volts(&[read(300.0)]), None);
        assert_eq!(volts(&[read(200.0), read(300.0), accepted()]), Some(300.0));
        // Taken up again: only the next acceptance counts.
        let again = [read(300.0), accepted(), read(450.0)];
        assert_eq!(volts(&again), Some(300.0));
        assert_eq!(volts(&[&again[..], &[accepted()]].concat()), Some(450.0));
        let stopped = [
            read(300.0),
            accepted(),
            read(450.0),
            ended(FormingEnd::Stopped),
        ];
        assert_eq!(volts(&stopped), Some(300.0));
        assert_eq!(
            volts(&[read(300.0), accepted(), ended(FormingEnd::Replace)]),
            None
        );
        let fitted = Fact::Fitted(Fitted {
            part: "C1A".to_owned(),
            new: "47 mfd".to_owned(),
            ..Fitted::default()
        });
        assert_eq!(volts(&[read(300.0), accepted(), fitted]), None);
        assert_eq!(volts(&[in_the_set()]), Some(300.0));
    }
}
