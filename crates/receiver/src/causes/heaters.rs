//! How heaters, and what comes of their heat, differ among healthy sets.
//!
//! Plain ratios; seconds. Sources: tolerances of heaters (common practice), judgement where
//! said. Nothing here can fail.

use crate::conditions::BenchConditions;
use crate::sheet::HeaterArrangement;
use crate::wiring::{Figure, SetModel};

use super::spread::Spread;

/// Four percent of current among heaters of one type are some eight of volts at a common
/// current, because a heater's resistance rises with its heat (the heater law here: volts go
/// with the 2.1th power of the current near the rating).
const OWN_HEATER_SHARE: f64 = 0.085;
/// While a string warms the quick heaters take more than their share and the slow ones
/// less; the difference dies away with the warm-up (size and time: judgement).
fn own_heater_lag(seconds: Option<f64>) -> f64 {
    seconds.map_or(0.0, |seconds| 0.13 * (-seconds / 15.0).exp())
}
/// How heat goes from wire to cathode and on is published for no tube; the shares in the
/// heater's law are judgement, and this is their doubt.
const HEAT_WAYS: Spread = Spread::EvenLog {
    low: 0.6,
    high: 1.7,
};
/// Emission over need of healthy receiving tubes about the usual eight: 6 to 10 common
/// (judgement), wider for single tubes.
const LOAD_RESERVE: Spread = Spread::EvenLog {
    low: 0.62,
    high: 1.5,
};
/// Share of the sheet's line below which heaters count as cool.
const COOL_LINE: f64 = 0.9;

/// Whether heaters run below their rating, so that what happens on the way there counts.
fn heaters_run_cool(model: &SetModel<'_>, conditions: &BenchConditions) -> bool {
    let low = conditions
        .line_volts
        .is_some_and(|volts| volts < COOL_LINE * model.sheet.line_volts);
    conditions.direct_source.is_none()
        && (low || conditions.seconds.is_some() || !conditions.lamps.is_empty())
}

/// Spread of the cold resistance of heaters about the usual seventh of the hot one
/// (trade number "heater hot to cold resistance": 5 to 10, typical 7).
pub(crate) const COLD_HEATERS: Spread = Spread::EvenLog {
    low: 0.8,
    high: 1.25,
};

/// Currents, cold resistance, heat and warm-up of the heaters.
pub(super) fn of_heaters(
    model: &SetModel<'_>,
    conditions: &BenchConditions,
    push: &mut impl FnMut(Figure, String, Spread),
) {
    let sheet = model.sheet;
    let cool = heaters_run_cool(model, conditions);
    for (number, place) in model.heater_places().iter().enumerate() {
        let tubes = place.tubes.len().max(1) as f64;
        let names = match place.arrangement {
            HeaterArrangement::Series => "currents of the string's heaters",
            HeaterArrangement::Parallel => "currents of the heaters",
        };
        let name = if place.tubes.len() == 1 {
            format!(
                "heater current of {}",
                sheet.tubes[place.tubes[0]].reference
            )
        } else {
            names.to_string()
        };
        push(
            Figure::HeaterAmperes(number),
            name,
            Spread::Bell {
                // Each heater within some 7 percent, and a common part that does not average out.
                sigma: (0.045 / tubes.sqrt()).hypot(0.012),
            },
        );
        if place.arrangement == HeaterArrangement::Series && place.tubes.len() > 1 {
            push(
                Figure::OwnHeater(number),
                "each heater's own share of its string".to_string(),
                Spread::Bell {
                    sigma: OWN_HEATER_SHARE + own_heater_lag(conditions.seconds),
                },
            );
        }
        if cool {
            push(
                Figure::HeaterCold(number),
                "cold resistance of the heaters".to_string(),
                COLD_HEATERS,
            );
        }
    }
    if cool && !model.heater_places().is_empty() {
        push(
            Figure::HeatWays,
            "ways of the heat in the heaters".into(),
            HEAT_WAYS,
        );
        push(
            Figure::LoadReserve,
            "emission of the tubes behind the loads".into(),
            LOAD_RESERVE,
        );
    }
    if conditions.seconds.is_some() && !model.heater_places().is_empty() {
        push(
            Figure::WarmUp,
            "warm-up of the tubes".into(),
            Spread::EvenLog {
                low: 0.7,
                high: 1.4,
            },
        );
    }
}
