//! Supply and stages brought to agreement.
//!
//! Volts, amperes, siemens. The line cycle gives each way of a rectifier its mean volts
//! and current; the resistance behind them is learned from two cycles of different load.
//! The direct-current network then gives what each stage draws, and the next cycle takes
//! that as its load, until the rectifiers' currents of both agree within
//! [`AGREEMENT`]. Fails with the solver's evidence, or when they do not agree.

use std::sync::Arc;

use circuit::operating::{Figure, Point};
use circuit::running::Wave;
use circuit::solver::SettledState;
use circuit::thermal::{USUAL_EMISSION_RESERVE, space_charge_share};

use crate::conditions::BenchConditions;
use crate::expect::ExpectError;
use crate::probes::Probe;
use crate::wiring::{Figure as SetFigure, SetModel, StageLoad, Variation};

use super::Usual;
use super::bands;
use super::cycle::{self, Asked, Cycle, Way};
use super::direct::{Direct, Supply, WaySource, as_built};
use super::draws;
use super::near::Begin;
use super::oscillation::{self, Around, Learned};
use super::overload;
use super::running::{self, Running};
use super::screens;
use super::ways::{LEAST_AMPERES, disagreement_of, largest, learn_ohms, name_of_way, sources};

/// How well the currents of both solutions agree at the end, as a share of the largest.
pub const AGREEMENT: f64 = 2e-3;
/// Turns taken at most.
const MOST_TURNS: usize = 8;
/// Turns in which the stages that drive themselves are calculated anew: the supply hardly
/// moves afterwards.
const RUNNING_TURNS: usize = 2;
/// Turns after which less agreement will do.
const PATIENT_TURNS: usize = 5;
/// Share of the maker's supply current below which a faulty supply counts as dead (judgement).
const DEAD_SUPPLY: f64 = 0.01;
/// Disagreement above which no answer is given. At a fifth of the line, where cathodes bring
/// microamperes, some sets stay a little over one percent apart.
const MOST_DISAGREEMENT: f64 = 0.02;
/// Resistance behind a way before it is learned, ohms (judgement: copper and tube).
pub(super) const FIRST_OHMS: f64 = 200.0;

/// A whole set solved.
pub struct WholeSet {
    pub(super) cycle: Cycle,
    /// The network.
    pub direct: Direct,
    /// Its figures.
    pub figures: Vec<Figure>,
    /// Its operating point.
    pub point: Point,
    /// Volts of each junction.
    pub volts: Vec<f64>,
    /// Each way of a rectifier as the network has it.
    pub ways: Vec<Option<WaySource>>,
    /// Supply over that of the anchor.
    pub scale: f64,
    /// How each stage runs.
    pub running: Vec<Running>,
    /// How each group of stages that drive themselves runs, in the order of
    /// [`Usual::oscillators`]; `None` where it is not calculated or stands still.
    pub oscillators: Vec<Option<Arc<Wave>>>,
    /// The same with all that was found of them.
    pub(super) own_signals: Option<oscillation::Refreshed>,
    /// The point without signals.
    pub(super) plain: Point,
    /// What the stages draw, for the cycle.
    pub loads: Vec<StageLoad>,
    /// Cycles solved.
    pub cycles: usize,
}

impl WholeSet {
    /// The supply's side of the network's figures.
    pub fn supply(&self) -> Supply<'_> {
        Supply {
            ways: &self.ways,
            emission: &self.cycle.emission,
            held: &self.cycle.held,
            scale: self.scale,
            holds: &as_built,
        }
    }

    /// Cathode emission of each tube as a share of normal current; `None` unheated.
    pub fn tube_shares(&self) -> Vec<Option<f64>> {
        self.cycle
            .emission
            .iter()
            .map(|emission| {
                emission.map(|emission| space_charge_share(emission, USUAL_EMISSION_RESERVE))
            })
            .collect()
    }

    /// Highest momentary volts to chassis of each junction in the supply's cycle, without sign.
    pub fn junction_peaks(&self) -> &[f64] {
        &self.cycle.peaks
    }

    /// Junctions that nothing ties to the chassis.
    pub fn floating(&self) -> Vec<bool> {
        self.direct.floating(&self.figures)
    }
}

/// The settled cycle of one sample, upon which its network is solved.
struct Sample<'a, 's> {
    model: &'a SetModel<'s>,
    cycle: &'a Cycle,
    variation: &'a Variation,
}

/// The network of a sample at its operating point.
struct Solved {
    direct: Direct,
    figures: Vec<Figure>,
    point: Point,
}

impl Sample<'_, '_> {
    /// Solves the network with each stage as it runs.
    fn solve(
        &self,
        running: &[Running],
        supply: &Supply<'_>,
        near: Option<&Point>,
    ) -> Result<Solved, ExpectError> {
        let wired = &self.cycle.wired;
        let direct = Direct::new(self.model, wired, running)?;
        let figures = direct.figures(self.model, wired, self.variation, supply);
        let start = near.map(|near| &near.volts[..]);
        let point = direct.operating.solve(&figures, start)?;
        Ok(Solved {
            direct,
            figures,
            point,
        })
    }

    fn around<'b>(&'b self, solved: &'b Solved) -> Around<'b> {
        Around {
            wired: &self.cycle.wired,
            direct: &solved.direct,
            figures: &solved.figures,
            point: &solved.point,
            variation: self.variation,
            emission: &self.cycle.emission,
        }
    }
}

/// Learns how a set runs at its own line.
pub(super) fn learn(model: &SetModel<'_>) -> Result<Usual, ExpectError> {
    let conditions = model.makers_conditions();
    let none = Variation::none();
    let mut loads = Vec::new();
    let mut running = running::without_signals(model, &conditions);
    let ohms: Vec<f64> = vec![FIRST_OHMS; model.rectifying().len()];
    let mut near: Option<SettledState> = None;
    let mut oscillators: Vec<Learned> = Vec::new();
    // First the stages at rest, then the driven ones upon a supply that is nearly right.
    for turn in 0..3 {
        let cycle = cycle::solve(
            model,
            &conditions,
            &none,
            &loads,
            Asked::default(),
            near.as_ref(),
        )?;
        let ways = sources(&cycle.ways, &ohms);
        let supply = Supply {
            ways: &ways,
            emission: &cycle.emission,
            held: &cycle.held,
            scale: 1.0,
            holds: &as_built,
        };
        if turn > 0 {
            running = running::anchor(model, &conditions, &cycle, &supply);
        }
        for own in &oscillators {
            own.tell(&mut running);
        }
        let sample = Sample {
            model,
            cycle: &cycle,
            variation: &none,
        };
        let mut solved = sample.solve(&running, &supply, None)?;
        if turn > 0 {
            oscillators = oscillation::learn(model, &sample.around(&solved), &running, oscillators);
            for own in &oscillators {
                own.tell(&mut running);
            }
            solved = sample.solve(&running, &supply, Some(&solved.point))?;
        }
        loads = draws::of(model, &sample.around(&solved));
        near = Some(cycle.near);
    }
    let usual = Usual {
        loads,
        running,
        oscillators,
        ..Usual::default()
    };
    let begin = Begin {
        ohms,
        near,
        healthy: None,
        loads: None,
    };
    let set = agree(model, &conditions, &none, &[], &usual, begin)?;
    let heavy_parts = (0..model.sheet.parts.len())
        .map(|part| bands::acts_in_cycle(model, &set, SetFigure::Ohms(part)))
        .collect();
    let told_by_cycle = set
        .volts
        .iter()
        .zip(&set.cycle.volts)
        .map(|(own, cycle)| (own - cycle).abs() < TOLD_VOLTS + TOLD_SHARE * own.abs())
        .collect();
    Ok(Usual {
        heavy_parts,
        told_by_cycle,
        supply_volts: running::supply_of(model, &set.volts),
        amperes: largest(&set.cycle.ways),
        carried: overload::carried(model, &set.direct, &set.figures, &set.point),
        volts: set.volts,
        loads: set.loads,
        running: set.running,
        oscillators: usual.oscillators,
        answers: bands::Answers::default(),
        fault_answers: oscillation::FaultAnswers::default(),
        because: None,
    })
}

/// Solves a whole set under these conditions.
///
/// # Errors
/// What the cycle or the network cannot solve; [`ExpectError::Apart`] where both do not
/// agree.
pub fn couple(
    model: &SetModel<'_>,
    conditions: &BenchConditions,
    variation: &Variation,
    probes: &[Probe],
) -> Result<WholeSet, ExpectError> {
    let begin = Begin::cold(model);
    agree(model, conditions, variation, probes, model.usual(), begin)
}

pub(super) fn agree(
    model: &SetModel<'_>,
    conditions: &BenchConditions,
    variation: &Variation,
    probes: &[Probe],
    usual: &Usual,
    begin: Begin<'_>,
) -> Result<WholeSet, ExpectError> {
    let Begin {
        mut ohms,
        mut near,
        healthy,
        loads,
    } = begin;
    // What the stages draw comes from their own laws here, and not from a doubt of it.
    let variation = &variation
        .without(|figure| matches!(figure, SetFigure::StageDraw(_) | SetFigure::StageDraws));
    let mut loads = loads.unwrap_or_else(|| healthy.map_or(&usual.loads, |own| &own.loads).clone());
    let mut earlier: Option<Vec<Option<Way>>> = None;
    let mut cycles = 0;
    // A cycle with less load first: two cycles tell the resistance behind each way.
    let lighter: Vec<StageLoad> = loads
        .iter()
        .map(|load| StageLoad {
            by_tube: load
                .by_tube
                .iter()
                .map(|(tube, siemens)| (*tube, 0.8 * siemens))
                .collect(),
            ..*load
        })
        .collect();
    if !lighter.is_empty() && healthy.is_none() {
        let cycle = cycle::solve(
            model,
            conditions,
            variation,
            &lighter,
            Asked::default(),
            near.as_ref(),
        )?;
        cycles += 1;
        earlier = Some(cycle.ways);
        near = Some(cycle.near);
    }
    let mut apart = (f64::INFINITY, None);
    let mut plain_near = healthy.map(|own| own.plain.clone());
    // Highest volts are those of the healthy set: what a fault adds is told by the means.
    let asked = Asked {
        probes,
        peaks: healthy.is_none(),
    };
    let kept = healthy.and_then(|own| own.own_signals.as_ref());
    let mut own_signals = kept.map_or_else(oscillation::Refreshed::default, |own| {
        own.with(model, variation)
    });
    let is_otherwise = own_signals.is_settled()
        && healthy.is_some_and(|own| oscillation::runs_otherwise(model, own, variation));
    // In a supply that a fault has killed microamperes tell nothing; at a low line they are all there is.
    let least = match variation.changes.is_empty() && healthy.is_none() {
        true => LEAST_AMPERES,
        false => LEAST_AMPERES.max(DEAD_SUPPLY * usual.amperes),
    };
    let mut ended_at = None;
    for turn in 0..MOST_TURNS {
        let cycle = cycle::solve(model, conditions, variation, &loads, asked, near.as_ref())?;
        cycles += 1;
        if let Some(earlier) = &earlier {
            learn_ohms(earlier, &cycle.ways, &mut ohms);
        }
        let ways = sources(&cycle.ways, &ohms);
        let mut supply = Supply {
            ways: &ways,
            emission: &cycle.emission,
            held: &cycle.held,
            scale: 1.0,
            holds: &as_built,
        };
        let sample = Sample {
            model,
            cycle: &cycle,
            variation,
        };
        let plain = running::without_signals(model, conditions);
        let plain = sample.solve(&plain, &supply, plain_near.as_ref())?;
        let plain_volts = plain.direct.volts(&plain.point);
        let run_as = |own: &oscillation::Refreshed| {
            let mut running = running::under(
                model,
                conditions,
                &usual.running,
                &plain_volts,
                &cycle.emission,
                &own.stopped,
            );
            own.tell(&mut running);
            // Where a diode by its law alone does not agree with the cycle, its way does.
            if ended_at.is_some_and(|ended| turn > ended + overload::BY_LAW_TURNS) {
                overload::rectify(model, &mut running);
            }
            running
        };
        let mut running = run_as(&own_signals);
        if usual.supply_volts > 0.0 {
            supply.scale = running::supply_of(model, &cycle.volts) / usual.supply_volts;
        }
        let mut solved = sample.solve(&running, &supply, Some(&plain.point))?;
        if turn < RUNNING_TURNS && !usual.oscillators.is_empty() && healthy.is_none() {
            own_signals = oscillation::refresh(
                model,
                &usual.oscillators,
                &sample.around(&solved),
                supply.scale,
                &running,
                &own_signals,
            );
            running = run_as(&own_signals);
            solved = sample.solve(&running, &supply, Some(&solved.point))?;
        }
        let known = screens::Known {
            volts: healthy.map_or(&usual.volts, |own| &own.volts),
            has_run_anew: healthy.is_none() || is_otherwise,
        };
        let mut taken = Vec::new();
        for _ in 0..screens::SCREEN_ROUNDS {
            let volts = solved.direct.volts(&solved.point);
            if !screens::let_screens_hold(model, known, &volts, &mut running, &mut taken) {
                break;
            }
            solved = sample.solve(&running, &supply, Some(&solved.point))?;
        }
        let by = (&solved.direct, &solved.figures[..], &solved.point);
        let collapses = overload::is_overloaded(model, usual, by, supply.scale);
        if collapses {
            own_signals.stopped.extend(overload::ended(model));
            ended_at = Some(turn);
        }
        apart = disagreement_of(
            &solved.direct,
            &solved.figures,
            &solved.point,
            &cycle.ways,
            least,
        );
        let enough = if turn < PATIENT_TURNS {
            AGREEMENT
        } else {
            MOST_DISAGREEMENT
        };
        let agreed = apart.0 < enough && !collapses;
        if !agreed || healthy.is_none() {
            loads = draws::of(model, &sample.around(&solved));
        }
        let Solved {
            direct,
            figures,
            point,
        } = solved;
        let scale = supply.scale;
        if agreed {
            return Ok(WholeSet {
                volts: direct.volts(&point),
                direct,
                figures,
                point,
                ways,
                scale,
                running,
                oscillators: own_signals.waves.clone(),
                plain: plain.point,
                own_signals: healthy.is_none().then_some(own_signals),
                loads,
                cycles,
                cycle,
            });
        }
        earlier = Some(cycle.ways);
        near = Some(cycle.near);
        plain_near = Some(plain.point);
    }
    Err(ExpectError::Apart {
        share: apart.0,
        at: apart
            .1
            .map_or_else(|| "no rectifier".to_string(), |way| name_of_way(model, way)),
    })
}

/// How near the cycle's mean volts come to the network's where the cycle tells a place.
const TOLD_SHARE: f64 = 0.015;
const TOLD_VOLTS: f64 = 0.05;
