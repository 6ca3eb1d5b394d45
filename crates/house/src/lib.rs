//! The house rules, held by tests: this crate has no other content.
//!
//! Here are only the few functions that find the files of the workspace; the
//! rules stand in `tests/`, one file a subject. Nothing of the program uses this
//! crate. A file that cannot be read ends the test that wanted it.

use std::fs;
use std::path::{Path, PathBuf};

/// The folder that holds the whole workspace.
pub fn workspace() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("../..")
}

/// The text of a file, named from the workspace's folder.
pub fn read(name: &str) -> String {
    let path = workspace().join(name);
    fs::read_to_string(&path).unwrap_or_else(|error| panic!("{name} cannot be read: {error}"))
}

/// The folders under `crates/`, in alphabetical order.
pub fn crate_names() -> Vec<String> {
    let crates = workspace().join("crates");
    let mut names: Vec<String> = entries(&crates)
        .into_iter()
        .filter(|path| path.join("Cargo.toml").is_file())
        .filter_map(|path| Some(path.file_name()?.to_str()?.to_owned()))
        .collect();
    names.sort();
    names
}

/// Every file that belongs to the project, named from the workspace's folder;
/// what is built or belongs to version control is left out.
pub fn files() -> Vec<String> {
    let root = workspace();
    let mut found = Vec::new();
    let mut folders = vec![root.clone()];
    while let Some(folder) = folders.pop() {
        for path in entries(&folder) {
            let name = path.strip_prefix(&root).unwrap_or(&path);
            let name = name.to_string_lossy().replace('\\', "/");
            if is_foreign(&name) {
                continue;
            }
            if path.is_dir() {
                folders.push(path);
            } else {
                found.push(name);
            }
        }
    }
    found.sort();
    found
}

/// Every file of `files()` with this ending.
pub fn files_ending(ending: &str) -> Vec<String> {
    files()
        .into_iter()
        .filter(|name| name.ends_with(ending))
        .collect()
}

/// What is built, fetched or kept by version control, as .gitignore has it.
fn is_foreign(name: &str) -> bool {
    let kept_out = [".git", "target", "man", "fuzz/target", "fuzz/artifacts"];
    kept_out.contains(&name)
}

fn entries(folder: &Path) -> Vec<PathBuf> {
    let listing = fs::read_dir(folder)
        .unwrap_or_else(|error| panic!("{} cannot be listed: {error}", folder.display()));
    listing
        .filter_map(|entry| Some(entry.ok()?.path()))
        .collect()
}
