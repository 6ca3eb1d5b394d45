//! Heaters with a tap in the middle: whether a set feeds their halves one after the other or
//! side by side.
//!
//! Volts and amperes. A 12AU7 takes 12.6 V at 0.15 A from end to end, or 6.3 V at 0.3 A with
//! its halves side by side (makers' sheets; common practice). A sheet names no heater pins, so
//! what fits the row decides: the volts of the winding that feeds it, or what the other tubes
//! of the row take. Where nothing decides, the halves stay one after the other. Nothing here
//! fails.

use parts::HeaterRating;

use super::contents::{HeaterArrangement, HeaterRow, SheetTube, SheetWinding};
use super::place::Place;
use super::places::Places;

/// Gives every tapped heater the rating with which the set feeds it.
pub(super) fn as_fed(
    tubes: &mut [SheetTube],
    heaters: &[HeaterRow],
    windings: &[SheetWinding],
    places: &Places,
) {
    let fed: Vec<Option<f64>> = tubes
        .iter()
        .map(|tube| {
            let rating = tube.kind.heater.as_ref().filter(|rating| rating.has_tap)?;
            let row = heaters
                .iter()
                .find(|row| row.tubes.contains(&tube.reference));
            let halves = match row {
                Some(row) if row.arrangement == HeaterArrangement::Series => {
                    let usual = usual_of_others(tubes, row, |other| other.amperes)?;
                    nearer(usual, 2.0 * rating.amperes, rating.amperes)
                }
                Some(row) => {
                    let feed = winding_volts(windings, places, &row.from, &row.to)
                        .or_else(|| usual_of_others(tubes, row, |other| other.volts))?;
                    nearer(feed, rating.volts / 2.0, rating.volts)
                }
                None => {
                    let feed = windings.iter().find_map(|winding| {
                        let at_pin = |place: &Place| {
                            place.pin().is_some_and(|(own, pin)| {
                                own == tube.reference && tube.kind.heater_pins().contains(&pin)
                            })
                        };
                        (at_pin(&winding.start) || at_pin(&winding.end)).then_some(winding.volts)?
                    })?;
                    nearer(feed, rating.volts / 2.0, rating.volts)
                }
            };
            halves.then_some(2.0)
        })
        .collect();
    for (tube, halves) in tubes.iter_mut().zip(fed) {
        if let (Some(rating), Some(times)) = (&mut tube.kind.heater, halves) {
            rating.volts /= times;
            rating.amperes *= times;
        }
    }
}

/// Whether the first lies nearer to what is wanted than the second, as ratios.
fn nearer(wanted: f64, first: f64, second: f64) -> bool {
    let off = |value: f64| (value / wanted).ln().abs();
    off(first) < off(second)
}

/// The figure that most tubes of a row without a tap have.
fn usual_of_others(
    tubes: &[SheetTube],
    row: &HeaterRow,
    of: fn(&HeaterRating) -> f64,
) -> Option<f64> {
    let figures: Vec<f64> = tubes
        .iter()
        .filter(|tube| row.tubes.contains(&tube.reference))
        .filter_map(|tube| tube.kind.heater.as_ref())
        .filter(|rating| !rating.has_tap)
        .map(of)
        .collect();
    let count = |figure: f64| {
        figures
            .iter()
            .filter(|other| (**other / figure - 1.0).abs() < 0.04)
            .count()
    };
    figures
        .iter()
        .copied()
        .max_by(|one, other| count(*one).cmp(&count(*other)))
}

/// Rated volts of the winding between these places.
fn winding_volts(
    windings: &[SheetWinding],
    places: &Places,
    from: &Place,
    to: &Place,
) -> Option<f64> {
    windings
        .iter()
        .find(|winding| {
            let joins = |a: &Place, b: &Place| {
                places.joined(&winding.start, a) && places.joined(&winding.end, b)
            };
            joins(from, to) || joins(to, from)
        })
        .and_then(|winding| winding.volts)
}
