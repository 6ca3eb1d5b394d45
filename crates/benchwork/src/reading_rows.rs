//! Readings put into rows, for pages and commands: by their other lead, one row for one junction, reasons said once.
//!
//! Units as each reading names them. Nothing here fails.

use crate::figures::{called, figure};
use crate::view::{ReadingView, UnknownView};

/// Readings by where the other lead is.
pub type ByLead<'a> = Vec<(Option<&'a str>, Vec<&'a ReadingView>)>;

/// Places and parts, each with what cannot be told of it.
pub type KindsByPlace<'a> = Vec<(&'a str, Vec<&'a str>)>;

/// Readings by where the other lead is, in the order in which the leads come.
pub fn by_other_lead<'a>(readings: &[&'a ReadingView]) -> ByLead<'a> {
    let mut groups: ByLead<'a> = Vec::new();
    for reading in readings {
        let to = reading.to.as_deref();
        match groups.iter_mut().find(|(known, _)| *known == to) {
            Some((_, group)) => group.push(reading),
            None => groups.push((to, vec![reading])),
        }
    }
    groups
}

/// Readings alike in every figure, or that no meter tells from nothing, under all their
/// names; order of first appearance.
pub fn merged<'a>(readings: &[&'a ReadingView]) -> Vec<(Vec<&'a str>, &'a ReadingView)> {
    let mut rows: Vec<(Vec<&str>, &ReadingView)> = Vec::new();
    for reading in readings {
        let alike = |other: &ReadingView| {
            let figures = |one: &ReadingView| (one.low, one.expected, one.high);
            other.lead == reading.lead
                && (figures(other) == figures(reading)
                    || (is_nothing(other) && is_nothing(reading)))
        };
        match rows.iter_mut().find(|(_, other)| alike(other)) {
            Some((names, _)) => names.push(&reading.at),
            None => rows.push((vec![&reading.at], reading)),
        }
    }
    rows
}

/// Whether no meter tells the reading from nothing.
pub fn is_nothing(reading: &ReadingView) -> bool {
    let nothing = figure(reading.what, 0.0);
    [reading.low, reading.expected, reading.high]
        .iter()
        .all(|value| figure(reading.what, *value) == nothing)
}

/// A place or part with what cannot be told of it; ohms speak for themselves.
pub fn named(at: &str, kinds: &[&str]) -> String {
    match kinds {
        ["ohms"] => at.to_owned(),
        kinds => format!("{at} ({})", kinds.join(", ")),
    }
}

/// What cannot be told, by its reasons, each said once.
pub fn reasons(unknown: &[UnknownView]) -> Vec<(&str, KindsByPlace<'_>)> {
    let mut reasons: Vec<(&str, KindsByPlace<'_>)> = Vec::new();
    for one in unknown {
        let kind = called(one.what);
        let position = reasons
            .iter()
            .position(|(because, _)| *because == one.because);
        let position = position.unwrap_or_else(|| {
            reasons.push((&one.because, Vec::new()));
            reasons.len() - 1
        });
        let names = &mut reasons[position].1;
        match names.iter_mut().find(|(at, _)| *at == one.at) {
            Some((_, kinds)) => kinds.push(kind),
            None => names.push((&one.at, vec![kind])),
        }
    }
    reasons
}
