//! The step of the power-up at hand, as the beat carries it and as a phone judges by it without the laptop.
//!
//! Units of the readings; seconds. Limits, bands and stop signs are those of the plan, copied and not worked
//! out again. Nothing here fails.

use benchwork::view::{AskedView, PowerUpView};
use serde::Serialize;

/// The step at hand.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct StepAtHand {
    /// Its key.
    pub key: String,
    /// Its number.
    pub number: usize,
    /// Its title.
    pub title: String,
    /// `to_begin`, `under_way` or `finished`.
    pub state: &'static str,
    /// Whether the set has power in it.
    pub energised: bool,
    /// Whether a d.c. source feeds the set instead of the line.
    pub source: bool,
    /// `stop`, `wait` or `go_on`.
    pub verdict: &'static str,
    /// Seconds since 1970 at which it was begun; null before.
    pub begun: Option<i64>,
    /// Seconds until its readings are taken.
    pub wait_seconds: f64,
    /// What is read, with what a healthy set shows and where the plug is pulled.
    pub asked: Vec<AskedView>,
    /// What eye, ear and nose notice.
    pub stop_signs: Vec<String>,
}

impl StepAtHand {
    /// The step at hand of a power-up, told at this second since 1970; none when all are passed.
    pub fn of(view: &PowerUpView, now: i64) -> Option<StepAtHand> {
        let step = view.step.as_ref()?;
        Some(StepAtHand {
            key: step.key.clone(),
            number: step.step,
            title: step.title.clone(),
            state: view.state,
            energised: step.energised,
            source: step.conditions.dc.is_some(),
            verdict: view.verdict,
            begun: view.timer.map(|timer| now - timer.elapsed_seconds),
            wait_seconds: step.wait_seconds,
            asked: view.asked.clone(),
            stop_signs: step.stop_signs.clone(),
        })
    }

    /// Whether the set has power now.
    pub fn has_power(&self) -> bool {
        self.energised && self.state == "under_way"
    }
}
