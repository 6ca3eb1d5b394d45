//! What a set foresees under one set of conditions, whole and by itself, so that it can be kept.
//!
//! Units of the readings. It holds every reading with its band, what cannot be told, where a common
//! meter may touch, and for a whole set what each reading is in every drawn set, in steps of a
//! 65,535th of its range: known readings then narrow the bands without solving anything again. The
//! same draws are used whether it was kept or made anew, so the answers are the same. Making it
//! fails as the predictions do; narrowing cannot fail, a known reading at a place that is not
//! foreseen says nothing.

use quantity::Band;

use crate::bands::{DrawnReading, as_read, nine_of_ten};
use crate::conditions::{BenchConditions, KnownReading};
use crate::expect::{ExpectError, Expectation, Foreseen, Predictor, READ_SHARE, READ_VOLTS};
use crate::ohms::cold_ohms_of;
use crate::plan::powered_words::is_safe_to_read;
use crate::probes::{Probe, Spot};
use crate::reading::{Reading, Unknown, What};
use crate::whole_set::{Narrowing, narrow};
use crate::wiring::Variation;

/// One reading in every drawn set: `low + step * count`.
#[derive(Debug, Clone, PartialEq)]
pub struct DrawnColumn {
    /// The least.
    pub low: f64,
    /// A step.
    pub step: f64,
    /// Steps above the least, one a set.
    pub counts: Vec<u16>,
}

impl DrawnColumn {
    fn of(values: &[f64]) -> Option<DrawnColumn> {
        let low = values.iter().copied().fold(f64::INFINITY, f64::min);
        let high = values.iter().copied().fold(f64::NEG_INFINITY, f64::max);
        if !(low.is_finite() && high.is_finite()) {
            return None;
        }
        let step = (high - low) / f64::from(u16::MAX);
        let count = |value: f64| {
            if step > 0.0 {
                ((value - low) / step).round() as u16
            } else {
                0
            }
        };
        Some(DrawnColumn {
            low,
            step,
            counts: values.iter().map(|&value| count(value)).collect(),
        })
    }

    fn values(&self) -> Vec<f64> {
        let value = |count: &u16| self.low + self.step * f64::from(*count);
        self.counts.iter().map(value).collect()
    }
}

/// Kinds of reading whose bands narrow.
const NARROWED: [What; 4] = [
    What::DcVolts,
    What::PlateMilliamps,
    What::ScreenMilliamps,
    What::CathodeMilliamps,
];

/// What a set foresees under one set of conditions.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Foresight {
    /// The readings; what their bands are made of is left out.
    pub readings: Vec<Reading>,
    /// What cannot be told.
    pub unknown: Vec<Unknown>,
    /// Places that a common meter may touch meanwhile.
    pub safe: Vec<String>,
    /// Each reading that was drawn, once for all names of its place.
    pub columns: Vec<DrawnColumn>,
    /// The column of each reading.
    pub column_of: Vec<Option<usize>>,
}

impl Foresight {
    /// Solves a set under these conditions, with the plug in or a d.c. source clipped on.
    ///
    /// # Errors
    /// Those of [`Predictor::expect`].
    pub fn under_power(
        predictor: &Predictor<'_, '_>,
        conditions: &BenchConditions,
    ) -> Result<Foresight, ExpectError> {
        let conditions = with_bands_and_nothing_known(conditions);
        let foreseen = predictor.foresee(&conditions)?;
        Foresight::of_foreseen(predictor, &foreseen, &conditions)
    }

    /// The same without bands and draws: what is told at all, what is not, and where a common meter
    /// may touch.
    ///
    /// # Errors
    /// Those of [`Predictor::expect`].
    pub fn outline(
        predictor: &Predictor<'_, '_>,
        conditions: &BenchConditions,
    ) -> Result<Foresight, ExpectError> {
        let conditions = BenchConditions {
            bands: false,
            ..with_bands_and_nothing_known(conditions)
        };
        let mut own = Foresight::of(predictor.foresee(&conditions)?.with(&[])?);
        own.column_of = vec![None; own.readings.len()];
        own.safe = safe_places(predictor, &conditions, &own.readings);
        Ok(own)
    }

    /// The same of a set that is solved already.
    ///
    /// # Errors
    /// Those of [`Foreseen::with`].
    pub fn of_foreseen(
        predictor: &Predictor<'_, '_>,
        foreseen: &Foreseen<'_, '_, '_>,
        conditions: &BenchConditions,
    ) -> Result<Foresight, ExpectError> {
        let mut own = Foresight::of(foreseen.with(&[])?);
        own.column_of = vec![None; own.readings.len()];
        for (number, reading) in own.readings.iter().enumerate() {
            if !NARROWED.contains(&reading.what) {
                continue;
            }
            let drawn = foreseen.drawn(reading).and_then(DrawnColumn::of);
            let Some(column) = drawn else { continue };
            let known = own.columns.iter().position(|known| *known == column);
            own.column_of[number] = Some(known.unwrap_or_else(|| {
                own.columns.push(column);
                own.columns.len() - 1
            }));
        }
        own.safe = safe_places(predictor, conditions, &own.readings);
        Ok(own)
    }

    /// The cold resistances, the plug out.
    ///
    /// # Errors
    /// Those of [`cold_ohms_of`].
    pub fn cold(
        predictor: &Predictor<'_, '_>,
        conditions: &BenchConditions,
    ) -> Result<Foresight, ExpectError> {
        let conditions = with_bands_and_nothing_known(conditions);
        let mut own = Foresight::of(cold_ohms_of(predictor.model, &conditions)?);
        own.column_of = vec![None; own.readings.len()];
        Ok(own)
    }

    fn of(mut expectation: Expectation) -> Foresight {
        for reading in &mut expectation.readings {
            // What a band is made of is told by the prediction itself.
            reading.band.made_of.clear();
        }
        Foresight {
            readings: expectation.readings,
            unknown: expectation.unknown,
            ..Foresight::default()
        }
    }

    /// Whether known readings narrow it.
    pub fn narrows(&self) -> bool {
        !self.columns.is_empty()
    }

    /// The readings, narrowed by those that are known.
    pub fn with(&self, known: &[KnownReading]) -> Vec<Reading> {
        let known: Vec<Narrowing> = known.iter().filter_map(|known| self.at(known)).collect();
        if known.is_empty() {
            return self.readings.clone();
        }
        let mut columns: Vec<Option<DrawnReading>> = self
            .columns
            .iter()
            .map(|column| Some((column.values(), Vec::new())))
            .collect();
        for known in &known {
            narrow(&mut columns, known);
        }
        let bands: Vec<Option<(f64, f64, f64)>> = columns
            .into_iter()
            .map(|column| {
                let (mut values, _) = column?;
                let mean = values.iter().sum::<f64>() / values.len().max(1) as f64;
                let (low, high) = nine_of_ten(&mut values);
                Some((low.min(mean), mean, high.max(mean)))
            })
            .collect();
        let narrowed = |reading: &Reading, column: Option<usize>| {
            let (low, expected, high) = bands.get(column?).copied().flatten()?;
            let band = Band::new::<String>(low, expected, high, []).ok()?;
            Some(as_read(band, reading.what))
        };
        self.readings
            .iter()
            .zip(&self.column_of)
            .map(|(reading, column)| match narrowed(reading, *column) {
                Some(band) => Reading {
                    band,
                    ..reading.clone()
                },
                None => reading.clone(),
            })
            .collect()
    }

    fn at(&self, known: &KnownReading) -> Option<Narrowing> {
        let place = self.readings.iter().position(|reading| {
            reading.what == What::DcVolts
                && reading.to.as_deref().is_none_or(|to| to == "chassis")
                && reading.at.eq_ignore_ascii_case(&known.place)
        })?;
        Some(Narrowing {
            probe: self.column_of.get(place).copied().flatten()?,
            value: known.volts,
            sigma: READ_SHARE * known.volts.abs() + READ_VOLTS,
        })
    }
}

fn with_bands_and_nothing_known(conditions: &BenchConditions) -> BenchConditions {
    BenchConditions {
        bands: true,
        known: Vec::new(),
        ..conditions.clone()
    }
}

/// Places whose d.c. volts a common meter may read.
fn safe_places(
    predictor: &Predictor<'_, '_>,
    conditions: &BenchConditions,
    readings: &[Reading],
) -> Vec<String> {
    let model = predictor.model;
    if conditions.direct_source.is_some() {
        return Vec::new();
    }
    let Ok(solved) = predictor.solve(conditions, &Variation::none(), &[], None) else {
        return Vec::new();
    };
    let is_safe = |reading: &&Reading| {
        let junction = model
            .places
            .find(&reading.at)
            .ok()
            .and_then(|place| model.junction(place));
        junction.is_some_and(|junction| {
            let probe = Probe {
                at: reading.at.clone(),
                to: None,
                what: What::DcVolts,
                spot: Spot::ToChassis(junction),
            };
            is_safe_to_read(model, &probe, &solved.junction_peaks)
        })
    };
    let direct = readings.iter().filter(|reading| {
        reading.what == What::DcVolts && reading.to.as_deref().is_none_or(|to| to == "chassis")
    });
    direct.filter(is_safe).map(|own| own.at.clone()).collect()
}
