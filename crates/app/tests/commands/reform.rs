//! `reform`: a value alone, a section of a restoration, readings entered and judged, faults, pictures.
//!
//! Source of what is held: the manual's page, closed forms, rows EL of `data/checks.csv`.

use serde_json::Value;

use crate::program::{AT, LARKFIELD, Outcome, check, json, keeps_to_eighty_columns, page, texts};

struct Bench {
    folder: tempfile::TempDir,
    file: String,
}

fn started() -> Result<Bench, Box<dyn std::error::Error>> {
    let folder = tempfile::tempdir()?;
    let file = folder.path().join("a.restoration").display().to_string();
    let (status, _) = json(&[&["start", &file, LARKFIELD][..], &AT].concat())?;
    assert_eq!(status, 0);
    Ok(Bench { folder, file })
}

impl Bench {
    fn asked(&self, arguments: &[&str]) -> Result<(i32, Value), Box<dyn std::error::Error>> {
        json(&[&["reform", &self.file][..], arguments].concat())
    }

    fn enter(&self, arguments: &[&str]) -> Result<Value, Box<dyn std::error::Error>> {
        let (status, answer) = self.asked(&[arguments, &AT].concat())?;
        assert_eq!(status, 0, "{arguments:?}: {answer:#}");
        Ok(answer)
    }

    fn count(&self) -> Result<u64, Box<dyn std::error::Error>> {
        let (_, story) = json(&["story", &self.file])?;
        Ok(story["entered"].as_u64().unwrap_or_default())
    }
}

#[test]
fn a_value_alone_is_told() -> Outcome {
    let (status, answer) = json(&["reform", "40 mfd 450 V", "--source", "0-450 V 20 mA"])?;
    assert_eq!(status, 0, "{answer:#}");
    let number = |key: &str| answer[key].as_f64().unwrap_or(f64::NAN);
    // Half C V squared; R C ln (V / 10).
    assert!((number("discharge_joules") - 4.05).abs() < 1e-3);
    let seconds = 4700.0 * 40e-6 * 45f64.ln();
    assert!((number("discharge_seconds_to_ten_volts") - seconds).abs() < 1e-4);
    // 0.04 x 40 + 0.3 mA, and 0.01 CV.
    assert!((number("limit_milliamperes") - 1.9).abs() < 1e-9);
    assert!((number("limit_of_new_parts_milliamperes") - 0.18).abs() < 1e-9);
    assert_eq!(answer["verdict"], "not_begun");
    let page = page(&["reform", "40 mfd 450 V"])?;
    keeps_to_eighty_columns(&page);
    for wanted in [
        "no source is named",
        "stay with the set",
        "never tried",
        "estimate",
    ] {
        assert!(page.contains(wanted), "{wanted}: {page}");
    }
    for never in ["picture", "glass"] {
        assert!(!page.contains(never), "{never}: {page}");
    }
    Ok(())
}

#[test]
fn a_section_goes_from_reading_to_acceptance() -> Outcome {
    let bench = started()?;
    let first = bench.enter(&[
        "C4A",
        "leak",
        "5=200V",
        "15=130V",
        "30=102V",
        "--source-volts",
        "450",
        "--resistor",
        "54k",
    ])?;
    assert_eq!(first["entries"].as_array().map(Vec::len), Some(3));
    // 102 V over 54k is 1.889 mA: below the limit, but 102 V are missing across the section.
    assert_eq!(first["forming"]["verdict"], "go_on");
    assert!(!first["forming"]["forecast"].is_null());
    let refused = bench.asked(&["C4A", "end", "accepted"])?;
    assert_eq!(refused.0, 1);
    assert!(
        texts(&refused.1, "faults", "text")
            .join(" ")
            .contains("348 V stand across")
    );
    let then = bench.enter(&["C4A", "leak", "90=38V", "--case", "24", "--looks", "sound"])?;
    assert_eq!(then["forming"]["verdict"], "accepted", "{then:#}");
    bench.enter(&["C4A", "discharged", "--left", "0.2V", "--through", "4.7k"])?;
    let ended = bench.enter(&["C4A", "end", "accepted"])?;
    assert!(
        ended["notices"].as_array().is_some_and(Vec::is_empty),
        "{ended:#}"
    );
    let (_, list) = bench.asked(&[])?;
    let own = list["electrolytics"]
        .as_array()
        .and_then(|all| all.iter().find(|one| one["part"] == "C4A").cloned());
    assert_eq!(
        own.map(|own| own["state"].clone()),
        Some("re_formed".into())
    );
    // The plan no longer forms it.
    let (_, checked) = json(&["check", &bench.file])?;
    assert!(
        checked.to_string().contains("C4A formed anew"),
        "{checked:#}"
    );
    // Undone, it is as found again; an undo of the undo brings it back.
    let number = ended["entries"][0]["number"].to_string();
    json(&[&["undo", &bench.file, &number][..], &AT].concat())?;
    let (_, again) = bench.asked(&["C4A"])?;
    assert_eq!(again["state"], "as_found");
    assert_eq!(again["verdict"], "accepted");
    // A corrected reading is judged anew.
    let leak = then["entries"][0]["number"].to_string();
    json(
        &[
            &["correct", &bench.file, &leak, "milliamperes = 3"][..],
            &AT,
        ]
        .concat(),
    )?;
    let (_, again) = bench.asked(&["C4A"])?;
    assert_eq!(again["verdict"], "stop", "{again:#}");
    let page = page(&["reform", &bench.file, "C4A"])?;
    keeps_to_eighty_columns(&page);
    assert!(page.contains("STOP"), "{page}");
    Ok(())
}

#[test]
fn a_can_that_bulges_is_replaced_and_a_new_part_begins_anew() -> Outcome {
    let bench = started()?;
    let answer = bench.enter(&[
        "C43",
        "leak",
        "10=1mA",
        "--source-volts",
        "225",
        "--resistor",
        "54k",
        "--looks",
        "bulging",
    ])?;
    assert_eq!(answer["forming"]["verdict"], "replace");
    bench.enter(&["C43", "end", "replace", "--because", "bulges at the vent"])?;
    json(
        &[
            &["fit", &bench.file, "C43", "10 mfd", "--rating", "450 V"][..],
            &AT,
        ]
        .concat(),
    )?;
    let (_, fresh) = bench.asked(&["C43"])?;
    assert_eq!(fresh["verdict"], "not_begun");
    assert_eq!(fresh["limit_is_of"], "new_parts");
    Ok(())
}

#[test]
fn a_part_that_the_sheet_has_not_is_told_by_its_marks() -> Outcome {
    let bench = started()?;
    let answer = bench.enter(&[
        "spare",
        "--marked",
        "20 mfd 350 V",
        "leak",
        "30=0.2mA",
        "--source-volts",
        "350",
        "--resistor",
        "39k",
    ])?;
    assert_eq!(answer["forming"]["part"], "spare");
    let (status, later) = bench.asked(&["spare"])?;
    assert_eq!((status, &later["marked_volts"]), (0, &Value::from(350.0)));
    Ok(())
}

#[test]
fn faults_are_told_and_nothing_is_written() -> Outcome {
    let bench = started()?;
    let before = bench.count()?;
    for (arguments, wanted) in [
        (&["C99"][..], "the sheet has no `C99`"),
        (&["R30"], "no capacitor"),
        (&["C40"], "no electrolytic"),
        (&["C4A", "--to", "900"], "up to those marked"),
        (&["C4A", "--to", "lots"], "`lots` read"),
        (&["C4A", "--source", "much"], "no d.c. source"),
        (&["C4A", "--source", "500-600 V 20 mA"], "begins at 500 V"),
        (&["C4A", "--discharge", "open"], "discharge"),
        (&["C4A", "leak", "30=58V"], "not told"),
        (
            &["C4A", "leak", "30=58V", "--source-volts", "450"],
            "resistor that is not told",
        ),
        (
            &[
                "C4A",
                "leak",
                "30=1mA",
                "--source-volts",
                "450",
                "--resistor",
                "0",
            ],
            "nothing limits a section",
        ),
        (
            &["C4A", "leak", "x=1mA", "y", "--source-volts", "-"],
            "`x` read",
        ),
        (
            &[
                "C4A",
                "leak",
                "30=1mA",
                "--source-volts",
                "450",
                "--looks",
                "pretty",
            ],
            "`pretty` read",
        ),
        (
            &[
                "C4A",
                "leak",
                "30=1mA",
                "40=1mA",
                "--source-volts",
                "450",
                "--across",
                "4",
            ],
            "one reading",
        ),
        (
            &["C4A", "leak", "30=nan", "--source-volts", "450"],
            "`nan` read",
        ),
        (&["C4A", "discharged", "--left", "some"], "`some` read"),
        (&["C4A", "end", "perhaps"], "`perhaps` read"),
        (&["C4A", "end", "accepted"], "nothing was read"),
    ] {
        let (status, answer) = bench.asked(arguments)?;
        let told = texts(&answer, "faults", "text").join(" ");
        assert_eq!(status, 1, "{arguments:?}: {answer:#}");
        assert!(told.contains(wanted), "{arguments:?}: `{wanted}` in {told}");
    }
    assert_eq!(bench.count()?, before);
    check(&["reform", "40 mfd"], 1, "no marked volts")?;
    check(&["reform", "paper cup"], 1, "value")?;
    check(&["reform", "none.restoration"], 1, "no such file")?;
    check(&["reform", "nothing", "C1A"], 1, "no such file")?;
    Ok(())
}

#[test]
fn the_picture_has_band_limit_and_readings() -> Outcome {
    let bench = started()?;
    let path = bench.folder.path().join("a.svg").display().to_string();
    bench.asked(&["C4A", "--svg", &path])?;
    let empty = std::fs::read_to_string(&path)?;
    assert!(empty.contains("an estimate") && empty.contains("limit 1.9 mA"));
    bench.enter(&[
        "C4A",
        "leak",
        "5=200V",
        "15=130V",
        "30=110V",
        "--source-volts",
        "450",
        "--resistor",
        "54k",
    ])?;
    bench.asked(&["C4A", "--svg", &path])?;
    let read = std::fs::read_to_string(&path)?;
    assert!(read.contains("readings continued") && read.matches("<circle").count() >= 3);
    assert!(!read.contains("NaN"));
    // A slip in the name takes neither the restoration nor a sheet away.
    let sheet = bench.folder.path().join("a.toml");
    std::fs::write(&sheet, "sheet = 1\n")?;
    for kept in [bench.file.clone(), sheet.display().to_string()] {
        let before = std::fs::read(&kept)?;
        check(
            &["reform", &bench.file, "C4A", "--svg", &kept],
            1,
            "of another kind",
        )?;
        assert!(std::fs::read(&kept)? == before, "{kept} was written over");
    }
    Ok(())
}
