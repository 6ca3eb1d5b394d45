//! Words of the check list at the end, for pages and commands: limits, places, figures.
//!
//! Figures in the unit of the item. Nothing here fails.

use quantity::{Unit, bench};

use crate::view::{ProofItemView, ProofSlotView};

/// The limit of an item with where it comes from; `None` where it has none.
pub fn limit(item: &ProofItemView) -> Option<String> {
    let own = |value: f64| figure(value, item.unit);
    let range = match (item.limit_low, item.limit_high) {
        (Some(low), Some(high)) => format!("{} to {}", own(low), own(high)),
        (Some(low), None) => format!("{} or more", own(low)),
        (None, Some(high)) => format!("{} or less", own(high)),
        (None, None) => return None,
    };
    Some(format!(
        "Figure: {range} ({}; {}).",
        item.limit_standing.unwrap_or_default(),
        item.limit_source.clone().unwrap_or_default()
    ))
}

/// Where and how an answer was read.
pub fn place(slot: &ProofSlotView) -> String {
    let mut words = Vec::new();
    if !slot.point.is_empty() {
        words.push(slot.point.clone());
    }
    words.extend(slot.plug.map(|way| format!("plug {way}")));
    words.extend(slot.switch.map(str::to_owned));
    words.extend(slot.minutes.map(|minutes| format!("{minutes:.0} min")));
    words.join(", ")
}

/// A figure in its unit, to three figures.
pub fn figure(value: f64, unit: Option<&str>) -> String {
    match unit {
        Some("ohm") => bench(value, Unit::Ohms),
        Some(unit) => {
            let text = format!("{value:.2e}");
            let text = text.parse::<f64>().map_or(text, |value| value.to_string());
            format!("{text} {unit}")
        }
        None => value.to_string(),
    }
}
