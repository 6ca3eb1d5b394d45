//! What each part bears in the worst computed case: volts, heat, ripple, surges.
//!
//! Volts (highest momentary ones, without sign), watts, amperes. Three kinds of case are solved at the top
//! of today's line: settled, where the upper end of the band over healthy sets counts; from switch-on
//! with everything cold, when a silicon or directly heated rectifier charges the filters before any tube
//! draws; and settled with one tube or plug out at a time. The surge of rectifiers is that of a switch closed at
//! the peak of the line upon empty capacitors (the first two cycles, solved step by step). The saturation of
//! a transformer's iron is not part of it. Pulses of the horizontal output stage are those of [`super::sweep_pulses`]; what
//! they cannot be followed to is [`Unknown::Pulses`]. Fails when the set finds no settled state.

use std::f64::consts::FRAC_PI_2;

use circuit::solver::GoOn;
use circuit::switch_on::{StepControl, switch_on};
use circuit::{Solver, SolverOptions};
use rayon::prelude::*;

use super::sweep_pulses::SweepPulses;
use crate::conditions::BenchConditions;
use crate::expect::{ExpectError, Predictor};
use crate::plan::situation::is_in_string;
use crate::probes::{Probe, Spot};
use crate::reading::What;
use crate::sheet::{CapacitorStyle, PartValue};
use crate::wiring::{Rectifying, SetModel, Variation};

/// A case that was solved.
#[derive(Debug, Clone, PartialEq)]
pub enum Case {
    /// Settled at the top of today's line; the upper end of nine of ten healthy sets.
    HighLine,
    /// On the way from switch-on with everything cold.
    SwitchOn {
        /// When, seconds after switch-on.
        seconds: f64,
    },
    /// In the retrace of the sweep at the top of the line.
    Retrace,
    /// Settled with this tube or plug out.
    Without(String),
}

impl Case {
    /// In a few words.
    #[must_use]
    pub fn words(&self) -> String {
        match self {
            Case::HighLine => "running at the top of the line".to_owned(),
            Case::SwitchOn { seconds } if *seconds < 1.0 => "at switch-on".to_owned(),
            Case::SwitchOn { seconds } => {
                format!("{seconds:.0} s after switch-on, before the tubes draw")
            }
            Case::Retrace => "in the retrace of the sweep at the top of the line".to_owned(),
            Case::Without(name) => format!("with {name} out"),
        }
    }
}

/// The worst value and the case it comes from.
#[derive(Debug, Clone, PartialEq)]
pub struct Worst {
    /// The value.
    pub value: f64,
    /// The case.
    pub case: Case,
}

/// Why a burden is not told.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Unknown {
    /// Pulses of the horizontal output stage stand on it.
    Pulses,
    /// What is said of the reading.
    Because(String),
}

impl Unknown {
    /// In words.
    #[must_use]
    pub fn words(&self) -> String {
        match self {
            Unknown::Pulses => {
                "pulses of the horizontal output stand on it, which the sheet does not tell enough of to calculate them".to_owned()
            }
            Unknown::Because(because) => because.clone(),
        }
    }
}

/// What one part bears.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Burden {
    /// Highest momentary volts from end to end.
    pub volts: Option<Worst>,
    /// The same while the set runs at the top of the line.
    pub running_volts: Option<f64>,
    /// Highest momentary volts against a rectifier's way.
    pub inverse_volts: Option<Worst>,
    /// Heat.
    pub watts: Option<Worst>,
    /// Mean current, amperes.
    pub mean_amperes: Option<Worst>,
    /// Alternating current of an electrolytic, rms.
    pub ripple_amperes: Option<Worst>,
    /// Highest current of a rectifier in every cycle, settled.
    pub peak_amperes: Option<Worst>,
    /// Highest current of a rectifier in the first cycles.
    pub surge_amperes: Option<Worst>,
    /// Why its volts or heat are not told whole.
    pub unknown: Option<Unknown>,
    /// Whether pulses of the horizontal output stage stand on it.
    pub is_pulsed: bool,
}

/// What all parts bear.
#[derive(Debug, Clone, PartialEq)]
pub struct Burdens {
    /// One for each part of the sheet.
    pub parts: Vec<Burden>,
    /// One for each way of a rectifier, in the order of [`SetModel::rectifying`].
    pub ways: Vec<Burden>,
    /// Line volts of all cases.
    pub line_volts: f64,
    /// Cases that could not be solved, each with its reason.
    pub unsolved: Vec<String>,
    /// Cases that were solved.
    pub cases: usize,
}

/// Moments of the way from switch-on, seconds: dense while the filters charge and the tubes warm.
fn moments() -> Vec<f64> {
    let mut found = vec![0.017, 0.034, 0.05, 0.1, 0.2, 0.4, 0.7];
    let mut seconds: f64 = 1.0;
    while seconds < 40.0 {
        found.push(seconds);
        seconds *= 1.3;
    }
    found
}

/// Cycles in which the surge is looked for.
const SURGE_CYCLES: f64 = 2.0;

pub(super) fn raise(own: &mut Option<Worst>, value: f64, case: impl FnOnce() -> Case) {
    let is_more = own.as_ref().is_none_or(|own| value > own.value);
    if value.is_finite() && is_more {
        *own = Some(Worst {
            value,
            case: case(),
        });
    }
}

/// What each part bears at a line of these volts.
///
/// # Errors
/// Those of [`Predictor::expect`] for the settled set; the other cases are listed where they fail.
pub fn burdens(predictor: &Predictor<'_, '_>, line_volts: f64) -> Result<Burdens, ExpectError> {
    let model = predictor.model;
    let (mut own, at_line) = Burdens::begin(model, line_volts);
    own.running(predictor, &at_line)?;
    if let Err(error) = own.until_warm(predictor, &at_line) {
        own.unsolved.push(format!("from switch-on: {error}"));
    }
    if let Err(error) = own.surge(model, &at_line) {
        own.unsolved.push(format!("the first cycles: {error}"));
    }
    own.with_something_out(predictor, &at_line);
    Ok(own)
}

/// What each part of the supply bears at a line of these volts, without bands and with nothing out: for a set that is
/// only thought of.
///
/// # Errors
/// Those of [`Predictor::solve`].
pub fn supply_burdens(
    predictor: &Predictor<'_, '_>,
    line_volts: f64,
) -> Result<Burdens, ExpectError> {
    let model = predictor.model;
    let (mut own, at_line) = Burdens::begin(model, line_volts);
    let probes = probes(model);
    let asked: Vec<Probe> = probes.iter().map(|own| own.0.clone()).collect();
    let solved = predictor.solve(&at_line, &Variation::none(), &asked, None)?;
    for ((probe, part, way), value) in probes.iter().zip(&solved.values) {
        if let Some(value) = value {
            own.take(probe, *part, *way, value.abs());
        }
    }
    own.until_warm(predictor, &at_line)?;
    own.surge(model, &at_line)?;
    Ok(own)
}

impl Burdens {
    /// Nothing borne yet, and the conditions of a set on this line.
    fn begin(model: &SetModel<'_>, line_volts: f64) -> (Burdens, BenchConditions) {
        let own = Burdens {
            parts: vec![Burden::default(); model.sheet.parts.len()],
            ways: vec![Burden::default(); model.rectifying().len()],
            line_volts,
            unsolved: Vec::new(),
            cases: 1,
        };
        let at_line = BenchConditions {
            line_volts: Some(line_volts),
            ..BenchConditions::default()
        };
        (own, at_line)
    }

    /// Takes one reading of the settled set.
    fn take(&mut self, probe: &Probe, part: usize, way: Option<usize>, high: f64) {
        let Some(burden) = (match way {
            Some(way) => self.ways.get_mut(way),
            None => self.parts.get_mut(part),
        }) else {
            return;
        };
        let case = || Case::HighLine;
        match probe.what {
            What::DcVolts => raise(&mut burden.volts, high, case),
            // Ripple lies upon the mean, half of it above.
            What::RippleVoltsPeakToPeak => {
                if let Some(volts) = &mut burden.volts {
                    volts.value += 0.5 * high;
                }
            }
            What::PartWatts => raise(&mut burden.watts, high, case),
            What::PartMilliamps => raise(&mut burden.mean_amperes, high / 1e3, case),
            What::CapacitorRippleAmpsRms => raise(&mut burden.ripple_amperes, high, case),
            What::RectifierPeakMilliamps => raise(&mut burden.peak_amperes, high / 1e3, case),
            _ => {}
        }
    }

    /// The set settled, the upper end of its bands.
    fn running(
        &mut self,
        predictor: &Predictor<'_, '_>,
        at_line: &BenchConditions,
    ) -> Result<(), ExpectError> {
        let model = predictor.model;
        let conditions = BenchConditions {
            bands: true,
            ..at_line.clone()
        };
        let probes = probes(model);
        let told = predictor.expect_at(&conditions, probes.iter().map(|own| own.0.clone()))?;
        let of = |probe: &Probe| {
            let mut all = told.readings.iter();
            all.find(|own| own.at == probe.at && own.what == probe.what)
        };
        for (probe, part, way) in &probes {
            let Some(burden) = (match way {
                Some(way) => self.ways.get_mut(*way),
                None => self.parts.get_mut(*part),
            }) else {
                continue;
            };
            let Some(reading) = of(probe) else {
                let mut unknown = told.unknown.iter();
                if let Some(unknown) =
                    unknown.find(|own| own.at == probe.at && own.what == probe.what)
                    && burden.unknown.is_none()
                    && matches!(probe.what, What::DcVolts | What::PartWatts)
                {
                    burden.unknown = Some(Unknown::Because(unknown.because.clone()));
                }
                continue;
            };
            let band = &reading.band;
            let high = band.high.abs().max(band.low.abs());
            self.take(probe, *part, *way, high);
        }
        let sweep = SweepPulses::of(model, self.line_volts);
        for (part, burden) in self.parts.iter_mut().enumerate() {
            burden.take_pulses(model, part, sweep.as_ref());
            burden.running_volts = burden.volts.as_ref().map(|own| own.value);
        }
        Ok(())
    }

    /// The way from switch-on, everything cold.
    fn until_warm(
        &mut self,
        predictor: &Predictor<'_, '_>,
        at_line: &BenchConditions,
    ) -> Result<(), ExpectError> {
        let model = predictor.model;
        let wired = model.wire(at_line, &Variation::none())?;
        let solver = Solver::new(&wired.circuit, SolverOptions::default())?;
        self.cases += 1;
        solver.warm_up(&moments(), &mut |moment| {
            let seconds = moment.seconds;
            let case = || Case::SwitchOn { seconds };
            for (part, burden) in self.parts.iter_mut().enumerate() {
                let [Some(from), Some(to), _] = model.part_ends[part] else {
                    continue;
                };
                if !takes_volts(&model.sheet.parts[part].value)
                    || wired.floating[from] != wired.floating[to]
                {
                    continue;
                }
                let wave = moment.record.volts(wired.node(from), wired.node(to));
                let highest = wave.highest().max(-wave.lowest());
                raise(&mut burden.volts, highest, case);
            }
            for (number, element) in wired.rectifiers.iter().enumerate() {
                let Some(element) = *element else { continue };
                let wave = moment.record.across(element);
                raise(&mut self.ways[number].inverse_volts, -wave.lowest(), case);
            }
            GoOn::Yes
        })?;
        for (number, way) in model.rectifying().iter().enumerate() {
            if let Rectifying::Metal { part } = way {
                self.parts[*part]
                    .inverse_volts
                    .clone_from(&self.ways[number].inverse_volts);
            }
        }
        Ok(())
    }

    /// The switch closed at the peak of the line upon empty capacitors.
    fn surge(
        &mut self,
        model: &SetModel<'_>,
        at_line: &BenchConditions,
    ) -> Result<(), ExpectError> {
        let wired = model.wire(at_line, &Variation::none())?;
        let control = StepControl {
            relative: 1e-3,
            phase: FRAC_PI_2,
            longest: 1.0 / (64.0 * model.sheet.line_hertz),
            ..StepControl::default()
        };
        let mut elements: Vec<usize> = wired.rectifiers.iter().flatten().copied().collect();
        elements.sort_unstable();
        self.cases += 1;
        for sign in [0.0, std::f64::consts::PI] {
            let control = StepControl {
                phase: control.phase + sign,
                ..control
            };
            let seconds = SURGE_CYCLES / model.sheet.line_hertz;
            switch_on(&wired.circuit, seconds, control, &mut |instant| {
                let case = || Case::SwitchOn {
                    seconds: instant.seconds,
                };
                for (element, amperes) in elements.iter().zip(instant.rectifier_amperes()) {
                    let way = wired
                        .rectifiers
                        .iter()
                        .position(|own| own == &Some(*element));
                    if let Some(way) = way {
                        raise(&mut self.ways[way].surge_amperes, *amperes, case);
                    }
                }
                GoOn::Yes
            })?;
        }
        for (number, way) in model.rectifying().iter().enumerate() {
            if let Rectifying::Metal { part } = way {
                self.parts[*part].surge_amperes = self.ways[number].surge_amperes.clone();
            }
        }
        Ok(())
    }

    /// One tube or plug out at a time: what is left of the load lets the lines rise.
    fn with_something_out(&mut self, predictor: &Predictor<'_, '_>, at_line: &BenchConditions) {
        let model = predictor.model;
        let outs = what_may_be_out(model);
        let solved: Vec<_> = outs
            .par_iter()
            .map(|(name, conditions)| {
                let conditions = BenchConditions {
                    line_volts: at_line.line_volts,
                    ..conditions.clone()
                };
                let told = predictor.solve(&conditions, &Variation::none(), &[], None);
                (name, told)
            })
            .collect();
        for (name, told) in solved {
            self.cases += 1;
            let solved = match told {
                Ok(solved) => solved,
                Err(error) => {
                    self.unsolved.push(format!("with {name} out: {error}"));
                    continue;
                }
            };
            for (part, burden) in self.parts.iter_mut().enumerate() {
                let [Some(from), Some(to), _] = model.part_ends[part] else {
                    continue;
                };
                let floats = |junction: usize| solved.floating.get(junction).copied();
                if !takes_volts(&model.sheet.parts[part].value) || floats(from) != floats(to) {
                    continue;
                }
                let chassis = |junction: usize| Some(junction) == model.chassis;
                // To the chassis the highest momentary volts; between two places their means.
                let volts = match (chassis(from), chassis(to)) {
                    (true, false) => solved.junction_peaks[to],
                    (false, true) => solved.junction_peaks[from],
                    _ => (solved.junction_volts[from] - solved.junction_volts[to]).abs(),
                };
                raise(&mut burden.volts, volts, || Case::Without(name.clone()));
            }
        }
    }
}

/// Each tube and plug that may be out with the set on: no tube of a string, no rectifier, not the picture tube.
fn what_may_be_out(model: &SetModel<'_>) -> Vec<(String, BenchConditions)> {
    let rectifiers = model.rectifier_tubes();
    let mut found = Vec::new();
    for (tube, own) in model.sheet.tubes.iter().enumerate() {
        if !own.kind.is_picture_tube && !rectifiers.contains(&tube) && !is_in_string(model, tube) {
            let conditions = BenchConditions {
                pulled: vec![own.reference.clone()],
                ..BenchConditions::default()
            };
            found.push((own.reference.clone(), conditions));
        }
    }
    for part in &model.sheet.parts {
        if matches!(part.value, PartValue::Plug { open: false }) {
            let conditions = BenchConditions {
                open: vec![part.reference.clone()],
                ..BenchConditions::default()
            };
            found.push((part.reference.clone(), conditions));
        }
    }
    found
}

/// Whether a part has volts from end to end that it must stand.
pub(super) fn takes_volts(value: &PartValue) -> bool {
    matches!(
        value,
        PartValue::Capacitor { .. } | PartValue::Resistor { .. } | PartValue::Control { .. }
    )
}

/// What is read of the settled set, with the part or the way of a rectifier it belongs to.
fn probes(model: &SetModel<'_>) -> Vec<(Probe, usize, Option<usize>)> {
    let mut found = Vec::new();
    for (index, part) in model.sheet.parts.iter().enumerate() {
        let mut push = |what, spot| {
            let probe = Probe {
                at: part.reference.clone(),
                to: None,
                what,
                spot,
            };
            found.push((probe, index, None));
        };
        if takes_volts(&part.value)
            && let [Some(from), Some(to), _] = model.part_ends[index]
        {
            push(What::DcVolts, Spot::Between(from, to));
            if matches!(part.value, PartValue::Capacitor { .. })
                && (model.has_ripple(from) || model.has_ripple(to))
            {
                push(What::RippleVoltsPeakToPeak, Spot::Between(from, to));
            }
        }
        match &part.value {
            PartValue::Capacitor {
                style: CapacitorStyle::Electrolytic,
                ..
            } => push(What::CapacitorRippleAmpsRms, Spot::Part(index)),
            PartValue::Resistor { .. }
            | PartValue::Control { .. }
            | PartValue::Coil { .. }
            | PartValue::Selenium { .. }
            | PartValue::Silicon { .. } => {
                push(What::PartMilliamps, Spot::Part(index));
                push(What::PartWatts, Spot::Part(index));
            }
            _ => {}
        }
    }
    for (number, way) in model.rectifying().iter().enumerate() {
        let (at, part) = match way {
            Rectifying::Tube { damper: true, .. } => continue,
            Rectifying::Tube { plate, .. } => (plate.to_string(), None),
            Rectifying::Metal { part } => (model.sheet.parts[*part].reference.clone(), Some(*part)),
        };
        let probe = Probe {
            at,
            to: None,
            what: What::RectifierPeakMilliamps,
            spot: Spot::Rectifier(number),
        };
        match part {
            Some(part) => found.push((probe, part, None)),
            None => found.push((probe, 0, Some(number))),
        }
    }
    found
}
