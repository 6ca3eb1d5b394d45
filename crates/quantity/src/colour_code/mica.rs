//! Moulded mica capacitors: the three-dot and the six-dot codes.
//!
//! Results in farads (the dots give mmf), rated volts d.c., tolerance as fractions. All of it from memory: RMA three-dot (1st and 2nd
//! figure, multiplier), RMA six-dot (three figures in the upper row; multiplier, tolerance and volts in the lower row from right
//! to left), and the later six-dot code of JAN and EIA, whose first dot is a mark (black: JAN mica, white: EIA mica, silver: JAN
//! moulded paper) before two figures, with multiplier, tolerance and class below.
//! Dots are given in the order of the arrow: upper row left to right, then lower row right to left.
//! A six-dot part that begins with white can be either code: both readings are named unless only one is possible. Blocks above 0.005 mfd are often paper
//! inside; the reading then says so.

use super::{Colour, ColourError, Standing};
use crate::tolerance::Tolerance;
use crate::units::{Farads, Volts};

/// What the dots of a mica capacitor say.
#[derive(Clone, Debug, PartialEq)]
pub struct MicaReading {
    /// The marked capacitance.
    pub farads: Farads,
    /// The rated d.c. volts, where the scheme gives them.
    pub volts: Option<Volts>,
    /// The marked tolerance.
    pub tolerance: Tolerance,
    /// Name of the scheme.
    pub scheme: &'static str,
    /// How far the scheme is to be trusted.
    pub standing: Standing,
    /// What a restorer should know about this reading; may be empty.
    pub notes: Vec<String>,
}

/// Prints `220 mmf 10% 500 V`.
impl std::fmt::Display for MicaReading {
    fn fmt(&self, formatter: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(formatter, "{} {}", self.farads, self.tolerance)?;
        match self.volts {
            Some(volts) => write!(formatter, " {volts}"),
            None => Ok(()),
        }
    }
}

/// Reads the RMA three-dot code along the arrow: first figure, second figure, multiplier; 500 V and 20 % are understood.
pub fn read_mica_three_dots(dots: [Colour; 3]) -> Result<MicaReading, Vec<ColourError>> {
    let [first, second, multiplier] = dots;
    let mut faults = Vec::new();
    let farads = value(&[(1, first), (2, second)], (3, multiplier), &mut faults);
    finish(farads, Some(0.2), Some(500.0), "RMA three-dot", faults)
}

/// Reads a six-dot code, RMA or the later JAN/EIA one, in the order of the arrow: upper row left to right, lower row right to left.
pub fn read_mica_six_dots(dots: [Colour; 6]) -> Result<MicaReading, Vec<ColourError>> {
    let [first, ..] = dots;
    match first {
        Colour::Black | Colour::Silver => read_marked_six_dots(dots),
        Colour::White => match (read_rma_six_dots(dots), read_marked_six_dots(dots)) {
            (Ok(one), Ok(other)) => Err(vec![ColourError::TwoReadings {
                one: format!("{one} ({})", one.scheme),
                other: format!("{other} ({})", other.scheme),
                hint: "measure it with one end free",
            }]),
            (Err(_), other) => other,
            (one, Err(_)) => one,
        },
        _ => read_rma_six_dots(dots),
    }
}

fn read_rma_six_dots(dots: [Colour; 6]) -> Result<MicaReading, Vec<ColourError>> {
    let [first, second, third, multiplier, tolerance, volts] = dots;
    let mut faults = Vec::new();
    let farads = value(
        &[(1, first), (2, second), (3, third)],
        (4, multiplier),
        &mut faults,
    );
    let fraction = rma_tolerance(tolerance);
    if fraction.is_none() {
        let why = "stands for no tolerance in this code; follow the arrow";
        faults.push(ColourError::Impossible {
            place: 5,
            colour: tolerance,
            role: "tolerance",
            why,
        });
    }
    let rated = rma_volts(volts);
    if rated.is_none() {
        let why = "stands for no volts in this code; follow the arrow";
        faults.push(ColourError::Impossible {
            place: 6,
            colour: volts,
            role: "rated volts",
            why,
        });
    }
    finish(farads, fraction, rated, "RMA six-dot", faults)
}

fn read_marked_six_dots(dots: [Colour; 6]) -> Result<MicaReading, Vec<ColourError>> {
    let [mark, first, second, multiplier, tolerance, class] = dots;
    let mut faults = Vec::new();
    let farads = leading_zero_value(first, second, multiplier, &mut faults);
    let fraction = match tolerance {
        Colour::Black | Colour::None => Some(0.2),
        Colour::Brown => Some(0.01),
        Colour::Red => Some(0.02),
        Colour::Orange => Some(0.03),
        Colour::Green | Colour::Gold => Some(0.05),
        Colour::Silver => Some(0.1),
        _ => None,
    };
    if fraction.is_none() {
        let why = "stands for no tolerance in this code; follow the arrow";
        faults.push(ColourError::Impossible {
            place: 5,
            colour: tolerance,
            role: "tolerance",
            why,
        });
    }
    if class.figure().is_none() {
        let why = "the class is one of black to white; follow the arrow";
        faults.push(ColourError::Impossible {
            place: 6,
            colour: class,
            role: "class",
            why,
        });
    }
    let scheme = match mark {
        Colour::Black => "JAN six-dot, mica",
        Colour::Silver => "JAN six-dot, moulded paper",
        _ => "EIA six-dot, mica",
    };
    let mut reading = finish(farads, fraction, None, scheme, faults)?;
    if mark == Colour::Silver {
        reading
            .notes
            .push("silver first: paper inside, treat as a paper capacitor".to_string());
    }
    Ok(reading)
}

/// Farads of figures and multiplier; faults are added.
fn value(
    figures: &[(usize, Colour)],
    multiplier: (usize, Colour),
    faults: &mut Vec<ColourError>,
) -> Option<f64> {
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
                faults.push(impossible("no value begins with 0; follow the arrow"))
            }
            Some(figure) => digits.push_str(&figure.to_string()),
            None => faults.push(impossible(
                "only black to white are figures; follow the arrow",
            )),
        }
    }
    farads(&digits, multiplier, faults)
}

/// As [`value`], for the marked code, where a 0 before the second figure is used below 10 mmf.
fn leading_zero_value(
    first: Colour,
    second: Colour,
    multiplier: Colour,
    faults: &mut Vec<ColourError>,
) -> Option<f64> {
    let mut digits = String::new();
    for (place, colour, role) in [(2, first, "first figure"), (3, second, "second figure")] {
        match colour.figure() {
            Some(figure) => digits.push_str(&figure.to_string()),
            None => {
                let why = "only black to white are figures; follow the arrow";
                faults.push(ColourError::Impossible {
                    place,
                    colour,
                    role,
                    why,
                });
            }
        }
    }
    if digits == "00" {
        let why = "a capacitance of nothing; follow the arrow";
        faults.push(ColourError::Impossible {
            place: 3,
            colour: second,
            role: "second figure",
            why,
        });
    }
    farads(&digits, (4, multiplier), faults)
}

fn farads(
    digits: &str,
    (place, colour): (usize, Colour),
    faults: &mut Vec<ColourError>,
) -> Option<f64> {
    // Mica was moulded up to about 0.05 mfd; 99 times ten thousand mmf is 1 mfd and was not made.
    let Some(power) = colour.power_of_ten().filter(|power| *power <= 4) else {
        let why = "no mica capacitor is so large; follow the arrow, or look for a faded colour";
        faults.push(ColourError::Impossible {
            place,
            colour,
            role: "multiplier",
            why,
        });
        return None;
    };
    format!("{digits}e{}", power - 12).parse().ok()
}

fn rma_tolerance(colour: Colour) -> Option<f64> {
    match colour {
        Colour::Gold => Some(0.05),
        Colour::Silver => Some(0.1),
        Colour::None => Some(0.2),
        Colour::Black => None,
        other => other.figure().map(|percent| f64::from(percent) / 100.0),
    }
}

fn rma_volts(colour: Colour) -> Option<f64> {
    match colour {
        Colour::Gold => Some(1000.0),
        Colour::Silver => Some(2000.0),
        Colour::None => Some(500.0),
        Colour::Black => None,
        other => other.figure().map(|hundreds| f64::from(hundreds) * 100.0),
    }
}

fn finish(
    farads: Option<f64>,
    fraction: Option<f64>,
    volts: Option<f64>,
    scheme: &'static str,
    faults: Vec<ColourError>,
) -> Result<MicaReading, Vec<ColourError>> {
    let (Some(farads), Some(fraction), true) = (farads, fraction, faults.is_empty()) else {
        return Err(faults);
    };
    let mut notes = vec![
        "this scheme is written down from memory: measure the part with one end free".to_string(),
    ];
    if farads > 0.005e-6 {
        notes.push(
            "a block of more than 0.005 mfd is often paper inside: treat it as a paper capacitor"
                .to_string(),
        );
    }
    Ok(MicaReading {
        farads: Farads(farads),
        volts: volts.map(Volts),
        tolerance: Tolerance {
            down: fraction,
            up: fraction,
        },
        scheme,
        standing: Standing::FromMemory,
        notes,
    })
}
