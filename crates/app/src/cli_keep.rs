//! Whether an answer is kept in the restoration that was asked.

use benchwork::Stamp;
use clap::Args;

/// Arguments of every command whose answer may be kept.
#[derive(Debug, Args)]
pub struct KeepArguments {
    /// Keep the answer in the restoration, with the version that gave it
    #[arg(long)]
    pub keep: bool,

    /// When, if not now, such as 2026-11-29T08:49:51+01:00
    #[arg(long, value_name = "TIME", value_parser = crate::cli_restoration::time, requires = "keep")]
    pub at: Option<Stamp>,
}
