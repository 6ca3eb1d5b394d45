//! What spreadsheets make of cells by themselves.
//!
//! Dates, times and powers of ten out of numbers, decimal commas, marks of a failed
//! sum. The forms are common practice, from memory; names of months are those of
//! the usual languages. A cell is only looked at where it says something else than the
//! sheet. Nothing here fails.

use crate::sheet::shown;

/// Months as common spreadsheets shorten and spell them, small; words that a place may well be called by are not among them.
const MONTHS: &str = "jan feb mar apr may jun jul aug sep sept oct nov dec january february march april june july \
    august september october november december mär mrz mai okt dez januar februar märz juni juli oktober dezember \
    fév fevr févr avr juin juil août aou aoû déc janvier février mars avril juillet septembre octobre novembre décembre \
    ene abr dic enero febrero marzo abril mayo junio julio agosto septiembre octubre noviembre diciembre giu lug ott \
    gennaio febbraio aprile maggio giugno luglio settembre ottobre dicembre mrt mei maart augustus";

/// What a spreadsheet seems to have done to a cell, and what to do about it.
pub(super) struct Habit {
    pub(super) text: String,
    pub(super) hint: String,
}

/// The mark of a spreadsheet in a cell that holds a value.
pub(super) fn of_value(cell: &str, in_sheet: &str) -> Option<Habit> {
    of_any(cell, in_sheet).or_else(|| {
        if has_decimal_comma(cell) {
            return Some(Habit {
                text: format!("{} has a comma inside a number", shown(cell)),
                hint: format!(
                    "write a decimal point (0.05), or no comma at all; {}",
                    was(in_sheet)
                ),
            });
        }
        if is_power_of_ten(cell) {
            return Some(Habit {
                text: format!("{} is a number as spreadsheets write it", shown(cell)),
                hint: format!("write it as on the part: 4.7k, 0.05 mfd; {}", was(in_sheet)),
            });
        }
        None
    })
}

/// The mark of a spreadsheet in any cell.
pub(super) fn of_any(cell: &str, in_sheet: &str) -> Option<Habit> {
    let cell = cell.trim();
    if is_failed_sum(cell) {
        return Some(Habit {
            text: format!(
                "{} is a spreadsheet's mark of a sum that failed",
                shown(cell)
            ),
            hint: format!(
                "make the column text before typing, so that a leading +, - or = is no sum; {}",
                was(in_sheet)
            ),
        });
    }
    if is_date(cell) || is_time(cell) {
        return Some(Habit {
            text: format!(
                "{} is a date or a time; a spreadsheet makes them out of numbers",
                shown(cell)
            ),
            hint: format!(
                "make the column text and write the value with its unit, such as 0.05 mfd; {}",
                was(in_sheet)
            ),
        });
    }
    None
}

/// Whether two cells are one plain number in two spellings: `.05`, `0.05`, `0,05`, `5E-02`.
pub(super) fn is_same_number(one: &str, other: &str) -> bool {
    match (plain_number(one), plain_number(other)) {
        (Some(one), Some(other)) => one == other,
        _ => false,
    }
}

fn plain_number(cell: &str) -> Option<f64> {
    let cell = cell.trim();
    let is_number = cell
        .chars()
        .all(|letter| letter.is_ascii_digit() || "+-.,eE".contains(letter));
    if !is_number || !cell.contains(|letter: char| letter.is_ascii_digit()) {
        return None;
    }
    // A lone comma that is no mark of thousands is a decimal one.
    let point = match cell.matches(',').count() {
        0 => cell.to_string(),
        1 if !cell.contains('.') && !is_thousands(cell) => cell.replace(',', "."),
        _ => return None,
    };
    point.parse().ok().filter(|number: &f64| number.is_finite())
}

/// `22,000`: at most three digits and then three, which can be read two ways. `0,500` cannot.
fn is_thousands(cell: &str) -> bool {
    cell.split_once(',').is_some_and(|(before, after)| {
        after.len() == 3 && (1..=3).contains(&before.len()) && !before.starts_with('0')
    })
}

fn has_decimal_comma(cell: &str) -> bool {
    let letters: Vec<char> = cell.chars().collect();
    letters.windows(2).enumerate().any(|(at, pair)| match pair {
        [',', after] => {
            let before = at.checked_sub(1).and_then(|at| letters.get(at));
            after.is_ascii_digit() && before.is_none_or(|before| before.is_ascii_digit())
        }
        _ => false,
    })
}

fn is_power_of_ten(cell: &str) -> bool {
    let Some((number, power)) = cell.trim().split_once(['e', 'E']) else {
        return false;
    };
    let digits = power.strip_prefix(['+', '-']).unwrap_or(power);
    !digits.is_empty()
        && digits.chars().all(|letter| letter.is_ascii_digit())
        && plain_number(number).is_some()
}

fn is_failed_sum(cell: &str) -> bool {
    if let Some(rest) = cell.strip_prefix('#') {
        let letters = rest.trim_end_matches(['!', '?']);
        let is_mark = rest.len() > letters.len() || letters == "N/A" || letters == "NV";
        let is_narrow = !rest.is_empty() && rest.chars().all(|letter| letter == '#');
        return is_narrow
            || (is_mark
                && letters.chars().all(|letter| {
                    letter.is_uppercase() || letter == '/' || letter.is_ascii_digit()
                }));
    }
    cell.strip_prefix("Err:")
        .is_some_and(|rest| !rest.is_empty() && rest.chars().all(|letter| letter.is_ascii_digit()))
}

/// `2-Jan`, `Jan 05`, `05. Jan`, `2026-01-05`, `05.01.2026`, `1/5/26`, `05.01.`; months by name or by number.
fn is_date(cell: &str) -> bool {
    let pieces: Vec<&str> = cell
        .split(['-', '/', '.', ' ', ','])
        .filter(|piece| !piece.is_empty())
        .collect();
    let is_number = |piece: &str, most: usize| {
        piece.len() <= most && piece.chars().all(|letter| letter.is_ascii_digit())
    };
    let is_month = |piece: &str| {
        let small = piece.to_lowercase();
        MONTHS.split_whitespace().any(|month| month == small)
    };
    let in_range = |piece: &str, most: u32| {
        is_number(piece, 2)
            && piece
                .parse()
                .is_ok_and(|number: u32| (1..=most).contains(&number))
    };
    match pieces.as_slice() {
        [one, other] if is_month(one) => is_number(other, 4),
        [one, other] if is_month(other) => is_number(one, 4),
        [one, other] => cell.ends_with('.') && in_range(one, 31) && in_range(other, 12),
        [day, month, year] if is_month(month) => is_number(day, 4) && is_number(year, 4),
        [month, day, year] if is_month(month) => is_number(day, 2) && is_number(year, 4),
        [one, other, third] => {
            let by_day = in_range(one, 31) && in_range(other, 31);
            let year_first = one.len() == 4 && is_number(one, 4) && in_range(other, 12);
            (by_day && is_number(third, 4)) || (year_first && in_range(third, 31))
        }
        _ => false,
    }
}

fn is_time(cell: &str) -> bool {
    let pieces: Vec<&str> = cell.split(':').collect();
    (2..=3).contains(&pieces.len())
        && pieces.iter().all(|piece| {
            (1..=2).contains(&piece.len()) && piece.chars().all(|letter| letter.is_ascii_digit())
        })
}

fn was(in_sheet: &str) -> String {
    if in_sheet.trim().is_empty() {
        "the sheet has nothing here".to_string()
    } else {
        format!("the sheet says {}", shown(in_sheet))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    // Forms of dates as they are written in several countries: common practice, from memory.
    #[test]
    fn dates_and_times_are_known() {
        for cell in [
            "2-Jan",
            "Jan-02",
            "05. Jan",
            "5. Mai",
            "01. Mrz",
            "2026-01-05",
            "05.01.2026",
            "1/5/26",
            "05.01.",
            "Jan 05",
            "1-Feb-2026",
            "February 1",
            "00:05",
            "0:05:00",
            "12-août",
            "5-Dez",
        ] {
            assert!(of_any(cell, ".05").is_some(), "{cell}");
        }
        for cell in [
            "4.7k",
            "0.05",
            "1/2 W",
            "220 mmf",
            "1N34",
            "5 plates 300 mA",
            "B+ 275",
            "V9.5",
            "10%",
            "40 mfd 450 V",
            "bias -18",
            "NE-2",
            "sep",
            "CL-90",
            "2.5k at 0.8",
            "-",
            "",
            "30/15 mfd",
            "line a",
            "march",
            "+50 -10 %",
            "output 2",
            "mains 3",
            "marker 5",
            "gen 1",
        ] {
            assert!(of_any(cell, "").is_none(), "{cell}");
        }
    }

    // Common practice, from memory: a failed sum is marked by `#`, a word and `!` or `?`, or by
    // `Err:` and a number; a column that is too narrow by `#` alone.
    #[test]
    fn other_marks_are_known() {
        for cell in [
            "#NAME?", "#REF!", "#DIV/0!", "#N/A", "#BEZUG!", "Err:509", "####",
        ] {
            assert!(of_any(cell, "").is_some(), "{cell}");
        }
        for cell in ["0,05", "4,7k", ",05 mfd", "22,000", "4.70E+03", "5E-02"] {
            assert!(of_value(cell, "").is_some(), "{cell}");
        }
        for cell in ["#1", "0.05 mfd, 600 V", "4.7k, 2 W", "1e", "5 henries"] {
            assert!(of_value(cell, "").is_none(), "{cell}");
        }
    }

    #[test]
    fn one_number_in_two_spellings_is_no_change() {
        for (one, other, wanted) in [
            (".05", "0.05", true),
            (".05", "0,05", true),
            ("470", "470.0", true),
            ("4700", "4.70E+03", true),
            ("0.5", "0,500", true),
            ("22,000", "22", false),
            ("22", "22,000", false),
            ("4.7k", "4,7k", false),
            ("", "0", false),
            ("1.5", "1.6", false),
        ] {
            assert_eq!(is_same_number(one, other), wanted, "{one} {other}");
        }
    }
}
