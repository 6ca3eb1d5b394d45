//! For tests alone: what of a command its page of the manual does not show.
//!
//! A page is `docs/manual/COMMAND.md`; options stand in it in grave accents. A page that cannot be read is told as missing.

use std::path::Path;

use clap::{Command, CommandFactory};

use crate::cli::Cli;

/// What the page of a command lacks: itself, its line, its options, its entries with theirs. An entry is shown by a line of
/// this command that has its name, or in grave accents; with `example`, what stands between command and entry, by just that line.
pub fn not_in_the_manual(command: &str, example: Option<&str>) -> Vec<String> {
    let cli = Cli::command();
    let Some(own) = cli.find_subcommand(command) else {
        return vec![format!("there is no command {command}")];
    };
    let file = format!("docs/manual/{command}.md");
    let path = Path::new(env!("CARGO_MANIFEST_DIR"))
        .join("../..")
        .join(&file);
    let page = match std::fs::read_to_string(path) {
        Ok(page) => page,
        Err(error) => return vec![format!("{file}: {error}")],
    };
    let mut missing = Vec::new();
    let begins = format!("firstraster {command}");
    if !page.contains(&begins) {
        missing.push(format!("{file}: `{begins}`"));
    }
    if !page.contains("`--json`") {
        missing.push(format!("{file}: `--json`"));
    }
    missing.extend(options_not_in(&page, own).map(|option| format!("{file}: `{option}`")));
    for entry in own.get_subcommands() {
        let name = entry.get_name();
        let is_shown = match example {
            Some(example) => page.contains(&format!("{begins} {example} {name}")),
            None => {
                let on_a_line = page.lines().any(|line| {
                    let rest = line.split_once(&begins).map_or("", |(_, rest)| rest);
                    rest.split([' ', '`']).any(|word| word == name)
                });
                on_a_line || is_in_grave_accents(&page, name)
            }
        };
        if !is_shown {
            missing.push(format!("{file}: a line of `{begins}` with {name}"));
        }
        missing.extend(
            options_not_in(&page, entry).map(|option| format!("{file}: `{option}` of {name}")),
        );
    }
    missing
}

/// Options of a command that a page does not have in grave accents.
fn options_not_in<'a>(page: &'a str, command: &'a Command) -> impl Iterator<Item = String> + 'a {
    command
        .get_arguments()
        .filter_map(|own| own.get_long())
        .map(|long| format!("--{long}"))
        .filter(move |option| !is_in_grave_accents(page, option))
}

/// Whether a page has a word in grave accents, alone or with what follows it.
fn is_in_grave_accents(page: &str, word: &str) -> bool {
    let mut ends = ["`", " "].iter();
    ends.any(|end| page.contains(&format!("`{word}{end}")))
}

#[test]
fn every_command_entry_and_option_is_in_the_manual() {
    let cli = Cli::command();
    let missing: Vec<String> = cli
        .get_subcommands()
        .flat_map(|own| not_in_the_manual(own.get_name(), None))
        .collect();
    assert!(missing.is_empty(), "not in the manual: {missing:#?}");
}

#[test]
fn what_is_not_there_is_told() {
    assert_eq!(not_in_the_manual("frobnicate", None).len(), 1);
    let other = not_in_the_manual("reform", Some("my_set.restoration Z99"));
    let entries = Cli::command()
        .find_subcommand("reform")
        .map_or(0, |own| own.get_subcommands().count());
    assert_eq!(other.len(), entries, "{other:#?}");
}
