//! The arguments of `picture`: the tube judged, and what is found of it entered.
//!
//! Values are judged by `benchwork`, all faults at once (status 1); only the form of the line is
//! held here (status 2).

use std::path::PathBuf;

use benchwork::{NewFinding, NewNeedle, PictureAsk, Stamp};
use clap::{Args, Subcommand, ValueEnum};

/// Arguments of `picture`.
#[derive(Debug, Args)]
pub struct PictureArguments {
    /// The restoration's file, or a type alone, such as 12LP4
    #[arg(value_name = "FILE or TYPE")]
    pub subject: String,

    /// Which tube, such as V17 or spare; the set's own if absent
    #[arg(long, value_name = "NAME")]
    pub tube: Option<String>,

    /// Its type, where the sheet does not say it
    #[arg(long = "type", value_name = "TYPE")]
    pub type_number: Option<String>,

    /// Volts of the second grid in the set
    #[arg(long, value_name = "VOLTS")]
    pub second_grid: Option<String>,

    /// Volts of the d.c. source on the bench; 150 if absent
    #[arg(long, value_name = "VOLTS")]
    pub source: Option<String>,

    /// Volts of picture from black to white that the set gives the tube
    #[arg(long, value_name = "VOLTS")]
    pub drive: Option<String>,

    /// Reading from which on the instrument calls a tube good
    #[arg(long, value_name = "READING")]
    pub good_from: Option<String>,

    /// A type that is to stand in: what changes
    #[arg(long, value_name = "TYPE")]
    pub stand_in: Option<String>,

    /// Another restoration, whose tube it is compared with
    #[arg(long, value_name = "FILE")]
    pub against: Option<PathBuf>,

    /// The other tube, of this restoration or of the other one
    #[arg(long, value_name = "NAME")]
    pub against_tube: Option<String>,

    /// Draw a picture into this file (SVG)
    #[arg(long, value_name = "FILE.svg")]
    pub svg: Option<PathBuf>,

    /// What the picture shows; emission where it was read, else the bench
    #[arg(long, value_name = "WHAT", requires = "svg")]
    pub svg_of: Option<SvgOf>,

    /// What was found, to be entered
    #[command(subcommand)]
    pub entry: Option<PictureEntry>,
}

/// What a picture shows.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub enum SvgOf {
    /// Emission against minutes: readings, fit, band, forecast
    Emission,
    /// The wires of the bench method, by the type's own base
    Bench,
    /// Cathode current against grid volts, the laws side by side
    Drive,
}

/// What can be entered.
#[derive(Debug, Subcommand)]
pub enum PictureEntry {
    /// Enter the heater: cold ohms, volts and amperes, glow
    Heater(HeaterArguments),
    /// Enter ohms between two elements, the socket off
    Leak(LeakArguments),
    /// Enter cut-off: volts, or only whether the beam goes out
    Cutoff(CutoffArguments),
    /// Enter emission against minutes: MINUTES=READING, such as 4=22% or 4=22%@6.2V
    Emission(NeedleArguments),
    /// Enter a life test: SECONDS=READING after the heater was reduced or cut, 0 just before
    Life(NeedleArguments),
    /// Enter currents of the bench method: VOLTS=CURRENT, such as 100=640uA,600uA
    Current(CurrentArguments),
    /// Enter what the running set shows
    Running(RunningArguments),
    /// Enter a cure that was tried, and what it gained
    Tried(TriedArguments),
}

/// Which tube, and what goes with the entry.
#[derive(Debug, Args)]
pub struct OfTubeArguments {
    /// Which tube, such as V17 or spare; the set's own if absent
    #[arg(long, value_name = "NAME")]
    pub tube: Option<String>,

    /// Its type, as it stands on the tube
    #[arg(long = "type", value_name = "TYPE")]
    pub type_number: Option<String>,

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

/// Arguments of `picture FILE heater`.
#[derive(Debug, Args)]
pub struct HeaterArguments {
    /// Cold resistance between its pins, such as 1.6 or open
    #[arg(long, value_name = "OHMS")]
    pub cold: Option<String>,

    /// Volts at its pins while hot
    #[arg(long, value_name = "VOLTS", allow_hyphen_values = true)]
    pub volts: Option<String>,

    /// Amperes at those volts, such as 0.6A or 580mA
    #[arg(long, value_name = "AMPERES")]
    pub amperes: Option<String>,

    /// Whether a glow is seen in the neck: yes or no
    #[arg(long, value_name = "YES OR NO")]
    pub glow: Option<String>,

    /// Which tube
    #[command(flatten)]
    pub of: OfTubeArguments,
}

/// Arguments of `picture FILE leak`.
#[derive(Debug, Args)]
pub struct LeakArguments {
    /// Element at the plus lead: heater, cathode, grid, "second grid" or focus
    pub plus: String,

    /// Element at the minus lead
    pub minus: String,

    /// What was read, such as 20meg, 470k or open
    pub ohms: String,

    /// The heater was hot
    #[arg(long)]
    pub hot: bool,

    /// Which tube
    #[command(flatten)]
    pub of: OfTubeArguments,
}

/// Arguments of `picture FILE cutoff`.
#[derive(Debug, Args)]
pub struct CutoffArguments {
    /// Volts that the grid stood below the cathode when the beam went out
    #[arg(allow_hyphen_values = true)]
    pub volts: Option<String>,

    /// Only whether the beam goes out: yes or no
    #[arg(long, value_name = "YES OR NO")]
    pub reached: Option<String>,

    /// Volts of the second grid, to the cathode
    #[arg(long, value_name = "VOLTS")]
    pub second_grid: Option<String>,

    /// Which tube
    #[command(flatten)]
    pub of: OfTubeArguments,
}

/// Arguments of `picture FILE emission` and `picture FILE life`.
#[derive(Debug, Args)]
pub struct NeedleArguments {
    /// The readings
    #[arg(required = true)]
    pub readings: Vec<String>,

    /// The last mark of the scale, such as "100 %" or 500uA; once
    #[arg(long, value_name = "READING")]
    pub scale_end: Option<String>,

    /// Unit of the scale, where the readings do not bear it
    #[arg(long)]
    pub unit: Option<String>,

    /// Error of the needle, percent of the whole scale
    #[arg(long, value_name = "PERCENT")]
    pub needle: Option<String>,

    /// Heater volts at all of these readings; for a life test those of the reduced heater, or cut
    #[arg(long, value_name = "VOLTS")]
    pub heater: Option<String>,

    /// Name of the sitting; readings of one sitting belong together
    #[arg(long, value_name = "NAME")]
    pub sitting: Option<String>,

    /// Which tube
    #[command(flatten)]
    pub of: OfTubeArguments,
}

/// Arguments of `picture FILE current`.
#[derive(Debug, Args)]
pub struct CurrentArguments {
    /// The readings: second-grid volts, current at once, current ten seconds later
    #[arg(required = true)]
    pub readings: Vec<String>,

    /// Which tube
    #[command(flatten)]
    pub of: OfTubeArguments,
}

/// Arguments of `picture FILE running`.
#[derive(Debug, Args)]
pub struct RunningArguments {
    /// The picture, such as bright, dim or none
    #[arg(long, value_name = "WORDS")]
    pub picture: Option<String>,

    /// Cathode current at the brightest that the picture allows, such as 90uA
    #[arg(long, value_name = "CURRENT")]
    pub current: Option<String>,

    /// Which tube
    #[command(flatten)]
    pub of: OfTubeArguments,
}

/// Arguments of `picture FILE tried`.
#[derive(Debug, Args)]
pub struct TriedArguments {
    /// The cure: pins, solder, rated, transformer or "running set"
    pub cure: String,

    /// What it gained
    pub gained: String,

    /// Which tube
    #[command(flatten)]
    pub of: OfTubeArguments,
}

impl PictureArguments {
    /// The question, with what an entry says of the tube.
    pub fn ask(&self) -> PictureAsk {
        let of = self.entry.as_ref().map(PictureEntry::of);
        let said = |own: Option<&String>, outer: &Option<String>| own.or(outer.as_ref()).cloned();
        PictureAsk {
            tube: said(of.and_then(|of| of.tube.as_ref()), &self.tube),
            type_number: said(of.and_then(|of| of.type_number.as_ref()), &self.type_number),
            second_grid: self.second_grid.clone(),
            source: self.source.clone(),
            drive: self.drive.clone(),
            good_from: self.good_from.clone(),
            stand_in: self.stand_in.clone(),
            against: self.against.clone(),
            against_tube: self.against_tube.clone(),
        }
    }
}

impl PictureEntry {
    /// Which tube, and what goes with it.
    pub fn of(&self) -> &OfTubeArguments {
        match self {
            PictureEntry::Heater(one) => &one.of,
            PictureEntry::Leak(one) => &one.of,
            PictureEntry::Cutoff(one) => &one.of,
            PictureEntry::Emission(one) | PictureEntry::Life(one) => &one.of,
            PictureEntry::Current(one) => &one.of,
            PictureEntry::Running(one) => &one.of,
            PictureEntry::Tried(one) => &one.of,
        }
    }

    /// What was found.
    pub fn finding(&self) -> NewFinding {
        match self {
            PictureEntry::Heater(one) => NewFinding::Heater {
                cold: one.cold.clone(),
                volts: one.volts.clone(),
                amperes: one.amperes.clone(),
                glow: one.glow.clone(),
            },
            PictureEntry::Leak(one) => NewFinding::Leak {
                plus: one.plus.clone(),
                minus: one.minus.clone(),
                ohms: one.ohms.clone(),
                hot: one.hot,
            },
            PictureEntry::Cutoff(one) => NewFinding::CutOff {
                volts: one.volts.clone(),
                reached: one.reached.clone(),
                second_grid: one.second_grid.clone(),
            },
            PictureEntry::Emission(one) => NewFinding::Emission {
                readings: one.readings.clone(),
                needle: one.needle(),
            },
            PictureEntry::Life(one) => NewFinding::LifeTest {
                readings: one.readings.clone(),
                needle: one.needle(),
            },
            PictureEntry::Current(one) => NewFinding::BenchCurrent {
                readings: one.readings.clone(),
            },
            PictureEntry::Running(one) => NewFinding::RunningSet {
                picture: one.picture.clone(),
                current: one.current.clone(),
            },
            PictureEntry::Tried(one) => NewFinding::Tried {
                cure: one.cure.clone(),
                gained: one.gained.clone(),
            },
        }
    }
}

impl NeedleArguments {
    fn needle(&self) -> NewNeedle {
        NewNeedle {
            sitting: self.sitting.clone(),
            unit: self.unit.clone(),
            scale_end: self.scale_end.clone(),
            needle_percent: self.needle.clone(),
            heater: self.heater.clone(),
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
            "picture|12LP4",
            "picture|12LP4|--source|120|--svg|a.svg|--svg-of|bench|--json",
            "picture|a.restoration|--tube|spare|--good-from|60",
            "picture|a.restoration|--against|b.restoration|--against-tube|V9",
            "picture|a.restoration|heater|--volts|6.3 V|--amperes|0.58 A|--glow|yes",
            "picture|a.restoration|leak|heater|cathode|open|--hot",
            "picture|a.restoration|cutoff|-45 V|--second-grid|250",
            "picture|a.restoration|cutoff|--reached|yes",
            "picture|a.restoration|emission|2=12%|4=20%@6.2V|--scale-end|100 %|--sitting|two",
            "picture|a.restoration|life|0=60|5=50|--heater|cut",
            "picture|a.restoration|current|100=640uA,600uA|--with|meter",
            "picture|a.restoration|running|--picture|dim|--current|40uA",
            "picture|a.restoration|tried|pins|nothing|--note|x|--at|2026-11-29T08:49:51+01:00",
        ] {
            check(line, true);
        }
        for line in [
            "picture",
            "picture|12LP4|--svg-of|bench",
            "picture|a.restoration|emission",
            "picture|a.restoration|leak|heater|cathode",
            "picture|a.restoration|colour",
            "picture|a.restoration|tried|pins",
        ] {
            check(line, false);
        }
    }

    #[test]
    fn every_entry_and_its_options_are_in_the_manual() {
        let missing = not_in_the_manual("picture", Some("my_set.restoration"));
        assert!(missing.is_empty(), "not in the manual: {missing:#?}");
    }
}
