//! A restoration's file kept by the program: entries, faults, undo, correction, story.
//!
//! Source of what is held: the manual's pages on these commands.

use serde_json::Value;

use crate::program::{
    AT, LARKFIELD, LARKFIELD_TEXT, Outcome, check, json, keeps_to_eighty_columns, page, put, texts,
};

struct Bench {
    folder: tempfile::TempDir,
    file: String,
}

/// A restoration of the example set.
fn started() -> Result<Bench, Box<dyn std::error::Error>> {
    let folder = tempfile::tempdir()?;
    let file = folder
        .path()
        .join("my set.restoration")
        .display()
        .to_string();
    let (status, answer) = json(&[&["start", &file, LARKFIELD][..], &AT].concat())?;
    assert_eq!(
        (status, &answer["restoration"]),
        (0, &Value::from("Larkfield 12T"))
    );
    Ok(Bench { folder, file })
}

impl Bench {
    /// Makes an entry; what it says.
    fn enter(
        &self,
        command: &str,
        arguments: &[&str],
    ) -> Result<Value, Box<dyn std::error::Error>> {
        let line = [&[command, &self.file][..], arguments, &AT].concat();
        let (status, answer) = json(&line)?;
        assert_eq!(status, 0, "{line:?}: {answer:#}");
        assert_eq!(answer["entry"]["at"], AT[1]);
        Ok(answer)
    }

    fn refused(&self, command: &str, arguments: &[&str], status: i32, wanted: &str) -> Outcome {
        let before = self.story(true)?;
        check(
            &[&[command, &self.file][..], arguments].concat(),
            status,
            wanted,
        )?;
        assert_eq!(
            self.story(true)?,
            before,
            "{command} {arguments:?} wrote something"
        );
        Ok(())
    }

    fn story(&self, all: bool) -> Result<Value, Box<dyn std::error::Error>> {
        let flag: &[&str] = if all { &["--all"] } else { &[] };
        Ok(json(&[&["story", &self.file][..], flag].concat())?.1)
    }
}

#[test]
fn a_restoration_from_sheet_to_story() -> Outcome {
    let bench = started()?;
    let seen = bench.enter("see", &["cord", "cracked at the plug"])?;
    assert_eq!(seen["entry"]["says"]["area"], "line side");
    assert!(
        texts(&seen, "notices", "text")
            .iter()
            .any(|text| text.contains("Plug out"))
    );
    let read = bench.enter(
        "reading",
        &[
            "v9.5",
            "-1.2 V",
            "--line",
            "80",
            "--dial",
            "82",
            "--lamp",
            "100+60",
            "--pulled",
            "v14,V12",
            "--seconds",
            "45",
            "--meter",
            "20k/V 500 V",
            "--note",
            "restless",
        ],
    )?;
    let says = &read["entry"]["says"];
    assert_eq!(
        says,
        &serde_json::json!({
            "place": "V9.5", "what": "dc_volts", "typed": "-1.2 V", "value": -1.2,
            "meter": "20k/V 500 V", "line_volts": 80.0, "dial_volts": 82.0,
            "lamp_watts": [100.0, 60.0], "pulled": ["V14", "V12"], "seconds": 45.0,
            "note": "restless",
        })
    );
    let open = bench.enter("reading", &["B+ main", "open", "--plug-out"])?;
    assert_eq!(
        (
            &open["entry"]["says"]["value"],
            &open["entry"]["says"]["plug_out"]
        ),
        (&Value::Null, &Value::from(true))
    );
    bench.enter(
        "fit",
        &["C2", "0.047 mfd", "--old", ".05 mfd", "--rating", "630 V"],
    )?;
    let tested = bench.enter("test", &["V9", "--percent", "65", "--type", "6BA6"])?;
    assert!(
        texts(&tested, "notices", "text")
            .iter()
            .any(|text| text.contains("6AU6")),
        "{tested:#}"
    );
    bench.enter(
        "change",
        &[
            "height control",
            "--was",
            "at its end",
            "--is",
            "in the middle",
        ],
    )?;
    bench.enter("decide", &["leave the mask", "--because", "rusted on"])?;
    let page = page(&["story", &bench.file])?;
    keeps_to_eighty_columns(&page);
    for wanted in [
        "Larkfield 12T",
        "2026-11-29",
        "08:49",
        "cracked at the plug",
        "-1.2 V",
        "lamp 100+60 W",
        "V14, V12 pulled",
        "fitted 0.047 mfd, 630 V in place of .05 mfd",
        "65 percent",
        "rusted on",
        "8 entries.",
    ] {
        let flat = page.split_whitespace().collect::<Vec<_>>().join(" ");
        assert!(flat.contains(wanted), "`{wanted}` is not in\n{page}");
    }
    Ok(())
}

#[test]
fn every_version_of_the_sheet_is_an_entry() -> Outcome {
    let bench = started()?;
    let newer = put(
        bench.folder.path(),
        "newer.toml",
        &format!("{LARKFIELD_TEXT}# more\n"),
    )?;
    let taken = bench.enter("take", &[&newer])?;
    assert_eq!(taken["entry"]["number"], 2);
    let story = bench.story(false)?;
    let sheets: Vec<&Value> = story["entries"]
        .as_array()
        .into_iter()
        .flatten()
        .map(|entry| &entry["says"]["sheet"])
        .collect();
    assert_eq!(sheets.len(), 2);
    assert_ne!(sheets[0], sheets[1]);
    let faulty = put(
        bench.folder.path(),
        "faulty.toml",
        "sheet = 1\nline_volts = \"fast\"\n",
    )?;
    bench.refused("take", &[&faulty], 1, "line_volts")?;
    bench.refused("start", &[LARKFIELD], 1, "there already")
}

#[test]
fn undo_and_correction_are_entries() -> Outcome {
    let bench = started()?;
    bench.enter("reading", &["V9.5", "135 V", "--line", "117"])?;
    bench.enter("fit", &["C2", "0.047 mfd"])?;
    let corrected = bench.enter(
        "correct",
        &[
            "2",
            "value = 153 V",
            "line_volts=110",
            "--because",
            "misread",
        ],
    )?;
    assert_eq!(corrected["entry"]["says"]["instead.value"], 153.0);
    assert_eq!(corrected["entry"]["says"]["instead.line_volts"], 110.0);
    let undone = bench.enter("undo", &["3"])?;
    assert_eq!(undone["entry"]["says"]["names"], 3);
    let now = bench.story(false)?;
    assert_eq!(texts(&now, "entries", "standing"), ["stands", "corrected"]);
    assert_eq!(now["entries"][1]["says"]["typed"], "153 V");
    let all = bench.story(true)?;
    assert_eq!(
        texts(&all, "entries", "standing"),
        ["stands", "corrected", "undone", "stands", "stands"]
    );
    assert_eq!(all["entries"][1]["says"]["typed"], "135 V");
    assert_eq!(all["entries"][2]["by"], 5);
    // Without a number the last entry that stands goes: the correction.
    bench.enter("undo", &[])?;
    assert_eq!(bench.story(false)?["entries"][1]["says"]["typed"], "135 V");
    // And the undo undone brings it back.
    bench.enter("undo", &["6"])?;
    assert_eq!(bench.story(false)?["entries"][1]["says"]["typed"], "153 V");
    Ok(())
}

#[test]
fn what_cannot_be_understood_is_refused_and_nothing_is_written() -> Outcome {
    let bench = started()?;
    bench.enter("reading", &["V9.5", "135 V"])?;
    for (command, arguments, status, wanted) in [
        ("reading", &["V9.5", "135"][..], 1, "no unit"),
        ("reading", &["V9.5", "135 votls"], 1, "votls"),
        ("reading", &["V9", "8 mA"], 1, "which current"),
        (
            "reading",
            &["V9", "8 V", "--what", "plate_milliamps"],
            1,
            "no reading in mA",
        ),
        (
            "reading",
            &["V9", "8 V", "--what", "dreams"],
            1,
            "no kind of reading",
        ),
        (
            "reading",
            &["V9.5", "1 V", "--line", "mains"],
            2,
            "no line voltage",
        ),
        ("reading", &["V9.5", "1 V", "--at", "noon"], 2, "no time"),
        ("correct", &["2", "colour = red"], 1, "belongs to no fact"),
        ("correct", &["2", "value"], 1, "field = text"),
        ("correct", &["2", "value = much"], 1, "much"),
        ("correct", &["2", "value = 135 V"], 1, "says already"),
        ("correct", &["1", "sheet = 0"], 1, "never changed"),
        ("correct", &["9", "note = x"], 1, "no entry 9"),
        ("undo", &["9"], 1, "no entry 9"),
        ("undo", &["0"], 1, "no entry 0"),
        ("test", &["V9", "--percent=-3"], 1, "0 to 200"),
        ("test", &["V9", "--percent", "-3"], 1, "0 to 200"),
        ("photo", &[LARKFIELD], 1, "no picture"),
        ("photo", &["none.jpg"], 1, "cannot be read"),
        ("fit", &["C2", ""], 1, "needed"),
    ] {
        bench.refused(command, arguments, status, wanted)?;
    }
    for (file, wanted) in [
        (LARKFIELD, "no restoration"),
        ("none.restoration", "no such file"),
        ("examples", "a folder"),
    ] {
        check(&["story", file], 1, wanted)?;
        check(&["decide", file, "x"], 1, wanted)?;
    }
    Ok(())
}

#[test]
fn a_name_that_the_sheet_has_not_is_kept_and_told() -> Outcome {
    let bench = started()?;
    for (command, arguments, kept, told) in [
        ("reading", &["B+ man", "318 V"][..], "B+ man", "`B+ main`"),
        ("reading", &["C999", "0.04 mfd"], "C999", "no `C999`"),
        ("fit", &["C999", "0.047 mfd"], "C999", "no `C999`"),
    ] {
        let answer = bench.enter(command, arguments)?;
        let says = &answer["entry"]["says"];
        assert!(says["place"] == kept || says["part"] == kept, "{says}");
        assert!(answer["notices"].to_string().contains(told), "{answer:#}");
    }
    let own = bench.enter("see", &["mouse trap", "full"])?;
    assert!(own["notices"].to_string().contains("own words"));
    Ok(())
}

#[test]
fn the_list_of_things_to_see_shows_what_was_noted() -> Outcome {
    let list = page(&["see"])?;
    keeps_to_eighty_columns(&list);
    for wanted in [
        "line cord",
        "ion trap",
        "focus coil",
        "getters",
        "common practice",
    ] {
        assert!(list.contains(wanted), "{wanted}");
    }
    let bench = started()?;
    bench.enter("see", &["Line Cord and plug", "cracked"])?;
    bench.enter("see", &["mouse trap", "full", "--part", "V9"])?;
    let (_, answer) = json(&["see", &bench.file])?;
    let cord = answer["things"]
        .as_array()
        .into_iter()
        .flatten()
        .find(|thing| thing["name"] == "cord");
    assert_eq!(
        cord.map(|cord| &cord["seen"][0]["found"]),
        Some(&Value::from("cracked"))
    );
    assert_eq!(answer["own"][0]["thing"], "mouse trap");
    let shown = page(&["see", &bench.file])?;
    keeps_to_eighty_columns(&shown);
    assert!(
        shown.contains("1 of ") && shown.contains("mouse trap"),
        "{shown}"
    );
    Ok(())
}

#[test]
fn own_things_stand_behind_the_list_and_are_noted_by_name() -> Outcome {
    let bench = started()?;
    let path = bench.folder.path().join("mine.csv");
    std::fs::write(
        &path,
        "name,area,thing,findings,caution\nremote,front and back,remote jack,dry;gone,Line volts.\n",
    )?;
    let own = path.display().to_string();
    let (_, answer) = json(&["see", "--own", &own])?;
    let last = answer["things"].as_array().and_then(|all| all.last());
    assert_eq!(
        last.map(|last| &last["standing"]),
        Some(&Value::from("stated in the sheet"))
    );
    let told = page(&["see", &bench.file, "Remote", "dry", "--own", &own])?;
    assert!(told.contains("Line volts."), "{told}");
    let (_, answer) = json(&["see", &bench.file, "--own", &own])?;
    let last = answer["things"].as_array().and_then(|all| all.last());
    assert_eq!(
        last.map(|last| &last["seen"][0]["found"]),
        Some(&Value::from("dry"))
    );
    std::fs::write(&path, "name,area,thing,findings\ncord,x,y,z\na,,b,\n")?;
    let (status, answer) = json(&["see", &bench.file, "a", "dry", "--own", &own])?;
    let faults = answer["faults"].as_array().map(Vec::len);
    assert_eq!((status, faults), (1, Some(3)), "{answer}");
    Ok(())
}

#[test]
fn an_entry_without_a_time_has_that_of_the_clock() -> Outcome {
    let bench = started()?;
    let (status, answer) = json(&["decide", &bench.file, "x"])?;
    let at = answer["entry"]["at"].as_str().ok_or("no time")?;
    assert_eq!((status, at.len()), (0, 25));
    assert!(at > "2026-01-01T00:00:00+00:00", "{at}");
    Ok(())
}

#[test]
fn a_restoration_goes_out_and_comes_back() -> Outcome {
    let bench = started()?;
    bench.enter("reading", &["V9.5", "135 V", "--line", "117"])?;
    bench.enter("correct", &["2", "value = 153 V"])?;
    let path = |name: &str| bench.folder.path().join(name).display().to_string();
    let (folder, again, back, copy) = (path("out"), path("again"), path("back"), path("copy"));
    let (status, answer) = json(&["export", &bench.file, &folder])?;
    assert_eq!(
        (status, &answer["entries"], &answer["sheets"]),
        (0, &Value::from(3), &Value::from(1))
    );
    assert_eq!(json(&["import", &folder, &back])?.0, 0);
    assert_eq!(json(&["backup", &bench.file, &copy])?.0, 0);
    let told = page(&["export", &back, &again])?;
    assert!(told.contains("3 entries, 1 sheet, 0 photographs"), "{told}");
    let text = |folder: &str| std::fs::read_to_string(format!("{folder}/story.txt"));
    assert_eq!(text(&folder)?, text(&again)?);
    assert!(text(&folder)?.contains("typed: 153 V"));
    for file in [&back, &copy] {
        assert_eq!(
            json(&["story", file, "--all"])?.1["entries"],
            bench.story(true)?["entries"]
        );
    }
    for (arguments, wanted) in [
        (["export", &bench.file, &folder], "in it already"),
        (["import", &folder, &back], "there already"),
        (["backup", &bench.file, &copy], "there already"),
        (["import", "examples", "new"], "story.txt"),
        (["import", "none at all", "new"], "no such file"),
        (["export", LARKFIELD, "new"], "no restoration"),
    ] {
        check(&arguments, 1, wanted)?;
    }
    let story = format!("{folder}/story.txt");
    std::fs::write(
        &story,
        text(&folder)?
            .replace("value: 153", "value: much")
            .replace("at: 2026-11", "at: 2026-31"),
    )?;
    let (status, answer) = json(&["import", &folder, &path("new")])?;
    assert_eq!(status, 1);
    assert_eq!(texts(&answer, "faults", "text").len(), 4, "{answer:#}");
    assert!(answer["faults"][0]["line"].as_u64().is_some());
    Ok(())
}

/// A photograph made here: the smallest picture that is one.
fn small_png() -> Vec<u8> {
    // A grey pixel; the chunks and their sums after the PNG specification.
    let hex = "89504e470d0a1a0a0000000d49484452000000010000000108000000003a7e9b55\
               0000000a49444154789c636800000082008177cd72b60000000049454e44ae426082";
    let digits: Vec<u8> = hex.bytes().filter(u8::is_ascii_hexdigit).collect();
    let pair = |pair: &[u8]| u8::from_str_radix(std::str::from_utf8(pair).ok()?, 16).ok();
    digits.chunks(2).filter_map(pair).collect()
}

#[test]
fn a_photograph_is_kept_as_it_came() -> Outcome {
    let bench = started()?;
    let picture = bench.folder.path().join("below the chassis.bin");
    std::fs::write(&picture, small_png())?;
    let added = bench.enter(
        "photo",
        &[&picture.display().to_string(), "--shows", "below"],
    )?;
    let says = &added["entry"]["says"];
    assert_eq!(
        (&says["name"], &says["shows"]),
        (&Value::from("below the chassis.bin"), &Value::from("below"))
    );
    bench.refused("correct", &["2", "photograph = x"], 1, "never changed")?;
    let folder = bench.folder.path().join("out");
    assert_eq!(
        json(&["export", &bench.file, &folder.display().to_string()])?.0,
        0
    );
    assert_eq!(
        std::fs::read(folder.join("photographs/0002.png"))?,
        small_png()
    );
    Ok(())
}

#[test]
fn a_reading_is_judged_when_it_is_entered() -> Outcome {
    let bench = started()?;
    let line = ["--line", "117", "--meter", "10M"];
    let verdict = |place: &str, value: &str| -> Result<Value, Box<dyn std::error::Error>> {
        let answer = bench.enter("reading", &[&[place, value][..], &line].concat())?;
        Ok(answer["judged"].clone())
    };
    // The maker's chart of the example gives 315 V at 117 V (examples/larkfield_12t.toml).
    let inside = verdict("B+ main", "315 V")?;
    assert_eq!(inside["verdict"], "inside", "{inside:#}");
    assert!(inside["low"].as_f64() < inside["expected"].as_f64());
    assert!(inside["next"]["at"].is_string(), "{inside:#}");
    let slip = verdict("B+ main", "31.5 V")?;
    assert_eq!(
        (&slip["verdict"], &slip["meant_as"]["kind"]),
        (&"low".into(), &"times".into())
    );
    assert_eq!(slip["meant_as"]["value"], 315.0);
    // Only readings are judged, and a kind that nothing predicts says so.
    let seen = bench.enter("decide", &["keep the tuner"])?;
    assert!(seen.get("judged").is_none(), "{seen:#}");
    let nothing = verdict("B+ main", "0.5 mfd")?;
    assert_eq!(nothing["verdict"], "says_nothing", "{nothing:#}");
    Ok(())
}
