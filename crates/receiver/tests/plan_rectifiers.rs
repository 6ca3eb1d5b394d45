//! Several rectifier tubes: which are waked alone, and what a plan does where no full line
//! spares the set.
//!
//! Volts. What is checked is the rule that the plan states of itself: a rectifier is waked
//! alone where its sheet shows that no other tube is fed wrongly meanwhile (a picture tube's
//! grid above its cathode, a screen without its plate: the table of hazards), and no healthy
//! part goes beyond its marks.

use receiver::plan::PowerUpPlan;
use receiver::plan::wake::wake;
use receiver::sheet::read_sheet;

const TWO_LINES: &str = include_str!("rectifier_sheets/two_lines.toml");
const SIDE_BY_SIDE: &str = include_str!("rectifier_sheets/side_by_side.toml");

const BIAS_TOO_HIGH: &str = include_str!("rectifier_sheets/bias_too_high.toml");

fn plan(text: &str) -> PowerUpPlan {
    let catalogue = parts::catalogue().expect("data");
    let reading = read_sheet(text, catalogue);
    assert_eq!(reading.faults, Vec::new());
    let sheet = reading.sheet.expect("a sheet without fault");
    wake(&sheet, catalogue, &mut |_| {}).expect("a plan")
}

/// The rectifiers pulled in the steps that wake one at a time.
fn pulled_alone(plan: &PowerUpPlan) -> Vec<String> {
    plan.steps
        .iter()
        .filter(|step| step.energised && step.title.starts_with("B+"))
        .filter(|step| !step.conditions.pulled.is_empty())
        .map(|step| step.conditions.pulled.join(" "))
        .collect()
}

fn says(plan: &PowerUpPlan, words: &str) -> bool {
    plan.notices
        .iter()
        .any(|notice| notice.text.contains(words))
}

fn replaced(text: &str, pairs: &[(&str, &str)]) -> String {
    let mut text = text.to_string();
    for (old, new) in pairs {
        assert!(text.contains(old), "{old}");
        text = text.replacen(old, new, 1);
    }
    text
}

#[test]
fn lines_that_spare_each_other_are_waked_one_at_a_time() {
    let plan = plan(TWO_LINES);
    assert_eq!(pulled_alone(&plan), ["V7", "V6"]);
    assert!(!says(&plan, "waked together"));
    // The transformer alone, heaters behind a lamp and on the line, each rectifier alone, both
    // behind a lamp, two steps of the variable transformer, the full line.
    let energised = 1 + 2 + 2 + 1 + 2 + 1;
    assert_eq!(
        plan.steps.iter().filter(|step| step.energised).count(),
        energised
    );
}

#[test]
fn a_line_that_holds_the_picture_tubes_cathode_is_not_left_out_alone() {
    // The grid hangs on the line of V7, the cathode on that of V6: without V6 the grid would
    // stand above the cathode.
    let text = replaced(
        TWO_LINES,
        &[
            (
                r#"["R30", "resistor", "470k", "V8.2", "chassis"],"#,
                r#"["R30", "resistor", "470k", "V8.2", "grid line"],
  ["R34", "resistor", "1 meg", "grid line", "B+ 220"],
  ["R35", "resistor", "220k", "grid line", "chassis"],"#,
            ),
            (
                r#"["R31", "control", "100k at 0.3", "B+ 220""#,
                r#"["R31", "control", "100k at 0.3", "B+ 340""#,
            ),
        ],
    );
    assert_eq!(pulled_alone(&plan(&text)), ["V7"]);
}

#[test]
fn an_output_tube_whose_screen_stays_fed_keeps_its_rectifier() {
    // The plate of V9 moves to the line of V7, its screen stays on that of V6.
    let text = replaced(
        TWO_LINES,
        &[(
            r#"["T3", "coil", "10 H 300 ohm", "V9.3", "B+ 340"]"#,
            r#"["T3", "coil", "10 H 300 ohm", "V9.3", "B+ 220"]"#,
        )],
    );
    assert_eq!(pulled_alone(&plan(&text)), ["V6"]);
}

#[test]
fn two_on_one_winding_whose_tubes_are_not_on_the_sheet_are_waked_together() {
    let plan = plan(SIDE_BY_SIDE);
    assert!(pulled_alone(&plan).is_empty());
    assert!(says(&plan, "V6 and V7 are waked together"));
}

/// The same set with silicon rectifiers for V6, which need no heat, and this can behind them.
fn with_silicon(can: &str) -> String {
    let text = replaced(
        TWO_LINES,
        &[
            (r#"["V6", "5V4-G", "rectifier"], "#, ""),
            (
                r#"  ["T1", "rectifier", "5 V 0.03 ohm", "V6.2", "V6.8"],"#,
                "",
            ),
            (
                "parts = [",
                r#"parts = [
  ["D1", "silicon", "1 A 1000 V", "plate a", "raw"],
  ["D2", "silicon", "1 A 1000 V", "plate b", "raw"],"#,
            ),
            (r#""40 mfd 475 V", "V6.8""#, &format!(r#""{can}", "raw""#)),
        ],
    );
    let text = text.replace(r#""V6.4""#, r#""plate a""#);
    let text = text.replace(r#""V6.6""#, r#""plate b""#);
    text.replace(r#""V6.8""#, r#""raw""#)
}

fn highest_line(plan: &PowerUpPlan, only_b_plus: bool) -> f64 {
    plan.steps
        .iter()
        .filter(|step| step.energised && (!only_b_plus || step.title.starts_with("B+")))
        .filter_map(|step| step.conditions.line_volts)
        .fold(0.0, f64::max)
}

#[test]
fn a_can_far_beyond_its_mark_ends_the_plan_at_a_low_line_and_points_at_the_sheet() {
    let plan = plan(&with_silicon("40 mfd 150 V"));
    // The crest of 330 V reaches 1.1 times the mark (common practice) at this line; copper
    // and load leave a little more room.
    let least = 117.0 * 1.1 * 150.0 / (330.0 * 2.0f64.sqrt());
    let highest = highest_line(&plan, true);
    assert!(
        (0.9 * least..1.15 * least).contains(&highest),
        "{highest} {least}"
    );
    let told = plan
        .notices
        .iter()
        .find(|notice| notice.text.contains("beyond its ratings"))
        .expect("a notice");
    assert!(told.text.contains("C1 reaches"), "{}", told.text);
    assert!(told.hint.starts_with("look first"), "{}", told.hint);
}

#[test]
fn a_can_that_no_line_spares_ends_the_plan_before_b_plus() {
    // A tenth of the line still charges C1 to 47 V.
    let plan = plan(&with_silicon("40 mfd 25 V"));
    assert!(says(&plan, "No line is low enough"));
    assert!(highest_line(&plan, true) == 0.0);
    assert!(highest_line(&plan, false) > 100.0);
}

#[test]
fn an_act_that_must_not_be_advised_ends_the_plan_and_says_why() {
    // The filament winding of V6 goes to a pin that is not its filament's, and of the tubes on
    // its line nothing is known.
    let text = replaced(
        BIAS_TOO_HIGH,
        &[(r#""5 V 2 A", "V6.2""#, r#""5 V 2 A", "V6.7""#)],
    );
    let plan = plan(&text);
    assert!(says(&plan, "The plan ends before"));
    assert!(
        plan.steps
            .iter()
            .any(|step| step.title.starts_with("Discharge"))
    );
    assert!(highest_line(&plan, true) == 0.0);
}
