//! A set ready to be asked about its parts: from a sheet, or from a restoration with all its facts.
//!
//! Weights plain. Fails as reading the sheet or the restoration does.

use std::path::Path;

use receiver::suspects::hypotheses::{Hypotheses, Suspect};
use receiver::wiring::SetModel;

use crate::check_sheet::{catalogue, powered_sheet};
use crate::hunt::{Without, hunt};
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
            ask(&SetAsked {
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
        notices,
    })
}
