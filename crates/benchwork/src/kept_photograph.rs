//! A photograph that is kept, handed out as bytes with its media type.
//!
//! The original as the camera wrote it, or the reduced upright picture, which is always JPEG. Media types after
//! RFC 2046 (JPEG), RFC 2083 and the PNG specification, and RFC 9649 (WebP). Fails for a photograph that the file has
//! not, and for one that was damaged; as opening the file does besides.

use std::path::Path;

use logbook::{Logbook, LogbookError};

use crate::restoration::trouble;
use crate::trouble::Trouble;

/// Which of the two pictures of a photograph.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum PhotographForm {
    /// The bytes as they came.
    Original,
    /// The reduced picture, turned upright: at most 1600 pixels each way.
    Upright,
}

/// A picture as it is handed out.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct PhotographBytes {
    /// The bytes.
    pub bytes: Vec<u8>,
    /// Their media type, such as `image/jpeg`.
    pub media_type: &'static str,
}

/// The photograph of this hash.
pub fn photograph(
    file: &Path,
    hash: &str,
    form: PhotographForm,
) -> Result<PhotographBytes, Trouble> {
    let told = |error| match error {
        LogbookError::NotKept { hash } => {
            let shown: String = hash.chars().take(64).collect();
            Trouble::input(
                format!("no photograph `{shown}` is kept in this restoration"),
                "load the page anew; it may belong to another restoration",
            )
        }
        other => trouble(file, other),
    };
    let book = Logbook::look(file).map_err(told)?;
    match form {
        PhotographForm::Original => {
            let kept = book.photograph(hash).map_err(told)?;
            Ok(PhotographBytes {
                bytes: kept.original,
                media_type: media_type(&kept.ending),
            })
        }
        PhotographForm::Upright => Ok(PhotographBytes {
            bytes: book.upright(hash).map_err(told)?,
            media_type: "image/jpeg",
        }),
    }
}

/// The media type of a kind of file; a kind that is not known is bytes and nothing more.
fn media_type(ending: &str) -> &'static str {
    match ending {
        "jpg" => "image/jpeg",
        "png" => "image/png",
        "webp" => "image/webp",
        _ => "application/octet-stream",
    }
}
