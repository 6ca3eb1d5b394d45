//! What the restorer's bench has, and what the plan assumes where the sheet is silent.
//!
//! Watts, volt-amperes, ohms. Nothing here can fail; each assumption is a notice.

use crate::conditions::Meter;
use crate::reading::Notice;
use crate::wiring::SetModel;

/// Lamps assumed when the sheet names none: what any shop sold (common practice).
const USUAL_LAMPS: [f64; 4] = [40.0, 60.0, 100.0, 150.0];
/// Volts that an isolation transformer loses at its rated current (judgement: 4 percent).
const ISOLATION_REGULATION: f64 = 0.04;
/// The lamps that a limiter is built from, watts.
const LAMP_WATTS: std::ops::RangeInclusive<f64> = 5.0..=500.0;

/// The bench as the plan takes it.
#[derive(Debug, Clone, PartialEq)]
pub struct BenchFacts {
    /// Limiter lamps, watts at 120 V.
    pub lamps: Vec<f64>,
    /// Line volts at the outlet, where they were measured.
    pub line_volts: Option<f64>,
    /// Whether a variable transformer is there.
    pub variable: bool,
    /// The isolation transformer, if there is one.
    pub isolation_volt_amperes: Option<f64>,
    /// Ohms ahead of the set.
    pub source_ohms: f64,
    /// The meter that readings are given for.
    pub meter: Option<Meter>,
    /// What was assumed.
    pub notices: Vec<Notice>,
}

/// Reads the bench off the sheet.
pub fn bench_facts(model: &SetModel<'_>) -> BenchFacts {
    let mut notices = Vec::new();
    let mut note = |text: &str, hint: &str| {
        notices.push(Notice {
            text: text.to_string(),
            hint: hint.to_string(),
        });
    };
    let bench = model.sheet.bench.as_ref();
    let mut lamps: Vec<f64> = bench
        .map(|bench| {
            bench
                .lamps
                .iter()
                .copied()
                .filter(|watts| LAMP_WATTS.contains(watts))
                .collect()
        })
        .unwrap_or_default();
    if lamps.is_empty() {
        lamps = USUAL_LAMPS.to_vec();
        note(
            "assumed: incandescent lamps of 40, 60, 100 and 150 W for the limiter",
            "write your own under [bench] lamps, and the plan chooses among them",
        );
    }
    lamps.sort_by(f64::total_cmp);
    let variable = bench.and_then(|bench| bench.variable_transformer);
    if variable.is_none() {
        note(
            "assumed: no variable transformer",
            "with one under [bench] variable_transformer = true the line is raised in steps",
        );
    }
    if bench.and_then(|bench| bench.line_volts).is_none() {
        note(
            &format!(
                "assumed: today's line is {:.0} V at most",
                model.todays_line()
            ),
            "measure it at the outlet and write it under [bench] line_volts",
        );
    }
    let isolation = bench.and_then(|bench| bench.isolation_volt_amperes);
    let source_ohms = isolation.map_or(0.0, |volt_amperes| {
        ISOLATION_REGULATION * model.sheet.line_volts * model.sheet.line_volts / volt_amperes
    });
    if isolation.is_some() {
        note(
            &format!("assumed: the isolation transformer has {source_ohms:.1} ohm"),
            "that is a loss of 4 percent at its rating; measure it loaded to know",
        );
    } else {
        note(
            "assumed: no isolation transformer",
            "write its size under [bench] isolation_va",
        );
    }
    let meter = bench
        .and_then(|bench| bench.meters.first())
        .map(|own| own.meter.clone());
    if meter.is_none() {
        note(
            "assumed: a meter that takes nothing from the circuit",
            "write yours under [bench] meters",
        );
    }
    if !model.sheet.state_given {
        note(
            "assumed: every part is as found and untested",
            "a [state] section tells what was replaced, re-formed, cut loose or measured, and narrows the bands",
        );
    }
    BenchFacts {
        lamps,
        line_volts: bench.and_then(|bench| bench.line_volts),
        variable: variable.unwrap_or(false),
        isolation_volt_amperes: isolation,
        source_ohms,
        meter,
        notices,
    }
}
