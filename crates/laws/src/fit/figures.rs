//! A published point as the fit takes it, and what a law says there.
//!
//! Volts against the cathode, amperes, siemens, ohms inside; the catalogue's milliamperes and
//! micromhos are turned here. Where a cathode resistor makes the bias, the published volts
//! are those of the supply (the makers' heading is "plate supply voltage"), so that plate and
//! screen lose what the resistor takes; a cathode that two units share carries the current
//! of both. A converter's point is taken with its oscillator running. Nothing here fails: a
//! point that lacks a needed figure gives `None`.

use circuit::tube::{ELECTRODES, Electrode, TubeLaw, TubeState};
use parts::{OperatingPoint, Standing};

use crate::section::SectionLaw;

/// A kind of figure of a published point.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum PointFigure {
    /// Plate current, amperes.
    PlateCurrent,
    /// Screen current, amperes.
    ScreenCurrent,
    /// Grid to plate, siemens.
    Transconductance,
    /// Plate resistance, ohms.
    PlateResistance,
    /// Amplification factor.
    AmplificationFactor,
    /// Grid volts (negative) at which the published cut-off current flows.
    CutoffVolts,
}

/// How the control grid is driven at a point.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Setting {
    /// Units whose current the cathode resistor carries.
    pub(crate) units_on_cathode: f64,
    /// Whether grid 1 oscillates and the published grid volts are those of grid 3.
    pub(crate) oscillates: bool,
    /// Whether grid 3 is a control grid with a bias of its own.
    pub(crate) has_grid3: bool,
}

/// Grid-1 bias of a running converter, volts: 0.5 mA through 20 000 ohms (RCA's point of the
/// 6BE6, from memory). The peaks reach about a volt above the cathode.
const OSCILLATOR_BIAS_VOLTS: f64 = -10.0;
const OSCILLATOR_PEAK_VOLTS: f64 = 11.0;
/// Places of a half cycle at which the current is taken.
const OSCILLATOR_PLACES: usize = 9;

/// The published figures of one point with their doubts, volts against the cathode.
#[derive(Clone, Debug)]
pub(super) struct Observed {
    /// Volts of all electrodes.
    pub(super) volts: [f64; ELECTRODES],
    pub(super) oscillates: bool,
    /// Figure, value and doubt as a share.
    pub(super) figures: Vec<(PointFigure, f64, f64)>,
    /// Published cut-off.
    pub(super) cutoff: Option<Cutoff>,
}

/// Doubt of a figure as a share, before its standing is asked.
const DOUBTS: [(PointFigure, &str, f64); 6] = [
    (PointFigure::PlateCurrent, "typ_plate_ma", 0.03),
    (PointFigure::ScreenCurrent, "typ_screen_ma", 0.08),
    (PointFigure::Transconductance, "typ_gm_umho", 0.05),
    (PointFigure::PlateResistance, "typ_rp_ohm", 0.12),
    (PointFigure::AmplificationFactor, "typ_mu", 0.04),
    (PointFigure::CutoffVolts, "cutoff_v_at", 0.08),
];

/// A published cut-off.
#[derive(Clone, Copy, Debug)]
pub(super) struct Cutoff {
    /// Volts of all electrodes, the grid at the published cut-off.
    pub(super) volts: [f64; ELECTRODES],
    /// Plate current that counts as cut off, amperes.
    amperes: f64,
}

/// What counts as cut off where a row gives volts only, milliamperes (common practice).
const USUAL_CUTOFF_MILLIAMPERES: f64 = 0.01;

impl Cutoff {
    /// `volts` are those of the point, `cathode_volts` what its cathode resistor takes.
    fn of(
        point: &OperatingPoint,
        is_screened: bool,
        volts: [f64; ELECTRODES],
        cathode_volts: f64,
    ) -> Option<Cutoff> {
        let grid = point.cutoff_volts.filter(|volts| *volts < 0.0)?;
        // Nothing flows, so the resistor takes nothing.
        let mut volts = volts;
        volts[Electrode::Plate as usize] += cathode_volts;
        if is_screened {
            volts[Electrode::Grid2 as usize] += cathode_volts;
        }
        volts[Electrode::Grid1 as usize] = grid;
        let milliamperes = point
            .cutoff_milliamperes
            .unwrap_or(USUAL_CUTOFF_MILLIAMPERES);
        Some(Cutoff {
            volts,
            amperes: milliamperes * 1e-3,
        })
    }

    /// Grid volts at which the law lets the cut-off current pass; held between the cathode's
    /// and four times the published ones.
    fn by_law(&self, law: &TubeLaw) -> f64 {
        const PLATE: usize = Electrode::Plate as usize;
        const GRID: usize = Electrode::Grid1 as usize;
        let at = |grid: f64| {
            let mut volts = self.volts;
            volts[GRID] = grid;
            let at = law.currents(volts, &TubeState::default());
            (at.amperes[PLATE], at.slopes[PLATE][GRID])
        };
        let (mut low, mut high) = (4.0 * self.volts[GRID], 0.0);
        for _ in 0..10 {
            let middle = 0.5 * (low + high);
            if at(middle).0 < self.amperes {
                low = middle;
            } else {
                high = middle;
            }
        }
        // Newton on the logarithm of the current, which is nearly straight here.
        let mut grid = high;
        for _ in 0..6 {
            let (amperes, slope) = at(grid);
            let step = (amperes / self.amperes).ln() * amperes / slope;
            if !step.is_finite() {
                break;
            }
            grid = (grid - step).clamp(low, high);
        }
        grid.min(-1e-3)
    }
}

impl Observed {
    /// The point with all its figures; `None` without plate volts, plate current or a bias.
    pub(super) fn new(
        point: &OperatingPoint,
        is_screened: bool,
        setting: Setting,
    ) -> Option<Observed> {
        let plate_amperes = point.plate_milliamperes? * 1e-3;
        let screen_amperes = point.screen_milliamperes.unwrap_or(0.0) * 1e-3;
        let cathode_volts = match (point.grid_volts, point.cathode_ohms) {
            (None, Some(ohms)) => {
                ohms * (plate_amperes + screen_amperes) * setting.units_on_cathode
            }
            _ => 0.0,
        };
        let volts = electrode_volts(point, is_screened, setting, cathode_volts)?;
        let cutoff = Cutoff::of(point, is_screened, volts, cathode_volts);
        let mut figures = Vec::new();
        for (figure, column, doubt) in DOUBTS {
            let value = match figure {
                PointFigure::PlateCurrent => Some(plate_amperes),
                PointFigure::ScreenCurrent => point
                    .screen_milliamperes
                    .filter(|_| is_screened)
                    .map(|ma| ma * 1e-3),
                PointFigure::Transconductance => {
                    point.transconductance_micromhos.map(|umho| umho * 1e-6)
                }
                PointFigure::PlateResistance => point.plate_resistance_ohms,
                PointFigure::AmplificationFactor => {
                    point.amplification_factor.filter(|_| !is_screened)
                }
                PointFigure::CutoffVolts => {
                    cutoff.map(|cutoff| cutoff.volts[Electrode::Grid1 as usize])
                }
            };
            let Some(value) = value.filter(|value| *value != 0.0) else {
                continue;
            };
            // A screened tube's plate resistance is printed roughly.
            let rough = if is_screened && figure == PointFigure::PlateResistance {
                3.0
            } else {
                1.0
            };
            let doubtful = if point.provenance.is_doubtful(column) {
                2.0
            } else {
                1.0
            };
            figures.push((figure, value, doubt * rough * doubtful));
        }
        Some(Observed {
            volts,
            oscillates: setting.oscillates,
            figures,
            cutoff,
        })
    }

    /// Whether a figure tells how fast the current changes with the grid.
    pub(super) fn tells_a_slope(&self) -> bool {
        self.figures.iter().any(|(figure, _, _)| {
            matches!(
                figure,
                PointFigure::Transconductance
                    | PointFigure::AmplificationFactor
                    | PointFigure::CutoffVolts
            )
        })
    }

    /// The law's figure.
    pub(super) fn by_law(&self, law: &TubeLaw, figure: PointFigure) -> f64 {
        match figure {
            PointFigure::CutoffVolts => match &self.cutoff {
                Some(cutoff) => cutoff.by_law(law),
                None => f64::NAN,
            },
            _ => figure_of(&Sampled::at(law, self.volts, self.oscillates), figure),
        }
    }

    /// Adds the logarithm of law over published, over its doubt, for every figure.
    pub(super) fn misfits(&self, law: &TubeLaw, into: &mut Vec<f64>) {
        let sampled = Sampled::at(law, self.volts, self.oscillates);
        for (figure, value, doubt) in &self.figures {
            let by_law = match figure {
                PointFigure::CutoffVolts => self.by_law(law, *figure),
                _ => figure_of(&sampled, *figure),
            };
            into.push((by_law / value).max(LEAST_RATIO).ln() / doubt);
        }
    }
}

/// Keeps a logarithm finite where a law gives nothing.
const LEAST_RATIO: f64 = 1e-9;

/// Volts of all electrodes against the cathode.
fn electrode_volts(
    point: &OperatingPoint,
    is_screened: bool,
    setting: Setting,
    cathode_volts: f64,
) -> Option<[f64; ELECTRODES]> {
    let plate = point.plate_volts? - cathode_volts;
    let grid = match (point.grid_volts, point.cathode_ohms) {
        (Some(volts), _) => volts,
        (None, Some(_)) => -cathode_volts,
        (None, None) => return None,
    };
    let screen = match point.screen_volts {
        Some(volts) => volts - cathode_volts,
        None if is_screened => return None,
        None => 0.0,
    };
    let grid1 = if setting.oscillates {
        OSCILLATOR_BIAS_VOLTS
    } else {
        grid
    };
    let grid3 = match grid3_in_notes(&point.provenance.notes) {
        Some(volts) => volts,
        None if setting.has_grid3 => grid,
        None => 0.0,
    };
    Some([plate, grid1, screen, grid3])
}

/// Volts of grid 3 where the notes of a row give them apart: `grid3 at -1 V`.
fn grid3_in_notes(notes: &str) -> Option<f64> {
    let (_, behind) = notes.split_once("grid3 at ")?;
    let (number, _) = behind.split_once(" V")?;
    number.parse().ok().filter(|volts: &f64| volts.is_finite())
}

/// Currents and slopes at a point, averaged over the cycle where grid 1 oscillates.
#[derive(Clone, Copy, Debug)]
struct Sampled {
    plate: f64,
    screen: f64,
    cathode: f64,
    transconductance: f64,
    plate_conductance: f64,
}

impl Sampled {
    fn at(law: &TubeLaw, volts: [f64; ELECTRODES], oscillates: bool) -> Sampled {
        const PLATE: usize = Electrode::Plate as usize;
        const GRID: usize = Electrode::Grid1 as usize;
        const SCREEN: usize = Electrode::Grid2 as usize;
        let one = |volts: [f64; ELECTRODES]| {
            let at = law.currents(volts, &TubeState::default());
            Sampled {
                plate: at.amperes[PLATE],
                screen: at.amperes[SCREEN],
                cathode: at.cathode_amperes(),
                transconductance: at.slopes[PLATE][GRID],
                plate_conductance: at.slopes[PLATE][PLATE],
            }
        };
        if !oscillates {
            return one(volts);
        }
        let mut mean = Sampled {
            plate: 0.0,
            screen: 0.0,
            cathode: 0.0,
            transconductance: 0.0,
            plate_conductance: 0.0,
        };
        let share = 1.0 / OSCILLATOR_PLACES as f64;
        for place in 0..OSCILLATOR_PLACES {
            let angle = (place as f64 + 0.5) * share * std::f64::consts::PI;
            let mut now = volts;
            now[GRID] += OSCILLATOR_PEAK_VOLTS * angle.cos();
            let here = one(now);
            mean.plate += share * here.plate;
            mean.screen += share * here.screen;
            mean.cathode += share * here.cathode;
            mean.transconductance += share * here.transconductance;
            mean.plate_conductance += share * here.plate_conductance;
        }
        mean
    }
}

fn figure_of(sampled: &Sampled, figure: PointFigure) -> f64 {
    match figure {
        PointFigure::PlateCurrent => sampled.plate,
        PointFigure::CutoffVolts => f64::NAN,
        PointFigure::ScreenCurrent => sampled.screen,
        PointFigure::Transconductance => sampled.transconductance,
        PointFigure::PlateResistance => 1.0 / sampled.plate_conductance,
        PointFigure::AmplificationFactor => sampled.transconductance / sampled.plate_conductance,
    }
}

/// What a law says at a published point.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct AtPoint {
    /// Grid to cathode, volts.
    pub grid_volts: f64,
    /// Cathode to chassis, volts; 0 where the point gives the bias itself.
    pub cathode_volts: f64,
    /// Plate current, amperes.
    pub plate_amperes: f64,
    /// Screen current, amperes; 0 for a tube without screen.
    pub screen_amperes: f64,
    /// Grid to plate, siemens.
    pub transconductance_siemens: f64,
    /// Plate resistance, ohms.
    pub plate_resistance_ohms: f64,
    /// Grid volts (negative) at which the point's cut-off current flows; `None` where the point
    /// has no cut-off.
    pub cutoff_volts: Option<f64>,
}

/// What the section's law says at a published point. Where a cathode resistor makes the
/// bias, the bias is found with it. `None` without a law, or where the point lacks plate
/// volts, screen volts of a screened tube, or a bias.
pub fn at_point(section: &SectionLaw, point: &OperatingPoint) -> Option<AtPoint> {
    let law = section.law.as_deref()?;
    let setting = section.setting();
    let is_screened = !matches!(law, TubeLaw::Triode(_) | TubeLaw::Diode(_));
    let sample = |cathode_volts: f64| {
        electrode_volts(point, is_screened, setting, cathode_volts)
            .map(|volts| (Sampled::at(law, volts, setting.oscillates), volts))
    };
    let mut cathode_volts = 0.0;
    if let (None, Some(ohms)) = (point.grid_volts, point.cathode_ohms) {
        // What the resistor wants falls as the cathode rises: halve the way in between.
        let (mut low, mut high) = (0.0, point.plate_volts?);
        for _ in 0..60 {
            cathode_volts = 0.5 * (low + high);
            let (sampled, _) = sample(cathode_volts)?;
            if ohms * setting.units_on_cathode * sampled.cathode > cathode_volts {
                low = cathode_volts;
            } else {
                high = cathode_volts;
            }
        }
    }
    let (sampled, volts) = sample(cathode_volts)?;
    let cutoff_volts =
        Cutoff::of(point, is_screened, volts, cathode_volts).map(|cutoff| cutoff.by_law(law));
    Some(AtPoint {
        grid_volts: volts[Electrode::Grid1 as usize],
        cathode_volts,
        plate_amperes: sampled.plate,
        screen_amperes: if is_screened { sampled.screen } else { 0.0 },
        transconductance_siemens: sampled.transconductance,
        plate_resistance_ohms: 1.0 / sampled.plate_conductance,
        cutoff_volts,
    })
}

/// How a point's plate current is known, and whether one of its figures is doubtful.
pub(super) fn trust(point: &OperatingPoint) -> (Standing, bool) {
    let doubtful = DOUBTS
        .iter()
        .any(|(_, column, _)| point.provenance.is_doubtful(column));
    (point.provenance.standing_of("typ_plate_ma"), doubtful)
}
