//! A set with a fault, brought to agreement from the healthy set nearby.
//!
//! Volts, amperes, siemens. Cycle, resistances behind the rectifiers, points and what the stages
//! draw begin where the healthy set has them under the same conditions. Source:
//! [`super::couple`]. Fails as that does.

use circuit::solver::SettledState;

use crate::conditions::BenchConditions;
use crate::expect::ExpectError;
use crate::probes::Probe;
use crate::wiring::{SetModel, StageLoad, Variation};

use super::couple::{FIRST_OHMS, WholeSet, agree, couple};

/// From where supply and stages are brought to agreement.
pub(super) struct Begin<'h> {
    /// Resistance behind each way of a rectifier.
    pub ohms: Vec<f64>,
    /// A cycle nearby.
    pub near: Option<SettledState>,
    /// The healthy set under these conditions, where a fault is put into it.
    pub healthy: Option<&'h WholeSet>,
    /// What the stages draw about, where it is known.
    pub loads: Option<Vec<StageLoad>>,
}

impl Begin<'_> {
    pub(super) fn cold(model: &SetModel<'_>) -> Begin<'static> {
        Begin {
            ohms: vec![FIRST_OHMS; model.rectifying().len()],
            near: None,
            healthy: None,
            loads: None,
        }
    }
}

/// The same with a fault in it, begun from the healthy set, or where its network stands upon the healthy set's supply with what
/// the stages draw there (`loads`); from cold where that does not do.
/// Stages that drive themselves run as the fault lets them where it sits among them; others run as they do
/// in the healthy set, scaled to the supply that they find: where it falls far they may stand still in truth. What the
/// stages draw in the end is not told.
///
/// # Errors
/// Those of [`couple`].
pub(super) fn couple_near(
    model: &SetModel<'_>,
    conditions: &BenchConditions,
    variation: &Variation,
    probes: &[Probe],
    (healthy, loads): (&WholeSet, Option<Vec<StageLoad>>),
) -> Result<WholeSet, ExpectError> {
    let ohms: Vec<f64> = healthy
        .ways
        .iter()
        .map(|way| match way {
            Some(way) if way.siemens > 0.0 => 1.0 / way.siemens,
            _ => FIRST_OHMS,
        })
        .collect();
    let begin = Begin {
        ohms,
        near: Some(healthy.cycle.near.clone()),
        healthy: Some(healthy),
        loads,
    };
    agree(model, conditions, variation, probes, model.usual(), begin).or_else(|error| match error {
        // What does not settle from nearby settles no better from cold.
        ExpectError::Apart { .. } => Err(error),
        _ => couple(model, conditions, variation, probes),
    })
}
