//! What a real meter takes away from a reading.
//!
//! Ohms and volts. A meter of finite resistance shows `R / (R + source)` of the
//! open volts, where `source` is the resistance that the meter sees. Source of the
//! ranges: the multiples usual on moving-coil meters (common practice).

use circuit::resting::{OhmMeter, cold_ohms};

use crate::conditions::Meter;
use crate::expect::ROOM_KELVIN;
use crate::probes::{Probe, Spot};
use crate::reading::What;
use crate::wiring::SetModel;

/// Ranges tried when none is stated, volts.
const RANGES: [f64; 7] = [2.5, 10.0, 50.0, 250.0, 500.0, 1000.0, 5000.0];

/// The meter's own resistance for a reading of about `volts`, ohms.
pub fn meter_ohms(meter: &Meter, volts: f64) -> f64 {
    match meter {
        Meter::InputOhms(ohms) => *ohms,
        Meter::OhmsPerVolt {
            ohms_per_volt,
            range_volts,
        } => {
            let range = range_volts.unwrap_or_else(|| {
                RANGES
                    .into_iter()
                    .find(|range| *range >= volts.abs())
                    .unwrap_or(5000.0)
            });
            ohms_per_volt * range
        }
    }
}

/// The share of the open reading that this meter shows at a probe.
pub fn loading(model: &SetModel<'_>, meter: &Meter, probe: &Probe, value: Option<f64>) -> f64 {
    if probe.what != What::DcVolts {
        return 1.0;
    }
    let (a, b) = match probe.spot {
        Spot::ToChassis(a) => (a, None),
        Spot::Between(a, b) => (a, Some(b)),
        _ => return 1.0,
    };
    let own = meter_ohms(meter, value.unwrap_or(0.0));
    match model.source_ohms(a, b) {
        Some(source) => own / (own + source),
        None => 1.0,
    }
}

impl SetModel<'_> {
    /// The resistance that a meter sees at a junction of the working set.
    pub fn source_ohms(&self, junction: usize, other: Option<usize>) -> Option<f64> {
        let (circuit, wired) = self.small_signal()?;
        let a = wired.node(junction);
        let b = other.map_or(0, |other| wired.node(other));
        let meter = OhmMeter {
            open_volts: 1.0,
            series_ohms: 1.0,
        };
        cold_ohms(&circuit, a, b, meter, ROOM_KELVIN)
            .ok()
            .filter(|ohms| ohms.is_finite())
    }
}
