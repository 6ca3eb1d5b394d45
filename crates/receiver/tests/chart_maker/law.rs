//! The tube law of the chart maker: one textbook formula for each kind of tube.
//!
//! Volts against the cathode, amperes. Current into an electrode is positive.
//! A triode's plate current is `k (Vg + Vp/mu)^1.5`; a pentode's cathode current is
//! `k (Vg + Vs/mu)^1.5`, shared between plate and screen in a fixed ratio until the
//! plate comes down to the knee; a grid or small diode draws current as a diode with
//! a contact potential of half a volt. The constants follow from one typical point
//! of each type, copied here from the tube manuals' typical operation (from memory,
//! as the catalogue says of its own rows) so that the chart stays as it is when the
//! catalogue grows. A type that is not in the table has no law: `sections` is empty.

/// Softness of every cut-off, volts.
const SOFT: f64 = 0.1;
/// Plate volts within which a pentode's plate current comes up.
const KNEE: f64 = 25.0;
/// Current of a grid at its contact potential plus one volt, amperes.
const GRID: f64 = 1e-3;
const GRID_CONTACT: f64 = 0.5;
const DIODE: f64 = 1.8e-3;
const DIODE_CONTACT: f64 = 0.3;

/// How a published point says its bias.
#[derive(Clone, Copy)]
pub enum Bias {
    /// Volts of the grid.
    Volts(f64),
    /// Ohms between cathode and chassis, carrying the whole cathode current.
    Ohms(f64),
}

/// The typical point from which the constants follow; currents in milliamperes,
/// transconductance in milliamperes a volt.
#[derive(Clone, Copy)]
pub enum Point {
    Triode {
        plate: f64,
        bias: Bias,
        plate_ma: f64,
        mu: f64,
    },
    Pentode {
        screen: f64,
        bias: Bias,
        plate_ma: f64,
        screen_ma: f64,
        transconductance: f64,
    },
    /// A pentode whose third grid takes the plate current away to the screen at `third_cut_off` volts.
    Gated {
        screen: f64,
        bias: Bias,
        plate_ma: f64,
        screen_ma: f64,
        transconductance: f64,
        third_cut_off: f64,
    },
    Diode,
}

/// One section: its pins and its point.
#[derive(Clone, Copy)]
pub struct Section {
    pub plate: &'static str,
    pub screen: Option<&'static str>,
    pub grid: Option<&'static str>,
    pub third: Option<&'static str>,
    pub cathode: &'static str,
    pub point: Point,
}

/// Electrode volts against the cathode, or currents into the electrodes.
#[derive(Clone, Copy, Default)]
pub struct Electrodes {
    pub plate: f64,
    pub screen: f64,
    pub grid: f64,
    pub third: f64,
}

impl std::ops::AddAssign for Electrodes {
    fn add_assign(&mut self, other: Electrodes) {
        self.plate += other.plate;
        self.screen += other.screen;
        self.grid += other.grid;
        self.third += other.third;
    }
}

impl std::ops::Sub for Electrodes {
    type Output = Electrodes;
    fn sub(self, other: Electrodes) -> Electrodes {
        Electrodes {
            plate: self.plate - other.plate,
            screen: self.screen - other.screen,
            grid: self.grid - other.grid,
            third: self.third - other.third,
        }
    }
}

impl std::ops::Mul<f64> for Electrodes {
    type Output = Electrodes;
    fn mul(self, factor: f64) -> Electrodes {
        Electrodes {
            plate: self.plate * factor,
            screen: self.screen * factor,
            grid: self.grid * factor,
            third: self.third * factor,
        }
    }
}

/// A section's constants.
#[derive(Clone, Copy)]
pub enum Law {
    Triode {
        k: f64,
        mu: f64,
    },
    Pentode {
        k: f64,
        mu: f64,
        plate_share: f64,
        third_cut_off: Option<f64>,
    },
    Diode {
        k: f64,
    },
}

fn soft(volts: f64) -> f64 {
    let ratio = volts / SOFT;
    if ratio > 30.0 {
        volts
    } else {
        SOFT * ratio.exp().ln_1p()
    }
}

impl Bias {
    fn volts(self, cathode_ma: f64) -> f64 {
        match self {
            Bias::Volts(volts) => volts,
            Bias::Ohms(ohms) => -ohms * cathode_ma * 1e-3,
        }
    }
}

impl Law {
    pub fn through(point: Point) -> Law {
        match point {
            Point::Triode {
                plate,
                bias,
                plate_ma,
                mu,
            } => Law::Triode {
                k: plate_ma * 1e-3 / (bias.volts(plate_ma) + plate / mu).powf(1.5),
                mu,
            },
            Point::Pentode {
                screen,
                bias,
                plate_ma,
                screen_ma,
                transconductance,
            } => pentode(screen, bias, plate_ma, screen_ma, transconductance, None),
            Point::Gated {
                screen,
                bias,
                plate_ma,
                screen_ma,
                transconductance,
                third_cut_off,
            } => pentode(
                screen,
                bias,
                plate_ma,
                screen_ma,
                transconductance,
                Some(third_cut_off),
            ),
            Point::Diode => Law::Diode { k: DIODE },
        }
    }

    /// The same section with so many times the emission.
    pub fn times(self, factor: f64) -> Law {
        match self {
            Law::Triode { k, mu } => Law::Triode { k: k * factor, mu },
            Law::Pentode {
                k,
                mu,
                plate_share,
                third_cut_off,
            } => Law::Pentode {
                k: k * factor,
                mu,
                plate_share,
                third_cut_off,
            },
            Law::Diode { k } => Law::Diode { k: k * factor },
        }
    }

    /// The same section with another share of its current going to the screen.
    pub fn with_screen_share(self, share: f64) -> Law {
        match self {
            Law::Pentode {
                k,
                mu,
                third_cut_off,
                ..
            } => Law::Pentode {
                k,
                mu,
                plate_share: 1.0 - share,
                third_cut_off,
            },
            other => other,
        }
    }

    /// Currents into the electrodes at these volts.
    pub fn currents(self, at: Electrodes) -> Electrodes {
        let grid = GRID * soft(at.grid + GRID_CONTACT).powf(1.5);
        match self {
            Law::Triode { k, mu } => {
                let drawn = k * soft(at.grid + at.plate.max(0.0) / mu).powf(1.5);
                Electrodes {
                    plate: drawn * knee(at.plate / 5.0),
                    grid,
                    ..Electrodes::default()
                }
            }
            Law::Pentode {
                k,
                mu,
                plate_share,
                third_cut_off,
            } => {
                let drawn = k * soft(at.grid + at.screen.max(0.0) / mu).powf(1.5);
                let gate = third_cut_off.map_or(1.0, |cut_off| {
                    (soft(1.0 - at.third / cut_off)).clamp(0.0, 1.3)
                });
                let plate = (drawn * plate_share * gate).min(drawn) * knee(at.plate / KNEE);
                Electrodes {
                    plate,
                    screen: drawn - plate,
                    grid,
                    third: third_cut_off
                        .map_or(0.0, |_| GRID * soft(at.third + GRID_CONTACT).powf(1.5)),
                }
            }
            Law::Diode { k } => Electrodes {
                plate: k * soft(at.plate + DIODE_CONTACT).powf(1.5),
                ..Electrodes::default()
            },
        }
    }
}

/// From nothing at no plate volts to one.
fn knee(ratio: f64) -> f64 {
    if ratio <= 0.0 {
        0.0
    } else {
        -(-ratio).exp_m1()
    }
}

/// `Vs/mu + Vg` follows from the slope of the law: `1.5 I / S`, with the slope of the
/// cathode current in the ratio of the currents.
fn pentode(
    screen: f64,
    bias: Bias,
    plate_ma: f64,
    screen_ma: f64,
    transconductance: f64,
    third_cut_off: Option<f64>,
) -> Law {
    let cathode_ma = plate_ma + screen_ma;
    let slope = transconductance * cathode_ma / plate_ma;
    let above = 1.5 * cathode_ma / slope;
    Law::Pentode {
        k: cathode_ma * 1e-3 / above.powf(1.5),
        mu: screen / (above - bias.volts(cathode_ma)),
        plate_share: plate_ma / cathode_ma,
        third_cut_off,
    }
}

const fn triode(
    pins: [&'static str; 3],
    plate: f64,
    bias: Bias,
    plate_ma: f64,
    mu: f64,
) -> Section {
    let [grid, cathode, plate_pin] = pins;
    Section {
        plate: plate_pin,
        screen: None,
        grid: Some(grid),
        third: None,
        cathode,
        point: Point::Triode {
            plate,
            bias,
            plate_ma,
            mu,
        },
    }
}

const fn five(
    pins: [&'static str; 4],
    screen: f64,
    bias: Bias,
    plate_ma: f64,
    screen_ma: f64,
    transconductance: f64,
) -> Section {
    let [grid, cathode, screen_pin, plate] = pins;
    Section {
        plate,
        screen: Some(screen_pin),
        grid: Some(grid),
        third: None,
        cathode,
        point: Point::Pentode {
            screen,
            bias,
            plate_ma,
            screen_ma,
            transconductance,
        },
    }
}

const fn gated(
    pins: [&'static str; 5],
    screen: f64,
    bias: Bias,
    currents_ma: [f64; 2],
    transconductance: f64,
    third_cut_off: f64,
) -> Section {
    let [grid, cathode, third, screen_pin, plate] = pins;
    let [plate_ma, screen_ma] = currents_ma;
    Section {
        plate,
        screen: Some(screen_pin),
        grid: Some(grid),
        third: Some(third),
        cathode,
        point: Point::Gated {
            screen,
            bias,
            plate_ma,
            screen_ma,
            transconductance,
            third_cut_off,
        },
    }
}

const fn diode(plate: &'static str, cathode: &'static str) -> Section {
    Section {
        plate,
        screen: None,
        grid: None,
        third: None,
        cathode,
        point: Point::Diode,
    }
}

use Bias::{Ohms, Volts};

/// Every type of the two sets that carries current while its set is measured. Triodes:
/// pins of grid, cathode, plate. Pentodes: grid, cathode, screen, plate. Damper and
/// high-voltage rectifier are not here, nor the picture tube, dark during the chart.
const TYPES: &[(&str, &[Section])] = &[
    (
        "6AG5",
        &[five(
            ["1", "2", "6", "5"],
            150.0,
            Ohms(180.0),
            6.5,
            2.0,
            5.0,
        )],
    ),
    (
        "6J6",
        // The 50 ohm of the manuals carry both halves.
        &[
            triode(["5", "7", "2"], 100.0, Ohms(100.0), 8.5, 38.0),
            triode(["6", "7", "1"], 100.0, Ohms(100.0), 8.5, 38.0),
        ],
    ),
    (
        "6AU6",
        &[five(
            ["1", "7", "6", "5"],
            125.0,
            Ohms(100.0),
            7.6,
            3.0,
            4.5,
        )],
    ),
    (
        "3AU6",
        &[five(
            ["1", "7", "6", "5"],
            125.0,
            Ohms(100.0),
            7.6,
            3.0,
            4.5,
        )],
    ),
    ("6AL5", &[diode("7", "1"), diode("2", "5")]),
    (
        "6AC7",
        &[five(
            ["4", "5", "6", "8"],
            150.0,
            Ohms(160.0),
            10.0,
            2.5,
            9.0,
        )],
    ),
    (
        "6SN7-GT",
        &[
            triode(["1", "3", "2"], 250.0, Volts(-8.0), 9.0, 20.0),
            triode(["4", "6", "5"], 250.0, Volts(-8.0), 9.0, 20.0),
        ],
    ),
    (
        "6AT6",
        &[triode(["1", "2", "7"], 250.0, Volts(-3.0), 1.0, 70.0)],
    ),
    (
        "6K6-GT",
        &[five(
            ["5", "8", "4", "3"],
            250.0,
            Volts(-18.0),
            32.0,
            5.5,
            2.3,
        )],
    ),
    (
        "6BG6-G",
        &[five(
            ["5", "3", "8", "cap"],
            250.0,
            Volts(-15.0),
            75.0,
            4.0,
            6.0,
        )],
    ),
    (
        "4BQ7-A",
        &[
            triode(["7", "8", "6"], 150.0, Ohms(220.0), 9.0, 39.0),
            triode(["2", "3", "1"], 150.0, Ohms(220.0), 9.0, 39.0),
        ],
    ),
    (
        "5U8",
        &[
            triode(["9", "8", "1"], 150.0, Ohms(56.0), 18.0, 40.0),
            five(["2", "7", "3", "6"], 110.0, Ohms(68.0), 10.0, 3.5, 5.2),
        ],
    ),
    (
        "3BZ6",
        &[five(
            ["1", "2", "6", "5"],
            125.0,
            Ohms(56.0),
            14.0,
            3.6,
            8.0,
        )],
    ),
    (
        "3CB6",
        &[five(
            ["1", "2", "6", "5"],
            125.0,
            Ohms(56.0),
            13.0,
            3.7,
            8.0,
        )],
    ),
    (
        "6AW8-A",
        &[
            triode(["2", "1", "3"], 200.0, Volts(-2.0), 4.0, 70.0),
            five(["7", "6", "8", "9"], 150.0, Ohms(180.0), 13.0, 3.5, 9.0),
        ],
    ),
    (
        "3DT6",
        &[gated(
            ["1", "2", "7", "6", "5"],
            100.0,
            Ohms(560.0),
            [1.1, 2.1],
            0.8,
            -6.0,
        )],
    ),
    (
        "5AQ5",
        &[five(
            ["1", "2", "6", "5"],
            250.0,
            Volts(-12.5),
            45.0,
            4.5,
            4.1,
        )],
    ),
    (
        // The catalogue has no point of this type; these figures are the maker's guess.
        "3CS6",
        &[gated(
            ["1", "2", "7", "6", "5"],
            30.0,
            Volts(0.0),
            [1.5, 3.5],
            0.45,
            -2.5,
        )],
    ),
    (
        "5AN8",
        &[
            triode(["2", "3", "1"], 150.0, Volts(-3.0), 15.0, 21.0),
            five(["8", "9", "7", "6"], 125.0, Ohms(56.0), 12.0, 3.8, 7.8),
        ],
    ),
    (
        "6CG7",
        &[
            triode(["2", "3", "1"], 250.0, Volts(-8.0), 9.0, 20.0),
            triode(["7", "8", "6"], 250.0, Volts(-8.0), 9.0, 20.0),
        ],
    ),
    (
        "12DQ6-A",
        &[five(
            ["5", "8", "4", "cap"],
            150.0,
            Volts(-22.5),
            75.0,
            2.4,
            6.6,
        )],
    ),
];

/// The sections of this type, empty if the chart maker has no law for it.
pub fn sections(kind: &str) -> &'static [Section] {
    TYPES
        .iter()
        .find(|(name, _)| *name == kind)
        .map_or(&[], |(_, sections)| sections)
}

/// Every section of the table, with its type.
pub fn all() -> impl Iterator<Item = (&'static str, Section)> {
    TYPES
        .iter()
        .flat_map(|(name, sections)| sections.iter().map(|section| (*name, *section)))
}
