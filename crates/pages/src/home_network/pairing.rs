//! The code by which a device is let in: four words, for one device, for ten minutes, for five tries.
//!
//! 2³² codes: five tries hit one with a chance of 1 in 859 million. The time is that of a clock which is handed in
//! and never goes back. Nothing here fails: where the system has no random source there is no code.

use std::time::{Duration, Instant};

use super::words::WORDS;

/// How long a code holds.
pub const HOLDS: Duration = Duration::from_secs(600);
/// How many wrong tries a code bears.
pub const TRIES: u32 = 5;

/// A code as it is shown.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Code {
    /// The words, with a space between; none where the system gave no random bytes.
    pub words: String,
    /// Whole minutes that it holds still, rounded up.
    pub minutes: u64,
}

/// How a try ended.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Tried {
    /// The words are right.
    Right,
    /// They are not; so many tries are left.
    Wrong(u32),
    /// They are not, and the code no longer holds.
    UsedUp,
    /// No code holds now.
    NoCode,
}

/// The code that holds now, if one does.
#[derive(Debug)]
pub struct Pairing {
    words: String,
    until: Instant,
    left: u32,
    is_used: bool,
}

impl Pairing {
    /// A new code from the system's random source.
    pub fn begun(now: Instant) -> Pairing {
        let mut drawn = [0u8; 4];
        let words = match getrandom::fill(&mut drawn) {
            Ok(()) => drawn.map(|byte| WORDS[usize::from(byte)]).join(" "),
            Err(_) => String::new(),
        };
        Pairing {
            is_used: words.is_empty(),
            words,
            until: now + HOLDS,
            left: TRIES,
        }
    }

    /// The code, while it holds.
    pub fn code(&self, now: Instant) -> Option<Code> {
        if !self.holds(now) {
            return None;
        }
        let left = self.until.saturating_duration_since(now).as_secs();
        Some(Code {
            words: self.words.clone(),
            minutes: left.div_ceil(60),
        })
    }

    /// Holds these words against the code. Right ones use it up.
    pub fn tried(&mut self, typed: &str, now: Instant) -> Tried {
        if !self.holds(now) {
            return Tried::NoCode;
        }
        if same(&plain(typed), &self.words) {
            self.is_used = true;
            return Tried::Right;
        }
        self.left -= 1;
        match self.left {
            0 => Tried::UsedUp,
            left => Tried::Wrong(left),
        }
    }

    /// The device that had the words could not be let in: they hold as before.
    pub fn holds_still(&mut self) {
        self.is_used = false;
    }

    fn holds(&self, now: Instant) -> bool {
        !self.is_used && self.left > 0 && now < self.until
    }
}

/// Words as they are compared: small letters, one space between.
fn plain(typed: &str) -> String {
    let typed = typed.to_lowercase();
    let words = typed.split(|letter: char| !letter.is_ascii_lowercase());
    let words: Vec<&str> = words.filter(|word| !word.is_empty()).collect();
    words.join(" ")
}

/// Whether two texts are the same, in a time that tells nothing of where they differ.
fn same(one: &str, other: &str) -> bool {
    use sha2::{Digest, Sha256};
    let (one, other) = (Sha256::digest(one), Sha256::digest(other));
    let differs = one.iter().zip(other.iter());
    differs.fold(0, |sum, (a, b)| sum | (a ^ b)) == 0
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::collections::BTreeSet;

    #[test]
    fn there_are_as_many_words_as_bytes_and_none_twice() {
        assert_eq!(WORDS.iter().collect::<BTreeSet<_>>().len(), 256);
        for word in WORDS {
            assert_eq!(plain(word), word);
        }
    }

    #[test]
    fn right_words_let_one_device_in_however_they_are_typed() {
        let now = Instant::now();
        let mut own = Pairing::begun(now);
        let words = own.code(now).expect("a code").words;
        assert_eq!(words.split(' ').count(), 4);
        let typed = format!("  {} ", words.to_uppercase().replace(' ', " - "));
        assert_eq!(own.tried(&typed, now), Tried::Right);
        assert_eq!(own.tried(&words, now), Tried::NoCode, "it is used up");
        assert_eq!(own.code(now), None);
    }

    #[test]
    fn five_wrong_tries_end_a_code() {
        let now = Instant::now();
        let mut own = Pairing::begun(now);
        let words = own.code(now).expect("a code").words;
        for left in [4, 3, 2, 1] {
            assert_eq!(own.tried("acorn acorn acorn", now), Tried::Wrong(left));
        }
        assert_eq!(own.tried("", now), Tried::UsedUp);
        assert_eq!(own.tried(&words, now), Tried::NoCode);
    }

    #[test]
    fn a_code_ends_with_its_time() {
        let now = Instant::now();
        let mut own = Pairing::begun(now);
        let words = own.code(now).expect("a code").words;
        let late = now + HOLDS;
        assert_eq!(
            own.code(late - Duration::from_secs(61))
                .expect("still")
                .minutes,
            2
        );
        assert_eq!(own.code(late), None);
        assert_eq!(own.tried(&words, late), Tried::NoCode);
    }
}
