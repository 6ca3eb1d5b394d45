//! The page of `wake`: opening, one part for each step, closing.
//!
//! In an energised step everything that asks for the plug to be pulled stands
//! before what is only interesting.

use benchwork::view::{
    ChargedView, LampView, PlanView, ReadingView, StepView, StopView, lamps_in_words,
};
use quantity::{Unit, bench};

use super::figures::{called, figure, percent, time};
use super::lists::{dashes, heading, indented, numbered, paragraph, table, title};
use super::readings_page::{Extent, not_predictable};
use super::trouble_page::notices;

/// What comes before the first step.
pub fn opening() -> String {
    let mut page = title("The first power-up, step by step");
    page.push_str(&paragraph(
        "The voltages in this set can kill. Never work alone or tired; one hand in the pocket while \
         anything is live. Do the steps in their order, and go on only when a step shows what it should. \
         A reading outside its band means look again; a reading beyond a stop limit, or any stop sign, \
         means pull the plug first and ask afterwards.",
    ));
    page.push('\n');
    page
}

/// One step.
pub fn step(step: &StepView) -> String {
    let mut page = title(&format!("Step {}: {}", step.step, step.title));
    let power = if step.energised {
        "ENERGISED"
    } else {
        "No power"
    };
    page.push_str(&paragraph(&format!(
        "{power}: {}.",
        step.conditions.in_words()
    )));
    section(
        &mut page,
        "Beware",
        dashes(step.cautions.iter().map(String::as_str)),
    );
    if !step.live.is_empty() {
        page.push_str(&indented(
            &format!("Live: {}", step.live.join(", ")),
            "",
            "      ",
        ));
    }
    section(
        &mut page,
        "Do",
        numbered(step.acts.iter().map(String::as_str)),
    );
    if !step.stop_signs.is_empty() {
        section(
            &mut page,
            "Pull the plug at once, before any question, when you notice",
            dashes(step.stop_signs.iter().map(String::as_str)),
        );
    }
    if !step.stop.is_empty() {
        section(
            &mut page,
            "Pull the plug when the meter goes beyond",
            stop_table(&step.stop),
        );
    }
    if !step.expect.is_empty() {
        let wait = if step.wait_seconds > 0.0 {
            format!(
                "After {} a healthy set shows",
                bench(step.wait_seconds, Unit::Seconds)
            )
        } else {
            "A healthy set shows".to_owned()
        };
        section(&mut page, &wait, expect_table(&step.expect));
    }
    page.push_str(&not_predictable(&step.unknown, Extent::Short));
    if !step.charged.is_empty() {
        section(
            &mut page,
            "Still charged with the plug out: discharge through a resistor, then prove it with the meter",
            charged_table(&step.charged),
        );
    }
    if let Some(lamp) = &step.lamp {
        section(&mut page, "The lamp", lamp_part(lamp));
    }
    if !step.because.is_empty() {
        section(&mut page, "Why", paragraph(&step.because));
    }
    page.push('\n');
    page
}

/// What comes after the last step.
pub fn closing(plan: &PlanView) -> String {
    let mut page = String::new();
    if !plan.unguarded.is_empty() {
        page.push_str(&heading("Not guarded by any reading of this plan"));
        for unguarded in &plan.unguarded {
            page.push_str(&indented(
                &format!("{}: {}", unguarded.fault, unguarded.because),
                "  - ",
                "    ",
            ));
        }
        page.push('\n');
    }
    if !plan.notices.is_empty() {
        page.push_str(&heading("Worth knowing"));
        page.push_str(&notices(&plan.notices));
        page.push('\n');
    }
    page.push_str(&paragraph(&format!(
        "{} steps, found with {} solved states and {} runs from switch-on.",
        plan.steps.len(),
        plan.work.solved_states,
        plan.work.warm_up_runs
    )));
    page
}

fn section(page: &mut String, name: &str, content: String) {
    if !content.is_empty() {
        page.push('\n');
        page.push_str(&heading(name));
        page.push_str(&content);
    }
}

fn expect_table(readings: &[ReadingView]) -> String {
    let rows = readings
        .iter()
        .map(|reading| {
            let mut cells = vec![
                place(&reading.at, reading.to.as_deref()),
                called(reading.what).to_owned(),
            ];
            cells.extend(
                [reading.low, reading.expected, reading.high]
                    .map(|value| figure(reading.what, value)),
            );
            cells
        })
        .collect();
    table(
        &["at", "reading", "low", "expected", "high"],
        &[2, 3, 4],
        rows,
    )
}

fn stop_table(rules: &[StopView]) -> String {
    let rows = rules
        .iter()
        .map(|rule| {
            let limit = match (rule.above, rule.below) {
                (Some(limit), _) => format!("above {}", figure(rule.what, limit)),
                (None, Some(limit)) => format!("below {}", figure(rule.what, limit)),
                (None, None) => String::new(),
            };
            let mut tells = rule.tells.join("; ");
            if !rule.cannot_tell.is_empty() {
                let cannot = format!("(cannot tell: {})", rule.cannot_tell.join("; "));
                tells = if tells.is_empty() {
                    cannot
                } else {
                    format!("{tells} {cannot}")
                };
            }
            let from = if rule.after_seconds > 0.0 {
                time(Some(rule.after_seconds))
            } else {
                "switch-on".to_owned()
            };
            vec![
                format!(
                    "{} {}",
                    place(&rule.at, rule.to.as_deref()),
                    called(rule.what)
                ),
                limit,
                from,
                tells,
            ]
        })
        .collect();
    table(&["reading", "stop", "from", "tells"], &[], rows)
}

fn charged_table(charged: &[ChargedView]) -> String {
    let rows = charged
        .iter()
        .map(|one| {
            vec![
                one.at.clone(),
                bench(one.volts, Unit::Volts),
                time(one.seconds_to_10_volts),
                time(one.if_bleeder_open_seconds),
            ]
        })
        .collect();
    table(
        &["at", "volts", "down to 10 V after", "bleeder open"],
        &[1, 2, 3],
        rows,
    )
}

fn lamp_part(lamp: &LampView) -> String {
    let mut told = vec![lamps_in_words(&lamp.watts)];
    if let Some(share) = lamp.heater_share {
        told.push(format!(
            "heaters reach {} of their rated volts",
            percent(share)
        ));
    }
    if let Some(share) = lamp.supply_share {
        told.push(format!("B+ reaches {} of normal", percent(share)));
    }
    if let Some(share) = lamp.winding_share {
        told.push(format!(
            "unloaded windings show {} of their volts",
            percent(share)
        ));
    }
    let mut page = paragraph(&format!("{}.", told.join("; ")));
    if !lamp.remark.is_empty() {
        page.push_str(&paragraph(&lamp.remark));
    }
    if !lamp.faults.is_empty() {
        let rows = lamp
            .faults
            .iter()
            .map(|fault| {
                let threatened = fault.irreplaceable.as_ref();
                vec![
                    fault.fault.clone(),
                    bench(fault.part_watts, Unit::Watts),
                    threatened
                        .map(|one| format!("{} {}", one.part, bench(one.watts, Unit::Watts)))
                        .unwrap_or_default(),
                ]
            })
            .collect();
        page.push_str(&table(
            &["behind it, a likely fault", "heats its part with", "and"],
            &[1],
            rows,
        ));
    }
    page
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
    use benchwork::view::{ConditionsView, LampFaultView, ThreatenedView};
    use receiver::conditions::BenchConditions;

    fn energised_step() -> StepView {
        let conditions = BenchConditions {
            lamps: vec![100.0],
            ..Default::default()
        };
        StepView {
            step: 4,
            title: "B+ behind the lamp".to_owned(),
            acts: vec!["Put the 100 W lamp in series.".to_owned()],
            conditions: ConditionsView::of(&conditions, 117.0, true),
            energised: true,
            wait_seconds: 30.0,
            because: "the lamp is the largest that guards the transformer".to_owned(),
            expect: Vec::new(),
            unknown: Vec::new(),
            stop: vec![StopView {
                at: "line".to_owned(),
                to: None,
                what: "line_watts",
                above: Some(120.0),
                below: None,
                after_seconds: 10.0,
                tells: vec!["shorted filter capacitor C1A".to_owned()],
                cannot_tell: vec!["few shorted turns".to_owned()],
            }],
            stop_signs: vec!["the lamp bright and staying so".to_owned()],
            live: vec!["B+ main".to_owned()],
            charged: vec![
                ChargedView {
                    at: "B+ main".to_owned(),
                    volts: 250.0,
                    seconds_to_10_volts: Some(5.0),
                    if_bleeder_open_seconds: Some(90.0),
                },
                ChargedView {
                    at: "V20.anode".to_owned(),
                    volts: 9000.0,
                    seconds_to_10_volts: None,
                    if_bleeder_open_seconds: None,
                },
            ],
            cautions: vec!["one hand in the pocket".to_owned()],
            lamp: Some(LampView {
                watts: vec![100.0],
                heater_share: Some(0.8),
                supply_share: Some(0.7),
                winding_share: None,
                faults: vec![LampFaultView {
                    fault: "C1A shorted".to_owned(),
                    part_watts: 20.0,
                    irreplaceable: Some(ThreatenedView {
                        part: "T1".to_owned(),
                        watts: 45.0,
                    }),
                }],
                remark: "It does not guard against a shorted C40.".to_owned(),
            }),
        }
    }

    #[test]
    fn a_step_tells_all_it_holds() {
        let page = step(&energised_step());
        for wanted in [
            "Step 4: B+ behind the lamp",
            "ENERGISED",
            "100 W lamp",
            "above 120 W",
            "few shorted turns",
            "the lamp bright",
            "before any question",
            "Live: B+ main",
            "never by time",
            "80 %",
            "T1 45 W",
            "one hand in the pocket",
        ] {
            assert!(page.contains(wanted), "`{wanted}` is not in\n{page}");
        }
    }

    #[test]
    fn stop_signs_come_before_what_a_healthy_set_shows() {
        let page = step(&energised_step());
        let signs = page.find("the lamp bright");
        let limits = page.find("above 120 W");
        let why = page.find("Why");
        assert!(signs < limits && limits < why, "{page}");
    }
}
