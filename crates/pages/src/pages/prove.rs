//! The check list before a set is handed over: how it stands, one item a screen with its answers, the signature.
//!
//! Figures in the unit of the item. The list is worked out apart; the form of an item comes with it. It says what
//! was measured against which figure, never that a set is safe. Fails as the recording does; nothing is entered then.

mod item;
mod list;

use std::sync::Arc;

use axum::Router;
use axum::extract::{Path, Query, State};
use axum::response::Response;
use axum::routing::get;
use benchwork::view::{ProofRecordedView, RecordedView};
use benchwork::{NewProof, NewSignature, Trouble, record_proof, sign_proof, tell_proof};
use maud::{Markup, html};

use super::plain;
use crate::bench::Bench;
use crate::entry::{Sent, entered, hidden, shown};
use crate::later;
use crate::pieces::{made, send, text};
use crate::words::in_address;

/// The routes of these pages.
pub fn routes() -> Router<Arc<Bench>> {
    Router::new()
        .route("/prove", get(prove))
        .route("/later/prove", get(told))
        .route("/sign", get(signing).post(sign))
        .route("/prove/{item}", get(one).post(enter))
        .route("/later/prove/{item}", get(told_one))
}

async fn prove(
    State(bench): State<Arc<Bench>>,
    Query(asked): Query<Vec<(String, String)>>,
) -> Response {
    let asked = Sent::of(asked);
    shown(bench, move |bench| {
        let main = html! {
            (made(bench, asked.entry("made")))
            (later::place("/later/prove", "the check list of this set"))
            p { a .button href="/sign" { "Sign the list" } }
        };
        plain::page(bench, "Safety proof", "/prove", main)
    })
    .await
}

async fn told(State(bench): State<Arc<Bench>>) -> Markup {
    later::answer(&bench, "/later/prove", |bench, work| {
        Ok(list::list(&tell_proof(bench.file(), work)?))
    })
    .await
}

async fn signing(State(bench): State<Arc<Bench>>) -> Response {
    shown(bench, |bench| sign_page(bench, None, &Sent::default())).await
}

fn sign_page(bench: &Bench, refused: Option<&Trouble>, typed: &Sent) -> Markup {
    let main = html! {
        (plain::refused(refused))
        p { "A signature says who stands for the list as it is now, with all that is failed or open in it." }
        form method="post" action="/sign" data-keep="" {
            (hidden(bench))
            (text("by", "Who signs", typed.text("by"), ""))
            (text("note", "Anything else", typed.text("note"), ""))
            (send("Sign"))
        }
        p { a .button href="/prove" { "The list" } }
    };
    plain::page(bench, "Sign the list", "/sign", main)
}

async fn sign(State(bench): State<Arc<Bench>>, sent: Sent) -> Response {
    let typed = sent.clone();
    entered(
        bench,
        "/prove".to_owned(),
        move |bench| {
            let new = NewSignature {
                by: sent.owned("by"),
                note: sent.owned("note"),
            };
            last(sign_proof(&sent.entering(bench)?, &new)?)
        },
        move |bench, refused| sign_page(bench, Some(&refused), &typed),
    )
    .await
}

/// The last entry of several, with what was said with them.
fn last(own: ProofRecordedView) -> Result<RecordedView, Trouble> {
    RecordedView::of_proof(own)
        .ok_or_else(|| Trouble::ours("nothing was entered, and nothing was refused"))
}

async fn one(
    State(bench): State<Arc<Bench>>,
    Path(key): Path<String>,
    Query(asked): Query<Vec<(String, String)>>,
) -> Response {
    let asked = Sent::of(asked);
    shown(bench, move |bench| page(bench, &key, None, &asked)).await
}

/// The question of an item, at the point that is asked for.
fn question(key: &str, point: &str) -> String {
    let at = format!("/later/prove/{}", in_address(key));
    match point {
        "" => at,
        point => format!("{at}?point={}", in_address(point)),
    }
}

fn page(bench: &Bench, key: &str, refused: Option<&Trouble>, typed: &Sent) -> Markup {
    let at = format!("/prove/{}", in_address(key));
    let main = html! {
        (plain::refused(refused))
        @if refused.is_some() {
            section .question { h2 { "Once more" } (item::form_again(bench, key, typed)) }
        }
        (made(bench, typed.entry("made")))
        (later::place(&question(key, typed.text("point")), &format!("what {key} asks")))
        p { a .button href="/prove" { "The whole list" } }
    };
    plain::page(bench, key, &at, main)
}

async fn told_one(
    State(bench): State<Arc<Bench>>,
    Path(key): Path<String>,
    Query(asked): Query<Vec<(String, String)>>,
) -> Markup {
    let point = Sent::of(asked).owned("point");
    later::answer(&bench, &question(&key, &point), move |bench, work| {
        let view = tell_proof(bench.file(), work)?;
        item::item(bench, &view, &key, &point)
    })
    .await
}

async fn enter(State(bench): State<Arc<Bench>>, Path(key): Path<String>, sent: Sent) -> Response {
    let (typed, own) = (sent.clone(), key.clone());
    entered(
        bench,
        format!("/prove/{}", in_address(&key)),
        move |bench| {
            let new = NewProof {
                answers: item::answers(&sent),
                not_of_this_set: (sent.text("answer") == "not").then(|| sent.owned("why")),
                point: sent.some("point"),
                line: sent.some("line"),
                by: sent.owned("by"),
                instrument: sent.owned("with"),
                note: sent.owned("note"),
                item: key,
            };
            last(record_proof(&sent.entering(bench)?, &new)?)
        },
        move |bench, refused| page(bench, &own, Some(&refused), &typed),
    )
    .await
}
