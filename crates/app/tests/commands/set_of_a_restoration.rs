//! The set asked about through its restoration's file: as the facts have changed it, with the answer
//! kept where that is wished.
//!
//! Source of what is held: the manual's pages on these commands.

use serde_json::Value;

use crate::program::{LARKFIELD, Outcome, check, json, page, texts};

struct Bench {
    _folder: tempfile::TempDir,
    file: String,
}

fn started() -> Result<Bench, Box<dyn std::error::Error>> {
    let folder = tempfile::tempdir()?;
    let file = folder.path().join("my set.restoration");
    let file = file.display().to_string();
    assert_eq!(json(&["start", &file, LARKFIELD])?.0, 0);
    Ok(Bench {
        _folder: folder,
        file,
    })
}

fn expected(answer: &Value, at: &str, what: &str) -> f64 {
    let readings = answer["readings"].as_array().into_iter().flatten();
    let found = readings
        .filter(|own| own["at"] == at && own["what"] == what)
        .find_map(|own| own["expected"].as_f64());
    found.unwrap_or(f64::NAN)
}

#[test]
fn the_set_is_told_as_the_file_knows_it() -> Outcome {
    let bench = started()?;
    let of_sheet = json(&["ohms", LARKFIELD])?.1;
    let of_file = json(&["ohms", &bench.file])?.1;
    assert_eq!(of_sheet["readings"], of_file["readings"]);
    // An eighth of the bleeder's ohms: 9.9k with 27k in it becomes 2.7k by the law of parallel resistances.
    let fitted = json(&["fit", &bench.file, "R30", "3.3k 10 W"])?;
    assert_eq!(fitted.0, 0, "{:#}", fitted.1);
    let told = json(&["ohms", &bench.file])?.1;
    let notices = texts(&told, "notices", "text");
    let tells = |notice: &&String| notice.contains("R30 replaced: 3.3k");
    assert!(notices.iter().any(|one| tells(&one)), "{notices:?}");
    let (before, after) = (
        expected(&of_sheet, "B+ main", "ohms"),
        expected(&told, "B+ main", "ohms"),
    );
    assert!(after < 0.8 * before, "{before} to {after}");
    assert!(page(&["check", &bench.file])?.contains("R30 replaced"));
    // The maker's chart is held against the set as it left him.
    let chart = |set: &str| json(&["chart", set]).map(|told| told.1["rows"].clone());
    let rows = chart(LARKFIELD)?;
    assert!(rows.as_array().is_some_and(|rows| rows.len() > 5));
    assert_eq!(rows, chart(&bench.file)?);
    Ok(())
}

#[test]
fn an_answer_is_kept_where_that_is_wished() -> Outcome {
    let bench = started()?;
    let at = ["--keep", "--at", "2026-11-29T08:49:51+01:00"];
    let told = page(&[&["ohms", &bench.file][..], &at].concat())?;
    assert!(
        told.contains("Kept in") && told.contains("entry 2"),
        "{told}"
    );
    let (status, _) = json(&[&["expect", &bench.file, "--line", "80"][..], &at].concat())?;
    assert_eq!(status, 0);
    let (_, story) = json(&["story", &bench.file, "--all"])?;
    let entries = story["entries"].as_array().ok_or("no entries")?;
    let says = |number: usize, key: &str| entries[number]["says"][key].as_str().unwrap_or("");
    assert_eq!(entries.len(), 3);
    assert!(says(1, "asked").starts_with("ohms my set.restoration --at"));
    assert!(says(1, "said").contains("Cold resistances"));
    assert!(
        says(2, "asked").contains("--line 80"),
        "{}",
        says(2, "asked")
    );
    let kept: &[&str] = &["expect", LARKFIELD, "--keep"];
    check(kept, 1, "only a restoration's file keeps an answer")?;
    check(&["expect", LARKFIELD, "--at", at[2]], 2, "--keep")
}

#[test]
fn where_a_sheet_is_needed_a_restoration_is_refused_with_what_to_do() -> Outcome {
    let bench = started()?;
    for line in [
        vec!["parts", &bench.file],
        vec!["take", &bench.file, &bench.file],
        vec!["stage", "audio-triode", &bench.file],
    ] {
        check(&line, 1, "firstraster export")?;
    }
    Ok(())
}
