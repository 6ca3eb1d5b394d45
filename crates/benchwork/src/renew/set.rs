//! A set ready to be asked about its parts: from a sheet, or from a restoration with all its facts.
//!
//! Weights plain. Fails as reading the sheet or the restoration does.

use std::path::Path;

use logbook::{Fact, Logbook, standing_facts};
use receiver::suspects::hypotheses::{Hypotheses, Suspect};
use receiver::suspects::outcome::Found;
use receiver::wiring::SetModel;

use crate::check_sheet::{catalogue, powered_sheet};
use crate::hunt::{Without, hunt};
use crate::read_sheet_file::read_set_file;
use crate::restoration::trouble;
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
    /// Whether a restoration was asked.
    pub is_of_a_restoration: bool,
    /// Things that were seen to be missing.
    pub missing: Vec<String>,
    /// What is worth knowing.
    pub notices: Vec<NoticeView>,
}

/// Asks something of the set in a file.
pub(crate) fn with_set<T>(
    path: &Path,
    ask: impl FnOnce(&SetAsked<'_, '_>) -> Result<T, Trouble>,
) -> Result<T, Trouble> {
    let file = read_set_file(path)?;
    if file.is_of_a_restoration() {
        return hunt(path, Without::Nothing, |hunt| {
            let weights = if hunt.knows_nothing() {
                Vec::new()
            } else {
                let ranking = hunt.ranking();
                let suspects = ranking.suspects.iter();
                suspects.map(|own| (own.suspect, own.weight)).collect()
            };
            let found = hunt.found.iter();
            let found_good = hunt.found.iter();
            let missing = missing(path)?;
            ask(&SetAsked {
                missing,
                is_of_a_restoration: true,
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
        missing: Vec::new(),
        is_of_a_restoration: false,
        notices,
    })
}

/// Words that say that something is not there.
const NOT_THERE: [&str; 4] = ["missing", "gone", "not there", "absent"];

/// What was seen to be missing, the last word on each thing.
fn missing(path: &Path) -> Result<Vec<String>, Trouble> {
    let in_file = |error| trouble(path, error);
    let book = Logbook::look(path).map_err(in_file)?;
    let entries = book.entries().map_err(in_file)?;
    let mut found: Vec<(String, bool)> = Vec::new();
    for one in standing_facts(&entries) {
        let Fact::Seen(seen) = one.fact else { continue };
        let name = match seen.part.is_empty() {
            true => seen.thing.clone(),
            false => seen.part.clone(),
        };
        let words = seen.found.to_lowercase();
        let gone = NOT_THERE.iter().any(|own| words.contains(own));
        found.retain(|(own, _)| *own != name);
        found.push((name, gone));
    }
    let gone = found.into_iter().filter(|(_, gone)| *gone);
    Ok(gone.map(|(name, _)| name).collect())
}
