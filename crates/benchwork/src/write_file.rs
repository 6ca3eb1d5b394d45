//! Writes a file whole or not at all.
//!
//! The new text goes into a new file beside the old one and takes its place when
//! it stands on the disk, so that neither a full disk nor a pulled plug leaves half
//! a sheet. A link is followed, rights are kept. Refused: a file that may not be
//! written, a folder, a sheet that somebody else has changed since it was read, and what the
//! program has made in the place of a file of another kind, such as a restoration.

use std::fs::{self, File};
use std::io::{self, ErrorKind, Read, Write};
use std::path::Path;

use crate::read_sheet_file::{SheetFile, read_sheet_file};
use crate::trouble::Trouble;

/// Puts the new text in the place of the sheet that was read. The only errors are of the kinds [`Trouble::File`]
/// and [`Trouble::NotNow`].
pub fn replace_sheet(read: &SheetFile, text: &str) -> Result<(), Trouble> {
    if read.name == "-" {
        return Err(trouble(
            "-",
            "a sheet that came through a pipe has no file to be written to",
            "name the sheet's file",
        ));
    }
    let path = Path::new(&read.name);
    let now = read_sheet_file(path)?;
    if now.bytes != read.bytes {
        return Err(trouble(
            &read.name,
            "the sheet was changed by something else while you worked; nothing was written",
            "close it in the editor, look at it, and begin again",
        ));
    }
    write_file(path, text)
}

/// Writes a text into a file whole or not at all. The only errors are of the kinds [`Trouble::File`]
/// and [`Trouble::NotNow`].
pub fn write_file(path: &Path, text: &str) -> Result<(), Trouble> {
    write_bytes(path, text.as_bytes())
}

/// Bytes at the beginning of a file that tell its kind: `%PDF`, `<svg`, `<!DO`.
const HEAD_BYTES: usize = 4;

/// Writes what the program has made, a picture or a report, into a file whole or not at all: a new one, or in the place of
/// an earlier one, which begins with the same bytes. Another kind of file stays as it is, be it a restoration, a sheet or a
/// photograph. What is no file on a disk, such as a terminal, gets the bytes as they are. The only errors are of the kinds
/// [`Trouble::File`] and [`Trouble::NotNow`].
pub fn write_made(path: &Path, bytes: &[u8]) -> Result<(), Trouble> {
    let cannot = |error: &io::Error| {
        trouble(
            &path.display().to_string(),
            &format!("the file cannot be written: {error}"),
            "name another one",
        )
    };
    match fs::metadata(path) {
        Ok(about) if about.is_file() => {
            let mut head = Vec::new();
            let read = File::open(path)
                .and_then(|file| file.take(HEAD_BYTES as u64).read_to_end(&mut head));
            let is_earlier = bytes.starts_with(&head) && [0, HEAD_BYTES].contains(&head.len());
            match read {
                Ok(_) if is_earlier => write_bytes(path, bytes),
                Ok(_) => Err(trouble(
                    &path.display().to_string(),
                    "this file is there already and is of another kind; nothing was written",
                    "name another one; only an earlier one of the same kind is written over",
                )),
                Err(error) => Err(cannot(&error)),
            }
        }
        Ok(about) if !about.is_dir() => fs::write(path, bytes).map_err(|error| cannot(&error)),
        _ => write_bytes(path, bytes),
    }
}

/// Writes bytes into a file whole or not at all. The only errors are of the kinds [`Trouble::File`]
/// and [`Trouble::NotNow`].
fn write_bytes(path: &Path, bytes: &[u8]) -> Result<(), Trouble> {
    let name = path.display().to_string();
    put(path, bytes).map_err(|error| match error.kind() {
        ErrorKind::NotFound => trouble(
            &name,
            "there is no such folder",
            "look at the spelling, or make the folder first",
        ),
        ErrorKind::PermissionDenied => trouble(
            &name,
            "the file may not be written; nothing was changed",
            "give yourself the right to write it, or copy it to a folder of your own",
        ),
        ErrorKind::IsADirectory => trouble(&name, "this is a folder", "name a file inside it"),
        _ => Trouble::of_disk(
            &name,
            &format!("the file cannot be written: {error}; nothing was changed"),
            "look whether the place may be written to",
            &error,
        ),
    })
}

fn put(path: &Path, bytes: &[u8]) -> io::Result<()> {
    // A link stays a link: the file it leads to is replaced.
    let place = match fs::canonicalize(path) {
        Ok(place) => place,
        Err(error) if error.kind() == ErrorKind::NotFound => path.to_path_buf(),
        Err(error) => return Err(error),
    };
    let rights = match fs::metadata(&place) {
        Ok(about) if about.is_dir() => return Err(ErrorKind::IsADirectory.into()),
        Ok(about) if about.permissions().readonly() => {
            return Err(ErrorKind::PermissionDenied.into());
        }
        Ok(about) => Some(about.permissions()),
        Err(_) => None,
    };
    let folder = match place.parent() {
        Some(folder) if !folder.as_os_str().is_empty() => folder,
        _ => Path::new("."),
    };
    let mut builder = tempfile::Builder::new();
    builder.prefix(".firstraster-");
    // A new file gets the rights that any new file has here.
    #[cfg(unix)]
    builder.permissions(std::os::unix::fs::PermissionsExt::from_mode(0o666));
    let mut new = builder.tempfile_in(folder)?;
    new.write_all(bytes)?;
    if let Some(rights) = rights {
        new.as_file().set_permissions(rights)?;
    }
    new.as_file().sync_all()?;
    new.persist(&place).map_err(|error| error.error)?;
    Ok(())
}

fn trouble(name: &str, text: &str, hint: &str) -> Trouble {
    Trouble::File {
        name: name.to_owned(),
        text: text.to_owned(),
        hint: hint.to_owned(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn refused(outcome: Result<(), Trouble>, wanted: &str) {
        match outcome {
            Err(Trouble::File { text, hint, .. }) => {
                assert!(text.contains(wanted), "{text}");
                assert!(!hint.is_empty());
            }
            other => panic!("{wanted}: {other:?}"),
        }
    }

    fn names_in(folder: &Path) -> io::Result<Vec<String>> {
        let mut names = Vec::new();
        for entry in fs::read_dir(folder)? {
            names.push(entry?.file_name().to_string_lossy().into_owned());
        }
        names.sort();
        Ok(names)
    }

    #[test]
    fn a_file_is_replaced_and_nothing_is_left_beside_it() -> io::Result<()> {
        let folder = tempfile::tempdir()?;
        let path = folder.path().join("a.toml");
        assert!(write_file(&path, "one\r\n").is_ok());
        assert!(write_file(&path, "two\n").is_ok());
        assert_eq!(fs::read(&path)?, b"two\n");
        assert_eq!(names_in(folder.path())?, ["a.toml"]);
        Ok(())
    }

    #[test]
    fn what_cannot_be_written_is_told_and_stays_as_it_was() -> io::Result<()> {
        let folder = tempfile::tempdir()?;
        refused(write_file(folder.path(), "x"), "a folder");
        refused(
            write_file(&folder.path().join("none/a.toml"), "x"),
            "no such folder",
        );
        let path = folder.path().join("a.toml");
        fs::write(&path, "mine")?;
        let mut rights = fs::metadata(&path)?.permissions();
        rights.set_readonly(true);
        fs::set_permissions(&path, rights)?;
        refused(write_file(&path, "x"), "may not be written");
        assert_eq!(fs::read(&path)?, b"mine");
        assert_eq!(names_in(folder.path())?, ["a.toml"]);
        Ok(())
    }

    #[test]
    fn a_sheet_changed_by_another_hand_is_not_written_over() -> io::Result<()> {
        let folder = tempfile::tempdir()?;
        let path = folder.path().join("a.toml");
        fs::write(&path, "mine")?;
        let read = read_sheet_file(&path).map_err(|_| io::Error::other("not read"))?;
        fs::write(&path, "changed")?;
        refused(replace_sheet(&read, "x"), "changed by something else");
        assert_eq!(fs::read(&path)?, b"changed");
        refused(
            replace_sheet(&SheetFile::in_memory("-", "mine"), "x"),
            "pipe",
        );
        Ok(())
    }

    /// What is there already and is no earlier picture or report is never lost by a slip in a name.
    #[test]
    fn what_was_made_takes_no_place_of_another_kind_of_file() -> io::Result<()> {
        let folder = tempfile::tempdir()?;
        let path = folder.path().join("a.svg");
        assert!(write_made(&path, b"<svg one/>").is_ok());
        assert!(write_made(&path, b"<svg two/>").is_ok());
        assert_eq!(fs::read(&path)?, b"<svg two/>");
        for kept in [
            &b"SQLite format 3\0 and what follows"[..],
            b"sheet = 1\n",
            b"%PDF-1.7",
            b"<",
        ] {
            fs::write(&path, kept)?;
            refused(write_made(&path, b"<svg/>"), "of another kind");
            assert_eq!(fs::read(&path)?, kept);
        }
        // One that is empty has nothing to lose.
        fs::write(&path, "")?;
        assert!(write_made(&path, b"<svg three/>").is_ok());
        refused(write_made(folder.path(), b"<svg/>"), "a folder");
        refused(
            write_made(&folder.path().join("none/a.svg"), b"<svg/>"),
            "no such folder",
        );
        assert_eq!(names_in(folder.path())?, ["a.svg"]);
        Ok(())
    }

    #[cfg(unix)]
    #[test]
    fn a_link_stays_a_link_and_rights_are_kept() -> io::Result<()> {
        use std::os::unix::fs::{PermissionsExt, symlink};
        let folder = tempfile::tempdir()?;
        let (path, link) = (folder.path().join("a.toml"), folder.path().join("l.toml"));
        fs::write(&path, "mine")?;
        fs::set_permissions(&path, fs::Permissions::from_mode(0o640))?;
        symlink(&path, &link)?;
        assert!(write_file(&link, "new").is_ok());
        assert!(fs::symlink_metadata(&link)?.file_type().is_symlink());
        assert_eq!(fs::read(&path)?, b"new");
        assert_eq!(fs::metadata(&path)?.permissions().mode() & 0o777, 0o640);
        Ok(())
    }
}
