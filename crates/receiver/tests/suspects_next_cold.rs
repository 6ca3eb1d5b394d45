//! Cold resistances among what comes next, before any was read; and offers as they are told.
//!
//! Volts, ohms. The sheet stands in examples/whole. That a dead place is told by its ohms to the chassis, plug out, a
//! shorted bypass from the open resistor that feeds it, is common practice. Fails by a panic, as a test may.

mod planted;
mod whole_sets;

use planted::Bench;
use receiver::conditions::BenchConditions;
use receiver::hazard::{self, ActKind};
use receiver::probes::ohms_probes;
use receiver::sheet::Place;
use receiver::suspects::hypotheses::Suspect;
use receiver::suspects::next::information::held_by;
use receiver::suspects::next::{Asked, Blame, Measurement, Offered, as_told, next, while_hunting};
use receiver::suspects::predict_cold::{foretell_cold, foretell_cold_for};
use receiver::wiring::SetModel;
use whole_sets::{LARKFIELD, nominal, sheet};

#[test]
fn a_dead_screen_is_told_by_its_ohms_first() {
    let catalogue = parts::catalogue().expect("the tables are sound");
    let sheet = sheet(LARKFIELD);
    let model = SetModel::new(&sheet, catalogue);
    let mut bench = Bench::new(&model);
    let seen = [bench.seen("B+ 275", 275.0), bench.seen("V11.6", 0.3)];
    let ranking = bench.rank(&seen);
    let [bypass, feed] = ["C153", "R171"].map(|name| {
        let own = model.part_index(name).map(Suspect::Part);
        own.expect("a part")
    });
    println!("{}", bench.told(&ranking));
    let held = held_by(&bench.hypotheses, &ranking);
    let (cold, probes) = (BenchConditions::default(), ohms_probes(&model));
    let told = foretell_cold_for(&model, &bench.hypotheses, &cold, &probes, &held);
    let told = told.expect("a set at rest");
    // Nothing is told of those who are not asked about, and of the others what is told of all.
    let all = foretell_cold(&model, &bench.hypotheses, &cold, &probes).expect("a set at rest");
    assert!(held.len() < all.faulty.len() / 2, "{}", held.len());
    for (number, (own, all)) in told.faulty.iter().zip(&all.faulty).enumerate() {
        assert_eq!(own.severities, all.severities);
        match held.contains(&number) {
            true => assert_eq!(own.shifts, all.shifts),
            false => assert!(own.shifts.iter().all(Option::is_none)),
        }
    }
    bench.foretold.push(told);
    // Whether or not anybody saw the drive of the output stage.
    for drive_known in [false, true] {
        let situation = while_hunting(&model, &nominal(), drive_known);
        let asked = Asked {
            model: &model,
            hypotheses: &bench.hypotheses,
            foretold: &bench.foretold,
            seen: &seen,
            ranking: &ranking,
            efforts: parts::efforts().expect("the table is sound"),
            situation: &situation,
            present: 0,
            beside: &|_: usize, _: f64| 0.0,
        };
        let offered = next(&asked).expect("the table is sound");
        as_it_is_told(&asked, &offered);
        let is_cold =
            |own: &&Offered| matches!(own.measurement, Measurement::Read { conditions: 1, .. });
        let first = offered.iter().position(|own| is_cold(&own));
        let first = first.expect("ohms are offered");
        let of_part = |own: &Offered| own.measurement == Measurement::PartOhms(part(bypass));
        let loose = offered.iter().position(of_part).expect("offered");
        assert!(first < loose, "{first} {loose}");
        assert!(drive_known || first == 0);
        // It parts the two.
        let gains = |suspect: Suspect| {
            let meanings = offered[first].meanings.iter();
            let gains = meanings.filter_map(|own| own.gains.first());
            gains
                .filter(|(blame, now, then)| blame.involves(suspect) && then > &(1.5 * now))
                .count()
        };
        for own in [bypass, feed] {
            assert!(gains(own) == 1, "{:#?}", offered[first].meanings);
        }
        assert!(matches!(
            offered[first].meanings[0].gains[0].0,
            Blame::Suspect(own) if own == bypass
        ));
        for own in offered.iter().filter(is_cold) {
            assert_eq!(own.acts[0].kind, ActKind::PlugOut);
            let read = own.acts.last().expect("acts");
            assert!(
                read.sentence()
                    .ends_with("Plug out, discharged and proven first.")
            );
            let mut dead = situation.clone();
            dead.plug_in = Some(false);
            assert!(hazard::judge(read, &dead).expect("a table").is_allowed());
        }
    }
}

/// The outcomes told hold the bits told: outcomes can tell no more than their entropy (Shannon 1948). What tells the
/// same is told once, a pin of a tube before a joint, and nothing is lost.
fn as_it_is_told(asked: &Asked<'_, '_>, offered: &[Offered]) {
    const TOLD: usize = 12;
    let told = as_told(asked, offered.to_vec(), TOLD);
    let mut spent = 0;
    for own in told.iter().take(TOLD) {
        let each = own.meanings.iter().map(|own| own.chance);
        let entropy: f64 = each
            .filter(|own| *own > 0.0)
            .map(|own| -own * own.log2())
            .sum();
        spent += usize::from(own.meanings.len() > 3);
        assert!(own.meanings.len() <= 6, "{own:?}");
        if let Measurement::Read { .. } = own.measurement {
            let is_full = own.meanings.len() == 6;
            assert!(is_full || 0.9 * own.bits <= entropy + 1e-9, "{own:?}");
            for pair in own.meanings.windows(2) {
                assert!(
                    pair[0].to.is_some() && pair[0].to == pair[1].from,
                    "{own:?}"
                );
            }
        }
        let chance: f64 = own.meanings.iter().map(|own| own.chance).sum();
        assert!((chance - 1.0).abs() < 1e-9, "{own:?}");
    }
    assert!(spent > 0);
    let is_pin = |own: &Measurement| {
        let Measurement::Read { conditions, probe } = *own else {
            return false;
        };
        let at = &asked.foretold[conditions].probes[probe].at;
        matches!(asked.model.places.find(at), Ok(Place::Pin { .. }))
    };
    let with_others = || told.iter().filter(|own| !own.also.is_empty());
    assert!(with_others().count() > 0);
    for own in with_others() {
        assert!(
            is_pin(&own.measurement) || !own.also.iter().any(is_pin),
            "{own:?}"
        );
    }
    let all = told.iter().map(|own| 1 + own.also.len()).sum::<usize>();
    assert_eq!(all, offered.len());
    for pair in told.windows(2) {
        assert!(pair[0].worth() >= pair[1].worth());
    }
}

fn part(suspect: Suspect) -> usize {
    match suspect {
        Suspect::Part(own) => own,
        _ => panic!("a part"),
    }
}
