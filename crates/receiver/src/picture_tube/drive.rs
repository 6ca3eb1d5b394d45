//! Cut-off and drive: what cathode current a picture tube gives at which grid volts.
//!
//! Volts (cut-off as a figure above zero: so many volts below the cathode), amperes. A type's
//! cut-off spreads from tube to tube and goes in proportion to the second grid's volts (maker's
//! sheets: 27 to 63 V at 250 V, 33 to 77 V at 300 V; `data/checks.csv`, PT004 and PT005, from
//! memory). At zero bias the current is [`PERVEANCE`] times the cut-off to the power 3/2, which
//! all laws share; how it falls toward cut-off they tell differently, and that is part of the
//! doubt ([`DriveLaw`]). With cathode drive the second grid's volts against the cathode fall
//! along, so cut-off comes sooner. Holds while the cathode can give what the law asks for; a
//! worn one gives less. Unknown figures of a type are told as such ([`DriveUnknown`]).

use parts::{Standing, TubeType};
use quantity::{Amperes, Band, Volts};

/// Amperes at zero bias over the cut-off volts to the power 3/2: least, usual, most. 3 uA is the
/// figure of H. Moss, J. Brit. I.R.E. 6, 1946 (from memory); the spread is judgement.
pub const PERVEANCE: [f64; 3] = [2.4e-6, 3.0e-6, 3.6e-6];

/// A published law of cathode current against drive: `current = zero bias x (drive / cut-off)^p`.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum DriveLaw {
    /// K. Schlesinger, Proc. IRE 41, 1953, no. 4 (abstract read): half drive leaves 0.186.
    Schlesinger,
    /// The 5/2 law: half drive leaves 0.177 (`data/checks.csv`, PT003, note).
    FiveHalves,
    /// The older cubic law: half drive leaves 0.125 (same note).
    Cube,
    /// The 7/2 law of H. Moss (from memory): half drive leaves 0.088.
    SevenHalves,
}

impl DriveLaw {
    /// All laws, the one that falls least first.
    pub const ALL: [Self; 4] = [
        Self::Schlesinger,
        Self::FiveHalves,
        Self::Cube,
        Self::SevenHalves,
    ];

    /// The power `p`.
    pub fn power(self) -> f64 {
        match self {
            Self::Schlesinger => 2.43,
            Self::FiveHalves => 2.5,
            Self::Cube => 3.0,
            Self::SevenHalves => 3.5,
        }
    }

    /// Share of the zero-bias current left at this share of full drive (0 at cut-off, 1 at zero bias).
    pub fn share(self, drive: f64) -> f64 {
        drive.clamp(0.0, 1.0).powf(self.power())
    }
}

/// Which electrode the picture drives.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Drive {
    /// The grid moves, cathode and second grid stand.
    Grid,
    /// The cathode moves, both grids stand.
    Cathode,
}

/// Why no current or cut-off can be told.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
pub enum DriveUnknown {
    /// The type's row has no cut-off.
    #[error("the cut-off of {0} is not known: only change over time can be judged")]
    NoCutoff(String),
    /// The second grid's volts cannot be used.
    #[error("second grid at {read} V: {expected} expected")]
    SecondGrid {
        /// What was asked for, volts.
        read: f64,
        /// What can be used.
        expected: String,
    },
}

/// A type's cut-off from tube to tube at some second-grid volts.
#[derive(Clone, Debug, PartialEq)]
pub struct CutoffSpread {
    /// The tube that needs least bias, volts below its cathode.
    pub nearest: Volts,
    /// The tube that needs most bias.
    pub farthest: Volts,
    /// Volts of the second grid.
    pub second_grid: Volts,
    /// How the type's figures are known.
    pub standing: Standing,
    /// Where they come from.
    pub source: String,
}

impl CutoffSpread {
    /// The middle of the spread.
    pub fn middle(&self) -> Volts {
        Volts(0.5 * (self.nearest.0 + self.farthest.0))
    }
}

/// The cut-off of a type at these second-grid volts.
///
/// # Errors
/// [`DriveUnknown`] where the row has no cut-off or the volts are none or above the rating.
pub fn cutoff_spread(tube: &TubeType, second_grid: Volts) -> Result<CutoffSpread, DriveUnknown> {
    let unknown = || DriveUnknown::NoCutoff(tube.name.clone());
    let data = tube.picture.as_ref().ok_or_else(unknown)?;
    let (Some(nearest), Some(farthest), Some(typical)) = (
        data.cutoff_nearest_volts,
        data.cutoff_farthest_volts,
        data.grid2_typical_volts,
    ) else {
        return Err(unknown());
    };
    let most = data.grid2_max_volts.unwrap_or(2.0 * typical);
    if !(second_grid.0 > 0.0 && second_grid.0 <= most) {
        return Err(DriveUnknown::SecondGrid {
            read: second_grid.0,
            expected: format!("above 0 and at most {most} V"),
        });
    }
    let by = second_grid.0 / typical;
    Ok(CutoffSpread {
        nearest: Volts(-nearest * by),
        farthest: Volts(-farthest * by),
        second_grid,
        standing: tube.provenance.standing_of("cutoff_low_v"),
        source: tube.provenance.source.clone(),
    })
}

/// Cathode current by one law. `bias` is how far the grid stands below the cathode; beyond
/// cut-off it is nothing, a grid above its cathode counts as zero bias.
pub fn cathode_current(
    law: DriveLaw,
    drive: Drive,
    cutoff: Volts,
    second_grid: Volts,
    bias: Volts,
    perveance: f64,
) -> Amperes {
    let bias = bias.0.max(0.0);
    let now = match drive {
        Drive::Grid => cutoff.0,
        // The second grid is that much nearer to the cathode, and cut-off goes along with it.
        Drive::Cathode => cutoff.0 * (1.0 - bias / second_grid.0).max(0.0),
    };
    if !(now > 0.0 && bias < now) {
        return Amperes(0.0);
    }
    Amperes(perveance * now.powf(1.5) * law.share((now - bias) / now))
}

/// Volts by which the cathode must be raised for cut-off, both grids standing: less than the
/// grid would have to be lowered.
pub fn cutoff_by_cathode(cutoff: Volts, second_grid: Volts) -> Volts {
    Volts(cutoff.0 / (1.0 + cutoff.0 / second_grid.0))
}

/// Cathode current in amperes over the type's cut-off spread, the laws side by side and the
/// spread of guns.
///
/// # Errors
/// [`DriveUnknown`] as [`cutoff_spread`].
pub fn current_band(
    tube: &TubeType,
    drive: Drive,
    second_grid: Volts,
    bias: Volts,
) -> Result<Band, DriveUnknown> {
    let spread = cutoff_spread(tube, second_grid)?;
    let at = |cutoff: Volts, law: DriveLaw, perveance: f64| {
        cathode_current(law, drive, cutoff, second_grid, bias, perveance).0
    };
    let [least, usual, most] = PERVEANCE;
    let steep = DriveLaw::SevenHalves;
    let flat = DriveLaw::Schlesinger;
    let middle = spread.middle();
    let expected = at(middle, DriveLaw::FiveHalves, usual);
    let low = at(spread.nearest, steep, least).min(expected);
    let high = at(spread.farthest, flat, most).max(expected);
    let width = |a: f64, b: f64| (a - b).abs();
    Band::new(
        low,
        expected,
        high,
        [
            (
                "cut-off from tube to tube",
                width(
                    at(spread.farthest, DriveLaw::FiveHalves, usual),
                    at(spread.nearest, DriveLaw::FiveHalves, usual),
                ),
            ),
            (
                "laws that disagree",
                width(at(middle, flat, usual), at(middle, steep, usual)),
            ),
            (
                "guns of one type",
                width(
                    at(middle, DriveLaw::FiveHalves, most),
                    at(middle, DriveLaw::FiveHalves, least),
                ),
            ),
        ],
    )
    .map_err(|_| DriveUnknown::NoCutoff(tube.name.clone()))
}

/// What a measured cut-off says.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum CutoffFinding {
    /// Within the type's spread.
    Inside,
    /// Too near zero: less current than a healthy tube of the type, or second-grid volts low.
    Low,
    /// Too far: the second grid is fed too much, or it is another type.
    High,
}

/// Holds a measured cut-off against the spread, widened by a twentieth for meter and eye.
pub fn judge_cutoff(spread: &CutoffSpread, measured: Volts) -> CutoffFinding {
    let volts = measured.0.abs();
    if volts < 0.95 * spread.nearest.0 {
        CutoffFinding::Low
    } else if volts > 1.05 * spread.farthest.0 {
        CutoffFinding::High
    } else {
        CutoffFinding::Inside
    }
}

/// Brightest current that so many volts of picture can drive the tube to from its own cut-off,
/// amperes: never more than at zero bias.
///
/// # Errors
/// [`DriveUnknown`] as [`cutoff_spread`].
pub fn brightest(
    tube: &TubeType,
    drive: Drive,
    second_grid: Volts,
    swing: Volts,
) -> Result<Band, DriveUnknown> {
    let spread = cutoff_spread(tube, second_grid)?;
    let at = |cutoff: Volts, law: DriveLaw, perveance: f64| {
        let whole = match drive {
            Drive::Grid => cutoff,
            Drive::Cathode => cutoff_by_cathode(cutoff, second_grid),
        };
        let bias = Volts((whole.0 - swing.0.max(0.0)).max(0.0));
        cathode_current(law, drive, cutoff, second_grid, bias, perveance).0
    };
    let [least, usual, most] = PERVEANCE;
    let expected = at(spread.middle(), DriveLaw::FiveHalves, usual);
    let mut ends = [expected, expected];
    for cutoff in [spread.nearest, spread.farthest] {
        for law in DriveLaw::ALL {
            ends[0] = ends[0].min(at(cutoff, law, least));
            ends[1] = ends[1].max(at(cutoff, law, most));
        }
    }
    Band::new(
        ends[0],
        expected,
        ends[1],
        [("cut-off, laws and guns", 1.0)],
    )
    .map_err(|_| DriveUnknown::NoCutoff(tube.name.clone()))
}
