//! What is suspected of a set before any reading.
//!
//! Chances are plain. The sheets stand in examples/whole. Fails by a panic, as a test may.

mod whole_sets;

use receiver::suspects::hypotheses::{Hypotheses, Spread, Suspect};
use receiver::wiring::SetModel;
use whole_sets::{LARKFIELD, MERROW, sheet};

fn with<T>(text: &str, look: impl FnOnce(&SetModel<'_>, &Hypotheses) -> T) -> T {
    let catalogue = parts::catalogue().expect("the tables are sound");
    let sheet = sheet(text);
    let model = SetModel::new(&sheet, catalogue);
    let hypotheses = Hypotheses::of(&model, catalogue);
    look(&model, &hypotheses)
}

fn chance(model: &SetModel<'_>, hypotheses: &Hypotheses, reference: &str, fault: &str) -> f64 {
    let part = model.part_index(reference).expect("a part of the sheet");
    hypotheses
        .of_suspect(Suspect::Part(part))
        .filter(|own| own.fault == fault)
        .map(|own| own.chance)
        .sum()
}

#[test]
fn every_part_with_a_place_in_the_circuit_is_suspected() {
    for text in [LARKFIELD, MERROW] {
        with(text, |model, hypotheses| {
            for own in &hypotheses.list {
                assert!(own.chance > 0.0 && own.chance < 1.0, "{own:?}");
                assert!(!own.source.is_empty());
                if let Spread::Law(law) = own.spread {
                    assert!(law.low() < law.high());
                }
            }
            for (index, part) in model.sheet.parts.iter().enumerate() {
                let kind = part.value.kind().name();
                let silent = ["wire", "switch", "load"].contains(&kind)
                    || model.sheet.state.cut_loose.contains(&part.reference);
                let suspected = hypotheses.of_suspect(Suspect::Part(index)).next().is_some();
                assert_eq!(suspected, !silent, "{} {kind}", part.reference);
            }
        });
    }
}

#[test]
fn a_part_cut_loose_is_no_suspect_and_a_new_one_hardly_any() {
    with(LARKFIELD, |model, hypotheses| {
        // [state]: C1A replaced, C40 cut loose, R31 original and measured.
        let new = chance(model, hypotheses, "C1A", "leaky");
        let old = chance(model, hypotheses, "C4A", "leaky");
        assert!(new < 0.05 * old, "{new} {old}");
        let cut = model.part_index("C40").expect("a part");
        assert_eq!(hypotheses.of_suspect(Suspect::Part(cut)).count(), 0);
        let measured = chance(model, hypotheses, "R31", "wire-wound open");
        let found = chance(model, hypotheses, "R30", "wire-wound open");
        assert!(measured < 0.2 * found, "{measured} {found}");
    });
}

/// A measured resistor is there with its ohms, and one cut loose shows in no reading: of both
/// the sheet cannot be wrong in a way that a reading would tell.
#[test]
fn a_resistor_that_was_measured_or_cut_loose_is_not_doubted_on_the_sheet() {
    let of_sheet = |hypotheses: &Hypotheses, model: &SetModel<'_>, reference: &str| {
        let part = model.part_index(reference).expect("a part");
        hypotheses
            .of_suspect(Suspect::Part(part))
            .filter(|own| own.fault.starts_with("the sheet"))
            .count()
    };
    let text = LARKFIELD.replace("cut_loose = [\"C40\"]", "cut_loose = [\"C40\", \"R121\"]");
    assert_ne!(text, LARKFIELD);
    with(&text, |model, hypotheses| {
        // [state]: R31 measured.
        assert_eq!(of_sheet(hypotheses, model, "R31"), 0);
        let cut = model.part_index("R121").expect("a part");
        assert_eq!(hypotheses.of_suspect(Suspect::Part(cut)).count(), 0);
        // Its ohms up, its ohms down, or no such part.
        assert_eq!(of_sheet(hypotheses, model, "R30"), 3);
    });
}

#[test]
fn high_carbon_resistors_rise_and_low_ones_seldom() {
    with(LARKFIELD, |model, hypotheses| {
        let high = chance(model, hypotheses, "R71", "value high");
        let low = chance(model, hypotheses, "R50", "value high");
        assert!(high > low, "{high} {low}");
        assert_eq!(chance(model, hypotheses, "R50", "value far up"), 0.0);
        assert!(chance(model, hypotheses, "R121", "value far up") > 0.0);
    });
}

#[test]
fn what_is_not_followed_is_told() {
    with(LARKFIELD, |_, hypotheses| {
        let told = |kind: &str, fault: &str| {
            hypotheses
                .left_out
                .iter()
                .any(|(own, row)| own == kind && row == fault)
        };
        assert!(told("control", "burnt spot"));
        assert!(!told("paper", "leaky"));
    });
}
