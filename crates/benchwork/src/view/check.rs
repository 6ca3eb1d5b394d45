//! What a sheet says and lacks, and how trouble is told to a script.
//!
//! Lines and columns count from 1, columns in characters; a fault that belongs to
//! no line of the sheet has neither.

use serde::Serialize;

use crate::trouble::Trouble;
use crate::view::ConditionsView;
use crate::{FORMAT, PROGRAM_VERSION};

/// The answer of `check`.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct CheckView {
    /// Edition of this form.
    pub format: u32,
    /// Version of the program.
    pub program: &'static str,
    /// Edition of the published figures.
    pub data: &'static str,
    /// Whether the sheet can be used.
    pub ok: bool,
    /// What keeps it from being used.
    pub faults: Vec<FaultView>,
    /// What is worth knowing besides.
    pub notices: Vec<NoticeView>,
    /// What the sheet holds, in words; empty when it cannot be used.
    pub says: Vec<String>,
}

/// One fault of the sheet or of what was asked of it.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct FaultView {
    /// Line of the sheet.
    pub line: Option<usize>,
    /// Column of the line, in characters.
    pub column: Option<usize>,
    /// What was read and what is wrong with it.
    pub text: String,
    /// What was expected or what to do.
    pub hint: String,
}

impl FaultView {
    /// A fault of what was typed, which stands in no line.
    pub fn of_input(text: impl Into<String>, hint: impl Into<String>) -> FaultView {
        FaultView {
            line: None,
            column: None,
            text: text.into(),
            hint: hint.into(),
        }
    }
}

impl From<receiver::sheet::Fault> for FaultView {
    fn from(fault: receiver::sheet::Fault) -> Self {
        FaultView {
            line: Some(fault.line),
            column: Some(fault.column),
            text: fault.text,
            hint: fault.hint,
        }
    }
}

/// Something worth knowing beside an answer.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct NoticeView {
    /// What was noticed.
    pub text: String,
    /// What to do about it; may be empty.
    pub hint: String,
    /// Line of the sheet, where it belongs to one.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub line: Option<usize>,
}

impl From<receiver::sheet::Notice> for NoticeView {
    fn from(notice: receiver::sheet::Notice) -> Self {
        NoticeView {
            text: notice.text,
            hint: notice.hint,
            line: notice.line,
        }
    }
}

impl From<receiver::reading::Notice> for NoticeView {
    fn from(notice: receiver::reading::Notice) -> Self {
        NoticeView {
            text: notice.text,
            hint: notice.hint,
            line: None,
        }
    }
}

/// Why there is no answer, for scripts.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct ErrorView {
    /// What happened.
    pub text: String,
    /// What to do next.
    pub hint: String,
    /// Where it was, how far it came, what was tried; one sentence each.
    pub evidence: Vec<String>,
}

/// The answer in place of readings or steps when there is none.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[serde(untagged)]
pub enum TroubleView {
    /// The sheet or the input is at fault: the form of `check`.
    Faults(FaultsView),
    /// No settled state, or a fault of the program.
    Error {
        /// Edition of this form.
        format: u32,
        /// Version of the program.
        program: &'static str,
        /// Edition of the published figures.
        data: &'static str,
        /// The conditions asked for, where they are known.
        #[serde(skip_serializing_if = "Option::is_none")]
        conditions: Option<Box<ConditionsView>>,
        /// The evidence.
        error: ErrorView,
    },
}

/// Faults without an answer.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct FaultsView {
    /// Edition of this form.
    pub format: u32,
    /// Version of the program.
    pub program: &'static str,
    /// Edition of the published figures.
    pub data: &'static str,
    /// Always false.
    pub ok: bool,
    /// What is at fault.
    pub faults: Vec<FaultView>,
    /// What is worth knowing besides.
    pub notices: Vec<NoticeView>,
    /// The entry that changed meanwhile what was to be changed, where that is the fault.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub overtaken_by: Option<u64>,
}

impl From<&Trouble> for TroubleView {
    fn from(trouble: &Trouble) -> Self {
        match trouble {
            Trouble::File { name, text, hint }
            | Trouble::NotNow {
                name, text, hint, ..
            } => {
                let text = format!("{name}: {text}");
                faults_only(
                    vec![FaultView {
                        line: None,
                        column: None,
                        text,
                        hint: hint.clone(),
                    }],
                    &[],
                )
            }
            Trouble::Sheet {
                faults, notices, ..
            } => faults_only(faults.clone(), notices),
            Trouble::Input { faults } => faults_only(faults.clone(), &[]),
            Trouble::Overtaken { text, hint, by } => TroubleView::Faults(FaultsView {
                overtaken_by: Some(*by),
                ..faults_view(vec![FaultView::of_input(text.clone(), hint)], &[])
            }),
            Trouble::Left => faults_only(
                vec![FaultView::of_input(
                    crate::trouble::LEFT.to_owned(),
                    crate::trouble::ASK_AGAIN,
                )],
                &[],
            ),
            Trouble::NotSettled { conditions, error } => {
                error_only(conditions.clone(), error.clone())
            }
            Trouble::Ours { text, hint } => {
                let error = ErrorView {
                    text: text.clone(),
                    hint: hint.clone(),
                    evidence: Vec::new(),
                };
                error_only(None, error)
            }
        }
    }
}

fn faults_only(faults: Vec<FaultView>, notices: &[NoticeView]) -> TroubleView {
    TroubleView::Faults(faults_view(faults, notices))
}

fn faults_view(faults: Vec<FaultView>, notices: &[NoticeView]) -> FaultsView {
    FaultsView {
        format: FORMAT,
        program: PROGRAM_VERSION,
        data: parts::DATA_EDITION,
        ok: false,
        faults,
        notices: notices.to_vec(),
        overtaken_by: None,
    }
}

fn error_only(conditions: Option<Box<ConditionsView>>, error: ErrorView) -> TroubleView {
    TroubleView::Error {
        format: FORMAT,
        program: PROGRAM_VERSION,
        data: parts::DATA_EDITION,
        conditions,
        error,
    }
}
