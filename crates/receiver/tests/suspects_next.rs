//! What to measure next, in sets with a planted fault.
//!
//! Volts. The sheet stands in examples/whole. Common practice stands beside each case. Fails by a
//! panic, as a test may.

mod planted;
mod whole_sets;

use planted::{Bench, planted};
use receiver::conditions::Meter;
use receiver::hazard::{self, ActKind, ActPlace, Connected, Situation};
use receiver::probes::Spot;
use receiver::suspects::evidence::Seen;
use receiver::suspects::hypotheses::Suspect;
use receiver::suspects::next::{
    Asked, Blame, Measurement, Offered, Outcome, alike, elsewhere, next, while_hunting,
};
use receiver::suspects::predict::Foretold;
use receiver::suspects::rank::{Ranking, rank_beside};
use receiver::suspects::signs::{Sign, Signs};
use receiver::wiring::{FaultKind, SetModel};
use whole_sets::{LARKFIELD, nominal, sheet};

fn with_bench(look: impl FnOnce(&SetModel<'_>, &Bench<'_, '_>)) {
    let catalogue = parts::catalogue().expect("the tables are sound");
    let sheet = sheet(LARKFIELD);
    let model = SetModel::new(&sheet, catalogue);
    let bench = Bench::new(&model);
    look(&model, &bench);
}

fn offers(
    bench: &Bench<'_, '_>,
    seen: &[Seen],
    ranking: &Ranking,
    situation: &Situation,
) -> Vec<Offered> {
    next(&Asked {
        model: bench.model,
        hypotheses: &bench.hypotheses,
        foretold: &bench.foretold,
        seen,
        ranking,
        efforts: parts::efforts().expect("the table is sound"),
        situation,
        present: 0,
        beside: &|_: usize, _: f64| 0.0,
    })
    .expect("the table is sound")
}

#[test]
fn the_best_measurement_leads_to_the_part() {
    with_bench(|model, bench| {
        let part = |name: &str| model.part_index(name).expect("a part");
        let situation = while_hunting(model, &nominal(), true);
        // The complaint is one reading; what leads on from it is asked of the program alone.
        let cases = [
            ("R121", FaultKind::Open(part("R121")), 1.0, "V3.6"),
            ("C50", FaultKind::CapacitorLeak(part("C50")), 5e5, "V15.5"),
            ("C153", FaultKind::CapacitorLeak(part("C153")), 5.0, "V11.6"),
            ("R71", FaultKind::Open(part("R71")), 1.0, "V13.7"),
            ("R170", FaultKind::Open(part("R170")), 1.0, "V11.7"),
            ("C45", FaultKind::CapacitorLeak(part("C45")), 1e6, "V10.2"),
        ];
        let mut found = 0;
        for (number, (name, kind, severity, first)) in cases.iter().enumerate() {
            let volts = planted(
                model,
                &nominal(),
                &kind.variation(*severity),
                1 + number as u64 % 3,
            );
            let read = |probe: usize| -> Seen {
                let own = &bench.foretold[0].probes[probe];
                let Spot::ToChassis(junction) = own.spot else {
                    panic!("{} is no place", own.at);
                };
                bench.seen(&own.at, volts[junction])
            };
            let mut seen = vec![read(bench.probe(first))];
            let mut way = first.to_string();
            for step in 0..5 {
                let ranking = bench.rank(&seen);
                let offered = offers(bench, &seen, &ranking, &situation);
                if step == 0 {
                    holds_what_it_must(bench, &seen, &ranking, &offered, &situation);
                }
                let reading = offered.iter().find_map(|own| match own.measurement {
                    Measurement::Read { probe, .. } => Some((probe, own)),
                    _ => None,
                });
                let Some((probe, own)) = reading else { break };
                way += &format!(
                    ", {} ({:.2} bits)",
                    bench.foretold[0].probes[probe].at, own.bits
                );
                seen.push(read(probe));
            }
            let ranking = bench.rank(&seen);
            let place = bench.place_of(&ranking, name);
            println!("{name}: {way}: place {place}: {}", bench.told(&ranking));
            let best = offers(bench, &seen, &ranking, &situation);
            if let Some(best) = best.first() {
                println!("   then {:?} {:.2} bits", best.measurement, best.bits);
            }
            found += usize::from(place <= 3);
        }
        assert!(found >= 5, "{found} of {}", cases.len());
        a_sure_part_is_checked_by_itself(model, bench, &situation);
        a_suspected_tube_is_tested_and_exchanged(model, bench, &situation);
        a_leak_is_read_at_the_loose_end(model, bench, &situation);
        what_is_missing_is_bridged_for_a_trial(model, bench, &situation);
        other_conditions_are_reached_by_harmless_steps(model, &situation);
    });
}

/// Common practice: a tube under suspicion goes on the tester, or another one in its socket, with the set off.
fn a_suspected_tube_is_tested_and_exchanged(
    model: &SetModel<'_>,
    bench: &Bench<'_, '_>,
    situation: &Situation,
) {
    let tube = model.tube_index("V3").expect("a tube");
    let mut list = bench.hypotheses.list.iter();
    let dead = list.find(|own| own.suspect == Suspect::Tube(tube) && own.fault == "air inside");
    let dead = dead.expect("a way of failing");
    let volts = planted(model, &nominal(), &dead.variation(1e-6), 2);
    let read = |at: &str| {
        let probe = bench.probe(at);
        let Spot::ToChassis(junction) = bench.foretold[0].probes[probe].spot else {
            panic!("{at} is no place");
        };
        bench.seen(at, volts[junction])
    };
    let seen = [read("V3.5"), read("V3.6")];
    let ranking = bench.rank(&seen);
    assert!(
        bench.place_of(&ranking, "V3") <= 3,
        "{}",
        bench.told(&ranking)
    );
    let offered = offers(bench, &seen, &ranking, situation);
    for wanted in [
        Measurement::TubeTester(tube),
        Measurement::TubeExchange(tube),
    ] {
        let mut own = offered.iter();
        assert!(own.any(|own| own.measurement == wanted), "{wanted:?}");
    }
}

/// What holds of all offers: nothing that hazard forbids, no more bits than there is doubt,
/// chances that sum to 1, the best first, the same twice.
fn holds_what_it_must(
    bench: &Bench<'_, '_>,
    seen: &[Seen],
    ranking: &Ranking,
    offered: &[Offered],
    situation: &Situation,
) {
    assert!(offered.len() > 50, "{}", offered.len());
    let weights = ranking.suspects.iter().map(|own| own.weight);
    let doubt: f64 = weights
        .chain([ranking.healthy, ranking.not_listed])
        .filter(|own| *own > 0.0)
        .map(|own| -own * own.log2())
        .sum();
    for own in offered {
        // The last hundredth of the weight is left aside and the others fill its place.
        assert!(own.bits > 0.0 && own.bits < doubt + 0.1, "{own:?} {doubt}");
        assert!(own.effort >= 1.0);
        let chance: f64 = own.meanings.iter().map(|own| own.chance).sum();
        assert!((chance - 1.0).abs() < 1e-9, "{own:?}");
        for meaning in &own.meanings {
            for (_, now, then) in &meaning.gains {
                assert!(then > now && *then <= 1.0 + 1e-9);
            }
        }
        assert!(!own.acts.is_empty());
        let mut situation = situation.clone();
        for act in &own.acts {
            let verdict = hazard::judge(act, &situation).expect("a table");
            if act.kind == ActKind::PlugOut {
                situation.plug_in = Some(false);
            }
            assert!(verdict.is_allowed(), "{act:?}");
            // Common practice: no bench meter on the flyback, its tubes' caps or the anode.
            assert!(
                !matches!(
                    act.place,
                    ActPlace::HorizontalOutputPlate(_)
                        | ActPlace::DamperCathode(_)
                        | ActPlace::HighVoltageRectifier(_)
                        | ActPlace::PictureTubeAnode
                        | ActPlace::Flyback
                ),
                "{act:?}"
            );
        }
        if let Measurement::Read { conditions, probe } = own.measurement {
            let read = seen
                .iter()
                .any(|own| (own.conditions, own.probe) == (conditions, probe));
            assert!(!read, "it was read already");
        }
    }
    for pair in offered.windows(2) {
        assert!(pair[0].worth() >= pair[1].worth());
    }
    assert_eq!(offered, offers(bench, seen, ranking, situation));
    the_meaning_is_what_ranking_says(bench, seen, offered);
}

/// The best reading, taken in the middle of its likeliest outcome other than healthy, raises the
/// one that the meaning names first.
fn the_meaning_is_what_ranking_says(bench: &Bench<'_, '_>, seen: &[Seen], offered: &[Offered]) {
    let told = &bench.foretold[0];
    let best = offered.iter().find_map(|own| match own.measurement {
        Measurement::Read { probe, .. } => Some((probe, own)),
        _ => None,
    });
    let (probe, own) = best.expect("a reading");
    let inside = own
        .meanings
        .iter()
        .find(|own| own.outcome == Outcome::Inside);
    let inside = inside.expect("an outcome");
    let (Some(from), Some(to)) = (inside.from, inside.to) else {
        panic!("the healthy band has two ends");
    };
    let before = bench.rank(seen);
    let mut more = seen.to_vec();
    more.push(bench.seen(&told.probes[probe].at, 0.5 * (from + to)));
    let after = bench.rank(&more);
    let weight = |ranking: &Ranking, blame: Blame| match blame {
        Blame::Healthy => ranking.healthy,
        Blame::NotListed => ranking.not_listed,
        Blame::Both(..) => 0.0,
        Blame::Suspect(suspect) => ranking
            .suspects
            .iter()
            .find(|own| own.suspect == suspect)
            .map_or(0.0, |own| own.weight),
    };
    let (blame, now, _) = inside.gains[0];
    assert!((weight(&before, blame) - now).abs() < 0.02);
    assert!(weight(&after, blame) > now, "{blame:?} {now}");
}

/// Common practice: when the readings have named the part, one end is cut free and it is measured.
fn a_sure_part_is_checked_by_itself(
    model: &SetModel<'_>,
    bench: &Bench<'_, '_>,
    situation: &Situation,
) {
    let part = model.part_index("R71").expect("a part");
    let places = ["V13.7", "V15.5", "V15.4", "B+ 275", "bias -18", "V13.1"];
    let seen = bench.read(&FaultKind::Open(part).variation(1.0), 3, &places);
    let ranking = bench.rank(&seen);
    let offered = offers(bench, &seen, &ranking, situation);
    // R71 open and C162 shorted bring the same plate down: only a check of the part itself, which
    // is offered, tells them apart. Without any such check they are one class.
    let asked = Asked {
        model,
        hypotheses: &bench.hypotheses,
        foretold: &bench.foretold,
        seen: &seen,
        ranking: &ranking,
        efforts: parts::efforts().expect("the table is sound"),
        situation,
        present: 0,
        beside: &|_: usize, _: f64| 0.0,
    };
    let names = |classes: &[Vec<Suspect>]| -> Vec<Vec<String>> {
        let name = |own: &Suspect| own.reference(model).to_string();
        let names = classes.iter().map(|own| own.iter().map(name).collect());
        names.collect()
    };
    let readings: Vec<Offered> = offered
        .iter()
        .filter(|own| matches!(own.measurement, Measurement::Read { .. }))
        .cloned()
        .collect();
    let by_readings = names(&alike(&asked, &readings));
    println!("by readings: {by_readings:?}");
    let of = |classes: &[Vec<String>], name: &str| -> Vec<String> {
        let own = classes.iter().find(|own| own.iter().any(|own| own == name));
        own.cloned().unwrap_or_default()
    };
    assert!(of(&by_readings, "R71").contains(&"C162".to_string()));
    let by_all = names(&alike(&asked, &offered));
    println!("by all: {by_all:?}");
    assert_eq!(of(&by_all, "R71"), ["R71"]);
    let check = offered
        .iter()
        .find(|own| own.measurement == Measurement::PartOhms(part));
    let check = check.expect("the part is checked");
    let bad = check
        .meanings
        .iter()
        .find(|own| own.outcome == Outcome::Bad);
    let (blame, now, then) = bad.expect("an outcome").gains[0];
    assert!(matches!(blame, Blame::Suspect(own) if own.reference(model) == "R71"));
    assert!(then > 0.97 && then > now, "{now} {then}");
}

/// Common practice: a coupling capacitor is cut loose at the grid, with the plug out, and what its leak brings is read
/// there with the set running; the meter's own resistance makes the figure, so without a meter nothing is offered.
fn a_leak_is_read_at_the_loose_end(
    model: &SetModel<'_>,
    bench: &Bench<'_, '_>,
    situation: &Situation,
) {
    let part = model.part_index("C50").expect("a part");
    let leak = FaultKind::CapacitorLeak(part).variation(5e5);
    let seen = bench.read(&leak, 3, &["V15.5", "V13.7", "V15.4"]);
    let ranking = bench.rank(&seen);
    let of = |foretold: &[Foretold]| -> Vec<Offered> {
        next(&Asked {
            model,
            hypotheses: &bench.hypotheses,
            foretold,
            seen: &seen,
            ranking: &ranking,
            efforts: parts::efforts().expect("the table is sound"),
            situation,
            present: 0,
            beside: &|_: usize, _: f64| 0.0,
        })
        .expect("the table is sound")
    };
    let is_loose = |own: &&Offered| matches!(own.measurement, Measurement::LooseEnd { .. });
    assert_eq!(of(&bench.foretold).iter().filter(is_loose).count(), 0);
    let mut foretold = bench.foretold.clone();
    foretold[0].conditions.meter = Some(Meter::InputOhms(1e7));
    let offered = of(&foretold);
    let wanted = Measurement::LooseEnd {
        part,
        meter_ohms: 10_000_000,
    };
    let own = offered.iter().find(|own| own.measurement == wanted);
    let own = own.expect("offered");
    let bad = own.meanings.iter().find(|own| own.outcome == Outcome::Bad);
    let bad = bad.expect("an outcome");
    let (blame, now, then) = bad.gains[0];
    assert!(blame.involves(Suspect::Part(part)) && then > now);
    // By hand: the plate of V13 foretells the other end; a good one brings less than three hundredths of it.
    let told = &foretold[0];
    let plate = told.healthy[bench.probe("V13.7")].expect("foretold");
    let good = own.meanings.iter().find(|own| own.outcome == Outcome::Good);
    let most = good.and_then(|own| own.to).expect("one stretch");
    assert!((most / plate - 0.03).abs() < 1e-9, "{most} of {plate}");
    let leakage = offered
        .iter()
        .find(|own| own.measurement == Measurement::PartLeakage(part))
        .expect("offered");
    // It tells nearly what the leakage test tells, with less to build up and more danger.
    assert!(
        own.bits > 0.7 * leakage.bits,
        "{} {}",
        own.bits,
        leakage.bits
    );
    for own in offered.iter().filter(is_loose) {
        let (read, before) = own.acts.split_last().expect("acts");
        assert_eq!(before[0].kind, ActKind::PlugOut);
        assert!(before.iter().any(|act| act.kind == ActKind::Lift));
        assert!(read.energised && read.known_peak_volts().is_some_and(|volts| volts > 0.0));
        assert!(
            hazard::judge(read, situation)
                .expect("a table")
                .is_allowed()
        );
        let mut dead = situation.clone();
        dead.plug_in = Some(false);
        for act in before {
            assert!(hazard::judge(act, &dead).expect("a table").is_allowed());
        }
        // While nobody has seen the drive of the output stage the set does not run for it.
        let blind = while_hunting(model, &nominal(), false);
        assert!(!hazard::judge(read, &blind).expect("a table").is_allowed());
    }
    // The leak goes on behind a bridge: it tells next to nothing where the exchange tells much.
    let bits = |wanted: Measurement| {
        let own = offered.iter().find(|own| own.measurement == wanted);
        own.map_or(0.0, |own| own.bits)
    };
    let (bridge, exchange) = (
        bits(Measurement::Bridge(part)),
        bits(Measurement::CapacitorExchange(part)),
    );
    assert!(bridge < 0.1 * exchange, "{bridge} {exchange}");
}

/// Common practice: a capacitor thought open is bridged by a good one, clipped on with the power off.
fn what_is_missing_is_bridged_for_a_trial(
    model: &SetModel<'_>,
    bench: &Bench<'_, '_>,
    situation: &Situation,
) {
    let table = parts::symptoms().expect("the table is sound");
    let silent = table
        .iter()
        .position(|own| own.name == "picture good, no sound");
    let silent = Sign::Symptom(silent.expect("a symptom"), true);
    let signs = Signs::of(model, &bench.hypotheses, &bench.foretold, table, &[silent]);
    let ranking = rank_beside(&bench.hypotheses, &bench.foretold, &[], &signs);
    let offered = next(&Asked {
        model,
        hypotheses: &bench.hypotheses,
        foretold: &bench.foretold,
        seen: &[],
        ranking: &ranking,
        efforts: parts::efforts().expect("the table is sound"),
        situation,
        present: 0,
        beside: &signs,
    })
    .expect("the table is sound");
    let part = model.part_index("C50").expect("a part");
    let bridge = offered
        .iter()
        .find(|own| own.measurement == Measurement::Bridge(part))
        .expect("offered");
    let kinds: Vec<ActKind> = bridge.acts.iter().map(|own| own.kind.clone()).collect();
    let connect = ActKind::Connect(Connected::TestCapacitorAcrossOld);
    assert_eq!(kinds, [ActKind::PlugOut, connect, ActKind::Look]);
    // While nobody has seen the drive of the output stage the set does not run for a trial.
    let blind = while_hunting(model, &nominal(), false);
    let offered = next(&Asked {
        model,
        hypotheses: &bench.hypotheses,
        foretold: &bench.foretold,
        seen: &[],
        ranking: &ranking,
        efforts: parts::efforts().expect("the table is sound"),
        situation: &blind,
        present: 0,
        beside: &signs,
    });
    let runs = |own: &Offered| {
        own.acts
            .iter()
            .any(|act| act.energised && act.runs_the_set())
    };
    let offered = offered.expect("the table is sound");
    assert!(!offered.is_empty() && !offered.iter().any(runs));
    let cured = bridge
        .meanings
        .iter()
        .find(|own| own.outcome == Outcome::Bad);
    let cured = cured.expect("an outcome");
    assert!(cured.gains[0].0.involves(Suspect::Part(part)));
    assert!(cured.gains[0].2 > 1.5 * cured.gains[0].1, "{cured:?}");
}

/// Common practice: the horizontal output tube keeps its drive, so its oscillator stays in; the
/// audio output tube may come out of a set with its heaters in parallel.
fn other_conditions_are_reached_by_harmless_steps(model: &SetModel<'_>, situation: &Situation) {
    let tubes: Vec<usize> = (0..model.sheet.tubes.len()).collect();
    let found = elsewhere(model, &nominal(), situation, &tubes).expect("the table is sound");
    let pulled: Vec<&str> = found
        .iter()
        .flat_map(|own| &own.pulled)
        .map(String::as_str)
        .collect();
    println!("may be pulled: {}", pulled.join(", "));
    assert!(found[0].line_volts.is_some_and(|own| own < 100.0));
    assert_eq!(found[1].lamps, [100.0]);
    assert!(pulled.contains(&"V15"), "{pulled:?}");
    assert!(!pulled.contains(&"V16"), "it drives the horizontal output");
}
