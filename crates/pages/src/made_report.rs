//! The report of a restoration as it was made last, for its preview and its downloads.
//!
//! Made anew after each entry and for another name or paper. Fails as the report does.

use std::sync::{Arc, Mutex};

use benchwork::{HandOnAsk, Trouble, hand_on};
use paper::{Sheet, to_html, to_pdf};
use report::{Pictured, document};

use crate::bench::{Bench, lock};

/// A report, laid out.
pub struct MadeReport {
    /// The page of HTML, which stands alone.
    pub html: String,
    /// The PDF.
    pub pdf: Vec<u8>,
    /// Its pages.
    pub pages: usize,
    /// Photographs that cannot be shown.
    pub lacking: usize,
    /// What is not written down.
    pub not_written_down: Vec<String>,
}

/// The report that was made last, under what it was made for.
pub type LastReport = Mutex<Option<(String, Arc<MadeReport>)>>;

/// The report for this name and paper; `told` hears how many of how many photographs are done.
pub fn made_report(
    bench: &Bench,
    by: &str,
    sheet: Sheet,
    told: &(dyn Fn(usize, usize) + Sync),
) -> Result<Arc<MadeReport>, Trouble> {
    let asked = format!("{by}\n{sheet:?}\n{}", bench.live.last());
    let kept = lock(&bench.report);
    if let Some((_, report)) = kept.as_ref().filter(|(own, _)| *own == asked) {
        return Ok(Arc::clone(report));
    }
    drop(kept);
    let view = hand_on(&HandOnAsk {
        file: bench.file(),
        at: bench.now()?,
        restored_by: (!by.is_empty()).then(|| by.to_owned()),
    })?;
    let pictured = Pictured::of(bench.file(), &view, told)?;
    let document = document(&view, &pictured.made(false, sheet));
    let paged = to_pdf(&document).map_err(|error| Trouble::ours(error.to_string()))?;
    let report = Arc::new(MadeReport {
        html: to_html(&document),
        pdf: paged.bytes,
        pages: paged.pages,
        lacking: pictured.lacking(),
        not_written_down: view.not_written_down.clone(),
    });
    *lock(&bench.report) = Some((asked, Arc::clone(&report)));
    Ok(report)
}
