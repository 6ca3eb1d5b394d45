//! Asks the questions of one pattern for one sheet.
//!
//! Every answer is judged at once; a refused one leaves the interview where it
//! was. `?` or an empty answer leaves the row out. When nothing is left to ask,
//! [`Interview::rows`] has the lines. Fails to begin for a sheet whose text
//! cannot be changed.

use parts::Catalogue;

use super::pattern::{PatternQuestion, QuestionForm, StagePattern};
use super::progress::{EndState, Further, Progress};
use super::references::{letters, next_free};
use super::take_answer::take_answer;
use crate::sheet_edit::{EditError, RowGroup};

/// An answer that was refused.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct AnswerFault {
    /// What was read and what is wrong with it.
    pub text: String,
    /// What was expected, or what to do.
    pub hint: String,
    /// The character of the answer, from 1, where the fault has one.
    pub column: Option<usize>,
}

impl AnswerFault {
    pub(super) fn new(text: String, hint: String) -> AnswerFault {
        AnswerFault {
            text,
            hint,
            column: None,
        }
    }
}

/// A question as it is put.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Asked {
    /// Its name, the key in a file of answers.
    pub name: String,
    /// What is asked for.
    pub ask: String,
    /// What an answer looks like.
    pub expects: String,
    /// An answer of common practice; empty if there is none.
    pub example: String,
    /// What stands for a reference that is left out; empty where none is wanted.
    pub proposal: String,
}

/// An answer that was taken.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct GivenAnswer {
    /// The name of its question.
    pub question: String,
    /// The answer as typed.
    pub text: String,
}

/// A question of which nothing was written.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct LeftOut {
    /// Its name.
    pub question: String,
    /// Why.
    pub because: String,
}

/// What came of an interview.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct StageRows {
    /// The rows with the comment above them.
    pub group: RowGroup,
    /// What was left out, in the order of the questions.
    pub left_out: Vec<LeftOut>,
}

/// The questions of a pattern, put one after the other.
#[derive(Debug, Clone)]
pub struct Interview<'a> {
    pattern: &'a StagePattern,
    catalogue: &'a Catalogue,
    text: &'a str,
    answers: Vec<GivenAnswer>,
    progress: Progress,
}

impl<'a> Interview<'a> {
    /// Begins with the first question for the sheet of this text.
    ///
    /// # Errors
    /// A text that is no TOML, or lists of another shape.
    pub fn new(
        pattern: &'a StagePattern,
        text: &'a str,
        catalogue: &'a Catalogue,
    ) -> Result<Interview<'a>, EditError> {
        let mut progress = Progress::new(text)?;
        progress.advance(pattern);
        Ok(Interview {
            pattern,
            catalogue,
            text,
            answers: Vec::new(),
            progress,
        })
    }

    /// The present question; `None` when all are answered.
    pub fn question(&self) -> Option<Asked> {
        if let Some(further) = self.progress.further.first() {
            return Some(self.further_question(further));
        }
        let question = self.pattern.questions.get(self.progress.at)?;
        Some(self.pattern_question(question))
    }

    /// Takes the answer to the present question. What is worth saying about it comes back.
    ///
    /// # Errors
    /// An answer that cannot be taken; the question stays.
    pub fn answer(&mut self, text: &str) -> Result<Vec<String>, AnswerFault> {
        let question = self.question().map(|asked| asked.name).unwrap_or_default();
        let mut progress = self.progress.clone();
        let said = take_answer(&mut progress, self.pattern, self.catalogue, text)?;
        progress.advance(self.pattern);
        self.progress = progress;
        self.answers.push(GivenAnswer {
            question,
            text: text.to_string(),
        });
        Ok(said)
    }

    /// The answers taken so far, in their order.
    pub fn given(&self) -> &[GivenAnswer] {
        &self.answers
    }

    /// The tubes of the stage so far, as the sheet spells them.
    pub fn tubes(&self) -> Vec<String> {
        self.progress.tube_references(self.pattern)
    }

    /// The sheet as it was given, without the new rows.
    pub fn sheet_text(&self) -> &'a str {
        self.text
    }

    /// The pattern whose questions are asked.
    pub fn pattern(&self) -> &'a StagePattern {
        self.pattern
    }

    /// Takes the last answer back; `false` if there is none.
    pub fn back(&mut self) -> bool {
        if self.answers.pop().is_none() {
            return false;
        }
        let answers = std::mem::take(&mut self.answers);
        if let Ok(mut again) = Interview::new(self.pattern, self.text, self.catalogue) {
            for answer in &answers {
                // They were taken before, in the same order.
                let _ = again.answer(&answer.text);
            }
            *self = again;
        }
        true
    }

    /// The rows that the answers so far make, and what is left out.
    pub fn rows(&self) -> StageRows {
        let tubes = self.progress.tube_references(self.pattern);
        let heading = if tubes.is_empty() {
            format!("{}.", self.pattern.title)
        } else {
            format!("{}: {}.", self.pattern.title, tubes.join(", "))
        };
        StageRows {
            group: RowGroup {
                heading,
                rows: self.progress.rows.clone(),
            },
            left_out: self.progress.left_out.clone(),
        }
    }

    fn further_question(&self, further: &Further) -> Asked {
        let about = |tube: &str| {
            self.progress.tubes.get(tube).map_or_else(
                || tube.to_string(),
                |known| format!("{} ({})", known.reference, known.type_name),
            )
        };
        let plain = |name: String, ask: String, expects: String| Asked {
            name,
            ask,
            expects,
            example: String::new(),
            proposal: String::new(),
        };
        match further {
            Further::Section { tube } => {
                let labels: Vec<&str> = self
                    .progress
                    .tubes
                    .get(tube)
                    .map(|known| known.units.iter().map(|unit| unit.label.as_str()).collect())
                    .unwrap_or_default();
                plain(
                    format!("{tube} section"),
                    format!("which section of {} it is", about(tube)),
                    labels.join(" or "),
                )
            }
            Further::Pin {
                tube,
                element,
                pins,
            } if pins.is_empty() => plain(
                format!("{tube} {element}"),
                format!(
                    "the pin of the {element} of {}; the catalogue has no pins of this type",
                    about(tube)
                ),
                "a pin, counted from the key, seen from below; or cap".to_string(),
            ),
            Further::Pin {
                tube,
                element,
                pins,
            } => plain(
                format!("{tube} {element}"),
                format!(
                    "on which of its pins the parts of the {element} of {} sit",
                    about(tube)
                ),
                pins.join(" or "),
            ),
        }
    }

    fn pattern_question(&self, question: &PatternQuestion) -> Asked {
        let free = |letters: &str| next_free(letters, &self.progress.references);
        let proposal = match &question.form {
            QuestionForm::Tube { .. } => free("V"),
            QuestionForm::Part { kinds, .. } => {
                free(kinds.first().map_or("X", |kind| letters(*kind)))
            }
            QuestionForm::Wire { .. } => free("W"),
            QuestionForm::Place
            | QuestionForm::Transformer
            | QuestionForm::Winding { .. }
            | QuestionForm::Heaters { .. } => String::new(),
        };
        let places = self.places_of(question);
        let between = match places.as_slice() {
            [from, to] => format!(" ({from} to {to})"),
            [from, to, third] => format!(" ({from} to {to}, {third})"),
            _ => String::new(),
        };
        Asked {
            name: question.name.clone(),
            ask: format!("{}{between}", question.ask),
            expects: question.expects(),
            example: question.example.clone(),
            proposal,
        }
    }

    fn places_of(&self, question: &PatternQuestion) -> Vec<String> {
        let mut progress = self.progress.clone();
        question
            .form
            .ends()
            .into_iter()
            .filter_map(|end| match progress.end(end) {
                EndState::Known(place) => Some(place),
                EndState::Absent(_) | EndState::Unknown(_) => None,
            })
            .collect()
    }
}
