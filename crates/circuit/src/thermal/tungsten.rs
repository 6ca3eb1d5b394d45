//! Resistivity and radiation of tungsten against temperature, from a table handed in.
//!
//! Units: kelvin; resistivity and radiation in any unit, only their ratios are used.
//! Made for the tables of Forsythe and Worthing (Astrophysical Journal 61, 1925, page 146;
//! resistivity) and Jones and Langmuir (General Electric Review 30, 1927; radiation).
//! Between the points: monotone cubic (Fritsch and Carlson, SIAM J. Numer. Anal. 17, 1980,
//! page 238), resistivity against kelvin, radiation in logarithms of both. Holds from 100 K
//! below the first point to the last point; radiation may have gaps and is carried on by its
//! last slope. A table that does not rise is refused with every bad point named.

use std::sync::Arc;

use super::fault::{Faults, ThermalError, ThermalFault};

const STEP_KELVIN: f64 = 10.0;

/// Tungsten's resistivity and total radiation as quick functions of temperature.
///
/// Cloning shares the table.
#[derive(Debug, Clone)]
pub struct TungstenProperties {
    first_kelvin: f64,
    last_kelvin: f64,
    grid: Arc<[Sample]>,
}

/// Value and slope of both properties at one grid temperature.
#[derive(Debug, Clone, Copy, PartialEq)]
struct Sample {
    resistivity: f64,
    resistivity_slope: f64,
    radiation: f64,
    radiation_slope: f64,
}

impl TungstenProperties {
    /// Makes the functions from `(kelvin, resistivity, radiation if known)`, in rising order.
    ///
    /// # Errors
    /// Fewer than four points of resistivity or three of radiation; any figure that is not
    /// positive or does not rise from line to line.
    pub fn from_points(points: &[(f64, f64, Option<f64>)]) -> Result<Self, ThermalError> {
        let mut faults = Faults::default();
        let mut last = (150.0, 0.0, 0.0);
        for (at, &(kelvin, resistivity, radiation)) in points.iter().enumerate() {
            let mut rises = |column, read: f64, above: &mut f64| {
                if read.is_finite() && read > *above {
                    *above = read;
                } else {
                    let (point, above) = (at + 1, *above);
                    faults.push(ThermalFault::NotRising {
                        point,
                        column,
                        read,
                        above,
                    });
                }
            };
            rises("kelvin", kelvin, &mut last.0);
            rises("resistivity", resistivity, &mut last.1);
            if let Some(radiation) = radiation {
                rises("radiation", radiation, &mut last.2);
            }
        }
        let radiating: Vec<(f64, f64)> = points
            .iter()
            .filter_map(|&(kelvin, _, radiation)| Some((kelvin.ln(), radiation?.ln())))
            .collect();
        for (column, read, wanted) in [
            ("resistivity", points.len(), 4),
            ("radiation", radiating.len(), 3),
        ] {
            if read < wanted {
                faults.push(ThermalFault::TooFewPoints {
                    column,
                    read,
                    wanted,
                });
            }
        }
        if last.0 > 10_000.0 {
            let hint = "tungsten melts at about 3650 K";
            faults.within("kelvin of the last point", last.0, (150.0, 10_000.0), hint);
        }
        faults.end()?;

        let resistivity = MonotoneCubic::new(
            points
                .iter()
                .map(|&(kelvin, ohms, _)| (kelvin, ohms))
                .collect(),
        );
        let radiation = MonotoneCubic::new(radiating);
        let first_kelvin = points[0].0 - 100.0;
        let last_kelvin = points[points.len() - 1].0;
        let floor = 0.2 * points[0].1;
        let cells = ((last_kelvin - first_kelvin) / STEP_KELVIN).ceil() as usize;
        let grid = (0..=cells)
            .map(|at| {
                let kelvin = first_kelvin + at as f64 * STEP_KELVIN;
                let (ohms, ohms_slope) = resistivity.at(kelvin);
                let (log, log_slope) = radiation.at(kelvin.ln());
                let radiation = log.exp();
                Sample {
                    resistivity: ohms.max(floor),
                    resistivity_slope: if ohms < floor { 0.0 } else { ohms_slope },
                    radiation,
                    radiation_slope: radiation * log_slope / kelvin,
                }
            })
            .collect();
        Ok(Self {
            first_kelvin,
            last_kelvin,
            grid,
        })
    }

    /// Highest temperature of the table, kelvin.
    pub fn highest_kelvin(&self) -> f64 {
        self.last_kelvin
    }

    /// Resistivity at a temperature, in the table's unit; held at the ends of the range.
    pub fn resistivity(&self, kelvin: f64) -> f64 {
        self.resistivity_with_slope(kelvin).0
    }

    /// Total radiation at a temperature, in the table's unit; held at the ends of the range.
    pub fn radiation(&self, kelvin: f64) -> f64 {
        self.radiation_with_slope(kelvin).0
    }

    /// The temperature at which the resistivity has this value, kelvin; None outside the table.
    pub fn kelvin_at_resistivity(&self, resistivity: f64) -> Option<f64> {
        let (mut low, mut high) = (self.first_kelvin, self.last_kelvin);
        if !(resistivity > self.resistivity(low) && resistivity < self.resistivity(high)) {
            return None;
        }
        for _ in 0..60 {
            let middle = 0.5 * (low + high);
            if self.resistivity(middle) < resistivity {
                low = middle;
            } else {
                high = middle;
            }
        }
        Some(0.5 * (low + high))
    }

    /// Resistivity and its slope per kelvin.
    pub(super) fn resistivity_with_slope(&self, kelvin: f64) -> (f64, f64) {
        let (left, right, within) = self.cell(kelvin);
        hermite(
            within,
            (left.resistivity, left.resistivity_slope),
            (right.resistivity, right.resistivity_slope),
        )
    }

    /// Radiation and its slope per kelvin.
    pub(super) fn radiation_with_slope(&self, kelvin: f64) -> (f64, f64) {
        let (left, right, within) = self.cell(kelvin);
        hermite(
            within,
            (left.radiation, left.radiation_slope),
            (right.radiation, right.radiation_slope),
        )
    }

    /// Whether two values share one table.
    pub(super) fn same_table(&self, other: &Self) -> bool {
        Arc::ptr_eq(&self.grid, &other.grid)
    }

    fn cell(&self, kelvin: f64) -> (&Sample, &Sample, f64) {
        let place = (kelvin - self.first_kelvin) * (1.0 / STEP_KELVIN);
        let place = place.clamp(0.0, (self.grid.len() - 1) as f64);
        let at = (place as usize).min(self.grid.len() - 2);
        (&self.grid[at], &self.grid[at + 1], place - at as f64)
    }
}

/// Cubic with given values and slopes at the ends of a cell one grid step wide.
fn hermite(within: f64, left: (f64, f64), right: (f64, f64)) -> (f64, f64) {
    let rise = right.0 - left.0;
    let (first, second) = (left.1 * STEP_KELVIN - rise, right.1 * STEP_KELVIN - rise);
    let back = 1.0 - within;
    // value = left + w rise + w b (b first - w second), with b = 1 - w
    let value = left.0 + within * (rise + back * (back * first - within * second));
    let slope = rise + (back - within) * (back * first - within * second)
        - within * back * (first + second);
    (value, slope * (1.0 / STEP_KELVIN))
}

/// Fritsch and Carlson's monotone interpolation; used only while the grid is made.
struct MonotoneCubic {
    points: Vec<(f64, f64)>,
    slopes: Vec<f64>,
}

impl MonotoneCubic {
    fn new(points: Vec<(f64, f64)>) -> Self {
        let chords: Vec<f64> = points
            .windows(2)
            .map(|pair| (pair[1].1 - pair[0].1) / (pair[1].0 - pair[0].0))
            .collect();
        let last = chords.len();
        let slopes = (0..=last)
            .map(|at| {
                if at == 0 {
                    chords[0]
                } else if at == last {
                    chords[last - 1]
                } else {
                    // harmonic mean weighted by the widths, so that no overshoot can occur
                    let (left, right) = (chords[at - 1], chords[at]);
                    let (before, after) = (
                        points[at].0 - points[at - 1].0,
                        points[at + 1].0 - points[at].0,
                    );
                    let (first, second) = (2.0 * after + before, after + 2.0 * before);
                    (first + second) / (first / left + second / right)
                }
            })
            .collect();
        Self { points, slopes }
    }

    fn at(&self, place: f64) -> (f64, f64) {
        let last = self.points.len() - 1;
        for end in [0, last] {
            let (end_place, value) = self.points[end];
            if (end == 0 && place <= end_place) || (end == last && place >= end_place) {
                return (
                    value + self.slopes[end] * (place - end_place),
                    self.slopes[end],
                );
            }
        }
        let right = self.points.partition_point(|point| point.0 < place).max(1);
        let ((x0, y0), (x1, y1)) = (self.points[right - 1], self.points[right]);
        let width = x1 - x0;
        let w = (place - x0) / width;
        let rise = y1 - y0;
        let (first, second) = (
            self.slopes[right - 1] * width - rise,
            self.slopes[right] * width - rise,
        );
        let b = 1.0 - w;
        let value = y0 + w * (rise + b * (b * first - w * second));
        let slope = rise + (b - w) * (b * first - w * second) - w * b * (first + second);
        (value, slope / width)
    }
}
