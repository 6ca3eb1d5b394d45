//! What a meter reads in a faulty set.
//!
//! Units of the readings; ohms. What the meter takes away comes from the resistance that a place shows at the faulty
//! point; where it takes far more than in the healthy set, it is hung there and the network solved with it. A place that
//! cannot be solved with the meter keeps what the straight line tells. Nothing here fails.

use circuit::Node;
use circuit::operating::{Branch, Figure, Network, Operating, Point};

use crate::bands::Values;
use crate::meter::meter_ohms;
use crate::probes::{Probe, Spot};
use crate::reading::What;
use crate::wiring::Wired;

use super::direct::Direct;
use super::expecting::{is_direct, read_direct};
use super::faulty::Bed;

/// Share of what the meter leaves of a place in the healthy set below which it is hung there and the network solved with
/// it: a straight line no longer tells where a cathode that nothing else holds stands.
const TAKES_FAR: f64 = 0.7;

/// Nodes of a meter's leads at direct volts.
fn leads(wired: &Wired, probe: &Probe) -> Option<(Node, Node)> {
    match (probe.what, probe.spot) {
        (What::DcVolts, Spot::ToChassis(a)) => Some((wired.node(a), 0)),
        (What::DcVolts, Spot::Between(a, b)) => Some((wired.node(a), wired.node(b))),
        _ => None,
    }
}

/// One ampere in at one node and out at another, by node.
fn between(nodes: usize, a: Node, b: Node) -> Vec<f64> {
    let mut at = vec![0.0; nodes];
    for (node, amperes) in [(a, 1.0), (b, -1.0)] {
        if node > 0 {
            at[node] = amperes;
        }
    }
    at
}

/// What a meter of so many ohms reads between two nodes; `None` where the network cannot be solved with it.
fn with_meter(
    operating: &Operating,
    figures: &[Figure],
    point: &Point,
    (a, b): (Node, Node),
    ohms: f64,
) -> Option<f64> {
    let mut network: Network = operating.network().clone();
    network.add(Branch::Resistance { a, b });
    let mut figures = figures.to_vec();
    figures.push(Figure::Siemens(1.0 / ohms));
    let operating = Operating::new(&network).ok()?;
    let loaded = operating.solve(&figures, Some(&point.volts)).ok()?;
    Some(loaded.volts.get(a)? - loaded.volts.get(b)?)
}

impl Bed<'_, '_> {
    /// Share of each probe's volts that the meter leaves in the healthy set.
    pub(super) fn meter_shares(&self) -> Vec<f64> {
        let set = self.set;
        let none = || vec![1.0; self.probes.len()];
        let Some(meter) = &self.conditions.meter else {
            return none();
        };
        let Ok(response) = set.direct.operating.response(&set.figures, &set.point) else {
            return none();
        };
        let at = |node: Node| set.point.volts.get(node).copied().unwrap_or(0.0);
        let of = |probe: &Probe| {
            let Some((a, b)) = leads(&set.cycle.wired, probe) else {
                return 1.0;
            };
            let ohms = meter_ohms(meter, at(a) - at(b));
            let currents = between(set.direct.operating.network().nodes, a, b);
            let moved = response.of_currents(&currents);
            ohms / (ohms + (moved[a] - moved[b]).abs())
        };
        self.probes.iter().map(of).collect()
    }

    /// Every probe with the meter at it; `cycle` has what the supply's cycle tells.
    pub(super) fn read(
        &self,
        (direct, wired): (&Direct, &Wired),
        operating: &Operating,
        figures: &[Figure],
        point: &Point,
        cycle: &[Option<f64>],
    ) -> Values {
        let response = self
            .conditions
            .meter
            .as_ref()
            .and_then(|meter| Some((meter, operating.response(figures, point).ok()?)));
        self.probes
            .iter()
            .enumerate()
            .map(|(number, probe)| {
                if !is_direct(self.model, probe) {
                    return cycle.get(number).copied().flatten();
                }
                let own = &figures[..figures.len().min(direct.operating.network().branches.len())];
                let open = read_direct(self.model, wired, direct, own, point, probe)?;
                let leads = leads(wired, probe);
                let (Some((meter, response)), Some((a, b))) = (&response, leads) else {
                    return Some(open);
                };
                let moved = response.of_currents(&between(operating.network().nodes, a, b));
                let seen = (moved[a] - moved[b]).abs();
                let ohms = meter_ohms(meter, open);
                let share = ohms / (ohms + seen);
                let usual = self.shares.get(number).copied().unwrap_or(1.0);
                if share < TAKES_FAR * usual
                    && let Some(read) = with_meter(operating, figures, point, (a, b), ohms)
                {
                    return Some(read);
                }
                Some(open * share)
            })
            .collect()
    }
}
