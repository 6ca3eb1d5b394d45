//! What goes to every open page as it happens: new entries, the step at hand, how far long work is.
//!
//! One event stream a page (`text/event-stream`, as the HTML standard has it). A beat each second says that the
//! laptop is there; a page that misses it for five seconds says so. A page that comes back is told the number
//! of the last entry and asks for what it missed. Nothing here fails: a page that has gone is forgotten.

use std::convert::Infallible;
use std::sync::Arc;
use std::sync::atomic::{AtomicU64, Ordering};
use std::time::Duration;

use axum::extract::State;
use axum::response::sse::{Event, Sse};
use axum::routing::get;
use axum::{Extension, Router};
use serde::Serialize;
use tokio::sync::broadcast;
use tokio_stream::wrappers::{BroadcastStream, IntervalStream};
use tokio_stream::{Stream, StreamExt};

use crate::bench::Bench;
use crate::door::LetIn;

/// How often the laptop says that it is there.
pub const BEAT: Duration = Duration::from_secs(1);

/// What is told to every page.
#[derive(Debug, Clone)]
pub enum Told {
    /// The file has this many entries now.
    Entered(u64),
    /// The step at hand is another one or stands otherwise.
    Step,
    /// How far a piece of work is: its key, and words.
    Progress(String, String),
    /// A piece of work is done: its key.
    Ready(String),
}

/// The stream to every page.
pub struct Live {
    last: AtomicU64,
    told: broadcast::Sender<Told>,
}

impl Live {
    /// A stream of a file with this many entries.
    pub fn from(last: u64) -> Live {
        Live {
            last: AtomicU64::new(last),
            told: broadcast::channel(256).0,
        }
    }

    /// Number of the last entry.
    pub fn last(&self) -> u64 {
        self.last.load(Ordering::Acquire)
    }

    /// The file has an entry of this number; told once.
    pub fn entered(&self, number: u64) {
        if self.last.fetch_max(number, Ordering::AcqRel) < number {
            self.tell(Told::Entered(number));
        }
    }

    /// The step at hand stands otherwise than before.
    pub fn step_changed(&self) {
        self.tell(Told::Step);
    }

    /// What is told from now on.
    pub fn hear(&self) -> broadcast::Receiver<Told> {
        self.told.subscribe()
    }

    /// Tells every page.
    pub fn tell(&self, told: Told) {
        // Nobody listening is no fault.
        let _ = self.told.send(told);
    }
}

/// The beat as it is written.
#[derive(Serialize)]
struct Beat {
    last: u64,
    now: i64,
    #[serde(skip_serializing_if = "Option::is_none")]
    step: Option<BeatOfStep>,
}

#[derive(Serialize)]
struct BeatOfStep {
    key: String,
    state: &'static str,
    power: bool,
    verdict: &'static str,
    begun: Option<i64>,
    wait: f64,
}

/// The route of the stream.
pub fn routes() -> Router<Arc<Bench>> {
    Router::new().route("/live", get(live))
}

async fn live(
    State(bench): State<Arc<Bench>>,
    device: Option<Extension<LetIn>>,
) -> Sse<impl Stream<Item = Result<Event, Infallible>>> {
    let told = BroadcastStream::new(bench.live.hear());
    let told = {
        let bench = Arc::clone(&bench);
        told.map(move |told| match told {
            Ok(told) => event(&told),
            // A page that was too slow is told where the file stands and asks for the rest.
            Err(_) => event(&Told::Entered(bench.live.last())),
        })
    };
    let beats = IntervalStream::new(tokio::time::interval(BEAT));
    let beats = {
        let bench = Arc::clone(&bench);
        beats.map(move |_| beat(&bench))
    };
    // A device whose leave was taken back hears nothing more.
    let stays = move |_: &Event| {
        device
            .as_ref()
            .is_none_or(|device| device.is_let_in(&bench))
    };
    Sse::new(told.merge(beats).take_while(stays).map(Ok))
}

fn beat(bench: &Bench) -> Event {
    let beat = Beat {
        last: bench.live.last(),
        now: bench.now().map_or(0, |now| now.seconds()),
        step: bench.step_at_hand().map(|step| BeatOfStep {
            power: step.has_power(),
            key: step.key,
            state: step.state,
            verdict: step.verdict,
            begun: step.begun,
            wait: step.wait_seconds,
        }),
    };
    Event::default()
        .event("beat")
        .data(serde_json::to_string(&beat).unwrap_or_default())
}

fn event(told: &Told) -> Event {
    match told {
        Told::Entered(number) => Event::default().event("entered").data(number.to_string()),
        Told::Step => Event::default().event("step").data(""),
        Told::Progress(key, words) => Event::default()
            .event("progress")
            .data(serde_json::json!({ "key": key, "words": words }).to_string()),
        Told::Ready(key) => Event::default().event("ready").data(key.clone()),
    }
}
