//! A set whose stages run otherwise with a fault among them, on the healthy supply.
//!
//! Units of the readings. How the stages run with the fault was learned once ([`super::oscillation::FaultAnswers`]); here they are
//! put into a network of their own with the rectifiers' ways as they were found. A signal that was followed for a few cycles may not
//! have settled: where the network then brings a grid far from where it was found, and
//! less so with the drive of the healthy set, the stages keep that. Gives nothing where the supply's cycle is
//! wanted, or where no network or point is found; the caller then brings supply and stages to agreement.

use circuit::operating::Point;

use crate::wiring::{Change, Figure as SetFigure, SetModel, Variation, Wired};

use super::couple::WholeSet;
use super::direct::{Direct, Supply};
use super::faulty::Bed;
use super::oscillation::Refreshed;
use super::running::{self, Hold};
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
    let by_figure = |figure: SetFigure| matches!(figure, SetFigure::Emission(_));
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
    running: &[running::Running],
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

/// How far the network brings the grid that stands worst from where its signal was found, volts.
fn misses(model: &SetModel<'_>, signals: &Refreshed, own: &Solved) -> f64 {
    let volts = own.direct.volts(&own.point);
    let at = |junction: usize| volts.get(junction).copied().unwrap_or(0.0);
    let each = signals.grids().map(|(number, hold)| {
        let stage = &model.stages.complete[number];
        let Some(grid) = stage.electrodes[1] else {
            return 0.0;
        };
        match hold {
            Hold::Takes { at: found, .. } => (at(grid) - at(stage.cathode) - found).abs(),
            Hold::Volts { .. } => {
                let amperes = own.direct.stage_amperes(&own.figures, &own.point, number);
                match amperes {
                    Some(amperes) if amperes[1] < OUT_OF_GRID => NEVER,
                    _ => 0.0,
                }
            }
            _ => 0.0,
        }
    });
    each.fold(0.0, f64::max)
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
        let with = self.with_signals(&wired, variation, &moved)?;
        let missed = misses(model, &moved, &with);
        let own = match missed > AS_FOUND {
            true => {
                let kept = self.with_signals(&wired, variation, healthy)?;
                match misses(model, healthy, &kept) < missed {
                    true => kept,
                    false => with,
                }
            }
            false => with,
        };
        let amperes = |way: usize| own.direct.way_amperes(&own.figures, &own.point, way);
        let total: f64 = (0..set.ways.len()).filter_map(amperes).sum();
        self.is_near(total).then(|| {
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

    /// The network with the stages that run as these signals let them.
    fn with_signals(
        &self,
        wired: &Wired,
        variation: &Variation,
        own_signals: &Refreshed,
    ) -> Option<Solved> {
        let (model, set): (_, &WholeSet) = (self.model, self.set);
        let supply = set.supply();
        let at = (wired, variation);
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
        let mut own = solved(model, at, &running, &supply, Some(&set.point))?;
        let known = screens::Known {
            volts: &set.volts,
            has_run_anew: true,
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
