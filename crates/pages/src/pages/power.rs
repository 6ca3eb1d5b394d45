//! The first power-up beside the chassis: the stop before anything else, one question, the clock.
//!
//! The page of a step with power carries its limits and stop signs, so that the phone judges by itself when the
//! laptop does not answer. Units of the readings. Fails with the trouble of the power-up in words; nothing is
//! entered then.

mod show;

use std::sync::Arc;

use axum::Router;
use axum::extract::{Query, State};
use axum::response::Response;
use axum::routing::{get, post};
use benchwork::view::PowerUpView;
use benchwork::{PowerReading, PowerSession, Stamp, Trouble};
use maud::Markup;

use crate::bench::Bench;
use crate::entry::{Sent, entered, shown};
use crate::frame::{Page, framed};
use crate::later;
use crate::pieces::{Unit, trouble};

/// The routes of this page.
pub fn routes() -> Router<Arc<Bench>> {
    Router::new()
        .route("/power", get(power))
        .route("/later/power", get(step))
        .route("/power/begin", post(begin))
        .route("/power/read", post(read))
        .route("/power/done", post(done))
        .route("/power/skip", post(skip))
        .route("/power/stop", post(stop))
        .route("/power/leave", post(leave))
}

async fn power(
    State(bench): State<Arc<Bench>>,
    Query(chosen): Query<Vec<(String, String)>>,
) -> Response {
    let chosen = Sent::of(chosen);
    shown(bench, move |bench| page(bench, None, &chosen)).await
}

fn page(bench: &Bench, refused: Option<Trouble>, typed: &Sent) -> Markup {
    let main = if refused.is_none() && !bench.plan_is_at_hand() {
        let question = format!("/later/power?{}", show::address(typed));
        later::place(&question, "the plan of the power-up")
    } else {
        told(bench, refused.as_ref(), typed)
    };
    framed(
        bench,
        Page {
            title: "Power-up",
            at: "/power",
            main,
        },
    )
}

fn told(bench: &Bench, refused: Option<&Trouble>, typed: &Sent) -> Markup {
    match bench.power(|session, at| session.tell(at)) {
        Ok(view) => show::power(bench, &view, refused, typed),
        Err(own) => trouble(&own),
    }
}

/// The step by itself. Its clock runs, so it is told anew each time.
async fn step(
    State(bench): State<Arc<Bench>>,
    Query(chosen): Query<Vec<(String, String)>>,
) -> Response {
    let chosen = Sent::of(chosen);
    shown(bench, move |bench| told(bench, None, &chosen)).await
}

async fn begin(State(bench): State<Arc<Bench>>, sent: Sent) -> Response {
    make(bench, sent, |session, at, _| session.begin(at)).await
}

async fn read(State(bench): State<Arc<Bench>>, sent: Sent) -> Response {
    make(bench, sent, |session, at, sent| {
        let reading = PowerReading {
            place: sent.owned("place"),
            value: Unit::completed(sent.text("value"), Unit::of(sent.text("what"))),
            to: sent.owned("to"),
            what: sent.some("what"),
            meter: sent.some("meter"),
            note: sent.owned("note"),
            seconds: sent.number("seconds", "Seconds")?,
        };
        session.read(at, reading)
    })
    .await
}

async fn done(State(bench): State<Arc<Bench>>, sent: Sent) -> Response {
    make(bench, sent, |session, at, sent| {
        session.done(at, sent.text("because"))
    })
    .await
}

async fn skip(State(bench): State<Arc<Bench>>, sent: Sent) -> Response {
    make(bench, sent, |session, at, sent| {
        session.skip(at, sent.text("because"))
    })
    .await
}

async fn stop(State(bench): State<Arc<Bench>>, sent: Sent) -> Response {
    make(bench, sent, |session, at, sent| {
        let noticed = [sent.text("noticed"), sent.text("words")];
        let noticed: Vec<&str> = noticed
            .into_iter()
            .filter(|text| !text.is_empty())
            .collect();
        session.stop(at, &noticed.join(": "))
    })
    .await
}

async fn leave(State(bench): State<Arc<Bench>>, sent: Sent) -> Response {
    make(bench, sent, |session, at, sent| {
        session.leave(at, sent.text("because"))
    })
    .await
}

async fn make(
    bench: Arc<Bench>,
    sent: Sent,
    work: impl FnOnce(&mut PowerSession, &Stamp, &Sent) -> Result<PowerUpView, Trouble> + Send + 'static,
) -> Response {
    let typed = sent.clone();
    entered(
        bench,
        "/power".to_owned(),
        move |bench| {
            bench
                .power(|session, at| {
                    if let Some(id) = sent.once() {
                        session.once(id);
                    }
                    work(session, at, &sent)
                })
                .map(|_| ())
        },
        move |bench, refused| page(bench, Some(refused), &typed),
    )
    .await
}
