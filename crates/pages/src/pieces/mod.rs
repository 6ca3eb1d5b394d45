//! Pieces that pages are built of: trouble in words, a verdict, a number with its keypad, entries, pictures.
//!
//! Each works with a screen reader and without a script. Nothing here fails.

mod entries;
mod fields;
mod map;
mod names;
mod picture;
mod told;
mod verdict;

pub use entries::{entry_line, made};
pub use fields::{
    Unit, choice, number, number_of, one_of, remark, send, suggestions, text, text_of, with_point,
};
pub use map::{map_question, on_the_chassis, where_it_is};
pub use names::{NAMES, names};
pub use picture::picture;
pub use told::{notices, problem, refused_by, status_of, trouble};
pub use verdict::{danger, judged, stop};
