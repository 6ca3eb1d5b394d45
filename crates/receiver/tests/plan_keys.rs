//! Each step of a plan has a name of its own that stays the same while the plan bends, and the
//! plan bends to the line that was measured.
//!
//! Volts. The line that a step names is the line that was measured where nothing can change it:
//! no variable transformer (a fact of the bench, no outside figure).

use std::collections::BTreeSet;

use receiver::plan::PowerUpPlan;
use receiver::plan::step_kind::StepKind;
use receiver::plan::wake::wake;
use receiver::sheet::read_sheet;

const LARKFIELD: &str = include_str!("../../../examples/larkfield_12t.toml");
const MERROW: &str = include_str!("../../../examples/merrow_17s.toml");

fn plan(text: &str) -> PowerUpPlan {
    let catalogue = parts::catalogue().expect("data");
    let reading = read_sheet(text, catalogue);
    assert_eq!(reading.faults, Vec::new());
    let sheet = reading.sheet.expect("a sheet without fault");
    wake(&sheet, catalogue, &mut |_| {}).expect("a plan")
}

fn keys(plan: &PowerUpPlan) -> Vec<&str> {
    plan.steps.iter().map(|step| step.key.as_str()).collect()
}

#[test]
fn every_step_has_a_name_of_its_own() {
    for text in [LARKFIELD, MERROW] {
        let plan = plan(text);
        let all = keys(&plan);
        let different: BTreeSet<&str> = all.iter().copied().collect();
        assert_eq!(different.len(), all.len(), "{all:?}");
        for step in &plan.steps {
            assert!(step.key.starts_with(step.kind.name()), "{}", step.key);
            assert_eq!(StepKind::from_name(step.kind.name()), Some(step.kind));
            let line = step.conditions.line_volts.is_some();
            assert_eq!(step.kind.has_line_power(), step.energised && line);
        }
    }
}

#[test]
fn the_line_that_was_measured_is_the_line_of_the_steps() {
    let without = LARKFIELD
        .lines()
        .filter(|line| !line.starts_with("variable_transformer"))
        .collect::<Vec<_>>()
        .join("\n");
    let measured = without.replace("[bench]", "[bench]\nline_volts = 121.5");
    assert_ne!(measured, without);
    let (before, after) = (plan(&without), plan(&measured));
    let lines = |plan: &PowerUpPlan| -> BTreeSet<String> {
        let lines = plan
            .steps
            .iter()
            .filter_map(|step| step.conditions.line_volts);
        lines.map(|volts| format!("{volts}")).collect()
    };
    assert_eq!(lines(&before), BTreeSet::from(["117".to_owned()]));
    assert_eq!(lines(&after), BTreeSet::from(["121.5".to_owned()]));
    // The steps are the same ones, whatever their titles say.
    assert_eq!(keys(&before), keys(&after));
    // With a variable transformer the restorer sets the sheet's own line.
    let variable = LARKFIELD.replace("[bench]", "[bench]\nline_volts = 121.5");
    assert!(lines(&plan(&variable)).contains("117"));
    let assumed = |plan: &PowerUpPlan| {
        let told = |text: &str| text.contains("today's line");
        plan.notices.iter().any(|notice| told(&notice.text))
    };
    assert!(assumed(&before) && !assumed(&after));
}
