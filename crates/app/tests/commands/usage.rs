//! Usage, help, manual pages, completion, pipes.
//!
//! Source of the statuses: the manual (`docs/manual/scripts.md`).

use std::process::Stdio;

use crate::program::{LARKFIELD, Outcome, check, json, program, put, run};

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
    let sheet = put(
        folder.path(),
        "faulty.toml",
        "sheet = 1\nline_volts = \"fast\"\n",
    )?;
    let output = run(&["check", &sheet])?;
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
    let path = put(folder.path(), "a file", "")?;
    check(&["manual", &path], 1, "cannot be written")
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
