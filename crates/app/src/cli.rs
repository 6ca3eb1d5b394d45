//! The command line as it is typed.
//!
//! Every command and option stands here and in the manual under `docs/manual/`;
//! a test compares the two. Numbers are checked as they are read (wrong usage,
//! status 2); whether a tube or a place exists is judged against the sheet (1).

use std::path::PathBuf;

use crate::cli_bench::BenchArguments;
use crate::cli_hand_on::{HandOnArguments, LabelsArguments};
use crate::cli_keep::KeepArguments;
use crate::cli_picture::PictureArguments;
use crate::cli_power::PowerArguments;
use crate::cli_practice::PracticeArguments;
use crate::cli_prove::ProveArguments;
use crate::cli_reform::ReformArguments;
use crate::cli_renew::{OrderArguments, RenewArguments, SiliconArguments, WorthArguments};
use crate::cli_restoration::{
    BackupArguments, ChangeArguments, CorrectArguments, DecideArguments, ExportArguments,
    FitArguments, ImportArguments, PhotoArguments, ReadingArguments, SeeArguments, StartArguments,
    StoryArguments, TakeArguments, TestArguments, UndoArguments,
};
use crate::cli_serve::{DevicesArguments, ServeArguments};
use crate::cli_suspects::SuspectsArguments;
use clap::{Args, Parser, Subcommand, ValueEnum};
use clap_complete::Shell;

/// From a set sheet to a first power-up that spares set and restorer.
///
/// Tells, for one monochrome tube television set of 1946 to 1965, what a meter
/// should show and how to bring the set up for the first time, step by step.
/// The voltages inside such a set can kill. Nothing this program says replaces
/// the isolation transformer, the discharged capacitor and the second person in
/// the room.
#[derive(Debug, Parser)]
#[command(
    name = "firstraster",
    version,
    max_term_width = 80,
    arg_required_else_help = true
)]
pub struct Cli {
    /// Answer as JSON, for scripts
    #[arg(long, global = true)]
    pub json: bool,

    /// What to do
    #[command(subcommand)]
    pub command: Command,
}

/// The commands.
#[derive(Debug, Subcommand)]
pub enum Command {
    /// Tell what the sheet says and what it lacks
    Check(CheckArguments),
    /// Tell what a meter should show
    Expect(Box<ExpectArguments>),
    /// Plan the first power-up, step by step
    Wake(WakeArguments),
    /// Tell the cold resistances, the set unplugged
    Ohms(OhmsArguments),
    /// Lay the maker's chart beside the prediction and look for slips of the pen
    Chart(ChartArguments),
    /// Tell what the catalogue knows of a tube, its base drawn from below
    Tube(TubeArguments),
    /// Ask for a stage in the order in which one looks, and write its lines into the sheet
    Stage(StageArguments),
    /// List the parts for a spreadsheet, or take such a list back into the sheet
    Parts(PartsArguments),
    /// Start a restoration's file with its first sheet
    Start(StartArguments),
    /// Take a new version of the sheet into a restoration
    Take(TakeArguments),
    /// List the things to look at, or note what was seen
    See(SeeArguments),
    /// Record what a meter showed, and how the set stood
    Reading(Box<ReadingArguments>),
    /// Go through the first power-up, step by step, with every reading judged at once
    Power(PowerArguments),
    /// Record a part that was replaced
    Fit(FitArguments),
    /// Record what a tester said of a tube or a part
    Test(TestArguments),
    /// Judge the picture tube, or enter what was found of it
    Picture(Box<PictureArguments>),
    /// Form an old electrolytic anew outside the set, and judge its leakage
    Reform(Box<ReformArguments>),
    /// Show the check list before a set is handed over, answer and sign it
    Prove(Box<ProveArguments>),
    /// Tell which part explains the readings, and what a fault would change
    Suspects(Box<SuspectsArguments>),
    /// Judge whether the set is worth the work, and which test comes first
    Worth(WorthArguments),
    /// Plan what to replace, with what, and in which order
    Renew(Box<RenewArguments>),
    /// Plan silicon in place of selenium, and what helps against today's line
    Silicon(SiliconArguments),
    /// List what to buy, grouped and counted
    Order(OrderArguments),
    /// Look for a hidden fault in an example set
    Practice(Box<PracticeArguments>),
    /// Add a photograph
    Photo(PhotoArguments),
    /// Note a change that is no replaced part
    Change(ChangeArguments),
    /// Note a decision and its reason
    Decide(DecideArguments),
    /// Take an entry back
    Undo(UndoArguments),
    /// Tell an entry anew
    Correct(CorrectArguments),
    /// Show a restoration so far
    Story(StoryArguments),
    /// Copy a restoration's file, also while it is in use
    Backup(BackupArguments),
    /// Write a restoration out into a folder of readable files
    Export(ExportArguments),
    /// Take such a folder back into a new file
    Import(ImportArguments),
    /// Serve the bench pages to a browser or a phone
    Bench(ServeArguments),
    /// The phones that are let in to the bench pages
    Devices(DevicesArguments),
    /// Hand the set on: the report for the next owner, and a folder that lasts
    HandOn(HandOnArguments),
    /// Label the bags of old parts
    Labels(LabelsArguments),
    /// Show the whole job on an invented set
    Demo,
    /// Print the completion script of a shell
    Completion(CompletionArguments),
    /// Write the manual pages into a folder
    Manual(ManualArguments),
}

/// Arguments of `check`.
#[derive(Debug, Args)]
pub struct CheckArguments {
    /// The set sheet, a TOML file, or a restoration; - reads standard input
    pub sheet: PathBuf,
}

/// Arguments of `expect`.
#[derive(Debug, Args)]
pub struct ExpectArguments {
    /// The set sheet, a TOML file, or a restoration; - reads standard input
    pub sheet: PathBuf,

    /// How the set stands on the bench
    #[command(flatten)]
    pub bench: BenchArguments,

    /// Draw a picture into this file (SVG)
    #[arg(long, value_name = "FILE.svg")]
    pub picture: Option<PathBuf>,

    /// What the picture shows
    #[arg(long, value_name = "WHAT", requires = "picture")]
    pub picture_of: Option<PictureOf>,

    /// Whether the answer is kept
    #[command(flatten)]
    pub keep: KeepArguments,
}

/// Arguments of `wake`.
#[derive(Debug, Args)]
pub struct WakeArguments {
    /// The set sheet, a TOML file, or a restoration; - reads standard input
    pub sheet: PathBuf,

    /// Draw a picture into this file (SVG)
    #[arg(long, value_name = "FILE.svg")]
    pub picture: Option<PathBuf>,

    /// What the picture shows
    #[arg(long, value_name = "WHAT", requires = "picture")]
    pub picture_of: Option<PictureOf>,

    /// The step whose conditions the picture shows; the last with B+ if absent
    #[arg(long, value_name = "NUMBER", requires = "picture")]
    pub picture_step: Option<usize>,

    /// Whether the answer is kept
    #[command(flatten)]
    pub keep: KeepArguments,
}

/// Arguments of `ohms`.
#[derive(Debug, Args)]
pub struct OhmsArguments {
    /// The set sheet, a TOML file, or a restoration; - reads standard input
    pub sheet: PathBuf,

    /// Where the meter's other lead is, if not on the chassis
    #[arg(long, value_name = "PLACE")]
    pub to: Option<String>,

    /// Tubes out of their sockets, such as V14,V12
    #[arg(long, value_name = "TUBES", value_delimiter = ',')]
    pub pulled: Vec<String>,

    /// Whether the answer is kept
    #[command(flatten)]
    pub keep: KeepArguments,
}

/// Arguments of `chart`.
#[derive(Debug, Args)]
pub struct ChartArguments {
    /// The set sheet, a TOML file, or a restoration; - reads standard input
    pub sheet: PathBuf,

    /// List the figures that agree too
    #[arg(long)]
    pub all: bool,

    /// Draw the chart against the prediction into this file (SVG)
    #[arg(long, value_name = "FILE.svg")]
    pub picture: Option<PathBuf>,

    /// Whether the answer is kept
    #[command(flatten)]
    pub keep: KeepArguments,
}

/// Arguments of `tube`.
#[derive(Debug, Args)]
pub struct TubeArguments {
    /// The type number, such as 6AU6, ECC82 or 12LP4-A
    #[arg(value_name = "TYPE")]
    pub number: String,

    /// Show near types, and what changes with each
    #[arg(long)]
    pub like: bool,

    /// Draw the base as seen from below into this file (SVG)
    #[arg(long, value_name = "FILE.svg")]
    pub svg: Option<PathBuf>,

    /// Your own types, a CSV table with the catalogue's columns
    #[arg(long, value_name = "FILE.csv")]
    pub own: Option<PathBuf>,
}

/// Arguments of `stage`.
#[derive(Debug, Args)]
pub struct StageArguments {
    /// The pattern, such as audio-triode; all are listed if absent
    pub pattern: Option<String>,

    /// The set sheet, a TOML file; without it the pattern's questions are shown, as a form to fill in
    pub sheet: Option<PathBuf>,

    /// Take the answers from a file, a line each: question = answer; - reads standard input
    #[arg(long, value_name = "FILE", requires = "sheet")]
    pub answers: Option<PathBuf>,

    /// One answer, such as "grid resistor = R12 470k"; may be given again
    #[arg(long, value_name = "ANSWER", requires = "sheet")]
    pub answer: Vec<String>,

    /// Ask for what these answers leave open, instead of leaving it out
    #[arg(long, requires = "sheet")]
    pub ask_the_rest: bool,

    /// Show the lines and write nothing
    #[arg(long, requires = "sheet")]
    pub only_show: bool,
}

/// Arguments of `parts`.
#[derive(Debug, Args)]
pub struct PartsArguments {
    /// The set sheet, a TOML file; - reads standard input
    pub sheet: PathBuf,

    /// Write the list into this new file instead of onto the screen
    #[arg(long, value_name = "FILE.csv", conflicts_with = "take")]
    pub into: Option<PathBuf>,

    /// Put semicolons between the cells, as spreadsheets of many countries want it
    #[arg(long, conflicts_with = "take")]
    pub semicolons: bool,

    /// Take changed cells and new parts from this list into the sheet; - reads standard input
    #[arg(long, value_name = "FILE.csv")]
    pub take: Option<PathBuf>,

    /// Take parts out of the sheet that are not in the list
    #[arg(long, requires = "take")]
    pub remove_missing: bool,

    /// Show what would change and write nothing
    #[arg(long, requires = "take")]
    pub only_show: bool,
}

/// Arguments of `completion`.
#[derive(Debug, Args)]
pub struct CompletionArguments {
    /// The shell
    pub shell: Shell,
}

/// Arguments of `manual`.
#[derive(Debug, Args)]
pub struct ManualArguments {
    /// The folder, made if it is not there
    pub folder: PathBuf,
}

/// What a picture shows.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub enum PictureOf {
    /// B+ against line voltage, with and without the lamp
    Line,
    /// B+ and heaters against seconds from switch-on
    Seconds,
}

#[cfg(test)]
mod tests {
    use super::*;
    use clap::CommandFactory;

    #[test]
    fn the_definition_holds_together() {
        Cli::command().debug_assert();
    }

    fn check(line: &str, is_right: bool) {
        let typed = std::iter::once("firstraster").chain(line.split('|'));
        assert_eq!(Cli::try_parse_from(typed).is_ok(), is_right, "{line}");
    }

    #[test]
    fn right_and_wrong_usage() {
        for line in [
            "check|a.toml",
            "check|a.toml|--json",
            "--json|check|a.toml",
            "expect|a.toml|--line|117|--lamp|100+60|--pulled|V14,V12",
            "expect|a.toml|--dc|B+ main 300 V 47k|--meter|20k/V 500 V",
            "expect|a.toml|--picture|a.svg|--picture-of|seconds",
            "wake|-",
            "ohms|a.toml|--to|B+ main|--pulled|V14",
            "demo",
            "tube|6AU6",
            "tube|--like|6BG6",
            "tube|6BG6|--like|--svg|a.svg|--own|own.csv",
            "stage",
            "stage|audio-triode",
            "stage|audio-triode|a.toml",
            "stage|audio-triode|a.toml|--answers|b.txt|--answer|supply = B+|--only-show",
            "parts|a.toml",
            "parts|a.toml|--into|b.csv|--semicolons",
            "parts|a.toml|--take|b.csv|--remove-missing|--only-show",
            "start|a.restoration|a.toml|--name|Larkfield 12T",
            "take|a.restoration|a.toml|--at|2026-11-29T08:49:51+01:00",
            "see",
            "see|a.restoration",
            "see|a.restoration|cord|cracked|--part|C1|--note|x",
            "reading|a.restoration|V9.5|-1.2 V|--line|80|--lamp|100|--pulled|V14|--note|x",
            "reading|a.restoration|V9.5|--meter|10M|4.7k|--plug-out",
            "fit|a.restoration|C12|0.047 mfd|--old|.05 mfd|--rating|630 V",
            "test|a.restoration|V9|--percent|65|--tester|x|--type|6AU6|--section|1",
            "photo|a.restoration|a.jpg|--shows|x",
            "change|a.restoration|x|--was|y|--is|z",
            "decide|a.restoration|x|--because|y",
            "undo|a.restoration",
            "undo|a.restoration|3|--because|y",
            "correct|a.restoration|3|value = 5 V|place = V9.6",
            "story|a.restoration|--all",
            "backup|a.restoration|b.restoration",
            "export|a.restoration|folder",
            "import|folder|b.restoration",
            "hand-on|a.restoration",
            "hand-on|a.restoration|--pdf|a.pdf|--html|a.html|--folder|b|--by|x|--paper|letter",
            "bench|a.restoration",
            "bench|a.restoration|--port|0",
            "bench|a.restoration|--home|--address|192.168.1.2|--home-port|0|--devices-folder|x",
            "bench|a.restoration|--prices|p.csv|--figures|f.csv|--efforts|e.csv|--own|o.csv",
            "devices",
            "devices|take-back|Phone|--devices-folder|x",
            "labels|a.restoration|C12|V9|--pdf|a.pdf|--paper|a4",
            "completion|bash",
            "manual|man",
        ] {
            check(line, true);
        }
        for line in [
            "",
            "check",
            "expect|a.toml|--line|much",
            "expect|a.toml|--line|-5",
            "expect|a.toml|--lamp|0",
            "expect|a.toml|--dc|B+ main 300 V 47k|--line|117",
            "expect|a.toml|--picture-of|seconds",
            "expect|a.toml|b.toml",
            "ohms|a.toml|--line|117",
            "tube",
            "tube|6AU6|6AL5",
            "stage|audio-triode|--answers|b.txt",
            "stage|audio-triode|a.toml|b.toml",
            "parts",
            "parts|a.toml|--remove-missing",
            "parts|a.toml|--take|b.csv|--into|c.csv",
            "start|a.restoration",
            "take|a.restoration|a.toml|--at|noon",
            "see|a.restoration|cord",
            "reading|a.restoration|V9.5",
            "reading|a.restoration|V9.5|1 V|--line|80|--plug-out",
            "test|a.restoration|V9",
            "test|a.restoration|V9|--percent|65|--verdict|good",
            "undo|a.restoration|last",
            "correct|a.restoration|3",
            "hand-on",
            "hand-on|a.restoration|--paper|papyrus",
            "bench|a.restoration|--port|99999",
            "bench|a.restoration|--address|192.168.1.2",
            "bench|a.restoration|--home|--address|laptop",
            "devices|take-back",
            "labels|--pdf|a.pdf",
            "completion|none-such",
            "frobnicate",
        ] {
            check(line, false);
        }
    }
}
