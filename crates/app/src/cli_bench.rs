//! How the set stands on the bench, as it is typed.
//!
//! Units as in the names; what cannot be read is wrong usage, told by the reader of the command line.

use clap::Args;
use receiver::conditions::{BenchConditions, DirectSource, KnownReading, Meter};

/// Bench conditions of `expect`.
#[derive(Debug, Args)]
pub struct BenchArguments {
    /// Line volts rms at the wall side of the lamp; the sheet's own line, give or take 5 %, if absent
    #[arg(long, value_name = "VOLTS", value_parser = benchwork::bench_words::line_volts, allow_hyphen_values = true)]
    pub line: Option<f64>,

    /// Limiter lamp in series, in watts at 120 V; 100+60 for two in parallel
    #[arg(long, value_name = "WATTS", value_parser = lamps)]
    pub lamp: Option<Lamps>,

    /// Ohms of an isolation or variable transformer ahead of the set
    #[arg(long, value_name = "OHMS", value_parser = benchwork::bench_words::source_ohms, allow_hyphen_values = true)]
    pub source_ohms: Option<f64>,

    /// Tubes out of their sockets, such as V14,V12
    #[arg(long, value_name = "TUBES", value_delimiter = ',')]
    pub pulled: Vec<String>,

    /// Switches and plugs that are open, such as J2
    #[arg(long, value_name = "PARTS", value_delimiter = ',')]
    pub open: Vec<String>,

    /// Parts cut loose, such as C40
    #[arg(long, value_name = "PARTS", value_delimiter = ',')]
    pub fitted_without: Vec<String>,

    /// Seconds after switch-on from cold; settled if absent
    #[arg(long, value_name = "SECONDS", value_parser = benchwork::bench_words::seconds, allow_hyphen_values = true)]
    pub seconds: Option<f64>,

    /// The meter, such as 10M or "20k/V 500 V"; an ideal one if absent
    #[arg(long, value_name = "METER", value_parser = benchwork::bench_words::meter)]
    pub meter: Option<Meter>,

    /// Plug out, a d.c. source through a resistor at a place, such as "B+ main 300 V 47k"
    #[arg(long, value_name = "SOURCE", value_parser = benchwork::bench_words::direct_source, conflicts_with_all = ["line", "lamp", "source_ohms"])]
    pub dc: Option<DirectSource>,

    /// Where the meter's other lead is, if not on the chassis
    #[arg(long, value_name = "PLACE")]
    pub to: Option<String>,

    /// A reading taken already under these conditions, such as "B+ main 318 V"; narrows all bands; may be given again
    #[arg(long, value_name = "READING", value_parser = benchwork::bench_words::known_reading, conflicts_with_all = ["seconds", "dc"])]
    pub known: Vec<KnownReading>,

    /// Nominal values only
    #[arg(long)]
    pub no_bands: bool,
}

/// Limiter lamps in parallel, by their watts.
#[derive(Debug, Clone, PartialEq)]
pub struct Lamps(pub Vec<f64>);

/// Lamps as they are typed.
pub fn lamps(text: &str) -> Result<Lamps, String> {
    benchwork::bench_words::lamp_watts(text).map(Lamps)
}

impl BenchArguments {
    /// The conditions as the receiver takes them; empty names, as from a trailing comma, are dropped.
    pub fn conditions(self) -> BenchConditions {
        BenchConditions {
            line_volts: self.line,
            lamps: self.lamp.map(|lamps| lamps.0).unwrap_or_default(),
            source_ohms: self.source_ohms.unwrap_or(0.0),
            pulled: names(self.pulled),
            open: names(self.open),
            fitted_without: names(self.fitted_without),
            seconds: self.seconds,
            meter: self.meter,
            direct_source: self.dc,
            to: self.to,
            known: self.known,
            bands: !self.no_bands,
        }
    }
}

/// The names of a list, trimmed, without empty ones.
pub fn names(typed: Vec<String>) -> Vec<String> {
    typed
        .iter()
        .map(|name| name.trim().to_owned())
        .filter(|name| !name.is_empty())
        .collect()
}
