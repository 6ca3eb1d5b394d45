//! The style and the scripts of the pages, inside the program.
//!
//! Each is found under its name with a part of its hash, so that a browser may keep it for good. Written by
//! hand for this program; nothing is fetched from anywhere. Fails for a name that is not there.

use std::sync::{Arc, OnceLock};

use axum::Router;
use axum::extract::Path;
use axum::http::{StatusCode, header};
use axum::response::{IntoResponse, Response};
use axum::routing::get;
use sha2::{Digest, Sha256};

use crate::bench::Bench;

const OWN: &[(&str, &str, &str)] = &[
    (
        "bench.css",
        "text/css; charset=utf-8",
        include_str!("style/bench.css"),
    ),
    (
        "bench.svg",
        "image/svg+xml",
        include_str!("style/bench.svg"),
    ),
    ("bench.js", "text/javascript; charset=utf-8", SCRIPT),
];

/// The scripts in the order in which they use each other, as one.
const SCRIPT: &str = concat!(
    include_str!("script/queue.js"),
    include_str!("script/judge.js"),
    include_str!("script/keypad.js"),
    include_str!("script/step.js"),
    include_str!("script/sheet.js"),
    include_str!("script/chassis.js"),
    include_str!("script/bench.js"),
);

fn hashes() -> &'static Vec<String> {
    static HASHES: OnceLock<Vec<String>> = OnceLock::new();
    HASHES.get_or_init(|| {
        let hash = |text: &str| {
            let bytes = Sha256::digest(text.as_bytes());
            bytes
                .iter()
                .take(6)
                .map(|byte| format!("{byte:02x}"))
                .collect()
        };
        OWN.iter().map(|(_, _, text)| hash(text)).collect()
    })
}

/// Where a page finds it.
pub fn address(name: &str) -> String {
    let place = OWN.iter().position(|(own, _, _)| *own == name).unwrap_or(0);
    format!("/own/{}/{name}", hashes()[place])
}

/// The route of all of them.
pub fn routes() -> Router<Arc<Bench>> {
    Router::new().route("/own/{hash}/{name}", get(own))
}

async fn own(Path((hash, name)): Path<(String, String)>) -> Response {
    let place = OWN.iter().position(|(own, _, _)| *own == name);
    let Some(place) = place.filter(|place| hashes()[*place] == hash) else {
        return StatusCode::NOT_FOUND.into_response();
    };
    let (_, kind, text) = OWN[place];
    let kept = "public, max-age=31536000, immutable";
    (
        [(header::CONTENT_TYPE, kind), (header::CACHE_CONTROL, kept)],
        text,
    )
        .into_response()
}
