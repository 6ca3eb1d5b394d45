//! The operating point of a whole set: cold, near a neighbour, a thousand draws, and the same
//! draws by a plain dense Newton.
//!
//! The set is that of the tests: about 150 nodes, 40 tube sections. Before the times, the work
//! is printed in counts that do not depend on the machine.

#[path = "../tests/networks/mod.rs"]
mod networks;

use circuit::operating::{Figure, Operating, Point};
use networks::{Chance, Sample, dense, drawn, television};

fn main() {
    let (set, operating, healthy, draws) = all();
    let near = operating.solve(&moved(&set), Some(&healthy.volts));
    let iterations = |points: &[Result<Point, circuit::CircuitError>]| {
        let counts: Vec<usize> = points.iter().flatten().map(|p| p.iterations).collect();
        counts.iter().sum::<usize>() as f64 / counts.len() as f64
    };
    let cold = operating.solve_many(&draws, None);
    let warm = operating.solve_many(&draws, Some(&healthy.volts));
    let plain: Vec<usize> = draws
        .iter()
        .take(50)
        .filter_map(|draw| dense::newton(&set.network, draw, &healthy.volts, 50))
        .map(|(_, iterations)| iterations)
        .collect();
    println!(
        "{} nodes; iterations: cold {}, one figure moved {}, draws from cold {:.1}, draws near \
         {:.1}, dense draws near {:.1}",
        set.network.nodes,
        healthy.iterations,
        near.map_or(0, |point| point.iterations),
        iterations(&cold),
        iterations(&warm),
        plain.iter().sum::<usize>() as f64 / plain.len() as f64,
    );
    divan::main();
}

fn all() -> (Sample, Operating, Point, Vec<Vec<Figure>>) {
    let set = television(1);
    let operating = Operating::new(&set.network).expect("a sound network");
    let healthy = operating.solve(&set.figures, None).expect("a point");
    let mut chance = Chance(7);
    let draws = (0..1000)
        .map(|_| drawn(&set.figures, &mut chance))
        .collect();
    (set, operating, healthy, draws)
}

/// One resistance moved by a tenth: the load of the first rail.
fn moved(set: &Sample) -> Vec<Figure> {
    let mut figures = set.figures.clone();
    if let Some(Figure::Siemens(siemens)) = figures.get_mut(3) {
        *siemens *= 1.1;
    }
    figures
}

#[divan::bench]
fn made_ready(bencher: divan::Bencher) {
    let set = television(1);
    bencher.bench_local(|| Operating::new(divan::black_box(&set.network)));
}

#[divan::bench]
fn cold(bencher: divan::Bencher) {
    let (set, operating, ..) = all();
    bencher.bench_local(|| operating.solve(divan::black_box(&set.figures), None));
}

#[divan::bench]
fn one_figure_moved_by_a_tenth(bencher: divan::Bencher) {
    let (set, operating, healthy, _) = all();
    let figures = moved(&set);
    bencher.bench_local(|| operating.solve(divan::black_box(&figures), Some(&healthy.volts)));
}

#[divan::bench]
fn thousand_draws(bencher: divan::Bencher) {
    let (_, operating, healthy, draws) = all();
    bencher.bench_local(|| operating.solve_many(divan::black_box(&draws), Some(&healthy.volts)));
}

/// One core alone: to be set against ten draws of the dense method.
#[divan::bench]
fn ten_draws_in_a_row(bencher: divan::Bencher) {
    let (_, operating, healthy, draws) = all();
    bencher.bench_local(|| {
        draws[..10]
            .iter()
            .map(|draw| operating.solve(draw, Some(&healthy.volts)).is_ok())
            .filter(|good| *good)
            .count()
    });
}

#[divan::bench]
fn ten_draws_by_dense_newton(bencher: divan::Bencher) {
    let (set, _, healthy, draws) = all();
    bencher.bench_local(|| {
        draws[..10]
            .iter()
            .filter_map(|draw| dense::newton(&set.network, draw, &healthy.volts, 50))
            .count()
    });
}

#[divan::bench]
fn response_of_one_node_to_all_figures(bencher: divan::Bencher) {
    let (set, operating, healthy, _) = all();
    bencher.bench_local(|| {
        operating
            .response(&set.figures, &healthy)
            .map(|response| response.of_node(20))
    });
}
