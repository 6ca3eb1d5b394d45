//! Whether a section is formed, goes on, stops or is to be replaced, from its readings so far.
//!
//! Volts, amperes, minutes, degrees Celsius. Source: the limit of [`super::leak_limits`], the heat limit
//! of the rules on hazards, and judgement where the constants say so. Readings count from when the
//! present volts were put on; what flows in the first ten time constants is charging and counts
//! for nothing. Not knowing (no resistor told, too few readings) is said and never accepted.

use super::bench::FormingBench;
use super::law::{FEWEST_READINGS, Forecast, forecast};
use crate::hazard::MOST_WATTS_IN_CAN;

/// Case at which it is broken off, degrees Celsius (the caution on hot cans, from memory).
pub const HOT_CELSIUS: f64 = 45.0;
/// Rise over the lowest reading at the same volts that counts as rising (judgement, above two errors of reading).
const RISE: f64 = 1.1;
/// Minutes after which a step must show a fall (as in the set: judgement).
const NO_FALL_MINUTES: f64 = 30.0;
/// The fall that must be there by then, as a share of the first reading.
const NO_FALL_SHARE: f64 = 0.9;
/// Minutes after which the limit counts (checks EL rows: "after a few minutes").
const LEAST_MINUTES: f64 = 5.0;
/// Hours above the limit at the highest volts after which it is given up unless it is on its way (judgement).
const GIVE_UP_MINUTES: f64 = 180.0;
/// Share of the wanted volts that must stand across the section itself.
const FULL_SHARE: f64 = 0.9;
/// Leakage over the limit at which the next volts may be put on.
pub(super) const NEXT_OVER_LIMIT: f64 = 2.0;
/// Heat over the limit that the tolerance of a resistor, and one value too small, explain.
const RESISTOR_SHARE: f64 = 1.1;
/// Volts over the marked ones that a meter's error explains.
const METER_SHARE: f64 = 1.02;
/// Share of the weight for meeting the limit within a day below which waiting is no use.
const HOPELESS: f64 = 0.05;

/// How a can looks and feels, the gravest last.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum CanLook {
    /// As a sound one.
    Sound,
    /// Warm to the hand, volts off and discharged.
    Warm,
    /// Hot.
    Hot,
    /// Bulging.
    Bulging,
    /// Leaking, or its vent lifted.
    Leaking,
}

/// One reading of a section.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct LeakReading {
    /// Minutes since the present volts were put on.
    pub minutes: f64,
    /// Volts of the source.
    pub source_volts: f64,
    /// Volts across the section, where measured.
    pub section_volts: Option<f64>,
    /// Leakage.
    pub amperes: f64,
    /// The resistor that was in series, where told.
    pub series_ohms: Option<f64>,
    /// Warmth of the case.
    pub case_celsius: Option<f64>,
    /// How it looks.
    pub look: Option<CanLook>,
}

/// What to do.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum FormingVerdict {
    /// Nothing was read yet.
    NotBegun,
    /// Stay at these volts and read again.
    GoOn,
    /// Put the next volts on.
    NextVolts,
    /// Its leakage meets the limit.
    Accepted,
    /// Take the volts off now.
    Stop,
    /// It will not come back.
    Replace,
}

impl FormingVerdict {
    /// The word in answers.
    #[must_use]
    pub fn word(self) -> &'static str {
        match self {
            FormingVerdict::NotBegun => "not_begun",
            FormingVerdict::GoOn => "go_on",
            FormingVerdict::NextVolts => "next_volts",
            FormingVerdict::Accepted => "accepted",
            FormingVerdict::Stop => "stop",
            FormingVerdict::Replace => "replace",
        }
    }
}

/// Readings judged.
#[derive(Debug, Clone, PartialEq)]
pub struct JudgedForming {
    /// What to do.
    pub verdict: FormingVerdict,
    /// Why, one sentence each.
    pub because: Vec<String>,
    /// Volts to put on next, of [`FormingVerdict::NextVolts`].
    pub next_volts: Option<f64>,
    /// Volts across the section at the last reading, measured or from the resistor.
    pub section_volts: Option<f64>,
    /// Heat in it then.
    pub section_watts: Option<f64>,
    /// Positions of the readings at the present volts.
    pub at_these_volts: Vec<usize>,
    /// Leakage at which it may be accepted: the limit, or less where that would leave too few volts across the section.
    pub goal_amperes: f64,
    /// Where they are heading, held against that goal.
    pub forecast: Option<Forecast>,
    /// Whether the last reading meets the form of today's data sheets too.
    pub meets_modern: bool,
}

/// Judges the readings of one section, in the order in which they were taken.
#[must_use]
pub fn judge_forming(bench: &FormingBench, readings: &[LeakReading]) -> JudgedForming {
    let mut judged = JudgedForming {
        verdict: FormingVerdict::NotBegun,
        because: Vec::new(),
        next_volts: None,
        section_volts: None,
        section_watts: None,
        at_these_volts: at_these_volts(readings),
        goal_amperes: bench.limit_amperes,
        forecast: None,
        meets_modern: false,
    };
    let Some(last) = readings.last() else {
        judged.because.push("nothing was read yet".to_owned());
        return judged;
    };
    let own: Vec<LeakReading> = judged
        .at_these_volts
        .iter()
        .filter_map(|&place| readings.get(place).copied())
        .filter(|one| one.minutes >= bench.charging_minutes())
        .collect();
    judged.goal_amperes = goal(bench, last);
    judged.forecast = forecast(&pairs_of(&own), judged.goal_amperes);
    judged.section_volts = last.section_volts.or_else(|| {
        let ohms = last.series_ohms?;
        Some((last.source_volts - last.amperes * ohms).max(0.0))
    });
    judged.section_watts = judged.section_volts.map(|volts| volts * last.amperes);
    judged.meets_modern = last.amperes <= bench.limits.modern_amperes;
    if let Some((verdict, because)) = alarm(bench, &judged, last, &own) {
        judged.verdict = verdict;
        judged.because = because;
        return judged;
    }
    let (verdict, because) = progress(bench, &mut judged, last, &own);
    judged.verdict = verdict;
    judged.because = because;
    judged
}

fn pairs_of(own: &[LeakReading]) -> Vec<(f64, f64)> {
    own.iter().map(|one| (one.minutes, one.amperes)).collect()
}

/// Leakage that meets the limit and leaves enough volts across the section.
fn goal(bench: &FormingBench, last: &LeakReading) -> f64 {
    let by_volts = last
        .series_ohms
        .filter(|ohms| *ohms > 0.0 && is_at_top(bench, last))
        .map(|ohms| (last.source_volts - FULL_SHARE * bench.top_volts) / ohms);
    by_volts.map_or(bench.limit_amperes, |amperes| {
        amperes.min(bench.limit_amperes)
    })
}

/// Positions of the last readings that were taken at the same volts in one go.
fn at_these_volts(readings: &[LeakReading]) -> Vec<usize> {
    let mut own: Vec<usize> = Vec::new();
    for (place, one) in readings.iter().enumerate() {
        let goes_on = own
            .last()
            .and_then(|&before| readings.get(before))
            .is_some_and(|before| {
                (one.source_volts - before.source_volts).abs() <= 0.02 * before.source_volts
                    && one.minutes > before.minutes
            });
        if !goes_on {
            own.clear();
        }
        own.push(place);
    }
    own
}

/// Reasons to break off or give up, gravest first.
fn alarm(
    bench: &FormingBench,
    judged: &JudgedForming,
    last: &LeakReading,
    own: &[LeakReading],
) -> Option<(FormingVerdict, Vec<String>)> {
    let mut replace = Vec::new();
    let mut stop = Vec::new();
    match last.look {
        Some(CanLook::Bulging) => replace.push("the can bulges: it gasses inside and may burst".to_owned()),
        Some(CanLook::Leaking) => replace.push("the can leaks or its vent has lifted: its paste is caustic".to_owned()),
        Some(CanLook::Hot) => stop.push("the can is hot: it takes more than it can shed".to_owned()),
        Some(CanLook::Warm) => stop.push(
            "the can is warm: let it cool for an hour with the volts off, then begin one step lower".to_owned(),
        ),
        Some(CanLook::Sound) | None => {}
    }
    if let Some(celsius) = last.case_celsius.filter(|celsius| *celsius >= HOT_CELSIUS) {
        stop.push(format!(
            "the case is at {celsius:.0} C; {HOT_CELSIUS:.0} C is too hot (from memory, as in the caution on hot cans)"
        ));
    }
    let marked = bench.job.marked_volts;
    let highest = judged.section_volts.unwrap_or(last.source_volts);
    if highest > METER_SHARE * marked {
        stop.push(format!(
            "{highest:.0} V stand across a section marked {marked:.0} V"
        ));
    }
    if let Some(watts) = judged
        .section_watts
        .filter(|watts| *watts > MOST_WATTS_IN_CAN)
    {
        stop.push(format!(
            "{watts:.2} W go into the can; {MOST_WATTS_IN_CAN:.0} W is the most that it may take, so the series resistor is too small"
        ));
    }
    if let Some(ohms) = last.series_ohms {
        let most = last.source_volts * last.source_volts / (4.0 * ohms);
        if most > RESISTOR_SHARE * MOST_WATTS_IN_CAN {
            stop.push(format!(
                "the resistor of {} lets up to {} into the can at {:.0} V should it break down: {} or more is wanted",
                quantity::bench(ohms, quantity::Unit::Ohms),
                if most.is_finite() {
                    format!("{most:.1} W")
                } else {
                    "anything".to_owned()
                },
                last.source_volts,
                quantity::bench(bench.series.ohms, quantity::Unit::Ohms)
            ));
        }
    }
    let before = own.len().saturating_sub(1);
    let lowest = own[..before]
        .iter()
        .map(|one| one.amperes)
        .fold(f64::INFINITY, f64::min);
    if last.amperes > RISE * lowest && last.amperes > bench.limits.modern_amperes {
        stop.push(format!(
            "leakage rises at the same volts, from {} to {}: it heats or breaks down inside",
            milliamperes(lowest),
            milliamperes(last.amperes)
        ));
    }
    let limit = bench.limit_amperes;
    if let (Some(first), true) = (own.first(), last.amperes > limit)
        && last.minutes - first.minutes >= NO_FALL_MINUTES
        && last.amperes > NO_FALL_SHARE * first.amperes
        && stop.is_empty()
    {
        replace.push(format!(
            "{:.0} minutes at {:.0} V brought no fall that counts: {} then, {} now",
            last.minutes - first.minutes,
            last.source_volts,
            milliamperes(first.amperes),
            milliamperes(last.amperes)
        ));
    }
    if is_at_top(bench, last) && last.amperes > limit && last.minutes >= GIVE_UP_MINUTES {
        let hopeless =
            forecast(&pairs_of(own), limit).is_none_or(|ahead| ahead.meets_within_a_day < HOPELESS);
        if hopeless {
            replace.push(format!(
                "after {:.1} hours at the highest volts it leaks {}, above the limit of {}, and its readings do not head below it within a day",
                last.minutes / 60.0,
                milliamperes(last.amperes),
                milliamperes(limit)
            ));
        }
    }
    if !replace.is_empty() {
        replace.extend(stop);
        return Some((FormingVerdict::Replace, replace));
    }
    (!stop.is_empty()).then_some((FormingVerdict::Stop, stop))
}

fn is_at_top(bench: &FormingBench, last: &LeakReading) -> bool {
    last.source_volts >= 0.98 * bench.top_volts
}

fn progress(
    bench: &FormingBench,
    judged: &mut JudgedForming,
    last: &LeakReading,
    own: &[LeakReading],
) -> (FormingVerdict, Vec<String>) {
    let limit = bench.limit_amperes;
    let mut because = Vec::new();
    if last.minutes < bench.charging_minutes() {
        because.push(format!(
            "{:.1} minutes in it is still being charged; readings count from {:.1} minutes on",
            last.minutes,
            bench.charging_minutes()
        ));
        return (FormingVerdict::GoOn, because);
    }
    let compared = format!(
        "{} after {:.0} minutes at {:.0} V; the limit is {}",
        milliamperes(last.amperes),
        last.minutes,
        last.source_volts,
        milliamperes(limit)
    );
    because.push(compared);
    if !is_at_top(bench, last) {
        let has_halved = own.first().is_some_and(|first| {
            last.minutes - first.minutes >= NO_FALL_MINUTES && last.amperes <= 0.5 * first.amperes
        });
        let next = bench
            .steps
            .iter()
            .copied()
            .find(|volts| *volts > 1.02 * last.source_volts);
        if last.amperes <= NEXT_OVER_LIMIT * limit || has_halved {
            judged.next_volts = next;
            return (FormingVerdict::NextVolts, because);
        }
        because.push(format!(
            "the next volts wait for {} or for half an hour in which it halves",
            milliamperes(NEXT_OVER_LIMIT * limit)
        ));
        return (FormingVerdict::GoOn, because);
    }
    let wanted = FULL_SHARE * bench.top_volts;
    let mut lacks = Vec::new();
    if last.amperes > limit {
        lacks.push("it leaks more than the limit".to_owned());
    }
    match judged.section_volts {
        None => lacks.push(
            "the volts across the section are not known: measure them, or tell the series resistor".to_owned(),
        ),
        Some(volts) if volts < wanted => lacks.push(format!(
            "only {volts:.0} V stand across the section, the rest across the resistor; {wanted:.0} V are wanted"
        )),
        Some(_) => {}
    }
    if last.minutes < LEAST_MINUTES {
        lacks.push(format!("the limit counts after {LEAST_MINUTES:.0} minutes"));
    }
    if lacks.is_empty() {
        if bench.job.is_new {
            because.push("that is the 0.01 CV of new parts".to_owned());
        } else if judged.meets_modern {
            because.push("it meets the 0.01 CV of new parts too".to_owned());
        } else {
            because.push(
                "it does not meet the 0.01 CV of new parts: accepted by the old limit alone, so watch it in use"
                    .to_owned(),
            );
        }
        if bench.top_volts < 0.98 * bench.job.marked_volts {
            because.push(format!(
                "formed to {:.0} V only: the set must not put more on it",
                bench.top_volts
            ));
        }
        return (FormingVerdict::Accepted, because);
    }
    because.extend(lacks);
    because.push(heading(
        judged.forecast.as_ref(),
        judged.goal_amperes,
        own.len(),
    ));
    (FormingVerdict::GoOn, because)
}

/// Where the readings are heading, in words.
fn heading(ahead: Option<&Forecast>, goal: f64, readings: usize) -> String {
    let Some(ahead) = ahead else {
        return format!(
            "where it is heading is told from {FEWEST_READINGS} readings at these volts on; there are {readings}"
        );
    };
    let at = |end: Option<f64>| end.map_or("more than a day".to_owned(), minutes_in_words);
    match ahead.meets_at {
        [None, _, _] => format!(
            "its readings do not head below {} within a day",
            milliamperes(goal)
        ),
        [early, middle, late] => format!(
            "its readings head below {} after {} (nine of ten: {} to {})",
            milliamperes(goal),
            at(middle),
            at(early),
            at(late)
        ),
    }
}

pub(super) fn minutes_in_words(minutes: f64) -> String {
    if minutes < 90.0 {
        format!("{minutes:.0} minutes")
    } else {
        format!("{:.1} hours", minutes / 60.0)
    }
}

pub(super) fn milliamperes(amperes: f64) -> String {
    quantity::bench(amperes, quantity::Unit::Amperes)
}
