//! The operating point against closed forms, conservation laws and a second method.
//!
//! Volts, amperes, ohms. Where an expected value comes from stands beside each check.

mod networks;

use std::sync::Arc;

use circuit::CircuitError;
use circuit::operating::{
    Branch, Figure, HOLD_SIEMENS, Network, Operating, Parameter, Point, Quantity,
};
use circuit::tube::{DiodeLaw, GridCurrent, TriodeLaw, TubeLaw, TubeState};
use circuit::two_terminal::TwoTerminalLaw;
use networks::{Chance, Sample, damaged, dense, drawn, television};

fn solve(set: &Sample) -> Point {
    Operating::new(&set.network)
        .expect("a sound network")
        .solve(&set.figures, None)
        .expect("an operating point")
}

#[track_caller]
fn near(found: f64, expected: f64, relative: f64) {
    let off = (found - expected).abs();
    assert!(
        off <= relative * expected.abs().max(1e-12),
        "{found} instead of {expected}"
    );
}

#[test]
fn dividers_by_ohms_law() {
    // Supply, ohms above, ohms below; the middle by Ohm's law.
    for (volts, above, below) in [
        (300.0, 1e6, 1e6),
        (300.0, 1e-3, 1e7),
        (300.0, 1e7, 1e-3),
        (1e-3, 1e9, 1e3),
        (-60.0, 470e3, 10e6),
        (520.0, 1e9, 1e9),
    ] {
        let mut set = Sample::new();
        let [top, middle] = std::array::from_fn(|_| set.node());
        set.source(top, 0, volts, 1e-3);
        set.ohms(top, middle, above);
        set.ohms(middle, 0, below);
        let point = solve(&set);
        let expected = volts * below / (above + below + 1e-3);
        near(point.volts[middle], expected, 1e-9);
    }
}

#[test]
fn a_milliohm_beside_ten_megohms_at_a_picoampere() {
    // 1e-12 A into two nodes tied by a milliohm, with 10 megohms to the reference: 10 uV.
    let mut set = Sample::new();
    let [a, b] = std::array::from_fn(|_| set.node());
    set.ohms(a, b, 1e-3);
    set.ohms(b, 0, 1e7);
    set.current(0, a, 1e-12);
    let point = solve(&set);
    near(point.volts[a], 1e-5, 1e-6);
    near(point.volts[b], 1e-5, 1e-6);
    // The same pair at 300 V: the current of the divider must come through the milliohm.
    let mut set = Sample::new();
    let [top, a, b] = std::array::from_fn(|_| set.node());
    set.source(top, 0, 300.0, 1.0);
    set.ohms(top, a, 1e7);
    set.ohms(a, b, 1e-3);
    set.ohms(b, 0, 1e7);
    let point = solve(&set);
    near(point.volts[a], 300.0 * (1e7 + 1e-3) / (2e7 + 1.001), 1e-9);
    // Conductances from 1e-9 to 1e3 in one chain: a current of 1e-9 A meets 1e9 ohms last.
    let mut set = Sample::new();
    let nodes: Vec<_> = (0..13).map(|_| set.node()).collect();
    set.current(0, nodes[0], 1e-9);
    let mut expected = 0.0;
    for (index, &node) in nodes.iter().enumerate() {
        let ohms = 10f64.powi(index as i32 - 3);
        set.ohms(node, nodes.get(index + 1).copied().unwrap_or(0), ohms);
        expected += 1e-9 * ohms;
    }
    near(solve(&set).volts[nodes[0]], expected, 1e-6);
}

/// Volts of plate and grid over the cathode at which the stages below are to rest, and what
/// the law gives there: amperes, transconductance, plate conductance. That the law meets its
/// equation is tested with the laws; here the circuit around it is solved by hand.
fn chosen() -> (Arc<TubeLaw>, f64, f64, f64) {
    let law = networks::triode(20.0, 9e-4);
    let at = law.currents([160.0, -4.0, 0.0, 0.0], &TubeState::default());
    (law, at.amperes[0], at.slopes[0][1], at.slopes[0][0])
}

#[test]
fn a_self_biased_triode_solved_by_hand() {
    // The cathode resistor drops the 4 V of bias, the plate resistor what is left of the
    // supply: Ohm's law at the chosen point.
    let (law, amperes, ..) = chosen();
    let mut set = Sample::new();
    let [top, plate, grid, cathode] = std::array::from_fn(|_| set.node());
    let source = set.source(top, 0, 164.0 + amperes * 10e3, 1e-3);
    set.ohms(top, plate, 10e3 - 1e-3);
    set.ohms(cathode, 0, 4.0 / amperes);
    set.ohms(grid, 0, 1e3);
    let tube = set.tube(&law, cathode, [Some(plate), Some(grid), None, None]);
    let operating = Operating::new(&set.network).expect("sound");
    let point = operating.solve(&set.figures, None).expect("a point");
    near(point.volts[cathode], 4.0, 1e-6);
    near(point.volts[plate], 164.0, 1e-6);
    let found = operating
        .electrode_amperes(&set.figures, &point, tube)
        .expect("a tube");
    near(found[0], amperes, 1e-6);
    let out = operating
        .branch_amperes(&set.figures, &point, source)
        .expect("a source");
    near(out, -amperes, 1e-6);
}

#[test]
fn the_stage_worked_by_hand_on_the_theory_page() {
    // docs/theory/operating_point.md: I = 2e-3 (Vg + Vp/20)^1.5 with 250 V, 47000 ohms and
    // 1000 ohms; three steps by hand give 3.2684 mA. The least spread and softness that the
    // law keeps are worth a thousandth.
    let law = Arc::new(TubeLaw::Triode(TriodeLaw {
        perveance: 2e-3,
        mu: 20.0,
        offset_volts: 0.0,
        spread: 0.0,
        softness: 0.0,
        low_plate_volts: 1.0,
        grid: GridCurrent::NONE,
        emission_amperes: 10.0,
    }));
    let mut set = Sample::new();
    let [top, plate, grid, cathode] = std::array::from_fn(|_| set.node());
    set.source(top, 0, 250.0, 1e-3);
    set.ohms(top, plate, 47e3);
    set.ohms(grid, 0, 1e6);
    set.ohms(cathode, 0, 1e3);
    set.tube(&law, cathode, [Some(plate), Some(grid), None, None]);
    let point = solve(&set);
    near(point.volts[cathode], 3.2684, 1e-3);
    near(point.volts[plate], 96.4, 1e-3);
}

#[test]
fn a_cathode_follower_by_its_gain() {
    // The gain of a follower is gm / (gm + gp + 1/R): equivalent circuit of the triode, any
    // textbook.
    let (law, amperes, gm, gp) = chosen();
    let volts = 100.0;
    let mut set = Sample::new();
    let [top, grid, cathode] = std::array::from_fn(|_| set.node());
    set.source(top, 0, 160.0 + volts, 1e-6);
    let drive = set.source(grid, 0, volts - 4.0, 1e-3);
    set.ohms(cathode, 0, volts / amperes);
    set.tube(&law, cathode, [Some(top), Some(grid), None, None]);
    let operating = Operating::new(&set.network).expect("sound");
    let point = operating.solve(&set.figures, None).expect("a point");
    near(point.volts[cathode], volts, 1e-6);
    let response = operating.response(&set.figures, &point).expect("factors");
    let parameter = Parameter {
        branch: drive,
        quantity: Quantity::Volts,
    };
    let gain = response.of_figure(parameter).expect("a source")[cathode];
    near(gain, gm / (gm + gp + amperes / volts), 1e-5);
}

#[test]
fn diode_crystal_and_varistor_behind_a_resistor() {
    // Each current is put into the law's equation by hand; the supply is the sum.
    let diode = TubeLaw::Diode(DiodeLaw {
        plate: GridCurrent {
            perveance: 1e-3,
            contact_volts: 0.0,
            softness_volts: 0.01,
        },
        emission_amperes: 1e9,
    });
    let mut set = Sample::new();
    let [top, plate] = std::array::from_fn(|_| set.node());
    // 4 V to the power 1.5 is 8: 8 mA (Child's law).
    set.source(top, 0, 12.0, 1e-6);
    set.ohms(top, plate, 1e3);
    set.tube(&Arc::new(diode), 0, [Some(plate), None, None, None]);
    near(solve(&set).volts[plate], 4.0, 1e-6);
    // Crystal: V = n ln(1 + I/I0) + I R.
    let crystal = TwoTerminalLaw::Crystal {
        saturation_amperes: 2e-6,
        slope_volts: 0.05,
        series_ohms: 80.0,
        leak_siemens: 0.0,
    };
    for amperes in [1e-6, 1e-4, 5e-3f64] {
        let across = 0.05 * (amperes / 2e-6).ln_1p() + 80.0 * amperes;
        let mut set = Sample::new();
        let [top, end] = std::array::from_fn(|_| set.node());
        set.source(top, 0, across + 10e3 * amperes, 1e-6);
        set.ohms(top, end, 10e3);
        set.thing(crystal, end, 0);
        near(solve(&set).volts[end], across, 1e-5);
    }
    // Varistor: V = C I^beta; both ways alike.
    let varistor = TwoTerminalLaw::VoltageDependent {
        volts_at_one_ampere: 800.0,
        beta: 0.2,
    };
    for amperes in [1e-4, 1e-3, -1e-2f64] {
        let across = 800.0 * amperes.abs().powf(0.2) * amperes.signum();
        let mut set = Sample::new();
        let [top, end] = std::array::from_fn(|_| set.node());
        set.source(top, 0, across + 100e3 * amperes, 1e-6);
        set.ohms(top, end, 100e3);
        set.thing(varistor, end, 0);
        near(solve(&set).volts[end], across, 1e-6);
    }
}

#[test]
fn neon_lamps_strike_hold_and_go_out() {
    // Strikes at 80 V, glows at 60 V with 2000 ohms, needs 10 uA; 18k in series. What is
    // expected follows from the definition of both limits.
    enum Expect {
        Dark(f64),
        Lit(f64),
        Both(f64, f64),
        Neither,
    }
    let lit = |supply: f64, ohms: f64| 60.0 + (supply - 60.0) * 2e3 / (2e3 + ohms);
    for (supply, ohms, expect) in [
        (50.0, 18e3, Expect::Dark(50.0)),
        (100.0, 18e3, Expect::Lit(lit(100.0, 18e3))),
        (75.0, 18e3, Expect::Both(75.0, lit(75.0, 18e3))),
        (-100.0, 18e3, Expect::Lit(-lit(100.0, 18e3))),
        // 4 uA cannot keep it lit, 100 V cannot leave it dark: it blinks.
        (100.0, 10e6, Expect::Neither),
    ] {
        let mut set = Sample::new();
        let [top, lamp] = std::array::from_fn(|_| set.node());
        set.source(top, 0, supply, 1e-3);
        set.ohms(top, lamp, ohms);
        let neon = set.thing(
            TwoTerminalLaw::Neon {
                strike_volts: 80.0,
                glow_volts: 60.0,
                lit_ohms: 2e3,
                least_amperes: 10e-6,
            },
            lamp,
            0,
        );
        let operating = Operating::new(&set.network).expect("sound");
        let found = operating.solve(&set.figures, None);
        match (expect, found) {
            (Expect::Dark(volts), Ok(point)) => {
                assert!(point.lit.is_empty() && point.other.is_none());
                near(point.volts[lamp], volts, 1e-4);
            }
            (Expect::Lit(volts), Ok(point)) => {
                assert!(point.lit == [neon] && point.other.is_none());
                near(point.volts[lamp], volts, 1e-4);
            }
            (Expect::Both(dark, glowing), Ok(point)) => {
                near(point.volts[lamp], dark, 1e-4);
                let other = point.other.expect("lit as well");
                assert_eq!(other.lit, [neon]);
                near(other.volts[lamp], glowing, 1e-4);
            }
            (Expect::Neither, Err(CircuitError::NeonUndecided { branch, .. })) => {
                assert_eq!(branch, neon);
            }
            (_, found) => panic!("{supply} V: {found:?}"),
        }
    }
}

#[test]
fn nodes_held_by_nothing_are_told() {
    let mut set = Sample::new();
    let [top, plate, grid, loose, pair, mate] = std::array::from_fn(|_| set.node());
    set.source(top, 0, 250.0, 100.0);
    set.ohms(top, plate, 47e3);
    let leak = set.ohms(grid, 0, 1e6);
    set.ohms(pair, mate, 1e3);
    set.tube(
        &networks::triode(20.0, 9e-4),
        0,
        [Some(plate), Some(grid), None, None],
    );
    assert_eq!(solve(&set).floating, [loose, pair, mate]);
    set.figures[leak] = Figure::Siemens(0.0);
    let point = solve(&set);
    assert_eq!(point.floating, [grid, loose, pair, mate]);
    assert!(point.volts.iter().all(|volts| volts.is_finite()));
    // A current that has nowhere to go but the insulation: I / G.
    set.current(0, loose, 1e-9);
    near(solve(&set).volts[loose], 1e-9 / HOLD_SIEMENS, 1e-6);
}

/// Nodes on which nothing but insulation holds, by a search of the test's own.
fn held_everywhere(point: &Point) -> bool {
    point.floating.is_empty()
}

#[test]
fn currents_and_watts_add_up_in_whole_sets() {
    for seed in 1..6 {
        let set = television(seed);
        let operating = Operating::new(&set.network).expect("sound");
        let point = operating.solve(&set.figures, None).expect("a point");
        assert!(held_everywhere(&point));
        // Kirchhoff's law by the test's own equations.
        let volts = nalgebra::DVector::from_column_slice(&point.volts[1..]);
        let (left, _) = dense::equations(&set.network, &set.figures, &volts);
        assert!(left.amax() < 1e-9, "{}", left.amax());
        assert!(point.balance_amperes < 1e-9);
        let balance = operating.balance(&set.figures, &point).expect("figures");
        assert!(balance[1..].iter().all(|left| left.abs() < 1e-9));
        // What flows into the reference flows out of it.
        assert!(balance[0].abs() < 1e-8);
        // Energy: what the sources deliver heats resistors, plates and grids.
        let at = |node: usize| point.volts[node];
        let (mut delivered, mut heat) = (0.0, 0.0);
        for (index, (branch, figure)) in set.network.branches.iter().zip(&set.figures).enumerate() {
            let amperes = operating
                .branch_amperes(&set.figures, &point, index)
                .expect("a branch");
            match (branch, figure) {
                (Branch::Source { .. }, Figure::Source { volts, siemens }) => {
                    delivered -= volts * amperes;
                    heat += amperes * amperes / siemens;
                }
                (
                    Branch::Tube {
                        cathode,
                        electrodes,
                        ..
                    },
                    _,
                ) => {
                    let into = operating
                        .electrode_amperes(&set.figures, &point, index)
                        .expect("a tube");
                    for (amperes, node) in into.iter().zip(electrodes) {
                        heat += amperes * (at(node.unwrap_or(*cathode)) - at(*cathode));
                    }
                }
                (Branch::Resistance { a, b } | Branch::TwoTerminal { a, b, .. }, _) => {
                    let watts = amperes * (at(*a) - at(*b));
                    assert!(watts >= 0.0);
                    heat += watts;
                }
                _ => {}
            }
        }
        assert!(
            delivered > 30.0,
            "a set of 40 sections takes tens of watts: {delivered}"
        );
        near(heat, delivered, 1e-9);
    }
}

#[test]
fn a_dense_newton_from_many_starts_agrees() {
    let mut chance = Chance(11);
    let mut compared = 0;
    for seed in 1..5 {
        let set = television(seed);
        let operating = Operating::new(&set.network).expect("sound");
        for _ in 0..4 {
            let figures = damaged(&drawn(&set.figures, &mut chance), &mut chance);
            let point = operating.solve(&figures, None).expect("a point");
            if !held_everywhere(&point) {
                continue;
            }
            for _ in 0..3 {
                let start: Vec<f64> = point
                    .volts
                    .iter()
                    .map(|volts| volts + chance.between(-0.3, 0.3) * (volts.abs() + 2.0))
                    .collect();
                let Some((volts, _)) = dense::newton(&set.network, &figures, &start, 200) else {
                    continue;
                };
                compared += 1;
                for (found, expected) in point.volts.iter().zip(&volts) {
                    let off = (found - expected).abs();
                    assert!(off < 1e-4 + 1e-6 * expected.abs(), "{found} {expected}");
                }
            }
        }
    }
    assert!(
        compared >= 20,
        "only {compared} starts of the second method settled"
    );
}

#[test]
fn figures_that_no_part_has_are_refused() {
    let mut set = Sample::new();
    let [top, plate] = std::array::from_fn(|_| set.node());
    set.source(top, 0, 250.0, 100.0);
    set.ohms(top, plate, 47e3);
    let tube = set.tube(&networks::diode(1e-4), 0, [Some(plate), None, None, None]);
    let operating = Operating::new(&set.network).expect("sound");
    let state = TubeState::default();
    let source = |volts, siemens| Figure::Source { volts, siemens };
    // Branch, the figure given, the field named by the error.
    for (branch, figure, named) in [
        (1, Figure::Siemens(-1e-3), "siemens"),
        (1, Figure::Siemens(f64::NAN), "siemens"),
        (1, Figure::Siemens(f64::INFINITY), "siemens"),
        (1, Figure::Amperes(1.0), "a current"),
        (0, source(f64::INFINITY, 1.0), "volts"),
        (0, source(250.0, -1.0), "siemens"),
        (0, Figure::Siemens(1.0), "a conductance"),
        (
            tube,
            Figure::Tube(TubeState {
                emission: -1.0,
                ..state
            }),
            "emission",
        ),
        (
            tube,
            Figure::Tube(TubeState {
                strength: 0.0,
                ..state
            }),
            "strength",
        ),
        (
            tube,
            Figure::Tube(TubeState {
                cutoff: f64::NAN,
                ..state
            }),
            "cutoff",
        ),
        (
            tube,
            Figure::TwoTerminal { scale: 1.0 },
            "a factor of current",
        ),
    ] {
        let mut figures = set.figures.clone();
        figures[branch] = figure;
        let error = operating.solve(&figures, None).expect_err("no such part");
        let (place, word) = match error {
            CircuitError::Value { element, field, .. } => (element, field),
            CircuitError::Figure { branch, found, .. } => (branch, found),
            other => panic!("{other}"),
        };
        assert_eq!((place, word), (branch, named));
    }
    let short = operating.solve(&set.figures[..2], None);
    assert!(matches!(
        short,
        Err(CircuitError::Figure {
            branch: 2,
            found: "missing",
            ..
        })
    ));
    let mut wrong = Network::new();
    wrong.add(Branch::Resistance { a: 0, b: 3 });
    assert!(matches!(
        Operating::new(&wrong),
        Err(CircuitError::Missing {
            element: 0,
            index: 3,
            ..
        })
    ));
    // Nothing at all is no fault.
    let empty = Operating::new(&Network::new()).expect("sound");
    assert_eq!(empty.solve(&[], None).expect("a point").volts, [0.0]);
}
