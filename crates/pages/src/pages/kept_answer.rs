//! Keeping an answer in the restoration, with the version that gave it, as the commands do where that is wished.
//!
//! What is kept is the answer that is at hand, in words. Where something was entered since it was given there is none
//! any more: it is told, and the answer is looked at again.

use std::sync::Arc;

use axum::Router;
use axum::extract::State;
use axum::response::{IntoResponse, Redirect, Response};
use axum::routing::post;
use benchwork::{Trouble, keep_advice};
use maud::{Markup, html};

use super::plain;
use crate::bench::Bench;
use crate::entry::{Sent, ended_badly, hidden_in_answer};
use crate::later;
use crate::pieces::{send, status_of};
use crate::plain_text::plain_text;

/// The route of what is kept.
pub fn routes() -> Router<Arc<Bench>> {
    Router::new().route("/keep/answer", post(keep))
}

/// An answer with the button that keeps it. `question` is the address that gave it, `what` its name.
pub fn keepable(bench: &Bench, question: &str, what: &str, answer: &Markup) -> Markup {
    html! {
        (answer)
        form .quiet method="post" action="/keep/answer" {
            (hidden_in_answer(bench))
            input type="hidden" name="question" value=(question);
            input type="hidden" name="what" value=(what);
            (send("Keep this answer in the file"))
        }
    }
}

async fn keep(State(bench): State<Arc<Bench>>, sent: Sent) -> Response {
    let own = Arc::clone(&bench);
    let work = move || {
        let answer = later::given(&own, sent.text("question")).ok_or_else(|| {
            Trouble::input(
                "this answer is no longer at hand: something was entered since",
                "look at it again, and keep that one",
            )
        })?;
        let asked = format!("bench pages: {}", sent.text("what"));
        let (first, count) = keep_advice(&sent.entering(&own)?, &asked, &plain_text(&answer))?;
        own.live.entered(first + count as u64 - 1);
        Ok(first)
    };
    match tokio::task::spawn_blocking(work).await {
        Ok(Ok(first)) => Redirect::to(&format!("/story/{first}")).into_response(),
        Ok(Err(trouble)) => {
            let status = status_of(&trouble);
            let main = plain::refused(Some(&trouble));
            let page = plain::page(&bench, "Not kept", "/story", main);
            (status, page).into_response()
        }
        Err(_) => ended_badly(),
    }
}
