//! Rules about the picture tube: glass, grid, heater, ion trap, spot and restoring shocks.
//!
//! Heater volts are r.m.s. The picture tube cannot be bought again; what is not known about it
//! counts against the act.

use super::sweep::{goes_on, takes};
use super::{Rule, when};
use crate::hazard::act::ActKind;
use crate::hazard::details::{Glass, Grip, Replacement, Setting, Treatment};
use crate::hazard::place::ActPlace;
use crate::hazard::situation::Sign;

pub(super) const RULES: &[Rule] = &[
    Rule {
        id: "implosion/unprotected",
        hazard: "implosion",
        refuses: |act, _| match act.kind {
            ActKind::Carry(carrying) => when(
                act.place.is_picture_tube()
                    && (!carrying.protected
                        || carrying.others_near
                        || carrying.grip == Grip::AgainstTheBody),
                "goggles, gloves and long sleeves, nobody else near, both hands under the face",
            ),
            _ => None,
        },
    },
    Rule {
        id: "implosion/glass-scratched",
        hazard: "implosion",
        refuses: |act, _| {
            when(
                matches!(act.kind, ActKind::Treat(Treatment::Scrape | Treatment::Pry))
                    && act.place.is_picture_tube()
                    && act.place != ActPlace::BondedWindow,
                "a scratch in the glass is where it breaks",
            )
        },
    },
    Rule {
        id: "neck-breakage/by-the-neck",
        hazard: "neck-breakage",
        refuses: |act, _| {
            when(
                matches!(act.kind, ActKind::Carry(carrying) if carrying.grip == Grip::ByTheNeck),
                "the neck is the weakest place and carries nothing",
            )
        },
    },
    Rule {
        id: "neck-breakage/forced",
        hazard: "neck-breakage",
        refuses: |act, _| {
            when(
                act.kind == ActKind::Turn { by_force: true },
                "a stuck yoke or base is warmed and loosened slowly",
            )
        },
    },
    Rule {
        id: "safety-glass/used-without",
        hazard: "safety-glass",
        refuses: |act, situation| {
            when(
                act.kind == ActKind::HandOver
                    && situation.picture_tube != Some(false)
                    && situation.bonded_window != Some(true)
                    && situation.front_glass_fitted != Some(true),
                "the front glass is fitted before anybody watches the set",
            )
        },
    },
    Rule {
        id: "safety-glass/window-glass",
        hazard: "safety-glass",
        refuses: |act, _| {
            when(
                act.kind == ActKind::Replace(Replacement::FrontGlass(Glass::Window)),
                "window glass makes more splinters, not fewer",
            )
        },
    },
    Rule {
        id: "bonded-window/flame-or-metal",
        hazard: "bonded-window",
        refuses: |act, _| {
            when(
                act.place == ActPlace::BondedWindow
                    && matches!(
                        act.kind,
                        ActKind::Treat(
                            Treatment::Flame
                                | Treatment::Pry
                                | Treatment::Scrape
                                | Treatment::Oven
                                | Treatment::BreakOpen
                        )
                    ),
                "flame and metal tools crack the face with its vacuum behind it",
            )
        },
    },
    Rule {
        id: "spot-on-screen/brightness-up",
        hazard: "spot-on-screen",
        refuses: |act, situation| {
            when(
                act.kind == ActKind::Set(Setting::BrightnessUp)
                    && situation.sweeps_run != Some(true),
                "both sweeps are seen to run before brightness goes up",
            )
        },
    },
    Rule {
        id: "spot-on-screen/not-at-minimum",
        hazard: "spot-on-screen",
        refuses: |act, situation| {
            when(
                act.kind == ActKind::Close
                    && matches!(act.place, ActPlace::SweepFeed(_))
                    && situation.picture_tube != Some(false)
                    && !situation.brightness_at_minimum,
                "brightness is at minimum before the high voltage can come up",
            )
        },
    },
    Rule {
        id: "spot-on-screen/run-on",
        hazard: "spot-on-screen",
        refuses: |act, situation| {
            when(
                goes_on(act) && situation.shows(Sign::SpotOrLine),
                "a standing spot or line burns the screen within seconds",
            )
        },
    },
    Rule {
        id: "ion-trap/not-fitted",
        hazard: "ion-trap",
        refuses: |act, situation| {
            when(
                act.kind == ActKind::Close
                    && matches!(act.place, ActPlace::SweepFeed(_))
                    && situation.picture_tube != Some(false)
                    && situation.ion_trap_needed != Some(false)
                    && !situation.ion_trap_fitted,
                "the ion trap is on the neck before there is a beam",
            )
        },
    },
    Rule {
        id: "ion-trap/bright-before-set",
        hazard: "ion-trap",
        refuses: |act, situation| {
            when(
                act.kind == ActKind::Set(Setting::BrightnessUp)
                    && situation.ion_trap_needed != Some(false)
                    && !situation.ion_trap_set,
                "the trap is set for the brightest raster at low brightness first",
            )
        },
    },
    Rule {
        id: "ion-trap/to-hide-a-shadow",
        hazard: "ion-trap",
        refuses: |act, _| {
            when(
                act.kind == ActKind::Set(Setting::IonTrapToHideShadow),
                "the trap is set for brightness alone; shadows and centring belong to focus and \
                 yoke",
            )
        },
    },
    Rule {
        id: "heater-above-rating/raised",
        hazard: "heater-above-rating",
        refuses: |act, _| match act.kind {
            ActKind::Set(Setting::HeaterVolts {
                volts,
                rated_volts,
                gentler_tried,
                limit_seconds,
            }) => {
                let within = rated_volts.is_some_and(|rated| volts <= rated);
                let last_way = rated_volts.is_some() && gentler_tried && limit_seconds.is_some();
                when(
                    !within && !last_way,
                    "hours at the rated heater come first; more only with a highest voltage and a \
                     total time",
                )
            }
            _ => None,
        },
    },
    Rule {
        id: "heater-above-rating/string-flares",
        hazard: "heater-above-rating",
        refuses: |act, situation| {
            when(
                goes_on(act) && situation.shows(Sign::StringFlaresOrDark),
                "a string that flares up or goes dark has a short or an open heater",
            )
        },
    },
    Rule {
        id: "restoring-shock/not-the-last-way",
        hazard: "restoring-shock",
        refuses: |act, _| match act.kind {
            ActKind::Shock(case) => when(
                !case.gentler_tried
                    || case.still_gives_a_picture
                    || case.done_before
                    || !case.owner_decided
                    || act.energised,
                "once, as the last way, on a tube without a picture, by the owner's decision, the \
                 set's own power off",
            ),
            _ => None,
        },
    },
    Rule {
        id: "picture-grid-positive/taken-away",
        hazard: "picture-grid-positive",
        refuses: |act, situation| {
            when(
                situation.picture_tube != Some(false)
                    && situation.picture_socket_on != Some(false)
                    && takes(act, act.absence.lifts_picture_grid),
                "the picture tube's grid would rise above its cathode, or nobody has worked out \
                 that it does not",
            )
        },
    },
    Rule {
        id: "picture-grid-positive/run",
        hazard: "picture-grid-positive",
        refuses: |act, situation| {
            when(
                act.runs_the_set()
                    && situation.picture_socket_on != Some(false)
                    && situation.picture_grid_above_cathode == Some(true),
                "with its grid above its cathode the picture tube's gun is ruined",
            )
        },
    },
];
