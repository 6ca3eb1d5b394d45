//! What a meter should show: the set solved under bench conditions, with bands.
//!
//! Units as each reading says. Source: the solved circuit; a state that was not
//! found is an error with its evidence, never a number. What cannot be told is
//! listed with its reason.

use circuit::record::CycleRecord;
use circuit::solver::{GoOn, SettledState};
use circuit::thermal::{GroupState, space_charge_share};
use circuit::{CircuitError, Solver, SolverOptions, Start};
use parts::Catalogue;
use quantity::Band;

use crate::bands::{Values, as_read, by_full_draws, movements};
use crate::causes::{Coolness, causes, stage_causes};
use crate::conditions::BenchConditions;
use crate::meter::loadings;
use crate::probes::{Probe, Spot, all_probes};
use crate::reading::{Notice, Reading, Unknown, What};
use crate::sheet::Sheet;
use crate::unknowns::{OpenElectrode, PULL_LIMIT};
use crate::whole_set::running::Running;
use crate::whole_set::{Known, Narrowing, WholeSet, whole_readings};
use crate::wiring::{SetModel, Variation, Wired, WiringError};

/// What was predicted.
#[derive(Debug, Clone)]
pub struct Expectation {
    /// The readings.
    pub readings: Vec<Reading>,
    /// What cannot be told.
    pub unknown: Vec<Unknown>,
    /// What was assumed or left out.
    pub notices: Vec<Notice>,
    /// The line that was taken, volts rms; `None` with the plug out.
    pub line_volts: Option<f64>,
    /// Sets solved.
    pub solved_states: usize,
    /// The worst current balance left, amperes.
    pub balance_amperes: f64,
}

/// Why nothing was predicted.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum ExpectError {
    /// The conditions do not fit the sheet.
    #[error("{0}")]
    Wiring(#[from] WiringError),
    /// The conditions themselves are at fault.
    #[error("{what} is {read}: expected {expected}")]
    Conditions {
        /// Which condition.
        what: &'static str,
        /// As read.
        read: String,
        /// What would be right.
        expected: &'static str,
    },
    /// Supply and stages were solved, but not together.
    #[error("no settled state was found: the currents of supply and stages stay apart by {:.1} percent", 100.0 * .share)]
    Apart {
        /// What is left between them, as a share of the largest.
        share: f64,
    },
    /// No settled state was found.
    #[error("no settled state was found: {0}")]
    NotSettled(#[from] CircuitError),
}

/// Predicts the readings of a sheet under these conditions.
pub fn expect(
    sheet: &Sheet,
    catalogue: &Catalogue,
    conditions: &BenchConditions,
) -> Result<Expectation, ExpectError> {
    let model = SetModel::new(sheet, catalogue);
    Predictor::new(&model).expect(conditions)
}

/// A set model with what depends on the sheet alone worked out once.
#[derive(Debug)]
pub struct Predictor<'m, 's> {
    /// The model.
    pub model: &'m SetModel<'s>,
    /// Junctions that depend on tube currents not calculated.
    pub open_electrodes: Vec<OpenElectrode>,
}

/// One set solved.
pub struct Solved {
    /// Where everything is.
    pub values: Values,
    /// A start for neighbours; absent for a moment of the warm-up.
    pub near: Option<SettledState>,
    /// Cathode emission of each tube as a share of normal current, by position; `None` unheated.
    pub tube_shares: Vec<Option<f64>>,
    /// Mean volts of each junction.
    pub junction_volts: Vec<f64>,
    /// Highest momentary volts to chassis of each junction, without sign.
    pub junction_peaks: Vec<f64>,
    /// Junctions tied to nothing.
    pub floating: Vec<bool>,
    /// The worst current balance, amperes.
    pub balance_amperes: f64,
}

impl<'m, 's> Predictor<'m, 's> {
    /// Works out what depends on the sheet alone.
    pub fn new(model: &'m SetModel<'s>) -> Predictor<'m, 's> {
        Predictor {
            open_electrodes: model.open_electrodes(),
            model,
        }
    }

    /// Predicts the readings under these conditions.
    pub fn expect(&self, conditions: &BenchConditions) -> Result<Expectation, ExpectError> {
        check_conditions(conditions)?;
        let model = self.model;
        let to = match &conditions.to {
            Some(text) => {
                let place = model.places.find(text).map_err(WiringError::from)?;
                model
                    .junction(place)
                    .filter(|junction| Some(*junction) != model.chassis_junction())
                    .map(|junction| (junction, place.to_string()))
            }
            None => None,
        };
        let probes = all_probes(model, to);
        let settled = conditions.direct_source.is_none() && conditions.seconds.is_none();
        if model.has_stages() && settled {
            return self.expect_whole(conditions, &probes);
        }
        let nominal = self.solve(conditions, &Variation::none(), &probes, None)?;
        let loads = conditions
            .meter
            .as_ref()
            .map(|meter| loadings(model, conditions, meter, &probes, &nominal.values));
        let loaded = |values: Values| -> Values {
            match &loads {
                Some(loads) => values
                    .into_iter()
                    .zip(loads)
                    .map(|(value, share)| value.map(|value| value * share))
                    .collect(),
                None => values,
            }
        };
        let expected = loaded(nominal.values.clone());
        let mut solved_states = 1;
        let mut notices = self.notices(conditions);
        let mut found = if conditions.bands {
            causes(model, conditions)
        } else {
            Vec::new()
        };
        // On the way from cold, all tubes pass all emissions: their doubt is drawn as it is.
        if conditions.seconds.is_none()
            && let Some(coolness) = Coolness::of(&nominal.tube_shares)
        {
            coolness.widen(&mut found);
        }
        let bands: Vec<Option<Band>> = if conditions.bands && conditions.seconds.is_some() {
            let drawn = by_full_draws(&found, &expected, WARM_UP_DRAWS, |variation, scale| {
                let solved = self.solve(conditions, variation, &probes, None).ok()?;
                let scaled = loaded(solved.values).into_iter();
                Some(
                    scaled
                        .map(|value| value.map(|value| value * scale))
                        .collect(),
                )
            });
            solved_states += drawn.solved;
            if drawn.solved < WARM_UP_DRAWS as usize {
                notices.push(Notice {
                    text: format!(
                        "{} of {WARM_UP_DRAWS} drawn sets could not be solved and are not part of the bands",
                        WARM_UP_DRAWS as usize - drawn.solved
                    ),
                    hint: "the bands may be too narrow".to_string(),
                });
            }
            drawn.bands
        } else if conditions.bands {
            let moved = movements(&found, expected, |variation| {
                let near = nominal.near.as_ref();
                self.solve(conditions, variation, &probes, near)
                    .ok()
                    .map(|solved| loaded(solved.values))
            });
            solved_states += moved.solved;
            if !moved.unsolved.is_empty() {
                notices.push(Notice {
                    text: format!("not part of the bands: {}", moved.unsolved.join(", ")),
                    hint: "the set could not be solved with these at the ends of their range"
                        .to_string(),
                });
            }
            moved.bands()
        } else {
            expected
                .iter()
                .map(|value| value.and_then(|value| Band::exactly(value).ok()))
                .collect()
        };
        let mut readings = Vec::new();
        let mut unknown = Vec::new();
        for (probe, band) in probes.iter().zip(bands) {
            let because = self.why_unknown(probe, conditions, &nominal).or_else(|| {
                let warming = conditions.seconds.is_some();
                warming.then(|| self.why_beyond_supply(probe)).flatten()
            });
            match because {
                Some(because) => unknown.push(Unknown {
                    at: probe.at.clone(),
                    what: probe.what,
                    because,
                }),
                None => {
                    if let Some(band) = band {
                        readings.push(Reading {
                            at: probe.at.clone(),
                            to: probe.to.clone(),
                            what: probe.what,
                            lead: None,
                            band: if conditions.bands {
                                as_read(band, probe.what)
                            } else {
                                band
                            },
                        });
                    }
                }
            }
        }
        Ok(Expectation {
            readings,
            unknown,
            notices,
            line_volts: conditions
                .direct_source
                .is_none()
                .then(|| conditions.line_volts.unwrap_or(model.sheet.line_volts)),
            solved_states,
            balance_amperes: nominal.balance_amperes,
        })
    }

    /// The same for a set whose stages can be calculated, settled.
    fn expect_whole(
        &self,
        conditions: &BenchConditions,
        probes: &[Probe],
    ) -> Result<Expectation, ExpectError> {
        let model = self.model;
        let mut notices = self.notices(conditions);
        let known = self.known(conditions, probes, &mut notices)?;
        let wanted = conditions.bands || !known.is_empty();
        let found = if wanted {
            let mut all = causes(model, conditions);
            all.extend(stage_causes(model));
            all
        } else {
            Vec::new()
        };
        let read = whole_readings(model, conditions, probes, &found, &known)?;
        if read.lost > 0 {
            notices.push(Notice {
                text: format!(
                    "drawn sets that could not be solved and are not part of the bands: {}",
                    read.lost
                ),
                hint: "the bands may be too narrow".to_string(),
            });
        }
        if !read.unsolved.is_empty() {
            notices.push(Notice {
                text: format!("not part of the bands: {}", read.unsolved.join(", ")),
                hint: "the set could not be solved with these at the ends of their range"
                    .to_string(),
            });
        }
        self.stage_notices(&read.set.running, &mut notices);
        let solved = self.of_whole(&read.set);
        let mut readings = Vec::new();
        let mut unknown = Vec::new();
        for (probe, band) in probes.iter().zip(read.bands) {
            let because = self
                .why_driven(probe, &read.set.running)
                .or_else(|| self.why_unknown(probe, conditions, &solved));
            match (because, band) {
                (Some(because), _) => unknown.push(Unknown {
                    at: probe.at.clone(),
                    what: probe.what,
                    because,
                }),
                (None, Some(band)) => readings.push(Reading {
                    at: probe.at.clone(),
                    to: probe.to.clone(),
                    what: probe.what,
                    lead: None,
                    band: if wanted {
                        as_read(band, probe.what)
                    } else {
                        band
                    },
                }),
                (None, None) => {}
            }
        }
        Ok(Expectation {
            readings,
            unknown,
            notices,
            line_volts: Some(conditions.line_volts.unwrap_or(model.sheet.line_volts)),
            solved_states: read.solved_states,
            balance_amperes: read.set.point.balance_amperes,
        })
    }

    /// The known readings of the conditions, each at its probe.
    fn known(
        &self,
        conditions: &BenchConditions,
        probes: &[Probe],
        notices: &mut Vec<Notice>,
    ) -> Result<Vec<Narrowing>, ExpectError> {
        let mut found = Vec::new();
        for known in &conditions.known {
            let place = self
                .model
                .places
                .find(&known.place)
                .map_err(WiringError::from)?;
            let probe = probes.iter().position(|probe| {
                probe.what == What::DcVolts && probe.at.eq_ignore_ascii_case(&place.to_string())
            });
            match probe {
                Some(probe) => found.push(Narrowing {
                    probe,
                    value: known.volts,
                    sigma: READ_SHARE * known.volts.abs() + READ_VOLTS,
                }),
                None => notices.push(Notice {
                    text: format!("the known reading at {} says nothing here", known.place),
                    hint: "d.c. volts of a place other than the chassis narrow the bands"
                        .to_string(),
                }),
            }
        }
        Ok(found)
    }

    /// What a solved whole set says to [`Predictor::why_unknown`].
    fn of_whole(&self, set: &WholeSet) -> Solved {
        Solved {
            values: Vec::new(),
            near: None,
            tube_shares: set.tube_shares(),
            junction_volts: set.volts.clone(),
            junction_peaks: set.junction_peaks().to_vec(),
            floating: set.floating(),
            balance_amperes: set.point.balance_amperes,
        }
    }

    /// Why a reading at a stage that a signal drives is not told, if it is not.
    fn why_driven(&self, probe: &Probe, running: &[Running]) -> Option<String> {
        let model = self.model;
        let touches = |junction: usize| match probe.spot {
            Spot::Between(a, b) => a == junction || b == junction,
            Spot::ToChassis(a) => a == junction,
            _ => false,
        };
        if !matches!(probe.what, What::DcVolts) && !matches!(probe.spot, Spot::Stage(..)) {
            return None;
        }
        let sweeps = running
            .iter()
            .any(|running| matches!(running, Running::Lifts { .. }));
        let pulses = |junction: usize| model.stages.pulsed.get(junction).copied().unwrap_or(false);
        let at_pulses = match probe.spot {
            Spot::Between(a, b) => pulses(a) || pulses(b),
            Spot::ToChassis(a) => pulses(a),
            _ => false,
        };
        if sweeps && at_pulses {
            return Some(
                "the sweep's pulses of hundreds to thousands of volts stand there: no common meter may touch it"
                    .to_string(),
            );
        }
        for (number, (stage, running)) in model.stages.complete.iter().zip(running).enumerate() {
            let known = running.known();
            let own = matches!(probe.spot, Spot::Stage(of, _) if of == number);
            match &known {
                Known::Calculated | Known::Running { .. } => {}
                Known::FromChart { missing } => {
                    for (junction, missing) in stage.electrodes.iter().zip(missing) {
                        if *missing && junction.is_some_and(touches) {
                            return Some(format!(
                                "a signal makes the volts of {} here, and the maker's chart does not give them",
                                model.sheet.tubes[stage.tube].reference
                            ));
                        }
                    }
                }
                Known::Unknown { because } => {
                    let rests = |junction: usize| {
                        Some(junction) == model.chassis_junction() || model.has_ripple(junction)
                    };
                    if own
                        || stage
                            .junctions()
                            .any(|junction| touches(junction) && !rests(junction))
                    {
                        return Some(because.clone());
                    }
                }
            }
        }
        None
    }

    /// Which readings rest on the maker's chart, and which stages nothing is known of.
    fn stage_notices(&self, running: &[Running], notices: &mut Vec<Notice>) {
        let model = self.model;
        let mut anchored: Vec<&str> = Vec::new();
        let mut unknown: Vec<&str> = Vec::new();
        let mut let_go: Vec<&str> = Vec::new();
        let mut runs: Vec<(f64, Vec<&str>)> = Vec::new();
        for (stage, running) in model.stages.complete.iter().zip(running) {
            let reference = model.sheet.tubes[stage.tube].reference.as_str();
            let list = match running {
                Running::AtRest if stage.drive.is_signal() => &mut let_go,
                _ => match running.known() {
                    Known::Calculated => continue,
                    Known::Running { hertz } => {
                        match runs.iter_mut().find(|(own, _)| *own == hertz) {
                            Some((_, list)) => list,
                            None => {
                                runs.push((hertz, Vec::new()));
                                &mut runs.last_mut().expect("pushed above").1
                            }
                        }
                    }
                    Known::FromChart { .. } => &mut anchored,
                    Known::Unknown { .. } => &mut unknown,
                },
            };
            if !list.contains(&reference) {
                list.push(reference);
            }
        }
        for (hertz, list) in &runs {
            notices.push(Notice {
                text: format!(
                    "calculated as they run, by their own oscillation of {} cycles a second: {}",
                    cycles_of(*hertz),
                    list.join(", ")
                ),
                hint: "their controls stand as the sheet says; a station's pulses hold them to its own rate, and the volts move with it"
                    .to_string(),
            });
        }
        let not_calculated: Vec<String> = model
            .usual()
            .oscillators
            .iter()
            .filter_map(|own| {
                let stage = model.stages.complete.get(*own.group.stages.first()?)?;
                let reference = &model.sheet.tubes[stage.tube].reference;
                Some(format!("{reference} ({})", own.because()?))
            })
            .collect();
        if !not_calculated.is_empty() {
            notices.push(Notice {
                text: format!(
                    "drive themselves but cannot be calculated as they run: {}",
                    not_calculated.join(", ")
                ),
                hint: "the maker's chart stands in for the calculation where it gives their volts"
                    .to_string(),
            });
        }
        if !anchored.is_empty() {
            notices.push(Notice {
                text: format!(
                    "driven by a signal, so taken from the maker's chart and scaled to this supply: {}",
                    anchored.join(", ")
                ),
                hint: "if the sweep does not run, these readings and the current they stand for are others"
                    .to_string(),
            });
        }
        if !unknown.is_empty() {
            notices.push(Notice {
                text: format!(
                    "driven by a signal and not on the maker's chart, so only what the supply usually feels of them is counted: {}",
                    unknown.join(", ")
                ),
                hint: "put the maker's readings of their pins into [chart]".to_string(),
            });
        }
        if !let_go.is_empty() {
            notices.push(Notice {
                text: format!(
                    "nothing drives them under these conditions, so they are told at rest: {}",
                    let_go.join(", ")
                ),
                hint: "an output tube without drive may draw far more than when it runs; keep such a test short"
                    .to_string(),
            });
        }
    }

    /// Solves one variation of the set and reads all probes.
    pub fn solve(
        &self,
        conditions: &BenchConditions,
        variation: &Variation,
        probes: &[Probe],
        near: Option<&SettledState>,
    ) -> Result<Solved, ExpectError> {
        let wired = self.model.wire(conditions, variation)?;
        let read = |record: &CycleRecord<'_>, groups: &[GroupState]| Solved {
            values: probes
                .iter()
                .map(|probe| probe.read(&wired, record, groups))
                .collect(),
            near: None,
            tube_shares: self.tube_shares(&wired, groups),
            junction_volts: wired
                .nodes
                .iter()
                .map(|&node| record.volts(node, 0).mean())
                .collect(),
            junction_peaks: wired
                .nodes
                .iter()
                .map(|&node| {
                    let wave = record.volts(node, 0);
                    wave.highest().max(-wave.lowest())
                })
                .collect(),
            floating: wired.floating.clone(),
            balance_amperes: 0.0,
        };
        if conditions.direct_source.is_some() {
            let record = circuit::resting::resting(&wired.circuit, ROOM_KELVIN)?;
            let groups = wired.circuit.cold(ROOM_KELVIN);
            return Ok(read(&record, &groups));
        }
        let solver = Solver::new(&wired.circuit, SolverOptions::default())?;
        match conditions.seconds {
            None => {
                let start = match near {
                    Some(near) => Start::Near(near),
                    None if conditions.lamps.is_empty() && !self.model.has_thermistor() => {
                        Start::Warm
                    }
                    None => Start::Cold,
                };
                let settled = solver.settled(start)?;
                let mut solved = read(&settled.record, &settled.at.state.groups);
                solved.balance_amperes = settled.record.balance().amperes;
                solved.near = Some(settled.at);
                Ok(solved)
            }
            Some(seconds) => {
                let mut found = None;
                solver.warm_up(&[seconds], &mut |moment| {
                    found = Some(read(&moment.record, &moment.state.groups));
                    GoOn::Enough
                })?;
                found.ok_or(ExpectError::NotSettled(CircuitError::Stopped { seconds }))
            }
        }
    }

    fn tube_shares(&self, wired: &Wired, groups: &[GroupState]) -> Vec<Option<f64>> {
        let mut shares = vec![None; self.model.sheet.tubes.len()];
        for heaters in wired.heaters.iter().flatten() {
            for (body, &tube) in heaters.tubes.iter().enumerate() {
                let emission = wired
                    .circuit
                    .groups
                    .get(heaters.group)
                    .and_then(|group| group.bodies.get(body))
                    .zip(
                        groups
                            .get(heaters.group)
                            .and_then(|group| group.bodies.get(body)),
                    )
                    .and_then(|(body, state)| body.emission_ratio(state));
                shares[tube] = emission.map(|emission| space_charge_share(emission, 8.0));
            }
        }
        shares
    }

    /// Why a probe's reading is not told, if it is not.
    pub fn why_unknown(
        &self,
        probe: &Probe,
        conditions: &BenchConditions,
        solved: &Solved,
    ) -> Option<String> {
        let junctions: &[usize] = match &probe.spot {
            Spot::Between(a, b) => &[*a, *b],
            Spot::ToChassis(a) => std::slice::from_ref(a),
            _ => &[],
        };
        let floating = |junction: &usize| solved.floating.get(*junction).copied().unwrap_or(false);
        match junctions {
            [a] if floating(a) => {
                return Some(
                    "nothing on the sheet ties it to the chassis, so its volts to chassis mean nothing"
                        .to_string(),
                );
            }
            [a, b] if floating(a) != floating(b) => {
                return Some("nothing on the sheet ties the two places together".to_string());
            }
            _ => {}
        }
        if probe.what == What::AcVoltsRms || probe.what == What::RippleVoltsPeakToPeak {
            return None;
        }
        for &junction in junctions {
            for open in &self.open_electrodes {
                let pull = open.pulls.get(junction).copied().unwrap_or(0.0);
                if open.junction != junction && pull < PULL_LIMIT {
                    continue;
                }
                let live = open
                    .pins
                    .iter()
                    .find(|(tube, _)| self.is_live(*tube, conditions, solved));
                if let Some((tube, pin)) = live {
                    let reference = &self.model.sheet.tubes[*tube].reference;
                    if self.model.is_high_voltage(*tube) {
                        return Some(
                            "the high voltage is not calculated, and no common meter may touch it"
                                .to_string(),
                        );
                    }
                    return Some(if open.junction == junction {
                        format!("{pin} carries a current of {reference} that is not calculated yet")
                    } else {
                        format!(
                            "it follows {pin}, where a current of {reference} is not calculated yet"
                        )
                    });
                }
            }
        }
        if let Spot::Part(part) = probe.spot {
            let ends = &self.model.part_ends[part][..2];
            for junction in ends.iter().flatten() {
                let open = self.open_electrodes.iter().find(|open| {
                    let pull = open.pulls.get(*junction).copied().unwrap_or(0.0);
                    (open.junction == *junction || pull >= PULL_LIMIT)
                        && open
                            .pins
                            .iter()
                            .any(|(tube, _)| self.is_live(*tube, conditions, solved))
                });
                if let Some(open) = open {
                    let pin = open
                        .pins
                        .first()
                        .map_or("a tube pin", |(_, pin)| pin.as_str());
                    return Some(format!(
                        "it carries the current of {pin}, not calculated yet"
                    ));
                }
            }
        }
        None
    }

    /// Why the supply's cycle alone does not tell a reading that hangs on a tube stage, if so.
    pub fn why_beyond_supply(&self, probe: &Probe) -> Option<String> {
        let model = self.model;
        if !model.has_stages() {
            return None;
        }
        let told = |junction: usize| {
            let told = &model.usual().told_by_cycle;
            told.get(junction).copied().unwrap_or(true)
        };
        let beyond = match (probe.spot, probe.what) {
            (Spot::Stage(..), _) => true,
            (Spot::ToChassis(a), What::DcVolts) => !told(a),
            (Spot::Between(a, b), What::DcVolts) => !told(a) || !told(b),
            (Spot::Part(part), What::PartMilliamps | What::PartWatts) => model.part_ends[part]
                .iter()
                .flatten()
                .any(|&end| !told(end)),
            _ => false,
        };
        beyond.then(|| {
            "it hangs on a tube stage, which is worked out for a settled set only (`expect`)"
                .to_string()
        })
    }

    /// Whether a tube may draw current: fitted, warm, and with volts on one of its pins.
    fn is_live(&self, tube: usize, conditions: &BenchConditions, solved: &Solved) -> bool {
        let reference = &self.model.sheet.tubes[tube].reference;
        if conditions
            .pulled
            .iter()
            .any(|pulled| pulled.trim().eq_ignore_ascii_case(reference))
        {
            return false;
        }
        // A heater that the set itself lights later (high-voltage rectifier) counts as warm.
        let heated_by_set = self
            .model
            .heater_places()
            .iter()
            .any(|place| place.tubes.contains(&tube));
        if heated_by_set {
            match solved.tube_shares.get(tube).copied().flatten() {
                Some(share) if share < 0.01 => return false,
                None => return false,
                _ => {}
            }
        }
        self.model.places.iter().any(|place| {
            place
                .pin()
                .is_some_and(|(own, _)| own.eq_ignore_ascii_case(reference))
                && self.model.junction(place).is_some_and(|junction| {
                    !self.model.alternates(junction)
                        && solved
                            .junction_volts
                            .get(junction)
                            .is_some_and(|volts| volts.abs() > 1.0)
                })
        })
    }

    fn notices(&self, conditions: &BenchConditions) -> Vec<Notice> {
        let mut notices = Vec::new();
        for assumed in &self.model.assumed {
            notices.push(Notice {
                text: format!("assumed: {}", assumed.what),
                hint: format!("{}; measure it and put it on the sheet", assumed.from),
            });
        }
        for left_out in &self.model.left_out {
            notices.push(Notice {
                text: format!(
                    "left out: {}, because {}",
                    left_out.reference, left_out.because
                ),
                hint: "complete the sheet to have it counted".to_string(),
            });
        }
        if !conditions.pulled.is_empty()
            && self.model.sheet.parts.iter().any(|part| {
                matches!(
                    part.value,
                    crate::sheet::PartValue::Load { steady: false, .. }
                )
            })
        {
            notices.push(Notice {
                text: "loads stand for tubes, but do not say for which: a pulled tube's current is still counted".to_string(),
                hint: "make the load smaller, or transcribe the stage".to_string(),
            });
        }
        notices
    }
}

/// Sets drawn for the bands of a moment after switch-on. No more runs than moving each
/// cause of a usual sheet alone would take; the ends of a band are then off by about a
/// tenth of its width.
const WARM_UP_DRAWS: u32 = 128;

/// How far a careful reading of a bench meter may be off, as a share and in volts (common
/// practice: 1.5 to 3 percent of a good meter).
const READ_SHARE: f64 = 0.015;
const READ_VOLTS: f64 = 0.01;

/// Room temperature, kelvin.
pub const ROOM_KELVIN: f64 = 298.0;

fn check_conditions(conditions: &BenchConditions) -> Result<(), ExpectError> {
    let refuse = |what: &'static str, read: f64, expected: &'static str| {
        Err(ExpectError::Conditions {
            what,
            read: read.to_string(),
            expected,
        })
    };
    if let Some(line) = conditions.line_volts
        && !(0.0..=300.0).contains(&line)
    {
        return refuse("the line", line, "0 to 300 volts rms");
    }
    if !(0.0..=1000.0).contains(&conditions.source_ohms) {
        return refuse(
            "the source's resistance",
            conditions.source_ohms,
            "0 to 1000 ohms",
        );
    }
    if let Some(seconds) = conditions.seconds
        && !(0.0..=36_000.0).contains(&seconds)
    {
        return refuse("the time", seconds, "0 to 36000 seconds");
    }
    if let Some(source) = &conditions.direct_source {
        if !(-2000.0..=2000.0).contains(&source.volts) {
            return refuse("the d.c. source", source.volts, "up to 2000 volts");
        }
        if !(0.0..=1e8).contains(&source.series_ohms) {
            return refuse(
                "the source's resistor",
                source.series_ohms,
                "0 to 100 megohms",
            );
        }
    }
    Ok(())
}

/// A rate in cycles a second, as one reads it.
fn cycles_of(hertz: f64) -> String {
    match hertz {
        hertz if hertz < 100.0 => format!("{hertz:.0}"),
        hertz => format!("{:.0}", (hertz / 10.0).round() * 10.0),
    }
}

impl SetModel<'_> {
    /// Whether a thermistor sits in the set, so that more than one settled state can exist.
    pub fn has_thermistor(&self) -> bool {
        !self.thermistors.is_empty()
    }
}
