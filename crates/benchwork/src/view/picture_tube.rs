//! What a picture tube has that a receiving tube has not, for people and scripts.
//!
//! Inches, degrees, volts, picofarads, millimetres as each name says; `null` is
//! unknown. Making a view cannot fail.

use parts::PictureTubeData;
use serde::Serialize;

/// The data of a picture tube.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct PictureTubeView {
    /// `round` or `rectangular`.
    pub face: Option<&'static str>,
    /// `glass` or `metal`; a metal cone is at anode volts.
    pub envelope: Option<&'static str>,
    /// Diagonal of a rectangular face, diameter of a round one.
    pub diagonal_or_diameter_inches: Option<f64>,
    /// `magnetic` or `electrostatic`.
    pub deflection: Option<&'static str>,
    /// Angle of deflection, the diagonal one of a rectangular tube.
    pub deflection_degrees: Option<f64>,
    /// `magnetic`, `electrostatic-high`, `electrostatic-low`, `self`.
    pub focus: Option<&'static str>,
    /// Ion trap magnets of its gun: `none`, `single`, `double`.
    pub ion_trap: Option<&'static str>,
    /// Whether the screen is aluminized.
    pub aluminized: Option<bool>,
    /// Second-grid volts at which the cut-off holds.
    pub grid2_typical_volts: Option<f64>,
    /// Highest second-grid volts.
    pub grid2_max_volts: Option<f64>,
    /// Cut-off of the tube that needs least bias.
    pub cutoff_nearest_volts: Option<f64>,
    /// Cut-off of the tube that needs most bias.
    pub cutoff_farthest_volts: Option<f64>,
    /// Lowest anode volts for a usable picture.
    pub anode_min_volts: Option<f64>,
    /// Highest anode volts.
    pub anode_max_volts: Option<f64>,
    /// Whether it has a conducting outer coating.
    pub has_coating: Option<bool>,
    /// Least capacitance of anode to coating.
    pub coating_min_picofarads: Option<f64>,
    /// Greatest capacitance of anode to coating.
    pub coating_max_picofarads: Option<f64>,
    /// Diameter of the neck.
    pub neck_millimetres: Option<f64>,
    /// Overall length.
    pub length_inches: Option<f64>,
    /// Types that come close by the catalogue, with what changes.
    pub close_replacements: Vec<CloseReplacementView>,
}

/// A type that may stand in by the catalogue's own word.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct CloseReplacementView {
    /// The type number.
    #[serde(rename = "type")]
    pub name: String,
    /// What changes.
    pub changes: String,
}

impl PictureTubeView {
    pub(super) fn new(data: &PictureTubeData) -> PictureTubeView {
        PictureTubeView {
            face: data.face.map(parts::Face::word),
            envelope: data.envelope.map(parts::Envelope::word),
            diagonal_or_diameter_inches: data.diagonal_or_diameter_inches,
            deflection: data.deflection.map(parts::Deflection::word),
            deflection_degrees: data.deflection_degrees,
            focus: data.focus.map(parts::Focus::word),
            ion_trap: data.ion_trap.map(parts::IonTrap::word),
            aluminized: data.is_aluminized,
            grid2_typical_volts: data.grid2_typical_volts,
            grid2_max_volts: data.grid2_max_volts,
            cutoff_nearest_volts: data.cutoff_nearest_volts,
            cutoff_farthest_volts: data.cutoff_farthest_volts,
            anode_min_volts: data.anode_min_volts,
            anode_max_volts: data.anode_max_volts,
            has_coating: data.has_coating,
            coating_min_picofarads: data.coating_min_picofarads,
            coating_max_picofarads: data.coating_max_picofarads,
            neck_millimetres: data.neck_millimetres,
            length_inches: data.length_inches,
            close_replacements: data
                .close_replacements
                .iter()
                .map(|close| CloseReplacementView {
                    name: close.name.clone(),
                    changes: close.changes.clone(),
                })
                .collect(),
        }
    }
}
