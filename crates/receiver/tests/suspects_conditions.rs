//! What is foretold under one set of conditions at a time, and joined.
//!
//! Volts. The sheet stands in examples/whole. Fails by a panic, as a test may.

mod whole_sets;

use receiver::conditions::BenchConditions;
use receiver::probes::{Probe, all_probes};
use receiver::reading::What;
use receiver::suspects::hypotheses::Hypotheses;
use receiver::suspects::predict::{Foreteller, Foretold, foretell};
use receiver::wiring::SetModel;
use whole_sets::{LARKFIELD, nominal, sheet};

fn correlation(one: &[f64], other: &[f64]) -> f64 {
    let mean = |own: &[f64]| own.iter().sum::<f64>() / own.len() as f64;
    let (a, b) = (mean(one), mean(other));
    let dot = |x: &[f64], p: f64, y: &[f64], q: f64| -> f64 {
        x.iter().zip(y).map(|(x, y)| (x - p) * (y - q)).sum()
    };
    dot(one, a, other, b) / (dot(one, a, one, a) * dot(other, b, other, b)).sqrt()
}

#[test]
fn the_same_sets_are_drawn_whatever_else_is_asked() {
    let catalogue = parts::catalogue().expect("the tables are sound");
    let sheet = sheet(LARKFIELD);
    let model = SetModel::new(&sheet, catalogue);
    // No fault: the healthy sets are what this is about.
    let hypotheses = Hypotheses {
        list: Vec::new(),
        ..Hypotheses::of(&model, catalogue)
    };
    let at = ["V15.3", "V15.4", "B+ 275", "V8.6", "V9.5"];
    let probes: Vec<Probe> = all_probes(&model, None)
        .into_iter()
        .filter(|probe| probe.what == What::DcVolts && at.contains(&probe.at.as_str()))
        .collect();
    assert_eq!(probes.len(), at.len());
    let lower = BenchConditions {
        line_volts: Some(105.0),
        ..nominal()
    };
    let any_line = BenchConditions {
        line_volts: None,
        lamps: Vec::new(),
        ..nominal()
    };
    let foreteller = Foreteller::new(&model, &hypotheses);
    let under = |own: &BenchConditions| foreteller.under(own, &probes).expect("a settled set");
    // Asked alone, first or last: the same.
    let alone = under(&nominal());
    let together: Vec<Foretold> = foretell(
        &model,
        &[any_line.clone(), lower.clone(), nominal()],
        &probes,
        &hypotheses,
    )
    .expect("settled sets");
    assert_eq!(together[2], alone);
    assert_eq!(alone.draws, (0..1024).collect::<Vec<usize>>());
    // A set whose plate stands high at one line stands high at another: a screen behind its
    // resistor feels the same resistor each time.
    let lower = under(&lower);
    for (probe, own) in probes.iter().enumerate() {
        let (one, other) = (&alone.drawn[probe], &lower.drawn[probe]);
        let (Some(one), Some(other)) = (one, other) else {
            panic!("{} is not told", own.at);
        };
        let same = correlation(one, other);
        println!("{}: {same:.3}", own.at);
        assert!(same > 0.8, "{}: {same}", own.at);
    }
    // A line that is not told spreads the supply more than one that is.
    let spread = |told: &Foretold| {
        let supply = probes.iter().position(|own| own.at == "B+ 275");
        let drawn = told.drawn[supply.expect("a probe")].as_ref().expect("told");
        let mean = drawn.iter().sum::<f64>() / drawn.len() as f64;
        let square: f64 = drawn.iter().map(|own| (own - mean).powi(2)).sum();
        (square / drawn.len() as f64).sqrt()
    };
    assert!(spread(&together[0]) > 1.2 * spread(&alone));
}

/// Common practice: a capacitor cut loose and a tube on the table do nothing in the set, good or
/// bad; what stays in does.
#[test]
fn what_is_out_of_circuit_moves_nothing() {
    let catalogue = parts::catalogue().expect("the tables are sound");
    let sheet = sheet(LARKFIELD);
    let model = SetModel::new(&sheet, catalogue);
    let mut hypotheses = Hypotheses::of(&model, catalogue);
    let of = |name: &str| receiver::suspects::outcome::suspect_named(&model, name);
    let (capacitor, tube) = (of("C50"), of("V15"));
    assert!(capacitor.is_some() && tube.is_some());
    hypotheses.list.retain(|own| {
        let own_suspect = Some(own.suspect);
        (own_suspect == capacitor && own.fault == "leaky")
            || (own_suspect == tube && own.fault == "shorted elements")
    });
    assert_eq!(hypotheses.list.len(), 2);
    let probes: Vec<Probe> = all_probes(&model, None)
        .into_iter()
        .filter(|probe| probe.what == What::DcVolts && probe.at == "V15.5")
        .collect();
    let foreteller = Foreteller::new(&model, &hypotheses);
    // The most that each fault moves the grid, in volts.
    let moved = |loose: &[&str], pulled: &[&str]| -> Vec<f64> {
        let names = |list: &[&str]| list.iter().map(|own| (*own).to_string()).collect();
        let conditions = BenchConditions {
            fitted_without: names(loose),
            pulled: names(pulled),
            ..nominal()
        };
        let told = foreteller.under(&conditions, &probes).expect("settled");
        let each = told.faulty.iter().map(|own| {
            let shifts = own.shifts.iter().flatten().flatten().flatten();
            shifts.fold(0.0, |most: f64, own| most.max(own.abs()))
        });
        each.collect()
    };
    let all_in = moved(&[], &[]);
    assert!(all_in.iter().all(|volts| *volts > 5.0), "{all_in:?}");
    let loose = moved(&["C50"], &[]);
    assert!(loose[0] < 1e-6 && loose[1] > 5.0, "{loose:?}");
    let pulled = moved(&[], &["V15"]);
    assert!(pulled[0] > 5.0 && pulled[1] < 1e-6, "{pulled:?}");
}

/// New conditions foretold for some hypotheses alone tell of these what they tell when all are
/// foretold, of the others nothing, and no lower peak than the faults of all may bring.
#[test]
fn some_hypotheses_alone_are_told_as_among_all() {
    let catalogue = parts::catalogue().expect("the tables are sound");
    let sheet = sheet(LARKFIELD);
    let model = SetModel::new(&sheet, catalogue);
    let mut hypotheses = Hypotheses::of(&model, catalogue);
    let of = |name: &str| receiver::suspects::outcome::suspect_named(&model, name);
    let some = ["C50", "R36", "V15", "C5"].map(|own| of(own).expect("a suspect"));
    hypotheses.list.retain(|own| some.contains(&own.suspect));
    let probes: Vec<Probe> = all_probes(&model, None)
        .into_iter()
        .filter(|probe| probe.what == What::DcVolts)
        .collect();
    let lower = BenchConditions {
        line_volts: Some(94.0),
        ..nominal()
    };
    let foreteller = Foreteller::new(&model, &hypotheses);
    let there = foreteller.under(&nominal(), &probes).expect("settled");
    let all = foreteller.under(&lower, &probes).expect("settled");
    let held: Vec<usize> = (0..hypotheses.list.len())
        .filter(|own| hypotheses.list[*own].suspect == some[0])
        .collect();
    let few = foreteller.under_for(&lower, &probes, &held, std::slice::from_ref(&there));
    let few = few.expect("settled");
    assert!(!held.is_empty() && held.len() < hypotheses.list.len());
    assert_eq!((&few.healthy, &few.drawn), (&all.healthy, &all.drawn));
    for (number, (own, whole)) in few.faulty.iter().zip(&all.faulty).enumerate() {
        assert_eq!(own.severities, whole.severities);
        if !held.contains(&number) {
            assert!(own.shifts.iter().all(Option::is_none));
            continue;
        }
        for (own, whole) in own.shifts.iter().zip(&whole.shifts) {
            let (own, whole) = (own.as_ref().expect("told"), whole.as_ref().expect("told"));
            for ((own, whole), healthy) in own.iter().zip(whole).zip(&all.healthy) {
                let (Some(own), Some(whole), Some(healthy)) = (own, whole, healthy) else {
                    continue;
                };
                // A course that others share may be solved at other places.
                let doubt = 0.1 * whole.abs() + 0.015 * healthy.abs() + 0.03;
                assert!((own - whole).abs() < 0.5 * doubt, "{own} {whole}");
            }
        }
    }
    assert!(few.work.networks < all.work.networks / 2);
    for (at, (own, whole)) in few.peaks.iter().zip(&all.peaks).enumerate() {
        let (Some(own), Some(whole)) = (own, whole) else {
            continue;
        };
        // What faults add was taken from the full line, where they add no less.
        assert!(
            own > &(0.98 * whole - 0.5),
            "{}: {own} {whole}",
            probes[at].at
        );
    }
}
