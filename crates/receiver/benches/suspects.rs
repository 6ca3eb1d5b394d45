//! Which part explains the readings: ranking, a new set of conditions, and what solving the
//! faulty sets from the healthy one gains over solving each from cold.
//!
//! `cargo bench -p receiver --bench suspects`. Sixty readings in four conditions of the invented
//! transformer set. Before the times, counts that do not depend on the machine, and the gain as a
//! ratio within this run. The figures aimed at (two ordinary cores): a ranking in at most 120 ms,
//! one after a new set of conditions in at most 400 ms.

#[path = "../tests/whole_sets/mod.rs"]
mod whole_sets;

use std::sync::OnceLock;
use std::time::Instant;

use divan::Bencher;
use receiver::conditions::BenchConditions;
use receiver::probes::{Probe, all_probes};
use receiver::reading::What;
use receiver::sheet::Sheet;
use receiver::suspects::evidence::Seen;
use receiver::suspects::hypotheses::{Hypotheses, Spread};
use receiver::suspects::next::information::held_by;
use receiver::suspects::next::{Asked, next, while_hunting};
use receiver::suspects::predict::{Foreteller, Foretold, SEVERITIES};
use receiver::suspects::rank::rank;
use receiver::whole_set::{FaultyReadings, couple, faulty_courses, faulty_readings};
use receiver::wiring::SetModel;
use whole_sets::{LARKFIELD, nominal, sheet};

fn main() {
    let bench = bench();
    println!(
        "{} parts and tubes, {} hypotheses, {} places",
        bench.model.sheet.parts.len() + bench.model.sheet.tubes.len(),
        bench.hypotheses.list.len(),
        bench.probes.len()
    );
    for told in &bench.foretold {
        println!("{:?}", told.work);
    }
    gain(bench);
    courses(bench);
    divan::main();
}

struct Bench {
    model: SetModel<'static>,
    hypotheses: Hypotheses,
    probes: Vec<Probe>,
    foretold: Vec<Foretold>,
    seen: Vec<Seen>,
}

fn conditions() -> Vec<BenchConditions> {
    let with = |line: f64, lamps: &[f64], pulled: &[&str]| BenchConditions {
        line_volts: Some(line),
        lamps: lamps.to_vec(),
        pulled: pulled.iter().map(|own| (*own).to_string()).collect(),
        ..nominal()
    };
    vec![
        nominal(),
        with(90.0, &[], &[]),
        with(117.0, &[100.0], &[]),
        with(117.0, &[], &["V15"]),
    ]
}

fn bench() -> &'static Bench {
    static BENCH: OnceLock<Bench> = OnceLock::new();
    static SHEET: OnceLock<Sheet> = OnceLock::new();
    BENCH.get_or_init(|| {
        let catalogue = parts::catalogue().expect("sound");
        let model = SetModel::new(SHEET.get_or_init(|| sheet(LARKFIELD)), catalogue);
        let hypotheses = Hypotheses::of(&model, catalogue);
        let probes: Vec<Probe> = all_probes(&model, None)
            .into_iter()
            .filter(|probe| probe.what == What::DcVolts)
            .collect();
        let foreteller = Foreteller::new(&model, &hypotheses);
        let foretold: Vec<Foretold> = conditions()
            .iter()
            .map(|own| foreteller.under(own, &probes).expect("a settled set"))
            .collect();
        let seen = readings(&foretold);
        Bench {
            model,
            hypotheses,
            probes,
            foretold,
            seen,
        }
    })
}

/// Fifteen places in each set of conditions, as one of the drawn sets reads them.
fn readings(foretold: &[Foretold]) -> Vec<Seen> {
    let mut seen = Vec::new();
    for (conditions, told) in foretold.iter().enumerate() {
        let alive: Vec<usize> = (0..told.probes.len())
            .filter(|&probe| told.healthy[probe].is_some_and(|own| own.abs() > 1.0))
            .filter(|&probe| told.drawn[probe].is_some())
            .collect();
        for step in 0..15 {
            let probe = alive[step * alive.len() / 15];
            let value = told.drawn[probe].as_ref().expect("drawn")[7];
            seen.push(Seen {
                conditions,
                probe,
                value,
                doubt: 0.015 * value.abs() + 0.02,
            });
        }
    }
    seen
}

/// All faulty sets from the healthy one against the same ones from cold, one core each way.
fn gain(bench: &Bench) {
    let variations: Vec<_> = bench
        .hypotheses
        .list
        .iter()
        .map(|own| match own.spread {
            Spread::Once(severity) => own.variation(severity),
            Spread::Law(law) => own.variation(law.at(0.5)),
        })
        .collect();
    let conditions = nominal();
    let healthy = couple(
        &bench.model,
        &conditions,
        &receiver::wiring::Variation::none(),
        &[],
    )
    .expect("a settled set");
    let begin = Instant::now();
    let warm = faulty_readings(
        &bench.model,
        &conditions,
        &healthy,
        &bench.probes,
        &variations,
    );
    let near = begin.elapsed().as_secs_f64() / variations.len() as f64;
    let begin = Instant::now();
    let every = 8;
    let cold = variations
        .iter()
        .step_by(every)
        .filter(|own| couple(&bench.model, &conditions, own, &bench.probes).is_ok())
        .count();
    let cold_each = begin.elapsed().as_secs_f64() / variations.len().div_ceil(every) as f64;
    let cores = rayon_threads();
    println!(
        "a faulty set from the healthy one {:.3} ms, from cold {:.3} ms: {:.0} times as fast \
         (on one core, {cores} cores shared out; lost {}, {cold} cold ones solved)",
        1e3 * near * cores as f64,
        1e3 * cold_each,
        cold_each / near / cores as f64,
        warm.work.lost
    );
}

/// All faulty sets told by courses against each of them solved, and new conditions foretold for those
/// who hold nearly all of the weight against all.
fn courses(bench: &Bench) {
    let variations: Vec<_> = bench
        .hypotheses
        .list
        .iter()
        .flat_map(|own| match own.spread {
            Spread::Once(severity) => vec![own.variation(severity)],
            Spread::Law(law) => (0..SEVERITIES)
                .map(|step| own.variation(law.at(step as f64 / (SEVERITIES - 1) as f64)))
                .collect(),
        })
        .collect();
    let (model, conditions, none) = (&bench.model, nominal(), receiver::wiring::Variation::none());
    let healthy = couple(model, &conditions, &none, &[]).expect("a settled set");
    let timed = |way: fn(&SetModel<'_>, &_, &_, &[_], &[_]) -> FaultyReadings| {
        let begin = Instant::now();
        let found = way(model, &conditions, &healthy, &bench.probes, &variations);
        (begin.elapsed().as_secs_f64(), found.work)
    };
    let (quick, told) = timed(faulty_courses);
    let (slow, all) = timed(faulty_readings);
    println!(
        "by courses {} networks and {} cycles for {} and {}: {:.1} times as fast",
        told.networks,
        told.cycles,
        all.networks,
        all.cycles,
        slow / quick
    );
    let ranking = rank(&bench.hypotheses, &bench.foretold, &bench.seen);
    let held = held_by(&bench.hypotheses, &ranking);
    let foreteller = Foreteller::new(model, &bench.hypotheses);
    let lower = BenchConditions {
        line_volts: Some(94.0),
        ..nominal()
    };
    let begin = Instant::now();
    let like = &bench.foretold[..1];
    let few = foreteller.under_for(&lower, &bench.probes, &held, like);
    let quick = begin.elapsed().as_secs_f64();
    let begin = Instant::now();
    let all = foreteller.under(&lower, &bench.probes);
    let slow = begin.elapsed().as_secs_f64();
    println!(
        "new conditions for the {} hypotheses that hold 99 % of the weight: {:.1} times as fast as for \
         all ({} cycles for {})",
        held.len(),
        slow / quick,
        few.expect("a settled set").work.cycles,
        all.expect("a settled set").work.cycles
    );
}

fn rayon_threads() -> usize {
    std::thread::available_parallelism().map_or(1, std::num::NonZero::get)
}

/// Sixty readings, everything foretold: at most 120 ms.
#[divan::bench(sample_count = 10)]
fn ranking(bencher: Bencher<'_, '_>) {
    let own = bench();
    bencher.bench_local(|| rank(&own.hypotheses, &own.foretold, divan::black_box(&own.seen)));
}

/// The next measurement among everything foretold, three hundred parts: at most 400 ms.
#[divan::bench(sample_count = 5)]
fn next_measurement(bencher: Bencher<'_, '_>) {
    let own = bench();
    let ranking = rank(&own.hypotheses, &own.foretold, &own.seen);
    let situation = while_hunting(&own.model, &nominal(), true);
    let efforts = parts::efforts().expect("sound");
    bencher.bench_local(|| {
        next(&Asked {
            model: &own.model,
            hypotheses: &own.hypotheses,
            foretold: &own.foretold,
            seen: divan::black_box(&own.seen),
            ranking: &ranking,
            efforts,
            situation: &situation,
            present: 0,
            beside: &|_: usize, _: f64| 0.0,
        })
    });
}

/// A new set of conditions foretold and everything ranked: at most 400 ms.
#[divan::bench(sample_count = 5, sample_size = 1)]
fn ranking_in_new_conditions(bencher: Bencher<'_, '_>) {
    let own = bench();
    let foreteller = Foreteller::new(&own.model, &own.hypotheses);
    let last = conditions().pop().expect("a set of conditions");
    bencher.bench_local(|| {
        let mut foretold = own.foretold[..3].to_vec();
        foretold.push(foreteller.under(&last, &own.probes).expect("a settled set"));
        rank(&own.hypotheses, &foretold, &own.seen)
    });
}
