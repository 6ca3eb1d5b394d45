//! The program as a restorer or a script runs it: right and wrong input, exit
//! statuses, JSON, pipes.
//!
//! Source of names and statuses: the manual (`docs/manual/scripts.md`), which fixes
//! them for scripts outside the project.

use std::error::Error;
use std::path::PathBuf;
use std::process::{Command, Output, Stdio};

use serde_json::Value;

type Outcome = Result<(), Box<dyn Error>>;

/// Runs the program in the workspace's folder.
fn run(arguments: &[&str]) -> Result<Output, Box<dyn Error>> {
    Ok(program().args(arguments).output()?)
}

fn program() -> Command {
    let mut command = Command::new(assert_cmd::cargo::cargo_bin!("firstraster"));
    command.current_dir(workspace());
    command
}

fn workspace() -> PathBuf {
    PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("../..")
}

fn check(arguments: &[&str], status: i32, on_error_stream: &str) -> Outcome {
    let output = run(arguments)?;
    let said = String::from_utf8_lossy(&output.stderr);
    assert_eq!(output.status.code(), Some(status), "{arguments:?}: {said}");
    assert!(
        said.contains(on_error_stream),
        "{arguments:?}: `{on_error_stream}` is not in {said}"
    );
    assert!(!said.contains("panicked"), "{arguments:?}: {said}");
    Ok(())
}

/// The JSON answer with its exit status.
fn json(arguments: &[&str]) -> Result<(i32, Value), Box<dyn Error>> {
    let mut arguments = arguments.to_vec();
    arguments.push("--json");
    let output = run(&arguments)?;
    let status = output.status.code().ok_or("ended by a signal")?;
    let answer = serde_json::from_slice(&output.stdout).map_err(|error| {
        format!(
            "{arguments:?}: {error}: {}",
            String::from_utf8_lossy(&output.stdout)
        )
    })?;
    Ok((status, answer))
}

const LARKFIELD: &str = "examples/larkfield_12t.toml";

#[test]
fn every_example_passes_check() -> Outcome {
    let mut folders = vec![workspace().join("examples")];
    let mut count = 0;
    while let Some(folder) = folders.pop() {
        for entry in std::fs::read_dir(folder)? {
            let path = entry?.path();
            if path.is_dir() {
                folders.push(path);
            } else if path.extension().is_some_and(|ending| ending == "toml") {
                let name = path.display().to_string();
                let (status, answer) = json(&["check", &name])?;
                assert_eq!(status, 0, "{name}: {answer:#}");
                assert_eq!(answer["ok"], true, "{name}");
                count += 1;
            }
        }
    }
    assert!(count >= 2, "only {count} examples were found");
    Ok(())
}

#[test]
fn check_answers_in_its_fixed_form() -> Outcome {
    let (status, answer) = json(&["check", LARKFIELD])?;
    assert_eq!(status, 0);
    assert_eq!(answer["format"], 1);
    assert_eq!(answer["ok"], true);
    assert!(answer["faults"].as_array().is_some_and(Vec::is_empty));
    assert!(answer["notices"].is_array());
    Ok(())
}

#[test]
fn all_faults_of_a_sheet_are_told_with_their_places() -> Outcome {
    let folder = tempfile::tempdir()?;
    let path = folder.path().join("faulty.toml");
    let sheet = "sheet = 1\nname = \"x\"\nline_volts = \"fast\"\nline_hertz = 60\ntubes = [\n  [\"V1\", \"6AU7x\", \"job\"],\n]\n";
    std::fs::write(&path, sheet)?;
    let name = path.display().to_string();
    for command in ["check", "expect", "ohms", "wake"] {
        let (status, answer) = json(&[command, &name])?;
        assert_eq!(status, 1, "{command}");
        assert_eq!(answer["ok"], false, "{command}");
        let faults = answer["faults"].as_array().ok_or("no faults")?;
        let lines: Vec<Option<u64>> = faults.iter().map(|fault| fault["line"].as_u64()).collect();
        assert_eq!(lines, [Some(3), Some(6)], "{command}: {answer:#}");
        for fault in faults {
            assert!(fault["column"].as_u64().is_some_and(|column| column > 1));
            assert!(fault["hint"].as_str().is_some_and(|hint| !hint.is_empty()));
        }
        assert!(answer.get("readings").is_none() && answer.get("steps").is_none());
    }
    // For people the line itself is shown, with the place marked.
    let output = run(&["check", &name])?;
    let page = String::from_utf8_lossy(&output.stdout);
    assert!(
        page.contains("line_volts = \"fast\"") && page.contains("^^^^^^"),
        "{page}"
    );
    Ok(())
}

#[test]
fn files_that_are_no_sheet_give_one_clear_message() -> Outcome {
    let folder = tempfile::tempdir()?;
    let in_folder = |name: &str| folder.path().join(name).display().to_string();
    std::fs::write(
        in_folder("binary"),
        [0u8, 159, 146, 150, 0, 1, 2, 3].repeat(500),
    )?;
    std::fs::write(in_folder("empty"), "")?;
    std::fs::File::create(in_folder("large"))?.set_len(9 * 1024 * 1024)?;
    for command in ["check", "expect", "ohms", "wake"] {
        check(&[command, &in_folder("not there")], 1, "no such file")?;
        check(
            &[command, &folder.path().display().to_string()],
            1,
            "a folder",
        )?;
        check(
            &[command, &in_folder("large")],
            1,
            "larger than 8 megabytes",
        )?;
        check(&[command, &in_folder("binary")], 1, "")?;
        check(&[command, &in_folder("empty")], 1, "")?;
        let (status, answer) = json(&[command, &in_folder("not there")])?;
        assert_eq!((status, &answer["ok"]), (1, &Value::Bool(false)));
        assert_eq!(answer["faults"].as_array().map(Vec::len), Some(1));
    }
    Ok(())
}

#[test]
fn ten_thousand_faulty_lines_are_survived() -> Outcome {
    let folder = tempfile::tempdir()?;
    let path = folder.path().join("long.toml");
    let rows = "  [\"R1\", \"resistr\", \"4.7k\", \"V1.9\", \"chassis\"],\n".repeat(10_000);
    std::fs::write(&path, format!("sheet = 1\nparts = [\n{rows}]\n"))?;
    let (status, answer) = json(&["check", &path.display().to_string()])?;
    assert_eq!(status, 1);
    assert!(
        answer["faults"]
            .as_array()
            .is_some_and(|faults| faults.len() >= 10_000)
    );
    Ok(())
}

#[test]
fn wrong_usage_has_its_own_status() -> Outcome {
    check(&[], 2, "Usage")?;
    check(&["frobnicate"], 2, "unrecognized")?;
    check(&["check"], 2, "SHEET")?;
    check(
        &["expect", LARKFIELD, "--line", "mains"],
        2,
        "no line voltage",
    )?;
    check(
        &["expect", LARKFIELD, "--lamp", "bright"],
        2,
        "names no lamp",
    )?;
    check(&["expect", LARKFIELD, "--seconds", "-1"], 2, "out of range")?;
    check(&["expect", LARKFIELD, "--meter", "good one"], 2, "no meter")?;
    check(
        &["expect", LARKFIELD, "--dc", "B+ main 300 V"],
        2,
        "no series resistor",
    )?;
    check(
        &[
            "expect",
            LARKFIELD,
            "--dc",
            "B+ main 300 V 47k",
            "--lamp",
            "100",
        ],
        2,
        "cannot be used with",
    )?;
    check(&["completion", "none-such"], 2, "possible values")?;
    Ok(())
}

#[test]
fn help_and_version_are_no_fault() -> Outcome {
    for arguments in [
        &["--help"][..],
        &["--version"],
        &["expect", "--help"],
        &["help", "wake"],
    ] {
        check(arguments, 0, "")?;
    }
    Ok(())
}

#[test]
fn a_sheet_may_come_from_a_pipe() -> Outcome {
    use std::io::Write;
    let mut child = program()
        .args(["check", "-", "--json"])
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .spawn()?;
    let sheet = std::fs::read(workspace().join(LARKFIELD))?;
    child.stdin.take().ok_or("no pipe")?.write_all(&sheet)?;
    let output = child.wait_with_output()?;
    assert_eq!(output.status.code(), Some(0));
    let answer: Value = serde_json::from_slice(&output.stdout)?;
    assert_eq!(answer["ok"], true);
    Ok(())
}

#[cfg(unix)]
#[test]
fn a_reader_that_goes_away_ends_the_program_quietly() -> Outcome {
    let mut child = program()
        .args(["completion", "bash"])
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()?;
    drop(child.stdout.take());
    let output = child.wait_with_output()?;
    let said = String::from_utf8_lossy(&output.stderr);
    assert!(said.is_empty(), "{said}");
    assert_eq!(output.status.code(), Some(0));
    Ok(())
}

#[test]
fn a_pipe_gets_no_colour() -> Outcome {
    let folder = tempfile::tempdir()?;
    let path = folder.path().join("faulty.toml");
    std::fs::write(&path, "sheet = 1\nline_volts = \"fast\"\n")?;
    let output = run(&["check", &path.display().to_string()])?;
    assert!(!output.stdout.contains(&0x1b));
    Ok(())
}

#[test]
fn manual_pages_are_written_for_the_program_and_each_command() -> Outcome {
    let folder = tempfile::tempdir()?;
    let pages = folder.path().join("new/man");
    let (status, answer) = json(&["manual", &pages.display().to_string()])?;
    assert_eq!(status, 0);
    assert!(
        answer["pages"]
            .as_array()
            .is_some_and(|pages| pages.len() >= 8)
    );
    for name in [
        "firstraster",
        "firstraster-check",
        "firstraster-expect",
        "firstraster-wake",
        "firstraster-ohms",
    ] {
        let page = std::fs::read_to_string(pages.join(format!("{name}.1")))?;
        assert!(
            page.contains(".SH NAME") && page.contains(".SH SYNOPSIS"),
            "{name}"
        );
    }
    let expect = std::fs::read_to_string(pages.join("firstraster-expect.1"))?;
    assert!(expect.contains("source\\-ohms"), "{expect}");
    Ok(())
}

#[test]
fn manual_pages_into_a_file_are_refused() -> Outcome {
    let folder = tempfile::tempdir()?;
    let path = folder.path().join("a file");
    std::fs::write(&path, "")?;
    check(
        &["manual", &path.display().to_string()],
        1,
        "cannot be written",
    )
}

#[test]
fn every_shell_gets_its_completion() -> Outcome {
    for shell in ["bash", "elvish", "fish", "powershell", "zsh"] {
        let output = run(&["completion", shell])?;
        assert_eq!(output.status.code(), Some(0), "{shell}");
        let script = String::from_utf8_lossy(&output.stdout);
        assert!(script.contains("fitted-without"), "{shell}");
    }
    Ok(())
}

/// The names and kinds of reading that scripts rely on, from the manual's page on scripts.
const KINDS: &[&str] = &[
    "dc_volts",
    "ripple_volts_peak_to_peak",
    "ac_volts_rms",
    "line_amps_rms",
    "line_watts",
    "lamp_volts_rms",
    "heater_volts_rms",
    "plate_milliamps",
    "screen_milliamps",
    "cathode_milliamps",
    "part_milliamps",
    "rectifier_peak_milliamps",
    "capacitor_ripple_amps_rms",
    "part_watts",
    "ohms",
];

/// The expected value of one reading of an answer.
fn reading(answer: &Value, at: &str, what: &str) -> Option<f64> {
    let readings = answer["readings"].as_array()?;
    readings
        .iter()
        .find(|one| one["at"] == at && one["what"] == what)?["expected"]
        .as_f64()
}

fn hold_form_of_readings(answer: &Value) -> Outcome {
    assert_eq!(answer["format"], 1);
    assert!(answer["program"].is_string() && answer["data"].is_string());
    let readings = answer["readings"].as_array().ok_or("no readings")?;
    assert!(!readings.is_empty());
    for one in readings {
        assert!(one["at"].is_string() && one["made_of"].is_array(), "{one}");
        assert!(
            KINDS.contains(&one["what"].as_str().unwrap_or_default()),
            "{one}"
        );
        let figure = |name: &str| one[name].as_f64().ok_or(format!("{name} of {one}"));
        let (low, expected, high) = (figure("low")?, figure("expected")?, figure("high")?);
        assert!(low <= expected && expected <= high, "{one}");
    }
    for one in answer["unknown"].as_array().ok_or("no unknown")? {
        assert!(
            one["because"]
                .as_str()
                .is_some_and(|because| !because.is_empty()),
            "{one}"
        );
        let told = readings
            .iter()
            .any(|other| other["at"] == one["at"] && other["what"] == one["what"]);
        assert!(!told, "told and not told: {one}");
    }
    assert!(answer["notices"].is_array());
    Ok(())
}

#[test]
fn expect_answers_in_its_fixed_form() -> Outcome {
    let (status, answer) = json(&["expect", LARKFIELD])?;
    assert_eq!(status, 0, "{answer:#}");
    hold_form_of_readings(&answer)?;
    let conditions = &answer["conditions"];
    assert_eq!(conditions["line_volts"], 117.0);
    assert!(
        conditions["lamp_watts"].is_null()
            && conditions["seconds"].is_null()
            && conditions["meter"].is_null()
    );
    for list in ["pulled", "open", "fitted_without"] {
        assert!(
            conditions[list].as_array().is_some_and(Vec::is_empty),
            "{list}"
        );
    }
    assert_eq!(conditions["bands"], true);
    Ok(())
}

#[test]
fn every_condition_comes_back_with_the_answer() -> Outcome {
    let (status, answer) = json(&[
        "expect",
        LARKFIELD,
        "--line",
        "105",
        "--lamp",
        "100+60",
        "--source-ohms",
        "1.5",
        "--pulled",
        "v14",
        "--open",
        "J2",
        "--fitted-without",
        "C4A",
        "--meter",
        "20k/V 500 V",
        "--to",
        "b+ main",
        "--no-bands",
    ])?;
    assert_eq!(status, 0, "{answer:#}");
    let conditions = &answer["conditions"];
    assert_eq!(conditions["line_volts"], 105.0);
    assert_eq!(conditions["lamp_watts"], 160.0);
    assert_eq!(conditions["source_ohms"], 1.5);
    assert_eq!(conditions["pulled"][0], "V14");
    assert_eq!(conditions["open"][0], "J2");
    assert_eq!(conditions["fitted_without"][0], "C4A");
    assert_eq!(conditions["meter"], "20k/V 500 V");
    assert_eq!(conditions["to"], "B+ main");
    assert_eq!(conditions["bands"], false);
    for one in answer["readings"].as_array().ok_or("no readings")? {
        assert!(
            one["low"] == one["expected"] && one["high"] == one["expected"],
            "{one}"
        );
    }
    Ok(())
}

#[test]
fn a_lamp_in_series_takes_its_share_of_the_line() -> Outcome {
    // A series circuit: with the lamp the set gets less than the line, and B+ falls (Kirchhoff).
    let (_, without) = json(&["expect", LARKFIELD, "--line", "117", "--no-bands"])?;
    let (_, with) = json(&[
        "expect",
        LARKFIELD,
        "--line",
        "117",
        "--lamp",
        "100",
        "--no-bands",
    ])?;
    let supply = |answer: &Value| reading(answer, "B+ main", "dc_volts").ok_or("no B+ main");
    assert!(supply(&with)? < 0.9 * supply(&without)?);
    let lamp = reading(&with, "lamp", "lamp_volts_rms").ok_or("no lamp")?;
    assert!(lamp > 0.0 && lamp < 117.0, "{lamp} V");
    assert!(reading(&without, "lamp", "lamp_volts_rms").is_none_or(|volts| volts == 0.0));
    Ok(())
}

#[test]
fn conditions_that_do_not_fit_the_sheet_are_told_all_at_once() -> Outcome {
    let (status, answer) = json(&[
        "expect", LARKFIELD, "--pulled", "V99,R31", "--open", "R31", "--to", "B+ man",
    ])?;
    assert_eq!(status, 1);
    assert_eq!(
        answer["faults"].as_array().map(Vec::len),
        Some(4),
        "{answer:#}"
    );
    check(
        &["expect", LARKFIELD, "--to", "B+ man"],
        1,
        "did you mean `B+ main`?",
    )?;
    check(
        &["ohms", LARKFIELD, "--pulled", "V99"],
        1,
        "`V99` is no tube",
    )
}

#[test]
fn pages_keep_to_eighty_columns() -> Outcome {
    let output = run(&["expect", LARKFIELD])?;
    for line in String::from_utf8_lossy(&output.stdout).lines() {
        assert!(line.chars().count() <= 80, "{line}");
    }
    Ok(())
}

#[test]
fn ohms_answers_in_its_fixed_form() -> Outcome {
    let (status, answer) = json(&["ohms", LARKFIELD])?;
    assert_eq!(status, 0, "{answer:#}");
    hold_form_of_readings(&answer)?;
    assert!(
        answer["conditions"]["line_volts"].is_null(),
        "the plug is out"
    );
    for one in answer["readings"].as_array().ok_or("no readings")? {
        assert_eq!(one["what"], "ohms");
        assert_eq!(one["to"], "chassis");
    }
    Ok(())
}

#[test]
fn ohms_between_two_places_are_the_same_both_ways_round() -> Outcome {
    // Reciprocity: between two places joined by resistances alone it does not matter which
    // lead is where. The two plate ends are joined by the copper of the plate windings.
    let between = |at: &str, to: &str| -> Result<f64, Box<dyn Error>> {
        let (_, answer) = json(&["ohms", LARKFIELD, "--to", to])?;
        Ok(reading(&answer, at, "ohms").ok_or(format!("no {at} to {to}: {answer:#}"))?)
    };
    let (one, other) = (between("V14.4", "V14.6")?, between("V14.6", "V14.4")?);
    assert!((one - other).abs() < 1e-3 * one, "{one} and {other} ohm");
    // The copper as the sheet gives it: 31 and 33 ohm in series.
    assert!((one - 64.0).abs() < 0.64, "{one} ohm");
    Ok(())
}

#[test]
fn pictures_are_drawn_besides_the_answer() -> Outcome {
    let folder = tempfile::tempdir()?;
    for (picture_of, wanted) in [("line", "line, volts rms"), ("seconds", "after switch-on")] {
        let path = folder.path().join(format!("{picture_of}.svg"));
        let name = path.display().to_string();
        let (status, answer) = json(&[
            "expect",
            LARKFIELD,
            "--no-bands",
            "--picture",
            &name,
            "--picture-of",
            picture_of,
        ])?;
        assert_eq!(status, 0, "{answer:#}");
        hold_form_of_readings(&answer)?;
        let svg = std::fs::read_to_string(&path)?;
        for wanted in ["<title id=", "<desc id=", "Larkfield 12T", wanted] {
            assert!(
                svg.contains(wanted),
                "{picture_of}: `{wanted}` is not in the picture"
            );
        }
    }
    let nowhere = folder
        .path()
        .join("no such folder/a.svg")
        .display()
        .to_string();
    check(
        &["expect", LARKFIELD, "--no-bands", "--picture", &nowhere],
        1,
        "cannot be written",
    )
}

#[test]
fn wake_answers_in_its_fixed_form() -> Outcome {
    for sheet in [LARKFIELD, "examples/merrow_17s.toml"] {
        let (status, answer) = json(&["wake", sheet])?;
        assert_eq!(status, 0, "{sheet}: {answer:#}");
        assert_eq!(answer["format"], 1);
        let steps = answer["steps"].as_array().ok_or("no steps")?;
        assert!(!steps.is_empty(), "{sheet}");
        for (index, step) in steps.iter().enumerate() {
            hold_form_of_step(step, index + 1)
                .map_err(|error| format!("{sheet}: step {}: {error}", index + 1))?;
        }
        assert!(
            steps.iter().any(|step| step["energised"] == true),
            "{sheet}"
        );
        for unguarded in answer["unguarded"].as_array().ok_or("no unguarded")? {
            assert!(
                unguarded["fault"].is_string() && unguarded["because"].is_string(),
                "{unguarded}"
            );
        }
        assert!(answer["notices"].is_array());
        assert!(
            answer["work"]["solved_states"]
                .as_u64()
                .is_some_and(|count| count > 0)
        );
    }
    Ok(())
}

fn hold_form_of_step(step: &Value, number: usize) -> Outcome {
    assert_eq!(step["step"], number);
    for list in [
        "do",
        "expect",
        "stop",
        "stop_signs",
        "live",
        "charged",
        "cautions",
    ] {
        assert!(step[list].is_array(), "{list}");
    }
    assert!(step["title"].is_string() && step["because"].is_string());
    assert!(step["do"].as_array().is_some_and(|acts| !acts.is_empty()));
    assert!(step["conditions"].is_object() && step["wait_seconds"].is_number());
    let energised = step["energised"].as_bool().ok_or("no energised")?;
    // The signs that need no meter and what is live belong to every step with power.
    assert_eq!(
        energised,
        step["stop_signs"]
            .as_array()
            .is_some_and(|signs| !signs.is_empty())
    );
    // Power comes from the line or from a d.c. source, never from both.
    let conditions = &step["conditions"];
    assert_eq!(
        energised,
        conditions["line_volts"].is_number() || conditions["dc"].is_string()
    );
    assert!(conditions["line_volts"].is_null() || conditions["dc"].is_null());
    if energised {
        assert!(step["live"].as_array().is_some_and(|live| !live.is_empty()));
    }
    for stop in step["stop"].as_array().into_iter().flatten() {
        assert!(
            stop["above"].is_number() != stop["below"].is_number(),
            "{stop}"
        );
        assert!(stop["after_seconds"].is_number(), "{stop}");
        assert!(
            stop["tells"].is_array() && stop["cannot_tell"].is_array(),
            "{stop}"
        );
        assert!(
            KINDS.contains(&stop["what"].as_str().unwrap_or_default()),
            "{stop}"
        );
    }
    for charged in step["charged"].as_array().into_iter().flatten() {
        assert!(
            charged["at"].is_string() && charged["volts"].is_number(),
            "{charged}"
        );
        assert!(
            charged.get("seconds_to_10_volts").is_some()
                && charged.get("if_bleeder_open_seconds").is_some()
        );
        if charged["at"]
            .as_str()
            .is_some_and(|at| at.ends_with(".anode"))
        {
            assert!(
                charged["seconds_to_10_volts"].is_null(),
                "the anode never counts as discharged by time"
            );
        }
    }
    Ok(())
}

#[test]
fn wake_shows_people_every_step() -> Outcome {
    let output = run(&["wake", LARKFIELD])?;
    assert_eq!(
        output.status.code(),
        Some(0),
        "{}",
        String::from_utf8_lossy(&output.stderr)
    );
    let page = String::from_utf8_lossy(&output.stdout);
    for wanted in [
        "can kill",
        "Step 1:",
        "ENERGISED",
        "before any question",
        "solved states",
    ] {
        assert!(page.contains(wanted), "`{wanted}` is not in\n{page}");
    }
    for line in page.lines() {
        assert!(line.chars().count() <= 80, "{line}");
    }
    Ok(())
}

#[test]
fn a_picture_of_a_step_without_power_is_refused() -> Outcome {
    let folder = tempfile::tempdir()?;
    let path = folder.path().join("step.svg").display().to_string();
    check(
        &["wake", LARKFIELD, "--picture", &path, "--picture-step", "1"],
        1,
        "no power",
    )?;
    check(&["wake", LARKFIELD, "--picture", &path], 0, "")?;
    assert!(std::fs::read_to_string(&path)?.contains("<desc id="));
    Ok(())
}

#[test]
fn the_demo_tells_the_whole_job_and_what_to_do_next() -> Outcome {
    let output = run(&["demo"])?;
    assert_eq!(
        output.status.code(),
        Some(0),
        "{}",
        String::from_utf8_lossy(&output.stderr)
    );
    let page = String::from_utf8_lossy(&output.stdout);
    let mut from = 0;
    for wanted in [
        "firstraster check",
        "firstraster ohms",
        "firstraster expect",
        "firstraster wake",
        "Step 1:",
        "What to do next",
    ] {
        let place = page[from..]
            .find(wanted)
            .ok_or(format!("`{wanted}` is not in its place in\n{page}"))?;
        from += place;
    }
    let (status, answer) = json(&["demo"])?;
    assert_eq!(status, 0);
    for part in ["sheet", "check", "ohms", "expect", "wake", "next"] {
        assert!(!answer[part].is_null(), "{part}");
    }
    Ok(())
}
