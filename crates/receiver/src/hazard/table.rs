//! The table of hazards, read once from `data/hazards.csv`.
//!
//! One danger a row: what it is, where, when it is present, the caution, what is never advised
//! and the safe way, with figure, source and standing. The table is not authoritative; rows whose
//! standing is `memory` or `mixed` say so, and an empty figure means none is known. A row that
//! cannot be read is a fault of the program's data, told with line and column; then there is no
//! table and no advice.

use std::fmt;
use std::sync::OnceLock;

use super::rules::Rule;
use super::trigger::Trigger;
use super::{Refusal, Verdict, rules};
use super::{act::Act, situation::Situation};

const TEXT: &str = include_str!("../../../../data/hazards.csv");

/// Columns of the table, in order.
pub const COLUMNS: [&str; 12] = [
    "id",
    "hazard",
    "where",
    "present_when",
    "trigger",
    "handled_by",
    "caution",
    "never_advise",
    "safe_way",
    "figure",
    "source",
    "standing",
];

/// One danger.
#[derive(Debug, Clone, PartialEq)]
pub struct Hazard {
    /// Name that stays: small letters and dashes.
    pub id: String,
    /// What it is called.
    pub hazard: String,
    /// Where in the set or on the bench.
    pub place: String,
    /// When it is present, in words.
    pub present_when: String,
    /// When it is present, as a test on acts and situation.
    pub trigger: Trigger,
    /// Whether rules over acts keep it, or a caution alone.
    pub handled_by: HandledBy,
    /// What the restorer is told.
    pub caution: String,
    /// What is never advised.
    pub never_advise: String,
    /// What to do instead.
    pub safe_way: String,
    /// Figure with units; empty when none is known.
    pub figure: String,
    /// Where the row comes from.
    pub source: String,
    /// How good the source is.
    pub standing: Standing,
}

/// Whether a hazard is kept by rules over acts, or by its caution alone.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum HandledBy {
    /// At least one rule refuses acts.
    Rule,
    /// Nothing in it can be seen in an act: the caution is shown by its trigger.
    Caution,
}

/// How good a source is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Standing {
    /// Read in a published text.
    Read,
    /// Common practice of the trade.
    CommonPractice,
    /// From memory, no text read.
    Memory,
    /// Part from a text or closed form, part from memory.
    Mixed,
}

/// A row or cell of the table that cannot be used.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct TableFault {
    /// Line in `data/hazards.csv`, from 1.
    pub line: u64,
    /// Column name; empty for a fault of the whole row.
    pub column: &'static str,
    /// What was read.
    pub read: String,
    /// What was expected.
    pub expected: &'static str,
}

impl fmt::Display for TableFault {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(
            f,
            "data/hazards.csv line {}, column `{}`: read `{}`, expected {}; correct the table",
            self.line, self.column, self.read, self.expected
        )
    }
}

impl std::error::Error for TableFault {}

/// All hazards.
#[derive(Debug, Clone, PartialEq)]
pub struct HazardTable {
    rows: Vec<Hazard>,
}

/// The table of this program.
///
/// # Errors
/// All faults of the data at once; only a damaged build has any.
pub fn table() -> Result<&'static HazardTable, &'static [TableFault]> {
    static TABLE: OnceLock<Result<HazardTable, Vec<TableFault>>> = OnceLock::new();
    match TABLE.get_or_init(|| HazardTable::read(TEXT)) {
        Ok(table) => Ok(table),
        Err(faults) => Err(faults),
    }
}

impl HazardTable {
    /// Reads a table in the form of `data/hazards.csv`.
    ///
    /// # Errors
    /// All faults at once: a wrong heading, a row of another length, an empty or doubled id, an
    /// unknown trigger word, an unknown standing, a missing cell, a rule whose hazard is not there.
    pub fn read(text: &str) -> Result<Self, Vec<TableFault>> {
        let mut faults = Vec::new();
        let mut rows: Vec<Hazard> = Vec::new();
        let mut reader = csv::ReaderBuilder::new().from_reader(text.as_bytes());
        let heading_is_right = reader
            .headers()
            .is_ok_and(|heading| heading.iter().eq(COLUMNS));
        if !heading_is_right {
            faults.push(TableFault {
                line: 1,
                column: "",
                read: text.lines().next().unwrap_or_default().to_owned(),
                expected: "the columns id, hazard, where, present_when, trigger, handled_by, \
                           caution, never_advise, safe_way, figure, source, standing",
            });
            return Err(faults);
        }
        for record in reader.records() {
            match record {
                Ok(record) => {
                    let row = Row {
                        line: record.position().map_or(0, csv::Position::line),
                        record: &record,
                    };
                    if let Some(hazard) = row.hazard(&mut faults) {
                        if rows.iter().any(|known| known.id == hazard.id) {
                            row.fault("id", "an id used once", &mut faults);
                        }
                        rows.push(hazard);
                    }
                }
                Err(error) => faults.push(TableFault {
                    line: error.position().map_or(0, csv::Position::line),
                    column: "",
                    read: error.to_string(),
                    expected: "a row of twelve cells",
                }),
            }
        }
        for rule in rules::all() {
            if !rows.iter().any(|row| row.id == rule.hazard) {
                faults.push(TableFault {
                    line: 0,
                    column: "id",
                    read: rule.hazard.to_owned(),
                    expected: "a row for each hazard that has rules",
                });
            }
        }
        if faults.is_empty() {
            Ok(Self { rows })
        } else {
            Err(faults)
        }
    }

    /// All hazards in the table's order.
    #[must_use]
    pub fn hazards(&self) -> &[Hazard] {
        &self.rows
    }

    /// The hazard with this id.
    #[must_use]
    pub fn hazard(&self, id: &str) -> Option<&Hazard> {
        self.rows.iter().find(|row| row.id == id)
    }

    /// Whether an act may be advised in this situation.
    #[must_use]
    pub fn judge(&self, act: &Act, situation: &Situation) -> Verdict<'_> {
        let mut refusals = Vec::new();
        for rule in rules::all() {
            refusals.extend(self.refusal(rule, act, situation));
        }
        if refusals.is_empty() {
            Verdict::Allowed {
                cautions: self.cautions(std::slice::from_ref(act), situation),
            }
        } else {
            Verdict::Refused { rules: refusals }
        }
    }

    /// The cautions for a step made of these acts, in the table's order.
    #[must_use]
    pub fn cautions(&self, acts: &[Act], situation: &Situation) -> Vec<&Hazard> {
        self.rows
            .iter()
            .filter(|row| row.trigger.holds(acts, situation))
            .collect()
    }

    fn refusal(&self, rule: &Rule, act: &Act, situation: &Situation) -> Option<Refusal<'_>> {
        let because = (rule.refuses)(act, situation)?;
        Some(Refusal {
            rule: rule.id,
            hazard: self.hazard(rule.hazard)?,
            because,
        })
    }
}

struct Row<'r> {
    line: u64,
    record: &'r csv::StringRecord,
}

impl Row<'_> {
    fn cell(&self, column: &str) -> String {
        COLUMNS
            .iter()
            .position(|name| *name == column)
            .and_then(|index| self.record.get(index))
            .unwrap_or_default()
            .trim()
            .to_owned()
    }

    fn fault(&self, column: &'static str, expected: &'static str, faults: &mut Vec<TableFault>) {
        faults.push(TableFault {
            line: self.line,
            column,
            read: self.cell(column),
            expected,
        });
    }

    fn hazard(&self, faults: &mut Vec<TableFault>) -> Option<Hazard> {
        let before = faults.len();
        let id = self.cell("id");
        let plain = |text: &str| {
            text.chars().all(|letter| {
                letter.is_ascii_lowercase() || letter.is_ascii_digit() || letter == '-'
            })
        };
        if id.is_empty() || !plain(&id) {
            self.fault("id", "small letters and dashes", faults);
        }
        for column in COLUMNS {
            if column != "figure" && column != "id" && self.cell(column).is_empty() {
                self.fault(column, "some text", faults);
            }
        }
        let trigger = match Trigger::read(&self.cell("trigger")) {
            Ok(trigger) => Some(trigger),
            Err(_) => {
                self.fault("trigger", "trigger words joined by ` + ` or `, `", faults);
                None
            }
        };
        let handled_by = match self.cell("handled_by").as_str() {
            "rule" => Some(HandledBy::Rule),
            "caution" => Some(HandledBy::Caution),
            _ => {
                self.fault("handled_by", "`rule` or `caution`", faults);
                None
            }
        };
        let standing = match self.cell("standing").as_str() {
            "read" => Some(Standing::Read),
            "common practice" => Some(Standing::CommonPractice),
            "memory" => Some(Standing::Memory),
            "mixed" => Some(Standing::Mixed),
            _ => {
                self.fault(
                    "standing",
                    "`read`, `common practice`, `memory` or `mixed`",
                    faults,
                );
                None
            }
        };
        if let Some(handled_by) = handled_by {
            let has_rule = rules::all().any(|rule| rule.hazard == id);
            if has_rule != (handled_by == HandledBy::Rule) {
                self.fault(
                    "handled_by",
                    "`rule` just where a rule names this id",
                    faults,
                );
            }
        }
        if faults.len() > before {
            return None;
        }
        Some(Hazard {
            id,
            hazard: self.cell("hazard"),
            place: self.cell("where"),
            present_when: self.cell("present_when"),
            trigger: trigger?,
            handled_by: handled_by?,
            caution: self.cell("caution"),
            never_advise: self.cell("never_advise"),
            safe_way: self.cell("safe_way"),
            figure: self.cell("figure"),
            source: self.cell("source"),
            standing: standing?,
        })
    }
}
