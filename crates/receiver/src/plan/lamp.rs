//! The lamp of a step, chosen by calculation among the restorer's own.
//!
//! Watts, volts; shares of rated heater volts and of normal B+. Behind the lamp the
//! healthy set must reach a state in which readings tell; and of the lamps that let
//! it, the one is taken that leaves the least heat in a part that cannot be bought
//! again, whatever fault is there. Where none does both, that is the answer.

use circuit::solver::SettledState;
use rayon::prelude::*;

use crate::conditions::BenchConditions;
use crate::expect::Predictor;
use crate::reading::{Notice, What};
use crate::wiring::{SetModel, Variation};

use super::faults::{Endangered, LikelyFault};
use super::watch::{Seen, Watch};
use super::{LampChoice, LampFault, PlanWork};

/// What a step wants to reach behind its lamp.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Reach {
    /// Share of the windings' rated volts.
    Windings(f64),
    /// Share of rated heater volts.
    Heaters(f64),
    /// Share of normal B+.
    Supply(f64),
}

/// The healthy set behind one lamp.
struct Lit<'p> {
    watts: Vec<f64>,
    watch: Watch<'p>,
    healthy: Seen,
    reached: f64,
    heater_share: Option<f64>,
    supply_share: Option<f64>,
    winding_share: Option<f64>,
}

/// One lamp looked at.
struct Looked {
    watts: Vec<f64>,
    reached: f64,
    heater_share: Option<f64>,
    supply_share: Option<f64>,
    winding_share: Option<f64>,
    faults: Vec<(usize, Seen)>,
    states: Vec<Option<SettledState>>,
    told: usize,
    harm: f64,
}

/// All ways to use the restorer's lamps, single and in parallel, least watts first.
pub fn combinations(lamps: &[f64]) -> Vec<Vec<f64>> {
    let mut found: Vec<Vec<f64>> = Vec::new();
    let count = lamps.len().min(6);
    for mask in 1u32..(1 << count) {
        if mask.count_ones() > 3 {
            continue;
        }
        let mut chosen: Vec<f64> = (0..count)
            .filter(|&index| mask & (1 << index) != 0)
            .map(|index| lamps[index])
            .collect();
        chosen.sort_by(|a, b| b.total_cmp(a));
        found.push(chosen);
    }
    found.sort_by(|a, b| total(a).total_cmp(&total(b)).then(a.len().cmp(&b.len())));
    found.dedup_by(|a, b| (total(a) - total(b)).abs() < 0.02 * total(b));
    found
}

fn total(lamps: &[f64]) -> f64 {
    lamps.iter().sum()
}

/// Volts of the lamps that are counted with (`data/lamps.csv`; the sheet's form says so).
const LAMP_VOLTS: f64 = 120.0;
/// Share of them that a line may have before such lamps are wrong in series with a set (judgement: a lamp stands a fifth
/// more for the minutes of a step, and shortens its life).
const MOST_OF_LAMP: f64 = 1.2;

/// What is to be heeded of lamps where the set's line is not the one they are counted for; `None` where it is.
#[must_use]
pub fn of_the_line(line_volts: f64) -> Option<Notice> {
    (line_volts > MOST_OF_LAMP * LAMP_VOLTS).then(|| Notice {
        text: format!(
            "lamps in series are counted as lamps for {LAMP_VOLTS:.0} V, and this set's line has {line_volts:.0} V: before a short such a lamp gets the whole line and may burst"
        ),
        hint: format!(
            "put only a lamp for {line_volts:.0} V in series; it has other ohms than one of the same watts for {LAMP_VOLTS:.0} V, so no figure that is told behind a lamp holds for it, no stop limit either: raise the line by a variable transformer behind the isolation transformer instead, and watch the line's current"
        ),
    })
}

/// Chooses the lamp of a step, and gives where each gross fault settles behind it. `base` is
/// the step without a lamp.
pub fn choose(
    predictor: &Predictor<'_, '_>,
    base: &BenchConditions,
    lamps: &[f64],
    faults: &[LikelyFault],
    reach: Reach,
    work: &mut PlanWork,
) -> Option<(LampChoice, Vec<Option<SettledState>>)> {
    let model = predictor.model;
    let bare = Watch::new(predictor, base.clone());
    let normal = bare.settled(&Variation::none(), None).ok()?;
    let wanted = match reach {
        Reach::Windings(share) | Reach::Heaters(share) | Reach::Supply(share) => share,
    };
    let mut lit: Vec<Lit<'_>> = combinations(lamps)
        .into_par_iter()
        .filter_map(|watts| light(predictor, base, watts, reach, (&bare, &normal)))
        .collect();
    work.solved_states += 1 + lit.len();
    // Faults count behind lamps that reach far enough; where none does, behind the best.
    let most = lit.iter().map(|lit| lit.reached).fold(0.0, f64::max);
    lit.retain(|lit| lit.reached >= wanted.min(most));
    work.solved_states += lit.len() * faults.len();
    let looked: Vec<Looked> = lit
        .into_par_iter()
        .map(|lit| look(lit, model, faults))
        .collect();
    let most_told = looked
        .iter()
        .filter(|looked| looked.reached >= wanted)
        .map(|looked| looked.told)
        .max();
    let chosen = looked
        .iter()
        .filter(|looked| {
            looked.reached >= wanted
                && Some(looked.told) >= most_told.map(|told| told.saturating_sub(1))
        })
        .min_by(|a, b| {
            a.harm
                .total_cmp(&b.harm)
                .then(total(&a.watts).total_cmp(&total(&b.watts)))
        });
    let does_both = chosen.is_some();
    let chosen = chosen.or_else(|| looked.iter().max_by(|a, b| a.reached.total_cmp(&b.reached)))?;
    let mut remark = Vec::new();
    if !does_both {
        remark.push(format!(
            "No lamp does both: with {} the set reaches {} percent of what this step wants to see. \
             A stronger lamp would tell more and guard less.",
            words(&chosen.watts),
            percent(chosen.reached)
        ));
    }
    if let Some(share) = chosen.heater_share
        && share < 0.75
    {
        remark.push(format!(
            "The heaters get {} percent of their volts: no tube current can be judged in this step.",
            percent(share)
        ));
    }
    let unguarded: Vec<String> = chosen
        .faults
        .iter()
        .filter(|(number, seen)| {
            let fault = &faults[*number];
            fault
                .endangers
                .as_ref()
                .and_then(|endangered| {
                    let now = seen.endangered_watts(model, endangered)?;
                    Some(now > allowed_watts(model, endangered, &normal))
                })
                .unwrap_or(false)
        })
        .map(|(number, _)| faults[*number].name.clone())
        .collect();
    if !unguarded.is_empty() {
        remark.push(format!(
            "This lamp does not guard: {}.",
            unguarded.join("; ")
        ));
    }
    let choice = LampChoice {
        watts: chosen.watts.clone(),
        heater_share: chosen.heater_share,
        supply_share: chosen.supply_share,
        winding_share: chosen.winding_share,
        faults: chosen
            .faults
            .iter()
            .map(|(number, seen)| {
                let fault = &faults[*number];
                LampFault {
                    fault: fault.name.clone(),
                    part_watts: seen.fault_watts.unwrap_or(0.0),
                    irreplaceable: fault.endangers.as_ref().and_then(|endangered| {
                        Some((
                            name_of(model, endangered),
                            seen.endangered_watts(model, endangered)?,
                        ))
                    }),
                }
            })
            .collect(),
        remark: remark.join(" "),
    };
    Some((choice, chosen.states.clone()))
}

/// Heat that a part bears for a while: one and a half times its healthy heat, and at
/// least 25 W for a transformer (judgement: the idle heat of the largest).
fn allowed_watts(model: &SetModel<'_>, endangered: &Endangered, normal: &Seen) -> f64 {
    let healthy = normal.endangered_watts(model, endangered).unwrap_or(0.0);
    match endangered {
        Endangered::Transformer(_) => (1.5 * healthy).max(25.0),
        Endangered::PictureTube(tube) => model
            .sheet
            .tubes
            .get(*tube)
            .and_then(|tube| tube.kind.heater.as_ref())
            .map_or(4.0, |heater| 1.2 * heater.watts()),
    }
}

/// The name of an endangered part.
pub fn name_of(model: &SetModel<'_>, endangered: &Endangered) -> String {
    match endangered {
        Endangered::Transformer(name) => name.clone(),
        Endangered::PictureTube(tube) => model
            .sheet
            .tubes
            .get(*tube)
            .map_or_else(|| "picture tube".to_string(), |tube| tube.reference.clone()),
    }
}

/// Lamps in words.
pub fn words(watts: &[f64]) -> String {
    match watts {
        [] => "no lamp".to_string(),
        [one] => format!("a {one} W lamp"),
        several => format!(
            "lamps of {} W in parallel",
            several
                .iter()
                .map(f64::to_string)
                .collect::<Vec<_>>()
                .join(" and ")
        ),
    }
}

/// A share as whole percent.
pub fn percent(share: f64) -> String {
    format!("{:.0}", 100.0 * share)
}

/// How far a reading must move, relative to the healthy one, to be called told here.
const TOLD_SHARE: f64 = 0.25;

fn light<'p>(
    predictor: &'p Predictor<'p, 'p>,
    base: &BenchConditions,
    watts: Vec<f64>,
    reach: Reach,
    (bare, normal): (&Watch<'_>, &Seen),
) -> Option<Lit<'p>> {
    let conditions = BenchConditions {
        lamps: watts.clone(),
        ..base.clone()
    };
    let watch = Watch::new(predictor, conditions);
    let healthy = watch.settled(&Variation::none(), None).ok()?;
    let heater_share = heater_share(predictor.model, &healthy);
    let supply_share = share_of(&watch, &healthy, bare, normal, What::DcVolts);
    let winding_share = share_of(&watch, &healthy, bare, normal, What::AcVoltsRms);
    let reached = match reach {
        Reach::Windings(_) => winding_share,
        Reach::Heaters(_) => heater_share,
        Reach::Supply(_) => supply_share,
    }
    .unwrap_or(0.0);
    Some(Lit {
        watts,
        watch,
        healthy,
        reached,
        heater_share,
        supply_share,
        winding_share,
    })
}

fn look(lit: Lit<'_>, model: &SetModel<'_>, faults: &[LikelyFault]) -> Looked {
    let (watch, healthy) = (&lit.watch, &lit.healthy);
    let mut seen_faults = Vec::new();
    let mut states = vec![None; faults.len()];
    let mut told = 0;
    let mut harm = 0.0f64;
    for (number, fault) in faults.iter().enumerate() {
        let gross = fault.severities[fault.severities.len() - 1];
        let Ok(mut seen) = watch.settled(&fault.variation(gross), None) else {
            continue;
        };
        states[number] = seen.near.take();
        let moves = seen
            .values
            .iter()
            .zip(&healthy.values)
            .any(|(now, then)| match (now, then) {
                (Some(now), Some(then)) => {
                    (now - then).abs() > TOLD_SHARE * then.abs() && (now - then).abs() > 1.0
                }
                _ => false,
            });
        let own = seen.fault_watts.unwrap_or(0.0);
        let works = moves || own > 0.5;
        if !works {
            continue;
        }
        told += usize::from(moves);
        if let Some(endangered) = &fault.endangers
            && let Some(now) = seen.endangered_watts(model, endangered)
        {
            harm = harm.max(now);
        }
        harm = harm.max(own);
        seen_faults.push((number, seen));
    }
    Looked {
        watts: lit.watts,
        reached: lit.reached,
        heater_share: lit.heater_share,
        supply_share: lit.supply_share,
        winding_share: lit.winding_share,
        faults: seen_faults,
        states,
        told,
        harm,
    }
}

/// Mean share of rated heater volts over the tubes that are heated.
pub fn heater_share(model: &SetModel<'_>, seen: &Seen) -> Option<f64> {
    let shares: Vec<f64> = seen
        .heater_volts
        .iter()
        .zip(&model.sheet.tubes)
        .filter_map(|(volts, tube)| Some((*volts)? / tube.kind.heater.as_ref()?.volts))
        .collect();
    (!shares.is_empty()).then(|| shares.iter().sum::<f64>() / shares.len() as f64)
}

/// Mean share of the readings of one kind against those without a lamp.
fn share_of(
    watch: &Watch<'_>,
    seen: &Seen,
    bare: &Watch<'_>,
    normal: &Seen,
    what: What,
) -> Option<f64> {
    let shares: Vec<f64> = watch
        .probes
        .iter()
        .zip(&seen.values)
        .filter(|(probe, _)| probe.what == what)
        .filter_map(|(probe, value)| {
            let position = bare.probes.iter().position(|own| own == probe)?;
            let normal = (*normal.values.get(position)?)?;
            (normal.abs() > 5.0).then_some((*value)? / normal)
        })
        .collect();
    (!shares.is_empty()).then(|| shares.iter().sum::<f64>() / shares.len() as f64)
}
