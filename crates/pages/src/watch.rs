//! Watches at the laptop: entries that another program makes, the time of a step, sleep.
//!
//! Looks at the file three times a second, so that two devices and a terminal see each other's entries within
//! two seconds. When the time of a step is up it sounds once, and again for a stop. A laptop that slept in a
//! step with power says how long, and the step begins again with the plug out. A file that cannot be read for a
//! while is looked at again; nothing is lost by it.

use std::process::{Child, Command, Stdio};
use std::sync::Arc;
use std::time::{Duration, Instant, SystemTime};

use benchwork::Trouble;
use benchwork::view::EntryView;

use crate::bench::Bench;

const LOOK: Duration = Duration::from_millis(300);

/// A gap between two looks longer than this is a laptop that slept or stood still.
const SLEPT: Duration = Duration::from_secs(10);

/// Watches until the bench is no longer held by anybody else.
pub fn watch(bench: Arc<Bench>) {
    let bench = Arc::downgrade(&bench);
    std::thread::spawn(move || {
        let mut own = Own::default();
        let mut looked = (Instant::now(), SystemTime::now());
        loop {
            std::thread::sleep(LOOK);
            let Some(bench) = bench.upgrade() else { return };
            let now = (Instant::now(), SystemTime::now());
            let gap = longest(looked, now);
            looked = now;
            if gap > SLEPT {
                slept(&bench, gap);
            }
            own.look(&bench);
        }
    });
}

/// How long it was between two looks, by the clock of the day or by that of the processor.
fn longest(before: (Instant, SystemTime), now: (Instant, SystemTime)) -> Duration {
    let by_day = now.1.duration_since(before.1).unwrap_or_default();
    now.0.duration_since(before.0).max(by_day)
}

#[derive(Default)]
struct Own {
    told_up: Option<(String, i64)>,
    stopped: bool,
    awake: Option<KeptAwake>,
    knows_step: bool,
}

impl Own {
    fn look(&mut self, bench: &Arc<Bench>) {
        let last = benchwork::last_entry(bench.file()).unwrap_or(0);
        let known = bench.live.last();
        if last > known {
            bench.live.entered(last);
        }
        if last > known || !self.knows_step {
            let since = if self.knows_step { known } else { 0 };
            self.knows_step = true;
            self.ask_for_the_step(bench, since);
        }
        let step = bench.step_at_hand();
        let has_power = step.as_ref().is_some_and(|step| step.has_power());
        if has_power != self.awake.is_some() {
            self.awake = has_power.then(KeptAwake::begin);
        }
        let stands = step.as_ref().is_some_and(|step| step.verdict == "stop");
        if stands && !self.stopped {
            bench.sound();
        }
        self.stopped = stands;
        let up = step.filter(|step| step.has_power()).and_then(|step| {
            let begun = step.begun?;
            let now = bench.now().ok()?.seconds();
            ((now - begun) as f64 >= step.wait_seconds).then_some((step.key, begun))
        });
        if up.is_some() && up != self.told_up {
            bench.sound();
            self.told_up = up;
        }
    }
}

impl Own {
    /// Where a step was begun or ended meanwhile, its plan is asked on a thread of its own: that may take long,
    /// and what is watched here must not wait.
    fn ask_for_the_step(&self, bench: &Arc<Bench>, since: u64) {
        let Ok(story) = bench.story() else { return };
        let is_new = |entry: &&EntryView| entry.number > since && entry.kind == "stepped";
        if story.entries.iter().rev().find(is_new).is_none() {
            return;
        }
        let bench = Arc::clone(bench);
        std::thread::spawn(move || {
            // What keeps a plan from being made is told on the page of the power-up.
            let _ = bench.power(|session, at| session.tell(at));
        });
    }
}

/// After sleep: a step with power is left, so that it begins again with the plug out.
fn slept(bench: &Bench, gap: Duration) {
    let had_power = bench.step_at_hand().is_some_and(|step| step.has_power());
    if had_power {
        let because = format!(
            "the laptop slept or stood still for {} in a step with power; nothing was watched meanwhile",
            words_of(gap)
        );
        let left: Result<_, Trouble> = bench.power(|session, at| session.leave(at, &because));
        drop(left);
        bench.sound();
    }
}

/// A time as people say it.
fn words_of(gap: Duration) -> String {
    match gap.as_secs() {
        seconds @ ..120 => format!("{seconds} s"),
        seconds => format!("{} min", seconds / 60),
    }
}

/// The laptop is kept from sleeping as long as this lives, where its system has a program for it.
struct KeptAwake {
    helper: Option<Child>,
}

impl KeptAwake {
    fn begin() -> KeptAwake {
        // It holds as long as the program behind it runs, which ends when its input does: also if this one is gone.
        let ways: &[(&str, &[&str])] = &[
            (
                "systemd-inhibit",
                &[
                    "--what=sleep:idle:handle-lid-switch",
                    "--who=firstraster",
                    "--why=The set on the bench has power",
                    "cat",
                ],
            ),
            ("caffeinate", &["-i", "-s", "cat"]),
        ];
        let helper = ways.iter().find_map(|(program, words)| {
            Command::new(program)
                .args(*words)
                .stdin(Stdio::piped())
                .stdout(Stdio::null())
                .stderr(Stdio::null())
                .spawn()
                .ok()
        });
        KeptAwake { helper }
    }
}

impl Drop for KeptAwake {
    fn drop(&mut self) {
        if let Some(helper) = &mut self.helper {
            drop(helper.stdin.take());
            let _ = helper.kill();
            let _ = helper.wait();
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_clock_of_the_day_that_ran_on_tells_of_sleep_and_one_set_back_does_not() {
        let (here, day) = (Instant::now(), SystemTime::now());
        let later = day + Duration::from_secs(900);
        let second = here + Duration::from_secs(1);
        assert_eq!(longest((here, day), (second, later)).as_secs(), 900);
        assert_eq!(longest((here, later), (second, day)).as_secs(), 1);
        assert_eq!(words_of(Duration::from_secs(900)), "15 min");
        assert_eq!(words_of(Duration::from_secs(61)), "61 s");
    }
}
