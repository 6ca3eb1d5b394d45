//! The life test timed: how fast a reading falls after the heater is reduced or cut.
//!
//! Seconds, readings in one unit on one instrument, heater volts as a share of rated (0: cut).
//! Emission while the cathode cools is that of the heater model of `circuit::thermal`, whose
//! usual heater warms in 20 s; the current follows by [`circuit::thermal::space_charge_share`].
//! Not known besides the reserve are how heavy the cathode is ([`SLOWNESS`], times over those of
//! the usual heater) and its work function, 0.9 to 1.1 eV (Herrmann and Wagener 1951, from
//! memory): all three are tried together, each weighed by how well it meets the readings, with
//! the needle's error. Slowness and its spread are judgement: picture tubes are made alike, but
//! nobody notes how heavy a sleeve is. The band holds nine of ten. A reserve whose band is wider
//! than [`TOO_WIDE`] times is not told unless all of it is low; neither is one from readings of the first two seconds.

use circuit::thermal::space_charge_share;
use quantity::Band;

use super::life_test::Reserve;

/// Times of a picture tube's heater over those of the usual one: quick, usual, slow. Nineteen of
/// twenty lie between the first and the last.
pub const SLOWNESS: [f64; 3] = [0.65, 1.0, 1.55];
/// High end of a reserve's band over its low end from which on it says nothing of use.
pub const TOO_WIDE: f64 = 10.0;
/// Reserve of a healthy cathode, least and most (judgement, see
/// [`circuit::thermal::USUAL_EMISSION_RESERVE`]).
const GOOD: (f64, f64) = (6.0, 10.0);
/// Reserve below which a cathode is tired (judgement, as in [`super::verdict`]).
const TIRED: f64 = 2.0;
/// Work functions that are tried, over the usual one.
const WORKS: [f64; 3] = [0.9, 1.0, 1.1];
/// Seconds before which the cathode has hardly cooled.
const TOO_SOON: f64 = 2.0;
/// Reserves that a fall can tell.
const RESERVES: (f64, f64) = (0.1, 40.0);
/// Reserves and slownesses that are tried.
const TRIED: (usize, usize) = (120, 11);
/// What the law itself may be off, share of the first reading (judgement).
const LAW_ERROR: f64 = 0.02;

/// Readings against seconds after the heater was reduced or cut.
#[derive(Clone, Debug, PartialEq)]
pub struct LifeFall {
    /// Reading just before, at the rated heater.
    pub before: f64,
    /// Seconds since, and what was read.
    pub readings: Vec<(f64, f64)>,
    /// Heater volts now over rated, 0 to 0.9.
    pub heater_share: f64,
    /// Error of the needle, in the unit of the readings, one standard deviation.
    pub needle_error: f64,
}

/// What the fall says.
#[derive(Clone, Debug, PartialEq)]
pub struct Fall {
    /// The reserve, with its band.
    pub reserve: Reserve,
    /// Seconds of the last reading that counted, if any.
    pub at_seconds: Option<f64>,
    /// Share of the first reading left there.
    pub left: Option<f64>,
    /// Share that a good cathode still shows there, least and most.
    pub good_leaves: Option<(f64, f64)>,
}

/// Judges a timed life test.
pub fn judge_fall(fall: &LifeFall) -> Fall {
    let told = |because: &str| Fall {
        reserve: Reserve::CannotTell(because.to_owned()),
        at_seconds: None,
        left: None,
        good_leaves: None,
    };
    let sound = |value: f64| value.is_finite() && value >= 0.0;
    let figures = [fall.before, fall.needle_error, fall.heater_share];
    let pairs = fall.readings.iter();
    if !(figures.into_iter().all(sound) && pairs.clone().all(|(s, r)| sound(*s) && sound(*r))) {
        return told("seconds, readings and volts are figures from zero on");
    }
    if fall.heater_share > 0.9 {
        return told("the heater was reduced too little: cut it, or go to 0.8 of rated and lower");
    }
    if fall.before <= 5.0 * fall.needle_error || fall.before <= 0.0 {
        return told("the first reading is lost in the needle's error");
    }
    let used: Vec<(f64, f64)> = pairs
        .filter(|(seconds, _)| *seconds >= TOO_SOON)
        .map(|(seconds, reading)| (*seconds, reading / fall.before))
        .collect();
    let Some(&(seconds, left)) = used.iter().max_by(|a, b| a.0.total_cmp(&b.0)) else {
        return told("no reading later than two seconds: read at 5, 10 and 15 s");
    };
    // The needle errs at both readings.
    let needle = std::f64::consts::SQRT_2 * fall.needle_error / fall.before;
    let error = needle.hypot(LAW_ERROR);
    let emission = |at: f64, slower: f64, work: f64| {
        laws::emission_after_reduction(fall.heater_share, at, slower).powf(work)
    };
    let good =
        |reserve: f64, slower: f64| space_charge_share(emission(seconds, slower, 1.0), reserve);
    let good_leaves = (good(GOOD.0, SLOWNESS[0]), good(GOOD.1, SLOWNESS[2]));
    let with = |reserve| Fall {
        reserve,
        at_seconds: Some(seconds),
        left: Some(left),
        good_leaves: Some(good_leaves),
    };
    if left > 1.0 + 2.0 * error {
        return with(Reserve::CannotTell(
            "it rose with less heater: read again".to_owned(),
        ));
    }
    let weighed = weigh(&used, error, &emission);
    let middle = quantile(&weighed, 0.5);
    let (low, high) = (quantile(&weighed, 0.05), quantile(&weighed, 0.95));
    if high >= 0.9 * RESERVES.1 && low >= 2.0 {
        return with(Reserve::AtLeast(low));
    }
    // Below one every reserve falls alike; that it is so low is told all the same.
    if high > TOO_WIDE * low && high >= TIRED {
        return with(Reserve::CannotTell(format!(
            "the readings leave a reserve of {low:.1} to {high:.1}: read more often, at 3, 5, 7, 9 \
             and 12 s, or reduce the heater to 0.8 of rated and wait until the needle stands"
        )));
    }
    let band = Band::new(
        low,
        middle,
        high,
        [("needle, weight of the cathode, its work function", 1.0)],
    );
    with(band.map_or_else(
        |error| Reserve::CannotTell(error.to_string()),
        Reserve::Told,
    ))
}

/// Every reserve that is tried with its weight; they go up in equal ratios.
fn weigh(
    used: &[(f64, f64)],
    error: f64,
    emission: &impl Fn(f64, f64, f64) -> f64,
) -> Vec<(f64, f64)> {
    let (reserves, slownesses) = TRIED;
    let ratio = (RESERVES.1 / RESERVES.0).ln();
    let mut weighed: Vec<(f64, f64)> = (0..reserves)
        .map(|at| {
            let place = at as f64 / (reserves - 1) as f64;
            (RESERVES.0 * (ratio * place).exp(), 0.0)
        })
        .collect();
    // Nineteen of twenty within the ends of the slowness: two deviations of its logarithm.
    let deviation = 0.25 * (SLOWNESS[2] / SLOWNESS[0]).ln();
    for step in 0..slownesses {
        let place = 5.0 * (step as f64 / (slownesses - 1) as f64 - 0.5);
        let slower = (SLOWNESS[1].ln() + place * deviation).exp();
        for work in WORKS {
            let course: Vec<(f64, f64)> = used
                .iter()
                .map(|(at, share)| (emission(*at, slower, work), *share))
                .collect();
            // Work functions at the ends of the range count half.
            let before = (-0.5 * place * place).exp() * if work == 1.0 { 1.0 } else { 0.5 };
            for (reserve, weight) in &mut weighed {
                let misfit: f64 = course
                    .iter()
                    .map(|(emission, share)| {
                        ((space_charge_share(*emission, *reserve) - share) / error).powi(2)
                    })
                    .sum();
                *weight += before * (-0.5 * misfit).exp();
            }
        }
    }
    weighed
}

/// The reserve below which this share of the weight lies.
fn quantile(weighed: &[(f64, f64)], share: f64) -> f64 {
    let all: f64 = weighed.iter().map(|(_, weight)| weight).sum();
    let mut below = 0.0;
    for (reserve, weight) in weighed {
        below += weight;
        if below >= share * all {
            return *reserve;
        }
    }
    RESERVES.1
}
