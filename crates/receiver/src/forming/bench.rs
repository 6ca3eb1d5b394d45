//! What stands between source and capacitor, in closed form: resistor, charging, discharge.
//!
//! Volts, amperes, ohms, watts, farads, seconds. A source of V behind R gives the capacitor at most
//! V squared over 4 R whatever it leaks, and V over R when it is a dead short; both are kept. The
//! resistor itself then takes V squared over R and all the volts, so it is made of pieces in series,
//! each at half its watts. What pieces there are, and the volts that each stands, is told by
//! `data/resistor_volts.csv` with its standing. Fails for figures that are none, and where no such
//! string of pieces stands the volts.

use parts::todays_parts;
use quantity::Series;

use super::FormingError;
use super::limits::{LeakLimits, leak_limits};
use crate::hazard::MOST_WATTS_IN_CAN;
use crate::plan::charged::DISCHARGED_VOLTS;

/// Current to which a source is held at most, amperes (trade number "re-forming current limit": 2 to 10 mA).
pub const MOST_AMPERES: f64 = 0.010;
/// Current below which it would take days, amperes (the same).
const LEAST_AMPERES: f64 = 0.002;
/// Part of the marked volts by which the source is raised (trade number "re-forming voltage steps", 5 to 20 percent).
const STEP_SHARE: f64 = 0.1;
/// A resistor is used at half its rated watts (common practice).
const RATING_OVER_HEAT: f64 = 2.0;
/// Most pieces in series; more are awkward to solder.
const MOST_PIECES: usize = 8;
/// Largest piece, watts: larger ones are wire-wound, and seldom made in so many ohms (common practice).
const MOST_PIECE_WATTS: f64 = 5.0;
/// The discharge resistor where none is named: 4.7k 10 W, within the 1k to 10k of the caution on charged electrolytics.
pub const DISCHARGE_OHMS: f64 = 4700.0;
/// Watts of that resistor.
pub const DISCHARGE_WATTS: f64 = 10.0;
/// Time constants after which what flows is leakage and no longer charging: e to the minus 10.
pub const CHARGING_CONSTANTS: f64 = 10.0;

/// One kind of resistor that a bench has.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Piece {
    /// Rated watts.
    pub watts: f64,
    /// Highest volts across it, whatever its ohms.
    pub volts: f64,
}

/// A d.c. source of the bench.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct FormingSource {
    /// Lowest volts.
    pub low_volts: f64,
    /// Highest volts.
    pub high_volts: f64,
    /// Highest current, if told.
    pub amperes: Option<f64>,
}

/// What is to be formed, and from what.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct FormingJob {
    /// Marked capacitance.
    pub farads: f64,
    /// Marked volts.
    pub marked_volts: f64,
    /// The source; `None` where none is named.
    pub source: Option<FormingSource>,
    /// Volts to form to; the marked volts if absent.
    pub wanted_volts: Option<f64>,
    /// The discharge resistor, ohms; the usual one of this module if absent.
    pub discharge_ohms: Option<f64>,
    /// Whether it is a new part, for which the limit of today's data sheets counts.
    pub is_new: bool,
}

/// The resistor between source and capacitor.
#[derive(Debug, Clone, PartialEq)]
pub struct SeriesResistor {
    /// Least ohms that keep the current of a dead short.
    pub least_for_current: f64,
    /// Least ohms that keep the heat in the can.
    pub least_for_heat: f64,
    /// How many pieces in series.
    pub pieces: usize,
    /// Ohms of each, of the 5 percent values.
    pub piece_ohms: f64,
    /// What each is made for.
    pub piece: Piece,
    /// Ohms of all together.
    pub ohms: f64,
    /// Heat in all together when the capacitor is a dead short.
    pub watts_at_short: f64,
    /// Current then.
    pub amperes_at_short: f64,
    /// Most heat in the capacitor, whatever it leaks.
    pub most_can_watts: f64,
}

/// How it is emptied afterwards.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Discharge {
    /// The resistor.
    pub ohms: f64,
    /// Energy at the highest volts, joules: half C V squared.
    pub joules: f64,
    /// Current at the first moment.
    pub first_amperes: f64,
    /// Seconds until 10 V are left: R C ln (V / 10).
    pub seconds_to_ten_volts: f64,
}

/// The whole bench for one capacitor.
#[derive(Debug, Clone, PartialEq)]
pub struct FormingBench {
    /// What it is for.
    pub job: FormingJob,
    /// Highest volts of the source in this job.
    pub top_volts: f64,
    /// Source volts, rising; the last is `top_volts`.
    pub steps: Vec<f64>,
    /// The resistor.
    pub series: SeriesResistor,
    /// Its time constant with the capacitor, seconds.
    pub charging_seconds: f64,
    /// How much it may leak by either form.
    pub limits: LeakLimits,
    /// The limit that counts here: the old form, or for a new part today's.
    pub limit_amperes: f64,
    /// How it is emptied.
    pub discharge: Discharge,
}

impl FormingBench {
    /// Works out the bench.
    ///
    /// # Errors
    /// Figures that are none; a source that begins above the marked volts; no resistors that stand the job.
    pub fn of(job: FormingJob) -> Result<FormingBench, FormingError> {
        within(
            "the capacitance",
            job.farads,
            1e-8,
            0.1,
            "0.01 mfd to 100,000 mfd",
        )?;
        within(
            "the marked voltage",
            job.marked_volts,
            3.0,
            1000.0,
            "3 to 1000 V",
        )?;
        if let Some(volts) = job.wanted_volts {
            within(
                "the voltage to form to",
                volts,
                1.0,
                job.marked_volts,
                "volts up to those marked on the capacitor",
            )?;
        }
        if let Some(ohms) = job.discharge_ohms {
            within(
                "the discharge resistor",
                ohms,
                100.0,
                1e6,
                "100 ohm to 1 meg",
            )?;
        }
        let wanted = job.wanted_volts.unwrap_or(job.marked_volts);
        let top_volts = match job.source {
            Some(source) if source.low_volts > job.marked_volts => {
                return Err(FormingError::SourceTooHigh {
                    low_volts: source.low_volts,
                    marked_volts: job.marked_volts,
                });
            }
            Some(source) => wanted.min(source.high_volts),
            None => wanted,
        };
        within(
            "the highest voltage of the source",
            top_volts,
            1.0,
            1000.0,
            "1 to 1000 V",
        )?;
        let own = job.source.and_then(|source| source.amperes);
        let series = SeriesResistor::of(top_volts, own.unwrap_or(MOST_AMPERES))?;
        let limits = leak_limits(job.farads, job.marked_volts);
        let ohms = job.discharge_ohms.unwrap_or(DISCHARGE_OHMS);
        Ok(FormingBench {
            top_volts,
            steps: steps(
                job.source.map_or(0.0, |source| source.low_volts),
                top_volts,
                job.marked_volts,
            ),
            charging_seconds: series.ohms * job.farads,
            limit_amperes: if job.is_new {
                limits.modern_amperes
            } else {
                limits.period_amperes
            },
            limits,
            discharge: Discharge {
                ohms,
                joules: 0.5 * job.farads * top_volts * top_volts,
                first_amperes: top_volts / ohms,
                seconds_to_ten_volts: ohms
                    * job.farads
                    * (top_volts / DISCHARGED_VOLTS).ln().max(0.0),
            },
            series,
            job,
        })
    }

    /// Minutes from putting volts on until what flows is leakage.
    #[must_use]
    pub fn charging_minutes(&self) -> f64 {
        CHARGING_CONSTANTS * self.charging_seconds / 60.0
    }

    /// Volts across the capacitor at this leakage with the source at these volts.
    #[must_use]
    pub fn section_volts(&self, source_volts: f64, amperes: f64) -> f64 {
        (source_volts - amperes * self.series.ohms).max(0.0)
    }
}

impl SeriesResistor {
    /// The resistor for these volts, the source held to `most_amperes` or less: as few pieces as will do, then the
    /// smallest.
    ///
    /// # Errors
    /// Volts that are no figure; no string of pieces that stands them.
    pub fn of(volts: f64, most_amperes: f64) -> Result<SeriesResistor, FormingError> {
        within(
            "the highest voltage of the source",
            volts,
            1.0,
            f64::MAX,
            "1 V or more",
        )?;
        let amperes = most_amperes.clamp(LEAST_AMPERES, MOST_AMPERES);
        let least_for_current = volts / amperes;
        let least_for_heat = volts * volts / (4.0 * MOST_WATTS_IN_CAN);
        let least = least_for_current.max(least_for_heat);
        let made = |pieces: usize, piece: Piece| {
            let piece_ohms = Series::E24.at_least(least / pieces as f64)?;
            let ohms = pieces as f64 * piece_ohms;
            Some(SeriesResistor {
                least_for_current,
                least_for_heat,
                pieces,
                piece_ohms,
                piece,
                ohms,
                watts_at_short: volts * volts / ohms,
                amperes_at_short: volts / ohms,
                most_can_watts: volts * volts / (4.0 * ohms),
            })
        };
        let holds = |made: &SeriesResistor| {
            let count = made.pieces as f64;
            RATING_OVER_HEAT * made.watts_at_short / count <= made.piece.watts * (1.0 + 1e-9)
                && volts / count <= made.piece.volts
        };
        let sizes = pieces();
        (1..=MOST_PIECES)
            .flat_map(|count| sizes.iter().map(move |piece| (count, *piece)))
            .filter_map(|(count, piece)| made(count, piece))
            .find(holds)
            .ok_or(FormingError::NoResistors {
                volts,
                most_pieces: MOST_PIECES,
                most_watts: MOST_PIECE_WATTS,
            })
    }
}

/// The sizes of today's resistors that are soldered in a string, rising; none where the table cannot be read.
fn pieces() -> Vec<Piece> {
    let rows = todays_parts().map_or(&[][..], |today| &today.resistor_volts);
    rows.iter()
        .filter(|row| row.watts <= MOST_PIECE_WATTS)
        .map(|row| Piece {
            watts: row.watts,
            volts: row.volts,
        })
        .collect()
}

fn steps(low_volts: f64, top_volts: f64, marked_volts: f64) -> Vec<f64> {
    let mut steps = Vec::new();
    let mut count = 1.0;
    while count * STEP_SHARE * marked_volts < top_volts * 0.97 {
        let volts = (count * STEP_SHARE * marked_volts).round();
        if volts >= low_volts && volts > 0.0 {
            steps.push(volts);
        }
        count += 1.0;
    }
    steps.push(top_volts);
    steps
}

fn within(
    what: &'static str,
    value: f64,
    low: f64,
    high: f64,
    expected: &'static str,
) -> Result<(), FormingError> {
    if value.is_finite() && (low..=high).contains(&value) {
        Ok(())
    } else {
        Err(FormingError::Marked {
            what,
            read: format!("{value}"),
            expected,
        })
    }
}
