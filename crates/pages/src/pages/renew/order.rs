//! What to buy: one line a kind, ticked off as parts go in, as a table for a spreadsheet, and on paper.
//!
//! Pieces; prices in the restorer's own money come from a table that is named when the pages are begun. Fails for a share of spares
//! that is none, in words.

use std::sync::Arc;

use axum::Router;
use axum::extract::{Query, State};
use axum::http::header;
use axum::response::{IntoResponse, Response};
use axum::routing::{get, post};
use benchwork::renewal_words::together;
use benchwork::view::{OrderLineView, OrderView};
use benchwork::{LongWork, OrderAsk, Trouble, order_list};
use maud::{Markup, html};

use crate::bench::Bench;
use crate::entry::{Sent, ended_badly, entered, hidden_in_answer, shown};
use crate::later;
use crate::pages::plain;
use crate::pieces::{choice, made, notices, number, send, status_of};
use crate::words::in_address;

/// The routes of this page.
pub fn routes() -> Router<Arc<Bench>> {
    Router::new()
        .route("/order", get(order))
        .route("/order/fitted", post(enter))
        .route("/order/list.csv", get(csv))
        .route("/later/order", get(told))
}

/// What is asked, as the address has it.
fn address(asked: &Sent) -> String {
    let spares = asked.text("spares");
    let with = if asked.ticked("tests") { "yes" } else { "" };
    format!("?spares={}&tests={with}", in_address(spares))
}

/// Spares as the command has them.
const USUAL_SPARES_PERCENT: f64 = 10.0;

fn ask(bench: &Bench, asked: &Sent) -> Result<OrderAsk, Trouble> {
    Ok(OrderAsk {
        with_tests: asked.ticked("tests"),
        spares_percent: asked
            .number("spares", "Spares")?
            .unwrap_or(USUAL_SPARES_PERCENT),
        prices: bench.tables().prices.clone(),
    })
}

async fn order(
    State(bench): State<Arc<Bench>>,
    Query(asked): Query<Vec<(String, String)>>,
) -> Response {
    let asked = Sent::of(asked);
    shown(bench, move |bench| page(bench, None, &asked)).await
}

fn page(bench: &Bench, refused: Option<&Trouble>, asked: &Sent) -> Markup {
    let question = format!("/later/order{}", address(asked));
    let main = html! {
        (plain::refused(refused))
        (made(bench, asked.entry("made")))
        (later::place(&question, "what to buy"))
        details {
            summary { "Spares, and parts that are tested first" }
            form .quiet method="get" action="/order" {
                (number("spares", "Spares, percent; ten is usual", &asked.some("spares").unwrap_or_else(|| USUAL_SPARES_PERCENT.to_string()), &[]))
                (choice("tests", "Buy also what is tested first", asked.ticked("tests")))
                (send("Show it so"))
            }
        }
        p .tabs {
            a .button href={ "/order/list.csv" (address(asked)) } download="order.csv" { "As a table (CSV)" }
            a .button href="/renew" { "The plan" }
        }
        p .hint { "On paper: print this page. Prices of your own are named when the pages are begun: --prices." }
    };
    plain::page(bench, "What to buy", "/order", main)
}

async fn told(
    State(bench): State<Arc<Bench>>,
    Query(asked): Query<Vec<(String, String)>>,
) -> Markup {
    let asked = Sent::of(asked);
    let question = format!("/later/order{}", address(&asked));
    later::answer(&bench, &question, move |bench, work| {
        let out = order_list(bench.file(), &ask(bench, &asked)?, work)?;
        Ok(list(bench, &out.view))
    })
    .await
}

fn list(bench: &Bench, view: &OrderView) -> Markup {
    html! {
        (notices(&view.notices))
        @if view.lines.is_empty() { p { "Nothing is to be bought." } }
        ul .rows {
            @for own in &view.lines { li { (line(bench, own)) } }
        }
        @if let Some(words) = together(view) { p { b { (words) } } }
        @if !view.fitted.is_empty() {
            h2 { "Fitted already" }
            p { (view.fitted.join(", ")) }
        }
    }
}

/// One line with what it is for; each part is ticked off when it is in.
fn line(bench: &Bench, own: &OrderLineView) -> Markup {
    let spares = match own.spares {
        0 => String::new(),
        spares => format!(" and {spares} spare"),
    };
    let marking = match own.marking.is_empty() {
        true => String::new(),
        false => format!(" [{}]", own.marking),
    };
    html! {
        details {
            summary {
                span { "☐ " b { (own.count) (spares) } " × " (own.what)
                    @if let Some(ripple) = own.ripple_amps_rms { ", marked for " (format!("{ripple:.2}")) " A of ripple or more" }
                    (marking)
                    span .hint { "for " (own.parts.join(", ")) @if let Some(price) = own.price { "; " (format!("{price:.2}")) } }
                }
            }
            form method="post" action="/order/fitted" data-keep="" {
                (hidden_in_answer(bench))
                p { "Tick off what went in:" }
                div .tabs {
                    @for part in &own.parts {
                        button .button type="submit" name="part" value=(part) { "☐ " (part) " is in" }
                    }
                }
            }
        }
    }
}

async fn enter(State(bench): State<Arc<Bench>>, sent: Sent) -> Response {
    let typed = sent.clone();
    entered(
        bench,
        "/order".to_owned(),
        move |bench| super::fitted(bench, sent.text("part"), &sent),
        move |bench, refused| page(bench, Some(&refused), &typed),
    )
    .await
}

async fn csv(
    State(bench): State<Arc<Bench>>,
    Query(asked): Query<Vec<(String, String)>>,
) -> Response {
    let asked = Sent::of(asked);
    let again = asked.clone();
    let own = Arc::clone(&bench);
    let made = tokio::task::spawn_blocking(move || {
        let ask = ask(&own, &asked)?;
        order_list(own.file(), &ask, LongWork::untold())
    });
    match made.await {
        Ok(Ok(out)) => (
            [
                (header::CONTENT_TYPE, "text/csv; charset=utf-8"),
                (
                    header::CONTENT_DISPOSITION,
                    "attachment; filename=\"order.csv\"",
                ),
            ],
            out.csv,
        )
            .into_response(),
        Ok(Err(own)) => {
            let page = page(&bench, Some(&own), &again);
            (status_of(&own), page).into_response()
        }
        Err(_) => ended_badly(),
    }
}
