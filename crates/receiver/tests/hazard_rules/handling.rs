//! One refused act and a near one for each rule about handling, materials and signs.
//!
//! Source: the columns `never_advise` and `safe_way` of `data/hazards.csv`.

use receiver::hazard::{
    Absence, ActKind, ActPlace, Cabinet, ChassisRelation, Connected, Grip, Instrument, ReFormed,
    Replacement, SafetyClass, Saying, Sign, StoredCharge, Treatment, Watch,
};

use super::acts::{
    Case, at, at_set, b_plus, bench, bench_but, by_act, by_sign, by_situation, carry, connect,
    dead, fuse, line_capacitor, material, on_the_line, re_form, replace, say, shock, treat, volts,
    wait,
};

pub fn handling_cases() -> Vec<Case> {
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
pub fn further_cases() -> Vec<Case> {
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
