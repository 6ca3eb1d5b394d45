//! Whether the bands tell the truth: healthy sets drawn at random, with other laws than the
//! prediction uses, lie inside them.
//!
//! Of each kind of reading 85 to 95 of 100 have to lie inside their band; the fixed form of
//! the sheet promises nine of ten. The checks here draw a few hundred sets, fast enough for
//! every day; with `FULL_TRUTH=1` in the environment a thousand sets for each example and
//! state are drawn, and the table of `docs/theory/truth_of_bands.md` is printed
//! (`FULL_TRUTH=1 cargo test --release -p receiver --test truth -- --nocapture`).

mod truth_sets;

use std::collections::BTreeMap;
use std::path::Path;

use rayon::prelude::*;
use receiver::bands::least_readable;
use receiver::conditions::BenchConditions;
use receiver::expect::Predictor;
use receiver::probes::all_probes;
use receiver::reading::{Reading, What};
use receiver::sheet::read_sheet;
use receiver::wiring::{SetModel, Variation};

/// Readings inside and all readings, of one kind.
#[derive(Debug, Clone, Copy, Default)]
struct Count {
    below: usize,
    inside: usize,
    above: usize,
}

impl Count {
    fn all(&self) -> usize {
        self.below + self.inside + self.above
    }

    fn share(&self) -> f64 {
        self.inside as f64 / self.all().max(1) as f64
    }
}

type Coverage = BTreeMap<&'static str, Count>;

fn full() -> bool {
    std::env::var("FULL_TRUTH").is_ok_and(|value| value == "1")
}

/// Draws `sets` of an example and counts by kind how many readings lie inside their bands.
fn coverage(name: &str, conditions: &BenchConditions, moments: &[f64], sets: u64) -> Coverage {
    let path = Path::new(env!("CARGO_MANIFEST_DIR"))
        .join("../../examples")
        .join(name);
    let text = std::fs::read_to_string(path).expect("the example is there");
    let catalogue = parts::catalogue().expect("the tables are sound");
    let sheet = read_sheet(&text, catalogue).sheet.expect("no fault");
    let model = SetModel::new(&sheet, catalogue);
    let predictor = Predictor::new(&model);
    let probes = all_probes(&model, None);
    let predictions: Vec<Vec<Reading>> = if moments.is_empty() {
        vec![predict(&predictor, conditions, None)]
    } else {
        moments
            .iter()
            .map(|seconds| predict(&predictor, conditions, Some(*seconds)))
            .collect()
    };
    // Every cause of the state counts for the drawn sets, also those that a prediction
    // from cold leaves out.
    let drawn_under = BenchConditions {
        seconds: moments.first().copied(),
        ..conditions.clone()
    };
    let causes = receiver::causes::causes(&model, &drawn_under);
    let near = if moments.is_empty() {
        predictor
            .solve(conditions, &Variation::none(), &[], None)
            .expect("settles")
            .near
    } else {
        None
    };
    let rows: Vec<Vec<Vec<Option<f64>>>> = (0..sets)
        .into_par_iter()
        .map(|set| {
            let mut random = truth_sets::random(1950, set);
            let drawn = truth_sets::draw(&model, conditions, &causes, &mut random);
            drawn.read(&probes, moments, near.as_ref())
        })
        .collect();
    let mut by_kind = Coverage::new();
    let mut by_reading: BTreeMap<String, (Count, String)> = BTreeMap::new();
    for set in &rows {
        for (number, (values, readings)) in set.iter().zip(&predictions).enumerate() {
            for reading in readings {
                let Some(value) = probes
                    .iter()
                    .position(|probe| probe.at == reading.at && probe.what == reading.what)
                    .and_then(|place| values[place])
                else {
                    continue;
                };
                // What a meter cannot show tells nothing about a band.
                if reading.band.width() <= 2.1 * least_readable(reading.what) {
                    continue;
                }
                let key = match moments.get(number) {
                    Some(seconds) => {
                        format!("{} {} at {seconds} s", reading.what.name(), reading.at)
                    }
                    None => format!("{} {}", reading.what.name(), reading.at),
                };
                let own = by_reading.entry(key).or_default();
                own.1 = format!(
                    "{:.5} {:.5} {:.5}",
                    reading.band.low, reading.band.expected, reading.band.high
                );
                for count in [by_kind.entry(reading.what.name()).or_default(), &mut own.0] {
                    if value < reading.band.low {
                        count.below += 1;
                    } else if value > reading.band.high {
                        count.above += 1;
                    } else {
                        count.inside += 1;
                    }
                }
            }
        }
    }
    let state = if moments.is_empty() {
        "settled".to_string()
    } else {
        format!("warm-up at {moments:?} s")
    };
    println!(
        "{name}, line {:?}, lamps {:?}, {state}:",
        conditions.line_volts, conditions.lamps
    );
    for (kind, count) in &by_kind {
        println!(
            "| {name} | {state} | {kind} | {} | {:.1} | {:.1} | {:.1} |",
            count.all(),
            100.0 * count.below as f64 / count.all() as f64,
            100.0 * count.share(),
            100.0 * count.above as f64 / count.all() as f64,
        );
    }
    if std::env::var("TRUTH_READINGS").is_ok() {
        for (reading, (count, band)) in &by_reading {
            println!(
                "  {reading}: {:.0} / {:.0} / {:.0} in {band}",
                100.0 * count.below as f64 / count.all() as f64,
                100.0 * count.share(),
                100.0 * count.above as f64 / count.all() as f64
            );
        }
    }
    by_kind
}

fn predict(
    predictor: &Predictor<'_, '_>,
    conditions: &BenchConditions,
    seconds: Option<f64>,
) -> Vec<Reading> {
    let conditions = BenchConditions {
        seconds,
        bands: true,
        ..conditions.clone()
    };
    predictor
        .expect(&conditions)
        .expect("the examples can be solved")
        .readings
}

fn check(name: &str, conditions: &BenchConditions, moments: &[f64], sets: (u64, u64)) {
    let sets = if full() { sets.1 } else { sets.0 };
    let found = coverage(name, conditions, moments, sets);
    // Kinds are judged on what a thousand sets are promised; a few hundred sets and their
    // dependent readings leave some two points of chance.
    let slack = if full() { 0.0 } else { 0.02 };
    for kind in [What::DcVolts, What::LineWatts, What::HeaterVoltsRms] {
        assert!(found.contains_key(kind.name()), "{name}: no {kind:?}");
    }
    let outside: Vec<_> = found
        .iter()
        .filter(|(_, count)| !(0.85 - slack..=0.95 + slack).contains(&count.share()))
        .map(|(kind, count)| format!("{kind} {:.3}", count.share()))
        .collect();
    assert!(outside.is_empty(), "{name}: {outside:?}");
}

fn on_the_usual_line() -> BenchConditions {
    BenchConditions::default()
}

#[test]
fn larkfield_settled() {
    check("larkfield_12t.toml", &on_the_usual_line(), &[], (200, 1000));
}

#[test]
fn merrow_settled() {
    check("merrow_17s.toml", &on_the_usual_line(), &[], (200, 1000));
}

#[test]
fn larkfield_warming_up() {
    let moments = [3.0, 10.0, 20.0, 45.0];
    check(
        "larkfield_12t.toml",
        &on_the_usual_line(),
        &moments,
        (60, 1000),
    );
}

#[test]
fn merrow_warming_up() {
    let moments = [3.0, 10.0, 20.0, 45.0];
    check(
        "merrow_17s.toml",
        &on_the_usual_line(),
        &moments,
        (60, 1000),
    );
}
