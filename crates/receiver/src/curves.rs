//! Curves for pictures: B+ against line volts, and the warm-up from switch-on.
//!
//! Volts, seconds. Source: the solved circuit of the healthy set, without bands. A line
//! voltage at which no settled state was found is left out and named in the words that
//! go with the picture. Which junctions are B+ lines is worked out here for the plan as
//! well. Fails when the set cannot be solved at all.

use circuit::solver::{GoOn, SettledState};
use circuit::{Solver, SolverOptions};

use crate::conditions::BenchConditions;
use crate::expect::{ExpectError, Predictor};
use crate::probes::{Probe, Spot};
use crate::reading::What;
use crate::sheet::{CapacitorStyle, PartValue};
use crate::unknowns::PULL_LIMIT;
use crate::wiring::{Rectifying, SetModel, Variation, Wired};

/// What an axis counts.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Axis {
    /// In words.
    pub name: String,
    /// Its unit.
    pub unit: String,
}

/// One curve.
#[derive(Debug, Clone, PartialEq)]
pub struct Curve {
    /// Its name, a few words.
    pub name: String,
    /// Its points from left to right.
    pub points: Vec<(f64, f64)>,
}

/// One level to hold the curves against.
#[derive(Debug, Clone, PartialEq)]
pub struct Level {
    /// Its name, a few words.
    pub name: String,
    /// Its height in the unit of the upright axis.
    pub value: f64,
}

/// Curves that share an upright axis.
#[derive(Debug, Clone, PartialEq)]
pub struct Panel {
    /// The upright axis.
    pub upright: Axis,
    /// The curves, the most important first.
    pub curves: Vec<Curve>,
    /// The levels.
    pub levels: Vec<Level>,
}

/// The highest momentary volts of a place or across a can during the warm-up.
#[derive(Debug, Clone, PartialEq)]
pub struct Peak {
    /// Name of the place, or reference of the can.
    pub at: String,
    /// Volts.
    pub volts: f64,
    /// Seconds after switch-on.
    pub seconds: f64,
    /// Marked volts of the can.
    pub marked_volts: Option<f64>,
    /// Marked surge volts of the can, or the usual 1.1 times the marked volts.
    pub surge_volts: Option<f64>,
}

/// A set of curves over one axis, with their words.
#[derive(Debug, Clone, PartialEq)]
pub struct Curves {
    /// The title.
    pub title: String,
    /// The axis below.
    pub horizontal: Axis,
    /// The panels from the top: volts and heaters have axes of their own.
    pub panels: Vec<Panel>,
    /// Peaks of a warm-up; empty for curves against line volts.
    pub peaks: Vec<Peak>,
    /// What the curves show, for those who cannot see them.
    pub text: String,
}

/// A junction that is a B+ line.
#[derive(Debug, Clone, PartialEq)]
pub struct SupplyJunction {
    /// The junction.
    pub junction: usize,
    /// What the restorer calls it.
    pub name: String,
    /// Its volts with the healthy set settled at the sheet's line.
    pub volts: f64,
}

/// Volts above which a line counts as B+.
const LEAST_SUPPLY_VOLTS: f64 = 40.0;
/// Surge volts over marked volts where none are marked, for 30 s (common practice).
pub const USUAL_SURGE_RATIO: f64 = 1.1;
/// Line volts of the curves.
const LINE_VOLTS: (f64, f64, f64) = (40.0, 130.0, 5.0);
/// Seconds of a warm-up.
const WARM_UP_SECONDS: f64 = 120.0;
/// B+ lines and cans that one picture can hold.
const MOST_CURVES: usize = 6;

/// Junctions that may be B+ lines: the + end of an electrolytic or of a load lies there,
/// and no tube that is not calculated pulls at it.
pub fn supply_candidates(predictor: &Predictor<'_, '_>) -> Vec<usize> {
    let model = predictor.model;
    let pulled = |junction: usize| {
        predictor.open_electrodes.iter().any(|open| {
            open.junction == junction
                || open.pulls.get(junction).copied().unwrap_or(0.0) >= PULL_LIMIT
        })
    };
    let mut found: Vec<usize> = Vec::new();
    for (index, part) in model.sheet.parts.iter().enumerate() {
        let counts = matches!(
            part.value,
            PartValue::Load { .. }
                | PartValue::Capacitor {
                    style: CapacitorStyle::Electrolytic,
                    ..
                }
        );
        if let Some(junction) = model.part_ends[index][0]
            && counts
            && Some(junction) != model.chassis_junction()
            && !found.contains(&junction)
            && !feeds_a_rectifier(model, junction)
            && !pulled(junction)
        {
            found.push(junction);
        }
    }
    found
}

/// Whether alternating volts stand at a junction because a rectifier is fed from it.
fn feeds_a_rectifier(model: &SetModel<'_>, junction: usize) -> bool {
    model
        .rectifying()
        .iter()
        .any(|rectifying| match rectifying {
            Rectifying::Tube { anode, damper, .. } => !damper && *anode == junction,
            Rectifying::Metal { part } => model.part_ends[*part][0] == Some(junction),
        })
}

/// The B+ lines of a set: candidates above 40 V with the healthy set settled, the
/// highest first.
///
/// # Errors
/// The set cannot be solved at the sheet's line.
pub fn supply_junctions(predictor: &Predictor<'_, '_>) -> Result<Vec<SupplyJunction>, ExpectError> {
    let conditions = BenchConditions {
        line_volts: Some(predictor.model.sheet.line_volts),
        ..BenchConditions::default()
    };
    let solved = predictor.solve(&conditions, &Variation::none(), &[], None)?;
    Ok(supply_junctions_of(predictor, &solved.junction_volts))
}

/// The same from the volts of every junction of a solved set.
pub fn supply_junctions_of(
    predictor: &Predictor<'_, '_>,
    junction_volts: &[f64],
) -> Vec<SupplyJunction> {
    let mut found: Vec<SupplyJunction> = supply_candidates(predictor)
        .into_iter()
        .filter_map(|junction| {
            let volts = *junction_volts.get(junction)?;
            (volts > LEAST_SUPPLY_VOLTS).then(|| SupplyJunction {
                junction,
                name: predictor.model.junction_name(junction),
                volts,
            })
        })
        .collect();
    found.sort_by(|one, other| other.volts.total_cmp(&one.volts));
    found
}

/// B+ against line volts, settled at each: the set straight on the line and, where lamps
/// are named (watts), behind them.
///
/// # Errors
/// The set cannot be solved at the sheet's line or at two of the line volts.
pub fn supply_against_line(
    predictor: &Predictor<'_, '_>,
    conditions: &BenchConditions,
    lamps: Option<&[f64]>,
) -> Result<Curves, ExpectError> {
    let lines = shown(supply_junctions(predictor)?);
    let probes: Vec<Probe> = lines
        .iter()
        .map(|line| Probe {
            at: line.name.clone(),
            to: None,
            what: What::DcVolts,
            spot: Spot::ToChassis(line.junction),
        })
        .collect();
    let mut curves = Vec::new();
    let mut missing = Vec::new();
    let mut words = Vec::new();
    let straight: &[f64] = &[];
    for lamps in std::iter::once(straight).chain(lamps) {
        let behind = behind_words(lamps);
        let (mut lines_of, not_found) = sweep(predictor, conditions, lamps, &probes)?;
        for volts in not_found {
            missing.push(format!("{volts:.0} V {behind}"));
        }
        for curve in &mut lines_of {
            if let (Some(first), Some(last)) = (curve.points.first(), curve.points.last()) {
                words.push(format!(
                    "{} {behind}: {:.0} V at {:.0} V of line, {:.0} V at {:.0} V",
                    curve.name, first.1, first.0, last.1, last.0
                ));
            }
            curve.name = format!("{} {behind}", curve.name);
        }
        curves.append(&mut lines_of);
    }
    let mut text = words.join("; ");
    if !missing.is_empty() {
        text.push_str(&format!(
            ". No settled state was found at {}",
            missing.join(", ")
        ));
    }
    text.push('.');
    Ok(Curves {
        title: format!("{}: B+ against line volts", predictor.model.sheet.name),
        horizontal: Axis {
            name: "line".to_string(),
            unit: "volts rms".to_string(),
        },
        panels: vec![Panel {
            upright: volts_axis("B+"),
            curves,
            levels: can_levels(predictor.model, &lines),
        }],
        peaks: Vec::new(),
        text,
    })
}

fn behind_words(lamps: &[f64]) -> String {
    match lamps {
        [] => "without lamp".to_string(),
        lamps => {
            let watts: Vec<String> = lamps.iter().map(|watts| format!("{watts} W")).collect();
            format!("behind {}", watts.join(" + "))
        }
    }
}

/// One curve a probe, and the line volts at which no settled state was found.
fn sweep(
    predictor: &Predictor<'_, '_>,
    conditions: &BenchConditions,
    lamps: &[f64],
    probes: &[Probe],
) -> Result<(Vec<Curve>, Vec<f64>), ExpectError> {
    let mut curves: Vec<Curve> = probes
        .iter()
        .map(|probe| Curve {
            name: probe.at.clone(),
            points: Vec::new(),
        })
        .collect();
    let mut missing = Vec::new();
    let mut near: Option<SettledState> = None;
    let mut failure = None;
    let (first, last, step) = LINE_VOLTS;
    let count = ((last - first) / step).round() as usize;
    for number in 0..=count {
        let line_volts = first + step * number as f64;
        let conditions = BenchConditions {
            line_volts: Some(line_volts),
            lamps: lamps.to_vec(),
            seconds: None,
            ..conditions.clone()
        };
        match predictor.solve(&conditions, &Variation::none(), probes, near.as_ref()) {
            Ok(solved) => {
                for (curve, value) in curves.iter_mut().zip(&solved.values) {
                    if let Some(value) = value {
                        curve.points.push((line_volts, *value));
                    }
                }
                near = solved.near;
            }
            Err(error) => {
                missing.push(line_volts);
                failure = Some(error);
            }
        }
    }
    match failure {
        Some(error) if missing.len() + 2 > count => Err(error),
        _ => Ok((curves, missing)),
    }
}

/// A can whose volts are followed through the warm-up.
struct Can {
    part: usize,
    reference: String,
    ends: (usize, usize),
    to_chassis: bool,
    marked_volts: f64,
    surge_volts: f64,
}

/// B+ lines and heaters against seconds from switch-on, with the marked and the surge
/// volts of the cans and the highest momentary volts of each.
///
/// # Errors
/// The set cannot be solved, or has no plug.
pub fn warm_up_curves(
    predictor: &Predictor<'_, '_>,
    conditions: &BenchConditions,
) -> Result<Curves, ExpectError> {
    let model = predictor.model;
    let lines = shown(supply_junctions(predictor)?);
    let cans = cans(model);
    let wired = model.wire(conditions, &Variation::none())?;
    let heaters = heater_probes(model, &wired);
    let solver = Solver::new(&wired.circuit, SolverOptions::default())?;
    let mut supply: Vec<Curve> = lines.iter().map(|line| curve(&line.name)).collect();
    let mut heated: Vec<Curve> = heaters.iter().map(|probe| curve(&probe.at)).collect();
    let mut across: Vec<Curve> = cans
        .iter()
        .map(|can| curve(&format!("across {}", can.reference)))
        .collect();
    let mut peaks: Vec<Peak> = lines
        .iter()
        .map(|line| peak(&line.name))
        .chain(cans.iter().map(|can| Peak {
            marked_volts: Some(can.marked_volts),
            surge_volts: Some(can.surge_volts),
            ..peak(&can.reference)
        }))
        .collect();
    solver.warm_up(&moments(), &mut |moment| {
        let record = &moment.record;
        let mut highest = Vec::new();
        for (curve, line) in supply.iter_mut().zip(&lines) {
            let wave = record.volts(wired.node(line.junction), 0);
            curve.points.push((moment.seconds, wave.mean()));
            highest.push(wave.highest());
        }
        for (curve, can) in across.iter_mut().zip(&cans) {
            let wave = record.volts(wired.node(can.ends.0), wired.node(can.ends.1));
            curve.points.push((moment.seconds, wave.mean()));
            highest.push(wave.highest());
        }
        for (curve, probe) in heated.iter_mut().zip(&heaters) {
            if let Some(volts) = probe.read(&wired, record, &moment.state.groups) {
                curve.points.push((moment.seconds, volts));
            }
        }
        for (peak, volts) in peaks.iter_mut().zip(highest) {
            if volts > peak.volts {
                peak.volts = volts;
                peak.seconds = moment.seconds;
            }
        }
        GoOn::Yes
    })?;
    // A can to the chassis has the volts of its place; only others get a curve of their own.
    let own: Vec<Curve> = across
        .into_iter()
        .zip(&cans)
        .filter(|(_, can)| !can.to_chassis)
        .map(|(curve, _)| curve)
        .take(MOST_CURVES)
        .collect();
    supply.extend(own);
    let text = warm_up_words(&supply, &heated, &peaks);
    let mut levels = can_levels(model, &lines);
    for can in cans.iter().filter(|can| !can.to_chassis) {
        push_level(&mut levels, &can.reference, "marked", can.marked_volts);
        push_level(&mut levels, &can.reference, "surge", can.surge_volts);
    }
    let mut panels = vec![Panel {
        upright: volts_axis("B+"),
        curves: supply,
        levels,
    }];
    if !heated.is_empty() {
        panels.push(Panel {
            upright: Axis {
                name: "heaters".to_string(),
                unit: "volts rms".to_string(),
            },
            curves: heated,
            levels: Vec::new(),
        });
    }
    Ok(Curves {
        title: format!("{}: from switch-on at cold", model.sheet.name),
        horizontal: Axis {
            name: "after switch-on".to_string(),
            unit: "seconds".to_string(),
        },
        panels,
        peaks,
        text,
    })
}

fn curve(name: &str) -> Curve {
    Curve {
        name: name.to_string(),
        points: Vec::new(),
    }
}

fn peak(at: &str) -> Peak {
    Peak {
        at: at.to_string(),
        volts: f64::NEG_INFINITY,
        seconds: 0.0,
        marked_volts: None,
        surge_volts: None,
    }
}

fn volts_axis(name: &str) -> Axis {
    Axis {
        name: name.to_string(),
        unit: "volts".to_string(),
    }
}

/// Moments of the warm-up: close at first, where filters charge, then wider.
fn moments() -> Vec<f64> {
    let mut moments = Vec::new();
    for (until, step) in [(1.0, 0.1), (4.0, 0.25), (30.0, 1.0), (WARM_UP_SECONDS, 3.0)] {
        let mut now: f64 = moments.last().copied().unwrap_or(0.0);
        while now + 1e-9 < until {
            now += step;
            moments.push(now.min(until));
        }
    }
    moments
}

/// No more lines than a picture can hold, one of those that stand within a volt.
fn shown(lines: Vec<SupplyJunction>) -> Vec<SupplyJunction> {
    let mut kept: Vec<SupplyJunction> = Vec::new();
    for line in lines {
        if kept
            .iter()
            .all(|other| (other.volts - line.volts).abs() > 1.0)
        {
            kept.push(line);
        }
    }
    kept.truncate(MOST_CURVES);
    kept
}

/// The cans above 40 V marked.
fn cans(model: &SetModel<'_>) -> Vec<Can> {
    let mut found = Vec::new();
    for (index, part) in model.sheet.parts.iter().enumerate() {
        if let PartValue::Capacitor {
            style: CapacitorStyle::Electrolytic,
            volts: Some(volts),
            surge_volts,
            ..
        } = part.value
            && let [Some(from), Some(to), _] = model.part_ends[index]
            && from != to
            && model.follows(index)
            && volts > 1.5 * LEAST_SUPPLY_VOLTS
        {
            found.push(Can {
                part: index,
                reference: part.reference.clone(),
                ends: (from, to),
                to_chassis: Some(to) == model.chassis_junction(),
                marked_volts: volts,
                surge_volts: surge_volts.unwrap_or(USUAL_SURGE_RATIO * volts),
            });
        }
    }
    found
}

/// Marked and surge volts of the cans from these lines to the chassis.
fn can_levels(model: &SetModel<'_>, lines: &[SupplyJunction]) -> Vec<Level> {
    let mut levels = Vec::new();
    for can in cans(model) {
        let on_a_line = lines.iter().any(|line| line.junction == can.ends.0);
        if on_a_line && can.to_chassis && model.part_ends[can.part][0].is_some() {
            push_level(&mut levels, &can.reference, "marked", can.marked_volts);
            push_level(&mut levels, &can.reference, "surge", can.surge_volts);
        }
    }
    levels
}

/// Cans of one rating share a level.
fn push_level(levels: &mut Vec<Level>, reference: &str, what: &str, value: f64) {
    let ending = format!(" {what} {value:.0} V");
    match levels
        .iter_mut()
        .find(|level| level.name.ends_with(&ending))
    {
        Some(level) => {
            level.name = format!(
                "{}, {reference}{ending}",
                level.name.trim_end_matches(&ending)
            )
        }
        None => levels.push(Level {
            name: format!("{reference}{ending}"),
            value,
        }),
    }
}

/// One heater for each place that feeds some, and the picture tube's.
fn heater_probes(model: &SetModel<'_>, wired: &Wired) -> Vec<Probe> {
    let mut tubes: Vec<usize> = wired
        .heaters
        .iter()
        .filter_map(|parted| parted.first()?.tubes.first().copied())
        .collect();
    let picture = model
        .sheet
        .tubes
        .iter()
        .position(|tube| tube.kind.is_picture_tube)
        .filter(|picture| {
            wired
                .heaters
                .iter()
                .flatten()
                .any(|heaters| heaters.tubes.contains(picture))
        });
    if let Some(picture) = picture
        && !tubes.contains(&picture)
    {
        tubes.push(picture);
    }
    tubes
        .into_iter()
        .map(|tube| Probe {
            at: format!("heater of {}", model.sheet.tubes[tube].reference),
            to: None,
            what: What::HeaterVoltsRms,
            spot: Spot::Heater(tube),
        })
        .collect()
}

fn warm_up_words(supply: &[Curve], heated: &[Curve], peaks: &[Peak]) -> String {
    let mut words = Vec::new();
    for peak in peaks {
        let end = supply
            .iter()
            .find(|curve| curve.name == peak.at)
            .and_then(|curve| curve.points.last());
        let mut text = format!(
            "{} is highest {} s after switch-on with {:.0} V",
            peak.at,
            if peak.seconds < 10.0 {
                format!("{:.1}", peak.seconds)
            } else {
                format!("{:.0}", peak.seconds)
            },
            peak.volts
        );
        if let Some((seconds, volts)) = end {
            text.push_str(&format!(" and shows {volts:.0} V after {seconds:.0} s"));
        }
        if let (Some(marked), Some(surge)) = (peak.marked_volts, peak.surge_volts) {
            text.push_str(&if peak.volts > surge {
                format!(", above its surge volts of {surge:.0} V")
            } else if peak.volts > marked {
                format!(", above its marked {marked:.0} V, within its surge volts of {surge:.0} V")
            } else {
                format!(", within its marked {marked:.0} V")
            });
        }
        words.push(text);
    }
    for curve in heated {
        if let Some((seconds, volts)) = curve.points.last() {
            words.push(format!(
                "{} stands at {volts:.1} V after {seconds:.0} s",
                curve.name
            ));
        }
    }
    words.join(". ") + "."
}
