//! Which part explains the readings of a restoration, told as a view.
//!
//! Weights are plain. Nothing is written. Fails as opening the restoration does.

use std::path::Path;

use receiver::suspects::explain::healthy_band;
use receiver::suspects::outcome::Found;
use receiver::suspects::pairs::Pair;
use receiver::suspects::rank::{Ranked, Ranking};

use super::ask::{Hunt, Weighed, Without, hunt};
use super::gather::Stands;
use super::words::{in_words, kind_of, named, unit_of};
use crate::long_work::LongWork;
use crate::trouble::Trouble;
use crate::view::{
    ConditionsView, DangerView, HuntedReadingView, NotFollowedView, NoticedSpeaksView, NoticedView,
    PairView, PartFoundView, SilentView, SpeaksView, SuspectView, SuspectsView, WayView,
    six_figures,
};
use crate::{FORMAT, PROGRAM_VERSION};

/// Weight from which on a part stands out (judgement: one of five).
const STANDS_OUT: f64 = 0.2;

/// Logarithm of how many times likelier something noticed must be to speak for or against (judgement: e
/// times, as the ranking has it).
pub(super) const SPEAKS: f64 = 1.0;

/// Tells which part explains the readings.
pub fn tell_suspects(file: &Path, work: LongWork<'_>) -> Result<SuspectsView, Trouble> {
    hunt(file, Without::Nothing, work, |own| Ok(view(own)))
}

fn view(own: &Hunt<'_, '_>) -> SuspectsView {
    let ranking = own.ranking();
    let none_read = own.knows_nothing();
    let suspects = if none_read {
        Vec::new()
    } else {
        let ranked = ranking.suspects.iter();
        ranked.map(|ranked| suspect_view(own, ranked)).collect()
    };
    let followed = own.hypotheses.left_out.iter();
    SuspectsView {
        format: FORMAT,
        program: PROGRAM_VERSION,
        data: parts::DATA_EDITION,
        file: own.file.clone(),
        restoration: own.restoration.clone(),
        danger: receiver::sweep_drive::danger(&own.drives()).map(DangerView::from),
        verdict: verdict(&ranking, none_read),
        conditions: own.conditions_views(),
        readings: own
            .readings
            .iter()
            .map(|reading| reading_view(own, reading))
            .collect(),
        noticed: noticed_views(own),
        suspects,
        pairs: ranking
            .pairs
            .iter()
            .filter_map(|pair| pair_view(own, pair))
            .collect(),
        healthy: six_figures(ranking.healthy),
        not_listed: six_figures(ranking.not_listed),
        silent: silent(own, &ranking),
        unsolved: if none_read { 0 } else { ranking.untold },
        not_followed: followed
            .map(|(kind, fault)| NotFollowedView {
                kind: kind.clone(),
                fault: fault.clone(),
            })
            .collect(),
        found: own.found_views(),
        bent_by: own.so_far.bent_by.clone(),
        not_used: own.so_far.not_used.clone(),
        cautions: cautions(),
        notices: own.notices.clone(),
    }
}

fn pair_view(own: &Hunt<'_, '_>, pair: &Pair) -> Option<PairView> {
    let told = |(hypothesis, severity): (usize, f64)| {
        let fault = own.hypotheses.list.get(hypothesis)?;
        let part = fault.suspect.reference(own.model).to_owned();
        let text = in_words(own.model, fault, &unit_of(own.model, fault), severity);
        Some((part, text))
    };
    let (one, other) = (told(pair.one)?, told(pair.other)?);
    Some(PairView {
        parts: [one.0, other.0],
        texts: [one.1, other.1],
        weight: six_figures(pair.weight),
    })
}

/// How the ranking ends, in a word.
pub(super) fn verdict(ranking: &Ranking, none_read: bool) -> &'static str {
    let best = ranking.suspects.first().map_or(0.0, |own| own.weight);
    match ranking {
        _ if none_read => "nothing_read",
        ranking if ranking.nothing_explains => "nothing_explains",
        ranking if ranking.healthy >= best => "healthy",
        _ if best < STANDS_OUT => "undecided",
        _ => "suspects",
    }
}

/// The usual cautions of one who looks for a fault.
pub(super) fn cautions() -> Vec<String> {
    use receiver::hazard::{USUAL_STORED_CHARGE, USUAL_WHILE_ENERGISED};
    let both = [USUAL_WHILE_ENERGISED, USUAL_STORED_CHARGE].concat();
    both.iter().map(|text| (*text).to_owned()).collect()
}

impl Hunt<'_, '_> {
    /// The conditions in which something that counts was read.
    pub(super) fn conditions_views(&self) -> Vec<ConditionsView> {
        let line = self.so_far.sheet.line_volts;
        let own = self.foretold.iter();
        own.map(|told| ConditionsView::of(&told.conditions, line, !told.is_cold()))
            .collect()
    }

    /// What was found of single parts.
    pub(super) fn found_views(&self) -> Vec<PartFoundView> {
        let own = self.found.iter();
        own.map(|found| PartFoundView {
            entry: found.entry,
            part: found.part.clone(),
            verdict: match (&found.figure, &found.outcome.found) {
                (Some(_), _) => "tried",
                (None, Found::Good(_)) => "cleared",
                (None, Found::Bad(_)) => "condemned",
            },
            words: found.words.clone(),
        })
        .collect()
    }

    /// A hypothesis with its weight and the severity to tell.
    pub(super) fn way_view(
        &self,
        hypothesis: usize,
        weight: f64,
        severity: f64,
        state: &'static str,
    ) -> Option<WayView> {
        let own = self.hypotheses.list.get(hypothesis)?;
        let unit = unit_of(self.model, own);
        Some(WayView {
            fault: named(self.model, own),
            weight: six_figures(weight),
            severity: (!unit.is_empty()).then(|| six_figures(severity)),
            text: in_words(self.model, own, &unit, severity),
            unit,
            state,
            chance: six_figures(own.chance),
            source: own.source.clone(),
            standing: own.standing.to_string(),
        })
    }
}

fn suspect_view(own: &Hunt<'_, '_>, ranked: &Ranked) -> SuspectView {
    let speaks = |list: &[(usize, f64)]| -> Vec<SpeaksView> {
        list.iter()
            .filter_map(|(at, likelier)| {
                let reading = own.reading(*at)?;
                Some(SpeaksView {
                    entry: reading.of.entry,
                    at: reading.of.at.clone(),
                    times: times(*likelier),
                })
            })
            .collect()
    };
    let beside = ranked.ways.first().map_or_else(Vec::new, |way| {
        own.noticed_beside(way.hypothesis, way.severity)
    });
    let noticed = |sign: f64| -> Vec<NoticedSpeaksView> {
        let mut list: Vec<&(usize, f64)> = beside
            .iter()
            .filter(|(_, log)| log * sign > SPEAKS)
            .collect();
        list.sort_by(|one, other| (sign * other.1).total_cmp(&(sign * one.1)));
        list.into_iter()
            .filter_map(|(at, log)| noticed_speaks(own, *at, *log))
            .collect()
    };
    let ways = ranked.ways.iter();
    SuspectView {
        noticed_for: noticed(1.0),
        noticed_against: noticed(-1.0),
        part: ranked.suspect.reference(own.model).to_owned(),
        kind: kind_of(own.model, ranked.suspect),
        weight: six_figures(ranked.weight),
        ways: ways
            .filter_map(|way| own.way_view(way.hypothesis, way.weight, way.severity, "weighed"))
            .collect(),
        speaks_for: speaks(&ranked.speak_for),
        speaks_against: speaks(&ranked.speak_against),
        unexplained: ranked
            .unexplained
            .iter()
            .filter_map(|at| Some(own.reading(*at)?.of.entry))
            .collect(),
    }
}

/// Everything noticed, with whether it counts.
fn noticed_views(own: &Hunt<'_, '_>) -> Vec<NoticedView> {
    let all = own.noticed.iter().enumerate();
    all.map(|(at, noticed)| {
        let (state, because, since) = match (&noticed.former, own.not_weighed(at)) {
            (Some((since, because)), _) => ("former", because.clone(), Some(*since)),
            (None, Some(because)) => ("not_weighed", because, None),
            (None, None) => ("weighed", String::new(), None),
        };
        NoticedView {
            entry: noticed.entry,
            text: noticed.text.clone(),
            state,
            because,
            since,
        }
    })
    .collect()
}

/// Something noticed beside a fault.
pub(super) fn noticed_speaks(own: &Hunt<'_, '_>, at: usize, log: f64) -> Option<NoticedSpeaksView> {
    let noticed = own.noticed.get(at)?;
    Some(NoticedSpeaksView {
        entry: noticed.entry,
        text: noticed.text.clone(),
        times: times(log),
    })
}

/// How many times likelier, from its logarithm; at most what a number holds.
pub(super) fn times(likelier: f64) -> f64 {
    six_figures(likelier.clamp(-600.0, 600.0).exp())
}

/// One reading with its healthy band.
pub(super) fn reading_view(own: &Hunt<'_, '_>, reading: &Weighed) -> HuntedReadingView {
    let of = &reading.of;
    let (state, because, since) = match &of.stands {
        Stands::Now(..) => ("weighed", String::new(), None),
        Stands::Former { since, because } => ("former", because.clone(), Some(*since)),
        Stands::Unused { because } => ("not_weighed", because.clone(), None),
    };
    let band = reading
        .seen
        .and_then(|seen| healthy_band(own.foretold.get(seen.conditions)?, seen.probe));
    let verdict = match &band {
        Some(band) if of.value < band.low => "low",
        Some(band) if of.value > band.high => "high",
        Some(_) => "inside",
        None => "",
    };
    HuntedReadingView {
        entry: of.entry,
        at: of.at.clone(),
        to: of.to.clone().unwrap_or_else(|| "chassis".to_owned()),
        what: of.what,
        value: of.value.is_finite().then(|| six_figures(of.value)),
        state,
        because,
        since,
        conditions: reading.seen.map(|seen| seen.conditions),
        low: band.as_ref().map(|band| six_figures(band.low)),
        expected: band.as_ref().map(|band| six_figures(band.expected)),
        high: band.as_ref().map(|band| six_figures(band.high)),
        verdict,
    }
}

/// Faults that such readings cannot find, the parts of each together.
fn silent(own: &Hunt<'_, '_>, ranking: &Ranking) -> Vec<SilentView> {
    let mut found: Vec<SilentView> = Vec::new();
    for &at in &ranking.silent {
        let Some(hypothesis) = own.hypotheses.list.get(at) else {
            continue;
        };
        let part = hypothesis.suspect.reference(own.model).to_owned();
        match found
            .iter_mut()
            .find(|known| known.fault == hypothesis.fault)
        {
            Some(known) => {
                if !known.parts.contains(&part) {
                    known.parts.push(part);
                }
            }
            None => found.push(SilentView {
                fault: hypothesis.fault.clone(),
                parts: vec![part],
            }),
        }
    }
    found
}
