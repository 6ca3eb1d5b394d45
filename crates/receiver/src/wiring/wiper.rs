//! A control whose wiper makes poor contact, as three resistances between its three ends.
//!
//! Ohms. Both parts of the track and the contact meet inside the control, a star; the same between the ends is a triangle
//! (star to triangle, closed form). Parts of the track shorter than [`LEAST_OHMS`] count as that. Nothing here fails.

/// Least ohms of a part of a track.
pub(crate) const LEAST_OHMS: f64 = 1e-2;

/// Resistances of a control with so many ohms in series at its wiper: first end to wiper, wiper to last end, and first to last end.
pub(crate) fn with_contact(to_first: f64, to_last: f64, contact: f64) -> [f64; 3] {
    let (a, b, c) = (
        to_first.max(LEAST_OHMS),
        to_last.max(LEAST_OHMS),
        contact.max(LEAST_OHMS),
    );
    let sum = a * b + b * c + c * a;
    [sum / b, sum / a, sum / c]
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Ohms between two ends of a triangle: its side beside the two others in series.
    fn between(triangle: [f64; 3], ends: usize) -> f64 {
        let own = triangle[ends];
        let others: f64 = triangle.iter().sum::<f64>() - own;
        own * others / (own + others)
    }

    /// By hand: from end to end the track alone, from an end to the wiper its part and the contact.
    #[test]
    fn the_ends_read_as_the_star_does() {
        for (a, b, c) in [
            (1e5, 1.5e5, 1e4),
            (0.1, 2.5e5, 1e6),
            (5e5, 5e5, 1e9),
            (470.0, 30.0, 0.0),
        ] {
            let own = with_contact(a, b, c);
            let c = f64::max(c, LEAST_OHMS);
            for (ends, star) in [(0, a + c), (1, b + c), (2, a + b)] {
                let read = between(own, ends);
                assert!(
                    (read / star - 1.0).abs() < 1e-6,
                    "{a} {b} {c}: {read} for {star}"
                );
            }
        }
    }
}
