//! `firstraster test FILE PART`: records what a tester said of a tube or a part.
//!
//! One of percent, micromhos and verdict is given; that is held by the command line.

use benchwork::{TestResult, Tested, Trouble, record_test};

use crate::cli_restoration::TestArguments;
use crate::clock::entering;
use crate::output::{Screen, Stop, story_page};

/// Runs the command.
pub fn run(arguments: TestArguments, screen: &mut Screen) -> Result<u8, Stop> {
    let percent = arguments.percent.map(TestResult::Percent);
    let micromhos = arguments.micromhos.map(TestResult::Micromhos);
    let verdict = arguments.verdict.map(TestResult::Verdict);
    let result = percent.or(micromhos).or(verdict).ok_or_else(|| {
        Trouble::input(
            "no result of the tester was given",
            "give --percent, --micromhos or --verdict",
        )
    })?;
    let tested = Tested {
        part: arguments.part,
        section: arguments.section.unwrap_or_default(),
        type_number: arguments.type_number.unwrap_or_default(),
        tester: arguments.tester.unwrap_or_default(),
        result,
        note: arguments.note.unwrap_or_default(),
    };
    let made = record_test(&entering(&arguments.entry)?, tested)?;
    story_page::show(&made, screen)
}
