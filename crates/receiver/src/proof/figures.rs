//! What the proof rests on and can be solved: line current, supplies, what stays charged, leakage, fuse.
//!
//! Amperes, volts, seconds, milliamperes. Source: the set's own circuit at the highest line of today and at the
//! sheet's. What cannot be solved is listed with its reason and left open; it never becomes a figure.

use circuit::solver::GoOn;
use circuit::{Solver, SolverOptions};

use super::fuse::{FuseChoice, choose_fuse};
use super::leak::{LeakState, computed_leakage};
use crate::conditions::BenchConditions;
use crate::curves::supply_junctions_of;
use crate::expect::Predictor;
use crate::plan::Charged;
use crate::plan::charged::{charged, volts_across};
use crate::reading::What;
use crate::sheet::PartValue;
use crate::wiring::Variation;

/// Moments after switch-on at which the line current is solved, seconds.
const MOMENTS: [f64; 6] = [0.1, 0.5, 1.0, 2.0, 5.0, 10.0];

/// A B+ line with its band at the line as it is today.
#[derive(Debug, Clone, PartialEq)]
pub struct SolvedSupply {
    /// The place.
    pub at: String,
    /// Low, expected, high.
    pub volts: [f64; 3],
}

/// Everything that was solved.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct ProofFigures {
    /// Line current at the sheet's line, give or take 5 percent: low, expected, high.
    pub line_amperes: Option<[f64; 3]>,
    /// B+ lines, the highest first, under the same line.
    pub supplies: Vec<SolvedSupply>,
    /// What stays charged after the plug is out, at the highest line.
    pub charged: Vec<Charged>,
    /// The line fuse.
    pub fuse: Option<FuseChoice>,
    /// Leakage of a healthy set from chassis or antenna, by the name of the place: state, and low, expected, high.
    pub leakage: Vec<(String, LeakState, [f64; 3])>,
    /// What could not be solved, and why.
    pub unknown: Vec<(String, String)>,
}

/// Solves what can be solved of a set.
#[must_use]
pub fn proof_figures(predictor: &Predictor<'_, '_>) -> ProofFigures {
    let model = predictor.model;
    let mut figures = ProofFigures::default();
    let usual = BenchConditions {
        bands: true,
        ..BenchConditions::default()
    };
    match predictor.expect(&usual) {
        Ok(expectation) => {
            let band = |what: What, at: &str| {
                expectation
                    .readings
                    .iter()
                    .find(|own| own.what == what && own.at == at)
                    .map(|own| [own.band.low, own.band.expected, own.band.high])
            };
            figures.line_amperes = band(What::LineAmpsRms, "line");
            if figures.line_amperes.is_none() {
                figures.lacks("line current", "the sheet does not tell what the set draws");
            }
            let settled = BenchConditions {
                line_volts: Some(model.sheet.line_volts),
                ..BenchConditions::default()
            };
            if let Ok(solved) = predictor.solve(&settled, &Variation::none(), &[], None) {
                for own in supply_junctions_of(predictor, &solved.junction_volts) {
                    if let Some(volts) = band(What::DcVolts, &own.name) {
                        figures.supplies.push(SolvedSupply {
                            at: own.name,
                            volts,
                        });
                    }
                }
            }
        }
        Err(error) => figures.lacks("line current and B+", &error.to_string()),
    }
    high_line(predictor, &mut figures);
    leakages(predictor, &mut figures);
    figures
}

impl ProofFigures {
    fn lacks(&mut self, what: &str, because: &str) {
        self.unknown.push((what.to_owned(), because.to_owned()));
    }
}

fn high_line(predictor: &Predictor<'_, '_>, figures: &mut ProofFigures) {
    let model = predictor.model;
    let line_volts = model.todays_line();
    let conditions = BenchConditions {
        line_volts: Some(line_volts),
        bands: true,
        ..BenchConditions::default()
    };
    match predictor.solve(&conditions, &Variation::none(), &[], None) {
        Ok(solved) => {
            let across = volts_across(model, &solved.junction_volts);
            match charged(model, &conditions, &across) {
                Ok(charged) => figures.charged = charged,
                Err(error) => figures.lacks("what stays charged", &error.to_string()),
            }
        }
        Err(error) => figures.lacks("what stays charged", &error.to_string()),
    }
    let running = predictor.expect(&conditions).ok().and_then(|expectation| {
        expectation
            .readings
            .into_iter()
            .find(|own| own.what == What::LineAmpsRms)
            .map(|own| [own.band.low, own.band.expected, own.band.high])
    });
    match running {
        Some(running) => {
            let marked = line_fuse(predictor);
            let inrush = inrush(predictor, &conditions);
            let half_wave = half_wave(predictor, line_volts);
            figures.fuse = Some(choose_fuse(running, line_volts, marked, inrush, half_wave));
        }
        None => figures.lacks(
            "the fuse",
            "the running line current could not be solved at the highest line",
        ),
    }
}

/// The rating of the maker's fuse on the line side.
fn line_fuse(predictor: &Predictor<'_, '_>) -> Option<f64> {
    let model = predictor.model;
    let side = crate::plan::situation::line_side(model);
    model
        .sheet
        .parts
        .iter()
        .enumerate()
        .find_map(|(part, own)| {
            let PartValue::Fuse { amperes, .. } = own.value else {
                return None;
            };
            let (from, to) = crate::plan::situation::ends(model, part)?;
            (side.contains(&from) || side.contains(&to)).then_some(amperes)?
        })
}

/// Rms line current at the moments after switch-on; empty where they were not found.
fn inrush(predictor: &Predictor<'_, '_>, conditions: &BenchConditions) -> Vec<(f64, f64)> {
    let mut found = Vec::new();
    let Ok(wired) = predictor.model.wire(conditions, &Variation::none()) else {
        return found;
    };
    let (Some(line), Ok(solver)) = (
        wired.line,
        Solver::new(&wired.circuit, SolverOptions::default()),
    ) else {
        return found;
    };
    let run = solver.warm_up(&MOMENTS, &mut |moment| {
        found.push((moment.seconds, moment.record.amperes(line).rms()));
        if found.len() == MOMENTS.len() {
            GoOn::Enough
        } else {
            GoOn::Yes
        }
    });
    if run.is_err() && found.len() < MOMENTS.len() {
        found.clear();
    }
    found
}

/// The first half-wave of a transformer whose iron is full: peak volts over the copper of its primary.
fn half_wave(predictor: &Predictor<'_, '_>, line_volts: f64) -> Option<(f64, f64)> {
    let sheet = predictor.model.sheet;
    let siemens: f64 = sheet
        .primaries()
        .iter()
        .map(|winding| {
            winding
                .ohms
                .filter(|ohms| *ohms > 0.0)
                .map(|ohms| 1.0 / ohms)
        })
        .sum::<Option<f64>>()?;
    if siemens <= 0.0 {
        return None;
    }
    let peak = std::f64::consts::SQRT_2 * line_volts * siemens;
    // A half sine of this peak: its mean square is half of the peak's.
    Some((peak, 0.5 * peak * peak * 0.5 / sheet.line_hertz))
}

fn leakages(predictor: &Predictor<'_, '_>, figures: &mut ProofFigures) {
    let model = predictor.model;
    let mut points: Vec<(String, Option<usize>)> = vec![("chassis".to_owned(), None)];
    for place in model.places.iter() {
        let name = place.to_string();
        let junction = model.junction(place);
        if name.to_lowercase().contains("antenna")
            && let Some(junction) = junction
            && Some(junction) != model.chassis_junction()
        {
            points.push((name, Some(junction)));
        }
    }
    let line_volts = model.todays_line();
    for (name, junction) in points {
        for state in LeakState::ALL {
            match computed_leakage(predictor, junction, line_volts, state) {
                Ok(found) => figures.leakage.push((name.clone(), state, found)),
                Err(error) => {
                    figures.lacks(&format!("leakage from {name}"), &error.to_string());
                    break;
                }
            }
        }
    }
}
