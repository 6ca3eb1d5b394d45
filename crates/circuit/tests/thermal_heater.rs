//! Heaters, filaments, cathodes and thermistors against trade figures and closed forms.
#![allow(dead_code, missing_docs)]

mod thermal_table;

use circuit::thermal::{
    AMBIENT_KELVIN, Arrangement, HeaterLaw, HeaterSpec, Heating, ThermalGroup, ThermalLaw,
    ThermistorLaw, ThermistorSpec, USUAL_EMISSION_RESERVE, space_charge_share, worn_currents,
};
use thermal_table::{alone, within};

fn heater(spec: HeaterSpec) -> ThermalLaw {
    ThermalLaw::Heater(HeaterLaw::new(spec).expect("a sound specification"))
}

fn ordinary(volts: f64, amperes: f64) -> HeaterSpec {
    HeaterSpec {
        volts,
        amperes,
        heating: Heating::Indirect,
        warm_up_seconds: None,
        controlled: false,
        hot_to_cold: 7.0,
    }
}

fn controlled(volts: f64, amperes: f64) -> HeaterSpec {
    HeaterSpec {
        controlled: true,
        ..ordinary(volts, amperes)
    }
}

fn filament(volts: f64, amperes: f64) -> HeaterSpec {
    HeaterSpec {
        heating: Heating::Direct,
        hot_to_cold: 5.0,
        ..ordinary(volts, amperes)
    }
}

/// Seconds after switch-on at rated volts until the plate current is three quarters of settled.
fn seconds_to_plate_current(spec: HeaterSpec) -> f64 {
    let group = alone(Arrangement::Parallel, heater(spec));
    let mut state = group.cold_state(AMBIENT_KELVIN);
    let mut seconds = 0.0;
    loop {
        let emission = group.bodies[0]
            .emission_ratio(&state.bodies[0])
            .expect("a cathode");
        if space_charge_share(emission, USUAL_EMISSION_RESERVE) >= 0.75 || seconds > 100.0 {
            return seconds;
        }
        group.advance_in_place(&mut state, spec.volts * spec.volts, 0.02);
        seconds += 0.02;
    }
}

/// Seconds until the heater has 80 percent of its volts in the standard warm-up test.
fn seconds_in_warm_up_test(spec: HeaterSpec) -> f64 {
    let group = alone(Arrangement::Parallel, heater(spec));
    let series = 3.0 * spec.volts / spec.amperes;
    let mut state = group.cold_state(AMBIENT_KELVIN);
    let mut seconds = 0.0;
    let step = 0.002;
    loop {
        let share = 1.0 / (1.0 + series * group.siemens(&state));
        let volts = 4.0 * spec.volts * share;
        if volts >= 0.8 * spec.volts || seconds > 100.0 {
            return seconds;
        }
        group.advance_in_place(&mut state, volts * volts, step);
        seconds += step;
    }
}

#[test]
fn hot_and_cold_resistance() {
    // HE001, HE003: ratings and Ohm's law
    for (id, spec, ohms) in [
        ("HE001", controlled(6.3, 0.6), 10.5),
        ("HE003", filament(5.0, 3.0), 1.6667),
    ] {
        let group = alone(Arrangement::Parallel, heater(spec));
        let drive = spec.volts * spec.volts;
        within(id, 1.0 / group.settled(drive).siemens, ohms, 1.0);
        let cold = group.cold_state(AMBIENT_KELVIN);
        let ratio = group.siemens(&cold) / group.settled(drive).siemens;
        within("hot to cold", ratio, spec.hot_to_cold, 1e-6);
    }
    // HE010: 600 mA string on 117 V without dropper, 195 ohms
    let volts = [6.3, 6.3, 12.6, 25.0, 6.3, 17.0, 12.6, 6.3, 12.6, 12.0];
    let string = ThermalGroup {
        arrangement: Arrangement::Series,
        bodies: volts
            .iter()
            .map(|&volts| circuit::thermal::ThermalBody {
                law: heater(controlled(volts, 0.6)),
            })
            .collect(),
    };
    within("HE010", 1.0 / string.settled(0.36).siemens, 195.0, 1.0);
    let shares = string.body_share(&string.settled(0.36).state);
    within("share of the 25 V heater", shares[3], 25.0 / 117.0, 1e-6);
    within("shares", shares.iter().sum(), 1.0, 1e-9);
}

#[test]
fn warm_up_times() {
    // controlled warm-up: 10 to 12 s in the standard test (definition from memory)
    within(
        "usual 11 s",
        seconds_in_warm_up_test(controlled(6.3, 0.6)),
        11.0,
        0.5,
    );
    for seconds in [10.0, 12.0] {
        let spec = HeaterSpec {
            warm_up_seconds: Some(seconds),
            ..controlled(12.6, 0.45)
        };
        within("as stated", seconds_in_warm_up_test(spec), seconds, 0.5);
    }
    // ordinary tubes: 12 to 35 s, 20 typical, to three quarters of the plate current (memory)
    within(
        "usual 20 s",
        seconds_to_plate_current(ordinary(6.3, 0.3)),
        20.0,
        0.5,
    );
    for hot_to_cold in [5.0, 10.0] {
        let spec = HeaterSpec {
            warm_up_seconds: Some(30.0),
            hot_to_cold,
            ..ordinary(6.3, 0.3)
        };
        within("as stated", seconds_to_plate_current(spec), 30.0, 0.5);
    }
    // a tube with controlled warm-up put on rated volts is within what ordinary tubes need,
    // or a little quicker (common practice: sound comes after 10 to 20 s)
    let seconds = seconds_to_plate_current(controlled(6.3, 0.6));
    assert!((9.0..=25.0).contains(&seconds), "{seconds}");
    // and an ordinary tube in the standard test lies near the spread of uncontrolled types
    // (8 to 30 s, judgement)
    let seconds = seconds_in_warm_up_test(ordinary(6.3, 0.3));
    assert!((8.0..=30.0).contains(&seconds), "{seconds}");
    // directly heated rectifiers: 2 to 8 s, 4 typical (common practice)
    within(
        "filament",
        seconds_to_plate_current(filament(5.0, 3.0)),
        4.0,
        1.0,
    );
}

#[test]
fn emission_and_plate_current_against_heater_volts() {
    for spec in [ordinary(6.3, 0.3), controlled(6.3, 0.6), filament(5.0, 3.0)] {
        let group = alone(Arrangement::Parallel, heater(spec));
        let at = |share: f64| {
            let settled = group.settled((share * spec.volts).powi(2));
            group.bodies[0]
                .emission_ratio(&settled.state.bodies[0])
                .expect("a cathode")
        };
        within("emission at rated volts", at(1.0), 1.0, 1e-6);
        // Richardson's law between the two temperatures, written out here
        let state = group.settled((0.75 * spec.volts).powi(2)).state;
        let kelvin = state.bodies[0].cathode_kelvin;
        let electron_volts = 8.617_333e-5;
        let law = |kelvin: f64| kelvin * kelvin * (-1.0 / (electron_volts * kelvin)).exp();
        within("Richardson", at(0.75), law(kelvin) / law(1050.0), 0.01);
        // at three quarters of rated volts a healthy tube is visibly down, a weak one badly;
        // at 0.9 to 1.1 a healthy tube hardly moves (heater tolerance: common practice)
        let healthy = space_charge_share(at(0.75), 8.0);
        assert!((0.6..0.92).contains(&healthy), "{healthy}");
        assert!(space_charge_share(at(0.75), 2.0) < 0.5);
        assert!((0.97..1.0).contains(&space_charge_share(at(0.9), 8.0)));
        assert!((1.0..1.03).contains(&space_charge_share(at(1.1), 8.0)));
        assert!(space_charge_share(at(0.4), 8.0) < 0.05);
        // heaters take a current that goes as the 0.35 to 0.65 power of the volts near rated
        // (from memory: 5 to 6 percent of current for 10 percent of volts, tungsten coated)
        let amperes = |share: f64| {
            let volts = share * spec.volts;
            group.settled(volts * volts).siemens * volts
        };
        let exponent = (amperes(1.05) / amperes(0.95)).ln() / (1.05_f64 / 0.95).ln();
        assert!((0.35..=0.65).contains(&exponent), "{exponent}");
    }
}

#[test]
fn space_charge_share_at_its_ends() {
    // closed form: 1 at rated; all of the emission when scarce; never above reserve's ceiling
    for reserve in [0.5, 1.0, 6.0, 10.0] {
        within("rated", space_charge_share(1.0, reserve), 1.0, 1e-9);
        let scarce = 1e-6;
        let ceiling = (1.0 + 1.0 / (reserve * reserve)).sqrt();
        within(
            "scarce",
            space_charge_share(scarce, reserve),
            scarce * reserve * ceiling,
            1e-3,
        );
        within("plenty", space_charge_share(1e5, reserve), ceiling, 1e-3);
    }
    for (emission, reserve) in [(0.0, 8.0), (-1.0, 8.0), (1.0, 0.0), (f64::NAN, 8.0)] {
        assert_eq!(space_charge_share(emission, reserve), 0.0);
    }
}

#[test]
fn two_masses_against_small_steps_of_the_written_equations() {
    // The equations of the heater's page written out anew and stepped 20,000 times.
    // Capacities and wire temperature are asked from the law through stored heat.
    let law = HeaterLaw::new(ordinary(6.3, 0.3)).expect("sound");
    let wire_rated = law.rated_wire_kelvin();
    let group = alone(Arrangement::Parallel, ThermalLaw::Heater(law));
    let body = &group.bodies[0];
    let watts = 6.3 * 0.3;
    let stored = |kelvin, cathode_kelvin| {
        let state = circuit::thermal::BodyState {
            kelvin,
            cathode_kelvin,
        };
        body.stored_joules(&state).expect("a heater")
    };
    let wire_capacity = stored(AMBIENT_KELVIN + 1.0, AMBIENT_KELVIN);
    let cathode_capacity = stored(AMBIENT_KELVIN, AMBIENT_KELVIN + 1.0);
    within(
        "capacity of the wire",
        wire_capacity / (wire_capacity + cathode_capacity),
        0.15,
        0.01,
    );
    let fourth = |kelvin: f64| kelvin.powi(4);
    let exchange = |wire: f64, cathode: f64| {
        0.7 * (fourth(wire) - fourth(cathode)) / (fourth(wire_rated) - fourth(1050.0))
            + 0.3 * (wire - cathode) / (wire_rated - 1050.0)
    };
    let outward = |cathode: f64| {
        0.8 * (fourth(cathode) - fourth(AMBIENT_KELVIN)) / (fourth(1050.0) - fourth(AMBIENT_KELVIN))
            + 0.2 * (cathode - AMBIENT_KELVIN) / (1050.0 - AMBIENT_KELVIN)
    };
    let rates = |wire: f64, cathode: f64| {
        let way = (wire - AMBIENT_KELVIN) / (wire_rated - AMBIENT_KELVIN);
        let ratio = 1.0 / 7.0 + (6.0 / 7.0) * way * (0.877 + 0.123 * way);
        let across = exchange(wire, cathode);
        (
            watts * (1.0 / ratio - across) / wire_capacity,
            watts * (across - outward(cathode)) / cathode_capacity,
        )
    };
    let (mut wire, mut cathode) = (AMBIENT_KELVIN, AMBIENT_KELVIN);
    let step = 30.0 / 20_000.0;
    let cold = group.cold_state(AMBIENT_KELVIN);
    for count in 1..=20_000_u32 {
        let (wire_rate, cathode_rate) = rates(wire, cathode);
        let middle = rates(
            wire + 0.5 * step * wire_rate,
            cathode + 0.5 * step * cathode_rate,
        );
        wire += step * middle.0;
        cathode += step * middle.1;
        if [200, 2_000, 8_000, 20_000].contains(&count) {
            let seconds = f64::from(count) * step;
            let state = group.advance(&cold, 6.3 * 6.3, seconds).state.bodies[0];
            within("wire", state.kelvin, wire, 0.005);
            within("cathode", state.cathode_kelvin, cathode, 0.005);
        }
    }
}

#[test]
fn thermistor_against_its_published_points() {
    // ohms at 25, 50, 75 and 100 percent of rated current, data sheet of an inrush limiter
    // series; cold tolerance 25 percent, the model is to stay within 10
    for (cold_ohms, amperes, ohms) in [
        (10.0, 5.0, [1.08, 0.44, 0.26, 0.18]),
        (16.0, 4.0, [1.55, 0.65, 0.39, 0.27]),
        (47.0, 3.0, [2.94, 1.2, 0.71, 0.49]),
        (120.0, 2.0, [7.8, 3.04, 1.75, 1.18]),
    ] {
        let law = ThermistorLaw::new(ThermistorSpec {
            cold_ohms,
            hot_ohms: ohms[3],
            hot_amperes: amperes,
            time_constant_seconds: 120.0,
        })
        .expect("sound");
        let group = alone(Arrangement::Series, ThermalLaw::Thermistor(law));
        within(
            "cold",
            1.0 / group.siemens(&group.cold_state(AMBIENT_KELVIN)),
            cold_ohms,
            1e-6,
        );
        for (quarter, ohms) in (1..=4).zip(ohms) {
            let current = amperes * f64::from(quarter) / 4.0;
            let percent = if quarter == 4 { 1e-6 } else { 10.0 };
            within(
                "hot",
                1.0 / group.settled(current * current).siemens,
                ohms,
                percent,
            );
        }
    }
}

#[test]
fn thermistor_cools_by_its_time_constant() {
    // closed form: without current the rise falls as exp(-t / time constant)
    let law = ThermistorLaw::new(ThermistorSpec {
        cold_ohms: 120.0,
        hot_ohms: 1.18,
        hot_amperes: 2.0,
        time_constant_seconds: 120.0,
    })
    .expect("sound");
    let group = alone(Arrangement::Series, ThermalLaw::Thermistor(law));
    let hot = group.settled(4.0).state;
    let rise = hot.bodies[0].kelvin - AMBIENT_KELVIN;
    for seconds in [0.001, 1.0, 60.0, 120.0, 300.0, 1000.0] {
        let found = group.advance(&hot, 0.0, seconds).state.bodies[0].kelvin;
        let expected = AMBIENT_KELVIN + rise * (-seconds / 120.0_f64).exp();
        within("kelvin", found, expected, 1e-3);
    }
}

#[test]
fn faults_of_heaters_and_thermistors() {
    let bad = HeaterSpec {
        volts: 0.0,
        amperes: f64::INFINITY,
        hot_to_cold: 1.0,
        ..ordinary(6.3, 0.3)
    };
    let bad = HeaterSpec {
        warm_up_seconds: Some(-1.0),
        ..bad
    };
    assert_eq!(
        HeaterLaw::new(bad).expect_err("four faults").faults.len(),
        4
    );
    let bad = ThermistorSpec {
        cold_ohms: 10.0,
        hot_ohms: 10.0,
        hot_amperes: 0.0,
        time_constant_seconds: f64::NAN,
    };
    assert_eq!(
        ThermistorLaw::new(bad)
            .expect_err("three faults")
            .faults
            .len(),
        3
    );
}

/// Wear takes currents before it takes the whole emission: by the closed form `(e / 0.75)^0.4`, and inside what testers of
/// both kinds call weak (currents 0.35 to 0.85 with emission 0.06 to 0.5; common practice).
#[test]
fn a_worn_cathode_leaves_less_than_its_currents() {
    for (emission, currents) in [(0.5, 0.850_283), (0.2, 0.589_362), (0.06, 0.364_113)] {
        let own = worn_currents(emission);
        assert!((own - currents).abs() < 1e-5, "{emission}: {own}");
        assert!((0.35..0.86).contains(&own));
        // More than all that the patches' share of the emission would be.
        assert!(own > emission);
    }
    for good in [0.75, 1.0, 3.0, f64::INFINITY] {
        assert_eq!(worn_currents(good), 1.0);
    }
    for none in [0.0, -1.0, f64::NAN] {
        assert_eq!(worn_currents(none), 0.0);
    }
    assert!(worn_currents(1e-6) < 0.01);
}
