//! Resistivity and radiation of tungsten against temperature.
//!
//! Kelvin, microohm centimetres, watts per square centimetre of surface.
//! Sources: Forsythe and Worthing 1925 as printed in a handbook (resistivity,
//! read); Jones and Langmuir 1927 (radiation and the two ends, from memory).
//! Between the rows: monotone cubic (Fritsch and Carlson, SIAM J. Numer. Anal.
//! 17, 1980, page 238) in logarithms, of resistivity against kelvin and of
//! the share of black-body radiation, net of a room at 293 K. Rows without
//! radiation are bridged and said to be so. Holds from 293 to 3655 K (melting
//! point); outside that, or for what is no number, it returns an error.

use crate::fault::{ColumnFault, DataFault};
use crate::standing::{Provenance, Standing};
use crate::table::read_table;

/// Room temperature for which the radiation is net, kelvin.
pub const ROOM_KELVIN: f64 = 293.0;

/// Stefan and Boltzmann's constant, watts per square centimetre and kelvin^4.
const STEFAN_BOLTZMANN: f64 = 5.670_374e-12;

/// One row of the table.
#[derive(Clone, Debug, PartialEq)]
pub struct TungstenRow {
    /// Temperature, kelvin.
    pub kelvin: f64,
    /// Resistivity, microohm centimetres.
    pub resistivity: f64,
    /// Total radiation, net of the room, watts per square centimetre; `None`
    /// where the table gives none.
    pub radiation: Option<f64>,
    /// Where the row comes from.
    pub provenance: Provenance,
}

/// A temperature, resistivity or figure outside the table.
#[derive(Clone, Copy, Debug, PartialEq, thiserror::Error)]
#[error("{read} {unit} read, {low} to {high} {unit} expected: the table of tungsten ends there")]
pub struct TungstenRange {
    /// The figure asked for.
    pub read: f64,
    /// The least the table knows.
    pub low: f64,
    /// The most the table knows.
    pub high: f64,
    /// The unit of the three.
    pub unit: &'static str,
}

/// Tungsten from room temperature to its melting point.
#[derive(Clone, Debug, PartialEq)]
pub struct TungstenTable {
    rows: Vec<TungstenRow>,
    log_resistivity: Curve,
    log_share: Curve,
}

impl TungstenTable {
    /// The rows of the table, temperature rising.
    pub fn rows(&self) -> &[TungstenRow] {
        &self.rows
    }

    /// Least and greatest temperature, kelvin.
    pub fn range(&self) -> (f64, f64) {
        self.log_resistivity.range()
    }

    /// Resistivity in microohm centimetres.
    ///
    /// # Errors
    /// [`TungstenRange`] outside 293 to 3655 K.
    pub fn resistivity(&self, kelvin: f64) -> Result<f64, TungstenRange> {
        self.within(kelvin)?;
        Ok(self.log_resistivity.at(kelvin).exp())
    }

    /// Resistance over that at 293 K, thermal expansion left out.
    ///
    /// # Errors
    /// [`TungstenRange`] outside 293 to 3655 K.
    pub fn resistance_ratio(&self, kelvin: f64) -> Result<f64, TungstenRange> {
        Ok(self.resistivity(kelvin)? / self.resistivity(self.range().0)?)
    }

    /// Temperature at which the resistance is so many times that at 293 K.
    ///
    /// # Errors
    /// [`TungstenRange`] below 1 and above the ratio at the melting point.
    pub fn kelvin_at_ratio(&self, ratio: f64) -> Result<f64, TungstenRange> {
        let (mut low, mut high) = self.range();
        let most = self.resistance_ratio(high)?;
        if !(1.0..=most).contains(&ratio) {
            return Err(TungstenRange {
                read: ratio,
                low: 1.0,
                high: most,
                unit: "times the cold resistance",
            });
        }
        // Sixty halvings of 3400 K leave less than the last digit of an f64.
        for _ in 0..60 {
            let middle = 0.5 * (low + high);
            if self.resistance_ratio(middle)? < ratio {
                low = middle;
            } else {
                high = middle;
            }
        }
        Ok(0.5 * (low + high))
    }

    /// Radiation in watts per square centimetre of surface, net of what a room
    /// at 293 K sends back.
    ///
    /// # Errors
    /// [`TungstenRange`] outside 293 to 3655 K.
    pub fn radiation(&self, kelvin: f64) -> Result<f64, TungstenRange> {
        self.within(kelvin)?;
        Ok(self.log_share.at(kelvin).exp() * black_body_net(kelvin))
    }

    /// How the radiation at a temperature is known: as its row says, or
    /// estimated between two rows that have it.
    ///
    /// # Errors
    /// [`TungstenRange`] outside 293 to 3655 K.
    pub fn radiation_standing(&self, kelvin: f64) -> Result<Standing, TungstenRange> {
        self.within(kelvin)?;
        let row = self
            .rows
            .iter()
            .find(|row| row.kelvin == kelvin && row.radiation.is_some());
        Ok(row.map_or(Standing::Estimated, |row| {
            row.provenance.standing_of("total_radiation_w_per_cm2")
        }))
    }

    fn within(&self, kelvin: f64) -> Result<(), TungstenRange> {
        let (low, high) = self.range();
        if (low..=high).contains(&kelvin) {
            Ok(())
        } else {
            Err(TungstenRange {
                read: kelvin,
                low,
                high,
                unit: "kelvin",
            })
        }
    }
}

/// Radiation of a black body at `kelvin` to a room, watts per square centimetre.
fn black_body_net(kelvin: f64) -> f64 {
    STEFAN_BOLTZMANN * (kelvin.powi(4) - ROOM_KELVIN.powi(4))
}

const HEADINGS: [&str; 7] = [
    "kelvin",
    "resistivity_microohm_cm",
    "total_radiation_w_per_cm2",
    "source",
    "standing",
    "read_fields",
    "doubt_fields",
];

/// Reads the table of tungsten.
pub(crate) fn read_tungsten(
    file: &str,
    text: &str,
    faults: &mut Vec<DataFault>,
) -> Option<TungstenTable> {
    let rows = read_table(file, text, &HEADINGS, faults, |fields| {
        Some(TungstenRow {
            kelvin: fields.required_number("kelvin", ROOM_KELVIN, 3700.0),
            resistivity: fields.required_number("resistivity_microohm_cm", 1.0, 200.0),
            radiation: fields.number("total_radiation_w_per_cm2", 0.0, 500.0),
            provenance: fields.provenance(),
        })
    });
    let mut last: Option<&TungstenRow> = None;
    let mut last_radiation = -1.0;
    let mut sound = true;
    for (line, row) in &rows {
        let mut fault = |column: &str| {
            sound = false;
            let fault = ColumnFault::new(
                column,
                "does not rise from the row above",
                "all three columns rise with temperature",
            );
            faults.push(DataFault::at(file, *line, fault));
        };
        if let Some(last) = last {
            if row.kelvin <= last.kelvin {
                fault("kelvin");
            }
            if row.resistivity <= last.resistivity {
                fault("resistivity_microohm_cm");
            }
        }
        if let Some(radiation) = row.radiation {
            if radiation <= last_radiation {
                fault("total_radiation_w_per_cm2");
            }
            last_radiation = radiation;
        }
        last = Some(row);
    }
    let rows: Vec<TungstenRow> = rows.into_iter().map(|(_, row)| row).collect();
    let log_resistivity = Curve::through(
        rows.iter()
            .map(|row| (row.kelvin, row.resistivity.ln()))
            .collect(),
    );
    let log_share = Curve::through(
        rows.iter()
            .filter(|row| row.kelvin > ROOM_KELVIN)
            .filter_map(|row| {
                let radiation = row.radiation?;
                Some((row.kelvin, (radiation / black_body_net(row.kelvin)).ln()))
            })
            .collect(),
    );
    match (log_resistivity, log_share) {
        (Some(log_resistivity), Some(log_share)) if sound => Some(TungstenTable {
            rows,
            log_resistivity,
            log_share,
        }),
        _ => {
            let fault = ColumnFault::new("", "too few sound rows", "put the table right");
            faults.push(DataFault::at(file, 1, fault));
            None
        }
    }
}

/// A smooth curve through points, monotone wherever the points are, against
/// the logarithm of x. Level beyond its ends.
#[derive(Clone, Debug, PartialEq)]
struct Curve {
    knots: Vec<Knot>,
}

#[derive(Clone, Copy, Debug, PartialEq)]
struct Knot {
    x: f64,
    log_x: f64,
    y: f64,
    slope: f64,
}

impl Curve {
    /// A curve through two or more points with x rising; `None` for fewer.
    fn through(points: Vec<(f64, f64)>) -> Option<Curve> {
        let mut knots: Vec<Knot> = points
            .into_iter()
            .map(|(x, y)| Knot {
                x,
                log_x: x.ln(),
                y,
                slope: 0.0,
            })
            .collect();
        let chords: Vec<f64> = knots
            .windows(2)
            .filter_map(|pair| match pair {
                [one, other] => Some((other.y - one.y) / (other.log_x - one.log_x)),
                _ => None,
            })
            .collect();
        let (first, last) = (chords.first().copied()?, chords.last().copied()?);
        let count = knots.len();
        for (index, knot) in knots.iter_mut().enumerate() {
            let left = index.checked_sub(1).and_then(|i| chords.get(i)).copied();
            let right = chords.get(index).copied();
            knot.slope = match (left, right) {
                // The harmonic mean keeps each slope within three chords.
                (Some(left), Some(right)) if left * right > 0.0 => {
                    2.0 * left * right / (left + right)
                }
                (Some(_), Some(_)) => 0.0,
                _ if index == 0 => first,
                _ if index + 1 == count => last,
                _ => 0.0,
            };
        }
        Some(Curve { knots })
    }

    fn range(&self) -> (f64, f64) {
        let low = self.knots.first().map_or(f64::NAN, |knot| knot.x);
        let high = self.knots.last().map_or(f64::NAN, |knot| knot.x);
        (low, high)
    }

    fn at(&self, x: f64) -> f64 {
        let after = self.knots.partition_point(|knot| knot.x <= x);
        let left = after.checked_sub(1).and_then(|index| self.knots.get(index));
        let (left, right) = match (left, self.knots.get(after)) {
            (Some(left), Some(right)) => (left, right),
            (Some(end), None) | (None, Some(end)) => return end.y,
            (None, None) => return f64::NAN,
        };
        if x == left.x {
            return left.y;
        }
        let width = right.log_x - left.log_x;
        let t = (x.ln() - left.log_x) / width;
        let (t2, t3) = (t * t, t * t * t);
        (2.0 * t3 - 3.0 * t2 + 1.0) * left.y
            + (t3 - 2.0 * t2 + t) * width * left.slope
            + (3.0 * t2 - 2.0 * t3) * right.y
            + (t3 - t2) * width * right.slope
    }
}
