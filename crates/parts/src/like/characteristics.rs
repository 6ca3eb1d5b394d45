//! How one type works against another: gain, current, drop, cut-off.
//!
//! Micromhos, milliamperes, volts as the columns name. Points are compared
//! where plate and screen volts agree within 10 and 15 percent; of points at
//! other volts only amplification factor and transconductance count, and that
//! is said. Drops at different currents are brought to one by the law of the
//! vacuum diode, current as volts to the power of three halves (Langmuir 1913).
//! Doubtful figures are compared all the same; the page of each type names them.

use crate::like::ratings::section_pairs;
use crate::like::{Change, Matter};
use crate::tube::{OperatingPoint, Section, TubeType};

/// What a missing comparison counts, so that types known in full come first.
const NOT_COMPARED: f64 = 0.5;

/// What another kind of cut-off counts.
const OTHER_CUTOFF: f64 = 0.3;

/// What differs, and how far off it is.
pub(super) fn changes(asked: &TubeType, tube: &TubeType) -> (Vec<Change>, f64) {
    let mut changes = Vec::new();
    let mut distance = 0.0;
    let pairs = section_pairs(asked, tube);
    let several = pairs.len() > 1;
    let share = 1.0 / pairs.len().max(1) as f64;
    for (own, other) in pairs {
        let whose = if several {
            format!(" of the {}", own.name.trim_start_matches("each-"))
        } else {
            String::new()
        };
        let off = if own.kind.is_diode() {
            drops(own, other, &whose, &mut changes)
        } else {
            points(own, other, &whose, &mut changes)
        };
        distance += share * off;
    }
    (changes, distance)
}

fn points(own: &Section, other: &Section, whose: &str, changes: &mut Vec<Change>) -> f64 {
    let mut distance = 0.0;
    if let (Some(one), Some(two)) = (cutoff_kind(own), cutoff_kind(other))
        && one != two
    {
        let text = format!("{two} cut-off{whose} instead of {one}: gain control works otherwise");
        changes.push(Change::words(Matter::Characteristic, "cutoff_v_at", text));
        distance += OTHER_CUTOFF;
    }
    let Some((asked, this, comparable)) = nearest_points(own, other) else {
        let text = format!("no operating point{whose} is known to compare");
        changes.push(Change::words(Matter::Characteristic, "typ_plate_v", text));
        return distance + NOT_COMPARED;
    };
    if !comparable {
        let volts = |point: &OperatingPoint| point.plate_volts.map_or(0.0, |volts| volts);
        let text = format!(
            "points{whose} are given at other volts ({} V, {} V): currents are not compared",
            volts(this),
            volts(asked)
        );
        changes.push(Change::words(Matter::Characteristic, "typ_plate_v", text));
        distance += 0.2;
    }
    type Figure = (
        &'static str,
        &'static str,
        &'static str,
        bool,
        fn(&OperatingPoint) -> Option<f64>,
    );
    let figures: [Figure; 5] = [
        ("typ_mu", "amplification factor", "", true, |p| {
            p.amplification_factor
        }),
        ("typ_gm_umho", "transconductance", " micromhos", true, |p| {
            p.transconductance_micromhos
        }),
        ("typ_plate_ma", "plate current", " mA", false, |p| {
            p.plate_milliamperes
        }),
        ("typ_screen_ma", "screen current", " mA", false, |p| {
            p.screen_milliamperes
        }),
        ("typ_grid_v", "grid bias", " V", false, |p| {
            p.grid_volts.filter(|volts| *volts < 0.0)
        }),
    ];
    let mut ratios = Vec::new();
    for (column, words, unit, at_any_volts, figure) in figures {
        if !(comparable || at_any_volts) {
            continue;
        }
        let (Some(one), Some(two)) = (figure(asked), figure(this)) else {
            continue;
        };
        let ratio: f64 = two / one;
        ratios.push(ratio.ln().abs().min(1.5));
        if (ratio - 1.0).abs() > 0.03 {
            let text = format!("{words}{whose} {two}{unit} instead of {one}{unit}");
            changes.push(Change::figures(
                Matter::Characteristic,
                column,
                one.abs(),
                two.abs(),
                text,
            ));
        }
    }
    if ratios.is_empty() {
        let text = format!("no figure{whose} is known of both");
        changes.push(Change::words(Matter::Characteristic, "typ_gm_umho", text));
        return distance + NOT_COMPARED;
    }
    distance + ratios.iter().sum::<f64>() / ratios.len() as f64
}

/// The two points whose volts are nearest, and whether they are near enough.
fn nearest_points<'a>(
    own: &'a Section,
    other: &'a Section,
) -> Option<(&'a OperatingPoint, &'a OperatingPoint, bool)> {
    let mut best: Option<(f64, &OperatingPoint, &OperatingPoint)> = None;
    for one in &own.operating_points {
        for two in &other.operating_points {
            let off =
                apart(one.plate_volts, two.plate_volts) + apart(one.screen_volts, two.screen_volts);
            if best.is_none_or(|(least, _, _)| off < least) {
                best = Some((off, one, two));
            }
        }
    }
    let (_, one, two) = best?;
    let near = apart(one.plate_volts, two.plate_volts) <= 1.1f64.ln()
        && apart(one.screen_volts, two.screen_volts) <= 1.15f64.ln();
    Some((one, two, near))
}

/// Logarithm of the ratio; far when only one is known.
fn apart(one: Option<f64>, two: Option<f64>) -> f64 {
    match (one, two) {
        (Some(one), Some(two)) if one > 0.0 && two > 0.0 => (two / one).ln().abs(),
        (None, None) => 0.0,
        _ => 3.0,
    }
}

/// `remote`, `semi-remote` or `sharp`, as far as a row says it.
fn cutoff_kind(section: &Section) -> Option<&'static str> {
    let says = |words: &str| {
        section
            .operating_points
            .iter()
            .any(|point| point.provenance.notes.contains(words))
    };
    if says("semi-remote cutoff") {
        Some("semi-remote")
    } else if says("remote cutoff") {
        Some("remote")
    } else {
        section
            .operating_points
            .iter()
            .any(|point| point.cutoff_volts.is_some())
            .then_some("sharp")
    }
}

fn drops(own: &Section, other: &Section, whose: &str, changes: &mut Vec<Change>) -> f64 {
    let drop = |section: &Section| {
        section
            .rectifier
            .as_ref()
            .and_then(|rating| rating.drop_points.first().cloned())
    };
    let (Some(asked), Some(this)) = (drop(own), drop(other)) else {
        let text = format!("drop{whose}: not known of both");
        changes.push(Change::words(Matter::Characteristic, "drop_v_at", text));
        return NOT_COMPARED;
    };
    let volts = this.volts * (asked.milliamperes / this.milliamperes).powf(2.0 / 3.0);
    let ratio = volts / asked.volts;
    if (ratio - 1.0).abs() > 0.03 {
        let effect = if ratio < 1.0 {
            "B+ comes out higher: check the volts that the filter capacitors are marked with"
        } else {
            "B+ comes out lower"
        };
        let text = format!(
            "drop{whose} about {volts:.0} V at {} mA instead of {} V: {effect}",
            asked.milliamperes, asked.volts
        );
        changes.push(Change::figures(
            Matter::Characteristic,
            "drop_v_at",
            asked.volts,
            volts,
            text,
        ));
    }
    ratio.ln().abs().min(1.5)
}
