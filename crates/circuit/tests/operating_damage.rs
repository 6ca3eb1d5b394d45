//! Damaged whole sets solve or say why, and upper limits on the work, in counts.
//!
//! Amperes. Each point found is held against Kirchhoff's law by the test's own equations. 600
//! sets are damaged unless asked for all ten thousand: `FULL_DAMAGE=1 cargo test -p circuit
//! --test operating_damage -- --nocapture` prints the figures of the theory page.

mod networks;

use circuit::CircuitError;
use circuit::operating::{Figure, HOLD_SIEMENS, Method, Operating};
use nalgebra::DVector;
use networks::{Chance, damaged, dense, drawn, television};

#[test]
fn damaged_sets_solve() {
    let full = std::env::var("FULL_DAMAGE").is_ok_and(|value| value == "1");
    let each = if full { 5000 } else { 300 };
    let mut chance = Chance(5);
    let (mut tried, mut failed, mut plain, mut work) = (0, 0, 0, 0);
    for seed in [1, 4] {
        let set = television(seed);
        let operating = Operating::new(&set.network).expect("sound");
        let healthy = operating.solve(&set.figures, None).expect("a point");
        for round in 0..each {
            let figures = damaged(&set.figures, &mut chance);
            let start = (round % 2 == 0).then_some(healthy.volts.as_slice());
            tried += 1;
            match operating.solve(&figures, start) {
                Ok(point) => {
                    plain += i32::from(point.method == Method::Newton);
                    work += point.iterations;
                    if round % 50 == 0 {
                        let volts = DVector::from_column_slice(&point.volts[1..]);
                        let (left, _) = dense::equations(&set.network, &figures, &volts);
                        // What floats is held by insulation, which the test leaves out.
                        for (node, left) in left.iter().enumerate() {
                            let held = HOLD_SIEMENS * point.volts[node + 1].abs();
                            let floats = point.floating.contains(&(node + 1));
                            let most = 1e-8 + if floats { 1.1 * held } else { 0.0 };
                            assert!(left.abs() <= most, "node {}: {left}", node + 1);
                        }
                    }
                }
                Err(CircuitError::NoOperatingPoint { .. }) => failed += 1,
                Err(error) => panic!("{error}"),
            }
        }
    }
    let mean = work as f64 / f64::from(tried);
    println!("{failed} of {tried} failed; {plain} by plain steps; {mean:.1} iterations");
    assert!(
        f64::from(failed) <= 0.001 * f64::from(tried),
        "{failed} failed"
    );
    assert!(mean < 16.0, "{mean}");
    assert!(f64::from(plain) > 0.98 * f64::from(tried), "{plain}");
}

#[test]
fn the_work_is_bounded() {
    for seed in 1..8 {
        let set = television(seed);
        let operating = Operating::new(&set.network).expect("sound");
        let healthy = operating.solve(&set.figures, None).expect("a point");
        assert!(healthy.iterations <= 18, "cold: {}", healthy.iterations);
        assert_eq!(healthy.factorisations, healthy.iterations);
        // A solution from itself has nothing to do but to see that it is one.
        let again = operating
            .solve(&set.figures, Some(&healthy.volts))
            .expect("a point");
        assert!(again.iterations <= 1, "itself: {}", again.iterations);
        for (index, figure) in set.figures.iter().enumerate() {
            let mut figures = set.figures.clone();
            figures[index] = match *figure {
                Figure::Siemens(siemens) => Figure::Siemens(1.1 * siemens),
                Figure::Source { volts, siemens } => Figure::Source {
                    volts: 1.1 * volts,
                    siemens,
                },
                other => other,
            };
            let near = operating
                .solve(&figures, Some(&healthy.volts))
                .expect("a point");
            assert!(near.iterations <= 6, "branch {index}: {}", near.iterations);
        }
        let mut chance = Chance(seed);
        let draws: Vec<_> = (0..200).map(|_| drawn(&set.figures, &mut chance)).collect();
        let work: usize = operating
            .solve_many(&draws, Some(&healthy.volts))
            .into_iter()
            .map(|point| point.expect("a point").iterations)
            .sum();
        assert!(work <= 200 * 7, "draws: {work}");
    }
}
