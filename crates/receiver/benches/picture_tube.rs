//! How long the judgement of a picture tube takes.
//!
//! `cargo bench -p receiver --bench picture_tube`. Milliseconds. The figure aimed at: a fit of emission with its band
//! at most 10 ms for 200 readings. The ratios that matter are those between the cases of one run.

use divan::Bencher;
use quantity::Volts;
use receiver::picture_tube::emission::{
    EmissionReading, EmissionRecord, judge_emission, judge_level,
};

fn main() {
    divan::main();
}

fn record(count: u32, noted: bool) -> EmissionRecord {
    EmissionRecord {
        unit: "percent".to_owned(),
        scale_end: 100.0,
        needle_error_share: Some(0.02),
        rated_heater_volts: Volts(6.3),
        readings: (0..count)
            .map(|index| {
                let minutes = 60.0 * f64::from(index) / f64::from(count);
                let swing = 1.0 + 0.01 * (0.7 * minutes).sin();
                let shown = 70.0 - 30.0 * (-minutes / 12.0).exp() - 15.0 * (-minutes / 2.0).exp();
                EmissionReading {
                    minutes,
                    reading: shown * swing.powi(5) + 2.0 * (9.1 * f64::from(index)).sin(),
                    heater_volts: noted.then_some(Volts(6.3 * swing)),
                }
            })
            .collect(),
    }
}

#[divan::bench(args = [20, 60, 200])]
fn fit_with_band_heater_noted(bencher: Bencher<'_, '_>, count: u32) {
    let record = record(count, true);
    bencher.bench_local(|| judge_level(&record));
}

#[divan::bench(args = [20, 60, 200])]
fn fit_with_band_heater_not_noted(bencher: Bencher<'_, '_>, count: u32) {
    let record = record(count, false);
    bencher.bench_local(|| judge_level(&record));
}

#[divan::bench(args = [20, 60, 200])]
fn whole_outlook(bencher: Bencher<'_, '_>, count: u32) {
    let record = record(count, false);
    bencher.bench_local(|| judge_emission(&record));
}
