//! Answers that were written down before: a file of them, or single ones.
//!
//! One line an answer, `question = answer`; lines that begin with `#` and empty
//! ones are passed over. Everything behind the first `=` belongs to the answer.
//! Lines and columns count from 1, columns in characters. Fails, with all faults,
//! for a line without `=` and for a question answered twice.

use std::path::Path;

use crate::read_sheet_file::read_sheet_file;
use crate::trouble::Trouble;
use crate::view::FaultView;

/// An answer as it was written down.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct WrittenAnswer {
    /// The name of its question, in small letters, single spaces.
    pub question: String,
    /// The answer; empty for what is not there.
    pub text: String,
    /// Where it came from, for messages.
    pub from: String,
    /// Its line, in a file.
    pub line: Option<usize>,
    /// The character at which the answer begins.
    pub column: usize,
}

impl WrittenAnswer {
    /// A fault of this answer, at a character of it, from 1, where it has one.
    pub fn fault(&self, at: Option<usize>, text: &str, hint: &str) -> FaultView {
        let column = self.line.and(at).map(|at| self.column + at - 1);
        let place = match (self.line, column) {
            (Some(line), Some(column)) => format!("{} line {line}, column {column}", self.from),
            (Some(line), None) => format!("{} line {line}", self.from),
            _ => self.from.clone(),
        };
        FaultView {
            line: self.line,
            column,
            text: format!("{place}: {}: {text}", self.question),
            hint: hint.to_string(),
        }
    }
}

/// The answers of a file, then those given one by one as `question=answer`.
pub fn written_answers(
    file: Option<&Path>,
    single: &[String],
) -> Result<Vec<WrittenAnswer>, Trouble> {
    let mut answers = Vec::new();
    let mut faults = Vec::new();
    if let Some(path) = file {
        let read = read_sheet_file(path)?;
        let text = String::from_utf8(read.bytes).map_err(|_| Trouble::File {
            name: read.name.clone(),
            text: "this is no text in UTF-8".to_string(),
            hint: "save the answers as plain text in UTF-8".to_string(),
        })?;
        for (number, line) in text.trim_start_matches('\u{feff}').lines().enumerate() {
            read_line(
                &read.name,
                Some(number + 1),
                line,
                &mut answers,
                &mut faults,
            );
        }
    }
    for one in single {
        read_line("--answer", None, one, &mut answers, &mut faults);
    }
    if faults.is_empty() {
        Ok(answers)
    } else {
        Err(Trouble::Input { faults })
    }
}

/// A name as it is compared: small letters, single spaces.
pub fn folded(name: &str) -> String {
    name.split_whitespace()
        .map(str::to_lowercase)
        .collect::<Vec<_>>()
        .join(" ")
}

fn read_line(
    from: &str,
    number: Option<usize>,
    line: &str,
    answers: &mut Vec<WrittenAnswer>,
    faults: &mut Vec<FaultView>,
) {
    if number.is_some() && (line.trim().is_empty() || line.trim_start().starts_with('#')) {
        return;
    }
    let place = match number {
        Some(number) => format!("{from} line {number}"),
        None => from.to_string(),
    };
    let mut fault = |text: String, hint: &str| {
        faults.push(FaultView {
            line: number,
            column: None,
            text: format!("{place}: {text}"),
            hint: hint.to_string(),
        });
    };
    let Some((name, text)) = line.split_once('=') else {
        fault(
            format!("`{}` has no `=`", line.trim()),
            "write the question's name, `=`, and the answer: `grid resistor = R12 470k`",
        );
        return;
    };
    let question = folded(name);
    if question.is_empty() {
        fault(
            "no question stands before the `=`".to_string(),
            "write the question's name before it",
        );
        return;
    }
    if let Some(first) = answers.iter().find(|known| known.question == question) {
        let at = match first.line {
            Some(line) => format!("{} line {line}", first.from),
            None => first.from.clone(),
        };
        fault(
            format!("`{question}` is answered twice, first in {at}"),
            "keep one of the two",
        );
        return;
    }
    let before = line.len() - text.trim_start().len();
    answers.push(WrittenAnswer {
        question,
        text: text.trim().to_string(),
        from: from.to_string(),
        line: number,
        column: line
            .get(..before)
            .map_or(1, |before| before.chars().count() + 1),
    });
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn answers_are_read_line_by_line() -> Result<(), Box<dyn std::error::Error>> {
        let folder = tempfile::tempdir()?;
        let path = folder.path().join("a.txt");
        std::fs::write(
            &path,
            "\u{feff}# mine\r\n\r\nGrid  Resistor = R12 470k # 1/2 W\r\nsupply=\r\n",
        )?;
        let answers = written_answers(Some(&path), &["output = a = b".to_string()])?;
        let read: Vec<(&str, &str, Option<usize>, usize)> = answers
            .iter()
            .map(|one| {
                (
                    one.question.as_str(),
                    one.text.as_str(),
                    one.line,
                    one.column,
                )
            })
            .collect();
        assert_eq!(
            read,
            [
                ("grid resistor", "R12 470k # 1/2 W", Some(3), 18),
                ("supply", "", Some(4), 8),
                ("output", "a = b", None, 10),
            ]
        );
        Ok(())
    }

    #[test]
    fn every_faulty_line_is_told() -> Result<(), Box<dyn std::error::Error>> {
        let folder = tempfile::tempdir()?;
        let path = folder.path().join("a.txt");
        std::fs::write(&path, "a = 1\nno sense\n = 3\nA = 2\n")?;
        let faults = match written_answers(Some(&path), &["a=3".to_string()]) {
            Err(Trouble::Input { faults }) => faults,
            other => panic!("{other:?}"),
        };
        let lines: Vec<Option<usize>> = faults.iter().map(|fault| fault.line).collect();
        assert_eq!(lines, [Some(2), Some(3), Some(4), None]);
        assert!(faults[3].text.contains("answered twice, first in"));
        Ok(())
    }
}
