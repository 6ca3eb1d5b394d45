//! The arguments of `power`, the first power-up as it goes on.
//!
//! Every word and option stands in the manual under `docs/manual/`. Figures are checked as they are
//! read (wrong usage, status 2); what a word means at this point of the power-up is judged by
//! `benchwork` (status 1).

use std::path::PathBuf;

use benchwork::{PowerReading, Stamp};
use clap::{Args, Subcommand};

/// Arguments of `power`.
#[derive(Debug, Args)]
pub struct PowerArguments {
    /// The restoration's file, such as my_set.restoration
    pub file: PathBuf,

    /// When, if not now, such as 2026-11-29T08:49:51+01:00
    #[arg(long, value_name = "TIME", value_parser = crate::cli_restoration::time, global = true)]
    pub at: Option<Stamp>,

    /// What is done; without it is told how the power-up stands
    #[command(subcommand)]
    pub task: Option<PowerTask>,
}

/// What is done in a power-up.
#[derive(Debug, Subcommand)]
pub enum PowerTask {
    /// Go through it in a conversation, with the clock running
    Talk,
    /// Begin the step at hand: its clock starts
    Begin,
    /// Enter what a meter shows
    Read(PowerReadArguments),
    /// End the step at hand as done
    Done(BecauseArguments),
    /// Pass the step at hand over
    Skip(BecauseArguments),
    /// Record that the plug was pulled at a stop sign
    Stop {
        /// What was noticed, such as smoke
        noticed: String,
    },
    /// Leave the bench, the plug out
    Leave(BecauseArguments),
}

/// A reason.
#[derive(Debug, Args)]
pub struct BecauseArguments {
    /// Why
    #[arg(
        long,
        value_name = "TEXT",
        default_value = "",
        hide_default_value = true
    )]
    pub because: String,
}

/// A reading of the step under way.
#[derive(Debug, Args)]
pub struct PowerReadArguments {
    /// Place, tube or part, such as "B+ main", V1 or line
    pub place: String,

    /// The value; a bare number is in the unit of what the step asks for there
    #[arg(allow_hyphen_values = true)]
    pub value: String,

    /// Where the meter's other lead was, where that is not clear from the step
    #[arg(long, value_name = "PLACE")]
    pub to: Option<String>,

    /// The kind of reading, where neither value nor step say it, such as ac_volts_rms
    #[arg(long, value_name = "KIND")]
    pub what: Option<String>,

    /// Seconds after switch-on, where the clock does not tell
    #[arg(long, value_name = "SECONDS", value_parser = benchwork::bench_words::seconds, allow_hyphen_values = true)]
    pub seconds: Option<f64>,

    /// The meter, where it is another than the sheet's first
    #[arg(long)]
    pub meter: Option<String>,

    /// Anything else
    #[arg(long, value_name = "TEXT")]
    pub note: Option<String>,
}

impl PowerReadArguments {
    /// The reading as it was typed.
    pub fn reading(&self) -> PowerReading {
        PowerReading {
            place: self.place.clone(),
            value: self.value.clone(),
            to: self.to.clone().unwrap_or_default(),
            what: self.what.clone(),
            seconds: self.seconds,
            meter: self.meter.clone(),
            note: self.note.clone().unwrap_or_default(),
        }
    }
}
