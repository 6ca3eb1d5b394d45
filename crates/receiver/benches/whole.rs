//! The whole transformer set at the supply's settled averages: cold, near, a thousand draws,
//! and the same draws by a plain dense Newton with a linear-algebra library.
//!
//! `cargo bench -p receiver --bench whole`. Before the times, counts that do not depend on the
//! machine. The figures stand in docs/theory/operating_point.md.

#[path = "../../circuit/tests/networks/dense.rs"]
mod dense;
#[path = "../tests/whole_networks/mod.rs"]
mod whole_networks;
#[path = "../tests/whole_sets/mod.rs"]
mod whole_sets;

use divan::Bencher;
use receiver::conditions::BenchConditions;
use receiver::expect::{Predictor, expect};
use receiver::wiring::SetModel;
use whole_networks::whole;
use whole_sets::{LARKFIELD, nominal, sheet};

fn main() {
    let set = whole(LARKFIELD);
    let network = set.operating.network();
    println!(
        "{} nodes, {} branches",
        network.nodes,
        network.branches.len()
    );
    divan::main();
}

#[divan::bench]
fn cold(bencher: Bencher<'_, '_>) {
    let set = whole(LARKFIELD);
    bencher.bench_local(|| set.operating.solve(divan::black_box(&set.figures), None));
}

#[divan::bench]
fn one_figure_moved_by_a_tenth(bencher: Bencher<'_, '_>) {
    let set = whole(LARKFIELD);
    let figures = set.moved();
    bencher.bench_local(|| {
        set.operating
            .solve(divan::black_box(&figures), Some(&set.point.volts))
    });
}

/// On as many threads as there are cores.
#[divan::bench]
fn thousand_draws(bencher: Bencher<'_, '_>) {
    let set = whole(LARKFIELD);
    let draws = set.drawn(1000);
    bencher.bench_local(|| {
        set.operating
            .solve_many(divan::black_box(&draws), Some(&set.point.volts))
    });
}

/// One core alone: to be set against ten draws of the dense method.
#[divan::bench]
fn ten_draws_in_a_row(bencher: Bencher<'_, '_>) {
    let set = whole(LARKFIELD);
    let draws = set.drawn(10);
    bencher.bench_local(|| {
        draws
            .iter()
            .filter(|draw| set.operating.solve(draw, Some(&set.point.volts)).is_ok())
            .count()
    });
}

#[divan::bench(sample_count = 20)]
fn ten_draws_by_dense_newton(bencher: Bencher<'_, '_>) {
    let set = whole(LARKFIELD);
    let draws = set.drawn(10);
    let network = set.operating.network();
    bencher.bench_local(|| {
        draws
            .iter()
            .filter_map(|draw| dense::newton(network, draw, &set.point.volts, 50))
            .count()
    });
}

fn at_117(bands: bool) -> BenchConditions {
    BenchConditions { bands, ..nominal() }
}

/// From the sheet to all readings without bands: laws, what runs looked for from a push.
#[divan::bench(sample_count = 10, sample_size = 1)]
fn readings_of_a_sheet(bencher: Bencher<'_, '_>) {
    let sheet = sheet(LARKFIELD);
    let catalogue = parts::catalogue().expect("sound");
    bencher.bench_local(|| expect(&sheet, catalogue, &at_117(false)).is_ok());
}

/// The next reading of the same sheet, under other conditions.
#[divan::bench(sample_count = 20, sample_size = 1)]
fn next_readings(bencher: Bencher<'_, '_>) {
    let sheet = sheet(LARKFIELD);
    let model = SetModel::new(&sheet, parts::catalogue().expect("sound"));
    let predictor = Predictor::new(&model);
    let low = BenchConditions {
        line_volts: Some(105.0),
        ..at_117(false)
    };
    assert!(predictor.expect(&low).is_ok());
    bencher.bench_local(|| predictor.expect(&low).is_ok());
}

/// All readings with bands: cycle, running stages, 1,024 draws.
#[divan::bench(sample_count = 5, sample_size = 1)]
fn readings_with_bands(bencher: Bencher<'_, '_>) {
    let sheet = sheet(LARKFIELD);
    let model = SetModel::new(&sheet, parts::catalogue().expect("sound"));
    let predictor = Predictor::new(&model);
    assert!(predictor.expect(&at_117(false)).is_ok());
    bencher.bench_local(|| predictor.expect(&at_117(true)).is_ok());
}
