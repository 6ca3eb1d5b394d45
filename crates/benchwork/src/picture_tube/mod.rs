//! The picture tube at the bench: what is found of it is kept, and all of it judged.
//!
//! Values as typed become findings ([`record_findings`]); findings of a restoration become the
//! facts that the receiver judges ([`judge_picture_tube`]); a type alone is told without any
//! ([`tell_picture_type`]). Units: as each field's name says. Fails where the file cannot be
//! opened, and for what cannot be understood, all of it at once with nothing written.

mod ask;
mod assemble;
mod bench;
mod drive;
mod emission;
mod enter;
mod gather;
mod judge;
mod needle;
pub(crate) mod typed;

pub use ask::PictureAsk;
pub use enter::{NewFinding, NewNeedle, record_findings};
pub use judge::{judge_picture_tube, tell_picture_type};
