//! A reading entered in a step of the power-up with power, and beside it under conditions that were solved before.
//!
//! The figure to reach: its verdict within 200 ms. Measured is the whole way: opening and checking the file, what the facts
//! make of the sheet, the step at hand, writing, telling what came of it.

#[path = "../tests/at_a_step/mod.rs"]
mod at_a_step;

use at_a_step::{at_a_step, now};
use benchwork::{Conditions, Entering, NewReading, PowerReading, record_reading};
use divan::{Bencher, black_box};

fn main() {
    divan::main();
}

/// Sets of the examples.
const SETS: &[&str] = &["larkfield_12t.toml", "whole/larkfield_12t.toml"];

#[divan::bench(args = SETS, sample_count = 20, sample_size = 1)]
fn read_in_a_step(bencher: Bencher<'_, '_>, set: &str) {
    let (_folder, file, mut session) = at_a_step(set);
    let view = session.tell(&now()).expect("it stands");
    let asked = view.asked.first().expect("something is asked").clone();
    drop(file);
    bencher.bench_local(|| {
        let reading = PowerReading {
            place: asked.at.clone(),
            to: asked.to.clone().unwrap_or_default(),
            what: Some(asked.what.to_owned()),
            value: at_a_step::healthy(&asked),
            ..PowerReading::default()
        };
        black_box(session.read(&now(), reading).expect("it is read"))
    });
}

#[divan::bench(args = SETS, sample_count = 20, sample_size = 1)]
fn tell_a_step(bencher: Bencher<'_, '_>, set: &str) {
    let (_folder, _file, mut session) = at_a_step(set);
    bencher.bench_local(|| black_box(session.tell(&now()).expect("it stands")));
}

/// The first one solves the set under its conditions; it is not in the figure.
#[divan::bench(args = SETS, sample_count = 20, sample_size = 1)]
fn read_beside_the_steps(bencher: Bencher<'_, '_>, set: &str) {
    let (_folder, file, _) = at_a_step(set);
    let enter = || {
        let reading = NewReading {
            place: "V9.5".to_owned(),
            value: "135 V".to_owned(),
            meter: "20k/V 500 V".to_owned(),
            conditions: Conditions {
                line_volts: Some(117.0),
                ..Conditions::default()
            },
            ..NewReading::default()
        };
        record_reading(&Entering::new(&file, now()), reading).expect("it is entered")
    };
    drop(enter());
    bencher.bench_local(|| black_box(enter()));
}
