//! One way of running a set, solved and read: B+, heaters, line current.
//!
//! Volts, amperes, watts; heaters as shares of their rated volts. Source: the supply's own cycle, with what the stages
//! draw at the maker's B+. A place or part that the set has not gives no reader; fails when no settled state is found.

use parts::todays_parts;

use crate::conditions::BenchConditions;
use crate::expect::{ExpectError, Predictor};
use crate::probes::{Probe, Spot};
use crate::reading::What;
use crate::wiring::Variation;

use super::right_part::at_least;
use super::silicon::Run;

/// A set made ready, and what is read of it.
pub(super) struct Reader<'p, 'm, 's> {
    predictor: &'p Predictor<'m, 's>,
    probes: Vec<Probe>,
    heaters: Vec<(Probe, f64)>,
}

/// What was read of one run.
pub(super) struct Found {
    pub b_plus: f64,
    pub line_amperes: f64,
    pub heaters: Option<(f64, f64)>,
    /// Heat of the parts that were named, watts.
    pub watts: Vec<f64>,
    /// Their mean currents, amperes.
    pub amperes: Vec<f64>,
}

impl<'p, 'm, 's> Reader<'p, 'm, 's> {
    /// B+ at the junction of a place, the line's current, heaters, and the heat of parts by their references.
    pub fn new(
        predictor: &'p Predictor<'m, 's>,
        place: &str,
        watts_of: &[String],
    ) -> Option<Reader<'p, 'm, 's>> {
        let model = predictor.model;
        let place = model.places.find(place).ok()?.clone();
        let probe = |at: &str, what, spot| Probe {
            at: at.to_owned(),
            to: None,
            what,
            spot,
        };
        let junction = model.junction(&place)?;
        let mut probes = vec![
            probe("B+", What::DcVolts, Spot::ToChassis(junction)),
            probe("line", What::LineAmpsRms, Spot::Line),
        ];
        for name in watts_of {
            let part = model.part_index(name)?;
            probes.push(probe(name, What::PartWatts, Spot::Part(part)));
            probes.push(probe(name, What::PartMilliamps, Spot::Part(part)));
        }
        let heaters = model
            .sheet
            .tubes
            .iter()
            .enumerate()
            .filter(|(tube, _)| model.is_heated(*tube))
            .filter_map(|(tube, own)| {
                let rated = own.kind.heater.as_ref()?.volts;
                let probe = probe(&own.reference, What::HeaterVoltsRms, Spot::Heater(tube));
                Some((probe, rated))
            })
            .collect();
        Some(Reader {
            predictor,
            probes,
            heaters,
        })
    }

    pub fn read(
        &self,
        conditions: &BenchConditions,
        variation: &Variation,
    ) -> Result<Found, ExpectError> {
        let mut probes = self.probes.clone();
        probes.extend(self.heaters.iter().map(|own| own.0.clone()));
        // What the stages draw at the maker's B+ is known; B+ comes out near it.
        let solved = self.predictor.solve(conditions, variation, &probes, None)?;
        let values = solved.values;
        let value = |at: usize| values.get(at).copied().flatten().unwrap_or(0.0);
        let count = self.probes.len();
        let mut heaters: Option<(f64, f64)> = None;
        for (at, (_, rated)) in self.heaters.iter().enumerate() {
            if let Some(Some(volts)) = values.get(count + at) {
                let share = volts / rated;
                heaters = Some(match heaters {
                    Some((low, high)) => (low.min(share), high.max(share)),
                    None => (share, share),
                });
            }
        }
        Ok(Found {
            b_plus: value(0),
            line_amperes: value(1),
            heaters,
            watts: (2..count).step_by(2).map(value).collect(),
            amperes: (3..count)
                .step_by(2)
                .map(|at| value(at).abs() / 1e3)
                .collect(),
        })
    }
}

/// The set on a line of these volts, settled.
pub(super) fn at(line: f64) -> BenchConditions {
    BenchConditions {
        line_volts: Some(line),
        ..BenchConditions::default()
    }
}

/// A run of these figures.
pub(super) fn run(name: &str, line: f64, found: &Found, remarks: Vec<String>) -> Run {
    Run {
        name: name.to_owned(),
        line_volts: line,
        b_plus: found.b_plus,
        heaters: found.heaters,
        line_amperes: found.line_amperes,
        surge_amperes: None,
        remarks,
    }
}

/// The value between two ends at which `off` vanishes: regula falsi with the halving of a stuck end.
pub(super) fn root(
    off: impl Fn(f64) -> Result<f64, ExpectError>,
    low: f64,
    high: f64,
    near: f64,
) -> Result<f64, ExpectError> {
    let (mut low, mut high) = (low, high);
    let (mut at_low, mut at_high) = (off(low)?, off(high)?);
    for _ in 0..40 {
        let middle = low + (high - low) * at_low / (at_low - at_high);
        let value = off(middle)?;
        if value.abs() <= near || (high - low) < 1e-3 {
            return Ok(middle);
        }
        if (value > 0.0) == (at_low > 0.0) {
            (low, at_low) = (middle, value);
            at_high *= 0.5;
        } else {
            (high, at_high) = (middle, value);
            at_low *= 0.5;
        }
    }
    Ok(0.5 * (low + high))
}

/// The next wattage in which wire-wound resistors are made today, by `data/todays_parts.csv`; `None` beyond the largest.
pub(super) fn rated(watts: f64) -> Option<f64> {
    let row = todays_parts().ok()?.kind("wire-wound")?;
    at_least(&row.ratings, watts)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The ratings are those of the row; a heat beyond the largest has none.
    #[test]
    fn wattages_are_those_of_the_table() {
        let today = todays_parts().expect("sound figures");
        let made = &today.kind("wire-wound").expect("a row").ratings;
        for pair in made.windows(2) {
            assert_eq!(rated(pair[0]), Some(pair[0]));
            assert_eq!(rated(1.01 * pair[0]), Some(pair[1]));
        }
        assert_eq!(rated(0.01), made.first().copied());
        assert_eq!(rated(1.01 * made[made.len() - 1]), None);
        assert_eq!(rated(f64::NAN), None);
    }
}
