//! Answers held against an item: each place, and the whole of it.
//!
//! Figures in the item's unit, infinite for an open path. The last answer of a place counts. A figure
//! beyond its limit, a no, a drift of the soak makes the item failed; anything missing leaves it open.
//! Nothing here fails.

use super::items::{Asks, Expected, ItemState, ProofItem, Slot};

/// Readings of a soak from this minute on are held against each other (trade number "first readings settle": 5 to 40).
const SETTLED_MINUTES: f64 = 60.0;
/// How far they may lie from their mean (judgement).
const DRIFT: f64 = 0.05;
/// Kelvin of rise in the last hour above which the heat has not settled (judgement).
const LAST_HOUR_KELVIN: f64 = 3.0;
/// Leakage over its computed high end, and above it, that is told, milliamperes.
const MORE_LEAKAGE: (f64, f64) = (1.3, 0.05);

/// What an answer says.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum SlotAnswer {
    /// A figure in the item's unit.
    Figure(f64),
    /// Yes or no.
    Yes(bool),
    /// Not of this set.
    NotOfThisSet,
}

/// One answer with where it belongs; later ones stand later in a list.
#[derive(Debug, Clone, PartialEq)]
pub struct ProofAnswer {
    /// Where.
    pub slot: Slot,
    /// What.
    pub answer: SlotAnswer,
    /// A number by which the caller knows it.
    pub entry: u64,
}

/// A place of an item, judged.
#[derive(Debug, Clone, PartialEq)]
pub struct JudgedSlot {
    /// Where.
    pub slot: Slot,
    /// How it stands.
    pub state: ItemState,
    /// The answer that counts.
    pub answer: Option<ProofAnswer>,
    /// Why, or what is remarkable; empty for nothing.
    pub because: String,
}

/// An item, judged.
#[derive(Debug, Clone, PartialEq)]
pub struct JudgedItem {
    /// How it stands.
    pub state: ItemState,
    /// Its places.
    pub slots: Vec<JudgedSlot>,
    /// Why it stands so, one sentence each.
    pub because: Vec<String>,
}

fn is_same(one: &Slot, other: &Slot) -> bool {
    one.point.trim().eq_ignore_ascii_case(other.point.trim())
        && one.plug_other == other.plug_other
        && one.switched_on == other.switched_on
        && match (one.minutes, other.minutes) {
            (Some(one), Some(other)) => (one - other).abs() <= 5.0,
            (None, _) => true,
            (Some(_), None) => false,
        }
}

/// Judges an item by its answers, in the order in which they were given.
#[must_use]
pub fn judge_item(item: &ProofItem, answers: &[ProofAnswer]) -> JudgedItem {
    let mut because = Vec::new();
    let whole = answers
        .iter()
        .rev()
        .find(|own| own.answer == SlotAnswer::NotOfThisSet && own.slot.point.is_empty());
    if let Some(whole) =
        whole.filter(|whole| answers.last().map(|own| own.entry) == Some(whole.entry))
    {
        return JudgedItem {
            state: ItemState::NotOfThisSet,
            slots: vec![JudgedSlot {
                slot: Slot::default(),
                state: ItemState::NotOfThisSet,
                answer: Some(whole.clone()),
                because: String::new(),
            }],
            because,
        };
    }
    let mut slots = item.slots.clone();
    if item.more_points {
        add_named_points(item, answers, &mut slots);
    }
    add_further_minutes(answers, &mut slots);
    let judged: Vec<JudgedSlot> = slots
        .into_iter()
        .map(|slot| judged_slot(item, slot, answers))
        .collect();
    let drift = drift(item, &judged);
    let count = |state: ItemState| judged.iter().filter(|own| own.state == state).count();
    let (failed, open, gone) = (
        count(ItemState::Failed),
        count(ItemState::Open),
        count(ItemState::NotOfThisSet),
    );
    for own in judged
        .iter()
        .filter(|own| !own.because.is_empty() && own.state != ItemState::Open)
    {
        let at = place_in_words(&own.slot);
        let gap = if at.is_empty() { "" } else { ": " };
        because.push(format!("{at}{gap}{}", own.because));
    }
    let mut state = if failed > 0 {
        ItemState::Failed
    } else if open > 0 {
        ItemState::Open
    } else if gone == judged.len() {
        ItemState::NotOfThisSet
    } else {
        ItemState::Met
    };
    if let Some((drifted, words)) = drift {
        because.push(words);
        state = state.min(drifted);
    }
    if open > 0 && open < judged.len() {
        because.push(format!("{open} of {} are not done", judged.len()));
    }
    if state == ItemState::Met && !item.not_yet.is_empty() {
        because.push(format!("done although: {}", item.not_yet.join("; ")));
    }
    JudgedItem {
        state,
        slots: judged,
        because,
    }
}

/// Points that the restorer named himself get the slots of the first one.
fn add_named_points(item: &ProofItem, answers: &[ProofAnswer], slots: &mut Vec<Slot>) {
    let Some(first) = item.slots.first().map(|slot| slot.point.clone()) else {
        return;
    };
    let pattern: Vec<Slot> = item
        .slots
        .iter()
        .filter(|slot| slot.point == first)
        .cloned()
        .collect();
    for answer in answers {
        let point = answer.slot.point.trim();
        let is_known = slots
            .iter()
            .any(|slot| slot.point.eq_ignore_ascii_case(point));
        if !point.is_empty() && !is_known {
            slots.extend(pattern.iter().map(|slot| Slot {
                point: point.to_owned(),
                ..slot.clone()
            }));
        }
    }
}

/// What was read in a soak at other minutes than the list asks for counts as well: it may lie beyond a limit.
fn add_further_minutes(answers: &[ProofAnswer], slots: &mut Vec<Slot>) {
    let Some(first) = slots.first().filter(|own| own.minutes.is_some()).cloned() else {
        return;
    };
    for answer in answers.iter().filter(|own| own.slot.minutes.is_some()) {
        let further = Slot {
            minutes: answer.slot.minutes,
            ..first.clone()
        };
        let is_of_this = is_same(
            &Slot {
                minutes: None,
                ..first.clone()
            },
            &answer.slot,
        );
        if is_of_this && !slots.iter().any(|own| is_same(own, &further)) {
            slots.push(further);
        }
    }
    let minutes = |own: &Slot| own.minutes.unwrap_or(0.0);
    slots.sort_by(|one, other| minutes(one).total_cmp(&minutes(other)));
}

fn judged_slot(item: &ProofItem, slot: Slot, answers: &[ProofAnswer]) -> JudgedSlot {
    let of_point = |own: &&ProofAnswer| {
        own.answer == SlotAnswer::NotOfThisSet && own.slot.point.eq_ignore_ascii_case(&slot.point)
    };
    let answer = answers
        .iter()
        .rev()
        .find(|own| is_same(&slot, &own.slot) || (!slot.point.is_empty() && of_point(own)))
        .cloned();
    let Some(found) = &answer else {
        return JudgedSlot {
            slot,
            state: ItemState::Open,
            answer,
            because: "not done".to_owned(),
        };
    };
    let (state, because) = match found.answer {
        SlotAnswer::NotOfThisSet => (ItemState::NotOfThisSet, String::new()),
        SlotAnswer::Yes(true) => (ItemState::Met, String::new()),
        SlotAnswer::Yes(false) => (ItemState::Failed, "seen to be not so".to_owned()),
        SlotAnswer::Figure(value) => against_limit(item, &slot, value),
    };
    JudgedSlot {
        slot,
        state,
        answer,
        because,
    }
}

fn against_limit(item: &ProofItem, slot: &Slot, value: f64) -> (ItemState, String) {
    let Asks::Figure(unit) = item.asks else {
        return (ItemState::Open, "yes or no is asked for".to_owned());
    };
    if let Some(limit) = &item.limit {
        let told = figure(value, unit);
        if let Some(high) = limit.high.filter(|high| value > *high) {
            let most = figure(high, unit);
            return (ItemState::Failed, format!("{told} is above {most}"));
        }
        if let Some(low) = limit.low.filter(|low| value < *low) {
            let least = figure(low, unit);
            return (ItemState::Failed, format!("{told} is below {least}"));
        }
    } else if !item.not_yet.is_empty() && item.expected.is_empty() {
        return (
            ItemState::Open,
            "there is no figure to hold it against".to_owned(),
        );
    }
    let remark = match own_expected(item, slot) {
        Some(expected) if item.key == super::items::LEAKAGE => {
            let high = expected.values[2];
            if value > MORE_LEAKAGE.0 * high + MORE_LEAKAGE.1 {
                format!(
                    "within the limit, but {} is more than the {} that the set's own capacitors give: look for a leak",
                    figure(value, unit),
                    figure(high, unit)
                )
            } else {
                String::new()
            }
        }
        Some(expected)
            if slot
                .minutes
                .is_some_and(|minutes| minutes >= SETTLED_MINUTES) =>
        {
            let [low, _, high] = expected.values;
            if (low..=high).contains(&value) {
                String::new()
            } else {
                format!(
                    "{} lies outside {} to {} of healthy sets at the sheet's line",
                    figure(value, unit),
                    figure(low, unit),
                    figure(high, unit)
                )
            }
        }
        _ => String::new(),
    };
    (ItemState::Met, remark)
}

/// What a healthy set gives at this place.
fn own_expected<'i>(item: &'i ProofItem, slot: &Slot) -> Option<&'i Expected> {
    item.expected.iter().find(|own| own.slot.covers(slot))
}

/// Whether readings of a soak wander.
fn drift(item: &ProofItem, judged: &[JudgedSlot]) -> Option<(ItemState, String)> {
    let Asks::Figure(unit) = item.asks else {
        return None;
    };
    let read: Vec<(f64, f64)> = judged
        .iter()
        .filter_map(
            |own| match (own.slot.minutes, own.answer.as_ref()?.answer) {
                (Some(minutes), SlotAnswer::Figure(value)) => Some((minutes, value)),
                _ => None,
            },
        )
        .filter(|(minutes, _)| *minutes >= SETTLED_MINUTES)
        .collect();
    if read.len() < 2 {
        return None;
    }
    if unit == "C" {
        let (last, before) = (read[read.len() - 1], read[read.len() - 2]);
        let rise = (last.1 - before.1) / ((last.0 - before.0) / 60.0).max(1e-9);
        let is_end = judged.iter().all(|own| own.state != ItemState::Open);
        return (is_end && rise > LAST_HOUR_KELVIN).then(|| {
            (
                ItemState::Failed,
                format!("it still rises by {rise:.1} C an hour: it has not settled (judgement: {LAST_HOUR_KELVIN:.0})"),
            )
        });
    }
    let mean = read.iter().map(|own| own.1).sum::<f64>() / read.len() as f64;
    let worst = read
        .iter()
        .map(|own| (own.1 - mean).abs())
        .fold(0.0, f64::max);
    (worst > DRIFT * mean.abs()).then(|| {
        (
            ItemState::Failed,
            format!(
                "readings from the first hour on wander by {:.1} percent about {} ({:.0} are allowed, judgement)",
                100.0 * worst / mean.abs(),
                figure(mean, unit),
                100.0 * DRIFT
            ),
        )
    })
}

/// A figure with its unit.
pub(super) fn figure(value: f64, unit: &str) -> String {
    if value.is_infinite() {
        return "open".to_owned();
    }
    if unit == "ohm" {
        return quantity::bench(value, quantity::Unit::Ohms);
    }
    let text = format!("{value:.2e}");
    let text = text.parse::<f64>().map_or(text, |value| value.to_string());
    format!("{text} {unit}")
}

fn place_in_words(slot: &Slot) -> String {
    let mut words = Vec::new();
    if !slot.point.is_empty() {
        words.push(slot.point.clone());
    }
    words.extend(slot.plug_other.map(|other| {
        if other {
            "plug the other way"
        } else {
            "plug one way"
        }
        .to_owned()
    }));
    words.extend(
        slot.switched_on
            .map(|on| if on { "on" } else { "off" }.to_owned()),
    );
    words.extend(slot.minutes.map(|minutes| format!("{minutes:.0} min")));
    words.join(", ")
}
