//! Draws answers as SVG: curves against line volts or seconds, tube bases, the maker's chart, the picture
//! tube's emission, drive and bench, the leakage of a re-formed electrolytic, the proof at the end, the
//! voltages as left, the power-up as it was done, the weights of suspects and what a fault would change,
//! silicon in place of selenium.
//!
//! Each module draws one view of `benchwork` and gives the SVG as text; nothing is written here. Readable in
//! black and white and without sight: curves differ by their dashes and bear their names, and each picture
//! has a title and a description in words. An answer that has no shape is refused with the reason.
//!
//! ```
//! let answer = benchwork::tell_tube("6AU6", false, None)?;
//! let svg = pictures::base::svg(&answer.types[0]).expect("its base is known");
//! assert!(svg.starts_with("<svg"));
//! # Ok::<(), benchwork::Trouble>(())
//! ```

pub mod as_left;
pub mod as_read;
mod band_mark;
mod band_row;
pub mod base;
pub mod bench;
pub mod chart;
pub mod drive;
pub mod emission;
pub mod forming;
pub mod line_plot;
mod narrow_plot;
mod off_the_base;
pub mod pins;
pub mod power_up;
pub mod proof;
pub mod silicon;
pub mod suspects;
mod svg_text;
pub mod what_if;

pub use off_the_base::off_the_base;
