//! The time at which a fact was entered, as its caller tells it.
//!
//! Form: RFC 3339 to the second with the offset of the place, `2026-11-29T08:49:51+01:00`, or
//! with `Z`; years 1946 to 9999. No clock is read here. What has another form is refused with what
//! was expected. The order of facts is that of their numbers: a clock that was set wrong
//! disturbs nothing.

use std::fmt;

/// A time in the form `2026-11-29T08:49:51+01:00`.
#[derive(Debug, Clone, PartialEq, Eq, Hash)]
pub struct Stamp(String);

impl Stamp {
    /// Reads a time. The error says what was read and expected.
    pub fn read(text: &str) -> Result<Stamp, String> {
        // Z stands for Greenwich (RFC 3339).
        let whole = match text.strip_suffix(['Z', 'z']) {
            Some(time) => format!("{time}+00:00"),
            None => text.to_owned(),
        };
        if is_time(&whole) {
            return Ok(Stamp(whole));
        }
        let shown: String = text.chars().take(40).collect();
        Err(format!(
            "`{shown}` is no time of the form 2026-11-29T08:49:51+01:00"
        ))
    }

    /// The whole text.
    pub fn as_str(&self) -> &str {
        &self.0
    }

    /// Seconds since the beginning of 1970, Greenwich time.
    pub fn seconds(&self) -> i64 {
        let number = |from: usize, to: usize| -> i64 {
            let digits = self.0.get(from..to).unwrap_or_default();
            digits.parse().unwrap_or_default()
        };
        // Days by years that begin in March, so that the leap day comes last.
        let (year, month, day) = (number(0, 4), number(5, 7), number(8, 10));
        let (year, month) = if month > 2 {
            (year, month - 3)
        } else {
            (year - 1, month + 9)
        };
        let of_year = (153 * month + 2) / 5 + day - 1;
        let days = 365 * year + year / 4 - year / 100 + year / 400 + of_year - 719_468;
        let offset = 3600 * number(20, 22) + 60 * number(23, 25);
        let offset = if self.0.get(19..20) == Some("-") {
            -offset
        } else {
            offset
        };
        86_400 * days + 3600 * number(11, 13) + 60 * number(14, 16) + number(17, 19) - offset
    }

    /// The day, `2026-11-29`.
    pub fn day(&self) -> &str {
        self.0.get(..10).unwrap_or_default()
    }

    /// Hours and minutes of the place, `08:49`.
    pub fn minute(&self) -> &str {
        self.0.get(11..16).unwrap_or_default()
    }
}

impl fmt::Display for Stamp {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        out.write_str(&self.0)
    }
}

fn is_time(text: &str) -> bool {
    let bytes = text.as_bytes();
    let form = b"dddd-dd-ddTdd:dd:dd+dd:dd";
    let fits = bytes.len() == form.len()
        && bytes.iter().zip(form).all(|(byte, form)| match form {
            b'd' => byte.is_ascii_digit(),
            b'+' => matches!(byte, b'+' | b'-'),
            other => byte == other,
        });
    let number = |from: usize, to: usize| {
        text.get(from..to)
            .and_then(|digits| digits.parse::<u32>().ok())
            .unwrap_or(u32::MAX)
    };
    fits && number(0, 4) >= 1946
        && (1..=12).contains(&number(5, 7))
        && (1..=days(number(0, 4), number(5, 7))).contains(&number(8, 10))
        && number(11, 13) < 24
        && number(14, 16) < 60
        && number(17, 19) < 60
        && number(20, 22) <= 14
        && number(23, 25) < 60
}

fn days(year: u32, month: u32) -> u32 {
    match month {
        4 | 6 | 9 | 11 => 30,
        2 if year.is_multiple_of(4) && (!year.is_multiple_of(100) || year.is_multiple_of(400)) => {
            29
        }
        2 => 28,
        _ => 31,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn seconds_count_from_1970() {
        // The Unix epoch, 2^31 seconds after it, and the leap day of 2000 (POSIX; from memory).
        for (text, seconds) in [
            ("1970-01-01T00:00:00+00:00", 0),
            ("2038-01-19T03:14:08+00:00", 1 << 31),
            ("2000-02-29T00:00:00+00:00", 951_782_400),
            ("1970-01-01T01:00:00+01:00", 0),
            ("1969-12-31T16:30:00-07:30", 0),
            ("1946-01-01T00:00:00+00:00", -757_382_400),
        ] {
            let stamp = Stamp::read(text).expect("a time");
            assert_eq!(stamp.seconds(), seconds, "{text}");
        }
    }

    #[test]
    fn greenwich_has_a_letter_of_its_own() {
        let read = |text: &str| Stamp::read(text).map(|stamp| stamp.to_string());
        let whole = Ok("2026-11-29T08:49:51+00:00".to_owned());
        assert_eq!(read("2026-11-29T08:49:51Z"), whole);
        assert!(read("2026-11-29T08:49:51+01:00Z").is_err() && read("Z").is_err());
    }

    #[test]
    fn times_and_what_is_none() {
        // Leap days by the rule of the calendar: 2024 and 2000 have one, 2026 and 2100 have none.
        for (text, is_right) in [
            ("2026-11-29T08:49:51+01:00", true),
            ("2024-02-29T23:59:59-08:00", true),
            ("2000-02-29T00:00:00+00:00", true),
            ("2026-02-29T00:00:00+00:00", false),
            ("2100-02-29T00:00:00+00:00", false),
            ("2026-13-01T00:00:00+00:00", false),
            ("2026-00-01T00:00:00+00:00", false),
            ("2026-04-31T00:00:00+00:00", false),
            ("2026-11-29T24:00:00+00:00", false),
            ("2026-11-29T08:49:60+00:00", false),
            ("1066-10-14T09:00:00+00:00", false),
            ("2026-11-29T08:49:51Z", true),
            ("2026-11-29T08:49:51+Z", false),
            ("2026-11-29 08:49:51+01:00", false),
            ("", false),
            ("zweitausend-jahre-danach ", false),
            ("２０２６-11-29T08:49:51+01", false),
        ] {
            assert_eq!(Stamp::read(text).is_ok(), is_right, "{text}");
        }
    }
}
