//! What takes long to work out: the page comes at once, the answer follows when it is there.
//!
//! An answer is found under what was asked and the number of the last entry; asked again, it is at hand. One
//! piece of work runs for each question, however many pages wait for it, and tells them how far it is; work that no page
//! waits for any more is given up. Answers of an older state are thrown away. What a healthy set shows rests on the sheet and on how the set stands, not on the entries, and stays at hand
//! ([`Later::healthy`]). A question that fails is an answer too: its trouble in words. Nothing here fails.

use std::collections::{HashMap, VecDeque};
use std::panic::{AssertUnwindSafe, catch_unwind};
use std::sync::{Arc, Mutex, OnceLock, PoisonError, mpsc};

use benchwork::view::ReadingView;
use benchwork::{LongWork, Trouble};
use maud::{Markup, PreEscaped, html};
use tokio::sync::watch;

use crate::bench::{Bench, lock};
use crate::live::Told;
use crate::pieces::trouble;

/// Pieces of long work at once.
const AT_ONCE: usize = 3;

/// How many answers are kept; the oldest go first.
const KEPT: usize = 64;

/// In how many ways the set may have stood for what it then shows to be kept; the oldest go first.
const WAYS: usize = 8;

/// Pieces of work and their answers.
#[derive(Default)]
pub struct Later {
    own: Mutex<Own>,
    healthy: Mutex<VecDeque<(String, Arc<Solved>)>>,
}

/// What a healthy set shows under one set of conditions.
type Readings = Result<Arc<[ReadingView]>, Trouble>;

/// The same, once it is solved.
type Solved = OnceLock<Readings>;

impl Later {
    /// What a healthy set shows, at hand where it was solved before on what this text tells: sheet and conditions.
    /// However many entries come, and however many pages ask at once, it is solved once.
    pub fn healthy(
        &self,
        rests_on: &str,
        solve: impl FnOnce() -> Result<Vec<ReadingView>, Trouble>,
    ) -> Readings {
        let solved = {
            let mut kept = lock(&self.healthy);
            let known = kept.iter().find(|(own, _)| own == rests_on);
            match known.map(|(_, solved)| Arc::clone(solved)) {
                Some(solved) => solved,
                None => {
                    if kept.len() >= WAYS {
                        kept.pop_front();
                    }
                    let solved = Arc::new(Solved::new());
                    kept.push_back((rests_on.to_owned(), Arc::clone(&solved)));
                    solved
                }
            }
        };
        solved.get_or_init(|| solve().map(Arc::from)).clone()
    }
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
    work: impl FnOnce(&Bench, LongWork<'_>) -> Result<Markup, Trouble> + Send + 'static,
) -> Markup {
    answer_in(bench, question, "", work).await
}

/// The same of an answer that rests on something besides the entries, which these words tell apart.
pub async fn answer_in(
    bench: &Arc<Bench>,
    question: &str,
    rests_on: &str,
    work: impl FnOnce(&Bench, LongWork<'_>) -> Result<Markup, Trouble> + Send + 'static,
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

/// The answer to a question that was given in the state of the last entry, whatever else it rests on.
pub fn given(bench: &Bench, question: &str) -> Option<Arc<str>> {
    let begins = format!("{question}\n{}\n", bench.live.last());
    let own = lock(&bench.later.own);
    let mut pieces: Vec<&Piece> = own
        .answers
        .iter()
        .filter(|(key, _)| key.starts_with(&begins))
        .map(|(_, piece)| piece)
        .collect();
    pieces.sort_by_key(|piece| std::cmp::Reverse(piece.turn));
    pieces
        .iter()
        .find_map(|piece| piece.answer.borrow().clone())
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
    work: impl FnOnce(&Bench, LongWork<'_>) -> Result<Markup, Trouble> + Send + 'static,
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
        own.answers.insert(key.clone(), Piece { turn, answer });
        if own.answers.len() > KEPT {
            let oldest = own.answers.iter().min_by_key(|(_, piece)| piece.turn);
            if let Some(oldest) = oldest.map(|(key, _)| key.clone()) {
                own.answers.remove(&oldest);
            }
        }
    }
    let bench = Arc::clone(bench);
    hand_out(Box::new(move || {
        if !is_waited_for(&bench, &key, &done) {
            return;
        }
        let hears = |part: &str| {
            let told = Told::Progress(question.clone(), format!("{part}…"));
            bench.live.tell(told);
            is_waited_for(&bench, &key, &done)
        };
        let answer = match work(&bench, LongWork::told_to(&hears)) {
            Ok(answer) => answer,
            Err(Trouble::Left) => return,
            Err(own) => trouble(&own),
        };
        let _ = done.send(Some(Arc::from(answer.into_string())));
        bench.live.tell(Told::Ready(question));
    }));
    waiting
}

/// Whether a page still waits for the answer. If none does, the piece is forgotten in the same breath, so that a page
/// which asks from then on begins anew.
fn is_waited_for(bench: &Bench, key: &str, done: &watch::Sender<Option<Arc<str>>>) -> bool {
    let mut own = lock(&bench.later.own);
    let kept = own.answers.get(key);
    let is_kept = kept.is_some_and(|piece| piece.answer.same_channel(&done.subscribe()));
    let waits = done.receiver_count() > usize::from(is_kept);
    if !waits && is_kept {
        own.answers.remove(key);
    }
    waits
}

type Work = Box<dyn FnOnce() + Send>;

/// Gives a piece of work to the threads that are there for long work. They are few, so that pages which were left do
/// not take the laptop from the page that is looked at, and that its memory stays small.
fn hand_out(work: Work) {
    static GIVE: OnceLock<mpsc::Sender<Work>> = OnceLock::new();
    let give = GIVE.get_or_init(|| {
        let (give, take) = mpsc::channel::<Work>();
        let take = Arc::new(Mutex::new(take));
        for _ in 0..AT_ONCE {
            let take = Arc::clone(&take);
            std::thread::spawn(move || {
                loop {
                    let work = lock(&take).recv();
                    let Ok(work) = work else { return };
                    // A piece that goes down is told where its answer was waited for.
                    let _ = catch_unwind(AssertUnwindSafe(work));
                }
            });
        }
        give
    });
    // The threads take as long as the program runs.
    let _ = give.send(work);
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::sync::atomic::{AtomicUsize, Ordering};

    #[test]
    fn what_a_healthy_set_shows_is_solved_once_for_each_way_it_stands() {
        let later = Later::default();
        let count = AtomicUsize::new(0);
        let ask = |rests_on: &str| {
            later.healthy(rests_on, || {
                count.fetch_add(1, Ordering::Relaxed);
                Err(Trouble::input(rests_on, ""))
            })
        };
        std::thread::scope(|scope| {
            for _ in 0..8 {
                scope.spawn(|| ask("line 117 V"));
            }
        });
        assert_eq!(count.load(Ordering::Relaxed), 1, "pages ask at once");
        for way in 1..WAYS {
            assert_eq!(
                ask(&way.to_string()).unwrap_err().to_string(),
                way.to_string()
            );
        }
        assert!(ask("line 117 V").is_err());
        assert_eq!(count.load(Ordering::Relaxed), WAYS, "all are kept");
        drop(ask("one more"));
        drop(ask("line 117 V"));
        assert_eq!(count.load(Ordering::Relaxed), WAYS + 2, "the oldest went");
    }

    /// A bench whose restoration is still to be begun: nothing is read.
    fn bench(folder: &std::path::Path) -> Arc<Bench> {
        let opening = crate::Opening {
            file: folder.join("none.restoration"),
            clock: Arc::new(|| Err(Trouble::ours("no clock"))),
            sound: Arc::new(|| {}),
            tables: crate::OwnTables::default(),
        };
        Bench::open(opening).expect("a bench")
    }

    #[tokio::test]
    async fn work_tells_how_far_it_is_to_every_page() {
        let folder = tempfile::tempdir().expect("a folder");
        let bench = bench(folder.path());
        let mut told = bench.live.hear();
        let answer = answer(&bench, "/later/x", |_, work| {
            work.comes_to("Solving, 1 of 2")?;
            Ok(html! { "solved" })
        });
        assert_eq!(answer.await.into_string(), "solved");
        let first = told.recv().await.expect("a word");
        assert!(
            matches!(&first, Told::Progress(key, words) if key == "/later/x" && words == "Solving, 1 of 2…"),
            "{first:?}"
        );
    }

    #[tokio::test]
    async fn work_that_no_page_waits_for_is_given_up_and_begun_anew_when_one_asks() {
        let folder = tempfile::tempdir().expect("a folder");
        let bench = bench(folder.path());
        let (left, may_go_on) = mpsc::channel::<()>();
        let (says, hears) = mpsc::channel();
        let asked = answer(&bench, "/later/x", move |_, work| {
            may_go_on.recv().expect("the page leaves");
            let went_on = work.comes_to("Solving, 2 of 2");
            says.send(went_on.is_ok()).expect("the test listens");
            went_on?;
            Ok(html! { "of the page that left" })
        });
        // The page asks, and is gone before the answer is there.
        let gone = tokio::time::timeout(std::time::Duration::from_millis(1), asked).await;
        assert!(gone.is_err(), "answered before it was worked out");
        left.send(()).expect("the work waits");
        assert!(
            !hears.recv().expect("a word"),
            "the work went on for nobody"
        );
        assert!(given(&bench, "/later/x").is_none());
        let again = answer(&bench, "/later/x", |_, _| {
            Ok(html! { "of the page that asked" })
        });
        assert_eq!(again.await.into_string(), "of the page that asked");
    }

    #[tokio::test]
    async fn work_goes_on_while_one_of_two_pages_waits() {
        let folder = tempfile::tempdir().expect("a folder");
        let bench = bench(folder.path());
        let (left, may_go_on) = mpsc::channel::<()>();
        let begun = answer(&bench, "/later/x", move |_, work| {
            may_go_on.recv().expect("the page leaves");
            work.comes_to("Solving, 2 of 2")?;
            Ok(html! { "solved once" })
        });
        let asks = std::time::Duration::from_millis(1);
        let mut begun = Box::pin(begun);
        let mut other = Box::pin(answer(&bench, "/later/x", |_, _| {
            Ok(html! { "solved twice" })
        }));
        for page in [
            &mut begun as &mut (dyn Future<Output = _> + Unpin),
            &mut other,
        ] {
            let early = tokio::time::timeout(asks, page).await;
            assert!(early.is_err(), "answered before it was worked out");
        }
        drop(begun);
        left.send(()).expect("the work waits");
        let other = other.await;
        assert_eq!(other.into_string(), "solved once");
    }
}
