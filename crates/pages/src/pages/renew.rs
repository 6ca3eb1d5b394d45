//! What to replace and with what, what to buy, silicon for selenium, and whether the set is worth the work.
//!
//! Values as one buys them; money as the restorer counts it. Everything reasoned is worked out apart; a part that
//! went in is entered at once. Tables of own prices and figures are given to the commands. Fails as the recording
//! does; nothing is entered then.

mod order;
mod plan;
mod silicon;
mod worth;

use std::sync::Arc;

use axum::Router;
use axum::extract::{Path, Query, State};
use axum::response::Response;
use axum::routing::get;
use benchwork::view::RecordedView;
use benchwork::{RenewAsk, Trouble, tell_renewal, tick_off};
use maud::{Markup, html};

use super::kept_answer::keepable;
use super::plain;
use crate::bench::Bench;
use crate::entry::{Sent, entered, hidden, shown};
use crate::later;
use crate::pieces::{made, on_the_chassis, remark, send, text};
use crate::words::in_address;

/// The routes of these pages.
pub fn routes() -> Router<Arc<Bench>> {
    Router::new()
        .route("/renew", get(renew))
        .route("/later/renew", get(told))
        .route("/renew/{part}", get(one).post(enter))
        .route("/later/renew/{part}", get(told_one))
        .merge(order::routes())
        .merge(silicon::routes())
        .merge(worth::routes())
}

async fn renew(
    State(bench): State<Arc<Bench>>,
    Query(asked): Query<Vec<(String, String)>>,
) -> Response {
    let asked = Sent::of(asked);
    shown(bench, move |bench| {
        let main = html! {
            (made(bench, asked.entry("made")))
            (later::place("/later/renew", "what to replace, and with what"))
            p { a .button href="/order" { "What to buy" } }
        };
        plain::page(bench, "Replacement", "/renew", main)
    })
    .await
}

async fn told(State(bench): State<Arc<Bench>>) -> Markup {
    later::answer(&bench, "/later/renew", |bench, work| {
        let answer = plan::plan(&tell_renewal(bench.file(), &RenewAsk::default(), work)?);
        Ok(keepable(bench, "/later/renew", "what to replace", &answer))
    })
    .await
}

async fn one(
    State(bench): State<Arc<Bench>>,
    Path(part): Path<String>,
    Query(asked): Query<Vec<(String, String)>>,
) -> Response {
    let asked = Sent::of(asked);
    shown(bench, move |bench| page(bench, &part, None, &asked)).await
}

fn page(bench: &Bench, part: &str, refused: Option<&Trouble>, typed: &Sent) -> Markup {
    let at = format!("/renew/{}", in_address(part));
    let main = html! {
        (plain::refused(refused))
        (made(bench, typed.entry("made")))
        (later::place(&format!("/later{at}"), &format!("the part of today for {part}")))
        details open[refused.is_some()] {
            summary { "A new one is fitted" }
            form method="post" action=(at) data-keep="" {
                (hidden(bench))
                (text("new", "What went in, if it is not what the plan says", typed.text("new"), ""))
                (remark(typed.text("note")))
                (send("Enter: fitted"))
            }
        }
        p { a .button href="/renew" { "The whole plan" } }
    };
    plain::page(bench, part, &at, main)
}

async fn told_one(State(bench): State<Arc<Bench>>, Path(part): Path<String>) -> Markup {
    let question = format!("/later/renew/{}", in_address(&part));
    later::answer(&bench, &question, move |bench, work| {
        let ask = RenewAsk { parts: vec![part] };
        let view = tell_renewal(bench.file(), &ask, work)?;
        let own: Vec<_> = view
            .renewals
            .iter()
            .map(|own| (own.part.clone(), None))
            .collect();
        Ok(html! { (on_the_chassis(bench, &own)) (plan::parts(&view)) })
    })
    .await
}

/// Ticks a part off, as the plan has it or as it was said.
fn fitted(bench: &Bench, part: &str, sent: &Sent) -> Result<RecordedView, Trouble> {
    let new = sent.some("new");
    tick_off(
        &sent.entering(bench)?,
        part,
        new.as_deref(),
        sent.text("note"),
    )
}

async fn enter(State(bench): State<Arc<Bench>>, Path(part): Path<String>, sent: Sent) -> Response {
    let (typed, own) = (sent.clone(), part.clone());
    entered(
        bench,
        "/renew".to_owned(),
        move |bench| fitted(bench, &part, &sent),
        move |bench, refused| page(bench, &own, Some(&refused), &typed),
    )
    .await
}
