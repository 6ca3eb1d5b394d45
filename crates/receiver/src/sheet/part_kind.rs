//! The kinds of part a sheet knows, and what may stand in the value of each.
//!
//! Source: the form of the sheet, edition 1. Values inside are volts, amperes,
//! ohms, farads, henries, watts; shares of a control's track run from 0 to 1.
//! Nothing here fails; reading a value text is the work of `read_value`.

use std::fmt;

use parts::DiodeMaterial;
use quantity::Tolerance;

macro_rules! part_kinds {
    ($($variant:ident $name:literal $doc:literal,)*) => {
        /// The kind of a part, as the second column of its row says.
        #[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
        pub enum PartKind {
            $(#[doc = $doc] $variant,)*
        }

        impl PartKind {
            /// Every kind, in the order of the manual.
            pub const ALL: &'static [PartKind] = &[$(PartKind::$variant,)*];

            /// The word of the sheet.
            pub fn name(self) -> &'static str {
                match self {
                    $(PartKind::$variant => $name,)*
                }
            }
        }
    };
}

part_kinds! {
    Resistor "resistor" "A fixed resistor; with a third place a tapped one.",
    Control "control" "A potentiometer or rheostat.",
    Thermistor "thermistor" "A resistor that falls as it warms.",
    Ballast "ballast" "A ballast tube or iron-wire regulator.",
    Fuse "fuse" "A fuse, fusible link or circuit breaker.",
    Lamp "lamp" "A pilot lamp or a lamp used as a resistor.",
    Electrolytic "electrolytic" "One section of an electrolytic; `from` is its + end.",
    Paper "paper" "A waxed-paper capacitor.",
    MouldedPaper "moulded-paper" "A paper capacitor moulded in plastic.",
    Film "film" "A plastic-film capacitor.",
    Mica "mica" "A mica capacitor.",
    Ceramic "ceramic" "A ceramic capacitor.",
    Trimmer "trimmer" "An adjustable capacitor.",
    Choke "choke" "An iron-cored choke.",
    Coil "coil" "Any other coil.",
    FocusCoil "focus-coil" "A focus coil.",
    Yoke "yoke" "A winding of the deflection yoke.",
    Selenium "selenium" "A selenium rectifier; `from` is its a.c. end.",
    Silicon "silicon" "A silicon rectifier; `from` is its a.c. end.",
    Crystal "crystal" "A germanium detector or half of a selenium phase diode; `from` is its anode.",
    Neon "neon" "A neon lamp.",
    Vdr "vdr" "A voltage-dependent resistor.",
    Switch "switch" "A switch.",
    Plug "plug" "A plug, interlock or jumper that can be pulled.",
    Wire "wire" "A wire.",
    Load "load" "Whatever has not been transcribed yet.",
}

impl PartKind {
    /// The kind of this name, in any case, with a space or underscore for the dash.
    pub fn named(text: &str) -> Option<PartKind> {
        let text = text.trim().to_ascii_lowercase().replace([' ', '_'], "-");
        PartKind::ALL
            .iter()
            .copied()
            .find(|kind| kind.name() == text)
    }

    /// Whether a row of this kind may have a third place, the wiper or tap.
    pub fn may_have_third_place(self) -> bool {
        matches!(
            self,
            PartKind::Resistor
                | PartKind::Control
                | PartKind::Choke
                | PartKind::Coil
                | PartKind::FocusCoil
                | PartKind::Yoke
        )
    }

    /// What the value of this kind holds, with an example, as a hint says it.
    pub fn value_form(self) -> &'static str {
        match self {
            PartKind::Resistor => {
                "a resistor has ohms, and may have watts, tolerance and make: `4.7k 2 W 10%`"
            }
            PartKind::Control => {
                "a control has ohms, and may have its setting, watts and tolerance: `250k at 0.4`"
            }
            PartKind::Thermistor => {
                "a thermistor has cold ohms, hot ohms and the current of the hot ohms, or a type: `120 ohm cold 1.2 ohm hot 1.5 A`"
            }
            PartKind::Ballast => "a ballast has the volts it drops and its current: `43 V 0.3 A`",
            PartKind::Fuse => {
                "a fuse has its current, and may be `slow`, and may have ohms: `1.6 A slow`"
            }
            PartKind::Lamp => {
                "a lamp has volts and amperes, or watts (at 120 V unless it says volts): `6.3 V 0.15 A`"
            }
            PartKind::Electrolytic => {
                "an electrolytic has mfd and volts, and may have surge volts: `40 mfd 450 V`"
            }
            PartKind::Paper | PartKind::MouldedPaper | PartKind::Film => {
                "a capacitor has mfd, and may have volts and tolerance: `0.05 mfd 600 V`"
            }
            PartKind::Mica | PartKind::Ceramic => {
                "a capacitor has mmf or mfd, and may have volts and tolerance: `220 mmf 500 V 10%`"
            }
            PartKind::Trimmer => "a trimmer has mmf as set: `30 mmf`",
            PartKind::Choke => {
                "a choke has henries and ohms, and may have its current: `3.5 H 85 ohm 200 mA`"
            }
            PartKind::Coil | PartKind::FocusCoil | PartKind::Yoke => {
                "a coil has henries, ohms, or both, and may have its current: `250 uH 6 ohm`"
            }
            PartKind::Selenium => {
                "a selenium rectifier has its plates, and may have its current: `5 plates 300 mA`"
            }
            PartKind::Silicon => {
                "a silicon rectifier has its current and peak inverse volts: `1 A 1000 V`"
            }
            PartKind::Crystal => {
                "a crystal may have its type or `selenium`, its forward current at its volts, and its inverse volts: `1N34`, `5 mA at 1 V 60 V`"
            }
            PartKind::Neon => {
                "a neon may have its type, striking volts, burning volts, current, and ohms in its base: `NE-2`, `65 V strike 55 V burning 0.5 mA`"
            }
            PartKind::Vdr => {
                "a vdr has its current at its volts, and may have its exponent and tolerance: `1 mA at 100 V beta 0.2`"
            }
            PartKind::Switch => "a switch is `open` or `closed`; nothing means closed",
            PartKind::Plug => "a plug is `open` or `closed`; nothing means closed",
            PartKind::Wire => "a wire has no value: `\"\"`",
            PartKind::Load => {
                "a load has its current at its volts, may be `steady`, and may name the tubes it stands for: `95 mA at 330 V for V16 V17`"
            }
        }
    }

    /// With its article, for a sentence.
    pub fn with_article(self) -> String {
        let article = if self.name().starts_with(['a', 'e', 'i', 'o', 'u']) {
            "an"
        } else {
            "a"
        };
        format!("{article} {}", self.name())
    }
}

impl fmt::Display for PartKind {
    fn fmt(&self, formatter: &mut fmt::Formatter<'_>) -> fmt::Result {
        formatter.write_str(self.name())
    }
}

/// How a resistor is made, where the sheet says so.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum ResistorMake {
    /// Moulded carbon composition, the kind that drifts.
    Carbon,
    /// Carbon or metal film.
    Film,
    /// Wire wound.
    WireWound,
    /// Made to open when overloaded.
    Fusible,
}

impl ResistorMake {
    /// Words of the sheet for each make.
    pub(super) const WORDS: &'static [(&'static str, ResistorMake)] = &[
        ("carbon", ResistorMake::Carbon),
        ("composition", ResistorMake::Carbon),
        ("film", ResistorMake::Film),
        ("wirewound", ResistorMake::WireWound),
        ("wire-wound", ResistorMake::WireWound),
        ("wire", ResistorMake::WireWound),
        ("fusible", ResistorMake::Fusible),
    ];
}

/// The dielectric of a capacitor.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum CapacitorStyle {
    /// Electrolytic.
    Electrolytic,
    /// Waxed paper.
    Paper,
    /// Paper moulded in plastic.
    MouldedPaper,
    /// Plastic film.
    Film,
    /// Mica.
    Mica,
    /// Ceramic.
    Ceramic,
    /// Adjustable.
    Trimmer,
}

/// What a coil does in the set.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum CoilKind {
    /// Iron-cored choke of the supply; a speaker field is one too.
    Choke,
    /// Any other coil.
    Coil,
    /// Focus coil.
    FocusCoil,
    /// Winding of the deflection yoke.
    Yoke,
}

/// How a lamp is rated.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum LampRating {
    /// Rated watts at rated volts.
    Watts {
        /// Watts at the rated volts.
        watts: f64,
        /// Rated volts; 120 where the sheet says none, as lamps for the line are.
        volts: f64,
    },
    /// Rated volts and amperes, as pilot lamps are marked.
    Amperes {
        /// Rated volts.
        volts: f64,
        /// Amperes at the rated volts.
        amperes: f64,
    },
}

/// The value of a part, as its kind has it. SI units; what the sheet does not say is `None`.
#[derive(Debug, Clone, PartialEq)]
pub enum PartValue {
    /// A fixed resistor.
    Resistor {
        /// Ohms from end to end.
        ohms: f64,
        /// Share of the ohms that lies between `from` and the tap, if it is tapped and the share is known.
        at: Option<f64>,
        /// Rated watts.
        watts: Option<f64>,
        /// Marked tolerance.
        tolerance: Option<Tolerance>,
        /// How it is made.
        make: Option<ResistorMake>,
    },
    /// A potentiometer or rheostat.
    Control {
        /// Ohms from end to end.
        ohms: f64,
        /// Share of the ohms that lies between `from` and the wiper.
        at: Option<f64>,
        /// Rated watts.
        watts: Option<f64>,
        /// Marked tolerance.
        tolerance: Option<Tolerance>,
    },
    /// A resistor that falls as it warms.
    Thermistor {
        /// Type, as the catalogue spells it.
        kind: Option<String>,
        /// Ohms at room temperature.
        cold_ohms: Option<f64>,
        /// Ohms at the rated current.
        hot_ohms: Option<f64>,
        /// Current at which the hot ohms hold.
        amperes: Option<f64>,
    },
    /// A ballast tube or iron-wire regulator.
    Ballast {
        /// Volts it drops at its current.
        volts: f64,
        /// Its current.
        amperes: f64,
    },
    /// A fuse.
    Fuse {
        /// Rated current.
        amperes: Option<f64>,
        /// Resistance, where it matters.
        ohms: Option<f64>,
        /// Whether it is of the slow kind.
        slow: bool,
    },
    /// A lamp.
    Lamp(LampRating),
    /// A capacitor.
    Capacitor {
        /// Its dielectric.
        style: CapacitorStyle,
        /// Farads.
        farads: f64,
        /// Marked working volts.
        volts: Option<f64>,
        /// Marked surge volts, of an electrolytic.
        surge_volts: Option<f64>,
        /// Marked tolerance.
        tolerance: Option<Tolerance>,
    },
    /// A coil of any kind.
    Coil {
        /// What it does.
        kind: CoilKind,
        /// Inductance.
        henries: Option<f64>,
        /// Resistance of the copper.
        ohms: Option<f64>,
        /// Rated direct current.
        amperes: Option<f64>,
        /// Share of the winding that lies between `from` and the tap.
        at: Option<f64>,
    },
    /// A selenium rectifier.
    Selenium {
        /// Number of plates in series.
        plates: u32,
        /// Rated direct current.
        milliamperes: Option<f64>,
    },
    /// A silicon rectifier.
    Silicon {
        /// Type, as the catalogue spells it.
        kind: Option<String>,
        /// Rated direct current.
        amperes: Option<f64>,
        /// Rated peak inverse volts.
        inverse_volts: Option<f64>,
    },
    /// A small diode that needs no heater.
    Crystal {
        /// Type, as the catalogue spells it; `None` for any diode of its material.
        kind: Option<String>,
        /// What it is made of.
        material: DiodeMaterial,
        /// Forward current at `forward_volts`, of the sheet or else the least of the type; never without its volts.
        forward_amperes: Option<f64>,
        /// The volts of the forward current.
        forward_volts: Option<f64>,
        /// Highest steady inverse volts.
        inverse_volts: Option<f64>,
    },
    /// A neon lamp.
    Neon {
        /// Type, as the catalogue spells it.
        kind: Option<String>,
        /// D.c. volts at which it strikes.
        strike_volts: Option<f64>,
        /// D.c. volts that it holds while it burns, below the striking volts.
        burning_volts: Option<f64>,
        /// Current at which it holds the burning volts.
        amperes: Option<f64>,
        /// Ohms of the resistor inside its base.
        base_ohms: Option<f64>,
    },
    /// A voltage-dependent resistor: volts grow as the current to the power `beta`.
    Vdr {
        /// Current at `volts`; never without them.
        amperes: Option<f64>,
        /// The volts of that current.
        volts: Option<f64>,
        /// Exponent of the current, above 0 and below 1.
        beta: Option<f64>,
        /// Marked tolerance of the volts.
        tolerance: Option<Tolerance>,
    },
    /// A switch.
    Switch {
        /// Whether it stands open.
        open: bool,
    },
    /// A plug.
    Plug {
        /// Whether it is pulled.
        open: bool,
    },
    /// A wire.
    Wire,
    /// Whatever has not been transcribed yet.
    Load {
        /// Current when warm, at the stated volts.
        amperes: f64,
        /// The stated volts.
        volts: f64,
        /// A plain resistance from the first moment, instead of a stand-in for tubes.
        steady: bool,
        /// References of the tubes whose current it is, as their rows spell them; empty if the sheet does not say.
        stands_for: Vec<String>,
    },
}

impl PartValue {
    /// The kind this value belongs to.
    pub fn kind(&self) -> PartKind {
        match self {
            PartValue::Resistor { .. } => PartKind::Resistor,
            PartValue::Control { .. } => PartKind::Control,
            PartValue::Thermistor { .. } => PartKind::Thermistor,
            PartValue::Ballast { .. } => PartKind::Ballast,
            PartValue::Fuse { .. } => PartKind::Fuse,
            PartValue::Lamp(_) => PartKind::Lamp,
            PartValue::Capacitor { style, .. } => match style {
                CapacitorStyle::Electrolytic => PartKind::Electrolytic,
                CapacitorStyle::Paper => PartKind::Paper,
                CapacitorStyle::MouldedPaper => PartKind::MouldedPaper,
                CapacitorStyle::Film => PartKind::Film,
                CapacitorStyle::Mica => PartKind::Mica,
                CapacitorStyle::Ceramic => PartKind::Ceramic,
                CapacitorStyle::Trimmer => PartKind::Trimmer,
            },
            PartValue::Coil { kind, .. } => match kind {
                CoilKind::Choke => PartKind::Choke,
                CoilKind::Coil => PartKind::Coil,
                CoilKind::FocusCoil => PartKind::FocusCoil,
                CoilKind::Yoke => PartKind::Yoke,
            },
            PartValue::Selenium { .. } => PartKind::Selenium,
            PartValue::Silicon { .. } => PartKind::Silicon,
            PartValue::Crystal { .. } => PartKind::Crystal,
            PartValue::Neon { .. } => PartKind::Neon,
            PartValue::Vdr { .. } => PartKind::Vdr,
            PartValue::Switch { .. } => PartKind::Switch,
            PartValue::Plug { .. } => PartKind::Plug,
            PartValue::Wire => PartKind::Wire,
            PartValue::Load { .. } => PartKind::Load,
        }
    }
}
