//! What the program shows: pages of plain text for people, JSON for scripts.
//!
//! Pages are at most [`PAGE_WIDTH`] columns wide, the same on every terminal, and
//! lose nothing in black and white. Colour and weight go away for a pipe and with
//! NO_COLOR. Everything is written through [`Screen`], which tells a closed pipe
//! from a disk that is full.

pub mod as_read_page;
mod base_drawing;
pub mod bench_page;
pub mod chart_page;
pub mod check_page;
mod danger_part;
pub mod demo_page;
pub mod hand_on_page;
pub mod judged_page;
mod lists;
pub mod noticed_page;
pub mod offers_page;
pub mod order_page;
pub mod parts_page;
mod picture_drive_page;
pub mod picture_page;
pub mod plan_page;
pub mod power_page;
pub mod practice_page;
pub mod prove_page;
pub mod readings_page;
pub mod reform_page;
pub mod renew_page;
pub mod see_page;
pub mod silicon_page;
pub mod stage_page;
mod step_tables;
pub mod story_page;
pub mod suspect_case_page;
pub mod suspects_page;
mod trouble_page;
pub mod tube_page;
pub mod watched;
pub mod what_if_page;
pub mod worth_page;

use std::io::{self, ErrorKind, StdoutLock, Write};

use anstream::AutoStream;
use benchwork::Trouble;
use serde::Serialize;

pub use trouble_page::{
    notices, page as trouble_words, remember_panic, tell_panic, tell_trouble, tell_write_fault,
};

/// Columns of a page.
pub const PAGE_WIDTH: usize = 80;

/// Why a command stopped without its answer.
#[derive(Debug)]
pub enum Stop {
    /// There is no answer, and this is why.
    Trouble(Trouble),
    /// The reader of the output has gone.
    PipeClosed,
    /// The output could not be written.
    Write(io::Error),
}

impl From<Trouble> for Stop {
    fn from(trouble: Trouble) -> Self {
        Stop::Trouble(trouble)
    }
}

impl From<io::Error> for Stop {
    fn from(error: io::Error) -> Self {
        match error.kind() {
            ErrorKind::BrokenPipe => Stop::PipeClosed,
            _ => Stop::Write(error),
        }
    }
}

/// Standard output, with the form the answer is wanted in.
pub struct Screen {
    /// Whether the answer is wanted as JSON.
    pub json: bool,
    out: AutoStream<StdoutLock<'static>>,
}

impl Screen {
    /// Standard output; colour only where it is wanted.
    pub fn new(json: bool) -> Self {
        Screen {
            json,
            out: AutoStream::auto(io::stdout()).lock(),
        }
    }

    /// Shows a page or a part of one.
    pub fn say(&mut self, page: &str) -> Result<(), Stop> {
        Ok(self.out.write_all(page.as_bytes())?)
    }

    /// Shows an answer as JSON.
    pub fn answer(&mut self, view: &impl Serialize) -> Result<(), Stop> {
        let text = serde_json::to_string_pretty(view).map_err(|error| {
            Trouble::ours(format!("the answer cannot be written as JSON: {error}"))
        })?;
        self.say(&text)?;
        self.say("\n")
    }

    /// Says something that is no answer: beside it for people, on standard error where the answer is for a script.
    pub fn remark(&mut self, page: &str) -> Result<(), Stop> {
        if self.json {
            // When standard error has gone, nobody is left to be told.
            let _ = AutoStream::auto(io::stderr()).write_all(page.as_bytes());
            return Ok(());
        }
        self.say(page)?;
        self.show_now()
    }

    /// Brings what has been said to the reader's eyes.
    pub fn show_now(&mut self) -> Result<(), Stop> {
        Ok(self.out.flush()?)
    }

    /// Shows the rest.
    pub fn finish(&mut self) -> Result<(), Stop> {
        self.show_now()
    }
}
