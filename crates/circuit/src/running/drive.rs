//! What a stage is driven with: waves that repeat.
//!
//! Volts (of a source) or amperes (of a current) over the share of a period, added to what
//! the figure of the branch says. A wave has no jumps: pulses rise within a stated share.
//! [`Waveform::check`] refuses what no generator gives.

use crate::error::CircuitError;

/// A wave that repeats `cycles` times in the period of the network.
#[derive(Clone, Debug, PartialEq)]
pub struct Waveform {
    /// Its form over one cycle.
    pub form: Form,
    /// Cycles in one period of the network, 1 or more.
    pub cycles: u32,
}

/// The form of one cycle.
#[derive(Clone, Debug, PartialEq)]
pub enum Form {
    /// `peak * sin(2 pi (share + lead))`.
    Sine {
        /// Peak, volts or amperes.
        peak: f64,
        /// Lead, share of a cycle.
        lead: f64,
    },
    /// Straight lines between points (share of the cycle, volts or amperes) whose shares rise
    /// from 0 to below 1; the last runs on to the first of the next cycle.
    Straight(Vec<(f64, f64)>),
}

/// The levels of a picture signal as the sync separator sees it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct LineSignal {
    /// Level of the sync tip.
    pub tip: f64,
    /// Level of blanking.
    pub blanking: f64,
    /// Level of the picture, taken as one grey.
    pub picture: f64,
}

impl Waveform {
    /// A sine of this peak.
    pub fn sine(peak: f64) -> Waveform {
        let form = Form::Sine { peak, lead: 0.0 };
        Waveform { form, cycles: 1 }
    }

    /// A sawtooth about 0 that rises to half of `peak_to_peak` and falls back in
    /// `retrace_share` of the cycle.
    pub fn sawtooth(peak_to_peak: f64, retrace_share: f64) -> Waveform {
        let half = 0.5 * peak_to_peak;
        Waveform {
            form: Form::Straight(vec![(0.0, -half), (1.0 - retrace_share, half)]),
            cycles: 1,
        }
    }

    /// A pulse of `high` for `width_share` of the cycle, else `low`; each edge takes
    /// `edge_share`. The pulse begins at the cycle's begin.
    pub fn pulses(low: f64, high: f64, width_share: f64, edge_share: f64) -> Waveform {
        Waveform {
            form: Form::Straight(vec![
                (0.0, low),
                (edge_share, high),
                (width_share, high),
                (width_share + edge_share, low),
            ]),
            cycles: 1,
        }
    }

    /// One line of a composite signal: front porch, sync tip, back porch, picture, in the
    /// shares of the 525-line standard (front porch 0.02, sync 0.08, blanking 0.165 of the
    /// line: RMA 1945, FCC 1953; from memory). Edges take 0.004 of the line.
    pub fn line(signal: LineSignal) -> Waveform {
        let LineSignal {
            tip,
            blanking,
            picture,
        } = signal;
        let edge = 0.004;
        Waveform {
            form: Form::Straight(vec![
                (0.0, picture),
                (edge, blanking),
                (0.02, blanking),
                (0.02 + edge, tip),
                (0.1, tip),
                (0.1 + edge, blanking),
                (0.165, blanking),
                (0.165 + edge, picture),
            ]),
            cycles: 1,
        }
    }

    /// The value at a share of the network's period, any number of periods on.
    pub fn at(&self, share: f64) -> f64 {
        let turns = share * f64::from(self.cycles);
        match &self.form {
            Form::Sine { peak, lead } => peak * (std::f64::consts::TAU * (turns + lead)).sin(),
            Form::Straight(points) => {
                let turn = turns - turns.floor();
                let after = points.partition_point(|(at, _)| *at <= turn);
                let Some(&(first_at, first)) = points.first() else {
                    return 0.0;
                };
                let (from_at, from) = match after.checked_sub(1).and_then(|at| points.get(at)) {
                    Some(&point) => point,
                    None => (first_at, first),
                };
                let (to_at, to) = points
                    .get(after)
                    .copied()
                    .unwrap_or((1.0 + first_at, first));
                let span = to_at - from_at;
                if span <= 0.0 {
                    return from;
                }
                from + (to - from) * (turn - from_at) / span
            }
        }
    }

    /// Its mean over a period.
    pub fn mean(&self) -> f64 {
        match &self.form {
            Form::Sine { .. } => 0.0,
            Form::Straight(points) => {
                let next = points.iter().cycle().skip(1);
                points
                    .iter()
                    .zip(next)
                    .map(|(&(from_at, from), &(to_at, to))| {
                        let span = (to_at - from_at).rem_euclid(1.0);
                        let span = if points.len() == 1 { 1.0 } else { span };
                        0.5 * (from + to) * span
                    })
                    .sum()
            }
        }
    }

    /// Shares of the network's period, from 0 to below 1, at which its slope jumps.
    pub(super) fn breaks(&self) -> Vec<f64> {
        let Form::Straight(points) = &self.form else {
            return Vec::new();
        };
        let cycles = f64::from(self.cycles);
        (0..self.cycles)
            .flat_map(|cycle| {
                points
                    .iter()
                    .map(move |(at, _)| (f64::from(cycle) + at) / cycles)
            })
            .collect()
    }

    /// Whether a generator can give it; `element` is told in the error.
    ///
    /// # Errors
    /// [`CircuitError::Value`].
    pub fn check(&self, element: usize) -> Result<(), CircuitError> {
        let refuse = |field, value, expected| {
            Err(CircuitError::Value {
                element,
                field,
                value,
                expected,
            })
        };
        if !(1..=10_000).contains(&self.cycles) {
            return refuse("cycles", f64::from(self.cycles), "1 to 10000");
        }
        match &self.form {
            Form::Sine { peak, lead } => {
                if peak.is_nan() || peak.abs() > 1e5 {
                    return refuse("peak", *peak, "within 100 kV");
                }
                if !lead.is_finite() {
                    return refuse("lead", *lead, "a finite number");
                }
            }
            Form::Straight(points) => {
                let Some(&(first, _)) = points.first() else {
                    return refuse("points", 0.0, "one point at least");
                };
                if !(0.0..1.0).contains(&first) {
                    return refuse("share", first, "from 0 to below 1");
                }
                // Shares so near to one another would be a jump.
                const LEAST: f64 = 1e-6;
                for pair in points.windows(2) {
                    let gap = pair[1].0 - pair[0].0;
                    if gap.is_nan() || gap < LEAST || pair[1].0 >= 1.0 {
                        return refuse(
                            "share",
                            pair[1].0,
                            "rising by 1e-6 or more from point to point, below 1",
                        );
                    }
                }
                let last = points.last().map_or(0.0, |(at, _)| *at);
                if points.len() > 1 && 1.0 + first - last < LEAST {
                    return refuse("share", last, "1e-6 below the next cycle's first point");
                }
                if let Some(&(_, value)) = points
                    .iter()
                    .find(|(_, value)| value.is_nan() || value.abs() > 1e5)
                {
                    return refuse("value", value, "within 100 kV");
                }
            }
        }
        Ok(())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn means_are_those_of_geometry() {
        // Triangles and trapezoids: a sawtooth about 0 has no mean, a pulse its area.
        assert!(Waveform::sawtooth(20.0, 0.1).mean().abs() < 1e-15);
        let pulses = Waveform::pulses(-1.0, 9.0, 0.2, 0.01);
        assert!((pulses.mean() - (-1.0 + 10.0 * 0.2)).abs() < 1e-12);
        for wave in [
            Waveform::sawtooth(20.0, 0.1),
            pulses,
            Waveform::line(LineSignal {
                tip: 10.0,
                blanking: 7.0,
                picture: 3.0,
            }),
        ] {
            let count = 100_000;
            let sum: f64 = (0..count)
                .map(|n| wave.at((f64::from(n) + 0.5) / f64::from(count)))
                .sum();
            assert!((sum / f64::from(count) - wave.mean()).abs() < 1e-4);
        }
    }

    #[test]
    fn jumps_are_refused() {
        let jump = Waveform {
            form: Form::Straight(vec![(0.0, 0.0), (0.3, 1.0), (0.3, 2.0)]),
            cycles: 1,
        };
        assert!(jump.check(4).is_err());
        assert!(Waveform::pulses(0.0, 1.0, 0.1, 0.0).check(0).is_err());
        assert!(Waveform::sine(f64::NAN).check(0).is_err());
        assert!(Waveform::sawtooth(10.0, 0.1).check(0).is_ok());
    }
}
