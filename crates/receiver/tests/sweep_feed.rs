//! A sheet on which nothing opens the sweep feed: said before any step with B+.
//!
//! The sheet is the invented example with its plug in the sweep feed written as a wire.
//! Without drive a horizontal output tube and its flyback burn within a minute or two
//! (common practice).

use receiver::plan::wake::wake;
use receiver::sheet::read_sheet;

#[test]
fn an_unopened_sweep_feed_is_told_before_b_plus() {
    let plugged = include_str!("../../../examples/larkfield_12t.toml");
    let wired = plugged.replacen("[\"J2\",   \"plug\", ", "[\"J2\",   \"wire\", ", 1);
    assert_ne!(plugged, wired);
    let catalogue = parts::catalogue().expect("the tables are sound");
    for (text, is_told) in [(plugged, false), (wired.as_str(), true)] {
        let sheet = read_sheet(text, catalogue).sheet.expect("a sound sheet");
        let plan = wake(&sheet, catalogue, &mut |_| {}).expect("a plan");
        let told = plan.steps.iter().position(|step| {
            !step.energised
                && step
                    .acts
                    .iter()
                    .any(|line| line.contains("Nothing on the sheet opens the sweep feed"))
        });
        assert_eq!(told.is_some(), is_told);
        let noticed = plan
            .notices
            .iter()
            .any(|notice| notice.text.contains("opens the sweep feed"));
        assert_eq!(noticed, is_told);
        if let Some(told) = told {
            // Re-forming takes a source of its own, the plug out.
            let powered = plan
                .steps
                .iter()
                .position(|step| step.energised && step.conditions.direct_source.is_none());
            assert!(powered.is_some_and(|powered| told < powered));
        }
    }
}
