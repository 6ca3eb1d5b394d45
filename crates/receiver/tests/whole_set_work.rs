//! Work done for a whole set, in counts, and its point by a second method.
//!
//! Volts, iterations. The second method is a plain dense Newton by another library, written
//! from the equations; it shares the tube laws and nothing else.

#[path = "../../circuit/tests/networks/dense.rs"]
mod dense;
mod whole_networks;
mod whole_sets;

use receiver::conditions::BenchConditions;
use receiver::whole_set::couple;
use receiver::wiring::{SetModel, Variation};
use whole_networks::whole;
use whole_sets::{LARKFIELD, MERROW, nominal, sheet};

#[test]
fn another_method_finds_the_same_volts() {
    for text in [LARKFIELD, MERROW] {
        let set = whole(text);
        let network = set.operating.network();
        for figures in std::iter::once(set.figures.clone()).chain(set.drawn(5)) {
            let own = set.operating.solve(&figures, None).expect("a point");
            let (plain, _) =
                dense::newton(network, &figures, &set.point.volts, 200).expect("a point");
            for (node, (one, other)) in own.volts.iter().zip(&plain).enumerate() {
                if own.floating.contains(&node) {
                    continue;
                }
                assert!(
                    (one - other).abs() < 1e-4 + 1e-6 * one.abs(),
                    "node {node}: {one} {other}"
                );
            }
        }
    }
}

#[test]
fn the_work_for_a_whole_set_is_bounded() {
    // The stages of the string set that stand on one another make plain steps go round from
    // cold; damped ones end it.
    for (name, text, most) in [
        ("transformer set", LARKFIELD, 16),
        ("string set", MERROW, 80),
    ] {
        let set = whole(text);
        let network = set.operating.network();
        let cold = set.operating.solve(&set.figures, None).expect("a point");
        let near = set
            .operating
            .solve(&set.moved(), Some(&set.point.volts))
            .expect("a point");
        let draws = set.drawn(200);
        let many = set.operating.solve_many(&draws, Some(&set.point.volts));
        let work: usize = many
            .into_iter()
            .map(|point| point.expect("a point").iterations)
            .sum();
        println!(
            "{name}: {} nodes, {} branches; iterations: cold {}, one figure moved {}, a draw {:.1}",
            network.nodes,
            network.branches.len(),
            cold.iterations,
            near.iterations,
            work as f64 / 200.0
        );
        assert!(network.nodes > 110, "{}", network.nodes);
        assert!(cold.iterations <= most, "{}", cold.iterations);
        assert!(near.iterations <= 6, "{}", near.iterations);
        assert!(work <= 200 * 8, "{work}");
    }
}

/// On another line stages that drive themselves are looked for beside the maker's wave in proportion to the supply: a few laps each, where
/// following them from the wave as it was took thousands of steps.
#[test]
fn stages_that_run_are_found_on_another_line_in_a_few_laps() {
    let catalogue = parts::catalogue().expect("the tables are sound");
    for text in [LARKFIELD, MERROW] {
        let sheet = sheet(text);
        let model = SetModel::new(&sheet, catalogue);
        for line in [94.0, 110.0] {
            let conditions = BenchConditions {
                line_volts: Some(line),
                ..nominal()
            };
            let set = couple(&model, &conditions, &Variation::none(), &[]).expect("settled");
            let waves: Vec<_> = set.oscillators.iter().flatten().collect();
            assert!(!waves.is_empty());
            for wave in waves {
                let work = wave.work;
                println!("{line} V: {} laps, {} steps", work.laps, work.steps);
                assert!(work.laps <= 10 && work.steps < 2000, "{line} V: {work:?}");
            }
        }
    }
}
