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
    let mut answer = next.run(request).await;
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
