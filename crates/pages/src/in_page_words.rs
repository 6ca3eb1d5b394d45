//! What the program says to somebody at a terminal, said to somebody at a page: a command is the page that does the
//! same, an option is the field of that name.
//!
//! Commands stand between backticks and begin with the program's name; options begin with two dashes. What is not
//! known is left as it is, which a test over the sources keeps from happening. Nothing here fails.

use std::borrow::Cow;

/// Each command with the page that does the same, as the list of all pages calls it.
const PAGES: &[(&str, &str)] = &[
    ("bench", "the program at the laptop"),
    ("change", "Something else was changed"),
    ("chart", "The maker's chart"),
    ("check", "The sheet"),
    ("correct", "Story"),
    ("decide", "A decision"),
    ("expect", "What a meter should show"),
    ("export", "Keeping"),
    ("backup", "Keeping"),
    ("fit", "A part was replaced"),
    ("hand-on", "The report"),
    ("import", "Begin a restoration"),
    ("labels", "The report"),
    ("ohms", "Cold resistances"),
    ("order", "What to buy"),
    ("parts", "Parts for a spreadsheet"),
    ("picture", "Picture tube"),
    ("power", "Power-up"),
    ("practice", "Practice"),
    ("prove", "Safety proof"),
    ("reading", "Readings"),
    ("reform", "Re-forming"),
    ("renew", "Replacement"),
    ("see", "Look-over"),
    ("silicon", "Silicon for selenium"),
    ("stage", "The sheet"),
    ("start", "Begin a restoration"),
    ("story", "Story"),
    ("suspects", "Suspects"),
    ("take", "The sheet"),
    ("tube", "A tube"),
    ("wake", "The plan"),
    ("worth", "Is it worth the work?"),
];

const COMMAND: &str = "`firstraster ";

/// The same words for a page.
pub fn in_page_words(text: &str) -> Cow<'_, str> {
    if !text.contains(COMMAND) && !text.contains("--") {
        return Cow::Borrowed(text);
    }
    Cow::Owned(options_as_fields(&commands_as_pages(text)))
}

fn commands_as_pages(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    let mut rest = text;
    while let Some((before, after)) = rest.split_once(COMMAND) {
        out.push_str(before);
        let Some((command, behind)) = after.split_once('`') else {
            out.push_str(COMMAND);
            rest = after;
            continue;
        };
        let name = command.split(' ').next().unwrap_or_default();
        match PAGES.iter().find(|(own, _)| *own == name) {
            Some((_, page)) => out.push_str(&format!("\"{page}\"")),
            None => out.push_str(&format!("{COMMAND}{command}`")),
        }
        rest = behind;
    }
    out.push_str(rest);
    out
}

/// `--scale-end` is the field "scale end"; two dashes that begin no word are none.
fn options_as_fields(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    let mut rest = text;
    while let Some(at) = rest.find("--") {
        let (before, after) = (&rest[..at], &rest[at + 2..]);
        let is_sign = |letter: char| letter.is_ascii_lowercase() || letter == '-';
        let end = after.find(|letter| !is_sign(letter)).unwrap_or(after.len());
        let begins = before
            .chars()
            .next_back()
            .is_none_or(|last| !last.is_alphanumeric() && last != '-');
        out.push_str(before);
        match begins && after.starts_with(|letter: char| letter.is_ascii_lowercase()) {
            true => out.push_str(&format!(
                "\"{}\"",
                after[..end].trim_end_matches('-').replace('-', " ")
            )),
            false => out.push_str(&rest[at..at + 2 + end]),
        }
        rest = &after[end..];
    }
    out.push_str(rest);
    out
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::path::{Path, PathBuf};

    #[test]
    fn commands_and_options_become_pages_and_fields() {
        for (said, wanted) in [
            (
                "nothing of the kind -- as a dash",
                "nothing of the kind -- as a dash",
            ),
            (
                "take one in: `firstraster take FILE SHEET`",
                "take one in: \"The sheet\"",
            ),
            (
                "`firstraster check` tells them; take it in with `firstraster take`",
                "\"The sheet\" tells them; take it in with \"The sheet\"",
            ),
            (
                "say it with --type, such as 12LP4",
                "say it with \"type\", such as 12LP4",
            ),
            (
                "or --not-of-this-set with the reason",
                "or \"not of this set\" with the reason",
            ),
            (
                "a `firstraster without an end",
                "a `firstraster without an end",
            ),
            ("`firstraster unknown` stays", "`firstraster unknown` stays"),
            ("µ--9, end--", "µ--9, end--"),
        ] {
            assert_eq!(in_page_words(said), wanted);
        }
    }

    #[test]
    fn every_command_that_the_program_names_in_its_words_has_a_page() {
        let crates = Path::new(env!("CARGO_MANIFEST_DIR")).join("..");
        let mut files: Vec<PathBuf> = Vec::new();
        let mut folders: Vec<PathBuf> = ["benchwork", "receiver", "logbook", "parts"]
            .map(|name| crates.join(name).join("src"))
            .to_vec();
        while let Some(folder) = folders.pop() {
            for entry in std::fs::read_dir(&folder).expect("a folder").flatten() {
                match entry.path().is_dir() {
                    true => folders.push(entry.path()),
                    false => files.push(entry.path()),
                }
            }
        }
        let mut named = 0;
        for file in files {
            let text = std::fs::read_to_string(&file).expect("a source");
            let said = text
                .lines()
                .filter(|line| !line.trim_start().starts_with("//"));
            for line in said.filter(|line| line.contains(COMMAND)) {
                let line = line.replace("\\\"", "");
                named += 1;
                assert!(
                    !in_page_words(&line).contains(COMMAND),
                    "{}: {line}",
                    file.display()
                );
            }
        }
        assert!(named > 30, "the sources were looked through: {named}");
    }
}
