//! One refused act and a near one for each rule about the supply.
//!
//! Source: the columns `never_advise` and `safe_way` of `data/hazards.csv`.

use receiver::hazard::{
    Absence, ActKind, ActPlace, Connected, ReFormed, Replacement, Saying, Setting, Sign, Treatment,
};

use super::acts::{
    Case, at, at_set, bench, bench_but, by_act, by_sign, by_situation, connect, pull, re_form,
    replace, say, treat, tube,
};

pub fn supply_cases() -> Vec<Case> {
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
    let trial = || connect(Connected::TestCapacitorAcrossOld, ActPlace::part("C1A"));
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
        by_act(
            "paralleled-old-capacitor/bridged-under-power",
            trial().energised(Some(300.0)),
            trial(),
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
