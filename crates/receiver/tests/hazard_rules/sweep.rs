//! One refused act and a near one for each rule about the sweep and the output tube.
//!
//! Source: the columns `never_advise` and `safe_way` of `data/hazards.csv`.

use receiver::hazard::{
    Absence, Act, ActKind, ActPlace, Hold, Instrument, Measured, Replacement, Setting, Sign,
    StoredCharge, Treatment,
};

use super::acts::{
    Case, at, at_set, bench, bench_but, by_act, by_sign, by_situation, dead, high_volts, meter,
    pull, replace, sweep_feed, tube,
};

pub fn sweep_cases() -> Vec<Case> {
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
