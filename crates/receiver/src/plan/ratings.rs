//! Healthy parts are spared: what a step does to the parts of a healthy set.
//!
//! Volts, amperes, watts, seconds. The healthy set is run from switch-on, at the
//! top of the line and at the ends of the spreads that matter, and every part is
//! held against its rating: for an electrolytic before the tubes draw its surge
//! rating, where none is marked 1.1 times the marked volts for 30 s (common
//! practice). A part without a rating is not judged; it is not called safe either.

use circuit::solver::GoOn;
use circuit::{Solver, SolverOptions};

use crate::conditions::BenchConditions;
use crate::expect::Predictor;
use crate::sheet::{CapacitorStyle, PartValue};
use crate::wiring::{Rectifying, SetModel, Variation};

use super::watch::NotSeen;

/// Surge volts over marked volts where no surge is marked (common practice).
pub const SURGE_SHARE: f64 = 1.1;
/// Seconds that the surge may last (common practice).
pub const SURGE_SECONDS: f64 = 30.0;
/// Momentary excess over rated volts that a heater of a string bears (check HE008,
/// Mullard Outlook 12 no. 9, 1963: 50 percent above nominal).
const HEATER_MOMENT_SHARE: f64 = 1.5;
/// Lasting excess (common practice: 10 percent).
const HEATER_LASTING_SHARE: f64 = 1.1;

/// Share of the line wanted below which no plan is made of it.
const LEAST_LINE_SHARE: f64 = 0.1;

/// One part held against its rating.
#[derive(Debug, Clone, PartialEq)]
pub struct Strain {
    /// The part or tube.
    pub reference: String,
    /// What is strained, in words: `volts`, `watts`, `peak current`.
    pub what: &'static str,
    /// The highest value reached.
    pub reached: f64,
    /// The rating.
    pub rated: f64,
    /// When the highest value is reached, seconds after switch-on.
    pub at_seconds: f64,
    /// Seconds above the plain rating.
    pub over_seconds: f64,
    /// Share of the limit that holds: 1 is exactly the limit.
    pub share: f64,
}

/// Moments looked at, seconds after switch-on.
fn moments() -> Vec<f64> {
    let mut found = vec![0.017, 0.033, 0.05, 0.08, 0.12, 0.2, 0.3, 0.5, 0.7];
    let mut seconds: f64 = 1.0;
    while seconds < 150.0 {
        found.push(seconds);
        seconds *= if seconds < 12.0 { 1.22 } else { 1.35 };
    }
    found
}

/// Runs the healthy set from switch-on and holds its parts against their ratings.
pub fn strains(
    predictor: &Predictor<'_, '_>,
    conditions: &BenchConditions,
) -> Result<Vec<Strain>, NotSeen> {
    let model = predictor.model;
    let wired = model.wire(conditions, &Variation::none())?;
    let solver = Solver::new(&wired.circuit, SolverOptions::default())?;
    let mut found: Vec<Strain> = Vec::new();
    let mut last: Vec<(String, &'static str, f64, f64)> = Vec::new();
    let moments = moments();
    let final_moment = moments.last().copied().unwrap_or(0.0);
    solver.warm_up(&moments, &mut |moment| {
        let settled = moment.seconds >= final_moment - 1.0;
        let mut note = |reference: &str, what: &'static str, value: f64, rated: f64, limit: f64| {
            let key = (reference.to_string(), what);
            let before = last
                .iter()
                .find(|(own, own_what, ..)| *own == key.0 && *own_what == what)
                .map(|&(_, _, seconds, value)| (seconds, value));
            let gap = before.map_or(0.0, |(seconds, _)| moment.seconds - seconds);
            let over = if value > rated { gap } else { 0.0 };
            match found
                .iter_mut()
                .find(|strain| strain.reference == key.0 && strain.what == what)
            {
                Some(strain) => {
                    strain.over_seconds += over;
                    strain.share = strain.share.max(value / limit);
                    if value > strain.reached {
                        strain.reached = value;
                        strain.at_seconds = moment.seconds;
                    }
                }
                None => found.push(Strain {
                    reference: key.0.clone(),
                    what,
                    reached: value,
                    rated,
                    at_seconds: moment.seconds,
                    over_seconds: over,
                    share: value / limit,
                }),
            }
            last.retain(|(own, own_what, ..)| *own != key.0 || *own_what != what);
            last.push((key.0, what, moment.seconds, value));
        };
        for (index, part) in model.sheet.parts.iter().enumerate() {
            let elements = &wired.parts[index];
            let Some(&element) = elements.first() else {
                continue;
            };
            match &part.value {
                PartValue::Capacitor {
                    style,
                    volts: Some(rated),
                    surge_volts,
                    ..
                } => {
                    if !model.follows(index) {
                        continue;
                    }
                    let across = moment.record.across(element);
                    let value = across.highest().max(-across.lowest());
                    let limit = if *style == CapacitorStyle::Electrolytic && !settled {
                        surge_volts.unwrap_or(SURGE_SHARE * rated)
                    } else {
                        *rated
                    };
                    note(&part.reference, "volts", value, *rated, limit);
                }
                PartValue::Resistor {
                    watts: Some(rated), ..
                } if settled => {
                    let value = elements
                        .iter()
                        .map(|&element| moment.record.watts(element))
                        .sum();
                    note(&part.reference, "watts", value, *rated, *rated);
                }
                PartValue::Coil {
                    amperes: Some(rated),
                    ..
                } if settled => {
                    let value = moment.record.amperes(element).rms();
                    note(&part.reference, "amperes", value, *rated, *rated);
                }
                _ => {}
            }
        }
        for (number, rectifying) in model.rectifying().iter().enumerate() {
            let Some(element) = wired.rectifiers.get(number).copied().flatten() else {
                continue;
            };
            if let Rectifying::Tube {
                tube,
                plate,
                damper: false,
                ..
            } = rectifying
                && settled
                && let Some(peak) = model.sheet.tubes[*tube]
                    .kind
                    .rectifier_section()
                    .and_then(|section| section.rectifier.as_ref())
                    .and_then(|rating| rating.max_peak_milliamperes)
            {
                let value = 1000.0 * moment.record.amperes(element).highest();
                note(&plate.to_string(), "peak milliamperes", value, peak, peak);
            }
        }
        for heaters in wired.heaters.iter().flatten() {
            let group = &wired.circuit.groups[heaters.group];
            let whole = moment.record.across(heaters.element).rms();
            let shares = group.body_share(&moment.state.groups[heaters.group]);
            for (body, &tube) in heaters.tubes.iter().enumerate() {
                let Some(rating) = &model.sheet.tubes[tube].kind.heater else {
                    continue;
                };
                let volts = match group.arrangement {
                    circuit::thermal::Arrangement::Parallel => whole,
                    circuit::thermal::Arrangement::Series => {
                        whole * shares.get(body).copied().unwrap_or(0.0)
                    }
                };
                let limit = rating.volts
                    * if settled {
                        HEATER_LASTING_SHARE
                    } else {
                        HEATER_MOMENT_SHARE
                    };
                note(
                    &model.sheet.tubes[tube].reference,
                    "heater volts",
                    volts,
                    rating.volts,
                    limit,
                );
            }
        }
        GoOn::Yes
    })?;
    // A surge that lasts longer than allowed counts against the plain rating.
    for strain in &mut found {
        if strain.what == "volts" && strain.over_seconds > SURGE_SECONDS {
            strain.share = strain.share.max(strain.reached / strain.rated);
        }
    }
    found.sort_by(|a, b| b.share.total_cmp(&a.share));
    Ok(found)
}

impl Strain {
    /// The strain in words.
    pub fn words(&self) -> String {
        let unit = match self.what {
            "volts" => "V",
            "heater volts" => "V at its heater",
            "watts" => "W",
            "amperes" => "A",
            _ => "mA peak",
        };
        format!(
            "{} reaches {:.0} {unit} {:.0} s after switch-on; it is marked {:.0}",
            self.reference, self.reached, self.at_seconds, self.rated
        )
    }
}

/// Highest line volts, up to `wanted`, at which every part of the healthy set keeps
/// within its limit, 0 where no line does; also what is strained most at `wanted`, and the
/// runs it took.
pub fn highest_line(
    predictor: &Predictor<'_, '_>,
    base: &BenchConditions,
    wanted: f64,
) -> Result<(f64, Vec<Strain>, usize), NotSeen> {
    let at = |line: f64| {
        strains(
            predictor,
            &BenchConditions {
                line_volts: Some(line),
                ..base.clone()
            },
        )
    };
    let over = |strains: &[Strain]| strains.iter().any(|strain| strain.share > 1.0);
    let top = at(wanted)?;
    let mut runs = 1;
    if !over(&top) {
        return Ok((wanted, top, runs));
    }
    let (mut kept, mut lost) = (0.5 * wanted, wanted);
    runs += 1;
    while over(&at(kept)?) {
        (kept, lost) = (0.5 * kept, kept);
        runs += 1;
        if kept < LEAST_LINE_SHARE * wanted {
            return Ok((0.0, top, runs));
        }
    }
    for _ in 0..5 {
        let middle = 0.5 * (kept + lost);
        runs += 1;
        if over(&at(middle)?) {
            lost = middle;
        } else {
            kept = middle;
        }
    }
    Ok((kept.floor(), top, runs))
}

/// What a measured line may rise to in the course of a day, over its reading (judgement).
const LINE_WANDERS: f64 = 1.03;

impl SetModel<'_> {
    /// Highest line of today that a set must stand, volts: what was measured at the outlet and
    /// a little more; else the sheet's own, or the 126 V that lines of 120 V reach (trade number
    /// "line today").
    pub fn todays_line(&self) -> f64 {
        let measured = self.sheet.bench.as_ref().and_then(|bench| bench.line_volts);
        if let Some(measured) = measured {
            measured * LINE_WANDERS
        } else if (110.0..=120.0).contains(&self.sheet.line_volts) {
            126.0
        } else {
            self.sheet.line_volts * 1.05
        }
    }
}
