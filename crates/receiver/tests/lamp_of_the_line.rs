//! The plan of a set on a line for which the lamps that are counted with are not made.
//!
//! The sheet is the invented example with its line and primary written for 220 V. A lamp for 120 V before a short gets
//! the whole line (Kirchhoff's second law).

use receiver::plan::wake::wake;
use receiver::sheet::read_sheet;

#[test]
fn each_step_that_puts_a_lamp_in_says_which_lamp_it_must_be() {
    let american = include_str!("../../../examples/larkfield_12t.toml");
    let other = american
        .replace("line_volts = 117", "line_volts = 220")
        .replace("\"117 V", "\"220 V");
    assert_ne!(american, other);
    let catalogue = parts::catalogue().expect("the tables are sound");
    for (text, is_told) in [(american, false), (other.as_str(), true)] {
        let sheet = read_sheet(text, catalogue).sheet.expect("a sound sheet");
        let plan = wake(&sheet, catalogue, &mut |_| {}).expect("a plan");
        let says = |words: &str| {
            let acts = plan.steps.iter().flat_map(|step| &step.acts);
            acts.filter(|line| line.contains(words)).count()
        };
        let put_in = says("The lamp: ");
        assert!(put_in > 0);
        let told = says("counted as lamps for 120 V");
        assert_eq!(told, if is_told { put_in } else { 0 });
        let notice = plan.notices.first().map(|own| own.text.as_str());
        let first = notice.is_some_and(|text| text.contains("counted as lamps for 120 V"));
        assert_eq!(first, is_told);
    }
}
