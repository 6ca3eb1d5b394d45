//! Reads a file with a table of the restorer's own.
//!
//! CSV in UTF-8 with a heading line. Fails for a file that cannot be read and for a table with
//! faults, all of them at once, each with its line and column.

use std::path::Path;

use parts::DataFault;

use crate::read_sheet_file::read_sheet_file;
use crate::trouble::Trouble;
use crate::view::FaultView;

/// Reads the table at `path` by `read`, which gets the file's name and its text.
pub(crate) fn read_own_file<T>(
    path: &Path,
    read: impl Fn(&str, &str) -> Result<T, Vec<DataFault>>,
) -> Result<T, Trouble> {
    let file = read_sheet_file(path)?;
    let text = String::from_utf8(file.bytes).map_err(|_| Trouble::File {
        name: file.name.clone(),
        text: "this is no text in UTF-8".to_string(),
        hint: "save the table as CSV in UTF-8".to_string(),
    })?;
    read(&file.name, &text).map_err(|faults| Trouble::Input {
        faults: faults.into_iter().map(fault_view).collect(),
    })
}

/// A fault of a table, with its file and place in the text.
pub(crate) fn fault_view(fault: DataFault) -> FaultView {
    let place = match (fault.line, fault.column.as_str()) {
        (line, "") => format!("{} line {line}", fault.file),
        (line, column) => format!("{} line {line}, column {column}", fault.file),
    };
    FaultView {
        line: usize::try_from(fault.line).ok(),
        column: None,
        text: format!("{place}: {}", fault.text),
        hint: fault.hint,
    }
}

/// What was read, or nothing with what kept it from being read.
pub(crate) fn or_kept<T: Default>(read: Result<T, Trouble>, troubles: &mut Vec<Trouble>) -> T {
    read.unwrap_or_else(|trouble| {
        troubles.push(trouble);
        T::default()
    })
}

/// A trouble with further ones, so that what is wrong with several files is told at once: a single one stays what it is,
/// and one that is not of a file or of what was typed goes before all others.
pub(crate) fn together(first: Trouble, rest: impl IntoIterator<Item = Trouble>) -> Trouble {
    rest.into_iter().fold(first, |one, other| {
        match (faults_of(one), faults_of(other)) {
            (Ok(mut faults), Ok(others)) => {
                faults.extend(others);
                Trouble::Input { faults }
            }
            (Err(own), _) | (_, Err(own)) => own,
        }
    })
}

/// A file that cannot be read, or what was typed, as faults; any other trouble as it is.
fn faults_of(trouble: Trouble) -> Result<Vec<FaultView>, Trouble> {
    match trouble {
        Trouble::File { name, text, hint } => {
            Ok(vec![FaultView::of_input(format!("{name}: {text}"), hint)])
        }
        Trouble::Input { faults } => Ok(faults),
        other => Err(other),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn several_troubles_are_told_as_one_and_a_single_one_stays_as_it_is() {
        let file = || Trouble::File {
            name: "a.csv".to_owned(),
            text: "there is no such file".to_owned(),
            hint: "look".to_owned(),
        };
        let input = || Trouble::input("b.csv line 2: nonsense", "mend it");
        assert!(matches!(together(file(), []), Trouble::File { .. }));
        let Trouble::Input { faults } = together(file(), [input()]) else {
            panic!("both are of what was typed");
        };
        let told: Vec<&str> = faults.iter().map(|own| &own.text[..]).collect();
        assert_eq!(
            told,
            ["a.csv: there is no such file", "b.csv line 2: nonsense"]
        );
        let ours = together(input(), [Trouble::ours("broken"), file()]);
        assert!(matches!(ours, Trouble::Ours { .. }));
    }
}
