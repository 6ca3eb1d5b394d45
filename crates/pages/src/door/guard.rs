//! What stands before every request: the name it was asked under, the page it comes from.
//!
//! Refuses with 403 and a page in plain words. Headers as RFC 9110 (Host) and RFC 6454 (Origin) have them; a
//! browser sends an Origin with every form.

use std::sync::Arc;

use axum::extract::{Request, State};
use axum::http::{HeaderMap, Method, StatusCode, header};
use axum::middleware::Next;
use axum::response::Response;

use crate::bench::Bench;
use crate::pieces::problem;

/// Lets a request through, or says why not.
pub async fn guard(State(_bench): State<Arc<Bench>>, request: Request, next: Next) -> Response {
    let Some(host) = host_of(&request) else {
        return refused("The request names no host.");
    };
    if !is_here(&host) {
        return refused(&format!(
            "The page was asked for under the name \"{host}\", which is not this computer."
        ));
    }
    let changes = request.method() != Method::GET && request.method() != Method::HEAD;
    if changes && !comes_from_a_page_of_ours(request.headers(), &host) {
        return refused("The form comes from a page of another site. Nothing was entered.");
    }
    next.run(request).await
}

fn host_of(request: &Request) -> Option<String> {
    let named = request
        .headers()
        .get(header::HOST)
        .and_then(|host| host.to_str().ok());
    let host = named.or_else(|| request.uri().authority().map(|own| own.as_str()))?;
    Some(host.to_lowercase())
}

/// Whether a name with or without its port is this computer's own.
fn is_here(host: &str) -> bool {
    let name = match host.rsplit_once(':') {
        Some((name, port)) if port.bytes().all(|digit| digit.is_ascii_digit()) => name,
        _ => host,
    };
    ["127.0.0.1", "localhost", "[::1]"].contains(&name)
}

fn comes_from_a_page_of_ours(headers: &HeaderMap, host: &str) -> bool {
    let text = |name: &str| {
        headers
            .get(name)
            .map(|value| value.to_str().unwrap_or("unreadable"))
    };
    match (text("origin"), text("sec-fetch-site")) {
        (Some(origin), _) => {
            let from = origin
                .strip_prefix("http://")
                .or_else(|| origin.strip_prefix("https://"));
            from.is_some_and(|from| from.eq_ignore_ascii_case(host))
        }
        // A program without a browser sends neither.
        (None, site) => matches!(site, None | Some("same-origin" | "none")),
    }
}

fn refused(why: &str) -> Response {
    problem(
        StatusCode::FORBIDDEN,
        "Not let in",
        why,
        "Open the address that the laptop shows.",
    )
}
