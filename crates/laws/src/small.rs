//! Laws of crystals, neon lamps and voltage-dependent resistors.
//!
//! Volts, amperes, ohms; the catalogue's milliamperes and microamperes are turned here. A
//! figure that a row lacks is taken as usual for its kind, with the source beside it. A row
//! whose figures no part can have gives `None`.

use circuit::two_terminal::TwoTerminalLaw;
use parts::{DiodeMaterial, NeonLampType, SmallDiodeType};

/// A common diode passes this many times the least forward current of its sheet.
const FORWARD_OVER_LEAST: f64 = 2.0;

/// A common diode leaks this share of the most that its sheet allows.
const REVERSE_OVER_MOST: f64 = 0.3;

/// The law of a germanium or selenium diode as an average new one has it.
///
/// Germanium: the current grows by e in 50 mV (35 to 80 mV; Torrey and Whitmer, Crystal
/// Rectifiers, 1948, from memory) from a saturation of 1.5 microamperes (common practice:
/// 0.2 to 0.3 V at a milliampere). Selenium: 90 mV and 0.3 microampere a plate (from memory of
/// curves of small plates: half a volt before a milliampere flows).
pub fn crystal_law(diode: &SmallDiodeType) -> Option<TwoTerminalLaw> {
    let (slope_volts, saturation_amperes, least_at_one_volt, usual_leak) = match diode.material {
        DiodeMaterial::Germanium => (0.05, 1.5e-6, 4e-3, 1.5e-6),
        DiodeMaterial::Selenium => (0.09, 0.3e-6, 1e-3, 0.1e-6),
    };
    let forward = FORWARD_OVER_LEAST
        * diode
            .forward_milliamperes_at_1_volt
            .map_or(least_at_one_volt, |least| least * 1e-3);
    let barrier_volts = slope_volts * (1.0 + forward / saturation_amperes).ln();
    let series_ohms = ((1.0 - barrier_volts) / forward).max(1.0);
    let leak_siemens = match (diode.reverse_microamperes, diode.reverse_volts) {
        (Some(most), Some(volts)) if volts > 0.0 => {
            ((REVERSE_OVER_MOST * most * 1e-6 - saturation_amperes) / volts).max(1e-8)
        }
        _ => usual_leak,
    };
    sound(TwoTerminalLaw::Crystal {
        saturation_amperes,
        slope_volts,
        series_ohms,
        leak_siemens,
    })
}

/// The law of a neon lamp as a common new one has it, its base resistor included.
///
/// Strikes at the table's volts (70 V where it has none), glows at its burning volts (58 V).
/// The glow's own rise is about 6 V from nothing to the current it is made for, and it goes
/// out below a tenth of that current (both from memory of makers' curves).
pub fn neon_law(lamp: &NeonLampType) -> Option<TwoTerminalLaw> {
    let burning_volts = lamp.burning_volts.unwrap_or(58.0);
    let amperes = lamp.burning_milliamperes.unwrap_or(0.5) * 1e-3;
    if amperes <= 0.0 {
        return None;
    }
    let rise = 0.1 * burning_volts;
    let glow_volts = burning_volts - rise;
    // The table's burning volts are those of the glow, without a resistor in the base.
    let lit_ohms = rise / amperes + lamp.base_ohms.unwrap_or(0.0);
    let usual_strike = lamp.strike_max_volts.map_or(70.0, |most| 0.85 * most);
    let strike_volts = lamp
        .strike_volts
        .unwrap_or(usual_strike)
        .max(glow_volts + 1.0);
    sound(TwoTerminalLaw::Neon {
        strike_volts,
        glow_volts,
        lit_ohms,
        least_amperes: 0.1 * amperes,
    })
}

/// The maker's beta where a sheet does not give it: silicon carbide lies between 0.15 and 0.4
/// (from memory of makers' sheets).
pub const USUAL_BETA: f64 = 0.22;

/// The law of a voltage-dependent resistor through one point, volts at amperes, with the
/// maker's beta ([`USUAL_BETA`] without). `None` for figures that are not above zero or a beta
/// that no such resistor has.
pub fn vdr_law(volts: f64, amperes: f64, beta: Option<f64>) -> Option<TwoTerminalLaw> {
    let beta = beta.unwrap_or(USUAL_BETA);
    if !(volts > 0.0 && amperes > 0.0) {
        return None;
    }
    sound(TwoTerminalLaw::VoltageDependent {
        volts_at_one_ampere: volts / amperes.powf(beta),
        beta,
    })
}

fn sound(law: TwoTerminalLaw) -> Option<TwoTerminalLaw> {
    law.check().is_ok().then_some(law)
}
