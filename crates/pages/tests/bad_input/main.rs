//! What a person can send that is wrong, broken or more than the disk takes: one message, nothing lost, nothing half
//! written, and the next page comes.
//!
//! Asked through the router without a network. Status as RFC 9110 has them: 400 what was sent is broken, 413 too large,
//! 415 no form, 422 understood and wrong, 503 not now; 507 no room (RFC 4918).

#[path = "../asked/mod.rs"]
mod asked;
mod forms;
mod full_disk;
mod photographs;

use asked::{Answer, Asked, is_in_order};
use axum::body::{Body, Bytes};
use axum::http::{Request, header};
use benchwork::back_up_restoration;

/// Asserts that the restoration is whole to its last page (the copy is checked as SQLite checks a file, and every fact
/// against what it names), has so many entries, and that the first page comes.
async fn is_whole(bench: &Asked, entries: usize) {
    let folder = tempfile::tempdir().expect("a folder");
    let copy = folder.path().join("copy.restoration");
    back_up_restoration(&bench.file(), &copy).expect("the whole file is sound");
    assert_eq!(bench.entries(), entries);
    let page = bench.get("/").await;
    assert_eq!(page.status, 200, "{}", page.text);
    is_in_order(&page.text);
}

/// Asserts that an answer is a page that says these words.
fn says(answer: &Answer, status: u16, words: &[&str]) {
    assert_eq!(answer.status, status, "{}", answer.text);
    assert!(answer.kind.starts_with("text/html"), "{}", answer.kind);
    assert!(answer.text.contains("<h1>"), "{}", answer.text);
    for words in words {
        assert!(answer.text.contains(words), "{words}: {}", answer.text);
    }
}

/// A form of this kind whose body is so.
fn form(at: &str, kind: &str, body: Body) -> Request<Body> {
    Request::post(at)
        .header(header::HOST, "127.0.0.1")
        .header(header::ORIGIN, "http://127.0.0.1")
        .header(header::CONTENT_TYPE, kind)
        .body(body)
        .expect("a request")
}

/// The kinds of a form.
const PLAIN: &str = "application/x-www-form-urlencoded";
const IN_PARTS: &str = "multipart/form-data; boundary=edge";

/// A body that breaks off behind these bytes, as one does when the phone leaves the network.
fn cut(bytes: &[u8]) -> Body {
    let gone = || std::io::Error::from(std::io::ErrorKind::ConnectionReset);
    let pieces = [Ok(Bytes::copy_from_slice(bytes)), Err(gone())];
    Body::from_stream(tokio_stream::iter(pieces))
}
