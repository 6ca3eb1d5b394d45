//! One stage of each law, worked by hand in docs/theory/tube_laws.md.
//!
//! Outside values: volts and amperes on that page, found from its equations by halving, apart
//! from this program. Here the law is asked at those volts.

use circuit::tube::{
    BeamGate, DiodeLaw, GatedBeamLaw, GridCurrent, GridGate, PentodeLaw, TriodeLaw, TubeLaw,
    TubeState,
};
use circuit::two_terminal::{NeonState, TwoTerminalLaw};

const GRID: GridCurrent = GridCurrent {
    perveance: 3.9e-4,
    contact_volts: 0.2,
    softness_volts: 0.14,
};

#[track_caller]
fn close(found: f64, expected: f64) {
    assert!(
        (found / expected - 1.0).abs() < 0.005,
        "{found}, by hand {expected}"
    );
}

/// Milliamperes of plate, grid, screen at volts against the chassis.
fn milliamperes(law: TubeLaw, plate: f64, screen: f64, cathode: f64) -> [f64; 4] {
    law.check().expect("sound constants");
    let volts = [plate - cathode, -cathode, screen - cathode, -cathode];
    law.currents(volts, &TubeState::default())
        .amperes
        .map(|amperes| amperes * 1e3)
}

#[test]
fn diode() {
    let law = TubeLaw::Diode(DiodeLaw {
        plate: GridCurrent {
            perveance: 1.84e-3,
            contact_volts: 0.2,
            softness_volts: 0.15,
        },
        emission_amperes: 1e3,
    });
    close(milliamperes(law, 4.024, 0.0, 0.0)[0], 15.98);
}

#[test]
fn triode() {
    let law = TubeLaw::Triode(TriodeLaw {
        perveance: 1.3e-3,
        mu: 110.0,
        offset_volts: 0.6,
        spread: 0.38,
        softness: 0.15,
        low_plate_volts: 15.0,
        grid: GRID,
        emission_amperes: 1e3,
    });
    close(milliamperes(law.clone(), 161.55, 0.0, 1.3267)[0], 0.8845);
    // A grid with 10 megohms and nothing else rests at -0.725 V.
    let at = law.currents([100.0, -0.7249, 0.0, 0.0], &TubeState::default());
    close(at.amperes[1], 0.7249 / 10e6);
}

fn pentode_law(gate: Option<GridGate>) -> PentodeLaw {
    PentodeLaw {
        perveance: 2.7e-3,
        mu_screen: 43.0,
        mu_plate: 16_000.0,
        offset_volts: 0.6,
        spread: 0.33,
        softness: 0.22,
        low_screen_volts: 10.0,
        screen_share: 0.29,
        screen_share_fall: 0.07,
        knee: 7.5,
        grid: GridCurrent::NONE,
        gate,
        emission_amperes: 1e3,
    }
}

#[test]
fn pentode() {
    let law = TubeLaw::Pentode(pentode_law(None));
    let found = milliamperes(law, 185.046, 129.466, 1.3590);
    close(found[0], 6.495);
    close(found[2], 2.565);
}

#[test]
fn beam() {
    let law = TubeLaw::Pentode(PentodeLaw {
        perveance: 8e-4,
        mu_screen: 9.6,
        mu_plate: 450.0,
        offset_volts: 0.4,
        spread: 0.7,
        softness: 0.15,
        screen_share: 0.085,
        screen_share_fall: 0.7,
        knee: 1.1,
        ..pentode_law(None)
    });
    let found = milliamperes(law, 250.0, 250.0, 12.1995);
    close(found[0], 44.65);
    close(found[2], 4.153);
}

#[test]
fn heptode() {
    let law = TubeLaw::Pentode(PentodeLaw {
        perveance: 1.34e-3,
        mu_screen: 14.4,
        mu_plate: 2150.0,
        offset_volts: 0.5,
        spread: 0.3,
        softness: 0.15,
        screen_share: 0.38,
        screen_share_fall: 0.17,
        knee: 2.5,
        ..pentode_law(Some(GridGate {
            mu: 25.0,
            width_volts: 2.7,
            grid: GridCurrent::NONE,
        }))
    });
    let found = milliamperes(law, 250.0, 100.0, 2.3213);
    close(found[0], 6.637);
    close(found[2], 8.839);
}

#[test]
fn gated_beam() {
    let gate = BeamGate {
        middle_volts: -1.5,
        width_volts: 0.6,
        grid: GridCurrent::NONE,
    };
    let law = TubeLaw::GatedBeam(GatedBeamLaw {
        perveance: 1.13e-5,
        plate_share: 0.215,
        limiter: gate,
        quadrature: gate,
        knee_volts: 20.0,
        emission_amperes: 1e3,
    });
    let found = milliamperes(law, 73.937, 60.0, 1.5162);
    close(found[0], 0.2548);
    close(found[2], 4.799);
}

#[test]
fn crystal() {
    let law = TwoTerminalLaw::Crystal {
        saturation_amperes: 1.5e-6,
        slope_volts: 0.05,
        series_ohms: 56.0,
        leak_siemens: 1.5e-6,
    };
    close(law.current(0.43513, NeonState::default()).0, 1.5649e-3);
}

#[test]
fn neon() {
    let catalogue = parts::catalogue().expect("the tables are sound");
    let lamp = catalogue.neon_lamp("NE-2").expect("listed");
    let law = laws::small::neon_law(lamp).expect("sound figures");
    close(law.current(55.596, NeonState { lit: true }).0, 292.7e-6);
    assert!(law.current(55.596, NeonState { lit: false }).0 < 1e-8);
}

#[test]
fn voltage_dependent_resistor() {
    let law = laws::small::vdr_law(300.0, 1e-3, Some(0.22)).expect("sound figures");
    close(law.current(334.96, NeonState::default()).0, 1.6504e-3);
    assert!(laws::small::vdr_law(-5.0, 1e-3, None).is_none());
    assert!(laws::small::vdr_law(5.0, 1e-3, Some(3.0)).is_none());
}

/// Sheets: a 1N34 passes at least 5 mA at 1 V and leaks at most 50 uA at 10 V; half a volt
/// moves no more than a few milliamperes (from memory, data/small_diodes.csv).
#[test]
fn every_crystal_keeps_within_its_sheet() {
    let catalogue = parts::catalogue().expect("the tables are sound");
    for diode in catalogue.small_diodes() {
        let law = laws::small::crystal_law(diode).expect("sound figures");
        let at = |volts: f64| law.current(volts, NeonState::default()).0;
        if let Some(least) = diode.forward_milliamperes_at_1_volt {
            assert!(at(1.0) >= least * 1e-3, "{}", diode.name);
            assert!(at(1.0) <= 4.0 * least * 1e-3, "{}", diode.name);
        }
        if let (Some(most), Some(volts)) = (diode.reverse_microamperes, diode.reverse_volts) {
            assert!(-at(-volts) <= most * 1e-6, "{}", diode.name);
        }
    }
}

/// The cut-off of every picture tube is where its row has it: a beam of under a microampere
/// there at the middle sample, and about 3e-6 Vc^1.5 with the grid at the cathode (H. Moss,
/// from memory).
#[test]
fn beams_begin_at_the_cutoff() {
    let catalogue = parts::catalogue().expect("the tables are sound");
    let mut seen = 0;
    for tube in catalogue.tubes().filter(|tube| tube.is_picture_tube) {
        let beam = laws::beam_law(tube).expect("a picture tube");
        let at = |grid: f64| {
            let volts = [12_000.0, grid, beam.grid2_volts, 0.0];
            beam.law.currents(volts, &TubeState::default()).amperes[0]
        };
        let leak = 12_000.0 * circuit::tube::LEAK_SIEMENS;
        let cutoff = -beam.cutoff_volts;
        assert!(at(-1.05 * cutoff) - leak < 1e-6, "{}", tube.name);
        let zero = at(0.0) / (3e-6 * cutoff.powf(1.5));
        assert!((0.85..1.15).contains(&zero), "{}: {zero}", tube.name);
        // Power of the drive, between a tenth and the whole of the cut-off.
        let power = ((at(0.0) - leak) / (at(-0.5 * cutoff) - leak)).log2();
        assert!((2.3..=3.0).contains(&power), "{}: {power}", tube.name);
        assert!(
            beam.cutoff.low < 1.0 && beam.cutoff.high > 1.0,
            "{}",
            tube.name
        );
        seen += 1;
    }
    assert!(seen > 100, "{seen}");
    assert!(laws::beam_law(catalogue.tube("6AU6").expect("listed")).is_none());
}

/// Three quarters of the heater volts leave a fifth of the emission (the heater's page in
/// `circuit::thermal`); rated volts all of it; no volts none.
#[test]
fn emission_follows_the_heater() {
    close(laws::emission_at_heater_share(1.0), 1.0);
    assert!((0.1..0.3).contains(&laws::emission_at_heater_share(0.75)));
    assert!(laws::emission_at_heater_share(0.2) < 1e-4);
    assert_eq!(laws::emission_at_heater_share(f64::NAN), 0.0);
    assert_eq!(laws::emission_at_heater_share(-1.0), 0.0);
    let mut before = 0.0;
    for step in 1..30 {
        let now = laws::emission_at_heater_share(0.05 * f64::from(step));
        assert!(now >= before, "{step}");
        before = now;
    }
}
