//! What a real meter takes away from a reading.
//!
//! Ohms and volts. A meter of finite resistance shows `R / (R + source)` of the
//! open volts, where `source` is the resistance that the meter sees. Source of the
//! ranges: the multiples usual on moving-coil meters (common practice).

use circuit::ohm_network::OhmNetwork;
use circuit::resting::OhmMeter;

use crate::conditions::{BenchConditions, Meter};
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

/// The share of the open reading that this meter shows at each probe under these
/// conditions; 1 for readings that a voltmeter does not load.
pub fn loadings(
    model: &SetModel<'_>,
    conditions: &BenchConditions,
    meter: &Meter,
    probes: &[Probe],
    values: &[Option<f64>],
) -> Vec<f64> {
    let seen = model
        .small_signal(conditions)
        .and_then(|(circuit, wired)| Some((OhmNetwork::new(&circuit, ROOM_KELVIN).ok()?, wired)));
    probes
        .iter()
        .zip(values)
        .map(|(probe, value)| {
            let (a, b) = match probe.spot {
                Spot::ToChassis(a) => (a, None),
                Spot::Between(a, b) => (a, Some(b)),
                _ => return 1.0,
            };
            let (Some((network, wired)), What::DcVolts) = (&seen, probe.what) else {
                return 1.0;
            };
            let other = b.map_or(0, |b| wired.node(b));
            let own = meter_ohms(meter, value.unwrap_or(0.0));
            match network.ohms(wired.node(a), other, TESTING) {
                Ok(source) if source.is_finite() => own / (own + source),
                _ => 1.0,
            }
        })
        .collect()
}

/// The resistance that a meter sees is asked for with so few volts that no metal
/// rectifier is turned on by the question.
const TESTING: OhmMeter = OhmMeter {
    open_volts: 1e-3,
    series_ohms: 1.0,
};
