//! The pictures: curves against line volts or against seconds, as SVG files.
//!
//! Readable in black and white and without sight: curves differ by their dashes
//! and bear their names, and each file has a title and a description in words.
//! A picture that cannot be worked out or written is trouble of its own kind.

mod line_plot;

use std::path::Path;

use benchwork::{SheetFile, Trouble};
use receiver::conditions::BenchConditions;

use crate::cli::PictureOf;

/// Draws a picture for these conditions.
pub fn draw(
    _file: &SheetFile,
    _conditions: &BenchConditions,
    _picture_of: PictureOf,
    _path: &Path,
) -> Result<(), Trouble> {
    Err(Trouble::ours("no picture could be worked out"))
}

/// Draws a picture for a step of the plan; the last with B+ if none is named.
pub fn draw_step(
    _file: &SheetFile,
    _step: Option<usize>,
    _picture_of: PictureOf,
    _path: &Path,
) -> Result<(), Trouble> {
    Err(Trouble::ours("no picture could be worked out"))
}
