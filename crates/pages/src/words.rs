//! Small words of every page: ids of a sending, times of day.
//!
//! An id is 22 letters and digits from the operating system's random source. Where that fails, which no running
//! system does, an id of the time of day in nanoseconds stands in. Nothing here fails.

use std::time::{SystemTime, UNIX_EPOCH};

const LETTERS: &[u8; 32] = b"abcdefghijkmnpqrstuvwxyz23456789";

/// A new id of a sending.
pub fn new_id() -> String {
    let mut bytes = [0u8; 22];
    if getrandom::fill(&mut bytes).is_err() {
        let now = SystemTime::now().duration_since(UNIX_EPOCH);
        return format!("time-{:022}", now.map_or(0, |now| now.as_nanos()));
    }
    letters(&bytes)
}

/// Bytes as letters and digits that nobody mistakes for each other.
pub fn letters(bytes: &[u8]) -> String {
    bytes
        .iter()
        .map(|byte| char::from(LETTERS[usize::from(byte & 31)]))
        .collect()
}

/// The day and time of a stamp, as people say it.
pub fn when(at: &str) -> String {
    match (at.get(..10), at.get(11..16)) {
        (Some(day), Some(time)) => format!("{day} {time}"),
        _ => at.to_owned(),
    }
}

/// A text as it stands in an address (RFC 3986: all but the unreserved signs by their bytes).
pub fn in_address(text: &str) -> String {
    let mut out = String::new();
    for byte in text.bytes() {
        match byte {
            b'A'..=b'Z' | b'a'..=b'z' | b'0'..=b'9' | b'-' | b'.' | b'_' | b'~' => {
                out.push(char::from(byte))
            }
            _ => out.push_str(&format!("%{byte:02X}")),
        }
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_place_in_an_address() {
        // RFC 3986, section 2.1: an octet that is not unreserved is written as % and two digits.
        assert_eq!(in_address("B+ main"), "B%2B%20main");
        assert_eq!(in_address("µ"), "%C2%B5");
    }

    #[test]
    fn ids_have_the_form_that_the_file_takes() {
        let one = new_id();
        assert!((8..=64).contains(&one.len()));
        assert_ne!(one, new_id());
    }
}
