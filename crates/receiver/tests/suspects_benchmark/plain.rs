//! The plain method: the place that is farthest from the maker's chart, and the parts there.
//!
//! As a sensible technician does it without calculation (common practice): a reading is off by what lies beyond the
//! chart, counted in its usual tolerance of a fifth; the parts at the place that is off most come first, those that fail
//! most often before the others; then those at the next place. He may read as many places as the search measures, or
//! the whole chart.

use receiver::practice::answers::HiddenBench;
use receiver::probes::Spot;
use receiver::suspects::hypotheses::Suspect;

use crate::bench::Bench;
use crate::cases::Case;
use crate::way::begun;

/// Tolerance of a chart (common practice), and volts below which nothing is told.
const SHARE: f64 = 0.2;
const LEAST: f64 = 0.5;

impl Bench<'_, '_> {
    /// Probes of the chart's rows with its volts, in its order.
    pub fn chart(&self) -> Vec<(usize, f64)> {
        let chart = self.model.sheet.chart.as_ref().expect("a chart");
        let probe = |at: &str| {
            self.probes().iter().position(|own| {
                own.what == receiver::reading::What::DcVolts
                    && own.at.split('/').any(|own| own.trim() == at)
            })
        };
        let rows = chart.volts.iter();
        rows.filter_map(|row| Some((probe(&row.at.to_string())?, row.value)))
            .collect()
    }

    /// The chart in the order of a technician without a clue: lines first, then the highest place of each tube, then
    /// all others.
    fn by_importance(&self) -> Vec<(usize, f64)> {
        let mut rows = self.chart();
        let tube = |probe: usize| -> Option<String> {
            let at = &self.probes()[probe].at;
            let (tube, _) = at.split_once('.')?;
            tube.starts_with('V').then(|| tube.to_owned())
        };
        let rank = |row: &(usize, f64)| match tube(row.0) {
            None => 0,
            Some(own) => {
                let same = self.chart();
                let most = same
                    .iter()
                    .filter(|other| tube(other.0).as_ref() == Some(&own))
                    .map(|other| other.1.abs())
                    .fold(0.0, f64::max);
                if row.1.abs() >= most { 1 } else { 2 }
            }
        };
        rows.sort_by_key(|row| rank(row));
        rows
    }

    /// Place of the first faulty part, by so many readings.
    pub fn plain(&self, case: &Case, readings: usize) -> Option<usize> {
        let truth = self.truth_of(&case.hidden);
        let meter = HiddenBench::new(case.seed, true);
        // He knows the place that was found out too, if the chart has it.
        let mut rows = self.by_importance();
        if let Some(begun) = begun(case) {
            rows.sort_by_key(|row| row.0 != begun);
        }
        let mut off: Vec<(f64, usize)> = rows
            .into_iter()
            .filter_map(|(probe, volts)| {
                let read = self.read(&meter, &truth, probe)?;
                let off = (read.value - volts).abs() / (SHARE * volts.abs() + LEAST);
                Some((off, probe))
            })
            .take(readings)
            .collect();
        off.sort_by(|a, b| b.0.total_cmp(&a.0));
        let mut order: Vec<Suspect> = Vec::new();
        for (_, probe) in off {
            for own in self.at_place(probe) {
                if !order.contains(&own) {
                    order.push(own);
                }
            }
        }
        let wanted = case.hidden.faults.first()?.suspect;
        order.iter().position(|own| *own == wanted).map(|at| at + 1)
    }

    /// Parts at a place, the likeliest to fail first.
    fn at_place(&self, probe: usize) -> Vec<Suspect> {
        let Spot::ToChassis(junction) = self.probes()[probe].spot else {
            return Vec::new();
        };
        let mut found: Vec<(f64, Suspect)> = Vec::new();
        let sheet = self.model.sheet;
        let chance = |suspect: Suspect| {
            let own = self.hypotheses.of_suspect(suspect);
            own.map(|own| own.chance).sum::<f64>()
        };
        for part in 0..sheet.parts.len() {
            let own = &sheet.parts[part];
            let ends = [Some(&own.from), Some(&own.to), own.third.as_ref()];
            let mut ends = ends.into_iter().flatten();
            if ends.any(|place| self.model.junction(place) == Some(junction)) {
                found.push((chance(Suspect::Part(part)), Suspect::Part(part)));
            }
        }
        for stage in &self.model.stages.complete {
            if stage.junctions().any(|own| own == junction) {
                found.push((chance(Suspect::Tube(stage.tube)), Suspect::Tube(stage.tube)));
            }
        }
        found.sort_by(|one, other| other.0.total_cmp(&one.0));
        found.into_iter().map(|own| own.1).collect()
    }
}
