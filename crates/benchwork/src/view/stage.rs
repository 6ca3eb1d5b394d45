//! Patterns of stages, and what one of them wrote, for people and scripts.
//!
//! Texts as the sheet has them, in bench notation. Making a view cannot fail.

use receiver::stage_patterns::{LeftOut, StagePattern};
use serde::Serialize;

use super::NoticeView;

/// The answer of `stage` without a sheet: patterns with their questions.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct StageListView {
    /// Edition of this form.
    pub format: u32,
    /// Version of the program.
    pub program: &'static str,
    /// Edition of the published figures.
    pub data: &'static str,
    /// The patterns, in the order in which a set is transcribed.
    pub patterns: Vec<StagePatternView>,
}

/// One pattern.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct StagePatternView {
    /// Its name.
    pub name: String,
    /// What it is.
    pub title: String,
    /// Where to begin under the chassis.
    pub look: String,
    /// Its questions, in the order in which they are asked.
    pub questions: Vec<StageQuestionView>,
}

/// One question of a pattern.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct StageQuestionView {
    /// Its name, by which an answer is given.
    pub name: String,
    /// What to look for.
    pub ask: String,
    /// What an answer looks like.
    pub expects: String,
    /// An answer of common practice.
    pub example: String,
}

impl StagePatternView {
    /// The view of a pattern.
    pub fn new(pattern: &StagePattern) -> StagePatternView {
        StagePatternView {
            name: pattern.name.clone(),
            title: pattern.title.clone(),
            look: pattern.look.clone(),
            questions: pattern
                .questions
                .iter()
                .map(|question| StageQuestionView {
                    name: question.name.clone(),
                    ask: question.ask.clone(),
                    expects: question.expects(),
                    example: question.example.clone(),
                })
                .collect(),
        }
    }
}

/// The answer of `stage` with a sheet: what was or would be written.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct StageView {
    /// Edition of this form.
    pub format: u32,
    /// Version of the program.
    pub program: &'static str,
    /// Edition of the published figures.
    pub data: &'static str,
    /// The pattern's name.
    pub pattern: String,
    /// The sheet, as it was named.
    pub sheet: String,
    /// Whether the sheet has been written.
    pub written: bool,
    /// The lines put in, in the order of the sheet.
    pub lines: Vec<LineView>,
    /// Questions of which nothing is written.
    pub left_out: Vec<LeftOutView>,
    /// What was said about the answers.
    pub said: Vec<String>,
    /// What is to be noticed in the sheet that was not before.
    pub notices: Vec<NoticeView>,
}

/// One line of the sheet.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct LineView {
    /// The list it belongs to, such as `parts`.
    pub list: &'static str,
    /// The line, without its indent.
    pub text: String,
}

/// A question of which nothing is written.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct LeftOutView {
    /// Its name.
    pub question: String,
    /// Why.
    pub because: String,
}

impl LeftOutView {
    /// The view of what was left out.
    pub fn new(left: &LeftOut) -> LeftOutView {
        LeftOutView {
            question: left.question.clone(),
            because: left.because.clone(),
        }
    }
}
