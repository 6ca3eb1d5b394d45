//! Symptoms of picture and sound weighed: how often each fault of a set shows which.
//!
//! Plain chances. The table tells, of sets with a symptom, in which section the fault sits. Within a
//! section a fault's share goes with its chance, with whether it can disturb ([`super::able`](mod@super::able)), and with
//! whether the table names such a part: `NAMED` times as much where it names the kind and the fault,
//! `ALIKE` times where it names the kind, again `IN_PLACE` times where the part sits where the table says
//! (judgement). What the table names and the set's sheet has not is the share of a fault that is not
//! listed. Each fault that disturbs is taken to show in one of the table's symptoms, so that a symptom is as common as
//! the faults behind it; one complaint of twenty is of none of the sections that the table names (`ELSEWHERE`; by the table itself none is), and one
//! of fifty healthy sets is complained of (`MISTAKEN`; all judgement). Nothing here fails.

use parts::{SetSection, Symptom, TypicalPart};

use super::able::able;
use crate::sections::{Sections, Shares};
use crate::suspects::hypotheses::{Hypotheses, Spread, Suspect};
use crate::suspects::predict::Foretold;
use crate::wiring::SetModel;

const NAMED: f64 = 8.0;
const ALIKE: f64 = 2.0;
const IN_PLACE: f64 = 2.5;
const ELSEWHERE: f64 = 0.05;
/// Turns in which the table is fitted to its margins.
const TURNS: usize = 8;
/// Chance that a healthy set is complained of so, over that of a faulty one.
pub(crate) const MISTAKEN: f64 = 0.02;
/// Share of a section's weight that the parts have which the table names and the sheet has not.
const OFF_THE_SHEET: f64 = 0.5;

/// Chance that a fault that disturbs shows in a second symptom as well.
pub(crate) const TWO_SYMPTOMS: f64 = 0.5;
/// Chance that an owner who says that all is well does not notice what a fault disturbs (judgement).
const OVERLOOKED: f64 = 0.05;

/// Natural logarithm of how many times likelier a symptom is with a fault that the table does not name for it.
pub(super) fn by_the_way() -> f64 {
    (1.5 * ELSEWHERE / MISTAKEN).ln()
}

/// All symptoms beside all faults of one set.
#[derive(Debug, Clone)]
pub struct Symptoms {
    /// By symptom, by hypothesis: how many times likelier such a fault is with the symptom than without any.
    times: Vec<Vec<f64>>,
    /// By symptom, by section in the order of its words: the same for a fault there that is not listed.
    not_listed: Vec<Vec<f64>>,
    /// By section: odds of a fault there that is not listed and shows, by the table, over those of before.
    shown: Vec<f64>,
    /// By hypothesis, by solved severity: whether it can disturb.
    able: Vec<Vec<f64>>,
}

/// One row of a symptom: how much each fault is of it.
struct Row {
    /// By hypothesis.
    fits: Vec<f64>,
    /// Share of the symptom's sets that this row has.
    weight: f64,
    /// What the fits are multiplied by.
    times: f64,
}

/// By symptom, by hypothesis: how many times likelier such a fault is with the symptom than with any other. Every
/// fault that disturbs shows in one symptom, and of the sets with a symptom each section has the share that
/// the table says; both are brought about in turns (proportional fitting of a table to its margins).
fn balanced(rows: &mut [Vec<Row>], odds: &[f64]) -> Vec<Vec<f64>> {
    let sums = |rows: &[Vec<Row>]| -> Vec<f64> {
        let mut all = vec![0.0; odds.len()];
        for row in rows.iter().flatten() {
            for (all, fit) in all.iter_mut().zip(&row.fits) {
                *all += row.times * fit;
            }
        }
        all
    };
    for _ in 0..TURNS {
        let all = sums(rows);
        for own in rows.iter_mut() {
            let mass = |row: &Row| -> f64 {
                let each = row.fits.iter().zip(&all).zip(odds);
                each.filter(|((_, all), _)| **all > 0.0)
                    .map(|((fit, all), odds)| row.times * fit / all * odds)
                    .sum()
            };
            let masses: Vec<f64> = own.iter().map(mass).collect();
            let total: f64 = masses.iter().sum();
            let weights: f64 = own.iter().map(|row| row.weight).sum();
            for (row, mass) in own.iter_mut().zip(masses) {
                if mass > 0.0 && weights > 0.0 {
                    row.times *= row.weight / weights * total / mass;
                }
            }
        }
    }
    let all = sums(rows);
    let count = rows.len() as f64;
    rows.iter()
        .map(|own| {
            let of = |at: usize| -> f64 {
                let inside: f64 = own.iter().map(|row| row.times * row.fits[at]).sum();
                match all[at] {
                    all if all > 0.0 => ELSEWHERE + (1.0 - ELSEWHERE) * count * inside / all,
                    _ => 1.0,
                }
            };
            (0..odds.len()).map(of).collect()
        })
        .collect()
}

impl Symptoms {
    /// Lays the table over a set; `odds_not_listed` are those of a fault that is not listed.
    pub fn of(
        model: &SetModel<'_>,
        sections: &Sections,
        hypotheses: &Hypotheses,
        foretold: &[Foretold],
        table: &[Symptom],
        odds_not_listed: f64,
    ) -> Symptoms {
        let able = all_able(hypotheses, foretold);
        let shares: Vec<Shares> = hypotheses
            .list
            .iter()
            .map(|own| shares_of(sections, own.suspect))
            .collect();
        // Odds that something has this fault and it shows.
        let odds: Vec<f64> = hypotheses
            .list
            .iter()
            .zip(&able)
            .map(|(own, able)| {
                let mean = able.iter().sum::<f64>() / able.len().max(1) as f64;
                own.odds(1.0) * mean
            })
            .collect();
        let faulty: f64 = odds.iter().sum();
        let mut rows: Vec<Vec<Row>> = Vec::new();
        let mut not_listed = Vec::new();
        for symptom in table {
            let mut own: Vec<Row> = Vec::new();
            let mut strange = vec![0.0; SetSection::WORDS.len()];
            for row in &symptom.sections {
                let fits: Vec<f64> = (0..odds.len())
                    .map(|at| {
                        let share = share_in(&shares[at], row.section);
                        share * fit(model, hypotheses, at, &row.typical)
                    })
                    .collect();
                let all: f64 = fits.iter().zip(&odds).map(|(fit, odds)| fit * odds).sum();
                let off = if all > 0.0 {
                    OFF_THE_SHEET * off_the_sheet(hypotheses, &row.typical)
                } else {
                    1.0
                };
                let place = SetSection::WORDS
                    .iter()
                    .position(|own| own.1 == row.section);
                if let Some(own) = place.and_then(|at| strange.get_mut(at)) {
                    *own += row.weight * off;
                }
                if all > 0.0 {
                    let weight = row.weight * (1.0 - off);
                    let times = weight * faulty / all;
                    own.push(Row {
                        fits,
                        weight,
                        times,
                    });
                }
            }
            not_listed.push(strange);
            rows.push(own);
        }
        let times = balanced(&mut rows, &odds);
        // One that is not listed is as likely in any section before anything is known.
        let before = odds_not_listed / SetSection::WORDS.len() as f64;
        let count = table.len().max(1) as f64;
        let sums: Vec<f64> = (0..SetSection::WORDS.len())
            .map(|section| not_listed.iter().map(|own| own[section]).sum())
            .collect();
        let shown = sums.iter().map(|sum| sum / count * faulty / before);
        let shown = shown.collect();
        for own in &mut not_listed {
            for (share, sum) in own.iter_mut().zip(&sums) {
                // Of a section for which the table names nothing else any symptom is as likely.
                let among = if *sum > 0.0 {
                    *share / sum * count
                } else {
                    1.0
                };
                *share = ELSEWHERE + (1.0 - ELSEWHERE) * among;
            }
        }
        Symptoms {
            times,
            not_listed,
            shown,
            able,
        }
    }

    /// How many symptoms there are.
    pub fn count(&self) -> usize {
        self.times.len()
    }

    /// Chance that a fault which disturbs shows in this symptom.
    pub fn chance(&self, symptom: usize, hypothesis: usize) -> f64 {
        let times = self.times.get(symptom).and_then(|own| own.get(hypothesis));
        times.map_or(0.0, |times| times / self.times.len() as f64)
    }

    /// Whether each solved severity of a hypothesis can disturb.
    pub fn able(&self, hypothesis: usize) -> &[f64] {
        self.able.get(hypothesis).map_or(&[], Vec::as_slice)
    }

    /// Natural logarithm of how many times likelier the symptom is with this fault, where it disturbs, than in a
    /// healthy set.
    pub(super) fn seen(&self, symptom: usize, hypothesis: usize) -> f64 {
        let times = self.times.get(symptom).and_then(|own| own.get(hypothesis));
        times.map_or(0.0, |times| (times / MISTAKEN).ln())
    }

    /// The same for a fault that is not listed, by section.
    pub(super) fn seen_not_listed(&self, symptom: usize) -> Vec<f64> {
        let own = self.not_listed.get(symptom).into_iter().flatten();
        own.map(|own| (own / MISTAKEN).ln()).collect()
    }

    /// Chance of the symptom with a fault that is not listed and disturbs, by section.
    pub(super) fn chance_not_listed(&self, symptom: usize) -> Vec<f64> {
        let own = self.not_listed.get(symptom).into_iter().flatten();
        own.map(|own| own / self.times.len() as f64).collect()
    }

    /// By section: odds of a fault that is not listed and shows in some symptom, by the table, over those of before.
    pub(super) fn shown_not_listed(&self) -> &[f64] {
        &self.shown
    }
}

/// Natural logarithm of how likely it is that a fault which disturbs shows none of some symptoms, whose chances sum
/// to `all`; `is_any` where it shows another.
pub(super) fn none_of(all: f64, is_any: bool) -> f64 {
    let all = all.min(1.0);
    let chance = match is_any {
        true => 1.0 - TWO_SYMPTOMS * all,
        false => 1.0 - (1.0 - OVERLOOKED) * all,
    };
    chance.ln()
}

/// By hypothesis and solved severity: whether it can disturb.
pub(in super::super) fn all_able(hypotheses: &Hypotheses, foretold: &[Foretold]) -> Vec<Vec<f64>> {
    hypotheses
        .list
        .iter()
        .enumerate()
        .map(|(number, own)| {
            let mut solved = foretold.iter().filter_map(|told| told.faulty.get(number));
            let Some(first) = solved.next() else {
                let severity = match own.spread {
                    Spread::Once(severity) => severity,
                    Spread::Law(law) => law.at(0.5),
                };
                return vec![able(own, severity, 0.0)];
            };
            // What only an ohmmeter finds disturbs nothing.
            let hot = foretold.iter().filter(|told| !told.is_cold());
            let hot = hot.filter_map(|told| told.faulty.get(number));
            first
                .severities
                .iter()
                .enumerate()
                .map(|(at, severity)| {
                    let reach = hot.clone().filter_map(|own| own.reach.get(at).copied());
                    able(own, *severity, reach.fold(0.0, f64::max))
                })
                .collect()
        })
        .collect()
}

/// Sections that a suspect serves.
pub(super) fn shares_of(sections: &Sections, suspect: Suspect) -> Shares {
    match suspect {
        Suspect::Part(part) => sections.of_part(part).to_vec(),
        Suspect::Tube(tube) | Suspect::Socket(tube) => sections.of_tube(tube),
        Suspect::Transformer(_) => vec![(SetSection::Supply, 1.0)],
    }
}

fn share_in(shares: &Shares, section: SetSection) -> f64 {
    let own = shares.iter().find(|own| own.0 == section);
    own.map_or(0.0, |own| own.1)
}

/// How much a fault is of the parts that the table names.
fn fit(model: &SetModel<'_>, hypotheses: &Hypotheses, at: usize, typical: &[TypicalPart]) -> f64 {
    let own = &hypotheses.list[at];
    if own.is_of_sheet() {
        return 0.0;
    }
    let kind = own.suspect.kind(model);
    typical
        .iter()
        .map(|row| {
            let same_fault = same_fault(&row.fault, &own.row);
            let base = if same_fault && (row.kind == kind || alike(&row.kind, kind)) {
                NAMED
            } else if row.kind == kind {
                ALIKE
            } else {
                return 1.0;
            };
            base * in_place(model, own.suspect, &row.place)
        })
        .fold(1.0, f64::max)
}

/// Names of one fault in the rows of like kinds.
fn same_fault(one: &str, other: &str) -> bool {
    one == other || one == "leaky" && other == "slightly leaky"
}

/// Kinds that do the same work and fail alike.
fn alike(one: &str, other: &str) -> bool {
    const FOIL: [&str; 4] = ["paper", "moulded-paper", "film", "ceramic"];
    FOIL.contains(&one) && FOIL.contains(&other)
}

/// How much likelier where the part sits as the table says; words that tell no place count as nothing.
fn in_place(model: &SetModel<'_>, suspect: Suspect, place: &str) -> f64 {
    let is_there = match suspect {
        Suspect::Tube(tube) => {
            let Some(own) = model.sheet.tubes.get(tube) else {
                return 1.0;
            };
            let job = own.job.to_lowercase();
            let mut words = place
                .split(|letter: char| !letter.is_alphanumeric() && letter != '.')
                .filter(|word| word.len() > 2 && *word != "the");
            if place.contains("string") || words.clone().next().is_none() {
                return 1.0;
            }
            words.any(|word| job.contains(word))
        }
        Suspect::Part(part) => {
            let ends = model.part_ends.get(part).copied().unwrap_or_default();
            let touches = |electrode: usize| {
                model.stages.complete.iter().any(|stage| {
                    stage.electrodes[electrode].is_some_and(|own| ends.contains(&Some(own)))
                })
            };
            let at_cathode = || {
                let stages = model.stages.complete.iter();
                let mut cathodes = stages.map(|stage| stage.cathode);
                cathodes
                    .any(|own| Some(own) != model.chassis_junction() && ends.contains(&Some(own)))
            };
            if place.contains("screen") {
                touches(2)
            } else if place.contains("cathode") {
                at_cathode()
            } else if place.contains("coupling") {
                touches(1) && touches(0)
            } else if place.contains("grid") {
                touches(1)
            } else if place.contains("plate") {
                touches(0)
            } else if place.contains("filter") {
                model.follows(part)
            } else {
                return 1.0;
            }
        }
        Suspect::Transformer(_) | Suspect::Socket(_) => return 1.0,
    };
    if is_there { IN_PLACE } else { 1.0 / IN_PLACE }
}

/// Share of the parts that the table names of which this set has no such fault listed.
fn off_the_sheet(hypotheses: &Hypotheses, typical: &[TypicalPart]) -> f64 {
    if typical.is_empty() {
        return 0.0;
    }
    let missing = typical
        .iter()
        .filter(|row| !hypotheses.list.iter().any(|own| own.row == row.fault))
        .count();
    missing as f64 / typical.len() as f64
}
