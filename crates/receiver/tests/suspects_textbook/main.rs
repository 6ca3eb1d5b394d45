//! Cases of the trade, planted in sets of drawn parts: every reading goes as the book has it, and the part is among
//! the first three.
//!
//! Volts, ohms. The sheets stand in examples/whole. What each fault does to the readings is common practice, from memory
//! (`larkfield`, `larkfield_picture`, `merrow`). Fails by a panic, as a test may.

#[path = "../planted/mod.rs"]
mod planted;
#[path = "../whole_sets/mod.rs"]
mod whole_sets;

mod book;
mod larkfield;
mod larkfield_picture;
mod merrow;

use book::{Case, Parts, hold, with_bench};
use planted::Bench;
use receiver::suspects::hypotheses::Suspect;
use receiver::wiring::{FaultKind, SetModel, Variation};
use whole_sets::{LARKFIELD, MERROW};

#[test]
fn the_part_is_among_the_first_three_of_the_transformer_set() {
    with_bench(LARKFIELD, |model, bench| {
        println!("{:?}", bench.foretold[0].work);
        let of = Parts(model);
        let mut cases: Vec<Case> = larkfield::supply(&of);
        cases.extend(larkfield::signal(&of));
        cases.extend(larkfield::sound(&of));
        cases.extend(larkfield_picture::video(&of));
        cases.extend(larkfield_picture::sweeps(&of));
        assert!(cases.len() >= 40, "{}", cases.len());
        hold(bench, &cases);
        healthy_sets(bench);
        an_open_bypass_is_not_told(model, bench);
        a_slip_condemns_nothing(bench);
        the_same_facts_weigh_the_same(bench);
        the_work_is_bounded(bench);
    });
}

#[test]
fn the_part_is_among_the_first_three_of_the_set_with_a_doubler() {
    with_bench(MERROW, |model, bench| {
        let of = Parts(model);
        let mut cases: Vec<Case> = merrow::supply(&of);
        cases.extend(merrow::signal(&of));
        cases.extend(merrow::sound_and_sweep(&of));
        assert!(cases.len() >= 18, "{}", cases.len());
        hold(bench, &cases);
    });
}

const ALL_OVER: [&str; 8] = [
    "V15.5", "V15.4", "V13.7", "B+ 275", "B minus", "V8.6", "V9.5", "V11.6",
];

fn healthy_sets(bench: &Bench<'_, '_>) {
    for seed in [1, 2, 3] {
        let ranking = bench.rank(&bench.read(&Variation::none(), seed, &ALL_OVER));
        let told = bench.told(&ranking);
        println!("healthy {seed}: {told}");
        assert!(ranking.suspects[0].weight < 0.5, "{seed}: {told}");
        assert!(!ranking.nothing_explains, "{seed}: {told}");
    }
}

/// An open cathode bypass leaves every direct volt as it is (common practice), so direct volts
/// tell nothing of it.
fn an_open_bypass_is_not_told(model: &SetModel<'_>, bench: &Bench<'_, '_>) {
    let part = model.part_index("C54").expect("a part");
    let number = bench
        .hypotheses
        .list
        .iter()
        .position(|own| own.suspect == Suspect::Part(part) && own.fault == "open")
        .expect("a hypothesis");
    let places = ["V21.8", "V21.3", "V21.5", "bias -18", "B+ main"];
    let seen = bench.read(&FaultKind::Open(part).variation(1.0), 2, &places);
    let ranking = bench.rank(&seen);
    assert!(ranking.silent.contains(&number));
    assert!(ranking.suspects[0].weight < 0.5, "{}", bench.told(&ranking));
}

/// One reading of a tenth of its volts in a healthy set, a place of the point read wrongly, is no
/// proof against a part.
fn a_slip_condemns_nothing(bench: &Bench<'_, '_>) {
    let mut seen = bench.read(&Variation::none(), 1, &ALL_OVER);
    seen[3].value *= 0.1;
    let ranking = bench.rank(&seen);
    let told = bench.told(&ranking);
    println!("a slip: {told}");
    assert!(ranking.suspects[0].weight < 0.5, "{told}");
}

fn the_same_facts_weigh_the_same(bench: &Bench<'_, '_>) {
    let seen = bench.read(&Variation::none(), 1, &ALL_OVER);
    assert_eq!(bench.rank(&seen), bench.rank(&seen));
}

fn the_work_is_bounded(bench: &Bench<'_, '_>) {
    let work = bench.foretold[0].work;
    assert_eq!(work.lost, 0);
    // Budgets of work, some half as much again as measured, over all sets that are told.
    let told = work.networks + work.filled;
    assert!(told > 5000, "{work:?}");
    assert!(2 * work.networks < told, "{work:?}");
    assert!(work.iterations < 13 * work.networks, "{work:?}");
    // Supply and stages are brought to agreement, at one or two cycles each, for few of them.
    assert!(work.cycles < told / 10, "{work:?}");
}
