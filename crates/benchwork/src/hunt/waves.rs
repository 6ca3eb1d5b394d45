//! A signal's volts against the maker's: the words under which they are kept, written and read back.
//!
//! Peak-to-peak volts. `12 V of the maker's 40 V`, with the shape behind it where that was looked at. Fails for figures
//! that cannot be; words that are none of these are no wave.

use quantity::read_volts;
use receiver::suspects::signs::wave::Wave;

use crate::trouble::Trouble;

/// Between the two figures.
const OF_THE_MAKERS: &str = " V of the maker's ";
/// Shapes, and whether they are the maker's.
pub(super) const SHAPES: [(&str, bool); 2] = [("of its shape", true), ("of another shape", false)];
/// Largest figure: sweep outputs stay below.
const MOST_VOLTS: f64 = 20_000.0;

/// A wave in words, from what was typed: the volts read, the maker's, and a word for the shape.
pub(super) fn in_words(volts: &str, maker: &str, shape: Option<bool>) -> Result<String, Trouble> {
    let read = figure(volts, 0.0, "a reading of peak-to-peak volts")?;
    let maker = figure(maker, 1e-3, "a maker's figure")?;
    let shape = SHAPES.iter().find(|own| Some(own.1) == shape);
    let shape = shape.map_or_else(String::new, |own| format!(", {}", own.0));
    Ok(format!("{read}{OF_THE_MAKERS}{maker} V{shape}"))
}

fn figure(typed: &str, least: f64, what: &str) -> Result<f64, Trouble> {
    let bare = typed.trim();
    let number = bare.parse::<f64>().ok();
    let read = number.or_else(|| read_volts(bare).ok().map(|volts| volts.0));
    let is_one = |volts: &f64| volts.is_finite() && (least..=MOST_VOLTS).contains(volts);
    read.filter(is_one).ok_or_else(|| {
        Trouble::input(
            format!("`{bare}` is no {}", what.trim_start_matches("a ")),
            format!(
                "give volts from top to bottom of the wave, {least} to {MOST_VOLTS}, such as 12 or \"12 V\""
            ),
        )
    })
}

/// A wave read back; `None` for other words.
pub(super) fn wave(words: &str) -> Option<Wave> {
    let (read, rest) = words.split_once(OF_THE_MAKERS)?;
    let (maker, shape) = rest.split_once(" V")?;
    let shape = shape.trim_start_matches([',', ' ']);
    let (read, maker) = (read.parse::<f64>().ok()?, maker.parse::<f64>().ok()?);
    Some(Wave {
        share: read / maker,
        same_shape: SHAPES.iter().find(|own| own.0 == shape).map(|own| own.1),
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_is_written_is_read_back() {
        for (volts, maker, shape, share) in [
            ("12", "40", None, 0.3),
            ("12 V", "40 V", Some(true), 0.3),
            ("500 mV", "2", Some(false), 0.25),
            ("0", "40", None, 0.0),
        ] {
            let words = in_words(volts, maker, shape).expect("figures");
            let own = wave(&words).expect("a wave");
            assert!((own.share - share).abs() < 1e-12, "{words}");
            assert_eq!(own.same_shape, shape, "{words}");
        }
        for words in ["weak", "lost", "12 V", ""] {
            assert_eq!(wave(words), None, "{words}");
        }
    }

    #[test]
    fn figures_that_cannot_be_are_refused() {
        for (volts, maker) in [
            ("twelve", "40"),
            ("12", "0"),
            ("-3", "40"),
            ("12", ""),
            ("1e9", "40"),
        ] {
            assert!(in_words(volts, maker, None).is_err(), "{volts} {maker}");
        }
    }
}
