//! Cases of the trade in sets that are built otherwise than the two large example sets.
//!
//! Volts, ohms. The sheets stand in tests/unseen_sets: deflection by plates and no flyback (`pellow`), one selenium
//! rectifier on the line and video tied through (`tansy`), a sound output that stands on top of a lower B+ line (`quill`).
//! None has a maker's chart. What each fault does to the readings is common practice, from memory. Fails by a panic, as
//! a test may.

#[path = "../suspects_textbook/book.rs"]
mod book;
#[path = "../planted/mod.rs"]
mod planted;
#[path = "../whole_sets/mod.rs"]
mod whole_sets;

mod pellow;
mod quill;
mod tansy;

use book::{Case, Parts, hold, with_bench};

const PELLOW: &str = include_str!("../unseen_sets/pellow.toml");
const QUILL: &str = include_str!("../unseen_sets/quill.toml");
const TANSY: &str = include_str!("../unseen_sets/tansy.toml");

#[test]
fn the_part_is_among_the_first_three_where_deflection_is_by_plates() {
    with_bench(PELLOW, |model, bench| {
        let cases: Vec<Case> = pellow::cases(&Parts(model));
        assert!(cases.len() >= 12, "{}", cases.len());
        hold(bench, &cases);
    });
}

#[test]
fn the_part_is_among_the_first_three_of_a_half_wave_set() {
    with_bench(TANSY, |model, bench| {
        let cases: Vec<Case> = tansy::cases(&Parts(model));
        assert!(cases.len() >= 12, "{}", cases.len());
        hold(bench, &cases);
    });
}

#[test]
fn the_part_is_among_the_first_three_where_sound_stands_on_the_lower_line() {
    with_bench(QUILL, |model, bench| {
        let cases: Vec<Case> = quill::cases(&Parts(model));
        assert!(cases.len() >= 12, "{}", cases.len());
        hold(bench, &cases);
    });
}
