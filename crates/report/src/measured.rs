//! What was measured: voltages as left, before and after, the picture tube, the first power-up.
//!
//! Readings as at the bench; differences have a word and a shape, no colour. Nothing here fails.

use benchwork::view::{AsLeftRowView, HandingOnView, StepHandedView};
use paper::{Block, Column, Drawing, Table, Text};

use super::{day, paragraph, part, section};
use benchwork::figures::figure;

/// Marks of a verdict: a shape and a word.
fn verdict(row: &AsLeftRowView) -> Text {
    match row.verdict {
        "inside" => Text::plain("● inside"),
        "low" => Text::strong("▼ low"),
        "high" => Text::strong("▲ high"),
        "not_predicted" => Text::plain("○ not predicted: ").and_quiet(row.because.as_str()),
        _ if row.because.is_empty() => Text::quiet("– not read"),
        _ => Text::quiet(format!("– {}", row.because)),
    }
}

/// The chart with what was read last.
pub(super) fn as_left(view: &HandingOnView, drawing: Option<&str>, blocks: &mut Vec<Block>) {
    blocks.push(section("Voltages as the set is left"));
    let own = &view.chart;
    if own.rows.is_empty() {
        blocks.push(paragraph(format!(
            "{} No reading at full line volts of the set as it is now is written down.",
            own.because
        )));
        return;
    }
    let maker = match own.line_volts {
        Some(volts) => {
            let meter = match own.meter.as_str() {
                "" => "his meter is not named".to_owned(),
                meter => format!("meter {meter}"),
            };
            format!("The maker's figures are for a line of {volts} V, {meter}.")
        }
        None => own.because.clone(),
    };
    blocks.push(paragraph(format!(
        "{maker} Beside them stands what was read last at full line volts, with the set as it is now, and what a healthy set shows that is read so."
    )));
    blocks.push(paragraph(
        "● inside the band, ▲ above it, ▼ below it, ○ nothing can be predicted, – not read.",
    ));
    let (read, not_read): (Vec<_>, Vec<_>) = own
        .rows
        .iter()
        .partition(|row| row.entry.is_some() || !row.because.is_empty());
    let rows = read.into_iter().map(|row| {
        let at = place(row);
        let shown = |value: Option<f64>| value.map(|value| figure(row.what, value));
        let charted = charted(row);
        let read = match (row.entry, &row.at_time) {
            (Some(_), Some(at)) => {
                Text::plain(row.typed.as_str()).and_quiet(format!(" {}", day(at)))
            }
            _ => Text::default(),
        };
        let percent = row.percent.map_or(String::new(), |percent| {
            // Less than half a percent is none, whichever way.
            match percent.round() {
                0.0 => "0 %".to_owned(),
                percent => format!("{percent:+.0} %"),
            }
        });
        let band = match (shown(row.low), shown(row.high)) {
            (Some(low), Some(high)) => format!("{low} to {high}"),
            _ => String::new(),
        };
        vec![
            Text::plain(at),
            Text::plain(charted),
            read,
            Text::plain(percent),
            Text::plain(band),
            verdict(row),
        ]
    });
    blocks.push(Block::Table(Table {
        about: "Voltages: the maker's, as left, and what a healthy set shows".to_owned(),
        columns: vec![
            Column::words("place", 1.5),
            Column::figures("maker", 1.0),
            Column::words("as left", 1.5),
            Column::figures("against the maker", 1.0),
            Column::words("a healthy set", 1.5),
            Column::words("verdict", 1.9),
        ],
        rows: rows.collect(),
    }));
    if let Some(svg) = drawing {
        blocks.push(Block::Drawing(Drawing {
            svg: svg.to_owned(),
            about: "Readings as the set is left, against what a healthy set shows".to_owned(),
            caption: "Readings as the set is left, in half widths of the band.".to_owned(),
        }));
    }
    if !not_read.is_empty() {
        blocks.push(part("The maker's figures of places that were not read"));
        let figures: Vec<String> = not_read
            .iter()
            .map(|row| format!("{} {}", place(row), charted(row)))
            .collect();
        blocks.push(paragraph(format!("{}.", figures.join("; "))));
    }
}

/// The place with that of the other lead, where that was not the chassis.
fn place(row: &AsLeftRowView) -> String {
    match row.to.as_str() {
        "chassis" => row.at.clone(),
        to => format!("{} to {to}", row.at),
    }
}

/// The maker's figure.
fn charted(row: &AsLeftRowView) -> String {
    match row.charted_open {
        true => "open".to_owned(),
        false => row
            .charted
            .map(|value| figure(row.what, value))
            .unwrap_or_default(),
    }
}

/// Readings before and after.
pub(super) fn before_and_after(view: &HandingOnView, blocks: &mut Vec<Block>) {
    if view.before_and_after.is_empty() {
        return;
    }
    blocks.push(section("Before and after"));
    blocks.push(paragraph(
        "Places that were read before the set was changed and again afterwards, with the set standing alike.",
    ));
    let rows = view.before_and_after.iter().map(|row| {
        let at = match row.to.as_str() {
            "" | "chassis" => row.at.clone(),
            to => format!("{} to {to}", row.at),
        };
        let entry =
            |text: &str, entry: u64| Text::plain(text).and_quiet(format!(" (entry {entry})"));
        vec![
            Text::plain(at),
            entry(&row.before, row.before_entry),
            entry(&row.after, row.after_entry),
            Text::plain(row.between.as_str()),
            Text::plain(row.conditions.as_str()),
        ]
    });
    blocks.push(Block::Table(Table {
        about: "Readings of one place before and after the set was changed".to_owned(),
        columns: vec![
            Column::words("place", 1.0),
            Column::words("before", 1.2),
            Column::words("after", 1.2),
            Column::words("changed between", 1.8),
            Column::words("how the set stood", 1.6),
        ],
        rows: rows.collect(),
    }));
}

/// The picture tube.
pub(super) fn picture_tube(view: &HandingOnView, drawing: Option<&str>, blocks: &mut Vec<Block>) {
    blocks.push(section("The picture tube"));
    let own = &view.picture_tube;
    if !own.because.is_empty() {
        blocks.push(paragraph(own.because.as_str()));
    }
    if let Some(picture) = &own.picture {
        let tube = picture.tube.as_deref().unwrap_or("The picture tube");
        let verdict = picture.verdict.as_ref();
        let text = verdict.map_or("no verdict", |verdict| verdict.text.as_str());
        blocks.push(Block::Paragraph(
            Text::strong(format!("{tube}, {}: ", picture.type_name)).and(text),
        ));
        if let Some(verdict) = verdict {
            let reasons = verdict.reasons.iter();
            blocks.push(Block::List(
                reasons.map(|own| own.as_str().into()).collect(),
            ));
        }
    }
    if let Some(svg) = drawing {
        blocks.push(Block::Drawing(Drawing {
            svg: svg.to_owned(),
            about: "Emission of the picture tube against minutes, last sitting".to_owned(),
            caption: "Emission, last sitting. Full line: fit of what was read. Dashed: forecast. Grey: nine of ten cathodes like this.".to_owned(),
        }));
    }
    if !own.found.is_empty() {
        blocks.push(part("What was found of it"));
        let rows = own.found.iter().map(|entry| {
            vec![
                Text::plain(entry.number.to_string()),
                Text::plain(day(&entry.at)),
                Text::plain(entry.text.as_str()),
            ]
        });
        blocks.push(Block::Table(Table {
            about: "Findings of the picture tube, in their order".to_owned(),
            columns: vec![
                Column::words("entry", 0.6),
                Column::words("day", 1.0),
                Column::words("found", 6.0),
            ],
            rows: rows.collect(),
        }));
    }
}

/// The first power-up.
pub(super) fn power_up(view: &HandingOnView, drawing: Option<&str>, blocks: &mut Vec<Block>) {
    blocks.push(section("The first power-up"));
    let own = &view.power_up;
    blocks.push(paragraph(own.text.as_str()));
    if own.steps.is_empty() {
        return;
    }
    let rows = own.steps.iter().map(|step| {
        vec![
            Text::plain(step.title.as_str()),
            Text::plain(day(&step.at)),
            ended(step),
            Text::plain(readings(step)),
        ]
    });
    blocks.push(Block::Table(Table {
        about: "Steps of the first power-up, how each ended, and what was read".to_owned(),
        columns: vec![
            Column::words("step", 2.2),
            Column::words("day", 1.0),
            Column::words("ended", 1.6),
            Column::words("read", 2.8),
        ],
        rows: rows.collect(),
    }));
    if let Some(svg) = drawing {
        blocks.push(Block::Drawing(Drawing {
            svg: svg.to_owned(),
            about: "Direct volts read in the steps of the first power-up".to_owned(),
            caption: "Direct volts to chassis that were read in more than one step, in the order of the steps.".to_owned(),
        }));
    }
}

fn ended(step: &StepHandedView) -> Text {
    let how = match step.how {
        "stopped" => Text::strong("▲ stopped, the plug was pulled"),
        "begun" => Text::strong("○ begun; its end is not written down"),
        "skipped" => Text::plain("– skipped"),
        "left" => Text::plain("○ bench left"),
        how => Text::plain(format!("● {how}")),
    };
    let how = match step.because.as_str() {
        "" => how,
        because => how.and(format!(", because {because}")),
    };
    match step.leaves_unknown.as_slice() {
        [] => how,
        unknown => how.and_quiet(format!("; left unknown: {}", unknown.join("; "))),
    }
}

fn readings(step: &StepHandedView) -> String {
    let lines = step.readings.iter().map(|own| {
        let to = match own.to.as_str() {
            "" | "chassis" => String::new(),
            to => format!(" to {to}"),
        };
        format!("{}{to} {}", own.at, own.typed)
    });
    lines.collect::<Vec<_>>().join("; ")
}
