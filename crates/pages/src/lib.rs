//! Serves the bench pages: everything that the commands do, on a phone beside the chassis.
//!
//! [`Bench`] holds one restoration and what is worked out of it; [`router`] answers requests and is asked
//! in tests without a network; [`serve`] listens on 127.0.0.1 and, by asking, on the home network ([`AtHome`]).
//! Pages are made here by the same `benchwork` functions that the commands call. They work without a script; with it, what is typed is kept on the phone until the laptop has it, and what another
//! device enters is shown at once.
//!
//! The clock is handed in. Only this crate knows HTTP. Fails with [`ServeError`] where no address can be
//! listened on; what a person types, sends or uploads is answered with a page that says what to do, never by
//! an end of the server.

mod assets;
mod bench;
mod door;
mod entry;
mod frame;
mod home_network;
mod in_page_words;
mod later;
mod listen;
mod live;
mod made_report;
mod own_tables;
mod pages;
mod pieces;
mod plain_text;
mod router;
mod step_at_hand;
mod watch;
mod with_file;
mod words;

pub use bench::{Bench, Clock, Opening};
pub use home_network::{AtHome, Device, Devices, in_letters};
pub use listen::{Answering, AnsweringHome, ServeError, Serving, serve};
pub use own_tables::OwnTables;
pub use router::router;
