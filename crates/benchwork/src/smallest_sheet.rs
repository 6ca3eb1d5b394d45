//! The smallest sheet that is one: a name and the line, to be filled in with the work.
//!
//! Volts and hertz of the line at which the maker's figures hold, as they were typed; none is put in for what was not
//! typed. Fails with every field that lacks or is no number; whether the numbers are those of a line is told where the
//! sheet is checked.

use receiver::sheet_edit::quoted;

use crate::trouble::Trouble;
use crate::view::FaultView;

/// The text of a sheet with this name, for a line of these volts and hertz.
pub fn smallest_sheet(name: &str, volts: &str, hertz: &str) -> Result<String, Trouble> {
    let mut faults = Vec::new();
    let name = name.trim();
    if name.is_empty() {
        faults.push(fault(
            "the set has no name",
            "name it, such as Larkfield 12T",
        ));
    }
    let volts = number(
        volts,
        &["V", "volts"],
        "line volts",
        "the volts of the maker's plate, such as 117",
    );
    let hertz = number(
        hertz,
        &["Hz", "hertz"],
        "line hertz",
        "the frequency of the maker's plate, 60 or 50",
    );
    match (volts, hertz) {
        (Ok(volts), Ok(hertz)) if faults.is_empty() => Ok(format!(
            "sheet = 1\nname = {}\nline_volts = {volts}\nline_hertz = {hertz}\n\n\
             tubes = [\n]\n\nwindings = [\n]\n\nparts = [\n]\n",
            quoted(name)
        )),
        (volts, hertz) => {
            faults.extend([volts.err(), hertz.err()].into_iter().flatten());
            Err(Trouble::Input { faults })
        }
    }
}

fn number(typed: &str, units: &[&str], called: &str, expected: &str) -> Result<f64, FaultView> {
    let typed = typed.trim();
    if typed.is_empty() {
        return Err(fault(&format!("{called}: nothing was typed"), expected));
    }
    let figure = units.iter().find_map(|unit| typed.strip_suffix(unit));
    let figure = figure.unwrap_or(typed).trim().replace(',', ".");
    let value: Option<f64> = figure.parse().ok();
    value
        .filter(|value| value.is_finite())
        .ok_or_else(|| fault(&format!("{called}: `{typed}` is no number"), expected))
}

fn fault(text: &str, hint: &str) -> FaultView {
    FaultView {
        line: None,
        column: None,
        text: text.to_owned(),
        hint: hint.to_owned(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::check_sheet::sound_sheet;
    use crate::read_sheet_file::SheetFile;

    #[test]
    fn it_passes_the_check_whatever_the_name() {
        for (name, volts, hertz) in [
            ("Larkfield 12T", "117", "60"),
            (" a \"quoted\" \\ name ", "240 V", "50 Hz"),
            ("Ñandú", "110,5", "42"),
        ] {
            let text = smallest_sheet(name, volts, hertz).expect("a sheet");
            let (sheet, _) = sound_sheet(&SheetFile::in_memory("own", text)).expect("no fault");
            assert_eq!(sheet.name, name.trim());
        }
    }

    #[test]
    fn every_field_that_lacks_is_told_at_once() {
        let told = |name, volts, hertz| match smallest_sheet(name, volts, hertz) {
            Err(Trouble::Input { faults }) => faults.len(),
            other => panic!("{other:?}"),
        };
        assert_eq!(told("", "", ""), 3);
        assert_eq!(told("a", "many", "inf"), 2);
        assert_eq!(told("a", "117", "-"), 1);
    }
}
