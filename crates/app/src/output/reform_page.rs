//! A re-forming outside the set, as a page: verdict first, then the bench, then what to do.
//!
//! Units as printed. Nothing here fails.

use benchwork::view::{FormingRecordedView, FormingView, FormingsView};
use quantity::{Unit, bench};

use super::lists::{dashes, heading, indented, numbered, paragraph, table, title};
use super::notices;

/// The page of one section.
pub fn page(view: &FormingView) -> String {
    let mut page = title(&format!(
        "Re-forming {} outside the set: {} {} V",
        view.part,
        farads(view.microfarads),
        view.marked_volts
    ));
    if let Some(name) = &view.restoration {
        page.push_str(&paragraph(&format!("{name}.")));
    }
    page.push_str(&verdict(view));
    page.push_str(&head("The bench"));
    page.push_str(&bench_lines(view));
    page.push_str(&head("Leakage against minutes"));
    page.push_str(&leakage(view));
    page.push_str(&head("What to do"));
    page.push_str(&numbered(view.acts.iter().map(String::as_str)));
    page.push_str(&head("Take the volts off at once"));
    page.push_str(&dashes(view.stop_signs.iter().map(String::as_str)));
    page.push_str(&head("Mind"));
    page.push_str(&dashes(view.cautions.iter().map(String::as_str)));
    page
}

/// The page after an entry.
pub fn recorded(view: &FormingRecordedView) -> String {
    let mut page = String::new();
    for entry in &view.entries {
        page.push_str(&indented(
            &format!("Entry {}: {}", entry.number, entry.text),
            "",
            "  ",
        ));
    }
    page.push_str(&verdict(&view.forming));
    page.push_str(&notices(&view.notices));
    page
}

/// The page of a whole set.
pub fn list(view: &FormingsView) -> String {
    let mut page = title(&format!("{}: its electrolytics", view.set));
    if view.electrolytics.is_empty() {
        page.push_str(&paragraph("The sheet has none."));
        return page;
    }
    let rows = view
        .electrolytics
        .iter()
        .map(|one| {
            vec![
                one.part.clone(),
                farads(one.microfarads),
                one.volts
                    .map_or_else(|| "not told".to_owned(), |volts| format!("{volts} V")),
                match one.state {
                    "replaced" => "replaced",
                    "re_formed" => "re-formed",
                    _ => "as found",
                }
                .to_owned(),
                match (one.ended, one.verdict) {
                    (Some(end), _) => end.to_owned(),
                    (None, Some(verdict)) => spoken(verdict).to_owned(),
                    (None, None) => "cannot be formed: its marked volts are not known".to_owned(),
                },
                one.limit_milliamperes.map(milliamperes).unwrap_or_default(),
            ]
        })
        .collect();
    page.push_str(&table(
        &["section", "mfd", "marked", "state", "re-forming", "limit"],
        &[1, 2, 5],
        rows,
    ));
    page.push_str(&paragraph(
        "`firstraster reform FILE PART` tells how one of them is formed.",
    ));
    page
}

fn spoken(verdict: &str) -> &'static str {
    match verdict {
        "not_begun" => "not begun",
        "go_on" => "go on",
        "next_volts" => "next volts",
        "accepted" => "readings meet the limit",
        "stop" => "STOP",
        "replace" => "REPLACE",
        _ => "not known",
    }
}

fn verdict(view: &FormingView) -> String {
    if let Some(ended) = &view.ended {
        let because = match ended.because.as_str() {
            "" => String::new(),
            because => format!(", because {because}"),
        };
        let word = match ended.end {
            "accepted" => "Accepted: it counts as re-formed",
            "replace" => "REPLACE it",
            _ => "Stopped; it may be taken up again",
        };
        return paragraph(&format!(
            "{word} (entry {}, {}){because}.",
            ended.entry, ended.at
        ));
    }
    let because = view.because.join("; ");
    let words = match view.verdict {
        "not_begun" => "Not begun: nothing was read yet.".to_owned(),
        "accepted" => format!(
            "ACCEPTED by its readings: {because}. Take the volts off, discharge it, prove it with the meter, then \
             `firstraster reform FILE {} end accepted`.",
            view.part
        ),
        "next_volts" => match view.next_volts {
            Some(volts) => format!("NEXT VOLTS, {volts:.0} V: {because}."),
            None => format!("Go on: {because}."),
        },
        "stop" => format!(
            "STOP, volts off now: {because}. Discharge it and prove it with the meter before a hand comes near."
        ),
        "replace" => {
            format!("REPLACE it: {because}. Volts off, discharge it and prove it with the meter.")
        }
        _ => format!("Go on: {because}."),
    };
    paragraph(&words)
}

fn bench_lines(view: &FormingView) -> String {
    let series = &view.series;
    let pieces = match series.pieces {
        1 => String::from("one piece"),
        count => format!("{count} pieces of {}", ohms(series.piece_ohms)),
    };
    let mut lines = vec![
        format!(
            "Source to {:.0} V{}, in steps of {}.",
            view.top_volts,
            if view.source_is_named {
                ""
            } else {
                " (no source is named on the sheet's bench; this is what one has to give)"
            },
            steps(&view.source_volts)
        ),
        format!(
            "Resistor {}: {pieces}, {} W {} V each. It keeps {} mA at a dead short (least {}) and {} W in the can \
             whatever it leaks (least {}); at a short it takes {} W. Ratings of resistors are from memory: look at \
             yours.",
            ohms(series.ohms),
            series.piece_watts,
            series.piece_volts,
            figure(series.milliamperes_at_a_short),
            ohms(series.least_ohms_for_current),
            figure(series.most_watts_in_can),
            ohms(series.least_ohms_for_heat),
            figure(series.watts_at_a_short)
        ),
        format!(
            "It charges with a time constant of {}.",
            bench(view.charging_seconds, Unit::Seconds)
        ),
        format!(
            "Emptied through {}: {} J, down to 10 V in {}.",
            ohms(view.discharge_ohms),
            figure(view.discharge_joules),
            bench(view.discharge_seconds_to_ten_volts, Unit::Seconds)
        ),
    ];
    if !view.other_sections.is_empty() {
        lines.push(format!(
            "{} in the same can share its negative end; each is formed by itself.",
            view.other_sections.join(", ")
        ));
    }
    dashes(lines.iter().map(String::as_str))
}

fn leakage(view: &FormingView) -> String {
    let mut page = paragraph(&format!(
        "{} at {} or less at full volts after some minutes; old cans are held to {}, new parts to {}. {}",
        if view.limit_is_of == "new_parts" {
            "It is a new part: accepted"
        } else {
            "Accepted"
        },
        milliamperes(view.limit_milliamperes),
        milliamperes(view.limit_of_old_cans_milliamperes),
        milliamperes(view.limit_of_new_parts_milliamperes),
        view.limit_words
    ));
    let near = |minutes: f64| {
        view.expected.iter().min_by(|one, other| {
            (one[0] - minutes)
                .abs()
                .total_cmp(&(other[0] - minutes).abs())
        })
    };
    if view.readings.is_empty() {
        let rows = [1.0, 5.0, 15.0, 30.0, 60.0, 180.0, 1440.0]
            .into_iter()
            .filter_map(near)
            .map(|row| {
                let [minutes, low, middle, high] = *row;
                vec![
                    format!("{minutes:.0}"),
                    milliamperes(low),
                    milliamperes(middle),
                    milliamperes(high),
                ]
            })
            .collect();
        page.push_str(&table(
            &["minutes", "quick can", "usual", "slow can"],
            &[0, 1, 2, 3],
            rows,
        ));
        page.push_str(&paragraph(
            "An estimate at the highest volts, nine of ten cans that come back at all between quick and slow: leakage \
             falling as a power of time (a law from memory), its figures judgement. Your own readings count, not this.",
        ));
        return page;
    }
    let rows = view
        .readings
        .iter()
        .map(|one| {
            vec![
                one.entry.to_string(),
                format!("{:.0} V", one.source_volts),
                figure(one.minutes),
                milliamperes(one.milliamperes),
                one.section_volts
                    .map_or_else(String::new, |volts| format!("{volts} V")),
                one.case_celsius
                    .map_or_else(String::new, |celsius| format!("{celsius} C")),
                if one.is_at_present_volts {
                    ""
                } else {
                    "before"
                }
                .to_owned(),
            ]
        })
        .collect();
    page.push_str(&table(
        &[
            "entry",
            "source",
            "minutes",
            "leakage",
            "across it",
            "case",
            "",
        ],
        &[0, 1, 2, 3, 4, 5],
        rows,
    ));
    match &view.forecast {
        None => page.push_str(&paragraph(
            "Where it is heading is told from three readings at the same volts on.",
        )),
        Some(ahead) => {
            let end = |end: Option<f64>| {
                end.map_or("beyond a day".to_owned(), |minutes| {
                    if minutes < 90.0 {
                        format!("{} minutes", figure(minutes))
                    } else {
                        format!("{} hours", figure(minutes / 60.0))
                    }
                })
            };
            let [early, middle, late] = ahead.meets_at_minutes;
            page.push_str(&paragraph(&format!(
                "Its readings continued meet {} after {} (nine of ten: {} to {}); {:.0} in a hundred of the laws that fit \
                 them do within a day. At that leakage the limit is met and nine tenths of the volts stand across it.",
                milliamperes(view.goal_milliamperes),
                end(middle),
                end(early),
                end(late),
                100.0 * ahead.meets_within_a_day
            )));
        }
    }
    page
}

fn steps(volts: &[f64]) -> String {
    let words: Vec<String> = volts.iter().map(|volts| format!("{volts:.0}")).collect();
    format!("{} V", words.join(", "))
}

fn head(text: &str) -> String {
    format!("\n{}", heading(text))
}

fn farads(microfarads: f64) -> String {
    bench(microfarads * 1e-6, Unit::Farads)
}

fn ohms(value: f64) -> String {
    bench(value, Unit::Ohms)
}

fn milliamperes(value: f64) -> String {
    bench(value * 1e-3, Unit::Amperes)
}

fn figure(value: f64) -> String {
    let text = format!("{value:.2e}");
    text.parse::<f64>().map_or(text, |value| value.to_string())
}
