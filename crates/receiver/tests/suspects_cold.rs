//! Cold resistances as evidence: foretold with each fault, and weighed beside volts.
//!
//! Ohms. The sheets stand in examples/whole. Source of what is held: a network solved anew with the fault in it is the
//! second method beside the update; that an open grid leak or screen resistor shows in an ohms chart is common
//! practice. Fails by a panic, as a test may.

mod whole_sets;

use receiver::conditions::BenchConditions;
use receiver::ohms::cold_ohms_of;
use receiver::probes::{Spot, ohms_probes};
use receiver::suspects::evidence::Seen;
use receiver::suspects::hypotheses::{Hypotheses, Suspect};
use receiver::suspects::predict::Foretold;
use receiver::suspects::predict_cold::foretell_cold;
use receiver::suspects::rank::rank;
use receiver::wiring::SetModel;
use whole_sets::{LARKFIELD, MERROW, sheet};

fn cold() -> BenchConditions {
    BenchConditions {
        bands: true,
        ..BenchConditions::default()
    }
}

fn with(text: &str, work: impl FnOnce(&SetModel<'_>, &Hypotheses, &Foretold)) {
    let catalogue = parts::catalogue().expect("the tables are sound");
    let sheet = sheet(text);
    let model = SetModel::new(&sheet, catalogue);
    let hypotheses = Hypotheses::of(&model, catalogue);
    let told =
        foretell_cold(&model, &hypotheses, &cold(), &ohms_probes(&model)).expect("a solution");
    work(&model, &hypotheses, &told);
}

/// The healthy figures are those of `ohms`; every place that is told there is told here.
#[test]
fn the_healthy_set_reads_as_the_ohms_chart_foretells() {
    for text in [LARKFIELD, MERROW] {
        with(text, |model, _, told| {
            let chart = cold_ohms_of(model, &cold()).expect("a solution");
            let mut count = 0;
            for (at, probe) in told.probes.iter().enumerate() {
                let mut of = chart.readings.iter().filter(|own| own.at == probe.at);
                let (Some(of), Some(healthy)) = (of.next(), told.healthy[at]) else {
                    continue;
                };
                let off = (healthy / of.band.expected - 1.0).abs();
                assert!(off < if of.lead.is_none() { 1e-9 } else { 0.05 });
                if of.lead.is_some() {
                    continue;
                }
                count += 1;
                // Nine of ten drawn sets lie in the band of the chart, which is made of the same causes.
                let drawn = told.drawn[at].as_ref().expect("drawn");
                let slack = 0.02 * (of.band.high - of.band.low) + 1e-9 * healthy;
                let inside = drawn
                    .iter()
                    .filter(|own| (of.band.low - slack..=of.band.high + slack).contains(*own))
                    .count();
                let share = inside as f64 / drawn.len() as f64;
                assert!(share > 0.87, "{}: {share}", probe.at);
            }
            let alike = chart
                .readings
                .iter()
                .filter(|own| own.lead.is_none())
                .count();
            assert!(count > 60 && 10 * count > 5 * alike, "{count} of {alike}");
        });
    }
}

/// Faults by the update against the set wired with them, at places all over the set.
#[test]
fn faults_by_the_update_are_those_of_a_network_of_their_own() {
    with(LARKFIELD, |model, hypotheses, told| {
        let (mut compared, mut moved) = (0, 0);
        for (number, own) in hypotheses.list.iter().enumerate().step_by(7) {
            let faulty = &told.faulty[number];
            for (at, severity) in faulty.severities.iter().enumerate().step_by(3) {
                let Some(shifts) = &faulty.shifts[at] else {
                    continue;
                };
                let values = receiver::ohms::cold_values(model, &cold(), &own.variation(*severity))
                    .expect("a solution");
                for (probe, shift) in told.probes.iter().zip(shifts).step_by(5) {
                    let (Spot::ToChassis(junction), Some(shift)) = (probe.spot, shift) else {
                        continue;
                    };
                    let number = told.probes.iter().position(|own| own == probe);
                    let healthy = told.healthy[number.expect("a probe")].expect("told");
                    let by_update = healthy + shift;
                    let by_itself = values[junction].unwrap_or(f64::INFINITY).min(2e8);
                    let off = (by_update / by_itself).ln().abs();
                    assert!(
                        off < 0.02,
                        "{} {} {severity:e} at {}: {by_update:e} and {by_itself:e}",
                        own.suspect.reference(model),
                        own.fault,
                        probe.at
                    );
                    compared += 1;
                    moved += usize::from(shift.abs() > 0.05 * healthy);
                }
            }
        }
        assert!(compared > 5000 && moved > 50, "{compared} {moved}");
    });
}

/// An open screen resistor, a risen grid leak and a leaky bypass, each from a few ohms.
#[test]
fn an_ohms_chart_names_the_part() {
    with(LARKFIELD, |model, hypotheses, told| {
        for (part, fault, severity, places) in [
            ("R121", "open", 1.0, ["V3.6", "V4.6", "V3.5", "V5.6"]),
            (
                "R47",
                "value far up",
                5.0,
                ["V9.1", "V10.1", "V9.6", "V9.7"],
            ),
            ("R44", "open", 1.0, ["V9.7", "V9.1", "V9.6", "V9.5"]),
        ] {
            let suspect = model.part_index(part).map(Suspect::Part).expect("a part");
            let number = hypotheses
                .list
                .iter()
                .position(|own| own.suspect == suspect && own.fault == fault)
                .expect("a hypothesis");
            let variation = hypotheses.list[number].variation(severity);
            let values = receiver::ohms::cold_values(model, &cold(), &variation).expect("solved");
            let seen: Vec<Seen> = places
                .iter()
                .filter_map(|place| {
                    let own = model.places.find(place).expect("a place");
                    let junction = model.junction(own).expect("a junction");
                    let spot = Spot::ToChassis(junction);
                    let probe = told.probes.iter().position(|own| own.spot == spot)?;
                    let ohms = values[junction].unwrap_or(f64::INFINITY);
                    Some(Seen {
                        conditions: 0,
                        probe,
                        value: ohms,
                        doubt: 0.03 * ohms.min(1e9),
                    })
                })
                .collect();
            let ranking = rank(hypotheses, std::slice::from_ref(told), &seen);
            let place = ranking
                .suspects
                .iter()
                .position(|own| own.suspect == suspect);
            assert!(place.is_some_and(|at| at < 3), "{part}: {place:?}");
        }
    });
}

/// With a tube out, and for a part that is cut loose: nothing moves by what is not there.
#[test]
fn what_is_out_of_circuit_does_nothing() {
    let catalogue = parts::catalogue().expect("the tables are sound");
    let sheet = sheet(LARKFIELD);
    let model = SetModel::new(&sheet, catalogue);
    let hypotheses = Hypotheses::of(&model, catalogue);
    let conditions = BenchConditions {
        fitted_without: vec!["C50".to_string()],
        pulled: vec!["V9".to_string()],
        ..cold()
    };
    let told =
        foretell_cold(&model, &hypotheses, &conditions, &ohms_probes(&model)).expect("solved");
    let mut count = 0;
    for (own, faulty) in hypotheses.list.iter().zip(&told.faulty) {
        if ["C50", "V9"].contains(&own.suspect.reference(&model)) {
            let still = faulty.reach.iter().all(|reach| *reach == 0.0);
            assert!(still, "{}", own.fault);
            count += 1;
        }
    }
    assert!(count > 6, "{count}");
}
