//! `prove`: the list of two sets, answers entered and judged, work that opens items again, signatures, pictures.
//!
//! Source of what is held: the manual's page, rows TL of `data/checks.csv`. Answers are invented.

use serde_json::Value;

use crate::program::{AT, LARKFIELD, Outcome, check, json, keeps_to_eighty_columns, page, texts};

const MERROW: &str = "examples/merrow_17s.toml";
const BY: [&str; 2] = ["--by", "R. Miller"];

struct Bench {
    folder: tempfile::TempDir,
    file: String,
}

fn started() -> Result<Bench, Box<dyn std::error::Error>> {
    let folder = tempfile::tempdir()?;
    let file = folder.path().join("a.restoration").display().to_string();
    let (status, _) = json(&[&["start", &file, LARKFIELD][..], &AT].concat())?;
    assert_eq!(status, 0);
    let bench = Bench { folder, file };
    // Parts of class Y in the place of the old ones at the line.
    for part in ["C2", "C3"] {
        let line = ["fit", &bench.file, part, "0.0022 mfd", "--rating", "1000 V"];
        assert_eq!(json(&[&line[..], &AT].concat())?.0, 0);
    }
    Ok(bench)
}

impl Bench {
    fn list(&self) -> Result<Value, Box<dyn std::error::Error>> {
        let (status, answer) = json(&["prove", &self.file])?;
        assert_eq!(status, 0, "{answer:#}");
        Ok(answer)
    }

    fn tried(&self, arguments: &[&str]) -> Result<(i32, Value), Box<dyn std::error::Error>> {
        json(&[&["prove", &self.file, "enter"][..], arguments, &AT].concat())
    }

    fn enter(&self, arguments: &[&str]) -> Result<Value, Box<dyn std::error::Error>> {
        let (status, answer) = self.tried(&[arguments, &BY].concat())?;
        assert_eq!(status, 0, "{arguments:?}: {answer:#}");
        Ok(answer)
    }

    fn count(&self) -> Result<u64, Box<dyn std::error::Error>> {
        let (_, story) = json(&["story", &self.file])?;
        Ok(story["entered"].as_u64().unwrap_or_default())
    }
}

fn item(answer: &Value, key: &str) -> Value {
    let mut list = answer["items"].as_array().into_iter().flatten();
    list.find(|own| own["key"] == key)
        .cloned()
        .unwrap_or_default()
}

fn state(answer: &Value, key: &str) -> String {
    item(answer, key)["state"]
        .as_str()
        .unwrap_or("none")
        .to_owned()
}

#[test]
fn the_list_follows_the_set_and_claims_nothing() -> Outcome {
    let (status, merrow) = json(&["prove", MERROW])?;
    assert_eq!(
        (status, &merrow["chassis"]),
        (0, &Value::from("on_the_line"))
    );
    assert_eq!(state(&merrow, "covered"), "open");
    assert_eq!(state(&merrow, "transformer-rise"), "none");
    let page = page(&["prove", MERROW])?;
    keeps_to_eighty_columns(&page);
    assert!(page.contains("THE CHASSIS IS ON THE LINE"), "{page}");
    assert!(page.contains("Not signed"), "{page}");
    assert!(page.contains("do not say that the set is safe"), "{page}");
    let bench = started()?;
    let list = bench.list()?;
    assert_eq!(list["chassis"], "isolated");
    assert_eq!(list["counts"]["met"], 0);
    assert!(
        item(&list, "anode")["cautions"]
            .to_string()
            .contains("x-rays")
    );
    Ok(())
}

/// TL003: 0.75 V across the network is 0.502 mA; above 0.5 mA it fails, and loudly.
#[test]
fn leakage_is_converted_and_judged_four_ways() -> Outcome {
    let bench = started()?;
    let early = bench.enter(&["leakage", "one/on=0.15V", "--point", "chassis"])?;
    assert!(
        early["notices"]
            .to_string()
            .contains("cord, cold-check comes first"),
        "{early:#}"
    );
    bench.enter(&["cord", "yes"])?;
    for point in ["chassis", "knob shafts", "antenna", "trim"] {
        bench.enter(&["cold-check", "4.7meg", "--point", point])?;
        let done = bench.enter(&[
            "leakage",
            "one/on=0.15V",
            "one/off=0.1mA",
            "other/on=0.16V",
            "other/off=0.3V",
            "--point",
            point,
            "--line",
            "121",
        ])?;
        assert!(done["notices"].to_string().contains("cold-check") == (point != "trim"));
    }
    let list = bench.list()?;
    assert_eq!(state(&list, "cold-check"), "met");
    assert_eq!(
        state(&list, "leakage"),
        "met",
        "{:#}",
        item(&list, "leakage")
    );
    let slot = &item(&list, "leakage")["slots"][0];
    let value = slot["value"].as_f64().unwrap_or_default();
    assert!((value - 0.1004).abs() < 2e-4, "{value}");
    assert_eq!(
        (&slot["by"], &slot["typed"]),
        (&"R. Miller".into(), &"0.15V".into())
    );
    let failed = bench.enter(&["leakage", "other/off=0.75V", "--point", "antenna terminals"])?;
    assert_eq!(state(&failed["proof"], "leakage"), "failed");
    let page = page(&["prove", &bench.file])?;
    keeps_to_eighty_columns(&page);
    assert!(page.contains("FAILED, 1: leakage"), "{page}");
    let picture = bench.folder.path().join("a.svg").display().to_string();
    json(&["prove", &bench.file, "--svg", &picture])?;
    let svg = std::fs::read_to_string(&picture)?;
    assert!(svg.contains("ABOVE") && svg.matches("<rect").count() >= 16);
    Ok(())
}

#[test]
fn work_opens_items_again_and_takes_the_signature_away() -> Outcome {
    let bench = started()?;
    bench.enter(&["cord", "yes"])?;
    bench.enter(&["watched", "yes"])?;
    bench.enter(&["local-rules", "yes"])?;
    bench.enter(&["fuse", "2.5A"])?;
    let sign = [&["prove", &bench.file, "sign"][..], &BY, &AT].concat();
    let (status, signed) = json(&sign)?;
    assert_eq!(
        (status, &signed["proof"]["signature"]["stands"]),
        (0, &true.into())
    );
    assert!(signed["notices"].to_string().contains("open"), "{signed:#}");
    // A resistor inside: what is measured on the running set is open again, cord and fuse are not.
    json(&[&["fit", &bench.file, "R45", "22k"][..], &AT].concat())?;
    let list = bench.list()?;
    assert_eq!(state(&list, "watched"), "open");
    assert!(
        item(&list, "watched")["reopened"][0]["work"]
            .to_string()
            .contains("R45")
    );
    for key in ["cord", "local-rules", "fuse"] {
        assert_eq!(state(&list, key), "met", "{key}");
    }
    assert_eq!(list["signature"]["stands"], false);
    assert!(page(&["prove", &bench.file])?.contains("NO LONGER COVERS"));
    // Work at the line opens those too; undone, the answers count again.
    let (_, work) = json(&[&["fit", &bench.file, "F1", "3 A slow"][..], &AT].concat())?;
    assert_eq!(state(&bench.list()?, "cord"), "open");
    let number = work["entry"]["number"].to_string();
    json(&[&["undo", &bench.file, &number][..], &AT].concat())?;
    assert_eq!(state(&bench.list()?, "cord"), "met");
    // A corrected answer is judged anew.
    let (_, story) = json(&["story", &bench.file])?;
    let fuse = story["entries"]
        .as_array()
        .into_iter()
        .flatten()
        .find(|own| own["says"]["item"] == "fuse");
    let number = fuse
        .map(|own| own["number"].to_string())
        .unwrap_or_default();
    json(&[&["correct", &bench.file, &number, "value = 8"][..], &AT].concat())?;
    assert_eq!(state(&bench.list()?, "fuse"), "failed");
    Ok(())
}

#[test]
fn a_soak_goes_in_hour_by_hour() -> Outcome {
    let bench = started()?;
    bench.enter(&["soak-heat", "0=22C", "30=30", "60=35C", "2h=39", "180=41"])?;
    assert_eq!(state(&bench.list()?, "soak-heat"), "open");
    let picture = bench.folder.path().join("a.svg").display().to_string();
    let done = bench.enter(&["soak-heat", "240=42"])?;
    assert_eq!(
        state(&done["proof"], "soak-heat"),
        "met",
        "{:#}",
        item(&done["proof"], "soak-heat")
    );
    json(&["prove", &bench.file, "--svg", &picture, "--svg-of", "soak"])?;
    assert!(std::fs::read_to_string(&picture)?.contains("figure 60 C"));
    // Between the hours of the list it was too hot.
    let hot = bench.enter(&["soak-heat", "90=75C"])?;
    assert_eq!(state(&hot["proof"], "soak-heat"), "failed");
    assert!(page(&["prove", &bench.file, "--item", "soak-heat"])?.contains("90 min"));
    let hot = bench.enter(&["transformer-rise", "70K"])?;
    assert_eq!(state(&hot["proof"], "transformer-rise"), "failed");
    let high = bench.enter(&["anode", "12.4kV"])?;
    assert_eq!(state(&high["proof"], "anode"), "failed");
    let slow = bench.enter(&["bleed:B+ main", "40s"])?;
    assert_eq!(state(&slow["proof"], "bleed:B+ main"), "failed");
    let gone = bench.enter(&["glass", "--not-of-this-set", "bonded window"])?;
    assert_eq!(state(&gone["proof"], "glass"), "not_of_this_set");
    let further = bench.enter(&["cold-check", "open", "--point", "phono jack"])?;
    assert!(further["notices"].to_string().contains("further point"));
    Ok(())
}

#[test]
fn faults_are_told_and_nothing_is_written() -> Outcome {
    let bench = started()?;
    let before = bench.count()?;
    for (arguments, wanted) in [
        (&["x-ray", "yes"][..], "has no `x-ray`"),
        (&["cord", "maybe"], "`maybe` read"),
        (&["cord"], "nothing is answered"),
        (&["cord", "yes", "--point", "left end"], "has no points"),
        (&["leakage", "one/on=0.3V"], "point by point"),
        (
            &["leakage", "0.3V", "--point", "chassis"],
            "the way of the plug",
        ),
        (&["leakage", "one=0.3V", "--point", "chassis"], "the switch"),
        (
            &["leakage", "one/on=lots", "--point", "chassis"],
            "`lots` read",
        ),
        (
            &["leakage", "one/sideways/on=1mA", "--point", "chassis"],
            "`sideways` read",
        ),
        (&["soak-current", "1.8A"], "the minutes"),
        (&["soak-current", "30=1.8"], "`1.8` read"),
        (&["anode", "hot"], "`hot` read"),
        // 15 kV typed without its unit is no 15 V that is far below the limit.
        (&["anode", "15"], "kilovolts with their unit"),
        (
            &["leakage", "one/on=0.3", "--point", "chassis"],
            "`0.3` read, leakage with its unit",
        ),
        (&["fuse", "3A", "--line", "mains"], "no line voltage"),
        (&["glass", "--not-of-this-set", " "], "is not said"),
    ] {
        let (status, answer) = bench.tried(&[arguments, &BY].concat())?;
        let told = texts(&answer, "faults", "text").join(" ");
        assert_eq!(status, 1, "{arguments:?}: {answer:#}");
        assert!(told.contains(wanted), "{arguments:?}: `{wanted}` in {told}");
    }
    let (status, answer) = bench.tried(&["cord", "yes", "--by", " "])?;
    assert_eq!(status, 1, "{answer:#}");
    let sign = [&["prove", &bench.file, "sign", "--by", " "][..], &AT].concat();
    check(&sign, 1, "who signs is not said")?;
    assert_eq!(bench.count()?, before);
    check(&["prove", "none.restoration"], 1, "no such file")?;
    check(
        &["prove", &bench.file, "--item", "none"],
        1,
        "has no `none`",
    )?;
    let picture = bench.folder.path().join("a.svg").display().to_string();
    check(
        &["prove", &bench.file, "--svg", &picture],
        1,
        "no leakage was measured",
    )?;
    Ok(())
}
