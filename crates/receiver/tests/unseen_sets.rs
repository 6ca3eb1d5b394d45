//! Sets built otherwise than the two large example sets: which stages run, and that each settles.
//!
//! Volts. The sheets stand in tests/unseen_sets. That stages of a picture i.f. amplifier rest and that a blocking
//! oscillator has a winding at its grid and another at its plate is common practice. Fails by a panic, as a test may.

#[path = "planted/mod.rs"]
mod planted;
#[path = "whole_sets/mod.rs"]
mod whole_sets;

use planted::solved;
use receiver::reading::What;
use receiver::stages::Drive;
use receiver::wiring::{FaultKind, SetModel, Variation};
use whole_sets::{MERROW, band, nominal, sheet, told};

const PELLOW: &str = include_str!("unseen_sets/pellow.toml");
const QUILL: &str = include_str!("unseen_sets/quill.toml");
const TANSY: &str = include_str!("unseen_sets/tansy.toml");

fn with_model(text: &str, look: impl FnOnce(&SetModel<'_>)) {
    let catalogue = parts::catalogue().expect("the tables are sound");
    let sheet = sheet(text);
    look(&SetModel::new(&sheet, catalogue));
}

/// Tubes with a stage that drives itself, and tubes whose every stage rests.
fn check(text: &str, drive_themselves: &[&str], rest: &[&str]) {
    with_model(text, |model| {
        let stages = &model.stages.complete;
        let of = |name: &str| {
            let tube = model.tube_index(name).expect("a tube");
            let own: Vec<&Drive> = stages
                .iter()
                .filter(|stage| stage.tube == tube)
                .map(|stage| &stage.drive)
                .collect();
            assert!(!own.is_empty(), "{name}");
            own
        };
        for name in drive_themselves {
            let one = of(name)
                .iter()
                .any(|own| matches!(own, Drive::Oscillates { .. }));
            assert!(one, "{name} {:?}", of(name));
        }
        for name in rest {
            let all = of(name).iter().all(|own| **own == Drive::AtRest);
            assert!(all, "{name} {:?}", of(name));
        }
    });
}

#[test]
fn stages_on_one_supply_line_with_the_damper_do_not_drive_one_another() {
    let rest = ["V2", "V3", "V4", "V5", "V7", "V8"];
    check(TANSY, &["V1", "V9", "V11"], &rest);
}

#[test]
fn a_blocking_oscillator_has_its_windings_on_one_core() {
    let rest = ["V1", "V3", "V4", "V5", "V7", "V8", "V10", "V11"];
    check(QUILL, &["V2", "V12", "V13"], &rest);
}

/// A sound detector whose quadrature coil swings by itself does so at 4.5 megacycles: the sound output behind it rests.
#[test]
fn what_swings_at_radio_frequency_drives_no_sound_output() {
    check(MERROW, &["V8", "V12", "V13"], &["V9"]);
}

#[test]
fn an_oscillator_runs_though_an_unknown_stage_stands_behind_its_capacitors() {
    let rest = ["V2", "V3", "V5", "V6", "V8", "V9", "V10"];
    check(PELLOW, &["V11", "V13", "V15"], &rest);
    // A reading at its grid is told only where it is followed as it runs: it bites its own current.
    let grid = band(&told(PELLOW, &nominal()), "V11.1", What::DcVolts);
    assert!(grid.expected < -5.0, "{grid:?}");
}

/// The sound output on top of the lower line carries what the picture i.f. draws: both lines as designed, 300 and 140.
#[test]
fn a_sound_output_on_top_of_a_supply_line_settles() {
    let told = told(QUILL, &nominal());
    for (at, volts) in [("B+ 300", 300.0), ("B+ 140", 140.0)] {
        let band = band(&told, at, What::DcVolts);
        assert!((band.expected / volts - 1.0).abs() < 0.1, "{at} {band:?}");
    }
}

/// A screen that a wire ties to a supply line makes no bypass of that line's filter.
#[test]
fn the_ripple_of_a_line_with_a_screen_on_it_is_told() {
    let ripple = band(
        &told(MERROW, &nominal()),
        "B+ 265",
        What::RippleVoltsPeakToPeak,
    );
    assert!(
        ripple.expected > 0.05 && ripple.expected < 5.0,
        "{ripple:?}"
    );
}

#[test]
fn every_drawn_set_settles() {
    for text in [PELLOW, QUILL, TANSY] {
        with_model(text, |model| {
            for seed in 1..=8 {
                let set = solved(model, &nominal(), &Variation::none(), seed);
                assert!(set.is_ok(), "{seed} {:?}", set.err());
            }
        });
    }
}

/// A cathode that gives a tenth of what it should, of tubes drawn from their spread.
#[test]
fn worn_out_tubes_settle() {
    with_model(PELLOW, |model| {
        for tube in 0..model.sheet.tubes.len() {
            let name = &model.sheet.tubes[tube].reference;
            let fault = FaultKind::Emission {
                tube,
                rectifies: name == "V17",
            };
            for seed in [1, 3] {
                let set = solved(model, &nominal(), &fault.variation(0.1), seed);
                assert!(set.is_ok(), "{name} {seed} {:?}", set.err());
            }
        }
    });
}
