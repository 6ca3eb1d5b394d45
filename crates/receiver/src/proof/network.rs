//! The measuring network between touched metal and ground: 1500 ohm in parallel with 0.15 mfd.
//!
//! Volts rms across it over its impedance at the line's frequency are the leakage; for direct current one
//! maker's 2000 ohm. Source: service manuals' safety checks (rows TL of `data/checks.csv`). Closed form;
//! nothing here fails.

/// The resistor of the network, ohms (TL003).
pub const NETWORK_OHMS: f64 = 1500.0;
/// The capacitor across it (TL003).
pub const NETWORK_FARADS: f64 = 0.15e-6;
/// The resistor of the direct-current check, ohms (TL005).
pub const DIRECT_OHMS: f64 = 2000.0;

/// Impedance of the network at this frequency, ohms.
#[must_use]
pub fn network_ohms(hertz: f64) -> f64 {
    let product = std::f64::consts::TAU * hertz * NETWORK_OHMS * NETWORK_FARADS;
    NETWORK_OHMS / (1.0 + product * product).sqrt()
}

/// Milliamperes rms from volts rms across the network.
#[must_use]
pub fn network_milliamperes(volts: f64, hertz: f64) -> f64 {
    1e3 * volts.abs() / network_ohms(hertz)
}

/// Milliamperes from direct volts across 2000 ohm.
#[must_use]
pub fn direct_milliamperes(volts: f64) -> f64 {
    1e3 * volts.abs() / DIRECT_OHMS
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Source: row TL003 of `data/checks.csv`: 1494.6 ohm, so 0.75 V is 0.502 mA.
    #[test]
    fn the_network_is_that_of_the_checks() {
        assert!((network_ohms(60.0) - 1494.6).abs() < 0.003 * 1494.6);
        assert!((network_milliamperes(0.75, 60.0) - 0.502).abs() < 0.001);
        assert_eq!(direct_milliamperes(-4.0), 2.0);
    }
}
