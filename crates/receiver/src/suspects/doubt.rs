//! How far a reading may be off by the meter and the hand that holds it.
//!
//! Standard deviations in the unit of the reading. Common practice, from memory: a good electronic
//! meter 1.5 percent; a moving-coil meter 2 percent of full scale; alternating volts, ripple and
//! watts 4 percent, since their wave is no sine. Each has the last figure besides. Nothing here
//! fails; what is not finite stays so.

use crate::bands::least_readable;
use crate::conditions::Meter;
use crate::expect::READ_SHARE;
use crate::meter::meter_ohms;
use crate::reading::What;

/// Share of full scale by which a moving-coil meter may be off.
const COIL_SHARE: f64 = 0.02;
/// Share of a reading of what alternates.
const WAVE_SHARE: f64 = 0.04;

/// Standard deviation of a reading with this meter; without one that of a good electronic one.
pub fn doubt(meter: Option<&Meter>, what: What, value: f64) -> f64 {
    let share = match what {
        What::DcVolts
        | What::PlateMilliamps
        | What::ScreenMilliamps
        | What::CathodeMilliamps
        | What::PartMilliamps => READ_SHARE,
        _ => WAVE_SHARE,
    };
    let own = share * value.abs();
    let scale = match (meter, what) {
        (Some(coil @ Meter::OhmsPerVolt { ohms_per_volt, .. }), What::DcVolts) => {
            COIL_SHARE * meter_ohms(coil, value) / ohms_per_volt
        }
        _ => 0.0,
    };
    own.max(scale) + least_readable(what)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_needle_near_the_left_end_of_its_scale_tells_little() {
        let coil = Meter::OhmsPerVolt {
            ohms_per_volt: 20e3,
            range_volts: Some(500.0),
        };
        let at = |meter: Option<&Meter>, value| doubt(meter, What::DcVolts, value);
        // 2 percent of 500 V.
        assert!((at(Some(&coil), 20.0) - 10.02).abs() < 1e-9);
        // 1.5 percent of 200 V, and 0.02 V.
        assert!((at(None, 200.0) - 3.02).abs() < 1e-9);
        assert!((at(Some(&Meter::InputOhms(1e7)), -200.0) - 3.02).abs() < 1e-9);
        // The lowest usual range that holds 8 V is that of 10 V.
        let any = Meter::OhmsPerVolt {
            ohms_per_volt: 20e3,
            range_volts: None,
        };
        assert!((at(Some(&any), 8.0) - 0.22).abs() < 1e-9);
        assert!(doubt(None, What::LineWatts, 150.0) > at(None, 150.0));
        assert!(at(None, 0.0) > 0.0);
    }
}
