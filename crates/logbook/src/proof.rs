//! What was measured and seen for the proof at the end that a set may be handed over.
//!
//! A figure is in the unit beside it, infinite where a meter showed an open path. Each entry says
//! who measured. An empty text means that nothing was said, `None` that it is not known. Nothing
//! here is judged. Reading fields fails with all their faults.

use crate::fields::{Fields, Reader, finite};

/// One answer to one item of the proof.
#[derive(Debug, Clone, PartialEq)]
pub struct OfProof {
    /// The item's key, such as `leakage`.
    pub item: String,
    /// The point or part that it was made at, such as `volume shaft`; empty for none.
    pub at: String,
    /// Which way the plug was in.
    pub plug: Option<PlugWay>,
    /// Whether the set was switched on.
    pub switched_on: Option<bool>,
    /// What was found.
    pub found: ProofFinding,
    /// Minutes since switch-on.
    pub minutes: Option<f64>,
    /// Line volts rms at the set.
    pub line_volts: Option<f64>,
    /// Who measured or looked; who signs.
    pub by: String,
    /// What it was measured with; empty if not said.
    pub instrument: String,
    /// Anything else.
    pub note: String,
}

/// What was found.
#[derive(Debug, Clone, PartialEq)]
pub enum ProofFinding {
    /// A figure.
    Figure {
        /// The value, infinite for an open path.
        value: f64,
        /// Its unit, such as `mA`, `V`, `ohm`, `s`, `C`, `kV`.
        unit: String,
        /// As it was typed.
        typed: String,
    },
    /// Yes: as the item wants it. No: not so.
    Answer {
        /// Which of the two.
        yes: bool,
    },
    /// The item does not belong to this set.
    NotOfThisSet {
        /// Why.
        because: String,
    },
    /// The list is signed as it stands.
    Signed {
        /// The last entry that the signature covers.
        up_to: u64,
    },
}

/// Which way the plug was in.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum PlugWay {
    /// One way; which one is up to the restorer, who keeps to it.
    One,
    /// The other way round.
    Other,
}

impl PlugWay {
    /// Both.
    pub const ALL: [PlugWay; 2] = [PlugWay::One, PlugWay::Other];

    /// The word in which it is stored and answered.
    pub fn word(self) -> &'static str {
        match self {
            PlugWay::One => "one",
            PlugWay::Other => "other",
        }
    }

    /// The way of this word.
    pub fn from_word(word: &str) -> Option<PlugWay> {
        PlugWay::ALL.into_iter().find(|way| way.word() == word)
    }
}

const ABOUT: [&str; 4] = ["figure", "answer", "not of this set", "signed"];

impl ProofFinding {
    /// What it is about, as it is stored and shown.
    pub fn about(&self) -> &'static str {
        match self {
            ProofFinding::Figure { .. } => ABOUT[0],
            ProofFinding::Answer { .. } => ABOUT[1],
            ProofFinding::NotOfThisSet { .. } => ABOUT[2],
            ProofFinding::Signed { .. } => ABOUT[3],
        }
    }
}

impl OfProof {
    pub(crate) fn to_fields(&self) -> Fields {
        let mut fields = Fields::default();
        fields.text("item", &self.item);
        fields.text("point", &self.at);
        fields.text("plug", self.plug.map_or("", PlugWay::word));
        if let Some(on) = self.switched_on {
            fields.text("switch", if on { "on" } else { "off" });
        }
        fields.text("about", self.found.about());
        match &self.found {
            ProofFinding::Figure { value, unit, typed } => {
                fields.number("value", Some(*value));
                fields.text("unit", unit);
                fields.text("typed", typed);
            }
            ProofFinding::Answer { yes } => {
                fields.text("answer", if *yes { "yes" } else { "no" });
            }
            ProofFinding::NotOfThisSet { because } => fields.text("because", because),
            ProofFinding::Signed { up_to } => fields.text("up_to", &up_to.to_string()),
        }
        fields.number("minutes", self.minutes);
        fields.number("line_volts", self.line_volts);
        fields.text("by", &self.by);
        fields.text("instrument", &self.instrument);
        fields.text("note", &self.note);
        fields
    }

    pub(crate) fn read(reader: &mut Reader<'_>) -> Option<OfProof> {
        let item = reader.required("item");
        let at = reader.text("point");
        let plug =
            one_of(reader, "plug", &["one", "other"]).and_then(|word| PlugWay::from_word(&word));
        let switched_on = one_of(reader, "switch", &["on", "off"]).map(|word| word == "on");
        let about = reader.required("about");
        let found = match about.as_str() {
            "figure" => Some(ProofFinding::Figure {
                value: reader.required_number("value"),
                unit: reader.required("unit"),
                typed: reader.text("typed"),
            }),
            "answer" => {
                if !reader.has("answer") {
                    reader.fault("answer", 0, "is not said, but needed", "write yes or no");
                }
                one_of(reader, "answer", &["yes", "no"])
                    .map(|word| ProofFinding::Answer { yes: word == "yes" })
            }
            "not of this set" => Some(ProofFinding::NotOfThisSet {
                because: reader.required("because"),
            }),
            "signed" => up_to(reader).map(|up_to| ProofFinding::Signed { up_to }),
            _ => {
                if !about.is_empty() {
                    reader.fault(
                        "about",
                        0,
                        &format!("`{about}` is nothing that is kept of a proof"),
                        &format!("it is one of: {}", ABOUT.join(", ")),
                    );
                }
                None
            }
        };
        let minutes = finite(reader, "minutes");
        let line_volts = finite(reader, "line_volts");
        let by = reader.required("by");
        let instrument = reader.text("instrument");
        let note = reader.text("note");
        found.map(|found| OfProof {
            item,
            at,
            plug,
            switched_on,
            found,
            minutes,
            line_volts,
            by,
            instrument,
            note,
        })
    }
}

/// One of these words; `None` where nothing is said or another word stands there, which is a fault.
fn one_of(reader: &mut Reader<'_>, key: &str, words: &[&str]) -> Option<String> {
    if !reader.has(key) {
        return None;
    }
    let text = reader.text(key);
    if words.contains(&text.as_str()) {
        return Some(text);
    }
    let wanted = words.join(" or ");
    let fault = format!("`{text}` read, {wanted} expected");
    reader.fault(key, 0, &fault, &format!("write {wanted}"));
    None
}

fn up_to(reader: &mut Reader<'_>) -> Option<u64> {
    let text = reader.required("up_to");
    match text.parse::<u64>() {
        Ok(number) if number > 0 && number < 1 << 53 => Some(number),
        _ => {
            if !text.is_empty() {
                let fault = format!("`{text}` is no number of an entry");
                reader.fault("up_to", 0, &fault, "write the number of an earlier entry");
            }
            None
        }
    }
}
