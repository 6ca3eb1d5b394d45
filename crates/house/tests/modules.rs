//! What every module must say and what some crates must not know.
//!
//! Source: the rules in CONTRIBUTING.md and the list of what each crate must not
//! know in ARCHITECTURE.md. The text of the modules is searched, so a forbidden
//! thing is found under the name by which it would be written.

use house::{files_ending, read};

#[test]
fn every_module_opens_by_saying_what_it_is() {
    let silent: Vec<String> = files_ending(".rs")
        .into_iter()
        .filter(|name| {
            let text = read(name);
            let first = text.lines().find(|line| !line.trim().is_empty());
            !first.is_some_and(|line| line.starts_with("//! ") && line.len() > 12)
        })
        .collect();
    assert!(
        silent.is_empty(),
        "modules without an opening `//!`: {silent:#?}"
    );
}

/// Folder, forbidden words, reason. Tests and benches may know what they like.
const MUST_NOT_KNOW: &[(&str, &[&str], &str)] = &[
    (
        "crates/quantity/src/",
        &["std::fs", "std::time", "println!", "std::env", "std::net"],
        "numbers know no machine",
    ),
    (
        "crates/circuit/src/",
        &[
            "std::fs",
            "std::time",
            "println!",
            "std::env",
            "std::net",
            "6AU6",
            "5U4",
        ],
        "equations know no machine and no tube types",
    ),
    (
        "crates/parts/src/",
        &["std::fs", "std::time", "println!", "std::env", "std::net"],
        "figures are built in",
    ),
    (
        "crates/laws/src/",
        &["std::fs", "std::time", "println!", "std::env", "std::net"],
        "a law follows from figures alone",
    ),
    (
        "crates/receiver/src/",
        &[
            "std::fs",
            "std::time",
            "println!",
            "std::env",
            "std::net",
            "std::io",
        ],
        "the same facts give the same advice",
    ),
    (
        "crates/logbook/src/",
        &[
            "SystemTime",
            "Instant",
            "println!",
            "std::env",
            "std::net",
            "receiver::",
        ],
        "a fact has the time that its caller tells, and is not judged",
    ),
    (
        "crates/paper/src/",
        &[
            "std::fs",
            "std::time",
            "println!",
            "std::env",
            "std::net",
            "restoration",
            "6AU6",
        ],
        "pages know no machine and no set",
    ),
    (
        "crates/benchwork/src/",
        &[
            "println!",
            "std::env",
            "std::net",
            "anstream",
            "IsTerminal",
            "SystemTime",
            "rusqlite",
        ],
        "only the program knows the terminal",
    ),
];

#[test]
fn crates_do_not_know_what_they_must_not() {
    let mut wrong = Vec::new();
    for (folder, words, reason) in MUST_NOT_KNOW {
        for name in files_ending(".rs") {
            if !name.starts_with(folder) {
                continue;
            }
            let text = read(&name);
            let program = text.split("#[cfg(test)]").next().unwrap_or_default();
            for line in program
                .lines()
                .filter(|line| !line.trim().starts_with("//"))
            {
                for word in words.iter().filter(|word| line.contains(**word)) {
                    wrong.push(format!("{name}: `{word}` ({reason})"));
                }
            }
        }
    }
    assert!(wrong.is_empty(), "{wrong:#?}");
}

#[test]
fn nothing_is_left_for_later_in_silence() {
    let marks = [
        "todo!(",
        "unimplemented!(",
        concat!("#[", "ignore]"),
        "dbg!(",
    ];
    let mut found = Vec::new();
    for name in files_ending(".rs") {
        if name == "crates/house/tests/modules.rs" {
            continue;
        }
        let text = read(&name);
        for mark in marks.iter().filter(|mark| text.contains(**mark)) {
            found.push(format!("{name}: {mark}"));
        }
    }
    assert!(found.is_empty(), "{found:#?}");
}

/// A file that no other names as its module is compiled by nobody and tested by nothing.
#[test]
fn every_file_is_a_module_of_another() {
    let lost: Vec<String> = files_ending(".rs")
        .into_iter()
        .filter(|name| {
            let Some((folder, file)) = name.rsplit_once('/') else {
                return false;
            };
            let is_source = folder.ends_with("/src") || folder.contains("/src/");
            if !is_source || ["lib.rs", "main.rs"].contains(&file) {
                return false;
            }
            // The folder that the module belongs to, and its own name.
            let (above, module) = match file.strip_suffix(".rs") {
                Some("mod") => folder.rsplit_once('/').unwrap_or((folder, "")),
                Some(stem) => (folder, stem),
                None => return false,
            };
            let parents = [
                format!("{above}/mod.rs"),
                format!("{above}.rs"),
                format!("{above}/lib.rs"),
                format!("{above}/main.rs"),
            ];
            let all = house::files();
            let named = [format!("mod {module};"), format!("mod {module} {{")];
            let mut texts = parents
                .iter()
                .filter(|own| all.contains(own))
                .map(|own| read(own));
            !texts.any(|text| named.iter().any(|own| text.contains(own)))
        })
        .collect();
    assert!(lost.is_empty(), "files that are no module: {lost:#?}");
}
