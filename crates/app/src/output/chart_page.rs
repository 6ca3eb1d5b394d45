//! The page of `chart`: what disagrees first, then slips, then the rest.
//!
//! Volts and ohms as at the bench. Figures that agree are counted, and shown on request.

use benchwork::view::{ChartRowView, ChartView, SlipView};

use super::lists::{dashes, heading, indented, paragraph, table, title};
use super::trouble_page::notices;
use benchwork::figures::figure;

/// The page; with `all` the figures that agree are listed too.
pub fn page(view: &ChartView, all: bool) -> String {
    let mut page = title("The maker's chart beside this sheet");
    page.push_str(&paragraph(&opening(view)));
    page.push('\n');
    let outside = of(view, |verdict| verdict.starts_with("chart_"));
    if !outside.is_empty() {
        page.push_str(&heading("Where they disagree"));
        page.push_str(&rows(&outside));
        page.push('\n');
    }
    page.push_str(&slips(view, outside.is_empty()));
    let rests = of(view, |verdict| verdict == "rests_on_chart");
    if !rests.is_empty() {
        page.push_str(&heading("Figures that prove nothing"));
        page.push_str(&paragraph(
            "A signal makes the volts there, so the prediction itself rests on the chart:",
        ));
        page.push_str(&indented(&names(&rests), "  ", "  "));
        page.push('\n');
    }
    page.push_str(&not_covered(view));
    let agree = of(view, |verdict| verdict == "agrees");
    if all && !agree.is_empty() {
        page.push_str(&heading("Where they agree"));
        page.push_str(&rows(&agree));
        page.push('\n');
    }
    if !view.notices.is_empty() {
        page.push_str(&heading("Worth knowing"));
        page.push_str(&notices(&view.notices));
    }
    page
}

fn opening(view: &ChartView) -> String {
    let counts = &view.counts;
    let meter = if view.meter.is_empty() {
        "an ideal meter".to_string()
    } else {
        format!("the meter \"{}\"", view.meter)
    };
    let told = counts.agrees + counts.disagrees;
    format!(
        "The set as it left the maker, at {}, with {meter}: of {told} figures that a prediction covers \
         {} agree and {} do not. More that prove nothing: {}; not covered: {}.",
        figure("dc_volts", view.line_volts),
        counts.agrees,
        counts.disagrees,
        counts.rests_on_chart,
        counts.not_covered
    )
}

fn of(view: &ChartView, fits: impl Fn(&str) -> bool) -> Vec<&ChartRowView> {
    view.rows.iter().filter(|row| fits(row.verdict)).collect()
}

fn names(rows: &[&ChartRowView]) -> String {
    let names: Vec<&str> = rows.iter().map(|row| row.at.as_str()).collect();
    names.join(", ")
}

fn rows(rows: &[&ChartRowView]) -> String {
    let lines = rows
        .iter()
        .map(|row| {
            let at = if row.to == "chassis" {
                row.at.clone()
            } else {
                format!("{} to {}", row.at, row.to)
            };
            let told = |value: Option<f64>| {
                value.map_or_else(|| "open".to_string(), |value| figure(row.what, value))
            };
            vec![
                at,
                told(row.charted),
                told(row.low),
                told(row.expected),
                told(row.high),
                match row.verdict {
                    "chart_high" => "chart is higher".to_string(),
                    "chart_low" => "chart is lower".to_string(),
                    _ => String::new(),
                },
                row.line.to_string(),
            ]
        })
        .collect();
    table(
        &["at", "maker", "low", "expected", "high", "", "line"],
        &[1, 2, 3, 4, 6],
        lines,
    )
}

fn slips(view: &ChartView, all_agree: bool) -> String {
    if all_agree {
        return String::new();
    }
    let mut part = heading("Slips of the pen");
    if view.tried == 0 {
        part.push_str(&paragraph(
            "None was looked for: no figure is so far out that a slip would explain it. What is left \
             may be parts that were never of their marked value, another tube, or a control set \
             otherwise.",
        ));
    } else if view.slips.is_empty() {
        part.push_str(&paragraph(&format!(
            "Of {} changes none brings a wild figure home. What is left may be parts that were \
             never of their marked value, another tube, or a control set otherwise.",
            view.tried
        )));
    } else {
        part.push_str(&paragraph(
            "Changes that would bring figures home, the likeliest first. Look at the set before \
             you change the sheet:",
        ));
        let lines: Vec<String> = view.slips.iter().map(slip).collect();
        part.push_str(&dashes(lines.iter().map(String::as_str)));
    }
    part.push('\n');
    part
}

fn slip(slip: &SlipView) -> String {
    let out = if slip.drives_out.is_empty() {
        String::new()
    } else {
        format!("; drives out {}", slip.drives_out.join(", "))
    };
    format!(
        "{}. Brings home {}{out}.",
        slip.text,
        slip.brings_home.join(", ")
    )
}

fn not_covered(view: &ChartView) -> String {
    let rows = of(view, |verdict| verdict == "not_covered");
    if rows.is_empty() {
        return String::new();
    }
    let mut reasons: Vec<(&str, Vec<&ChartRowView>)> = Vec::new();
    for row in rows {
        let because = row.because.as_deref().unwrap_or("not told");
        match reasons.iter_mut().find(|(known, _)| *known == because) {
            Some((_, list)) => list.push(row),
            None => reasons.push((because, vec![row])),
        }
    }
    let mut part = heading("Not covered by a prediction");
    let lines: Vec<String> = reasons
        .iter()
        .map(|(because, rows)| format!("{}: {because}", names(rows)))
        .collect();
    part.push_str(&dashes(lines.iter().map(String::as_str)));
    part.push('\n');
    part
}
