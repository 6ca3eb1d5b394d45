//! Keeps an answer in the restoration that was asked, where that is wished (`--keep`).
//!
//! As the page shows it, with the words it was asked by. Fails for a set sheet, which keeps nothing,
//! before anything is worked out.

use std::path::Path;

use benchwork::{Entering, SheetFile, Stamp, Trouble, keep_advice};

use crate::cli_keep::KeepArguments;
use crate::clock::time;
use crate::output::{Screen, Stop};

/// What is to be kept, if anything.
pub struct Keeping<'a> {
    file: &'a Path,
    at: Option<Stamp>,
}

/// Whether the answer is to be kept, and in which file.
pub fn keeping<'a>(
    arguments: &KeepArguments,
    path: &'a Path,
    file: &SheetFile,
) -> Result<Keeping<'a>, Trouble> {
    if arguments.keep && !file.is_of_a_restoration() {
        return Err(Trouble::input(
            format!(
                "{} is a sheet: only a restoration's file keeps an answer",
                file.name
            ),
            "begin one with `firstraster start FILE SHEET`, and ask it, or leave --keep out",
        ));
    }
    keeping_in(arguments, path)
}

/// The same of a command that is asked of a restoration alone.
pub fn keeping_in<'a>(arguments: &KeepArguments, path: &'a Path) -> Result<Keeping<'a>, Trouble> {
    let at = match arguments.keep {
        true => Some(time(arguments.at.clone())?),
        false => None,
    };
    Ok(Keeping { file: path, at })
}

impl Keeping<'_> {
    /// Keeps the page, where that was wished, and says so to a person.
    pub fn keep(self, page: &str, screen: &mut Screen) -> Result<(), Stop> {
        let Some(at) = self.at else {
            return Ok(());
        };
        let entering = Entering::new(self.file, at);
        let (first, count) = keep_advice(&entering, &asked(self.file), page)?;
        if screen.json {
            return Ok(());
        }
        let entries = match count {
            1 => format!("entry {first}"),
            _ => format!("entries {first} to {}", first + count as u64 - 1),
        };
        screen.say(&format!(
            "\nKept in {} as {entries}.\n",
            self.file.display()
        ))
    }
}

/// What was typed, without where the file stands on this computer and what is not about the set.
fn asked(file: &Path) -> String {
    let name = file
        .file_name()
        .unwrap_or(file.as_os_str())
        .to_string_lossy();
    let words = std::env::args_os().skip(1).filter_map(|word| {
        if word == file.as_os_str() {
            return Some(name.to_string());
        }
        let word = word.to_string_lossy().into_owned();
        (!["--json", "--keep"].contains(&word.as_str())).then_some(word)
    });
    words.collect::<Vec<_>>().join(" ")
}
