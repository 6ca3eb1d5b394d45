//! The page of `silicon`: the resistor, the diode, and every way of running the set.
//!
//! Volts, amperes, ohms, watts. Nothing here fails.

use benchwork::view::{SeleniumGroupView, SiliconView};

use super::lists::{dashes, heading, paragraph, table, title};

/// The page.
pub fn page(view: &SiliconView) -> String {
    let mut page = title(&format!("{}: silicon for selenium", view.set));
    page.push_str(&paragraph(&format!(
        "Line of today: {:.0} V, {}.",
        view.line_volts, view.line_from
    )));
    page.push('\n');
    if view.groups.is_empty() {
        page.push_str(&paragraph("This set has no selenium in its supply."));
        page.push('\n');
    }
    for own in &view.groups {
        page.push_str(&group(own));
        page.push('\n');
    }
    for own in &view.tubes {
        page.push_str(&heading(&format!("{} against silicon", own.tube)));
        page.push_str(&paragraph(&format!("{}.", own.says)));
        let mut rows = vec![
            vec![
                format!("{} running", own.place),
                format!("{:.0} V", own.tube_volts),
                format!("{:.0} V", own.silicon_volts),
            ],
            vec![
                "highest on a filter from switch-on".to_owned(),
                format!("{:.0} V", own.tube_highest_volts),
                format!("{:.0} V", own.silicon_highest_volts),
            ],
        ];
        for over in &own.exceeded {
            rows.push(vec![
                format!("{}, marked {:.0} V", over.part, over.marked_volts),
                String::new(),
                format!("{:.0} V", over.volts),
            ]);
        }
        let heads = ["at the top of the line", "tube", "silicon"];
        page.push_str(&table(&heads, &[1, 2], rows));
        page.push('\n');
    }
    page.push_str(&dashes(view.cautions.iter().map(String::as_str)));
    page
}

fn group(own: &SeleniumGroupView) -> String {
    let mut page = heading(&format!("{}, {}", own.parts.join(", "), own.circuit));
    page.push_str(&paragraph(&format!(
        "The maker's set has {:.0} V at {} on {:.0} V of line, with good selenium.",
        own.wanted_volts, own.place, own.makers_line_volts
    )));
    if let Some(resistor) = &own.resistor {
        page.push_str(&paragraph(&format!(
            "{} with {} ohm, {} W, in series with each rectifier ({:.1} W of heat in each). The surge resistor and the fuse stay.",
            own.diode, resistor.each_ohms, resistor.rated_watts, resistor.each_watts
        )));
        if let (Some(ohms), Some(watts)) = (resistor.common_ohms, resistor.common_watts)
            && own.parts.len() > 1
        {
            page.push_str(&paragraph(&format!(
                "Or one of {ohms} ohm in the common lead from the line, {watts:.1} W of heat: rated three times that."
            )));
        }
        if let Some(rule) = resistor.rule_ohms {
            page.push_str(&paragraph(&format!(
                "Exactly {:.1} ohm; the plain rule, difference of the drops over the current, would say {rule:.0}: it knows neither today's line nor the pulses of the current.",
                resistor.exact_ohms
            )));
        }
    } else if !own.diode.is_empty() {
        page.push_str(&paragraph(&format!("{} without a resistor.", own.diode)));
    }
    page.push_str(&dashes(own.bears.iter().map(String::as_str)));
    page.push_str(&dashes(own.notices.iter().map(String::as_str)));
    let percent = |low: Option<f64>, high: Option<f64>| match (low, high) {
        (Some(low), Some(high)) if high - low >= 0.5 => format!("{low:.0} to {high:.0} %"),
        (Some(low), _) => format!("{low:.1} %"),
        _ => String::new(),
    };
    let rows = own
        .runs
        .iter()
        .map(|run| {
            vec![
                run.name.clone(),
                format!("{:.0} V", run.line_volts),
                format!("{:.0} V", run.b_plus_volts),
                percent(run.heaters_low_percent, run.heaters_high_percent),
                format!("{:.2} A", run.line_amps_rms),
                run.surge_amps
                    .map_or_else(String::new, |own| format!("{own:.1} A")),
            ]
        })
        .collect();
    let heads = ["", "line", "B+", "heaters", "line current", "first surge"];
    page.push_str(&table(&heads, &[1, 2, 3, 4, 5], rows));
    for run in own.runs.iter().filter(|run| !run.remarks.is_empty()) {
        page.push_str(&paragraph(&format!("{}:", run.name)));
        page.push_str(&dashes(run.remarks.iter().map(String::as_str)));
    }
    page.push_str(&paragraph(
        "After fitting: behind the lamp first, then measure B+ at the line of the day and correct the resistor by it.",
    ));
    page
}
