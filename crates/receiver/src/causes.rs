//! Why one healthy set differs from another of the same sheet.
//!
//! Plain ratios to the sheet's figure. Each cause has a spread with its origin:
//! marked tolerance, what is known of the part (measured, replaced, original) and
//! trade numbers of the catalogue. "Common practice" and "judgement" are said where
//! no source was read. Nothing here can fail.

use circuit::RectifierLaw;

use crate::conditions::BenchConditions;
use crate::sheet::{CapacitorStyle, HeaterArrangement, PartValue, ResistorMake};
use crate::whole_set::Known;
use crate::whole_set::running::Running;
use crate::wiring::{Figure, Rectifying, SetModel, Variation};

/// How a ratio is spread among healthy sets.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Spread {
    /// Evenly between two ratios.
    Even {
        /// Lowest.
        low: f64,
        /// Highest.
        high: f64,
    },
    /// Evenly in the logarithm between two ratios.
    EvenLog {
        /// Lowest.
        low: f64,
        /// Highest.
        high: f64,
    },
    /// Around 1 with this standard deviation.
    Bell {
        /// Standard deviation.
        sigma: f64,
    },
    /// Two halves of a bell around 1: one in twenty lies below the low end, one above the high.
    Sides {
        /// Low end.
        low: f64,
        /// High end.
        high: f64,
    },
}

impl Spread {
    /// The ratio below which the share `u` of healthy sets lies.
    pub fn ratio(&self, u: f64) -> f64 {
        let u = u.clamp(1e-6, 1.0 - 1e-6);
        match *self {
            Spread::Even { low, high } => low + (high - low) * u,
            Spread::EvenLog { low, high } => low * (high / low).powf(u),
            // Far down the tail of a wide bell lies no part that exists.
            Spread::Bell { sigma } => (1.0 + sigma * normal_quantile(u)).max(LEAST_RATIO),
            Spread::Sides { low, high } => {
                let steps = normal_quantile(u) / ONE_IN_TWENTY;
                let side = if steps < 0.0 { 1.0 - low } else { high - 1.0 };
                (1.0 + side * steps).max(LEAST_RATIO)
            }
        }
    }
}

/// The normal distribution's quantile, by the rational approximation 26.2.23 of
/// Abramowitz and Stegun, "Handbook of Mathematical Functions" (error below 4.5e-4).
fn normal_quantile(u: f64) -> f64 {
    let (tail, sign) = if u < 0.5 { (u, -1.0) } else { (1.0 - u, 1.0) };
    let t = (-2.0 * tail.ln()).sqrt();
    let up = 2.515_517 + t * (0.802_853 + t * 0.010_328);
    let down = 1.0 + t * (1.432_788 + t * (0.189_269 + t * 0.001_308));
    sign * (t - up / down)
}

/// The smallest ratio of a part that still works.
const LEAST_RATIO: f64 = 0.02;

/// Standard deviations beyond which one in twenty lies.
const ONE_IN_TWENTY: f64 = 1.645;

/// One cause.
#[derive(Debug, Clone, PartialEq)]
pub struct Cause {
    /// The figure that varies.
    pub figure: Figure,
    /// In words, as a band names it.
    pub name: String,
    /// How it varies.
    pub spread: Spread,
}

/// Line give or take, where no line is stated (the fixed contract of the sheet).
const LINE_SHARE: f64 = 0.05;
/// What a careful ohmmeter reading may be off (common practice).
const MEASURED_SHARE: f64 = 0.02;
/// A resistor without a marked tolerance (common practice: no fourth band is 20 percent).
const UNMARKED_SHARE: f64 = 0.2;
/// Upward drift of carbon composition that still counts as healthy (common practice:
/// 5 to 20 percent typical after decades).
const CARBON_DRIFT: f64 = 0.15;

/// How near a knob is set to what the sheet says, of its whole turn (judgement).
const SETTING: f64 = 0.04;

/// Four percent of current among heaters of one type are some eight of volts at a common
/// current, because a heater's resistance rises with its heat (the heater law here: volts go
/// with the 2.1th power of the current near the rating).
const OWN_HEATER_SHARE: f64 = 0.085;
/// While a string warms the quick heaters take more than their share and the slow ones
/// less; the difference dies away with the warm-up (size and time: judgement).
fn own_heater_lag(seconds: Option<f64>) -> f64 {
    seconds.map_or(0.0, |seconds| 0.13 * (-seconds / 15.0).exp())
}
/// How heat goes from wire to cathode and on is published for no tube; the shares in the
/// heater's law are judgement, and this is their doubt.
const HEAT_WAYS: Spread = Spread::EvenLog {
    low: 0.6,
    high: 1.7,
};
/// Emission over need of healthy receiving tubes about the usual eight: 6 to 10 common
/// (judgement), wider for single tubes.
const LOAD_RESERVE: Spread = Spread::EvenLog {
    low: 0.62,
    high: 1.5,
};
/// Share of the sheet's line below which heaters count as cool.
const COOL_LINE: f64 = 0.9;

/// Whether heaters run below their rating, so that what happens on the way there counts.
fn heaters_run_cool(model: &SetModel<'_>, conditions: &BenchConditions) -> bool {
    let low = conditions
        .line_volts
        .is_some_and(|volts| volts < COOL_LINE * model.sheet.line_volts);
    conditions.direct_source.is_none()
        && (low || conditions.seconds.is_some() || !conditions.lamps.is_empty())
}

/// Spread of the cold resistance of heaters about the usual seventh of the hot one
/// (trade number "heater hot to cold resistance": 5 to 10, typical 7).
pub(crate) const COLD_HEATERS: Spread = Spread::EvenLog {
    low: 0.8,
    high: 1.25,
};
/// A peak depends on the whole curve of the rectifier, of which one point is published
/// (judgement: other curves through that point give peaks some percent higher or lower).
const CURVE_SHAPE: Spread = Spread::Bell { sigma: 0.045 };

/// Drop of a rectifier tube against the published one: makers' figures for one type
/// differ by a quarter and more (44 and 58 V for one type at one current, check RS016),
/// and a used but good tube drops somewhat more than a new one (judgement).
const NEW_TUBE_DROP: f64 = 1.2;
const USED_TUBE_DROP: f64 = 1.28;

/// All causes that can move a reading of this set under these conditions.
pub fn causes(model: &SetModel<'_>, conditions: &BenchConditions) -> Vec<Cause> {
    let sheet = model.sheet;
    let mut found = Vec::new();
    let mut push = |figure: Figure, name: String, spread: Spread| {
        found.push(Cause {
            figure,
            name,
            spread,
        });
    };
    let fed_by_line = conditions.direct_source.is_none();
    if fed_by_line && conditions.line_volts.is_none() {
        push(Figure::Line, "line volts".into(), even(LINE_SHARE));
    }
    if !conditions.lamps.is_empty() {
        push(
            Figure::LampOhms,
            "tolerance of the lamp".into(),
            Spread::Bell { sigma: 0.03 },
        );
    }
    // Copper read cold runs 20 to 60 kelvin warmer: 0.39 percent a kelvin (handbook
    // constant of annealed copper, from memory).
    if conditions.seconds.is_none() {
        push(
            Figure::CopperWarmth,
            "warming of the copper".into(),
            Spread::Even {
                low: 1.0,
                high: 1.2,
            },
        );
    }
    for (index, winding) in sheet.windings.iter().enumerate() {
        let name = || format!("{} {}", winding.transformer, winding.name);
        let measured = sheet
            .state
            .measured_winding_ohms(&winding.transformer, &winding.name)
            .is_some();
        let assumed = model
            .assumed
            .iter()
            .any(|assumed| assumed.figure == Figure::WindingOhms(index));
        if winding.volts.is_some() && !model.is_primary(index) {
            push(
                Figure::WindingVolts(index),
                format!("{} volts", name()),
                Spread::Bell { sigma: 0.012 },
            );
        }
        push(
            Figure::WindingOhms(index),
            format!("{} copper", name()),
            if measured {
                even(MEASURED_SHARE)
            } else if assumed {
                Spread::EvenLog {
                    low: 0.4,
                    high: 2.5,
                }
            } else {
                even(0.1)
            },
        );
    }
    for transformer in model.transformer_firsts() {
        let (first, name) = transformer;
        let assumed = model
            .assumed
            .iter()
            .any(|assumed| assumed.figure == Figure::Idle(first));
        push(
            Figure::Idle(first),
            format!("{name} idle draw"),
            if assumed {
                Spread::EvenLog {
                    low: 0.4,
                    high: 2.0,
                }
            } else {
                even(0.15)
            },
        );
    }
    let cool = heaters_run_cool(model, conditions);
    for (number, place) in model.heater_places().iter().enumerate() {
        let tubes = place.tubes.len().max(1) as f64;
        let names = match place.arrangement {
            HeaterArrangement::Series => "currents of the string's heaters",
            HeaterArrangement::Parallel => "currents of the heaters",
        };
        let name = if place.tubes.len() == 1 {
            format!(
                "heater current of {}",
                sheet.tubes[place.tubes[0]].reference
            )
        } else {
            names.to_string()
        };
        push(
            Figure::HeaterAmperes(number),
            name,
            Spread::Bell {
                // Each heater within some 6 percent, and a common part that does not average out.
                sigma: 0.04 / tubes.sqrt() + 0.01,
            },
        );
        if place.arrangement == HeaterArrangement::Series && place.tubes.len() > 1 {
            push(
                Figure::OwnHeater(number),
                "each heater's own share of its string".to_string(),
                Spread::Bell {
                    sigma: OWN_HEATER_SHARE + own_heater_lag(conditions.seconds),
                },
            );
        }
        if cool {
            push(
                Figure::HeaterCold(number),
                "cold resistance of the heaters".to_string(),
                COLD_HEATERS,
            );
        }
    }
    if cool && !model.heater_places().is_empty() {
        push(
            Figure::HeatWays,
            "ways of the heat in the heaters".into(),
            HEAT_WAYS,
        );
        push(
            Figure::LoadReserve,
            "emission of the tubes behind the loads".into(),
            LOAD_RESERVE,
        );
    }
    if conditions.seconds.is_some() && !model.heater_places().is_empty() {
        push(
            Figure::WarmUp,
            "warm-up of the tubes".into(),
            Spread::EvenLog {
                low: 0.7,
                high: 1.4,
            },
        );
    }
    let mut tubes_done = Vec::new();
    for rectifying in model.rectifying() {
        let Rectifying::Tube {
            tube,
            damper: false,
            ..
        } = rectifying
        else {
            continue;
        };
        if tubes_done.contains(tube) {
            continue;
        }
        tubes_done.push(*tube);
        let reference = &sheet.tubes[*tube].reference;
        // Published drops that disagree are part of the doubt; a used but good tube drops more.
        let spread = model
            .tube_law(*tube, &Variation::none())
            .map_or(0.0, |law| match law {
                RectifierLaw::Tube { perveance, .. } => model
                    .tube_perveances(*tube)
                    .iter()
                    .map(|own| ((own / perveance).ln() / 1.5).abs())
                    .fold(0.0, f64::max),
                RectifierLaw::Junction { .. } | RectifierLaw::Curve { .. } => 0.0,
            });
        push(
            Figure::TubeDrop(*tube),
            format!("drop in {reference}"),
            Spread::EvenLog {
                low: 1.0 / (NEW_TUBE_DROP + spread),
                high: USED_TUBE_DROP + spread,
            },
        );
        push(
            Figure::Emission(*tube),
            format!("emission of {reference}"),
            Spread::EvenLog {
                low: 0.6,
                high: 1.6,
            },
        );
    }
    for (index, part) in sheet.parts.iter().enumerate() {
        let reference = &part.reference;
        let replaced = listed(&sheet.state.replaced, reference);
        let re_formed = listed(&sheet.state.re_formed, reference);
        let measured_ohms = sheet.state.measured_ohms(reference).is_some();
        let measured_farads = sheet.state.measured_farads(reference).is_some();
        match &part.value {
            PartValue::Resistor {
                tolerance,
                watts,
                make,
                ..
            } => {
                let spread = if measured_ohms {
                    even(MEASURED_SHARE)
                } else {
                    let (down, up) = tolerance
                        .map_or((UNMARKED_SHARE, UNMARKED_SHARE), |own| (own.down, own.up));
                    let carbon = match make {
                        Some(ResistorMake::Carbon) => true,
                        Some(_) => false,
                        None => watts.is_none_or(|watts| watts <= 2.0),
                    };
                    let drift = if carbon && !replaced {
                        CARBON_DRIFT
                    } else {
                        0.0
                    };
                    Spread::Even {
                        low: 1.0 - down,
                        high: (1.0 + up) * (1.0 + drift),
                    }
                };
                push(
                    Figure::Ohms(index),
                    format!("tolerance of {reference}"),
                    spread,
                );
            }
            PartValue::Control { tolerance, .. } => {
                if part.third.is_some() && model.has_stages() {
                    push(
                        Figure::Setting(index),
                        format!("setting of {reference}"),
                        even(SETTING),
                    );
                }
                let share = tolerance.map_or(0.2, |own| own.up);
                push(
                    Figure::Ohms(index),
                    if part.third.is_some() && model.has_stages() {
                        format!("tolerance of {reference}")
                    } else {
                        format!("tolerance and setting of {reference}")
                    },
                    even(if measured_ohms { 0.05 } else { share }),
                );
            }
            PartValue::Capacitor {
                style: CapacitorStyle::Electrolytic,
                ..
            } => {
                let farads = if measured_farads {
                    even(0.05)
                } else if replaced {
                    even(0.2)
                } else if re_formed {
                    Spread::Even {
                        low: 0.75,
                        high: 1.4,
                    }
                } else {
                    // Aged but serviceable (common practice: -10 to +100 percent when new).
                    Spread::Even {
                        low: 0.6,
                        high: 1.5,
                    }
                };
                push(
                    Figure::Farads(index),
                    format!("capacitance of {reference}"),
                    farads,
                );
                push(
                    Figure::SeriesOhms(index),
                    format!("series resistance of {reference}"),
                    if replaced {
                        Spread::EvenLog {
                            low: 0.15,
                            high: 1.0,
                        }
                    } else {
                        Spread::EvenLog {
                            low: 0.5,
                            high: 1.7,
                        }
                    },
                );
                push(
                    Figure::Leak(index),
                    format!("leakage of {reference}"),
                    Spread::EvenLog {
                        low: 0.1,
                        high: 8.0,
                    },
                );
            }
            PartValue::Coil { .. } => {
                let assumed = model
                    .assumed
                    .iter()
                    .any(|assumed| assumed.figure == Figure::Ohms(index));
                push(
                    Figure::Ohms(index),
                    format!("copper of {reference}"),
                    if measured_ohms {
                        even(MEASURED_SHARE)
                    } else if assumed {
                        Spread::EvenLog {
                            low: 0.35,
                            high: 2.5,
                        }
                    } else {
                        even(0.1)
                    },
                );
                if model.follows(index) {
                    push(
                        Figure::Henries(index),
                        format!("inductance of {reference}"),
                        even(0.3),
                    );
                }
            }
            PartValue::Selenium { .. } => push(
                Figure::Drop(index),
                format!("drop in {reference}"),
                if replaced {
                    Spread::EvenLog {
                        low: 0.8,
                        high: 1.25,
                    }
                } else {
                    Spread::EvenLog {
                        low: 0.8,
                        high: 1.8,
                    }
                },
            ),
            PartValue::Silicon { .. } => push(
                Figure::Drop(index),
                format!("drop in {reference}"),
                even(0.15),
            ),
            PartValue::Thermistor { .. } => {
                push(
                    Figure::Ohms(index),
                    format!("hot ohms of {reference}"),
                    even(0.2),
                );
                push(
                    Figure::ColdOhms(index),
                    format!("cold ohms of {reference}"),
                    even(if measured_ohms { 0.05 } else { 0.2 }),
                );
                if conditions.seconds.is_some() {
                    push(
                        Figure::ThermistorSeconds(index),
                        format!("time that {reference} takes"),
                        // Trade number: 25 to 90 s where its type does not tell.
                        Spread::EvenLog {
                            low: 0.65,
                            high: 1.6,
                        },
                    );
                }
            }
            PartValue::Ballast { .. } | PartValue::Fuse { .. } => push(
                Figure::Ohms(index),
                format!("ohms of {reference}"),
                even(if measured_ohms { MEASURED_SHARE } else { 0.1 }),
            ),
            PartValue::Load { steady, .. } => push(
                Figure::LoadCurrent(index),
                format!("current of {reference}"),
                if *steady {
                    even(0.1)
                } else {
                    // New tubes of one type differ by a third either way (check rows TP003 to
                    // TP006); several behind one load average out.
                    Spread::Bell { sigma: 0.1 }
                },
            ),
            PartValue::Crystal { .. } | PartValue::Neon { .. } | PartValue::Vdr { .. } => push(
                Figure::SmallPart(index),
                format!("curve of {reference}"),
                Spread::EvenLog {
                    low: 0.6,
                    high: 1.6,
                },
            ),
            PartValue::Capacitor { .. }
            | PartValue::Lamp(_)
            | PartValue::Switch { .. }
            | PartValue::Plug { .. }
            | PartValue::Wire => {}
        }
    }
    stage_draws(model, &mut push);
    if conditions.meter.is_some() {
        push(
            Figure::Meter,
            "the meter".into(),
            Spread::Bell { sigma: 0.015 },
        );
    }
    if !model.rectifying().is_empty() {
        push(
            Figure::CurveShape,
            "shape of the rectifier's curve".into(),
            CURVE_SHAPE,
        );
    }
    push(
        Figure::Model,
        "what the calculation leaves out".into(),
        Spread::Bell { sigma: 0.006 },
    );
    found
}

/// The causes that the supply's cycle itself can feel: the others of a whole set move what
/// single stages draw, too little for a supply line.
pub fn supply_causes(model: &SetModel<'_>, conditions: &BenchConditions) -> Vec<Cause> {
    let mut found = causes(model, conditions);
    if model.has_stages() {
        let heavy = &model.usual().heavy_parts;
        found.retain(|cause| match cause.figure {
            Figure::Ohms(part) | Figure::Setting(part) => heavy.get(part).copied().unwrap_or(true),
            Figure::SmallPart(_) => false,
            _ => true,
        });
    }
    found
}

/// What one tube's current strays by once its own bias has evened it out (judgement: a
/// third between new tubes of one type, half of it left behind a cathode resistor).
const DRAW_SIGMA: f64 = 0.12;
/// Share of all stages' current from which a tube is a cause of its own.
const HEAVY_DRAW: f64 = 0.05;

/// What the stages draw as loads of the supply.
fn stage_draws(model: &SetModel<'_>, push: &mut impl FnMut(Figure, String, Spread)) {
    if !model.has_stages() {
        return;
    }
    let loads = &model.usual().loads;
    let of_tube = |tube: usize| -> f64 {
        loads
            .iter()
            .flat_map(|load| &load.by_tube)
            .filter(|(own, _)| *own == Some(tube))
            .map(|(_, siemens)| siemens.max(0.0))
            .sum()
    };
    let draws: Vec<f64> = (0..model.sheet.tubes.len()).map(of_tube).collect();
    let whole: f64 = draws.iter().sum();
    if whole <= 0.0 {
        return;
    }
    let mut rest = 0.0;
    for (tube, draw) in draws.iter().enumerate() {
        if *draw > HEAVY_DRAW * whole {
            push(
                Figure::StageDraw(tube),
                format!("current of {}", model.sheet.tubes[tube].reference),
                Spread::Bell { sigma: DRAW_SIGMA },
            );
        } else {
            rest += draw * draw;
        }
    }
    if rest > 0.0 {
        push(
            Figure::StageDraws,
            "currents of the small stages".to_string(),
            Spread::Bell {
                sigma: DRAW_SIGMA * rest.sqrt() / whole,
            },
        );
    }
}

/// Doubt of a current taken from the maker's chart (common practice: charts hold within
/// 20 percent).
const CHART_SHARE: f64 = 0.2;

/// Doubt of the volts and currents of a stage that is calculated as it runs, beside that of
/// its parts and tubes: the laws at positive grids and low plates, fluxes and strays that no
/// sheet tells (judgement; see docs/theory/whole_set.md).
const RUNNING_SIGMA: f64 = 0.1;
/// A capacitor of paper, mica or ceramic against its mark (common practice: 10 to 20 percent,
/// and paper gains some with age).
const SMALL_CAPACITOR_SHARE: f64 = 0.2;
/// Inductance of a signal coil against the sheet.
const SIGNAL_COIL_SHARE: f64 = 0.3;

/// Why one whole set differs from another beside its supply: every tube and its law.
pub fn stage_causes(model: &SetModel<'_>) -> Vec<Cause> {
    let mut found = Vec::new();
    let usual = model.usual();
    let mut tubes_done: Vec<usize> = Vec::new();
    for own in &usual.oscillators {
        let (Ok(region), None) = (&own.group.region, own.because()) else {
            continue;
        };
        for &part in &region.capacitors {
            let reference = &model.sheet.parts[part].reference;
            let electrolytic = matches!(
                model.sheet.parts[part].value,
                PartValue::Capacitor {
                    style: CapacitorStyle::Electrolytic,
                    ..
                }
            );
            if !electrolytic {
                found.push(Cause {
                    figure: Figure::Farads(part),
                    name: format!("capacitance of {reference}"),
                    spread: even(if model.sheet.state.measured_farads(reference).is_some() {
                        0.05
                    } else {
                        SMALL_CAPACITOR_SHARE
                    }),
                });
            }
        }
        // Coils on one core keep their turns; its gap moves them all.
        for (&part, &core) in region.coils.iter().zip(&region.cores) {
            if part == core && !model.follows(part) {
                found.push(Cause {
                    figure: Figure::Henries(part),
                    name: format!("inductance of {}", model.sheet.parts[part].reference),
                    spread: even(SIGNAL_COIL_SHARE),
                });
            }
        }
    }
    for (number, stage) in model.stages.complete.iter().enumerate() {
        let reference = &model.sheet.tubes[stage.tube].reference;
        let mut push = |figure, name: String, spread| {
            found.push(Cause {
                figure,
                name,
                spread,
            });
        };
        let running = usual.running.get(number);
        if running.is_some_and(Running::is_driven) {
            let known = running.map(Running::known);
            push(
                Figure::StageDrive(number),
                match known {
                    Some(Known::FromChart { .. }) => format!("the maker's chart at {reference}"),
                    Some(Known::Running { .. }) => {
                        format!("laws and windings while {reference} runs")
                    }
                    _ => format!("drive of {reference}"),
                },
                match known {
                    Some(Known::FromChart { .. }) => even(CHART_SHARE),
                    Some(Known::Running { .. }) => Spread::Bell {
                        sigma: RUNNING_SIGMA,
                    },
                    _ => Spread::EvenLog {
                        low: 0.4,
                        high: 1.8,
                    },
                },
            );
            if !matches!(running.map(Running::known), Some(Known::Running { .. })) {
                continue;
            }
        }
        push(
            Figure::StageLaw(number),
            format!("law of {reference} {}", stage.section),
            Spread::Bell {
                sigma: stage.model_error.clamp(0.01, 0.3),
            },
        );
        if tubes_done.contains(&stage.tube) {
            continue;
        }
        tubes_done.push(stage.tube);
        let usual = stage.usual(model.tube_is_new(stage.tube));
        let about = |spread: laws::Spread| Spread::Sides {
            low: spread.low / spread.middle,
            high: spread.high / spread.middle,
        };
        push(
            Figure::TubeStrength(stage.tube),
            format!("age and make of {reference}"),
            about(usual.strength),
        );
        push(
            Figure::TubeCutoff(stage.tube),
            format!("cut-off of {reference}"),
            about(usual.cutoff),
        );
        push(
            Figure::TubeContact(stage.tube),
            format!("contact potential of {reference}"),
            Spread::Sides {
                low: 1.0 + usual.contact_volts.low,
                high: 1.0 + usual.contact_volts.high,
            },
        );
        push(
            Figure::StageEmission(stage.tube),
            format!("emission of {reference}"),
            Spread::EvenLog {
                low: usual.emission.low / usual.emission.middle,
                high: usual.emission.high / usual.emission.middle,
            },
        );
    }
    found
}

fn even(share: f64) -> Spread {
    Spread::Even {
        low: 1.0 - share,
        high: 1.0 + share,
    }
}

fn listed(list: &[String], reference: &str) -> bool {
    list.iter()
        .any(|own| own.trim().eq_ignore_ascii_case(reference))
}

impl SetModel<'_> {
    /// Whether the sheet says that a tube was replaced by a new one.
    pub fn tube_is_new(&self, tube: usize) -> bool {
        self.sheet
            .tubes
            .get(tube)
            .is_some_and(|tube| listed(&self.sheet.state.replaced, &tube.reference))
    }

    /// Whether a winding is on the line.
    pub fn is_primary(&self, winding: usize) -> bool {
        self.resolved
            .transformers
            .iter()
            .any(|transformer| transformer.primary == Some(winding))
    }

    /// Position of the first winding and name of each transformer on the line.
    pub fn transformer_firsts(&self) -> Vec<(usize, String)> {
        self.resolved
            .transformers
            .iter()
            .filter(|transformer| transformer.primary.is_some())
            .filter_map(|transformer| {
                Some((*transformer.windings.first()?, transformer.name.clone()))
            })
            .collect()
    }

    /// Whether a line cycle follows this capacitor or coil.
    pub fn follows(&self, part: usize) -> bool {
        self.followed.get(part).copied().unwrap_or(false)
    }
}
