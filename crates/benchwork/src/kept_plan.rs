//! A plan as it is kept beside the facts of a restoration, so that it need not be worked out again.
//!
//! Stored forms of their own, converted by hand, so that the plan's types stay free to change. They
//! are read back only by the program and the figures that wrote them (both stand in the key), and
//! what cannot be read back is worked out anew. Units are those of the plan. Nothing here fails.

use quantity::Band;
use receiver::conditions::{BenchConditions, DirectSource, Meter};
use receiver::plan::step_kind::StepKind;
use receiver::plan::{
    Charged, LampChoice, LampFault, Limit, PlanWork, PowerUpPlan, Step, StopRule, Unguarded,
};
use receiver::reading::{Lead, Notice, Reading, Unknown, What};
use serde::{Deserialize, Serialize};

/// The bytes of a plan.
pub(crate) fn to_bytes(plan: &PowerUpPlan) -> Option<Vec<u8>> {
    serde_json::to_vec(&KeptPlan::of(plan)).ok()
}

/// The plan of such bytes; `None` where they cannot be read.
pub(crate) fn from_bytes(bytes: &[u8]) -> Option<PowerUpPlan> {
    let kept: KeptPlan = serde_json::from_slice(bytes).ok()?;
    kept.back()
}

#[derive(Serialize, Deserialize)]
struct KeptPlan {
    steps: Vec<KeptStep>,
    unguarded: Vec<(String, String)>,
    notices: Vec<(String, String)>,
    work: (usize, usize),
}

impl KeptPlan {
    fn of(plan: &PowerUpPlan) -> KeptPlan {
        let notices = plan.notices.iter();
        let unguarded = plan.unguarded.iter();
        KeptPlan {
            steps: plan.steps.iter().map(KeptStep::of).collect(),
            unguarded: unguarded
                .map(|one| (one.fault.clone(), one.because.clone()))
                .collect(),
            notices: notices
                .map(|one| (one.text.clone(), one.hint.clone()))
                .collect(),
            work: (plan.work.solved_states, plan.work.warm_up_runs),
        }
    }

    fn back(self) -> Option<PowerUpPlan> {
        let notices = self.notices.into_iter();
        let unguarded = self.unguarded.into_iter();
        Some(PowerUpPlan {
            steps: self
                .steps
                .into_iter()
                .map(KeptStep::back)
                .collect::<Option<_>>()?,
            unguarded: unguarded
                .map(|(fault, because)| Unguarded { fault, because })
                .collect(),
            notices: notices.map(|(text, hint)| Notice { text, hint }).collect(),
            work: PlanWork {
                solved_states: self.work.0,
                warm_up_runs: self.work.1,
            },
        })
    }
}

#[derive(Serialize, Deserialize)]
struct KeptStep {
    number: usize,
    kind: String,
    key: String,
    title: String,
    parts: Vec<String>,
    acts: Vec<String>,
    conditions: KeptConditions,
    energised: bool,
    wait_seconds: f64,
    because: String,
    expect: Vec<KeptReading>,
    unknown: Vec<(String, String, String)>,
    stop: Vec<KeptRule>,
    stop_signs: Vec<String>,
    live: Vec<String>,
    charged: Vec<(String, f64, Option<f64>, Option<f64>)>,
    cautions: Vec<String>,
    lamp: Option<KeptLamp>,
}

impl KeptStep {
    fn of(step: &Step) -> KeptStep {
        let unknown = step.unknown.iter();
        let charged = step.charged.iter();
        KeptStep {
            number: step.number,
            kind: step.kind.name().to_owned(),
            key: step.key.clone(),
            title: step.title.clone(),
            parts: step.parts.clone(),
            acts: step.acts.clone(),
            conditions: KeptConditions::of(&step.conditions),
            energised: step.energised,
            wait_seconds: step.wait_seconds,
            because: step.because.clone(),
            expect: step.expect.iter().map(KeptReading::of).collect(),
            unknown: unknown
                .map(|one| {
                    let what = one.what.name().to_owned();
                    (one.at.clone(), what, one.because.clone())
                })
                .collect(),
            stop: step.stop.iter().map(KeptRule::of).collect(),
            stop_signs: step.stop_signs.clone(),
            live: step.live.clone(),
            charged: charged
                .map(|one| {
                    let (ten, open) = (one.seconds_to_ten_volts, one.if_bleeder_open_seconds);
                    (one.at.clone(), one.volts, ten, open)
                })
                .collect(),
            cautions: step.cautions.clone(),
            lamp: step.lamp.as_ref().map(KeptLamp::of),
        }
    }

    fn back(self) -> Option<Step> {
        let unknown = self.unknown.into_iter();
        let charged = self.charged.into_iter();
        Some(Step {
            number: self.number,
            kind: StepKind::from_name(&self.kind)?,
            key: self.key,
            title: self.title,
            parts: self.parts,
            acts: self.acts,
            conditions: self.conditions.back(),
            energised: self.energised,
            wait_seconds: self.wait_seconds,
            because: self.because,
            expect: self
                .expect
                .into_iter()
                .map(KeptReading::back)
                .collect::<Option<_>>()?,
            unknown: unknown
                .map(|(at, what, because)| {
                    let what = What::from_name(&what)?;
                    Some(Unknown { at, what, because })
                })
                .collect::<Option<_>>()?,
            stop: self
                .stop
                .into_iter()
                .map(KeptRule::back)
                .collect::<Option<_>>()?,
            stop_signs: self.stop_signs,
            live: self.live,
            charged: charged
                .map(|(at, volts, ten, open)| Charged {
                    at,
                    volts,
                    seconds_to_ten_volts: ten,
                    if_bleeder_open_seconds: open,
                })
                .collect(),
            cautions: self.cautions,
            lamp: self.lamp.map(KeptLamp::back),
        })
    }
}

#[derive(Serialize, Deserialize)]
struct KeptConditions {
    line_volts: Option<f64>,
    lamps: Vec<f64>,
    source_ohms: f64,
    pulled: Vec<String>,
    open: Vec<String>,
    fitted_without: Vec<String>,
    seconds: Option<f64>,
    /// Input ohms, or ohms per volt with the range.
    meter: Option<(bool, f64, Option<f64>)>,
    direct_source: Option<(String, f64, f64)>,
    to: Option<String>,
    bands: bool,
}

impl KeptConditions {
    fn of(from: &BenchConditions) -> KeptConditions {
        KeptConditions {
            line_volts: from.line_volts,
            lamps: from.lamps.clone(),
            source_ohms: from.source_ohms,
            pulled: from.pulled.clone(),
            open: from.open.clone(),
            fitted_without: from.fitted_without.clone(),
            seconds: from.seconds,
            meter: from.meter.as_ref().map(|meter| match meter {
                Meter::InputOhms(ohms) => (true, *ohms, None),
                Meter::OhmsPerVolt {
                    ohms_per_volt,
                    range_volts,
                } => (false, *ohms_per_volt, *range_volts),
            }),
            direct_source: from
                .direct_source
                .as_ref()
                .map(|source| (source.place.clone(), source.volts, source.series_ohms)),
            to: from.to.clone(),
            bands: from.bands,
        }
    }

    fn back(self) -> BenchConditions {
        BenchConditions {
            line_volts: self.line_volts,
            lamps: self.lamps,
            source_ohms: self.source_ohms,
            pulled: self.pulled,
            open: self.open,
            fitted_without: self.fitted_without,
            seconds: self.seconds,
            meter: self.meter.map(|meter| match meter {
                (true, ohms, _) => Meter::InputOhms(ohms),
                (false, ohms_per_volt, range_volts) => Meter::OhmsPerVolt {
                    ohms_per_volt,
                    range_volts,
                },
            }),
            direct_source: self
                .direct_source
                .map(|(place, volts, series_ohms)| DirectSource {
                    place,
                    volts,
                    series_ohms,
                }),
            to: self.to,
            known: Vec::new(),
            bands: self.bands,
        }
    }
}

#[derive(Serialize, Deserialize)]
pub(crate) struct KeptReading {
    at: String,
    to: Option<String>,
    what: String,
    plus_lead: Option<bool>,
    band: (f64, f64, f64),
    made_of: Vec<(String, f64)>,
}

impl KeptReading {
    pub(crate) fn of(from: &Reading) -> KeptReading {
        let band = &from.band;
        KeptReading {
            at: from.at.clone(),
            to: from.to.clone(),
            what: from.what.name().to_owned(),
            plus_lead: from.lead.map(|lead| lead == Lead::Plus),
            band: (band.low, band.expected, band.high),
            made_of: band
                .made_of
                .iter()
                .map(|one| (one.cause.clone(), one.share))
                .collect(),
        }
    }

    pub(crate) fn back(self) -> Option<Reading> {
        let (low, expected, high) = self.band;
        Some(Reading {
            at: self.at,
            to: self.to,
            what: What::from_name(&self.what)?,
            lead: self
                .plus_lead
                .map(|plus| if plus { Lead::Plus } else { Lead::Minus }),
            band: Band::new(low, expected, high, self.made_of).ok()?,
        })
    }
}

#[derive(Serialize, Deserialize)]
struct KeptRule {
    at: String,
    to: Option<String>,
    what: String,
    is_above: bool,
    limit: f64,
    after_seconds: f64,
    tells: Vec<String>,
    cannot_tell: Vec<String>,
}

impl KeptRule {
    fn of(from: &StopRule) -> KeptRule {
        let (is_above, limit) = match from.limit {
            Limit::Above(limit) => (true, limit),
            Limit::Below(limit) => (false, limit),
        };
        KeptRule {
            at: from.at.clone(),
            to: from.to.clone(),
            what: from.what.name().to_owned(),
            is_above,
            limit,
            after_seconds: from.after_seconds,
            tells: from.tells.clone(),
            cannot_tell: from.cannot_tell.clone(),
        }
    }

    fn back(self) -> Option<StopRule> {
        Some(StopRule {
            at: self.at,
            to: self.to,
            what: What::from_name(&self.what)?,
            limit: if self.is_above {
                Limit::Above(self.limit)
            } else {
                Limit::Below(self.limit)
            },
            after_seconds: self.after_seconds,
            tells: self.tells,
            cannot_tell: self.cannot_tell,
        })
    }
}

#[derive(Serialize, Deserialize)]
struct KeptLamp {
    watts: Vec<f64>,
    heater_share: Option<f64>,
    supply_share: Option<f64>,
    winding_share: Option<f64>,
    faults: Vec<KeptLampFault>,
    remark: String,
}

/// Fault, watts in its part, and the irreplaceable part with the watts in it.
type KeptLampFault = (String, f64, Option<(String, f64)>);

impl KeptLamp {
    fn of(from: &LampChoice) -> KeptLamp {
        KeptLamp {
            watts: from.watts.clone(),
            heater_share: from.heater_share,
            supply_share: from.supply_share,
            winding_share: from.winding_share,
            faults: from
                .faults
                .iter()
                .map(|one| (one.fault.clone(), one.part_watts, one.irreplaceable.clone()))
                .collect(),
            remark: from.remark.clone(),
        }
    }

    fn back(self) -> LampChoice {
        LampChoice {
            watts: self.watts,
            heater_share: self.heater_share,
            supply_share: self.supply_share,
            winding_share: self.winding_share,
            faults: self
                .faults
                .into_iter()
                .map(|(fault, part_watts, irreplaceable)| LampFault {
                    fault,
                    part_watts,
                    irreplaceable,
                })
                .collect(),
            remark: self.remark,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use receiver::plan::wake::wake;
    use receiver::sheet::read_sheet;

    #[test]
    fn a_plan_comes_back_as_it_was() {
        let text = include_str!("../../../examples/larkfield_12t.toml");
        let catalogue = parts::catalogue().expect("data");
        let sheet = read_sheet(text, catalogue).sheet.expect("a sheet");
        let plan = wake(&sheet, catalogue, &mut |_| {}).expect("a plan");
        let bytes = to_bytes(&plan).expect("bytes");
        let back = from_bytes(&bytes).expect("a plan");
        // Shares of a band are scaled to one again, which may touch their last digit.
        let without_shares = |plan: &PowerUpPlan| {
            let mut plan = plan.clone();
            for reading in plan.steps.iter_mut().flat_map(|step| &mut step.expect) {
                reading.band.made_of.clear();
            }
            format!("{plan:?}")
        };
        assert_eq!(without_shares(&back), without_shares(&plan));
        let shares = |plan: &PowerUpPlan| -> Vec<String> {
            let readings = plan.steps.iter().flat_map(|step| &step.expect);
            readings
                .flat_map(|reading| &reading.band.made_of)
                .map(|one| format!("{} {:.9}", one.cause, one.share))
                .collect()
        };
        assert_eq!(shares(&back), shares(&plan));
        assert!(from_bytes(b"{}").is_none() && from_bytes(&bytes[..bytes.len() / 2]).is_none());
    }
}
