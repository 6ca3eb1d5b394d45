//! For every rule one act that it refuses and a near one that passes all rules.
//!
//! What is refused comes from the `never_advise` column of `data/hazards.csv`, what passes from
//! its `safe_way` (common practice); 42.4 V is 30 V r.m.s. times root 2, closed form.

use std::collections::BTreeSet;

use receiver::hazard::{
    self, Absence, Act, ActKind, ActPlace, Cabinet, Carrying, ChassisRelation, Connected, Cord,
    CordReplacement, Glass, Grip, Hold, Instrument, Isolation, Measured, ReFormed, Replacement,
    SafetyClass, Saying, Setting, ShockCase, Sign, Situation, StoredCharge, Treatment, Verdict,
    Watch,
};

/// A bench and a set with everything known and in order.
fn bench() -> Situation {
    Situation {
        chassis: ChassisRelation::IsolatedByTransformer,
        isolation: Isolation::IsolationTransformer,
        cord: Cord::New,
        plug_in: Some(false),
        damp_floor: Some(false),
        line_volts: Some(117.0),
        marked_line_volts: Some(117.0),
        heater_string: Some(false),
        old_line_capacitors: Some(false),
        antenna_parts_replaced: true,
        tubes_hot: Some(false),
        coating: Some(true),
        coating_grounded: Some(true),
        metal_cone: Some(false),
        ion_trap_needed: Some(true),
        ion_trap_fitted: true,
        ion_trap_set: true,
        picture_socket_on: Some(true),
        front_glass_fitted: Some(true),
        cage_fitted: Some(true),
        output_stage_fed: Some(true),
        drive_known: true,
        sweeps_run: Some(true),
        brightness_at_minimum: true,
        screen_fed_without_plate: Some(false),
        picture_grid_above_cathode: Some(false),
        capacitor_volts_share: Some(0.9),
        leakage_test_passed: true,
        ..Situation::default()
    }
}

fn bench_but(change: impl FnOnce(&mut Situation)) -> Situation {
    let mut situation = bench();
    change(&mut situation);
    situation
}

fn on_the_line(situation: &mut Situation) {
    situation.chassis = ChassisRelation::OnTheLine;
    situation.isolation = Isolation::None;
}

fn at(kind: ActKind, place: ActPlace) -> Act {
    Act::new(kind, place)
}

fn at_set(kind: ActKind) -> Act {
    Act::new(kind, ActPlace::WholeSet)
}

fn b_plus() -> ActPlace {
    ActPlace::junction("B+ main")
}

fn volts(peak_volts: Option<f64>) -> Act {
    Act::measure(Measured::DcVolts, b_plus(), ActPlace::Chassis)
        .energised(peak_volts)
        .with(meter(600.0))
}

fn meter(rated_volts: f64) -> Instrument {
    Instrument::Meter {
        rated_volts: Some(rated_volts),
    }
}

fn high_volts(peak_volts: f64, rated_volts: f64) -> Act {
    Act::measure(
        Measured::HighVolts,
        ActPlace::PictureTubeAnode,
        ActPlace::Chassis,
    )
    .energised(Some(peak_volts))
    .with(Instrument::HighVoltageProbe {
        rated_volts: Some(rated_volts),
    })
}

fn leakage() -> Act {
    Act::measure(
        Measured::LeakageOfTheClosedSet,
        ActPlace::ExposedMetal,
        ActPlace::Earth,
    )
    .with(meter(300.0))
    .energised(Some(177.0))
}

fn dead(kind: ActKind, place: ActPlace) -> Act {
    Act::new(kind, place).charge(StoredCharge::ProvenWithMeter)
}

fn pull(place: ActPlace, absence: Absence) -> Act {
    dead(ActKind::Pull, place).absence(absence)
}

fn tube() -> ActPlace {
    ActPlace::tube("V5")
}

fn sweep_feed() -> ActPlace {
    ActPlace::SweepFeed("J2".to_owned())
}

fn carry(place: ActPlace, change: impl FnOnce(&mut Carrying)) -> Act {
    let mut carrying = Carrying {
        people: 2,
        grip: if place.is_picture_tube() {
            Grip::UnderTheFace
        } else {
            Grip::ByTheFrame
        },
        protected: true,
        others_near: false,
    };
    change(&mut carrying);
    at(ActKind::Carry(carrying), place).charge(StoredCharge::DischargedRepeatedlyClipLeft)
}

fn re_form(watts: Option<f64>, volts: f64, shield: bool) -> Act {
    at(
        ActKind::ReForm(ReFormed::FromSeparateSource {
            volts,
            marked_volts: Some(450.0),
            series_ohms: 47e3,
            most_watts_in_can: watts,
            shield,
        }),
        ActPlace::part("C1A"),
    )
}

fn connect(what: Connected, place: ActPlace) -> Act {
    dead(ActKind::Connect(what), place)
}

fn replace(what: Replacement, place: ActPlace) -> Act {
    dead(ActKind::Replace(what), place)
}

fn treat(what: Treatment, place: ActPlace) -> Act {
    dead(ActKind::Treat(what), place)
}

fn say(what: Saying) -> Act {
    at_set(ActKind::Say(what))
}

fn fuse(amperes: f64, right_amperes: Option<f64>) -> Act {
    replace(
        Replacement::Fuse {
            amperes,
            right_amperes,
            slow_for_fast: false,
        },
        ActPlace::Fuse("F1".to_owned()),
    )
}

fn line_capacitor(class: SafetyClass, to_touched_metal: bool) -> Act {
    replace(
        Replacement::LineCapacitor {
            class,
            to_touched_metal,
            larger_than_drawn: false,
        },
        ActPlace::part("C90"),
    )
}

fn line(volts: f64, marked_volts: Option<f64>, for_hours: bool, margin_computed: bool) -> Act {
    at_set(ActKind::Set(Setting::LineVolts {
        volts,
        marked_volts,
        for_hours,
        margin_computed,
    }))
}

fn heater(volts: f64, rated_volts: Option<f64>, limit_seconds: Option<f64>) -> Act {
    at(
        ActKind::Set(Setting::HeaterVolts {
            volts,
            rated_volts,
            gentler_tried: limit_seconds.is_some(),
            limit_seconds,
        }),
        ActPlace::PictureTube,
    )
}

fn wait(watch: Watch) -> Act {
    at_set(ActKind::Wait {
        seconds: 60.0,
        watch,
    })
    .energised(None)
}

fn shock(change: impl FnOnce(&mut ShockCase)) -> Act {
    let mut case = ShockCase {
        gentler_tried: true,
        still_gives_a_picture: false,
        done_before: false,
        owner_decided: true,
    };
    change(&mut case);
    at(ActKind::Shock(case), ActPlace::PictureTube)
}

struct Case {
    rule: &'static str,
    refused: (Act, Situation),
    near: (Act, Situation),
}

/// One act, refused in one situation and passed in another.
fn by_situation(rule: &'static str, act: Act, bad: Situation, good: Situation) -> Case {
    Case {
        rule,
        refused: (act.clone(), bad),
        near: (act, good),
    }
}

/// One situation in order, two acts.
fn by_act(rule: &'static str, refused: Act, near: Act) -> Case {
    Case {
        rule,
        refused: (refused, bench()),
        near: (near, bench()),
    }
}

/// Going on while a sign shows, and going on without it.
fn by_sign(rule: &'static str, sign: Sign) -> Case {
    by_situation(
        rule,
        at_set(ActKind::KeepRunning),
        bench_but(|s| s.signs.push(sign)),
        bench(),
    )
}

fn material(rule: &'static str, place: ActPlace, bad: Treatment) -> Case {
    by_act(
        rule,
        treat(bad, place.clone()),
        treat(Treatment::SealAndHandIn, place),
    )
}

fn measuring_cases() -> Vec<Case> {
    let scope = || connect(Connected::OscilloscopeGround, ActPlace::Chassis);
    vec![
        by_act("unknown-volts/energised", volts(None), volts(Some(390.0))),
        by_act(
            "parts-moved-under-power/by-hand",
            pull(tube(), Absence::HARMLESS).energised(Some(6.3)),
            pull(tube(), Absence::HARMLESS),
        ),
        by_act(
            "body-current/touched-live",
            at(ActKind::Touch, b_plus()).energised(Some(43.0)),
            at(ActKind::Touch, b_plus()).energised(Some(42.0)),
        ),
        by_act(
            "body-current/both-hands",
            volts(Some(390.0)).hold(Hold::BothHands),
            volts(Some(390.0)).hold(Hold::OneHand),
        ),
        by_act(
            "meter-beyond-rating/volts",
            volts(Some(601.0)),
            volts(Some(600.0)),
        ),
        by_act(
            "meter-beyond-rating/rating-unknown",
            volts(Some(390.0)).with(Instrument::Meter { rated_volts: None }),
            volts(Some(12.0)).with(Instrument::Meter { rated_volts: None }),
        ),
        by_act(
            "meter-beyond-rating/ohms-on-live-place",
            Act::measure(Measured::Ohms, b_plus(), ActPlace::Chassis)
                .with(Instrument::Ohmmeter)
                .energised(Some(5.0)),
            Act::measure(Measured::Ohms, b_plus(), ActPlace::Chassis)
                .with(Instrument::Ohmmeter)
                .charge(StoredCharge::ProvenWithMeter),
        ),
        by_act(
            "meter-beyond-rating/current-across-live-place",
            Act::measure(Measured::Current, b_plus(), ActPlace::Chassis)
                .with(meter(600.0))
                .energised(Some(390.0)),
            Act::measure(Measured::Current, b_plus(), ActPlace::junction("B+ 275"))
                .with(meter(600.0))
                .energised(Some(390.0)),
        ),
        by_act(
            "meter-beyond-rating/stretched",
            volts(Some(20.0)).with(Instrument::StretchedMeter),
            volts(Some(20.0)),
        ),
        by_situation(
            "oscilloscope-ground/live-chassis",
            scope(),
            bench_but(on_the_line),
            bench_but(|s| s.chassis = ChassisRelation::OnTheLine),
        ),
        by_act(
            "oscilloscope-ground/off-chassis",
            connect(Connected::OscilloscopeGround, b_plus()),
            scope(),
        ),
    ]
}

fn charge_cases() -> Vec<Case> {
    let discharge = |place: ActPlace, instrument| at(ActKind::Discharge, place).with(instrument);
    let anode = || ActPlace::PictureTubeAnode;
    let filter = || ActPlace::HighVoltageFilter("C80".to_owned());
    let cleared = StoredCharge::DischargedRepeatedlyClipLeft;
    vec![
        by_act(
            "charged-electrolytics/by-hand",
            at(ActKind::Touch, b_plus()).charge(StoredCharge::DischargedOnce),
            at(ActKind::Touch, b_plus()).charge(StoredCharge::ProvenWithMeter),
        ),
        by_act(
            "charged-electrolytics/ohms",
            Act::measure(Measured::Ohms, b_plus(), ActPlace::Chassis),
            Act::measure(Measured::Ohms, b_plus(), ActPlace::Chassis)
                .charge(StoredCharge::NoneHere),
        ),
        by_act(
            "charged-electrolytics/time-has-passed",
            at(ActKind::Touch, ActPlace::part("C1A")).charge(StoredCharge::TimeHasPassed),
            at(ActKind::Touch, ActPlace::part("C1A")).charge(StoredCharge::ProvenWithMeter),
        ),
        by_act(
            "charged-electrolytics/without-resistor",
            discharge(b_plus(), Instrument::Screwdriver),
            discharge(b_plus(), Instrument::DischargeResistor),
        ),
        by_act(
            "charged-electrolytics/discharged-under-power",
            discharge(b_plus(), Instrument::DischargeResistor).energised(Some(300.0)),
            discharge(b_plus(), Instrument::DischargeResistor).peak(Some(300.0)),
        ),
        by_act(
            "picture-tube-charge/handled",
            at(ActKind::Touch, anode()).charge(StoredCharge::ProvenWithMeter),
            at(ActKind::Touch, anode()).charge(cleared),
        ),
        by_act(
            "picture-tube-charge/discharged-wrongly",
            discharge(anode(), Instrument::DischargeRod).to(ActPlace::Chassis),
            discharge(anode(), Instrument::DischargeRod).to(ActPlace::PictureTubeCoating),
        ),
        by_situation(
            "ungrounded-coating/run",
            at_set(ActKind::SwitchOn),
            bench_but(|s| s.coating_grounded = Some(false)),
            bench(),
        ),
        by_act(
            "high-voltage-filter-charge/not-on-its-own",
            at(ActKind::Touch, filter()).charge(StoredCharge::AnotherWasDischarged),
            at(ActKind::Touch, filter()).charge(cleared),
        ),
        by_act(
            "high-voltage-filter-charge/without-rod",
            discharge(filter(), Instrument::ClipLead),
            discharge(filter(), Instrument::DischargeRod),
        ),
        by_act(
            "metal-cone/touched",
            at(ActKind::Touch, ActPlace::MetalCone).charge(StoredCharge::DischargedOnce),
            at(ActKind::Touch, ActPlace::MetalCone).charge(cleared),
        ),
        by_act(
            "metal-cone/measured-near",
            Act::measure(Measured::HighVolts, ActPlace::MetalCone, ActPlace::Chassis)
                .with(Instrument::HighVoltageProbe {
                    rated_volts: Some(30e3),
                })
                .energised(Some(12e3)),
            high_volts(12e3, 30e3),
        ),
        by_situation(
            "metal-cone/boot-off",
            at_set(ActKind::PlugIn),
            bench_but(|s| s.metal_cone = Some(true)),
            bench_but(|s| {
                s.metal_cone = Some(true);
                s.cone_boot_fitted = Some(true);
            }),
        ),
    ]
}

fn line_cases() -> Vec<Case> {
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

fn sweep_cases() -> Vec<Case> {
    let plate = || ActPlace::HorizontalOutputPlate("V17".to_owned());
    let pulses = |instrument| {
        Act::measure(Measured::AcVolts, plate(), ActPlace::Chassis)
            .energised(Some(5e3))
            .with(instrument)
    };
    let filed = ActPlace::LineFrequencyHighVoltage("T9".to_owned());
    let fixed = |instrument| {
        Act::measure(Measured::DcVolts, filed.clone(), ActPlace::Chassis)
            .energised(Some(3e3))
            .with(instrument)
    };
    let cap = || ActPlace::TubeCap("V8".to_owned());
    let high = |volts, maximum_volts| {
        at_set(ActKind::Set(Setting::HighVoltage {
            volts,
            maximum_volts,
        }))
    };
    let keeps = |change: fn(&mut Absence)| {
        let mut absence = Absence::HARMLESS;
        change(&mut absence);
        absence
    };
    vec![
        by_act(
            "horizontal-output-plate/power-on",
            pulses(meter(6e3)),
            pulses(Instrument::PulseDivider {
                rated_volts: Some(10e3),
            }),
        ),
        by_act(
            "horizontal-output-plate/power-on",
            Act::measure(
                Measured::DcVolts,
                ActPlace::DamperCathode("V18".to_owned()),
                ActPlace::Chassis,
            )
            .energised(Some(500.0))
            .with(meter(1000.0)),
            Act::measure(
                Measured::DcVolts,
                ActPlace::junction("boost"),
                ActPlace::Chassis,
            )
            .energised(Some(500.0))
            .with(meter(1000.0)),
        ),
        by_act(
            "horizontal-output-plate/power-on",
            at(
                ActKind::Touch,
                ActPlace::HighVoltageRectifier("V19".to_owned()),
            )
            .energised(Some(10.0)),
            at(
                ActKind::Touch,
                ActPlace::HighVoltageRectifier("V19".to_owned()),
            )
            .charge(StoredCharge::DischargedRepeatedlyClipLeft),
        ),
        by_act(
            "horizontal-output-plate/arc-drawn",
            at(ActKind::DrawArc, plate()).with(Instrument::Screwdriver),
            at(ActKind::Look, plate()),
        ),
        by_act(
            "high-voltage/arc-drawn",
            at(ActKind::DrawArc, ActPlace::PictureTubeAnode).with(Instrument::Pencil),
            high_volts(12e3, 30e3),
        ),
        by_act(
            "high-voltage/no-probe",
            high_volts(12e3, 10e3),
            high_volts(12e3, 30e3),
        ),
        by_act(
            "high-voltage/no-probe",
            high_volts(12e3, 0.0).with(meter(20e3)),
            high_volts(12e3, 12e3),
        ),
        by_act(
            "high-voltage/probe-held",
            high_volts(12e3, 30e3).hold(Hold::OneHand),
            high_volts(12e3, 30e3),
        ),
        by_act(
            "high-voltage/lead-or-cage-moved",
            at(ActKind::Open, ActPlace::Cage).energised(Some(0.0)),
            at(ActKind::Open, ActPlace::Cage),
        ),
        by_act(
            "x-rays/raised",
            high(13e3, Some(12e3)),
            high(12e3, Some(12e3)),
        ),
        by_act(
            "x-rays/raised",
            replace(
                Replacement::SweepPart {
                    high_voltage: None,
                    maximum_volts: Some(12e3),
                },
                ActPlace::Flyback,
            ),
            replace(
                Replacement::SweepPart {
                    high_voltage: Some(11e3),
                    maximum_volts: Some(12e3),
                },
                ActPlace::Flyback,
            ),
        ),
        by_situation(
            "x-rays/cage-off",
            at_set(ActKind::SwitchOn),
            bench_but(|s| s.cage_fitted = Some(false)),
            bench(),
        ),
        by_situation(
            "x-rays/run-above-maximum",
            at_set(ActKind::SwitchOn),
            bench_but(|s| {
                s.anode_volts = Some(12.1e3);
                s.anode_maximum_volts = Some(12e3);
            }),
            bench_but(|s| {
                s.anode_volts = Some(12e3);
                s.anode_maximum_volts = Some(12e3);
            }),
        ),
        by_act(
            "line-frequency-high-voltage/measured",
            fixed(meter(5e3)),
            fixed(Instrument::FixedMeter {
                rated_volts: Some(5e3),
            }),
        ),
        by_act(
            "line-frequency-high-voltage/touched",
            at(ActKind::Touch, filed.clone()).charge(StoredCharge::DischargedOnce),
            at(ActKind::Touch, filed.clone()).charge(StoredCharge::ProvenWithMeter),
        ),
        by_sign("corona/run-on", Sign::Corona),
        by_act(
            "corona/painted-charged",
            at(ActKind::Treat(Treatment::Paint), ActPlace::Flyback),
            at(ActKind::Treat(Treatment::Paint), ActPlace::Flyback)
                .charge(StoredCharge::DischargedRepeatedlyClipLeft),
        ),
        by_act(
            "tube-cap/power-on",
            pull(cap(), Absence::HARMLESS).energised(Some(10.0)),
            pull(cap(), Absence::HARMLESS).with(Instrument::InsulatedPliers),
        ),
        by_situation(
            "tube-cap/lead-loose",
            at_set(ActKind::SwitchOn),
            bench_but(|s| s.loose_cap_lead = true),
            bench(),
        ),
        by_situation(
            "flyback-in-danger/closed-without-drive",
            dead(ActKind::Close, sweep_feed()),
            bench_but(|s| s.drive_known = false),
            bench(),
        ),
        by_act(
            "flyback-in-danger/drive-taken",
            pull(tube(), keeps(|absence| absence.takes_drive = Some(true))),
            pull(tube(), Absence::HARMLESS),
        ),
        by_act(
            "flyback-in-danger/screen-raised",
            at(ActKind::Set(Setting::OutputScreenUp), tube()),
            at(
                ActKind::Set(Setting::ControlTenths(5)),
                ActPlace::part("R70"),
            ),
        ),
        by_sign("flyback-in-danger/red-plate", Sign::RedPlate),
        by_situation(
            "horizontal-drive-missing/run",
            at_set(ActKind::SwitchOn),
            bench_but(|s| s.drive_known = false),
            bench_but(|s| {
                s.drive_known = false;
                s.output_stage_fed = Some(false);
            }),
        ),
        by_act(
            "grid-circuit-opened/bias-taken",
            pull(tube(), keeps(|absence| absence.takes_bias = None)),
            pull(tube(), Absence::HARMLESS),
        ),
        by_act(
            "grid-circuit-opened/bias-taken",
            dead(ActKind::Lift, ActPlace::part("R80"))
                .absence(keeps(|absence| absence.takes_bias = Some(true))),
            dead(ActKind::Lift, ActPlace::part("R80")),
        ),
        by_act(
            "output-tube-without-plate/taken-away",
            pull(
                tube(),
                keeps(|absence| absence.leaves_screen_fed = Some(true)),
            ),
            pull(tube(), Absence::HARMLESS),
        ),
        by_act(
            "output-tube-without-plate/taken-away",
            dead(ActKind::Open, ActPlace::Plug("J1".to_owned())),
            dead(ActKind::Open, ActPlace::Plug("J1".to_owned())).absence(Absence::HARMLESS),
        ),
        by_situation(
            "output-tube-without-plate/run",
            at_set(ActKind::SwitchOn),
            bench_but(|s| s.screen_fed_without_plate = Some(true)),
            bench(),
        ),
    ]
}

fn picture_tube_cases() -> Vec<Case> {
    let picture = || ActPlace::PictureTube;
    let close = || dead(ActKind::Close, sweep_feed());
    let lifts = Absence {
        lifts_picture_grid: Some(true),
        ..Absence::HARMLESS
    };
    vec![
        by_act(
            "implosion/unprotected",
            carry(picture(), |carrying| carrying.protected = false),
            carry(picture(), |_| {}),
        ),
        by_act(
            "implosion/unprotected",
            carry(picture(), |carrying| carrying.others_near = true),
            carry(picture(), |carrying| carrying.people = 1),
        ),
        by_act(
            "implosion/glass-scratched",
            treat(Treatment::Scrape, picture()),
            treat(Treatment::ContactCleaner, ActPlace::part("R60")),
        ),
        by_act(
            "neck-breakage/by-the-neck",
            carry(picture(), |carrying| carrying.grip = Grip::ByTheNeck),
            carry(picture(), |_| {}),
        ),
        by_act(
            "neck-breakage/forced",
            at(ActKind::Turn { by_force: true }, ActPlace::PartOnTheNeck),
            at(ActKind::Turn { by_force: false }, ActPlace::PartOnTheNeck),
        ),
        by_situation(
            "safety-glass/used-without",
            at_set(ActKind::HandOver),
            bench_but(|s| s.front_glass_fitted = None),
            bench(),
        ),
        by_act(
            "safety-glass/window-glass",
            replace(Replacement::FrontGlass(Glass::Window), ActPlace::FrontGlass),
            replace(Replacement::FrontGlass(Glass::Safety), ActPlace::FrontGlass),
        ),
        by_act(
            "bonded-window/flame-or-metal",
            treat(Treatment::Flame, ActPlace::BondedWindow),
            treat(Treatment::SlowWarmth, ActPlace::BondedWindow),
        ),
        by_situation(
            "spot-on-screen/brightness-up",
            at_set(ActKind::Set(Setting::BrightnessUp)),
            bench_but(|s| s.sweeps_run = None),
            bench(),
        ),
        by_situation(
            "spot-on-screen/not-at-minimum",
            close(),
            bench_but(|s| s.brightness_at_minimum = false),
            bench(),
        ),
        by_sign("spot-on-screen/run-on", Sign::SpotOrLine),
        by_situation(
            "ion-trap/not-fitted",
            close(),
            bench_but(|s| s.ion_trap_fitted = false),
            bench_but(|s| {
                s.ion_trap_fitted = false;
                s.ion_trap_needed = Some(false);
            }),
        ),
        by_situation(
            "ion-trap/bright-before-set",
            at_set(ActKind::Set(Setting::BrightnessUp)),
            bench_but(|s| s.ion_trap_set = false),
            bench(),
        ),
        by_act(
            "ion-trap/to-hide-a-shadow",
            at_set(ActKind::Set(Setting::IonTrapToHideShadow)),
            at_set(ActKind::Set(Setting::IonTrapForBrightest)),
        ),
        by_act(
            "heater-above-rating/raised",
            heater(7.0, Some(6.3), None),
            heater(7.0, Some(6.3), Some(600.0)),
        ),
        by_act(
            "heater-above-rating/raised",
            heater(6.3, None, Some(600.0)),
            heater(6.3, Some(6.3), None),
        ),
        by_sign(
            "heater-above-rating/string-flares",
            Sign::StringFlaresOrDark,
        ),
        by_act(
            "restoring-shock/not-the-last-way",
            shock(|case| case.done_before = true),
            shock(|_| {}),
        ),
        by_act(
            "picture-grid-positive/taken-away",
            pull(tube(), lifts),
            pull(tube(), Absence::HARMLESS),
        ),
        by_situation(
            "picture-grid-positive/taken-away",
            pull(tube(), lifts),
            bench(),
            bench_but(|s| s.picture_socket_on = Some(false)),
        ),
        by_situation(
            "picture-grid-positive/run",
            at_set(ActKind::SwitchOn),
            bench_but(|s| s.picture_grid_above_cathode = Some(true)),
            bench(),
        ),
    ]
}

fn supply_cases() -> Vec<Case> {
    let source = |volts, marked_volts| {
        at(
            ActKind::Set(Setting::SourceVolts {
                volts,
                marked_volts,
            }),
            ActPlace::part("C1A"),
        )
    };
    let across = |old_stays| {
        connect(
            Connected::CapacitorAcrossOld { old_stays },
            ActPlace::part("C1A"),
        )
    };
    let electrolytic = |polarity_checked| {
        replace(
            Replacement::Electrolytic { polarity_checked },
            ActPlace::part("C1A"),
        )
    };
    let selenium = || ActPlace::Selenium("X5".to_owned());
    let socket = || ActPlace::PictureTubeSocket;
    vec![
        by_act(
            "hot-can/own-rectifier",
            at(
                ActKind::ReForm(ReFormed::ThroughOwnRectifier),
                ActPlace::part("C1A"),
            ),
            re_form(Some(0.9), 400.0, true),
        ),
        by_act(
            "hot-can/too-many-watts",
            re_form(Some(1.1), 400.0, true),
            re_form(Some(1.0), 400.0, true),
        ),
        by_act(
            "hot-can/too-many-watts",
            re_form(None, 400.0, true),
            re_form(Some(0.5), 400.0, true),
        ),
        by_act(
            "hot-can/too-many-watts",
            re_form(Some(0.5), 400.0, false),
            re_form(Some(0.5), 400.0, true),
        ),
        by_act(
            "hot-can/above-its-marking",
            re_form(Some(0.5), 451.0, true),
            re_form(Some(0.5), 450.0, true),
        ),
        by_act(
            "hot-can/above-its-marking",
            source(300.0, None),
            source(300.0, Some(450.0)),
        ),
        by_situation(
            "hot-can/in-a-running-set",
            re_form(Some(0.5), 400.0, true),
            bench_but(|s| s.plug_in = Some(true)),
            bench(),
        ),
        by_sign("hot-can/run-on", Sign::HotOrBulgingCan),
        by_act(
            "reversed-electrolytic/unchecked",
            electrolytic(false),
            electrolytic(true),
        ),
        by_act(
            "paralleled-old-capacitor/old-stays",
            across(true),
            across(false),
        ),
        by_sign("selenium/run-on", Sign::SeleniumSmell),
        by_act(
            "selenium/worked-on",
            treat(Treatment::Scrape, selenium()),
            treat(Treatment::SealAndHandIn, selenium()),
        ),
        by_sign("power-transformer-hot/run-on", Sign::DrawAboveLimit),
        by_act(
            "series-lamp/said-safe",
            say(Saying::SafeBehindLamp),
            say(Saying::TreatAsLive),
        ),
        Case {
            rule: "string-tube-pulled/power-on",
            refused: (
                pull(tube(), Absence::HARMLESS).energised(Some(0.0)),
                bench_but(|s| s.heater_string = None),
            ),
            near: (
                pull(tube(), Absence::HARMLESS),
                bench_but(|s| s.heater_string = None),
            ),
        },
        by_act(
            "string-tube-pulled/power-on",
            pull(socket(), Absence::HARMLESS).energised(Some(0.0)),
            pull(socket(), Absence::HARMLESS),
        ),
        by_situation(
            "string-tube-pulled/run-with-a-gap",
            at_set(ActKind::SwitchOn),
            bench_but(|s| {
                s.heater_string = Some(true);
                s.string_gap = true;
            }),
            bench_but(|s| s.heater_string = Some(true)),
        ),
        by_act(
            "string-tube-pulled/bridged",
            connect(
                Connected::HeaterBridge,
                ActPlace::HeaterPins("V5".to_owned()),
            ),
            connect(
                Connected::HeaterResistor,
                ActPlace::HeaterPins("V5".to_owned()),
            ),
        ),
        by_situation(
            "open-load/volts-not-computed",
            at_set(ActKind::SwitchOn),
            bench_but(|s| {
                s.load_missing = true;
                s.capacitor_volts_share = None;
            }),
            bench_but(|s| s.load_missing = true),
        ),
        by_situation(
            "open-load/above-the-marking",
            at_set(ActKind::SwitchOn),
            bench_but(|s| s.capacitor_volts_share = Some(1.01)),
            bench_but(|s| s.capacitor_volts_share = Some(1.0)),
        ),
        by_situation(
            "hot-parts/bare-hand",
            pull(tube(), Absence::HARMLESS),
            bench_but(|s| s.tubes_hot = Some(true)),
            bench(),
        ),
        by_act(
            "hot-parts/cold-cleaner",
            treat(Treatment::ColdCleanerOnHotGlass, tube()),
            treat(Treatment::ContactCleaner, tube()),
        ),
    ]
}

fn handling_cases() -> Vec<Case> {
    let water = || at(ActKind::Treat(Treatment::Water), ActPlace::WholeSet);
    let cleaner = || treat(Treatment::ContactCleaner, ActPlace::part("R60"));
    vec![
        by_act(
            "working-alone/said-safe",
            say(Saying::SafeAlone),
            say(Saying::TellSomebody),
        ),
        material(
            "oil-filled-parts/opened",
            ActPlace::OilFilledPart,
            Treatment::HouseholdWaste,
        ),
        material(
            "fibrous-sheet/disturbed",
            ActPlace::FibrousSheet,
            Treatment::Scrape,
        ),
        material(
            "phosphor-powder/raised",
            ActPlace::TubePowder,
            Treatment::SweepOrVacuum,
        ),
        material(
            "radioactive-items/opened",
            ActPlace::RadioactiveItem,
            Treatment::BreakOpen,
        ),
        material("mercury/broken", ActPlace::MercuryItem, Treatment::Shake),
        by_act(
            "old-solvents/period-cleaner",
            treat(Treatment::PeriodCleaner, ActPlace::part("R60")),
            cleaner(),
        ),
        by_situation(
            "old-solvents/live-set",
            cleaner(),
            bench_but(|s| s.tubes_hot = Some(true)),
            bench(),
        ),
        by_sign("wax-fire/run-on", Sign::DrippingWax),
        by_act(
            "wax-fire/oven",
            treat(Treatment::Oven, ActPlace::Flyback),
            treat(Treatment::SlowWarmth, ActPlace::Flyback),
        ),
        by_sign("fire/run-on", Sign::Smoke),
        by_situation(
            "fire/living-room",
            at_set(ActKind::PlugIn),
            bench_but(|s| s.living_room = true),
            bench(),
        ),
        by_act("fire/water", water().energised(Some(0.0)), water()),
        by_act(
            "unattended-set/nobody-watches",
            wait(Watch::TimerSwitch),
            wait(Watch::Restorer),
        ),
        by_act(
            "sharp-and-heavy/alone",
            carry(ActPlace::WholeSet, |carrying| carrying.people = 1),
            carry(ActPlace::WholeSet, |_| {}),
        ),
        by_act(
            "sharp-and-heavy/alone",
            carry(ActPlace::OpenChassis, |carrying| {
                carrying.grip = Grip::WeightOnTube;
            }),
            carry(ActPlace::OpenChassis, |_| {}),
        ),
    ]
}

/// The remaining clauses of rules that forbid more than one thing.
fn further_cases() -> Vec<Case> {
    let part = || ActPlace::part("C90");
    let anode = || ActPlace::PictureTubeAnode;
    vec![
        by_act(
            "charged-electrolytics/by-hand",
            at(ActKind::Connect(Connected::ClipLead), b_plus()),
            connect(Connected::ClipLead, b_plus()),
        ),
        by_act(
            "charged-electrolytics/by-hand",
            at(
                ActKind::Treat(Treatment::ContactCleaner),
                ActPlace::part("R60"),
            ),
            treat(Treatment::ContactCleaner, ActPlace::part("R60")),
        ),
        by_act(
            "charged-electrolytics/by-hand",
            at(ActKind::Solder, b_plus()),
            dead(ActKind::Solder, b_plus()),
        ),
        by_act(
            "charged-electrolytics/without-resistor",
            at(ActKind::Discharge, b_plus()),
            at(ActKind::Discharge, b_plus()).with(Instrument::DischargeResistor),
        ),
        by_act(
            "picture-tube-charge/discharged-wrongly",
            at(ActKind::Discharge, anode())
                .with(Instrument::Screwdriver)
                .to(ActPlace::PictureTubeCoating),
            at(ActKind::Discharge, anode())
                .with(Instrument::DischargeRod)
                .to(ActPlace::PictureTubeCoating),
        ),
        by_act(
            "picture-tube-charge/handled",
            at(
                ActKind::Pull,
                ActPlace::HighVoltageRectifier("V19".to_owned()),
            )
            .absence(Absence::HARMLESS),
            at(
                ActKind::Pull,
                ActPlace::HighVoltageRectifier("V19".to_owned()),
            )
            .absence(Absence::HARMLESS)
            .charge(StoredCharge::DischargedRepeatedlyClipLeft),
        ),
        by_situation(
            "interlock-defeated/reached-in",
            at(ActKind::Discharge, b_plus()).with(Instrument::DischargeResistor),
            bench_but(|s| s.plug_in = None),
            bench(),
        ),
        by_situation(
            "live-chassis/open-without-isolation",
            volts(Some(150.0)),
            bench_but(|s| {
                on_the_line(s);
                s.cabinet = Cabinet::Closed;
            }),
            bench_but(|s| s.chassis = ChassisRelation::OnTheLine),
        ),
        by_act(
            "wrong-fuse/larger",
            replace(
                Replacement::Fuse {
                    amperes: 0.25,
                    right_amperes: Some(0.25),
                    slow_for_fast: true,
                },
                ActPlace::Fuse("F1".to_owned()),
            ),
            fuse(0.25, Some(0.25)),
        ),
        by_act(
            "line-capacitors/wrong-part",
            replace(
                Replacement::LineCapacitor {
                    class: SafetyClass::Y,
                    to_touched_metal: true,
                    larger_than_drawn: true,
                },
                part(),
            ),
            line_capacitor(SafetyClass::Y, true),
        ),
        by_act(
            "antenna-isolation/changed",
            replace(
                Replacement::AntennaIsolation {
                    bleed_resistor: true,
                    larger_than_drawn: true,
                },
                ActPlace::AntennaTerminals,
            ),
            at(ActKind::Look, ActPlace::AntennaTerminals),
        ),
        by_act(
            "implosion/unprotected",
            carry(ActPlace::PictureTube, |carrying| {
                carrying.grip = Grip::AgainstTheBody;
            }),
            carry(ActPlace::PictureTube, |_| {}),
        ),
        by_act(
            "hot-can/too-many-watts",
            at(
                ActKind::ReForm(ReFormed::FromSeparateSource {
                    volts: 400.0,
                    marked_volts: Some(450.0),
                    series_ohms: 0.0,
                    most_watts_in_can: Some(0.5),
                    shield: true,
                }),
                ActPlace::part("C1A"),
            ),
            re_form(Some(0.5), 400.0, true),
        ),
        by_act(
            "restoring-shock/not-the-last-way",
            shock(|case| case.gentler_tried = false),
            shock(|_| {}),
        ),
        by_act(
            "restoring-shock/not-the-last-way",
            shock(|case| case.still_gives_a_picture = true),
            shock(|_| {}),
        ),
        by_act(
            "restoring-shock/not-the-last-way",
            shock(|case| case.owner_decided = false),
            shock(|_| {}),
        ),
        by_act(
            "unattended-set/nobody-watches",
            wait(Watch::Nobody),
            at_set(ActKind::Wait {
                seconds: 60.0,
                watch: Watch::Nobody,
            }),
        ),
        by_situation(
            "line-capacitors/old-one-left",
            at_set(ActKind::HandOver),
            bench_but(|s| s.old_line_capacitors = None),
            bench(),
        ),
        by_sign("power-transformer-hot/run-on", Sign::LampStaysBright),
        by_sign("power-transformer-hot/run-on", Sign::TransformerHot),
        by_sign("fire/run-on", Sign::Arcing),
        by_sign("fire/run-on", Sign::BurntSmell),
        by_sign("flyback-in-danger/red-plate", Sign::WaxSmell),
    ]
}

fn cases() -> Vec<Case> {
    [
        measuring_cases(),
        charge_cases(),
        line_cases(),
        sweep_cases(),
        picture_tube_cases(),
        supply_cases(),
        handling_cases(),
        further_cases(),
    ]
    .into_iter()
    .flatten()
    .collect()
}

fn broken_rules(act: &Act, situation: &Situation) -> Vec<&'static str> {
    match hazard::judge(act, situation).expect("the table reads") {
        Verdict::Allowed { .. } => Vec::new(),
        Verdict::Refused { rules } => rules.iter().map(|refusal| refusal.rule).collect(),
    }
}

#[test]
fn each_rule_refuses_its_act_and_lets_the_near_one_pass() {
    let mut wrong = Vec::new();
    for case in cases() {
        let (act, situation) = &case.refused;
        if !broken_rules(act, situation).contains(&case.rule) {
            wrong.push(format!("{}: does not refuse `{act}`", case.rule));
        }
        let (act, situation) = &case.near;
        let broken = broken_rules(act, situation);
        if !broken.is_empty() {
            wrong.push(format!("{}: `{act}` is refused by {broken:?}", case.rule));
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

#[test]
fn no_rule_is_without_a_case_and_no_case_without_a_rule() {
    let rules: BTreeSet<_> = hazard::rules().map(|rule| rule.id).collect();
    let cased: BTreeSet<_> = cases().iter().map(|case| case.rule).collect();
    assert_eq!(rules, cased);
    assert_eq!(rules.len(), hazard::rules().count(), "rule ids are unique");
}

#[test]
fn unknown_volts_are_refused_for_every_act_that_comes_to_an_energised_place() {
    let kinds = [
        ActKind::Measure(Measured::DcVolts),
        ActKind::Measure(Measured::Ohms),
        ActKind::Touch,
        ActKind::Lift,
        ActKind::Pull,
        ActKind::Open,
        ActKind::Close,
        ActKind::Discharge,
        ActKind::Solder,
        ActKind::Connect(Connected::ClipLead),
        ActKind::Replace(Replacement::SameValue),
        ActKind::Treat(Treatment::ContactCleaner),
    ];
    for kind in kinds {
        for peak_volts in [None, Some(f64::NAN), Some(f64::INFINITY)] {
            let act = at(kind.clone(), b_plus()).energised(peak_volts);
            assert!(
                broken_rules(&act, &bench()).contains(&"unknown-volts/energised"),
                "{act}"
            );
        }
    }
}

#[test]
fn pulling_the_plug_is_never_refused() {
    let mut worst = Situation {
        plug_in: Some(true),
        damp_floor: Some(true),
        living_room: true,
        coating_grounded: Some(false),
        picture_grid_above_cathode: Some(true),
        screen_fed_without_plate: Some(true),
        load_missing: true,
        loose_cap_lead: true,
        output_stage_fed: Some(true),
        old_line_capacitors: Some(true),
        cage_fitted: Some(false),
        metal_cone: Some(true),
        ..Situation::default()
    };
    worst.signs = hazard::STOP_SIGNS.iter().map(|sign| sign.sign).collect();
    for kind in [ActKind::PlugOut, ActKind::SwitchOff] {
        let act = at_set(kind).energised(None);
        assert_eq!(broken_rules(&act, &worst), Vec::<&str>::new());
    }
}

#[test]
fn nothing_known_means_no_power() {
    for kind in [ActKind::PlugIn, ActKind::SwitchOn, ActKind::KeepRunning] {
        let broken = broken_rules(&at_set(kind), &Situation::default());
        assert!(
            broken.contains(&"live-chassis/open-without-isolation"),
            "{broken:?}"
        );
    }
}

#[test]
fn a_source_on_the_bench_does_not_count_as_a_running_set() {
    let nothing_known = Situation::default();
    let reading = volts(Some(300.0)).energised_by_source(Some(300.0));
    assert_eq!(broken_rules(&reading, &nothing_known), Vec::<&str>::new());
    let touch = at(ActKind::Touch, b_plus()).energised_by_source(Some(300.0));
    assert!(broken_rules(&touch, &nothing_known).contains(&"body-current/touched-live"));
}

#[test]
fn the_anode_never_counts_as_discharged_by_time_or_once() {
    for charge in [
        StoredCharge::Unknown,
        StoredCharge::NoneHere,
        StoredCharge::TimeHasPassed,
        StoredCharge::AnotherWasDischarged,
        StoredCharge::DischargedOnce,
        StoredCharge::ProvenWithMeter,
    ] {
        let act = at(ActKind::Touch, ActPlace::PictureTubeAnode).charge(charge);
        assert!(
            broken_rules(&act, &bench()).contains(&"picture-tube-charge/handled"),
            "{charge:?}"
        );
    }
}

#[test]
fn a_refusal_tells_the_volts() {
    let table = hazard::table().expect("the table reads");
    let Verdict::Refused { rules } = table.judge(&volts(Some(712.0)), &bench()) else {
        panic!("712 V on a 600 V meter passed");
    };
    assert!(rules.iter().any(|refusal| {
        refusal.hazard.id == "meter-beyond-rating"
            && refusal.because.contains("712 V")
            && refusal.because.contains("600 V")
    }));
}
