//! The facts of a restoration: what was seen, measured, tested, fitted, changed, decided.
//!
//! Units are in the names; a reading's value is in the unit that its [`What`] names, beside
//! the text that was typed. An empty text means that nothing was said, `None` that a figure
//! is not known; neither is ever read as zero. Making a fact cannot fail; [`Fact::faults`]
//! tells what keeps it from being stored.

use crate::fields::FieldFault;
use crate::picture_tube::OfPictureTube;
use crate::placed::Placed;
use crate::proof::OfProof;
use crate::re_forming::OfReForming;
pub use crate::what::What;

/// One fact.
#[derive(Debug, Clone, PartialEq)]
pub enum Fact {
    /// A version of the set sheet was taken in; its text is kept whole.
    SheetTaken(SheetTaken),
    /// Something was looked at.
    Seen(Seen),
    /// A meter was read.
    Measured(Measured),
    /// A tube or a part was put on a tester.
    Tested(Tested),
    /// Something was found of a picture tube.
    OfPictureTube(OfPictureTube),
    /// Something was found while an electrolytic was formed outside the set.
    OfReForming(OfReForming),
    /// Something was measured or seen for the proof at the end.
    OfProof(OfProof),
    /// A part was replaced.
    Fitted(Fitted),
    /// Something else was changed: a wire, a socket, a setting.
    Changed(Changed),
    /// A photograph was added; its original bytes are kept.
    Photographed(Photographed),
    /// A tube or part was marked on a photograph.
    Placed(Placed),
    /// Something was decided.
    Decided(Decided),
    /// A step of the first power-up was begun, done, skipped, stopped or left.
    Stepped(Stepped),
    /// Advice was given. It is a fact about the past and never read back as input.
    Advised(Advised),
    /// An earlier fact is told anew.
    Corrected(Corrected),
    /// An earlier fact no longer counts.
    Undone(Undone),
}

/// A version of the set sheet.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct SheetTaken {
    /// Name of the file it came from.
    pub name: String,
    /// The SHA-256 of its text, in hexadecimal: the name under which it is kept.
    pub sheet: String,
}

/// What was looked at and found.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Seen {
    /// Area of the chassis; empty where the thing is not of the list.
    pub area: String,
    /// The thing: its name in the list, or own words.
    pub thing: String,
    /// The part it is about, such as `C12`; empty for none.
    pub part: String,
    /// What was found.
    pub found: String,
    /// Anything else.
    pub note: String,
}

/// How the set stood when a meter was read. `None` and empty lists: not said.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Conditions {
    /// Whether the plug was out.
    pub plug_out: bool,
    /// Line volts rms at the wall side of the lamp, as read.
    pub line_volts: Option<f64>,
    /// Volts at which the dial of a variable transformer stood.
    pub dial_volts: Option<f64>,
    /// Rated watts of the limiter lamps, one each.
    pub lamp_watts: Vec<f64>,
    /// Tubes out of their sockets.
    pub pulled: Vec<String>,
    /// Switches and plugs that were open.
    pub open: Vec<String>,
    /// Parts cut loose.
    pub fitted_without: Vec<String>,
    /// Seconds since switch-on.
    pub seconds: Option<f64>,
    /// A d.c. source that fed the set, as typed: place, volts, resistor.
    pub dc: String,
}

/// A reading of a meter.
#[derive(Debug, Clone, PartialEq)]
pub struct Measured {
    /// Place, tube or part.
    pub place: String,
    /// Where the other lead was; empty for the chassis.
    pub to: String,
    /// What was read.
    pub what: What,
    /// The value as it was typed.
    pub typed: String,
    /// The value as it was read, in the unit that `what` names; infinite for an open place.
    pub value: f64,
    /// The meter, as typed; empty if not said.
    pub meter: String,
    /// How the set stood.
    pub conditions: Conditions,
    /// Anything else.
    pub note: String,
}

/// What a tester said.
#[derive(Debug, Clone, PartialEq)]
pub enum TestResult {
    /// Percent of the tester's own scale for a good one.
    Percent(f64),
    /// Transconductance, micromhos.
    Micromhos(f64),
    /// Its plain verdict, such as good, weak, shorted.
    Verdict(String),
}

/// A tube or a part on a tester.
#[derive(Debug, Clone, PartialEq)]
pub struct Tested {
    /// The tube or part, such as `V9`.
    pub part: String,
    /// The section of it, such as `1`; empty for the whole.
    pub section: String,
    /// The type that was tested, if said.
    pub type_number: String,
    /// The tester; empty if not said.
    pub tester: String,
    /// What it said.
    pub result: TestResult,
    /// Anything else.
    pub note: String,
}

/// A part that was replaced.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Fitted {
    /// The part, such as `C12`.
    pub part: String,
    /// What was there, in bench notation; empty if not said.
    pub old: String,
    /// What is there now.
    pub new: String,
    /// Its rating, such as `630 V`; empty if not said.
    pub rating: String,
    /// Anything else.
    pub note: String,
}

/// Something else that was changed.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Changed {
    /// What was changed.
    pub what: String,
    /// How it was; empty if not said.
    pub was: String,
    /// How it is now; empty if not said.
    pub is: String,
    /// Anything else.
    pub note: String,
}

/// A photograph.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Photographed {
    /// Name of the file it came from.
    pub name: String,
    /// The SHA-256 of its bytes, in hexadecimal: the name under which it is kept.
    pub photograph: String,
    /// What it shows; empty if not said.
    pub shows: String,
    /// When it was taken, as the camera wrote it; empty if it did not.
    pub taken: String,
    /// Anything else.
    pub note: String,
}

/// A decision.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Decided {
    /// What was decided.
    pub what: String,
    /// Why; empty if not said.
    pub because: String,
}

/// What became of a step of the first power-up.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum StepEvent {
    /// It was begun; in a step with power the plug went in.
    Begun,
    /// It was done.
    Done,
    /// It was passed over.
    Skipped,
    /// The plug was pulled because of a stop sign or a stop limit.
    Stopped,
    /// The bench was left, the plug out.
    Left,
}

impl StepEvent {
    /// All of them.
    pub const ALL: [StepEvent; 5] = [
        StepEvent::Begun,
        StepEvent::Done,
        StepEvent::Skipped,
        StepEvent::Stopped,
        StepEvent::Left,
    ];

    /// The word in which it is stored and answered.
    pub fn word(self) -> &'static str {
        match self {
            StepEvent::Begun => "begun",
            StepEvent::Done => "done",
            StepEvent::Skipped => "skipped",
            StepEvent::Stopped => "stopped",
            StepEvent::Left => "left",
        }
    }

    /// The event of this word.
    pub fn from_word(word: &str) -> Option<StepEvent> {
        StepEvent::ALL
            .into_iter()
            .find(|event| event.word() == word)
    }
}

/// A step of the first power-up, and what became of it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Stepped {
    /// Title of the step, as the plan has it.
    pub step: String,
    /// Its name through every plan of the set, such as `supply 2`.
    pub key: String,
    /// What became of it.
    pub event: StepEvent,
    /// Why; empty if not said.
    pub because: String,
    /// What is left unknown by it, one line each; empty for nothing.
    pub leaves_unknown: String,
}

/// Advice that was given.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Advised {
    /// What was asked.
    pub asked: String,
    /// What was said.
    pub said: String,
    /// Version of the program.
    pub program: String,
    /// Edition of the published figures.
    pub data: String,
}

/// An earlier fact told anew. It is of the same kind.
#[derive(Debug, Clone, PartialEq)]
pub struct Corrected {
    /// Number of the fact that is told anew.
    pub names: u64,
    /// What holds instead.
    pub instead: Box<Fact>,
    /// Why; empty if not said.
    pub because: String,
}

/// An earlier fact taken back. Taking back an undo brings the fact into force again.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Undone {
    /// Number of the fact that no longer counts.
    pub names: u64,
    /// Why; empty if not said.
    pub because: String,
}

/// The longest text of a fact, bytes.
pub const LONGEST_TEXT: usize = 64 * 1024;

impl Fact {
    /// The kind, as it is stored and shown.
    pub fn kind(&self) -> &'static str {
        match self {
            Fact::SheetTaken(_) => "sheet taken",
            Fact::Seen(_) => "seen",
            Fact::Measured(_) => "measured",
            Fact::Tested(_) => "tested",
            Fact::OfPictureTube(_) => "picture tube",
            Fact::OfReForming(_) => "re-forming",
            Fact::OfProof(_) => "proof",
            Fact::Fitted(_) => "fitted",
            Fact::Changed(_) => "changed",
            Fact::Photographed(_) => "photographed",
            Fact::Placed(_) => "placed",
            Fact::Decided(_) => "decided",
            Fact::Stepped(_) => "stepped",
            Fact::Advised(_) => "advised",
            Fact::Corrected(_) => "corrected",
            Fact::Undone(_) => "undone",
        }
    }

    /// The number of the earlier fact that this one is about.
    pub fn names(&self) -> Option<u64> {
        match self {
            Fact::Corrected(corrected) => Some(corrected.names),
            Fact::Undone(undone) => Some(undone.names),
            _ => None,
        }
    }

    /// The sheet that this fact needs beside it.
    pub fn sheet(&self) -> Option<&str> {
        match self {
            Fact::SheetTaken(taken) => Some(&taken.sheet),
            Fact::Corrected(corrected) => corrected.instead.sheet(),
            _ => None,
        }
    }

    /// The photograph that this fact needs beside it.
    pub fn photograph(&self) -> Option<&str> {
        match self {
            Fact::Photographed(one) => Some(&one.photograph),
            Fact::Placed(one) => Some(&one.photograph),
            Fact::Corrected(corrected) => corrected.instead.photograph(),
            _ => None,
        }
    }

    /// Everything that keeps this fact from being stored; empty for a sound one.
    pub fn faults(&self) -> Vec<FieldFault> {
        let fields = self.to_fields();
        let mut faults = Vec::new();
        for (key, text) in fields.pairs() {
            if text.len() > LONGEST_TEXT {
                faults.push(FieldFault::new(
                    key,
                    format!(
                        "{} bytes of text, at most {LONGEST_TEXT} are kept",
                        text.len()
                    ),
                    "say it in several entries, or keep it as a file of its own",
                ));
            }
        }
        match Fact::from_fields(self.kind(), &fields) {
            Ok(read) if read == *self => {}
            Ok(_) => faults.push(FieldFault::new(
                "",
                "an entry of a list is empty, or a figure is no number",
                "give each entry a name and each figure a value",
            )),
            Err(more) => faults.extend(more),
        }
        faults
    }
}
