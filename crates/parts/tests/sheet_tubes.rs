//! Tubes described by columns, as a sheet may bring them.

use parts::{Standing, TubeType, catalogue};
use proptest::prelude::*;

/// Shows the columns at fault, in order, or `sound`.
fn faults(columns: &[(&str, &str)]) -> String {
    match TubeType::from_columns("6XX6", columns) {
        Ok(_) => "sound".to_string(),
        Err(faults) => {
            assert!(
                faults
                    .iter()
                    .all(|fault| !fault.text.is_empty() && !fault.hint.is_empty())
            );
            faults
                .iter()
                .map(|fault| fault.column.as_str())
                .collect::<Vec<_>>()
                .join(" ")
        }
    }
}

#[test]
fn all_faults_of_a_described_tube_come_at_once() {
    let cases: [(&[(&str, &str)], &str); 16] = [
        (&[("heater_v", "6.3"), ("heater_a", "0.3")], "sound"),
        (&[], "sound"),
        (
            &[("heater_v", "six"), ("heater_a", "300")],
            "heater_v heater_a",
        ),
        (&[("heater_volts", "6.3")], "heater_volts"),
        (&[("base", "miniature-7"), ("pins", "8:plate")], "pins"),
        (&[("base", "octl-8")], "base"),
        (&[("pins", "1:plait 2")], "pins pins"),
        (&[("kind", "triod")], "kind"),
        (
            &[
                ("kind", "triode"),
                ("drop_v_at", "20"),
                ("drop_ma_at", "100"),
            ],
            "kind",
        ),
        (&[("kind", "rectifier"), ("drop_v_at", "20")], "drop_v_at"),
        (&[("drop_v_at", "20"), ("drop_ma_at", "100")], "kind"),
        (
            &[
                ("heating", "indirect"),
                ("pins", "3:filament 4:filament"),
                ("heater_v", "5"),
                ("heater_a", "2"),
            ],
            "heating",
        ),
        (&[("heater_v", "6.3"), ("heater_v", "5")], "heater_v"),
        (&[("type", "6YY6")], "type"),
        (
            &[
                ("kind", "picture-tube"),
                ("cutoff_low_v", "-77"),
                ("cutoff_high_v", "-33"),
            ],
            "cutoff_low_v",
        ),
        (&[("close_replacements", "12LP4")], "close_replacements"),
    ];
    for (columns, expected) in cases {
        assert_eq!(faults(columns), expected, "{columns:?}");
    }
}

#[test]
fn a_hint_names_the_nearest_right_word() {
    let hint = |columns: &[(&str, &str)]| match TubeType::from_columns("6XX6", columns) {
        Ok(_) => String::new(),
        Err(faults) => faults[0].hint.clone(),
    };
    assert!(hint(&[("heater_volt", "6.3")]).contains("heater_v"));
    assert!(hint(&[("base", "noval9")]).contains("noval-9"));
    assert!(hint(&[("kind", "pentod")]).contains("pentode"));
}

#[test]
fn a_row_of_the_catalogue_described_in_a_sheet_is_the_same_tube() {
    let columns = [
        ("section", "full-wave"),
        ("kind", "rectifier"),
        ("base", "octal"),
        ("basing_code", "5T"),
        ("pins", "2:filament 4:plate2 6:plate1 8:filament"),
        ("heater_v", "5.0"),
        ("heater_a", "3.0"),
        ("heating", "direct"),
        ("drop_v_at", "44"),
        ("drop_ma_at", "225"),
        ("max_piv_v", "1550"),
        ("max_dc_ma", "225"),
        ("max_peak_ma", "800"),
    ];
    let described = TubeType::from_columns("5U4-G", &columns).expect("sound");
    let listed = catalogue().expect("sound").tube("5U4-G").expect("listed");
    assert_eq!(described.pins, listed.pins);
    assert_eq!(described.pin_count, listed.pin_count);
    assert_eq!(described.rectifier_paths(), listed.rectifier_paths());
    assert_eq!(described.provenance.standing, Standing::Stated);
    let points = |tube: &TubeType| {
        tube.sections[0]
            .rectifier
            .clone()
            .expect("a rectifier")
            .drop_points
            .len()
    };
    assert_eq!((points(&described), points(listed)), (1, 2));
}

#[test]
fn picture_columns_make_a_picture_tube() {
    let columns = [
        ("base", "duodecal"),
        ("pins", "1:heater 12:heater cap:anode"),
        ("ion_trap", "single"),
    ];
    let tube = TubeType::from_columns("17ZZP4", &columns).expect("sound");
    assert!(tube.is_picture_tube && tube.picture.is_some());
    assert!(tube.heater.is_none(), "nothing was said about its heater");
}

proptest! {
    #[test]
    fn no_text_makes_a_described_tube_panic(name in "\\PC{0,12}", column in 0usize..34, value in "\\PC{0,24}") {
        let column = parts::TUBE_COLUMNS[column];
        let _ = TubeType::from_columns(&name, &[(column, &value), ("kind", "rectifier"), ("base", "octal")]);
    }

    #[test]
    fn no_text_makes_a_look_up_panic(name in "\\PC{0,16}") {
        let catalogue = catalogue().expect("sound");
        let _ = catalogue.tube_match(&name);
        let _ = catalogue.nearest_tubes(&name);
        let _ = name.parse::<parts::PinName>();
    }

    #[test]
    fn an_answer_is_exact_or_says_why(name in "[1-9][0-9]?[A-Z]{1,2}[1-9](-?(G|GT|GTA|A|B|W))?") {
        if let Some(found) = catalogue().expect("sound").tube_match(&name) {
            prop_assert!(found.exact != found.note.is_some());
        }
    }
}
