//! Acts, benches and sets from which the cases are made. Volts, watts, amperes, as in the
//! rules; nothing here is checked.

use receiver::hazard::{
    Absence, Act, ActKind, ActPlace, Carrying, ChassisRelation, Connected, Cord, Grip, Instrument,
    Isolation, Measured, ReFormed, Replacement, SafetyClass, Saying, Setting, ShockCase, Sign,
    Situation, StoredCharge, Treatment, Watch,
};

/// A bench and a set with everything known and in order.
pub fn bench() -> Situation {
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

pub fn bench_but(change: impl FnOnce(&mut Situation)) -> Situation {
    let mut situation = bench();
    change(&mut situation);
    situation
}

pub fn on_the_line(situation: &mut Situation) {
    situation.chassis = ChassisRelation::OnTheLine;
    situation.isolation = Isolation::None;
}

pub fn at(kind: ActKind, place: ActPlace) -> Act {
    Act::new(kind, place)
}

pub fn at_set(kind: ActKind) -> Act {
    Act::new(kind, ActPlace::WholeSet)
}

pub fn b_plus() -> ActPlace {
    ActPlace::junction("B+ main")
}

pub fn volts(peak_volts: Option<f64>) -> Act {
    Act::measure(Measured::DcVolts, b_plus(), ActPlace::Chassis)
        .energised(peak_volts)
        .with(meter(600.0))
}

pub fn meter(rated_volts: f64) -> Instrument {
    Instrument::Meter {
        rated_volts: Some(rated_volts),
    }
}

pub fn high_volts(peak_volts: f64, rated_volts: f64) -> Act {
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

pub fn leakage() -> Act {
    Act::measure(
        Measured::LeakageOfTheClosedSet,
        ActPlace::ExposedMetal,
        ActPlace::Earth,
    )
    .with(meter(300.0))
    .energised(Some(177.0))
}

pub fn dead(kind: ActKind, place: ActPlace) -> Act {
    Act::new(kind, place).charge(StoredCharge::ProvenWithMeter)
}

pub fn pull(place: ActPlace, absence: Absence) -> Act {
    dead(ActKind::Pull, place).absence(absence)
}

pub fn tube() -> ActPlace {
    ActPlace::tube("V5")
}

pub fn sweep_feed() -> ActPlace {
    ActPlace::SweepFeed("J2".to_owned())
}

pub fn carry(place: ActPlace, change: impl FnOnce(&mut Carrying)) -> Act {
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

pub fn re_form(watts: Option<f64>, volts: f64, shield: bool) -> Act {
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

pub fn connect(what: Connected, place: ActPlace) -> Act {
    dead(ActKind::Connect(what), place)
}

pub fn replace(what: Replacement, place: ActPlace) -> Act {
    dead(ActKind::Replace(what), place)
}

pub fn treat(what: Treatment, place: ActPlace) -> Act {
    dead(ActKind::Treat(what), place)
}

pub fn say(what: Saying) -> Act {
    at_set(ActKind::Say(what))
}

pub fn fuse(amperes: f64, right_amperes: Option<f64>) -> Act {
    replace(
        Replacement::Fuse {
            amperes,
            right_amperes,
            slow_for_fast: false,
        },
        ActPlace::Fuse("F1".to_owned()),
    )
}

pub fn line_capacitor(class: SafetyClass, to_touched_metal: bool) -> Act {
    replace(
        Replacement::LineCapacitor {
            class,
            to_touched_metal,
            larger_than_drawn: false,
        },
        ActPlace::part("C90"),
    )
}

pub fn line(volts: f64, marked_volts: Option<f64>, for_hours: bool, margin_computed: bool) -> Act {
    at_set(ActKind::Set(Setting::LineVolts {
        volts,
        marked_volts,
        for_hours,
        margin_computed,
    }))
}

pub fn heater(volts: f64, rated_volts: Option<f64>, limit_seconds: Option<f64>) -> Act {
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

pub fn wait(watch: Watch) -> Act {
    at_set(ActKind::Wait {
        seconds: 60.0,
        watch,
    })
    .energised(None)
}

pub fn shock(change: impl FnOnce(&mut ShockCase)) -> Act {
    let mut case = ShockCase {
        gentler_tried: true,
        still_gives_a_picture: false,
        done_before: false,
        owner_decided: true,
    };
    change(&mut case);
    at(ActKind::Shock(case), ActPlace::PictureTube)
}

pub struct Case {
    pub rule: &'static str,
    pub refused: (Act, Situation),
    pub near: (Act, Situation),
}

/// One act, refused in one situation and passed in another.
pub fn by_situation(rule: &'static str, act: Act, bad: Situation, good: Situation) -> Case {
    Case {
        rule,
        refused: (act.clone(), bad),
        near: (act, good),
    }
}

/// One situation in order, two acts.
pub fn by_act(rule: &'static str, refused: Act, near: Act) -> Case {
    Case {
        rule,
        refused: (refused, bench()),
        near: (near, bench()),
    }
}

/// Going on while a sign shows, and going on without it.
pub fn by_sign(rule: &'static str, sign: Sign) -> Case {
    by_situation(
        rule,
        at_set(ActKind::KeepRunning),
        bench_but(|s| s.signs.push(sign)),
        bench(),
    )
}

pub fn material(rule: &'static str, place: ActPlace, bad: Treatment) -> Case {
    by_act(
        rule,
        treat(bad, place.clone()),
        treat(Treatment::SealAndHandIn, place),
    )
}
