//! Checks of suspected parts by themselves: what each is expected to tell.
//!
//! Plain chances. A check sees some ways of failing and misses others; the figure that a part by itself shows tells
//! as much as [`super::super::by_itself`] has it. It is good where sound parts lie, bad where the readings ask for it, else
//! bad in another way: nine of ten waxed capacitors fail a leakage test, few of them with the leak that these readings ask
//! for. A capacitor or a tube is exchanged for a good one, or a capacitor bridged by one, and the fault is gone or not.
//! What hazard forbids is not offered. Fails by a damaged table of hazards.

use crate::hazard::TableFault;
use crate::meter::meter_ohms;
use crate::sheet::PartValue;

use super::super::by_itself::{BY_CHANCE, Gauge};
use super::super::hypotheses::Suspect;
use super::super::outcome::{Check, missed};
use super::acts::of_check;
use super::in_place::GotAt;
use super::information::{AtSeverity, bits};
use super::loose_end::LooseEnd;
use super::{Asked, Belief, Blame, Measurement, Offered, Outcome, meanings};

/// Outcomes of a check, in the order in which they are told.
const OUTCOMES: [Outcome; 3] = [Outcome::Good, Outcome::Bad, Outcome::Otherwise];

/// All checks that may be made of those who are suspected.
pub(super) fn offered(
    asked: &Asked<'_, '_>,
    beliefs: &[Belief],
) -> Result<Vec<Offered>, TableFault> {
    let weights: Vec<f64> = beliefs.iter().map(|own| own.weight).collect();
    let mut found = Vec::new();
    for suspect in suspects(beliefs) {
        for (measurement, check, row) in checks(asked, suspect) {
            let Some(effort) = asked.effort(row) else {
                continue;
            };
            let told = match check {
                Check::Exchange | Check::Bridge => trial(asked, beliefs, suspect, check),
                check => figure(asked, beliefs, suspect, check),
            };
            let Some(Told {
                chances,
                outcomes,
                edges,
            }) = told
            else {
                continue;
            };
            let Some(acts) = of_check(asked, measurement)? else {
                continue;
            };
            let each: Vec<(Outcome, Option<f64>, Option<f64>)> = OUTCOMES
                .iter()
                .filter(|own| outcomes.contains(own))
                .map(|own| {
                    let (from, to) = match loose_volts(asked, measurement) {
                        Some(volts) => span(&outcomes, &edges, *own, volts),
                        None => (None, None),
                    };
                    (*own, from, to)
                })
                .collect();
            found.push(Offered {
                measurement,
                bits: bits(&weights, &chances),
                effort,
                meanings: meanings(beliefs, &chances, &each, |number, column| {
                    outcomes.get(column) == each.get(number).map(|own| &own.0)
                }),
                acts,
                also: Vec::new(),
                stretches: None,
                chances,
            });
        }
    }
    Ok(found)
}

fn checks(asked: &Asked<'_, '_>, suspect: Suspect) -> Vec<(Measurement, Check, &'static str)> {
    match suspect {
        Suspect::Part(part) => {
            let row = GotAt::of(asked.model, part).row();
            let ohms = (Measurement::PartOhms(part), Check::Ohms, row);
            match asked.model.sheet.parts.get(part).map(|own| &own.value) {
                Some(PartValue::Capacitor { .. }) => vec![
                    ohms,
                    (
                        Measurement::PartLeakage(part),
                        Check::Leakage,
                        "part-leakage",
                    ),
                    (
                        Measurement::PartCapacitance(part),
                        Check::Capacitance,
                        "part-capacitance",
                    ),
                    (Measurement::Bridge(part), Check::Bridge, "capacitor-bridge"),
                    (
                        Measurement::CapacitorExchange(part),
                        Check::Exchange,
                        "capacitor-exchange",
                    ),
                ]
                .into_iter()
                .chain(loose_end(asked, part))
                .collect(),
                _ => vec![ohms],
            }
        }
        Suspect::Tube(tube) => vec![
            (
                Measurement::TubeTester(tube),
                Check::TubeTester,
                "tube-tester",
            ),
            (
                Measurement::TubeExchange(tube),
                Check::Exchange,
                "tube-exchange",
            ),
        ],
        Suspect::Transformer(_) | Suspect::Socket(_) => Vec::new(),
    }
}

/// What a check would show for each belief, and which of its outcomes are which.
struct Told {
    chances: Vec<Vec<f64>>,
    /// By column.
    outcomes: Vec<Outcome>,
    /// Logarithms of the figures that part the columns; none for a trial.
    edges: Vec<f64>,
}

/// Volts of the end that stays, of a measurement at the loose one.
fn loose_volts(asked: &Asked<'_, '_>, measurement: Measurement) -> Option<f64> {
    match measurement {
        Measurement::LooseEnd { part, .. } => Some(LooseEnd::of(asked, part)?.volts),
        _ => None,
    }
}

/// From which figure to which an outcome goes, times a scale, where it is one stretch; the last column is a word.
fn span(
    outcomes: &[Outcome],
    edges: &[f64],
    outcome: Outcome,
    scale: f64,
) -> (Option<f64>, Option<f64>) {
    let figures = outcomes.get(..=edges.len()).unwrap_or(outcomes);
    let is_own = |own: &Outcome| *own == outcome;
    let (Some(first), Some(last)) = (
        figures.iter().position(is_own),
        figures.iter().rposition(is_own),
    ) else {
        return (None, None);
    };
    if !figures[first..=last].iter().all(is_own) {
        return (None, None);
    }
    let figure = |edge: &f64| scale * edge.exp();
    let before = first.checked_sub(1).and_then(|at| edges.get(at));
    (before.map(figure), edges.get(last).map(figure))
}

/// Whether a way of failing is one of this suspect's: its hypotheses among the two.
fn ways_of<'a>(
    asked: &'a Asked<'_, '_>,
    way: &AtSeverity,
    suspect: Suspect,
) -> impl Iterator<Item = (usize, f64)> + use<'a> {
    let both = [Some((way.hypothesis, way.severity)), way.with];
    both.into_iter().flatten().filter(move |(own, _)| {
        let of = asked.hypotheses.list.get(*own);
        of.is_some_and(|of| of.suspect == suspect)
    })
}

/// The volts at a capacitor's loose end, where enough of them stand at the other end and the meter is known.
fn loose_end(asked: &Asked<'_, '_>, part: usize) -> Option<(Measurement, Check, &'static str)> {
    let LooseEnd { volts, .. } = LooseEnd::of(asked, part)?;
    let meter = asked
        .foretold
        .get(asked.present)?
        .conditions
        .meter
        .as_ref()?;
    let meter_ohms = meter_ohms(meter, volts).round() as u64;
    Some((
        Measurement::LooseEnd { part, meter_ohms },
        Check::LooseEnd { meter_ohms },
        "loose-end",
    ))
}

/// A good one in its place or across it: the fault is gone, or it is not. `None` where that has nothing to do with this
/// suspect.
fn trial(
    asked: &Asked<'_, '_>,
    beliefs: &[Belief],
    suspect: Suspect,
    check: Check,
) -> Option<Told> {
    let cures = |hypothesis: usize| {
        let own = asked.hypotheses.list.get(hypothesis);
        own.map_or(0.0, |own| 1.0 - missed(check, &own.kind))
    };
    let cured: Vec<f64> = beliefs
        .iter()
        .map(|own| {
            let ways = own.ways.iter();
            ways.flat_map(|way| ways_of(asked, way, suspect).map(|(own, _)| way.share * cures(own)))
                .sum()
        })
        .collect();
    if cured.iter().all(|own| *own <= 0.0) {
        return None;
    }
    let row = |bad: f64| vec![1.0 - bad, bad];
    Some(Told {
        chances: cured.iter().map(|own| row(own.max(BY_CHANCE))).collect(),
        outcomes: vec![Outcome::Good, Outcome::Bad],
        edges: Vec::new(),
    })
}

/// The figure of a part by itself; `None` where the check sees nothing of this suspect's ways.
fn figure(
    asked: &Asked<'_, '_>,
    beliefs: &[Belief],
    suspect: Suspect,
    check: Check,
) -> Option<Told> {
    let list = &asked.hypotheses.list;
    let gauge = Gauge::new(
        asked.model,
        asked.hypotheses,
        asked.foretold,
        asked.beside,
        (suspect, check),
    )?;
    let is_about =
        |way: &AtSeverity| ways_of(asked, way, suspect).any(|(own, _)| gauge.is_about(&list[own]));
    if !beliefs.iter().flat_map(|own| &own.ways).any(is_about) {
        return None;
    }
    let edges = gauge.edges();
    let innocent = gauge.innocent_chances(&edges);
    let mut guilty = vec![0.0; innocent.len()];
    let chances: Vec<Vec<f64>> = beliefs
        .iter()
        .map(|own| {
            if !own.blame.involves(suspect) {
                return innocent.clone();
            }
            let mut row = vec![0.0; innocent.len()];
            for way in &own.ways {
                let shown = match ways_of(asked, way, suspect).next() {
                    Some((of, severity)) => gauge.chances(&edges, &innocent, &list[of], severity),
                    None => innocent.clone(),
                };
                for (all, one) in row.iter_mut().zip(shown) {
                    *all += way.share * one;
                }
            }
            for (all, one) in guilty.iter_mut().zip(&row) {
                *all += own.weight * one;
            }
            row
        })
        .collect();
    let all: f64 = guilty.iter().sum::<f64>().max(f64::MIN_POSITIVE);
    let outcomes = (0..innocent.len())
        .map(|column| match gauge.is_good(&edges, column) {
            true => Outcome::Good,
            false if guilty[column] / all > innocent[column] => Outcome::Bad,
            false => Outcome::Otherwise,
        })
        .collect();
    Some(Told {
        chances,
        outcomes,
        edges,
    })
}

/// All who are suspected, alone or with another, each once.
fn suspects(beliefs: &[Belief]) -> Vec<Suspect> {
    let mut found = Vec::new();
    let own = beliefs.iter().flat_map(|own| match own.blame {
        Blame::Suspect(one) => [Some(one), None],
        Blame::Both(one, other) => [Some(one), Some(other)],
        Blame::Healthy | Blame::NotListed => [None, None],
    });
    for suspect in own.flatten() {
        if !found.contains(&suspect) {
            found.push(suspect);
        }
    }
    found
}

#[cfg(test)]
mod tests {
    use super::*;

    /// By hand: three edges at 1, 2 and 4 make four columns, and a fifth is a word.
    #[test]
    fn an_outcome_of_one_stretch_has_its_ends() {
        use Outcome::{Bad, Good, Otherwise};
        let edges = [1f64, 2.0, 4.0].map(f64::ln);
        let of = |outcomes: &[Outcome], own| {
            let (from, to) = span(outcomes, &edges, own, 10.0);
            let round = |own: Option<f64>| own.map(|own| own.round());
            (round(from), round(to))
        };
        let four = [Good, Otherwise, Bad, Bad, Bad];
        assert_eq!(of(&four, Good), (None, Some(10.0)));
        assert_eq!(of(&four, Otherwise), (Some(10.0), Some(20.0)));
        assert_eq!(of(&four, Bad), (Some(20.0), None));
        // Two stretches have no ends in common, and a word has none.
        let parted = [Good, Bad, Otherwise, Bad, Otherwise];
        assert_eq!(of(&parted, Bad), (None, None));
        assert_eq!(of(&parted, Otherwise), (Some(20.0), Some(40.0)));
        let word = [Good, Good, Good, Good, Bad];
        assert_eq!(of(&word, Bad), (None, None));
    }
}
