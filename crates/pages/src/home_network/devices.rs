//! The devices that were let in: their names, when, and what their tokens are known by.
//!
//! One file of JSON in the folder of its own; a token stands there as its SHA-256 only. It is read again when it was
//! changed, so that a token taken back by another command no longer holds with the next request. Fails for a file
//! that is none of this program's: then nobody is let in from the home network and the file stays as it is.

use std::fs::File;
use std::path::{Path, PathBuf};
use std::sync::Mutex;
use std::time::SystemTime;

use benchwork::{Stamp, Trouble};
use serde::{Deserialize, Serialize};
use sha2::{Digest, Sha256};

use super::{cannot, own_folder, write_own};
use crate::bench::lock;

/// Longest name of a device, in letters.
const LONGEST_NAME: usize = 40;
/// How many devices may be let in.
const MOST: usize = 50;

/// One device.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Device {
    /// What it is called; no two are called the same.
    pub name: String,
    /// When it was let in, as ISO 8601.
    pub since: String,
    /// SHA-256 of its token, in hexadecimal digits.
    pub token_sha256: String,
}

#[derive(Debug, Clone, Default, Serialize, Deserialize)]
struct Listed {
    /// Version of this file's layout.
    layout: u32,
    devices: Vec<Device>,
}

const LAYOUT: u32 = 1;

/// When a file was written and how long it is: another one is read again.
type Seen = Option<(SystemTime, u64)>;

/// The devices of one folder.
pub struct Devices {
    folder: PathBuf,
    read: Mutex<(Seen, Vec<Device>)>,
}

impl Devices {
    /// Those of this folder, which is made where it lacks.
    pub fn in_folder(folder: &Path) -> Result<Devices, Trouble> {
        own_folder(folder)?;
        let own = Devices {
            folder: folder.to_owned(),
            read: Mutex::default(),
        };
        own.all()?;
        Ok(own)
    }

    fn path(&self) -> PathBuf {
        self.folder.join("devices.json")
    }

    /// Every device, in the order in which they were let in.
    pub fn all(&self) -> Result<Vec<Device>, Trouble> {
        let mut read = lock(&self.read);
        let seen = self.seen();
        if seen.is_none() {
            *read = (None, Vec::new());
        } else if seen != read.0 {
            *read = (seen, self.listed()?.devices);
        }
        Ok(read.1.clone())
    }

    /// The device that bears this token.
    pub fn of_token(&self, token: &str) -> Result<Option<Device>, Trouble> {
        let hash = hash_of(token);
        let all = self.all()?;
        Ok(all.into_iter().find(|device| device.token_sha256 == hash))
    }

    /// Lets a device in: its entry, and the token that is told only now.
    pub fn let_in(&self, name: &str, at: &Stamp) -> Result<(Device, String), Trouble> {
        let mut bytes = [0u8; 32];
        getrandom::fill(&mut bytes)
            .map_err(|error| Trouble::ours(format!("this system has no random source: {error}")))?;
        let token = hexadecimal(&bytes);
        let device = self.changed(|devices| {
            if devices.len() >= MOST {
                return Err(Trouble::input(
                    format!("{MOST} devices are let in already"),
                    "take back those that are no longer used, on the laptop",
                ));
            }
            let device = Device {
                name: free_name(name, devices),
                since: at.as_str().to_owned(),
                token_sha256: hash_of(&token),
            };
            devices.push(device.clone());
            Ok(device)
        })?;
        Ok((device, token))
    }

    /// Takes back what this device was given: it no longer gets in.
    pub fn take_back(&self, name: &str) -> Result<Device, Trouble> {
        self.changed(|devices| {
            let place = devices.iter().position(|device| device.name == name);
            let Some(place) = place else {
                let known: Vec<String> = devices
                    .iter()
                    .map(|device| format!("\"{}\"", device.name))
                    .collect();
                return Err(Trouble::input(
                    format!("no device is called \"{name}\""),
                    match known.is_empty() {
                        true => "no device is let in".to_owned(),
                        false => format!("those let in are {}", known.join(", ")),
                    },
                ));
            };
            Ok(devices.remove(place))
        })
    }

    /// Reads, changes and writes the list while no other program does.
    fn changed<T>(
        &self,
        change: impl FnOnce(&mut Vec<Device>) -> Result<T, Trouble>,
    ) -> Result<T, Trouble> {
        let guard = self.folder.join("devices.lock");
        let guard = File::create(&guard)
            .and_then(|file| file.lock().map(|()| file))
            .map_err(|error| cannot(&guard, &error))?;
        let mut listed = self.listed()?;
        let done = change(&mut listed.devices)?;
        listed.layout = LAYOUT;
        let text =
            serde_json::to_vec_pretty(&listed).map_err(|error| Trouble::ours(error.to_string()))?;
        write_own(&self.path(), &text)?;
        // What was read before no longer counts, however close the two times of writing are.
        lock(&self.read).0 = None;
        drop(guard);
        Ok(done)
    }

    fn seen(&self) -> Seen {
        let about = std::fs::metadata(self.path()).ok()?;
        Some((about.modified().ok()?, about.len()))
    }

    fn listed(&self) -> Result<Listed, Trouble> {
        let path = self.path();
        let text = match std::fs::read_to_string(&path) {
            Ok(text) => text,
            Err(error) if error.kind() == std::io::ErrorKind::NotFound => {
                return Ok(Listed::default());
            }
            Err(error) => return Err(cannot(&path, &error)),
        };
        let unread = |text: String| Trouble::File {
            name: path.display().to_string(),
            text,
            hint: "move it away; then every device is let in anew".to_owned(),
        };
        let listed: Listed = serde_json::from_str(&text).map_err(|error| {
            unread(format!(
                "line {} column {}: {error}",
                error.line(),
                error.column()
            ))
        })?;
        match listed.layout {
            LAYOUT => Ok(listed),
            other => Err(unread(format!(
                "layout {other} was read, {LAYOUT} was expected"
            ))),
        }
    }
}

/// A name that no other device has.
fn free_name(typed: &str, devices: &[Device]) -> String {
    let typed: String = typed
        .chars()
        .filter(|letter| !letter.is_control())
        .take(LONGEST_NAME)
        .collect();
    let name = match typed.trim() {
        "" => "Phone",
        name => name,
    };
    let is_free = |name: &str| devices.iter().all(|device| device.name != name);
    let more = (2..).map(|number| format!("{name} {number}"));
    std::iter::once(name.to_owned())
        .chain(more)
        .find(|name| is_free(name))
        .unwrap_or_default()
}

fn hash_of(token: &str) -> String {
    hexadecimal(&Sha256::digest(token.as_bytes()))
}

fn hexadecimal(bytes: &[u8]) -> String {
    bytes.iter().map(|byte| format!("{byte:02x}")).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn at() -> Stamp {
        Stamp::read("2026-11-30T10:00:00+01:00").expect("a time")
    }

    #[test]
    fn a_token_lets_its_device_in_until_it_is_taken_back() {
        let folder = tempfile::tempdir().expect("a folder");
        let own = Devices::in_folder(folder.path()).expect("a list");
        let (first, token) = own.let_in("Phone", &at()).expect("let in");
        let (second, other) = own.let_in("Phone", &at()).expect("let in");
        assert_eq!(
            (first.name.as_str(), second.name.as_str()),
            ("Phone", "Phone 2")
        );
        assert_eq!(own.of_token(&token).expect("a list"), Some(first));
        assert_eq!(own.of_token("").expect("a list"), None);

        // Another program takes one back.
        let elsewhere = Devices::in_folder(folder.path()).expect("a list");
        elsewhere.take_back("Phone").expect("taken back");
        assert_eq!(own.of_token(&token).expect("a list"), None);
        assert_eq!(own.of_token(&other).expect("a list"), Some(second));
        assert!(elsewhere.take_back("Phone").is_err());
    }

    #[test]
    fn the_file_tells_no_token() {
        let folder = tempfile::tempdir().expect("a folder");
        let own = Devices::in_folder(folder.path()).expect("a list");
        let (_, token) = own.let_in("Phone", &at()).expect("let in");
        let text = std::fs::read_to_string(folder.path().join("devices.json")).expect("a file");
        assert!(!text.contains(&token));
        #[cfg(unix)]
        {
            use std::os::unix::fs::PermissionsExt;
            let about = std::fs::metadata(folder.path().join("devices.json")).expect("a file");
            assert_eq!(about.permissions().mode() & 0o077, 0, "for its owner alone");
        }
    }

    #[test]
    fn a_file_that_is_none_lets_nobody_in_and_stays() {
        let folder = tempfile::tempdir().expect("a folder");
        let path = folder.path().join("devices.json");
        for text in [
            "{\"layout\": 1,\n \"devices\": 7}",
            "{\"layout\": 9, \"devices\": []}",
            "no",
        ] {
            std::fs::write(&path, text).expect("written");
            assert!(Devices::in_folder(folder.path()).is_err(), "{text}");
            assert_eq!(std::fs::read_to_string(&path).expect("a file"), text);
        }
    }

    #[test]
    fn so_many_devices_and_no_more() {
        let folder = tempfile::tempdir().expect("a folder");
        let own = Devices::in_folder(folder.path()).expect("a list");
        for _ in 0..MOST {
            own.let_in("\u{7}", &at()).expect("let in");
        }
        assert!(own.let_in("Phone", &at()).is_err());
        assert_eq!(own.all().expect("a list").len(), MOST);
    }
}
