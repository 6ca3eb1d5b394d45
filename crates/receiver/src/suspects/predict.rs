//! What each fault would do to each reading, and how far healthy sets lie apart.
//!
//! Units of the readings. For each set of bench conditions the healthy set is solved and drawn
//! once (1,024 sets: the joint spread of all good parts); then every hypothesis is solved at
//! [`SEVERITIES`] severities, evenly spaced in its law, by [`crate::whole_set::faulty_courses`].
//! A [`Foreteller`] takes one set of conditions at a time. All share one list of causes, which no
//! condition asked for changes, so that the same drawn set is read under each and what was foretold
//! apart can be joined. Fails as the prediction of the healthy set does; a faulty set that cannot be solved has no reading
//! and is counted.

use rayon::prelude::*;

use crate::bands::Values;
use crate::causes::{self, Cause, shared_causes};
use crate::conditions::BenchConditions;
use crate::expect::{ExpectError, READ_SHARE};
use crate::probes::{Probe, Spot};
use crate::reading::What;
use crate::whole_set::{FaultyWork, Wanted, faulty_courses, whole_readings};
use crate::wiring::{SetModel, Variation};

use super::hypotheses::{Hypotheses, Spread, Suspect};

/// Severities at which a spread fault is solved.
pub const SEVERITIES: usize = 7;
/// Least doubt of any reading beside its share, in its unit (judgement: the last figure that a
/// meter shows).
const LEAST_DOUBT: f64 = 0.02;

/// One hypothesis, solved.
#[derive(Debug, Clone, PartialEq)]
pub struct Faulty {
    /// Severities in the row's unit, from the low end of the law to the high one; one where the
    /// fault is there or not.
    pub severities: Vec<f64>,
    /// How far each probe reads from the healthy set, by severity; `None` where it cannot be
    /// solved.
    pub shifts: Vec<Option<Values>>,
    /// How far the probe that it moves most lies outside, in standard deviations of healthy
    /// sets and meter, by severity.
    pub reach: Vec<f64>,
}

/// What is foretold under one set of conditions.
#[derive(Debug, Clone, PartialEq)]
pub struct Foretold {
    /// The conditions.
    pub conditions: BenchConditions,
    /// What is read.
    pub probes: Vec<Probe>,
    /// Reading of the healthy set by probe.
    pub healthy: Values,
    /// Numbers of the drawn sets: the same number is the same set under all conditions.
    pub draws: Vec<usize>,
    /// Each probe in every drawn healthy set; `None` where it is not told.
    pub drawn: Vec<Option<Vec<f64>>>,
    /// By hypothesis.
    pub faulty: Vec<Faulty>,
    /// Highest momentary volts at the place of each probe, in the healthy set and in any faulty
    /// one; `None` where it reads no place.
    pub peaks: Vec<Option<f64>>,
    /// Work done for the faulty sets.
    pub work: FaultyWork,
}

impl Foretold {
    /// Whether it is of the set with its plug out: cold resistances.
    pub fn is_cold(&self) -> bool {
        let mut probes = self.probes.iter();
        probes.len() > 0 && probes.all(|own| own.what == What::Ohms)
    }
}

/// The severities at which a fault is solved.
pub(super) fn severities_of(spread: Spread) -> Vec<f64> {
    match spread {
        Spread::Once(severity) => vec![severity],
        Spread::Law(law) => (0..SEVERITIES)
            .map(|step| law.at(step as f64 / (SEVERITIES - 1) as f64))
            .collect(),
    }
}

/// What foretells one set of conditions at a time, and the same drawn sets under each.
pub struct Foreteller<'m, 's> {
    model: &'m SetModel<'s>,
    causes: Vec<Cause>,
    severities: Vec<Vec<f64>>,
    /// Each variation, and what has that fault.
    variations: Vec<(Suspect, Variation)>,
}

impl<'m, 's> Foreteller<'m, 's> {
    /// Makes ready what all conditions share.
    pub fn new(model: &'m SetModel<'s>, hypotheses: &Hypotheses) -> Foreteller<'m, 's> {
        let severities: Vec<Vec<f64>> = hypotheses
            .list
            .iter()
            .map(|own| severities_of(own.spread))
            .collect();
        let variations = hypotheses
            .list
            .iter()
            .zip(&severities)
            .flat_map(|(own, severities)| {
                let each = severities.iter();
                each.map(|severity| (own.suspect, own.variation(*severity)))
            })
            .collect();
        Foreteller {
            model,
            causes: shared_causes(model),
            severities,
            variations,
        }
    }

    /// Foretells the probes under these conditions, healthy and with each fault.
    ///
    /// # Errors
    /// Those of [`whole_readings`] for the healthy set.
    pub fn under(
        &self,
        conditions: &BenchConditions,
        probes: &[Probe],
    ) -> Result<Foretold, ExpectError> {
        self.of_some(conditions, probes, &|_| true)
    }

    /// The same for some hypotheses alone, by position: of the others nothing is solved, and
    /// `like`, what is foretold of all under other conditions, tells by how much the others may raise
    /// a place.
    ///
    /// # Errors
    /// Those of [`whole_readings`] for the healthy set.
    pub fn under_for(
        &self,
        conditions: &BenchConditions,
        probes: &[Probe],
        hypotheses: &[usize],
        like: &[Foretold],
    ) -> Result<Foretold, ExpectError> {
        let of = |own: usize| hypotheses.contains(&own);
        let mut told = self.of_some(conditions, probes, &of)?;
        for (number, probe) in probes.iter().enumerate() {
            let same = |own: &Probe| own.spot == probe.spot && own.what == probe.what;
            let raised = like
                .iter()
                .filter_map(|like| {
                    let there = like.probes.iter().position(same)?;
                    Some(raise(there, like.healthy[there], &like.faulty))
                })
                .fold(0.0, f64::max);
            let here = raise(number, told.healthy[number], &told.faulty);
            if let Some(peak) = &mut told.peaks[number] {
                *peak += (raised - here).max(0.0);
            }
        }
        Ok(told)
    }

    fn of_some(
        &self,
        conditions: &BenchConditions,
        probes: &[Probe],
        of: &dyn Fn(usize) -> bool,
    ) -> Result<Foretold, ExpectError> {
        let model = self.model;
        let causes = causes::under(&self.causes, model, conditions);
        let read = whole_readings(model, conditions, probes, &causes, Wanted::Draws)?;
        // What is out of circuit does nothing, whatever it has.
        let mut own = self.variations.iter();
        let mut variations: Vec<Variation> = Vec::new();
        for (number, severities) in self.severities.iter().enumerate() {
            let own = own.by_ref().take(severities.len());
            variations.extend(own.filter(|_| of(number)).map(|(suspect, own)| {
                match suspect.is_out(model, conditions) {
                    true => Variation::none(),
                    false => own.clone(),
                }
            }));
        }
        let found = faulty_courses(model, conditions, &read.set, probes, &variations);
        let healthy = found.healthy;
        let drawn: Vec<Option<Vec<f64>>> = (0..probes.len())
            .map(|probe| read.drawn(probe).map(<[f64]>::to_vec))
            .collect();
        let spreads: Vec<Option<f64>> = drawn
            .iter()
            .zip(&healthy)
            .map(|(drawn, healthy)| spread(drawn.as_deref()?, (*healthy)?))
            .collect();
        let mut values = found.values.into_iter();
        let values: Vec<Vec<Option<Values>>> = self
            .severities
            .iter()
            .enumerate()
            .map(|(number, severities)| match of(number) {
                true => values.by_ref().take(severities.len()).collect(),
                false => vec![None; severities.len()],
            })
            .collect();
        let faulty: Vec<Faulty> = values
            .into_par_iter()
            .zip(&self.severities)
            .map(|(values, severities)| {
                let shifts: Vec<Option<Values>> = values
                    .into_iter()
                    .map(|own| Some(shift(&own?, &healthy)))
                    .collect();
                let reach = shifts.iter().map(|own| reach(own, &spreads)).collect();
                Faulty {
                    severities: severities.clone(),
                    shifts,
                    reach,
                }
            })
            .collect();
        let peaks = peaks(probes, read.set.junction_peaks(), &healthy, &faulty);
        Ok(Foretold {
            peaks,
            conditions: conditions.clone(),
            probes: probes.to_vec(),
            draws: read.kept().to_vec(),
            drawn,
            healthy,
            faulty,
            work: found.work,
        })
    }
}

/// Foretells the probes under each of these conditions, healthy and with each fault.
///
/// # Errors
/// Those of [`Foreteller::under`].
pub fn foretell(
    model: &SetModel<'_>,
    conditions: &[BenchConditions],
    probes: &[Probe],
    hypotheses: &Hypotheses,
) -> Result<Vec<Foretold>, ExpectError> {
    let foreteller = Foreteller::new(model, hypotheses);
    conditions
        .iter()
        .map(|conditions| foreteller.under(conditions, probes))
        .collect()
}

/// Highest momentary volts by probe: those of the healthy cycle, and as many more as a fault
/// raises the mean.
fn peaks(
    probes: &[Probe],
    junctions: &[f64],
    healthy: &Values,
    faulty: &[Faulty],
) -> Vec<Option<f64>> {
    let at = |junction: usize| junctions.get(junction).copied();
    probes
        .par_iter()
        .enumerate()
        .map(|(number, probe)| {
            let peak = match probe.spot {
                Spot::ToChassis(junction) => at(junction)?,
                Spot::Between(one, other) => at(one)? + at(other)?,
                _ => return None,
            };
            let mean = (probe.what == What::DcVolts).then_some(healthy[number]);
            let Some(Some(mean)) = mean else {
                return Some(peak);
            };
            let more = raise(number, Some(mean), faulty);
            Some(peak.max(mean.abs()) + more)
        })
        .collect()
}

/// By how much the faults raise the mean volts of a probe at most, without sign.
fn raise(probe: usize, mean: Option<f64>, faulty: &[Faulty]) -> f64 {
    let Some(mean) = mean else { return 0.0 };
    let shifts = faulty.iter().flat_map(|own| own.shifts.iter().flatten());
    shifts
        .filter_map(|shifts| shifts.get(probe).copied().flatten())
        .map(|shift| (mean + shift).abs() - mean.abs())
        .fold(0.0, f64::max)
}

/// Standard deviation of healthy sets and of a common meter at one probe.
pub(crate) fn spread(drawn: &[f64], healthy: f64) -> Option<f64> {
    let count = drawn.len() as f64;
    let mean = drawn.iter().sum::<f64>() / count;
    let variance = drawn.iter().map(|own| (own - mean).powi(2)).sum::<f64>() / count;
    let meter = READ_SHARE * healthy.abs() + LEAST_DOUBT;
    let spread = (variance + meter * meter).sqrt();
    (spread > 0.0).then_some(spread)
}

fn reach(shifts: &Option<Values>, spreads: &[Option<f64>]) -> f64 {
    let shifts = shifts.iter().flatten();
    shifts
        .zip(spreads)
        .filter_map(|(shift, spread)| Some((*shift)?.abs() / (*spread)?))
        .fold(0.0, f64::max)
}

fn shift(values: &Values, healthy: &Values) -> Values {
    values
        .iter()
        .zip(healthy)
        .map(|(value, healthy)| Some((*value)? - (*healthy)?))
        .collect()
}
