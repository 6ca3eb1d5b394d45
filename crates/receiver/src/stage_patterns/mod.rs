//! Patterns of the trade: stages that are asked for part by part and written into the sheet.
//!
//! A pattern is a list of questions in the order in which one looks at the
//! chassis; it stands in one file of `data/stages/`, and a new one needs a new
//! file and its line in `built_in.rs`. An [`Interview`] asks the questions of one
//! pattern for one sheet: pins come from the catalogue's pin map, references
//! from what the sheet has not used, and every answer is read at once by the
//! checker of the sheet. What is not answered is left out, never filled in.
//!
//! Units: bench notation, as typed. Source of the patterns: common practice of
//! sets of 1946 to 1965, as each file says. Fails for a pattern table with faults
//! (a fault of ours) and for a sheet whose text cannot be changed.

mod answer;
mod built_in;
mod interview;
mod pattern;
mod progress;
mod read_pattern;
mod references;
mod still_loads;
mod take_answer;
mod take_tube;
mod try_row;
mod tube_pins;

pub use answer::is_nothing;
pub use built_in::{stage_pattern, stage_patterns};
pub use interview::{AnswerFault, Asked, GivenAnswer, Interview, LeftOut, StageRows};
pub use pattern::{End, PatternQuestion, QuestionForm, StagePattern, TubeNeed};
pub use read_pattern::{PatternFault, read_pattern};
pub use still_loads::still_loads;
