//! The folder that is handed on: the report, the sheet, the story, the lists and the photographs,
//! readable without this program, with the checksums of all of it.
//!
//! It holds what `export` writes, so that `import` takes it back, and beside that the finished
//! pages, the sheet, the story as a table, `README.txt` and `SHA256SUMS.txt` (the form that
//! `sha256sum -c` reads). Written whole or not at all; a folder that has anything in it is never
//! written into. Fails where the file cannot be read or the folder cannot be written.

use std::fs;
use std::io::ErrorKind;
use std::path::{Path, PathBuf};

use logbook::{csv_line, export, hash_of};

use super::{Opened, open};
use crate::restoration::{in_place, trouble};
use crate::trouble::Trouble;
use crate::view::{EntryView, KeptView};
use crate::{FORMAT, PROGRAM_VERSION};

/// A finished file that goes into the folder.
#[derive(Debug, Clone)]
pub struct HandedFile {
    /// Its name.
    pub name: &'static str,
    /// Its bytes.
    pub bytes: Vec<u8>,
}

const CHECKSUMS: &str = "SHA256SUMS.txt";

const README: &str =
    "This folder belongs to one television set. It tells what was found in it, what was
measured, what was replaced, and what to be careful of. Everything in it can be read
without the program that made it.

THE SET CAN KILL, also with the plug out. Read the cautions in report.pdf or index.html
before you open its back.

index.html          the whole report on one page, for any web browser
report.pdf          the same report on pages, for printing and keeping
report.json         the same report for programs
sheet.toml          the set as it was written down: tubes, parts, wiring, the maker's chart
sheet_as_left.toml  the same with what was replaced since
story.csv           everything that was entered, one line an entry, for a spreadsheet
story.txt           the same in the plain form that the program takes back
readings.csv        what meters showed
parts.csv           parts that were replaced
tests.csv           what testers said of tubes and parts
picture_tubes.csv   what was found of the picture tube
re_forming.csv      old electrolytics formed anew outside the set
proof.csv           what was measured and seen for the safety proof at the end
photographs/        the photographs as the camera wrote them; the number is that of the entry
sheets/             every version of the sheet; the number is that of the entry
SHA256SUMS.txt      a checksum of every file. `sha256sum -c SHA256SUMS.txt` tells whether
                    one has changed or gone bad

Lists have commas between their cells, a heading in the first line, and are UTF-8, as are
all texts here. Times are those of the place where an entry was made, with its distance
from Greenwich.

`firstraster import FOLDER NEW_FILE` makes a restoration's file of this folder again.
";

/// Writes the folder with these finished files in it.
pub fn write_folder(file: &Path, folder: &Path, pages: &[HandedFile]) -> Result<KeptView, Trouble> {
    let opened = open(file)?;
    let was_there = is_free(folder)?;
    let cannot = |error: std::io::Error| cannot_write(folder, &error);
    let above = match folder.parent() {
        Some(above) if !above.as_os_str().is_empty() => above,
        _ => Path::new("."),
    };
    let made = tempfile::Builder::new()
        .prefix(".firstraster-")
        .tempdir_in(above)
        .map_err(cannot)?;
    let inner = made.path().join("folder");
    let counts = export(&opened.book, &inner).map_err(|error| match error {
        damaged @ logbook::LogbookError::Damaged { .. } => trouble(file, damaged),
        other => in_place(folder, other),
    })?;
    let put = |name: &str, bytes: &[u8]| fs::write(inner.join(name), bytes).map_err(cannot);
    put("sheet.toml", opened.text.as_bytes())?;
    put("sheet_as_left.toml", opened.so_far.text.as_bytes())?;
    put("story.csv", story_csv(&opened).as_bytes())?;
    put("README.txt", README.as_bytes())?;
    for page in pages {
        put(page.name, &page.bytes)?;
    }
    put(CHECKSUMS, checksums(&inner).map_err(cannot)?.as_bytes())?;
    if was_there {
        fs::remove_dir(folder).map_err(cannot)?;
    }
    fs::rename(&inner, folder).map_err(cannot)?;
    Ok(KeptView {
        format: FORMAT,
        program: PROGRAM_VERSION,
        data: parts::DATA_EDITION,
        from: file.display().to_string(),
        to: folder.display().to_string(),
        entries: counts.entries,
        sheets: Some(counts.sheets),
        photographs: Some(counts.photographs),
    })
}

/// Whether there is an empty folder of this name; anything else of this name is refused.
fn is_free(folder: &Path) -> Result<bool, Trouble> {
    let taken = |text: &str| Trouble::File {
        name: folder.display().to_string(),
        text: text.to_owned(),
        hint: "name a folder that is not there yet".to_owned(),
    };
    match fs::read_dir(folder) {
        Ok(mut inside) => match inside.next() {
            Some(_) => Err(taken(
                "there is something in it already; nothing was written",
            )),
            None => Ok(true),
        },
        Err(error) if error.kind() == ErrorKind::NotFound => Ok(false),
        Err(error) if error.kind() == ErrorKind::NotADirectory => {
            Err(taken("this is a file, not a folder; nothing was written"))
        }
        Err(error) => Err(cannot_write(folder, &error)),
    }
}

fn cannot_write(folder: &Path, error: &std::io::Error) -> Trouble {
    let (text, hint) = match error.kind() {
        ErrorKind::NotFound => (
            "there is no such folder to make it in; nothing was written".to_owned(),
            "look at the spelling, or make the folder above it first",
        ),
        ErrorKind::PermissionDenied => (
            "nothing may be written there".to_owned(),
            "give yourself the right, or name a folder of your own",
        ),
        _ => (
            format!("the folder cannot be written: {error}; nothing was left behind"),
            "look whether the place may be written to",
        ),
    };
    Trouble::of_disk(folder.display().to_string(), &text, hint, error)
}

/// Every entry, undone and corrected ones too, as CSV.
fn story_csv(opened: &Opened) -> String {
    let heads = ["number", "at", "kind", "standing", "by", "text"];
    let mut text = csv_line(heads.into_iter());
    for entry in opened.entries.iter().map(EntryView::from) {
        let number = entry.number.to_string();
        let by = entry.by.map(|by| by.to_string()).unwrap_or_default();
        let cells = [
            number.as_str(),
            &entry.at,
            entry.kind,
            entry.standing,
            &by,
            &entry.text,
        ];
        text.push_str(&csv_line(cells.into_iter()));
    }
    text
}

/// The SHA-256 of every file below the folder, in the order of their names.
fn checksums(folder: &Path) -> std::io::Result<String> {
    let mut files = Vec::new();
    gather_files(folder, Path::new(""), &mut files)?;
    files.sort();
    let mut text = String::new();
    for name in files {
        let bytes = fs::read(folder.join(&name))?;
        let shown = name.to_string_lossy().replace('\\', "/");
        text.push_str(&format!("{}  {shown}\n", hash_of(&bytes)));
    }
    Ok(text)
}

fn gather_files(folder: &Path, inner: &Path, files: &mut Vec<PathBuf>) -> std::io::Result<()> {
    for entry in fs::read_dir(folder.join(inner))? {
        let entry = entry?;
        let name = inner.join(entry.file_name());
        if entry.file_type()?.is_dir() {
            gather_files(folder, &name, files)?;
        } else {
            files.push(name);
        }
    }
    Ok(())
}
