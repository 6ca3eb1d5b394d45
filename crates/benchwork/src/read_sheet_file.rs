//! Reads one set sheet from a file, or from standard input when it is named `-`.
//!
//! The bytes are handed on as they are: whether they are text at all is judged
//! where the sheet is read. Refused here, each with its own message: a file that
//! is not there or has gone meanwhile, a folder, a file that may not be read, and
//! one above [`LARGEST_SHEET_BYTES`]; nothing is read beyond that size.

use std::fs::File;
use std::io::{self, ErrorKind, Read};
use std::path::Path;

use crate::trouble::Trouble;

/// The largest sheet that is read. A full transcription of a large set is far
/// below a tenth of it.
pub const LARGEST_SHEET_BYTES: u64 = 8 * 1024 * 1024;

/// A sheet as it was found, with the name it is known by.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct SheetFile {
    /// Name for messages: the path as it was given.
    pub name: String,
    /// The bytes, not yet judged.
    pub bytes: Vec<u8>,
}

impl SheetFile {
    /// A sheet that comes from no file.
    pub fn in_memory(name: impl Into<String>, bytes: impl Into<Vec<u8>>) -> Self {
        SheetFile {
            name: name.into(),
            bytes: bytes.into(),
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
        read_at_most(io::stdin().lock(), &name)?
    } else {
        let file = File::open(path).map_err(|error| trouble_with(&name, &error))?;
        let about = file
            .metadata()
            .map_err(|error| trouble_with(&name, &error))?;
        if about.is_dir() {
            return Err(a_folder(&name));
        }
        read_at_most(file, &name)?
    };
    Ok(SheetFile { name, bytes })
}

fn read_at_most(source: impl Read, name: &str) -> Result<Vec<u8>, Trouble> {
    let mut bytes = Vec::new();
    source
        .take(LARGEST_SHEET_BYTES + 1)
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
    fn bytes_come_through_unchanged() -> io::Result<()> {
        let folder = tempfile::tempdir()?;
        let path = folder.path().join("any.toml");
        std::fs::write(&path, [0, 255, 10])?;
        let read = read_sheet_file(&path).map(|sheet| sheet.bytes);
        assert!(matches!(read.as_deref(), Ok([0, 255, 10])));
        Ok(())
    }
}
