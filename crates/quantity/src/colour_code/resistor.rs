//! Resistors: three, four or five bands, and body-end-dot.
//!
//! Results in ohms, tolerance as fractions. Source: RMA resistor code and IEC 60062, from memory. Carbon composition runs from
//! about 1 ohm to 100 megohm; multipliers beyond ten million are refused, because they are bands read from the wrong end or faded.

use super::{Colour, ColourError, Standing};
use crate::bench::{Unit, bench};
use crate::series::Series;
use crate::tolerance::Tolerance;
use crate::units::Ohms;

/// What the colours of a resistor say.
#[derive(Clone, Debug, PartialEq)]
pub struct ResistorReading {
    /// The marked resistance.
    pub ohms: Ohms,
    /// The marked tolerance.
    pub tolerance: Tolerance,
    /// How far the scheme is to be trusted.
    pub standing: Standing,
    /// What a restorer should know about this reading; may be empty.
    pub notes: Vec<String>,
}

/// Prints `270k 5%`.
impl std::fmt::Display for ResistorReading {
    fn fmt(&self, formatter: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(formatter, "{} {}", self.ohms, self.tolerance)
    }
}

/// Reads three to five bands, beginning at the end they crowd to; a missing fourth band is 20 %.
///
/// Five bands are three figures, multiplier and tolerance (close-tolerance parts). With gold or silver in the fourth place they can
/// also be a four-band part with the reliability mark of service parts behind it: where both are possible, both readings are named.
/// All impossible colours are reported at once.
pub fn read_bands(bands: &[Colour]) -> Result<ResistorReading, Vec<ColourError>> {
    match bands {
        // "No colour" as the fourth band is the missing one.
        [first, second, multiplier] | [first, second, multiplier, Colour::None] => {
            read_placed(&[*first, *second], *multiplier, None)
        }
        [first, second, multiplier, tolerance] => {
            read_placed(&[*first, *second], *multiplier, Some(*tolerance))
        }
        [first, second, third, fourth, fifth] => {
            let close = read_placed(&[*first, *second, *third], *fourth, Some(*fifth));
            let is_tolerance = matches!(fourth, Colour::Gold | Colour::Silver);
            let is_mark = matches!(
                fifth,
                Colour::Brown | Colour::Red | Colour::Orange | Colour::Yellow
            );
            if !(is_tolerance && is_mark) {
                return close;
            }
            match (
                close,
                read_placed(&[*first, *second], *third, Some(*fourth)),
            ) {
                (Ok(close), Ok(marked)) => Err(vec![ColourError::TwoReadings {
                    one: format!("{close} with three figures"),
                    other: format!("{marked} with a reliability mark behind"),
                    hint: "measure it with one end free",
                }]),
                (Err(_), Ok(mut marked)) => {
                    marked.notes.push(
                        "the fifth band is the reliability mark of a service part".to_string(),
                    );
                    Ok(marked)
                }
                (close, Err(_)) => close,
            }
        }
        other => Err(vec![ColourError::Count {
            count: other.len(),
            expected: "three, four or five bands",
        }]),
    }
}

/// Reads figures, multiplier and tolerance that stand in this order.
fn read_placed(
    figures: &[Colour],
    multiplier: Colour,
    tolerance: Option<Colour>,
) -> Result<ResistorReading, Vec<ColourError>> {
    let placed: Vec<Placed> = figures
        .iter()
        .enumerate()
        .map(|(index, colour)| (index + 1, *colour))
        .collect();
    let count = placed.len();
    let mut faults = Vec::new();
    let reading = read(
        &placed,
        (count + 1, multiplier),
        tolerance.map(|colour| (count + 2, colour)),
        &mut faults,
    );
    finish(reading, faults, Vec::new())
}

/// Reads body, end and dot: the body is the first figure, the painted end the second, the dot (or middle band) the multiplier.
///
/// A dot that is not there has the colour of the body, an end that is not painted too (common practice of the time, from memory):
/// give `None`. `other_end` is the tolerance: gold, silver, or `None` for 20 %.
pub fn read_body_end_dot(
    body: Colour,
    end: Option<Colour>,
    dot: Option<Colour>,
    other_end: Option<Colour>,
) -> Result<ResistorReading, Vec<ColourError>> {
    let mut notes = Vec::new();
    let mut faults = Vec::new();
    let painted = |colour: Option<Colour>| colour.filter(|colour| *colour != Colour::None);
    let end = painted(end).unwrap_or_else(|| {
        notes.push(format!(
            "no painted end: taken as {body} like the body; look for a faded end"
        ));
        body
    });
    let dot = painted(dot).unwrap_or_else(|| {
        notes.push(format!(
            "no dot: taken as {body} like the body; look for a faded dot"
        ));
        body
    });
    let tolerance = other_end.map(|colour| (4, colour));
    if let Some((place, colour)) = tolerance
        && !matches!(colour, Colour::Gold | Colour::Silver | Colour::None)
    {
        faults.push(ColourError::Impossible {
            place,
            colour,
            role: "tolerance on the other end",
            why: "only gold (5 %), silver (10 %) or no colour (20 %) stands there; is it the second figure?",
        });
    }
    let allowed = tolerance
        .filter(|(_, colour)| matches!(colour, Colour::Gold | Colour::Silver | Colour::None));
    let reading = read(&[(1, body), (2, end)], (3, dot), allowed, &mut faults);
    finish(reading, faults, notes)
}

type Placed = (usize, Colour);

/// Value and tolerance of placed colours; faults are added.
fn read(
    figures: &[Placed],
    multiplier: Placed,
    tolerance: Option<Placed>,
    faults: &mut Vec<ColourError>,
) -> Option<(f64, f64)> {
    const ROLES: [&str; 3] = ["first figure", "second figure", "third figure"];
    let mut digits = String::new();
    for ((place, colour), role) in figures.iter().zip(ROLES) {
        let impossible = |why| ColourError::Impossible {
            place: *place,
            colour: *colour,
            role,
            why,
        };
        match colour.figure() {
            Some(0) if *place == 1 => {
                faults.push(impossible("no value begins with 0; read from the other end, or look for faded brown or blue"));
            }
            Some(figure) => digits.push_str(&figure.to_string()),
            None if *place == 1 => faults.push(impossible(
                "gold and silver are no figures; read from the other end",
            )),
            None => faults.push(impossible("only black to white are figures")),
        }
    }
    let (place, colour) = multiplier;
    let power = colour.power_of_ten().filter(|power| *power <= 7);
    if power.is_none() {
        let why = match colour {
            Colour::None => "a multiplier is always painted",
            _ => {
                "no such resistor was made so large; read from the other end, or look for faded yellow or violet"
            }
        };
        faults.push(ColourError::Impossible {
            place,
            colour,
            role: "multiplier",
            why,
        });
    }
    let fraction = match tolerance {
        None => Some(0.2),
        Some((place, colour)) => tolerance_fraction(colour, figures.len() == 3).or_else(|| {
            let why = "stands for no tolerance of a resistor; read from the other end";
            faults.push(ColourError::Impossible {
                place,
                colour,
                role: "tolerance",
                why,
            });
            None
        }),
    };
    if !faults.is_empty() {
        return None;
    }
    // By way of the decimal text, so that 47 thousand is exactly 47000.
    let ohms = format!("{digits}e{}", power?).parse().ok()?;
    Some((ohms, fraction?))
}

/// The tolerance as a fraction; the finer ones only behind three figures.
fn tolerance_fraction(colour: Colour, three_figures: bool) -> Option<f64> {
    match colour {
        Colour::Gold => Some(0.05),
        Colour::Silver => Some(0.1),
        Colour::None => Some(0.2),
        Colour::Brown => Some(0.01),
        Colour::Red => Some(0.02),
        Colour::Green if three_figures => Some(0.005),
        Colour::Blue if three_figures => Some(0.0025),
        Colour::Violet if three_figures => Some(0.001),
        Colour::Grey if three_figures => Some(0.0005),
        _ => None,
    }
}

fn finish(
    reading: Option<(f64, f64)>,
    faults: Vec<ColourError>,
    mut notes: Vec<String>,
) -> Result<ResistorReading, Vec<ColourError>> {
    let Some((ohms, fraction)) = reading.filter(|_| faults.is_empty()) else {
        return Err(faults);
    };
    let series = if fraction < 0.05 && Series::E24.holds(ohms) {
        Series::E24
    } else {
        Series::for_tolerance(fraction)
    };
    if !series.holds(ohms)
        && let Some(nearest) = series.nearest(ohms)
    {
        notes.push(format!(
            "{} is no preferred value of {} ({}); nearest {}: look again, or the part is older than the series",
            bench(ohms, Unit::Ohms),
            series.name(),
            bench(fraction, Unit::Fraction),
            bench(nearest, Unit::Ohms),
        ));
    }
    if ohms > 22e6 {
        notes.push("above 22 meg is rare in a set: look again".to_string());
    }
    Ok(ResistorReading {
        ohms: Ohms(ohms),
        tolerance: Tolerance {
            down: fraction,
            up: fraction,
        },
        standing: Standing::FromMemory,
        notes,
    })
}
