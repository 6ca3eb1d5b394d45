//! Rules about meters, probes and hands at energised places. Volts are peak volts.
//!
//! From the rows unknown-volts, parts-moved-under-power, body-current, meter-beyond-rating and
//! oscilloscope-ground. Unknown volts and unknown ratings are refused.

use super::{Rule, when};
use crate::hazard::HURTFUL_PEAK_VOLTS;
use crate::hazard::act::{Act, ActKind};
use crate::hazard::details::{Connected, Hold, Instrument, Measured};
use crate::hazard::place::ActPlace;
use crate::hazard::situation::Isolation;

pub(super) const RULES: &[Rule] = &[
    Rule {
        id: "unknown-volts/energised",
        hazard: "unknown-volts",
        refuses: |act, _| {
            when(
                act.energised && act.reaches_the_place() && act.known_peak_volts().is_none(),
                "the power is on and nobody has worked out the volts at this place",
            )
        },
    },
    Rule {
        id: "parts-moved-under-power/by-hand",
        hazard: "parts-moved-under-power",
        refuses: |act, _| {
            let moved = matches!(
                act.kind,
                ActKind::Pull
                    | ActKind::Fit
                    | ActKind::Lift
                    | ActKind::Replace(_)
                    | ActKind::Solder
                    | ActKind::Carry(_)
                    | ActKind::Connect(_)
            ) || (act.is_by_hand()
                && matches!(act.kind, ActKind::Open | ActKind::Close));
            when(
                act.energised && moved,
                "tubes, plugs, leads and parts are moved with the plug out",
            )
        },
    },
    Rule {
        id: "body-current/touched-live",
        hazard: "body-current",
        refuses: |act, _| {
            when(
                act.kind == ActKind::Touch && act.may_hurt(),
                "a finger at an energised place takes the current through the body",
            )
        },
    },
    Rule {
        id: "body-current/both-hands",
        hazard: "body-current",
        refuses: |act, _| {
            when(
                is_measured(act) && act.hold == Hold::BothHands && act.may_hurt(),
                "with both hands at it the current goes through the chest",
            )
        },
    },
    Rule {
        id: "meter-beyond-rating/volts",
        hazard: "meter-beyond-rating",
        refuses: meter_below_the_peak,
    },
    Rule {
        id: "meter-beyond-rating/rating-unknown",
        hazard: "meter-beyond-rating",
        refuses: |act, _| {
            let rating = act.instrument.and_then(Instrument::rated_volts).flatten();
            when(
                takes_volts(act) && act.may_hurt() && rating.is_none(),
                "the meter and the volts for which it is made must be named first",
            )
        },
    },
    Rule {
        id: "meter-beyond-rating/ohms-on-live-place",
        hazard: "meter-beyond-rating",
        refuses: |act, _| {
            when(
                is_ohms(act) && act.energised,
                "an ohmmeter is for dead places only",
            )
        },
    },
    Rule {
        id: "meter-beyond-rating/current-across-live-place",
        hazard: "meter-beyond-rating",
        refuses: |act, _| {
            let across = matches!(act.to, None | Some(ActPlace::Chassis | ActPlace::Earth));
            when(
                act.kind == ActKind::Measure(Measured::Current)
                    && act.energised
                    && (across || act.hold != Hold::ClippedWithPlugOut),
                "on its current range a meter is a short: it goes into the opened lead with the \
                 plug out, never across",
            )
        },
    },
    Rule {
        id: "meter-beyond-rating/stretched",
        hazard: "meter-beyond-rating",
        refuses: |act, _| {
            when(
                act.instrument == Some(Instrument::StretchedMeter),
                "resistors added to an ordinary meter do not make its leads and case good for \
                 more volts",
            )
        },
    },
    Rule {
        id: "oscilloscope-ground/live-chassis",
        hazard: "oscilloscope-ground",
        refuses: |act, situation| {
            when(
                act.kind == ActKind::Connect(Connected::OscilloscopeGround)
                    && situation.chassis_may_be_live()
                    && situation.isolation != Isolation::IsolationTransformer,
                "the ground clip would short the line through the house earth",
            )
        },
    },
    Rule {
        id: "oscilloscope-ground/off-chassis",
        hazard: "oscilloscope-ground",
        refuses: |act, _| {
            when(
                act.kind == ActKind::Connect(Connected::OscilloscopeGround)
                    && act.place != ActPlace::Chassis,
                "the ground clip goes to chassis and nowhere else",
            )
        },
    },
];

fn is_measured(act: &Act) -> bool {
    matches!(act.kind, ActKind::Measure(_))
}

/// True when the act puts an ohmmeter at the place.
pub(super) fn is_ohms(act: &Act) -> bool {
    act.instrument == Some(Instrument::Ohmmeter)
        || matches!(act.kind, ActKind::Measure(what) if what.is_resistance())
}

fn takes_volts(act: &Act) -> bool {
    matches!(
        act.kind,
        ActKind::Measure(what)
            if !what.is_resistance()
                && !matches!(what, Measured::Temperature | Measured::LineWatts)
    )
}

fn meter_below_the_peak(act: &Act, _: &crate::hazard::Situation) -> Option<String> {
    let rating = act.instrument.and_then(Instrument::rated_volts).flatten()?;
    let peak = act.known_peak_volts()?;
    (takes_volts(act) && (peak > rating || !rating.is_finite())).then(|| {
        format!(
            "up to {peak:.0} V stand at this place and the instrument is made for {rating:.0} V"
        )
    })
}

const _: () = assert!(HURTFUL_PEAK_VOLTS > 42.0 && HURTFUL_PEAK_VOLTS < 42.5);
