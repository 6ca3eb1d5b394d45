//! The table of docs/theory/tube_laws.md is what the laws say now.
//!
//! Outside values: published points of data/tubes.csv. After a change of figures or fits run
//! `UPDATE_PAGE=1 cargo test -p laws --test page` and read what moved.

use std::fmt::Write;
use std::path::Path;

use laws::PointFigure;
use parts::TubeType;

const BEGIN: &str = "<!-- table begins -->\n";
const END: &str = "<!-- table ends -->";

/// Each point of the section foretold from its others: the error in percent.
fn left_out(tube: &TubeType, section: usize) -> Vec<f64> {
    let points = &tube.sections[section].operating_points;
    if points.len() < 2 {
        return Vec::new();
    }
    (0..points.len())
        .filter_map(|number| {
            let mut less = tube.clone();
            less.sections[section].operating_points.remove(number);
            // A plate current alone foretells nothing.
            let others = &less.sections[section].operating_points;
            if others.iter().all(|point| {
                point.transconductance_micromhos.is_none() && point.cutoff_volts.is_none()
            }) {
                return None;
            }
            let laws = laws::fit_tube(&less);
            let law = laws
                .iter()
                .find(|law| law.section == tube.sections[section].name)?;
            let published = points[number].plate_milliamperes? * 1e-3;
            let foretold = laws::at_point(law, &points[number])?.plate_amperes;
            Some(100.0 * (foretold / published - 1.0))
        })
        .collect()
}

fn table() -> String {
    let catalogue = parts::catalogue().expect("the tables are sound");
    let mut text = String::from(
        "| type | section | points | worst fitted | foretold from the others | doubt told |\n|---|---|---|---|---|---|\n",
    );
    for tube in catalogue.tubes() {
        if tube.derived_from.is_some() || tube.provenance.source.contains("copied from") {
            continue;
        }
        let laws = laws::fit_tube(tube);
        for (at, section) in tube.sections.iter().enumerate() {
            let Some(law) = laws.iter().find(|law| law.section == section.name) else {
                continue;
            };
            let fitted = law
                .fit
                .left_over
                .iter()
                .filter(|left| left.figure == PointFigure::PlateCurrent)
                .fold(0.0_f64, |worst, left| worst.max(left.error().abs()));
            let foretold: Vec<String> = left_out(tube, at)
                .iter()
                .map(|error| format!("{error:+.0} %"))
                .collect();
            let doubt = match law.because() {
                Some(because) => format!("no law: {because}"),
                None => format!(
                    "{:.0} %{}",
                    100.0 * law.model_error,
                    if law.basis == Some(laws::LawBasis::Kind) {
                        ", of its kind"
                    } else {
                        ""
                    }
                ),
            };
            let _ = writeln!(
                text,
                "| {} | {} | {} | {} | {} | {doubt} |",
                tube.name,
                section.name,
                law.fit.points,
                if law.fit.points > 0 {
                    format!("{:.0} %", 100.0 * fitted)
                } else {
                    String::new()
                },
                foretold.join(", ")
            );
        }
    }
    text
}

#[test]
fn the_table_is_what_the_laws_say() {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../docs/theory/tube_laws.md");
    let page = std::fs::read_to_string(&path).expect("docs/theory/tube_laws.md can be read");
    let (before, rest) = page.split_once(BEGIN).expect("the table's beginning");
    let (held, after) = rest.split_once(END).expect("the table's end");
    let now = table();
    if std::env::var_os("UPDATE_PAGE").is_some() {
        std::fs::write(&path, format!("{before}{BEGIN}{now}{END}{after}"))
            .expect("docs/theory/tube_laws.md can be written");
        return;
    }
    let moved: Vec<(&str, &str)> = held
        .lines()
        .zip(now.lines())
        .filter(|(held, now)| held != now)
        .collect();
    assert!(
        moved.is_empty() && held.lines().count() == now.lines().count(),
        "run UPDATE_PAGE=1 cargo test -p laws --test page; moved: {moved:#?}"
    );
}
