//! What each kind of part makes of its value. Expected values are those the bench notation means.

use parts::{Catalogue, DiodeMaterial};
use receiver::conditions::Meter;
use receiver::sheet::{
    CapacitorStyle, CoilKind, LampRating, MeasuredValue, PartKind, PartValue, ResistorMake, Sheet,
    read_meter, read_sheet,
};

fn catalogue() -> &'static Catalogue {
    parts::catalogue().expect("the tables are sound")
}

fn sheet(rows: &str) -> Sheet {
    let text = format!("sheet = 1\nline_volts = 117\nline_hertz = 60\n{rows}");
    let reading = read_sheet(&text, catalogue());
    assert_eq!(reading.faults, [], "{rows}");
    reading.sheet.expect("no fault, so a sheet")
}

fn value(kind: &str, text: &str) -> PartValue {
    let sheet = sheet(&format!(
        "parts = [[\"P1\", \"{kind}\", \"{text}\", \"a\", \"chassis\"]]"
    ));
    let part = sheet.part("P1").expect("there");
    assert_eq!(Some(part.value.kind()), PartKind::named(kind));
    part.value.clone()
}

fn close(found: Option<f64>, wanted: Option<f64>) -> bool {
    match (found, wanted) {
        (Some(found), Some(wanted)) => (found - wanted).abs() <= 1e-9 * wanted.abs(),
        (None, None) => true,
        _ => false,
    }
}

#[test]
fn resistors_and_controls() {
    let check = |text: &str,
                 wanted_ohms: f64,
                 wanted_watts: Option<f64>,
                 wanted_tolerance: Option<(f64, f64)>| {
        let PartValue::Resistor {
            ohms,
            watts,
            tolerance,
            ..
        } = value("resistor", text)
        else {
            panic!("{text}")
        };
        let tolerance = tolerance.map(|tolerance| (tolerance.down, tolerance.up));
        assert!(
            close(Some(ohms), Some(wanted_ohms)) && close(watts, wanted_watts),
            "{text}"
        );
        assert_eq!(tolerance, wanted_tolerance, "{text}");
    };
    check("4700", 4700.0, None, None);
    check("4k7 2 W 10%", 4700.0, Some(2.0), Some((0.1, 0.1)));
    check("1 meg 1/2 W 10%", 1e6, Some(0.5), Some((0.1, 0.1)));
    check("0.47 ohm", 0.47, None, None);
    check("1k +20 -10 %", 1000.0, None, Some((0.1, 0.2)));
    for (text, wanted) in [
        ("1k", None),
        ("1k carbon", Some(ResistorMake::Carbon)),
        ("1k 10 W wire-wound", Some(ResistorMake::WireWound)),
        ("7.5 ohm fusible", Some(ResistorMake::Fusible)),
        ("1k film", Some(ResistorMake::Film)),
    ] {
        assert!(
            matches!(value("resistor", text), PartValue::Resistor { make, .. } if make == wanted),
            "{text}"
        );
    }
    assert!(matches!(
        value("control", "5k at 0.4 2 W"),
        PartValue::Control {
            ohms: 5e3,
            at: Some(0.4),
            watts: Some(2.0),
            tolerance: None
        }
    ));
    assert!(matches!(
        value("resistor", "16k 20 W at 0.625"),
        PartValue::Resistor {
            at: Some(0.625),
            ..
        }
    ));
}

#[test]
fn capacitors() {
    let check = |kind: &str,
                 text: &str,
                 wanted_farads: f64,
                 wanted_volts: Option<f64>,
                 wanted_surge: Option<f64>| {
        let PartValue::Capacitor {
            farads,
            volts,
            surge_volts,
            ..
        } = value(kind, text)
        else {
            panic!("{text}")
        };
        assert!(
            close(Some(farads), Some(wanted_farads)),
            "{kind} {text}: {farads}"
        );
        assert!(
            close(volts, wanted_volts) && close(surge_volts, wanted_surge),
            "{kind} {text}"
        );
    };
    check("electrolytic", "40 mfd 450 V", 40e-6, Some(450.0), None);
    check("electrolytic", "40", 40e-6, None, None);
    check(
        "electrolytic",
        "40 mfd 450 V 525 V surge",
        40e-6,
        Some(450.0),
        Some(525.0),
    );
    check(
        "electrolytic",
        "40 mfd 450 V surge 525 V",
        40e-6,
        Some(450.0),
        Some(525.0),
    );
    check(
        "electrolytic",
        "40 mfd surge 525 V 450 V",
        40e-6,
        Some(450.0),
        Some(525.0),
    );
    check("paper", ".05", 0.05e-6, None, None);
    check("film", "50 nF 630 V", 50e-9, Some(630.0), None);
    check("mica", "220", 220e-12, None, None);
    check("ceramic", "10 mmf NPO", 10e-12, None, None);
    check("ceramic", "82 mmf N750", 82e-12, None, None);
    check("trimmer", "30 mmf", 30e-12, None, None);
    assert!(matches!(
        value("moulded-paper", "0.1 mfd"),
        PartValue::Capacitor {
            style: CapacitorStyle::MouldedPaper,
            ..
        }
    ));
}

#[test]
fn coils_rectifiers_and_the_rest() {
    assert_eq!(
        value("choke", "3.5 H 85 ohm 200 mA"),
        PartValue::Coil {
            kind: CoilKind::Choke,
            henries: Some(3.5),
            ohms: Some(85.0),
            amperes: Some(0.2),
            at: None
        }
    );
    assert_eq!(
        value("yoke", "13 ohm"),
        PartValue::Coil {
            kind: CoilKind::Yoke,
            henries: None,
            ohms: Some(13.0),
            amperes: None,
            at: None
        }
    );
    assert_eq!(
        value("selenium", "5 plates 300 mA"),
        PartValue::Selenium {
            plates: 5,
            milliamperes: Some(300.0)
        }
    );
    assert_eq!(
        value("silicon", "1 A 1000 V"),
        PartValue::Silicon {
            kind: None,
            amperes: Some(1.0),
            inverse_volts: Some(1000.0)
        }
    );
    // 1 A, 1000 V: its data sheet.
    assert_eq!(
        value("silicon", "1N4007"),
        PartValue::Silicon {
            kind: Some("1N4007".to_string()),
            amperes: Some(1.0),
            inverse_volts: Some(1000.0)
        }
    );
    let warm = PartValue::Thermistor {
        kind: None,
        cold_ohms: Some(120.0),
        hot_ohms: Some(1.2),
        amperes: Some(1.5),
    };
    assert_eq!(value("thermistor", "120 ohm cold 1.2 ohm hot 1.5 A"), warm);
    // 120 ohm cold, 1.18 ohm at 2 A: its data sheet.
    let by_type = PartValue::Thermistor {
        kind: Some("CL-90".to_string()),
        cold_ohms: Some(120.0),
        hot_ohms: Some(1.18),
        amperes: Some(2.0),
    };
    assert_eq!(value("thermistor", "CL-90"), by_type);
    assert_eq!(
        value("ballast", "43 V 0.3 A"),
        PartValue::Ballast {
            volts: 43.0,
            amperes: 0.3
        }
    );
    assert_eq!(
        value("fuse", "1.6 A slow"),
        PartValue::Fuse {
            amperes: Some(1.6),
            ohms: None,
            slow: true
        }
    );
    assert_eq!(
        value("fuse", "0.25 A 250 V"),
        PartValue::Fuse {
            amperes: Some(0.25),
            ohms: None,
            slow: false
        }
    );
    assert_eq!(
        value("lamp", "100 W"),
        PartValue::Lamp(LampRating::Watts {
            watts: 100.0,
            volts: 120.0
        })
    );
    assert_eq!(
        value("lamp", "60 W 230 V"),
        PartValue::Lamp(LampRating::Watts {
            watts: 60.0,
            volts: 230.0
        })
    );
    assert_eq!(
        value("lamp", "6.3 V 0.15 A"),
        PartValue::Lamp(LampRating::Amperes {
            volts: 6.3,
            amperes: 0.15
        })
    );
    assert_eq!(
        value("load", "300 mA at 140 V steady"),
        PartValue::Load {
            amperes: 0.3,
            volts: 140.0,
            steady: true,
            stands_for: Vec::new()
        }
    );
    assert_eq!(value("switch", "open"), PartValue::Switch { open: true });
    assert_eq!(value("plug", "closed"), PartValue::Plug { open: false });
}

#[test]
fn crystals_neons_and_voltage_dependent_resistors() {
    let crystal = |text: &str,
                   wanted_kind: Option<&str>,
                   wanted_material: DiodeMaterial,
                   wanted: [Option<f64>; 3]| {
        let PartValue::Crystal {
            kind,
            material,
            forward_amperes,
            forward_volts,
            inverse_volts,
        } = value("crystal", text)
        else {
            panic!("{text}")
        };
        assert_eq!(
            (kind.as_deref(), material),
            (wanted_kind, wanted_material),
            "{text}"
        );
        for (found, wanted) in [forward_amperes, forward_volts, inverse_volts]
            .into_iter()
            .zip(wanted)
        {
            assert!(close(found, wanted), "{text}: {found:?}");
        }
    };
    use DiodeMaterial::{Germanium, Selenium};
    // 1N34: 5 mA at 1 V, 60 V inverse (from memory of its sheet).
    let published = [Some(5e-3), Some(1.0), Some(60.0)];
    crystal("1N34", Some("1N34"), Germanium, published);
    crystal("1n34a", Some("1N34A"), Germanium, published);
    crystal(
        "1N34A 8 mA at 1 V 50 V",
        Some("1N34A"),
        Germanium,
        [Some(8e-3), Some(1.0), Some(50.0)],
    );
    // Its forward current is not known.
    crystal(
        "1N64 20 V",
        Some("1N64"),
        Germanium,
        [None, None, Some(20.0)],
    );
    crystal("", None, Germanium, [None; 3]);
    crystal("60 V", None, Germanium, [None, None, Some(60.0)]);
    crystal("selenium", None, Selenium, [None; 3]);
    crystal(
        "germanium 5 mA at 1 V",
        None,
        Germanium,
        [Some(5e-3), Some(1.0), None],
    );
    let neon = |text: &str, wanted_kind: Option<&str>, wanted: [Option<f64>; 4]| {
        let PartValue::Neon {
            kind,
            strike_volts,
            burning_volts,
            amperes,
            base_ohms,
        } = value("neon", text)
        else {
            panic!("{text}")
        };
        assert_eq!(kind.as_deref(), wanted_kind, "{text}");
        for (found, wanted) in [strike_volts, burning_volts, amperes, base_ohms]
            .into_iter()
            .zip(wanted)
        {
            assert!(close(found, wanted), "{text}: {found:?}");
        }
    };
    let written = [Some(65.0), Some(55.0), Some(0.5e-3), None];
    for text in [
        "65 V strike 55 V burning 0.5 mA",
        "strike 65 V burning 55 V 0.5 mA",
        "0.5 mA burning 55 V striking 65 V",
        "0.5 mA 65 V starting, 55 V maintaining",
        "65 V breakdown 55 V operating 0.5 mA",
    ] {
        neon(text, None, written);
    }
    // NE-2: strikes at 90 V d.c. at most, 0.5 mA (from memory of its sheet).
    let ne2 = parts::catalogue().expect("sound").neon_lamp("ne2").cloned();
    let ne2 = ne2.expect("listed");
    assert_eq!(ne2.strike_max_volts, Some(90.0));
    neon(
        "NE2",
        Some("NE-2"),
        [ne2.strike_volts, ne2.burning_volts, Some(0.5e-3), None],
    );
    neon(
        "ne-51 80 V strike 220k",
        Some("NE-51"),
        [Some(80.0), Some(58.0), Some(0.3e-3), Some(220e3)],
    );
    neon("", None, [None; 4]);
    let vdr = |text: &str, wanted: [Option<f64>; 3]| {
        let PartValue::Vdr {
            amperes,
            volts,
            beta,
            ..
        } = value("vdr", text)
        else {
            panic!("{text}")
        };
        for (found, wanted) in [amperes, volts, beta].into_iter().zip(wanted) {
            assert!(close(found, wanted), "{text}: {found:?}");
        }
    };
    let written = [Some(1e-3), Some(100.0), Some(0.2)];
    vdr("1 mA at 100 V beta 0.2", written);
    vdr("beta .2 100 V 1 mA", written);
    vdr("1 mA 100 V exponent 0.2 10%", written);
    vdr("0.5 mA at 300 V", [Some(0.5e-3), Some(300.0), None]);
    vdr("", [None; 3]);
}

#[test]
fn ratings_of_windings() {
    let rating = |text: &str| {
        let sheet = sheet(&format!(
            "windings = [[\"T1\", \"w\", \"{text}\", \"a\", \"chassis\"]]"
        ));
        let winding = &sheet.windings[0];
        [
            winding.volts,
            winding.ohms,
            winding.rated_amperes,
            winding.idle_amperes,
            winding.idle_watts,
        ]
    };
    assert_eq!(
        rating("117 V 4.1 ohm, idle 0.25 A 9 W"),
        [Some(117.0), Some(4.1), None, Some(0.25), Some(9.0)]
    );
    assert_eq!(
        rating("6.3 V 0.02 ohm 9 A"),
        [Some(6.3), Some(0.02), Some(9.0), None, None]
    );
    assert_eq!(rating("325 V"), [Some(325.0), None, None, None, None]);
    assert_eq!(rating(""), [None; 5]);
}

#[test]
fn measured_values_keep_their_unit() {
    let sheet = sheet(
        "windings = [[\"T1\", \"plates 1\", \"325 V\", \"a\", \"chassis\"]]\nparts = [[\"R1\", \"resistor\", \"1k\", \"a\", \"chassis\"], [\"C1\", \"paper\", \"0.05 mfd\", \"a\", \"chassis\"], [\"L1\", \"choke\", \"85 ohm\", \"a\", \"chassis\"]]\n[state]\nmeasured = { r1 = 1100, C1 = \"2 meg\", L1 = \"3.2 H\", \"T1 Plates 1\" = \"31.5 ohm\" }",
    );
    let state = &sheet.state;
    assert_eq!(state.measured_ohms("R1"), Some(1100.0));
    assert_eq!(
        (state.measured_ohms("C1"), state.measured_farads("C1")),
        (Some(2e6), None)
    );
    assert!(
        state
            .measured
            .iter()
            .any(|measured| measured.value == MeasuredValue::Henries(3.2))
    );
    assert_eq!(state.measured_winding_ohms("T1", "plates 1"), Some(31.5));
}

#[test]
fn meters_as_their_owners_know_them() {
    let coil = |ohms_per_volt, range_volts| {
        Some(Meter::OhmsPerVolt {
            ohms_per_volt,
            range_volts,
        })
    };
    for (text, wanted) in [
        ("10M", Some(Meter::InputOhms(10e6))),
        ("11 meg", Some(Meter::InputOhms(11e6))),
        ("20k/V", coil(20e3, None)),
        ("20k/V 500 V", coil(20e3, Some(500.0))),
        ("20k per volt, 500 V range", coil(20e3, Some(500.0))),
        ("1000 ohms per volt", coil(1000.0, None)),
        ("", None),
        ("0", None),
        ("500 V", None),
        ("10M 20k/V", None),
        ("good one", None),
    ] {
        assert_eq!(read_meter(text), wanted, "{text}");
    }
}
