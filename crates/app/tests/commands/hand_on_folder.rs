//! The folder that is handed on, read by plain tools and by `import`; and everything that is refused.
//!
//! Sources beside the checks: RFC 4180 for lists, the form of `sha256sum` for checksums (FIPS 180-4).

use std::fs;
use std::path::{Path, PathBuf};

use crate::hand_on::{Bench, photograph};
use crate::program::{LARKFIELD, Outcome, check, json, page, put};

/// Files below a folder, from it.
fn files(folder: &Path, inner: &Path, found: &mut Vec<PathBuf>) -> std::io::Result<()> {
    for entry in fs::read_dir(folder.join(inner))? {
        let entry = entry?;
        let name = inner.join(entry.file_name());
        if entry.file_type()?.is_dir() {
            files(folder, &name, found)?;
        } else {
            found.push(name);
        }
    }
    Ok(())
}

/// Cells of a line of CSV (RFC 4180), for lines without line ends inside.
fn cells(line: &str) -> Vec<String> {
    let mut cells = vec![String::new()];
    let mut quoted = false;
    let mut letters = line.chars().peekable();
    while let Some(letter) = letters.next() {
        match letter {
            '"' if quoted && letters.peek() == Some(&'"') => {
                letters.next();
                cells.last_mut().expect("one").push('"');
            }
            '"' => quoted = !quoted,
            ',' if !quoted => cells.push(String::new()),
            other => cells.last_mut().expect("one").push(other),
        }
    }
    cells
}

#[test]
fn the_folder_is_read_by_plain_tools_and_taken_back() -> Outcome {
    let bench = Bench::new()?;
    bench.filled()?;
    let folder = bench.folder.path().join("for keeps");
    let named = folder.display().to_string();
    bench.hand_on(&["--folder", &named])?;
    let mut found = Vec::new();
    files(&folder, Path::new(""), &mut found)?;
    let names: Vec<String> = found
        .iter()
        .map(|own| own.to_string_lossy().replace('\\', "/"))
        .collect();
    for wanted in [
        "README.txt",
        "index.html",
        "report.pdf",
        "report.json",
        "sheet.toml",
        "sheet_as_left.toml",
        "story.csv",
        "story.txt",
        "readings.csv",
        "parts.csv",
        "SHA256SUMS.txt",
    ] {
        assert!(names.contains(&wanted.to_owned()), "{wanted}: {names:?}");
    }
    // Checksums: a line for every file but their own, and the tool of the system agrees.
    let sums = fs::read_to_string(folder.join("SHA256SUMS.txt"))?;
    assert_eq!(sums.lines().count(), names.len() - 1);
    let ended = std::process::Command::new("sha256sum")
        .args(["-c", "--quiet", "SHA256SUMS.txt"])
        .current_dir(&folder)
        .output();
    if let Ok(ended) = ended {
        assert!(ended.status.success(), "{ended:?}");
    }
    // README names every file and folder at the top.
    let readme = fs::read_to_string(folder.join("README.txt"))?;
    for name in names
        .iter()
        .map(|own| own.split('/').next().unwrap_or_default())
    {
        assert!(name == "README.txt" || readme.contains(name), "{name}");
    }
    // Lists: every row as long as its heading.
    for list in ["story.csv", "readings.csv", "parts.csv", "tests.csv"] {
        let text = fs::read_to_string(folder.join(list))?;
        let mut rows = text.split("\r\n").filter(|row| !row.is_empty()).map(cells);
        let heads = rows.next().ok_or("a heading")?;
        assert!(rows.all(|row| row.len() == heads.len()), "{list}");
    }
    assert_eq!(
        fs::read(folder.join("sheet.toml"))?,
        fs::read(crate::program::workspace().join(LARKFIELD))?
    );
    // The page leads to the photographs as the camera wrote them.
    let html = fs::read_to_string(folder.join("index.html"))?;
    let mut linked = 0;
    for piece in html.split("href=\"photographs/").skip(1) {
        let name = piece.split('"').next().unwrap_or_default();
        let original = fs::read(folder.join("photographs").join(name))?;
        assert!(
            (0..3).any(|seed| photograph(seed, 300, 200).is_ok_and(|own| own == original)),
            "{name}"
        );
        linked += 1;
    }
    assert_eq!(linked, 3);
    // Back into a file that tells the same.
    let back = bench.path("back.restoration");
    page(&["import", &named, &back])?;
    assert_eq!(
        page(&["story", &back, "--all"])?,
        page(&["story", &bench.file, "--all"])?
    );
    Ok(())
}

#[test]
fn what_cannot_be_handed_on_is_told_and_nothing_is_left_behind() -> Outcome {
    let bench = Bench::new()?;
    let report = bench.path("r.pdf");
    check(
        &["hand-on", &bench.file, "--pdf", &report],
        1,
        "nothing stands in this restoration but its sheet",
    )?;
    bench.entered("decide", &["begin"])?;
    check(&["labels", &bench.file], 0, "")?;
    let full = bench.folder.path().join("full");
    fs::create_dir(&full)?;
    put(&full, "mine.txt", "mine")?;
    for (option, name, wanted) in [
        (
            "--folder",
            bench.path("full"),
            "there is something in it already",
        ),
        (
            "--folder",
            bench.path("full/mine.txt"),
            "a file, not a folder",
        ),
        ("--folder", bench.path("none/new"), "no such folder"),
        ("--pdf", bench.path("none/r.pdf"), "no such folder"),
        ("--html", bench.path("full"), "a folder"),
    ] {
        check(&["hand-on", &bench.file, option, &name], 1, wanted)?;
    }
    for (file, wanted) in [
        (LARKFIELD, "no restoration"),
        ("none.restoration", "no such file"),
    ] {
        check(&["hand-on", file, "--pdf", &report], 1, wanted)?;
        check(&["labels", file], 1, wanted)?;
    }
    let mut left = Vec::new();
    files(bench.folder.path(), Path::new(""), &mut left)?;
    left.sort();
    // What the restoration's file keeps beside itself while it is read is none of ours.
    left.retain(|name| !name.to_string_lossy().contains(".restoration-"));
    assert_eq!(
        left,
        [Path::new("a.restoration"), Path::new("full/mine.txt")]
    );
    // An empty folder of that name is taken.
    let empty = bench.folder.path().join("empty");
    fs::create_dir(&empty)?;
    bench.hand_on(&["--folder", &empty.display().to_string()])?;
    assert!(empty.join("report.pdf").exists());
    Ok(())
}

#[test]
fn the_power_up_is_told_and_drawn_as_it_was_read() -> Outcome {
    let bench = Bench::new()?;
    let folder = bench.path("plain");
    page(&["export", &bench.file, &folder])?;
    let mut story = fs::read_to_string(Path::new(&folder).join("story.txt"))?;
    let mut number = 1;
    let mut add = |lines: &str| {
        number += 1;
        story.push_str(&format!(
            "\nfact: {number}\nat: 2026-11-29T09:00:00+01:00\n{lines}\n"
        ));
    };
    for (key, line, volts) in [("supply 1", 80, 150), ("supply 2", 117, 318)] {
        let step = format!("kind: stepped\nstep: B+ at {line} V\nkey: {key}\nevent:");
        add(&format!("{step} begun"));
        add(&format!(
            "kind: measured\nplace: B+ main\nwhat: dc_volts\ntyped: {volts} V\nvalue: {volts}\nline_volts: {line}"
        ));
        add(&format!("{step} done"));
    }
    fs::write(Path::new(&folder).join("story.txt"), story)?;
    let (file, html) = (bench.path("b.restoration"), bench.path("b.html"));
    page(&["import", &folder, &file])?;
    page(&["hand-on", &file, "--html", &html])?;
    let html = fs::read_to_string(html)?;
    for wanted in [
        "<title>Volts in the steps of the power-up</title>",
        "B+ main: 150, 318 V",
        "B+ at 80 V",
        "<title>Voltages as the set is left</title>",
        "Every reading lies in its band.",
    ] {
        assert!(html.contains(wanted), "{wanted}");
    }
    let (_, answer) = json(&["hand-on", &file])?;
    assert_eq!(
        answer["power_up"]["steps"][1]["readings"][0]["value"],
        318.0
    );
    // At 80 V of line nothing is read as left.
    let rows = answer["chart"]["rows"]
        .as_array()
        .cloned()
        .unwrap_or_default();
    let left = rows
        .iter()
        .find(|row| row["at"] == "B+ main" && row["what"] == "dc_volts");
    let left = left.ok_or("B+ main")?;
    assert_eq!(
        (left["read"].as_f64(), left["verdict"].as_str()),
        (Some(318.0), Some("inside"))
    );
    Ok(())
}
