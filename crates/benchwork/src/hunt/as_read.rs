//! How the weights of the suspects came about: ranked anew after each reading that counts, in the order of the entries.
//!
//! Weights are plain. What was noticed beside the readings and the state of the set count from the beginning, since
//! they belong to no reading. Nothing is written. Fails as opening the restoration does.

use std::path::Path;

use receiver::suspects::evidence::Seen;
use receiver::suspects::rank::{Ranking, rank_beside};

use super::ask::{Hunt, Weighed, Without, hunt};
use super::rank::reading_view;
use crate::long_work::LongWork;
use crate::trouble::Trouble;
use crate::view::{AfterReadingView, AsReadView, six_figures};
use crate::{FORMAT, PROGRAM_VERSION};

/// Rankings made at most, that without a reading among them; of more readings the last ones are told.
const MOST: usize = 16;
/// Parts that are followed at most, and how many of them lead the last ranking.
const MOST_PARTS: usize = 6;
const LEADING: usize = 4;

/// Tells how the weights came about.
pub fn tell_as_read(file: &Path, work: LongWork<'_>) -> Result<AsReadView, Trouble> {
    hunt(file, Without::Nothing, work, |own| view(own, work))
}

fn view(own: &Hunt<'_, '_>, work: LongWork<'_>) -> Result<AsReadView, Trouble> {
    let counting: Vec<(&Weighed, Seen)> = own
        .readings
        .iter()
        .filter_map(|reading| Some((reading, reading.seen?)))
        .collect();
    let first = counting.len().saturating_sub(MOST - 1);
    let rankings: Vec<(usize, Ranking)> = (first..=counting.len())
        .map(|count| {
            work.comes_to(&format!(
                "Weighing after reading {count} of {}",
                counting.len()
            ))?;
            let seen: Vec<Seen> = counting[..count].iter().map(|(_, seen)| *seen).collect();
            let ranking = rank_beside(&own.hypotheses, &own.foretold, &seen, own.signs());
            Ok((count, ranking))
        })
        .collect::<Result<_, Trouble>>()?;
    let parts = followed(own, &rankings);
    let after = |(count, ranking): &(usize, Ranking)| {
        let read = count.checked_sub(1).and_then(|last| counting.get(last));
        AfterReadingView {
            count: *count,
            reading: read.map(|(reading, _)| reading_view(own, reading)),
            healthy: six_figures(ranking.healthy),
            not_listed: six_figures(ranking.not_listed),
            weights: parts
                .iter()
                .map(|part| six_figures(weight(own, ranking, part)))
                .collect(),
        }
    };
    let steps: Vec<AfterReadingView> = rankings.iter().map(after).collect();
    Ok(AsReadView {
        format: FORMAT,
        program: PROGRAM_VERSION,
        data: parts::DATA_EDITION,
        file: own.file.clone(),
        restoration: own.restoration.clone(),
        parts,
        steps,
        not_told: first,
        notices: own.notices.clone(),
    })
}

/// The parts that lead at the end, and those that led meanwhile.
fn followed(own: &Hunt<'_, '_>, rankings: &[(usize, Ranking)]) -> Vec<String> {
    let leads = |ranking: &Ranking, place: usize| {
        let ranked = ranking.suspects.get(place)?;
        Some(ranked.suspect.reference(own.model).to_owned())
    };
    let last = rankings.last().map(|(_, ranking)| ranking);
    let at_the_end = (0..LEADING).filter_map(|place| leads(last?, place));
    // That without a reading is left out: what leads there is only what fails most often.
    let meanwhile = rankings
        .iter()
        .rev()
        .filter(|(count, _)| *count > 0)
        .filter_map(|(_, ranking)| leads(ranking, 0));
    let mut parts: Vec<String> = Vec::new();
    for part in at_the_end.chain(meanwhile) {
        if parts.len() < MOST_PARTS && !parts.contains(&part) {
            parts.push(part);
        }
    }
    parts
}

fn weight(own: &Hunt<'_, '_>, ranking: &Ranking, part: &str) -> f64 {
    let mut ranked = ranking.suspects.iter();
    ranked
        .find(|ranked| ranked.suspect.reference(own.model) == part)
        .map_or(0.0, |ranked| ranked.weight)
}
