//! Cold resistances among what comes next, before any was read.
//!
//! Volts, ohms. The sheet stands in examples/whole. That a dead place is told by its ohms to the chassis, plug out, a
//! shorted bypass from the open resistor that feeds it, is common practice. Fails by a panic, as a test may.

mod planted;
mod whole_sets;

use planted::Bench;
use receiver::conditions::BenchConditions;
use receiver::hazard::{self, ActKind};
use receiver::probes::ohms_probes;
use receiver::suspects::hypotheses::Suspect;
use receiver::suspects::next::information::held_by;
use receiver::suspects::next::{Asked, Blame, Measurement, Offered, next, while_hunting};
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
        let offered = next(&Asked {
            model: &model,
            hypotheses: &bench.hypotheses,
            foretold: &bench.foretold,
            seen: &seen,
            ranking: &ranking,
            efforts: parts::efforts().expect("the table is sound"),
            situation: &situation,
            present: 0,
            beside: &|_: usize, _: f64| 0.0,
        })
        .expect("the table is sound");
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

fn part(suspect: Suspect) -> usize {
    match suspect {
        Suspect::Part(own) => own,
        _ => panic!("a part"),
    }
}
