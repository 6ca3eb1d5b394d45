//! Looking things up, against figures named beside each case.

use parts::{
    Catalogue, DiodeMaterial, GENERAL_GERMANIUM_DIODE, GENERAL_HEATER_STRING,
    GENERAL_SELENIUM_DIODE, Heating, PinKnowledge, PinName, Standing, catalogue,
};

fn sound() -> &'static Catalogue {
    catalogue().expect("the tables are sound")
}

/// Shows what a tube number is answered by.
fn answer(asked: &str) -> String {
    match sound().tube_match(asked) {
        None => "nothing".to_string(),
        Some(found) if found.exact => found.tube.name.clone(),
        Some(found) => {
            assert!(
                found.note.as_ref().is_some_and(
                    |note| note.contains(&found.tube.name) || note.contains("taken as")
                )
            );
            format!("~{}", found.tube.name)
        }
    }
}

#[test]
fn tube_numbers_are_found_as_people_write_them() {
    let cases = [
        ("5U4-G", "5U4-G"),
        ("5U4G", "5U4-G"),
        ("5u4 g", "5U4-G"),
        ("6sn7gtb", "6SN7-GTB"),
        ("12lp4a", "12LP4-A"),
        // Other numbers of the same tube: equivalents lists, from memory.
        ("ECC82", "~12AU7"),
        ("EB91", "~6AL5"),
        ("6SN7GT", "6SN7-GT"),
        ("6SN7", "~6SN7-GT"),
        // The same but for the warm-up is a type of its own.
        ("6AQ5", "6AQ5"),
        ("6AU6A", "6AU6-A"),
        // Only the suffix is strange: nearest earlier suffix, never exact.
        ("6AU6WA", "~6AU6-A"),
        ("5U4GA", "~5U4-G"),
        ("6AG5W", "~6AG5"),
        ("12LP4C", "~12LP4-A"),
        ("9XX9", "nothing"),
        ("6SN8", "nothing"),
        ("", "nothing"),
        ("-", "nothing"),
    ];
    for (asked, expected) in cases {
        assert_eq!(answer(asked), expected, "{asked}");
    }
}

#[test]
fn a_number_that_only_resembles_another_is_not_silently_answered() {
    assert!(sound().tube("6AG5W").is_none());
    assert!(sound().tube("ECC82").is_some());
}

#[test]
fn a_misspelt_number_gets_its_neighbours() {
    assert!(sound().nearest_tubes("6SM7GT").contains(&"6SN7-GT"));
    assert!(sound().nearest_tubes("12LP44").contains(&"12LP4"));
    assert!(sound().nearest_tubes("").is_empty());
}

#[test]
fn heaters_are_as_the_manuals_print_them() {
    // RCA Receiving Tube Manuals, from memory; 12SN7 and 25L6 family read.
    let cases = [
        ("5U4-G", 5.0, 3.0),
        ("5Y3-GT", 5.0, 2.0),
        ("6X4", 6.3, 0.6),
        ("6AU6", 6.3, 0.3),
        ("3AU6", 3.15, 0.6),
        ("12SN7-GT", 12.6, 0.3),
        ("25L6-GT", 25.0, 0.3),
        ("12BY7-A", 12.6, 0.3),
        ("12LP4", 6.3, 0.6),
        ("17BP4-A", 6.3, 0.6),
    ];
    for (name, volts, amperes) in cases {
        let heater = sound()
            .tube(name)
            .and_then(|tube| tube.heater.as_ref())
            .expect(name);
        assert_eq!((heater.volts, heater.amperes), (volts, amperes), "{name}");
    }
}

#[test]
fn hot_heater_ohms_meet_the_outside_checks() {
    // checks.csv HE001 and HE003: Ohm's law on the rating.
    for (name, ohms) in [("6SN7-GTB", 10.5), ("5U4-GB", 1.6667)] {
        let heater = sound()
            .tube(name)
            .and_then(|tube| tube.heater.as_ref())
            .expect(name);
        assert!((heater.hot_ohms() / ohms - 1.0).abs() < 0.01, "{name}");
    }
}

#[test]
fn a_tapped_heater_can_be_fed_at_half_the_volts() {
    // 12BH7: 12.6 V 0.3 A, or 6.3 V 0.6 A parallel; read.
    let heater = |name| {
        sound()
            .tube(name)
            .and_then(|tube| tube.heater.clone())
            .expect("known")
    };
    assert_eq!(heater("12BH7-A").halves_in_parallel(), Some((6.3, 0.6)));
    assert_eq!(heater("6SN7-GT").halves_in_parallel(), None);
}

#[test]
fn warm_up_is_controlled_where_the_suffix_says_so() {
    // Common practice: 600 and 450 mA types; plain suffixes before about 1955 not.
    let cases = [
        ("3CB6", true),
        ("12BQ6-GTB", true),
        ("6AQ5-A", true),
        ("6AQ5", false),
        ("6SN7-GTB", true),
        ("6SN7-GT", false),
        ("6AU6", false),
        ("25BQ6-GTB", false),
        ("6U8", false),
        ("5U8", true),
    ];
    for (name, controlled) in cases {
        let heater = sound()
            .tube(name)
            .and_then(|tube| tube.heater.clone())
            .expect(name);
        assert_eq!(heater.controlled_warm_up, controlled, "{name}");
        assert_eq!(heater.warm_up_seconds.is_some(), controlled, "{name}");
    }
}

#[test]
fn two_sources_that_disagree_stand_side_by_side() {
    // 44 V from memory of one maker, 58 V read of another (checks.csv RS016).
    let tube = sound().tube("5U4-G").expect("listed");
    let rating = tube
        .rectifier_section()
        .and_then(|s| s.rectifier.clone())
        .expect("a rectifier");
    let drops: Vec<(f64, f64, Standing)> = rating
        .drop_points
        .iter()
        .map(|p| (p.volts, p.milliamperes, p.standing))
        .collect();
    assert_eq!(
        drops,
        [
            (44.0, 225.0, Standing::Memory),
            (58.0, 225.0, Standing::Published)
        ]
    );
    assert_eq!(rating.max_inverse_volts, Some(1550.0));
    assert_eq!(rating.max_dc_milliamperes, Some(225.0));
    assert!(!rating.dc_is_per_plate);
}

#[test]
fn rectifier_paths_name_plates_and_cathodes() {
    let cases = [
        ("5U4-G", "4>2&8 6>2&8"),
        ("5V4-G", "4>8 6>8"),
        ("6X4", "6>7 1>7"),
        ("25Z6-GT", "3>4 5>8"),
        ("1B3-GT", "cap>2&7"),
        ("6W4-GT", "5>3"),
        ("6AU6", ""),
    ];
    for (name, expected) in cases {
        let paths = sound().tube(name).expect(name).rectifier_paths();
        let mut shown: Vec<String> = paths
            .iter()
            .map(|path| {
                let cathodes: Vec<String> = path.cathodes.iter().map(ToString::to_string).collect();
                format!("{}>{}", path.plate, cathodes.join("&"))
            })
            .collect();
        let mut wanted: Vec<&str> = expected.split_whitespace().collect();
        shown.sort();
        wanted.sort_unstable();
        assert_eq!(shown, wanted, "{name}");
    }
}

#[test]
fn heating_tells_how_soon_a_rectifier_conducts() {
    let heating = |name| {
        sound()
            .tube(name)
            .and_then(|tube| tube.heater.as_ref())
            .and_then(|heater| heater.heating)
    };
    assert_eq!(heating("5U4-GB"), Some(Heating::Direct));
    assert_eq!(heating("5V4-G"), Some(Heating::Indirect));
    assert_eq!(heating("21DEP4"), None, "its heater amperes are not known");
    assert_eq!(heating("12LP4"), Some(Heating::Indirect));
}

#[test]
fn a_contact_is_recorded_or_not_or_absent() {
    let cases = [
        ("6AU6", PinName::Number(7), "cathode"),
        ("6AU6", PinName::Number(8), "absent"),
        ("6AU6", PinName::Cap, "absent"),
        ("6AU6", PinName::Anode, "absent"),
        ("6BG6-G", PinName::Cap, "plate"),
        ("6BG6-G", PinName::Number(1), "not recorded"),
        ("6X8", PinName::Number(9), "not recorded"),
        ("6X8", PinName::Number(10), "absent"),
        ("12LP4", PinName::Anode, "anode"),
        ("12LP4", PinName::Cap, "anode"),
        ("12LP4", PinName::Coating, "outer-coating"),
        ("12LP4", PinName::Number(11), "cathode"),
        ("12LP4", PinName::Number(13), "absent"),
        ("12QP4", PinName::Coating, "absent"),
        ("12UP4", PinName::Anode, "anode"),
        ("7JP4", PinName::Anode, "absent"),
    ];
    for (name, pin, expected) in cases {
        let tube = sound().tube(name).expect(name);
        let shown = match tube.pin_knowledge(pin) {
            PinKnowledge::Recorded(pin) => pin.elements.join("+"),
            PinKnowledge::NotRecorded => "not recorded".to_string(),
            PinKnowledge::Absent { because, hint } => {
                assert!(!because.is_empty() && !hint.is_empty());
                "absent".to_string()
            }
        };
        assert_eq!(shown, expected, "{name}.{pin}");
    }
}

#[test]
fn the_cathode_of_a_filament_tube_is_its_filament() {
    let tube = sound().tube("5Y3-GT").expect("listed");
    assert_eq!(tube.heater_pins(), [PinName::Number(2), PinName::Number(8)]);
    let twin = sound().tube("12AU7").expect("listed");
    assert_eq!(twin.heater_pins(), [PinName::Number(4), PinName::Number(5)]);
    assert_eq!(twin.pins_carrying("heater-tap"), [PinName::Number(9)]);
}

#[test]
fn selenium_goes_by_plates_and_current() {
    // Cell rating of 26 V rms read (Metallic Rectifiers, 1957): checks.csv SE001.
    let listed = sound().selenium(5, Some(300.0)).expect("listed");
    assert_eq!(listed.name, "selenium-5-plate-300mA");
    assert_eq!(listed.max_input_volts_rms, Some(130.0));
    assert_eq!(listed.drop_volts_per_plate(), Some(1.0));
    assert_eq!(listed.provenance.standing, Standing::Memory);

    let made_up = sound().selenium(4, Some(120.0)).expect("made up");
    assert_eq!(made_up.max_input_volts_rms, Some(104.0));
    assert_eq!(made_up.drop_milliamperes, Some(120.0));
    assert_eq!(made_up.provenance.standing, Standing::Estimated);

    let no_rating = sound().selenium(5, None).expect("made up");
    assert_eq!(no_rating.rated_milliamperes, None);
    assert_eq!(sound().selenium(0, Some(300.0)), None);
    assert_eq!(sound().selenium(5, Some(-1.0)), None);
    assert_eq!(sound().selenium(5, Some(f64::NAN)), None);
}

#[test]
fn silicon_goes_by_type_or_rating() {
    // 1N4001-1N4007 sheet, read.
    assert_eq!(
        sound()
            .silicon("1n4007")
            .and_then(|row| row.max_inverse_volts),
        Some(1000.0)
    );
    assert_eq!(
        sound()
            .silicon_of_rating(1.0, 1000.0)
            .map(|row| row.name.as_str()),
        Some("1N4007")
    );
    assert_eq!(
        sound()
            .silicon_of_rating(0.5, 300.0)
            .map(|row| row.name.as_str()),
        Some("1N4004")
    );
    assert_eq!(
        sound()
            .silicon_of_rating(2.0, 600.0)
            .map(|row| row.name.as_str()),
        Some("1N5408")
    );
    assert!(sound().silicon_of_rating(50.0, 600.0).is_none());
}

#[test]
fn lamps_go_by_watts() {
    // 100 W: 144 ohm lit, 9.5 ohm cold, settled after 0.1 s; read (LA001, LA003).
    let lamp = sound().lamp(100.0).expect("listed");
    assert_eq!(
        (lamp.hot_ohms, lamp.cold_ohms, lamp.settle_seconds),
        (144.0, 9.5, Some(0.1))
    );
    assert!(sound().lamp(80.0).is_none());
    let scaled = sound().lamp_of_rating(80.0, 120.0).expect("scaled");
    assert_eq!(scaled.hot_ohms, 180.0);
    assert_eq!(scaled.provenance.standing, Standing::Estimated);
    // A 230 V 100 W lamp is near normal in 0.05 s (lamptech.co.uk, read): half
    // the current, so less than the 0.1 s of the 120 V lamp.
    let high = sound()
        .lamp_of_rating(100.0, 230.0)
        .and_then(|lamp| lamp.settle_seconds);
    assert!(
        high.is_some_and(|seconds| (seconds / 0.05 - 1.0).abs() < 0.4),
        "{high:?}"
    );
    assert!(sound().lamp_of_rating(3000.0, 120.0).is_none());
    assert!(sound().lamp_of_rating(f64::NAN, 120.0).is_none());
    let watts: Vec<f64> = sound().lamps().iter().map(|lamp| lamp.watts).collect();
    assert!(watts.windows(2).all(|pair| pair[0] < pair[1]));
}

#[test]
fn thermistors_settle_on_the_published_law() {
    // R = 3.04 I^-1.36 between 0.5 and 2 A, sheet of the limiter, read.
    let limiter = sound().thermistor("CL-90").expect("listed");
    assert_eq!(limiter.settled_points.len(), 4);
    for (milliamperes, ohms) in &limiter.settled_points {
        let law = 3.04 * (milliamperes / 1000.0).powf(-1.36);
        assert!(
            (ohms / law - 1.0).abs() < 0.02,
            "{milliamperes} mA: {ohms} against {law}"
        );
    }
    // The general kind knows ratios, not ohms.
    let general = sound().thermistor(GENERAL_HEATER_STRING).expect("listed");
    assert_eq!((general.cold_ohms, general.hot_ohms), (None, None));
    assert_eq!(general.cold_over_hot(), Some(100.0));
    // B from 5500 ohm at 25 C and 40 ohm at 250 C: closed form.
    let british = sound().thermistor("british-heater-string").expect("listed");
    let b = (5500.0f64 / 40.0).ln() / (1.0 / 298.15 - 1.0 / 523.15);
    assert!(
        british
            .b_kelvin
            .is_some_and(|listed| (listed / b - 1.0).abs() < 0.001)
    );
}

#[test]
fn trade_facts_are_found_by_name() {
    let number = sound()
        .trade_number("Heater hot to cold resistance")
        .expect("listed");
    assert_eq!((number.low, number.high), (5.0, 10.0));
    assert!(sound().trade_number("no such thing").is_none());
    assert_eq!(sound().part_faults("electrolytic").len(), 10);
    assert!(sound().part_faults("no such kind").is_empty());
    assert!(
        sound()
            .part_faults("resistor")
            .iter()
            .any(|fault| fault.is_limited())
    );
    assert!(!sound().parts_trade().is_empty() && !sound().replacement_rules().is_empty());
}

#[test]
fn picture_tubes_keep_what_is_not_known_open() {
    let tube = sound().tube("9QP4").expect("listed");
    assert!(tube.is_picture_tube);
    assert_eq!((tube.heater.as_ref(), tube.pin_count), (None, None));
    assert!(matches!(
        tube.pin_knowledge(PinName::Number(12)),
        PinKnowledge::NotRecorded
    ));
    let picture = sound()
        .tube("12LP4")
        .and_then(|tube| tube.picture.clone())
        .expect("listed");
    // 250 V on grid 2: cut-off -27 to -63 V (checks.csv PT004, PT005).
    assert_eq!(picture.cutoff_nearest_volts, Some(-27.0));
    assert_eq!(picture.cutoff_farthest_volts, Some(-63.0));
    assert!(
        picture
            .close_replacements
            .iter()
            .any(|other| other.name == "12KP4")
    );
}

#[test]
fn small_diodes_and_neon_lamps_go_by_type() {
    // 5 mA at 1 V and 60 V inverse; 90 V d.c. strikes any new lamp: from memory of the sheets.
    let diode = sound().small_diode("1n34a").expect("listed");
    assert_eq!(
        (
            diode.name.as_str(),
            diode.forward_milliamperes_at_1_volt,
            diode.max_inverse_volts
        ),
        ("1N34A", Some(5.0), Some(60.0))
    );
    let lamp = sound().neon_lamp("NE51").expect("listed");
    assert_eq!(
        (lamp.name.as_str(), lamp.strike_max_volts),
        ("NE-51", Some(90.0))
    );
    // A screw-base lamp has its resistor inside, one with wire leads has not (common practice).
    let inside = |name: &str| sound().neon_lamp(name).expect("listed").base_ohms;
    assert_eq!((inside("NE-45"), inside("NE-2")), (Some(30e3), None));
    for (name, material) in [
        (GENERAL_GERMANIUM_DIODE, DiodeMaterial::Germanium),
        (GENERAL_SELENIUM_DIODE, DiodeMaterial::Selenium),
    ] {
        let general = sound().small_diode(name).expect("listed");
        assert_eq!(general.material, material);
        assert!(general.is_general() && general.provenance.is_doubtful("forward_ma_at_1_v"));
    }
    assert!(sound().small_diode("1N4007").is_none() && sound().neon_lamp("").is_none());
}
