//! What is typed in answer to a question for a part.
//!
//! One line: reference, kind, value, and behind commas other ends than the
//! pattern's: `R71 270k 1/2 W, to B+ boost`. Reference and kind may be left out;
//! the value is read by the sheet's own reader later. Fails for a kind that the
//! place in the circuit cannot have, with the kinds it can.

use super::interview::AnswerFault;
use super::references::is_reference;
use crate::sheet::PartKind;

/// An answer for a part, as typed.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct PartAnswer {
    pub(super) reference: Option<String>,
    pub(super) kind: PartKind,
    pub(super) value: String,
    pub(super) from: Option<String>,
    pub(super) to: Option<String>,
    pub(super) third: Option<String>,
    /// Characters of the answer before the value.
    pub(super) value_at: usize,
}

/// Whether an answer says that a thing is not there or not known.
pub fn is_nothing(text: &str) -> bool {
    matches!(text.trim(), "" | "?")
}

/// Reads the answer for a part of one of these kinds.
pub(super) fn read_part(text: &str, kinds: &[PartKind]) -> Result<PartAnswer, AnswerFault> {
    let mut answer = PartAnswer {
        reference: None,
        kind: kinds.first().copied().unwrap_or(PartKind::Resistor),
        value: String::new(),
        from: None,
        to: None,
        third: None,
        value_at: 0,
    };
    let mut pieces = text.split(',');
    let mut rest = pieces.next().unwrap_or("").to_string();
    for piece in pieces {
        let piece_text = piece.trim();
        let (word, place) = piece_text.split_once(' ').unwrap_or((piece_text, ""));
        let slot = match word.to_ascii_lowercase().as_str() {
            "from" => &mut answer.from,
            "to" => &mut answer.to,
            "third" | "wiper" | "tap" => &mut answer.third,
            _ => {
                rest.push(',');
                rest.push_str(piece);
                continue;
            }
        };
        if place.trim().is_empty() {
            return Err(AnswerFault::new(
                format!("behind `{word}` no place is named"),
                format!("write `, {word} V5.6` or the name of a place"),
            ));
        }
        *slot = Some(place.trim().to_string());
    }
    let mut left = rest.as_str();
    if let Some((word, behind)) = next_word(left)
        && is_reference(word)
        && PartKind::named(word).is_none()
    {
        answer.reference = Some(word.to_string());
        left = behind;
    }
    if let Some((word, behind)) = next_word(left)
        && let Some(kind) = PartKind::named(word)
    {
        if !kinds.contains(&kind) {
            return Err(AnswerFault::new(
                format!("{} does not belong here", kind.with_article()),
                format!(
                    "expected {}; `?` leaves the part out",
                    kinds
                        .iter()
                        .map(|kind| kind.name())
                        .collect::<Vec<_>>()
                        .join(", ")
                ),
            ));
        }
        answer.kind = kind;
        left = behind;
    }
    answer.value = left.trim().to_string();
    let before = rest.len() - left.trim_start().len();
    answer.value_at = text
        .get(..before)
        .map_or(0, |before| before.chars().count());
    Ok(answer)
}

fn next_word(text: &str) -> Option<(&str, &str)> {
    let text = text.trim_start();
    if text.is_empty() {
        return None;
    }
    let end = text.find(char::is_whitespace).unwrap_or(text.len());
    Some((text.get(..end)?, text.get(end..)?))
}

#[cfg(test)]
mod tests {
    use super::*;

    const KINDS: [PartKind; 3] = [PartKind::Paper, PartKind::Ceramic, PartKind::Wire];

    fn check(text: &str, wanted: &str) {
        let found = match read_part(text, &KINDS) {
            Ok(answer) => format!(
                "{}|{}|{}|{}|{}|{}",
                answer.reference.unwrap_or_default(),
                answer.kind,
                answer.value,
                answer.from.unwrap_or_default(),
                answer.to.unwrap_or_default(),
                answer.third.unwrap_or_default(),
            ),
            Err(fault) => fault.text,
        };
        assert_eq!(found, wanted, "{text}");
    }

    #[test]
    fn an_answer_is_taken_apart() {
        check("C50 0.05 mfd 400 V", "C50|paper|0.05 mfd 400 V|||");
        check("0.05 mfd", "|paper|0.05 mfd|||");
        check("c50a Ceramic 5000 mmf", "c50a|ceramic|5000 mmf|||");
        check("wire", "|wire||||");
        check("W5 wire", "W5|wire||||");
        check(
            "C50 .05, to B+ 275, from V5.6",
            "C50|paper|.05|V5.6|B+ 275|",
        );
        check("0,05 mfd", "|paper|0,05 mfd|||");
        check("C50 choke 3 H", "a choke does not belong here");
        check("C50 .05, to", "behind `to` no place is named");
    }
}
