//! Rules about electrolytics, rectifiers, heaters in a string, the transformer and missing load.
//!
//! Watts in a can are watts of leakage. A share of a capacitor's limit is computed by the caller
//! for the state in which the set would run; not computed counts as too much where load is missing.

use super::sweep::goes_on;
use super::{Rule, when};
use crate::hazard::MOST_WATTS_IN_CAN;
use crate::hazard::act::ActKind;
use crate::hazard::details::{
    Connected, Instrument, ReFormed, Replacement, Saying, Setting, Treatment,
};
use crate::hazard::place::ActPlace;
use crate::hazard::situation::Sign;

pub(super) const RULES: &[Rule] = &[
    Rule {
        id: "hot-can/own-rectifier",
        hazard: "hot-can",
        refuses: |act, _| {
            when(
                act.kind == ActKind::ReForm(ReFormed::ThroughOwnRectifier),
                "the set's own rectifier gives more current than an old can bears",
            )
        },
    },
    Rule {
        id: "hot-can/too-many-watts",
        hazard: "hot-can",
        refuses: |act, _| match act.kind {
            ActKind::ReForm(ReFormed::FromSeparateSource {
                most_watts_in_can,
                shield,
                series_ohms,
                ..
            }) => when(
                !shield
                    || series_ohms.is_nan()
                    || series_ohms <= 0.0
                    || !most_watts_in_can.is_some_and(|watts| watts <= MOST_WATTS_IN_CAN),
                "behind a resistor that keeps the can within 1 W, and behind a shield",
            ),
            _ => None,
        },
    },
    Rule {
        id: "hot-can/above-its-marking",
        hazard: "hot-can",
        refuses: |act, _| {
            let (volts, marked_volts) = match act.kind {
                ActKind::ReForm(ReFormed::FromSeparateSource {
                    volts,
                    marked_volts,
                    ..
                })
                | ActKind::Set(Setting::SourceVolts {
                    volts,
                    marked_volts,
                }) => (volts, marked_volts),
                _ => return None,
            };
            when(
                !marked_volts.is_some_and(|marked| volts <= marked),
                "the source stays at or below the volts marked on the can",
            )
        },
    },
    Rule {
        id: "hot-can/in-a-running-set",
        hazard: "hot-can",
        refuses: |act, situation| {
            when(
                matches!(act.kind, ActKind::ReForm(_)) && situation.plug_in != Some(false),
                "electrolytics are re-formed with the plug out",
            )
        },
    },
    Rule {
        id: "hot-can/run-on",
        hazard: "hot-can",
        refuses: |act, situation| {
            when(
                goes_on(act) && situation.shows(Sign::HotOrBulgingCan),
                "a can that grows hot, hisses or bulges may burst",
            )
        },
    },
    Rule {
        id: "reversed-electrolytic/unchecked",
        hazard: "reversed-electrolytic",
        refuses: |act, _| {
            when(
                act.kind
                    == ActKind::Replace(Replacement::Electrolytic {
                        polarity_checked: false,
                    }),
                "+ is checked against the sheet before the part is fitted",
            )
        },
    },
    Rule {
        id: "paralleled-old-capacitor/old-stays",
        hazard: "paralleled-old-capacitor",
        refuses: |act, _| {
            when(
                act.kind == ActKind::Connect(Connected::CapacitorAcrossOld { old_stays: true }),
                "the old one goes on leaking and can short the new one: cut it loose",
            )
        },
    },
    Rule {
        id: "paralleled-old-capacitor/bridged-under-power",
        hazard: "paralleled-old-capacitor",
        refuses: |act, situation| {
            when(
                act.kind == ActKind::Connect(Connected::TestCapacitorAcrossOld)
                    && (act.energised || situation.plug_in != Some(false)),
                "a trial capacitor goes across the old one with the plug out and everything discharged",
            )
        },
    },
    Rule {
        id: "selenium/run-on",
        hazard: "selenium",
        refuses: |act, situation| {
            when(
                goes_on(act) && situation.shows(Sign::SeleniumSmell),
                "the smoke of a failing selenium rectifier is poisonous",
            )
        },
    },
    Rule {
        id: "selenium/worked-on",
        hazard: "selenium",
        refuses: |act, _| {
            when(
                matches!(act.place, ActPlace::Selenium(_))
                    && matches!(
                        act.kind,
                        ActKind::Solder
                            | ActKind::Treat(
                                Treatment::Scrape
                                    | Treatment::Flame
                                    | Treatment::Sniff
                                    | Treatment::BreakOpen
                                    | Treatment::Oven
                            )
                    ),
                "its plates are not scraped, soldered on, burnt or sniffed at",
            )
        },
    },
    Rule {
        id: "power-transformer-hot/run-on",
        hazard: "power-transformer-hot",
        refuses: |act, situation| {
            let sign = [
                Sign::TransformerHot,
                Sign::DrawAboveLimit,
                Sign::LampStaysBright,
                Sign::LoudHum,
                Sign::BlueGlow,
            ]
            .into_iter()
            .any(|sign| situation.shows(sign));
            when(
                goes_on(act) && sign,
                "something draws too much: plug out, then the transformer alone behind a lamp",
            )
        },
    },
    Rule {
        id: "series-lamp/said-safe",
        hazard: "series-lamp",
        refuses: |act, _| {
            when(
                act.kind == ActKind::Say(Saying::SafeBehindLamp),
                "a lamp saves parts, not people",
            )
        },
    },
    Rule {
        id: "string-tube-pulled/power-on",
        hazard: "string-tube-pulled",
        refuses: |act, situation| {
            let socket = act.place == ActPlace::PictureTubeSocket;
            when(
                act.kind == ActKind::Pull
                    && act.energised
                    && (socket
                        || (matches!(act.place, ActPlace::Tube(_))
                            && situation.heater_string != Some(false))),
                "the full line stands across the empty heater pins",
            )
        },
    },
    Rule {
        id: "string-tube-pulled/run-with-a-gap",
        hazard: "string-tube-pulled",
        refuses: |act, situation| {
            when(
                act.runs_the_set() && situation.string_gap,
                "with a tube of the string out the line stands across its socket and B+ climbs on \
                 dark tubes",
            )
        },
    },
    Rule {
        id: "string-tube-pulled/bridged",
        hazard: "string-tube-pulled",
        refuses: |act, _| {
            when(
                act.kind == ActKind::Connect(Connected::HeaterBridge),
                "a wire across heater pins overfeeds every other heater of the string",
            )
        },
    },
    Rule {
        id: "open-load/volts-not-computed",
        hazard: "open-load",
        refuses: |act, situation| {
            when(
                act.runs_the_set()
                    && situation.load_missing
                    && situation.capacitor_volts_share.is_none(),
                "with tubes out or a plug open the volts at the capacitors are computed first",
            )
        },
    },
    Rule {
        id: "open-load/above-the-marking",
        hazard: "open-load",
        refuses: |act, situation| {
            when(
                act.runs_the_set()
                    && situation
                        .capacitor_volts_share
                        .is_some_and(|share| share.is_nan() || share > 1.0),
                "a capacitor would stand above its limit: lower line or dummy load",
            )
        },
    },
    Rule {
        id: "hot-parts/bare-hand",
        hazard: "hot-parts",
        refuses: |act, situation| {
            let covered = matches!(
                act.instrument,
                Some(Instrument::Cloth | Instrument::InsulatedPliers)
            );
            when(
                act.is_by_hand()
                    && matches!(act.place, ActPlace::Tube(_) | ActPlace::TubeCap(_))
                    && situation.tubes_hot == Some(true)
                    && !covered,
                "glass stays hot for minutes: wait, or use a cloth",
            )
        },
    },
    Rule {
        id: "hot-parts/cold-cleaner",
        hazard: "hot-parts",
        refuses: |act, _| {
            when(
                act.kind == ActKind::Treat(Treatment::ColdCleanerOnHotGlass),
                "cold cleaner cracks hot glass",
            )
        },
    },
];
