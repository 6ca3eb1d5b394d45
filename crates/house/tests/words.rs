//! Words that must not stand in the project's files.
//!
//! The project speaks only of itself and of the set on the bench: no path of one
//! machine, no host of a registry, no writing tool. The words are put together
//! here from pieces so that this file is no find of its own search.

use house::{files, workspace};

/// Words sought in any spelling of letters.
fn forbidden() -> Vec<String> {
    [
        ("/ro", "ot"),
        ("/tm", "p/"),
        ("/wor", "k/"),
        ("/ho", "me/"),
        ("crates", ".io"),
        ("npmjs", ".org"),
        ("pypi", ".org"),
        ("proxy.golang", ".org"),
        ("debian", ".org"),
        ("source doc", "ument"),
        ("language mo", "del"),
        ("chat", "bot"),
        ("co-authored", "-by"),
        ("as an a", "i "),
        // Two versions of one text left side by side.
        ("<<<<", "<<< "),
        (">>>>", ">>> "),
    ]
    .iter()
    .map(|(first, second)| format!("{first}{second}"))
    .collect()
}

/// Files whose text is made by a tool or prescribed by others.
const NOT_SEARCHED: &[&str] = &["Cargo.lock", "LICENSE-APACHE", "LICENSE-MIT"];

#[test]
fn no_file_holds_a_forbidden_word() {
    let words = forbidden();
    let mut found = Vec::new();
    for name in files() {
        if NOT_SEARCHED.contains(&name.rsplit('/').next().unwrap_or(&name)) {
            continue;
        }
        let Ok(bytes) = std::fs::read(workspace().join(&name)) else {
            continue;
        };
        let text = String::from_utf8_lossy(&bytes).to_lowercase();
        for (number, line) in text.lines().enumerate() {
            for word in words.iter().filter(|word| line.contains(*word)) {
                found.push(format!("{name}:{}: {word}", number + 1));
            }
        }
        let lower_name = name.to_lowercase();
        for word in words.iter().filter(|word| lower_name.contains(*word)) {
            found.push(format!("{name} (its name): {word}"));
        }
    }
    assert!(found.is_empty(), "forbidden words: {found:#?}");
}

#[test]
fn the_search_finds_what_it_seeks() {
    let words = forbidden();
    let line = format!("see {}x", words[0]);
    assert!(words.iter().any(|word| line.contains(word)));
}
