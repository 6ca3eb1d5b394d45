//! Gentle recovery of a tired cathode: rated heater first, then small steps up.
//!
//! Heater volts r.m.s., seconds. Highest volts and times are those of trade practice (common
//! practice, figures from memory; `data/trade_numbers.csv`, "heater boost mild": 7, 7.5 and 8 V
//! on 6.3 V, others by the ratio; "heater boost time"; "emission recovers at rated heater").
//! Every step is an act that [`crate::hazard`] lets pass or refuses. A type whose heater volts
//! are not known gets no step.

use parts::{Catalogue, TubeType};

use super::advised::{Advised, Answer, ask};
use crate::hazard::{Act, ActKind, ActPlace, Setting, Situation, TableFault};

/// Heater for which the trade's figures are given, volts.
const TRADE_HEATER: f64 = 6.3;
/// Seconds in an hour.
const HOUR: f64 = 3600.0;
/// Longest time at the highest step: minutes, not hours (common practice).
const LAST_STEP_SECONDS: f64 = 900.0;

/// What is known before a recovery is advised.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct RecoveryFacts {
    /// The tube gives a usable picture or reading as it is.
    pub usable: bool,
    /// Hours at rated heater were tried and gained nothing more.
    pub rated_tried: bool,
    /// Heater-cathode leakage, a shorted or an open heater was found.
    pub heater_fault: bool,
    /// Cheap cures of the base were not tried yet.
    pub cures_untried: bool,
    /// Nothing that was read says yet how the tube stands.
    pub not_judged: bool,
}

/// One step of the recovery.
#[derive(Clone, Debug, PartialEq)]
pub struct RecoveryStep {
    /// The act with its cautions.
    pub advised: Advised,
    /// Heater volts.
    pub heater_volts: f64,
    /// Longest time at this step, seconds.
    pub longest_seconds: f64,
    /// When to stop or go on.
    pub stop_rule: String,
}

/// The recovery, or why none is advised.
#[derive(Clone, Debug, PartialEq)]
pub struct Recovery {
    /// Steps in their order.
    pub steps: Vec<RecoveryStep>,
    /// Highest heater volts of any step.
    pub highest_volts: Option<f64>,
    /// Longest time in all, seconds.
    pub total_seconds: f64,
    /// Why steps are not advised now.
    pub not_advised: Vec<String>,
    /// What it may cost.
    pub cost: &'static str,
    /// What harsher ways are; never part of the steps.
    pub harsher: &'static str,
}

/// What it may cost.
pub const COST: &str = "Extra heater volts use up the cathode: ten percent is said to halve its \
    life. What is gained may be gone within weeks.";
/// The harsher ways, as what they are.
pub const HARSHER: &str = "Discharges or heavy current between grid and cathode, as some \
    instruments give, strip or short the gun. They are a last resort, once, by the owner's \
    decision, on a tube without a picture, and can be its end. They are not advised here.";

/// Makes the recovery of a type.
///
/// # Errors
/// A fault of the table of hazards built into the program.
pub fn gentle_recovery(
    tube: &TubeType,
    facts: RecoveryFacts,
    catalogue: &Catalogue,
) -> Result<Recovery, TableFault> {
    let mut recovery = Recovery {
        steps: Vec::new(),
        highest_volts: None,
        total_seconds: 0.0,
        not_advised: Vec::new(),
        cost: COST,
        harsher: HARSHER,
    };
    let Some(rated) = tube.heater_volts else {
        let because = format!("the heater volts of {} are not known", tube.name);
        recovery.not_advised.push(because);
        return Ok(recovery);
    };
    if facts.heater_fault {
        let because = "a heater that is open or shorted, or leaks to the cathode, is not raised";
        recovery.not_advised.push(because.to_owned());
        return Ok(recovery);
    }
    let hours = catalogue.trade_number("emission recovers at rated heater");
    let rated_seconds = hours.map_or(HOUR, |hours| hours.typical * HOUR);
    let rest =
        "Read emission every hour; go on only when the last quarter of the time gained nothing";
    add(&mut recovery, rated, rated, rated_seconds, false, rest)?;
    if facts.usable {
        recovery
            .not_advised
            .push("the tube is usable: its heater stays at rated volts".to_owned());
        return Ok(recovery);
    }
    for (is_so, because) in [
        (
            facts.not_judged,
            "nothing was read yet that says how the tube stands: read emission first",
        ),
        (
            facts.cures_untried,
            "clean and re-solder the base pins first: they look like a weak cathode",
        ),
        (
            !facts.rated_tried,
            "hours at rated heater come first; steps above it only when they gained nothing",
        ),
    ] {
        if is_so {
            recovery.not_advised.push(because.to_owned());
        }
    }
    if !recovery.not_advised.is_empty() {
        return Ok(recovery);
    }
    let (Some(boost), Some(time)) = (
        catalogue.trade_number("heater boost mild"),
        catalogue.trade_number("heater boost time"),
    ) else {
        recovery
            .not_advised
            .push("no trade figures for a boost are known".to_owned());
        return Ok(recovery);
    };
    let most = rated * boost.high / TRADE_HEATER;
    for (volts, seconds) in [
        (boost.low, time.typical * HOUR),
        (boost.typical, time.low * HOUR),
        (boost.high, LAST_STEP_SECONDS.min(time.low * HOUR)),
    ] {
        let rule = format!(
            "Stop when the last quarter of the time gained nothing, when emission falls, or at a \
             glow brighter than yellow-orange; never above {most:.2} V"
        );
        add(
            &mut recovery,
            rated * volts / TRADE_HEATER,
            rated,
            seconds,
            true,
            &rule,
        )?;
    }
    Ok(recovery)
}

fn add(
    recovery: &mut Recovery,
    volts: f64,
    rated: f64,
    seconds: f64,
    gentler_tried: bool,
    rule: &str,
) -> Result<(), TableFault> {
    let act = Act::new(
        ActKind::Set(Setting::HeaterVolts {
            volts,
            rated_volts: Some(rated),
            gentler_tried,
            limit_seconds: Some(seconds),
        }),
        ActPlace::PictureTube,
    );
    match ask(act, &Situation::default())? {
        Answer::Advised(advised) => {
            recovery.highest_volts = Some(recovery.highest_volts.unwrap_or(0.0).max(volts));
            recovery.total_seconds += seconds;
            recovery.steps.push(RecoveryStep {
                advised,
                heater_volts: volts,
                longest_seconds: seconds,
                stop_rule: rule.to_owned(),
            });
        }
        Answer::Refused(rules) => recovery.not_advised.extend(rules),
    }
    Ok(())
}
