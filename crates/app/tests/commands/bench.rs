//! The bench pages as a restorer begins them, and the devices that are let in.
//!
//! Statuses from the manual (`docs/manual/scripts.md`); addresses from RFC 5737 (documentation), RFC 1122 (loopback).

use std::io::{BufReader, Read, Write};
use std::net::{SocketAddr, TcpListener, TcpStream};
use std::process::{Child, Stdio};

use serde::Deserialize;
use serde_json::{Deserializer, Value};

use crate::program::{LARKFIELD, Outcome, check, json, keeps_to_eighty_columns, page, program};

/// The pages, ended with the test.
struct Running {
    child: Child,
    answer: Value,
}

impl Drop for Running {
    fn drop(&mut self) {
        let _ = self.child.kill();
        let _ = self.child.wait();
    }
}

fn begun(arguments: &[&str]) -> Result<Running, Box<dyn std::error::Error>> {
    let mut child = program()
        .args(arguments)
        .arg("--json")
        .stdin(Stdio::null())
        .stdout(Stdio::piped())
        .stderr(Stdio::null())
        .spawn()?;
    let out = child.stdout.take().ok_or("no output")?;
    let mut answers = Deserializer::from_reader(BufReader::new(out));
    let answer = Value::deserialize(&mut answers);
    let mut running = Running {
        child,
        answer: Value::Null,
    };
    running.answer = answer?;
    Ok(running)
}

fn restoration(folder: &tempfile::TempDir) -> Result<String, Box<dyn std::error::Error>> {
    let file = folder.path().join("a.restoration").display().to_string();
    page(&["start", &file, LARKFIELD])?;
    Ok(file)
}

#[test]
fn the_pages_answer_on_this_computer_alone_unless_the_home_network_is_asked_for() -> Outcome {
    let folder = tempfile::tempdir()?;
    let file = restoration(&folder)?;
    let running = begun(&["bench", &file, "--port", "0"])?;
    assert_eq!(running.answer.get("home"), None);
    let address = running.answer["address"].as_str().ok_or("no address")?;
    let name = address.trim_start_matches("http://").trim_end_matches('/');
    let name: SocketAddr = name.parse()?;
    assert!(name.ip().is_loopback());
    let mut stream = TcpStream::connect(name)?;
    write!(
        stream,
        "GET / HTTP/1.1\r\nHost: {name}\r\nConnection: close\r\n\r\n"
    )?;
    let mut heard = String::new();
    stream.read_to_string(&mut heard)?;
    assert!(heard.starts_with("HTTP/1.1 200"), "{heard}");
    assert!(heard.contains("Larkfield"), "{heard}");
    Ok(())
}

#[test]
fn a_file_that_is_not_there_is_begun_on_the_pages_and_its_folder_has_to_be() -> Outcome {
    let folder = tempfile::tempdir()?;
    let file = folder.path().join("new.restoration").display().to_string();
    let running = begun(&["bench", &file, "--port", "0"])?;
    assert_eq!(running.answer["begins"], true);
    drop(running);
    assert!(!folder.path().join("new.restoration").exists());
    page(&["start", &file, LARKFIELD])?;
    let running = begun(&["bench", &file, "--port", "0"])?;
    assert_eq!(running.answer.get("begins"), None);
    let far = folder.path().join("none").join("new.restoration");
    let far = far.display().to_string();
    check(
        &["bench", &far, "--port", "0"],
        1,
        "its folder is not there",
    )
}

/// The pages asked for on the home network too, on free ports.
fn at_home<'a>(file: &'a str, address: &'a str, devices: &'a str) -> [&'a str; 11] {
    [
        "bench",
        file,
        "--port",
        "0",
        "--home",
        "--home-port",
        "0",
        "--address",
        address,
        "--devices-folder",
        devices,
    ]
}

#[test]
fn on_the_home_network_the_words_and_the_print_are_told() -> Outcome {
    let folder = tempfile::tempdir()?;
    let file = restoration(&folder)?;
    let devices = folder.path().join("devices").display().to_string();
    let asked = at_home(&file, "127.0.0.1", &devices);
    let running = begun(&asked)?;
    let home = running.answer["home"].clone();
    let words = home["words"].as_str().ok_or("no words")?;
    assert_eq!(words.split(' ').count(), 4);
    assert!(
        home["addresses"][0]
            .as_str()
            .is_some_and(|own| own.starts_with("https://127.0.0.1:"))
    );
    let print = home["certificate_sha256"].as_str().ok_or("no print")?;
    drop(running);
    // The certificate's signer stays from start to start; the words do not.
    let again = begun(&asked)?;
    assert_eq!(again.answer["home"]["certificate_sha256"], *print);
    assert_ne!(again.answer["home"]["words"], *words);

    assert_eq!(
        page(&["devices", "--devices-folder", &devices])?,
        "No device is let in.\n"
    );
    let (status, all) = json(&["devices", "--devices-folder", &devices])?;
    assert_eq!((status, all), (0, Value::Array(Vec::new())));
    check(
        &[
            "devices",
            "take-back",
            "Phone",
            "--devices-folder",
            &devices,
        ],
        1,
        "no device is called \"Phone\"",
    )
}

/// The server keeps the freed memory of all its threads in one place (`MALLOC_ARENA_MAX`, mallopt(3)); who set the number
/// himself keeps his.
#[cfg(all(target_os = "linux", target_env = "gnu"))]
#[test]
fn the_server_has_one_store_of_memory() -> Outcome {
    let folder = tempfile::tempdir()?;
    let file = restoration(&folder)?;
    let running = begun(&["bench", &file, "--port", "0"])?;
    let environment = std::fs::read(format!("/proc/{}/environ", running.child.id()))?;
    let environment = String::from_utf8_lossy(&environment).into_owned();
    let set: Vec<&str> = environment
        .split('\0')
        .filter(|own| own.starts_with("MALLOC_ARENA_MAX="))
        .collect();
    let wanted = match std::env::var("MALLOC_ARENA_MAX") {
        Ok(own) => format!("MALLOC_ARENA_MAX={own}"),
        Err(_) => "MALLOC_ARENA_MAX=1".to_owned(),
    };
    assert_eq!(set, [wanted.as_str()]);
    Ok(())
}

#[test]
fn what_cannot_be_served_is_told() -> Outcome {
    let folder = tempfile::tempdir()?;
    let file = restoration(&folder)?;
    let devices = folder.path().join("devices").display().to_string();
    let taken = TcpListener::bind("127.0.0.1:0")?;
    let port = taken.local_addr()?.port().to_string();
    check(
        &["bench", &file, "--port", &port],
        1,
        "cannot be listened on",
    )?;
    check(
        &at_home(&file, "203.0.113.9", &devices),
        1,
        "no address of a home network",
    )?;
    check(&["bench", LARKFIELD, "--port", "0"], 1, "restoration")?;
    let blocked = folder.path().join("blocked");
    std::fs::write(&blocked, "a file")?;
    let blocked = blocked.display().to_string();
    check(
        &at_home(&file, "127.0.0.1", &blocked),
        1,
        "--devices-folder",
    )?;
    std::fs::create_dir_all(&devices)?;
    let list = folder.path().join("devices").join("devices.json");
    std::fs::write(&list, "{\n  \"layout\": 1,\n  \"devices\": 7 }")?;
    check(&["devices", "--devices-folder", &devices], 1, "line 3")?;
    assert!(std::fs::read_to_string(&list)?.contains("7"));
    Ok(())
}

#[test]
fn the_devices_are_kept_in_a_folder_of_the_person() -> Outcome {
    let folder = tempfile::tempdir()?;
    let output = program()
        .args(["devices"])
        .env("HOME", folder.path())
        .env("XDG_DATA_HOME", folder.path().join("data"))
        .stdin(Stdio::null())
        .output()?;
    assert_eq!(output.status.code(), Some(0), "{output:?}");
    keeps_to_eighty_columns(&String::from_utf8(output.stdout)?);
    #[cfg(target_os = "linux")]
    assert!(folder.path().join("data/firstraster/devices").is_dir());
    Ok(())
}
