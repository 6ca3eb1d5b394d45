//! A set ready to be asked about its parts: from a sheet, or from a restoration with all its facts.
//!
//! Weights plain. Fails as reading the sheet or the restoration does.

use std::path::Path;

use logbook::{Entry, Fact, standing_facts};
use receiver::suspects::hypotheses::{Hypotheses, Suspect};
use receiver::suspects::outcome::Found;
use receiver::wiring::SetModel;

use crate::check_sheet::{catalogue, powered_sheet};
use crate::hunt::{Without, hunt, is_noticed};
use crate::long_work::LongWork;
use crate::re_form::{formed_volts, state_of};
use crate::read_sheet_file::read_set_file;
use crate::trouble::Trouble;
use crate::view::NoticeView;

/// The set, and what is known of its parts.
pub(crate) struct SetAsked<'a, 's> {
    /// The set.
    pub model: &'a SetModel<'s>,
    /// Ways of failing, bent by looks and checks.
    pub hypotheses: &'a Hypotheses,
    /// Weights by the readings; empty where none count.
    pub weights: Vec<(Suspect, f64)>,
    /// What was found of single parts.
    pub found: Vec<(Suspect, String)>,
    /// The same, whether it was good.
    pub found_good: Vec<(Suspect, bool)>,
    /// The entries of the restoration by which all of this stands; `None` of a sheet.
    pub entries: Option<&'a [Entry]>,
    /// What is worth knowing.
    pub notices: Vec<NoticeView>,
}

/// Asks something of the set in a file.
pub(crate) fn with_set<T>(
    path: &Path,
    work: LongWork<'_>,
    ask: impl FnOnce(&SetAsked<'_, '_>) -> Result<T, Trouble>,
) -> Result<T, Trouble> {
    let file = read_set_file(path)?;
    if file.is_of_a_restoration() {
        return hunt(path, Without::Nothing, work, |hunt| {
            let weights = if hunt.knows_nothing() {
                Vec::new()
            } else {
                let ranking = hunt.ranking();
                let suspects = ranking.suspects.iter();
                suspects.map(|own| (own.suspect, own.weight)).collect()
            };
            let found = hunt.found.iter();
            let found_good = hunt.found.iter();
            ask(&SetAsked {
                found_good: found_good
                    .map(|own| {
                        let good = matches!(own.outcome.found, Found::Good(_));
                        (own.outcome.suspect, good)
                    })
                    .collect(),
                model: hunt.model,
                hypotheses: &hunt.hypotheses,
                weights,
                found: found
                    .map(|own| (own.outcome.suspect, own.words.clone()))
                    .collect(),
                entries: Some(hunt.entries),
                notices: hunt.notices.clone(),
            })
        });
    }
    let (sheet, notices) = powered_sheet(&file)?;
    let catalogue = catalogue()?;
    let model = SetModel::new(&sheet, catalogue);
    let hypotheses = Hypotheses::of(&model, catalogue);
    ask(&SetAsked {
        model: &model,
        hypotheses: &hypotheses,
        weights: Vec::new(),
        found: Vec::new(),
        found_good: Vec::new(),
        entries: None,
        notices,
    })
}

/// Words that say that something is not there.
const NOT_THERE: [&str; 4] = ["missing", "gone", "absent", "not there"];
/// Words ahead of them that say the contrary.
const NOTHING: [&str; 5] = ["nothing", "none", "no", "not", "never"];
/// What may be gone from a part that is there itself.
const FADED: [&str; 6] = ["colour", "colours", "color", "colors", "paint", "shine"];

impl SetAsked<'_, '_> {
    /// What was seen to be missing, the last word on each thing; what was noticed of the running set is no such thing, and
    /// a part that was fitted since is there.
    pub fn missing(&self) -> Vec<String> {
        let mut found: Vec<(String, bool)> = Vec::new();
        for one in standing_facts(self.entries.unwrap_or_default()) {
            match one.fact {
                Fact::Seen(seen) if !is_noticed(seen) => {
                    let name = match seen.part.is_empty() {
                        true => seen.thing.clone(),
                        false => seen.part.clone(),
                    };
                    found.retain(|(own, _)| *own != name);
                    found.push((name, says_not_there(&seen.found)));
                }
                Fact::Fitted(fitted) => {
                    let name = fitted.part.trim();
                    found.retain(|(own, _)| !own.eq_ignore_ascii_case(name));
                }
                _ => {}
            }
        }
        let gone = found.into_iter().filter(|(_, gone)| *gone);
        gone.map(|(name, _)| name).collect()
    }

    /// Electrolytics that were formed anew, by their position, each with the volts to which that went.
    pub fn formed(&self) -> Vec<(usize, f64)> {
        let facts = standing_facts(self.entries.unwrap_or_default());
        let state = &self.model.sheet.state;
        let all = self.model.sheet.parts.iter().enumerate();
        all.filter(|(_, own)| state_of(state, &own.reference) == "re_formed")
            .filter_map(|(part, own)| Some((part, formed_volts(&facts, self.model.sheet, own)?)))
            .collect()
    }
}

/// Whether words of a finding say that the thing is not there, such as `gone` or `one gone`; `colours gone` and `nothing
/// missing` do not.
fn says_not_there(found: &str) -> bool {
    let lower = found.to_lowercase();
    // Every part of a finding between commas speaks for itself.
    lower
        .split([',', ';', '.', ':'])
        .map(|part| part.split_whitespace().collect::<Vec<&str>>().join(" "))
        .any(|part| {
            NOT_THERE.iter().any(|words| {
                let before = match part.strip_suffix(words) {
                    Some(before) => before,
                    None => match part.strip_prefix(words) {
                        // `missing since long`, and not `gone black`.
                        Some(after) if *words != "gone" && after.starts_with(' ') => "",
                        _ => return false,
                    },
                };
                let mut before_words = before.split(' ').filter(|own| !own.is_empty());
                let is_word = before.is_empty() || before.ends_with(' ');
                is_word && !before_words.any(|own| NOTHING.contains(&own) || FADED.contains(&own))
            })
        })
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Findings of `data/things_to_see.csv` and words as they are typed; which of them name something that is not there is
    /// read off by hand.
    #[test]
    fn words_for_what_is_not_there() {
        for words in [
            "gone",
            "Gone.",
            "one gone",
            "several gone",
            "wedges gone",
            "spring gone",
            "cover gone",
            "missing",
            "is missing, the socket empty",
            "missing since long",
            "not there",
            "cracked, cover gone",
        ] {
            assert!(says_not_there(words), "{words}");
        }
        for words in [
            "sound",
            "colours gone",
            "silver gone black",
            "gone brown at one end",
            "all there",
            "nothing missing",
            "none gone",
            "no screw missing",
            "never gone",
            "bygone",
            "",
        ] {
            assert!(!says_not_there(words), "{words}");
        }
    }

    /// Every finding of the list with such a word is one of the above.
    #[test]
    fn the_list_of_things_names_what_is_not_there_in_these_words() {
        let list = parts::things_to_see().expect("sound figures");
        let told: Vec<&str> = list
            .iter()
            .flat_map(|own| &own.findings)
            .filter(|words| says_not_there(words))
            .map(String::as_str)
            .collect();
        assert_eq!(
            told,
            [
                "gone",
                "gone",
                "one gone",
                "several gone",
                "gone",
                "wedges gone",
                "spring gone",
                "cover gone"
            ]
        );
    }
}
