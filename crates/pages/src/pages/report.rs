//! What is handed on with the set: the report with its preview, as PDF and as a page, and labels for the old parts.
//!
//! The report is made apart and kept until the next entry. Its preview has rules of its own for what it may load:
//! its own style and photographs, nothing else. Fails as the report does, in words.

use std::sync::Arc;

use axum::Router;
use axum::extract::{Query, State};
use axum::http::header;
use axum::response::{IntoResponse, Response};
use axum::routing::get;
use benchwork::figures::counted;
use benchwork::{Trouble, tell_labels};
use maud::{Markup, html};
use paper::Sheet;
use report::{labels, size};

use super::plain;
use crate::bench::Bench;
use crate::entry::{Sent, ended_badly, shown};
use crate::later;
use crate::live::Told;
use crate::made_report::{MadeReport, made_report};
use crate::pieces::{one_of, send, status_of, text};
use crate::words::in_address;

/// What the preview may load.
const POLICY: &str =
    "default-src 'none'; style-src 'unsafe-inline'; img-src data:; frame-ancestors 'self'";

/// The routes of this page.
pub fn routes() -> Router<Arc<Bench>> {
    Router::new()
        .route("/report", get(report))
        .route("/later/report", get(told))
        .route("/report/page", get(preview))
        .route("/report/report.html", get(as_html))
        .route("/report/report.pdf", get(as_pdf))
        .route("/report/labels.pdf", get(as_labels))
}

fn address(asked: &Sent) -> String {
    let by = in_address(asked.text("by"));
    format!("?by={by}&paper={}", paper_word(asked))
}

fn paper_word(asked: &Sent) -> &'static str {
    match sheet(asked) {
        Sheet::A4 => "a4",
        Sheet::Letter => "letter",
    }
}

fn sheet(asked: &Sent) -> Sheet {
    match asked.text("paper") {
        "letter" => Sheet::Letter,
        _ => Sheet::A4,
    }
}

async fn report(
    State(bench): State<Arc<Bench>>,
    Query(asked): Query<Vec<(String, String)>>,
) -> Response {
    let asked = Sent::of(asked);
    shown(bench, move |bench| page(bench, None, &asked)).await
}

fn page(bench: &Bench, refused: Option<&Trouble>, asked: &Sent) -> Markup {
    let main = html! {
        (plain::refused(refused))
        (later::place(&format!("/later/report{}", address(asked)), "the report"))
        details {
            summary { "Your name, and the paper" }
            form .quiet method="get" action="/report" {
                (text("by", "Restored by", asked.text("by"), ""))
                (one_of("paper", "Paper", paper_word(asked), &[("a4", "A4"), ("letter", "Letter")]))
                (send("Make it so"))
            }
        }
        h2 { "Labels for the bags of old parts" }
        p { a .button href={ "/report/labels.pdf" (address(asked)) } download="labels.pdf" { "Labels to print and cut (PDF)" } }
    };
    plain::page(bench, "The report", "/report", main)
}

async fn told(
    State(bench): State<Arc<Bench>>,
    Query(asked): Query<Vec<(String, String)>>,
) -> Markup {
    let asked = Sent::of(asked);
    let question = format!("/later/report{}", address(&asked));
    let key = question.clone();
    later::answer(&bench, &question, move |bench, _| {
        let made = made_report(bench, asked.text("by"), sheet(&asked), &|done, of| {
            let words = format!("Photographs: {done} of {of}");
            bench.live.tell(Told::Progress(key.clone(), words));
        })?;
        Ok(ready(&made, &address(&asked)))
    })
    .await
}

fn ready(made: &MadeReport, address: &str) -> Markup {
    html! {
        p .tabs {
            a .button href={ "/report/report.pdf" (address) } download="report.pdf" {
                "PDF, " (counted(made.pages, "page", "pages")) ", " (size(made.pdf.len()))
            }
            a .button href={ "/report/report.html" (address) } download="report.html" { "One page (HTML), " (size(made.html.len())) }
        }
        @if made.lacking > 0 {
            p { (counted(made.lacking, "photograph", "photographs")) " cannot be shown; its words stand in its place." }
        }
        iframe .preview title="The report as it is handed on" src={ "/report/page" (address) } sandbox="allow-same-origin" {}
        (plain::folded("What is not written down", &made.not_written_down))
    }
}

/// The report of this address, or the page that says why there is none.
async fn made(bench: Arc<Bench>, asked: Sent) -> Result<Arc<MadeReport>, Response> {
    let own = Arc::clone(&bench);
    let typed = asked.clone();
    let work = move || made_report(&own, typed.text("by"), sheet(&typed), &|_, _| {});
    match tokio::task::spawn_blocking(work).await {
        Ok(Ok(report)) => Ok(report),
        Ok(Err(trouble)) => {
            Err((status_of(&trouble), page(&bench, Some(&trouble), &asked)).into_response())
        }
        Err(_) => Err(ended_badly()),
    }
}

async fn preview(
    State(bench): State<Arc<Bench>>,
    Query(asked): Query<Vec<(String, String)>>,
) -> Response {
    match made(bench, Sent::of(asked)).await {
        Ok(report) => (
            [
                (header::CONTENT_TYPE, "text/html; charset=utf-8"),
                (header::CONTENT_SECURITY_POLICY, POLICY),
            ],
            report.html.clone(),
        )
            .into_response(),
        Err(answer) => answer,
    }
}

async fn as_html(
    State(bench): State<Arc<Bench>>,
    Query(asked): Query<Vec<(String, String)>>,
) -> Response {
    match made(bench, Sent::of(asked)).await {
        Ok(report) => file(
            "text/html; charset=utf-8",
            "report.html",
            report.html.clone().into_bytes(),
        ),
        Err(answer) => answer,
    }
}

async fn as_pdf(
    State(bench): State<Arc<Bench>>,
    Query(asked): Query<Vec<(String, String)>>,
) -> Response {
    match made(bench, Sent::of(asked)).await {
        Ok(report) => file("application/pdf", "report.pdf", report.pdf.clone()),
        Err(answer) => answer,
    }
}

async fn as_labels(
    State(bench): State<Arc<Bench>>,
    Query(asked): Query<Vec<(String, String)>>,
) -> Response {
    let asked = Sent::of(asked);
    let typed = asked.clone();
    let own = Arc::clone(&bench);
    let work = move || {
        let view = tell_labels(own.file(), &[])?;
        labels(&view, own.now()?.as_str(), sheet(&typed))
    };
    match tokio::task::spawn_blocking(work).await {
        Ok(Ok((paged, _))) => file("application/pdf", "labels.pdf", paged.bytes),
        Ok(Err(trouble)) => {
            let page = page(&bench, Some(&trouble), &asked);
            (status_of(&trouble), page).into_response()
        }
        Err(_) => ended_badly(),
    }
}

/// A file to keep.
pub fn file(kind: &'static str, name: &str, bytes: Vec<u8>) -> Response {
    let kept = format!("attachment; filename=\"{name}\"");
    (
        [
            (header::CONTENT_TYPE, kind.to_owned()),
            (header::CONTENT_DISPOSITION, kept),
        ],
        bytes,
    )
        .into_response()
}
