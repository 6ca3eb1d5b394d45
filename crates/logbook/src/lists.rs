//! The lists of a restoration for a spreadsheet: readings, tests, what was found of picture tubes and re-formed
//! electrolytics, the proof at the end, parts replaced.
//!
//! Facts that stand, one a row, in the form that holds now; CSV with commas, UTF-8. Figures are in
//! the unit that the heading or `what` gives; an open place has `open`. Writing cannot fail.

use crate::fact::{Fact, Fitted, Measured, TestResult, Tested};
use crate::fields::number_text;
use crate::story::{Entry, StandingFact, standing_facts};

const READINGS: [&str; 19] = [
    "number",
    "at",
    "place",
    "to",
    "what",
    "typed",
    "value",
    "unit",
    "meter",
    "plug_out",
    "line_volts",
    "dial_volts",
    "lamp_watts",
    "pulled",
    "open",
    "fitted_without",
    "seconds",
    "dc",
    "note",
];

const PARTS: [&str; 7] = ["number", "at", "part", "old", "new", "rating", "note"];

const TESTS: [&str; 10] = [
    "number",
    "at",
    "part",
    "section",
    "type",
    "tester",
    "percent",
    "micromhos",
    "verdict",
    "note",
];

/// Fields of what is found of a picture tube, after number and time.
const PICTURE_TUBE: [&str; 27] = [
    "part",
    "type",
    "about",
    "sitting",
    "minutes",
    "seconds",
    "shown",
    "unit",
    "scale_end",
    "needle_percent",
    "heater_volts",
    "heater_amperes",
    "cold_ohms",
    "glows",
    "plus",
    "minus",
    "ohms",
    "hot",
    "grid_volts",
    "reached",
    "second_grid_volts",
    "microamperes",
    "microamperes_later",
    "picture",
    "cathode_microamperes",
    "instrument",
    "note",
];

/// Fields of what is found of an electrolytic that is formed anew, after number and time.
const RE_FORMING: [&str; 17] = [
    "part",
    "marked",
    "about",
    "minutes",
    "source_volts",
    "section_volts",
    "milliamperes",
    "series_ohms",
    "case_celsius",
    "looks",
    "through_ohms",
    "seconds",
    "volts_left",
    "end",
    "because",
    "instrument",
    "note",
];

/// Fields of the proof at the end, after number and time.
const PROOF: [&str; 15] = [
    "item",
    "point",
    "plug",
    "switch",
    "about",
    "value",
    "unit",
    "answer",
    "because",
    "up_to",
    "minutes",
    "line_volts",
    "by",
    "instrument",
    "note",
];

/// What was found of picture tubes, as CSV.
pub fn picture_tubes_csv(entries: &[Entry]) -> String {
    fields_csv(&PICTURE_TUBE, entries, |fact| {
        matches!(fact, Fact::OfPictureTube(_))
    })
}

/// What was found while electrolytics were formed outside the set, as CSV.
pub fn re_forming_csv(entries: &[Entry]) -> String {
    fields_csv(&RE_FORMING, entries, |fact| {
        matches!(fact, Fact::OfReForming(_))
    })
}

/// The proof at the end, as CSV.
pub fn proof_csv(entries: &[Entry]) -> String {
    fields_csv(&PROOF, entries, |fact| matches!(fact, Fact::OfProof(_)))
}

/// Facts of one kind, a column for each of these fields.
fn fields_csv(keys: &[&str], entries: &[Entry], is_wanted: impl Fn(&Fact) -> bool) -> String {
    let heads: Vec<&str> = ["number", "at"]
        .into_iter()
        .chain(keys.iter().copied())
        .collect();
    csv(&heads, entries, |one| {
        let fields = is_wanted(one.fact).then(|| one.fact.to_fields())?;
        let cell = |key: &&str| {
            let own = fields.pairs().find(|(own, _)| own == key);
            own.map_or_else(String::new, |(_, text)| text.to_owned())
        };
        Some(keys.iter().map(cell).collect())
    })
}

/// Readings as CSV.
pub fn readings_csv(entries: &[Entry]) -> String {
    csv(&READINGS, entries, |one| match one.fact {
        Fact::Measured(measured) => Some(reading_row(measured)),
        _ => None,
    })
}

/// Parts replaced as CSV.
pub fn parts_csv(entries: &[Entry]) -> String {
    csv(&PARTS, entries, |one| match one.fact {
        Fact::Fitted(Fitted {
            part,
            old,
            new,
            rating,
            note,
        }) => Some([part, old, new, rating, note].map(String::clone).to_vec()),
        _ => None,
    })
}

/// What testers said as CSV.
pub fn tests_csv(entries: &[Entry]) -> String {
    csv(&TESTS, entries, |one| match one.fact {
        Fact::Tested(tested) => Some(test_row(tested)),
        _ => None,
    })
}

fn reading_row(one: &Measured) -> Vec<String> {
    let known = |figure: Option<f64>| figure.map(number_text).unwrap_or_default();
    let conditions = &one.conditions;
    let watts: Vec<String> = conditions
        .lamp_watts
        .iter()
        .copied()
        .map(number_text)
        .collect();
    vec![
        one.place.clone(),
        one.to.clone(),
        one.what.name().to_owned(),
        one.typed.clone(),
        number_text(one.value),
        one.what.unit().to_owned(),
        one.meter.clone(),
        if conditions.plug_out { "yes" } else { "" }.to_owned(),
        known(conditions.line_volts),
        known(conditions.dial_volts),
        watts.join("+"),
        conditions.pulled.join(" "),
        conditions.open.join(" "),
        conditions.fitted_without.join(" "),
        known(conditions.seconds),
        conditions.dc.clone(),
        one.note.clone(),
    ]
}

fn test_row(one: &Tested) -> Vec<String> {
    let (mut percent, mut micromhos, mut verdict) = Default::default();
    match &one.result {
        TestResult::Percent(figure) => percent = number_text(*figure),
        TestResult::Micromhos(figure) => micromhos = number_text(*figure),
        TestResult::Verdict(words) => verdict = words.clone(),
    }
    let Tested {
        part,
        section,
        type_number,
        tester,
        note,
        ..
    } = one;
    let mut row = [part, section, type_number, tester]
        .map(String::clone)
        .to_vec();
    row.extend([percent, micromhos, verdict, note.clone()]);
    row
}

fn csv(
    heads: &[&str],
    entries: &[Entry],
    row: impl Fn(&StandingFact<'_>) -> Option<Vec<String>>,
) -> String {
    let mut text = csv_line(heads.iter().copied());
    for one in standing_facts(entries) {
        if let Some(cells) = row(&one) {
            let number = one.number.to_string();
            let first = [number.as_str(), one.at.as_str()];
            text.push_str(&csv_line(
                first.into_iter().chain(cells.iter().map(String::as_str)),
            ));
        }
    }
    text
}

/// One row of CSV; a cell with a comma, a quote or a line end stands in quotes (RFC 4180).
pub fn csv_line<'a>(cells: impl Iterator<Item = &'a str>) -> String {
    let quoted: Vec<String> = cells
        .map(|cell| {
            if cell.contains([',', '"', '\n', '\r']) {
                format!("\"{}\"", cell.replace('"', "\"\""))
            } else {
                cell.to_owned()
            }
        })
        .collect();
    format!("{}\r\n", quoted.join(","))
}
