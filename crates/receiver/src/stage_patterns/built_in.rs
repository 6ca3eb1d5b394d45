//! The patterns that the program knows, as `data/stages/` has them.
//!
//! The tables are part of the program; nothing is read from a file when it
//! runs. A new pattern is a new file there and its line here. Fails, with every
//! fault of every table, if one is wrong: a fault of ours.

use std::sync::OnceLock;

use super::pattern::StagePattern;
use super::read_pattern::{PatternFault, read_pattern};

/// The table of each file, in the order in which patterns are listed.
macro_rules! tables {
    ($($file:literal,)*) => {
        &[$(($file, include_str!(concat!("../../../../data/stages/", $file, ".toml"))),)*]
    };
}

const TABLES: &[(&str, &str)] = tables![
    "supply-transformer",
    "supply-selenium",
    "supply-doubler",
    "horizontal-oscillator",
    "horizontal-output",
    "vertical-blocking",
    "vertical-multivibrator",
    "sync-separator-triode",
    "sync-separator-pentode",
    "sync-amplifier",
    "tuner-rf",
    "tuner-converter",
    "picture-if",
    "picture-detector",
    "picture-detector-crystal",
    "agc-simple",
    "agc-keyed",
    "video-output",
    "picture-tube",
    "sound-if",
    "sound-limiter",
    "sound-ratio-detector",
    "sound-discriminator",
    "sound-gated-beam",
    "audio-triode",
    "audio-pentode",
    "audio-output",
];

/// Every pattern, in the order in which a set is transcribed.
///
/// # Errors
/// Every fault of every table, if there is one.
pub fn stage_patterns() -> Result<&'static [StagePattern], &'static [PatternFault]> {
    static READ: OnceLock<Result<Vec<StagePattern>, Vec<PatternFault>>> = OnceLock::new();
    READ.get_or_init(read_all)
        .as_ref()
        .map(Vec::as_slice)
        .map_err(Vec::as_slice)
}

/// The pattern of this name, or the nearest name if there is one.
///
/// # Errors
/// The nearest name, where one is near enough to be meant.
pub fn stage_pattern(name: &str) -> Result<&'static StagePattern, Option<&'static str>> {
    let patterns = stage_patterns().unwrap_or(&[]);
    let wanted = name.trim().to_ascii_lowercase().replace([' ', '_'], "-");
    if let Some(found) = patterns.iter().find(|pattern| pattern.name == wanted) {
        return Ok(found);
    }
    let nearest = patterns
        .iter()
        .map(|pattern| (strsim::osa_distance(&pattern.name, &wanted), pattern))
        .filter(|(distance, pattern)| {
            *distance <= 4 || (wanted.len() > 2 && pattern.name.contains(&wanted))
        })
        .min_by_key(|(distance, _)| *distance);
    Err(nearest.map(|(_, pattern)| pattern.name.as_str()))
}

fn read_all() -> Result<Vec<StagePattern>, Vec<PatternFault>> {
    let mut patterns: Vec<StagePattern> = Vec::new();
    let mut faults = Vec::new();
    for (file, text) in TABLES {
        match read_pattern(file, text) {
            Ok(pattern) if pattern.name == *file => patterns.push(pattern),
            Ok(pattern) => faults.push(PatternFault {
                pattern: (*file).to_string(),
                question: "the table".to_string(),
                text: format!("its name is `{}`, not that of its file", pattern.name),
            }),
            Err(found) => faults.extend(found),
        }
    }
    if faults.is_empty() {
        Ok(patterns)
    } else {
        Err(faults)
    }
}
