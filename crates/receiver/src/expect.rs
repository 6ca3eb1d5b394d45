//! What a meter should show: the set solved under bench conditions, with bands.
//!
//! Units as each reading says. Source: the solved circuit; a state that was not
//! found is an error with its evidence, never a number. What cannot be told is
//! listed with its reason.

mod reasons;
mod whole;

use circuit::record::CycleRecord;
use circuit::solver::{GoOn, SettledState};
use circuit::thermal::{GroupState, USUAL_EMISSION_RESERVE, space_charge_share};
use circuit::{CircuitError, Solver, SolverOptions, Start};
use parts::Catalogue;
use quantity::Band;

use crate::bands::{Values, as_read, by_full_draws, movements};
use crate::causes::{Coolness, causes};
use crate::conditions::{BenchConditions, KnownReading};
use crate::meter::loadings;
use crate::probes::{Probe, all_probes};
use crate::reading::{Notice, Reading, Unknown};
use crate::sheet::Sheet;
use crate::unknowns::OpenElectrode;
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
    #[error("no settled state was found: the currents of supply and stages stay apart by {:.1} percent at {at}", 100.0 * .share)]
    Apart {
        /// What is left between them, as a share of the largest.
        share: f64,
        /// Where they differ most.
        at: String,
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

/// A prediction whose bands narrow as readings become known.
pub struct Foreseen<'p, 'm, 's> {
    predictor: &'p Predictor<'m, 's>,
    kept: Kept,
}

enum Kept {
    Whole(Box<whole::WholeForeseen>),
    Supply(Box<Expectation>),
}

impl Foreseen<'_, '_, '_> {
    /// The readings, narrowed by what is known. A set of which the supply alone is calculated,
    /// or one on its way from switch-on, keeps its bands.
    ///
    /// # Errors
    /// A known reading at a place that is not on the sheet.
    pub fn with(&self, known: &[KnownReading]) -> Result<Expectation, ExpectError> {
        match &self.kept {
            Kept::Whole(whole) => self.predictor.told_by(whole, known),
            Kept::Supply(expectation) => Ok((**expectation).clone()),
        }
    }

    /// What a reading is in every drawn set; `None` where none were drawn.
    pub(crate) fn drawn(&self, reading: &Reading) -> Option<&[f64]> {
        match &self.kept {
            Kept::Whole(whole) => whole.drawn(reading),
            Kept::Supply(_) => None,
        }
    }
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

    /// Predicts the readings under these conditions, narrowed by the readings that they name.
    pub fn expect(&self, conditions: &BenchConditions) -> Result<Expectation, ExpectError> {
        self.foresee(conditions)?.with(&conditions.known)
    }

    /// Solves the set once for readings that become known one after the other.
    ///
    /// # Errors
    /// Those of [`Predictor::expect`].
    pub fn foresee(
        &self,
        conditions: &BenchConditions,
    ) -> Result<Foreseen<'_, 'm, 's>, ExpectError> {
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
        self.foresee_at(conditions, probes)
    }

    /// What these probes alone read.
    ///
    /// # Errors
    /// Those of [`Predictor::expect`].
    pub(crate) fn expect_at(
        &self,
        conditions: &BenchConditions,
        probes: impl IntoIterator<Item = Probe>,
    ) -> Result<Expectation, ExpectError> {
        check_conditions(conditions)?;
        let probes = probes.into_iter().collect();
        self.foresee_at(conditions, probes)?.with(&conditions.known)
    }

    fn foresee_at(
        &self,
        conditions: &BenchConditions,
        probes: Vec<Probe>,
    ) -> Result<Foreseen<'_, 'm, 's>, ExpectError> {
        let settled = conditions.direct_source.is_none() && conditions.seconds.is_none();
        if self.model.has_stages() && settled {
            let whole = self.foresee_whole(conditions, probes)?;
            return Ok(Foreseen {
                predictor: self,
                kept: Kept::Whole(Box::new(whole)),
            });
        }
        let supply = self.expect_supply(conditions, &probes)?;
        Ok(Foreseen {
            predictor: self,
            kept: Kept::Supply(Box::new(supply)),
        })
    }

    /// Predicts what the supply alone tells, or the way from switch-on.
    fn expect_supply(
        &self,
        conditions: &BenchConditions,
        probes: &[Probe],
    ) -> Result<Expectation, ExpectError> {
        let model = self.model;
        let nominal = self.solve(conditions, &Variation::none(), probes, None)?;
        let loads = conditions
            .meter
            .as_ref()
            .map(|meter| loadings(model, conditions, meter, probes, &nominal.values));
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
                let solved = self.solve(conditions, variation, probes, None).ok()?;
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
                self.solve(conditions, variation, probes, near)
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
                shares[tube] =
                    emission.map(|emission| space_charge_share(emission, USUAL_EMISSION_RESERVE));
            }
        }
        shares
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
pub(crate) const READ_SHARE: f64 = 0.015;
pub(crate) const READ_VOLTS: f64 = 0.01;

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

impl SetModel<'_> {
    /// Whether a thermistor sits in the set, so that more than one settled state can exist.
    pub fn has_thermistor(&self) -> bool {
        !self.thermistors.is_empty()
    }
}
