//! Signals among what comes next: halves the way, and is never offered where hazard forbids.
//!
//! Plain chances. The sheet stands in examples/whole. That a signal fed to the middle of the way halves the suspects is
//! common practice. Fails by a panic, as a test may.

mod whole_sets;

use parts::{efforts, symptoms};
use receiver::hazard;
use receiver::probes::{Probe, Spot, all_probes};
use receiver::reading::What;
use receiver::suspects::hypotheses::Hypotheses;
use receiver::suspects::next::{Asked, Measurement, Offered, Outcome, next, while_hunting};
use receiver::suspects::predict::foretell;
use receiver::suspects::rank::rank_beside;
use receiver::suspects::signs::signal_way::SignalEnd;
use receiver::suspects::signs::{Sign, Signs};
use receiver::wiring::SetModel;
use whole_sets::{LARKFIELD, nominal, sheet};

#[test]
fn a_silent_set_is_halved_by_a_tone() {
    let catalogue = parts::catalogue().expect("the tables are sound");
    let sheet = sheet(LARKFIELD);
    let model = SetModel::new(&sheet, catalogue);
    let hypotheses = Hypotheses::of(&model, catalogue);
    let probes: Vec<Probe> = all_probes(&model, None)
        .into_iter()
        .filter(|probe| probe.what == What::DcVolts && matches!(probe.spot, Spot::ToChassis(_)))
        .collect();
    let told = foretell(&model, &[nominal()], &probes, &hypotheses).expect("a settled set");
    let table = symptoms().expect("the table is sound");
    let quiet = table
        .iter()
        .position(|own| own.name == "picture good, no sound")
        .expect("a symptom");
    let signs = Signs::of(
        &model,
        &hypotheses,
        &told,
        table,
        &[Sign::Symptom(quiet, true)],
    );
    let ranking = rank_beside(&hypotheses, &told, &[], &signs);
    let of = |drive_known: bool| {
        let situation = while_hunting(&model, &nominal(), drive_known);
        let asked = Asked {
            model: &model,
            hypotheses: &hypotheses,
            foretold: &told,
            seen: &[],
            ranking: &ranking,
            efforts: efforts().expect("the tables are sound"),
            situation: &situation,
            present: 0,
            beside: &|_: usize, _: f64| 0.0,
        };
        let mut offered = next(&asked).expect("the table is sound");
        offered.retain(|own| matches!(own.measurement, Measurement::Signal { .. }));
        for own in &offered {
            let table = hazard::table().expect("the table is sound");
            let mut situation = situation.clone();
            for act in &own.acts {
                assert!(
                    table.judge(act, &situation).is_allowed(),
                    "{}",
                    act.sentence()
                );
                if act.kind == hazard::ActKind::PlugOut {
                    situation.plug_in = Some(false);
                } else if matches!(
                    act.kind,
                    hazard::ActKind::Look | hazard::ActKind::Measure(_)
                ) {
                    situation.plug_in = Some(true);
                }
            }
        }
        offered
    };
    // The set runs for it: without its drive seen nothing of the kind is offered.
    assert!(of(false).is_empty());
    let offered = of(true);
    // The middle of the sound's way tells more than either end of it.
    let of = |place: &str| {
        let is_it = |own: &&Offered| match own.measurement {
            Measurement::Signal {
                from: Some(from),
                end,
            } => end == SignalEnd::Ear && model.junction_name(from) == place,
            _ => false,
        };
        offered.iter().find(is_it).expect("an offer")
    };
    let first = of("V13.1");
    assert!(first.bits > 1.5 * of("V15.5").bits && first.bits > 1.5 * of("V1.1").bits);
    assert!(first.bits > 0.05, "{}", first.bits);
    let chances: f64 = first.meanings.iter().map(|own| own.chance).sum();
    assert!((chances - 1.0).abs() < 1e-6);
    let lost = first
        .meanings
        .iter()
        .find(|own| own.outcome == Outcome::Bad)
        .expect("an outcome");
    assert!(!lost.gains.is_empty());
    // Never more than there is doubt; nothing that is less worth stands before.
    for pair in offered.windows(2) {
        assert!(pair[0].worth() >= pair[1].worth());
    }
    let pulsed = &model.stages.pulsed;
    let touched = offered.iter().filter_map(|own| match own.measurement {
        Measurement::Signal {
            from: Some(from), ..
        } => Some(from),
        Measurement::Signal {
            end: SignalEnd::Junction(place),
            ..
        } => Some(place),
        _ => None,
    });
    let touched: Vec<usize> = touched.collect();
    assert!(touched.len() > 10 && touched.iter().all(|own| !pulsed[*own]));
}
