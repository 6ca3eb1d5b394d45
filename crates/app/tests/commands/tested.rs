//! What a tester said of a tube, used when a reading at its pins is judged.
//!
//! Source of what is held: the manual's page on `test`. A weak tube draws less, so its plate
//! stands higher.

use serde_json::Value;

use crate::program::{AT, Outcome, json};

const WHOLE: &str = "examples/whole/larkfield_12t.toml";

#[test]
fn a_reading_is_held_against_the_tube_that_was_tested() -> Outcome {
    let folder = tempfile::tempdir()?;
    let file = folder.path().join("a.restoration").display().to_string();
    let enter = |arguments: &[&str]| -> Result<Value, Box<dyn std::error::Error>> {
        let command = arguments.first().copied().unwrap_or_default();
        let line = [
            &[command, &file][..],
            arguments.get(1..).unwrap_or(&[]),
            &AT,
        ]
        .concat();
        let (status, answer) = json(&line)?;
        assert_eq!(status, 0, "{line:?}: {answer:#}");
        Ok(answer)
    };
    enter(&["start", WHOLE])?;
    let reading = ["reading", "V9.5", "172 V", "--line", "117"];
    let before = enter(&reading)?;
    assert_eq!(
        before["judged"]["verdict"], "high",
        "{:#}",
        before["judged"]
    );
    enter(&["test", "V9", "--micromhos", "2000", "--tester", "borrowed"])?;
    // Two readings in the same conditions would narrow each other; the first one is taken back.
    enter(&["undo", "2"])?;
    let after = enter(&reading)?;
    assert_eq!(
        after["judged"]["verdict"], "inside",
        "{:#}",
        after["judged"]
    );
    // A new tube in its place: the test says nothing of it.
    enter(&["fit", "V9", "6AU6"])?;
    enter(&["undo", "5"])?;
    let new = enter(&reading)?;
    assert_eq!(new["judged"]["verdict"], "high", "{:#}", new["judged"]);
    Ok(())
}
