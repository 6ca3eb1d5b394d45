//! Whether the bands tell the truth: healthy sets drawn at random, with other laws than the
//! prediction uses, lie inside them.
//!
//! Of each kind of reading 85 to 95 of 100 have to lie inside their band; the fixed form of
//! the sheet promises nine of ten. The checks here draw a few hundred sets, fast enough for
//! every day; with `FULL_TRUTH=1` in the environment a thousand sets for each example and
//! state are drawn, and the table of `docs/theory/truth_of_bands.md` is printed
//! (`FULL_TRUTH=1 cargo test --release -p receiver --test truth -- --nocapture`).

mod other_laws;
mod truth_sets;

use std::collections::BTreeMap;
use std::path::Path;

use rayon::prelude::*;
use receiver::bands::least_readable;
use receiver::conditions::BenchConditions;
use receiver::expect::Predictor;
use receiver::ohms::{USUAL_OHMMETER, cold_ohms};
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
            let mut random = other_laws::random(1950, set);
            let drawn = truth_sets::draw(&model, conditions, &causes, &mut random);
            drawn.read(&probes, moments, near.as_ref())
        })
        .collect();
    let state = if moments.is_empty() {
        "settled".to_string()
    } else {
        let moments: Vec<String> = moments.iter().map(f64::to_string).collect();
        format!("after {} s", moments.join(", "))
    };
    let state = match (conditions.line_volts, conditions.lamps.is_empty()) {
        (Some(line), true) => format!("{state} at {line} V"),
        _ => state,
    };
    let state = match conditions.lamps.as_slice() {
        [] => state,
        lamps => format!("{state} behind {lamps:?} W"),
    };
    let mut tally = Tally::default();
    for set in &rows {
        for (number, (values, readings)) in set.iter().zip(&predictions).enumerate() {
            for reading in readings {
                let value = probes
                    .iter()
                    .position(|probe| probe.at == reading.at && probe.what == reading.what)
                    .and_then(|place| values[place]);
                if let Some(value) = value {
                    tally.add(reading, value, moments.get(number).copied());
                }
            }
        }
    }
    tally.print(name, &state);
    tally.by_kind
}

/// Cold ohms of drawn sets against their bands.
fn coverage_of_ohms(name: &str, sets: u64) -> Coverage {
    let path = Path::new(env!("CARGO_MANIFEST_DIR"))
        .join("../../examples")
        .join(name);
    let text = std::fs::read_to_string(path).expect("the example is there");
    let catalogue = parts::catalogue().expect("the tables are sound");
    let sheet = read_sheet(&text, catalogue).sheet.expect("no fault");
    let model = SetModel::new(&sheet, catalogue);
    let predicted = cold_ohms(&sheet, catalogue, None, &[]).expect("a resistive network");
    let unpowered = BenchConditions {
        line_volts: Some(sheet.line_volts),
        seconds: Some(0.0),
        ..BenchConditions::default()
    };
    let causes = receiver::causes::causes(&model, &unpowered);
    let mut tally = Tally::default();
    for set in 0..sets {
        let mut random = other_laws::random(1955, set);
        let ohms = truth_sets::draw_unplugged(&model, &causes, &mut random).ohms(USUAL_OHMMETER);
        for reading in &predicted.readings {
            let place = model.places.find(&reading.at).expect("on the sheet");
            let junction = model.junction(place).expect("joined");
            tally.add(reading, ohms[junction], None);
        }
    }
    tally.print(name, "plug out, cold");
    tally.by_kind
}

/// Counts by kind and by single reading.
#[derive(Default)]
struct Tally {
    by_kind: Coverage,
    by_reading: BTreeMap<String, (Count, String)>,
}

impl Tally {
    fn add(&mut self, reading: &Reading, value: f64, seconds: Option<f64>) {
        let band = &reading.band;
        // What a meter cannot show tells nothing about a band.
        if band.width() <= 2.1 * least_readable(reading.what) {
            return;
        }
        // The line itself, through switch and fuse: most of the band is the calculation's own
        // doubt, of which a drawn set has none.
        let own_doubt = "what the calculation leaves out";
        if band
            .made_of
            .iter()
            .any(|part| part.cause == own_doubt && part.share > 0.5)
        {
            return;
        }
        let moment = seconds.map_or(String::new(), |seconds| format!(" at {seconds} s"));
        let key = format!("{} {}{moment}", reading.what.name(), reading.at);
        let own = self.by_reading.entry(key).or_default();
        own.1 = format!("{:.5} {:.5} {:.5}", band.low, band.expected, band.high);
        let kind = self.by_kind.entry(reading.what.name()).or_default();
        for count in [kind, &mut own.0] {
            if value < band.low {
                count.below += 1;
            } else if value > band.high {
                count.above += 1;
            } else {
                count.inside += 1;
            }
        }
    }

    /// The rows of the table in docs/theory; with `TRUTH_READINGS` set, every reading.
    fn print(&self, name: &str, state: &str) {
        let percent = |part: usize, count: &Count| 100.0 * part as f64 / count.all() as f64;
        for (kind, count) in &self.by_kind {
            println!(
                "| `{name}` | {state} | `{kind}` | {} | {:.1} | {:.1} | {:.1} |",
                count.all(),
                percent(count.below, count),
                percent(count.inside, count),
                percent(count.above, count),
            );
        }
        if std::env::var("TRUTH_READINGS").is_ok() {
            for (reading, (count, band)) in &self.by_reading {
                println!(
                    "  {reading}: {:.0} / {:.0} / {:.0} in {band}",
                    percent(count.below, count),
                    percent(count.inside, count),
                    percent(count.above, count),
                );
            }
        }
    }
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
    for kind in [What::DcVolts, What::LineWatts, What::HeaterVoltsRms] {
        assert!(found.contains_key(kind.name()), "{name}: no {kind:?}");
    }
    judge(name, &found);
}

/// Each kind is judged by what is promised for a thousand sets; a few hundred sets and
/// their dependent readings leave some two points of chance.
fn judge(name: &str, found: &Coverage) {
    let slack = if full() { 0.0 } else { 0.02 };
    let outside: Vec<_> = found
        .iter()
        .filter(|(_, count)| !(0.85 - slack..=0.95 + slack).contains(&count.share()))
        .map(|(kind, count)| format!("{kind} {:.3}", count.share()))
        .collect();
    assert!(outside.is_empty(), "{name}: {outside:?}");
}

/// The moments of the warm-up: filament tubes only, tubes coming to life, and after.
const MOMENTS: [f64; 4] = [3.0, 10.0, 20.0, 45.0];

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
    let sets = (60, 1000);
    check("larkfield_12t.toml", &on_the_usual_line(), &MOMENTS, sets);
}

#[test]
fn merrow_warming_up() {
    let sets = (60, 1000);
    check("merrow_17s.toml", &on_the_usual_line(), &MOMENTS, sets);
}

#[test]
fn larkfield_behind_a_lamp() {
    let behind = BenchConditions {
        line_volts: Some(120.0),
        lamps: vec![100.0],
        ..BenchConditions::default()
    };
    check("larkfield_12t.toml", &behind, &[], (100, 1000));
}

/// The steps of a plan below the full line: heaters cool, tubes far from their full emission.
fn check_low_line(name: &str, line: f64) {
    let low = BenchConditions {
        line_volts: Some(line),
        open: vec!["J2".to_string()],
        ..BenchConditions::default()
    };
    // Correlated readings of few kinds: a hundred sets leave too much to chance here.
    check(name, &low, &[], (400, 1000));
}

#[test]
fn larkfield_at_70_volts() {
    check_low_line("larkfield_12t.toml", 70.0);
}

#[test]
fn larkfield_at_95_volts() {
    check_low_line("larkfield_12t.toml", 95.0);
}

#[test]
fn merrow_at_70_volts() {
    check_low_line("merrow_17s.toml", 70.0);
}

#[test]
fn merrow_at_95_volts() {
    check_low_line("merrow_17s.toml", 95.0);
}

#[test]
fn merrow_behind_a_lamp() {
    let behind = BenchConditions {
        line_volts: Some(120.0),
        lamps: vec![100.0],
        ..BenchConditions::default()
    };
    check("merrow_17s.toml", &behind, &[], (400, 1000));
}

#[test]
fn cold_resistances() {
    let sets = if full() { 1000 } else { 200 };
    for name in ["larkfield_12t.toml", "merrow_17s.toml"] {
        judge(name, &coverage_of_ohms(name, sets));
    }
}
