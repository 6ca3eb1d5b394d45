//! A set whose stages run otherwise with a fault among them, on the healthy supply.
//!
//! Units of the readings. How the stages run with the fault was learned once ([`super::oscillation::FaultAnswers`]); here they are
//! put into a network of their own with the rectifiers' ways as they were found. A signal that was followed for a few cycles may not
//! have settled: where the network then brings a grid far from where it was found, and
//! less so with the drive of the healthy set, the stages keep that; where both bring it far below, the stage is told without a signal. Gives nothing where the supply's cycle is
//! wanted, or where no network or point is found; the caller then brings supply and stages to agreement.

use circuit::operating::Point;

use crate::wiring::{Change, Figure as SetFigure, SetModel, StageLoad, Variation, Wired};

use super::couple::WholeSet;
use super::direct::{Direct, Supply};
use super::draws;
use super::faulty::Bed;
use super::oscillation::{Around, Refreshed};
use super::overload;
use super::running::{self, Hold, Running};
use super::screens::{self, SCREEN_ROUNDS};
use crate::bands::Values;

/// Whether a fault changes what the heaters give.
fn heats(variation: &Variation) -> bool {
    let by_change = |change: &Change| {
        matches!(
            change,
            Change::HeaterOpen(_) | Change::HeaterToJunction { .. } | Change::AcrossHeaters { .. }
        )
    };
    let by_figure = |figure: SetFigure| matches!(figure, SetFigure::WornRectifier(_));
    variation.changes.iter().any(by_change) || variation.figures().any(by_figure)
}

/// A network with the stages as they run.
struct Solved {
    direct: Direct,
    figures: Vec<circuit::operating::Figure>,
    point: Point,
}

fn solved(
    model: &SetModel<'_>,
    (wired, variation): (&Wired, &Variation),
    running: &[Running],
    supply: &Supply<'_>,
    near: Option<&Point>,
) -> Option<Solved> {
    let direct = Direct::new(model, wired, running).ok()?;
    let figures = direct.figures(model, wired, variation, supply);
    let near = near.map(|near| &near.volts[..]);
    let point = direct.operating.solve(&figures, near).ok()?;
    Some(Solved {
        direct,
        figures,
        point,
    })
}

/// Volts by which a grid may stand elsewhere than its signal was found with (judgement: what a stage's currents hardly feel).
const AS_FOUND: f64 = 3.0;
/// Amperes out of a grid that holds itself, which takes current, from which on the circuit cannot be what was followed.
const OUT_OF_GRID: f64 = -1e-7;
/// Volts that such a grid counts as.
const NEVER: f64 = 1e3;

/// Volts by which a grid stands below where its signal was found when the stage is told as it stands without one (judgement): a
/// cathode that has risen so far cuts it off.
const NO_SIGNAL: f64 = 12.0;

fn worst(misses: &[(usize, f64)]) -> f64 {
    misses.iter().map(|own| own.1.abs()).fold(0.0, f64::max)
}

/// By stage: how far the network brings its grid above where its signal was found, volts.
fn misses(model: &SetModel<'_>, signals: &Refreshed, own: &Solved) -> Vec<(usize, f64)> {
    let volts = own.direct.volts(&own.point);
    let at = |junction: usize| volts.get(junction).copied().unwrap_or(0.0);
    let of = |number: usize, hold: Hold| -> Option<f64> {
        let stage = model.stages.complete.get(number)?;
        let grid = stage.electrodes[1]?;
        match hold {
            Hold::Takes { at: found, .. } => Some(at(grid) - at(stage.cathode) - found),
            Hold::Volts { .. } => {
                let amperes = own.direct.stage_amperes(&own.figures, &own.point, number)?;
                Some(if amperes[1] < OUT_OF_GRID { NEVER } else { 0.0 })
            }
            _ => None,
        }
    };
    let each = signals.grids();
    each.filter_map(|(number, hold)| Some((number, of(number, hold)?)))
        .collect()
}

impl Bed<'_, '_> {
    /// What the probes read with this fault among stages that drive themselves.
    pub(super) fn read_otherwise(&self, variation: &Variation) -> Option<Values> {
        let (model, set): (_, &WholeSet) = (self.model, self.set);
        if heats(variation) || variation.figures().any(|figure| self.wants_cycle(figure)) {
            return None;
        }
        let wired = model
            .wire_with_loads(self.conditions, variation, &set.loads)
            .ok()?;
        let healthy = set.own_signals.as_ref()?;
        let moved = healthy.with(model, variation);
        let at = (&wired, variation);
        let with = self.with_signals(at, (&moved, moved.is_settled()), &[])?;
        let mut own = with;
        let mut off = misses(model, &moved, &own);
        if worst(&off) > AS_FOUND {
            let kept = self.with_signals(at, (healthy, false), &[])?;
            let kept_off = misses(model, healthy, &kept);
            if worst(&kept_off) < worst(&off) {
                (own, off) = (kept, kept_off);
            }
        }
        // Where neither fits, the stage as it stands without a signal is nearest: an open cathode cuts it off.
        let rest: Vec<usize> = off
            .iter()
            .filter(|(_, off)| *off < -NO_SIGNAL)
            .map(|(stage, _)| *stage)
            .collect();
        if !rest.is_empty() {
            own = self.with_signals(at, (healthy, false), &rest)?;
        }
        let amperes = |way: usize| own.direct.way_amperes(&own.figures, &own.point, way);
        let total: f64 = (0..set.ways.len()).filter_map(amperes).sum();
        let is_told =
            self.is_near(total) && !self.overloads((&own.direct, &own.figures, &own.point));
        is_told.then(|| {
            let (direct, figures) = (&own.direct, &own.figures);
            let by = (direct, &wired);
            self.read(
                by,
                &direct.operating,
                figures,
                &own.point,
                &set.cycle.values,
            )
        })
    }

    /// What the stages draw on the healthy supply with this fault, those that it leaves without supply at rest, and without a sweep
    /// where it loads the boosted line too much.
    pub(super) fn drawn_as_it_runs(
        &self,
        variation: &Variation,
        is_overloaded: bool,
    ) -> Option<Vec<StageLoad>> {
        let (model, set): (_, &WholeSet) = (self.model, self.set);
        let wired = model
            .wire_with_loads(self.conditions, variation, &set.loads)
            .ok()?;
        let mut signals = set.own_signals.as_ref()?.with(model, variation);
        if is_overloaded {
            signals.stopped.extend(overload::ended(model));
        }
        let has_run_anew = signals.is_settled();
        let own = self.with_signals((&wired, variation), (&signals, has_run_anew), &[])?;
        let around = Around {
            wired: &wired,
            direct: &own.direct,
            figures: &own.figures,
            point: &own.point,
            variation,
            emission: &set.cycle.emission,
        };
        Some(draws::of(model, &around))
    }

    /// The network with the stages that run as these signals let them, which have or have not run anew; those of `rest` without one.
    fn with_signals(
        &self,
        at: (&Wired, &Variation),
        (own_signals, has_run_anew): (&Refreshed, bool),
        rest: &[usize],
    ) -> Option<Solved> {
        let (model, set): (_, &WholeSet) = (self.model, self.set);
        let supply = set.supply();
        let plain = running::without_signals(model, self.conditions);
        let plain = solved(model, at, &plain, &supply, Some(&set.plain))?;
        let mut running = running::under(
            model,
            self.conditions,
            &model.usual().running,
            &plain.direct.volts(&plain.point),
            &set.cycle.emission,
            &own_signals.stopped,
        );
        own_signals.tell(&mut running);
        for stage in rest {
            running[*stage] = Running::AtRest;
        }
        let mut own = solved(model, at, &running, &supply, Some(&set.point))?;
        let known = screens::Known {
            volts: &set.volts,
            has_run_anew,
        };
        let mut taken = Vec::new();
        for _ in 0..SCREEN_ROUNDS {
            let volts = own.direct.volts(&own.point);
            if !screens::let_screens_hold(model, known, &volts, &mut running, &mut taken) {
                break;
            }
            own = solved(model, at, &running, &supply, Some(&own.point))?;
        }
        Some(own)
    }
}
