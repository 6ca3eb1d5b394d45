//! How far long work is, in one line of a terminal that goes away when the answer is there.
//!
//! Said on standard error, and only where somebody looks: not for scripts, not into a pipe. Nothing here fails.

use std::cell::Cell;
use std::io::{IsTerminal, Write};

use benchwork::LongWork;

use super::Screen;

/// Does long work and says how far it is.
pub fn watched<T>(screen: &Screen, work: impl FnOnce(LongWork<'_>) -> T) -> T {
    let mut notes = std::io::stderr();
    if screen.json || !notes.is_terminal() {
        return work(LongWork::untold());
    }
    let width = Cell::new(0);
    let hears = |part: &str| {
        let before = width.replace(part.chars().count());
        // Whether anybody sees it changes nothing.
        let _ = write!(std::io::stderr(), "\r{part:before$}");
        true
    };
    let answer = work(LongWork::told_to(&hears));
    let _ = write!(notes, "\r{:1$}\r", "", width.get());
    answer
}
