//! Reads a photograph from a file or from bytes at hand, no more of it than is ever kept.
//!
//! At most 64 megabytes and 220 million pixels, see [`LARGEST_BYTES`] and [`MOST_PIXELS`](logbook::MOST_PIXELS); the
//! kind is judged by the bytes, and the size that a picture states before any of it is decoded. Fails
//! for a file that cannot be read, is too large, or is no photograph that is known.

use std::fs::File;
use std::io::Read;
use std::path::Path;

use logbook::{LARGEST_BYTES, Photograph};

use crate::trouble::Trouble;

/// Reads the file. The only errors are of the kind [`Trouble::File`].
pub fn read_photograph(path: &Path) -> Result<Photograph, Trouble> {
    let mut bytes = Vec::new();
    File::open(path)
        .and_then(|file| file.take(LARGEST_BYTES as u64 + 1).read_to_end(&mut bytes))
        .map_err(|error| Trouble::File {
            name: path.display().to_string(),
            text: if path.is_dir() {
                "this is a folder".to_owned()
            } else {
                format!("the photograph cannot be read: {error}")
            },
            hint: "look at the spelling and at the folder you are in".to_owned(),
        })?;
    photograph_of_bytes(&path.display().to_string(), bytes)
}

/// Looks at the bytes of a file of this name. The only errors are of the kind [`Trouble::File`].
pub fn photograph_of_bytes(name: &str, bytes: Vec<u8>) -> Result<Photograph, Trouble> {
    Photograph::read(bytes).map_err(|error| Trouble::File {
        name: name.to_owned(),
        text: error.to_string(),
        hint: error.hint().to_owned(),
    })
}

/// The name of a file by itself, whatever folder another device put before it.
pub fn name_of_a_file(told: &str) -> String {
    const LONGEST: usize = 200;
    let name = told.rsplit(['/', '\\']).next().unwrap_or_default();
    let plain = name.chars().filter(|character| !character.is_control());
    let name: String = plain.take(LONGEST).collect();
    match name.trim() {
        "" => "photograph".to_owned(),
        name => name.to_owned(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_name_has_no_folder_and_nothing_that_cannot_be_seen() {
        for (told, wanted) in [
            ("IMG_0123.jpg", "IMG_0123.jpg"),
            (
                "C:\\fakepath\\below the chassis.jpg",
                "below the chassis.jpg",
            ),
            ("/storage/0/../IMG 1.jpg", "IMG 1.jpg"),
            (" \n\t ", "photograph"),
            ("a\0b\r\n.jpg", "ab.jpg"),
            ("folder/", "photograph"),
        ] {
            assert_eq!(name_of_a_file(told), wanted, "{told:?}");
        }
        assert_eq!(name_of_a_file(&"ä".repeat(999)).chars().count(), 200);
    }
}
