//! Which crate may use which, and that every outside dependency states its reason.
//!
//! Source of the direction: the picture in ARCHITECTURE.md. A crate that is not
//! in the table below fails the test until it has been given its place.

use house::{crate_names, read};

/// Each crate of the workspace with the crates it may use; nothing else is allowed.
const MAY_USE: &[(&str, &[&str])] = &[
    ("quantity", &[]),
    ("circuit", &["quantity"]),
    ("parts", &["quantity"]),
    ("laws", &["quantity", "circuit", "parts"]),
    ("receiver", &["quantity", "circuit", "parts", "laws"]),
    ("logbook", &["quantity"]),
    ("paper", &[]),
    (
        "benchwork",
        &[
            "quantity", "circuit", "parts", "laws", "receiver", "logbook",
        ],
    ),
    ("pictures", &["quantity", "receiver", "benchwork"]),
    ("report", &["quantity", "benchwork", "paper", "pictures"]),
    (
        "pages",
        &["quantity", "benchwork", "paper", "pictures", "report"],
    ),
    (
        "app",
        &[
            "quantity",
            "circuit",
            "parts",
            "laws",
            "receiver",
            "logbook",
            "paper",
            "benchwork",
            "pictures",
            "report",
            "pages",
        ],
    ),
    ("house", &[]),
];

/// Outside crates that only one crate may use, with the reason.
const ONLY: &[(&str, &str, &str)] = &[
    ("clap", "app", "only the program knows the command line"),
    ("anstream", "app", "only the program knows the terminal"),
    ("comfy-table", "app", "only the program knows the terminal"),
    ("axum", "pages", "only pages know HTTP"),
    ("tokio", "pages", "only pages know HTTP"),
    ("plotters", "pictures", "only pictures draw"),
    ("rusqlite", "logbook", "only the logbook knows the database"),
    (
        "image",
        "logbook paper",
        "photographs are read where they are kept, and made small where they are laid out",
    ),
    ("krilla", "paper", "only paper knows PDF"),
    ("rustybuzz", "paper", "only paper knows letters"),
    ("maud", "paper pages", "only paper and pages write HTML"),
    ("jiff", "app", "times are handed in by the program"),
    (
        "csv",
        "parts receiver logbook",
        "data tables are read where they are held",
    ),
    (
        "toml_edit",
        "receiver parts",
        "the sheet is read by the receiver",
    ),
    (
        "rayon",
        "circuit receiver paper",
        "draws are solved side by side in the circuit, cases in the receiver, photographs on paper",
    ),
];

const KINDS: &[&str] = &["dependencies", "dev-dependencies", "build-dependencies"];

#[test]
fn crates_use_only_what_stands_above_them() {
    let mut wrong = Vec::new();
    for name in crate_names() {
        let Some((_, allowed)) = MAY_USE.iter().find(|(known, _)| *known == name) else {
            wrong.push(format!("{name} has no place in the order of crates"));
            continue;
        };
        for used in dependencies(&name) {
            let is_ours = crate_names().contains(&used) || used == "firstraster";
            if is_ours && !allowed.contains(&used.as_str()) {
                wrong.push(format!("{name} uses {used}"));
            }
        }
    }
    assert!(wrong.is_empty(), "against the order of crates: {wrong:#?}");
}

#[test]
fn the_order_of_crates_has_no_circle() {
    for (place, (name, allowed)) in MAY_USE.iter().enumerate() {
        for used in *allowed {
            let above = MAY_USE[..place].iter().any(|(earlier, _)| earlier == used);
            assert!(
                above,
                "{name} may use {used}, which does not stand above it"
            );
        }
    }
}

#[test]
fn outside_crates_stay_where_they_belong() {
    let mut wrong = Vec::new();
    for name in crate_names() {
        for used in dependencies(&name) {
            for (outside, places, reason) in ONLY {
                if used == *outside && !places.split(' ').any(|place| place == name) {
                    wrong.push(format!("{name} uses {used}: {reason}"));
                }
            }
        }
    }
    assert!(wrong.is_empty(), "{wrong:#?}");
}

#[test]
fn every_outside_dependency_states_its_reason() {
    let mut silent = Vec::new();
    for name in crate_names() {
        let manifest = format!("crates/{name}/Cargo.toml");
        let text = read(&manifest);
        let lines: Vec<&str> = text.lines().collect();
        let mut in_dependencies = false;
        for (number, line) in lines.iter().enumerate() {
            let line = line.trim();
            if line.starts_with('[') {
                in_dependencies = KINDS.iter().any(|kind| line.contains(kind));
            } else if in_dependencies && line.contains('=') && !line.starts_with('#') {
                let above = number.checked_sub(1).and_then(|above| lines.get(above));
                let has_reason = reason_in(line) || above.is_some_and(|above| reason_in(above));
                // A crate of this workspace has its reason in ARCHITECTURE.md.
                if !line.contains("path = ") && !line.contains("workspace = true") && !has_reason {
                    silent.push(format!("{manifest}:{}: {line}", number + 1));
                }
            }
        }
    }
    assert!(
        silent.is_empty(),
        "dependencies without a reason: {silent:#?}"
    );
}

/// A reason is a comment of at least two words.
fn reason_in(line: &str) -> bool {
    let comment = line.split_once('#').map_or("", |(_, comment)| comment);
    comment.split_whitespace().count() >= 2
}

/// Names of all crates that this crate's manifest asks for, tests included.
fn dependencies(crate_name: &str) -> Vec<String> {
    let manifest = format!("crates/{crate_name}/Cargo.toml");
    let table: toml::Table = read(&manifest)
        .parse()
        .unwrap_or_else(|error| panic!("{manifest}: {error}"));
    let mut names = Vec::new();
    let mut tables = vec![&table];
    if let Some(targets) = table.get("target").and_then(toml::Value::as_table) {
        tables.extend(targets.values().filter_map(toml::Value::as_table));
    }
    for table in tables {
        for kind in KINDS {
            if let Some(listed) = table.get(*kind).and_then(toml::Value::as_table) {
                names.extend(listed.keys().cloned());
            }
        }
    }
    names
}
