//! What stands on a part of today: colour bands, letter codes, three-figure codes.
//!
//! Values in ohms and farads. Source: IEC 60062, marking codes for resistors and capacitors (from memory; the
//! colours are those of [`crate::colour_code`]). A value that has not the figures of the code, or lies outside its
//! range, has no marking (`None`).

use crate::colour_code::Colour;

/// The figures of a value: `figures` of them as a whole number, and the power of ten that follows.
fn figures_of(value: f64, figures: u32) -> Option<(u32, i32)> {
    if !(value.is_finite() && value > 0.0) {
        return None;
    }
    let top = 10f64.powi(figures as i32);
    let mut power = value.log10().floor() as i32 - (figures as i32 - 1);
    let mut whole = value / 10f64.powi(power);
    if whole.round() >= top {
        power += 1;
        whole = value / 10f64.powi(power);
    }
    let rounded = whole.round();
    ((whole / rounded - 1.0).abs() < 1e-6).then_some((rounded as u32, power))
}

fn of_figure(figure: u32) -> Option<Colour> {
    Colour::ALL
        .into_iter()
        .find(|own| own.figure().map(u32::from) == Some(figure))
}

fn of_power(power: i32) -> Option<Colour> {
    Colour::ALL
        .into_iter()
        .find(|own| own.power_of_ten() == Some(power))
}

/// The band of a tolerance (a fraction).
fn of_tolerance(fraction: f64) -> Option<Colour> {
    let bands = [
        (0.01, Colour::Brown),
        (0.02, Colour::Red),
        (0.005, Colour::Green),
        (0.05, Colour::Gold),
        (0.1, Colour::Silver),
    ];
    bands
        .into_iter()
        .find(|(own, _)| (own / fraction - 1.0).abs() < 1e-6)
        .map(|(_, band)| band)
}

/// The bands of a resistor: four for 5 and 10 %, five for 2 % and closer.
pub fn resistor_bands(ohms: f64, tolerance: f64) -> Option<Vec<Colour>> {
    let count = if tolerance < 0.03 { 3 } else { 2 };
    let (whole, power) = figures_of(ohms, count)?;
    let mut bands = Vec::new();
    for place in (0..count).rev() {
        bands.push(of_figure(whole / 10u32.pow(place) % 10)?);
    }
    bands.push(of_power(power)?);
    bands.push(of_tolerance(tolerance)?);
    Some(bands)
}

/// The letter code of a resistor: `4K7`, `R22`, `1M0`.
pub fn resistor_letters(ohms: f64) -> Option<String> {
    letters(ohms, &[(1e9, 'G'), (1e6, 'M'), (1e3, 'K'), (1.0, 'R')])
}

/// The letter code of a capacitor: `47n`, `4n7`, `1u0`, `220p`.
pub fn capacitor_letters(farads: f64) -> Option<String> {
    letters(
        farads * 1e12,
        &[(1e9, 'm'), (1e6, 'u'), (1e3, 'n'), (1.0, 'p')],
    )
}

/// The letter stands where the point would be.
fn letters(value: f64, scales: &[(f64, char)]) -> Option<String> {
    let (size, letter) = scales
        .iter()
        .find(|(size, _)| value >= size * (1.0 - 1e-9))
        .or(scales.last())?;
    let own = value / size;
    let (whole, power) = figures_of(value, 2).or_else(|| figures_of(value, 3))?;
    if !(0.01..1000.0).contains(&own) {
        return None;
    }
    // The shortest decimal of the rounded value, its point replaced.
    let rounded: f64 = format!("{whole}e{power}").parse().ok()?;
    let number = ((rounded / size) * 1e6).round() / 1e6;
    let text = number.to_string();
    Some(match text.split_once('.') {
        Some(("0", part)) => format!("{letter}{part}"),
        Some((full, part)) => format!("{full}{letter}{part}"),
        None if number < 10.0 => format!("{text}{letter}0"),
        None => format!("{text}{letter}"),
    })
}

/// The three-figure code of a capacitor with the letter of its tolerance: `473K`. Two figures and the number of zeros,
/// in picofarads, from 10 picofarads up.
pub fn capacitor_code(farads: f64, tolerance: f64) -> Option<String> {
    let (whole, power) = figures_of(farads * 1e12, 2)?;
    let letter = [
        (0.01, 'F'),
        (0.02, 'G'),
        (0.05, 'J'),
        (0.1, 'K'),
        (0.2, 'M'),
    ]
    .into_iter()
    .find(|(own, _): &(f64, char)| (own / tolerance - 1.0).abs() < 1e-6)
    .map(|(_, letter)| letter)?;
    (0..=7)
        .contains(&power)
        .then(|| format!("{whole}{power}{letter}"))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn bands(ohms: f64, tolerance: f64) -> String {
        let names = resistor_bands(ohms, tolerance).expect("has bands");
        let names: Vec<&str> = names.into_iter().map(Colour::name).collect();
        names.join(" ")
    }

    #[test]
    fn bands_of_the_code() {
        // Rows CC001 to CC006 of data/checks.csv (IEC 60063 and the resistor code, from memory).
        assert_eq!(bands(270e3, 0.05), "red violet yellow gold");
        assert_eq!(bands(56.0, 0.05), "green blue black gold");
        assert_eq!(bands(2.2, 0.1), "red red gold silver");
        assert_eq!(bands(4700.0, 0.01), "yellow violet black brown brown");
        assert_eq!(resistor_bands(4712.0, 0.05), None);
        assert_eq!(resistor_bands(f64::NAN, 0.05), None);
    }

    #[test]
    fn letters_of_the_code() {
        // IEC 60062, from memory: the letter stands for the point.
        for (ohms, text) in [
            (4700.0, "4K7"),
            (0.22, "R22"),
            (1e6, "1M0"),
            (22e3, "22K"),
            (150.0, "150R"),
            (9100.0, "9K1"),
        ] {
            assert_eq!(resistor_letters(ohms).as_deref(), Some(text));
        }
        for (farads, text) in [
            (47e-9, "47n"),
            (4.7e-9, "4n7"),
            (1e-6, "1u0"),
            (220e-12, "220p"),
            (0.47e-6, "470n"),
        ] {
            assert_eq!(capacitor_letters(farads).as_deref(), Some(text));
        }
        for (farads, tolerance, text) in [
            (47e-9, 0.1, "473K"),
            (470e-12, 0.05, "471J"),
            (0.1e-6, 0.2, "104M"),
            (22e-12, 0.05, "220J"),
        ] {
            assert_eq!(capacitor_code(farads, tolerance).as_deref(), Some(text));
        }
        assert_eq!(capacitor_code(4.7e-12, 0.05), None);
    }

    #[test]
    fn what_is_marked_reads_back() {
        use crate::Series;
        for member in Series::E24.members() {
            for decade in [-1, 0, 2, 4, 6] {
                let ohms = member * 10f64.powi(decade);
                let back =
                    crate::colour_code::read_bands(&resistor_bands(ohms, 0.05).expect("bands"))
                        .expect("read");
                assert!((back.ohms.0 / ohms - 1.0).abs() < 1e-9, "{ohms}");
            }
        }
    }
}
