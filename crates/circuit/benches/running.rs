//! Stages that run: from a push, and a draw from the wave of the average stage.
//!
//! The stages are those of the tests. Before the times, the work is printed in counts.

#[path = "../tests/stages/mod.rs"]
mod stages;

use circuit::running::{Limits, LineSignal, Settled, Waveform};
use stages::{Stage, blocking, cathode_coupled, multivibrator, separator, sweep_output, triode};

const NAMES: [&str; 5] = [
    "plate-coupled",
    "cathode-coupled",
    "blocking",
    "separator",
    "sweep output",
];

fn stage(name: &str) -> Stage {
    let law = triode(20.0, 1e-3);
    match name {
        "plate-coupled" => multivibrator(&law, 47e3, 470e3, 100e-12),
        "cathode-coupled" => cathode_coupled(300.0),
        "blocking" => blocking(&law, 1.0, 22e-9, 1e6),
        "separator" => separator(Waveform::line(LineSignal {
            tip: 40.0,
            blanking: 30.0,
            picture: 12.0,
        })),
        _ => sweep_output(),
    }
}

fn main() {
    for name in NAMES {
        let stage = stage(name);
        let found = stage
            .running()
            .settle(&stage.figures, None, Limits::default());
        if let Ok(Settled::Repeats(wave)) = found {
            println!("{name}: {:.4e} s, {:?}", wave.period_seconds, wave.work);
        }
    }
    divan::main();
}

#[divan::bench(args = NAMES)]
fn from_a_push(bencher: divan::Bencher, name: &str) {
    let stage = stage(name);
    let running = stage.running();
    bencher.bench_local(|| running.settle(&stage.figures, None, Limits::default()));
}

#[divan::bench(args = NAMES)]
fn from_a_neighbour(bencher: divan::Bencher, name: &str) {
    let stage = stage(name);
    let running = stage.running();
    let wave = stage.wave(1e-5);
    let mut figures = stage.figures.clone();
    for farads in &mut figures.farads {
        *farads *= 1.05;
    }
    bencher.bench_local(|| running.settle(&figures, Some(&wave), Limits::default()));
}
