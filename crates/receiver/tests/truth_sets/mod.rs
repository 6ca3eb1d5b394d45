//! Healthy sets drawn at random, with laws of their own.
//!
//! Volts, amperes, ohms, seconds. Spreads are those that the prediction states
//! ([`receiver::causes`]); the laws are those of [`crate::other_laws`], with ways of the
//! heat and heat capacities of the wire drawn for each set (on the whole a third more of
//! each than the prediction takes).
#![allow(dead_code)]

use circuit::ohm_network::OhmNetwork;
use circuit::resting::OhmMeter;
use circuit::solver::{GoOn, SettledState};
use circuit::thermal::HeaterShares;
use circuit::{BodyRef, Element, Solver, SolverOptions, Start};
use rand_pcg::Pcg64;
use receiver::causes::Cause;
use receiver::conditions::BenchConditions;
use receiver::probes::Probe;
use receiver::wiring::{Figure, SetModel, Variation, Wired};

use crate::other_laws::{
    OWN_AMPERES, OWN_SECONDS, bell, between, departures, heaters_together, other_heaters,
    other_rectifiers, reserve,
};

/// One drawn set, as wired.
pub struct DrawnSet {
    pub wired: Wired,
}

/// Draws a healthy set of this sheet from the causes, on the line.
pub fn draw(
    model: &SetModel<'_>,
    conditions: &BenchConditions,
    causes: &[Cause],
    random: &mut Pcg64,
) -> DrawnSet {
    draw_wired(model, causes, random, |variation| {
        model
            .wire(conditions, variation)
            .expect("the conditions fit")
    })
}

/// The same with the plug out.
pub fn draw_unplugged(model: &SetModel<'_>, causes: &[Cause], random: &mut Pcg64) -> DrawnSet {
    draw_wired(model, causes, random, |variation| {
        model
            .wire_unplugged(&BenchConditions::default(), variation)
            .expect("the conditions fit")
    })
}

fn draw_wired(
    model: &SetModel<'_>,
    causes: &[Cause],
    random: &mut Pcg64,
    wire: impl FnOnce(&Variation) -> Wired,
) -> DrawnSet {
    let variation = departures(causes, random, |figure| {
        matches!(figure, Figure::HeatWays | Figure::LoadReserve)
    });
    let mut wired = wire(&variation);
    other_rectifiers(&mut wired, POWER);
    let mut followers: Vec<BodyRef> = Vec::new();
    for element in &mut wired.circuit.elements {
        if let Element::Load {
            reserve: own,
            warmed_by,
            ..
        } = element
        {
            *own = reserve(random);
            followers.extend(*warmed_by);
        }
    }
    let shares = HeaterShares {
        contact: between(random, 0.3, 0.55),
        support: between(random, 0.18, 0.38),
        filament_end: between(random, 0.1, 0.2),
        wire_capacity: between(random, 0.14, 0.28),
    };
    let together: Vec<_> = model
        .heater_places()
        .iter()
        .map(|_| heaters_together(random))
        .collect();
    let warm_up = variation.factor(Figure::WarmUp);
    other_heaters(model, &mut wired, shares, warm_up, &together, |_, body| {
        // A load stands for some four tubes: what is each tube's own averages out.
        let own = if followers.contains(&body) { 0.5 } else { 1.0 };
        (
            bell(random, OWN_AMPERES * own),
            bell(random, OWN_SECONDS * own),
        )
    });
    DrawnSet { wired }
}

/// Power of the tube rectifiers' law.
const POWER: f64 = 1.4;

impl DrawnSet {
    /// Cold ohms from every junction to the chassis, the + lead at the junction.
    pub fn ohms(&self, meter: OhmMeter) -> Vec<f64> {
        let network = OhmNetwork::new(&self.wired.circuit, 298.0).expect("a resistive network");
        self.wired
            .nodes
            .iter()
            .map(|&node| network.ohms(node, 0, meter).expect("decided"))
            .collect()
    }

    /// All probes of the set settled, or at each moment of its warm-up.
    pub fn read(
        &self,
        probes: &[Probe],
        moments: &[f64],
        near: Option<&SettledState>,
    ) -> Vec<Vec<Option<f64>>> {
        let solver = Solver::new(&self.wired.circuit, SolverOptions::default())
            .expect("a circuit of sound figures");
        if moments.is_empty() {
            let start = near.map_or(Start::Cold, Start::Near);
            let settled = solver.settled(start).expect("a healthy set settles");
            let groups = &settled.at.state.groups;
            return vec![
                probes
                    .iter()
                    .map(|probe| probe.read(&self.wired, &settled.record, groups))
                    .collect(),
            ];
        }
        let mut rows = Vec::new();
        solver
            .warm_up(moments, &mut |moment| {
                rows.push(
                    probes
                        .iter()
                        .map(|probe| probe.read(&self.wired, &moment.record, &moment.state.groups))
                        .collect(),
                );
                GoOn::Yes
            })
            .expect("a healthy set warms up");
        rows
    }
}
