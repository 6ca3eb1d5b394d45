//! Damaged whole sets are solved or say why.
//!
//! Volts, ohms, amperes. One to three faults a set: a part open, shorted, ten times too large
//! or too small, a tube pulled, the line at a fifth. Supply, stages at rest and stages that
//! run are solved together, as for a reading. 200 sets are damaged unless asked for all ten
//! thousand: `FULL_DAMAGE=1 cargo test --release -p receiver --test whole_set_damage --
//! --nocapture` prints the figures of docs/theory/whole_set.md.

mod whole_sets;

use rand::{Rng, RngExt, SeedableRng};
use rand_pcg::Pcg64;
use rayon::prelude::*;
use receiver::conditions::BenchConditions;
use receiver::expect::ExpectError;
use receiver::sheet::PartValue;
use receiver::whole_set::{Known, couple};
use receiver::wiring::{Change, Figure, SetModel, Variation};
use whole_sets::{LARKFIELD, MERROW, sheet};

/// A short as a meter on its lowest range shows it.
const SHORT_OHMS: f64 = 1.0;

/// Cycles solved and whether the vertical oscillator runs, or why there is no answer.
type Outcome = Result<(usize, bool), String>;

/// One damaged set, with its faults in words.
fn damaged(model: &SetModel<'_>, random: &mut Pcg64) -> (BenchConditions, Variation, Vec<String>) {
    let sheet = model.sheet;
    let mut conditions = BenchConditions {
        line_volts: Some(sheet.line_volts),
        ..BenchConditions::default()
    };
    let mut variation = Variation::none();
    let mut faults = Vec::new();
    for _ in 0..random.random_range(1..=3) {
        let part = random.random_range(0..sheet.parts.len());
        let reference = &sheet.parts[part].reference;
        match random.random_range(0..9) {
            0 | 1 => {
                variation.changes.push(Change::Open(part));
                faults.push(format!("{reference} open"));
            }
            2 | 3 => {
                let ohms = SHORT_OHMS;
                variation.changes.push(Change::Beside { part, ohms });
                faults.push(format!("{reference} shorted"));
            }
            4..=6 => {
                let factor = if random.random() { 10.0 } else { 0.1 };
                let figure = match &sheet.parts[part].value {
                    PartValue::Capacitor { .. } => Figure::Farads(part),
                    PartValue::Coil { .. } => Figure::Henries(part),
                    PartValue::Crystal { .. } | PartValue::Neon { .. } | PartValue::Vdr { .. } => {
                        Figure::SmallPart(part)
                    }
                    _ => Figure::Ohms(part),
                };
                variation.set(figure, factor);
                faults.push(format!("{reference} {factor} times"));
            }
            7 => {
                let tube = &sheet.tubes[random.random_range(0..sheet.tubes.len())];
                conditions.pulled.push(tube.reference.clone());
                faults.push(format!("{} pulled", tube.reference));
            }
            _ => {
                conditions.line_volts = Some(0.2 * sheet.line_volts);
                faults.push("line at a fifth".to_string());
            }
        }
    }
    (conditions, variation, faults)
}

#[test]
fn damaged_whole_sets_are_solved_or_say_why() {
    let full = std::env::var("FULL_DAMAGE").is_ok_and(|value| value == "1");
    let each = if full { 5000 } else { 100 };
    let mut failed = 0;
    for (name, text) in [("transformer set", LARKFIELD), ("string set", MERROW)] {
        let catalogue = parts::catalogue().expect("the tables are sound");
        let sheet = sheet(text);
        let model = SetModel::new(&sheet, catalogue);
        assert!(model.usual().because.is_none());
        let outcomes: Vec<(Outcome, Vec<String>)> = (0..each)
            .into_par_iter()
            .map(|set: u64| {
                let mut random = Pcg64::seed_from_u64(set);
                random.next_u64();
                let (conditions, variation, faults) = damaged(&model, &mut random);
                let solved = match couple(&model, &conditions, &variation, &[]) {
                    Ok(solved) => {
                        assert!(
                            solved.volts.iter().all(|volts| volts.is_finite()),
                            "{faults:?}"
                        );
                        // Kirchhoff at every node, beside amperes of supply.
                        assert!(solved.point.balance_amperes < 1e-7, "{faults:?}");
                        let runs = solved
                            .running
                            .iter()
                            .any(|own| matches!(own.known(), Known::Running { .. }));
                        Ok((solved.cycles, runs))
                    }
                    Err(error @ (ExpectError::Apart { .. } | ExpectError::NotSettled(_))) => {
                        let why = error.to_string();
                        assert!(why.len() > 20, "{why}");
                        Err(why)
                    }
                    Err(error) => panic!("{faults:?}: {error}"),
                };
                (solved, faults)
            })
            .collect();
        let solved: Vec<(usize, bool)> = outcomes
            .iter()
            .filter_map(|(solved, _)| solved.as_ref().ok().copied())
            .collect();
        let cycles: usize = solved.iter().map(|(cycles, _)| cycles).sum();
        let runs = solved.iter().filter(|(_, runs)| *runs).count();
        println!(
            "{name}: {} of {each} solved, {:.2} cycles each; the vertical oscillator runs in {runs}",
            solved.len(),
            cycles as f64 / solved.len() as f64
        );
        for (outcome, faults) in &outcomes {
            if let Err(why) = outcome {
                println!("  {}: {why}", faults.join(", "));
            }
        }
        failed += each as usize - solved.len();
        // The supply's cycle and the network take turns; a damaged set needs a few more.
        assert!(cycles < 5 * solved.len(), "{cycles} cycles");
        assert!(2 * runs > solved.len(), "{runs}");
    }
    let allowed = 2 * each as usize / 1000;
    assert!(failed <= allowed, "{failed} of {} failed", 2 * each);
}
