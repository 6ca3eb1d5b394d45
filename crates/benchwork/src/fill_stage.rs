//! Fills a pattern of a stage and writes its lines into a sheet.
//!
//! A [`StageTask`] holds the sheet as it was read; its interview asks; what the
//! answers make is a [`FilledStage`], checked against the sheet and not written
//! until [`StageTask::write`] is called. Answers in bench notation. Fails for a
//! pattern that is not known (with the nearest), a sheet whose text cannot be changed,
//! answers at fault (all of them), and a change that would bring a new fault.

use std::path::Path;

use receiver::sheet::read_sheet;
use receiver::sheet_edit::insert_rows;
use receiver::stage_patterns::{
    Interview, StagePattern, is_nothing, stage_pattern, stage_patterns, still_loads,
};

use crate::change_sheet::{checked_change, edit_trouble, sheet_text};
use crate::check_sheet::catalogue;
use crate::read_sheet_file::{SheetFile, read_sheet_file};
use crate::stage_answers::{WrittenAnswer, folded};
use crate::trouble::Trouble;
use crate::view::{
    FaultView, LeftOutView, LineView, NoticeView, StageListView, StagePatternView, StageView,
};
use crate::write_file::replace_sheet;
use crate::{FORMAT, PROGRAM_VERSION};

/// Every pattern, or one of them, with its questions.
pub fn tell_stages(name: Option<&str>) -> Result<StageListView, Trouble> {
    let patterns = match name {
        Some(name) => vec![pattern_named(name)?],
        None => all_patterns()?.iter().collect(),
    };
    Ok(StageListView {
        format: FORMAT,
        program: PROGRAM_VERSION,
        data: parts::DATA_EDITION,
        patterns: patterns.into_iter().map(StagePatternView::new).collect(),
    })
}

/// A pattern and the sheet it is to be written into.
#[derive(Debug, Clone)]
pub struct StageTask {
    pattern: &'static StagePattern,
    file: SheetFile,
    text: String,
}

impl StageTask {
    /// Reads the sheet and finds the pattern.
    pub fn open(pattern: &str, sheet: &Path) -> Result<StageTask, Trouble> {
        let own = pattern_named(pattern)?;
        Self::of(&own.name, read_sheet_file(sheet)?)
    }

    /// The same for a sheet at hand.
    pub fn of(pattern: &str, file: SheetFile) -> Result<StageTask, Trouble> {
        let pattern = pattern_named(pattern)?;
        let text = sheet_text(&file)?;
        Ok(StageTask {
            pattern,
            file,
            text,
        })
    }

    /// The name of the sheet, as it was given.
    pub fn sheet_name(&self) -> &str {
        &self.file.name
    }

    /// Begins to ask.
    pub fn interview(&self) -> Result<Interview<'_>, Trouble> {
        Interview::new(self.pattern, &self.text, catalogue()?)
            .map_err(|error| edit_trouble(&self.file, error))
    }

    /// What the answers make, checked in the sheet and not yet written.
    pub fn filled(&self, interview: &Interview<'_>) -> Result<FilledStage, Trouble> {
        let catalogue = catalogue()?;
        let rows = interview.rows();
        let left_out = rows.left_out.iter().map(LeftOutView::new).collect();
        let mut view = StageView {
            format: FORMAT,
            program: PROGRAM_VERSION,
            data: parts::DATA_EDITION,
            pattern: self.pattern.name.clone(),
            sheet: self.file.name.clone(),
            written: false,
            lines: Vec::new(),
            left_out,
            said: Vec::new(),
            notices: Vec::new(),
        };
        if rows.group.rows.is_empty() {
            return Ok(FilledStage {
                view,
                text: self.text.clone(),
            });
        }
        let inserted = insert_rows(&self.text, &rows.group)
            .map_err(|error| edit_trouble(&self.file, error))?;
        view.notices = checked_change(&self.file, &self.text, &inserted.text)?;
        let before = read_sheet(&self.text, catalogue).faults.len();
        if before > 0 {
            view.notices.insert(
                0,
                NoticeView {
                    text: format!("the sheet has faults of its own: {before}"),
                    hint: "`firstraster check` tells them".to_string(),
                    line: None,
                },
            );
        }
        if let Some(sheet) = read_sheet(&inserted.text, catalogue).sheet {
            let loads = still_loads(&sheet, &interview.tubes()).into_iter();
            view.notices.extend(loads.map(NoticeView::from));
        }
        view.lines = inserted
            .lines
            .iter()
            .map(|(list, text)| LineView {
                list: list.key(),
                text: text.clone(),
            })
            .collect();
        Ok(FilledStage {
            view,
            text: inserted.text,
        })
    }

    /// Writes what was filled; nothing is written where there is no line.
    pub fn write(&self, filled: &mut FilledStage) -> Result<(), Trouble> {
        if !filled.view.lines.is_empty() {
            replace_sheet(&self.file, &filled.text)?;
            filled.view.written = true;
        }
        Ok(())
    }
}

/// What the answers make.
#[derive(Debug, Clone, PartialEq)]
pub struct FilledStage {
    /// For people and scripts.
    pub view: StageView,
    text: String,
}

impl FilledStage {
    /// The sheet with the new lines.
    pub fn text(&self) -> &str {
        &self.text
    }
}

/// Answers the questions by what was written down; what has no answer is left out. What is worth saying comes back.
pub fn answer_all(
    interview: &mut Interview<'_>,
    answers: &[WrittenAnswer],
) -> Result<Vec<String>, Trouble> {
    let mut said = Vec::new();
    let mut faults: Vec<FaultView> = Vec::new();
    let mut used: Vec<&WrittenAnswer> = Vec::new();
    let mut open: Vec<FaultView> = Vec::new();
    while let Some(asked) = interview.question() {
        let own = answers
            .iter()
            .find(|one| one.question == folded(&asked.name));
        if own.is_none() && interview.pattern().question(&asked.name).is_none() {
            open.push(FaultView {
                line: None,
                column: None,
                text: format!("`{}` is not answered: {}", asked.name, asked.ask),
                hint: format!("add a line `{} = ` with {}", asked.name, asked.expects),
            });
        }
        let text = own.map_or("", |one| one.text.as_str());
        match interview.answer(text) {
            Ok(remarks) => {
                said.extend(
                    remarks
                        .into_iter()
                        .map(|text| format!("{}: {text}", asked.name)),
                );
            }
            Err(fault) => {
                match own {
                    Some(own) => faults.push(own.fault(fault.column, &fault.text, &fault.hint)),
                    None => faults.push(FaultView {
                        line: None,
                        column: None,
                        text: format!("{}: {}", asked.name, fault.text),
                        hint: fault.hint,
                    }),
                }
                // The rest is asked all the same, so that all faults come at once.
                if interview.answer("?").is_err() {
                    break;
                }
            }
        }
        used.extend(own);
    }
    let unused = unused_faults(interview, answers, &used, faults.is_empty());
    if !unused.is_empty() {
        // What was not asked may hang on a further question about a tube.
        faults.extend(open);
    }
    faults.extend(unused);
    if faults.is_empty() {
        Ok(said)
    } else {
        faults.sort_by_key(|fault| (fault.line, fault.column));
        Err(Trouble::Input { faults })
    }
}

/// Answers to what is no question, and, where all else is right, to what was not asked.
fn unused_faults(
    interview: &Interview<'_>,
    answers: &[WrittenAnswer],
    used: &[&WrittenAnswer],
    all_else_is_right: bool,
) -> Vec<FaultView> {
    let pattern = interview.pattern();
    let left_out = interview.rows().left_out;
    let mut faults = Vec::new();
    for answer in answers {
        if used.contains(&answer) {
            continue;
        }
        let is_further = pattern
            .questions
            .iter()
            .any(|question| answer.question.starts_with(&format!("{} ", question.name)));
        if pattern.question(&answer.question).is_none() && !is_further {
            let near = match pattern.nearest_question(&answer.question) {
                Some(near) => format!("did you mean `{near}`? "),
                None => String::new(),
            };
            faults.push(answer.fault(
                None,
                &format!("{} has no such question", pattern.name),
                &format!(
                    "{near}`firstraster stage {}` lists the questions",
                    pattern.name
                ),
            ));
        } else if all_else_is_right && !is_nothing(&answer.text) {
            let because = left_out
                .iter()
                .find(|left| left.question == answer.question)
                .map_or("the answers before it leave nothing to ask", |left| {
                    left.because.as_str()
                });
            faults.push(answer.fault(
                None,
                &format!("was answered but not asked: {because}"),
                "answer what it hangs on, or take the line out",
            ));
        }
    }
    faults
}

fn all_patterns() -> Result<&'static [StagePattern], Trouble> {
    stage_patterns().map_err(|faults| {
        let texts: Vec<String> = faults.iter().map(ToString::to_string).collect();
        Trouble::ours(format!("the patterns are at fault: {}", texts.join("; ")))
    })
}

fn pattern_named(name: &str) -> Result<&'static StagePattern, Trouble> {
    all_patterns()?;
    stage_pattern(name).map_err(|near| {
        let near = match near {
            Some(near) => format!("did you mean `{near}`? "),
            None => String::new(),
        };
        Trouble::input(
            format!("`{}` is no pattern of a stage", name.trim()),
            format!("{near}`firstraster stage` lists them"),
        )
    })
}
