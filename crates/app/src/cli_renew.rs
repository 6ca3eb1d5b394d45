//! The arguments of `worth`, `renew`, `silicon` and `order`: whether, what to replace, with what, and what to buy.
//!
//! Every word and option stands in the manual under `docs/manual/`. Numbers are checked as they are read (wrong usage,
//! status 2); names of parts are judged by `benchwork` against the sheet (status 1).

use std::path::PathBuf;

use benchwork::Stamp;
use clap::{Args, Subcommand};

/// Arguments of `renew`.
#[derive(Debug, Args)]
pub struct RenewArguments {
    /// The restoration's file, or a set sheet
    pub file: PathBuf,

    /// Tell every reason of every part, also of those that are left
    #[arg(long)]
    pub all: bool,

    /// Keep the plan in the restoration: what the sheet changes afterwards is told
    #[arg(long)]
    pub keep: bool,

    /// When it is kept, if not now, such as 2026-11-29T08:49:51+01:00
    #[arg(long, value_name = "TIME", value_parser = crate::cli_restoration::time, global = true)]
    pub at: Option<Stamp>,

    /// What is asked; without it the plan of the whole set
    #[command(subcommand)]
    pub task: Option<RenewTask>,
}

/// What is asked of the plan.
#[derive(Debug, Subcommand)]
pub enum RenewTask {
    /// Tell one part whole: what it bears, what the set tolerates, the part of today
    Part {
        /// The parts, such as C40 R31
        #[arg(required = true)]
        parts: Vec<String>,
    },
    /// Tick a part off: it was fitted as the plan says, or as named here
    Fitted {
        /// The part, such as C40
        part: String,

        /// What was put in, where it is not what the plan says, such as "0.05 mfd"
        #[arg(long, value_name = "VALUE")]
        new: Option<String>,

        /// Anything else
        #[arg(long, value_name = "TEXT", default_value = "")]
        note: String,
    },
}

/// Arguments of `silicon`.
#[derive(Debug, Args)]
pub struct SiliconArguments {
    /// The restoration's file, or a set sheet
    pub file: PathBuf,

    /// Line volts at the outlet today, such as 124
    #[arg(long, value_name = "VOLTS", value_parser = benchwork::bench_words::line_volts)]
    pub line: Option<f64>,

    /// Draw B+ and heaters of each way into this file (SVG)
    #[arg(long, value_name = "FILE.svg")]
    pub picture: Option<PathBuf>,
}

/// Arguments of `order`.
#[derive(Debug, Args)]
pub struct OrderArguments {
    /// The restoration's file, or a set sheet
    pub file: PathBuf,

    /// Put parts on the list that are tested first
    #[arg(long)]
    pub with_tests: bool,

    /// Spare pieces of small parts, percent of those needed
    #[arg(
        long,
        value_name = "PERCENT",
        default_value = "10",
        allow_hyphen_values = true
    )]
    pub spares: f64,

    /// A table of your own prices (CSV: for,price,notes)
    #[arg(long, value_name = "FILE.csv")]
    pub prices: Option<PathBuf>,

    /// Write the list into a new file (CSV)
    #[arg(long, value_name = "FILE.csv")]
    pub csv: Option<PathBuf>,
}

/// Arguments of `worth`.
#[derive(Debug, Args)]
pub struct WorthArguments {
    /// The restoration's file, or a set sheet
    pub file: PathBuf,

    /// A table of your own figures (CSV, as data/worth_figures.csv)
    #[arg(long, value_name = "FILE.csv")]
    pub figures: Option<PathBuf>,

    /// A table of your own prices (CSV: for,price,notes)
    #[arg(long, value_name = "FILE.csv")]
    pub prices: Option<PathBuf>,

    /// List every figure that was used
    #[arg(long)]
    pub all: bool,
}
