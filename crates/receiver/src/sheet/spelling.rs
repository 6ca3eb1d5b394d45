//! The nearest right spelling of a word that was not understood.
//!
//! Works on short words only and on a bounded number of comparisons, so that a
//! sheet with thousands of wrong words is still read at once. No nearest word is
//! an ordinary answer.

use std::cell::Cell;

/// Comparisons that one reading of a sheet may spend on spelling.
const COMPARISONS: usize = 400_000;
/// Longer words are no misspelling of anything.
const LONGEST_WORD: usize = 48;

/// A store of comparisons that is used up while a sheet is read.
#[derive(Debug)]
pub(super) struct Speller {
    left: Cell<usize>,
}

impl Speller {
    pub(super) fn new() -> Self {
        Speller {
            left: Cell::new(COMPARISONS),
        }
    }

    /// The candidate nearest to the word, if one is near enough to be meant.
    pub(super) fn nearest<'a>(
        &self,
        word: &str,
        candidates: impl IntoIterator<Item = &'a str>,
    ) -> Option<&'a str> {
        let word = word.trim().to_lowercase();
        let length = word.chars().count();
        if word.is_empty() || length > LONGEST_WORD {
            return None;
        }
        let allowed = match length {
            0..=4 => 1,
            5..=7 => 2,
            _ => 3,
        };
        let mut best: Option<(usize, &'a str)> = None;
        for candidate in candidates {
            let Some(left) = self.left.get().checked_sub(1) else {
                break;
            };
            self.left.set(left);
            if candidate.len().abs_diff(word.len()) > 4 * allowed {
                continue;
            }
            let lower = candidate.to_lowercase();
            let distance = strsim::osa_distance(&word, &lower);
            if distance <= allowed
                && distance < lower.chars().count()
                && best.is_none_or(|(least, _)| distance < least)
            {
                best = Some((distance, candidate));
            }
        }
        best.map(|(_, candidate)| candidate)
    }

    /// "did you mean `x`? " for the nearest candidate, or an empty text.
    pub(super) fn did_you_mean<'a>(
        &self,
        word: &str,
        candidates: impl IntoIterator<Item = &'a str>,
    ) -> String {
        self.nearest(word, candidates)
            .map(|nearest| format!("did you mean `{nearest}`? "))
            .unwrap_or_default()
    }
}
