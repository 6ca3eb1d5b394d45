//! Reads a photograph from a file, no more bytes of it than are ever kept.
//!
//! Fails for a file that cannot be read, is too large, or is no photograph that is known.

use std::fs::File;
use std::io::Read;
use std::path::Path;

use logbook::{LARGEST_BYTES, Photograph};

use crate::trouble::Trouble;

/// Reads the file. The only errors are of the kind [`Trouble::File`].
pub fn read_photograph(path: &Path) -> Result<Photograph, Trouble> {
    let trouble = |text: String, hint: &str| Trouble::File {
        name: path.display().to_string(),
        text,
        hint: hint.to_owned(),
    };
    let mut bytes = Vec::new();
    File::open(path)
        .and_then(|file| file.take(LARGEST_BYTES as u64 + 1).read_to_end(&mut bytes))
        .map_err(|error| {
            let text = if path.is_dir() {
                "this is a folder".to_owned()
            } else {
                format!("the photograph cannot be read: {error}")
            };
            trouble(text, "look at the spelling and at the folder you are in")
        })?;
    Photograph::read(bytes).map_err(|error| trouble(error.to_string(), error.hint()))
}
