//! One refused act and a near one for each rule about measuring and stored charge.
//!
//! Source: the columns `never_advise` and `safe_way` of `data/hazards.csv`.

use receiver::hazard::{
    Absence, Act, ActKind, ActPlace, ChassisRelation, Connected, Hold, Instrument, Measured,
    StoredCharge,
};

use super::acts::{
    Case, at, at_set, b_plus, bench, bench_but, by_act, by_situation, connect, high_volts, meter,
    on_the_line, pull, tube, volts,
};

pub fn measuring_cases() -> Vec<Case> {
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

pub fn charge_cases() -> Vec<Case> {
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
