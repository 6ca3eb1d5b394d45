//! Whole solutions: settled, near a neighbour, from cold behind a lamp, 120 s of warm-up.
//!
//! The sets are those of the tests. Before the times, the work is printed in counts
//! that do not depend on the machine: the settled solution against marching the same
//! circuit step by step until all of it settles within 0.1 %.

#[path = "../tests/sets/mod.rs"]
mod sets;

use circuit::solver::GoOn;
use circuit::{Circuit, Element, Solver, SolverOptions, Start};

const MOMENTS: [f64; 9] = [0.5, 1.0, 2.0, 5.0, 10.0, 20.0, 40.0, 80.0, 120.0];

fn main() {
    for (name, lamp) in [("no lamp", None), ("100 W lamp", Some(100.0))] {
        let set = sets::large(lamp);
        let counted = solver(&set.circuit).and_then(|solver| {
            let settled = solver.settled(start(lamp))?;
            let (_, marched) = solver.marched(1e-3, 600.0)?;
            let warm_up = solver.warm_up(&MOMENTS, &mut |_| GoOn::Yes)?;
            Ok((settled.work, marched, warm_up))
        });
        match counted {
            Ok((settled, marched, warm_up)) => println!(
                "{name}: settled in {} steps ({:.1} cycles), marched in {} steps: {:.0} times \
                 fewer; 120 s of warm-up in {} steps instead of {}",
                settled.steps,
                settled.cycles,
                marched.steps,
                marched.steps as f64 / settled.steps as f64,
                warm_up.steps,
                120 * 60 * 96,
            ),
            Err(error) => println!("{name}: {error}"),
        }
    }
    divan::main();
}

fn solver(circuit: &Circuit) -> Result<Solver<'_>, circuit::CircuitError> {
    Solver::new(circuit, SolverOptions::default())
}

fn start(lamp: Option<f64>) -> Start<'static> {
    if lamp.is_some() {
        Start::Cold
    } else {
        Start::Warm
    }
}

#[divan::bench]
fn made_ready(bencher: divan::Bencher) {
    let set = sets::large(None);
    bencher.bench_local(|| solver(divan::black_box(&set.circuit)).map(drop));
}

#[divan::bench(args = [None, Some(100.0)])]
fn made_ready_and_settled(bencher: divan::Bencher, lamp: Option<f64>) {
    let set = sets::large(lamp);
    bencher.bench_local(|| {
        solver(divan::black_box(&set.circuit))
            .and_then(|solver| solver.settled(start(lamp)).map(|settled| settled.work))
    });
}

#[divan::bench(args = [None, Some(100.0)])]
fn settled_near_a_neighbour(bencher: divan::Bencher, lamp: Option<f64>) {
    let set = sets::large(lamp);
    let mut other = set.circuit.clone();
    for element in &mut other.elements {
        if let Element::Load { siemens, .. } = element {
            *siemens *= 1.1;
        }
    }
    if let (Ok(one), Ok(two)) = (solver(&set.circuit), solver(&other))
        && let Ok(from) = one.settled(start(lamp))
    {
        bencher.bench_local(|| {
            two.settled(Start::Near(&from.at))
                .map(|settled| settled.work)
        });
    }
}

#[divan::bench(args = [None, Some(100.0)])]
fn two_minutes_of_warm_up(bencher: divan::Bencher, lamp: Option<f64>) {
    let set = sets::large(lamp);
    if let Ok(solver) = solver(&set.circuit) {
        bencher.bench_local(|| solver.warm_up(&MOMENTS, &mut |_| GoOn::Yes));
    }
}
