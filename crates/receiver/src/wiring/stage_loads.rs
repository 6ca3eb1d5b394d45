//! Tube stages as the supply feels them: conductances that follow their heaters.
//!
//! Siemens; junction numbers are those of the sheet's places. Source: the operating
//! point of the whole set ([`crate::whole_set`]). A stage whose tube is pulled or cold
//! draws nothing. Nothing here can fail.

use circuit::Element;

use crate::conditions::BenchConditions;

use super::SetModel;
use super::build::Wired;
use super::variation::{Figure, Variation};

/// What one electrode of a stage draws.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct StageLoad {
    /// Position of the tube; `None` for a part that draws from the first moment.
    pub tube: Option<usize>,
    /// Junction of the electrode.
    pub from: usize,
    /// Junction of the cathode.
    pub to: usize,
    /// Current over the volts that the supply's cycle has there.
    pub siemens: f64,
}

/// Emission over need of a healthy receiving tube (judgement: 6 to 10).
const RESERVE: f64 = 8.0;

impl SetModel<'_> {
    /// Whether a tube is out of its socket.
    pub(crate) fn is_pulled(&self, tube: usize, conditions: &BenchConditions) -> bool {
        self.sheet.tubes.get(tube).is_some_and(|tube| {
            conditions
                .pulled
                .iter()
                .any(|pulled| pulled.trim().eq_ignore_ascii_case(&tube.reference))
        })
    }

    pub(super) fn wire_stage_loads(
        &self,
        wired: &mut Wired,
        conditions: &BenchConditions,
        variation: &Variation,
        loads: &[StageLoad],
    ) {
        for load in loads {
            let (a, b) = (wired.node(load.from), wired.node(load.to));
            if a == b || load.siemens <= 0.0 {
                continue;
            }
            let Some(tube) = load.tube else {
                let element = wired.circuit.resistor(a, b, 1.0 / load.siemens);
                wired.stage_loads.push(element);
                continue;
            };
            let pulled = self.is_pulled(tube, conditions);
            let warmed_by = self.heated(wired, tube);
            if pulled || warmed_by.is_none() {
                continue;
            }
            let siemens = load.siemens
                * variation.factor(Figure::StageDraws)
                * variation.factor(Figure::StageDraw(tube));
            let element = wired.circuit.add(Element::Load {
                a,
                b,
                siemens,
                warmed_by,
                reserve: RESERVE
                    * variation.factor(Figure::LoadReserve)
                    * variation.factor(Figure::StageEmission(tube)),
            });
            wired.stage_loads.push(element);
        }
    }
}
