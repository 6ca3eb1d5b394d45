//! The program, run as a restorer or a script runs it.
//!
//! It runs in the workspace's folder and reads nothing unless lines are typed.

use std::error::Error;
use std::io::Write;
use std::path::{Path, PathBuf};
use std::process::{Command, Output, Stdio};

use serde_json::Value;

/// What a test gives back.
pub type Outcome = Result<(), Box<dyn Error>>;

/// The example, as a path from the workspace's folder.
pub const LARKFIELD: &str = "examples/larkfield_12t.toml";

/// The example's text.
pub const LARKFIELD_TEXT: &str = include_str!("../../../../examples/larkfield_12t.toml");

/// When entries of a test are made.
pub const AT: [&str; 2] = ["--at", "2026-11-29T08:49:51+01:00"];

pub fn workspace() -> PathBuf {
    PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("../..")
}

pub fn program() -> Command {
    let mut command = Command::new(assert_cmd::cargo::cargo_bin!("firstraster"));
    command.current_dir(workspace());
    command
}

pub fn run(arguments: &[&str]) -> Result<Output, Box<dyn Error>> {
    Ok(program().args(arguments).stdin(Stdio::null()).output()?)
}

/// Runs with these lines typed: status, standard output, standard error.
pub fn typed(arguments: &[&str], lines: &str) -> Result<(i32, String, String), Box<dyn Error>> {
    let mut child = program()
        .args(arguments)
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()?;
    if let Some(mut input) = child.stdin.take() {
        // A program that has ended reads no more; what it said counts.
        let _ = input.write_all(lines.as_bytes());
    }
    let output = child.wait_with_output()?;
    Ok((
        output.status.code().ok_or("ended by a signal")?,
        String::from_utf8(output.stdout)?,
        String::from_utf8(output.stderr)?,
    ))
}

/// The JSON answer with its exit status.
pub fn json(arguments: &[&str]) -> Result<(i32, Value), Box<dyn Error>> {
    let output = run(&[arguments, &["--json"]].concat())?;
    let status = output.status.code().ok_or("ended by a signal")?;
    let answer = serde_json::from_slice(&output.stdout)
        .map_err(|error| format!("{arguments:?}: {error}: {output:?}"))?;
    Ok((status, answer))
}

/// The page of a command that does what was asked.
pub fn page(arguments: &[&str]) -> Result<String, Box<dyn Error>> {
    let output = run(arguments)?;
    assert_eq!(output.status.code(), Some(0), "{arguments:?}: {output:?}");
    Ok(String::from_utf8(output.stdout)?)
}

/// Holds the exit status and a piece of what is said on the error stream.
pub fn check(arguments: &[&str], status: i32, on_error_stream: &str) -> Outcome {
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

/// Writes a file into a folder; its path.
pub fn put(folder: &Path, name: &str, text: &str) -> Result<String, Box<dyn Error>> {
    let path = folder.join(name);
    std::fs::write(&path, text)?;
    Ok(path.display().to_string())
}

/// One field of every row of a list.
pub fn texts(answer: &Value, list: &str, field: &str) -> Vec<String> {
    let rows = answer[list].as_array().into_iter().flatten();
    rows.filter_map(|row| row[field].as_str().map(str::to_string))
        .collect()
}

/// Holds that a page fits a narrow screen.
pub fn keeps_to_eighty_columns(page: &str) {
    for line in page.lines() {
        assert!(line.chars().count() <= 80, "{line}");
    }
}

/// Weight of a part in an answer of `suspects`; nought where it is not listed.
pub fn weight(answer: &Value, part: &str) -> f64 {
    let mut list = answer["suspects"].as_array().into_iter().flatten();
    list.find(|own| own["part"] == part)
        .and_then(|own| own["weight"].as_f64())
        .unwrap_or(0.0)
}
