//! Tube laws other than those that foretell, through the same published points.
//!
//! Volts against the cathode, amperes. A set on the bench follows no law of ours; so a hidden one
//! is taken towards the plain textbook law of its kind: `k (Vg + V/mu)^1.5` with one `mu`, a sharp cut-off, a
//! screen that catches a fixed share, a plate of a pentode that takes no part above the knee (the
//! three-halves power law in any textbook of vacuum tubes, such as Reich, Theory and Applications of
//! Electron Tubes, 1944, chapter 3; from memory), as far as it stays a tube of that type. It is laid through the current of the predicting law at the published
//! typical point of the type; where none is published, at half of cut-off on 150 volts. On top each
//! type strays by a few percent, as makers' editions do. Nothing here fails.

use std::sync::Arc;

use circuit::tube::{ELECTRODES, Electrode, TubeLaw, TubeState};
use parts::{Section, SectionKind};

use super::{bell, draws};
use crate::stages::TubeStage;
use crate::wiring::SetModel;

/// Softness of a textbook cut-off, as a share: as good as none, and smooth enough for Newton's
/// method.
const SHARP: f64 = 0.01;
/// Amplification beyond which the plate of a pentode takes no part.
const NO_PART: f64 = 1e4;
/// Standard deviation of a type's currents about those of the predicting law, as a ratio (what the
/// predicting laws were found to be off at points left out of their fit: a median of 3.5 percent).
const TYPE_SIGMA: f64 = 0.05;
/// How far towards the textbook law, the farthest first that keeps a tube of the type.
const TOWARDS_PLAIN: [f64; 7] = [1.0, 0.7, 0.5, 0.35, 0.25, 0.15, 0.08];
/// Mean share of plate current by which the two laws may lie apart around the common point.
const MOST_APART: f64 = 0.09;
/// Volts of plate and screen at which laws are compared where no typical point is published.
const USUAL_VOLTS: f64 = 150.0;

/// Gives every stage of the set another law; each type its own stray by this seed.
pub fn with_other_laws<'s>(mut model: SetModel<'s>, seed: u64) -> SetModel<'s> {
    let sheet = model.sheet;
    for stage in &mut model.stages.complete {
        let Some(tube) = sheet.tubes.get(stage.tube) else {
            continue;
        };
        let section = tube
            .kind
            .sections
            .iter()
            .find(|section| section.name == stage.section);
        let law = other_law(stage, section, stray(&tube.kind.name, &stage.section, seed));
        stage.law = Arc::new(law);
    }
    model
}

/// The other law of one stage; `stray` is the ratio of its currents to those of the predicting law
/// at the common point.
pub fn other_law(stage: &TubeStage, section: Option<&Section>, stray: f64) -> TubeLaw {
    let own = &*stage.law;
    let at = common_point(own, stage.kind, section);
    let found = TOWARDS_PLAIN.iter().find_map(|towards| {
        let mut other = towards_plain(own, section, *towards);
        let ratio = stray * plate(own, at) / plate(&other, at);
        scale(&mut other, ratio);
        let is_sound = (0.05..20.0).contains(&ratio) && other.check().is_ok();
        (is_sound && apart(own, &other, at) <= MOST_APART).then_some(other)
    });
    found.unwrap_or_else(|| {
        let mut same = own.clone();
        scale(&mut same, stray);
        same
    })
}

fn plate(law: &TubeLaw, at: [f64; ELECTRODES]) -> f64 {
    law.currents(at, &TubeState::default()).amperes[Electrode::Plate as usize]
}

/// Volts around a point, and the least share of its current that counts.
fn around(at: [f64; ELECTRODES]) -> impl Iterator<Item = [f64; ELECTRODES]> {
    let [plate, grid, screen, third] = at;
    [0.7, 1.0, 1.3].into_iter().flat_map(move |volts| {
        let grids = [0.7, 1.0, 1.15].into_iter();
        grids.map(move |share| [volts * plate, share * grid, volts * screen, third])
    })
}

/// How far the plate currents of two laws lie apart around a point: the mean of the shares.
fn apart(one: &TubeLaw, other: &TubeLaw, at: [f64; ELECTRODES]) -> f64 {
    let shares: Vec<f64> = around(at)
        .map(|at| (plate(other, at) / plate(one, at).max(1e-9) - 1.0).abs())
        .collect();
    shares.iter().sum::<f64>() / shares.len() as f64
}

/// The law moved towards the textbook one of the same kind, from 0 to 1; its currents not yet those
/// of the common point.
fn towards_plain(own: &TubeLaw, section: Option<&Section>, share: f64) -> TubeLaw {
    let published_mu = section.and_then(|section| {
        let mut points = section.operating_points.iter();
        points.find_map(|point| point.amplification_factor)
    });
    let to = |from: f64, to: f64| from + share * (to - from);
    let by_ratio = |from: f64, to: f64| from * (to / from).powf(share);
    let mut other = own.clone();
    match &mut other {
        TubeLaw::Diode(_) | TubeLaw::GatedBeam(_) => {}
        TubeLaw::Triode(law) => {
            law.mu = by_ratio(law.mu, published_mu.unwrap_or(law.mu));
            law.spread = to(law.spread, 0.0);
            law.softness = to(law.softness, SHARP);
            law.offset_volts = to(law.offset_volts, 0.0);
            law.low_plate_volts = by_ratio(law.low_plate_volts, 0.5 * law.low_plate_volts);
        }
        TubeLaw::Pentode(law) => {
            law.spread = to(law.spread, 0.0);
            law.softness = to(law.softness, SHARP);
            law.offset_volts = to(law.offset_volts, 0.0);
            law.mu_plate = by_ratio(law.mu_plate, law.mu_plate.max(NO_PART));
            law.screen_share_fall = to(law.screen_share_fall, 0.0);
        }
    }
    other
}

fn scale(law: &mut TubeLaw, ratio: f64) {
    match law {
        TubeLaw::Diode(law) => law.plate.perveance *= ratio,
        TubeLaw::Triode(law) => law.perveance *= ratio,
        TubeLaw::Pentode(law) => law.perveance *= ratio,
        TubeLaw::GatedBeam(law) => law.perveance *= ratio,
    }
}

/// Where both laws carry the same current.
fn common_point(own: &TubeLaw, kind: SectionKind, section: Option<&Section>) -> [f64; ELECTRODES] {
    let mut at = [0.0; ELECTRODES];
    let points = section.map_or(&[][..], |section| &section.operating_points);
    let typical = points.iter().find_map(|point| {
        let plate = point.plate_volts.filter(|volts| *volts > 0.0)?;
        let grid = point.grid_volts.or_else(|| {
            let milliamperes =
                point.plate_milliamperes? + point.screen_milliamperes.unwrap_or_default();
            Some(-1e-3 * milliamperes * point.cathode_ohms?)
        })?;
        Some((plate, grid, point.screen_volts))
    });
    if kind == SectionKind::Diode {
        at[Electrode::Plate as usize] = 5.0;
        return at;
    }
    let (plate, grid, screen) = match typical {
        Some((plate, grid, screen)) => (plate, grid, screen.unwrap_or(USUAL_VOLTS)),
        None => (USUAL_VOLTS, half_of_cut_off(own), USUAL_VOLTS),
    };
    at[Electrode::Plate as usize] = plate;
    at[Electrode::Grid1 as usize] = grid;
    at[Electrode::Grid2 as usize] = screen;
    at
}

/// Half the grid volts at which the law carries a hundredth of its current at zero bias.
fn half_of_cut_off(own: &TubeLaw) -> f64 {
    let state = TubeState::default();
    let plate = |grid: f64| {
        let volts = [USUAL_VOLTS, grid, USUAL_VOLTS, 0.0];
        own.currents(volts, &state).amperes[Electrode::Plate as usize]
    };
    let most = plate(0.0);
    let steps = (1..=400).map(|step| -0.25 * f64::from(step));
    let cut_off = steps.into_iter().find(|grid| plate(*grid) < 0.01 * most);
    0.5 * cut_off.unwrap_or(-2.0)
}

/// The stray of a type's section: from its name and the seed alone, so that all tubes of one type
/// stray alike.
fn stray(name: &str, section: &str, seed: u64) -> f64 {
    let mut random = draws(seed, &format!("{name} {section}"));
    (TYPE_SIGMA * bell(&mut random)).exp()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::sheet::read_sheet;

    const SETS: [&str; 2] = [
        include_str!("../../../../examples/whole/larkfield_12t.toml"),
        include_str!("../../../../examples/whole/merrow_17s.toml"),
    ];

    /// Differences of the plate currents of both laws, as shares, over the volts that the stages
    /// of the example sets work at and a third around.
    fn differences(seed: u64) -> Vec<f64> {
        let catalogue = parts::catalogue().expect("the tables are sound");
        let mut all = Vec::new();
        for text in SETS {
            let sheet = read_sheet(text, catalogue).sheet.expect("no fault");
            let own = SetModel::new(&sheet, catalogue);
            let other = with_other_laws(SetModel::new(&sheet, catalogue), seed);
            for (one, two) in own.stages.complete.iter().zip(&other.stages.complete) {
                if one.kind == SectionKind::Diode || one.is_beam {
                    continue;
                }
                let tube = &sheet.tubes[one.tube].kind;
                let section = tube.sections.iter().find(|own| own.name == one.section);
                let at = common_point(&one.law, one.kind, section);
                for at in around(at) {
                    let (one, two) = (plate(&one.law, at), plate(&two.law, at));
                    if one > 2e-4 {
                        all.push((two / one - 1.0).abs());
                    }
                }
            }
        }
        all.sort_by(f64::total_cmp);
        all
    }

    /// Points left out of the predicting laws' own fit were missed by a median of 3.5 percent, and
    /// nine of ten by less than 13.7 (crates/laws/tests): the hidden sets stray at least so far, and
    /// not so far that they are no tubes of the type.
    #[test]
    fn the_other_laws_stray_at_least_as_far_as_the_predicting_ones_do() {
        for seed in [1, 2] {
            let all = differences(seed);
            assert!(all.len() > 200, "{}", all.len());
            let (median, ninth) = (all[all.len() / 2], all[all.len() * 9 / 10]);
            assert!((0.035..0.15).contains(&median), "median {median}");
            assert!((0.137..0.6).contains(&ninth), "nine of ten {ninth}");
        }
    }

    #[test]
    fn all_tubes_of_a_type_stray_alike_and_by_the_seed() {
        assert_eq!(stray("6AU6", "pentode", 3), stray("6AU6", "pentode", 3));
        assert_ne!(stray("6AU6", "pentode", 3), stray("6AU6", "pentode", 4));
        assert_ne!(stray("6AU6", "pentode", 3), stray("6AG5", "pentode", 3));
        let all = (0..200).map(|seed| stray("6AU6", "pentode", seed));
        assert!(all.into_iter().all(|one| (0.7..1.4).contains(&one)));
    }
}
