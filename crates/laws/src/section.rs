//! One unit of a tube with its law.
//!
//! Errors are shares of the plate current (0.1 is 10 percent). Nothing here fails.

use std::fmt;
use std::sync::Arc;

use circuit::tube::TubeLaw;
use parts::{SectionKind, Standing};

use crate::fit::PointFigure;
use crate::section_pins::SectionPins;

/// The law of one unit of a tube, or the reason why there is none.
#[derive(Clone, Debug, PartialEq)]
pub struct SectionLaw {
    /// The section's name in the catalogue, such as `each-triode`; `diode-1` for a diode
    /// beside a triode, which has no row of its own.
    pub section: String,
    /// Which of the section's equal units, from 0.
    pub unit: u8,
    /// What it is.
    pub kind: SectionKind,
    /// Where its electrodes are.
    pub pins: SectionPins,
    /// The law; `None` where the catalogue tells too little.
    pub law: Option<Arc<TubeLaw>>,
    /// Why there is no law; `None` where there is one.
    pub lack: Option<Lack>,
    /// What the law rests on; `None` where there is none.
    pub basis: Option<LawBasis>,
    /// What it was fitted on and what was left over.
    pub fit: FitRecord,
    /// How far the plate current may be off at a point that was not fitted, as a share of
    /// it: two of three such points lie within. 0 where there is no law.
    pub model_error: f64,
}

impl SectionLaw {
    /// Why there is no law, in words; `None` where there is one.
    pub fn because(&self) -> Option<String> {
        self.lack.as_ref().map(ToString::to_string)
    }
}

/// What a law rests on.
#[derive(Clone, Debug, PartialEq)]
pub enum LawBasis {
    /// Published points of this type.
    OwnPoints,
    /// The points of a type with the same figures.
    SameAs(String),
    /// No point of this type: what is usual for the kind.
    Kind,
}

impl fmt::Display for LawBasis {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            LawBasis::OwnPoints => out.write_str("its own published points"),
            LawBasis::SameAs(name) => write!(out, "the published points of {name}"),
            LawBasis::Kind => out.write_str("what is usual for its kind, not its own figures"),
        }
    }
}

/// Why a section has no law.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Lack {
    /// The catalogue has no point of operation of it.
    NoPoint,
    /// Its points lack plate volts, plate current, or a bias.
    PointsIncomplete,
    /// Its figures contradict each other so far that no law meets them.
    NotMet,
}

impl fmt::Display for Lack {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        out.write_str(match self {
            Lack::NoPoint => "the catalogue has no point of operation of this section",
            Lack::PointsIncomplete => {
                "its points of operation lack plate volts, plate current, or a bias"
            }
            Lack::NotMet => "its published figures contradict each other too far for one law",
        })
    }
}

/// What a law was fitted on.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct FitRecord {
    /// How many published points.
    pub points: usize,
    /// How the weakest of them is known; `None` without points.
    pub standing: Option<Standing>,
    /// Whether a figure of them is named as doubtful.
    pub doubtful: bool,
    /// What is left over at each figure that was fitted.
    pub left_over: Vec<Leftover>,
}

impl FitRecord {
    /// The greatest left-over of a plate current, as a share; 0 without points.
    pub fn worst_plate_current(&self) -> f64 {
        self.left_over
            .iter()
            .filter(|left| left.figure == PointFigure::PlateCurrent)
            .fold(0.0, |worst, left| worst.max(left.error().abs()))
    }
}

/// A published figure and what the law makes of it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Leftover {
    /// Which point of the section, from 0.
    pub point: usize,
    /// Which figure.
    pub figure: PointFigure,
    /// As published: amperes, siemens, ohms, volts or a ratio.
    pub published: f64,
    /// By the law, in the same unit.
    pub by_law: f64,
}

impl Leftover {
    /// Law over published less one.
    pub fn error(&self) -> f64 {
        self.by_law / self.published - 1.0
    }
}
