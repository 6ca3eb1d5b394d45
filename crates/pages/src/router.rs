//! All routes, with what stands before each of them: the door, the limits, the headers.
//!
//! Asked in tests without a network. A path that is not there is answered with a page that says so.

use std::sync::Arc;

use axum::Router;
use axum::extract::{DefaultBodyLimit, Request, State};
use axum::http::{HeaderValue, StatusCode, header};
use axum::middleware::{self, Next};
use axum::response::Response;

use crate::bench::Bench;
use crate::{assets, door, live, pages, pieces};

/// Largest body of a form; photographs have their own limit.
const LARGEST_FORM_BYTES: usize = 3 << 20;

/// What a page may load: what this program serves and nothing else.
const POLICY: &str = "default-src 'none'; style-src 'self'; script-src 'self'; img-src 'self' data: blob:; \
connect-src 'self'; media-src 'self'; frame-src 'self'; form-action 'self'; frame-ancestors 'self'; base-uri 'none'";

/// Everything that the bench answers.
pub fn router(bench: Arc<Bench>) -> Router {
    Router::new()
        .merge(pages::routes())
        .merge(live::routes())
        .merge(assets::routes())
        .fallback(nothing_here)
        .layer(DefaultBodyLimit::max(LARGEST_FORM_BYTES))
        .layer(middleware::from_fn_with_state(
            Arc::clone(&bench),
            pages::first,
        ))
        .layer(middleware::from_fn_with_state(
            Arc::clone(&bench),
            door::guard,
        ))
        .layer(middleware::from_fn_with_state(Arc::clone(&bench), headers))
        .with_state(bench)
}

async fn nothing_here() -> Response {
    pieces::problem(
        StatusCode::NOT_FOUND,
        "There is no such page",
        "The address leads nowhere here.",
        "\"Where it stands\" shows what there is.",
    )
}

async fn headers(State(_): State<Arc<Bench>>, request: Request, next: Next) -> Response {
    let mut answer = in_words(next.run(request).await);
    let headers = answer.headers_mut();
    let mut put = |name, value| {
        headers
            .entry(name)
            .or_insert(HeaderValue::from_static(value));
    };
    put(header::CONTENT_SECURITY_POLICY, POLICY);
    put(header::X_CONTENT_TYPE_OPTIONS, "nosniff");
    put(header::REFERRER_POLICY, "same-origin");
    put(header::CACHE_CONTROL, "no-store");
    answer
}

/// What is refused before a page of ours was reached (an address that is none, a form where none is taken, one that
/// is too large) comes without a page: it gets one, in the restorer's words.
fn in_words(answer: Response) -> Response {
    let status = answer.status();
    let kind = answer.headers().get(header::CONTENT_TYPE);
    let is_page = kind.is_some_and(|kind| kind.as_bytes().starts_with(b"text/html"));
    if is_page || !(status.is_client_error() || status.is_server_error()) {
        return answer;
    }
    match status {
        StatusCode::METHOD_NOT_ALLOWED => pieces::problem(
            status,
            "Nothing is entered at this address",
            "A form came to a page that takes none.",
            "Open the page again and send its own form.",
        ),
        StatusCode::PAYLOAD_TOO_LARGE => too_large(),
        status if status.is_server_error() => crate::entry::ended_badly(),
        _ => pieces::problem(
            status,
            "There is no such page",
            "The address leads nowhere here.",
            "\"Where it stands\" shows what there is.",
        ),
    }
}

/// The page for what is larger than can be taken.
pub fn too_large() -> Response {
    pieces::problem(
        StatusCode::PAYLOAD_TOO_LARGE,
        "That is too large",
        &format!(
            "A form holds at most {} MiB; more came. Nothing was entered.",
            LARGEST_FORM_BYTES >> 20
        ),
        "Send it in parts. A photograph goes to the page of the photographs.",
    )
}
