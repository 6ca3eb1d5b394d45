//! How each row of the fault table acts in a circuit, and for which parts of its kind.
//!
//! Rows are named as in data/part_faults.csv; severities are in the row's unit. What a row's
//! remark limits ("only ...") is decided here from the sheet, as judged from the words of the
//! remark. Rows that are missing here are not followed yet: `Hypotheses::left_out` names them
//! for a set, and a test names the kinds of part of which no row is followed. Nothing here can
//! fail.

use crate::sheet::{PartValue, ResistorMake};
use crate::wiring::SetModel;

/// What a row does.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Act {
    /// Severity in ohms across a capacitor.
    CapacitorLeak,
    /// Severity in ohms across another part.
    Across,
    /// Open.
    Open,
    /// Ohms up by so many percent.
    PercentUp,
    /// Ohms times the severity.
    OhmsTimes,
    /// Farads times the severity.
    FaradsTimes,
    /// Series resistance of so many ohms.
    SeriesOhms,
    /// Drop of a metal rectifier times the severity.
    RectifierDrop,
    /// Ohms across a metal rectifier.
    RectifierLeak,
    /// Drop of a small diode, neon or voltage-dependent resistor times the severity.
    SmallDrop,
    /// Emission times the severity.
    Emission,
    /// No emission.
    NoEmission,
    /// Grid current in microamperes.
    GridCurrent,
    /// Ohms between heater and cathode.
    HeaterToCathode,
    /// Heater open.
    HeaterOpen,
    /// Ohms between first grid and cathode.
    GridToCathode,
    /// Ohms between first and second grid.
    GridToScreen,
    /// Ohms between the electrodes of a tube: a rectifier's plate to cathode, else first grid
    /// to cathode, the pair that lies closest (judgement).
    Elements,
    /// Shorted turns in percent.
    ShortedTurns,
    /// The winding that the line feeds is open.
    PrimaryOpen,
    /// A winding that feeds a rectifier's plate is open.
    PlateWindingOpen,
    /// A contact of a tube's socket that does not make.
    SocketOpen,
    /// Ohms between pins of a tube's socket.
    SocketLeak,
    /// A joint at a part that is open.
    Joint,
    /// Ohms in series at the wiper of a control.
    WiperOhms,
    /// The wiper of a control open.
    WiperOpen,
    /// Ohms between the + ends of two sections of one can.
    SectionLeak,
    /// Ohms from the part's first end to the chassis.
    ToChassis,
}

/// Which parts of the kind a row means.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Only {
    /// All.
    All,
    /// Carbon composition.
    Carbon,
    /// Carbon composition of 470k and more, or at a second grid.
    HighCarbon,
    /// Wire-wound.
    WireWound,
    /// Fusible.
    Fusible,
    /// Electrolytics that the supply's cycle follows.
    Filter,
    /// Tubulars below 100 V.
    LowVolts,
}

/// A row.
pub(super) struct Rule {
    pub kind: &'static str,
    pub fault: &'static str,
    pub act: Act,
    pub only: Only,
}

const fn some(kind: &'static str, fault: &'static str, act: Act, only: Only) -> Rule {
    Rule {
        kind,
        fault,
        act,
        only,
    }
}

const fn all(kind: &'static str, fault: &'static str, act: Act) -> Rule {
    some(kind, fault, act, Only::All)
}

/// All rows that act in a direct-current circuit or in the supply's cycle.
pub(super) const RULES: &[Rule] = {
    use Act::*;
    use Only::*;
    &[
        some("resistor", "value high", PercentUp, Carbon),
        some("resistor", "value far up", OhmsTimes, HighCarbon),
        some("resistor", "open", Open, Carbon),
        some("resistor", "value low (burnt)", OhmsTimes, Carbon),
        some("resistor", "wire-wound open", Open, WireWound),
        some("resistor", "fusible resistor open", Open, Fusible),
        all("resistor", "wrong value from an earlier repair", OhmsTimes),
        all("control", "value changed", OhmsTimes),
        all("control", "open track", Open),
        all("control", "worn or dirty track", WiperOhms),
        all("control", "wiper open", WiperOpen),
        all("control", "track to case leak", ToChassis),
        some(
            "resistor",
            "wire-wound leak to its case",
            ToChassis,
            WireWound,
        ),
        all("ballast", "leak to its shell", ToChassis),
        all("choke", "winding to core leak", ToChassis),
        all("focus-coil", "winding to shell leak", ToChassis),
        all("electrolytic", "section to section leak", SectionLeak),
        all("thermistor", "high or open", OhmsTimes),
        all("thermistor", "shorted or low", OhmsTimes),
        all("ballast", "open", Open),
        all("ballast", "value off or wrong substitute", OhmsTimes),
        all("fuse", "open", Open),
        all("lamp", "open", Open),
        all("plug", "jumper missing or plug out", Open),
        some("electrolytic", "low capacitance", FaradsTimes, Filter),
        some("electrolytic", "high series resistance", SeriesOhms, Filter),
        all("electrolytic", "leaky", CapacitorLeak),
        all("electrolytic", "shorted", CapacitorLeak),
        all("electrolytic", "open", Open),
        some(
            "electrolytic",
            "low-volts bypass dried out",
            FaradsTimes,
            LowVolts,
        ),
        all("electrolytic", "fitted the wrong way round", CapacitorLeak),
        all("paper", "leaky", CapacitorLeak),
        all("paper", "slightly leaky", CapacitorLeak),
        all("paper", "shorted", CapacitorLeak),
        all("paper", "open lead", Open),
        all("moulded-paper", "leaky", CapacitorLeak),
        all("moulded-paper", "slightly leaky", CapacitorLeak),
        all("moulded-paper", "shorted", CapacitorLeak),
        all("moulded-paper", "open lead", Open),
        all("film", "leaky", CapacitorLeak),
        all("film", "shorted", CapacitorLeak),
        all("film", "open lead", Open),
        all("mica", "leaky or silver migration", CapacitorLeak),
        all("mica", "open", Open),
        all("mica", "shorted", CapacitorLeak),
        all("ceramic", "cracked, leaky", CapacitorLeak),
        all("ceramic", "shorted", CapacitorLeak),
        all("ceramic", "open", Open),
        all("trimmer", "dirty or shorted plates", CapacitorLeak),
        all("choke", "open", Open),
        all("choke", "shorted turns", OhmsTimes),
        all("coil", "open", Open),
        all("coil", "shorted turns", OhmsTimes),
        all("focus-coil", "open", Open),
        all("focus-coil", "shorted turns", OhmsTimes),
        all("yoke", "shorted section", OhmsTimes),
        all("yoke", "open section", Open),
        all("selenium", "high forward resistance", RectifierDrop),
        all("selenium", "shorted plates", RectifierLeak),
        all("selenium", "leaky in reverse", RectifierLeak),
        all("selenium", "open", Open),
        all("silicon", "shorted", RectifierLeak),
        all("silicon", "open", Open),
        all("crystal", "low back resistance", Across),
        all("crystal", "shorted", Across),
        all("crystal", "high forward resistance or open", SmallDrop),
        all("neon", "leaks or shorted", Across),
        all("vdr", "open", Open),
        all("vdr", "shorted or burnt low", Across),
        all("tube", "weak emission", Emission),
        all("tube", "gassy", GridCurrent),
        all("tube", "grid emission", GridCurrent),
        all("tube", "heater-cathode leak", HeaterToCathode),
        all("tube", "heater-cathode short", HeaterToCathode),
        all("tube", "heater open", HeaterOpen),
        all("tube", "shorted elements", Elements),
        all("tube", "air inside", NoEmission),
        all("power-transformer", "shorted turns", ShortedTurns),
        all("power-transformer", "primary open", PrimaryOpen),
        all(
            "power-transformer",
            "half of the plate winding open",
            PlateWindingOpen,
        ),
        all("tube-socket", "poor contact", SocketOpen),
        all("tube-socket", "broken lug or ground strap", SocketOpen),
        all("tube-socket", "carbon track or leak", SocketLeak),
        all("wire", "solder joint open or never made", Joint),
        all("picture-tube", "low emission", Emission),
        all("picture-tube", "heater-cathode leak", HeaterToCathode),
        all("picture-tube", "heater-cathode short", HeaterToCathode),
        all("picture-tube", "grid-cathode short or leak", GridToCathode),
        all("picture-tube", "grid to second grid leak", GridToScreen),
        all("picture-tube", "slightly gassy", GridCurrent),
        all("picture-tube", "vacuum lost", NoEmission),
        all("picture-tube", "heater open", HeaterOpen),
    ]
};

/// Ohms from which a carbon resistor is of those that rise most (the fault table's remark).
pub(super) const HIGH_OHMS: f64 = 1e5;
/// Ohms from which one rises by factors (the fault table's remark).
const FAR_OHMS: f64 = 4.7e5;
/// Watts up to which a resistor of untold make is taken as carbon (common practice).
const CARBON_WATTS: f64 = 2.0;
/// Volts below which an electrolytic is a bypass at a cathode (the fault table's remark).
const BYPASS_VOLTS: f64 = 100.0;

/// Whether a row means this part.
pub(super) fn means(model: &SetModel<'_>, part: usize, only: Only) -> bool {
    let Some(own) = model.sheet.parts.get(part) else {
        return false;
    };
    let make = match &own.value {
        PartValue::Resistor { make, watts, .. } => make.or(match watts {
            Some(watts) if *watts > CARBON_WATTS => Some(ResistorMake::WireWound),
            _ => Some(ResistorMake::Carbon),
        }),
        _ => None,
    };
    match only {
        Only::All => true,
        Only::Carbon => make == Some(ResistorMake::Carbon),
        Only::HighCarbon => {
            make == Some(ResistorMake::Carbon)
                && (model.ohms(part).is_some_and(|ohms| ohms >= FAR_OHMS) || at_screen(model, part))
        }
        Only::WireWound => make == Some(ResistorMake::WireWound),
        Only::Fusible => make == Some(ResistorMake::Fusible),
        Only::Filter => model.follows(part),
        Only::LowVolts => matches!(
            own.value,
            PartValue::Capacitor { volts: Some(volts), .. }
                if volts < BYPASS_VOLTS && !model.follows(part)
        ),
    }
}

/// Whether a part ends at the second grid of a stage.
fn at_screen(model: &SetModel<'_>, part: usize) -> bool {
    let ends = model.part_junctions(part);
    model
        .stages
        .complete
        .iter()
        .filter_map(|stage| stage.electrodes[2])
        .any(|screen| ends.contains(&Some(screen)))
}

#[cfg(test)]
mod tests {
    use super::RULES;

    /// Kinds of part of which no row is followed: where the wire, socket or contact sits is not
    /// on a sheet, or the part works with what alternates.
    const WHOLE_KINDS: [&str; 4] = [
        "switch",
        "cord",
        "output-transformer",
        "flyback-transformer",
    ];

    #[test]
    fn every_rule_names_a_row_once() {
        let catalogue = parts::catalogue().expect("the tables are sound");
        for (number, rule) in RULES.iter().enumerate() {
            let rows = catalogue.part_faults(rule.kind);
            assert_eq!(
                rows.iter().filter(|row| row.fault == rule.fault).count(),
                1,
                "{}: {}",
                rule.kind,
                rule.fault
            );
            let again = RULES[..number]
                .iter()
                .any(|own| own.kind == rule.kind && own.fault == rule.fault);
            assert!(!again, "{}: {} twice", rule.kind, rule.fault);
        }
    }

    #[test]
    fn every_other_kind_is_followed() {
        let catalogue = parts::catalogue().expect("the tables are sound");
        let mut kinds: Vec<&str> = catalogue
            .all_part_faults()
            .iter()
            .map(|row| row.part_kind.as_str())
            .collect();
        kinds.dedup();
        for kind in kinds {
            let followed = RULES.iter().filter(|rule| rule.kind == kind).count();
            assert_eq!(
                followed == 0,
                WHOLE_KINDS.contains(&kind),
                "{kind}: {followed} rows followed"
            );
        }
    }
}
