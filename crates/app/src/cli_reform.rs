//! The arguments of `reform`: what to do with one electrolytic, and what was found of it entered.
//!
//! Values are judged by `benchwork`, all faults at once (status 1); only the form of the line is
//! held here (status 2).

use std::path::PathBuf;

use benchwork::{FormingAsk, NewForming, NewFormingReading, Stamp};
use clap::{Args, Subcommand};

/// Arguments of `reform`.
#[derive(Debug, Args)]
pub struct ReformArguments {
    /// The restoration's file, a sheet, or a value alone, such as "40 mfd 450 V"
    #[arg(value_name = "FILE or VALUE")]
    pub subject: String,

    /// The section, such as C1A; all electrolytics are listed if absent
    pub part: Option<String>,

    /// What is marked on it, where the sheet has it not, such as "40 mfd 450 V"
    #[arg(long, value_name = "VALUE")]
    pub marked: Option<String>,

    /// The source, such as "0-450 V 20 mA"; that of the sheet's bench if absent
    #[arg(long, value_name = "SOURCE")]
    pub source: Option<String>,

    /// Volts to form to; the marked volts if absent
    #[arg(long, value_name = "VOLTS")]
    pub to: Option<String>,

    /// The discharge resistor; 4.7k if absent
    #[arg(long, value_name = "OHMS")]
    pub discharge: Option<String>,

    /// Draw leakage against minutes into this file (SVG)
    #[arg(long, value_name = "FILE.svg")]
    pub svg: Option<PathBuf>,

    /// What was found, to be entered
    #[command(subcommand)]
    pub entry: Option<ReformEntry>,
}

/// What can be entered.
#[derive(Debug, Subcommand)]
pub enum ReformEntry {
    /// Enter leakage: MINUTES=READING since these volts were put on, such as 30=58V or 30=1.1mA
    Leak(LeakArguments),
    /// Enter that the volts are off and it is discharged, with what the meter still shows
    Discharged(DischargedArguments),
    /// Enter the end: accepted, stopped or replace
    End(EndArguments),
}

/// What goes with every entry.
#[derive(Debug, Args)]
pub struct WithEntryArguments {
    /// What it was read with, in your words
    #[arg(long, value_name = "WORDS")]
    pub with: Option<String>,

    /// Anything else
    #[arg(long, value_name = "TEXT")]
    pub note: Option<String>,

    /// When, if not now, such as 2026-11-29T08:49:51+01:00
    #[arg(long, value_name = "TIME", value_parser = time)]
    pub at: Option<Stamp>,
}

fn time(text: &str) -> Result<Stamp, String> {
    Stamp::read(text)
}

/// Arguments of `reform FILE PART leak`.
#[derive(Debug, Args)]
pub struct LeakArguments {
    /// The readings
    #[arg(required = true)]
    pub readings: Vec<String>,

    /// Volts of the source; carried over within a day
    #[arg(long, value_name = "VOLTS")]
    pub source_volts: Option<String>,

    /// Volts across the section itself, of a single reading
    #[arg(long, value_name = "VOLTS")]
    pub across: Option<String>,

    /// The resistor in series; carried over
    #[arg(long, value_name = "OHMS")]
    pub resistor: Option<String>,

    /// Warmth of the case, degrees Celsius
    #[arg(long, value_name = "CELSIUS")]
    pub case: Option<String>,

    /// The can: sound, warm, hot, bulging or leaking
    #[arg(long, value_name = "WORD")]
    pub looks: Option<String>,

    /// What goes with it
    #[command(flatten)]
    pub with: WithEntryArguments,
}

/// Arguments of `reform FILE PART discharged`.
#[derive(Debug, Args)]
pub struct DischargedArguments {
    /// Volts that the meter still shows
    #[arg(long, value_name = "VOLTS")]
    pub left: String,

    /// Seconds that it took
    #[arg(long, value_name = "SECONDS")]
    pub seconds: Option<String>,

    /// The resistor it was done through
    #[arg(long, value_name = "OHMS")]
    pub through: Option<String>,

    /// What goes with it
    #[command(flatten)]
    pub with: WithEntryArguments,
}

/// Arguments of `reform FILE PART end`.
#[derive(Debug, Args)]
pub struct EndArguments {
    /// accepted, stopped or replace
    pub end: String,

    /// Why
    #[arg(long, value_name = "TEXT", default_value = "")]
    pub because: String,

    /// What goes with it
    #[command(flatten)]
    pub with: WithEntryArguments,
}

impl ReformArguments {
    /// The question.
    pub fn ask(&self) -> FormingAsk {
        FormingAsk {
            marked: self.marked.clone(),
            source: self.source.clone(),
            to: self.to.clone(),
            discharge: self.discharge.clone(),
        }
    }
}

impl ReformEntry {
    /// What goes with it.
    pub fn with(&self) -> &WithEntryArguments {
        match self {
            ReformEntry::Leak(one) => &one.with,
            ReformEntry::Discharged(one) => &one.with,
            ReformEntry::End(one) => &one.with,
        }
    }

    /// What was found.
    pub fn finding(&self) -> NewForming {
        match self {
            ReformEntry::Leak(one) => NewForming::Readings(NewFormingReading {
                readings: one.readings.clone(),
                source_volts: one.source_volts.clone(),
                across: one.across.clone(),
                resistor: one.resistor.clone(),
                case: one.case.clone(),
                looks: one.looks.clone(),
            }),
            ReformEntry::Discharged(one) => NewForming::Discharged {
                left: one.left.clone(),
                seconds: one.seconds.clone(),
                through: one.through.clone(),
            },
            ReformEntry::End(one) => NewForming::Ended {
                end: one.end.clone(),
                because: one.because.clone(),
            },
        }
    }
}

#[cfg(test)]
mod tests {
    use crate::cli::Cli;
    use crate::in_the_manual::not_in_the_manual;
    use clap::Parser;

    fn check(line: &str, is_right: bool) {
        let typed = std::iter::once("firstraster").chain(line.split('|'));
        assert_eq!(Cli::try_parse_from(typed).is_ok(), is_right, "{line}");
    }

    #[test]
    fn right_and_wrong_usage() {
        for line in [
            "reform|40 mfd 450 V",
            "reform|40 mfd 450 V|--source|0-450 V 20 mA|--svg|a.svg|--json",
            "reform|a.restoration",
            "reform|a.restoration|C1A|--to|400|--discharge|4.7k",
            "reform|a.restoration|C1A|leak|30=58V|60=1.1mA|--source-volts|450|--resistor|54k",
            "reform|a.restoration|C1A|leak|30=58V|--across|390|--case|27|--looks|sound|--with|x",
            "reform|a.restoration|spare|--marked|40 mfd 450 V|leak|30=1mA",
            "reform|a.restoration|C1A|discharged|--left|0.4 V|--seconds|2|--through|4.7k",
            "reform|a.restoration|C1A|end|accepted|--because|x|--at|2026-11-29T08:49:51+01:00",
        ] {
            check(line, true);
        }
        for line in [
            "reform",
            "reform|a.restoration|C1A|leak",
            "reform|a.restoration|C1A|discharged",
            "reform|a.restoration|C1A|end",
            "reform|a.restoration|C1A|burst",
        ] {
            check(line, false);
        }
    }

    #[test]
    fn every_entry_and_its_options_are_in_the_manual() {
        let missing = not_in_the_manual("reform", Some("my_set.restoration C1A"));
        assert!(missing.is_empty(), "not in the manual: {missing:#?}");
    }
}
