//! Rules about the horizontal output stage, the high voltage and top caps.
//!
//! Volts are peak volts. Places with sweep pulses are closed to hands and ordinary instruments
//! whenever the power is on, whatever volts were computed for them.

use super::{Rule, when};
use crate::hazard::act::{Act, ActKind};
use crate::hazard::details::{Hold, Instrument, Replacement, Setting, StoredCharge, Treatment};
use crate::hazard::place::ActPlace;
use crate::hazard::situation::{Sign, Situation};

pub(super) const RULES: &[Rule] = &[
    Rule {
        id: "horizontal-output-plate/power-on",
        hazard: "horizontal-output-plate",
        refuses: |act, _| {
            let made_for_it = matches!(act.kind, ActKind::Measure(_))
                && matches!(act.instrument, Some(Instrument::PulseDivider { .. }))
                && act.hold == Hold::ClippedWithPlugOut
                && covers_the_peak(act);
            when(
                act.energised
                    && act.place.has_sweep_pulses()
                    && act.reaches_the_place()
                    && !made_for_it,
                "pulses of kilovolts stand here: measure cathode current, boost at its filtered \
                 end, and drive at the grid instead",
            )
        },
    },
    Rule {
        id: "horizontal-output-plate/arc-drawn",
        hazard: "horizontal-output-plate",
        refuses: |act, _| {
            when(
                act.kind == ActKind::DrawArc && !act.place.has_high_voltage(),
                "an arc drawn to see whether volts are there harms tube, flyback and hand",
            )
        },
    },
    Rule {
        id: "high-voltage/arc-drawn",
        hazard: "high-voltage",
        refuses: |act, _| {
            when(
                act.kind == ActKind::DrawArc && act.place.has_high_voltage(),
                "high voltage is read with a probe, not with an arc",
            )
        },
    },
    Rule {
        id: "high-voltage/no-probe",
        hazard: "high-voltage",
        refuses: |act, _| {
            let with_probe = matches!(act.instrument, Some(Instrument::HighVoltageProbe { .. }))
                && covers_the_peak(act);
            when(
                matches!(act.kind, ActKind::Measure(_))
                    && act.place.has_high_voltage()
                    && !act.place.has_sweep_pulses()
                    && act.charge != StoredCharge::DischargedRepeatedlyClipLeft
                    && !with_probe,
                "only a high-voltage probe made for these volts comes to this place",
            )
        },
    },
    Rule {
        id: "high-voltage/probe-held",
        hazard: "high-voltage",
        refuses: |act, _| {
            when(
                matches!(act.kind, ActKind::Measure(_))
                    && act.place.has_high_voltage()
                    && act.energised
                    && act.hold != Hold::ClippedWithPlugOut,
                "the probe is clipped on with the power off, its ground lead first, and read from \
                 a step away",
            )
        },
    },
    Rule {
        id: "high-voltage/lead-or-cage-moved",
        hazard: "high-voltage",
        refuses: |act, _| {
            when(
                act.energised
                    && act.is_by_hand()
                    && matches!(act.place, ActPlace::Cage | ActPlace::PictureTubeAnode),
                "anode lead and cage stay where they are while the set runs",
            )
        },
    },
    Rule {
        id: "x-rays/raised",
        hazard: "x-rays",
        refuses: |act, _| {
            let (volts, maximum_volts) = match act.kind {
                ActKind::Set(Setting::HighVoltage {
                    volts,
                    maximum_volts,
                }) => (Some(volts), maximum_volts),
                ActKind::Replace(Replacement::SweepPart {
                    high_voltage,
                    maximum_volts,
                }) => (high_voltage, maximum_volts),
                _ => return None,
            };
            let within =
                matches!((volts, maximum_volts), (Some(volts), Some(maximum)) if volts <= maximum);
            when(
                !within,
                "the high voltage must be known to stay within the picture tube's maximum",
            )
        },
    },
    Rule {
        id: "x-rays/cage-off",
        hazard: "x-rays",
        refuses: |act, situation| {
            when(
                act.runs_the_set() && situation.cage_fitted == Some(false),
                "cage and shields of the high voltage are on before the set runs",
            )
        },
    },
    Rule {
        id: "x-rays/run-above-maximum",
        hazard: "x-rays",
        refuses: |act, situation| {
            let above = matches!(
                (situation.anode_volts, situation.anode_maximum_volts),
                (Some(volts), Some(maximum)) if volts > maximum
            );
            when(
                act.runs_the_set() && above,
                "the high voltage would stand above the picture tube's maximum",
            )
        },
    },
    Rule {
        id: "line-frequency-high-voltage/measured",
        hazard: "line-frequency-high-voltage",
        refuses: |act, _| {
            let fixed = matches!(act.instrument, Some(Instrument::FixedMeter { .. }))
                && covers_the_peak(act);
            when(
                matches!(act.place, ActPlace::LineFrequencyHighVoltage(_))
                    && matches!(act.kind, ActKind::Measure(_))
                    && act.energised
                    && !fixed,
                "this supply does not sag: fixed meters only, wired with the power off",
            )
        },
    },
    Rule {
        id: "line-frequency-high-voltage/touched",
        hazard: "line-frequency-high-voltage",
        refuses: |act, _| {
            when(
                matches!(act.place, ActPlace::LineFrequencyHighVoltage(_))
                    && act.is_by_hand()
                    && (act.energised
                        || !matches!(
                            act.charge,
                            StoredCharge::ProvenWithMeter
                                | StoredCharge::DischargedRepeatedlyClipLeft
                        )),
                "this supply kills at once: prove it discharged before a hand comes near",
            )
        },
    },
    Rule {
        id: "corona/run-on",
        hazard: "corona",
        refuses: |act, situation| {
            when(
                goes_on(act) && situation.shows(Sign::Corona),
                "corona ends as an arc or a fire: plug out, discharge, find the point",
            )
        },
    },
    Rule {
        id: "corona/painted-charged",
        hazard: "corona",
        refuses: |act, _| {
            when(
                act.kind == ActKind::Treat(Treatment::Paint)
                    && (act.place.has_high_voltage() || act.place == ActPlace::Flyback)
                    && (act.energised || act.charge != StoredCharge::DischargedRepeatedlyClipLeft),
                "paint goes on discharged, clean and dry parts only",
            )
        },
    },
    Rule {
        id: "tube-cap/power-on",
        hazard: "tube-cap",
        refuses: |act, _| {
            when(
                matches!(
                    act.place,
                    ActPlace::TubeCap(_) | ActPlace::HorizontalOutputPlate(_)
                ) && act.is_by_hand()
                    && act.energised,
                "a cap carries B+, boost or pulses: plug out, discharge, insulated pliers",
            )
        },
    },
    Rule {
        id: "tube-cap/lead-loose",
        hazard: "tube-cap",
        refuses: |act, situation| {
            when(
                act.runs_the_set() && situation.loose_cap_lead,
                "a cap lead hangs loose: fit it or park it away from metal before power",
            )
        },
    },
    Rule {
        id: "flyback-in-danger/closed-without-drive",
        hazard: "flyback-in-danger",
        refuses: |act, situation| {
            when(
                act.kind == ActKind::Close
                    && matches!(act.place, ActPlace::SweepFeed(_))
                    && !situation.drive_known,
                "negative grid drive is seen or computed before the sweep feed is closed",
            )
        },
    },
    Rule {
        id: "flyback-in-danger/drive-taken",
        hazard: "flyback-in-danger",
        refuses: |act, _| {
            when(
                takes(act, act.absence.takes_drive),
                "a fed output tube would lose its drive, or nobody has worked out that it keeps it",
            )
        },
    },
    Rule {
        id: "flyback-in-danger/screen-raised",
        hazard: "flyback-in-danger",
        refuses: |act, _| {
            when(
                act.kind == ActKind::Set(Setting::OutputScreenUp),
                "width is not bought with the output tube's screen",
            )
        },
    },
    Rule {
        id: "flyback-in-danger/red-plate",
        hazard: "flyback-in-danger",
        refuses: |act, situation| {
            when(
                goes_on(act)
                    && (situation.shows(Sign::RedPlate) || situation.shows(Sign::WaxSmell)),
                "a red plate or the smell of hot wax: stop at once",
            )
        },
    },
    Rule {
        id: "horizontal-drive-missing/run",
        hazard: "horizontal-drive-missing",
        refuses: |act, situation| {
            when(
                act.runs_the_set() && output_may_be_fed(situation) && !situation.drive_known,
                "the output stage is fed and its drive is not known: open its feed first, plug out",
            )
        },
    },
    Rule {
        id: "grid-circuit-opened/bias-taken",
        hazard: "grid-circuit-opened",
        refuses: |act, _| {
            when(
                takes(act, act.absence.takes_bias),
                "a fed output tube would lose its bias, or nobody has worked out that it keeps it",
            )
        },
    },
    Rule {
        id: "output-tube-without-plate/taken-away",
        hazard: "output-tube-without-plate",
        refuses: |act, _| {
            when(
                takes(act, act.absence.leaves_screen_fed),
                "an output tube's screen would stay fed without its plate, or nobody has worked \
                 out that it does not",
            )
        },
    },
    Rule {
        id: "output-tube-without-plate/run",
        hazard: "output-tube-without-plate",
        refuses: |act, situation| {
            when(
                act.runs_the_set() && situation.screen_fed_without_plate == Some(true),
                "the screen would take the whole current and burn out in seconds",
            )
        },
    },
];

/// True when the act goes on under power, or brings power.
pub(super) fn goes_on(act: &Act) -> bool {
    act.is_under_power()
}

/// True when an act that takes something away has this effect: for a tube or a plug unless it is
/// known not to, for a lifted part when it is known to.
pub(super) fn takes(act: &Act, effect: Option<bool>) -> bool {
    match act.kind {
        ActKind::Pull => effect != Some(false) && takes_a_tube_or_lead(&act.place),
        ActKind::Open => {
            effect != Some(false) && matches!(act.place, ActPlace::Plug(_) | ActPlace::SweepFeed(_))
        }
        ActKind::Lift => effect == Some(true),
        _ => false,
    }
}

fn takes_a_tube_or_lead(place: &ActPlace) -> bool {
    matches!(
        place,
        ActPlace::Tube(_)
            | ActPlace::TubeCap(_)
            | ActPlace::HorizontalOutputPlate(_)
            | ActPlace::DamperCathode(_)
            | ActPlace::HighVoltageRectifier(_)
            | ActPlace::Part(_)
    )
}

fn output_may_be_fed(situation: &Situation) -> bool {
    situation
        .output_stage_fed
        .unwrap_or(situation.horizontal_output == Some(true))
}

fn covers_the_peak(act: &Act) -> bool {
    let rating = act.instrument.and_then(Instrument::rated_volts).flatten();
    matches!((rating, act.known_peak_volts()), (Some(rating), Some(peak)) if peak <= rating)
}
