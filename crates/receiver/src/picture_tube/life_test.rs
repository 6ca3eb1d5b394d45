//! The life test: how much a cathode has in reserve, from the fall when its heater is reduced.
//!
//! Readings in one unit on one instrument, heater volts r.m.s. as a share of rated. A current
//! that space charge rules hardly falls when the cathode cools; one that emission rules falls
//! with it. Emission at the reduced heater by Richardson's law, the current from it by
//! [`circuit::thermal::space_charge_share`]; solved for the reserve, which is emission over
//! demand. The doubt is that of the needle and of the work function, 0.9 to 1.1 eV (Herrmann and
//! Wagener 1951, from memory). A healthy cathode has 6 to 10 (judgement, see
//! [`circuit::thermal::USUAL_EMISSION_RESERVE`]). Holds for a settled reduced heater; readings
//! of the first seconds fall less, so wait until the needle stands.

use circuit::thermal::space_charge_share;
use quantity::Band;

/// Readings before and after the heater was reduced.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct LifeTest {
    /// Reading at the rated heater.
    pub before: f64,
    /// Reading when the needle stood still at the reduced heater.
    pub after: f64,
    /// Reduced heater volts over rated, 0.6 to 0.95.
    pub heater_share: f64,
    /// Error of the needle, in the unit of the readings, one standard deviation.
    pub needle_error: f64,
}

/// What the fall says.
#[derive(Clone, Debug, PartialEq)]
pub enum Reserve {
    /// Emission over demand, with its band.
    Told(Band),
    /// At least so much: the fall is too small to be told from none.
    AtLeast(f64),
    /// Not told, with the reason.
    CannotTell(String),
}

/// Greatest reserve that a fall can still tell.
const MOST: f64 = 30.0;

/// Judges a life test.
pub fn judge_life_test(test: &LifeTest) -> Reserve {
    let sound = |value: f64| value.is_finite() && value >= 0.0;
    if !(sound(test.before) && sound(test.after) && sound(test.needle_error)) {
        return Reserve::CannotTell("readings are figures from zero on".to_owned());
    }
    if !(0.6..=0.95).contains(&test.heater_share) {
        return Reserve::CannotTell(format!(
            "the heater was reduced to {} of rated: 0.6 to 0.95 tells something",
            test.heater_share
        ));
    }
    if test.before <= 5.0 * test.needle_error {
        return Reserve::CannotTell("the first reading is lost in the needle's error".to_owned());
    }
    let emission = laws::emission_at_heater_share(test.heater_share);
    // A work function a tenth higher or lower takes the logarithm of emission along.
    let emissions = [emission.powf(1.1), emission, emission.powf(0.9)];
    let error = std::f64::consts::SQRT_2 * 1.645 * test.needle_error / test.before;
    let share = test.after / test.before;
    if share - error > 1.0 {
        return Reserve::CannotTell("it rose with less heater: read again".to_owned());
    }
    let low = reserve_of(share - error, emissions[2]);
    let middle = reserve_of(share, emissions[1]);
    let high = reserve_of(share + error, emissions[0]);
    if middle >= MOST || high >= MOST {
        return Reserve::AtLeast(low.min(MOST));
    }
    Band::new(
        low.min(middle),
        middle,
        high.max(middle),
        [
            (
                "needle",
                reserve_of(share + error, emissions[1]) - reserve_of(share - error, emissions[1]),
            ),
            (
                "what the cathode is made of",
                (reserve_of(share, emissions[0]) - reserve_of(share, emissions[2])).abs(),
            ),
        ],
    )
    .map_or_else(
        |error| Reserve::CannotTell(error.to_string()),
        Reserve::Told,
    )
}

/// The reserve at which the current falls to `share` when emission falls to `emission`.
fn reserve_of(share: f64, emission: f64) -> f64 {
    let (mut low, mut high) = (1e-3_f64, MOST);
    if space_charge_share(emission, low) >= share {
        return low;
    }
    if space_charge_share(emission, high) <= share {
        return high;
    }
    for _ in 0..60 {
        let middle = (low * high).sqrt();
        if space_charge_share(emission, middle) < share {
            low = middle;
        } else {
            high = middle;
        }
    }
    (low * high).sqrt()
}
