//! Readings of a whole set: each from the solution that knows it best.
//!
//! Units as each reading says. Mean volts and currents come from the direct-current
//! network, alternating ones, peaks, heaters and line from the supply's cycle; what a meter
//! takes away comes from [`super::metered`]. Fails as [`fn@super::couple`] does.

use circuit::operating::{Figure, Point};
use quantity::Band;

use crate::bands::Values;
use crate::causes::Cause;
use crate::conditions::BenchConditions;
use crate::expect::ExpectError;
use crate::probes::{Probe, Spot, StageCurrent};
use crate::reading::What;
use crate::sheet::PartValue;
use crate::wiring::{SetModel, Variation, Wired};

use super::bands::{Drawn, Narrowing, draw};
use super::couple::{WholeSet, couple};
use super::direct::Direct;
use super::metered::Metered;

/// The readings of a whole set.
pub struct WholeReadings {
    /// The solved set.
    pub set: WholeSet,
    /// What the meter shows at each probe; `None` where nothing is read.
    expected: Vec<Option<f64>>,
    /// The drawn sets, where bands are wanted.
    drawn: Option<Drawn>,
    /// Sets solved.
    pub solved_states: usize,
    /// Draws that could not be solved.
    pub lost: usize,
    /// Causes whose ends could not be solved.
    pub unsolved: Vec<String>,
}

/// What is wanted beside the expected readings.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Wanted {
    /// Nothing.
    Expected,
    /// Drawn sets.
    Draws,
    /// Drawn sets, and what each cause has in their spread.
    Bands,
}

/// Whether the direct-current network gives this reading.
pub(super) fn is_direct(model: &SetModel<'_>, probe: &Probe) -> bool {
    match probe.spot {
        Spot::ToChassis(_) | Spot::Between(..) => probe.what == What::DcVolts,
        Spot::Stage(..) => true,
        Spot::Part(part) => {
            let carries_direct = matches!(
                model.sheet.parts[part].value,
                PartValue::Resistor { .. }
                    | PartValue::Control { .. }
                    | PartValue::Coil { .. }
                    | PartValue::Fuse { .. }
                    | PartValue::Plug { .. }
                    | PartValue::Switch { .. }
                    | PartValue::Load { .. }
                    | PartValue::Crystal { .. }
                    | PartValue::Neon { .. }
                    | PartValue::Vdr { .. }
            );
            let alternates = model.part_ends[part]
                .iter()
                .flatten()
                .any(|&end| model.alternates(end) && Some(end) != model.chassis_junction());
            carries_direct
                && !alternates
                && matches!(probe.what, What::PartMilliamps | What::PartWatts)
        }
        _ => false,
    }
}

/// The reading of a probe in one solution of the network.
pub(super) fn read_direct(
    model: &SetModel<'_>,
    wired: &Wired,
    direct: &Direct,
    figures: &[Figure],
    point: &Point,
    probe: &Probe,
) -> Option<f64> {
    let volts = |junction: usize| {
        direct
            .nodes
            .get(junction)
            .and_then(|&node| point.volts.get(node))
            .copied()
            .unwrap_or(0.0)
    };
    match probe.spot {
        Spot::ToChassis(a) => Some(volts(a)),
        Spot::Between(a, b) => Some(volts(a) - volts(b)),
        Spot::Stage(stage, which) => {
            let amperes = direct.stage_amperes(figures, point, stage)?;
            Some(
                1e3 * match which {
                    StageCurrent::Plate => amperes[0],
                    StageCurrent::Screen => amperes[2],
                    StageCurrent::Cathode => amperes.iter().sum(),
                },
            )
        }
        Spot::Part(part) => {
            let branches: Vec<usize> = match direct.branch_of_small(part) {
                Some(branch) => vec![branch],
                None => wired
                    .parts
                    .get(part)?
                    .iter()
                    .filter_map(|&element| direct.branch_of_element(element))
                    .collect(),
            };
            let amperes = |branch: usize| direct.operating.branch_amperes(figures, point, branch);
            match probe.what {
                What::PartWatts => {
                    let mut sum = 0.0;
                    for &branch in &branches {
                        let network = direct.operating.network();
                        let nodes = network.branches.get(branch)?.nodes();
                        let across =
                            point.volts.get(*nodes.first()?)? - point.volts.get(*nodes.get(1)?)?;
                        sum += across * amperes(branch).ok()?;
                    }
                    (!branches.is_empty()).then_some(sum)
                }
                _ => Some(1e3 * amperes(*branches.first()?).ok()?),
            }
        }
        _ => {
            debug_assert!(!is_direct(model, probe));
            None
        }
    }
}

/// Solves a whole set and reads all probes; sets are drawn by these causes where wanted.
///
/// # Errors
/// Those of [`fn@couple`].
pub fn whole_readings(
    model: &SetModel<'_>,
    conditions: &BenchConditions,
    probes: &[Probe],
    causes: &[Cause],
    wanted: Wanted,
) -> Result<WholeReadings, ExpectError> {
    let set = couple(model, conditions, &Variation::none(), probes)?;
    let meter = Metered::new(conditions, &set, probes, open_readings(model, &set, probes));
    let expected = read_by(&meter);
    let drawn = (wanted != Wanted::Expected).then(|| {
        let with_shares = wanted == Wanted::Bands;
        draw(model, conditions, &set, probes, causes, &meter, with_shares)
    });
    let (cycles, lost, unsolved) = match &drawn {
        Some(drawn) => (drawn.cycles, drawn.lost, drawn.unsolved.clone()),
        None => (0, 0, Vec::new()),
    };
    Ok(WholeReadings {
        solved_states: set.cycles + cycles,
        expected,
        drawn,
        lost,
        unsolved,
        set,
    })
}

/// What the probes read in a set whose figures are these, without bands.
///
/// # Errors
/// Those of [`fn@couple`].
pub fn read_variation(
    model: &SetModel<'_>,
    conditions: &BenchConditions,
    variation: &Variation,
    probes: &[Probe],
) -> Result<Values, ExpectError> {
    let set = couple(model, conditions, variation, probes)?;
    let open = open_readings(model, &set, probes);
    Ok(read_by(&Metered::new(conditions, &set, probes, open)))
}

/// Each probe without a meter, from the solution that knows it best.
fn open_readings(model: &SetModel<'_>, set: &WholeSet, probes: &[Probe]) -> Values {
    let of = |(number, probe): (usize, &Probe)| {
        if is_direct(model, probe) {
            let wired = &set.cycle.wired;
            read_direct(model, wired, &set.direct, &set.figures, &set.point, probe)
        } else {
            set.cycle.values.get(number).copied().flatten()
        }
    };
    probes.iter().enumerate().map(of).collect()
}

/// Each probe as the meter shows it.
fn read_by(meter: &Metered) -> Values {
    let all = meter.open().iter().zip(meter.shares());
    all.map(|(value, share)| value.map(|value| value * share))
        .collect()
}

impl WholeReadings {
    /// Numbers of the drawn sets that were solved, in the order of [`Self::drawn`].
    pub fn kept(&self) -> &[usize] {
        self.drawn.as_ref().map_or(&[], |drawn| &drawn.kept)
    }

    /// What a probe reads in every drawn set.
    pub fn drawn(&self, probe: usize) -> Option<&[f64]> {
        self.drawn.as_ref()?.column(probe)
    }

    /// The band of each probe, narrowed by what is known; without draws each is its expected
    /// value.
    pub fn bands(&self, known: &[Narrowing]) -> Vec<Option<Band>> {
        match &self.drawn {
            Some(drawn) => drawn.bands(&self.expected, known),
            None => self
                .expected
                .iter()
                .map(|value| Band::exactly((*value)?).ok())
                .collect(),
        }
    }
}
