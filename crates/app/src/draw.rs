//! Pictures of answers into SVG files, where one was asked for on the command line.
//!
//! What they show is drawn by the crate `pictures`. A picture that cannot be worked out or written is
//! trouble of its own kind.

use std::path::Path;

use benchwork::curves::{curves_over_line, curves_over_time};
use benchwork::view::{
    AsReadView, ChartView, FormingView, PictureView, ProofView, SiliconView, SuspectsView,
    TubeAnswerView, WhatIfView,
};
use benchwork::{SheetFile, Trouble, write_made};
use receiver::conditions::BenchConditions;

use crate::cli::PictureOf;
use crate::cli_picture::SvgOf;
use crate::cli_prove::ProofSvgOf;

/// Draws a picture for these conditions into a file.
pub fn draw(
    file: &SheetFile,
    conditions: &BenchConditions,
    picture_of: PictureOf,
    path: &Path,
) -> Result<(), Trouble> {
    let curves = match picture_of {
        PictureOf::Line => curves_over_line(file, conditions)?,
        PictureOf::Seconds => curves_over_time(file, conditions)?,
    };
    let svg = pictures::line_plot::svg(&curves).map_err(|text| {
        Trouble::input(
            text,
            "a picture needs a supply with an electrolytic on the sheet",
        )
    })?;
    write(path, &svg)
}

/// Draws the base of the first type of an answer into a file.
pub fn draw_base(answer: &TubeAnswerView, path: &Path) -> Result<(), Trouble> {
    let Some(tube) = answer.types.first() else {
        return Err(Trouble::ours("an answer without a type"));
    };
    let svg = pictures::base::svg(tube).map_err(|text| {
        Trouble::input(
            text,
            "leave --svg out; the other figures are shown without it",
        )
    })?;
    write(path, &svg)
}

/// Draws the maker's chart against the prediction into a file.
pub fn draw_chart(view: &ChartView, path: &Path) -> Result<(), Trouble> {
    write(path, &pictures::chart::svg(view))
}

/// Draws the weights of the suspects into a file.
pub fn draw_suspects(view: &SuspectsView, path: &Path) -> Result<(), Trouble> {
    let svg = pictures::suspects::svg(view).map_err(|text| {
        Trouble::input(
            text,
            "enter readings first: `firstraster reading FILE PLACE VALUE`",
        )
    })?;
    write(path, &svg)
}

/// Draws what a fault would change, in the order of the chassis, into a file.
pub fn draw_what_if(view: &WhatIfView, path: &Path) -> Result<(), Trouble> {
    write(path, &pictures::what_if::svg(view))
}

/// Draws how the weights of the suspects came about, into a file.
pub fn draw_as_read(view: &AsReadView, path: &Path) -> Result<(), Trouble> {
    let svg = pictures::as_read::svg(view)
        .map_err(|text| Trouble::input(text, "enter readings, the line and the B+ lines first"))?;
    write(path, &svg)
}

/// Draws what each way of running a set of silicon does, into a file.
pub fn draw_silicon(view: &SiliconView, path: &Path) -> Result<(), Trouble> {
    let svg = pictures::silicon::svg(view).map_err(|text| {
        Trouble::input(text, "leave --picture out; the tubes are told without it")
    })?;
    write(path, &svg)
}

/// Draws the leakage of an electrolytic that is formed anew into a file.
pub fn draw_forming(view: &FormingView, path: &Path) -> Result<(), Trouble> {
    write(path, &pictures::forming::svg(view))
}

/// Draws leakage or soak of the check list into a file.
pub fn draw_proof(view: &ProofView, of: ProofSvgOf, path: &Path) -> Result<(), Trouble> {
    let svg = match of {
        ProofSvgOf::Leakage => pictures::proof::leakage(view),
        ProofSvgOf::Soak => pictures::proof::soak(view),
    };
    let svg = svg.map_err(|text| {
        let hint = "enter readings first: `firstraster prove FILE enter ITEM ANSWER --by NAME`";
        Trouble::input(text, hint)
    })?;
    write(path, &svg)
}

/// Draws what is asked of a picture tube into a file.
pub fn draw_tube(view: &PictureView, of: SvgOf, path: &Path) -> Result<(), Trouble> {
    let svg = match of {
        SvgOf::Emission => pictures::emission::svg(view),
        SvgOf::Bench => pictures::bench::svg(view),
        SvgOf::Drive => pictures::drive::svg(view),
    };
    let svg = svg.map_err(|text| {
        let hint = "ask for another one with --svg-of, or leave --svg out";
        Trouble::input(text, hint)
    })?;
    write(path, &svg)
}

fn write(path: &Path, svg: &str) -> Result<(), Trouble> {
    write_made(path, svg.as_bytes()).map_err(|trouble| match trouble {
        Trouble::File { name, text, hint } => Trouble::File {
            name,
            text: format!("the picture cannot be written: {text}"),
            hint,
        },
        other => other,
    })
}
