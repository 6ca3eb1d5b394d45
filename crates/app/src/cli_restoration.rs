//! The arguments of the commands that keep a restoration's file.
//!
//! Every command and option stands in the manual under `docs/manual/`. Figures of the bench are
//! checked as they are read (wrong usage, status 2); values of a reading and names are judged by
//! `benchwork` (status 1).

use std::path::PathBuf;

use benchwork::{Conditions, Stamp};
use clap::Args;

use crate::cli_bench::{Lamps, lamps, names};

/// The file that an entry goes into, and when it is made.
#[derive(Debug, Args)]
pub struct EntryArguments {
    /// The restoration's file, such as my_set.restoration
    pub file: PathBuf,

    /// When, if not now, such as 2026-11-29T08:49:51+01:00
    #[arg(long, value_name = "TIME", value_parser = time)]
    pub at: Option<Stamp>,
}

pub(crate) fn time(text: &str) -> Result<Stamp, String> {
    Stamp::read(text)
}

/// Arguments of `start`.
#[derive(Debug, Args)]
pub struct StartArguments {
    /// Where and when
    #[command(flatten)]
    pub entry: EntryArguments,

    /// The set sheet to begin with, a TOML file; - reads standard input
    pub sheet: PathBuf,

    /// Name of the restoration; the sheet's own if absent
    #[arg(long)]
    pub name: Option<String>,
}

/// Arguments of `take`.
#[derive(Debug, Args)]
pub struct TakeArguments {
    /// Where and when
    #[command(flatten)]
    pub entry: EntryArguments,

    /// The set sheet, a TOML file; - reads standard input
    pub sheet: PathBuf,
}

/// Arguments of `see`.
#[derive(Debug, Args)]
pub struct SeeArguments {
    /// The restoration's file; without it the list of things to look at is shown
    pub file: Option<PathBuf>,

    /// The thing: its name in the list, or your own words; without it the list is shown with what has been noted
    #[arg(requires = "found")]
    pub thing: Option<String>,

    /// What was found
    pub found: Option<String>,

    /// The part it is about, such as C12
    #[arg(long, requires = "found")]
    pub part: Option<String>,

    /// Anything else
    #[arg(long, value_name = "TEXT", requires = "found")]
    pub note: Option<String>,

    /// Your own things to look at, a CSV table with the columns name, area, thing, findings
    #[arg(long, value_name = "FILE.csv")]
    pub own: Option<PathBuf>,

    /// When, if not now, such as 2026-11-29T08:49:51+01:00
    #[arg(long, value_name = "TIME", value_parser = time, requires = "found")]
    pub at: Option<Stamp>,
}

/// Arguments of `reading`.
#[derive(Debug, Args)]
pub struct ReadingArguments {
    /// Where and when
    #[command(flatten)]
    pub entry: EntryArguments,

    /// Place, tube or part, such as V9.5, "B+ main", R30, line or lamp
    pub place: String,

    /// The value with its unit, such as "135 V", "6.3 V a.c.", "95 mA", 4.7k or open
    #[arg(allow_hyphen_values = true)]
    pub value: String,

    /// Where the meter's other lead was, if not on the chassis
    #[arg(long, value_name = "PLACE")]
    pub to: Option<String>,

    /// The kind of reading, where the value does not say it, such as plate_milliamps
    #[arg(long, value_name = "KIND")]
    pub what: Option<String>,

    /// The meter, such as 10M or "20k/V 500 V"
    #[arg(long)]
    pub meter: Option<String>,

    /// Line volts rms at the wall side of the lamp, as read
    #[arg(long, value_name = "VOLTS", value_parser = benchwork::bench_words::line_volts, allow_hyphen_values = true)]
    pub line: Option<f64>,

    /// Volts on the dial of a variable transformer
    #[arg(long, value_name = "VOLTS", value_parser = benchwork::bench_words::line_volts, allow_hyphen_values = true)]
    pub dial: Option<f64>,

    /// Limiter lamp in series, in watts at 120 V; 100+60 for two in parallel
    #[arg(long, value_name = "WATTS", value_parser = lamps)]
    pub lamp: Option<Lamps>,

    /// Tubes out of their sockets, such as V14,V12
    #[arg(long, value_name = "TUBES", value_delimiter = ',')]
    pub pulled: Vec<String>,

    /// Switches and plugs that were open, such as J2
    #[arg(long, value_name = "PARTS", value_delimiter = ',')]
    pub open: Vec<String>,

    /// Parts cut loose, such as C40
    #[arg(long, value_name = "PARTS", value_delimiter = ',')]
    pub fitted_without: Vec<String>,

    /// Seconds after switch-on from cold
    #[arg(long, value_name = "SECONDS", value_parser = benchwork::bench_words::seconds, allow_hyphen_values = true)]
    pub seconds: Option<f64>,

    /// The plug was out
    #[arg(long, conflicts_with_all = ["line", "dial", "lamp", "seconds"])]
    pub plug_out: bool,

    /// Plug out, a d.c. source through a resistor at a place, such as "B+ main 300 V 47k"
    #[arg(long, value_name = "SOURCE", value_parser = source, conflicts_with_all = ["line", "dial", "lamp"])]
    pub dc: Option<String>,

    /// Anything else
    #[arg(long, value_name = "TEXT")]
    pub note: Option<String>,
}

/// A source is kept as it was typed, once it can be read.
fn source(text: &str) -> Result<String, String> {
    benchwork::bench_words::direct_source(text).map(|_| text.trim().to_owned())
}

impl ReadingArguments {
    /// How the set stood.
    pub fn conditions(&self) -> Conditions {
        Conditions {
            plug_out: self.plug_out || self.dc.is_some(),
            line_volts: self.line,
            dial_volts: self.dial,
            lamp_watts: self.lamp.clone().map(|lamps| lamps.0).unwrap_or_default(),
            pulled: names(self.pulled.clone()),
            open: names(self.open.clone()),
            fitted_without: names(self.fitted_without.clone()),
            seconds: self.seconds,
            dc: self.dc.clone().unwrap_or_default(),
        }
    }
}

/// Arguments of `fit`.
#[derive(Debug, Args)]
pub struct FitArguments {
    /// Where and when
    #[command(flatten)]
    pub entry: EntryArguments,

    /// The part that was replaced, such as C12
    pub part: String,

    /// What is there now, such as "0.047 mfd"
    pub new: String,

    /// What was there
    #[arg(long, value_name = "VALUE")]
    pub old: Option<String>,

    /// Its rating, such as "630 V"
    #[arg(long)]
    pub rating: Option<String>,

    /// Anything else
    #[arg(long, value_name = "TEXT")]
    pub note: Option<String>,
}

/// Arguments of `test`.
#[derive(Debug, Args)]
#[command(group(clap::ArgGroup::new("result").required(true).args(["percent", "micromhos", "verdict"])))]
pub struct TestArguments {
    /// Where and when
    #[command(flatten)]
    pub entry: EntryArguments,

    /// The tube or part, such as V9
    pub part: String,

    /// Percent of the tester's scale for a good one
    #[arg(long, value_name = "PERCENT", allow_negative_numbers = true)]
    pub percent: Option<f64>,

    /// Transconductance, micromhos
    #[arg(long, value_name = "MICROMHOS", allow_negative_numbers = true)]
    pub micromhos: Option<f64>,

    /// The tester's plain verdict, such as good, weak or shorted
    #[arg(long, value_name = "WORDS")]
    pub verdict: Option<String>,

    /// The section, such as 1
    #[arg(long)]
    pub section: Option<String>,

    /// The type that was tested, such as 6AU6
    #[arg(long = "type", value_name = "TYPE")]
    pub type_number: Option<String>,

    /// The tester, in your words
    #[arg(long)]
    pub tester: Option<String>,

    /// Anything else
    #[arg(long, value_name = "TEXT")]
    pub note: Option<String>,
}

/// Arguments of `photo`.
#[derive(Debug, Args)]
pub struct PhotoArguments {
    /// Where and when
    #[command(flatten)]
    pub entry: EntryArguments,

    /// The photograph: JPEG, PNG or WebP
    pub picture: PathBuf,

    /// What it shows
    #[arg(long, value_name = "TEXT")]
    pub shows: Option<String>,

    /// Anything else
    #[arg(long, value_name = "TEXT")]
    pub note: Option<String>,
}

/// Arguments of `change`.
#[derive(Debug, Args)]
pub struct ChangeArguments {
    /// Where and when
    #[command(flatten)]
    pub entry: EntryArguments,

    /// What was changed: a wire, a socket, a setting
    pub what: String,

    /// How it was
    #[arg(long, value_name = "TEXT")]
    pub was: Option<String>,

    /// How it is now
    #[arg(long, value_name = "TEXT")]
    pub is: Option<String>,

    /// Anything else
    #[arg(long, value_name = "TEXT")]
    pub note: Option<String>,
}

/// Arguments of `decide`.
#[derive(Debug, Args)]
pub struct DecideArguments {
    /// Where and when
    #[command(flatten)]
    pub entry: EntryArguments,

    /// What was decided
    pub what: String,

    /// Why
    #[arg(long, value_name = "TEXT")]
    pub because: Option<String>,
}

/// Arguments of `undo`.
#[derive(Debug, Args)]
pub struct UndoArguments {
    /// Where and when
    #[command(flatten)]
    pub entry: EntryArguments,

    /// Number of the entry; the last one that stands if absent
    pub number: Option<u64>,

    /// Why
    #[arg(long, value_name = "TEXT")]
    pub because: Option<String>,
}

/// Arguments of `correct`.
#[derive(Debug, Args)]
pub struct CorrectArguments {
    /// Where and when
    #[command(flatten)]
    pub entry: EntryArguments,

    /// Number of the entry
    pub number: u64,

    /// What is to hold instead, such as "value = 153 V"; an empty text takes a field out
    #[arg(required = true, value_name = "FIELD = TEXT")]
    pub changes: Vec<String>,

    /// Why
    #[arg(long, value_name = "TEXT")]
    pub because: Option<String>,
}

/// Arguments of `story`.
#[derive(Debug, Args)]
pub struct StoryArguments {
    /// The restoration's file
    pub file: PathBuf,

    /// Show undone entries, undos and corrections too
    #[arg(long)]
    pub all: bool,
}

/// Arguments of `backup`.
#[derive(Debug, Args)]
pub struct BackupArguments {
    /// The restoration's file
    pub file: PathBuf,

    /// The copy, a new file
    pub copy: PathBuf,
}

/// Arguments of `export`.
#[derive(Debug, Args)]
pub struct ExportArguments {
    /// The restoration's file
    pub file: PathBuf,

    /// The folder, new or empty
    pub folder: PathBuf,
}

/// Arguments of `import`.
#[derive(Debug, Args)]
pub struct ImportArguments {
    /// A folder that `export` made
    pub folder: PathBuf,

    /// The restoration's file, a new one
    pub file: PathBuf,
}
