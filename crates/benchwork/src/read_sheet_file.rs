//! Reads one set sheet from a file, or from standard input when it is named `-`.
//!
//! The bytes are handed on as they are: whether they are text at all is judged
//! where the sheet is read. Refused here, each with its own message: a file that
//! is not there or has gone meanwhile, a folder, a file that may not be read, and
//! one above [`LARGEST_SHEET_BYTES`]; nothing is read beyond that size. A restoration's file is
//! told by its head: where a sheet itself is asked for it is refused with what to do
//! ([`read_sheet_file`]), where the set is asked about it gives the sheet as it holds now
//! ([`read_set_file`]) or as it was taken in last ([`read_set_as_taken_in`]).

use std::fs::File;
use std::io::{self, ErrorKind, Read};
use std::path::Path;
use std::sync::Arc;

use logbook::{Logbook, standing_facts};

use crate::restoration::trouble;
use crate::sheet_so_far::{SheetSoFar, sheet_so_far};
use crate::trouble::Trouble;

/// The largest sheet that is read. A full transcription of a large set is far
/// below a tenth of it.
pub const LARGEST_SHEET_BYTES: u64 = 8 * 1024 * 1024;

/// How every SQLite file begins (its published file format, section 1.3).
const HEAD_OF_A_RESTORATION: &[u8] = b"SQLite format 3\0";

/// A sheet as it was found, with the name it is known by.
#[derive(Debug, Clone)]
pub struct SheetFile {
    /// Name for messages: the path as it was given.
    pub name: String,
    /// The bytes, not yet judged.
    pub bytes: Vec<u8>,
    /// Whether it comes out of a restoration.
    is_of_a_restoration: bool,
    /// The sheet with all that its restoration tells; `None` for a sheet as it is written.
    pub(crate) so_far: Option<Arc<SheetSoFar>>,
}

impl SheetFile {
    /// A sheet that comes from no file.
    pub fn in_memory(name: impl Into<String>, bytes: impl Into<Vec<u8>>) -> Self {
        SheetFile {
            name: name.into(),
            bytes: bytes.into(),
            is_of_a_restoration: false,
            so_far: None,
        }
    }

    /// Whether it comes out of a restoration.
    pub fn is_of_a_restoration(&self) -> bool {
        self.is_of_a_restoration
    }

    /// Everything of it that a prediction rests on, as a text that tells two of them apart.
    pub fn rests_on(&self) -> String {
        match &self.so_far {
            Some(so_far) => so_far.rests_on(),
            None => self.text(),
        }
    }

    /// The text, for showing its lines in messages; what is no text is shown as a mark.
    pub fn text(&self) -> String {
        String::from_utf8_lossy(&self.bytes).into_owned()
    }
}

/// Reads the sheet. The only errors are of the kind [`Trouble::File`].
pub fn read_sheet_file(path: &Path) -> Result<SheetFile, Trouble> {
    let name = path.display().to_string();
    let bytes = if name == "-" {
        read_at_most(io::stdin().lock(), &name, Vec::new())?
    } else {
        read_at_most(opened(path, &name)?, &name, Vec::new())?
    };
    if bytes.starts_with(HEAD_OF_A_RESTORATION) {
        return Err(no_sheet(&name));
    }
    Ok(SheetFile::in_memory(name, bytes))
}

/// A sheet that came as a file by another way than a path, such as from a browser; a restoration's file and what is too
/// large are refused as [`read_sheet_file`] refuses them.
pub fn sheet_file_sent(name: &str, bytes: Vec<u8>) -> Result<SheetFile, Trouble> {
    let bytes = read_at_most(bytes.as_slice(), name, Vec::new())?;
    if bytes.starts_with(HEAD_OF_A_RESTORATION) {
        return Err(no_sheet(name));
    }
    Ok(SheetFile::in_memory(name, bytes))
}

/// Reads the set: from a sheet, or from a restoration, whose sheet is taken as it holds now.
pub fn read_set_file(path: &Path) -> Result<SheetFile, Trouble> {
    read_set(path, true)
}

/// The same, but the sheet of a restoration is that which was taken in last, whatever was replaced
/// and measured since: what the maker's chart is held against.
pub fn read_set_as_taken_in(path: &Path) -> Result<SheetFile, Trouble> {
    read_set(path, false)
}

fn read_set(path: &Path, with_facts: bool) -> Result<SheetFile, Trouble> {
    let name = path.display().to_string();
    if name == "-" {
        return read_sheet_file(path);
    }
    let mut file = opened(path, &name)?;
    let mut head = Vec::new();
    let head_length = HEAD_OF_A_RESTORATION.len() as u64;
    file.by_ref()
        .take(head_length)
        .read_to_end(&mut head)
        .map_err(|error| trouble_with(&name, &error))?;
    if head == HEAD_OF_A_RESTORATION {
        drop(file);
        return set_of(path, name, with_facts);
    }
    let bytes = read_at_most(file, &name, head)?;
    Ok(SheetFile::in_memory(name, bytes))
}

fn set_of(path: &Path, name: String, with_facts: bool) -> Result<SheetFile, Trouble> {
    let in_file = |error| trouble(path, error);
    let book = Logbook::look(path).map_err(in_file)?;
    let Some(text) = book.present_sheet().map_err(in_file)? else {
        return Err(file_trouble(
            &name,
            "no sheet was taken into this restoration yet",
            "take one in with `firstraster take FILE SHEET`",
        ));
    };
    let entries = book.entries().map_err(in_file)?;
    let so_far = match with_facts {
        true => sheet_so_far(&text, &standing_facts(&entries))?,
        false => None,
    };
    Ok(SheetFile {
        name,
        bytes: match &so_far {
            Some(so_far) => so_far.text.clone().into_bytes(),
            None => text.into_bytes(),
        },
        is_of_a_restoration: true,
        so_far: so_far.map(Arc::new),
    })
}

fn opened(path: &Path, name: &str) -> Result<File, Trouble> {
    let file = File::open(path).map_err(|error| trouble_with(name, &error))?;
    let about = file
        .metadata()
        .map_err(|error| trouble_with(name, &error))?;
    if about.is_dir() {
        return Err(a_folder(name));
    }
    Ok(file)
}

/// What the source holds behind what was read of it already.
fn read_at_most(source: impl Read, name: &str, mut bytes: Vec<u8>) -> Result<Vec<u8>, Trouble> {
    let left = LARGEST_SHEET_BYTES.saturating_sub(bytes.len() as u64);
    source
        .take(left + 1)
        .read_to_end(&mut bytes)
        .map_err(|error| trouble_with(name, &error))?;
    if bytes.len() as u64 > LARGEST_SHEET_BYTES {
        let megabytes = LARGEST_SHEET_BYTES / (1024 * 1024);
        return Err(file_trouble(
            name,
            &format!("larger than {megabytes} megabytes, as no sheet, list or file of answers is"),
            "name the file itself, for a sheet a text file such as examples/larkfield_12t.toml",
        ));
    }
    Ok(bytes)
}

fn trouble_with(name: &str, error: &io::Error) -> Trouble {
    match error.kind() {
        ErrorKind::NotFound => file_trouble(
            name,
            "there is no such file",
            "look at the spelling and at the folder you are in",
        ),
        ErrorKind::IsADirectory => a_folder(name),
        ErrorKind::PermissionDenied => file_trouble(
            name,
            "the file may not be read",
            "give yourself the right to read it, or copy it to a folder of your own",
        ),
        _ => file_trouble(
            name,
            &format!("the file cannot be read: {error}"),
            "copy the file to a disk of this computer and try again",
        ),
    }
}

fn no_sheet(name: &str) -> Trouble {
    file_trouble(
        name,
        "this is a restoration's file, and a sheet or another text file is needed here",
        "`firstraster export` writes its sheets out; change one, and take it in with `firstraster take`",
    )
}

fn a_folder(name: &str) -> Trouble {
    file_trouble(name, "this is a folder", "name the file inside it")
}

fn file_trouble(name: &str, text: &str, hint: &str) -> Trouble {
    Trouble::File {
        name: name.to_owned(),
        text: text.to_owned(),
        hint: hint.to_owned(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn check(path: &Path, expected: &str) {
        match read_sheet_file(path) {
            Err(Trouble::File { text, hint, .. }) => {
                assert!(
                    text.contains(expected),
                    "`{text}` does not say `{expected}`"
                );
                assert!(!hint.is_empty());
            }
            other => panic!("{}: {other:?}", path.display()),
        }
    }

    #[test]
    fn what_is_no_file_is_told_apart() -> io::Result<()> {
        let folder = tempfile::tempdir()?;
        check(&folder.path().join("not there.toml"), "no such file");
        check(folder.path(), "a folder");
        Ok(())
    }

    #[test]
    fn a_file_beyond_the_limit_is_refused_and_one_at_the_limit_is_read() -> io::Result<()> {
        let folder = tempfile::tempdir()?;
        let path = folder.path().join("long.toml");
        let file = File::create(&path)?;
        file.set_len(LARGEST_SHEET_BYTES)?;
        let read = read_sheet_file(&path).map(|sheet| sheet.bytes.len() as u64);
        assert!(matches!(read, Ok(LARGEST_SHEET_BYTES)));
        file.set_len(LARGEST_SHEET_BYTES + 1)?;
        check(&path, "larger than 8 megabytes");
        Ok(())
    }

    #[test]
    fn a_restoration_is_told_by_its_head() -> io::Result<()> {
        let folder = tempfile::tempdir()?;
        let path = folder.path().join("any.toml");
        std::fs::write(&path, b"SQLite format 3\0 and what follows")?;
        check(&path, "restoration's file");
        let sent = sheet_file_sent("own", b"SQLite format 3\0 and what follows".to_vec());
        assert!(matches!(sent, Err(Trouble::File { text, .. }) if text.contains("restoration")));
        // What is shorter than the head, or of its length, is read whole.
        for text in [
            "",
            "SQLite",
            "SQLite format 3!",
            "SQLite format 3, name = 1",
        ] {
            std::fs::write(&path, text)?;
            let read = read_set_file(&path).map(|set| (set.bytes, set.is_of_a_restoration));
            assert!(matches!(&read, Ok((bytes, false)) if bytes == text.as_bytes()));
        }
        Ok(())
    }

    #[test]
    fn bytes_come_through_unchanged() -> io::Result<()> {
        let folder = tempfile::tempdir()?;
        let path = folder.path().join("any.toml");
        std::fs::write(&path, [0, 255, 10])?;
        let read = read_sheet_file(&path).map(|sheet| sheet.bytes);
        assert!(matches!(read.as_deref(), Ok([0, 255, 10])));
        Ok(())
    }
}
