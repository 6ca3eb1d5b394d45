//! Why a reading is not told.
//!
//! No units. Source: the wiring of the sheet, what runs and what is warm. Nothing here fails:
//! no reason means that the reading stands.

use crate::conditions::BenchConditions;
use crate::probes::{Probe, Spot};
use crate::reading::What;
use crate::unknowns::PULL_LIMIT;
use crate::whole_set::Known;
use crate::whole_set::running::Running;

use super::{Predictor, Solved};

impl Predictor<'_, '_> {
    /// Why a reading at a stage that a signal drives is not told, if it is not.
    pub(super) fn why_driven(
        &self,
        probe: &Probe,
        running: &[Running],
        hangs_on: Option<usize>,
    ) -> Option<String> {
        let model = self.model;
        let touches = |junction: usize| match probe.spot {
            Spot::Between(a, b) => a == junction || b == junction,
            Spot::ToChassis(a) => a == junction,
            _ => false,
        };
        if !matches!(probe.what, What::DcVolts)
            && !matches!(probe.spot, Spot::Stage(..))
            && hangs_on.is_none()
        {
            return None;
        }
        let sweeps = running
            .iter()
            .any(|running| matches!(running, Running::Lifts { .. }));
        let pulses = |junction: usize| model.stages.pulsed.get(junction).copied().unwrap_or(false);
        let at_pulses = match probe.spot {
            Spot::Between(a, b) => pulses(a) || pulses(b),
            Spot::ToChassis(a) => pulses(a),
            _ => false,
        };
        if sweeps && at_pulses {
            return Some(
                "the sweep's pulses of hundreds to thousands of volts stand there: no common meter may touch it"
                    .to_string(),
            );
        }
        for (number, (stage, running)) in model.stages.complete.iter().zip(running).enumerate() {
            let known = running.known();
            let own = matches!(probe.spot, Spot::Stage(of, _) if of == number);
            match &known {
                Known::Calculated | Known::Running { .. } => {}
                Known::FromChart { missing } => {
                    let lacks = hangs_on == Some(number);
                    for (junction, missing) in stage.electrodes.iter().zip(missing) {
                        if *missing && (lacks || junction.is_some_and(touches)) {
                            return Some(format!(
                                "a signal makes the volts of {} here, and the maker's chart does not give them",
                                model.sheet.tubes[stage.tube].reference
                            ));
                        }
                    }
                }
                Known::Unknown { because } => {
                    // Its own currents, and electrodes for which nothing stands; what else
                    // hangs on it, `hanging` says.
                    let open = (0..stage.electrodes.len())
                        .filter(|&electrode| running.is_open(electrode))
                        .filter_map(|electrode| stage.electrodes[electrode])
                        .filter(|&junction| {
                            junction != stage.cathode
                                && Some(junction) != model.chassis_junction()
                                && !model.has_ripple(junction)
                        });
                    // Its own places first: the reason there says more.
                    let near = hangs_on.is_some() && stage.junctions().any(touches);
                    if own || near || hangs_on == Some(number) || open.into_iter().any(touches) {
                        return Some(because.clone());
                    }
                }
            }
        }
        None
    }

    /// Why a probe's reading is not told, if it is not.
    pub fn why_unknown(
        &self,
        probe: &Probe,
        conditions: &BenchConditions,
        solved: &Solved,
    ) -> Option<String> {
        let junctions: &[usize] = match &probe.spot {
            Spot::Between(a, b) => &[*a, *b],
            Spot::ToChassis(a) => std::slice::from_ref(a),
            _ => &[],
        };
        let floating = |junction: &usize| solved.floating.get(*junction).copied().unwrap_or(false);
        match junctions {
            [a] if floating(a) => {
                return Some(
                    "nothing on the sheet ties it to the chassis, so its volts to chassis mean nothing"
                        .to_string(),
                );
            }
            [a, b] if floating(a) != floating(b) => {
                return Some("nothing on the sheet ties the two places together".to_string());
            }
            _ => {}
        }
        if probe.what == What::AcVoltsRms || probe.what == What::RippleVoltsPeakToPeak {
            return None;
        }
        for &junction in junctions {
            for open in &self.open_electrodes {
                let pull = open.pulls.get(junction).copied().unwrap_or(0.0);
                if open.junction != junction && pull < PULL_LIMIT {
                    continue;
                }
                let live = open
                    .pins
                    .iter()
                    .find(|(tube, _)| self.is_live(*tube, conditions, solved));
                if let Some((tube, pin)) = live {
                    let reference = &self.model.sheet.tubes[*tube].reference;
                    if self.model.is_high_voltage(*tube) {
                        return Some(
                            "the high voltage is not calculated, and no common meter may touch it"
                                .to_string(),
                        );
                    }
                    return Some(if open.junction == junction {
                        format!("{pin} carries a current of {reference} that is not calculated yet")
                    } else {
                        format!(
                            "it follows {pin}, where a current of {reference} is not calculated yet"
                        )
                    });
                }
            }
        }
        if let Spot::Part(part) = probe.spot {
            let ends = &self.model.part_ends[part][..2];
            for junction in ends.iter().flatten() {
                let open = self.open_electrodes.iter().find(|open| {
                    let pull = open.pulls.get(*junction).copied().unwrap_or(0.0);
                    (open.junction == *junction || pull >= PULL_LIMIT)
                        && open
                            .pins
                            .iter()
                            .any(|(tube, _)| self.is_live(*tube, conditions, solved))
                });
                if let Some(open) = open {
                    let pin = open
                        .pins
                        .first()
                        .map_or("a tube pin", |(_, pin)| pin.as_str());
                    return Some(format!(
                        "it carries the current of {pin}, not calculated yet"
                    ));
                }
            }
        }
        None
    }

    /// Why the supply's cycle alone does not tell a reading that hangs on a tube stage, if so.
    pub fn why_beyond_supply(&self, probe: &Probe) -> Option<String> {
        let model = self.model;
        if !model.has_stages() {
            return None;
        }
        let told = |junction: usize| {
            let told = &model.usual().told_by_cycle;
            told.get(junction).copied().unwrap_or(true)
        };
        let beyond = match (probe.spot, probe.what) {
            (Spot::Stage(..), _) => true,
            (Spot::ToChassis(a), What::DcVolts) => !told(a),
            (Spot::Between(a, b), What::DcVolts) => !told(a) || !told(b),
            (Spot::Part(part), What::PartMilliamps | What::PartWatts) => model.part_ends[part]
                .iter()
                .flatten()
                .any(|&end| !told(end)),
            _ => false,
        };
        beyond.then(|| {
            "it hangs on a tube stage, which is worked out for a settled set only (`expect`)"
                .to_string()
        })
    }

    /// Whether a tube may draw current: fitted, warm, and with volts on one of its pins.
    fn is_live(&self, tube: usize, conditions: &BenchConditions, solved: &Solved) -> bool {
        let reference = &self.model.sheet.tubes[tube].reference;
        if conditions
            .pulled
            .iter()
            .any(|pulled| pulled.trim().eq_ignore_ascii_case(reference))
        {
            return false;
        }
        // A heater that the set itself lights later (high-voltage rectifier) counts as warm.
        let heated_by_set = self
            .model
            .heater_places()
            .iter()
            .any(|place| place.tubes.contains(&tube));
        if heated_by_set {
            match solved.tube_shares.get(tube).copied().flatten() {
                Some(share) if share < 0.01 => return false,
                None => return false,
                _ => {}
            }
        }
        self.model.places.iter().any(|place| {
            place
                .pin()
                .is_some_and(|(own, _)| own.eq_ignore_ascii_case(reference))
                && self.model.junction(place).is_some_and(|junction| {
                    !self.model.alternates(junction)
                        && solved
                            .junction_volts
                            .get(junction)
                            .is_some_and(|volts| volts.abs() > 1.0)
                })
        })
    }
}
