//! How far a part's value may move before the set notices.
//!
//! Factors upon the marked value. Three things bound them, each found by solving the set with the value moved and
//! not by a rule: a direct-current or ripple reading that leaves the middle half of its band over healthy sets, with the
//! maker's own tolerances in it; the rate of an oscillator, that moves by more than a twentieth; and a signal at the lowest
//! frequency of the section, that loses more than a twentieth in the capacitor against the resistance that it
//! works into. That resistance is the answer of the whole solved network to a small current between the capacitor's
//! ends. What the maker's own tolerance allowed is always tolerated. A capacitor in a place whose frequency is not
//! known keeps the maker's tolerance. Fails when the set finds no settled state.

use std::collections::HashMap;
use std::f64::consts::TAU;

use parts::SetSection;
use quantity::Band;
use rayon::prelude::*;

use crate::bands::Values;
use crate::causes::{causes, stage_causes};
use crate::conditions::BenchConditions;
use crate::expect::{ExpectError, Predictor};
use crate::probes::Probe;
use crate::reading::What;
use crate::sections::Sections;
use crate::sheet::{CapacitorStyle, PartValue};
use crate::whole_set::{Wanted, couple, faulty_readings, whole_readings};
use crate::wiring::{Figure, Variation};

use super::moved_values::{EndOhms, FACTORS, LOOK, STEPS, moved_values, seen_ohms, worth_reading};

/// Share of a healthy band's half that a new value may take (judgement).
const SHARE_OF_BAND: f64 = 0.5;
/// By how much a rate may move, a fraction (judgement: a hold control reaches farther).
const RATE: f64 = 0.05;
/// What a signal may lose at the lowest frequency, a fraction (judgement).
const LOSS: f64 = 0.05;
/// Below this answer of a rate to a value, in logarithms, the part times nothing.
const TIMES: f64 = 0.1;
/// Share of a sweep's section in a part from which it is asked whether it times the sweep.
const NEAR_SWEEP: f64 = 0.1;
/// Factors beyond which nothing is looked at.
const FARTHEST: (f64, f64) = (0.5, 2.0);
/// Maker's tolerance of a capacitor that has none marked (trade number "paper capacitor tolerance then").
const UNMARKED: f64 = 0.2;
/// Where no reading bounds a value.
const NOTHING: &str = "no reading moves far enough to tell";
/// What a filter may have more than marked (trade table: up to about half more).
const MORE_FILTER: f64 = 1.5;

/// How far a value may move, as factors, and what bounds it.
#[derive(Debug, Clone, PartialEq)]
pub struct Tolerated {
    /// Lowest factor.
    pub low: f64,
    /// Highest factor.
    pub high: f64,
    /// What bounds it below, in words.
    pub below: String,
    /// What bounds it above, in words.
    pub above: String,
    /// Rate of an oscillator against the value, in logarithms, where it times one: its tube, its answer.
    pub times: Option<(String, f64)>,
    /// The resistance that a capacitor works into, ohms.
    pub into_ohms: Option<f64>,
    /// The end with the lower resistance to the chassis, where the outer foil belongs: 0 for `from`, 1 for `to`.
    pub outer_foil: Option<usize>,
}

/// A solved set on which values are moved.
pub struct Tolerances<'p, 'm, 's> {
    predictor: &'p Predictor<'m, 's>,
    conditions: BenchConditions,
    probes: Vec<Probe>,
    bands: Vec<Option<Band>>,
    base: Values,
    periods: Vec<Option<f64>>,
    /// Ohms of each junction to the chassis and between the ends of each capacitor.
    ohms: Vec<Option<EndOhms>>,
    sections: Sections,
    /// What was read with one part's figure moved: by the part and the factor's number among [`FACTORS`].
    moved: HashMap<(usize, usize), Values>,
}

/// One bound found on one side.
struct Bound {
    factor: f64,
    words: String,
}

impl<'p, 'm, 's> Tolerances<'p, 'm, 's> {
    /// Solves the set at the sheet's line, with its bands, and with the value of each of these parts moved.
    ///
    /// # Errors
    /// Those of [`Predictor::expect`].
    pub fn new(
        predictor: &'p Predictor<'m, 's>,
        parts: &[usize],
    ) -> Result<Tolerances<'p, 'm, 's>, ExpectError> {
        let model = predictor.model;
        let conditions = BenchConditions {
            line_volts: Some(model.sheet.line_volts),
            bands: true,
            ..BenchConditions::default()
        };
        let probes = worth_reading(model);
        let (keys, variations) = moved_values(model, parts);
        let (bands, base, periods, ohms, values) = if model.has_stages() {
            let mut found = causes(model, &conditions);
            found.extend(stage_causes(model));
            let read = whole_readings(model, &conditions, &probes, &found, Wanted::Draws)?;
            let bands = read.bands(&[]);
            let periods = read.set.oscillators.iter();
            let periods = periods
                .map(|own| own.as_ref().map(|wave| wave.period_seconds))
                .collect();
            let moved = faulty_readings(model, &conditions, &read.set, &probes, &variations);
            let ohms = seen_ohms(model, &read.set);
            (bands, moved.healthy, periods, ohms, moved.values)
        } else {
            let told = predictor.expect_at(&conditions, probes.clone())?;
            let of = |probe: &Probe| {
                let mut all = told.readings.iter();
                all.find(|own| own.at == probe.at && own.what == probe.what)
                    .map(|own| own.band.clone())
            };
            let solved = predictor.solve(&conditions, &Variation::none(), &probes, None)?;
            let values = variations
                .par_iter()
                .map(|own| {
                    let near = solved.near.as_ref();
                    let moved = predictor.solve(&conditions, own, &probes, near);
                    moved.ok().map(|own| own.values)
                })
                .collect();
            let bands = probes.iter().map(of).collect();
            let none = vec![None; model.sheet.parts.len()];
            (bands, solved.values, Vec::new(), none, values)
        };
        let values = keys.into_iter().zip(values);
        Ok(Tolerances {
            sections: Sections::of(model),
            conditions: BenchConditions {
                bands: false,
                ..conditions
            },
            predictor,
            probes,
            bands,
            base,
            periods,
            ohms,
            moved: values
                .filter_map(|(key, values)| Some((key, values?)))
                .collect(),
        })
    }

    /// How much of its half of the band the reading that moves most has taken, and which one it is.
    fn taken(&self, moved: &Values) -> Option<(f64, usize)> {
        let mut worst: Option<(f64, usize)> = None;
        for (at, ((moved, base), band)) in moved.iter().zip(&self.base).zip(&self.bands).enumerate()
        {
            let (Some(moved), Some(base), Some(band)) = (moved, base, band) else {
                continue;
            };
            let step = moved - base;
            // Less ripple harms nothing.
            if self.probes[at].what == What::RippleVoltsPeakToPeak && step < 0.0 {
                continue;
            }
            let half = if step < 0.0 {
                band.expected - band.low
            } else {
                band.high - band.expected
            };
            let least = 1e-3 * base.abs() + 1e-6;
            let share = step.abs() / half.max(least);
            if worst.is_none_or(|(own, _)| share > own) {
                worst = Some((share, at));
            }
        }
        worst
    }

    fn words_of(&self, at: usize) -> String {
        let probe = &self.probes[at];
        let what = match probe.what {
            What::RippleVoltsPeakToPeak => "ripple at",
            What::RectifierPeakMilliamps => "peak current of",
            What::HeaterVoltsRms => "heater volts of",
            _ => "volts at",
        };
        format!("{what} {}", probe.at)
    }

    /// How far the ohms of a resistor or control may move.
    #[must_use]
    pub fn of_ohms(&self, part: usize) -> Tolerated {
        let own = self.marked_tolerance(part).unwrap_or(0.1);
        let mut found = Tolerated::of_tolerance(own);
        let figure = Figure::Ohms(part);
        for up in [true, false] {
            let number = if up { 0 } else { STEPS };
            let Some(moved) = self.moved.get(&(part, number)) else {
                continue;
            };
            let bound = match self.taken(moved) {
                // In straight lines of logarithms from the one look.
                Some((share, at)) if share > 0.0 => {
                    let times = LOOK.powf(SHARE_OF_BAND / share);
                    let times = if times.is_finite() { times } else { FARTHEST.1 };
                    Bound {
                        factor: if up { times } else { 1.0 / times },
                        words: self.words_of(at),
                    }
                }
                _ => Bound {
                    factor: if up { FARTHEST.1 } else { FARTHEST.0 },
                    words: NOTHING.to_owned(),
                },
            };
            found.widen(up, bound);
        }
        if let Some((tube, answer)) = self.times(part, figure) {
            let by_readings = found.clone();
            found.time(tube, answer);
            if by_readings.low > found.low {
                (found.low, found.below) = (by_readings.low, by_readings.below);
            }
            if by_readings.high < found.high {
                (found.high, found.above) = (by_readings.high, by_readings.above);
            }
        }
        found
    }

    /// How far the farads of a capacitor may move.
    #[must_use]
    pub fn of_farads(&self, part: usize) -> Tolerated {
        let model = self.predictor.model;
        let style = match model.sheet.parts[part].value {
            PartValue::Capacitor { style, .. } => style,
            _ => return Tolerated::of_tolerance(UNMARKED),
        };
        let electrolytic = style == CapacitorStyle::Electrolytic;
        let own = match self.marked_tolerance(part) {
            Some(own) => own,
            None if electrolytic => 0.1,
            None if matches!(style, CapacitorStyle::Mica | CapacitorStyle::Trimmer) => 0.05,
            None => UNMARKED,
        };
        let mut found = Tolerated::of_tolerance(own);
        let figure = Figure::Farads(part);
        if electrolytic {
            found.widen(
                true,
                Bound {
                    factor: MORE_FILTER,
                    words: "the trade's half more".to_owned(),
                },
            );
        }
        if model.follows(part) {
            for up in [true, false] {
                found.widen(up, self.step_out(part, up));
            }
        }
        let ohms = self.ohms.get(part).copied().flatten();
        found.into_ohms = ohms.map(|own| own.between);
        found.outer_foil = ohms.and_then(|own| {
            let [from, to] = own.ends;
            (from.max(to) > 1.5 * from.min(to)).then_some(usize::from(to < from))
        });
        if !electrolytic && let Some((tube, answer)) = self.times(part, figure) {
            found.time(tube, answer);
        } else if !model.follows(part)
            && let (Some(ohms), Some(farads)) = (found.into_ohms, model.farads(part))
        {
            self.pass_signal(part, ohms, farads, &mut found);
        }
        found
    }

    /// Goes away from the marked value until a reading takes its share of the band.
    fn step_out(&self, part: usize, up: bool) -> Bound {
        let mut last = (1.0f64, 0.0f64);
        let first = if up { 0 } else { STEPS };
        for (number, &factor) in FACTORS.iter().enumerate().skip(first).take(STEPS) {
            let moved = self.moved.get(&(part, number));
            let Some((share, at)) = moved.and_then(|moved| self.taken(moved)) else {
                break;
            };
            if share > SHARE_OF_BAND {
                let part = (SHARE_OF_BAND - last.1) / (share - last.1).max(1e-9);
                let factor = last.0 * (factor / last.0).powf(part.clamp(0.0, 1.0));
                return Bound {
                    factor,
                    words: self.words_of(at),
                };
            }
            last = (factor, share);
        }
        Bound {
            factor: last.0,
            words: NOTHING.to_owned(),
        }
    }

    /// The oscillator that the part times, and the answer of its rate in logarithms; `None` where it hardly moves.
    fn times(&self, part: usize, figure: Figure) -> Option<(String, f64)> {
        self.rate(part, figure)
            .filter(|(_, answer)| answer.abs() >= TIMES)
    }

    /// Which oscillator's rate a figure of a part moves most, and its answer in logarithms; `None` for parts far from
    /// the sweeps and for sets whose oscillators are not calculated.
    #[must_use]
    pub fn rate(&self, part: usize, figure: Figure) -> Option<(String, f64)> {
        let model = self.predictor.model;
        let near = self.sections.of_part(part).iter().any(|(section, share)| {
            *share > NEAR_SWEEP
                && matches!(
                    section,
                    SetSection::VerticalOscillator
                        | SetSection::VerticalOutput
                        | SetSection::HorizontalOscillator
                        | SetSection::Sync
                )
        });
        if !near || self.periods.iter().all(Option::is_none) {
            return None;
        }
        let variation = Variation::of(figure, LOOK);
        let set = couple(model, &self.conditions, &variation, &[]).ok()?;
        let mut worst: Option<(String, f64)> = None;
        let groups = model.usual().oscillators.iter();
        for ((own, base), learned) in set.oscillators.iter().zip(&self.periods).zip(groups) {
            let (Some(own), Some(base)) = (own, base) else {
                continue;
            };
            let answer = -(own.period_seconds / base).ln() / LOOK.ln();
            if worst
                .as_ref()
                .is_some_and(|(_, worst)| worst.abs() >= answer.abs())
            {
                continue;
            }
            let stage = learned.group.stages.first()?;
            let tube = model.stages.complete.get(*stage)?.tube;
            worst = Some((model.sheet.tubes[tube].reference.clone(), answer));
        }
        worst
    }

    /// Bounds the farads by what the lowest frequency of the section loses.
    fn pass_signal(&self, part: usize, ohms: f64, farads: f64, found: &mut Tolerated) {
        let Some((section, hertz)) = self.lowest_hertz(part) else {
            return;
        };
        let corner = 1.0 / (TAU * ohms * farads);
        let passes = |times: f64| {
            let over = times * hertz / corner;
            over / over.hypot(1.0)
        };
        let least = (1.0 - LOSS) * passes(1.0);
        // passes(times) = least, solved for times.
        let over = least / (1.0 - least * least).sqrt();
        let low = (over * corner / hertz).max(FARTHEST.0);
        found.widen(
            false,
            Bound {
                factor: low,
                words: format!(
                    "it works into {}, so its corner lies at {}; the {section} needs {}",
                    quantity::bench(ohms, quantity::Unit::Ohms),
                    quantity::bench(corner, quantity::Unit::Hertz),
                    quantity::bench(hertz, quantity::Unit::Hertz),
                ),
            },
        );
        // Where time constants are part of the work, more is no better.
        let timed = matches!(
            section,
            "sync" | "gain control" | "vertical sweep" | "horizontal sweep"
        );
        if !timed {
            found.widen(
                true,
                Bound {
                    factor: 1.5,
                    words: "more passes lower frequencies yet, and takes longer to charge"
                        .to_owned(),
                },
            );
        }
    }

    /// The lowest frequency that the part's section lives by (common practice: fields come 60 times a second, lines
    /// 15,750 times; sound of a set of the time begins near 80 cycles).
    fn lowest_hertz(&self, part: usize) -> Option<(&'static str, f64)> {
        let field = self.predictor.model.sheet.line_hertz;
        let shares = self.sections.of_part(part).iter();
        shares
            .filter(|(_, share)| *share > 0.25)
            .filter_map(|(section, _)| {
                Some(match section {
                    SetSection::Sound => ("sound", 80.0),
                    SetSection::VideoDetector
                    | SetSection::VideoAmplifier
                    | SetSection::PictureTube => ("picture", field),
                    SetSection::Sync => ("sync", field),
                    SetSection::Agc => ("gain control", field),
                    SetSection::VerticalOscillator | SetSection::VerticalOutput => {
                        ("vertical sweep", field)
                    }
                    SetSection::HorizontalOscillator => ("horizontal sweep", 15_750.0),
                    _ => return None,
                })
            })
            .min_by(|one, other| one.1.total_cmp(&other.1))
    }

    fn marked_tolerance(&self, part: usize) -> Option<f64> {
        let (PartValue::Resistor { tolerance, .. }
        | PartValue::Control { tolerance, .. }
        | PartValue::Capacitor { tolerance, .. }) = &self.predictor.model.sheet.parts[part].value
        else {
            return None;
        };
        tolerance.map(|own| own.down.max(own.up))
    }
}

impl Tolerated {
    /// What the maker's own tolerance allows.
    fn of_tolerance(share: f64) -> Tolerated {
        let words = format!("the maker's own tolerance of {:.0} %", 100.0 * share);
        Tolerated {
            low: 1.0 - share,
            high: 1.0 + share,
            below: words.clone(),
            above: words,
            times: None,
            into_ohms: None,
            outer_foil: None,
        }
    }

    /// Takes a bound that lies farther out than the present one.
    fn widen(&mut self, up: bool, bound: Bound) {
        let factor = bound.factor.clamp(FARTHEST.0, FARTHEST.1);
        if up && factor > self.high {
            (self.high, self.above) = (factor, bound.words);
        } else if !up && factor < self.low {
            (self.low, self.below) = (factor, bound.words);
        }
    }

    /// The part times an oscillator: its rate may move by a twentieth.
    fn time(&mut self, tube: String, answer: f64) {
        let reach = (RATE / answer.abs()).exp();
        let words = format!("the rate of {tube} moves {answer:+.2} % for each percent of it");
        (self.low, self.high) = ((1.0 / reach).max(FARTHEST.0), reach.min(FARTHEST.1));
        (self.below, self.above) = (words.clone(), words);
        self.times = Some((tube, answer));
    }

    /// Whether a factor is tolerated, to within a thousandth.
    #[must_use]
    pub fn holds(&self, factor: f64) -> bool {
        factor >= self.low * (1.0 - 1e-3) && factor <= self.high * (1.0 + 1e-3)
    }
}
