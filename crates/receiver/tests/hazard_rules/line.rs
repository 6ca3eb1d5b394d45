//! One refused act and a near one for each rule about the line, the chassis and the cord.
//!
//! Source: the columns `never_advise` and `safe_way` of `data/hazards.csv`.

use receiver::hazard::{
    ActKind, ActPlace, Cabinet, ChassisRelation, Connected, Cord, CordReplacement, Hold, Isolation,
    Replacement, SafetyClass, Saying, StoredCharge, Treatment,
};

use super::acts::{
    Case, at, at_set, b_plus, bench, bench_but, by_act, by_situation, connect, fuse, leakage, line,
    line_capacitor, on_the_line, replace, say, treat,
};

pub fn line_cases() -> Vec<Case> {
    let variable = |counted_as_isolation| {
        connect(
            Connected::VariableTransformer {
                counted_as_isolation,
            },
            ActPlace::Bench,
        )
    };
    vec![
        by_situation(
            "live-chassis/open-without-isolation",
            at_set(ActKind::PlugIn),
            bench_but(|s| {
                s.chassis = ChassisRelation::Unknown;
                s.isolation = Isolation::None;
            }),
            bench_but(|s| s.chassis = ChassisRelation::Unknown),
        ),
        by_situation(
            "live-chassis/open-without-isolation",
            leakage(),
            bench_but(on_the_line),
            bench_but(|s| {
                on_the_line(s);
                s.cabinet = Cabinet::Closed;
            }),
        ),
        by_act(
            "live-chassis/leakage-by-hand",
            leakage().hold(Hold::OneHand),
            leakage(),
        ),
        by_situation(
            "live-chassis/grounded-lead",
            connect(Connected::GroundedInstrument, ActPlace::Chassis),
            bench_but(on_the_line),
            bench_but(|s| s.chassis = ChassisRelation::OnTheLine),
        ),
        by_situation(
            "autotransformer/counted-as-isolation",
            at_set(ActKind::PlugIn),
            bench_but(|s| {
                s.chassis = ChassisRelation::OnTheLine;
                s.isolation = Isolation::VariableAutotransformer;
            }),
            bench_but(|s| {
                s.chassis = ChassisRelation::OnTheLine;
                s.variable_transformer = true;
            }),
        ),
        by_act(
            "autotransformer/counted-as-isolation",
            variable(true),
            variable(false),
        ),
        by_act(
            "isolation-has-an-end/said-safe",
            say(Saying::SafeBehindIsolation),
            say(Saying::TreatAsLive),
        ),
        by_situation(
            "isolation-has-an-end/two-loads",
            at_set(ActKind::SwitchOn),
            bench_but(|s| s.others_on_isolation = 1),
            bench(),
        ),
        by_act(
            "isolation-has-an-end/two-loads",
            connect(Connected::SecondLoadOnIsolation, ActPlace::Bench),
            connect(Connected::IsolationTransformer, ActPlace::Bench),
        ),
        by_situation(
            "isolation-has-an-end/second-ground",
            connect(Connected::GroundedInstrument, ActPlace::Chassis),
            bench_but(|s| s.grounded_leads = 1),
            bench(),
        ),
        by_situation(
            "chassis-bonding/live-chassis-earthed",
            connect(Connected::Earth, ActPlace::Chassis),
            bench_but(|s| s.chassis = ChassisRelation::Unknown),
            bench(),
        ),
        by_act(
            "chassis-bonding/instrument-earth-opened",
            at(ActKind::Open, ActPlace::InstrumentEarth),
            at(ActKind::Look, ActPlace::InstrumentEarth),
        ),
        by_situation(
            "antenna-isolation/before-parts-are-new",
            connect(Connected::Antenna, ActPlace::AntennaTerminals),
            bench_but(|s| {
                s.chassis = ChassisRelation::OnTheLine;
                s.antenna_parts_replaced = false;
            }),
            bench_but(|s| s.chassis = ChassisRelation::OnTheLine),
        ),
        by_act(
            "antenna-isolation/changed",
            replace(
                Replacement::AntennaIsolation {
                    bleed_resistor: false,
                    larger_than_drawn: false,
                },
                ActPlace::AntennaTerminals,
            ),
            replace(
                Replacement::AntennaIsolation {
                    bleed_resistor: true,
                    larger_than_drawn: false,
                },
                ActPlace::AntennaTerminals,
            ),
        ),
        by_act(
            "line-capacitors/wrong-part",
            line_capacitor(SafetyClass::X, true),
            line_capacitor(SafetyClass::Y, true),
        ),
        by_act(
            "line-capacitors/wrong-part",
            line_capacitor(SafetyClass::Ordinary, false),
            line_capacitor(SafetyClass::X, false),
        ),
        by_situation(
            "line-capacitors/old-one-left",
            at_set(ActKind::PlugIn),
            bench_but(|s| s.old_line_capacitors = Some(true)),
            bench(),
        ),
        by_situation(
            "touched-metal/handed-over-untested",
            at_set(ActKind::HandOver),
            bench_but(|s| s.leakage_test_passed = false),
            bench(),
        ),
        by_situation(
            "old-line-cord/first-power",
            at_set(ActKind::PlugIn),
            bench_but(|s| s.cord = Cord::AsFound),
            bench(),
        ),
        by_act(
            "resistance-cord/plain-shortened-coiled",
            replace(
                Replacement::ResistanceCord(CordReplacement::PlainCord),
                ActPlace::LineCord,
            ),
            replace(
                Replacement::ResistanceCord(CordReplacement::NewCordAndDropper),
                ActPlace::LineCord,
            ),
        ),
        by_act(
            "wrong-fuse/larger",
            fuse(0.5, Some(0.25)),
            fuse(0.25, Some(0.25)),
        ),
        by_act("wrong-fuse/larger", fuse(0.25, None), fuse(0.2, Some(0.25))),
        by_act(
            "wrong-fuse/bridged",
            connect(Connected::FuseBridge, ActPlace::Fuse("F1".to_owned())),
            fuse(0.25, Some(0.25)),
        ),
        by_situation(
            "interlock-defeated/reached-in",
            at(ActKind::Touch, b_plus()).charge(StoredCharge::ProvenWithMeter),
            bench_but(|s| s.plug_in = Some(true)),
            bench(),
        ),
        by_act(
            "interlock-defeated/bridged-for-good",
            connect(
                Connected::InterlockBridge { for_good: true },
                ActPlace::Interlock,
            ),
            connect(
                Connected::InterlockBridge { for_good: false },
                ActPlace::Interlock,
            ),
        ),
        by_act(
            "line-higher-than-marked/for-hours",
            line(123.0, Some(117.0), true, false),
            line(123.0, Some(117.0), true, true),
        ),
        by_act(
            "line-higher-than-marked/for-hours",
            line(117.0, None, true, false),
            line(117.0, Some(117.0), true, false),
        ),
        by_situation(
            "damp-floor/energised",
            at_set(ActKind::SwitchOn),
            bench_but(|s| s.damp_floor = Some(true)),
            bench(),
        ),
        by_act(
            "local-rules/house-wiring",
            treat(Treatment::Rewire, ActPlace::HouseWiring),
            at(ActKind::Look, ActPlace::HouseWiring),
        ),
        by_act(
            "local-rules/approved",
            say(Saying::Approved),
            say(Saying::AskLicensedPerson),
        ),
    ]
}
