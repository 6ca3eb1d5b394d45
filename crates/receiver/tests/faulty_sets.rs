//! Faulty sets solved from the healthy one, held against the same sets solved by themselves.
//!
//! Volts, ohms. The second way brings supply and stages to agreement from cold. The sheet
//! stands in examples/whole. Fails by a panic, as a test may.

mod whole_sets;

use receiver::conditions::{BenchConditions, Meter};
use receiver::probes::{Probe, Spot, all_probes};
use receiver::reading::What;
use receiver::whole_set::{couple, faulty_readings, read_variation};
use receiver::wiring::{Change, FaultKind, SetModel, Variation};
use whole_sets::{LARKFIELD, MERROW, nominal, sheet};

#[test]
fn both_ways_read_the_same() {
    let catalogue = parts::catalogue().expect("the tables are sound");
    let sheet = sheet(LARKFIELD);
    let model = SetModel::new(&sheet, catalogue);
    let part = |name: &str| model.part_index(name).expect("a part");
    let faults = [
        FaultKind::Open(part("R170")).variation(1.0),
        FaultKind::Open(part("R121")).variation(1.0),
        FaultKind::CapacitorLeak(part("C50")).variation(5e5),
        FaultKind::OhmsTimes(part("R31")).variation(1.5),
        FaultKind::OhmsTimes(part("R35")).variation(2.0),
        FaultKind::CapacitorLeak(part("C1B")).variation(3e4),
        FaultKind::CapacitorLeak(part("C4A")).variation(200.0),
    ];
    let probes: Vec<_> = all_probes(&model, None)
        .into_iter()
        .filter(|probe| probe.what == What::DcVolts)
        .collect();
    let set = couple(&model, &nominal(), &Variation::none(), &probes).expect("a settled set");
    let found = faulty_readings(&model, &nominal(), &set, &probes, &faults);
    assert_eq!(found.work.lost, 0);
    let mut held = 0;
    for (number, (fault, values)) in faults.iter().zip(&found.values).enumerate() {
        let values = values.as_ref().expect("it is solved");
        let alone = couple(&model, &nominal(), fault, &[]).expect("a settled set");
        // A stage that drives itself may stand still where its supply has fallen by more than a
        // quarter, and is not calculated anew: there the supply and the stages at rest are held.
        let main = |volts: &[f64]| {
            let place = model.places.find("B+ 275").expect("a place");
            volts[model.junction(place).expect("a junction")]
        };
        let fallen = main(&alone.volts) < 0.75 * main(&set.volts);
        let rests = |junction: usize| {
            let mut own = model.stages.complete.iter().filter(|stage| {
                stage.electrodes.contains(&Some(junction)) || stage.cathode == junction
            });
            match own.next() {
                Some(first) => !first.drive.is_signal() && own.all(|own| !own.drive.is_signal()),
                None => model.has_ripple(junction),
            }
        };
        for (probe, value) in probes.iter().zip(values) {
            let (Spot::ToChassis(junction), Some(value)) = (probe.spot, value) else {
                continue;
            };
            if fallen && !rests(junction) {
                continue;
            }
            held += 1;
            let other = alone.volts[junction];
            // Stages that run keep the healthy set's drive in the quick way: five percent where
            // a fault pulls the supply by as much.
            let allowed = 0.3 + 0.05 * other.abs();
            assert!(
                (value - other).abs() < allowed,
                "fault {number} at {}: {value} {other}",
                probe.at
            );
        }
    }
    let to_chassis = |probe: &&Probe| matches!(probe.spot, Spot::ToChassis(_));
    let places = probes.iter().filter(to_chassis).count();
    assert!(
        2 * held > places * faults.len(),
        "{held} of {places} places each"
    );
}

/// A wiper with resistance, and one that touches nothing: the network with three figures changed against the set wired anew.
#[test]
fn a_wiper_that_makes_poor_contact_reads_as_wired() {
    let catalogue = parts::catalogue().expect("the tables are sound");
    for text in [LARKFIELD, MERROW] {
        let sheet = sheet(text);
        let model = SetModel::new(&sheet, catalogue);
        let controls: Vec<usize> = (0..sheet.parts.len())
            .filter(|part| model.part_junctions(*part)[2].is_some())
            .collect();
        assert!(controls.len() > 3);
        let severities = [10.0, 1e4, 1e6, 1e11];
        let faults: Vec<Variation> = controls
            .iter()
            .flat_map(|part| severities.map(|own| FaultKind::AtWiper(*part).variation(own)))
            .collect();
        let probes: Vec<Probe> = all_probes(&model, None)
            .into_iter()
            .filter(|probe| probe.what == What::DcVolts)
            .collect();
        let set = couple(&model, &nominal(), &Variation::none(), &probes).expect("a settled set");
        let found = faulty_readings(&model, &nominal(), &set, &probes, &faults);
        let (mut held, mut moved, mut off) = (0, 0, 0);
        for (number, (fault, values)) in faults.iter().zip(&found.values).enumerate() {
            let Some(values) = values else { continue };
            let Ok(alone) = couple(&model, &nominal(), fault, &[]) else {
                continue;
            };
            for (probe, value) in probes.iter().zip(values) {
                let (Spot::ToChassis(junction), Some(value)) = (probe.spot, value) else {
                    continue;
                };
                let rests = model.stages.complete.iter().all(|stage| {
                    let is_at =
                        stage.electrodes.contains(&Some(junction)) || stage.cathode == junction;
                    !is_at || !stage.drive.is_signal()
                });
                if !rests {
                    continue;
                }
                let part = controls[number / severities.len()];
                let floats = severities[number % severities.len()] > 1e5
                    && Some(junction) == model.part_junctions(part)[2];
                if floats {
                    continue;
                }
                let other = alone.volts[junction];
                held += 1;
                moved += usize::from((other - set.volts[junction]).abs() > 1.0);
                // What hangs on a stage that drives itself keeps the healthy set's drive in the quick way.
                off += usize::from((value - other).abs() > 0.3 + 0.05 * other.abs());
            }
        }
        assert!(100 * off < held, "{off} of {held} are off");
        assert!(held > 1000 && moved > 3, "{held} held, {moved} moved");
    }
}

/// A leak of 5k across a filter capacitor pulls the supply by three percent: drives go with it, also
/// where the network alone is solved.
#[test]
fn drives_go_with_the_supply() {
    let catalogue = parts::catalogue().expect("the tables are sound");
    let sheet = sheet(MERROW);
    let model = SetModel::new(&sheet, catalogue);
    let lower = BenchConditions {
        line_volts: Some(95.0),
        ..nominal()
    };
    let probes: Vec<Probe> = all_probes(&model, None)
        .into_iter()
        .filter(|probe| probe.what == What::DcVolts)
        .collect();
    let set = couple(&model, &lower, &Variation::none(), &probes).expect("a settled set");
    let fault = FaultKind::CapacitorLeak(9).variation(5e3);
    let found = faulty_readings(&model, &lower, &set, &probes, std::slice::from_ref(&fault));
    assert_eq!(found.work.cycles, 0, "the network alone");
    let alone = couple(&model, &lower, &fault, &[]).expect("a settled set");
    let values = found.values[0].as_ref().expect("it is solved");
    for (probe, value) in probes.iter().zip(values) {
        let (Spot::ToChassis(junction), Some(value)) = (probe.spot, value) else {
            continue;
        };
        let other = alone.volts[junction];
        let allowed = 0.1 + 0.02 * other.abs();
        assert!(
            (value - other).abs() < allowed,
            "{}: {value} {other}",
            probe.at
        );
    }
}

/// Faults among stages that drive themselves, told from the healthy set and solved from cold. Common practice: a leaky coupling
/// capacitor lifts the vertical output's grid and cathode, a dead or silenced oscillator leaves its plate at the feed's volts, a
/// cathode that nothing holds stands where a meter lets it.
#[test]
fn running_stages_with_a_fault_among_them_are_told_as_from_cold() {
    let catalogue = parts::catalogue().expect("the tables are sound");
    let sheet = sheet(LARKFIELD);
    let model = SetModel::new(&sheet, catalogue);
    let part = |name: &str| model.part_index(name).expect("a part");
    let tube = |name: &str| model.tube_index(name).expect("a tube");
    let conditions = BenchConditions {
        meter: Some(Meter::InputOhms(1e7)),
        ..nominal()
    };
    let cases = [
        (
            FaultKind::CapacitorLeak(part("C51")).variation(1e4),
            "V21.8",
            40.0,
        ),
        (
            FaultKind::CapacitorLeak(part("C51")).variation(3e5),
            "V21.8",
            40.0,
        ),
        (
            FaultKind::CapacitorLeak(part("C48")).variation(1e5),
            "V10.5",
            -60.0,
        ),
        (
            FaultKind::CapacitorLeak(part("C49")).variation(1e7),
            "V10.5",
            -60.0,
        ),
        (
            FaultKind::HeaterOpen(tube("V10")).variation(1.0),
            "V10.5",
            200.0,
        ),
        (FaultKind::Open(part("R150")).variation(1.0), "V10.5", 200.0),
        (FaultKind::Open(part("R69")).variation(1.0), "V10.5", -60.0),
        (FaultKind::Open(part("R110")).variation(1.0), "V2.6", 2.0),
        (FaultKind::Open(part("R131")).variation(1.0), "V5.2", 6.0),
    ];
    let probes: Vec<_> = all_probes(&model, None)
        .into_iter()
        .filter(|probe| probe.what == What::DcVolts)
        .collect();
    let faults: Vec<Variation> = cases.iter().map(|own| own.0.clone()).collect();
    let set = couple(&model, &conditions, &Variation::none(), &probes).expect("a settled set");
    let found = faulty_readings(&model, &conditions, &set, &probes, &faults);
    for ((fault, at, least), values) in cases.iter().zip(&found.values) {
        let number = probes
            .iter()
            .position(|own| own.at == *at)
            .expect("a place");
        let told = values.as_ref().and_then(|own| own[number]);
        let told = told.expect("it is solved");
        let healthy = found.healthy[number].expect("it is told");
        let cold = read_variation(&model, &conditions, fault, &probes).expect("a settled set");
        let cold = cold[number].expect("it is told");
        // It goes as the trade has it, and about as far as from cold.
        let moved = told - healthy;
        assert!(
            moved * least > 0.0 && moved.abs() > least.abs(),
            "{fault:?}: {healthy} {told}"
        );
        let allowed = 0.5 + 0.25 * (cold - healthy).abs();
        assert!(
            (told - cold).abs() < allowed,
            "{fault:?} at {at}: {told}, from cold {cold}"
        );
    }
}

/// A short from the boosted line ends the sweep: what was lifted by two hundred volts falls below the line that feeds it,
/// as it does behind a damper without pulses (common practice). A slight leak there does not. Both ways of solving it.
#[test]
fn a_short_on_the_boosted_line_ends_the_sweep() {
    let catalogue = parts::catalogue().expect("the tables are sound");
    for text in [LARKFIELD, MERROW] {
        let sheet = sheet(text);
        let model = SetModel::new(&sheet, catalogue);
        let junction = |place: &str| {
            let place = model.places.find(place).expect("a place");
            model.junction(place).expect("a junction")
        };
        let [boosted, chassis] = ["boost", "chassis"].map(junction);
        let stages = &model.stages.complete;
        let damper = stages.iter().find(|own| own.is_damper());
        let feed = damper.and_then(|own| own.electrodes[0]).expect("a plate");
        let leak = |ohms: f64| {
            let mut own = Variation::none();
            own.changes.push(Change::Shunt {
                a: boosted,
                b: chassis,
                ohms,
            });
            own
        };
        let faults = [leak(2e3), leak(5e6)];
        let none = Variation::none();
        let set = couple(&model, &nominal(), &none, &[]).expect("a settled set");
        let lift = |volts: &[f64]| volts[boosted] - volts[feed];
        assert!(lift(&set.volts) > 100.0);
        let probe = |junction| Probe {
            at: model.junction_name(junction),
            to: None,
            what: What::DcVolts,
            spot: Spot::ToChassis(junction),
        };
        let probes = [probe(boosted), probe(feed)];
        let found = faulty_readings(&model, &nominal(), &set, &probes, &faults);
        assert_eq!(found.work.lost, 0);
        for (fault, (values, is_short)) in faults.iter().zip(found.values.iter().zip([true, false]))
        {
            let values = values.as_ref().expect("it is solved");
            let (Some(boosted), Some(feed)) = (values[0], values[1]) else {
                panic!("both places are read");
            };
            assert_eq!(boosted < feed, is_short, "{boosted} {feed}");
            let alone = couple(&model, &nominal(), fault, &[]).expect("a settled set");
            assert_eq!(lift(&alone.volts) < 0.0, is_short);
            let off = boosted - feed - lift(&alone.volts);
            assert!(off.abs() < 3.0 + 0.05 * feed, "{off}");
        }
    }
}

/// The capacitor of a voltage doubler that has opened: no high line at all (common practice), and the set is told, not lost.
#[test]
fn an_open_doubler_capacitor_leaves_no_supply() {
    let catalogue = parts::catalogue().expect("the tables are sound");
    let sheet = sheet(MERROW);
    let model = SetModel::new(&sheet, catalogue);
    let part = |name: &str| model.part_index(name).expect("a part");
    let faults = [
        FaultKind::Open(part("C1")).variation(1.0),
        FaultKind::Open(part("R2")).variation(1.0),
    ];
    let probes: Vec<_> = all_probes(&model, None)
        .into_iter()
        .filter(|probe| probe.what == What::DcVolts && probe.at == "B+ raw")
        .collect();
    assert_eq!(probes.len(), 1);
    let set = couple(&model, &nominal(), &Variation::none(), &[]).expect("a settled set");
    let found = faulty_readings(&model, &nominal(), &set, &probes, &faults);
    assert_eq!(found.work.lost, 0);
    assert!(found.healthy[0].is_some_and(|own| own > 200.0));
    for values in found.values.iter().flatten() {
        assert!(values[0].is_some_and(|own| own.abs() < 5.0), "{values:?}");
    }
}

/// A resistor of the vertical oscillator and the grid leak of its output, however far they have risen or fallen: what is learned
/// step by step from the healthy wave against each set brought to agreement from cold.
#[test]
fn stages_that_run_follow_a_fault_however_far_it_has_grown() {
    let catalogue = parts::catalogue().expect("the tables are sound");
    let sheet = sheet(LARKFIELD);
    let model = SetModel::new(&sheet, catalogue);
    let part = |name: &str| model.part_index(name).expect("a part");
    let factors = [0.2, 0.5, 0.8, 1.3, 2.0, 5.0, 10.0];
    let all = ["R63", "R69"]
        .map(part)
        .map(|part| factors.map(|factor| FaultKind::OhmsTimes(part).variation(factor)));
    let faults: Vec<Variation> = all.into_iter().flatten().collect();
    let probes: Vec<_> = all_probes(&model, None)
        .into_iter()
        .filter(|probe| probe.what == What::DcVolts && probe.at == "vertical feedback")
        .collect();
    assert_eq!(probes.len(), 1);
    let Spot::ToChassis(junction) = probes[0].spot else {
        panic!("a place to chassis");
    };
    let set = couple(&model, &nominal(), &Variation::none(), &[]).expect("a settled set");
    let found = faulty_readings(&model, &nominal(), &set, &probes, &faults);
    let mut reach = (f64::INFINITY, f64::NEG_INFINITY);
    for (fault, values) in faults.iter().zip(&found.values) {
        let told = values.as_ref().and_then(|own| own[0]).expect("told");
        let alone = couple(&model, &nominal(), fault, &[]).expect("a settled set");
        let cold = alone.volts[junction];
        assert!(
            (told - cold).abs() < 0.2 + 0.02 * cold.abs(),
            "{fault:?}: {told} {cold}"
        );
        reach = (reach.0.min(cold), reach.1.max(cold));
    }
    // The grid wanders far: a test in which nothing moves would tell nothing.
    assert!(reach.0 < -60.0 && reach.1 > -10.0, "{reach:?}");
}
