//! Published points that the fit does not see: each point of a section with two or more is
//! left out in turn and foretold from the others.
//!
//! Outside values: makers' published points in data/tubes.csv, each with its standing there.
//! Rows that were added later from memory, and types copied from another, do not count.

use parts::{SectionKind, Standing, TubeType};

struct Foretold {
    name: String,
    kind: SectionKind,
    was_read: bool,
    plate: f64,
    transconductance: Option<f64>,
    screen: Option<f64>,
    error_told: f64,
}

/// Whether the row repeats the figures of another type.
fn is_copy(tube: &TubeType) -> bool {
    tube.derived_from.is_some() || tube.provenance.source.contains("copied from")
}

/// The type without this point, and without points that were added later.
fn without(tube: &TubeType, section: usize, point: usize) -> TubeType {
    let mut less = tube.clone();
    let points = &mut less.sections[section].operating_points;
    points.remove(point);
    points.retain(|point| !point.provenance.is_added());
    less
}

fn all(later_points_only: bool) -> Vec<Foretold> {
    let catalogue = parts::catalogue().expect("the tables are sound");
    let mut found = Vec::new();
    for tube in catalogue.tubes().filter(|tube| !is_copy(tube)) {
        for (at, section) in tube.sections.iter().enumerate() {
            let first_collection = section
                .operating_points
                .iter()
                .filter(|point| !point.provenance.is_added());
            if first_collection.count() < 2 {
                continue;
            }
            for (number, point) in section.operating_points.iter().enumerate() {
                if point.provenance.is_added() || (later_points_only && number == 0) {
                    continue;
                }
                let less = without(tube, at, number);
                let laws = laws::fit_tube(&less);
                let law = laws
                    .iter()
                    .find(|law| law.section == section.name)
                    .expect("the section is there");
                let at_point = laws::at_point(law, point).expect("other points gave a law");
                let published = point.plate_milliamperes.expect("a point has its current") * 1e-3;
                found.push(Foretold {
                    name: format!("{} {}/{}", tube.name, section.name, number + 1),
                    kind: section.kind,
                    was_read: point.provenance.standing_of("typ_plate_ma") < Standing::Mixed,
                    plate: at_point.plate_amperes / published - 1.0,
                    transconductance: point
                        .transconductance_micromhos
                        .map(|umho| at_point.transconductance_siemens / (umho * 1e-6) - 1.0),
                    screen: point
                        .screen_milliamperes
                        .map(|ma| at_point.screen_amperes / (ma * 1e-3) - 1.0),
                    error_told: law.model_error,
                });
            }
        }
    }
    found
}

/// The share at and below which this part of the errors lies.
fn part(errors: &[f64], share: f64) -> f64 {
    let mut sizes: Vec<f64> = errors.iter().map(|error| error.abs()).collect();
    sizes.sort_by(f64::total_cmp);
    let place = ((share * sizes.len() as f64).ceil() as usize).clamp(1, sizes.len());
    sizes[place - 1]
}

fn report(title: &str, found: &[&Foretold]) -> (f64, f64) {
    let errors: Vec<f64> = found.iter().map(|one| one.plate).collect();
    if errors.is_empty() {
        return (0.0, 0.0);
    }
    let (middle, nine) = (part(&errors, 0.5), part(&errors, 0.9));
    println!(
        "{title}: {} points, median {:.1} %, nine of ten within {:.1} %",
        errors.len(),
        100.0 * middle,
        100.0 * nine
    );
    (middle, nine)
}

#[test]
fn points_left_out_are_foretold() {
    let found = all(false);
    let percent =
        |error: Option<f64>| error.map_or("-".to_string(), |e| format!("{:+.0}", 100.0 * e));
    for one in &found {
        println!(
            "{:28} {:10} plate {:+6.1} %  gm {:>4} %  screen {:>4} %  told {:.0} %{}",
            one.name,
            one.kind.word(),
            100.0 * one.plate,
            percent(one.transconductance),
            percent(one.screen),
            100.0 * one.error_told,
            if one.was_read { "  read" } else { "" }
        );
    }
    let every: Vec<&Foretold> = found.iter().collect();
    let read: Vec<&Foretold> = found.iter().filter(|one| one.was_read).collect();
    let memory: Vec<&Foretold> = found.iter().filter(|one| !one.was_read).collect();
    report("read", &read);
    report("from memory", &memory);
    for (_, kind) in SectionKind::WORDS {
        let of_kind: Vec<&Foretold> = every
            .iter()
            .copied()
            .filter(|one| one.kind == kind)
            .collect();
        report(kind.word(), &of_kind);
    }
    let later = all(true);
    report(
        "second and third points only",
        &later.iter().collect::<Vec<_>>(),
    );
    // The doubt that a law tells of itself: two of three within, and not far too wide.
    let within = every
        .iter()
        .filter(|one| one.plate.abs() <= one.error_told)
        .count() as f64
        / every.len() as f64;
    println!("within the doubt told: {:.0} %", 100.0 * within);
    assert!((0.6..=0.95).contains(&within), "{within}");
    let (middle, nine) = report("all", &every);
    assert!(every.len() >= 32, "{} points", every.len());
    assert!(middle <= 0.10, "median error {middle}");
    assert!(nine <= 0.25, "nine of ten within {nine}");
}
