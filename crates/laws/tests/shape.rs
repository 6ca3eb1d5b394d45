//! The shape of every law of the catalogue: slopes, monotony, cut-off, grid leaks, balance.
//!
//! Outside values: differences of the currents themselves; published cut-off volts of
//! data/tubes.csv; contact potential of a grid with a leak of 10 megohms, 0.5 to 1 V (makers'
//! notes on high-mu triodes, from memory; common practice); Child's scaling (C. D. Child,
//! Phys. Rev. 32 (1911) 492); Kirchhoff's sum of currents.

use std::sync::OnceLock;

use circuit::tube::{ELECTRODES, TubeLaw, TubeState};
use laws::{PointFigure, SectionLaw};
use parts::SectionKind;
use proptest::prelude::*;

/// Every unit's law of every type, with the type's name.
fn every() -> &'static [(String, SectionLaw)] {
    static EVERY: OnceLock<Vec<(String, SectionLaw)>> = OnceLock::new();
    EVERY.get_or_init(|| {
        let catalogue = parts::catalogue().expect("the tables are sound");
        catalogue
            .tubes()
            .flat_map(|tube| {
                laws::fit_tube(tube)
                    .into_iter()
                    .map(|section| (tube.name.clone(), section))
            })
            .filter(|(_, section)| section.law.is_some())
            .collect()
    })
}

fn law(section: &SectionLaw) -> &TubeLaw {
    section.law.as_deref().expect("filtered")
}

fn state(emission: f64, strength: f64, cutoff: f64, contact_volts: f64) -> TubeState {
    TubeState {
        emission,
        strength,
        cutoff,
        contact_volts,
    }
}

proptest! {
    #![proptest_config(ProptestConfig {
        cases: 200,
        failure_persistence: None,
        ..ProptestConfig::default()
    })]

    #[test]
    fn slopes_are_those_of_the_currents_and_rise_where_they_must(
        plate in -200.0..600.0f64, grid in -60.0..6.0f64, screen in -10.0..350.0f64,
        grid3 in -15.0..4.0f64, emission in 0.05..2.0f64, strength in 0.5..1.3f64,
        cutoff in 0.8..1.25f64, contact in -0.3..0.3f64,
    ) {
        let state = state(emission, strength, cutoff, contact);
        let volts = [plate, grid, screen, grid3];
        for (name, section) in every() {
            let law = law(section);
            let at = law.currents(volts, &state);
            prop_assert!(at.amperes.iter().all(|amperes| amperes.is_finite()), "{name}");
            // Rising plate and screen never lower their own currents, nor the grid the plate's.
            prop_assert!(at.slopes[0][0] >= 0.0, "{name}: plate falls at {volts:?}");
            let all_by_screen: f64 = at.slopes.iter().map(|row| row[2]).sum();
            prop_assert!(all_by_screen >= 0.0, "{name}: all falls at {volts:?}");
            // With a starved cathode a screen loses what a knee or a gate lets through; a
            // heptode's loses it at any time, as its grid 3 opens with it.
            if at.cathode_amperes() < 0.3 * emission * law.emission_amperes() {
                if section.kind != SectionKind::Pentagrid {
                    prop_assert!(at.slopes[2][2] >= -1e-15, "{name}: screen falls at {volts:?}");
                }
                if grid < -1.0 && grid3 < -1.0 {
                    prop_assert!(at.slopes[0][1] >= -1e-15, "{name}: grid lowers at {volts:?}");
                }
            }
            for by in 0..ELECTRODES {
                let step = 1e-5 * (1.0 + volts[by].abs());
                let (mut above, mut below) = (volts, volts);
                above[by] += step;
                below[by] -= step;
                let (above, below) = (law.currents(above, &state), law.currents(below, &state));
                for of in 0..ELECTRODES {
                    let expected = (above.amperes[of] - below.amperes[of]) / (2.0 * step);
                    let found = at.slopes[of][by];
                    let size = at.slopes[of].iter().fold(1e-8f64, |a, s| a.max(s.abs()));
                    prop_assert!(
                        (found - expected).abs() < 1e-3 * size,
                        "{name} {} at {volts:?}: {of} by {by} {found:e}, {expected:e}",
                        section.section
                    );
                }
            }
        }
    }

    /// Doubling all volts of a law without contact potential makes 2.83 times the current;
    /// what is added to the volts (contact, softness) matters little at high volts.
    #[test]
    fn currents_scale_as_child_wants(plate in 300.0..450.0f64, share in 0.1..0.4f64) {
        for (name, section) in every() {
            let TubeLaw::Triode(triode) = law(section) else { continue };
            let grid = -share * plate / triode.mu;
            let ideal = TubeLaw::Triode(circuit::tube::TriodeLaw {
                offset_volts: 0.0,
                emission_amperes: 1e6,
                ..*triode
            });
            let at = |factor: f64| {
                ideal.currents([factor * plate, factor * grid, 0.0, 0.0], &TubeState::default())
                    .amperes[0]
            };
            let ratio = at(2.0) / at(1.0);
            prop_assert!((ratio / 8f64.sqrt() - 1.0).abs() < 0.03, "{name}: {ratio}");
        }
    }
}

#[test]
fn what_enters_leaves_by_the_cathode() {
    for (name, section) in every() {
        for volts in [
            [250.0, -2.0, 100.0, 0.0],
            [20.0, 0.0, 150.0, -3.0],
            [0.0; 4],
        ] {
            let at = law(section).currents(volts, &TubeState::default());
            let sum: f64 = at.amperes.iter().sum();
            assert!((sum - at.cathode_amperes()).abs() <= 1e-15, "{name}");
            // And the cathode gives no more than it can emit.
            assert!(
                sum <= 1.01 * law(section).emission_amperes() + 1e-6,
                "{name}: {sum}"
            );
        }
    }
}

/// The grid volts at which the law's plate current is the published cut-off current, over
/// the published volts.
#[test]
fn published_cutoff_volts_are_met() {
    let catalogue = parts::catalogue().expect("the tables are sound");
    let mut ratios: Vec<(f64, String)> = Vec::new();
    for tube in catalogue.tubes().filter(|tube| tube.derived_from.is_none()) {
        for section in &tube.sections {
            let laws = laws::fit_tube(tube);
            let Some(fitted) = laws.iter().find(|law| law.section == section.name) else {
                continue;
            };
            for (number, point) in section.operating_points.iter().enumerate() {
                let (Some(published), Some(_)) = (point.cutoff_volts, &fitted.law) else {
                    continue;
                };
                let by_law = laws::at_point(fitted, point)
                    .and_then(|at| at.cutoff_volts)
                    .expect("it has a law and cut-off volts");
                ratios.push((
                    by_law / published,
                    format!("{} {}/{number}", tube.name, section.name),
                ));
            }
        }
    }
    ratios.sort_by(|one, other| (one.0 - 1.0).abs().total_cmp(&(other.0 - 1.0).abs()));
    for (ratio, name) in ratios.iter().rev().take(8) {
        println!("{name}: cuts off at {ratio:.2} of the published volts");
    }
    assert!(ratios.len() > 30, "{}", ratios.len());
    let nine = &ratios[ratios.len() * 9 / 10];
    assert!((nine.0 - 1.0).abs() < 0.20, "nine of ten: {nine:?}");
    let worst = ratios.last().expect("there are some");
    assert!((worst.0 - 1.0).abs() < 0.35, "{worst:?}");
}

/// A grid with nothing but 10 megohms to the cathode.
#[test]
fn a_grid_leak_of_ten_megohms_rests_below_the_cathode() {
    let mut seen = 0;
    for (name, section) in every() {
        if section.kind.is_diode() || section.kind == SectionKind::GatedBeam {
            continue;
        }
        let law = law(section);
        let (mut low, mut high) = (-3.0, 0.0);
        for _ in 0..60 {
            let middle = 0.5 * (low + high);
            let drawn = law
                .currents([100.0, middle, 100.0, 0.0], &TubeState::default())
                .amperes[1];
            // The leak feeds the grid with what stands across it.
            if drawn < -middle / 10e6 {
                low = middle;
            } else {
                high = middle;
            }
        }
        assert!(
            (-1.05..=-0.45).contains(&low),
            "{name} {}: {low:.2} V",
            section.section
        );
        seen += 1;
    }
    assert!(seen > 200, "{seen}");
}

/// A diode that nothing loads but 10 megohms rests below zero too: contact potential.
#[test]
fn small_diodes_rest_below_zero_and_rectifiers_meet_their_drop() {
    for (name, section) in every()
        .iter()
        .filter(|(_, section)| section.kind.is_diode())
    {
        let law = law(section);
        assert!(
            law.currents([-20.0, 0.0, 0.0, 0.0], &TubeState::default())
                .amperes[0]
                < 1e-8
        );
        if section.kind == SectionKind::Diode {
            let rest = law
                .currents([-1.2, 0.0, 0.0, 0.0], &TubeState::default())
                .amperes[0];
            assert!(rest < 1.2 / 10e6, "{name}: {rest}");
        }
        for left in &section.fit.left_over {
            let allowed = section.model_error.max(0.02);
            assert!(left.error().abs() <= allowed, "{name}: {left:?}");
        }
    }
}

/// Every plate current that was fitted is met within the law's own doubt.
#[test]
fn fitted_points_are_met() {
    for (name, section) in every() {
        for left in &section.fit.left_over {
            if left.figure == PointFigure::PlateCurrent {
                assert!(
                    left.error().abs() <= section.model_error + 0.01,
                    "{name} {}: {left:?}",
                    section.section
                );
            }
        }
    }
}

/// A type without a point says why it has no law, and one with a law says what it rests on.
#[test]
fn a_lack_has_its_reason() {
    let catalogue = parts::catalogue().expect("the tables are sound");
    for tube in catalogue.tubes() {
        for section in laws::fit_tube(tube) {
            assert_eq!(
                section.law.is_none(),
                section.because().is_some(),
                "{}",
                tube.name
            );
            assert_eq!(
                section.law.is_some(),
                section.basis.is_some(),
                "{}",
                tube.name
            );
            assert_eq!(
                section.law.is_some(),
                section.model_error > 0.0,
                "{}",
                tube.name
            );
        }
    }
}
