//! Ratings of one type against another, section for section.
//!
//! Volts, watts, milliamperes as the columns name. A rating counts as equal
//! within half a percent. Makers rated by two systems (design-centre, and later
//! design-maximum, some 10 percent higher for the same tube): a lower figure is
//! taken at its word, since the other way could overload a tube.

use crate::like::{Change, Matter, class};
use crate::tube::{Section, TubeType};

/// A rating: column, words, unit, and where it stands in a section.
type Rating = (
    &'static str,
    &'static str,
    &'static str,
    fn(&Section) -> Option<f64>,
);

const RATINGS: [Rating; 8] = [
    ("max_plate_v", "plate", "V", |s| s.max_plate_volts),
    ("max_plate_diss_w", "plate dissipation", "W", |s| {
        s.max_plate_watts
    }),
    ("max_screen_diss_w", "screen dissipation", "W", |s| {
        s.max_screen_watts
    }),
    ("max_dc_ma", "cathode current", "mA", |s| {
        s.max_cathode_milliamperes
    }),
    ("max_peak_ma", "peak cathode current", "mA", |s| {
        s.max_peak_cathode_milliamperes
    }),
    ("max_piv_v", "inverse", "V", |s| {
        s.rectifier.as_ref().and_then(|r| r.max_inverse_volts)
    }),
    ("max_dc_ma", "d.c. output", "mA", |s| {
        s.rectifier.as_ref().and_then(|r| r.max_dc_milliamperes)
    }),
    ("max_peak_ma", "peak current of a plate", "mA", |s| {
        s.rectifier.as_ref().and_then(|r| r.max_peak_milliamperes)
    }),
];

/// The ratings that differ, and how far off they are.
pub(super) fn changes(asked: &TubeType, tube: &TubeType) -> (Vec<Change>, f64) {
    let mut changes = Vec::new();
    let mut distance = 0.0;
    let pairs = section_pairs(asked, tube);
    let several = pairs.len() > 1;
    for (own, other) in pairs {
        let whose = if several {
            format!(" of the {}", own.name.trim_start_matches("each-"))
        } else {
            String::new()
        };
        for (column, words, unit, figure) in RATINGS {
            let Some(asked_figure) = figure(own) else {
                continue;
            };
            let Some(this) = figure(other) else {
                distance += 0.05;
                let text = format!("{words}{whose}: no rating known, {asked_figure} {unit} asked");
                changes.push(Change::words(Matter::RatingUnknown, column, text));
                continue;
            };
            let ratio = this / asked_figure;
            if (ratio - 1.0).abs() <= 0.005 {
                continue;
            }
            let (matter, step) = if ratio < 1.0 {
                (Matter::RatingLower, -0.5 * ratio.ln())
            } else {
                (Matter::RatingHigher, 0.05 * ratio.ln())
            };
            distance += step.min(0.8);
            let text =
                format!("{words}{whose} rated {this} {unit} instead of {asked_figure} {unit}");
            changes.push(Change::figures(matter, column, asked_figure, this, text));
        }
    }
    (changes, distance)
}

/// Each section of the one asked for with one of the other that does its work.
pub(super) fn section_pairs<'a>(
    asked: &'a TubeType,
    tube: &'a TubeType,
) -> Vec<(&'a Section, &'a Section)> {
    let mut free: Vec<&Section> = tube.sections.iter().collect();
    asked
        .sections
        .iter()
        .filter_map(|own| {
            let same_name = |other: &&Section| other.name == own.name;
            let same_work = |other: &&Section| class(other.kind) == class(own.kind);
            let at = free
                .iter()
                .position(|other| same_name(other) && same_work(other))
                .or_else(|| free.iter().position(same_work))?;
            // One section may stand for both units of a twin.
            let other = free.get(at).copied()?;
            if other.units <= own.units {
                free.remove(at);
            }
            Some((own, other))
        })
        .collect()
}
