//! Tungsten's properties for the tests of this folder.
//!
//! Kelvin, microhm centimetres, watts per square centimetre. Resistivity: Forsythe and
//! Worthing 1925 as printed in the CRC Handbook of Chemistry and Physics (read). Radiation:
//! Jones and Langmuir 1927 (from memory).

use circuit::thermal::{Arrangement, ThermalBody, ThermalGroup, ThermalLaw, TungstenProperties};

/// Kelvin, resistivity, total radiation where known.
pub const TUNGSTEN: [(f64, f64, Option<f64>); 34] = [
    (300.0, 5.65, Some(0.0001)),
    (400.0, 8.06, Some(0.00202)),
    (500.0, 10.56, None),
    (600.0, 13.23, Some(0.0304)),
    (700.0, 16.09, None),
    (800.0, 19.0, Some(0.169)),
    (900.0, 21.94, None),
    (1000.0, 24.93, Some(0.602)),
    (1100.0, 27.94, None),
    (1200.0, 30.98, Some(1.66)),
    (1300.0, 34.08, None),
    (1400.0, 37.19, Some(3.83)),
    (1500.0, 40.36, None),
    (1600.0, 43.55, Some(7.74)),
    (1700.0, 46.78, None),
    (1800.0, 50.05, Some(14.19)),
    (1900.0, 53.35, None),
    (2000.0, 56.67, Some(24.04)),
    (2100.0, 60.06, None),
    (2200.0, 63.48, Some(38.2)),
    (2300.0, 66.91, None),
    (2400.0, 70.39, Some(57.7)),
    (2500.0, 73.91, Some(69.8)),
    (2600.0, 77.49, Some(83.8)),
    (2700.0, 81.04, None),
    (2800.0, 84.7, Some(117.6)),
    (2900.0, 88.33, None),
    (3000.0, 92.04, Some(160.5)),
    (3100.0, 95.76, None),
    (3200.0, 99.54, Some(214.0)),
    (3300.0, 103.3, None),
    (3400.0, 107.2, Some(280.0)),
    (3500.0, 111.1, None),
    (3600.0, 115.0, None),
];

/// The table as properties.
pub fn tungsten() -> TungstenProperties {
    TungstenProperties::from_points(&TUNGSTEN).expect("the table rises")
}

/// A group of one body.
pub fn alone(arrangement: Arrangement, law: ThermalLaw) -> ThermalGroup {
    ThermalGroup {
        arrangement,
        bodies: vec![ThermalBody { law }],
    }
}

/// Fails unless `found` lies within `percent` of `expected`.
#[track_caller]
pub fn within(what: &str, found: f64, expected: f64, percent: f64) {
    let allowed = expected.abs() * percent / 100.0;
    assert!(
        (found - expected).abs() <= allowed,
        "{what}: found {found}, expected {expected} within {percent} percent"
    );
}
