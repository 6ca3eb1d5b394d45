//! The stop that stands before everything else: what to do now, why, and what comes after.
//!
//! Words. Nothing here fails.

use benchwork::view::DangerView;

use super::lists::{dashes, paragraph, title};

/// The part of a page, with an empty line behind it.
pub fn stop(danger: &DangerView) -> String {
    let mut page = title("STOP. PULL THE PLUG.");
    page.push_str(&dashes([danger.head.as_str(), danger.because.as_str()]));
    page.push_str(&paragraph(&danger.then));
    page.push('\n');
    page
}
