//! The power-up brought to a step with power, as the browser tests need it.

use benchwork::view::AskedView;
use benchwork::{PowerReading, PowerSession};

use crate::served::{Served, now};

/// Brings the power-up to its first step with power, by the same functions as the pages: what is asked is read as
/// in a healthy set.
pub fn to_a_step_with_power(served: &Served) -> PowerSession {
    let mut session = PowerSession::of(&served.file());
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
        for asked in view.asked.iter().filter(|asked| asked.verdict == "unread") {
            let reading = PowerReading {
                place: asked.at.clone(),
                to: asked.to.clone().unwrap_or_default(),
                what: Some(asked.what.to_owned()),
                value: healthy(asked),
                ..PowerReading::default()
            };
            session.read(&now(), reading).expect("it is read");
        }
        let passed = session
            .done(&now(), "seen to")
            .or_else(|_| session.skip(&now(), "not needed here"));
        passed.expect("the step is passed");
    }
    panic!("no step with power came");
}

/// A value on the good side of every limit.
fn healthy(asked: &AskedView) -> String {
    if let Some(expected) = asked.expected {
        return expected.to_string();
    }
    let above = asked
        .limits
        .iter()
        .find_map(|limit| limit.below)
        .map(|least| least * 4.0);
    let below = asked
        .limits
        .iter()
        .find_map(|limit| limit.above)
        .map(|most| most / 4.0);
    above.or(below).unwrap_or(1.0).to_string()
}
