//! The whole file out to a folder of readable files, and such a folder back into a file.
//!
//! The folder has `story.txt` (everything that was entered), `sheets/` and `photographs/` (as they
//! came, named by the entry that brought them first), and the lists `readings.csv`, `parts.csv`,
//! `tests.csv`, `picture_tubes.csv`, `re_forming.csv` and `proof.csv`, which are for reading only. Back in, sheets
//! and photographs are found by what they hold, not by their names. All or nothing both ways; all faults at once. A folder
//! that has anything in it is never written into.

use std::collections::BTreeMap;
use std::fs;
use std::io::ErrorKind;
use std::path::{Path, PathBuf};

use thiserror::Error;

use crate::error::LogbookError;
use crate::fields::FieldFault;
use crate::lists::{
    parts_csv, picture_tubes_csv, proof_csv, re_forming_csv, readings_csv, tests_csv,
};
use crate::logbook::{Logbook, hash_of};
use crate::open::{disk, folder_of};
use crate::photograph::{LARGEST_BYTES, Photograph, PhotographError};
use crate::plain_story::PlainStory;
use crate::story::Entry;

/// The largest story and the largest sheet that is read back, bytes.
const LARGEST_TEXT_FILE: u64 = 256 * 1024 * 1024;

const STORY: &str = "story.txt";
const SHEETS: &str = "sheets";
const PHOTOGRAPHS: &str = "photographs";

/// One thing that keeps a folder from being taken back.
#[derive(Debug, Clone, PartialEq, Error)]
pub enum FolderFault {
    /// A line of the story.
    #[error("{STORY}: {} {}", .0.key, .0.text)]
    Story(FieldFault),
    /// A file that the story names is not there.
    #[error("{folder}: the file that fact {number} names is not there, or was changed")]
    Missing {
        /// The folder it should stand in.
        folder: &'static str,
        /// The first fact that names it.
        number: u64,
    },
    /// A file that no fact names.
    #[error("{name}: no fact names this file, or it was changed")]
    NotNamed {
        /// The file, from the folder.
        name: String,
    },
    /// A file that cannot be read.
    #[error("{name}: {because}")]
    Unreadable {
        /// The file, from the folder.
        name: String,
        /// Why.
        because: String,
    },
    /// A photograph that cannot be looked at.
    #[error("{name}: {error}")]
    Photograph {
        /// The file, from the folder.
        name: String,
        /// Why.
        error: PhotographError,
    },
    /// The new file could not be made.
    #[error("{0}")]
    File(LogbookError),
}

/// What an export wrote.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct Exported {
    /// Entries of the story.
    pub entries: usize,
    /// Versions of the sheet.
    pub sheets: usize,
    /// Photographs.
    pub photographs: usize,
}

/// Writes everything into a new or empty folder.
pub fn export(book: &Logbook, folder: &Path) -> Result<Exported, LogbookError> {
    let place = match fs::read_dir(folder) {
        Ok(mut inside) => match inside.next() {
            Some(_) => return Err(LogbookError::AlreadyThere),
            None => true,
        },
        Err(error) if error.kind() == ErrorKind::NotFound => false,
        Err(error) if error.kind() == ErrorKind::NotADirectory => {
            return Err(LogbookError::AlreadyThere);
        }
        Err(error) => return Err(disk("looking into the folder", &error)),
    };
    let made = tempfile::Builder::new()
        .prefix(".firstraster-")
        .tempdir_in(folder_of(folder))
        .map_err(|error| disk("making the folder", &error))?;
    // One moment of the file: nothing that another program adds meanwhile is half taken.
    let entries = book.entries()?;
    let name = book.name()?;
    let put = |name: &str, bytes: &[u8]| {
        fs::write(made.path().join(name), bytes).map_err(|error| disk("writing the folder", &error))
    };
    put(READINGS, readings_csv(&entries).as_bytes())?;
    put(PARTS, parts_csv(&entries).as_bytes())?;
    put(TESTS, tests_csv(&entries).as_bytes())?;
    put(PICTURE_TUBES, picture_tubes_csv(&entries).as_bytes())?;
    put(RE_FORMING, re_forming_csv(&entries).as_bytes())?;
    put(PROOF, proof_csv(&entries).as_bytes())?;
    for inner in [SHEETS, PHOTOGRAPHS] {
        fs::create_dir(made.path().join(inner))
            .map_err(|error| disk("making the folder", &error))?;
    }
    let sheets = first_named(&entries, |entry| entry.fact.sheet());
    for (hash, number) in &sheets {
        put(
            &format!("{SHEETS}/{number:04}.toml"),
            book.sheet(hash)?.as_bytes(),
        )?;
    }
    let photographs = first_named(&entries, |entry| entry.fact.photograph());
    for (hash, number) in &photographs {
        let kept = book.photograph(hash)?;
        put(
            &format!("{PHOTOGRAPHS}/{number:04}.{}", kept.ending),
            &kept.original,
        )?;
    }
    let counts = Exported {
        entries: entries.len(),
        sheets: sheets.len(),
        photographs: photographs.len(),
    };
    put(STORY, PlainStory { name, entries }.to_text().as_bytes())?;
    if place {
        fs::remove_dir(folder).map_err(|error| disk("making the folder", &error))?;
    }
    rights_of_a_new_folder(made.path())?;
    fs::rename(made.keep(), folder).map_err(|error| disk("giving the folder its name", &error))?;
    Ok(counts)
}

const READINGS: &str = "readings.csv";
const PARTS: &str = "parts.csv";
const TESTS: &str = "tests.csv";
const PICTURE_TUBES: &str = "picture_tubes.csv";
const RE_FORMING: &str = "re_forming.csv";
const PROOF: &str = "proof.csv";

#[cfg(unix)]
fn rights_of_a_new_folder(path: &Path) -> Result<(), LogbookError> {
    use std::os::unix::fs::PermissionsExt;
    fs::set_permissions(path, fs::Permissions::from_mode(0o755))
        .map_err(|error| disk("giving the folder its rights", &error))
}

#[cfg(not(unix))]
fn rights_of_a_new_folder(_path: &Path) -> Result<(), LogbookError> {
    Ok(())
}

/// Makes a new file of what a folder holds.
pub fn import(folder: &Path, path: &Path) -> Result<Exported, Vec<FolderFault>> {
    let mut faults = Vec::new();
    let story = match read_text(folder, Path::new(STORY)) {
        Ok(text) => PlainStory::read(&text)
            .map_err(|more| faults.extend(more.into_iter().map(FolderFault::Story)))
            .ok(),
        Err(fault) => {
            faults.push(fault);
            None
        }
    };
    let mut sheets = BTreeMap::new();
    let mut photographs = BTreeMap::new();
    for name in inside(folder, SHEETS, &mut faults) {
        match read_text(folder, &name) {
            Ok(text) => drop(sheets.insert(hash_of(text.as_bytes()), (name, text))),
            Err(fault) => faults.push(fault),
        }
    }
    for name in inside(folder, PHOTOGRAPHS, &mut faults) {
        match read_bytes(folder, &name, LARGEST_BYTES as u64) {
            Ok(bytes) => drop(photographs.insert(hash_of(&bytes), (name, bytes))),
            Err(fault) => faults.push(fault),
        }
    }
    // A story that cannot be read names no file.
    if let Some(story) = &story {
        let named = first_named(&story.entries, |entry| entry.fact.sheet());
        faults.extend(unlike(SHEETS, &named, &sheets));
        let named = first_named(&story.entries, |entry| entry.fact.photograph());
        faults.extend(unlike(PHOTOGRAPHS, &named, &photographs));
        // What no entry names is told already.
        photographs.retain(|hash, _| named.iter().any(|(own, _)| own == hash));
    }
    let mut looked_at = Vec::new();
    for (name, bytes) in photographs.into_values() {
        match Photograph::read(bytes) {
            Ok(photograph) => looked_at.push(photograph),
            Err(error) => faults.push(FolderFault::Photograph {
                name: shown(&name),
                error,
            }),
        }
    }
    let Some(story) = story.filter(|_| faults.is_empty()) else {
        return Err(faults);
    };
    let texts: Vec<String> = sheets.into_values().map(|(_, text)| text).collect();
    fill(path, &story, &texts, &looked_at).map_err(|error| vec![FolderFault::File(error)])?;
    Ok(Exported {
        entries: story.entries.len(),
        sheets: texts.len(),
        photographs: looked_at.len(),
    })
}

/// Makes the file beside its name and gives it that name when all is in it.
fn fill(
    path: &Path,
    story: &PlainStory,
    sheets: &[String],
    photographs: &[Photograph],
) -> Result<(), LogbookError> {
    if path.symlink_metadata().is_ok() {
        return Err(LogbookError::AlreadyThere);
    }
    let made = tempfile::Builder::new()
        .prefix(".firstraster-")
        .tempdir_in(folder_of(path))
        .map_err(|error| disk("making the file", &error))?;
    let mut book = Logbook::start(&made.path().join("made"), &story.name)?;
    book.fill(sheets, photographs, &story.entries)?;
    book.back_up(path)
}

/// Each sheet or photograph with the number of the first entry that names it, in that order.
fn first_named<'a>(
    entries: &'a [Entry],
    hash: impl Fn(&'a Entry) -> Option<&'a str>,
) -> Vec<(&'a str, u64)> {
    let mut named: Vec<(&str, u64)> = Vec::new();
    let mut known = std::collections::HashSet::new();
    for entry in entries {
        if let Some(hash) = hash(entry)
            && known.insert(hash)
        {
            named.push((hash, entry.number));
        }
    }
    named
}

fn unlike<T>(
    folder: &'static str,
    named: &[(&str, u64)],
    found: &BTreeMap<String, (PathBuf, T)>,
) -> Vec<FolderFault> {
    let missing = named
        .iter()
        .filter(|(hash, _)| !found.contains_key(*hash))
        .map(|(_, number)| FolderFault::Missing {
            folder,
            number: *number,
        });
    let spare = found
        .iter()
        .filter(|(hash, _)| !named.iter().any(|(own, _)| own == hash))
        .map(|(_, (name, _))| FolderFault::NotNamed { name: shown(name) });
    missing.chain(spare).collect()
}

/// The files of an inner folder, in the order of their names; a folder that is not there has none.
fn inside(folder: &Path, inner: &str, faults: &mut Vec<FolderFault>) -> Vec<PathBuf> {
    let unreadable = |error: std::io::Error| FolderFault::Unreadable {
        name: inner.to_owned(),
        because: error.to_string(),
    };
    let listing = match fs::read_dir(folder.join(inner)) {
        Ok(listing) => listing,
        Err(error) if error.kind() == ErrorKind::NotFound => return Vec::new(),
        Err(error) => {
            faults.push(unreadable(error));
            return Vec::new();
        }
    };
    let mut names = Vec::new();
    for entry in listing {
        match entry {
            Ok(entry) => names.push(Path::new(inner).join(entry.file_name())),
            Err(error) => faults.push(unreadable(error)),
        }
    }
    names.sort();
    names
}

fn read_text(folder: &Path, name: &Path) -> Result<String, FolderFault> {
    let bytes = read_bytes(folder, name, LARGEST_TEXT_FILE)?;
    String::from_utf8(bytes).map_err(|_| FolderFault::Unreadable {
        name: shown(name),
        because: "this is no text in UTF-8".to_owned(),
    })
}

fn read_bytes(folder: &Path, name: &Path, most: u64) -> Result<Vec<u8>, FolderFault> {
    let unreadable = |because: String| FolderFault::Unreadable {
        name: shown(name),
        because,
    };
    let path = folder.join(name);
    let about = fs::metadata(&path).map_err(|error| match error.kind() {
        ErrorKind::NotFound => unreadable("there is no such file".to_owned()),
        _ => unreadable(error.to_string()),
    })?;
    if about.is_dir() {
        return Err(unreadable("this is a folder".to_owned()));
    }
    if about.len() > most {
        return Err(unreadable(format!("larger than {most} bytes")));
    }
    fs::read(&path).map_err(|error| unreadable(error.to_string()))
}

fn shown(name: &Path) -> String {
    name.to_string_lossy().replace('\\', "/")
}
