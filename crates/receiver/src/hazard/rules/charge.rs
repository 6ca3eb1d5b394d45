//! Rules about charge that stays after the plug is out.
//!
//! From the rows charged-electrolytics, picture-tube-charge, ungrounded-coating,
//! high-voltage-filter-charge and metal-cone. Only a charge that was taken away through a resistor
//! and proven, or computed to have no path here, counts as gone; time never does.

use super::measuring::is_ohms;
use super::{Rule, when};
use crate::hazard::act::{Act, ActKind};
use crate::hazard::details::{Connected, Instrument, Saying, StoredCharge, Treatment};
use crate::hazard::place::ActPlace;

pub(super) const RULES: &[Rule] = &[
    Rule {
        id: "charged-electrolytics/by-hand",
        hazard: "charged-electrolytics",
        refuses: |act, _| {
            when(
                comes_to_the_wiring(act) && !is_ohms(act) && !is_proven(act.charge),
                "discharge through a resistor, then prove it with the meter, before anything is \
                 touched, cut or soldered here",
            )
        },
    },
    Rule {
        id: "charged-electrolytics/ohms",
        hazard: "charged-electrolytics",
        refuses: |act, _| {
            when(
                is_ohms(act)
                    && !act.energised
                    && !act.place.has_high_voltage()
                    && !is_proven(act.charge),
                "an ohmmeter on a charged place is destroyed, and its reading means nothing: \
                 discharge and prove first",
            )
        },
    },
    Rule {
        id: "charged-electrolytics/time-has-passed",
        hazard: "charged-electrolytics",
        refuses: |act, _| {
            let by_time = act.charge == StoredCharge::TimeHasPassed
                && (act.is_by_hand() || is_ohms(act))
                && !act.energised;
            when(
                by_time || act.kind == ActKind::Say(Saying::DischargedByTime),
                "time discharges nothing when the bleeder has gone open",
            )
        },
    },
    Rule {
        id: "charged-electrolytics/without-resistor",
        hazard: "charged-electrolytics",
        refuses: |act, _| {
            let through_resistor = matches!(
                act.instrument,
                Some(Instrument::DischargeResistor | Instrument::DischargeRod)
            );
            when(
                act.kind == ActKind::Discharge
                    && !act.place.has_high_voltage()
                    && !through_resistor,
                "a short without a resistor burns, throws metal and harms the capacitor",
            )
        },
    },
    Rule {
        id: "charged-electrolytics/discharged-under-power",
        hazard: "charged-electrolytics",
        refuses: |act, _| {
            when(
                act.kind == ActKind::Discharge && act.energised,
                "the plug comes out before anything is discharged",
            )
        },
    },
    Rule {
        id: "picture-tube-charge/handled",
        hazard: "picture-tube-charge",
        refuses: |act, _| {
            let handled = matches!(
                act.place,
                ActPlace::PictureTubeAnode
                    | ActPlace::PictureTube
                    | ActPlace::HighVoltageRectifier(_)
            ) && (act.is_by_hand() || is_ohms(act));
            when(
                handled
                    && !act.energised
                    && act.charge != StoredCharge::DischargedRepeatedlyClipLeft,
                "the glass charges itself up again: discharge several times over some minutes and \
                 leave the clip on; time and one discharge never count",
            )
        },
    },
    Rule {
        id: "picture-tube-charge/discharged-wrongly",
        hazard: "picture-tube-charge",
        refuses: |act, situation| {
            let to_its_ground = act.to == Some(ActPlace::PictureTubeCoating)
                || (act.to == Some(ActPlace::Chassis) && situation.coating == Some(false));
            when(
                act.kind == ActKind::Discharge
                    && act.place == ActPlace::PictureTubeAnode
                    && !(act.instrument == Some(Instrument::DischargeRod) && to_its_ground),
                "only an insulated rod with a high resistance, clipped to the ground of the outer \
                 coating, takes this charge",
            )
        },
    },
    Rule {
        id: "ungrounded-coating/run",
        hazard: "ungrounded-coating",
        refuses: |act, situation| {
            when(
                act.runs_the_set()
                    && situation.picture_tube != Some(false)
                    && situation.coating != Some(false)
                    && situation.coating_grounded == Some(false),
                "the outer coating's spring is off: it would take up high voltage",
            )
        },
    },
    Rule {
        id: "high-voltage-filter-charge/not-on-its-own",
        hazard: "high-voltage-filter-charge",
        refuses: |act, _| {
            when(
                matches!(act.place, ActPlace::HighVoltageFilter(_))
                    && (act.is_by_hand() || is_ohms(act))
                    && act.charge != StoredCharge::DischargedRepeatedlyClipLeft,
                "each high-voltage capacitor is discharged on its own, both ends, and its ends \
                 joined with a clip lead",
            )
        },
    },
    Rule {
        id: "high-voltage-filter-charge/without-rod",
        hazard: "high-voltage-filter-charge",
        refuses: |act, _| {
            when(
                act.kind == ActKind::Discharge
                    && matches!(
                        act.place,
                        ActPlace::HighVoltageFilter(_)
                            | ActPlace::HighVoltageRectifier(_)
                            | ActPlace::MetalCone
                    )
                    && act.instrument != Some(Instrument::DischargeRod),
                "high voltage is discharged with the insulated rod and its high resistance",
            )
        },
    },
    Rule {
        id: "metal-cone/touched",
        hazard: "metal-cone",
        refuses: |act, _| {
            when(
                act.place == ActPlace::MetalCone
                    && act.is_by_hand()
                    && (act.energised || act.charge != StoredCharge::DischargedRepeatedlyClipLeft),
                "the metal cone stands at full high voltage while the set runs, and after it",
            )
        },
    },
    Rule {
        id: "metal-cone/measured-near",
        hazard: "metal-cone",
        refuses: |act, _| {
            when(
                act.place == ActPlace::MetalCone
                    && matches!(act.kind, ActKind::Measure(_))
                    && act.energised,
                "no lead comes near the metal cone while the set runs",
            )
        },
    },
    Rule {
        id: "metal-cone/boot-off",
        hazard: "metal-cone",
        refuses: |act, situation| {
            when(
                act.runs_the_set()
                    && situation.metal_cone == Some(true)
                    && situation.cone_boot_fitted != Some(true),
                "boot and ring of the metal cone must be seen in place before any power",
            )
        },
    },
];

fn is_proven(charge: StoredCharge) -> bool {
    matches!(
        charge,
        StoredCharge::NoneHere
            | StoredCharge::ProvenWithMeter
            | StoredCharge::DischargedRepeatedlyClipLeft
    )
}

fn comes_to_the_wiring(act: &Act) -> bool {
    let clipped = matches!(
        act.kind,
        ActKind::Connect(
            Connected::ClipLead
                | Connected::DcSource { .. }
                | Connected::CapacitorAcrossOld { .. }
                | Connected::TestCapacitorAcrossOld
                | Connected::DummyLoad
                | Connected::SignalThroughCapacitor { .. }
                | Connected::HeaterResistor
        )
    );
    let cleaned =
        matches!(act.kind, ActKind::Treat(treatment) if treatment != Treatment::LeaveAlone);
    // Ion trap, yoke and focus are turned by their insulated parts.
    let touched = act.is_by_hand() && !matches!(act.kind, ActKind::Carry(_) | ActKind::Turn { .. });
    !act.energised && act.place.is_in_the_supply_wiring() && (clipped || touched || cleaned)
}
