//! Thermionic emission of an oxide cathode, and what a tube makes of it.
//!
//! Units: kelvin; results are ratios. Richardson's law in Dushman's form (O. W. Richardson,
//! Phil. Mag. 28, 1914; S. Dushman, Phys. Rev. 21, 1923):
//! `emission = A T^2 exp(-phi / (k T))`, with a work function of 1.0 eV for a healthy
//! barium-strontium oxide cathode (from memory; Herrmann and Wagener, The Oxide-Coated Cathode,
//! 1951, give 0.9 to 1.1 eV). Holds from room temperature to about 1200 K; above, a real
//! cathode is soon spoilt, the law goes on. Nothing here fails: figures out of range give the
//! nearest sensible ratio.

/// Work function over Boltzmann's constant, kelvin: 1.0 eV (see above); k from CODATA 2018.
pub const OXIDE_WORK_FUNCTION_KELVIN: f64 = 1.0 / 8.617_333_262e-5;

/// Emission over plate-current demand at rated heater volts by which warm-up times are judged.
///
/// 6 to 10 is common in healthy receiving tubes (judgement).
pub const USUAL_EMISSION_RESERVE: f64 = 8.0;

/// Emission over that of a good cathode down to which wear leaves the currents as they were.
const UNWORN: f64 = 0.75;
/// How the currents of a worn cathode go with its emission below that.
const WORN_POWER: f64 = 0.4;

/// Currents that a worn cathode leaves at the volts of a good one, as a ratio of the good one's.
///
/// Wear does not thin a cathode's emission evenly: patches of the coating die, and the living rest carries the whole
/// current of its own area, so that currents and transconductance fall long before the emission of the whole is
/// used up (common practice: a weak tube draws less and amplifies less, and testers of emission and of transconductance both call
/// it weak). `(emission / 0.75)^0.4` is judgement: half of the emission leaves 85 percent of the currents, a fifth 59,
/// six hundredths 36, as bench testers of both kinds have it. 1 above three quarters; 0 for a ratio that is not
/// positive.
pub fn worn_currents(emission: f64) -> f64 {
    if emission > 0.0 {
        (emission / UNWORN).min(1.0).powf(WORN_POWER)
    } else {
        0.0
    }
}

/// Emission at `kelvin` over emission at `rated_kelvin`.
pub(super) fn richardson_ratio(kelvin: f64, rated_kelvin: f64) -> f64 {
    if kelvin.is_nan() || kelvin <= 1.0 {
        return 0.0;
    }
    let ratio = kelvin / rated_kelvin;
    ratio * ratio * (OXIDE_WORK_FUNCTION_KELVIN * (1.0 / rated_kelvin - 1.0 / kelvin)).exp()
}

/// Plate current as a share of what the tube draws at rated heater volts.
///
/// `emission_ratio` is emission over its value at rated heater volts, `reserve` is emission
/// over demand at rated heater volts (6 to 10 in a healthy tube, 1 or less in a worn one; a
/// worn tube's share is still of its own rated-heater current). With `x = emission_ratio *
/// reserve` the emission over demand, the current follows `x / sqrt(1 + x^2)`: all of the
/// emission while it is scarce, all of the demand while space charge rules, and a rounded
/// shoulder between, because parts of a cathode differ in temperature and activity (the form
/// of the shoulder is judgement). Divided by its value at `emission_ratio = 1`, so that 1.0
/// means normal. With the heater model here three quarters of rated volts leave a fifth
/// of the emission: about 0.84 of the current at a reserve of 8, 0.4 at a reserve of 2, which is
/// the old test for a weak tube. Reserve or ratio that is not positive gives 0.
pub fn space_charge_share(emission_ratio: f64, reserve: f64) -> f64 {
    let positive = emission_ratio > 0.0 && reserve > 0.0;
    if !positive {
        return 0.0;
    }
    let reserve = reserve.min(1e6);
    let squared = (emission_ratio.min(1e6) * reserve).powi(2);
    // x / sqrt(1 + x^2) over reserve / sqrt(1 + reserve^2), written to keep tiny x exact
    emission_ratio.min(1e6) * ((1.0 + reserve * reserve) / (1.0 + squared)).sqrt()
}
