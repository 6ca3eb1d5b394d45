//! What was found of a picture tube: heater, leaks, cut-off, emission against minutes, life test.
//!
//! Units are in the names; `shown` and `scale_end` are in the unit that whoever read the
//! instrument gave it. An empty text means that nothing was said, `None` that a figure is not
//! known. Nothing here is judged. Reading fields fails with all their faults.

use crate::fields::{Fields, Reader, finite, needed};

/// One thing found of a picture tube.
#[derive(Debug, Clone, PartialEq)]
pub struct OfPictureTube {
    /// The tube: its name on the sheet, such as V17, or a word, such as spare.
    pub part: String,
    /// The type read on it; empty if not said.
    pub type_number: String,
    /// What it was read with; empty if not said.
    pub instrument: String,
    /// What was found.
    pub found: TubeFinding,
    /// Anything else.
    pub note: String,
}

/// What was found.
#[derive(Debug, Clone, PartialEq)]
pub enum TubeFinding {
    /// The heater; at least one of the four.
    Heater {
        /// Cold resistance between its pins; infinite for an open one.
        cold_ohms: Option<f64>,
        /// Volts rms at its pins while hot.
        volts: Option<f64>,
        /// Amperes rms through it at those volts.
        amperes: Option<f64>,
        /// Whether a glow is seen in the neck.
        glows: Option<bool>,
    },
    /// Ohms between two elements, the socket off.
    Leak {
        /// Element at the plus lead.
        plus: String,
        /// Element at the minus lead.
        minus: String,
        /// What was read; infinite where the meter did not move.
        ohms: f64,
        /// Whether the heater was hot.
        hot: bool,
    },
    /// Where the beam is cut off; volts or a plain yes or no.
    CutOff {
        /// Volts that the grid stood below the cathode, above zero.
        grid_volts: Option<f64>,
        /// Whether it was cut off there, or at the brightness control's end.
        reached: Option<bool>,
        /// Volts of the second grid.
        second_grid_volts: Option<f64>,
    },
    /// A reading of emission some minutes after the heater was put on.
    Emission {
        /// Minutes since the heater was put on.
        minutes: f64,
        /// The needle.
        needle: Needle,
    },
    /// A reading some seconds after the heater was reduced or cut; 0 is the one just before.
    LifeTest {
        /// Seconds since then.
        seconds: f64,
        /// The needle; its heater volts are those of the reduced heater, 0 for a cut one.
        needle: Needle,
    },
    /// Current by the bench method at these second-grid volts.
    BenchCurrent {
        /// Volts at the second grid itself.
        second_grid_volts: f64,
        /// Microamperes at once.
        microamperes: f64,
        /// Microamperes ten seconds later.
        microamperes_later: Option<f64>,
    },
    /// What a working set shows of it.
    RunningSet {
        /// Such as bright, dim, none.
        picture: String,
        /// Cathode current, microamperes.
        cathode_microamperes: Option<f64>,
    },
}

/// A needle on the scale of whatever instrument.
#[derive(Debug, Clone, PartialEq)]
pub struct Needle {
    /// Readings of one sitting belong together; empty for the first one.
    pub sitting: String,
    /// What it showed.
    pub shown: f64,
    /// The unit, such as percent or uA.
    pub unit: String,
    /// The last mark of the scale, in that unit.
    pub scale_end: f64,
    /// Error of the needle, percent of the whole scale; `None` if nobody knows.
    pub needle_percent: Option<f64>,
    /// Heater volts rms noted with it.
    pub heater_volts: Option<f64>,
}

/// The names under which findings are kept.
const ABOUT: [&str; 7] = [
    "heater",
    "leak",
    "cut-off",
    "emission",
    "life test",
    "bench current",
    "running set",
];

impl TubeFinding {
    /// What it is about, as it is stored and shown.
    pub fn about(&self) -> &'static str {
        let place = match self {
            TubeFinding::Heater { .. } => 0,
            TubeFinding::Leak { .. } => 1,
            TubeFinding::CutOff { .. } => 2,
            TubeFinding::Emission { .. } => 3,
            TubeFinding::LifeTest { .. } => 4,
            TubeFinding::BenchCurrent { .. } => 5,
            TubeFinding::RunningSet { .. } => 6,
        };
        ABOUT[place]
    }
}

impl OfPictureTube {
    pub(crate) fn to_fields(&self) -> Fields {
        let mut fields = Fields::default();
        fields.text("part", &self.part);
        fields.text("type", &self.type_number);
        fields.text("about", self.found.about());
        let yes_or_no = |fields: &mut Fields, key: &str, said: Option<bool>| {
            if let Some(said) = said {
                fields.text(key, if said { "yes" } else { "no" });
            }
        };
        match &self.found {
            TubeFinding::Heater {
                cold_ohms,
                volts,
                amperes,
                glows,
            } => {
                fields.number("cold_ohms", *cold_ohms);
                fields.number("heater_volts", *volts);
                fields.number("heater_amperes", *amperes);
                yes_or_no(&mut fields, "glows", *glows);
            }
            TubeFinding::Leak {
                plus,
                minus,
                ohms,
                hot,
            } => {
                fields.text("plus", plus);
                fields.text("minus", minus);
                fields.number("ohms", Some(*ohms));
                fields.yes("hot", *hot);
            }
            TubeFinding::CutOff {
                grid_volts,
                reached,
                second_grid_volts,
            } => {
                fields.number("grid_volts", *grid_volts);
                yes_or_no(&mut fields, "reached", *reached);
                fields.number("second_grid_volts", *second_grid_volts);
            }
            TubeFinding::Emission { minutes, needle } => {
                fields.number("minutes", Some(*minutes));
                needle_fields(&mut fields, needle);
            }
            TubeFinding::LifeTest { seconds, needle } => {
                fields.number("seconds", Some(*seconds));
                needle_fields(&mut fields, needle);
            }
            TubeFinding::BenchCurrent {
                second_grid_volts,
                microamperes,
                microamperes_later,
            } => {
                fields.number("second_grid_volts", Some(*second_grid_volts));
                fields.number("microamperes", Some(*microamperes));
                fields.number("microamperes_later", *microamperes_later);
            }
            TubeFinding::RunningSet {
                picture,
                cathode_microamperes,
            } => {
                fields.text("picture", picture);
                fields.number("cathode_microamperes", *cathode_microamperes);
            }
        }
        fields.text("instrument", &self.instrument);
        fields.text("note", &self.note);
        fields
    }

    pub(crate) fn read(reader: &mut Reader<'_>) -> Option<OfPictureTube> {
        let part = reader.required("part");
        let type_number = reader.text("type");
        let about = reader.required("about");
        let found = match about.as_str() {
            "heater" => Some(TubeFinding::Heater {
                cold_ohms: reader.number("cold_ohms"),
                volts: finite(reader, "heater_volts"),
                amperes: finite(reader, "heater_amperes"),
                glows: yes_or_no(reader, "glows"),
            }),
            "leak" => Some(TubeFinding::Leak {
                plus: reader.required("plus"),
                minus: reader.required("minus"),
                ohms: reader.required_number("ohms"),
                hot: reader.yes("hot"),
            }),
            "cut-off" => Some(TubeFinding::CutOff {
                grid_volts: finite(reader, "grid_volts"),
                reached: yes_or_no(reader, "reached"),
                second_grid_volts: finite(reader, "second_grid_volts"),
            }),
            "emission" => Some(TubeFinding::Emission {
                minutes: needed(reader, "minutes"),
                needle: needle(reader),
            }),
            "life test" => Some(TubeFinding::LifeTest {
                seconds: needed(reader, "seconds"),
                needle: needle(reader),
            }),
            "bench current" => Some(TubeFinding::BenchCurrent {
                second_grid_volts: needed(reader, "second_grid_volts"),
                microamperes: needed(reader, "microamperes"),
                microamperes_later: finite(reader, "microamperes_later"),
            }),
            "running set" => Some(TubeFinding::RunningSet {
                picture: reader.text("picture"),
                cathode_microamperes: finite(reader, "cathode_microamperes"),
            }),
            _ => None,
        };
        match &found {
            None if !about.is_empty() => reader.fault(
                "about",
                0,
                &format!("`{about}` is nothing that is kept of a picture tube"),
                &format!("it is one of: {}", ABOUT.join(", ")),
            ),
            Some(found) if says_nothing(found) => reader.fault(
                "about",
                0,
                &format!("nothing is said about the {about}"),
                "give at least one of its figures",
            ),
            _ => {}
        }
        let instrument = reader.text("instrument");
        let note = reader.text("note");
        found.map(|found| OfPictureTube {
            part,
            type_number,
            instrument,
            found,
            note,
        })
    }
}

fn says_nothing(found: &TubeFinding) -> bool {
    match found {
        TubeFinding::Heater {
            cold_ohms,
            volts,
            amperes,
            glows,
        } => cold_ohms.or(*volts).or(*amperes).is_none() && glows.is_none(),
        TubeFinding::CutOff {
            grid_volts,
            reached,
            ..
        } => grid_volts.is_none() && reached.is_none(),
        TubeFinding::RunningSet {
            picture,
            cathode_microamperes,
        } => picture.is_empty() && cathode_microamperes.is_none(),
        _ => false,
    }
}

fn needle_fields(fields: &mut Fields, needle: &Needle) {
    fields.text("sitting", &needle.sitting);
    fields.number("shown", Some(needle.shown));
    fields.text("unit", &needle.unit);
    fields.number("scale_end", Some(needle.scale_end));
    fields.number("needle_percent", needle.needle_percent);
    fields.number("heater_volts", needle.heater_volts);
}

fn needle(reader: &mut Reader<'_>) -> Needle {
    Needle {
        sitting: reader.text("sitting"),
        shown: needed(reader, "shown"),
        unit: reader.required("unit"),
        scale_end: needed(reader, "scale_end"),
        needle_percent: finite(reader, "needle_percent"),
        heater_volts: finite(reader, "heater_volts"),
    }
}

fn yes_or_no(reader: &mut Reader<'_>, key: &str) -> Option<bool> {
    if !reader.has(key) {
        return None;
    }
    let text = reader.text(key);
    match text.as_str() {
        "yes" => Some(true),
        "no" => Some(false),
        _ => {
            let text = format!("`{text}` read, yes or no expected");
            reader.fault(key, 0, &text, "write yes or no, or leave the line out");
            None
        }
    }
}
