//! One refused act and a near one for each rule about the picture tube.
//!
//! Source: the columns `never_advise` and `safe_way` of `data/hazards.csv`.

use receiver::hazard::{
    Absence, ActKind, ActPlace, Glass, Grip, Replacement, Setting, Sign, Treatment,
};

use super::acts::{
    Case, at, at_set, bench, bench_but, by_act, by_sign, by_situation, carry, dead, heater, pull,
    replace, shock, sweep_feed, treat, tube,
};

pub fn picture_tube_cases() -> Vec<Case> {
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
