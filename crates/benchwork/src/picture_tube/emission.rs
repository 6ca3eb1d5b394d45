//! Emission against time and comparisons of two records, as they are shown.
//!
//! Levels in the unit of the record, minutes. Words and order alone are made here. Nothing fails.

use quantity::Band;
use receiver::picture_tube::emission::{
    Comparison, Direction, EmissionOutlook, Heading, KnownWhen, Waiting,
};
use receiver::picture_tube::judge_tube::{Sitting, TubeJudgement};

use crate::view::{BandView, ComparisonView, EmissionView, six_figures};

pub(super) fn emission_view(sitting: &Sitting, outlook: &EmissionOutlook) -> EmissionView {
    let (told, because) = match &outlook.heading {
        Heading::Told(_) => (true, String::new()),
        Heading::CannotTell { because, .. } => (false, because.clone()),
    };
    let (known, known_in) = match &outlook.known {
        KnownWhen::Now => (
            "the level is known to within 5 percent".to_owned(),
            Some(0.0),
        ),
        KnownWhen::AfterMinutes(minutes) => (
            format!(
                "after about {minutes:.0} more minutes, read at the same pace, it will be known to within 5 percent"
            ),
            Some(*minutes),
        ),
        KnownWhen::NotWithin(minutes) => (
            format!("{minutes:.0} more minutes will not tell it to within 5 percent"),
            None,
        ),
        KnownWhen::CannotTell(because) => (because.clone(), None),
    };
    let (waiting, waiting_text) = match &outlook.waiting {
        Waiting::Worth(text) => ("worth", text),
        Waiting::NotWorth(text) => ("not_worth", text),
        Waiting::CannotTell(text) => ("cannot_tell", text),
    };
    let mut readings: Vec<[f64; 2]> = sitting
        .record
        .readings
        .iter()
        .map(|one| [six_figures(one.minutes), six_figures(one.reading)])
        .collect();
    readings.sort_by(|one, other| one[0].total_cmp(&other[0]));
    EmissionView {
        sitting: sitting.name.clone(),
        unit: outlook.unit.clone(),
        scale_end: sitting.record.scale_end,
        readings,
        now: BandView::new(&outlook.now, 1.0),
        heading: BandView::new(outlook.heading.band(), 1.0),
        heading_is_told: told,
        because,
        direction: match outlook.direction {
            Direction::Rising => "rising",
            Direction::Falling => "falling",
            Direction::Steady => "steady",
            Direction::CannotTell => "cannot_tell",
        },
        chance_of_rising: six_figures(outlook.chance_of_rising),
        chance_of_falling: six_figures(outlook.chance_of_falling),
        known,
        known_in_minutes: known_in,
        waiting,
        waiting_text: waiting_text.clone(),
        misread: outlook.misread.clone(),
        at_scale_end: outlook.at_scale_end.clone(),
        notices: outlook.notices.clone(),
        curve: outlook
            .curve
            .iter()
            .map(|point| [point.minutes, point.low, point.middle, point.high].map(six_figures))
            .collect(),
    }
}

pub(super) fn since_before(
    emission: &[EmissionView],
    judged: Option<&TubeJudgement>,
) -> Vec<ComparisonView> {
    let named = |name: &str| match name {
        "" => "the first sitting".to_owned(),
        name => format!("sitting {name}"),
    };
    match (
        emission,
        judged.and_then(|judged| judged.since_before.as_ref()),
    ) {
        ([.., before, last], Some(comparison)) => vec![comparison_view(
            named(&last.sitting),
            named(&before.sitting),
            comparison,
        )],
        _ => Vec::new(),
    }
}

/// A comparison of two, in words as well.
pub(super) fn comparison_view(
    first: String,
    second: String,
    comparison: &Comparison,
) -> ComparisonView {
    let times = |ratio: &Band| {
        format!(
            "{:.2} to {:.2} times the other's level",
            ratio.low, ratio.high
        )
    };
    let (better, chance, ratio, text) = match comparison {
        Comparison::First { chance, ratio } => (
            "first",
            Some(*chance),
            Some(ratio),
            format!("{first} is heading higher: {}", times(ratio)),
        ),
        Comparison::Second { chance, ratio } => (
            "second",
            Some(*chance),
            Some(ratio),
            format!("{second} is heading higher; {first} at {}", times(ratio)),
        ),
        Comparison::CannotTell { because } => ("cannot_tell", None, None, because.clone()),
    };
    ComparisonView {
        better,
        chance: chance.map(six_figures),
        ratio: ratio.map(|ratio| BandView::new(ratio, 1.0)),
        text,
        first,
        second,
    }
}
