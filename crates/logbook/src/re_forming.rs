//! What was found while an old electrolytic was formed anew outside the set.
//!
//! Units are in the names: volts, milliamperes, ohms, degrees Celsius, minutes since the volts of
//! this sitting were put on. An empty text means that nothing was said, `None` that a figure is
//! not known. Nothing here is judged. Reading fields fails with all their faults.

use crate::fields::{Fields, Reader, finite, needed};

/// One thing found while one section of an electrolytic was formed outside the set.
#[derive(Debug, Clone, PartialEq)]
pub struct OfReForming {
    /// The section: its name on the sheet, such as C1A, or a word, such as spare.
    pub part: String,
    /// What is marked on it, such as `40 mfd 450 V`; empty where the sheet has it.
    pub marked: String,
    /// What was found.
    pub found: FormingFinding,
    /// What it was read with; empty if not said.
    pub instrument: String,
    /// Anything else.
    pub note: String,
}

/// What was found.
#[derive(Debug, Clone, PartialEq)]
pub enum FormingFinding {
    /// Volts and leakage some minutes after the volts were put on.
    Reading {
        /// Minutes since then.
        minutes: f64,
        /// Volts of the source.
        source_volts: f64,
        /// Volts across the section itself.
        section_volts: Option<f64>,
        /// Leakage.
        milliamperes: f64,
        /// The resistor in series.
        series_ohms: Option<f64>,
        /// Warmth of the case.
        case_celsius: Option<f64>,
        /// How the can looks and feels: `sound`, `warm`, `hot`, `bulging`, `leaking`; empty if not said.
        looks: String,
        /// What was typed for the leakage, such as `4.2 V`.
        typed: String,
    },
    /// The volts were taken off and the section was discharged.
    Discharged {
        /// Through this resistor.
        through_ohms: Option<f64>,
        /// Seconds that it took.
        seconds: Option<f64>,
        /// Volts that the meter still showed.
        volts_left: f64,
    },
    /// It came to an end.
    Ended {
        /// How.
        end: FormingEnd,
        /// Why; empty if not said.
        because: String,
    },
}

/// How the forming of a section came to its end.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum FormingEnd {
    /// Its leakage met the limit: it counts as formed anew.
    Accepted,
    /// It was broken off and may be gone on with.
    Stopped,
    /// It is to be replaced.
    Replace,
}

impl FormingEnd {
    /// All of them.
    pub const ALL: [FormingEnd; 3] = [
        FormingEnd::Accepted,
        FormingEnd::Stopped,
        FormingEnd::Replace,
    ];

    /// The word in which it is stored and answered.
    pub fn word(self) -> &'static str {
        match self {
            FormingEnd::Accepted => "accepted",
            FormingEnd::Stopped => "stopped",
            FormingEnd::Replace => "replace",
        }
    }

    /// The end of this word.
    pub fn from_word(word: &str) -> Option<FormingEnd> {
        FormingEnd::ALL.into_iter().find(|end| end.word() == word)
    }
}

/// The words for the look of a can, the gravest last.
pub const CAN_LOOKS: [&str; 5] = ["sound", "warm", "hot", "bulging", "leaking"];

const ABOUT: [&str; 3] = ["reading", "discharged", "ended"];

impl FormingFinding {
    /// What it is about, as it is stored and shown.
    pub fn about(&self) -> &'static str {
        match self {
            FormingFinding::Reading { .. } => ABOUT[0],
            FormingFinding::Discharged { .. } => ABOUT[1],
            FormingFinding::Ended { .. } => ABOUT[2],
        }
    }
}

impl OfReForming {
    pub(crate) fn to_fields(&self) -> Fields {
        let mut fields = Fields::default();
        fields.text("part", &self.part);
        fields.text("marked", &self.marked);
        fields.text("about", self.found.about());
        match &self.found {
            FormingFinding::Reading {
                minutes,
                source_volts,
                section_volts,
                milliamperes,
                series_ohms,
                case_celsius,
                looks,
                typed,
            } => {
                fields.number("minutes", Some(*minutes));
                fields.number("source_volts", Some(*source_volts));
                fields.number("section_volts", *section_volts);
                fields.number("milliamperes", Some(*milliamperes));
                fields.number("series_ohms", *series_ohms);
                fields.number("case_celsius", *case_celsius);
                fields.text("looks", looks);
                fields.text("typed", typed);
            }
            FormingFinding::Discharged {
                through_ohms,
                seconds,
                volts_left,
            } => {
                fields.number("through_ohms", *through_ohms);
                fields.number("seconds", *seconds);
                fields.number("volts_left", Some(*volts_left));
            }
            FormingFinding::Ended { end, because } => {
                fields.text("end", end.word());
                fields.text("because", because);
            }
        }
        fields.text("instrument", &self.instrument);
        fields.text("note", &self.note);
        fields
    }

    pub(crate) fn read(reader: &mut Reader<'_>) -> Option<OfReForming> {
        let part = reader.required("part");
        let marked = reader.text("marked");
        let about = reader.required("about");
        let found = match about.as_str() {
            "reading" => Some(FormingFinding::Reading {
                minutes: needed(reader, "minutes"),
                source_volts: needed(reader, "source_volts"),
                section_volts: finite(reader, "section_volts"),
                milliamperes: needed(reader, "milliamperes"),
                series_ohms: finite(reader, "series_ohms"),
                case_celsius: finite(reader, "case_celsius"),
                looks: looks(reader),
                typed: reader.text("typed"),
            }),
            "discharged" => Some(FormingFinding::Discharged {
                through_ohms: finite(reader, "through_ohms"),
                seconds: finite(reader, "seconds"),
                volts_left: needed(reader, "volts_left"),
            }),
            "ended" => end(reader).map(|end| FormingFinding::Ended {
                end,
                because: reader.text("because"),
            }),
            _ => {
                if !about.is_empty() {
                    reader.fault(
                        "about",
                        0,
                        &format!("`{about}` is nothing that is kept of a re-forming"),
                        &format!("it is one of: {}", ABOUT.join(", ")),
                    );
                }
                None
            }
        };
        let instrument = reader.text("instrument");
        let note = reader.text("note");
        found.map(|found| OfReForming {
            part,
            marked,
            found,
            instrument,
            note,
        })
    }
}

fn looks(reader: &mut Reader<'_>) -> String {
    let looks = reader.text("looks");
    if !looks.is_empty() && !CAN_LOOKS.contains(&looks.as_str()) {
        let text = format!("`{looks}` is no look of a can that is known here");
        let hint = format!("write one of: {}", CAN_LOOKS.join(", "));
        reader.fault("looks", 0, &text, &hint);
    }
    looks
}

fn end(reader: &mut Reader<'_>) -> Option<FormingEnd> {
    let word = reader.required("end");
    let end = FormingEnd::from_word(&word);
    if end.is_none() && !word.is_empty() {
        let known: Vec<&str> = FormingEnd::ALL.iter().map(|end| end.word()).collect();
        let text = format!("`{word}` is no end of a re-forming");
        let hint = format!("write one of: {}", known.join(", "));
        reader.fault("end", 0, &text, &hint);
    }
    end
}
