//! What eye, ear and nose notice that needs no entry, and the usual cautions in short.
//!
//! Text only; no units. Common practice. A sign is listed where its trigger holds, so no lamp is
//! watched that is not there. Nothing here can fail.

use super::act::Act;
use super::situation::{Sign, Situation};
use super::trigger::TriggerWord;

/// What comes before any question.
pub const PULL_THE_PLUG_FIRST: &str = "At any of these pull the plug first, then ask what it was.";

/// A sign at which the plug is pulled, without any reading.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct StopSign {
    /// Which sign.
    pub sign: Sign,
    /// What notices it.
    pub sense: Sense,
    /// What the restorer is told to watch for.
    pub text: &'static str,
    /// When it can be there at all; all words must hold.
    pub trigger: &'static [TriggerWord],
    /// The hazard that forbids going on.
    pub hazard: &'static str,
}

/// What notices a sign.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Sense {
    /// Eye.
    Eye,
    /// Ear.
    Ear,
    /// Nose.
    Nose,
}

const fn sign(
    sign: Sign,
    sense: Sense,
    text: &'static str,
    trigger: &'static [TriggerWord],
    hazard: &'static str,
) -> StopSign {
    StopSign {
        sign,
        sense,
        text,
        trigger,
        hazard,
    }
}

/// All signs, the quickest to harm first.
pub const STOP_SIGNS: &[StopSign] = &[
    sign(
        Sign::Smoke,
        Sense::Eye,
        "smoke from anywhere",
        &[TriggerWord::Energised],
        "fire",
    ),
    sign(
        Sign::Arcing,
        Sense::Eye,
        "arcing: sparks, snapping or frying sounds",
        &[TriggerWord::Energised],
        "fire",
    ),
    sign(
        Sign::LampStaysBright,
        Sense::Eye,
        "the lamp bright and staying so",
        &[TriggerWord::Running, TriggerWord::LimiterLamp],
        "power-transformer-hot",
    ),
    sign(
        Sign::RedPlate,
        Sense::Eye,
        "a plate that glows red in any tube",
        &[TriggerWord::Running],
        "flyback-in-danger",
    ),
    sign(
        Sign::BlueGlow,
        Sense::Eye,
        "blue glow between the plates of a tube (a faint blue film on the glass alone is harmless)",
        &[TriggerWord::Running],
        "power-transformer-hot",
    ),
    sign(
        Sign::StringFlaresOrDark,
        Sense::Eye,
        "heaters that flare up and stay too bright, or a string that goes dark",
        &[TriggerWord::Running, TriggerWord::HeaterString],
        "heater-above-rating",
    ),
    sign(
        Sign::SpotOrLine,
        Sense::Eye,
        "a bright spot or line standing on the screen",
        &[TriggerWord::Running, TriggerWord::PictureTube],
        "spot-on-screen",
    ),
    sign(
        Sign::LoudHum,
        Sense::Ear,
        "loud hum from transformer, choke or loudspeaker",
        &[TriggerWord::Running],
        "power-transformer-hot",
    ),
    sign(
        Sign::Corona,
        Sense::Ear,
        "hissing or a purple glow at the high voltage",
        &[TriggerWord::Running, TriggerWord::AnodeAbove1Kilovolt],
        "corona",
    ),
    sign(
        Sign::HotOrBulgingCan,
        Sense::Eye,
        "a can that bulges, hisses or leaks (feel for heat only with the plug out and the can discharged)",
        &[TriggerWord::Capacitors],
        "hot-can",
    ),
    sign(
        Sign::BurntSmell,
        Sense::Nose,
        "a burnt smell: hot varnish, tar, rubber or hot resistor",
        &[TriggerWord::Energised],
        "fire",
    ),
    sign(
        Sign::SeleniumSmell,
        Sense::Nose,
        "a smell of rotten cabbage or garlic: failing selenium, poisonous; leave the room and air it",
        &[TriggerWord::Running, TriggerWord::Selenium],
        "selenium",
    ),
    sign(
        Sign::WaxSmell,
        Sense::Nose,
        "a smell of hot wax",
        &[TriggerWord::WaxedParts],
        "flyback-in-danger",
    ),
    sign(
        Sign::DrippingWax,
        Sense::Eye,
        "wax dripping on anything hot",
        &[TriggerWord::WaxedParts],
        "wax-fire",
    ),
    sign(
        Sign::TransformerHot,
        Sense::Nose,
        "tar running from the power transformer",
        &[TriggerWord::Running, TriggerWord::PowerTransformer],
        "power-transformer-hot",
    ),
];

/// The signs to watch for in an energised step made of these acts; none in a dead one.
#[must_use]
pub fn stop_signs(acts: &[Act], situation: &Situation) -> Vec<&'static StopSign> {
    if !TriggerWord::Energised.holds(acts, situation) {
        return Vec::new();
    }
    STOP_SIGNS
        .iter()
        .filter(|sign| sign.trigger.iter().all(|word| word.holds(acts, situation)))
        .collect()
}

/// The usual cautions of every energised step, in short.
pub const USUAL_WHILE_ENERGISED: &[&str] = &[
    "Pull the plug before you ask any question.",
    "Keep one hand in a pocket while the plug is in; touch nothing inside.",
    "Clip the meter on with the plug out, then stand back and read.",
    "Take off rings, watch and chain; stand on something dry, away from pipes and radiators.",
    "Stay with the set, one switch within reach that kills the whole bench.",
    "Tell somebody when you begin and when you end, or keep a telephone at hand.",
];

/// The usual cautions about stored charge, in short.
pub const USUAL_STORED_CHARGE: &[&str] = &[
    "Pull the plug and see it lie there.",
    "Discharge through a resistor, then prove it with the meter.",
    "Leave a clip lead on while you work.",
    "The picture tube's anode never counts as discharged by time.",
];
