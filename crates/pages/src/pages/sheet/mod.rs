//! The set sheet: its text with every fault in its place, its lists row by row, its parts for a
//! spreadsheet, its stages by their questions.
//!
//! A form bears the mark of the version it was made from: where another was taken in since, nothing is written,
//! both are shown, and the restorer chooses. Texts in bench notation. Fails with the faults of the text in words,
//! the text still there.

pub mod faults;
mod list;
mod own_bench;
mod rows;
mod stages;
mod whole;

use std::sync::Arc;

use axum::Router;
use benchwork::PresentSheet;
use maud::{Markup, html};

use crate::bench::Bench;

/// The routes of these pages.
pub fn routes() -> Router<Arc<Bench>> {
    Router::new()
        .merge(whole::routes())
        .merge(rows::routes())
        .merge(own_bench::routes())
        .merge(list::routes())
        .merge(stages::routes())
}

/// The hidden field by which a change says from which version it was made.
fn made_from(sheet: &PresentSheet) -> Markup {
    html! { input type="hidden" name="sheet" value=(sheet.mark); }
}
