//! A restoration's file as its users meet it: facts in and out, undo and correction, opening,
//! damage, copies.
//!
//! One file a topic; facts to try stand in `tried`.

mod catching_up;
mod facts;
mod folder;
mod kept;
mod opening;
mod photographs;
mod picture_tube;
mod placed;
mod proof;
mod sent;
mod tried;
mod worked_out;
