//! The value of the part of today: the member of a series that the set tolerates.
//!
//! Ohms and farads. Source: [`quantity::Series`] (IEC 60063) and what the set tolerates ([`super::tolerated`]). Where no
//! member lies within that, a second part beside the first; where that does not help either, the nearest, and it is
//! said. Nothing here can fail.

use parts::{MadeIn, TodaysPart};
use quantity::{Series, Unit, bench};

use super::right_part::{Asked, Pieces, RightPart};

impl Asked<'_, '_> {
    /// The member of the row's series nearest to the marked value that the set tolerates.
    pub(super) fn choose_value(&self, own: &mut RightPart, row: &TodaysPart, marked: f64) {
        let unit = own.unit;
        let holds = |factor: f64| {
            let tolerated = self.tolerated.as_ref();
            tolerated.is_none_or(|tolerated| tolerated.holds(factor))
        };
        let most = self.largest_farads.unwrap_or(f64::INFINITY);
        let mut near: Vec<f64> = members_near(row.series, marked)
            .into_iter()
            .filter(|value| *value <= most * (1.0 + 1e-6))
            .collect();
        near.sort_by(|one, other| {
            let away = |value: &f64| (value / marked).ln().abs();
            away(one).total_cmp(&away(other))
        });
        let Some(&nearest) = near.first() else {
            own.value = marked;
            return;
        };
        let chosen = near.iter().copied().find(|value| holds(value / marked));
        own.value = chosen.unwrap_or(nearest);
        if chosen.is_none()
            && unit == Unit::Farads
            && let Some((first, other)) = with_one_beside(row, marked, &holds)
        {
            own.value = first;
            own.pieces = Pieces::Beside { other };
            own.factor = (first + other) / marked;
            own.why.push(format!(
                "no single value of the series lies near enough: {} with {} beside it make {}",
                bench(first, unit),
                bench(other, unit),
                bench(first + other, unit)
            ));
            return;
        }
        own.factor = own.value / marked;
        let off = 100.0 * (own.factor - 1.0);
        let limits = self.tolerated.as_ref().map(|own| {
            let end = |factor: f64| bench(factor * marked, unit);
            let why = if own.below == own.above {
                own.below.clone()
            } else {
                format!("below: {}; above: {}", own.below, own.above)
            };
            format!("{} to {} ({why})", end(own.low), end(own.high))
        });
        match (limits, chosen) {
            (Some(limits), Some(_)) if off.abs() < 0.1 => {
                own.why.push(format!("the marked value; the set bears {limits}"));
            }
            (Some(limits), Some(_)) => own.why.push(format!(
                "{} in place of {}, {off:+.0} %: the set bears {limits}",
                bench(own.value, unit),
                bench(marked, unit)
            )),
            (Some(limits), None) => own.why.push(format!(
                "{} is the nearest that is made, {off:+.0} %, though the set bears {limits}: read again afterwards",
                bench(own.value, unit)
            )),
            (None, _) => own.why.push(format!(
                "{} in place of {}, {off:+.0} %",
                bench(own.value, unit),
                bench(marked, unit)
            )),
        }
        if let Some((tube, answer)) = self.tolerated.as_ref().and_then(|own| own.times.as_ref())
            && off.abs() >= 0.5
        {
            own.why.push(format!(
                "the rate of {tube} moves by {:+.1} % with it: the hold control takes that up",
                answer * off
            ));
        }
        if let Some(most) = self.largest_farads {
            own.why.push(format!(
                "first filter behind a rectifier tube: at most {}, or its peak current goes beyond the tube's rating at the top of the line",
                bench(most, Unit::Farads)
            ));
        }
    }
}

/// The marked value, or the next below: what passes through such a part must not grow.
pub(super) fn value_on_the_line(own: &mut RightPart, row: &TodaysPart, marked: f64) {
    let below = members_near(row.series, marked)
        .into_iter()
        .filter(|value| *value <= marked * (1.0 + 1e-6))
        .fold(0.0, f64::max);
    own.value = if below > 0.0 { below } else { marked };
    own.factor = own.value / marked;
    own.why.push(format!(
        "{} in place of {}: the same or the next smaller, never more",
        bench(own.value, Unit::Farads),
        bench(marked, Unit::Farads)
    ));
}

/// Members of a series within a factor of two of a value.
fn members_near(series: MadeIn, value: f64) -> Vec<f64> {
    let members = match series {
        MadeIn::E6 => Series::E6,
        MadeIn::E12 => Series::E12,
        MadeIn::E24 => Series::E24,
    };
    let mut found: Vec<f64> = Vec::new();
    for step in -24..=24 {
        let near = value * 2f64.powf(f64::from(step) / 24.0);
        if let Some(member) = members.nearest(near)
            && !found.contains(&member)
        {
            found.push(member);
        }
    }
    found
}

/// A member below the value and one beside it, that together come nearest within what holds.
fn with_one_beside(
    row: &TodaysPart,
    marked: f64,
    holds: &dyn Fn(f64) -> bool,
) -> Option<(f64, f64)> {
    let mut best: Option<(f64, f64, f64)> = None;
    let below = members_near(row.series, marked);
    for first in below.into_iter().filter(|own| *own < marked) {
        for other in members_near(row.series, marked - first) {
            let factor = (first + other) / marked;
            let away = factor.ln().abs();
            if other >= row.low && holds(factor) && best.is_none_or(|(.., own)| away < own) {
                best = Some((first, other, away));
            }
        }
    }
    best.map(|(first, other, _)| (first, other))
}
