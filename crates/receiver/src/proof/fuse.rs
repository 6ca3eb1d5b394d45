//! The line fuse: its rating from the running current, and what it must let pass at switch-on.
//!
//! Amperes, ampere-squared seconds. Rating: 1.25 to 2 times the running line current (trade number "line
//! fuse", from memory) at the highest line of today, the smallest usual rating that holds; never above what the maker
//! marked. Inrush: the solved rms current after switch-on, and the first half-wave that a transformer's
//! copper alone would limit, an upper bound in closed form. What one fuse bears for how long is on its
//! maker's sheet and not known here. Nothing here fails.

/// Ratings that are sold (common practice).
pub const FUSE_RATINGS: [f64; 18] = [
    0.25, 0.5, 0.6, 0.75, 0.8, 1.0, 1.25, 1.5, 1.6, 2.0, 2.5, 3.0, 3.15, 4.0, 5.0, 6.3, 8.0, 10.0,
];

/// Times of the running current, least and most (trade number "line fuse", from memory).
const TIMES: (f64, f64) = (1.25, 2.0);

/// What the set draws, for the fuse.
#[derive(Debug, Clone, PartialEq)]
pub struct FuseChoice {
    /// Running line current at the highest line: low, expected, high.
    pub running: [f64; 3],
    /// Line volts of that.
    pub line_volts: f64,
    /// Least rating.
    pub least: f64,
    /// Highest rating.
    pub most: f64,
    /// The smallest usual rating within both; `None` where none is.
    pub rating: Option<f64>,
    /// What the maker's fuse is marked with.
    pub marked: Option<f64>,
    /// Rms line current at seconds after switch-on.
    pub inrush: Vec<(f64, f64)>,
    /// What those moments let through in the first ten seconds.
    pub inrush_ampere_squared_seconds: Option<f64>,
    /// Highest first half-wave that copper alone would limit: peak amperes and its share of ampere-squared seconds.
    pub half_wave: Option<(f64, f64)>,
}

/// The fuse for these currents.
#[must_use]
pub fn choose_fuse(
    running: [f64; 3],
    line_volts: f64,
    marked: Option<f64>,
    inrush: Vec<(f64, f64)>,
    half_wave: Option<(f64, f64)>,
) -> FuseChoice {
    let least = (TIMES.0 * running[1]).max(running[2]);
    let computed = TIMES.1 * running[1];
    let most = marked
        .filter(|marked| *marked >= least)
        .map_or(computed, |marked| computed.min(marked));
    let rating = FUSE_RATINGS
        .into_iter()
        .find(|rating| *rating >= least && *rating <= most * (1.0 + 1e-9));
    FuseChoice {
        running,
        line_volts,
        least,
        most,
        rating,
        marked,
        inrush_ampere_squared_seconds: passed(&inrush),
        inrush,
        half_wave,
    }
}

/// Ampere-squared seconds of moments with rms amperes, between them in straight lines; the first holds from the start.
fn passed(moments: &[(f64, f64)]) -> Option<f64> {
    let (first, rest) = moments.split_first()?;
    let mut sum = first.0 * first.1 * first.1;
    let mut before = *first;
    for moment in rest {
        sum += (moment.0 - before.0) * 0.5 * (moment.1 * moment.1 + before.1 * before.1);
        before = *moment;
    }
    Some(sum)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Closed form: a steady current I over t lets I squared t through.
    #[test]
    fn a_steady_current_passes_its_square_times_time() {
        let steady = [(0.1, 2.0), (1.0, 2.0), (10.0, 2.0)];
        assert!(passed(&steady).is_some_and(|sum| (sum - 40.0).abs() < 1e-9));
        assert_eq!(passed(&[]), None);
    }

    #[test]
    fn the_rating_is_usual_and_never_above_the_mark() {
        let fuse = choose_fuse([1.8, 2.0, 2.2], 126.0, Some(3.0), Vec::new(), None);
        assert_eq!((fuse.rating, fuse.most), (Some(2.5), 3.0));
        let tight = choose_fuse([1.8, 2.0, 2.2], 126.0, Some(2.5), Vec::new(), None);
        assert_eq!((tight.rating, tight.most), (Some(2.5), 2.5));
        // A mark below what the set draws is told, not followed.
        let low = choose_fuse([1.8, 2.0, 2.2], 126.0, Some(1.0), Vec::new(), None);
        assert_eq!((low.rating, low.most), (Some(2.5), 4.0));
    }
}
