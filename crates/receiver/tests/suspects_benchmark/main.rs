//! How often the search names the faulty part, on hidden sets.
//!
//! Shares in percent. Hidden sets follow other tube laws, have drawn parts, and a fault drawn from the
//! fault table (`receiver::practice`); the search sees nothing but d.c. readings under the maker's conditions, no
//! symptoms yet. A short run as a rule; `FULL_SEARCH=1000` runs so many cases a set, and the table is printed with `--nocapture`. Beside it stands the plain
//! method: the readings in the order of the chart, and the part at the largest deviation. What is asked for is
//! judgement of the project; no published figure is known.

#[path = "../whole_sets/mod.rs"]
mod whole_sets;

mod bench;
mod way;

use bench::Bench;
use rayon::prelude::*;
use receiver::practice::hidden::{Hidden, hidden_set};
use way::{Way, Went};
use whole_sets::{LARKFIELD, MERROW};

/// Readings after which the place of the part is looked up.
const READINGS: usize = 8;

#[derive(Default)]
struct Tally {
    cases: usize,
    first: usize,
    in_three: usize,
    nothing: usize,
}

impl Tally {
    fn take(&mut self, went: &Went) {
        self.cases += 1;
        self.first += usize::from(went.place == Some(1));
        self.in_three += usize::from(went.place.is_some_and(|place| place <= 3));
        self.nothing += usize::from(went.nothing_explains);
    }

    fn percent(&self, count: usize) -> f64 {
        100.0 * count as f64 / self.cases.max(1) as f64
    }
}

fn cases() -> u64 {
    let full = std::env::var("FULL_SEARCH").ok();
    full.map_or(4, |full| {
        full.parse().expect("FULL_SEARCH is a number of cases")
    })
}

/// Hidden sets with one fault that shows, by the seed; how many drawn ones showed nothing.
fn single(bench: &Bench<'_, '_>, seed: u64) -> (Hidden, usize) {
    for attempt in 0..400 {
        let hidden = hidden_set(
            &bench.truth,
            &bench.hypotheses,
            1,
            seed * 1000 + attempt,
            |own| !own.fault.starts_with("the sheet"),
        );
        if bench.shows(&hidden) {
            return (hidden, attempt as usize);
        }
    }
    panic!("no fault that shows");
}

#[test]
fn one_fault_is_named_within_eight_readings() {
    for (name, text) in [("Larkfield", LARKFIELD), ("Merrow", MERROW)] {
        Bench::with(text, |bench| {
            let went: Vec<(usize, Went, Went, Went)> = (0..cases())
                .into_par_iter()
                .map(|seed| {
                    let (hidden, dropped) = single(bench, seed);
                    let of = |way| bench.search(&hidden, seed, way, READINGS);
                    (
                        dropped,
                        of(Way::Search),
                        of(Way::Everything),
                        of(Way::Chart),
                    )
                })
                .collect();
            let mut all = [Tally::default(), Tally::default(), Tally::default()];
            let dropped: usize = went.iter().map(|own| own.0).sum();
            for (_, search, everything, chart) in &went {
                all[0].take(search);
                all[1].take(everything);
                all[2].take(chart);
            }
            println!(
                "{name}: {} cases, {dropped} drawn faults showed nothing",
                went.len()
            );
            for (way, tally) in ["search", "everything read", "chart order"]
                .iter()
                .zip(&all)
            {
                println!(
                    "  {way:<16} first {:5.1} %  in three {:5.1} %  nothing explains {:5.1} %",
                    tally.percent(tally.first),
                    tally.percent(tally.in_three),
                    tally.percent(tally.nothing)
                );
            }
            for (_, search, everything, _) in went.iter().take(40) {
                println!("    {} | {}", search.told, everything.told);
            }
            // With every place read most parts are found, and more than in the order of the chart.
            assert!(2 * all[1].in_three >= all[1].cases, "{name}");
            assert!(all[1].first > all[2].first, "{name}");
            assert!(all[0].first >= all[2].first, "{name}");
        });
    }
}
