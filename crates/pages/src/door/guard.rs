//! What stands before every request: the name it was asked under, the page it comes from, the token of a device.
//!
//! Refuses with 403 what comes under a foreign name or from a foreign page, with 401 a device that was not let in,
//! with 429 one that asks too much, each with a page in plain words. Headers as RFC 9110 (Host), RFC 6454 (Origin)
//! and RFC 6265 (Cookie) have them; a browser sends an Origin with every form.

use std::net::IpAddr;
use std::sync::Arc;
use std::time::Instant;

use axum::extract::connect_info::ConnectInfo;
use axum::extract::{Request, State};
use axum::http::{HeaderMap, Method, StatusCode, header};
use axum::middleware::Next;
use axum::response::{IntoResponse, Response};

use crate::bench::Bench;
use crate::door::LetIn;
use crate::home_network::{Home, HomePeer};
use crate::pages::not_let_in;
use crate::pieces::{problem, refused_by};

/// The cookie of a device's token. Browsers take a name of this beginning only over TLS and for this address alone.
pub const COOKIE: &str = "__Host-bench";

/// What is answered to a device that is not let in.
const OPEN_TO_ALL: &[&str] = &["/pair", "/certificate"];

/// What a form without a stated length is counted as.
const UNSTATED_BYTES: u64 = 40 << 20;

/// Lets a request through, or says why not.
pub async fn guard(State(bench): State<Arc<Bench>>, mut request: Request, next: Next) -> Response {
    let Some(host) = host_of(&request) else {
        return refused("The request names no host.");
    };
    let peer = request.extensions().get::<ConnectInfo<HomePeer>>();
    let peer = peer.map(|info| info.0.0.ip());
    let is_known = match peer {
        None => is_here(&host),
        Some(_) => bench.home().is_some_and(|home| home.is_named(&host)),
    };
    if !is_known {
        return refused(&format!(
            "The page was asked for under the name \"{host}\", which is not this computer."
        ));
    }
    let changes = request.method() != Method::GET && request.method() != Method::HEAD;
    if changes && !comes_from_a_page_of_ours(request.headers(), &host) {
        return refused("The form comes from a page of another site. Nothing was entered.");
    }
    if let (Some(peer), Some(home)) = (peer, bench.home()) {
        match let_in(home, peer, &request) {
            Ok(Some(device)) => {
                request.extensions_mut().insert(device);
            }
            Ok(None) => {}
            Err(answer) => return *answer,
        }
    }
    next.run(request).await
}

/// The device behind a request from the home network; none for what is open to all. Otherwise the refusal.
fn let_in(home: &Home, peer: IpAddr, request: &Request) -> Result<Option<LetIn>, Box<Response>> {
    let rates = &home.rates;
    let bytes = match request.method() {
        &Method::GET | &Method::HEAD => 0,
        _ => stated_bytes(request.headers()).unwrap_or(UNSTATED_BYTES),
    };
    let path = request.uri().path();
    let is_words = path == "/pair" && request.method() == Method::POST;
    let too_much = rates.request(peer).is_err()
        || rates.sent(peer, bytes).is_err()
        || (is_words && rates.words(peer).is_err());
    if too_much {
        return Err(Box::new(too_much_at_once()));
    }
    let token = cookie(request.headers(), COOKIE);
    let device = match token.map(|token| home.devices().of_token(token)) {
        Some(Ok(device)) => device,
        Some(Err(trouble)) => return Err(Box::new(refused_by(&trouble))),
        None => None,
    };
    match device {
        Some(device) => Ok(Some(LetIn(device))),
        None if OPEN_TO_ALL.contains(&path) || path.starts_with("/own/") => Ok(None),
        None => {
            let code = home.code(Instant::now());
            Err(Box::new(not_let_in(token.is_some(), code.is_some())))
        }
    }
}

fn too_much_at_once() -> Response {
    let mut answer = problem(
        StatusCode::TOO_MANY_REQUESTS,
        "Too much at once",
        "This device asked for more than the laptop answers in so short a time. Nothing was entered.",
        "Wait a few seconds and send it again; what the page keeps is sent by itself.",
    );
    let seconds = axum::http::HeaderValue::from_static("3");
    answer.headers_mut().insert(header::RETRY_AFTER, seconds);
    answer
}

fn stated_bytes(headers: &HeaderMap) -> Option<u64> {
    let stated = headers.get(header::CONTENT_LENGTH)?.to_str().ok()?;
    stated.parse().ok()
}

/// The value of a cookie.
fn cookie<'a>(headers: &'a HeaderMap, name: &str) -> Option<&'a str> {
    let sent = headers.get_all(header::COOKIE).iter();
    let pairs = sent
        .filter_map(|line| line.to_str().ok())
        .flat_map(|line| line.split(';'));
    let mut named = pairs.filter_map(|pair| pair.trim().split_once('='));
    named.find(|(own, _)| *own == name).map(|(_, value)| value)
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
    .into_response()
}

#[cfg(test)]
mod tests {
    use super::*;
    use axum::http::HeaderValue;

    #[test]
    fn a_cookie_among_others() {
        // RFC 6265, section 4.2.1: pairs with "; " between.
        let mut headers = HeaderMap::new();
        assert_eq!(cookie(&headers, "b"), None);
        headers.append(header::COOKIE, HeaderValue::from_static("a=1; b=x=y; c="));
        for (name, wanted) in [
            ("a", Some("1")),
            ("b", Some("x=y")),
            ("c", Some("")),
            ("d", None),
        ] {
            assert_eq!(cookie(&headers, name), wanted);
        }
    }
}
