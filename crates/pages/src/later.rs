//! What takes long to work out: the page comes at once, the answer follows when it is there.
//!
//! An answer is found under what was asked and the number of the last entry; asked again, it is at hand. One
//! piece of work runs for each question, however many pages wait for it; those of an older state are thrown
//! away. A question that fails is an answer too: its trouble in words. Nothing here fails.

use std::collections::HashMap;
use std::sync::{Arc, Mutex, PoisonError};

use benchwork::Trouble;
use maud::{Markup, PreEscaped, html};
use tokio::sync::watch;

use crate::bench::{Bench, lock};
use crate::live::Told;
use crate::pieces::trouble;

/// How many answers are kept; the oldest go first.
const KEPT: usize = 64;

/// Pieces of work and their answers.
#[derive(Default)]
pub struct Later {
    own: Mutex<Own>,
}

#[derive(Default)]
struct Own {
    turn: u64,
    answers: HashMap<String, Piece>,
}

struct Piece {
    turn: u64,
    answer: watch::Receiver<Option<Arc<str>>>,
}

/// A place on a page that fills when its answer is there. `question` is the address that gives it.
pub fn place(question: &str, what: &str) -> Markup {
    html! {
        section .later data-later=(question) aria-busy="true" aria-live="polite" {
            p .working { "Working out " (what) "…" }
            noscript { p { a href=(question) { "Show " (what) } } }
        }
    }
}

/// The answer to a question in the state of the last entry: at hand, or worked out on a thread of its own.
pub async fn answer(
    bench: &Arc<Bench>,
    question: &str,
    work: impl FnOnce(&Bench) -> Result<Markup, Trouble> + Send + 'static,
) -> Markup {
    answer_in(bench, question, "", work).await
}

/// The same of an answer that rests on something besides the entries, which these words tell apart.
pub async fn answer_in(
    bench: &Arc<Bench>,
    question: &str,
    rests_on: &str,
    work: impl FnOnce(&Bench) -> Result<Markup, Trouble> + Send + 'static,
) -> Markup {
    let key = format!("{question}\n{}\n{rests_on}", bench.live.last());
    let mut waiting = match at_hand(bench, &key) {
        Some(waiting) => waiting,
        None => begin(bench, key, question.to_owned(), work),
    };
    let answer = waiting.wait_for(Option::is_some).await;
    match answer {
        Ok(answer) => PreEscaped(answer.as_deref().unwrap_or_default().to_owned()),
        Err(_) => trouble(&Trouble::ours("the work on this answer ended without one")),
    }
}

fn at_hand(bench: &Bench, key: &str) -> Option<watch::Receiver<Option<Arc<str>>>> {
    let own = lock(&bench.later.own);
    let piece = own.answers.get(key)?;
    // A piece whose thread went down without an answer is begun again.
    let lives = piece.answer.borrow().is_some() || piece.answer.has_changed().is_ok();
    lives.then(|| piece.answer.clone())
}

fn begin(
    bench: &Arc<Bench>,
    key: String,
    question: String,
    work: impl FnOnce(&Bench) -> Result<Markup, Trouble> + Send + 'static,
) -> watch::Receiver<Option<Arc<str>>> {
    let (done, waiting) = watch::channel(None);
    {
        let mut own = bench
            .later
            .own
            .lock()
            .unwrap_or_else(PoisonError::into_inner);
        own.turn += 1;
        let turn = own.turn;
        let answer = waiting.clone();
        own.answers.insert(key, Piece { turn, answer });
        if own.answers.len() > KEPT {
            let oldest = own.answers.iter().min_by_key(|(_, piece)| piece.turn);
            if let Some(oldest) = oldest.map(|(key, _)| key.clone()) {
                own.answers.remove(&oldest);
            }
        }
    }
    let bench = Arc::clone(bench);
    tokio::task::spawn_blocking(move || {
        let answer = match work(&bench) {
            Ok(answer) => answer,
            Err(own) => trouble(&own),
        };
        let _ = done.send(Some(Arc::from(answer.into_string())));
        bench.live.tell(Told::Ready(question));
    });
    waiting
}
