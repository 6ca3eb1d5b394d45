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
    #[arg(
        long,
        value_name = "VOLTS",
        value_parser = benchwork::bench_words::line_volts,
        allow_hyphen_values = true
    )]
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
        allow_hyphen_values = true,
        value_parser = percent
    )]
    pub spares: f64,

    /// A table of your own prices (CSV: for,price,notes)
    #[arg(long, value_name = "FILE.csv")]
    pub prices: Option<PathBuf>,

    /// Write the list into a new file (CSV)
    #[arg(long, value_name = "FILE.csv")]
    pub csv: Option<PathBuf>,
}

fn percent(text: &str) -> Result<f64, String> {
    let read = text.trim().trim_end_matches('%').trim_end().parse();
    read.ok()
        .filter(|own: &f64| own.is_finite())
        .ok_or_else(|| format!("`{text}` is no percentage: give a number, such as 10"))
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

#[cfg(test)]
mod tests {
    use crate::cli::Cli;
    use crate::in_the_manual::not_in_the_manual;
    use clap::Parser;

    #[test]
    fn right_and_wrong_usage() {
        for (line, is_right) in [
            ("renew|a.toml|--all|--json", true),
            (
                "renew|a.restoration|--keep|--at|2026-11-29T08:49:51+01:00",
                true,
            ),
            ("renew|a.restoration|part|C40|R31", true),
            (
                "renew|a.restoration|fitted|C40|--new|0.05 mfd|--note|x",
                true,
            ),
            ("silicon|a.toml|--line|124|--picture|a.svg", true),
            (
                "order|a.toml|--with-tests|--spares|0|--prices|p.csv|--csv|o.csv",
                true,
            ),
            (
                "worth|a.restoration|--figures|f.csv|--prices|p.csv|--all",
                true,
            ),
            ("renew", false),
            ("renew|a.restoration|part", false),
            ("renew|a.restoration|fitted", false),
            ("renew|a.restoration|fitted|C40|--at|noon", false),
            ("silicon|a.toml|--line|much", false),
            ("order|a.toml|--spares|some", false),
            ("worth", false),
        ] {
            let typed = std::iter::once("firstraster").chain(line.split('|'));
            assert_eq!(Cli::try_parse_from(typed).is_ok(), is_right, "{line}");
        }
    }

    #[test]
    fn every_entry_and_its_options_are_in_the_manual() {
        let mut missing = not_in_the_manual("renew", Some("my_set.restoration"));
        for command in ["silicon", "order", "worth"] {
            missing.extend(not_in_the_manual(command, None));
        }
        assert!(missing.is_empty(), "not in the manual: {missing:#?}");
    }
}
