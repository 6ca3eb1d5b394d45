//! The tables inside a step: stop limits, what a healthy set shows, charges, the lamp.
//!
//! Units as each figure says. A short table counts the rows it leaves out.

use benchwork::view::{ChargedView, LampView, ReadingView, StopView, lamps_in_words};
use quantity::{Unit, bench};

use super::lists::{indented, paragraph, table};
use super::readings_page::Extent;
use benchwork::figures::{called, figure, percent, time};

/// The most rows of a short table.
const ROWS_FIRST: usize = 6;

/// The stop limits in one table, then what each tells.
pub fn stop_part(rules: &[StopView], extent: Extent) -> String {
    if rules.is_empty() {
        return String::new();
    }
    let row = |(index, rule): (usize, &StopView)| {
        let limit = match (rule.above, rule.below) {
            (Some(limit), _) => format!("above {}", figure(rule.what, limit)),
            (None, Some(limit)) => format!("below {}", figure(rule.what, limit)),
            (None, None) => String::new(),
        };
        let from = if rule.after_seconds > 0.0 {
            time(Some(rule.after_seconds))
        } else {
            "switch-on".to_owned()
        };
        vec![
            format!("{}", index + 1),
            place(&rule.at, rule.to.as_deref()),
            called(rule.what).to_owned(),
            limit,
            from,
        ]
    };
    let shown = rows_shown(rules.len(), extent);
    let rows = rules.iter().enumerate().take(shown).map(row).collect();
    let mut part = table(&["", "at", "reading", "stop", "counts from"], &[0], rows);
    part.push_str(&more(rules.len(), shown, "limits"));
    if extent == Extent::Short {
        return part;
    }
    for (index, rule) in rules.iter().enumerate() {
        if !rule.tells.is_empty() {
            let same = rules[..index]
                .iter()
                .position(|earlier| earlier.tells == rule.tells);
            let tells = match same {
                Some(earlier) => format!(
                    "limit {} tells the same as limit {}",
                    index + 1,
                    earlier + 1
                ),
                None => format!("limit {} tells: {}", index + 1, rule.tells.join("; ")),
            };
            part.push_str(&indented(&tells, "  - ", "    "));
        }
    }
    let untold = told_by_none(rules);
    if !untold.is_empty() {
        part.push_str(&indented(
            &format!("no limit of this step tells: {}", untold.join("; ")),
            "  - ",
            "    ",
        ));
    }
    part
}

/// What a healthy set shows.
pub fn expect_table(readings: &[ReadingView], extent: Extent) -> String {
    if readings.is_empty() {
        return String::new();
    }
    let row = |reading: &ReadingView| {
        let mut cells = vec![
            place(&reading.at, reading.to.as_deref()),
            called(reading.what).to_owned(),
        ];
        cells.extend(
            [reading.low, reading.expected, reading.high].map(|value| figure(reading.what, value)),
        );
        cells
    };
    let shown = rows_shown(readings.len(), extent);
    let rows = readings.iter().take(shown).map(row).collect();
    let part = table(
        &["at", "reading", "low", "expected", "high"],
        &[2, 3, 4],
        rows,
    );
    part + &more(readings.len(), shown, "readings")
}

/// What stays charged.
pub fn charged_table(charged: &[ChargedView]) -> String {
    if charged.is_empty() {
        return String::new();
    }
    let row = |one: &ChargedView| {
        vec![
            one.at.clone(),
            bench(one.volts, Unit::Volts),
            time(one.seconds_to_10_volts),
            time(one.if_bleeder_open_seconds),
        ]
    };
    let rows = charged.iter().map(row).collect();
    table(
        &["at", "volts", "down to 10 V after", "bleeder open"],
        &[1, 2, 3],
        rows,
    )
}

/// The lamp, what is reached behind it, and what likely faults do.
pub fn lamp_part(lamp: &LampView, extent: Extent) -> String {
    let mut told = vec![lamps_in_words(&lamp.watts)];
    let shares = [
        (lamp.heater_share, "heaters reach", "of their rated volts"),
        (lamp.supply_share, "B+ reaches", "of normal"),
        (
            lamp.winding_share,
            "unloaded windings show",
            "of their volts",
        ),
    ];
    for (share, before, after) in shares {
        told.extend(share.map(|share| format!("{before} {} {after}", percent(share))));
    }
    let mut part = paragraph(&format!("{}.", told.join("; ")));
    if !lamp.remark.is_empty() {
        part.push_str(&paragraph(&lamp.remark));
    }
    if lamp.faults.is_empty() {
        return part;
    }
    let shown = rows_shown(lamp.faults.len(), extent);
    let rows = lamp.faults.iter().take(shown).map(|fault| {
        let threatened = fault.irreplaceable.as_ref();
        let threatened =
            threatened.map(|one| format!("{} {}", one.part, bench(one.watts, Unit::Watts)));
        vec![
            fault.fault.clone(),
            bench(fault.part_watts, Unit::Watts),
            threatened.unwrap_or_default(),
        ]
    });
    part.push_str(&table(
        &["behind it, a likely fault", "heats its part with", "and"],
        &[1],
        rows.collect(),
    ));
    part + &more(lamp.faults.len(), shown, "faults")
}

/// Faults that some limit cannot tell and none tells.
fn told_by_none(rules: &[StopView]) -> Vec<&str> {
    let mut untold: Vec<&str> = Vec::new();
    for fault in rules.iter().flat_map(|rule| &rule.cannot_tell) {
        // Where a limit tells a fault, its words go on with the severity.
        let is_told = rules
            .iter()
            .flat_map(|rule| &rule.tells)
            .any(|told| told.starts_with(fault.as_str()));
        if !is_told && !untold.contains(&fault.as_str()) {
            untold.push(fault);
        }
    }
    untold
}

fn rows_shown(rows: usize, extent: Extent) -> usize {
    if extent == Extent::Short {
        ROWS_FIRST.min(rows)
    } else {
        rows
    }
}

fn more(rows: usize, shown: usize, what: &str) -> String {
    if rows > shown {
        format!(" and {} more {what}\n", rows - shown)
    } else {
        String::new()
    }
}

fn place(at: &str, to: Option<&str>) -> String {
    match to {
        Some(to) if to != "chassis" => format!("{at} to {to}"),
        _ => at.to_owned(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn rule(at: &str, tells: &[&str], cannot_tell: &[&str]) -> StopView {
        let owned = |texts: &[&str]| texts.iter().map(|text| (*text).to_owned()).collect();
        StopView {
            at: at.to_owned(),
            to: None,
            what: "dc_volts",
            above: None,
            below: Some(118.0),
            after_seconds: 90.0,
            tells: owned(tells),
            cannot_tell: owned(cannot_tell),
        }
    }

    #[test]
    fn a_fault_that_another_limit_tells_is_no_gap() {
        let rules = [
            rule(
                "V14.8",
                &["C1A shorted, from 3k down"],
                &["bleeder R30 open", "C4B shorted"],
            ),
            rule(
                "B+ 140",
                &["C4B shorted, from 1k down"],
                &["C1A shorted", "bleeder R30 open"],
            ),
        ];
        assert_eq!(told_by_none(&rules), ["bleeder R30 open"]);
        let part = stop_part(&rules, Extent::Whole);
        for wanted in [
            "below 118 V",
            "limit 1 tells: C1A shorted",
            "no limit of this step tells: bleeder R30 open",
        ] {
            assert!(part.contains(wanted), "`{wanted}` is not in\n{part}");
        }
    }

    #[test]
    fn a_short_table_counts_what_it_leaves_out() {
        let rules: Vec<StopView> = (0..9)
            .map(|number| rule(&format!("V{number}.1"), &[], &[]))
            .collect();
        let part = stop_part(&rules, Extent::Short);
        assert!(part.contains("and 3 more limits"), "{part}");
    }
}
