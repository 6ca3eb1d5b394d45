//! Temperatures of one body in time, and settled, under a constant drive.
//!
//! Kelvin and seconds; power in shares of the body's rated power, resistance in shares of its
//! rated resistance, heat capacity in seconds per kelvin (joules per kelvin over rated watts).
//!
//! ```text
//! Cw dTw/dt = power(Tw) - loss(Tw, Tk)            wire, filament or bead
//! Ck dTk/dt = loss(Tw, Tk) - sleeve_loss(Tk)      cathode sleeve, where there is one
//! ```
//!
//! In time: the Rosenbrock method RODAS of order 4 with an order 3 companion (E. Hairer and
//! G. Wanner, Solving Ordinary Differential Equations II, section IV.7), L-stable, no
//! iteration, at most [`MOST_STEPS`] steps tried. Temperatures above the body's limit are held
//! there and reported. The slope with the drive comes from a second run with a slightly other
//! drive over the same steps, so that it belongs to the very map used. Settled: Newton on the logarithms of power and loss, kept within a
//! bracket that bisection closes.

/// What heats a body; `1.0` is the body's rated mean-square volts or amperes.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) enum Drive {
    /// Mean-square volts across it over rated volts squared.
    Volts(f64),
    /// Mean-square amperes through it over rated amperes squared.
    Amperes(f64),
    /// The warm-up test circuit: four times rated volts behind three times rated resistance.
    WarmUpTest,
}

impl Drive {
    /// Power over rated power at a resistance ratio, and its slope with that ratio.
    fn power(self, ratio: f64) -> (f64, f64) {
        match self {
            Self::Volts(square) => (square / ratio, -square / (ratio * ratio)),
            Self::Amperes(square) => (square * ratio, square),
            Self::WarmUpTest => {
                let amperes = 4.0 / (3.0 + ratio);
                let square = amperes * amperes;
                (square * ratio, square * (1.0 - 2.0 * ratio / (3.0 + ratio)))
            }
        }
    }

    /// Slope of the power with the drive itself, at a resistance ratio.
    fn power_per_drive(self, ratio: f64) -> f64 {
        match self {
            Self::Volts(_) => 1.0 / ratio,
            Self::Amperes(_) => ratio,
            Self::WarmUpTest => 0.0,
        }
    }

    fn shifted(self) -> (Self, f64) {
        let shift = |square: f64| 1e-6 * (square + 1e-3);
        match self {
            Self::Volts(square) => (Self::Volts(square + shift(square)), shift(square)),
            Self::Amperes(square) => (Self::Amperes(square + shift(square)), shift(square)),
            Self::WarmUpTest => (self, 1.0),
        }
    }
}

/// Heat that flows in a body at given temperatures, in shares of rated power.
#[derive(Debug, Clone, Copy)]
pub(super) struct Flow {
    /// Out of the wire, with its slopes with wire and cathode temperature.
    pub(super) loss: [f64; 3],
    /// Into the cathode less what it gives off, with the same slopes; zeros without a cathode.
    pub(super) gain: [f64; 3],
}

/// Where a body settles at one wire temperature.
#[derive(Debug, Clone, Copy)]
pub(super) struct Balance {
    /// Loss, share of rated power.
    pub(super) loss: f64,
    /// Slope of the loss with the wire's temperature, the cathode following.
    pub(super) loss_slope: f64,
    /// Cathode temperature that goes with it.
    pub(super) cathode: f64,
}

/// The thermal law of one body in normalised form.
pub(super) trait HeatLaw {
    /// Resistance over rated resistance and its slope per kelvin.
    fn ratio(&self, kelvin: f64) -> (f64, f64);
    /// Heat flows now.
    fn flow(&self, wire: f64, cathode: f64) -> Flow;
    /// Heat flow once the cathode has followed the wire.
    fn balance(&self, wire: f64) -> Balance;
    /// One over the heat capacities of wire and cathode, kelvin per second; 0 without a cathode.
    fn quickness(&self) -> [f64; 2];
    /// Highest wire temperature at which the law means anything, kelvin.
    fn limit_kelvin(&self) -> f64;
    /// Temperature of the surroundings, kelvin.
    fn ambient_kelvin(&self) -> f64;
    /// Whether resistance falls with temperature (several settled states at one voltage).
    fn falls(&self) -> bool {
        false
    }
}

/// Most steps tried in one call; when they are used up the result is marked beyond range.
pub(super) const MOST_STEPS: usize = 400;
/// Local error allowed in a step, relative to the temperature: keeps the conductance within
/// about one part in a million of the exact one, at some ten to forty steps from cold to hot.
pub(super) const STEP_TOLERANCE: f64 = 1e-5;
const COLDEST_KELVIN: f64 = 200.0;

/// Where one body got to.
#[derive(Debug, Clone, Copy)]
pub(super) struct Run {
    /// Wire and cathode temperature.
    pub(super) kelvin: [f64; 2],
    /// Change of the wire's temperature with the drive; 0 where it was not asked for.
    pub(super) kelvin_per_drive: f64,
    /// Held at the limit, or steps used up.
    pub(super) beyond_range: bool,
}

/// Follows a body for `seconds` under a constant drive.
pub(super) fn advance<L: HeatLaw>(
    law: &L,
    from: [f64; 2],
    drive: Drive,
    seconds: f64,
    with_slope: bool,
) -> Run {
    let (other_drive, shift) = drive.shifted();
    let mut now = from;
    let mut other = from;
    let mut held = false;
    let mut time_left = seconds;
    let mut beyond_range = false;
    let mut step = first_step(law, from, drive);
    let mut tried = 0;
    while time_left > 0.0 {
        if tried == MOST_STEPS {
            beyond_range = true;
            break;
        }
        tried += 1;
        let size = if step >= time_left {
            time_left
        } else if step > 0.5 * time_left {
            0.5 * time_left
        } else {
            step
        };
        let (next, error) = rodas_step(law, drive, now, size, held);
        let score = error / STEP_TOLERANCE;
        let factor = if score.is_finite() {
            (0.9 * score.max(1e-8).sqrt().sqrt().recip()).clamp(0.2, 8.0)
        } else {
            0.1
        };
        step = size * factor;
        if score.is_nan() || score > 1.0 {
            continue;
        }
        if with_slope {
            other = rodas_step(law, other_drive, other, size, held).0;
        }
        now = next;
        time_left -= size;
        if !held && now[0] >= law.limit_kelvin() {
            now[0] = law.limit_kelvin();
            other[0] = now[0];
            held = true;
            beyond_range = true;
        }
    }
    Run {
        kelvin: now,
        kelvin_per_drive: (other[0] - now[0]) / shift,
        beyond_range,
    }
}

/// Seconds until `reached` turns from negative to positive; None when it does not by `longest`.
pub(super) fn time_until<L: HeatLaw>(
    law: &L,
    from: [f64; 2],
    drive: Drive,
    longest: f64,
    reached: impl Fn([f64; 2]) -> f64,
) -> Option<f64> {
    let mut now = from;
    let mut time = 0.0;
    let mut step = first_step(law, from, drive);
    for _ in 0..20 * MOST_STEPS {
        if reached(now) >= 0.0 {
            return Some(time);
        }
        if time >= longest {
            return None;
        }
        let (next, error) = rodas_step(law, drive, now, step, false);
        let score = error / (0.01 * STEP_TOLERANCE);
        let factor = if score.is_finite() {
            (0.9 * score.max(1e-8).sqrt().sqrt().recip()).clamp(0.2, 3.0)
        } else {
            0.1
        };
        if score <= 1.0 {
            if reached(next) >= 0.0 {
                let (mut low, mut high) = (0.0, step);
                for _ in 0..40 {
                    let middle = 0.5 * (low + high);
                    let (there, _) = rodas_step(law, drive, now, middle, false);
                    if reached(there) >= 0.0 {
                        high = middle;
                    } else {
                        low = middle;
                    }
                }
                return Some(time + high);
            }
            now = next;
            time += step;
        }
        step *= factor;
    }
    None
}

/// Where a body settles under a constant drive (coming from cold where there are several).
pub(super) fn settle<L: HeatLaw>(law: &L, drive: Drive) -> Run {
    let ambient = law.ambient_kelvin();
    let limit = law.limit_kelvin();
    // logarithm of loss over power against the logarithm of the rise above the surroundings
    let excess = |place: f64| {
        let rise = place.exp();
        let wire = ambient + rise;
        let balance = law.balance(wire);
        let (ratio, ratio_slope) = law.ratio(wire);
        let (power, power_slope) = drive.power(ratio);
        let value = (balance.loss / power).ln();
        let slope = rise * (balance.loss_slope / balance.loss - power_slope * ratio_slope / power);
        (value, slope)
    };
    let at = |wire: f64, beyond_range: bool| {
        let balance = law.balance(wire);
        let (ratio, ratio_slope) = law.ratio(wire);
        let stiffness = balance.loss_slope - drive.power(ratio).1 * ratio_slope;
        let kelvin_per_drive = if beyond_range || stiffness <= 1e-12 {
            0.0
        } else {
            drive.power_per_drive(ratio) / stiffness
        };
        Run {
            kelvin: [wire, balance.cathode],
            kelvin_per_drive,
            beyond_range,
        }
    };
    let (mut low, mut high) = (1e-6_f64.ln(), (limit - ambient).ln());
    let heated = drive.power(law.ratio(ambient).0).0 > 0.0 && excess(low).0 < 0.0;
    if !heated {
        return at(ambient, false);
    }
    if law.falls() && matches!(drive, Drive::Volts(_)) {
        // several settled states are possible: take the first one above cold
        let width = (high - low) / 100.0;
        while low + width < high && excess(low + width).0 < 0.0 {
            low += width;
        }
        high = high.min(low + width);
    }
    if excess(high).0 < 0.0 {
        return at(limit, true);
    }
    let mut place = high.min((limit - ambient).ln() - 0.7).max(low);
    for _ in 0..80 {
        let (value, slope) = excess(place);
        if value > 0.0 {
            high = place;
        } else {
            low = place;
        }
        let change = value / slope;
        if change.abs() < 1e-11 {
            place -= change;
            break;
        }
        let newton = place - change;
        place = if newton > low && newton < high {
            newton
        } else {
            0.5 * (low + high)
        };
        if high - low < 1e-12 {
            break;
        }
    }
    at(ambient + place.exp(), false)
}

/// A step in which the wire would move by a few hundredths of its temperature.
fn first_step<L: HeatLaw>(law: &L, from: [f64; 2], drive: Drive) -> f64 {
    let rates = rates(law, drive, from, false);
    let quick = (rates.wire / from[0])
        .abs()
        .max((rates.cathode / from[1]).abs());
    0.03 / quick.max(1e-9)
}

struct Rates {
    wire: f64,
    cathode: f64,
}

#[inline]
fn rates<L: HeatLaw>(law: &L, drive: Drive, kelvin: [f64; 2], held: bool) -> Rates {
    let wire = kelvin[0].max(COLDEST_KELVIN);
    let quickness = law.quickness();
    let flow = law.flow(wire, kelvin[1]);
    let power = drive.power(law.ratio(wire).0).0;
    Rates {
        wire: if held {
            0.0
        } else {
            (power - flow.loss[0]) * quickness[0]
        },
        cathode: flow.gain[0] * quickness[1],
    }
}

// RODAS, autonomous form; coefficients from the book named above.
const GAMMA: f64 = 0.25;
const A: [[f64; 4]; 4] = [
    [1.544, 0.0, 0.0, 0.0],
    [0.946_678_528_081_582_6, 0.255_701_169_898_328_4, 0.0, 0.0],
    [
        3.314_825_187_068_521,
        2.896_124_015_972_201,
        0.998_641_913_997_781_7,
        0.0,
    ],
    [
        1.221_224_509_226_641,
        6.019_134_481_288_629,
        12.537_083_329_320_87,
        -0.687_886_036_105_895,
    ],
];
const C: [[f64; 5]; 5] = [
    [-5.6688, 0.0, 0.0, 0.0, 0.0],
    [
        -2.430_093_356_833_875,
        -0.206_359_915_709_191_5,
        0.0,
        0.0,
        0.0,
    ],
    [
        -0.107_352_905_815_137_5,
        -9.594_562_251_023_355,
        -20.470_286_148_096_16,
        0.0,
        0.0,
    ],
    [
        7.496_443_313_967_647,
        -10.246_804_314_643_52,
        -33.999_903_528_199_05,
        11.708_908_932_061_6,
        0.0,
    ],
    [
        8.083_246_795_921_522,
        -7.981_132_988_064_893,
        -31.521_594_328_743_71,
        16.319_305_431_231_36,
        -6.058_818_238_834_054,
    ],
];

/// One step; the new temperatures and the error relative to them.
fn rodas_step<L: HeatLaw>(
    law: &L,
    drive: Drive,
    from: [f64; 2],
    size: f64,
    held: bool,
) -> ([f64; 2], f64) {
    let quickness = law.quickness();
    let wire = from[0].max(COLDEST_KELVIN);
    let flow = law.flow(wire, from[1]);
    let (ratio, ratio_slope) = law.ratio(wire);
    let (power, power_slope) = drive.power(ratio);
    let free = if held { 0.0 } else { quickness[0] };
    let slope_ww = (power_slope * ratio_slope - flow.loss[1]) * free;
    let slope_wk = -flow.loss[2] * free;
    let slope_kw = flow.gain[1] * quickness[1];
    let slope_kk = flow.gain[2] * quickness[1];
    let start = [(power - flow.loss[0]) * free, flow.gain[0] * quickness[1]];

    let diagonal = 1.0 / (GAMMA * size);
    let (m_ww, m_kk) = (diagonal - slope_ww, diagonal - slope_kk);
    let over_determinant = 1.0 / (m_ww * m_kk - slope_wk * slope_kw);
    let solve = |right: [f64; 2]| {
        [
            (m_kk * right[0] + slope_wk * right[1]) * over_determinant,
            (m_ww * right[1] + slope_kw * right[0]) * over_determinant,
        ]
    };
    let per_size = 1.0 / size;
    let mut stages = [[0.0; 2]; 6];
    stages[0] = solve(start);
    let mut last = from;
    for stage in 1..6 {
        let mut place = from;
        if stage < 5 {
            for before in 0..stage {
                place[0] += A[stage - 1][before] * stages[before][0];
                place[1] += A[stage - 1][before] * stages[before][1];
            }
        } else {
            place = [last[0] + stages[4][0], last[1] + stages[4][1]];
        }
        last = place;
        let here = rates(law, drive, place, held);
        let mut right = [here.wire, here.cathode];
        for before in 0..stage {
            right[0] += C[stage - 1][before] * per_size * stages[before][0];
            right[1] += C[stage - 1][before] * per_size * stages[before][1];
        }
        stages[stage] = solve(right);
    }
    let next = [last[0] + stages[5][0], last[1] + stages[5][1]];
    if !(next[0].is_finite() && next[1].is_finite()) {
        return (from, f64::NAN);
    }
    let next = [next[0].max(COLDEST_KELVIN), next[1].max(COLDEST_KELVIN)];
    let error = (stages[5][0] / next[0])
        .abs()
        .max((stages[5][1] / next[1]).abs());
    (next, error)
}
