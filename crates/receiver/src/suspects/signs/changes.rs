//! What changed when a tube was pulled, or as the set warmed up.
//!
//! Plain chances. A disturbance that goes when a tube is out came from before it or from it; one that stays comes in
//! behind it; the supply's comes in anywhere. What comes with warmth is likelier gas, grid emission or a leak, what goes with
//! it a dried can or a slow cathode. Source: common practice; the figures are judgement. A tube in a series string
//! darkens the others: pulling it tells nothing and is not weighed. Nothing here fails.

use crate::suspects::hypotheses::Hypotheses;
use crate::wiring::FaultKind;

/// Chance that it goes with the tube where nothing on the way is at fault, where the fault lies before it or in
/// it, and where it lies behind it.
const GOES: [f64; 3] = [0.3, 0.85, 0.08];

/// What warmth does to a complaint.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Warmth {
    /// It is not there at first.
    Comes,
    /// It is there at first and goes.
    Goes,
}

/// Natural logarithm for each hypothesis, where it disturbs; `before` and `behind` tell how much it is on either side of the tube.
pub(super) fn pulled(gone: bool, before: &[f64], behind: &[f64]) -> Vec<f64> {
    let [usual, goes, stays] = GOES;
    let of = |chance: f64| if gone { chance } else { 1.0 - chance };
    before
        .iter()
        .zip(behind)
        .map(|(before, behind)| {
            let behind = behind * (1.0 - before);
            let chance = usual + before * (goes - usual) + behind * (stays - usual);
            (of(chance) / of(usual)).ln()
        })
        .collect()
}

/// The same of what warmth does: how many times likelier than in other faults.
pub(super) fn warms(hypotheses: &Hypotheses, warmth: Warmth) -> Vec<f64> {
    hypotheses
        .list
        .iter()
        .map(|own| {
            let times: f64 = match (warmth, &own.kind) {
                (Warmth::Comes, FaultKind::GridCurrent { .. }) => 3.0,
                (Warmth::Comes, FaultKind::HeaterToCathode { .. }) => 2.0,
                (Warmth::Comes, FaultKind::CapacitorLeak(_)) => 1.8,
                (Warmth::Comes, FaultKind::Emission { .. } | FaultKind::OhmsTimes(_)) => 1.2,
                (Warmth::Goes, FaultKind::FaradsTimes(_) | FaultKind::SeriesOhms { .. }) => 2.0,
                (Warmth::Goes, FaultKind::Emission { .. }) => 1.8,
                (_, FaultKind::Open(_) | FaultKind::HeaterOpen(_)) => 0.5,
                _ => 0.8,
            };
            times.ln()
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::pulled;

    /// By hand: before the tube, behind it, elsewhere; gone and stayed.
    #[test]
    fn what_goes_with_a_tube_lies_before_it() {
        let (before, behind) = ([1.0, 0.0, 0.0], [0.0, 1.0, 0.0]);
        let gone = pulled(true, &before, &behind);
        assert!((gone[0] - (0.85f64 / 0.3).ln()).abs() < 1e-12);
        assert!((gone[1] - (0.08f64 / 0.3).ln()).abs() < 1e-12);
        assert_eq!(gone[2], 0.0);
        let stayed = pulled(false, &before, &behind);
        assert!((stayed[0] - (0.15f64 / 0.7).ln()).abs() < 1e-12);
        assert!(stayed[1] > 0.0 && stayed[2] == 0.0);
    }
}
