//! Drawn emission curves with known truth, made by laws that the fit does not use.
//!
//! Minutes, a scale of 100. The fit knows exponentials and their stages; these curves are
//! stretched exponentials, logistic and Gompertz curves, kinetics of higher order and diffusion
//! (`tanh` of the root of time). One and two rising parts, a dip, a fall; the time to 95 percent
//! lies between 5 and 120 minutes (common practice, `data/trade_numbers.csv`, "emission
//! settles"), the record lasts one and a half to five times that. 10 to 60 readings at uneven times, needle
//! error 2 percent of full scale (one standard deviation), 5 percent misread by up to a fifth of
//! the scale (in half the cases always downward: a dirty pin), a scale that ends below the truth in 10 percent,
//! heater volts that wander within 3 percent (one percent standard deviation, a memory of
//! minutes) with emission following by Richardson's law, its constants drawn; noted to 0.3
//! percent in half the cases. Every draw has a seed.

use quantity::Volts;
use rand::{RngExt, SeedableRng};
use rand_pcg::Pcg64;
use receiver::picture_tube::emission::{EmissionReading, EmissionRecord};

/// Where the scale ends.
pub const SCALE: f64 = 100.0;
/// Heater volts of the drawn tubes.
pub const RATED: f64 = 6.3;

/// One drawn sitting with its truth.
pub struct Case {
    /// One part, two parts, a dip, a fall.
    pub kind: usize,
    /// The level headed for.
    pub truth: f64,
    /// Minutes from which the curve stays within a fifth of its rise.
    pub settled: f64,
    /// Minutes of the whole record.
    pub span: f64,
    /// Whether heater volts are noted.
    pub noted: bool,
    /// The whole record.
    pub record: EmissionRecord,
}

#[derive(Clone, Copy)]
enum Shape {
    Stretched(f64),
    Logistic(f64),
    Gompertz(f64),
    Order(f64),
    Diffusion,
}

impl Shape {
    fn drawn(random: &mut Pcg64) -> Self {
        match random.random_range(0..5) {
            0 => Self::Stretched(between(random, 0.6, 0.9)),
            1 => Self::Logistic(between(random, 0.3, 1.5)),
            2 => Self::Gompertz(between(random, 0.5, 2.0)),
            3 => Self::Order(between(random, 2.0, 5.0)),
            _ => Self::Diffusion,
        }
    }

    /// Share of the rise done at `x`, from 0 to 1.
    fn done(self, x: f64) -> f64 {
        let from_zero = |at: &dyn Fn(f64) -> f64| (at(x) - at(0.0)) / (1.0 - at(0.0));
        match self {
            Self::Stretched(power) => 1.0 - (-x.powf(power)).exp(),
            Self::Logistic(middle) => from_zero(&|x| 1.0 / (1.0 + (middle - x).exp())),
            Self::Gompertz(lag) => from_zero(&|x| (-lag * (-x).exp()).exp()),
            Self::Order(order) => 1.0 - (1.0 + x / order).powf(-order),
            Self::Diffusion => x.sqrt().tanh(),
        }
    }

    fn half(self) -> f64 {
        let (mut low, mut high) = (0.0, 50.0);
        for _ in 0..50 {
            let middle = 0.5 * (low + high);
            if self.done(middle) < 0.5 {
                low = middle;
            } else {
                high = middle;
            }
        }
        low
    }
}

struct Part {
    shape: Shape,
    share: f64,
    /// Minutes for one unit of the shape.
    unit: f64,
}

struct Curve {
    start: f64,
    last: f64,
    parts: Vec<Part>,
    dip: Option<(f64, f64)>,
}

impl Curve {
    fn at(&self, minutes: f64) -> f64 {
        let rise: f64 = self
            .parts
            .iter()
            .map(|part| part.share * part.shape.done(minutes / part.unit))
            .sum();
        let dip = self.dip.map_or(0.0, |(depth, when)| {
            let x = minutes / when;
            depth * 2.0 * x * x / (1.0 + x.powi(4))
        });
        self.start + (self.last - self.start) * rise - dip
    }

    /// Minutes from which the curve stays within `left` of its rise, looked for up to `until`.
    fn within(&self, left: f64, until: f64) -> f64 {
        let allowed = left * (self.last - self.start).abs();
        let step = until / 1000.0;
        (0..1000)
            .rev()
            .map(|index| step * f64::from(index))
            .find(|minutes| (self.at(*minutes) - self.last).abs() > allowed)
            .map_or(0.0, |minutes| minutes + step)
    }

    fn stretch(&mut self, by: f64) {
        for part in &mut self.parts {
            part.unit *= by;
        }
        if let Some((_, when)) = &mut self.dip {
            *when *= by;
        }
    }
}

/// The drawn case of this number.
pub fn case(number: u64) -> Case {
    let random = &mut Pcg64::seed_from_u64(0x5eed_0005 ^ (number << 20));
    let beyond = random.random::<f64>() < 0.1;
    let share = if beyond {
        between(random, 1.05, 1.5)
    } else {
        between(random, 0.3, 0.95)
    };
    let (kind, mut curve) = curve(random, share * SCALE, beyond);
    let wanted = ratio_between(random, 5.0, 120.0);
    let unstretched = curve.within(0.05, 1000.0);
    curve.stretch(wanted / unstretched);
    let span = (wanted * between(random, 1.5, 5.0)).max(5.0);
    let noted = random.random::<f64>() < 0.5;
    Case {
        kind,
        truth: curve.last,
        settled: curve.within(0.2, wanted * 1.01),
        span,
        noted,
        record: EmissionRecord {
            unit: "percent".to_owned(),
            scale_end: SCALE,
            needle_error_share: Some(0.02),
            rated_heater_volts: Volts(RATED),
            readings: readings(random, &curve, span, noted),
        },
    }
}

fn curve(random: &mut Pcg64, last: f64, beyond: bool) -> (usize, Curve) {
    let part = |random: &mut Pcg64, share: f64, half: f64| {
        let shape = Shape::drawn(random);
        Part {
            shape,
            share,
            unit: half / shape.half(),
        }
    };
    let which = random.random::<f64>();
    let (kind, start, parts, dip) = if which < 0.35 {
        let start = last * between(random, 0.1, 0.7);
        (0, start, vec![part(random, 1.0, 5.0)], None)
    } else if which < 0.7 {
        let start = last * between(random, 0.05, 0.6);
        let fast = between(random, 0.3, 0.8);
        let later = 2.0 * ratio_between(random, 4.0, 12.0);
        let parts = vec![part(random, fast, 2.0), part(random, 1.0 - fast, later)];
        (1, start, parts, None)
    } else if which < 0.85 {
        let start = last * between(random, 0.3, 0.7);
        let depth = last * between(random, 0.08, 0.25);
        let when = 5.0 * between(random, 0.8, 2.5);
        (2, start, vec![part(random, 1.0, 5.0)], Some((depth, when)))
    } else {
        let start = last * between(random, 1.2, 2.0);
        let start = if beyond {
            start
        } else {
            start.min(0.97 * SCALE).max(1.1 * last)
        };
        (3, start, vec![part(random, 1.0, 5.0)], None)
    };
    let curve = Curve {
        start,
        last,
        parts,
        dip,
    };
    (kind, curve)
}

fn readings(random: &mut Pcg64, curve: &Curve, span: f64, noted: bool) -> Vec<EmissionReading> {
    let count = random.random_range(10..=60);
    let mut times: Vec<f64> = (0..count)
        .map(|_| {
            let share = random.random::<f64>();
            let early = random.random::<f64>() < 0.5;
            span * if early { share * share } else { share }
        })
        .collect();
    times.sort_by(f64::total_cmp);
    // Richardson's law with drawn constants: work function 0.9 to 1.1 eV at 1050 K, and the
    // cathode's temperature as the heater volts to the power 0.36 to 0.42.
    let work = between(random, 0.9, 1.1) / 8.617_333e-5 / 1050.0;
    let power = between(random, 0.36, 0.42);
    let emission = |share: f64| {
        let hotter = share.powf(power);
        hotter * hotter * (work * (1.0 - 1.0 / hotter)).exp()
    };
    let memory = ratio_between(random, 1.0, 10.0);
    let downward = random.random::<f64>() < 0.5;
    let mut wander = bell(random);
    let mut before = 0.0;
    times
        .into_iter()
        .map(|minutes| {
            let kept = f64::exp(-(minutes - before) / memory);
            before = minutes;
            wander = kept * wander + (1.0 - kept * kept).sqrt() * bell(random);
            let heater = 1.0 + (0.01 * wander).clamp(-0.03, 0.03);
            let mut shown = curve.at(minutes) * emission(heater) + 0.02 * SCALE * bell(random);
            if random.random::<f64>() < 0.05 {
                let off = between(random, 0.0, 0.2) * SCALE;
                let down = downward || random.random::<f64>() < 0.5;
                shown += if down { -off } else { off };
            }
            let volts = RATED * (heater + 0.003 * bell(random));
            EmissionReading {
                minutes,
                reading: shown.clamp(0.0, SCALE),
                heater_volts: noted.then_some(Volts(volts)),
            }
        })
        .collect()
}

fn between(random: &mut Pcg64, low: f64, high: f64) -> f64 {
    low + (high - low) * random.random::<f64>()
}

fn ratio_between(random: &mut Pcg64, low: f64, high: f64) -> f64 {
    low * (high / low).powf(random.random::<f64>())
}

/// A normal draw of unit deviation, as the sum of twelve even ones.
fn bell(random: &mut Pcg64) -> f64 {
    (0..12).map(|_| random.random::<f64>()).sum::<f64>() - 6.0
}
