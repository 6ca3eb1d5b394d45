//! The ways that a signal takes from stage to stage.
//!
//! Farads and henries where a size counts; junction numbers are those of the sheet's places.
//! Judged by the wiring alone: capacitors, coils and resistors carry a signal on as far as the
//! next place that stands still (common practice of the trade, judgement where said). Nothing
//! here fails.

use std::collections::VecDeque;

use parts::SectionKind;

use super::{Stages, TubeStage};
use crate::sheet::PartValue;
use crate::wiring::{SetModel, coils_on_one_core};

/// From this on a capacitor to the chassis holds a place still for a signal, farads
/// (judgement: bypass capacitors of sync and sweep stages are 0.05 mfd and more).
const HOLDS_FARADS: f64 = 0.045e-6;
/// From this on it holds even a plate: a supply line with a plate tied to it, such as the damper's, farads (judgement).
const HOLDS_PLATE_FARADS: f64 = 2e-6;
/// What holds a place at radio frequency, farads (common practice: bypasses of r.f. and i.f. stages are
/// 470 mmf and more).
const RADIO_FARADS: f64 = 390e-12;
/// Below this a coil works at radio frequency, henries (common practice: tuned circuits of
/// i.f. and r.f. stages are microhenries, oscillators of the sweep millihenries).
const RADIO_HENRIES: f64 = 1e-4;
/// From this on a capacitor carries a sweep signal into a grid, farads (judgement:
/// couplings between sweep stages are 220 mmf to 0.1 mfd).
const CARRIES_FARADS: f64 = 150e-12;
/// Below this a capacitor is a stray or a trimmer, farads.
const STRAY_FARADS: f64 = 4e-12;
/// Resistances above this carry no signal that counts, ohms.
const CARRIES_OHMS: f64 = 1.2e6;

/// A way for a signal between two junctions.
#[derive(Clone, Copy)]
struct Way {
    ends: [usize; 2],
    kind: WayKind,
    /// The first coil on the same core, for a coil of a transformer.
    core: Option<usize>,
}

#[derive(Clone, Copy, PartialEq)]
enum WayKind {
    Capacitor(f64),
    /// Whether it is so small that it works at radio frequency.
    Coil(bool),
    Resistor,
    /// A fuse, plug or switch.
    Through,
}

/// At which frequencies a stage drives itself.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Own {
    /// At those of the sweep: it makes the bias of what it feeds.
    Sweep,
    /// At radio frequency, which the couplings of sound and sweep do not carry on.
    Radio,
}

pub(super) struct Signals {
    ways: Vec<Way>,
    pub(super) held: Vec<bool>,
    /// The same at radio frequency, where smaller capacitors hold.
    held_at_radio: Vec<bool>,
    /// Plates of dampers: the line that feeds the sweep, which carries no stage's signal on.
    feeds_sweep: Vec<bool>,
}

/// What a capacitor of this size or more ties to a held place is held; and so on.
fn held_by(ways: &[Way], plates: &[usize], mut held: Vec<bool>, least: f64) -> Vec<bool> {
    let mut again = true;
    while again {
        again = false;
        for way in ways {
            let holds = match way.kind {
                WayKind::Capacitor(farads) => farads >= least,
                WayKind::Through => true,
                WayKind::Coil(_) | WayKind::Resistor => false,
            };
            let [a, b] = way.ends;
            if holds && held[a] != held[b] {
                let other = if held[a] { b } else { a };
                let is_line =
                    matches!(way.kind, WayKind::Capacitor(farads) if farads >= HOLDS_PLATE_FARADS);
                if is_line || !plates.contains(&other) {
                    held[other] = true;
                    again = true;
                }
            }
        }
    }
    held
}

impl Signals {
    pub(super) fn of(model: &SetModel<'_>, stages: &Stages) -> Signals {
        let junctions = model.places.junctions().len();
        let mut held = vec![false; junctions];
        if let Some(chassis) = model.chassis {
            held[chassis] = true;
        }
        for place in [crate::sheet::Place::LineA, crate::sheet::Place::LineB] {
            if let Some(junction) = model.junction(&place) {
                held[junction] = true;
            }
        }
        let mut ways = Vec::new();
        for (index, part) in model.sheet.parts.iter().enumerate() {
            let [Some(a), Some(b), third] = model.part_ends[index] else {
                continue;
            };
            let core = coils_on_one_core(model, index);
            let core = core.first().copied().filter(|_| core.len() > 1);
            let mut add = |a: usize, b: usize, kind: WayKind| {
                if a != b {
                    ways.push(Way {
                        ends: [a, b],
                        kind,
                        core,
                    });
                }
            };
            let ends = [(Some(a), third), (third, Some(b))];
            let pairs: Vec<(usize, usize)> = match third {
                Some(_) => ends
                    .into_iter()
                    .filter_map(|(a, b)| Some((a?, b?)))
                    .collect(),
                None => vec![(a, b)],
            };
            match &part.value {
                PartValue::Capacitor { farads, .. } => {
                    add(a, b, WayKind::Capacitor(*farads));
                }
                PartValue::Fuse { .. } | PartValue::Plug { .. } | PartValue::Switch { .. } => {
                    add(a, b, WayKind::Through);
                }
                PartValue::Coil { henries, .. } => {
                    let radio = henries.is_some_and(|henries| henries < RADIO_HENRIES);
                    for (a, b) in pairs {
                        add(a, b, WayKind::Coil(radio));
                    }
                }
                PartValue::Resistor { ohms, .. } | PartValue::Control { ohms, .. }
                    if *ohms <= CARRIES_OHMS =>
                {
                    for (a, b) in pairs {
                        add(a, b, WayKind::Resistor);
                    }
                }
                _ => {}
            }
        }
        // A plate swings, whatever hangs on it but the capacitor of a supply line.
        let plates: Vec<usize> = stages
            .complete
            .iter()
            .filter_map(|stage| stage.electrodes[0])
            .collect();
        let held_at_radio = held_by(&ways, &plates, held.clone(), RADIO_FARADS);
        let mut feeds_sweep = vec![false; junctions];
        for stage in stages.complete.iter().filter(|stage| stage.is_damper()) {
            if let Some(plate) = stage.electrodes[0] {
                feeds_sweep[plate] = true;
            }
        }
        Signals {
            feeds_sweep,
            held: held_by(&ways, &plates, held, HOLDS_FARADS),
            held_at_radio,
            ways,
        }
    }

    /// Walks from a junction through ways that pass, never through a held place; gives the
    /// junctions reached with whether a coil and a capacitor lay between.
    fn walk(&self, from: usize, passes: impl Fn(&Way) -> bool) -> Vec<Option<(bool, bool)>> {
        self.walk_among(&self.held, from, passes)
    }

    /// The same where other places are held.
    fn walk_among(
        &self,
        held: &[bool],
        from: usize,
        passes: impl Fn(&Way) -> bool,
    ) -> Vec<Option<(bool, bool)>> {
        let mut reached = vec![None; held.len()];
        if held[from] {
            return reached;
        }
        reached[from] = Some((false, false));
        let mut queue = VecDeque::from([from]);
        while let Some(here) = queue.pop_front() {
            let (coil, capacitor) = reached[here].unwrap_or((false, false));
            for way in self.ways.iter().filter(|way| passes(way)) {
                let next = match way.ends {
                    [a, b] if a == here => b,
                    [a, b] if b == here => a,
                    _ => continue,
                };
                if held[next] || reached[next].is_some() {
                    continue;
                }
                reached[next] = Some((
                    coil || matches!(way.kind, WayKind::Coil(_)),
                    capacitor || matches!(way.kind, WayKind::Capacitor(_)),
                ));
                queue.push_back(next);
            }
        }
        reached
    }

    /// Whether a grid meets its own plate, or its own cathode, through coils and capacitors.
    pub(super) fn oscillates_alone(&self, stage: &TubeStage) -> Option<Own> {
        if stage.kind.is_diode() || stage.kind == SectionKind::GatedBeam {
            return None;
        }
        let grid = stage.electrodes[1]?;
        // A detector with its quadrature coil at grid 3 keeps that coil swinging by itself
        // (locked oscillator, common practice).
        let third = stage.electrodes[3].filter(|third| *third != stage.cathode);
        if stage.kind == SectionKind::Pentode
            && third.is_some_and(|third| {
                let on_coil =
                    |way: &&Way| matches!(way.kind, WayKind::Coil(_)) && way.ends.contains(&third);
                !self.held[third] && self.ways.iter().any(|way| on_coil(&way))
            })
        {
            return Some(Own::Radio);
        }
        let oscillates = |at_radio: bool| {
            let (held, holds) = match at_radio {
                true => (&self.held_at_radio, RADIO_FARADS),
                false => (&self.held, HOLDS_FARADS),
            };
            let tuned = |way: &Way| match way.kind {
                WayKind::Capacitor(farads) => (STRAY_FARADS..holds).contains(&farads),
                WayKind::Coil(radio) => radio == at_radio,
                WayKind::Resistor | WayKind::Through => false,
            };
            let reached = self.walk_among(held, grid, tuned);
            let meets = |junction: usize| matches!(reached[junction], Some((true, true)));
            // Windings of one transformer meet at a tap that may be held; they count as joined.
            let plate = stage.electrodes[0].is_some_and(|plate| {
                let on_plate = || self.walk_among(held, plate, tuned);
                meets(plate)
                    || self.tapped(&reached, plate)
                    || self.share_a_core(&reached, &on_plate(), tuned)
            });
            let cathode = !held[stage.cathode] && matches!(reached[stage.cathode], Some((true, _)));
            let screen =
                stage.kind == SectionKind::Pentagrid && stage.electrodes[2].is_some_and(meets);
            plate || cathode || screen
        };
        match oscillates(false) {
            true => Some(Own::Sweep),
            false => oscillates(true).then_some(Own::Radio),
        }
    }

    /// Whether coils of one transformer lie at both, each of them on a way that passes.
    fn share_a_core(
        &self,
        grid: &[Option<(bool, bool)>],
        plate: &[Option<(bool, bool)>],
        passes: impl Fn(&Way) -> bool,
    ) -> bool {
        let cores = |reached: &[Option<(bool, bool)>]| -> Vec<usize> {
            let at = |way: &&Way| way.ends.iter().any(|end| reached[*end].is_some());
            let ways = self.ways.iter().filter(|way| passes(way)).filter(at);
            ways.filter_map(|way| way.core).collect()
        };
        let of_plate = cores(plate);
        cores(grid).iter().any(|core| of_plate.contains(core))
    }

    /// Whether a coil that the grid reaches and one at the plate meet at one tap.
    fn tapped(&self, reached: &[Option<(bool, bool)>], plate: usize) -> bool {
        let at_plate = self.walk(plate, |way| matches!(way.kind, WayKind::Coil(_)));
        let mut taps_of_grid = Vec::new();
        let mut taps_of_plate = Vec::new();
        for way in self
            .ways
            .iter()
            .filter(|way| matches!(way.kind, WayKind::Coil(_)))
        {
            for (here, tap) in [(way.ends[0], way.ends[1]), (way.ends[1], way.ends[0])] {
                // Not the chassis or a line that many coils end on: a tap of few ends.
                let few = self
                    .ways
                    .iter()
                    .filter(|other| other.ends.contains(&tap))
                    .count()
                    <= 5;
                if !self.held[tap] || !few {
                    continue;
                }
                if matches!(reached[here], Some((_, true))) {
                    taps_of_grid.push(tap);
                }
                if at_plate[here].is_some() {
                    taps_of_plate.push(tap);
                }
            }
        }
        taps_of_grid.iter().any(|tap| taps_of_plate.contains(tap))
    }

    /// Whether two stages hold one another up: each plate reaches the other's grid, or one
    /// does and both share an unheld cathode.
    pub(super) fn regenerate(&self, one: &TubeStage, other: &TubeStage) -> bool {
        if one.kind.is_diode() || other.kind.is_diode() || one.is_beam || other.is_beam {
            return false;
        }
        let reaches = |from: &TubeStage, to: &TubeStage| {
            let (Some(plate), Some(grid)) = (from.electrodes[0], to.electrodes[1]) else {
                return false;
            };
            let reached = self.walk(plate, |way| match way.kind {
                WayKind::Capacitor(farads) => farads >= 20e-12,
                WayKind::Coil(_) | WayKind::Resistor | WayKind::Through => true,
            });
            !self.held[grid] && matches!(reached[grid], Some((_, true)))
        };
        let shared = one.cathode == other.cathode && !self.held[one.cathode];
        let (forth, back) = (reaches(one, other), reaches(other, one));
        (forth && back && self.separate(one, other)) || (shared && (forth || back))
    }

    /// Two stages one after the other pass a signal on; only where the plates are not
    /// simply joined is the way back a way of its own.
    fn separate(&self, one: &TubeStage, other: &TubeStage) -> bool {
        let (Some(one_grid), Some(other_grid)) = (one.electrodes[1], other.electrodes[1]) else {
            return false;
        };
        // If the two grids meet without either plate between, one path was walked twice.
        let plates = [one.electrodes[0], other.electrodes[0]];
        let reached = self.walk(one_grid, |way| {
            !way.ends.iter().any(|end| plates.contains(&Some(*end)))
        });
        reached[other_grid].is_none()
    }

    /// Whether the plate of one stage drives the grid of another through a coupling.
    pub(super) fn feeds(&self, from: &TubeStage, to: &TubeStage) -> bool {
        let (Some(plate), Some(grid)) = (from.electrodes[0], to.electrodes[1]) else {
            return false;
        };
        if self.held[grid] {
            return false;
        }
        let passes = |way: &Way| {
            !way.ends.iter().any(|&end| self.feeds_sweep[end])
                && match way.kind {
                    WayKind::Capacitor(farads) => farads >= CARRIES_FARADS,
                    WayKind::Coil(_) | WayKind::Resistor | WayKind::Through => true,
                }
        };
        matches!(self.walk(plate, passes)[grid], Some((_, true)))
    }

    /// Whether the sweep's pulses reach a grid through a coupling.
    pub(super) fn pulses_reach(&self, grid: usize, pulsed: &[bool]) -> bool {
        if self.held[grid] {
            return false;
        }
        let reached = self.walk(grid, |way| match way.kind {
            WayKind::Capacitor(farads) => farads >= CARRIES_FARADS,
            WayKind::Coil(_) => false,
            WayKind::Resistor | WayKind::Through => true,
        });
        reached
            .iter()
            .zip(pulsed)
            .any(|(reached, pulsed)| *pulsed && matches!(reached, Some((_, true))))
    }
}
