//! Rules about the line, the chassis, isolation, earth, cord and fuse.
//!
//! Line volts are r.m.s. A chassis of which nothing is known counts as on the line.

use super::measuring::is_ohms;
use super::{Rule, when};
use crate::hazard::act::{Act, ActKind};
use crate::hazard::details::{
    Connected, CordReplacement, Hold, Measured, Replacement, SafetyClass, Saying, Setting,
};
use crate::hazard::place::ActPlace;
use crate::hazard::situation::{Cabinet, Cord, Isolation, Situation};

pub(super) const RULES: &[Rule] = &[
    Rule {
        id: "live-chassis/open-without-isolation",
        hazard: "live-chassis",
        refuses: |act, situation| {
            when(
                act.runs_the_set()
                    && situation.chassis_may_be_live()
                    && !is_done_on_the_closed_set(act, situation)
                    && situation.isolation != Isolation::IsolationTransformer,
                "the chassis is on the line, or nobody knows: the open set gets power through an \
                 isolation transformer only",
            )
        },
    },
    Rule {
        id: "live-chassis/leakage-by-hand",
        hazard: "live-chassis",
        refuses: |act, _| {
            when(
                act.kind == ActKind::Measure(Measured::LeakageOfTheClosedSet)
                    && act.hold != Hold::ClippedWithPlugOut,
                "in the leakage test the meter is clipped on with the plug out, hands off while it \
                 is in",
            )
        },
    },
    Rule {
        id: "live-chassis/grounded-lead",
        hazard: "live-chassis",
        refuses: |act, situation| {
            when(
                matches!(
                    act.kind,
                    ActKind::Connect(
                        Connected::GroundedInstrument | Connected::AudioOrComputerLead
                    )
                ) && situation.chassis_may_be_live()
                    && situation.isolation != Isolation::IsolationTransformer,
                "a lead that is grounded, or not isolated, joins the live chassis to earth or to \
                 a hand",
            )
        },
    },
    Rule {
        id: "autotransformer/counted-as-isolation",
        hazard: "autotransformer",
        refuses: |act, situation| {
            let counted = matches!(
                act.kind,
                ActKind::Connect(Connected::VariableTransformer {
                    counted_as_isolation: true
                })
            );
            let alone = act.runs_the_set()
                && situation.isolation == Isolation::VariableAutotransformer
                && !is_done_on_the_closed_set(act, situation)
                && situation.chassis_may_be_live();
            when(
                counted || alone,
                "a variable autotransformer isolates nothing: the isolation transformer comes first",
            )
        },
    },
    Rule {
        id: "isolation-has-an-end/said-safe",
        hazard: "isolation-has-an-end",
        refuses: |act, _| {
            when(
                act.kind == ActKind::Say(Saying::SafeBehindIsolation),
                "B+ to chassis kills behind an isolation transformer as before it",
            )
        },
    },
    Rule {
        id: "isolation-has-an-end/two-loads",
        hazard: "isolation-has-an-end",
        refuses: |act, situation| {
            when(
                act.kind == ActKind::Connect(Connected::SecondLoadOnIsolation)
                    || (act.runs_the_set()
                        && situation.isolation == Isolation::IsolationTransformer
                        && situation.others_on_isolation > 0),
                "one set to one isolation transformer, nothing else on it",
            )
        },
    },
    Rule {
        id: "isolation-has-an-end/second-ground",
        hazard: "isolation-has-an-end",
        refuses: |act, situation| {
            when(
                matches!(
                    act.kind,
                    ActKind::Connect(Connected::GroundedInstrument | Connected::OscilloscopeGround)
                ) && situation.isolation == Isolation::IsolationTransformer
                    && situation.grounded_leads > 0,
                "one grounded instrument or none",
            )
        },
    },
    Rule {
        id: "chassis-bonding/live-chassis-earthed",
        hazard: "chassis-bonding",
        refuses: |act, situation| {
            when(
                act.kind == ActKind::Connect(Connected::Earth) && situation.chassis_may_be_live(),
                "earth on a chassis that is on the line, or may be, is a short through the house \
                 wiring",
            )
        },
    },
    Rule {
        id: "chassis-bonding/instrument-earth-opened",
        hazard: "chassis-bonding",
        refuses: |act, _| {
            when(
                act.place == ActPlace::InstrumentEarth
                    && matches!(act.kind, ActKind::Open | ActKind::Lift | ActKind::Pull),
                "the safety earth of an instrument stays joined",
            )
        },
    },
    Rule {
        id: "antenna-isolation/before-parts-are-new",
        hazard: "antenna-isolation",
        refuses: |act, situation| {
            when(
                act.kind == ActKind::Connect(Connected::Antenna)
                    && situation.chassis_may_be_live()
                    && !situation.antenna_parts_replaced,
                "the old isolating capacitors may put the antenna on the line",
            )
        },
    },
    Rule {
        id: "antenna-isolation/changed",
        hazard: "antenna-isolation",
        refuses: |act, _| {
            when(
                matches!(
                    act.kind,
                    ActKind::Replace(Replacement::AntennaIsolation {
                        bleed_resistor,
                        larger_than_drawn,
                    }) if !bleed_resistor || larger_than_drawn
                ),
                "the drawn capacitors and the drawn bleed resistor, nothing larger, nothing left out",
            )
        },
    },
    Rule {
        id: "line-capacitors/wrong-part",
        hazard: "line-capacitors",
        refuses: |act, _| {
            when(
                matches!(
                    act.kind,
                    ActKind::Replace(Replacement::LineCapacitor {
                        class,
                        to_touched_metal,
                        larger_than_drawn,
                    }) if class == SafetyClass::Ordinary
                        || (to_touched_metal && class != SafetyClass::Y)
                        || larger_than_drawn
                ),
                "class Y1 or Y2 to metal, X1 or X2 across the line, no larger than drawn",
            )
        },
    },
    Rule {
        id: "line-capacitors/old-one-left",
        hazard: "line-capacitors",
        refuses: |act, situation| {
            let left = situation.old_line_capacitors == Some(true)
                || (act.kind == ActKind::HandOver && situation.old_line_capacitors.is_none());
            when(
                (act.runs_the_set() || act.kind == ActKind::HandOver) && left,
                "an old capacitor at the line is replaced or cut loose before power",
            )
        },
    },
    Rule {
        id: "touched-metal/handed-over-untested",
        hazard: "touched-metal",
        refuses: |act, situation| {
            when(
                act.kind == ActKind::HandOver && !situation.leakage_test_passed,
                "leakage is measured both ways of the plug, off the isolation transformer, before \
                 anybody uses the set",
            )
        },
    },
    Rule {
        id: "old-line-cord/first-power",
        hazard: "old-line-cord",
        refuses: |act, situation| {
            when(
                act.starts_the_set() && situation.cord == Cord::AsFound,
                "the old cord is replaced before the first power",
            )
        },
    },
    Rule {
        id: "resistance-cord/plain-shortened-coiled",
        hazard: "resistance-cord",
        refuses: |act, _| {
            when(
                matches!(
                    act.kind,
                    ActKind::Replace(Replacement::ResistanceCord(
                        CordReplacement::PlainCord
                            | CordReplacement::Shortened
                            | CordReplacement::CoiledUp
                    ))
                ),
                "this cord is a heater: its ohms and watts must be kept by a computed dropper",
            )
        },
    },
    Rule {
        id: "wrong-fuse/larger",
        hazard: "wrong-fuse",
        refuses: |act, _| match act.kind {
            ActKind::Replace(Replacement::Fuse {
                amperes,
                right_amperes,
                slow_for_fast,
            }) => when(
                slow_for_fast || !right_amperes.is_some_and(|right| amperes <= right),
                "the marked or computed fuse and kind, nothing larger, nothing slower",
            ),
            _ => None,
        },
    },
    Rule {
        id: "wrong-fuse/bridged",
        hazard: "wrong-fuse",
        refuses: |act, _| {
            when(
                act.kind == ActKind::Connect(Connected::FuseBridge),
                "a bridged fuse protects neither transformer nor house",
            )
        },
    },
    Rule {
        id: "interlock-defeated/reached-in",
        hazard: "interlock-defeated",
        refuses: |act, situation| {
            when(
                reaches_inside(act) && situation.plug_in != Some(false),
                "the plug is pulled at the wall and seen to lie there before a hand goes in",
            )
        },
    },
    Rule {
        id: "interlock-defeated/bridged-for-good",
        hazard: "interlock-defeated",
        refuses: |act, _| {
            when(
                act.kind == ActKind::Connect(Connected::InterlockBridge { for_good: true }),
                "the interlock keeps hands from what lies behind the back",
            )
        },
    },
    Rule {
        id: "line-higher-than-marked/for-hours",
        hazard: "line-higher-than-marked",
        refuses: |act, _| match act.kind {
            ActKind::Set(Setting::LineVolts {
                volts,
                marked_volts,
                for_hours,
                margin_computed,
            }) => when(
                for_hours
                    && !margin_computed
                    && !marked_volts.is_some_and(|marked| volts <= marked),
                "hours above the marked line need computed margins for heaters, B+ and transformer",
            ),
            _ => None,
        },
    },
    Rule {
        id: "damp-floor/energised",
        hazard: "damp-floor",
        refuses: |act, situation: &Situation| {
            when(
                act.is_under_power() && situation.damp_floor == Some(true),
                "a damp floor or grounded metal in reach: dry mat and distance first",
            )
        },
    },
    Rule {
        id: "local-rules/house-wiring",
        hazard: "local-rules",
        refuses: |act, _| {
            when(
                act.place == ActPlace::HouseWiring
                    && !matches!(act.kind, ActKind::Look | ActKind::Say(_)),
                "fixed wiring is for a licensed person",
            )
        },
    },
    Rule {
        id: "local-rules/approved",
        hazard: "local-rules",
        refuses: |act, _| {
            when(
                act.kind == ActKind::Say(Saying::Approved),
                "no reading here approves a set or stands for a standard",
            )
        },
    },
];

/// The leakage test of the closed set, and what is done with it closed and nothing touched.
fn is_done_on_the_closed_set(act: &Act, situation: &Situation) -> bool {
    situation.cabinet == Cabinet::Closed
        && (!act.reaches_the_place()
            || act.kind == ActKind::Measure(Measured::LeakageOfTheClosedSet))
}

fn reaches_inside(act: &Act) -> bool {
    let outside = matches!(
        act.place,
        ActPlace::LineCord | ActPlace::WholeSet | ActPlace::Bench | ActPlace::FrontGlass
    );
    !act.energised
        && !outside
        && (act.is_by_hand()
            || is_ohms(act)
            || matches!(act.kind, ActKind::Discharge | ActKind::Treat(_)))
}
