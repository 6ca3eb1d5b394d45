//! The arguments of `practice`, a hidden fault in an example set.
//!
//! Every word and option stands in the manual under `docs/manual/`. Names are judged by `benchwork`
//! against the sheet (status 1); wrong usage is status 2.

use std::path::PathBuf;

use benchwork::{Conditions, PracticeSet, Stamp};
use clap::{Args, Subcommand, ValueEnum};

use crate::cli_bench::{Lamps, lamps, names};

/// Arguments of `practice`.
#[derive(Debug, Args)]
pub struct PracticeArguments {
    /// The practice file, such as evening.restoration
    pub file: PathBuf,

    /// When, if not now, such as 2026-11-29T08:49:51+01:00
    #[arg(long, value_name = "TIME", value_parser = crate::cli_restoration::time, global = true)]
    pub at: Option<Stamp>,

    /// What is done; without it is told how the practice stands
    #[command(subcommand)]
    pub task: Option<PracticeTask>,
}

/// What is done in a practice.
#[derive(Debug, Subcommand)]
pub enum PracticeTask {
    /// Hide a fault in an example set and begin
    Begin(BeginPracticeArguments),
    /// Read direct volts at a place of the set under power
    Read(PracticeReadArguments),
    /// Read ohms at a place, the plug out
    Ohms(PracticeOhmsArguments),
    /// Watch for a signal: of a station, or fed in at a place through a blocking capacitor
    Signal {
        /// Where it is watched for: sound, picture, height, width or a place
        #[arg(long, value_name = "END")]
        watched: String,
        /// Where it is fed in, if not by a station at the antenna
        #[arg(long, value_name = "PLACE")]
        fed: Option<String>,
    },
    /// Measure a part by itself, one end free; a tube on a tester
    Check {
        /// The part or tube, such as C45
        part: String,
    },
    /// Name the faulty part
    Name {
        /// The part, tube or transformer, such as C45
        part: String,
    },
    /// Give up, and be told
    GiveUp,
}

/// The hidden set.
#[derive(Debug, Args)]
pub struct BeginPracticeArguments {
    /// The example set
    #[arg(long, value_name = "SET", default_value = "larkfield")]
    pub set: ExampleSet,

    /// Number of the hidden set: the same number hides the same fault
    #[arg(long, default_value_t = 1)]
    pub number: u64,

    /// How many faults
    #[arg(long, default_value_t = 1)]
    pub faults: usize,
}

/// The example sets.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub enum ExampleSet {
    /// With a power transformer
    Larkfield,
    /// With its heaters in series and a doubler
    Merrow,
}

impl From<ExampleSet> for PracticeSet {
    fn from(set: ExampleSet) -> PracticeSet {
        match set {
            ExampleSet::Larkfield => PracticeSet::Larkfield,
            ExampleSet::Merrow => PracticeSet::Merrow,
        }
    }
}

/// A reading under power.
#[derive(Debug, Args)]
pub struct PracticeReadArguments {
    /// Place, such as V9.5 or "B+ main"
    pub place: String,

    /// Where the meter's other lead is, if not on the chassis
    #[arg(
        long,
        value_name = "PLACE",
        default_value = "",
        hide_default_value = true
    )]
    pub to: String,

    /// The meter; 10M if absent
    #[arg(long, default_value = "", hide_default_value = true)]
    pub meter: String,

    /// Line volts rms; 117 if absent
    #[arg(long, value_name = "VOLTS", value_parser = benchwork::bench_words::line_volts, allow_hyphen_values = true)]
    pub line: Option<f64>,

    /// Limiter lamp in series, in watts at 120 V; 100+60 for two in parallel
    #[arg(long, value_name = "WATTS", value_parser = lamps)]
    pub lamp: Option<Lamps>,

    /// How the set stands
    #[command(flatten)]
    pub stands: StandsArguments,
}

/// Cold resistance.
#[derive(Debug, Args)]
pub struct PracticeOhmsArguments {
    /// Place of the + lead, such as V9.5 or "B+ main"
    pub place: String,

    /// Where the other lead is, if not on the chassis
    #[arg(
        long,
        value_name = "PLACE",
        default_value = "",
        hide_default_value = true
    )]
    pub to: String,

    /// How the set stands
    #[command(flatten)]
    pub stands: StandsArguments,
}

/// What is out, open or loose.
#[derive(Debug, Args)]
pub struct StandsArguments {
    /// Tubes out of their sockets, such as V14,V12
    #[arg(long, value_name = "TUBES", value_delimiter = ',')]
    pub pulled: Vec<String>,

    /// Switches and plugs that are open, such as J2
    #[arg(long, value_name = "PARTS", value_delimiter = ',')]
    pub open: Vec<String>,

    /// Parts cut loose, such as C40
    #[arg(long, value_name = "PARTS", value_delimiter = ',')]
    pub fitted_without: Vec<String>,
}

impl StandsArguments {
    fn conditions(&self) -> Conditions {
        Conditions {
            pulled: names(self.pulled.clone()),
            open: names(self.open.clone()),
            fitted_without: names(self.fitted_without.clone()),
            ..Conditions::default()
        }
    }
}

impl PracticeReadArguments {
    /// How the set stands under power.
    pub fn conditions(&self) -> Conditions {
        Conditions {
            line_volts: self.line,
            lamp_watts: self.lamp.clone().map(|lamps| lamps.0).unwrap_or_default(),
            ..self.stands.conditions()
        }
    }
}

impl PracticeOhmsArguments {
    /// How the set stands with the plug out.
    pub fn conditions(&self) -> Conditions {
        Conditions {
            plug_out: true,
            ..self.stands.conditions()
        }
    }
}

#[cfg(test)]
mod tests {
    use crate::cli::Cli;
    use clap::Parser;

    #[test]
    fn right_and_wrong_usage() {
        for (line, is_right) in [
            ("practice|a", true),
            ("practice|a|begin|--set|merrow|--number|17|--faults|2", true),
            (
                "practice|a|read|V9.5|--line|90|--lamp|100|--pulled|V1",
                true,
            ),
            ("practice|a|ohms|V9.5|--to|B+ main|--pulled|V1", true),
            ("practice|a|check|C45", true),
            ("practice|a|name|C45|--at|2026-11-29T08:49:51+01:00", true),
            ("practice|a|give-up", true),
            ("practice|a|begin|--set|other", false),
            ("practice|a|ohms|V9.5|--line|90", false),
            ("practice|a|name", false),
        ] {
            let typed = std::iter::once("firstraster").chain(line.split('|'));
            assert_eq!(Cli::try_parse_from(typed).is_ok(), is_right, "{line}");
        }
    }
}
