//! The entries of a restoration, for people and scripts.
//!
//! `says` has the fields of the entry: figures as numbers in the unit of their key or of `what`
//! (`null` for an open place), lists as lists, all else as text. Making a view cannot fail.

use super::JudgedView;
use crate::{FORMAT, PROGRAM_VERSION};
use logbook::{
    Conditions, Entry, Fact, Fields, Measured, Stamp, Standing, StandingFact, TestResult,
};
use serde::Serialize;
use serde_json::{Map, Value};

use super::found::found_in_words;
use super::found_at_the_end::{forming_in_words, proof_in_words};
use super::{FormingRecordedView, FoundView, NoticeView, ProofRecordedView};

/// The answer of a command that makes an entry.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct RecordedView {
    /// Edition of this form.
    pub format: u32,
    /// Version of the program.
    pub program: &'static str,
    /// Edition of the published figures.
    pub data: &'static str,
    /// The file, as it was named.
    pub file: String,
    /// Name of the restoration.
    pub restoration: String,
    /// The entry that was made.
    pub entry: EntryView,
    /// How a reading stands to its band; only for readings.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub judged: Option<JudgedView>,
    /// What is worth knowing besides.
    pub notices: Vec<NoticeView>,
}

impl RecordedView {
    /// The last entry of a view that tells several, with what was said with them; `None` where none was made.
    pub fn of_proof(own: ProofRecordedView) -> Option<RecordedView> {
        RecordedView::last_of(own.file, own.restoration, own.entries, own.notices)
    }

    /// The same of a forming.
    pub fn of_forming(own: FormingRecordedView) -> Option<RecordedView> {
        RecordedView::last_of(own.file, own.restoration, own.entries, own.notices)
    }

    /// The same of what was found of a picture tube.
    pub fn of_found(own: FoundView) -> Option<RecordedView> {
        RecordedView::last_of(own.file, own.restoration, own.entries, own.notices)
    }

    fn last_of(
        file: String,
        restoration: String,
        entries: Vec<EntryView>,
        notices: Vec<NoticeView>,
    ) -> Option<RecordedView> {
        Some(RecordedView {
            format: FORMAT,
            program: PROGRAM_VERSION,
            data: parts::DATA_EDITION,
            file,
            restoration,
            entry: entries.into_iter().next_back()?,
            judged: None,
            notices,
        })
    }
}

/// The answer of `story`.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct StoryView {
    /// Edition of this form.
    pub format: u32,
    /// Version of the program.
    pub program: &'static str,
    /// Edition of the published figures.
    pub data: &'static str,
    /// The file, as it was named.
    pub file: String,
    /// Name of the restoration.
    pub restoration: String,
    /// Whether undone entries, undos and corrections are listed too.
    pub all: bool,
    /// How many entries the file has.
    pub entered: usize,
    /// The entries in their order.
    pub entries: Vec<EntryView>,
}

/// The answer of `backup`, `export` and `import`.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct KeptView {
    /// Edition of this form.
    pub format: u32,
    /// Version of the program.
    pub program: &'static str,
    /// Edition of the published figures.
    pub data: &'static str,
    /// What was read.
    pub from: String,
    /// What was written.
    pub to: String,
    /// How many entries there are.
    pub entries: usize,
    /// How many versions of the sheet; `null` for a copy.
    pub sheets: Option<usize>,
    /// How many photographs; `null` for a copy.
    pub photographs: Option<usize>,
}

/// One entry.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct EntryView {
    /// Its number.
    pub number: u64,
    /// When it was made.
    pub at: String,
    /// Its kind.
    pub kind: &'static str,
    /// `stands`, `corrected` or `undone`.
    pub standing: &'static str,
    /// The entry that corrected or undid it.
    pub by: Option<u64>,
    /// In words.
    pub text: String,
    /// Its fields.
    pub says: Map<String, Value>,
}

impl From<&Entry> for EntryView {
    fn from(entry: &Entry) -> Self {
        EntryView::new(entry.number, &entry.at, &entry.fact, entry.standing)
    }
}

impl EntryView {
    /// A fact in the form that holds now.
    pub fn holding(one: &StandingFact<'_>, standing: Standing) -> EntryView {
        EntryView::new(one.number, one.at, one.fact, standing)
    }

    fn new(number: u64, at: &Stamp, fact: &Fact, standing: Standing) -> EntryView {
        let (word, by) = match standing {
            Standing::Stands => ("stands", None),
            Standing::CorrectedBy(by) => ("corrected", Some(by)),
            Standing::UndoneBy(by) => ("undone", Some(by)),
        };
        EntryView {
            number,
            at: at.to_string(),
            kind: fact.kind(),
            standing: word,
            by,
            text: in_words(fact),
            says: says(&fact.to_fields()),
        }
    }
}

const FIGURES: &[&str] = &[
    "value",
    "line_volts",
    "dial_volts",
    "lamp_watts",
    "seconds",
    "percent",
    "micromhos",
    "names",
    "cold_ohms",
    "heater_volts",
    "heater_amperes",
    "ohms",
    "grid_volts",
    "second_grid_volts",
    "minutes",
    "shown",
    "scale_end",
    "needle_percent",
    "microamperes",
    "microamperes_later",
    "cathode_microamperes",
    "source_volts",
    "section_volts",
    "milliamperes",
    "series_ohms",
    "case_celsius",
    "through_ohms",
    "volts_left",
    "across",
    "down",
];

const LISTS: &[&str] = &["lamp_watts", "pulled", "open", "fitted_without"];

fn says(fields: &Fields) -> Map<String, Value> {
    let mut map = Map::new();
    for (key, text) in fields.pairs() {
        let bare = key.strip_prefix("instead.").unwrap_or(key);
        let value = match (bare, text.parse::<f64>()) {
            ("plug_out" | "hot" | "glows" | "reached", _) => Value::Bool(text == "yes"),
            ("names" | "up_to", _) => text.parse::<u64>().map_or(Value::Null, Value::from),
            (bare, figure) if FIGURES.contains(&bare) => figure.map_or(Value::Null, |figure| {
                Value::from(super::six_figures(figure))
            }),
            _ => Value::from(text),
        };
        if LISTS.contains(&bare) {
            let list = map.entry(key).or_insert_with(|| Value::Array(Vec::new()));
            if let Value::Array(list) = list {
                list.push(value);
            }
        } else {
            map.insert(key.to_owned(), value);
        }
    }
    map
}

/// A fact in a sentence or two.
fn in_words(fact: &Fact) -> String {
    match fact {
        Fact::SheetTaken(one) => format!("sheet {} taken in", one.name),
        Fact::Seen(one) => {
            let part = with("", &one.part, " ");
            let text = format!("{part}{}: {}", one.thing, one.found);
            text + &with("; ", &one.note, "")
        }
        Fact::Measured(one) => measured_in_words(one),
        Fact::Tested(one) => {
            let result = match &one.result {
                TestResult::Percent(percent) => format!("{percent} percent"),
                TestResult::Micromhos(micromhos) => format!("{micromhos} micromhos"),
                TestResult::Verdict(verdict) => verdict.clone(),
            };
            let what = format!("{}{}", one.part, with(" section ", &one.section, ""));
            let of_type = with(" (", &one.type_number, ")");
            let tester = with(" on ", &one.tester, "");
            format!(
                "{what}{of_type} tested{tester}: {result}{}",
                with("; ", &one.note, "")
            )
        }
        Fact::OfPictureTube(one) => found_in_words(one),
        Fact::OfReForming(one) => forming_in_words(one),
        Fact::OfProof(one) => proof_in_words(one),
        Fact::Fitted(one) => {
            let was = with(" in place of ", &one.old, "");
            let rating = with(", ", &one.rating, "");
            format!(
                "{}: fitted {}{rating}{was}{}",
                one.part,
                one.new,
                with("; ", &one.note, "")
            )
        }
        Fact::Changed(one) => {
            let was = with("; was ", &one.was, "");
            let is = with("; is ", &one.is, "");
            format!("{}{was}{is}{}", one.what, with("; ", &one.note, ""))
        }
        Fact::Photographed(one) => {
            let shows = with(": ", &one.shows, "");
            let taken = with(", taken ", &one.taken.replace('T', " "), "");
            format!(
                "photograph {}{shows}{taken}{}",
                one.name,
                with("; ", &one.note, "")
            )
        }
        Fact::Placed(one) => format!(
            "{} marked on the photograph {}, {:.0} percent from the left, {:.0} from the top",
            one.part,
            short_hash(&one.photograph),
            100.0 * one.across,
            100.0 * one.down
        ),
        Fact::Decided(one) => format!("{}{}", one.what, with(", because ", &one.because, "")),
        Fact::Stepped(one) => {
            let unknown = one.leaves_unknown.replace('\n', "; ");
            format!(
                "power-up, \"{}\": {}{}{}",
                one.step,
                one.event.word(),
                with(", because ", &one.because, ""),
                with("; left unknown: ", &unknown, "")
            )
        }
        Fact::Advised(one) => format!(
            "asked {}, told by {} with figures {}: {}",
            one.asked, one.program, one.data, one.said
        ),
        Fact::Corrected(one) => format!(
            "entry {} now reads: {}{}",
            one.names,
            in_words(&one.instead),
            with("; because ", &one.because, "")
        ),
        Fact::Undone(one) => {
            format!(
                "entry {} undone{}",
                one.names,
                with(", because ", &one.because, "")
            )
        }
    }
}

/// The beginning of a hash, enough to tell the photographs of one set apart.
fn short_hash(hash: &str) -> &str {
    hash.get(..8).unwrap_or(hash)
}

fn measured_in_words(one: &Measured) -> String {
    let to = with(" to ", &one.to, "");
    let meter = with(", meter ", &one.meter, "");
    let conditions = conditions_in_words(&one.conditions);
    let stood = with("; ", &conditions.join(", "), "");
    let note = with("; ", &one.note, "");
    let what = one.what.text();
    format!(
        "{}{to}: {} ({what}){meter}{stood}{note}",
        one.place, one.typed
    )
}

pub(crate) fn conditions_in_words(conditions: &Conditions) -> Vec<String> {
    let mut words = Vec::new();
    if conditions.plug_out {
        words.push("plug out".to_owned());
    }
    if let Some(volts) = conditions.line_volts {
        words.push(format!("line {volts} V"));
    }
    if let Some(volts) = conditions.dial_volts {
        words.push(format!("dial at {volts} V"));
    }
    if !conditions.lamp_watts.is_empty() {
        let watts: Vec<String> = conditions.lamp_watts.iter().map(f64::to_string).collect();
        words.push(format!("lamp {} W", watts.join("+")));
    }
    for (names, what) in [
        (&conditions.pulled, "pulled"),
        (&conditions.open, "open"),
        (&conditions.fitted_without, "cut loose"),
    ] {
        if !names.is_empty() {
            words.push(format!("{} {what}", names.join(", ")));
        }
    }
    if let Some(seconds) = conditions.seconds {
        words.push(format!("{seconds} s after switch-on"));
    }
    if !conditions.dc.is_empty() {
        words.push(format!("fed with {}", conditions.dc));
    }
    words
}

/// The text between two pieces; nothing where it is empty.
fn with(before: &str, text: &str, after: &str) -> String {
    if text.is_empty() {
        String::new()
    } else {
        format!("{before}{text}{after}")
    }
}
