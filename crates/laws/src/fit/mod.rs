//! From published points to the constants of a law.
//!
//! [`fit_tube`] goes through the sections of a type; `figures` turns points into figures with
//! doubts; `triode`, `pentode`, `diode`, `gated_beam` find the constants by `least_squares`,
//! held near the `priors` of the kind. A section that tells too little has no law and says
//! why.

mod diode;
mod figures;
mod gated_beam;
mod least_squares;
mod pentode;
mod priors;
mod triode;

use std::sync::Arc;

use circuit::tube::TubeLaw;
use parts::{OperatingPoint, Section, SectionKind, Standing, TubeType};

pub use figures::{AtPoint, PointFigure, at_point};

use crate::section::{FitRecord, Lack, LawBasis, Leftover, SectionLaw};
use crate::section_pins::{SectionPins, diodes_beside, pins_of};
use figures::{Observed, Setting, trust};
use priors::Screened;

/// Name of the section of a converter whose oscillator runs at its published point.
const CONVERTER: &str = "converter";

impl SectionLaw {
    pub(crate) fn setting(&self) -> Setting {
        setting(&self.section, self.kind, &self.pins)
    }
}

fn setting(section: &str, kind: SectionKind, pins: &SectionPins) -> Setting {
    Setting {
        units_on_cathode: if pins.cathode_is_shared { 2.0 } else { 1.0 },
        oscillates: section == CONVERTER,
        has_grid3: matches!(kind, SectionKind::Pentagrid | SectionKind::GatedBeam),
    }
}

/// The law of every unit of a type's sections, and of diodes beside a triode.
pub fn fit_tube(tube: &TubeType) -> Vec<SectionLaw> {
    let mut laws = Vec::new();
    for section in &tube.sections {
        let mut fitted: Option<SectionLaw> = None;
        for unit in 0..section.units.max(1) {
            let pins = pins_of(tube, section, unit);
            let law = match &fitted {
                Some(first) => SectionLaw {
                    unit,
                    pins,
                    ..first.clone()
                },
                None => fit_section(tube, section, pins),
            };
            if unit == 0 {
                fitted = Some(law.clone());
            }
            laws.push(law);
        }
    }
    if !tube.sections.iter().any(|section| section.kind.is_diode()) {
        laws.extend(diodes_beside(tube).into_iter().map(beside_a_triode));
    }
    laws
}

fn beside_a_triode((number, pins): (u8, SectionPins)) -> SectionLaw {
    let (volts, amperes) = diode::BESIDE_A_TRIODE;
    SectionLaw {
        section: format!("diode-{number}"),
        unit: 0,
        kind: SectionKind::Diode,
        pins,
        law: Some(Arc::new(diode::through(
            volts,
            amperes,
            true,
            10.0 * amperes,
        ))),
        lack: None,
        basis: Some(LawBasis::Kind),
        fit: FitRecord::default(),
        model_error: 0.5,
    }
}

fn fit_section(tube: &TubeType, section: &Section, pins: SectionPins) -> SectionLaw {
    let mut law = SectionLaw {
        section: section.name.clone(),
        unit: 0,
        kind: section.kind,
        pins,
        law: None,
        lack: None,
        basis: None,
        fit: FitRecord::default(),
        model_error: 0.0,
    };
    if section.kind.is_diode() {
        fit_diode(section, &mut law);
    } else {
        fit_grids(tube, section, &mut law);
    }
    law
}

fn fit_diode(section: &Section, law: &mut SectionLaw) {
    let Some(fitted) = diode::fit(section) else {
        law.lack = Some(Lack::NotMet);
        return;
    };
    let points = section.rectifier.iter().flat_map(|r| &r.drop_points);
    law.fit = FitRecord {
        points: fitted.drops.len(),
        standing: points.clone().map(|drop| drop.standing).max(),
        doubtful: points.clone().any(|drop| drop.doubtful),
        left_over: fitted
            .drops
            .iter()
            .enumerate()
            .map(|(point, (volts, amperes))| Leftover {
                point,
                figure: PointFigure::PlateCurrent,
                published: *amperes,
                by_law: fitted
                    .law
                    .currents([*volts, 0.0, 0.0, 0.0], &Default::default())
                    .amperes[0],
            })
            .collect(),
    };
    // One drop of a rectifier is printed to a tenth or so; makers differ by more.
    law.model_error = match (fitted.of_kind, law.fit.doubtful) {
        (true, _) => 0.4,
        (false, true) => fitted.left_over.max(0.25),
        (false, false) => fitted.left_over.max(0.12),
    };
    law.basis = Some(if fitted.of_kind {
        LawBasis::Kind
    } else {
        LawBasis::OwnPoints
    });
    law.law = Some(Arc::new(fitted.law));
}

fn fit_grids(tube: &TubeType, section: &Section, law: &mut SectionLaw) {
    if section.operating_points.is_empty() {
        law.lack = Some(Lack::NoPoint);
        return;
    }
    let is_screened = section.kind != SectionKind::Triode;
    let setting = law.setting();
    let usable: Vec<(&OperatingPoint, Observed)> = section
        .operating_points
        .iter()
        .filter_map(|point| Some((point, Observed::new(point, is_screened, setting)?)))
        .collect();
    if usable.is_empty() {
        law.lack = Some(Lack::PointsIncomplete);
        return;
    }
    let observed: Vec<Observed> = usable.iter().map(|(_, seen)| seen.clone()).collect();
    let emission = emission_amperes(tube, section);
    let Some(found) = fit_points(section, &observed, emission) else {
        law.lack = Some(Lack::NotMet);
        return;
    };
    let mut record = FitRecord {
        points: usable.len(),
        standing: None,
        doubtful: false,
        left_over: Vec::new(),
    };
    for (number, (point, seen)) in usable.iter().enumerate() {
        let (standing, doubtful) = trust(point);
        record.standing = record.standing.max(Some(standing));
        record.doubtful |= doubtful;
        for (figure, published, _) in &seen.figures {
            record.left_over.push(Leftover {
                point: number,
                figure: *figure,
                published: *published,
                by_law: seen.by_law(&found, *figure),
            });
        }
    }
    law.fit = record;
    law.basis = Some(LawBasis::OwnPoints);
    law.law = Some(Arc::new(found));
    let left_out = left_out_errors(section, &usable, emission, law);
    law.model_error = model_error(section.kind, &law.fit, &left_out);
    if !observed.iter().any(Observed::tells_a_slope) {
        law.model_error = law.model_error.max(CURRENT_ALONE);
    }
}

/// Doubt where nothing but currents is known of a type (judgement).
const CURRENT_ALONE: f64 = 0.35;

/// Each point foretold from the others: law over published less one. Empty for one point.
fn left_out_errors(
    section: &Section,
    usable: &[(&OperatingPoint, Observed)],
    emission: f64,
    law: &SectionLaw,
) -> Vec<f64> {
    if usable.len() < 2 {
        return Vec::new();
    }
    (0..usable.len())
        .filter_map(|left_out| {
            let others: Vec<Observed> = usable
                .iter()
                .enumerate()
                .filter(|(number, _)| *number != left_out)
                .map(|(_, (_, seen))| seen.clone())
                .collect();
            // A plate current alone foretells nothing: that says little of the whole.
            if !others.iter().any(Observed::tells_a_slope) {
                return None;
            }
            let by_others = SectionLaw {
                law: Some(Arc::new(fit_points(section, &others, emission)?)),
                ..law.clone()
            };
            let (point, _) = usable.get(left_out)?;
            let published = point.plate_milliamperes? * 1e-3;
            Some(at_point(&by_others, point)?.plate_amperes / published - 1.0)
        })
        .collect()
}

/// The law that meets these points best.
fn fit_points(section: &Section, observed: &[Observed], emission: f64) -> Option<TubeLaw> {
    match section.kind {
        SectionKind::Triode => triode::fit(observed, emission),
        SectionKind::GatedBeam => gated_beam::fit(observed, emission),
        kind => pentode::fit(observed, screened(section, kind), emission),
    }
}

/// What sort of screened tube a section is: by kind, by plate watts, by the notes of its row.
fn screened(section: &Section, kind: SectionKind) -> Screened {
    let noted = |words: &str| {
        section
            .operating_points
            .iter()
            .any(|point| point.provenance.notes.contains(words))
    };
    // Of beam tubes makers rate the cathode current of sweep tubes only, and those of a
    // horizontal sweep bear more than 90 mA.
    let is_sweep = section
        .max_cathode_milliamperes
        .is_some_and(|most| most > 90.0);
    match kind {
        SectionKind::Pentagrid => Screened::Heptode,
        SectionKind::Beam if is_sweep => Screened::SweepBeam,
        SectionKind::Beam => Screened::Beam,
        _ if noted("semi-remote cutoff") => Screened::SemiRemote,
        _ if noted("remote cutoff") => Screened::Remote,
        _ if section.max_plate_watts.is_some_and(|watts| watts > 7.0) => Screened::PowerPentode,
        _ => Screened::Sharp,
    }
}

/// What a new cathode can emit, amperes: a tenth of an ampere for each watt of its heater (an
/// oxide cathode gives 50 to 150 mA a watt; from memory of Herrmann and Wagener, The
/// Oxide-Coated Cathode, 1951), but not less than six times what its points draw nor one and
/// a half times its rated peak.
fn emission_amperes(tube: &TubeType, section: &Section) -> f64 {
    let units: u8 = tube
        .sections
        .iter()
        .fold(0, |sum, section| sum.saturating_add(section.units.max(1)));
    let by_watts = tube
        .heater
        .as_ref()
        .map_or(0.0, |heater| 0.1 * heater.watts() / f64::from(units.max(1)));
    let by_points = section
        .operating_points
        .iter()
        .map(|point| {
            point.plate_milliamperes.unwrap_or(0.0) + point.screen_milliamperes.unwrap_or(0.0)
        })
        .fold(0.0, f64::max)
        * 6e-3;
    let by_peak = section
        .max_peak_cathode_milliamperes
        .map_or(0.0, |peak| 1.5e-3 * peak);
    by_watts.max(by_points).max(by_peak).max(1e-3)
}

/// How far the plate current may be off at a point that was not fitted. The kind's own figure
/// (two of three points left out lie within, see docs/theory/tube_laws.md) counts as three
/// points; each point of the type that the others foretell counts as one.
fn model_error(kind: SectionKind, record: &FitRecord, left_out: &[f64]) -> f64 {
    const WEIGHT_OF_KIND: f64 = 3.0;
    let of_kind: f64 = match kind {
        SectionKind::Triode => 0.09,
        SectionKind::Pentagrid | SectionKind::GatedBeam => 0.2,
        _ => 0.07,
    };
    let squares: f64 = left_out.iter().map(|error| error * error).sum();
    let together =
        (WEIGHT_OF_KIND * of_kind * of_kind + squares) / (WEIGHT_OF_KIND + left_out.len() as f64);
    let by_trust = if record.doubtful || record.standing == Some(Standing::Estimated) {
        1.3
    } else {
        1.0
    };
    (together.sqrt() * by_trust).max(record.worst_plate_current())
}
