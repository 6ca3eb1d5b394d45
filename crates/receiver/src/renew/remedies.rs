//! What helps a set of silicon against a line that is higher than the maker's: each remedy solved.
//!
//! Volts, ohms, watts, amperes. A bucking transformer takes its winding's volts off the line and adds its copper; a dropping
//! resistor ahead of the whole set takes what the set's own current makes; a thermistor there is cold at switch-on and hot
//! afterwards. With each of the first two the resistor behind the rectifiers is worked out anew, for the line that is then
//! left. Copper of a small transformer is judgement. A remedy that finds no settled state, or no value, is left out.

use parts::Catalogue;
use quantity::Series;

use crate::conditions::BenchConditions;
use crate::expect::{ExpectError, Predictor};
use crate::sheet::{PartValue, Sheet};
use crate::wiring::{SetModel, Variation};

use super::altered::{with_ahead, with_silicon};
use super::burden::supply_burdens;
use super::silicon::{Fitted, SiliconPlan};
use super::solved_run::{Found, Reader, at, rated, root, run};

/// Windings that bucking transformers are made with, volts (common practice).
const BUCKING_VOLTS: [f64; 4] = [5.0, 6.3, 10.0, 12.6];
/// Copper of a small transformer's winding, as a share of its volts at full current (judgement).
const BUCKING_COPPER: f64 = 0.1;
/// Current of a thermistor's row over the set's, at least (common practice).
const THERMISTOR_MARGIN: f64 = 1.3;
/// Most ohms ahead of a set that are tried.
const MOST_AHEAD: f64 = 60.0;
/// Times that the two resistors are worked out in turn.
const TURNS: usize = 3;
/// A line less than this above the maker's needs no remedy, volts.
const LEAST_EXCESS: f64 = 0.5;

impl SiliconPlan {
    /// Solves each remedy.
    ///
    /// # Errors
    /// Those of [`Predictor::solve`] for the set with its silicon.
    pub(super) fn remedies(
        &mut self,
        catalogue: &Catalogue,
        fitted: &Fitted<'_, '_, '_>,
        given: (&SetModel<'_>, &[usize]),
    ) -> Result<(), ExpectError> {
        let ohms = self
            .resistor
            .as_ref()
            .map_or(fitted.least_ohms, |own| own.each_ohms);
        let now = fitted
            .reader
            .read(&at(self.line_volts), &fitted.with(ohms))?;
        if self.line_volts - self.makers_line >= LEAST_EXCESS {
            self.bucking(fitted, now.line_amperes)?;
            self.dropping(fitted)?;
        }
        let (model, parts) = given;
        let Some(diode) = self.diode.as_ref().map(|own| own.name.clone()) else {
            return Ok(());
        };
        let silicon = with_silicon(model.sheet, parts, &diode, ohms);
        self.thermistor(catalogue, &silicon, model, now.line_amperes)
    }

    /// The resistor in series with each rectifier that belongs to these conditions, and what is then read.
    fn with_own_resistor(
        &self,
        fitted: &Fitted<'_, '_, '_>,
        conditions: &BenchConditions,
    ) -> Result<(Option<f64>, Found), ExpectError> {
        let exact = fitted.ohms_for(conditions, self.wanted_volts)?;
        let each = exact.map(|exact| Series::E24.nearest(exact).unwrap_or(exact));
        let found = fitted
            .reader
            .read(conditions, &fitted.with(each.unwrap_or(fitted.least_ohms)))?;
        Ok((each, found))
    }

    fn bucking(&mut self, fitted: &Fitted<'_, '_, '_>, amperes: f64) -> Result<(), ExpectError> {
        let excess = self.line_volts - self.makers_line;
        let away = |volts: &f64| (excess - volts).abs();
        let Some(volts) = BUCKING_VOLTS
            .into_iter()
            .min_by(|one, other| away(one).total_cmp(&away(other)))
        else {
            return Ok(());
        };
        let conditions = BenchConditions {
            source_ohms: BUCKING_COPPER * volts / amperes.max(0.1),
            ..at(self.line_volts - volts)
        };
        let (each, found) = self.with_own_resistor(fitted, &conditions)?;
        let remarks = vec![
            series_words(each),
            format!(
                "a winding of {volts} V against the line, for {:.1} A or more, its primary across the line, both behind the set's fuse; if the set comes out higher the winding is the wrong way round",
                1.25 * found.line_amperes
            ),
        ];
        self.runs
            .push(run("bucking transformer", self.line_volts, &found, remarks));
        Ok(())
    }

    /// A resistor ahead of the whole set that brings the heaters back, or B+ where nothing is heated from the line.
    fn dropping(&mut self, fitted: &Fitted<'_, '_, '_>) -> Result<(), ExpectError> {
        let Some(makers) = self.runs.first().cloned() else {
            return Ok(());
        };
        let line = self.line_volts;
        let conditions = |ohms: f64| BenchConditions {
            source_ohms: ohms,
            ..at(line)
        };
        let mut series = self
            .resistor
            .as_ref()
            .map_or(fitted.least_ohms, |own| own.each_ohms);
        let mut ahead = 0.0;
        for _ in 0..TURNS {
            let off = |ohms: f64| -> Result<f64, ExpectError> {
                let found = fitted
                    .reader
                    .read(&conditions(ohms), &fitted.with(series))?;
                Ok(match (found.heaters, makers.heaters) {
                    (Some((_, own)), Some((_, wanted))) => own - wanted,
                    _ => found.line_amperes * ohms - (makers.line_volts - line).abs(),
                })
            };
            if off(0.0)? * off(MOST_AHEAD)? >= 0.0 {
                return Ok(());
            }
            ahead = root(off, 0.0, MOST_AHEAD, 1e-4)?;
            series = fitted
                .ohms_for(&conditions(ahead), self.wanted_volts)?
                .unwrap_or(fitted.least_ohms);
        }
        let ohms = Series::E24.nearest(ahead).unwrap_or(ahead);
        let (each, found) = self.with_own_resistor(fitted, &conditions(ohms))?;
        let watts = ohms * found.line_amperes * found.line_amperes;
        let remarks = vec![
            series_words(each),
            format!(
                "{ohms} ohm ahead of the whole set makes {watts:.0} W of heat: {}, clear of wood, wax and cord; right at this load only",
                match rated(2.0 * watts) {
                    Some(rated) => format!("wire-wound of {rated:.0} W"),
                    None => format!(
                        "wire-wound of {:.0} W in all, several that share the ohms since no single one is usual",
                        2.0 * watts
                    ),
                }
            ),
        ];
        self.runs.push(run(
            "dropping resistor ahead of the set",
            line,
            &found,
            remarks,
        ));
        Ok(())
    }

    fn thermistor(
        &mut self,
        catalogue: &Catalogue,
        silicon: &Sheet,
        given: &SetModel<'_>,
        amperes: f64,
    ) -> Result<(), ExpectError> {
        let enough = |own: &&parts::ThermistorType| {
            let rated = own.rated_milliamperes.unwrap_or(0.0) / 1e3;
            rated >= THERMISTOR_MARGIN * amperes
                && own.cold_ohms.is_some()
                && own.hot_ohms.is_some()
        };
        let cold = |own: &parts::ThermistorType| own.cold_ohms.unwrap_or(0.0);
        let rows = catalogue.thermistors().iter().filter(enough);
        let Some(row) = rows.max_by(|one, other| cold(one).total_cmp(&cold(other))) else {
            return Ok(());
        };
        let value = PartValue::Thermistor {
            kind: Some(row.name.clone()),
            cold_ohms: row.cold_ohms,
            hot_ohms: row.hot_ohms,
            amperes: row.rated_milliamperes.map(|own| own / 1e3),
        };
        let sheet = with_ahead(silicon, "thermistor", value);
        let model = SetModel::new(&sheet, catalogue);
        model.take_loads(given);
        let predictor = Predictor::new(&model);
        let Some(reader) = Reader::new(&predictor, &self.place, &[]) else {
            return Ok(());
        };
        let line = self.line_volts;
        let found = reader.read(&at(line), &Variation::none())?;
        let surge = |all: &[super::burden::Burden]| {
            let own = all.iter().filter_map(|own| own.surge_amperes.as_ref());
            own.map(|own| own.value).fold(0.0, f64::max)
        };
        let with = surge(&supply_burdens(&predictor, line)?.ways);
        let fitted = self.runs.iter().find(|own| own.surge_amperes.is_some());
        let (before, plus) = match fitted {
            Some(own) => (own.surge_amperes.unwrap_or(0.0), own.b_plus),
            None => (0.0, found.b_plus),
        };
        let remarks = vec![format!(
            "{}, {} ohm cold: the first surge falls from {before:.1} to {with:.1} A, B+ by {:.0} V only. It helps the switch-on; warm again at once, as after a short break of the line, it helps nothing",
            row.name,
            cold(row),
            plus.abs() - found.b_plus.abs()
        )];
        let mut own = run("thermistor ahead of the set", line, &found, remarks);
        own.surge_amperes = Some(with);
        self.runs.push(own);
        Ok(())
    }
}

fn series_words(each: Option<f64>) -> String {
    match each {
        Some(each) => format!("with {each} ohm in series with each rectifier"),
        None => "with no resistor behind the rectifiers but what the surge asks for".to_owned(),
    }
}
