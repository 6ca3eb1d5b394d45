//! From selenium to silicon: the resistor that keeps B+, what today's line does, and what helps against it.
//!
//! Ohms, volts, watts, amperes. The set is solved with good selenium at the maker's line: that B+ is wanted. It is then
//! solved with silicon and a resistor in series with each rectifier at the line of today, and the resistor found at
//! which B+ comes out the same. Each remedy against a higher line is a set of its own: a bucking transformer (less
//! line, and its copper), a dropping resistor ahead of the set, a thermistor there. Figures of the diodes: their rows in
//! data/metal_rectifiers_silicon.csv, used at half their rated current and two thirds of their inverse volts (common
//! practice). A set without selenium has no such plan; one that finds no settled state fails with the evidence.

use std::collections::HashMap;

use parts::{Catalogue, SiliconType};
use quantity::Series;

use crate::conditions::BenchConditions;
use crate::expect::{ExpectError, Predictor};
use crate::sheet::PartValue;
use crate::wiring::{Figure, SetModel, Variation};

use super::altered::{series_name, with_silicon};
use super::burden::{Burden, supply_burdens};
pub use super::selenium_groups::{Circuit, groups};

use super::selenium_groups::circuit_of;
use super::solved_run::{Reader, at, rated, root, run};

/// Diodes that are thought of, the smaller first.
const DIODES: [&str; 2] = ["1N4007", "1N5408"];
/// Share of a diode's rated current that is used (its row: derate by a fifth for capacitors; then half, judgement).
const CURRENT_SHARE: f64 = 0.5;
/// Share of its inverse volts.
const INVERSE_SHARE: f64 = 2.0 / 3.0;
/// Ohms with which the search begins; the resistor's factor is moved from there.
const FIRST_OHMS: f64 = 10.0;
/// Ohms that stand for no resistor.
const LEAST_OHMS: f64 = 0.05;
/// Most ohms that are tried in series with one rectifier.
const MOST_OHMS: f64 = 300.0;
/// How near B+ must come, as a share.
const NEAR: f64 = 5e-4;
/// Watts of the resistor over the heat in it (trade rule of the table: three times).
const WATTS_MARGIN: f64 = 3.0;

/// The resistor.
#[derive(Debug, Clone, PartialEq)]
pub struct SeriesResistor {
    /// Ohms in series with each rectifier at which B+ is that of the maker.
    pub exact_ohms: f64,
    /// The member of the series taken for it.
    pub each_ohms: f64,
    /// Heat in each, watts.
    pub each_watts: f64,
    /// One in the common lead instead: ohms and watts.
    pub common: Option<(f64, f64)>,
    /// What the plain rule gives: the difference of the drops over the direct current.
    pub rule_ohms: Option<f64>,
    /// Rated watts to ask for, of each: a wattage that is made, or what it must stand where no single one does.
    pub rated_watts: f64,
}

/// One way of running the set, solved.
#[derive(Debug, Clone, PartialEq)]
pub struct Run {
    /// What it is, in a few words.
    pub name: String,
    /// Line at the wall, volts.
    pub line_volts: f64,
    /// B+ at the place.
    pub b_plus: f64,
    /// Lowest and highest heater volts over rated ones; `None` where the sheet heats nothing from the line.
    pub heaters: Option<(f64, f64)>,
    /// Line current, amperes rms.
    pub line_amperes: f64,
    /// Highest current of a rectifier in the first cycles, amperes; `None` where that was not solved.
    pub surge_amperes: Option<f64>,
    /// What is to be said of it.
    pub remarks: Vec<String>,
}

/// What becomes of one group of selenium.
#[derive(Debug, Clone, PartialEq)]
pub struct SiliconPlan {
    /// The rectifiers.
    pub references: Vec<String>,
    /// How they work together.
    pub circuit: Circuit,
    /// Where B+ is measured.
    pub place: String,
    /// B+ of the maker's set.
    pub wanted_volts: f64,
    /// The maker's line.
    pub makers_line: f64,
    /// The line for which the resistor is worked out.
    pub line_volts: f64,
    /// The resistor; `None` where B+ stays too high or too low whatever it is.
    pub resistor: Option<SeriesResistor>,
    /// The diode, by its row.
    pub diode: Option<SiliconType>,
    /// What each diode bears with the resistor: the worst of all.
    pub burden: Burden,
    /// The ways of running the set.
    pub runs: Vec<Run>,
    /// What must be said besides.
    pub notices: Vec<String>,
}

/// What becomes of each group of selenium at a line of these volts, or at that measured at the outlet, or 120 V.
///
/// # Errors
/// Those of [`Predictor::expect`] for the maker's set.
pub fn silicon_plans(
    predictor: &Predictor<'_, '_>,
    catalogue: &Catalogue,
    line_volts: f64,
) -> Result<Vec<SiliconPlan>, ExpectError> {
    groups(predictor.model)
        .into_iter()
        .map(|parts| plan_of(predictor, catalogue, &parts, line_volts))
        .collect()
}

/// The line of today: measured at the outlet, else the usual one of the trade table.
#[must_use]
pub fn line_of_today(model: &SetModel<'_>, catalogue: &Catalogue) -> f64 {
    let measured = model.sheet.bench.as_ref().and_then(|own| own.line_volts);
    let usual = catalogue.trade_number("line today").map(|own| own.typical);
    match (measured, usual) {
        (Some(measured), _) => measured,
        (None, Some(usual)) if (105.0..130.0).contains(&model.sheet.line_volts) => usual,
        _ => model.sheet.line_volts,
    }
}

/// The place where the B+ of a group is measured: the junction with the highest volts among the + ends.
fn output_of(
    predictor: &Predictor<'_, '_>,
    parts: &[usize],
    conditions: &BenchConditions,
) -> Result<String, ExpectError> {
    let model = predictor.model;
    let solved = predictor.solve(conditions, &Variation::none(), &[], None)?;
    let ends = parts
        .iter()
        .flat_map(|&part| model.part_ends[part][..2].iter().flatten());
    let volts = |junction: &usize| {
        solved
            .junction_volts
            .get(*junction)
            .map_or(0.0, |own| own.abs())
    };
    let best = ends
        .copied()
        .filter(|junction| Some(*junction) != model.chassis)
        .max_by(|one, other| volts(one).total_cmp(&volts(other)));
    Ok(best.map_or_else(String::new, |junction| model.junction_name(junction)))
}

fn plan_of(
    predictor: &Predictor<'_, '_>,
    catalogue: &Catalogue,
    parts: &[usize],
    line: f64,
) -> Result<SiliconPlan, ExpectError> {
    let model = predictor.model;
    let sheet = model.sheet;
    let makers_line = sheet.line_volts;
    let place = output_of(predictor, parts, &at(makers_line))?;
    let none = Variation::none();
    let references: Vec<String> = parts
        .iter()
        .map(|&part| sheet.parts[part].reference.clone())
        .collect();
    let mut plan = SiliconPlan {
        references: references.clone(),
        circuit: circuit_of(model, parts),
        place: place.clone(),
        wanted_volts: 0.0,
        makers_line,
        line_volts: line,
        resistor: None,
        diode: None,
        burden: Burden::default(),
        runs: Vec::new(),
        notices: Vec::new(),
    };
    let Some(reader) = Reader::new(predictor, &place, &[]) else {
        plan.notices
            .push("its + end is no place of the sheet".to_owned());
        return Ok(plan);
    };
    let top = model.todays_line();
    for &part in parts {
        let PartValue::Selenium {
            plates,
            milliamperes,
        } = sheet.parts[part].value
        else {
            continue;
        };
        let rated = catalogue
            .selenium(plates, milliamperes)
            .and_then(|own| own.max_input_volts_rms);
        // In a bridge two stand in series against the line.
        let share = if plan.circuit == Circuit::Bridge {
            0.5
        } else {
            1.0
        };
        if let Some(rated) = rated
            && share * top > rated
        {
            plan.notices.push(format!(
                "{} is rated for {rated:.0} V of input (26 V a plate); today's line reaches {top:.0}",
                sheet.parts[part].reference
            ));
        }
    }
    let makers = reader.read(&at(makers_line), &none)?;
    plan.wanted_volts = makers.b_plus;
    plan.runs.push(run(
        "good selenium, maker's line",
        makers_line,
        &makers,
        Vec::new(),
    ));
    let higher = (line - makers_line).abs() >= 0.5;
    if higher {
        let now = reader.read(&at(line), &none)?;
        plan.runs
            .push(run("good selenium, today's line", line, &now, Vec::new()));
    }
    let kept = plan.notices.len();
    for kind in DIODES {
        let Some(diode) = catalogue.silicon(kind) else {
            continue;
        };
        let altered = with_silicon(sheet, parts, &diode.name, FIRST_OHMS);
        let own = SetModel::new(&altered, catalogue);
        own.take_loads(model);
        let own_predictor = Predictor::new(&own);
        let names: Vec<String> = references.iter().map(|own| series_name(own)).collect();
        let Some(reader) = Reader::new(&own_predictor, &place, &names) else {
            continue;
        };
        let series = names
            .iter()
            .filter_map(|name| own.part_index(name))
            .collect();
        let fitted = Fitted {
            reader,
            series,
            least_ohms: LEAST_OHMS,
        };
        plan.diode = Some(diode.clone());
        plan.runs.truncate(if higher { 2 } else { 1 });
        plan.notices.truncate(kept);
        plan.work_out_resistor(&fitted, (model, parts), catalogue)?;
        plan.see_what_diodes_bear((model, parts), catalogue, diode)?;
        let last = kind == DIODES[DIODES.len() - 1];
        if last || plan.bears(diode) {
            if !plan.bears(diode) {
                plan.notices.push(format!(
                    "even {kind} is beyond its rating here: the surge resistor must be larger, or the circuit is another than the sheet says"
                ));
            }
            plan.remedies(catalogue, &fitted, (model, parts))?;
            break;
        }
    }
    Ok(plan)
}

/// The set with silicon and a resistor in series with each, whose ohms can be moved.
pub(super) struct Fitted<'p, 'm, 's> {
    /// What is read of it.
    pub reader: Reader<'p, 'm, 's>,
    /// Positions of the resistors.
    series: Vec<usize>,
    /// Ohms that stand for no resistor.
    pub least_ohms: f64,
}

impl Fitted<'_, '_, '_> {
    /// So many ohms in series with each rectifier.
    pub fn with(&self, ohms: f64) -> Variation {
        let mut variation = Variation::none();
        for &part in &self.series {
            variation.set(Figure::Ohms(part), ohms / FIRST_OHMS);
        }
        variation
    }

    /// The ohms at which B+ is as wanted; `None` where no resistor is needed or none is enough.
    pub fn ohms_for(
        &self,
        conditions: &BenchConditions,
        wanted: f64,
    ) -> Result<Option<f64>, ExpectError> {
        let wanted = wanted.abs();
        let off = |ohms: f64| -> Result<f64, ExpectError> {
            let found = self.reader.read(conditions, &self.with(ohms))?;
            Ok(found.b_plus.abs() - wanted)
        };
        if off(self.least_ohms)? <= 0.0 || off(MOST_OHMS)? >= 0.0 {
            return Ok(None);
        }
        root(off, self.least_ohms, MOST_OHMS, wanted * NEAR).map(Some)
    }
}

impl SiliconPlan {
    /// The resistor for the line of today.
    fn work_out_resistor(
        &mut self,
        fitted: &Fitted<'_, '_, '_>,
        (model, parts): (&SetModel<'_>, &[usize]),
        catalogue: &Catalogue,
    ) -> Result<(), ExpectError> {
        let line = self.line_volts;
        let bare = fitted
            .reader
            .read(&at(line), &fitted.with(fitted.least_ohms))?;
        self.runs
            .push(run("silicon without resistor", line, &bare, Vec::new()));
        self.resistor = None;
        let Some(exact) = fitted.ohms_for(&at(line), self.wanted_volts)? else {
            self.notices.push(if bare.b_plus.abs() <= self.wanted_volts.abs() {
                "even bare silicon gives no more than the maker's B+ here: no resistor is needed for the volts, only against the surge"
                    .to_owned()
            } else {
                format!(
                    "B+ stays above the maker's even with {MOST_OHMS:.0} ohm in series: look at the load of the supply first"
                )
            });
            return Ok(());
        };
        let each = Series::E24.nearest(exact).unwrap_or(exact);
        let found = fitted.reader.read(&at(line), &fitted.with(each))?;
        let each_watts = found.watts.iter().copied().fold(0.0, f64::max);
        let need = WATTS_MARGIN * each_watts;
        self.runs
            .push(run("silicon with its resistor", line, &found, Vec::new()));
        let drops = parts
            .iter()
            .filter_map(|&part| good_drop(model, catalogue, part));
        let drop = drops.reduce(f64::max);
        let mean = found
            .amperes
            .iter()
            .copied()
            .reduce(f64::max)
            .filter(|own| *own > 0.0);
        self.resistor = Some(SeriesResistor {
            exact_ohms: exact,
            each_ohms: each,
            each_watts,
            common: self.circuit.common().map(|(ohms, watts)| {
                let ohms = ohms * exact;
                (
                    Series::E24.nearest(ohms).unwrap_or(ohms),
                    watts * each_watts,
                )
            }),
            rule_ohms: drop.zip(mean).map(|(drop, mean)| (drop - 1.0) / mean),
            rated_watts: rated(need).unwrap_or(need),
        });
        if rated(need).is_none() {
            self.notices.push(format!(
                "no single wire-wound resistor of {need:.0} W is usual today: several share the ohms and the heat"
            ));
        }
        Ok(())
    }

    /// What each diode bears at the top of the line, with the resistor as it is.
    fn see_what_diodes_bear(
        &mut self,
        (model, parts): (&SetModel<'_>, &[usize]),
        catalogue: &Catalogue,
        diode: &SiliconType,
    ) -> Result<(), ExpectError> {
        let ohms = self
            .resistor
            .as_ref()
            .map_or(LEAST_OHMS, |own| own.each_ohms);
        let sheet = with_silicon(model.sheet, parts, &diode.name, ohms);
        let own = SetModel::new(&sheet, catalogue);
        own.take_loads(model);
        let bears = supply_burdens(&Predictor::new(&own), model.todays_line())?;
        let mut worst = Burden::default();
        for &part in parts {
            let one = &bears.parts[part];
            for (worst, one) in [
                (&mut worst.inverse_volts, &one.inverse_volts),
                (&mut worst.mean_amperes, &one.mean_amperes),
                (&mut worst.peak_amperes, &one.peak_amperes),
                (&mut worst.surge_amperes, &one.surge_amperes),
            ] {
                if let Some(one) = one
                    && worst.as_ref().is_none_or(|own| own.value < one.value)
                {
                    *worst = Some(one.clone());
                }
            }
        }
        if let Some(run) = self.runs.last_mut() {
            run.surge_amperes = worst.surge_amperes.as_ref().map(|own| own.value);
        }
        self.burden = worst;
        Ok(())
    }

    /// Whether a diode bears what it gets.
    fn bears(&self, diode: &SiliconType) -> bool {
        let within = |seen: &Option<super::burden::Worst>, rated: Option<f64>, share: f64| {
            seen.as_ref()
                .zip(rated)
                .is_none_or(|(seen, rated)| seen.value <= share * rated)
        };
        within(
            &self.burden.inverse_volts,
            diode.max_inverse_volts,
            INVERSE_SHARE,
        ) && within(
            &self.burden.mean_amperes,
            diode.rated_milliamperes.map(|own| own / 1e3),
            CURRENT_SHARE,
        ) && within(&self.burden.surge_amperes, diode.surge_amperes, 1.0)
    }
}

/// Drop of a good stack at its rated current, volts.
fn good_drop(model: &SetModel<'_>, catalogue: &Catalogue, part: usize) -> Option<f64> {
    let PartValue::Selenium {
        plates,
        milliamperes,
    } = model.sheet.parts[part].value
    else {
        return None;
    };
    catalogue.selenium(plates, milliamperes)?.drop_volts
}

/// The plans by the reference of each rectifier.
#[must_use]
pub fn by_reference(plans: &[SiliconPlan]) -> HashMap<&str, &SiliconPlan> {
    let all = plans.iter();
    all.flat_map(|plan| plan.references.iter().map(move |own| (own.as_str(), plan)))
        .collect()
}
