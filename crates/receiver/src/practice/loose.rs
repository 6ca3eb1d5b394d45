//! What a part of a hidden set measures by itself: one end free, or a tube on a tester.
//!
//! Ohms (infinity for open), farads, percent. Source: the drawn figures of the hidden set and its
//! fault, by [`FaultKind`]. What no bench instrument tells of a part by itself says so with `None`. Nothing here
//! fails.

use crate::sheet::PartValue;
use crate::suspects::by_itself::{MOST_OHMS, tester_percent};
use crate::suspects::hypotheses::Suspect;
use crate::wiring::{FaultKind, Figure, SetModel};

use super::hidden::Hidden;

/// Ohms of a good capacitor's dielectric, as a leakage test at working volts finds it: beyond any scale.
const SOUND_DIELECTRIC_OHMS: f64 = 2e9;

/// What was measured.
#[derive(Debug, Clone, PartialEq)]
pub enum Loose {
    /// Of a resistor, coil, fuse and the like.
    Ohms(f64),
    /// Of a capacitor: leakage at working volts, and capacitance; an open one has none.
    Capacitor {
        /// Ohms at working volts.
        leak_ohms: f64,
        /// Farads.
        farads: f64,
        /// Series resistance where it is far above the usual, ohms.
        series_ohms: Option<f64>,
    },
    /// Of a tube on a tester.
    Tube {
        /// Percent of a new one.
        percent: f64,
        /// Shorts, leaks and grid current that it shows; empty for none.
        shows: Vec<String>,
    },
}

/// What one instrument shows of it.
#[derive(Debug, Clone, PartialEq)]
pub enum Shown {
    /// Ohms, farads or percent of a new tube.
    Figure(f64),
    /// What is told without a figure: a short, a leak, grid current, series resistance.
    Word(String),
}

/// Measures one part by itself; `None` where nothing at a bench tells about it, such as a transformer
/// with a few shorted turns.
pub fn measured_loose(model: &SetModel<'_>, hidden: &Hidden, suspect: Suspect) -> Option<Loose> {
    let faults: Vec<(&FaultKind, f64)> = hidden
        .faults
        .iter()
        .filter(|own| own.suspect == suspect)
        .map(|own| (&own.kind, own.severity))
        .collect();
    match suspect {
        Suspect::Part(part) => of_part(model, hidden, part, &faults),
        Suspect::Tube(tube) => Some(of_tube(hidden, tube, &faults)),
        Suspect::Transformer(_) | Suspect::Socket(_) => None,
    }
}

fn of_part(
    model: &SetModel<'_>,
    hidden: &Hidden,
    part: usize,
    faults: &[(&FaultKind, f64)],
) -> Option<Loose> {
    let is_open = faults.iter().any(|(kind, ohms)| match kind {
        FaultKind::Open(_) => true,
        // Measured from an end to the wiper too.
        FaultKind::AtWiper(_) => *ohms > MOST_OHMS,
        _ => false,
    });
    let beside = faults.iter().find_map(|(kind, ohms)| match kind {
        FaultKind::CapacitorLeak(_) | FaultKind::Across(_) | FaultKind::MetalShorted(_) => {
            Some(*ohms)
        }
        _ => None,
    });
    let factor = |figure: Figure| hidden.variation.factor(figure);
    match model.sheet.parts.get(part)?.value {
        PartValue::Capacitor { farads, .. } => {
            let usual = model.series_ohms(part);
            let series = usual * factor(Figure::SeriesOhms(part));
            Some(Loose::Capacitor {
                leak_ohms: beside.unwrap_or(SOUND_DIELECTRIC_OHMS),
                farads: if is_open {
                    0.0
                } else {
                    model.farads(part).unwrap_or(farads) * factor(Figure::Farads(part))
                },
                series_ohms: (usual > 0.0 && series > 3.0 * usual).then_some(series),
            })
        }
        _ => {
            let own = model.ohms(part)? * factor(Figure::Ohms(part));
            let own = if is_open { f64::INFINITY } else { own };
            let siemens = 1.0 / own + beside.map_or(0.0, |ohms| 1.0 / ohms);
            Some(Loose::Ohms(1.0 / siemens))
        }
    }
}

fn of_tube(hidden: &Hidden, tube: usize, faults: &[(&FaultKind, f64)]) -> Loose {
    let factor = |figure: Figure| hidden.variation.factor(figure);
    let emission = factor(Figure::StageEmission(tube)).min(factor(Figure::Emission(tube)));
    let worn = factor(Figure::Worn(tube)).min(factor(Figure::WornRectifier(tube)));
    let shows = faults.iter().filter_map(|(kind, severity)| match kind {
        FaultKind::HeaterOpen(_) => Some("the heater is open".to_owned()),
        FaultKind::HeaterToCathode { .. } => Some("leakage between heater and cathode".to_owned()),
        FaultKind::GridCurrent { .. } if *severity > 2.0 => Some("grid current".to_owned()),
        FaultKind::Between { .. } | FaultKind::TubeShorted { .. } => {
            Some("a short between elements".to_owned())
        }
        _ => None,
    });
    let shows: Vec<String> = shows.collect();
    let is_dark = faults
        .iter()
        .any(|(kind, _)| matches!(kind, FaultKind::HeaterOpen(_)));
    Loose::Tube {
        percent: match is_dark {
            true => 0.0,
            false => factor(Figure::TubeStrength(tube)) * tester_percent(emission, worn),
        },
        shows,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::practice::hidden::{HiddenFault, put_in};
    use crate::sheet::read_sheet;
    use crate::suspects::hypotheses::Hypotheses;
    use crate::wiring::Variation;

    /// The fault that begins so of this part, in a set that is else as on its sheet.
    fn measured(reference: &str, fault: &str, severity: f64) -> Option<Loose> {
        let catalogue = parts::catalogue().expect("the tables are sound");
        let text = include_str!("../../../../examples/whole/larkfield_12t.toml");
        let sheet = read_sheet(text, catalogue).sheet.expect("no fault");
        let model = SetModel::new(&sheet, catalogue);
        let hypotheses = Hypotheses::of(&model, catalogue);
        let mut hidden = Hidden {
            faults: Vec::new(),
            variation: Variation::none(),
            without_fault: Variation::none(),
        };
        let suspect = crate::suspects::outcome::suspect_named(&model, reference).expect("known");
        if !fault.is_empty() {
            let own = hypotheses
                .list
                .iter()
                .position(|own| own.suspect == suspect && own.fault == fault)
                .expect("a way of failing");
            put_in(
                &mut hidden.variation,
                &hypotheses.list[own].variation(severity),
            );
            hidden.faults.push(HiddenFault {
                hypothesis: own,
                suspect,
                fault: fault.to_owned(),
                kind: hypotheses.list[own].kind.clone(),
                severity,
            });
        }
        measured_loose(&model, &hidden, suspect)
    }

    /// By hand: R71 of the sheet is 270k; 50 percent up make 405k. C45 is a capacitor.
    #[test]
    fn a_part_shows_its_own_fault_and_no_other() {
        let ohms = |found: Option<Loose>| match found {
            Some(Loose::Ohms(ohms)) => ohms,
            other => panic!("{other:?}"),
        };
        assert!((ohms(measured("R71", "", 0.0)) / 270e3 - 1.0).abs() < 1e-9);
        assert!((ohms(measured("R71", "value high", 50.0)) / 405e3 - 1.0).abs() < 1e-9);
        assert_eq!(ohms(measured("R71", "open", 1.0)), f64::INFINITY);
        let Some(Loose::Capacitor {
            leak_ohms, farads, ..
        }) = measured("C45", "leaky", 2e5)
        else {
            panic!("a capacitor");
        };
        assert_eq!(leak_ohms, 2e5);
        assert!(farads > 1e-9);
        let Some(Loose::Capacitor {
            leak_ohms, farads, ..
        }) = measured("C45", "open lead", 1.0)
        else {
            panic!("a capacitor");
        };
        assert_eq!((leak_ohms, farads), (SOUND_DIELECTRIC_OHMS, 0.0));
    }

    #[test]
    fn a_tube_reads_by_what_it_gives() {
        let percent = |fault: &str, severity| match measured("V9", fault, severity) {
            Some(Loose::Tube { percent, shows }) => (percent, shows.len()),
            other => panic!("{other:?}"),
        };
        let (sound, shorts) = percent("", 0.0);
        assert!((sound - 100.0).abs() < 1e-9 && shorts == 0);
        // By hand: 1 / sqrt(1 + 1/r^2) with a reserve r of 4 over that with 8 is 0.978, with 0.16 it is 0.159; the patches that
        // wear has killed leave (0.5 / 0.75)^0.4 = 0.850 and 0.235 of these.
        assert!((percent("weak emission", 0.5).0 - 83.1).abs() < 0.1);
        assert!((percent("weak emission", 0.02).0 - 3.76).abs() < 0.05);
        assert_eq!(percent("heater open", 1.0), (0.0, 1));
    }
}
