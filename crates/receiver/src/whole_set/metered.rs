//! The meter in the network: what it takes away from the open volts.
//!
//! Volts, ohms. A meter of finite resistance is hung from lead to lead at each place in turn
//! and the network is solved again, since a grid that only its own electrons hold gives way
//! otherwise than a divider does. Among drawn sets the same is done for the first
//! [`LOADED_DRAWS`] of them where the meter takes a share that counts; the straight line
//! through these tells the rest. A place that cannot be solved with the meter keeps its open
//! volts. Nothing here fails.

use circuit::operating::{Branch, Figure, Operating, Point};

use crate::conditions::BenchConditions;
use crate::meter::meter_ohms;
use crate::probes::{Probe, Spot};
use crate::reading::What;

use super::couple::WholeSet;

/// Volts below which a meter's share of them means nothing.
const LEAST_READ: f64 = 1e-4;
/// A share of the open volts from which on the meter is not felt.
const NOT_FELT: f64 = 0.97;
/// Drawn sets that are solved with the meter at a place.
const LOADED_DRAWS: usize = 48;

/// A meter at one probe.
#[derive(Debug, Clone, Copy)]
struct Hung {
    branch: usize,
    leads: (usize, usize),
    ohms: f64,
}

/// The network with a meter ready at every place.
pub(super) struct Metered {
    network: Option<Operating>,
    branches: usize,
    hung: Vec<Option<Hung>>,
    open: Vec<Option<f64>>,
    shares: Vec<f64>,
}

impl Metered {
    /// Hangs the meter of the conditions at every probe in turn. `open` are the open readings.
    pub(super) fn new(
        conditions: &BenchConditions,
        set: &WholeSet,
        probes: &[Probe],
        open: Vec<Option<f64>>,
    ) -> Metered {
        let mut metered = Metered {
            network: None,
            branches: set.figures.len(),
            hung: vec![None; probes.len()],
            shares: vec![1.0; probes.len()],
            open,
        };
        let Some(meter) = &conditions.meter else {
            return metered;
        };
        let node = |junction: usize| set.direct.nodes.get(junction).copied().unwrap_or(0);
        let mut network = set.direct.operating.network().clone();
        for (number, (probe, value)) in probes.iter().zip(&metered.open).enumerate() {
            let (a, b) = match (probe.what, probe.spot) {
                (What::DcVolts, Spot::ToChassis(a)) => (node(a), 0),
                (What::DcVolts, Spot::Between(a, b)) => (node(a), node(b)),
                _ => continue,
            };
            let Some(value) = value.filter(|value| a != b && value.abs() > LEAST_READ) else {
                continue;
            };
            let leads = (a, b);
            let same = metered.hung.iter().flatten().find(|own| own.leads == leads);
            let branch = match same {
                Some(own) => own.branch,
                None => network.add(Branch::Resistance { a, b }),
            };
            metered.hung[number] = Some(Hung {
                branch,
                leads,
                ohms: meter_ohms(meter, value),
            });
        }
        metered.branches = network.branches.len();
        metered.network = Operating::new(&network).ok();
        let wanted: Vec<usize> = (0..probes.len())
            .filter(|number| metered.hung[*number].is_some())
            .collect();
        let asked: Vec<(usize, &[Figure])> = wanted
            .iter()
            .map(|number| (*number, &set.figures[..]))
            .collect();
        let loaded = metered.solve(&asked, &set.point);
        for (number, loaded) in wanted.into_iter().zip(loaded) {
            if let (Some(loaded), Some(open)) = (loaded, metered.open[number]) {
                metered.shares[number] = (loaded / open).clamp(0.0, 1.0);
            }
        }
        metered
    }

    /// What each probe reads without a meter.
    pub(super) fn open(&self) -> &[Option<f64>] {
        &self.open
    }

    /// The share of the open reading that the meter shows at each probe.
    pub(super) fn shares(&self) -> &[f64] {
        &self.shares
    }

    /// What the meter shows of the open readings of drawn sets: `offset + slope * open`.
    /// `figures` are those of the drawn sets, `open` their readings, in the same order.
    pub(super) fn line(
        &self,
        probe: usize,
        figures: &[Vec<Figure>],
        open: &[Option<f64>],
        near: &Point,
    ) -> (f64, f64) {
        let share = self.shares.get(probe).copied().unwrap_or(1.0);
        let plain = (0.0, share);
        if share > NOT_FELT || self.hung.get(probe).is_none_or(Option::is_none) {
            return plain;
        }
        let drawn: Vec<(usize, &[Figure])> = figures
            .iter()
            .take(LOADED_DRAWS)
            .map(|figures| (probe, &figures[..]))
            .collect();
        let pairs: Vec<(f64, f64)> = self
            .solve(&drawn, near)
            .into_iter()
            .zip(open)
            .filter_map(|(loaded, open)| Some(((*open)?, loaded?)))
            .collect();
        straight_line(&pairs).unwrap_or(plain)
    }

    /// The loaded reading of each asked probe with its figures.
    fn solve(&self, asked: &[(usize, &[Figure])], near: &Point) -> Vec<Option<f64>> {
        let nothing = || vec![None; asked.len()];
        let Some(network) = &self.network else {
            return nothing();
        };
        let hung: Option<Vec<Hung>> = asked
            .iter()
            .map(|(probe, _)| self.hung.get(*probe).copied().flatten())
            .collect();
        let Some(hung) = hung else {
            return nothing();
        };
        let draws: Vec<Vec<Figure>> = asked
            .iter()
            .zip(&hung)
            .map(|((_, figures), own)| {
                let mut figures = figures.to_vec();
                figures.resize(self.branches, Figure::Siemens(0.0));
                figures[own.branch] = Figure::Siemens(1.0 / own.ohms);
                figures
            })
            .collect();
        network
            .solve_many(&draws, Some(&near.volts))
            .into_iter()
            .zip(&hung)
            .map(|(point, own)| {
                let point = point.ok()?;
                let at = |node: usize| point.volts.get(node).copied();
                Some(at(own.leads.0)? - at(own.leads.1)?)
            })
            .collect()
    }
}

/// Least squares; `None` where the pairs do not spread.
fn straight_line(pairs: &[(f64, f64)]) -> Option<(f64, f64)> {
    let count = pairs.len() as f64;
    if pairs.len() < 4 {
        return None;
    }
    let mean = |of: fn(&(f64, f64)) -> f64| pairs.iter().map(of).sum::<f64>() / count;
    let (open, loaded) = (mean(|pair| pair.0), mean(|pair| pair.1));
    let spread: f64 = pairs.iter().map(|pair| (pair.0 - open).powi(2)).sum();
    let both: f64 = pairs
        .iter()
        .map(|pair| (pair.0 - open) * (pair.1 - loaded))
        .sum();
    if spread <= 1e-12 * open.abs().max(1e-3).powi(2) * count {
        return None;
    }
    let slope = both / spread;
    Some((loaded - slope * open, slope))
}

#[cfg(test)]
mod tests {
    use super::straight_line;

    #[test]
    fn the_line_goes_through_its_pairs() {
        let pairs: Vec<(f64, f64)> = (0..6)
            .map(|step| (f64::from(step), 0.25 - 0.5 * f64::from(step)))
            .collect();
        let (offset, slope) = straight_line(&pairs).expect("they spread");
        assert!((offset - 0.25).abs() < 1e-12 && (slope + 0.5).abs() < 1e-12);
        assert_eq!(straight_line(&[(1.0, 2.0); 6]), None);
    }
}
