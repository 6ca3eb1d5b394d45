//! A form with at most one file, as it came (`multipart/form-data`, RFC 7578).
//!
//! At most `FILE` bytes of a file and `TEXT` bytes of a field are taken; what is larger is read to its end and thrown
//! away, so that a page can still say so. Fails with a page in words for a form that did not arrive whole and for a
//! field that is too long.

use std::sync::Arc;

use axum::extract::multipart::{Field, Multipart, MultipartError};
use axum::extract::{FromRequest, Request};
use axum::http::StatusCode;
use axum::response::Response;

use crate::bench::Bench;
use crate::entry::{Sent, not_letters, not_whole};
use crate::pieces::problem;

/// The form.
pub struct WithFile<const FILE: usize, const TEXT: usize> {
    /// Its fields, not yet held against the restoration that is open.
    pub sent: Sent,
    /// The file, if one was chosen.
    pub file: Option<SentFile>,
}

/// A file as it came.
pub struct SentFile {
    /// What the browser calls it.
    pub name: String,
    /// Its bytes; `None` where there were more than are taken.
    pub bytes: Option<Vec<u8>>,
}

impl<const FILE: usize, const TEXT: usize> FromRequest<Arc<Bench>> for WithFile<FILE, TEXT> {
    type Rejection = Response;

    async fn from_request(request: Request, bench: &Arc<Bench>) -> Result<Self, Self::Rejection> {
        let mut form = Multipart::from_request(request, bench)
            .await
            .map_err(|_| not_in_parts())?;
        let (mut fields, mut file) = (Vec::new(), None);
        loop {
            let field = form.next_field().await;
            let field = field.map_err(|error| broken_off(&error))?;
            let Some(mut field) = field else { break };
            let name = field.name().unwrap_or_default().to_owned();
            let called = field.file_name().map(str::to_owned);
            let limit = if called.is_some() { FILE } else { TEXT };
            let bytes = read_to_its_end(&mut field, limit)
                .await
                .map_err(|error| broken_off(&error))?;
            match called {
                Some(called) if bytes.as_ref().is_none_or(|bytes| !bytes.is_empty()) => {
                    file = Some(SentFile {
                        name: called,
                        bytes,
                    });
                }
                Some(_) => {}
                None => {
                    let Some(bytes) = bytes else {
                        return Err(too_much_text(&name, TEXT));
                    };
                    let Ok(text) = String::from_utf8(bytes) else {
                        return Err(not_letters(&name));
                    };
                    fields.push((name, text));
                }
            }
        }
        Ok(WithFile {
            sent: Sent::of(fields),
            file,
        })
    }
}

/// The page for a form that does not come in parts, as one with a file has to.
fn not_in_parts() -> Response {
    problem(
        StatusCode::BAD_REQUEST,
        "This was not understood as a form",
        "A form with a file in its parts was expected; the mark between the parts is missing. Nothing was entered.",
        "Open the page again and send its own form.",
    )
}

/// The page for a form whose parts end before they should.
fn broken_off(error: &MultipartError) -> Response {
    if error.status() == StatusCode::PAYLOAD_TOO_LARGE {
        return problem(
            StatusCode::PAYLOAD_TOO_LARGE,
            "That is too large",
            "More came than is read of a form. Nothing was entered.",
            "Send a smaller file: a list or sheet alone, or a photograph taken at a smaller size.",
        );
    }
    not_whole("The form broke off before its end. Nothing was entered.")
}

fn too_much_text(name: &str, limit: usize) -> Response {
    problem(
        StatusCode::PAYLOAD_TOO_LARGE,
        "That is too large",
        &format!(
            "The field \"{name}\" holds more than {} kilobytes of text. Nothing was entered.",
            limit >> 10
        ),
        "Say it in fewer words.",
    )
}

/// The bytes of a field; `None` where there are more than `limit`, which are read and thrown away.
async fn read_to_its_end(
    field: &mut Field<'_>,
    limit: usize,
) -> Result<Option<Vec<u8>>, MultipartError> {
    let mut bytes = Vec::new();
    let mut fits = true;
    loop {
        let Some(piece) = field.chunk().await? else {
            break;
        };
        fits = fits && bytes.len() + piece.len() <= limit;
        if fits {
            bytes.extend_from_slice(&piece);
        } else {
            bytes = Vec::new();
        }
    }
    Ok(fits.then_some(bytes))
}
