//! The fewest rules that tell every told fault.
//!
//! No units; positions of rules and faults. Nothing here fails.

use crate::plan::StopRule;
use crate::plan::faults::LikelyFault;

use super::StepLimits;

/// Least number of settled rules that a step keeps.
const LEAST_RULES: usize = 2;

/// Keeps the fewest rules that tell every told fault from its slightest severity on
/// (the reading that tells most first), and names for each what it cannot tell.
pub(super) fn keep_what_is_needed(faults: &[LikelyFault], limits: &mut StepLimits) {
    let settled = limits.settled_rules;
    let early: Vec<StopRule> = limits.rules.split_off(settled.min(limits.rules.len()));
    let mut left: std::collections::BTreeSet<usize> = limits
        .told
        .iter()
        .filter(|told| told.rule < settled)
        .map(|told| told.fault)
        .collect();
    let mut kept: Vec<usize> = Vec::new();
    while !left.is_empty() {
        let tells = |rule: usize| {
            limits
                .told
                .iter()
                .filter(|told| told.rule == rule && left.contains(&told.fault))
                .count()
        };
        let Some(best) = (0..limits.rules.len())
            .max_by(|&a, &b| tells(a).cmp(&tells(b)).then(b.cmp(&a)))
            .filter(|&rule| tells(rule) > 0)
        else {
            break;
        };
        for told in limits.told.iter().filter(|told| told.rule == best) {
            left.remove(&told.fault);
        }
        kept.push(best);
    }
    // The lamp or the line stands first: it is the one reading in plain sight.
    for rule in 0..limits.rules.len() {
        if kept.len() >= LEAST_RULES && kept.contains(&0) {
            break;
        }
        if !limits.rules[rule].tells.is_empty() && !kept.contains(&rule) {
            kept.push(rule);
        }
    }
    kept.sort_unstable();
    let mut rules: Vec<StopRule> = kept
        .iter()
        .map(|&rule| limits.rules[rule].clone())
        .collect();
    limits
        .told
        .retain(|told| told.rule >= settled || kept.contains(&told.rule));
    for told in &mut limits.told {
        told.rule = if told.rule >= settled {
            kept.len() + (told.rule - settled)
        } else {
            kept.iter().position(|&rule| rule == told.rule).unwrap_or(0)
        };
    }
    rules.extend(early);
    let working: Vec<usize> = (0..faults.len())
        .filter(|fault| !limits.idle.contains(fault))
        .collect();
    for rule in &mut rules {
        rule.cannot_tell = working
            .iter()
            .map(|&fault| faults[fault].name.clone())
            .filter(|name| {
                !rule
                    .tells
                    .iter()
                    .any(|tells| tells.starts_with(name.as_str()))
            })
            .collect();
    }
    limits.rules = rules;
}
