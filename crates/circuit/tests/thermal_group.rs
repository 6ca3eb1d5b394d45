//! Groups: conservation of energy, slopes, totality, and behaviour any drive must keep.
#![allow(dead_code, missing_docs)]

mod thermal_table;

use circuit::thermal::{
    AMBIENT_KELVIN, Arrangement, BodyState, GroupState, HeaterLaw, HeaterSpec, Heating, LampLaw,
    LampSpec, ThermalBody, ThermalGroup, ThermalLaw, ThermistorLaw, ThermistorSpec,
};
use proptest::prelude::*;
use thermal_table::{tungsten, within};

fn heater(volts: f64, amperes: f64, heating: Heating, controlled: bool) -> ThermalBody {
    let spec = HeaterSpec {
        volts,
        amperes,
        heating,
        warm_up_seconds: None,
        controlled,
        hot_to_cold: if heating == Heating::Direct { 5.0 } else { 7.0 },
    };
    ThermalBody {
        law: ThermalLaw::Heater(HeaterLaw::new(spec).expect("sound")),
    }
}

fn lamp(volts: f64, watts: f64) -> ThermalBody {
    let law = LampLaw::new(LampSpec::new(volts, watts), &tungsten()).expect("sound");
    ThermalBody {
        law: ThermalLaw::Lamp(law),
    }
}

fn thermistor() -> ThermalBody {
    let spec = ThermistorSpec {
        cold_ohms: 120.0,
        hot_ohms: 8.0,
        hot_amperes: 0.6,
        time_constant_seconds: 40.0,
    };
    ThermalBody {
        law: ThermalLaw::Thermistor(ThermistorLaw::new(spec).expect("sound")),
    }
}

fn fixed(ohms: f64) -> ThermalBody {
    ThermalBody {
        law: ThermalLaw::Fixed { ohms },
    }
}

fn group(arrangement: Arrangement, bodies: Vec<ThermalBody>) -> ThermalGroup {
    ThermalGroup {
        arrangement,
        bodies,
    }
}

/// One group of each make, with the drive at its ratings.
fn groups() -> Vec<(&'static str, ThermalGroup, f64)> {
    use Arrangement::{Parallel, Series};
    use Heating::{Direct, Indirect};
    let string = |with: ThermalBody| {
        group(
            Series,
            vec![
                heater(6.3, 0.6, Indirect, true),
                heater(12.6, 0.6, Indirect, false),
                heater(25.0, 0.6, Indirect, true),
                with,
            ],
        )
    };
    vec![
        ("lamp", group(Parallel, vec![lamp(120.0, 100.0)]), 14_400.0),
        (
            "lamp by current",
            group(Series, vec![lamp(120.0, 100.0)]),
            (100.0_f64 / 120.0).powi(2),
        ),
        (
            "two lamps",
            group(Parallel, vec![lamp(120.0, 100.0), lamp(120.0, 60.0)]),
            14_400.0,
        ),
        (
            "heater",
            group(Parallel, vec![heater(6.3, 0.3, Indirect, false)]),
            39.69,
        ),
        (
            "filament",
            group(Parallel, vec![heater(5.0, 3.0, Direct, false)]),
            25.0,
        ),
        (
            "heaters",
            group(
                Parallel,
                vec![
                    heater(6.3, 0.3, Indirect, false),
                    heater(6.3, 0.6, Indirect, true),
                    heater(6.3, 1.2, Indirect, false),
                ],
            ),
            39.69,
        ),
        ("string with resistor", string(fixed(40.0)), 0.36),
        ("string with thermistor", string(thermistor()), 0.36),
    ]
}

#[test]
fn what_goes_in_is_lost_or_stored() {
    // conservation of energy from cold switch-on, integrated by Simpson's rule
    for (name, group, drive) in groups() {
        let last = if name.contains("lamp") { 0.3 } else { 30.0 };
        let mut state = group.cold_state(AMBIENT_KELVIN);
        let (mut put_in, mut lost) = (0.0, 0.0);
        let watts_in = |state: &GroupState| {
            let siemens = group.siemens(state);
            match group.arrangement {
                Arrangement::Parallel => drive * siemens,
                Arrangement::Series => drive / siemens,
            }
        };
        // fixed resistors keep no heat: what they take is lost at once
        let watts_lost = |state: &GroupState| {
            group
                .bodies
                .iter()
                .zip(&state.bodies)
                .map(|(body, state)| body.loss_watts(state).unwrap_or(drive * body.ohms(state)))
                .sum::<f64>()
        };
        let step = last / 3000.0;
        for _ in 0..3000 {
            let start = (watts_in(&state), watts_lost(&state));
            group.advance_in_place(&mut state, drive, 0.5 * step);
            let middle = (watts_in(&state), watts_lost(&state));
            group.advance_in_place(&mut state, drive, 0.5 * step);
            let end = (watts_in(&state), watts_lost(&state));
            put_in += step / 6.0 * (start.0 + 4.0 * middle.0 + end.0);
            lost += step / 6.0 * (start.1 + 4.0 * middle.1 + end.1);
        }
        let stored: f64 = group
            .bodies
            .iter()
            .zip(&state.bodies)
            .filter_map(|(body, state)| body.stored_joules(state))
            .sum();
        assert!(
            stored > 0.05 * put_in,
            "{name}: hardly anything stored, no test"
        );
        within(name, lost + stored, put_in, 0.01);
    }
}

#[test]
fn settled_means_loss_equals_power() {
    for (name, group, rated) in groups() {
        for share in [0.01, 0.3, 1.0, 1.3] {
            let settled = group.settled(rated * share);
            assert!(!settled.beyond_range, "{name}");
            for (body, state) in group.bodies.iter().zip(&settled.state.bodies) {
                let Some(lost) = body.loss_watts(state) else {
                    continue;
                };
                let ohms = body.ohms(state);
                let power = match group.arrangement {
                    Arrangement::Parallel => rated * share / ohms,
                    Arrangement::Series => rated * share * ohms,
                };
                within(name, lost, power, 1e-5);
            }
            // and a long wait from cold ends there (a thermistor's string as well)
            let long = group.advance(&group.cold_state(AMBIENT_KELVIN), rated * share, 5000.0);
            within(name, long.siemens, settled.siemens, 1e-3);
            within(name, long.siemens_per_drive, settled.siemens_per_drive, 0.1);
        }
    }
}

#[test]
fn one_long_call_equals_many_short_ones() {
    for (name, group, rated) in groups() {
        let scale = if name.contains("lamp") { 0.01 } else { 1.0 };
        for seconds in [0.02, 1.0, 7.0, 40.0].map(|seconds| seconds * scale) {
            let cold = group.cold_state(AMBIENT_KELVIN);
            let long = group.advance(&cold, rated, seconds);
            let mut state = cold.clone();
            for _ in 0..2000 {
                group.advance_in_place(&mut state, rated, seconds / 2000.0);
            }
            within(name, long.siemens, group.siemens(&state), 1e-3);
        }
    }
}

#[test]
fn slopes_against_differences() {
    for (name, group, rated) in groups() {
        let cold = group.cold_state(AMBIENT_KELVIN);
        for share in [0.05, 0.5, 1.0, 1.2] {
            let drive = rated * share;
            let shift = 1e-3 * drive;
            let slope =
                |at: &dyn Fn(f64) -> f64| (at(drive + shift) - at(drive - shift)) / (2.0 * shift);
            let settled = group.settled(drive);
            let expected = slope(&|drive| group.settled(drive).siemens);
            within(name, settled.siemens_per_drive, expected, 0.01);
            for seconds in [0.01, 0.2, 5.0, 60.0] {
                let found = group.advance(&cold, drive, seconds);
                let expected = slope(&|drive| group.advance(&cold, drive, seconds).siemens);
                within(name, found.siemens_per_drive, expected, 0.5);
            }
        }
    }
}

#[test]
fn no_drive_is_the_temperature_of_the_room() {
    for (name, group, _) in groups() {
        let settled = group.settled(0.0);
        assert!(!settled.beyond_range, "{name}");
        for (body, state) in group.bodies.iter().zip(&settled.state.bodies) {
            assert_eq!(state.kelvin, AMBIENT_KELVIN, "{name}");
            assert_eq!(state.cathode_kelvin, AMBIENT_KELVIN, "{name}");
            within(name, body.ohms(state), body.cold_ohms(), 1e-3);
        }
        assert!(settled.siemens_per_drive.is_finite(), "{name}");
        // from a cold cellar it warms to the room
        let cellar = group.cold_state(278.15);
        let later = group.advance(&cellar, 0.0, 1e5);
        assert!(
            (later.state.bodies[0].kelvin - AMBIENT_KELVIN).abs() < 0.1,
            "{name}"
        );
    }
}

#[test]
fn absurd_drives_are_held_and_marked() {
    for (name, group, rated) in groups() {
        let cold = group.cold_state(AMBIENT_KELVIN);
        for drive in [rated * 1e4, f64::MAX, f64::INFINITY] {
            let advanced = group.advance(&cold, drive, 100.0);
            for response in [group.settled(drive), advanced] {
                assert!(response.beyond_range, "{name} {drive}");
                assert!(
                    response.siemens.is_finite() && response.siemens > 0.0,
                    "{name} {drive}"
                );
                for (body, state) in group.bodies.iter().zip(&response.state.bodies) {
                    assert!(state.kelvin <= body.limit_kelvin(), "{name} {drive}");
                }
            }
        }
        for drive in [-1.0, f64::NAN] {
            let response = group.settled(drive);
            assert!(response.beyond_range);
            assert_eq!(response.state, group.settled(0.0).state);
        }
        for seconds in [-1.0, f64::NAN] {
            let response = group.advance(&cold, rated, seconds);
            assert!(response.beyond_range);
            assert_eq!(response.state, cold);
        }
    }
}

#[test]
fn groups_without_bodies_and_states_that_do_not_fit() {
    let open = group(Arrangement::Parallel, vec![]);
    assert_eq!(open.settled(1.0).siemens, 0.0);
    let wire = group(Arrangement::Series, vec![]);
    within("a wire", wire.settled(1.0).siemens, 1e9, 1e-9);
    assert!(open.body_share(&open.cold_state(300.0)).is_empty());

    let (_, lamps, rated) = groups().swap_remove(2);
    let empty = GroupState { bodies: vec![] };
    let cold = lamps.cold_state(AMBIENT_KELVIN);
    assert_eq!(lamps.siemens(&empty), lamps.siemens(&cold));
    let mut state = empty.clone();
    lamps.advance_in_place(&mut state, rated, 0.05);
    assert_eq!(state, lamps.advance(&empty, rated, 0.05).state);
    let strange = BodyState {
        kelvin: f64::NAN,
        cathode_kelvin: f64::INFINITY,
    };
    let response = lamps.advance(
        &GroupState {
            bodies: vec![strange; 3],
        },
        rated,
        0.05,
    );
    assert!(response.beyond_range && response.siemens.is_finite());
    for ohms in [0.0, -5.0, f64::NAN, f64::INFINITY] {
        assert!(
            group(Arrangement::Series, vec![fixed(ohms)])
                .settled(1.0)
                .beyond_range
        );
    }
}

#[test]
fn bodies_that_share_work_come_out_as_if_alone() {
    // 6.3 V heaters of different current behave alike in parallel; two kinds mixed here
    let amperes = [0.3, 0.6, 0.45, 1.2, 0.3, 0.15];
    let bodies: Vec<_> = amperes
        .iter()
        .enumerate()
        .map(|(at, &amperes)| heater(6.3, amperes, Heating::Indirect, at % 3 == 1))
        .collect();
    let all = group(Arrangement::Parallel, bodies.clone());
    let together = all.advance(&all.cold_state(AMBIENT_KELVIN), 39.69, 6.0);
    let mut sum = 0.0;
    for (body, state) in bodies.into_iter().zip(&together.state.bodies) {
        let one = group(Arrangement::Parallel, vec![body]);
        let alone = one.advance(&one.cold_state(AMBIENT_KELVIN), 39.69, 6.0);
        within("kelvin", alone.state.bodies[0].kelvin, state.kelvin, 1e-9);
        sum += alone.siemens;
    }
    within("siemens", together.siemens, sum, 1e-9);
}

#[test]
fn a_thermistor_under_a_fixed_voltage_stays_on_its_cold_branch() {
    // Below the voltage of runaway the bead stays near cold. Closed form: with R = cold x
    // exp(B (1/T - 1/T0)) and linear loss the turning point is where T^2 = B (T - T0).
    let bead = group(Arrangement::Parallel, vec![thermistor()]);
    let settled = |volts: f64| bead.settled(volts * volts).state.bodies[0].kelvin;
    let turning = {
        let b = 2600.0_f64;
        (b - (b * b - 4.0 * b * AMBIENT_KELVIN).sqrt()) / 2.0
    };
    let (mut low, mut high) = (0.1, 100.0);
    for _ in 0..60 {
        let middle = 0.5 * (low + high);
        if settled(middle) < turning + 1.0 {
            low = middle
        } else {
            high = middle
        }
    }
    assert!(
        (settled(0.999 * low) - turning).abs() < 8.0,
        "{} {turning}",
        settled(0.999 * low)
    );
    assert!(settled(1.01 * high) > turning + 50.0);
}

/// The highest share of its rated volts each heater sees in a string switched on cold.
fn highest_over_rated(bodies: Vec<ThermalBody>) -> Vec<f64> {
    let rated: Vec<f64> = bodies.iter().filter_map(ThermalBody::rated_volts).collect();
    let line_volts: f64 = rated.iter().sum();
    let string = group(Arrangement::Series, bodies);
    let mut state = string.cold_state(AMBIENT_KELVIN);
    let mut highest = vec![0.0_f64; rated.len()];
    for _ in 0..2000 {
        let amperes = line_volts * string.siemens(&state);
        string.advance_in_place(&mut state, amperes * amperes, 0.02);
        let shares = string.body_share(&state);
        for ((highest, share), rated) in highest.iter_mut().zip(shares).zip(&rated) {
            *highest = highest.max(share * line_volts / rated);
        }
    }
    highest
}

#[test]
fn heaters_in_a_cold_string() {
    let volts = [6.3, 12.6, 25.0, 6.3, 12.6, 50.0];
    let matched = |volts: f64| heater(volts, 0.6, Heating::Indirect, true);
    // heaters alike in shares of their ratings divide the line by their ratings all the time
    for highest in highest_over_rated(volts.map(matched).to_vec()) {
        within("highest", highest, 1.0, 1e-6);
    }
    // One that warms in half the time is overdriven while the others are still cold, the
    // reason for controlled warm-up (common practice); the others are not.
    let mut mixed = volts.map(matched).to_vec();
    let spec = HeaterSpec {
        volts: 6.3,
        amperes: 0.6,
        heating: Heating::Indirect,
        warm_up_seconds: Some(5.5),
        controlled: true,
        hot_to_cold: 7.0,
    };
    mixed[0].law = ThermalLaw::Heater(HeaterLaw::new(spec).expect("sound"));
    let highest = highest_over_rated(mixed);
    assert!(highest[0] > 1.2, "{highest:?}");
    assert!(
        highest[1..].iter().all(|&highest| highest < 1.05),
        "{highest:?}"
    );
    // 10 to 12 s as the makers allowed keep within 1.5 times (HE008: a tube maker's journal
    // of February 1963, the highest that may be tolerated)
    let limits = volts.map(|volts| {
        let warm_up_seconds = Some(if volts < 7.0 { 10.0 } else { 12.0 });
        let spec = HeaterSpec {
            volts,
            warm_up_seconds,
            ..spec
        };
        ThermalBody {
            law: ThermalLaw::Heater(HeaterLaw::new(spec).expect("sound")),
        }
    });
    let highest = highest_over_rated(limits.to_vec());
    assert!(highest.iter().all(|&highest| highest < 1.5), "{highest:?}");
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 64, failure_persistence: None, ..Default::default() })]

    #[test]
    fn anything_goes_in_and_something_sound_comes_out(
        which in 0_usize..8,
        drive in prop_oneof![any::<f64>(), 0.0..1e6],
        seconds in prop_oneof![any::<f64>(), 1e-7..1e3],
        ambient in prop_oneof![any::<f64>(), 200.0..3000.0],
    ) {
        let (_, group, _) = groups().swap_remove(which);
        let state = group.cold_state(ambient);
        for response in [group.settled(drive), group.advance(&state, drive, seconds)] {
            prop_assert!(response.siemens.is_finite() && response.siemens > 0.0);
            prop_assert!(response.siemens_per_drive.is_finite());
            for body in &response.state.bodies {
                prop_assert!(body.kelvin.is_finite() && body.cathode_kelvin.is_finite());
            }
        }
        let again = group.advance(&state, drive, seconds);
        prop_assert_eq!(again, group.advance(&state, drive, seconds));
    }

    #[test]
    fn more_drive_is_hotter(
        which in 0_usize..8,
        share in 1e-4..2.0_f64,
        more in 1.001..2.0_f64,
        seconds in 1e-3..60.0_f64,
    ) {
        let (_, group, rated) = groups().swap_remove(which);
        let cold = group.cold_state(AMBIENT_KELVIN);
        let pairs = [
            (group.settled(rated * share), group.settled(rated * share * more)),
            (
                group.advance(&cold, rated * share, seconds),
                group.advance(&cold, rated * share * more, seconds),
            ),
        ];
        for (less, more) in pairs {
            for (one, two) in less.state.bodies.iter().zip(&more.state.bodies) {
                prop_assert!(one.kelvin <= two.kelvin + 1e-2);
                prop_assert!(one.cathode_kelvin <= two.cathode_kelvin + 1e-2);
            }
        }
    }

    #[test]
    fn warming_from_cold_never_passes_settled(
        which in 0_usize..8,
        share in 1e-3..2.0_f64,
        seconds in 1e-3..200.0_f64,
    ) {
        let (_, group, rated) = groups().swap_remove(which);
        let cold = group.cold_state(AMBIENT_KELVIN);
        let earlier = group.advance(&cold, rated * share, 0.5 * seconds).state;
        let later = group.advance(&cold, rated * share, seconds).state;
        let settled = group.settled(rated * share).state;
        for ((one, two), end) in earlier.bodies.iter().zip(&later.bodies).zip(&settled.bodies) {
            prop_assert!(one.kelvin <= two.kelvin + 1e-2);
            prop_assert!(two.kelvin <= end.kelvin + 1e-2);
            prop_assert!(two.cathode_kelvin <= end.cathode_kelvin + 1e-2);
        }
    }
}
