//! What a picture tube has that a receiving tube has not.
//!
//! Inches, degrees, volts, picofarads, millimetres as each name says. From
//! makers' sheets, mostly from memory; empty means unknown, and the newest
//! types are known least. `close_replacements` is read as type and what
//! changes; a type that the table lacks is a fault there.

use crate::fault::ColumnFault;
use crate::table::Fields;

/// The data of a picture tube.
#[derive(Clone, Debug, PartialEq)]
pub struct PictureTubeData {
    /// Face; `None` when unknown.
    pub face: Option<Face>,
    /// Glass or metal; `None` when unknown.
    pub envelope: Option<Envelope>,
    /// Diagonal of a rectangular face, diameter of a round one, inches.
    pub diagonal_or_diameter_inches: Option<f64>,
    /// How the beam is deflected.
    pub deflection: Option<Deflection>,
    /// Deflection angle, degrees (diagonal for rectangular tubes).
    pub deflection_degrees: Option<f64>,
    /// How the beam is focused.
    pub focus: Option<Focus>,
    /// Which ion trap magnet it needs.
    pub ion_trap: Option<IonTrap>,
    /// Whether the screen is aluminized.
    pub is_aluminized: Option<bool>,
    /// Grid-2 volts at which the cut-off holds.
    pub grid2_typical_volts: Option<f64>,
    /// Grid cut-off of the tube that needs least bias, volts (negative).
    pub cutoff_nearest_volts: Option<f64>,
    /// Grid cut-off of the tube that needs most bias, volts (negative).
    pub cutoff_farthest_volts: Option<f64>,
    /// Highest anode volts.
    pub anode_max_volts: Option<f64>,
    /// Lowest anode volts for a usable picture.
    pub anode_min_volts: Option<f64>,
    /// Highest grid-2 volts.
    pub grid2_max_volts: Option<f64>,
    /// Whether it has a conducting outer coating; `None` when unknown.
    pub has_coating: Option<bool>,
    /// Least capacitance of anode to coating, picofarads.
    pub coating_min_picofarads: Option<f64>,
    /// Greatest capacitance of anode to coating, picofarads.
    pub coating_max_picofarads: Option<f64>,
    /// Neck, millimetres.
    pub neck_millimetres: Option<f64>,
    /// Overall length, inches.
    pub length_inches: Option<f64>,
    /// Types that come close, with what changes.
    pub close_replacements: Vec<CloseReplacement>,
}

/// The shape of the face.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Face {
    /// Round.
    Round,
    /// Rectangular.
    Rectangular,
}

/// What the bulb is made of. A metal one carries the anode volts on its shell.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Envelope {
    /// Glass.
    Glass,
    /// Metal cone or shell, at anode volts.
    Metal,
}

/// How the beam is deflected.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Deflection {
    /// By a yoke.
    Magnetic,
    /// By plates inside.
    Electrostatic,
}

/// How the beam is focused.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Focus {
    /// By a coil or a permanent magnet.
    Magnetic,
    /// By an electrode at some fifth of the anode volts.
    ElectrostaticHigh,
    /// By an electrode at a few hundred volts or less.
    ElectrostaticLow,
    /// Inside the gun, without adjustment.
    SelfFocus,
}

/// The ion trap magnet that a gun needs.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum IonTrap {
    /// None.
    None,
    /// One magnet.
    Single,
    /// Two magnets.
    Double,
}

impl Face {
    /// The word of the table.
    pub fn word(self) -> &'static str {
        match self {
            Face::Round => "round",
            Face::Rectangular => "rectangular",
        }
    }
}

impl Envelope {
    /// The word of the table.
    pub fn word(self) -> &'static str {
        match self {
            Envelope::Glass => "glass",
            Envelope::Metal => "metal",
        }
    }
}

impl Deflection {
    /// The word of the table.
    pub fn word(self) -> &'static str {
        match self {
            Deflection::Magnetic => "magnetic",
            Deflection::Electrostatic => "electrostatic",
        }
    }
}

impl Focus {
    /// The word of the table.
    pub fn word(self) -> &'static str {
        match self {
            Focus::Magnetic => "magnetic",
            Focus::ElectrostaticHigh => "electrostatic-high",
            Focus::ElectrostaticLow => "electrostatic-low",
            Focus::SelfFocus => "self",
        }
    }
}

impl IonTrap {
    /// The word of the table.
    pub fn word(self) -> &'static str {
        match self {
            IonTrap::None => "none",
            IonTrap::Single => "single",
            IonTrap::Double => "double",
        }
    }
}

/// A type that may stand in, and what changes with it.
#[derive(Clone, Debug, PartialEq)]
pub struct CloseReplacement {
    /// The type number.
    pub name: String,
    /// What changes.
    pub changes: String,
}

/// The columns of a picture tube that a receiving tube has not.
pub(crate) const PICTURE_COLUMNS: [&str; 19] = [
    "face",
    "envelope",
    "diagonal_or_diameter_in",
    "deflection",
    "deflection_angle_deg",
    "focus",
    "ion_trap",
    "aluminized",
    "grid2_typical_v",
    "cutoff_low_v",
    "cutoff_high_v",
    "anode_max_v",
    "anode_min_v",
    "grid2_max_v",
    "outer_coating_pf_min",
    "outer_coating_pf_max",
    "neck_mm",
    "length_in",
    "close_replacements",
];

/// Reads the picture-tube columns of a row. `coating_pin` tells that the pin
/// map names an outer coating.
pub(crate) fn read_picture_data(fields: &mut Fields<'_>, coating_pin: bool) -> PictureTubeData {
    let coating_min = fields.number("outer_coating_pf_min", 0.0, 10_000.0);
    let coating_max = fields.number("outer_coating_pf_max", 0.0, 10_000.0);
    let nearest = fields.number("cutoff_low_v", -300.0, 0.0);
    let farthest = fields.number("cutoff_high_v", -300.0, 0.0);
    for (low, high, low_column, meaning) in [
        (
            coating_min,
            coating_max,
            "outer_coating_pf_min",
            "least is more than the greatest",
        ),
        (
            farthest,
            nearest,
            "cutoff_low_v",
            "the low end needs more bias than the high end",
        ),
    ] {
        if let (Some(low), Some(high)) = (low, high)
            && low > high
        {
            fields.fault(low_column, meaning, "exchange the two figures");
        }
    }
    let has_coating = match (coating_pin, coating_max) {
        (true, Some(0.0)) => {
            fields.fault(
                "outer_coating_pf_max",
                "0 says there is no outer coating, but the pin map names one",
                "correct one of the two",
            );
            None
        }
        (true, _) => Some(true),
        (false, Some(0.0)) => Some(false),
        (false, Some(_)) => Some(true),
        (false, None) => None,
    };
    PictureTubeData {
        face: fields.choice(
            "face",
            &[("round", Face::Round), ("rectangular", Face::Rectangular)],
        ),
        envelope: fields.choice(
            "envelope",
            &[("glass", Envelope::Glass), ("metal", Envelope::Metal)],
        ),
        diagonal_or_diameter_inches: fields.number("diagonal_or_diameter_in", 1.0, 40.0),
        deflection: fields.choice(
            "deflection",
            &[
                ("magnetic", Deflection::Magnetic),
                ("electrostatic", Deflection::Electrostatic),
            ],
        ),
        deflection_degrees: fields.number("deflection_angle_deg", 20.0, 120.0),
        focus: fields.choice(
            "focus",
            &[
                ("magnetic", Focus::Magnetic),
                ("electrostatic-high", Focus::ElectrostaticHigh),
                ("electrostatic-low", Focus::ElectrostaticLow),
                ("self", Focus::SelfFocus),
            ],
        ),
        ion_trap: fields.choice(
            "ion_trap",
            &[
                ("none", IonTrap::None),
                ("single", IonTrap::Single),
                ("double", IonTrap::Double),
            ],
        ),
        is_aluminized: fields.choice("aluminized", &[("yes", true), ("no", false)]),
        grid2_typical_volts: fields.number("grid2_typical_v", 10.0, 1000.0),
        cutoff_nearest_volts: nearest,
        cutoff_farthest_volts: farthest,
        anode_max_volts: fields.number("anode_max_v", 500.0, 50_000.0),
        anode_min_volts: fields.number("anode_min_v", 500.0, 50_000.0),
        grid2_max_volts: fields.number("grid2_max_v", 10.0, 2000.0),
        has_coating,
        coating_min_picofarads: coating_min,
        coating_max_picofarads: coating_max,
        neck_millimetres: fields.number("neck_mm", 15.0, 60.0),
        length_inches: fields.number("length_in", 5.0, 40.0),
        close_replacements: read_replacements(fields),
    }
}

/// Reads `10FP4 (what changes); 10BP4-A (gray face)`.
fn read_replacements(fields: &mut Fields<'_>) -> Vec<CloseReplacement> {
    let mut replacements = Vec::new();
    for item in fields.list("close_replacements") {
        let read = item
            .strip_suffix(')')
            .and_then(|inner| inner.split_once(" ("))
            .filter(|(name, _)| !name.contains(' '));
        match read {
            Some((name, changes)) => replacements.push(CloseReplacement {
                name: name.to_string(),
                changes: changes.to_string(),
            }),
            None => fields.faults.push(ColumnFault::new(
                "close_replacements",
                format!("\"{item}\" read, TYPE (what changes) expected"),
                "part the types by semicolons, without semicolons inside the brackets",
            )),
        }
    }
    replacements
}
