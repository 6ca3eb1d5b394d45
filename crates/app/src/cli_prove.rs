//! The arguments of `prove`: the check list at the end shown, answered, signed.
//!
//! Values are judged by `benchwork`, all faults at once (status 1); only the form of the line is
//! held here (status 2).

use std::path::PathBuf;

use benchwork::{NewProof, NewSignature, Stamp};
use clap::{Args, Subcommand, ValueEnum};

/// Arguments of `prove`.
#[derive(Debug, Args)]
pub struct ProveArguments {
    /// The restoration's file, or a sheet for the list alone
    pub file: PathBuf,

    /// Show one item alone, with what to do
    #[arg(long, value_name = "KEY")]
    pub item: Option<String>,

    /// Draw a picture into this file (SVG)
    #[arg(long, value_name = "FILE.svg")]
    pub svg: Option<PathBuf>,

    /// What the picture shows; leakage if absent
    #[arg(long, value_name = "WHAT", requires = "svg")]
    pub svg_of: Option<ProofSvgOf>,

    /// What was measured or seen, to be entered
    #[command(subcommand)]
    pub entry: Option<ProveEntry>,
}

/// What a picture shows.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub enum ProofSvgOf {
    /// Leakage at every point, four ways, against the limit
    Leakage,
    /// The soak: warmth of the cabinet against minutes, with its limit
    Soak,
}

/// What can be entered.
#[derive(Debug, Subcommand)]
pub enum ProveEntry {
    /// Enter answers to one item: yes, no, or readings, such as one/on=0.31V or 30=1.88A
    Enter(EnterArguments),
    /// Sign the list as it stands
    Sign(SignArguments),
}

/// Arguments of `prove FILE enter`.
#[derive(Debug, Args)]
pub struct EnterArguments {
    /// The item's key, such as leakage
    #[arg(value_name = "ITEM")]
    pub item: String,

    /// The answers
    #[arg(value_name = "ANSWER")]
    pub answers: Vec<String>,

    /// The point, such as "knob shafts"
    #[arg(long, value_name = "POINT")]
    pub point: Option<String>,

    /// The item does not belong to this set: why
    #[arg(long, value_name = "WHY", conflicts_with = "answers")]
    pub not_of_this_set: Option<String>,

    /// Line volts at the set
    #[arg(long, value_name = "VOLTS")]
    pub line: Option<String>,

    /// Who measured or looked
    #[arg(long, value_name = "NAME")]
    pub by: String,

    /// What it was measured with, in your words
    #[arg(long, value_name = "WORDS")]
    pub with: Option<String>,

    /// Anything else
    #[arg(long, value_name = "TEXT")]
    pub note: Option<String>,

    /// When, if not now, such as 2026-11-29T08:49:51+01:00
    #[arg(long, value_name = "TIME", value_parser = time)]
    pub at: Option<Stamp>,
}

/// Arguments of `prove FILE sign`.
#[derive(Debug, Args)]
pub struct SignArguments {
    /// Who signs
    #[arg(long, value_name = "NAME")]
    pub by: String,

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

impl EnterArguments {
    /// The answers.
    pub fn proof(&self) -> NewProof {
        let said = |text: &Option<String>| text.clone().unwrap_or_default();
        NewProof {
            item: self.item.clone(),
            answers: self.answers.clone(),
            not_of_this_set: self.not_of_this_set.clone(),
            point: self.point.clone(),
            line: self.line.clone(),
            by: self.by.clone(),
            instrument: said(&self.with),
            note: said(&self.note),
        }
    }
}

impl SignArguments {
    /// The signature.
    pub fn signature(&self) -> NewSignature {
        NewSignature {
            by: self.by.clone(),
            note: self.note.clone().unwrap_or_default(),
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
            "prove|a.restoration",
            "prove|a.toml|--item|leakage|--json",
            "prove|a.restoration|--svg|a.svg|--svg-of|soak",
            "prove|a.restoration|enter|cord|yes|--by|R. Miller",
            "prove|a.restoration|enter|leakage|one/on=0.31V|--point|x|--by|R|--line|121|--with|y",
            "prove|a.restoration|enter|glass|--not-of-this-set|no front|--by|R|--note|z",
            "prove|a.restoration|sign|--by|R. Miller|--at|2026-11-29T08:49:51+01:00",
        ] {
            check(line, true);
        }
        for line in [
            "prove",
            "prove|a.restoration|enter|cord|yes",
            "prove|a.restoration|sign",
            "prove|a.restoration|--svg-of|soak",
            "prove|a.restoration|enter|cord|yes|--not-of-this-set|x|--by|R",
            "prove|a.restoration|pass",
        ] {
            check(line, false);
        }
    }

    #[test]
    fn every_entry_and_its_options_are_in_the_manual() {
        let missing = not_in_the_manual("prove", Some("my_set.restoration"));
        assert!(missing.is_empty(), "not in the manual: {missing:#?}");
    }
}
