//! Keeps advice in a restoration as it was given.
//!
//! With the program's version and the edition of its figures; a fact about the past that is never read
//! back as input. What is longer than one entry holds goes into several, parted between lines, all
//! of them or none. Fails where the file is no restoration or cannot be written.

use logbook::{Advised, Fact, LONGEST_TEXT};

use crate::PROGRAM_VERSION;
use crate::restoration::{Entering, open};
use crate::trouble::Trouble;

/// Keeps what was `said` when something was `asked`; the number of the first entry and how many
/// there are. What was sent before is not kept again: the entries made then are told.
pub fn keep_advice(
    entering: &Entering<'_>,
    asked: &str,
    said: &str,
) -> Result<(u64, usize), Trouble> {
    let parts = parted(said);
    let count = parts.len();
    let facts: Vec<Fact> = parts
        .into_iter()
        .enumerate()
        .map(|(at, said)| {
            Fact::Advised(Advised {
                asked: match count {
                    1 => asked.to_owned(),
                    _ => format!("{asked} ({} of {count})", at + 1),
                },
                said: said.to_owned(),
                program: PROGRAM_VERSION.to_owned(),
                data: parts::DATA_EDITION.to_owned(),
            })
        })
        .collect();
    let mut open = open(entering)?;
    let made = match open.made_before {
        Some(made) => Some(made),
        None => open.append_all(&facts)?,
    };
    let made = made.ok_or_else(|| Trouble::input("there is nothing to keep", "ask something"))?;
    Ok((
        made.first,
        usize::try_from(made.last - made.first).unwrap_or_default() + 1,
    ))
}

/// The text in pieces that an entry holds, cut behind line ends where there are any.
fn parted(text: &str) -> Vec<&str> {
    let mut parts = Vec::new();
    let mut rest = text;
    while rest.len() > LONGEST_TEXT {
        let longest = (0..=LONGEST_TEXT)
            .rev()
            .find(|at| rest.is_char_boundary(*at));
        let (fits, _) = rest.split_at(longest.unwrap_or_default());
        let cut = fits.rfind('\n').map_or(fits.len(), |at| at + 1);
        let (part, more) = rest.split_at(cut);
        parts.push(part);
        rest = more;
    }
    if parts.is_empty() || !rest.trim().is_empty() {
        parts.push(rest);
    }
    parts
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{EXAMPLE_SHEET, SheetFile, start_restoration, tell_story};
    use logbook::Stamp;

    #[test]
    fn advice_is_kept_with_the_versions_that_gave_it() {
        let folder = tempfile::tempdir().expect("a folder");
        let file = folder.path().join("a.restoration");
        let at = Stamp::read("2026-11-29T08:49:51+01:00").expect("a time");
        let entering = Entering::new(&file, at);
        let sheet = SheetFile::in_memory("larkfield.toml", EXAMPLE_SHEET);
        start_restoration(&entering, &sheet, None).expect("started");
        let kept = keep_advice(&entering, "wake", "step 1: ...\nstep 2: ...").expect("kept");
        assert_eq!(kept, (2, 1));
        // Advice that says nothing is none.
        assert!(keep_advice(&entering, "wake", "").is_err());
        let line = format!("{}\n", "é".repeat(499));
        let long = line.repeat(150);
        assert_eq!(keep_advice(&entering, "wake", &long).expect("kept"), (3, 3));
        let story = tell_story(&file, true).expect("told");
        let says = |number: usize| &story.entries[number - 1].says;
        assert_eq!(says(2)["program"], PROGRAM_VERSION);
        assert_eq!(says(2)["data"], parts::DATA_EDITION);
        assert_eq!(says(2)["said"], "step 1: ...\nstep 2: ...");
        assert_eq!(says(4)["asked"], "wake (2 of 3)");
        let back: String = (3..=5)
            .filter_map(|number| says(number)["said"].as_str())
            .collect();
        assert_eq!(back.trim_end(), long.trim_end());
    }

    #[test]
    fn pieces_are_cut_at_lines_or_between_letters() {
        let text = "é".repeat(LONGEST_TEXT);
        let parts = parted(&text);
        assert!(parts.len() >= 2 && parts.iter().all(|part| part.len() <= LONGEST_TEXT));
        assert_eq!(parts.concat(), text);
        let line = format!("{}\n", "a".repeat(LONGEST_TEXT - 9));
        assert_eq!(parted(&line.repeat(2)), [line.as_str(), line.as_str()]);
        let full = "a".repeat(LONGEST_TEXT);
        assert_eq!(parted(&format!("{full}\n")), [full.as_str()]);
        assert_eq!(parted("a"), ["a"]);
    }
}
