//! Rules about materials, fire, waiting, lifting and what is said about safety.
//!
//! Nothing is measured here; an act names the material or the watch it keeps.

use super::sweep::goes_on;
use super::{Rule, when};
use crate::hazard::act::{Act, ActKind};
use crate::hazard::details::{Grip, Saying, Treatment, Watch};
use crate::hazard::place::ActPlace;
use crate::hazard::situation::Sign;

pub(super) const RULES: &[Rule] = &[
    Rule {
        id: "working-alone/said-safe",
        hazard: "working-alone",
        refuses: |act, _| {
            when(
                act.kind == ActKind::Say(Saying::SafeAlone),
                "a shock leaves no strength to help oneself",
            )
        },
    },
    Rule {
        id: "oil-filled-parts/opened",
        hazard: "oil-filled-parts",
        refuses: |act, _| {
            when(
                disturbs(act, &ActPlace::OilFilledPart),
                "gloves, a sealed bag and local rules; it stays closed",
            )
        },
    },
    Rule {
        id: "fibrous-sheet/disturbed",
        hazard: "fibrous-sheet",
        refuses: |act, _| {
            when(
                disturbs(act, &ActPlace::FibrousSheet),
                "its fibres must not get into the air",
            )
        },
    },
    Rule {
        id: "phosphor-powder/raised",
        hazard: "phosphor-powder",
        refuses: |act, _| {
            when(
                disturbs(act, &ActPlace::TubePowder),
                "gloves, mask, wet wipe, sealed bag",
            )
        },
    },
    Rule {
        id: "radioactive-items/opened",
        hazard: "radioactive-items",
        refuses: |act, _| {
            when(
                disturbs(act, &ActPlace::RadioactiveItem),
                "it is kept whole and handed in under local rules",
            )
        },
    },
    Rule {
        id: "mercury/broken",
        hazard: "mercury",
        refuses: |act, _| {
            when(
                disturbs(act, &ActPlace::MercuryItem),
                "it is kept whole; spilt mercury is gathered without heat, with the window open",
            )
        },
    },
    Rule {
        id: "old-solvents/period-cleaner",
        hazard: "old-solvents",
        refuses: |act, _| {
            when(
                act.kind == ActKind::Treat(Treatment::PeriodCleaner),
                "cleaners of the time poison liver and lungs",
            )
        },
    },
    Rule {
        id: "old-solvents/live-set",
        hazard: "old-solvents",
        refuses: |act, situation| {
            when(
                act.kind == ActKind::Treat(Treatment::ContactCleaner)
                    && (act.energised || situation.tubes_hot == Some(true)),
                "cleaner goes into a cold set with the power off and dries fully",
            )
        },
    },
    Rule {
        id: "wax-fire/run-on",
        hazard: "wax-fire",
        refuses: |act, situation| {
            when(
                goes_on(act) && situation.shows(Sign::DrippingWax),
                "dripping wax near heat burns like a candle",
            )
        },
    },
    Rule {
        id: "wax-fire/oven",
        hazard: "wax-fire",
        refuses: |act, _| {
            when(
                act.kind == ActKind::Treat(Treatment::Oven)
                    && matches!(act.place, ActPlace::Flyback | ActPlace::Wax),
                "wax fumes in an oven burn: low heat only, and watched",
            )
        },
    },
    Rule {
        id: "fire/run-on",
        hazard: "fire",
        refuses: |act, situation| {
            let sign = [Sign::Smoke, Sign::BurntSmell, Sign::Arcing]
                .into_iter()
                .any(|sign| situation.shows(sign));
            when(
                goes_on(act) && sign,
                "smoke, smell or arcing: plug out first",
            )
        },
    },
    Rule {
        id: "fire/living-room",
        hazard: "fire",
        refuses: |act, situation| {
            when(
                act.starts_the_set() && situation.living_room,
                "the first power is on a clear bench with plug and extinguisher in reach",
            )
        },
    },
    Rule {
        id: "fire/water",
        hazard: "fire",
        refuses: |act, _| {
            when(
                act.kind == ActKind::Treat(Treatment::Water) && act.energised,
                "no water on a set that has power",
            )
        },
    },
    Rule {
        id: "unattended-set/nobody-watches",
        hazard: "unattended-set",
        refuses: |act, _| {
            when(
                act.energised
                    && matches!(
                        act.kind,
                        ActKind::Wait {
                            watch: Watch::Nobody | Watch::TimerSwitch,
                            ..
                        }
                    ),
                "somebody stays with it, plug within reach; a timer switch is no watchman",
            )
        },
    },
    Rule {
        id: "sharp-and-heavy/alone",
        hazard: "sharp-and-heavy",
        refuses: |act, _| match act.kind {
            ActKind::Carry(carrying) => when(
                matches!(act.place, ActPlace::WholeSet | ActPlace::OpenChassis)
                    && (carrying.people < 2
                        || matches!(carrying.grip, Grip::WeightOnTube | Grip::AgainstTheBody)),
                "two people, blocks, gloves, the tube out or guarded",
            ),
            _ => None,
        },
    },
];

/// True when an act at this material does anything but leave it alone or seal it for handing in.
fn disturbs(act: &Act, material: &ActPlace) -> bool {
    act.place == *material
        && matches!(act.kind, ActKind::Treat(treatment)
            if !matches!(treatment, Treatment::LeaveAlone | Treatment::SealAndHandIn))
}
