//! The brightness of the limiter lamp in words, as volts across it.
//!
//! Volts rms across an incandescent lamp of 120 V. A filament's temperature goes about with the 0.42th power of its volts
//! (tungsten, from 2,800 K at full volts; the exponent from memory of lamp engineering); it is first seen at some 800 K
//! (Draper's point), orange at 1,200 to 1,600 K, yellow beyond. Each word is a wide band, overlapping its neighbours (judgement: eyes and
//! daylight differ). Words that are none of these are no brightness; nothing here fails.

/// Words with the volts between which the lamp looks so.
const WORDS: [(&str, f64, f64); 6] = [
    ("dark", 0.0, 7.0),
    ("dull red", 4.0, 14.0),
    ("orange", 11.0, 38.0),
    ("yellow", 30.0, 80.0),
    ("nearly full", 70.0, 110.0),
    ("full", 103.0, 130.0),
];

/// The words, darkest first.
pub fn lamp_words() -> Vec<&'static str> {
    WORDS.iter().map(|own| own.0).collect()
}

/// Volts across the lamp for a word: the middle, and half of the way from end to end.
pub(crate) fn lamp_volts(typed: &str) -> Option<(f64, f64)> {
    let wanted = typed.split_whitespace().collect::<Vec<&str>>().join(" ");
    let own = WORDS.iter().find(|own| own.0.eq_ignore_ascii_case(&wanted));
    own.map(|(_, low, high)| (0.5 * (low + high), 0.5 * (high - low)))
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Temperatures by the power law against those at which glowing bodies are named so: Draper's point, and the heat
    /// colours of common tables (from memory: dull red 800 to 1,050 K, orange to 1,600 K).
    #[test]
    fn words_stand_at_the_temperatures_of_their_colours() {
        let kelvin = |volts: f64| 2800.0 * (volts / 120.0f64).powf(0.42);
        let ends = |word: &str| {
            let (middle, half) = lamp_volts(word).expect("a word");
            (kelvin(middle - half), kelvin(middle + half))
        };
        assert!(ends("dark").1 > 800.0 && ends("dark").1 < 900.0);
        assert!(ends("dull red").0 < 800.0 && (1000.0..1200.0).contains(&ends("dull red").1));
        assert!((1000.0..1200.0).contains(&ends("orange").0));
        assert!((1600.0..1800.0).contains(&ends("orange").1));
        assert!(ends("full").0 > 2600.0);
        // Neighbours overlap: no brightness is without a word.
        for pair in WORDS.windows(2) {
            assert!(pair[0].2 > pair[1].1);
        }
        assert_eq!(lamp_volts("Dull  Red"), lamp_volts("dull red"));
        assert_eq!(lamp_volts("blinking"), None);
    }
}
