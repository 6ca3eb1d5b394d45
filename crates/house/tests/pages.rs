//! What the pages for people must hold, so that they do not go stale.
//!
//! Source: the rules in CONTRIBUTING.md. That every command and option is in the
//! manual is tested where the commands are, in `crates/app`.

use house::{crate_names, files, read, workspace};

#[test]
fn the_architecture_names_every_crate_in_one_sentence() {
    let page = read("ARCHITECTURE.md");
    for name in crate_names() {
        let opening = format!("- **{name}**");
        let line = page.lines().find(|line| line.starts_with(&opening));
        let Some(line) = line else {
            panic!("ARCHITECTURE.md has no line that starts with `{opening}`");
        };
        let sentence = line.trim_start_matches(&opening).trim_start_matches(':');
        assert!(
            sentence.trim().len() > 20,
            "{name}: no sentence in `{line}`"
        );
        assert!(
            line.trim_end().ends_with('.'),
            "{name}: `{line}` does not end"
        );
    }
}

#[test]
fn the_architecture_names_no_crate_that_is_gone() {
    let page = read("ARCHITECTURE.md");
    for line in page.lines() {
        let Some(rest) = line.strip_prefix("- **") else {
            continue;
        };
        let name = rest.split("**").next().unwrap_or_default();
        assert!(
            crate_names().iter().any(|known| known == name),
            "ARCHITECTURE.md tells of `{name}`, which is not in crates/"
        );
    }
}

#[test]
fn every_crate_folder_is_a_member() {
    for name in crate_names() {
        assert!(
            workspace().join("crates").join(&name).join("src").is_dir(),
            "{name} has no src/"
        );
    }
}

#[test]
fn the_readme_shows_the_two_commands_and_the_danger() {
    let page = read("README.md");
    for wanted in [
        "cargo run --release -- demo",
        "cargo run --release -- wake",
        "./check",
        "can kill",
        "isolation transformer",
        "MIT OR Apache-2.0",
    ] {
        assert!(page.contains(wanted), "README.md lacks `{wanted}`");
    }
}

#[test]
fn the_changelog_has_a_place_for_what_is_new() {
    let page = read("CHANGELOG.md");
    assert!(page.contains("## Unreleased"));
    for heading in [
        "### Predictions that moved, and why",
        "### Figures corrected",
    ] {
        assert!(page.contains(heading), "CHANGELOG.md lacks `{heading}`");
    }
}

#[test]
fn the_goals_are_ranked_people_first() {
    let page = read("GOALS.md");
    let mut from = 0;
    for goal in ["1. **People", "2. **The parts", "3. **Honesty", "4. **Ease"] {
        let place = page[from..].find(goal);
        assert!(place.is_some(), "GOALS.md: `{goal}` is not in its place");
        from += place.unwrap_or_default();
    }
}

#[test]
fn the_glossary_explains_the_words_in_use() {
    let page = read("GLOSSARY.md").to_lowercase();
    for word in [
        "band",
        "bleeder",
        "boost",
        "chart",
        "choke",
        "cold resistance",
        "dim lamp",
        "isolation transformer",
        "junction",
        "likely fault",
        "limiter",
        "load",
        "place",
        "plan",
        "re-form",
        "ripple",
        "series string",
        "settled",
        "sheet",
        "stop limit",
        "sweep feed",
        "unguarded",
        "variable transformer",
        "b+",
        "rms",
        "d.c.",
        "mfd",
        "mmf",
    ] {
        assert!(
            page.contains(&format!("**{word}**")),
            "GLOSSARY.md does not explain `{word}`"
        );
    }
}

#[test]
fn links_between_pages_lead_somewhere() {
    let mut lost = Vec::new();
    for name in files().iter().filter(|name| name.ends_with(".md")) {
        let text = read(name);
        let folder = name.rsplit_once('/').map_or("", |(folder, _)| folder);
        for piece in text.split("](").skip(1) {
            let target = piece.split([')', '#', ' ']).next().unwrap_or_default();
            if target.is_empty() || target.contains("://") {
                continue;
            }
            if !workspace().join(folder).join(target).exists() {
                lost.push(format!("{name}: {target}"));
            }
        }
    }
    assert!(lost.is_empty(), "links that lead nowhere: {lost:#?}");
}

#[test]
fn both_licences_are_here() {
    assert!(read("LICENSE-MIT").contains("Permission is hereby granted"));
    assert!(read("LICENSE-APACHE").contains("Version 2.0, January 2004"));
}

#[cfg(unix)]
#[test]
fn the_one_command_can_be_run() {
    use std::os::unix::fs::PermissionsExt;
    for name in ["check", ".ci/run"] {
        let mode =
            std::fs::metadata(workspace().join(name)).map(|about| about.permissions().mode());
        assert!(
            mode.is_ok_and(|mode| mode & 0o111 != 0),
            "{name} is not executable"
        );
    }
    assert!(
        read(".ci/run").contains("check"),
        ".ci/run does not call ./check"
    );
}
