//! Dangerous places, what a missing tube does, and where each capacitor sits: read off the
//! sheets of `examples/` and off small sheets made for one question each.

use std::path::Path;

use receiver::conditions::BenchConditions;
use receiver::hazard::{Absence, ActPlace};
use receiver::plan::capacitors::{CapacitorPlace, CapacitorState, Wish, review_capacitors};
use receiver::plan::situation::{absence, absence_of_part, act_part, act_place, situation_of};
use receiver::sheet::{Sheet, read_sheet};
use receiver::wiring::SetModel;

fn sheet_of(text: &str) -> Sheet {
    let reading = read_sheet(text, parts::catalogue().expect("the tables are sound"));
    assert_eq!(reading.faults, []);
    reading.sheet.expect("no fault, so a sheet")
}

fn example(name: &str) -> Sheet {
    let path = Path::new(env!("CARGO_MANIFEST_DIR"))
        .join("../../examples")
        .join(format!("{name}.toml"));
    sheet_of(&std::fs::read_to_string(path).expect("an example"))
}

fn model(sheet: &Sheet) -> SetModel<'_> {
    SetModel::new(sheet, parts::catalogue().expect("the tables are sound"))
}

#[test]
fn places_of_pulses_and_high_voltage_are_known_by_the_tubes() {
    let larkfield = example("larkfield_12t");
    let merrow = example("merrow_17s");
    let check = |sheet: &Sheet, place: &str, expected: ActPlace| {
        let model = model(sheet);
        let place = model.places.find(place).expect("on the sheet");
        assert_eq!(act_place(&model, place), expected, "{place}");
    };
    let named = |name: &str| ActPlace::Junction(name.to_string());
    check(
        &larkfield,
        "V17.cap",
        ActPlace::HorizontalOutputPlate("V17".into()),
    );
    check(&larkfield, "V18.3", ActPlace::DamperCathode("V18".into()));
    check(&larkfield, "V20.coating", ActPlace::PictureTubeCoating);
    check(&larkfield, "line a", ActPlace::LineBlade("line a".into()));
    check(&larkfield, "chassis", ActPlace::Chassis);
    check(&larkfield, "V15.8", ActPlace::Chassis);
    check(&larkfield, "B+ main", named("B+ main"));
    check(&larkfield, "boost", named("boost"));
    check(&larkfield, "V18.5", named("V18.5"));
    check(
        &merrow,
        "V14.cap",
        ActPlace::HorizontalOutputPlate("V14".into()),
    );
    check(&merrow, "V15.3", ActPlace::DamperCathode("V15".into()));

    let model = model(&larkfield);
    let part = |reference: &str| act_part(&model, model.part_index(reference).expect("there"));
    assert_eq!(part("J2"), ActPlace::SweepFeed("J2".into()));
    assert_eq!(part("J1A"), ActPlace::Plug("J1A".into()));
    assert_eq!(part("SW1"), ActPlace::Switch("SW1".into()));
    assert_eq!(part("F1"), ActPlace::Fuse("F1".into()));
    assert_eq!(part("R30"), ActPlace::Part("R30".into()));
}

#[test]
fn the_situation_is_read_off_the_sheet() {
    let larkfield = example("larkfield_12t");
    let merrow = example("merrow_17s");
    let (one, other) = (
        situation_of(&model(&larkfield)),
        situation_of(&model(&merrow)),
    );
    assert_eq!(
        (one.heater_string, other.heater_string),
        (Some(false), Some(true))
    );
    assert_eq!((one.selenium, other.selenium), (Some(false), Some(true)));
    assert_eq!(
        (one.power_transformer, other.power_transformer),
        (Some(true), Some(false))
    );
    assert_eq!((one.top_caps, other.top_caps), (Some(true), Some(true)));
    assert_eq!(
        (one.horizontal_output, other.horizontal_output),
        (Some(true), Some(true))
    );
    // C2 and C3 as found; C10 is cut loose.
    assert_eq!(one.old_line_capacitors, Some(true));
    assert_eq!(other.old_line_capacitors, Some(false));
    // Only an eye can tell.
    for situation in [&one, &other] {
        assert_eq!(situation.coating_grounded, None);
        assert_eq!(situation.cage_fitted, None);
        assert_eq!(situation.front_glass_fitted, None);
        assert_eq!(situation.plug_in, None);
    }
}

fn missing(sheet: &Sheet, tube: &str, pulled: &[&str], open: &[&str]) -> Absence {
    let model = model(sheet);
    let list = |names: &[&str]| names.iter().map(ToString::to_string).collect();
    let conditions = BenchConditions {
        pulled: list(pulled),
        open: list(open),
        ..BenchConditions::default()
    };
    let tube = model.tube_index(tube).expect("on the sheet");
    absence(&model, tube, &conditions)
}

#[test]
fn a_tube_of_a_string_is_never_found_harmless() {
    let merrow = example("merrow_17s");
    for tube in ["V9", "V14", "V17"] {
        assert_eq!(
            missing(&merrow, tube, &[], &[]),
            Absence::default(),
            "{tube}"
        );
    }
}

#[test]
fn with_every_rectifier_out_nothing_is_harmed() {
    let larkfield = example("larkfield_12t");
    for tube in ["V14", "V16", "V18", "V8"] {
        assert_eq!(
            missing(&larkfield, tube, &["V14"], &[]),
            Absence::HARMLESS,
            "{tube}"
        );
    }
}

#[test]
fn what_a_missing_tube_does_while_b_plus_stands() {
    let larkfield = example("larkfield_12t");
    // The damper feeds the output tube's plate; its screen is fed straight from the sweep feed.
    let damper = missing(&larkfield, "V18", &[], &[]);
    assert_eq!(damper.leaves_screen_fed, Some(true));
    let damper = missing(&larkfield, "V18", &[], &["J2"]);
    assert_eq!(damper.leaves_screen_fed, Some(false));
    // The horizontal oscillator is the drive, as long as the output stage is fed.
    assert_eq!(missing(&larkfield, "V16", &[], &[]).takes_drive, Some(true));
    assert_eq!(
        missing(&larkfield, "V16", &[], &["J2"]).takes_drive,
        Some(false)
    );
    // Coupled to the picture tube through a capacitor only: its grid stays on the chassis.
    assert_eq!(
        missing(&larkfield, "V8", &[], &[]).lifts_picture_grid,
        Some(false)
    );
    // The grid of V8 is not on the sheet, so nobody can tell what biases it.
    assert_eq!(
        missing(&larkfield, "V4", &[], &["J2"]),
        Absence {
            takes_bias: None,
            ..Absence::HARMLESS
        }
    );
}

/// A picture tube whose video tube is tied to its grid or to its cathode.
fn direct_coupled(grid: &str, cathode: &str) -> Sheet {
    sheet_of(&format!(
        "sheet = 1\nname = \"study\"\nline_volts = 117\nline_hertz = 60\n\
         tubes = [ [\"V1\", \"5Y3-GT\", \"rectifier\"], [\"V2\", \"6AU6\", \"video amplifier\"],\n\
           [\"V3\", \"12LP4-A\", \"picture tube\"], [\"V4\", \"6AU6\", \"sound i.f.\"] ]\n\
         windings = [ [\"T1\", \"primary\", \"117 V 3 ohm\", \"line a\", \"line b\"],\n\
           [\"T1\", \"plates 1\", \"250 V 40 ohm\", \"V1.4\", \"chassis\"],\n\
           [\"T1\", \"plates 2\", \"250 V 40 ohm\", \"chassis\", \"V1.6\"],\n\
           [\"T1\", \"rectifier\", \"5 V 0.04 ohm\", \"V1.2\", \"V1.8\"],\n\
           [\"T1\", \"heaters\", \"6.3 V 0.03 ohm\", \"heater\", \"chassis\"] ]\n\
         parts = [ [\"C1\", \"electrolytic\", \"40 mfd 450 V\", \"V1.8\", \"chassis\"],\n\
           [\"R1\", \"resistor\", \"10k\", \"V1.8\", \"V2.5\"],\n\
           [\"R2\", \"resistor\", \"150k\", \"V1.8\", \"top\"],\n\
           [\"R3\", \"control\", \"100k at 0.5\", \"top\", \"chassis\", \"wiper\"],\n\
           [\"R4\", \"resistor\", \"470k\", \"V2.1\", \"chassis\"],\n\
           [\"W3\", \"wire\", \"\", \"V2.7\", \"chassis\"],\n\
           [\"W1\", \"wire\", \"\", \"{grid}\", \"V3.2\"],\n\
           [\"W2\", \"wire\", \"\", \"{cathode}\", \"V3.11\"] ]\n\
         heaters = [ {{ from = \"heater\", to = \"chassis\", parallel = [\"V2\", \"V3\", \"V4\"] }} ]\n"
    ))
}

#[test]
fn a_directly_coupled_video_tube_may_hold_the_picture_tube() {
    // Tied to the grid: with the tube out its plate resistor lifts the grid to B+.
    let to_grid = direct_coupled("V2.5", "wiper");
    assert_eq!(
        missing(&to_grid, "V2", &[], &[]).lifts_picture_grid,
        Some(true)
    );
    // Tied to the cathode: the cathode rises, the beam is cut off.
    let to_cathode = direct_coupled("wiper", "V2.5");
    assert_eq!(
        missing(&to_cathode, "V2", &[], &[]).lifts_picture_grid,
        Some(false)
    );
    // Another tube shares nothing with either.
    assert_eq!(
        missing(&to_grid, "V4", &[], &[]).lifts_picture_grid,
        Some(false)
    );
}

#[test]
fn opening_the_sweep_feed_of_the_examples_harms_nothing() {
    for name in ["larkfield_12t", "merrow_17s"] {
        let sheet = example(name);
        let model = model(&sheet);
        let part = model.part_index("J2").expect("the feed");
        assert_eq!(
            absence_of_part(&model, part, &BenchConditions::default()),
            Absence::HARMLESS,
            "{name}"
        );
    }
}

#[test]
fn a_plug_that_takes_the_plate_and_leaves_the_screen_is_found() {
    let sheet = sheet_of(
        "sheet = 1\nname = \"study\"\nline_volts = 117\nline_hertz = 60\n\
         tubes = [ [\"V1\", \"5Y3-GT\", \"rectifier\"], [\"V2\", \"6K6-GT\", \"sound output\"] ]\n\
         windings = [ [\"T1\", \"primary\", \"117 V 3 ohm\", \"line a\", \"line b\"],\n\
           [\"T1\", \"plates 1\", \"250 V 40 ohm\", \"V1.4\", \"chassis\"],\n\
           [\"T1\", \"plates 2\", \"250 V 40 ohm\", \"chassis\", \"V1.6\"],\n\
           [\"T1\", \"rectifier\", \"5 V 0.04 ohm\", \"V1.2\", \"V1.8\"] ]\n\
         parts = [ [\"C1\", \"electrolytic\", \"40 mfd 450 V\", \"V1.8\", \"chassis\"],\n\
           [\"P1\", \"plug\", \"\", \"V1.8\", \"speaker\"],\n\
           [\"T2\", \"coil\", \"8 H 250 ohm\", \"speaker\", \"V2.3\"],\n\
           [\"W1\", \"wire\", \"\", \"V1.8\", \"V2.4\"],\n\
           [\"R1\", \"resistor\", \"470k\", \"V2.5\", \"chassis\"],\n\
           [\"R2\", \"resistor\", \"470 ohm\", \"V2.8\", \"chassis\"] ]\n",
    );
    let model = model(&sheet);
    let part = model.part_index("P1").expect("the plug");
    let found = absence_of_part(&model, part, &BenchConditions::default());
    assert_eq!(found.leaves_screen_fed, Some(true));
}

#[test]
fn every_capacitor_of_the_examples_is_in_its_place() {
    use CapacitorPlace as At;
    let larkfield = example("larkfield_12t");
    let merrow = example("merrow_17s");
    let check = |sheet: &Sheet, reference: &str, place: At, wish: Wish| {
        let reviews = review_capacitors(&model(sheet));
        let review = reviews
            .iter()
            .find(|review| review.reference == reference)
            .unwrap_or_else(|| panic!("{reference} is not reviewed"));
        assert_eq!((review.place, review.wish), (place, wish), "{reference}");
        assert_eq!(review.risk.is_empty(), wish == Wish::Nothing, "{reference}");
    };
    let safety = |class| Wish::SafetyPart(class);
    use receiver::hazard::SafetyClass::Y;
    check(&larkfield, "C2", At::LineToChassis, safety(Y));
    check(&larkfield, "C3", At::LineToChassis, safety(Y));
    check(&larkfield, "C1A", At::Filter, Wish::Nothing);
    check(&larkfield, "C4A", At::Filter, Wish::ReplaceOrReForm);
    check(&larkfield, "C5", At::NegativeLine, Wish::ReplaceOrReForm);
    check(&larkfield, "C43", At::ScreenBypass, Wish::ReplaceOrReForm);
    check(&larkfield, "C7", At::SupplyBypass, Wish::Decide);
    check(&larkfield, "C40", At::ScreenBypass, Wish::Nothing);
    check(&larkfield, "C41", At::Coupling, Wish::ReplaceOrCutLoose);
    check(&larkfield, "C42", At::PictureTubeCathode, Wish::Decide);
    check(&larkfield, "C50", At::Coupling, Wish::ReplaceOrCutLoose);
    check(&larkfield, "C51", At::Coupling, Wish::ReplaceOrCutLoose);
    check(&larkfield, "C52", At::Coupling, Wish::Decide);
    check(&larkfield, "C60", At::Boost, Wish::ReplaceOrCutLoose);
    check(&larkfield, "C61", At::PictureTube, Wish::Decide);
    check(&merrow, "C10", At::AcrossLine, Wish::Nothing);
    check(&merrow, "C1", At::Doubler, Wish::Nothing);
    check(&merrow, "C2A", At::Filter, Wish::Nothing);
    check(&merrow, "C3", At::Filter, Wish::ReplaceOrReForm);
    check(&merrow, "C41", At::ScreenBypass, Wish::Decide);
    check(&merrow, "C42", At::PictureTube, Wish::Decide);
    check(&merrow, "C50", At::Coupling, Wish::ReplaceOrCutLoose);
    check(&merrow, "C60", At::Boost, Wish::ReplaceOrCutLoose);
    let reviews = review_capacitors(&model(&larkfield));
    assert!(
        reviews
            .iter()
            .any(|review| review.state == CapacitorState::CutLoose)
    );
}
