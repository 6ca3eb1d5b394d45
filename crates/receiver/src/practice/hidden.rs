//! A hidden set: every figure drawn, and what is wrong with it.
//!
//! Plain ratios and the fault table's own units. Each part is drawn from its tolerance and age by the
//! causes that also make the bands, but for the doubt of the tube laws, since a hidden set has laws of
//! its own. A fault is drawn from the fault table, each way of failing by its odds, its severity by its law. Whether it
//! shows is told by its twin: the same drawn set without the fault ([`Hidden::without_fault`]). Fails as the set's
//! solution does.

use rand::{RngExt, SeedableRng};
use rand_pcg::Pcg64;

use crate::bands::Values;
use crate::causes::{causes, stage_causes};
use crate::conditions::BenchConditions;
use crate::expect::ExpectError;
use crate::probes::Probe;
use crate::suspects::hypotheses::{Hypotheses, Hypothesis, Spread, Suspect};
use crate::suspects::predict::spread;
use crate::whole_set::{Wanted, read_variation, whole_readings};
use crate::wiring::{FaultKind, Figure, SetModel, Variation};

use super::draws;

/// Standard deviations beyond which a reading is out of its healthy band: nine of ten lie inside.
const OUT_OF_BAND: f64 = 1.645;

/// What is wrong with a hidden set.
#[derive(Debug, Clone, PartialEq)]
pub struct HiddenFault {
    /// Its position among the hypotheses that it was drawn from.
    pub hypothesis: usize,
    /// The part.
    pub suspect: Suspect,
    /// In the words of the fault table.
    pub fault: String,
    /// What it does to the circuit.
    pub kind: FaultKind,
    /// In the unit of the row.
    pub severity: f64,
}

/// A hidden set.
#[derive(Debug, Clone, PartialEq)]
pub struct Hidden {
    /// What is wrong; empty for a healthy set.
    pub faults: Vec<HiddenFault>,
    /// All figures with the faults.
    pub variation: Variation,
    /// The same set before anything failed.
    pub without_fault: Variation,
}

impl Hidden {
    /// The same drawn set with these faults alone.
    pub fn with_only(&self, hypotheses: &Hypotheses, faults: &[HiddenFault]) -> Hidden {
        let mut own = Hidden {
            faults: faults.to_vec(),
            variation: self.without_fault.clone(),
            without_fault: self.without_fault.clone(),
        };
        for fault in faults {
            if let Some(hypothesis) = hypotheses.list.get(fault.hypothesis) {
                put_in(&mut own.variation, &hypothesis.variation(fault.severity));
            }
        }
        own
    }
}

/// Draws one fault, out of those for which `is_drawn` holds; `None` where there are none.
pub fn drawn_fault(
    hypotheses: &Hypotheses,
    seed: u64,
    is_drawn: impl Fn(&Hypothesis) -> bool,
) -> Option<HiddenFault> {
    fault(hypotheses, &mut draws(seed, "a fault"), is_drawn)
}

/// Draws a hidden set with so many faults, out of those for which `is_drawn` holds.
pub fn hidden_set(
    model: &SetModel<'_>,
    hypotheses: &Hypotheses,
    faults: usize,
    seed: u64,
    is_drawn: impl Fn(&Hypothesis) -> bool,
) -> Hidden {
    let mut random = Pcg64::seed_from_u64(seed);
    let without_fault = drawn_set(model, &mut random);
    let mut hidden = Hidden {
        faults: Vec::new(),
        variation: without_fault.clone(),
        without_fault,
    };
    while hidden.faults.len() < faults {
        let taken: Vec<Suspect> = hidden.faults.iter().map(|own| own.suspect).collect();
        let is_open = |own: &Hypothesis| is_drawn(own) && !taken.contains(&own.suspect);
        let Some(fault) = fault(hypotheses, &mut random, is_open) else {
            break;
        };
        let own = hypotheses.list.get(fault.hypothesis);
        if let Some(own) = own {
            put_in(&mut hidden.variation, &own.variation(fault.severity));
        }
        hidden.faults.push(fault);
    }
    hidden
}

/// Standard deviation of healthy sets of this sheet and a common meter, by probe; `None` for what is not
/// told.
///
/// # Errors
/// Those of [`fn@crate::whole_set::couple`].
pub fn healthy_spreads(
    model: &SetModel<'_>,
    conditions: &BenchConditions,
    probes: &[Probe],
) -> Result<Vec<Option<f64>>, ExpectError> {
    let mut all = causes(model, conditions);
    all.extend(stage_causes(model));
    let told = whole_readings(model, conditions, probes, &all, Wanted::Draws)?;
    let of = |probe: usize| {
        let drawn = told.drawn(probe)?;
        spread(drawn, drawn.iter().sum::<f64>() / drawn.len() as f64)
    };
    Ok((0..probes.len()).map(of).collect())
}

/// Whether the faults move some reading out of the band that healthy sets of this sheet keep to, against
/// the set's own twin. `spread` is the standard deviation of healthy sets and meter, by probe.
///
/// # Errors
/// Those of [`fn@crate::whole_set::couple`], for the set or its twin.
pub fn shows(
    model: &SetModel<'_>,
    hidden: &Hidden,
    conditions: &BenchConditions,
    probes: &[Probe],
    spread: &[Option<f64>],
) -> Result<bool, ExpectError> {
    let with = read_variation(model, conditions, &hidden.variation, probes)?;
    let without = read_variation(model, conditions, &hidden.without_fault, probes)?;
    Ok(is_moved(&with, &without, spread))
}

/// Whether some reading lies out of its healthy band from that of the twin.
pub fn is_moved(with: &Values, without: &Values, spread: &[Option<f64>]) -> bool {
    reach(with, without, spread) > OUT_OF_BAND
}

/// How far the reading that moves most lies from that of the twin, in standard deviations of healthy sets and meter.
pub fn reach(with: &Values, without: &Values, spread: &[Option<f64>]) -> f64 {
    let each = with.iter().zip(without).zip(spread);
    each.filter_map(|((with, without), spread)| Some(((*with)? - (*without)?).abs() / (*spread)?))
        .fold(0.0, f64::max)
}

/// Lays a fault over a drawn set.
pub fn put_in(set: &mut Variation, fault: &Variation) {
    for figure in fault.figures() {
        set.set(figure, set.factor(figure) * fault.factor(figure));
    }
    set.changes.extend(fault.changes.iter().cloned());
}

/// Every figure of a set from its own spread.
fn drawn_set(model: &SetModel<'_>, random: &mut Pcg64) -> Variation {
    let conditions = BenchConditions {
        // The line is measured at the bench: no cause of its own.
        line_volts: Some(model.sheet.line_volts),
        ..BenchConditions::default()
    };
    let mut variation = Variation::none();
    for cause in causes(model, &conditions)
        .iter()
        .chain(&stage_causes(model))
    {
        let ratio = cause.spread.ratio(random.random::<f64>());
        if !is_of_laws(cause.figure) {
            variation.set(cause.figure, ratio);
        }
    }
    variation
}

/// Doubts of prediction and reading, which a set on the bench has not.
fn is_of_laws(figure: Figure) -> bool {
    matches!(
        figure,
        Figure::Meter
            | Figure::Model
            | Figure::StageLaw(_)
            | Figure::StageDraw(_)
            | Figure::StageDraws
    )
}

/// One way of failing by its odds, with a severity by its law.
fn fault(
    hypotheses: &Hypotheses,
    random: &mut Pcg64,
    is_drawn: impl Fn(&Hypothesis) -> bool,
) -> Option<HiddenFault> {
    let odds = |own: &Hypothesis| {
        if is_drawn(own) { own.odds(1.0) } else { 0.0 }
    };
    let all: f64 = hypotheses.list.iter().map(odds).sum();
    let mut left = all * random.random::<f64>();
    let share = random.random::<f64>();
    let mut found = None;
    for (at, own) in hypotheses.list.iter().enumerate() {
        let odds = odds(own);
        if odds > 0.0 {
            found = Some((at, own));
            left -= odds;
            if left <= 0.0 {
                break;
            }
        }
    }
    let (hypothesis, own) = found?;
    Some(HiddenFault {
        hypothesis,
        suspect: own.suspect,
        fault: own.fault.clone(),
        kind: own.kind.clone(),
        severity: match own.spread {
            Spread::Once(severity) => severity,
            Spread::Law(law) => law.at(share),
        },
    })
}
