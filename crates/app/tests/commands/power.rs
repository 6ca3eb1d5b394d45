//! The first power-up by the program: words, verdicts, the conversation.
//!
//! Source of what is held: the manual's page `power.md`.

use serde_json::Value;

use crate::program::{LARKFIELD, Outcome, check, json, keeps_to_eighty_columns, page, typed};

struct Bench {
    _folder: tempfile::TempDir,
    file: String,
}

fn started() -> Result<Bench, Box<dyn std::error::Error>> {
    let folder = tempfile::tempdir()?;
    let file = folder.path().join("a.restoration").display().to_string();
    let (status, _) = json(&["start", &file, LARKFIELD])?;
    assert_eq!(status, 0);
    Ok(Bench {
        _folder: folder,
        file,
    })
}

impl Bench {
    fn power(&self, words: &[&str]) -> Result<Value, Box<dyn std::error::Error>> {
        let (status, answer) = json(&[&["power", &self.file][..], words].concat())?;
        assert_eq!(status, 0, "{words:?}: {answer:#}");
        Ok(answer)
    }
}

#[test]
fn a_stop_stands_before_everything_else() -> Outcome {
    let bench = started()?;
    let told = bench.power(&[])?;
    assert_eq!(
        (&told["state"], &told["verdict"]),
        (&"to_begin".into(), &"go_on".into())
    );
    assert_eq!(told["step"]["key"], "look_over");
    bench.power(&["done"])?;
    bench.power(&["done"])?;
    let begun = bench.power(&["begin"])?;
    assert_eq!(begun["step"]["key"], "line_to_chassis");
    assert_eq!(
        (&begun["state"], &begun["verdict"]),
        (&"under_way".into(), &"wait".into())
    );
    // A bare number is in the unit of what is asked: 20 million ohms.
    let read = bench.power(&["read", "line a", "20e6"])?;
    assert_eq!(read["asked"][0]["verdict"], "inside");
    let shown = page(&["power", &bench.file, "read", "line b", "0.2 meg"])?;
    keeps_to_eighty_columns(&shown);
    assert!(shown.starts_with("STOP. GO NO FURTHER."), "{shown}");
    assert!(shown.contains("below its limit of 1 meg"), "{shown}");
    let told = bench.power(&[])?;
    assert_eq!(
        (&told["verdict"], &told["cuts"]),
        (&"stop".into(), &"none".into())
    );
    assert_eq!(told["step"]["key"], "discharge");
    assert_eq!(told["stop"]["key"], "line_to_chassis");
    let whole = page(&["power", &bench.file])?;
    keeps_to_eighty_columns(&whole);
    assert!(whole.starts_with("STOP."), "{whole}");
    Ok(())
}

#[test]
fn what_breaks_the_order_is_refused_and_nothing_is_written() -> Outcome {
    let bench = started()?;
    let file = bench.file.as_str();
    let count = || -> Result<usize, Box<dyn std::error::Error>> {
        let (_, story) = json(&["story", file, "--all"])?;
        Ok(story["entries"].as_array().map_or(0, Vec::len))
    };
    let before = count()?;
    check(&["power", file, "skip", "--because", "no time"], 0, "")?;
    assert_eq!(count()?, before + 1);
    for (words, wanted) in [
        (&["skip", "--because", "no time"][..], "never passed over"),
        (&["stop", " "], "what was noticed"),
        (&["read", "C1A", "nothing"], "nothing"),
        (&["read", "nowhere", "12"], "12"),
    ] {
        check(&[&["power", file][..], words].concat(), 1, wanted)?;
        assert_eq!(count()?, before + 1, "{words:?}");
    }
    check(&["power", file, "read", "V1"], 2, "VALUE")?;
    check(&["power", "no such.restoration"], 1, "no such.restoration")?;
    let (status, answer) = json(&["power", file, "talk"])?;
    assert_eq!(status, 1);
    assert!(answer.to_string().contains("conversation"), "{answer}");
    Ok(())
}

#[test]
fn a_conversation_goes_through_the_steps_and_loses_nothing() -> Outcome {
    let bench = started()?;
    let lines = "?\ndone\nbegin\ndone\nbegin\n20 meg\nnonsense here\nline b 30 meg\nopen\ndone\nleave tired\n";
    let (status, shown, remarks) = typed(&["power", &bench.file, "talk"], lines)?;
    assert_eq!(status, 0, "{remarks}");
    assert!(shown.contains("Look the set over, plug out"), "{shown}");
    assert!(
        shown.contains("line a, ohms (stop below 1 meg)? >"),
        "{shown}"
    );
    assert!(shown.contains("nonsense"), "{shown}");
    let told = bench.power(&[])?;
    // The bench was left: charges first, then the cold resistances.
    assert_eq!(told["step"]["key"], "discharge");
    let passed: Vec<&str> = told["passed"]
        .as_array()
        .into_iter()
        .flatten()
        .filter_map(|one| one["key"].as_str())
        .collect();
    assert_eq!(passed, ["look_over", "line_to_chassis"]);
    Ok(())
}
