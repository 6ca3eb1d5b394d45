//! The arguments of `hand-on` and `labels`.
//!
//! Every option stands in the manual under `docs/manual/`. Nothing here is judged.

use std::path::PathBuf;

use benchwork::Stamp;
use clap::{Args, ValueEnum};

/// Arguments of `hand-on`.
#[derive(Debug, Args)]
pub struct HandOnArguments {
    /// The restoration's file
    pub file: PathBuf,

    /// Write the report into this file, on pages (PDF)
    #[arg(long, value_name = "FILE.pdf")]
    pub pdf: Option<PathBuf>,

    /// Write the report into this file, as one page of HTML that stands alone
    #[arg(long, value_name = "FILE.html")]
    pub html: Option<PathBuf>,

    /// Write the folder that can be read without this program; new or empty
    #[arg(long, value_name = "FOLDER")]
    pub folder: Option<PathBuf>,

    /// Who restored the set, to stand on the report
    #[arg(long, value_name = "NAME")]
    pub by: Option<String>,

    /// The paper of the PDF
    #[arg(long, value_name = "PAPER", default_value = "a4")]
    pub paper: Paper,

    /// The date on the report, if not now, such as 2026-11-29T08:49:51+01:00
    #[arg(long, value_name = "TIME", value_parser = crate::cli_restoration::time)]
    pub at: Option<Stamp>,
}

/// Arguments of `labels`.
#[derive(Debug, Args)]
pub struct LabelsArguments {
    /// The restoration's file
    pub file: PathBuf,

    /// These parts alone, such as C12 V9; all that were replaced if absent
    pub parts: Vec<String>,

    /// Write the sheets of labels into this file (PDF)
    #[arg(long, value_name = "FILE.pdf")]
    pub pdf: Option<PathBuf>,

    /// The paper: a4 takes 24 labels, letter 21
    #[arg(long, value_name = "PAPER", default_value = "a4")]
    pub paper: Paper,

    /// The date in the file, if not now, such as 2026-11-29T08:49:51+01:00
    #[arg(long, value_name = "TIME", value_parser = crate::cli_restoration::time)]
    pub at: Option<Stamp>,
}

/// A kind of paper.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub enum Paper {
    /// 210 by 297 mm
    A4,
    /// 8.5 by 11 inches
    Letter,
}

impl From<Paper> for paper::Sheet {
    fn from(own: Paper) -> paper::Sheet {
        match own {
            Paper::A4 => paper::Sheet::A4,
            Paper::Letter => paper::Sheet::Letter,
        }
    }
}
