//! One part's case: its ways of failing, and every reading beside the one that explains best.
//!
//! Readings in their own unit. A part of which nothing is weighed is set beside the readings at
//! the severity that moves most. Fails as opening the restoration does, and for a part that the
//! sheet has not.

use std::path::Path;

use receiver::sheet::Sheet;
use receiver::suspects::explain::{Beside, beside, worst};
use receiver::suspects::hypotheses::Hypotheses;
use receiver::suspects::rank::Ranking;
use receiver::wiring::SetModel;

use super::ask::{Hunt, Without, hunt_for, suspect};
use super::rank::{SPEAKS, noticed_speaks, reading_view, times};
use super::words::kind_of;
use crate::long_work::LongWork;
use crate::trouble::Trouble;
use crate::view::{BesideView, ExplainView, WayView, six_figures};
use crate::{FORMAT, PROGRAM_VERSION};

/// Tells the case of one part.
pub fn explain_suspect(
    file: &Path,
    part: &str,
    work: LongWork<'_>,
) -> Result<ExplainView, Trouble> {
    let known = |sheet: &Sheet, model: &SetModel<'_>, _: &Hypotheses| {
        suspect(sheet, model, part).map(|_| ())
    };
    hunt_for(file, Without::Nothing, work, known, |own| {
        let suspect = own.suspect(part)?;
        let ranking = own.ranking();
        let place = ranking
            .suspects
            .iter()
            .position(|ranked| ranked.suspect == suspect);
        let ranked = place.and_then(|at| ranking.suspects.get(at));
        let mut ways: Vec<(usize, f64)> = Vec::new();
        let mut views: Vec<WayView> = Vec::new();
        for way in ranked.into_iter().flat_map(|ranked| &ranked.ways) {
            ways.push((way.hypothesis, way.severity));
            views.extend(own.way_view(way.hypothesis, way.weight, way.severity, "weighed"));
        }
        for (at, hypothesis) in own.hypotheses.list.iter().enumerate() {
            if hypothesis.suspect != suspect || ways.iter().any(|(known, _)| *known == at) {
                continue;
            }
            let severity = own.foretold.first().and_then(|told| worst(told, at));
            let severity = severity.unwrap_or(1.0);
            ways.push((at, severity));
            views.extend(own.way_view(at, 0.0, severity, state_of(&ranking, own, at)));
        }
        let first = ways.first().copied();
        let besides = first.map_or_else(Vec::new, |(hypothesis, severity)| {
            beside(&own.foretold, &own.seen(), hypothesis, severity)
        });
        let noticed = first.map_or_else(Vec::new, |(hypothesis, severity)| {
            own.noticed_beside(hypothesis, severity)
        });
        let counting = own.readings.iter().filter(|reading| reading.seen.is_some());
        let readings = counting
            .zip(besides.into_iter().chain(std::iter::repeat(None)))
            .map(|(reading, found)| BesideView {
                with_fault: found.map(|found| six_figures(found.with_fault)),
                times: found.map(|found| times(found.likelier)),
                speaks: speaks(found),
                reading: reading_view(own, reading),
            })
            .collect();
        let reference = suspect.reference(own.model);
        let mut found = own.found_views();
        found.retain(|found| found.part == reference);
        Ok(ExplainView {
            format: FORMAT,
            program: PROGRAM_VERSION,
            data: parts::DATA_EDITION,
            file: own.file.clone(),
            restoration: own.restoration.clone(),
            part: reference.to_owned(),
            kind: kind_of(own.model, suspect),
            weight: six_figures(ranked.map_or(0.0, |ranked| ranked.weight)),
            place: place.filter(|_| !own.foretold.is_empty()).map(|at| at + 1),
            beside: views
                .first()
                .map_or_else(String::new, |way| way.text.clone()),
            ways: views,
            burns_watts: first
                .and_then(|(hypothesis, severity)| own.signs().burns(hypothesis, severity))
                .map(six_figures),
            conditions: own.conditions_views(),
            readings,
            noticed: noticed
                .into_iter()
                .filter_map(|(at, log)| noticed_speaks(own, at, log))
                .collect(),
            found,
        })
    })
}

fn state_of(ranking: &Ranking, own: &Hunt<'_, '_>, at: usize) -> &'static str {
    if own.foretold.is_empty() || ranking.silent.contains(&at) {
        "silent"
    } else {
        "unsolved"
    }
}

fn speaks(found: Option<Beside>) -> &'static str {
    match found {
        Some(found) if found.likelier > SPEAKS => "for",
        Some(found) if found.likelier < -SPEAKS => "against",
        _ => "neither",
    }
}
