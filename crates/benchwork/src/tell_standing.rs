//! Where a restoration stands, from its facts alone: what was done of each part of the job, and what comes next.
//!
//! The order is that of the job: look before power, the parts that cannot be bought again before any work, in
//! stages after that, proof before handing on (common practice). Nothing is worked out here, so it is at hand at
//! once; what a power-up or a ranking says is asked of those. Fails where the file cannot be read.

use std::path::Path;

use logbook::{Fact, Logbook, StandingFact, StepEvent, standing_facts};
use serde::Serialize;

use crate::restoration::trouble;
use crate::trouble::Trouble;

/// How far each part of the job is.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct StandingView {
    /// The parts of the job, in its order.
    pub stages: Vec<StageStanding>,
    /// What comes next; none when all is handed on.
    pub next: Option<NextStep>,
}

/// One part of the job.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct StageStanding {
    /// Its key: `sheet`, `look`, `picture_tube`, `power`, `readings`, `parts`, `proof`.
    pub key: &'static str,
    /// What it is called.
    pub name: &'static str,
    /// How many facts tell of it.
    pub facts: usize,
    /// How it stands, in words.
    pub text: String,
}

/// What comes next.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct NextStep {
    /// The part of the job it belongs to.
    pub key: &'static str,
    /// What to do.
    pub text: String,
    /// Why this comes first.
    pub because: String,
}

/// Where the restoration stands. Whether the power-up is finished its plan tells; `None` where that was not asked.
pub fn tell_standing(
    file: &Path,
    power_is_finished: Option<bool>,
) -> Result<StandingView, Trouble> {
    let in_file = |error| trouble(file, error);
    let book = Logbook::look(file).map_err(in_file)?;
    let entries = book.entries().map_err(in_file)?;
    Ok(standing_of(&standing_facts(&entries), power_is_finished))
}

fn standing_of(facts: &[StandingFact<'_>], power_is_finished: Option<bool>) -> StandingView {
    let count = |is: fn(&Fact) -> bool| facts.iter().filter(|one| is(one.fact)).count();
    let sheets = count(|fact| matches!(fact, Fact::SheetTaken(_)));
    let seen = count(|fact| matches!(fact, Fact::Seen(_)));
    let tube = count(|fact| matches!(fact, Fact::OfPictureTube(_)));
    let readings = count(|fact| matches!(fact, Fact::Measured(_)));
    let fitted = count(|fact| matches!(fact, Fact::Fitted(_)));
    let proof = count(|fact| matches!(fact, Fact::OfProof(_)));
    let steps: Vec<StepEvent> = facts
        .iter()
        .filter_map(|one| match one.fact {
            Fact::Stepped(stepped) => Some(stepped.event),
            _ => None,
        })
        .collect();
    let stage = |key, name, facts, text: String| StageStanding {
        key,
        name,
        facts,
        text,
    };
    let power = match steps.last() {
        None => "not begun".to_owned(),
        Some(StepEvent::Begun) => "a step is under way".to_owned(),
        Some(StepEvent::Stopped) => "stopped: the cause is to be found".to_owned(),
        Some(StepEvent::Left) => "left, the plug out".to_owned(),
        Some(StepEvent::Done | StepEvent::Skipped) => {
            let passed = steps
                .iter()
                .filter(|event| **event == StepEvent::Done)
                .count();
            format!("{} done", counted(passed, "step", "steps"))
        }
    };
    let stages = vec![
        stage(
            "sheet",
            "The sheet",
            sheets,
            counted(sheets, "version", "versions"),
        ),
        stage(
            "look",
            "Look-over",
            seen,
            noted(seen, "nothing noted yet", "noted"),
        ),
        stage(
            "picture_tube",
            "Picture tube",
            tube,
            noted(tube, "not tested yet", "found of it"),
        ),
        stage("power", "Power-up", steps.len(), power),
        stage(
            "readings",
            "Readings",
            readings,
            noted(readings, "none yet", "taken"),
        ),
        stage(
            "parts",
            "Parts replaced",
            fitted,
            noted(fitted, "none yet", "fitted"),
        ),
        stage(
            "proof",
            "Safety proof",
            proof,
            noted(proof, "not begun", "answered"),
        ),
    ];
    StandingView {
        next: next(&stages, steps.last().copied(), power_is_finished),
        stages,
    }
}

fn counted(count: usize, one: &str, many: &str) -> String {
    format!("{count} {}", if count == 1 { one } else { many })
}

fn noted(count: usize, none: &str, some: &str) -> String {
    match count {
        0 => none.to_owned(),
        _ => format!("{count} {some}"),
    }
}

/// The first part of the job that is open.
fn next(
    stages: &[StageStanding],
    last_step: Option<StepEvent>,
    power_is_finished: Option<bool>,
) -> Option<NextStep> {
    let none_of = |key: &str| {
        stages
            .iter()
            .any(|stage| stage.key == key && stage.facts == 0)
    };
    let step = |key, text: &str, because: &str| {
        Some(NextStep {
            key,
            text: text.to_owned(),
            because: because.to_owned(),
        })
    };
    match last_step {
        Some(StepEvent::Stopped) => {
            return step(
                "power",
                "Find what stopped the power-up",
                "No power before the stop is explained.",
            );
        }
        Some(StepEvent::Begun) => {
            return step(
                "power",
                "Go on with the step that is under way",
                "It was begun and not ended.",
            );
        }
        _ => {}
    }
    if none_of("sheet") {
        return step(
            "sheet",
            "Take the set's sheet in",
            "Nothing can be predicted without it.",
        );
    }
    if none_of("look") {
        return step(
            "look",
            "Look the set over, plug out",
            "Burnt, cracked and missing things are found by eye, before any power.",
        );
    }
    if none_of("picture_tube") {
        return step(
            "picture_tube",
            "Test the picture tube",
            "It cannot be bought again, and whether the set is worth the work hangs on it.",
        );
    }
    if power_is_finished != Some(true) {
        return step(
            "power",
            "Go on with the first power-up",
            "It wakes the set in stages, with every reading known beforehand.",
        );
    }
    if none_of("proof") {
        return step(
            "proof",
            "Go through the safety proof",
            "A set is handed on, or left on, only when it is proved safe.",
        );
    }
    step(
        "proof",
        "See the safety proof and the report",
        "What is open there is told item by item.",
    )
}

#[cfg(test)]
mod tests {
    use super::*;
    use logbook::{Entry, Seen, SheetTaken, Standing, Stepped};

    /// The order of the job is common practice: eyes before power, what cannot be bought before work.
    #[test]
    fn what_comes_next_follows_the_job() {
        let sheet = Fact::SheetTaken(SheetTaken {
            name: "a".to_owned(),
            sheet: "b".to_owned(),
        });
        let seen = Fact::Seen(Seen::default());
        let stopped = Fact::Stepped(Stepped {
            step: "x".to_owned(),
            key: "supply 1".to_owned(),
            event: StepEvent::Stopped,
            because: "smoke".to_owned(),
            leaves_unknown: String::new(),
        });
        for (facts, key) in [
            (vec![], "sheet"),
            (vec![sheet.clone()], "look"),
            (vec![sheet.clone(), seen.clone()], "picture_tube"),
            (vec![sheet, seen, stopped], "power"),
        ] {
            let entries: Vec<Entry> = facts
                .into_iter()
                .zip(1..)
                .map(|(fact, number)| Entry {
                    number,
                    at: logbook::Stamp::read("2026-11-29T08:49:51+01:00").expect("a time"),
                    fact,
                    standing: Standing::Stands,
                })
                .collect();
            let view = standing_of(&standing_facts(&entries), None);
            assert_eq!(view.next.expect("something comes next").key, key);
        }
    }
}
