//! Laws of rectifiers: current against the volts from anode to cathode.
//!
//! Inside: volts, amperes, siemens. Tubes follow the three-halves law of Child
//! (Phys. Rev. 32 (1911) 492) and Langmuir (Phys. Rev. 2 (1913) 450), smoothly
//! limited by the emission that the cathode can give. Metal and silicon
//! rectifiers follow a straight line above a threshold with a rounded corner,
//! and leak a little in reverse. A measured curve is followed through its points.
//! All laws are smooth or nearly so, rise everywhere, and are defined for any
//! voltage; none can fail.

/// What kind of rectifier, with its constants.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum RectifierLaw {
    /// A vacuum diode.
    Tube {
        /// Perveance, amperes per volt to the power 1.5.
        perveance: f64,
        /// Emission at rated heater volts, amperes.
        rated_emission: f64,
    },
    /// A selenium stack or a silicon diode.
    Junction {
        /// Volts of the threshold.
        threshold: f64,
        /// Ohms above the threshold.
        series_ohms: f64,
        /// Volts over which the corner is rounded.
        corner: f64,
        /// Reverse leakage, siemens.
        leak_siemens: f64,
    },
    /// A curve through measured points.
    Curve {
        /// The points.
        through: MeasuredCurve,
        /// Emission at rated heater volts, amperes; infinite for a metal rectifier. The
        /// passage to the limit is softer than that of [`RectifierLaw::Tube`]: the
        /// inverse squares of both currents add up.
        rated_emission: f64,
        /// Reverse leakage, siemens.
        leak_siemens: f64,
    },
}

/// Points of a curve that rises, joined smoothly without overshoot (the cubic pieces
/// of Fritsch and Carlson, SIAM J. Numer. Anal. 17 (1980) 238). Below the first point
/// nothing flows but the leak; beyond the last the curve goes straight on.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct MeasuredCurve {
    /// Volts, amperes, siemens.
    points: [(f64, f64, f64); MeasuredCurve::POINTS],
}

impl MeasuredCurve {
    /// Points of a curve.
    pub const POINTS: usize = 6;

    /// A curve through points (volts, amperes) that rise in both; the first has no
    /// current. `None` where they do not rise or are no numbers.
    pub fn through(points: [(f64, f64); MeasuredCurve::POINTS]) -> Option<MeasuredCurve> {
        let rises = points
            .windows(2)
            .all(|pair| pair[1].0 > pair[0].0 && pair[1].1 > pair[0].1);
        let finite = points.iter().all(|(v, i)| v.is_finite() && i.is_finite());
        if !rises || !finite || points[0].1 != 0.0 {
            return None;
        }
        let chord = |piece: usize| {
            let ((v0, i0), (v1, i1)) = (points[piece], points[piece + 1]);
            (i1 - i0) / (v1 - v0)
        };
        let last = MeasuredCurve::POINTS - 1;
        let mut whole = points.map(|(volts, amperes)| (volts, amperes, 0.0));
        for (number, point) in whole.iter_mut().enumerate() {
            point.2 = match number {
                // Conduction begins softly.
                0 => 0.0,
                number if number == last => chord(last - 1),
                // The harmonic mean keeps the pieces rising.
                number => {
                    let (before, after) = (chord(number - 1), chord(number));
                    2.0 * before * after / (before + after)
                }
            };
        }
        Some(MeasuredCurve { points: whole })
    }

    /// Current and slope without leak or limit.
    fn current(&self, volts: f64) -> (f64, f64) {
        let first = self.points[0];
        let last = self.points[MeasuredCurve::POINTS - 1];
        if volts <= first.0 {
            return (0.0, 0.0);
        }
        if volts >= last.0 {
            return (last.1 + last.2 * (volts - last.0), last.2);
        }
        let piece = self
            .points
            .windows(2)
            .find(|pair| volts < pair[1].0)
            .unwrap_or(&self.points[..2]);
        let ((v0, i0, s0), (v1, i1, s1)) = (piece[0], piece[1]);
        let width = v1 - v0;
        let way = (volts - v0) / width;
        let rise = i1 - i0;
        let (a, b) = (s0 * width - rise, rise - s1 * width);
        let rest = 1.0 - way;
        let bow = rest * a + way * b;
        (
            i0 + rise * way + way * rest * bow,
            (rise + (rest - way) * bow + way * rest * (b - a)) / width,
        )
    }
}

/// Emission, amperes, below which a cathode counts as cold: no meter of the bench
/// shows a nanoampere.
const LEAST_EMISSION: f64 = 1e-9;

/// Conductance that stands in the linear part for a metal rectifier. It takes nothing
/// from the result; without it four of them around a floating winding would leave the
/// linear part next to singular.
const BASE_SIEMENS: f64 = 1e-5;

/// Leak that a vacuum diode is given in reverse, so that no place hangs free.
const TUBE_LEAK_SIEMENS: f64 = 1e-10;

impl RectifierLaw {
    /// A tube through one point of its published drop curve: `volts` at `amperes`
    /// through one plate. Emission is `amperes_peak`, the peak that it must give.
    pub fn tube_through(volts: f64, amperes: f64, rated_emission: f64) -> RectifierLaw {
        RectifierLaw::Tube {
            perveance: amperes / volts.powf(1.5),
            rated_emission,
        }
    }

    /// Current and slope at `volts`; `emission` is the share of the rated emission
    /// that the cathode gives at its present temperature.
    #[inline]
    pub fn current(&self, volts: f64, emission: f64) -> (f64, f64) {
        match *self {
            RectifierLaw::Tube {
                perveance,
                rated_emission,
            } => {
                let leak = (TUBE_LEAK_SIEMENS * volts, TUBE_LEAK_SIEMENS);
                let limit = rated_emission * emission;
                if volts <= 0.0 || limit < LEAST_EMISSION {
                    return leak;
                }
                let root = volts.sqrt();
                let free = perveance * volts * root;
                let free_slope = 1.5 * perveance * root;
                // Sharpness of the passage from space charge to emission limit: the third
                // power leaves less than 2 percent off the three-halves law up to a third
                // of the emission.
                let ratio = free / limit;
                let power = ratio * ratio * ratio;
                let part = inverse_cube_root_above_one(power);
                (
                    free * part + leak.0,
                    free_slope * part / (1.0 + power) + leak.1,
                )
            }
            RectifierLaw::Junction {
                threshold,
                series_ohms,
                corner,
                leak_siemens,
            } => {
                let reduced = (volts - threshold) / corner;
                let (soft, slope) = if reduced > 30.0 {
                    (reduced, 1.0)
                } else if reduced < -30.0 {
                    (0.0, 0.0)
                } else {
                    let grown = reduced.exp();
                    (grown.ln_1p(), grown / (1.0 + grown))
                };
                (
                    corner * soft / series_ohms + leak_siemens * volts,
                    slope / series_ohms + leak_siemens,
                )
            }
            RectifierLaw::Curve {
                ref through,
                rated_emission,
                leak_siemens,
            } => {
                let limit = rated_emission * emission;
                let (free, free_slope) = through.current(volts);
                if free <= 0.0 || limit < LEAST_EMISSION {
                    return (leak_siemens * volts, leak_siemens);
                }
                let ratio = free / limit;
                let part = (1.0 + ratio * ratio).sqrt().recip();
                (
                    free * part + leak_siemens * volts,
                    free_slope * part * part * part + leak_siemens,
                )
            }
        }
    }

    /// Change of the current with the emission, times the emission.
    pub(crate) fn emission_slope(&self, volts: f64, emission: f64) -> f64 {
        match *self {
            RectifierLaw::Tube {
                perveance,
                rated_emission,
            } if volts > 0.0 && rated_emission * emission >= LEAST_EMISSION => {
                let free = perveance * volts * volts.sqrt();
                let ratio = free / (rated_emission * emission);
                let power = ratio * ratio * ratio;
                if power.is_finite() {
                    free * power / (1.0 + power) * inverse_cube_root_above_one(power)
                } else {
                    rated_emission * emission
                }
            }
            RectifierLaw::Curve {
                ref through,
                rated_emission,
                ..
            } if rated_emission.is_finite() => {
                let free = through.current(volts).0;
                let ratio = free / (rated_emission * emission).max(1e-15);
                let square = ratio * ratio;
                if square.is_finite() {
                    free * square / ((1.0 + square) * (1.0 + square).sqrt())
                } else {
                    rated_emission * emission
                }
            }
            _ => 0.0,
        }
    }

    /// Volts at which conduction begins, and over what width.
    pub(crate) fn corner(&self) -> (f64, f64) {
        match *self {
            RectifierLaw::Tube { .. } => (0.0, 1e-3),
            RectifierLaw::Junction {
                threshold, corner, ..
            } => (threshold, corner),
            RectifierLaw::Curve { ref through, .. } => (through.points[0].0, 1e-3),
        }
    }

    /// The conductance that stands in the linear part of the equations; the law is then
    /// solved for what it differs from that.
    pub(crate) fn base_siemens(&self) -> f64 {
        match *self {
            RectifierLaw::Tube { .. } => TUBE_LEAK_SIEMENS,
            RectifierLaw::Junction { leak_siemens, .. }
            | RectifierLaw::Curve { leak_siemens, .. } => leak_siemens.max(BASE_SIEMENS),
        }
    }
}

/// `(1 + power)` to the power of minus a third, for `power` from zero up.
#[inline]
fn inverse_cube_root_above_one(power: f64) -> f64 {
    if power < 1e-3 {
        // Binomial series; the next term is below 2e-16.
        let third = power / 3.0;
        return 1.0 - third * (1.0 - third * (2.0 - third * (14.0 / 3.0 - third * 35.0 / 3.0)));
    }
    if !power.is_finite() {
        return 0.0;
    }
    // A third of the exponent as a first guess, good to 5 percent; Halley's iteration
    // cubes the error each time.
    let value = 1.0 + power;
    let mut root = f64::from_bits(value.to_bits() / 3 + 0x2A9F_7893_782D_A1CE);
    for _ in 0..3 {
        let cube = root * root * root;
        root *= (cube + 2.0 * value) / (2.0 * cube + value);
    }
    1.0 / root
}

#[cfg(test)]
mod tests {
    use super::inverse_cube_root_above_one;

    #[test]
    fn the_quick_root_is_the_root() {
        // Against the library's cube root.
        let mut power = 1e-12;
        while power < 1e300 {
            let expected = 1.0 / (1.0f64 + power).cbrt();
            let found = inverse_cube_root_above_one(power);
            assert!(
                (found / expected - 1.0).abs() < 1e-14,
                "{power}: {found} {expected}"
            );
            power *= 1.17;
        }
        assert_eq!(inverse_cube_root_above_one(0.0), 1.0);
    }
}
