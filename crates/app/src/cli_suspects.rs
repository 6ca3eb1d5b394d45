//! The arguments of `suspects`, which part explains the readings.
//!
//! Every word and option stands in the manual under `docs/manual/`. Names of parts and faults are
//! judged by `benchwork` against the sheet (status 1); wrong usage is status 2.

use std::path::PathBuf;

use benchwork::{CheckedBy, Stamp};
use clap::{Args, Subcommand, ValueEnum};

use crate::cli_keep::KeepArguments;

/// Arguments of `suspects`.
#[derive(Debug, Args)]
pub struct SuspectsArguments {
    /// The restoration's file, such as my_set.restoration
    pub file: PathBuf,

    /// List every suspect, every reading and every fault that cannot be found
    #[arg(long, global = true)]
    pub all: bool,

    /// Draw the weights, or what a fault would change, into this file (SVG)
    #[arg(long, value_name = "FILE.svg", global = true)]
    pub picture: Option<PathBuf>,

    /// Keep the answer in the restoration, with the version that gave it
    #[arg(long, global = true)]
    pub keep: bool,

    /// When an entry is made, if not now, such as 2026-11-29T08:49:51+01:00
    #[arg(long, value_name = "TIME", value_parser = crate::cli_restoration::time, global = true)]
    pub at: Option<Stamp>,

    /// What is asked; without it which part explains the readings
    #[command(subcommand)]
    pub task: Option<SuspectsTask>,
}

impl SuspectsArguments {
    /// Whether the answer is to be kept.
    pub fn keep(&self) -> KeepArguments {
        KeepArguments {
            keep: self.keep,
            at: self.at.clone(),
        }
    }
}

/// What is asked, or what came of a suspect.
#[derive(Debug, Subcommand)]
pub enum SuspectsTask {
    /// Tell the case of one part: its faults, and every reading beside the likeliest
    Explain {
        /// The part, tube or transformer, such as C50
        part: String,
    },
    /// Tell which readings would change if this part were bad
    WhatIf {
        /// The part, tube or transformer, such as C50
        part: String,
        /// The fault, such as leaky; the likeliest of such a part if absent
        fault: Option<String>,
    },
    /// Tell how the weights came about, reading by reading
    AsRead,
    /// Tell what to measure next, and what each outcome would mean
    Next {
        /// Your own efforts, a CSV table with the columns of data/efforts.csv
        #[arg(long, value_name = "FILE.csv")]
        efforts: Option<PathBuf>,

        /// Look at conditions too that nothing was read in: a lower line, a lamp, a tube pulled; takes longer
        #[arg(long)]
        elsewhere: bool,
    },
    /// Record what the set shows, by the list of symptoms; without a word the list
    Noticed {
        /// The symptom, or some of its words, such as "bright horizontal line"
        symptom: Option<String>,
        /// The set does not show it
        #[arg(long)]
        not: bool,
        /// Anything else
        #[command(flatten)]
        more: NoteArguments,
    },
    /// Record whether a signal came: right, weak, distorted or lost, or its volts against the maker's
    Signal {
        /// What came: right, weak, distorted or lost; beside --volts the shape: right or distorted
        came: Option<String>,
        /// Where it was watched for: sound, picture, height, width or a place
        #[arg(long, value_name = "END")]
        watched: String,
        /// Where it was fed in, if not by a station at the antenna
        #[arg(long, value_name = "PLACE")]
        fed: Option<String>,
        /// Peak-to-peak volts read at the place, such as 12
        #[arg(long, value_name = "VOLTS", requires = "maker")]
        volts: Option<String>,
        /// The maker's figure for that place, such as 40
        #[arg(long, value_name = "VOLTS", requires = "volts")]
        maker: Option<String>,
        /// Anything else
        #[command(flatten)]
        more: NoteArguments,
    },
    /// Record how a tube's heater glows: dark, dim, "as usual" or "too bright"
    Glow {
        /// The tube, such as V9
        tube: String,
        /// How it glows
        how: String,
        /// Anything else
        #[command(flatten)]
        more: NoteArguments,
    },
    /// Record whether a hum, buzz or other disturbance goes with a tube: gone, or "the same"
    Pulled {
        /// The tube that was out of its socket, such as V13
        tube: String,
        /// What became of it: gone, or "the same"
        then: String,
        /// Where it is noticed: sound, picture, height or width
        #[arg(long, value_name = "END")]
        watched: String,
        /// Anything else
        #[command(flatten)]
        more: NoteArguments,
    },
    /// Record what warmth does to the complaint: comes, or goes
    Warms {
        /// comes, or goes
        how: String,
        /// Anything else
        #[command(flatten)]
        more: NoteArguments,
    },
    /// Record what became of the fault with another one in the place of a part: gone, or "the same"
    Exchanged {
        /// The part or tube, such as C50 or V9
        part: String,
        /// What became of the fault: gone, or "the same"
        then: String,
        /// Anything else
        #[command(flatten)]
        more: NoteArguments,
    },
    /// Record what became of the fault with a good capacitor across an old one: gone, or "the same"
    Bridged {
        /// The capacitor, such as C50
        part: String,
        /// What became of the fault: gone, or "the same"
        then: String,
        /// Anything else
        #[command(flatten)]
        more: NoteArguments,
    },
    /// Record the volts at the loose end of a capacitor, its other end in the running set
    LooseEnd {
        /// The capacitor, such as C50
        part: String,
        /// Volts from the loose end to chassis, such as 3.2
        #[arg(allow_hyphen_values = true)]
        volts: String,
        /// Volts from the end that is in the set to chassis, with the same meter
        #[arg(long, value_name = "VOLTS", allow_hyphen_values = true)]
        other_end: String,
        /// The meter, such as 10M or "20k/V 50 V"; that of the last reading of direct volts if absent
        #[arg(
            long,
            value_name = "METER",
            default_value = "",
            hide_default_value = true
        )]
        meter: String,
        /// Anything else
        #[command(flatten)]
        more: NoteArguments,
    },
    /// Record that a part was checked and is good
    Cleared {
        /// The part or tube, such as C50
        part: String,
        /// How
        #[command(flatten)]
        how: CheckArguments,
    },
    /// Record what is wrong with a part
    Condemned {
        /// The part or tube, such as C50
        part: String,
        /// What was found, such as "leaky, 200k at 300 volts"
        found: String,
        /// How
        #[command(flatten)]
        how: CheckArguments,
    },
}

/// A note beside an entry.
#[derive(Debug, Args)]
pub struct NoteArguments {
    /// Anything else
    #[arg(
        long,
        value_name = "TEXT",
        default_value = "",
        hide_default_value = true
    )]
    pub note: String,
}

/// How a part was checked.
#[derive(Debug, Args)]
pub struct CheckArguments {
    /// How it was checked
    #[arg(long, value_name = "HOW")]
    pub by: Option<By>,

    /// Anything else
    #[arg(
        long,
        value_name = "TEXT",
        default_value = "",
        hide_default_value = true
    )]
    pub note: String,
}

/// The ways of checking a part.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub enum By {
    /// An ohmmeter, one end free
    Ohms,
    /// Leakage at working volts, one end free
    Leakage,
    /// A capacitance meter, one end free
    Capacitance,
    /// Another one in its place, and nothing changed
    Exchange,
    /// A tube tester
    Tester,
}

impl From<By> for CheckedBy {
    fn from(by: By) -> CheckedBy {
        match by {
            By::Ohms => CheckedBy::Ohms,
            By::Leakage => CheckedBy::Leakage,
            By::Capacitance => CheckedBy::Capacitance,
            By::Exchange => CheckedBy::Exchange,
            By::Tester => CheckedBy::Tester,
        }
    }
}
