//! What a pattern asks, question by question.
//!
//! Nothing here fails; reading the tables is in `read_pattern`.

use parts::{SectionKind, TubeType};

use crate::sheet::PartKind;

/// One stage as it is found in sets of the time.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct StagePattern {
    /// Its name on the command line, such as `audio-triode`.
    pub name: String,
    /// What it is, in a few words.
    pub title: String,
    /// Where to begin under the chassis and which way to go.
    pub look: String,
    /// The questions, in the order in which they are asked.
    pub questions: Vec<PatternQuestion>,
}

impl StagePattern {
    /// The question of this name.
    pub fn question(&self, name: &str) -> Option<&PatternQuestion> {
        self.questions.iter().find(|question| question.name == name)
    }

    /// The name of the question that is spelled nearest to this, if one is near.
    pub fn nearest_question(&self, name: &str) -> Option<&str> {
        let wanted = name.to_lowercase();
        self.questions
            .iter()
            .map(|question| (strsim::osa_distance(&question.name, &wanted), question))
            .filter(|(distance, _)| *distance <= 4)
            .min_by_key(|(distance, _)| *distance)
            .map(|(_, question)| question.name.as_str())
    }
}

/// One question of a pattern.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct PatternQuestion {
    /// Its name, unique in the pattern; the key in a file of answers.
    pub name: String,
    /// What is asked for, as a person looks for it.
    pub ask: String,
    /// An answer of common practice.
    pub example: String,
    /// What an answer may be and what becomes of it.
    pub form: QuestionForm,
}

impl PatternQuestion {
    /// What an answer looks like, in words.
    pub fn expects(&self) -> String {
        match &self.form {
            QuestionForm::Tube { need, .. } => format!(
                "reference, and the type if the tube is not on the sheet yet: {}",
                need.in_words()
            ),
            QuestionForm::Place => "a place: a pin, `chassis`, or the name of a line".to_string(),
            QuestionForm::Part { kinds, .. } => {
                let names: Vec<&str> = kinds.iter().map(|kind| kind.name()).collect();
                match names.as_slice() {
                    [only] => format!("reference and value of the {only}"),
                    [first, others @ ..] => format!(
                        "reference, kind and value; {first} if no kind is named, or {}",
                        others.join(", ")
                    ),
                    [] => "reference, kind and value".to_string(),
                }
            }
            QuestionForm::Wire { .. } => "yes or no".to_string(),
            QuestionForm::Transformer => "the transformer's reference".to_string(),
            QuestionForm::Winding { .. } => "its volts and the ohms of its copper".to_string(),
            QuestionForm::Heaters {
                in_series: true, ..
            } => "the tubes, in the order of the string".to_string(),
            QuestionForm::Heaters {
                in_series: false, ..
            } => "the tubes".to_string(),
        }
    }
}

/// What is asked for.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum QuestionForm {
    /// A tube: its reference, and its type if it is new to the sheet.
    Tube {
        /// The section that the stage uses.
        need: TubeNeed,
        /// What a new tube does, for its row.
        job: String,
    },
    /// A place, such as a B+ line.
    Place,
    /// A part between two ends.
    Part {
        /// The kinds it may be; the first if the answer names none.
        kinds: Vec<PartKind>,
        /// Where it starts; the + end of an electrolytic.
        from: End,
        /// Where it ends.
        to: End,
        /// Its wiper or tap.
        third: Option<End>,
    },
    /// A plain wire that may be there.
    Wire {
        /// One end.
        from: End,
        /// The other.
        to: End,
    },
    /// The reference of a transformer.
    Transformer,
    /// A winding of a transformer: its rating.
    Winding {
        /// The question that asked for the transformer.
        transformer: String,
        /// Its name in the row.
        name: String,
        /// Its start.
        start: End,
        /// Its end.
        end: End,
    },
    /// Which tubes are lit here, in the order of the chain.
    Heaters {
        /// Where the feed comes in.
        from: End,
        /// Where it goes out.
        to: End,
        /// One after the other instead of side by side.
        in_series: bool,
    },
}

impl QuestionForm {
    /// The ends it needs before it can be asked.
    pub fn ends(&self) -> Vec<&End> {
        match self {
            QuestionForm::Part {
                from, to, third, ..
            } => [Some(from), Some(to), third.as_ref()]
                .into_iter()
                .flatten()
                .collect(),
            QuestionForm::Wire { from, to } | QuestionForm::Heaters { from, to, .. } => {
                vec![from, to]
            }
            QuestionForm::Winding { start, end, .. } => vec![start, end],
            QuestionForm::Tube { .. } | QuestionForm::Place | QuestionForm::Transformer => {
                Vec::new()
            }
        }
    }
}

/// One end of a part, before the answers are known.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum End {
    /// The chassis or a blade of the plug.
    Fixed(String),
    /// A place of the stage itself, without a name on the chassis; written `@load`.
    Own(String),
    /// The answer to a question for a place.
    Asked(String),
    /// An element of a tube that was asked for; written `amplifier.plate`.
    Element {
        /// The question that asked for the tube.
        tube: String,
        /// `plate`, `grid`, `screen`, `grid3`, `cathode`, or an element of the pin map.
        element: String,
    },
}

/// The section of a tube that a stage uses.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum TubeNeed {
    /// A triode or one of several.
    Triode,
    /// A pentode.
    Pentode,
    /// A triode, pentode or beam tube that gives power.
    Output,
    /// A triode or a pentode.
    Amplifier,
    /// One diode.
    Diode,
    /// Two diodes with their own cathodes or a common one.
    TwinDiode,
    /// A rectifier of the supply, all of it.
    Rectifier,
    /// A damper diode.
    Damper,
    /// A high-voltage rectifier.
    HighVoltage,
    /// A tube with five grids.
    Pentagrid,
    /// A gated-beam tube, or a pentode made to gate at two grids.
    Gated,
    /// A picture tube.
    Picture,
}

impl TubeNeed {
    /// The words of the tables.
    pub const WORDS: [(&'static str, TubeNeed); 12] = [
        ("triode", TubeNeed::Triode),
        ("pentode", TubeNeed::Pentode),
        ("output", TubeNeed::Output),
        ("amplifier", TubeNeed::Amplifier),
        ("diode", TubeNeed::Diode),
        ("twin-diode", TubeNeed::TwinDiode),
        ("rectifier", TubeNeed::Rectifier),
        ("damper", TubeNeed::Damper),
        ("high-voltage", TubeNeed::HighVoltage),
        ("pentagrid", TubeNeed::Pentagrid),
        ("gated", TubeNeed::Gated),
        ("picture", TubeNeed::Picture),
    ];

    /// As a sentence says it.
    pub fn in_words(self) -> &'static str {
        match self {
            TubeNeed::Triode => "a triode",
            TubeNeed::Pentode => "a pentode",
            TubeNeed::Output => "a triode, pentode or beam tube",
            TubeNeed::Amplifier => "a triode or pentode",
            TubeNeed::Diode => "a diode",
            TubeNeed::TwinDiode => "two diodes",
            TubeNeed::Rectifier => "a rectifier",
            TubeNeed::Damper => "a damper",
            TubeNeed::HighVoltage => "a high-voltage rectifier",
            TubeNeed::Pentagrid => "a tube with five grids",
            TubeNeed::Gated => "a gated-beam tube",
            TubeNeed::Picture => "a picture tube",
        }
    }

    /// Whether the whole tube is meant, its elements by their own names.
    pub fn is_whole_tube(self) -> bool {
        matches!(
            self,
            TubeNeed::TwinDiode | TubeNeed::Rectifier | TubeNeed::Picture
        )
    }

    /// Whether a section of this kind will do.
    pub fn takes(self, kind: SectionKind) -> bool {
        match self {
            TubeNeed::Triode => kind == SectionKind::Triode,
            TubeNeed::Pentode => kind == SectionKind::Pentode,
            TubeNeed::Output => matches!(
                kind,
                SectionKind::Triode | SectionKind::Pentode | SectionKind::Beam
            ),
            TubeNeed::Amplifier => matches!(kind, SectionKind::Triode | SectionKind::Pentode),
            TubeNeed::Diode | TubeNeed::TwinDiode => kind == SectionKind::Diode,
            TubeNeed::Rectifier => kind == SectionKind::Rectifier,
            TubeNeed::Damper => kind == SectionKind::Damper,
            TubeNeed::HighVoltage => kind == SectionKind::HvRectifier,
            TubeNeed::Pentagrid => kind == SectionKind::Pentagrid,
            TubeNeed::Gated => {
                matches!(kind, SectionKind::GatedBeam | SectionKind::Pentode)
            }
            TubeNeed::Picture => false,
        }
    }

    /// Whether the type can do it; `true` as well where the catalogue does not say what the type is.
    pub fn is_met_by(self, kind: &TubeType) -> bool {
        if self == TubeNeed::Picture {
            return kind.is_picture_tube;
        }
        let has_diodes = kind.pins.iter().any(|pin| {
            pin.elements
                .iter()
                .any(|element| element.starts_with("diode"))
        });
        !kind.is_picture_tube
            && (kind.sections.is_empty()
                || kind.sections.iter().any(|section| self.takes(section.kind))
                || (matches!(self, TubeNeed::Diode | TubeNeed::TwinDiode) && has_diodes))
    }
}
