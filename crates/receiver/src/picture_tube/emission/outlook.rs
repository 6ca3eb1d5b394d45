//! What the readings of one sitting say, with its doubt and its reason.
//!
//! Readings in the unit of the instrument, at rated heater; minutes since the heater was put on.
//! Bands hold nine of ten. "Cannot tell" is a result: too few readings, a needle at the end of
//! the scale, or a band wider than [`TOO_WIDE`] of its value. The limits are judgement.

use quantity::Band;

use super::fit::{Fit, Point, Problem, at_the_end, fit};
use super::forecast::known_when;
use super::level_text::level_text;
use super::mixture::{Mixture, Piece};
use super::record::{EmissionFaults, EmissionRecord, check_record};

/// Readings below which nothing is told: three or four fit any curve.
pub const FEWEST_READINGS: usize = 5;
/// Width of a band over its value from which on it says nothing of use.
pub const TOO_WIDE: f64 = 0.6;
/// Share by which a level must still change to count as rising or falling.
const CHANGE_THAT_COUNTS: f64 = 0.03;
/// Chance from which on a direction is told.
const SURE: f64 = 0.9;
/// Trust below which a reading is named as misread.
const MISREAD_BELOW: f64 = 0.2;
/// Spread of heater volts, share of rated, from which on a record counts as mixed.
const MIXED_HEATER: f64 = 0.08;
/// Points of the curve for a picture.
const CURVE_POINTS: usize = 61;

/// What a record says.
#[derive(Clone, Debug, PartialEq)]
pub struct EmissionOutlook {
    /// Unit of all levels.
    pub unit: String,
    /// Minutes of the last reading.
    pub last_minutes: f64,
    /// Level at the last reading, at rated heater.
    pub now: Band,
    /// The level it is heading for in this sitting.
    pub heading: Heading,
    /// Rising, falling or steady after the last reading.
    pub direction: Direction,
    /// Chance that the level still rises by more than a few percent, 0 to 1.
    pub chance_of_rising: f64,
    /// Chance that it still falls by as much.
    pub chance_of_falling: f64,
    /// When the level headed for will be known to within 5 percent.
    pub known: KnownWhen,
    /// Whether to wait.
    pub waiting: Waiting,
    /// Readings taken for misread, counted from 1 as given.
    pub misread: Vec<usize>,
    /// Readings at the end of the scale, counted from 1 as given.
    pub at_scale_end: Vec<usize>,
    /// Worth knowing beside the result.
    pub notices: Vec<String>,
    /// Curve with band, from the first reading to twice the record.
    pub curve: Vec<CurvePoint>,
    /// The level headed for, as pieces, for a comparison.
    pub(super) pieces: Vec<Piece>,
}

/// The level headed for.
#[derive(Clone, Debug, PartialEq)]
pub enum Heading {
    /// Told, with what the band is made of.
    Told(Band),
    /// Not told.
    CannotTell {
        /// Why not.
        because: String,
        /// What can be said all the same.
        band: Band,
    },
}

impl Heading {
    /// The band, told or not.
    pub fn band(&self) -> &Band {
        match self {
            Heading::Told(band) | Heading::CannotTell { band, .. } => band,
        }
    }
}

/// Where the readings go from here.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Direction {
    /// Still rising.
    Rising,
    /// Falling.
    Falling,
    /// Within a few percent of where it will stay.
    Steady,
    /// The readings do not tell.
    CannotTell,
}

/// When the level will be known to within 5 percent.
#[derive(Clone, Debug, PartialEq)]
pub enum KnownWhen {
    /// It is known now.
    Now,
    /// After this many further minutes, read at the same pace.
    AfterMinutes(f64),
    /// Not within this many further minutes.
    NotWithin(f64),
    /// Nobody can say.
    CannotTell(String),
}

/// Whether waiting is worth it, in words for a person.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Waiting {
    /// Wait, with the reason.
    Worth(String),
    /// Do not, with the reason.
    NotWorth(String),
    /// Unclear, with what to do.
    CannotTell(String),
}

/// One point of the curve.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct CurvePoint {
    /// Minutes.
    pub minutes: f64,
    /// Nineteen of twenty are above.
    pub low: f64,
    /// Middle.
    pub middle: f64,
    /// Nineteen of twenty are below.
    pub high: f64,
}

/// Judges a record.
///
/// # Errors
/// Every fault of the record.
pub fn judge_emission(record: &EmissionRecord) -> Result<EmissionOutlook, EmissionFaults> {
    let (problem, order) = problem_of(record)?;
    let Some(found) = fit(&problem) else {
        return Err(EmissionFaults(vec![super::record::EmissionFault {
            reading: None,
            field: "readings",
            read: "figures that no law fits".to_owned(),
            expected: "readings of one tube on one scale",
            hint: "look for a slip of the point in scale end and readings",
        }]));
    };
    let last = problem.points.last().map_or(0.0, |point| point.minutes);
    let pieces = found.final_level();
    let band = level_band(&pieces, &found, record)?;
    let now = plain_band(&found.level_at(last), record)?;
    let heading = heading(record, &problem, band);
    let (direction, rising, falling) = direction(&found.still_to_come(last), &heading);
    let known = match &heading {
        Heading::CannotTell { because, .. } if problem.points.len() < FEWEST_READINGS => {
            KnownWhen::CannotTell(because.clone())
        }
        _ => known_when(&problem, &found, &heading),
    };
    let named = |wanted: &dyn Fn(usize) -> bool| {
        let mut numbers: Vec<usize> = (0..order.len())
            .filter(|at| wanted(*at))
            .map(|at| order[at] + 1)
            .collect();
        numbers.sort_unstable();
        numbers
    };
    let at_scale_end = named(&|at| at_the_end(&problem, at));
    let misread = named(&|at| !at_the_end(&problem, at) && found.trust[at] < MISREAD_BELOW);
    let waiting = waiting(record, &heading, &now, direction, &known);
    let span = last - problem.points[0].minutes;
    Ok(EmissionOutlook {
        unit: record.unit.clone(),
        last_minutes: last,
        now,
        direction,
        chance_of_rising: rising,
        chance_of_falling: falling,
        known,
        waiting,
        notices: notices(record, &at_scale_end, &misread),
        misread,
        at_scale_end,
        curve: curve(&found, problem.points[0].minutes, last + span.max(1.0)),
        heading,
        pieces,
    })
}

/// The level a record is heading for, and nothing else: what a fit with its band costs.
///
/// # Errors
/// Every fault of the record.
pub fn judge_level(record: &EmissionRecord) -> Result<(Heading, usize), EmissionFaults> {
    let (problem, _) = problem_of(record)?;
    let found = fit(&problem);
    let pieces = found.as_ref().map_or_else(Vec::new, Fit::final_level);
    let band = match &found {
        Some(found) => level_band(&pieces, found, record)?,
        None => plain_band(&pieces, record)?,
    };
    let weighed = found.map_or(0, |found| found.weighed);
    Ok((heading(record, &problem, band), weighed))
}

/// The record in the order of time, and which reading stands where.
fn problem_of(record: &EmissionRecord) -> Result<(Problem, Vec<usize>), EmissionFaults> {
    let faults = check_record(record);
    if !faults.is_empty() {
        return Err(EmissionFaults(faults));
    }
    let mut order: Vec<usize> = (0..record.readings.len()).collect();
    order.sort_by(|one, other| {
        let minutes = |at: usize| record.readings[at].minutes;
        minutes(*one).total_cmp(&minutes(*other))
    });
    let share = |at: usize| {
        let volts = record.readings[at].heater_volts?;
        Some((volts.0 / record.rated_heater_volts.0).ln())
    };
    let law = EmissionOfHeater::over((0..record.readings.len()).filter_map(share));
    let points = order
        .iter()
        .map(|at| Point {
            minutes: record.readings[*at].minutes,
            reading: record.readings[*at].reading,
            log_emission: share(*at).map(|log| law.at(log)),
        })
        .collect();
    Ok((
        Problem {
            scale_end: record.scale_end,
            needle: record.needle_error_share,
            points,
        },
        order,
    ))
}

/// Emission against heater volts between the least and the greatest noted ones, both as
/// logarithms over rated; straight between knots, which is right to a thousandth.
struct EmissionOfHeater {
    first: f64,
    step: f64,
    knots: Vec<f64>,
}

impl EmissionOfHeater {
    const KNOTS: usize = 17;

    fn over(logs: impl Iterator<Item = f64>) -> Self {
        let (mut low, mut high) = (f64::INFINITY, f64::NEG_INFINITY);
        for log in logs {
            low = low.min(log);
            high = high.max(log);
        }
        if low > high {
            return Self {
                first: 0.0,
                step: 1.0,
                knots: Vec::new(),
            };
        }
        let step = ((high - low) / (Self::KNOTS - 1) as f64).max(1e-6);
        let emission = |knot: usize| {
            let log: f64 = low + step * knot as f64;
            laws::emission_at_heater_share(log.exp()).max(1e-12).ln()
        };
        Self {
            first: low,
            step,
            knots: (0..Self::KNOTS).map(emission).collect(),
        }
    }

    fn at(&self, log: f64) -> f64 {
        let place = ((log - self.first) / self.step).clamp(0.0, (Self::KNOTS - 1) as f64);
        let left = (place as usize).min(Self::KNOTS - 2);
        match (self.knots.get(left), self.knots.get(left + 1)) {
            (Some(a), Some(b)) => a + (b - a) * (place - left as f64),
            _ => 0.0,
        }
    }
}

fn unusable(record: &EmissionRecord) -> EmissionFaults {
    EmissionFaults(vec![super::record::EmissionFault {
        reading: None,
        field: "readings",
        read: format!("{} readings that leave no level", record.readings.len()),
        expected: "readings of one tube on one scale",
        hint: "look for a slip of the point in scale end and readings",
    }])
}

fn plain_band(pieces: &[Piece], record: &EmissionRecord) -> Result<Band, EmissionFaults> {
    banded(pieces, record, &[])
}

fn level_band(
    pieces: &[Piece],
    found: &Fit,
    record: &EmissionRecord,
) -> Result<Band, EmissionFaults> {
    let [between, within, law] = found.causes();
    let noted = record.readings.iter().any(|one| one.heater_volts.is_some());
    let readings = if noted {
        "the needle and misread readings"
    } else {
        "the needle, misread readings, heater volts not noted"
    };
    banded(
        pieces,
        record,
        &[
            ("how the recovery goes on", between),
            (readings, within),
            ("no cathode follows a law exactly", law),
        ],
    )
}

fn banded(
    pieces: &[Piece],
    record: &EmissionRecord,
    causes: &[(&str, f64)],
) -> Result<Band, EmissionFaults> {
    let mixture = Mixture::new(pieces, 0.0).ok_or_else(|| unusable(record))?;
    let low = mixture.quantile(0.05);
    let middle = mixture.quantile(0.5).max(low);
    let high = mixture.quantile(0.95).max(middle);
    Band::new(low, middle, high, causes.iter().copied()).map_err(|_| unusable(record))
}

fn heading(record: &EmissionRecord, problem: &Problem, band: Band) -> Heading {
    let count = problem.points.len();
    if count < FEWEST_READINGS {
        let because = format!(
            "{count} readings fit any curve; {FEWEST_READINGS} are the least, ten tell more"
        );
        return Heading::CannotTell { because, band };
    }
    let wide = band.width() > TOO_WIDE * band.expected;
    let ended = (count.saturating_sub(3)..count)
        .filter(|at| at_the_end(problem, *at))
        .count();
    if ended >= 2 && wide {
        let because = format!(
            "the needle stands at the end of the scale: {} {} or more is all it shows; take a \
             less sensitive range",
            record.scale_end, record.unit
        );
        return Heading::CannotTell { because, band };
    }
    if wide {
        let because = format!(
            "between {} and {} {} everything fits these readings",
            level_text(band.low),
            level_text(band.high),
            record.unit
        );
        return Heading::CannotTell { because, band };
    }
    Heading::Told(band)
}

fn direction(to_come: &[Piece], heading: &Heading) -> (Direction, f64, f64) {
    let counts = CHANGE_THAT_COUNTS * heading.band().expected;
    let Some(mixture) = Mixture::new(to_come, f64::NEG_INFINITY) else {
        return (Direction::CannotTell, 0.0, 0.0);
    };
    let rising = 1.0 - mixture.share_below(counts);
    let falling = mixture.share_below(-counts);
    let told = if rising >= SURE {
        Direction::Rising
    } else if falling >= SURE {
        Direction::Falling
    } else if 1.0 - rising - falling >= SURE {
        Direction::Steady
    } else {
        Direction::CannotTell
    };
    (told, rising, falling)
}

fn waiting(
    record: &EmissionRecord,
    heading: &Heading,
    now: &Band,
    direction: Direction,
    known: &KnownWhen,
) -> Waiting {
    let unit = &record.unit;
    let band = heading.band();
    let to_know = match known {
        KnownWhen::AfterMinutes(minutes) => {
            format!("in about {minutes:.0} minutes the level will be known to within 5 percent")
        }
        KnownWhen::NotWithin(minutes) => {
            format!("even {minutes:.0} more minutes will not tell it to within 5 percent")
        }
        KnownWhen::Now => "the level is known to within 5 percent".to_owned(),
        KnownWhen::CannotTell(because) => because.clone(),
    };
    let [at, low, high] = [now.expected, band.low, band.high].map(level_text);
    match (heading, direction) {
        (Heading::CannotTell { because, .. }, _) => {
            Waiting::CannotTell(format!("{because}; {to_know}"))
        }
        (Heading::Told(_), Direction::Rising) => Waiting::Worth(format!(
            "it stands at {at} and is heading for {low} to {high} {unit}; {to_know}"
        )),
        (Heading::Told(_), Direction::Falling) => Waiting::NotWorth(format!(
            "it falls, from {at} toward {low} to {high} {unit}; note the heater volts with each \
             reading before the tube is blamed"
        )),
        (Heading::Told(_), Direction::Steady) => Waiting::NotWorth(format!(
            "it stays within a few percent of {} {unit}; {to_know}",
            level_text(band.expected)
        )),
        (Heading::Told(_), Direction::CannotTell) => Waiting::CannotTell(format!(
            "the readings do not tell whether it still changes; {to_know}"
        )),
    }
}

fn notices(record: &EmissionRecord, ended: &[usize], misread: &[usize]) -> Vec<String> {
    let list = |numbers: &[usize]| {
        let words: Vec<String> = numbers.iter().map(ToString::to_string).collect();
        words.join(", ")
    };
    let mut notices = Vec::new();
    if !misread.is_empty() {
        notices.push(format!(
            "reading {} does not go with the others and counts little: was the needle misread?",
            list(misread)
        ));
    }
    if !ended.is_empty() {
        notices.push(format!(
            "reading {} stands at the end of the scale and counts as that much or more",
            list(ended)
        ));
    }
    let shares: Vec<f64> = record
        .readings
        .iter()
        .filter_map(|reading| Some(reading.heater_volts?.0 / record.rated_heater_volts.0))
        .collect();
    let low = shares.iter().copied().fold(f64::INFINITY, f64::min);
    let high = shares.iter().copied().fold(f64::NEG_INFINITY, f64::max);
    if shares.is_empty() {
        notices.push(
            "heater volts were not noted: a line that wanders by 3 percent moves emission by 15, \
             so the band is wider than it need be"
                .to_owned(),
        );
    } else if shares.len() < record.readings.len() {
        notices.push("heater volts are missing beside some readings".to_owned());
    }
    if high - low > MIXED_HEATER {
        notices.push(
            "the heater was run at different volts: readings are taken to the rated volts by \
             Richardson's law, and a cathode may recover faster while it is hotter"
                .to_owned(),
        );
    }
    notices
}

fn curve(found: &Fit, from: f64, to: f64) -> Vec<CurvePoint> {
    let mut points = Vec::with_capacity(CURVE_POINTS);
    for index in 0..CURVE_POINTS {
        let minutes = from + (to - from) * index as f64 / (CURVE_POINTS - 1) as f64;
        let pieces = found.level_at(minutes);
        if let Some(mixture) = Mixture::new(&pieces, 0.0) {
            points.push(CurvePoint {
                minutes,
                low: mixture.quantile(0.05),
                middle: mixture.quantile(0.5),
                high: mixture.quantile(0.95),
            });
        }
    }
    points
}
