//! The power-up brought to a step with power: what is asked is read as in a healthy set.
//!
//! The clock stands, or is that of the caller. Fails as a test does.

#![allow(dead_code, reason = "each test takes what it needs")]

use std::path::{Path, PathBuf};

use benchwork::view::AskedView;
use benchwork::{
    Entering, Fitted, PowerReading, PowerSession, Stamp, read_sheet_file, record_fitted,
    start_restoration,
};

/// The time of every entry.
pub fn now() -> Stamp {
    Stamp::read("2026-11-30T10:00:00+01:00").expect("a time")
}

/// A restoration of an example at its first step with power in which something is read.
pub fn at_a_step(sheet: &str) -> (tempfile::TempDir, PathBuf, PowerSession) {
    let folder = tempfile::tempdir().expect("a folder");
    let file = folder.path().join("a.restoration");
    let sheet = Path::new(env!("CARGO_MANIFEST_DIR"))
        .join("../../examples")
        .join(sheet);
    let sheet = read_sheet_file(&sheet).expect("a sheet");
    start_restoration(&Entering::new(&file, now()), &sheet, None).expect("started");
    let session = to_a_step_with_power(&file, &now);
    (folder, file, session)
}

/// Brings a power-up to its first step with power in which something is read, by this clock.
pub fn to_a_step_with_power(file: &Path, now: &dyn Fn() -> Stamp) -> PowerSession {
    let mut session = PowerSession::of(file);
    for _ in 0..80 {
        let view = session.tell(&now()).expect("it stands");
        let step = view.step.expect("a step with power comes");
        if view.state == "to_begin" {
            let begun = session.begin(&now()).expect("it begins");
            if step.energised && !begun.asked.is_empty() {
                return session;
            }
            continue;
        }
        for asked in view.asked.iter().filter(|own| own.verdict == "unread") {
            let reading = PowerReading {
                place: asked.at.clone(),
                to: asked.to.clone().unwrap_or_default(),
                what: Some(asked.what.to_owned()),
                value: healthy(asked),
                ..PowerReading::default()
            };
            session.read(&now(), reading).expect("it is read");
        }
        // What must not stay is replaced; its value stays that of the sheet.
        for part in step.parts {
            let fitted = Fitted {
                part,
                new: "a new one".to_owned(),
                ..Fitted::default()
            };
            record_fitted(&Entering::new(file, now()), fitted).expect("fitted");
        }
        let passed = session
            .done(&now(), "seen to")
            .or_else(|_| session.skip(&now(), "not needed here"));
        passed.expect("the step is passed");
    }
    panic!("no step with power came");
}

/// A value on the good side of every limit.
pub fn healthy(asked: &AskedView) -> String {
    if let Some(expected) = asked.expected {
        return expected.to_string();
    }
    let limits = || asked.limits.iter();
    let above = limits().find_map(|limit| limit.below);
    let below = limits().find_map(|limit| limit.above);
    let value = above
        .map(|least| least * 4.0)
        .or(below.map(|most| most / 4.0));
    value.unwrap_or(1.0).to_string()
}
