//! An expected reading with the range healthy sets show, and what makes the range that wide.
//!
//! The numbers of a [`Band`] carry the unit of whatever is expected; the caller knows it. `low <= expected <= high` holds for every
//! band made here, and the shares of its causes sum to one, largest first, or the list is empty when no cause is known.
//! A band whose numbers are out of order or not finite, or whose weights are negative or not finite, is refused.

/// The range in which nine of ten healthy sets lie, around the expected value.
#[derive(Clone, Debug, PartialEq)]
pub struct Band {
    /// Lower end.
    pub low: f64,
    /// Expected value.
    pub expected: f64,
    /// Upper end.
    pub high: f64,
    /// What the width is made of; shares sum to one, largest first. Empty when not known.
    pub made_of: Vec<Share>,
}

/// One cause of a band's width.
#[derive(Clone, Debug, PartialEq)]
pub struct Share {
    /// In words for a person: `T1 regulation`.
    pub cause: String,
    /// Fraction of the whole, 0 to 1.
    pub share: f64,
}

/// Why a band was refused.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
pub enum BandError {
    /// The three numbers are not in the order low, expected, high, or one of them is not finite.
    #[error(
        "band from {low} over {expected} to {high}: expected three finite numbers that do not fall"
    )]
    Disorder {
        /// Lower end as given.
        low: f64,
        /// Expected value as given.
        expected: f64,
        /// Upper end as given.
        high: f64,
    },
    /// A cause has a negative or non-finite weight, or the weights are too large to be added.
    #[error("cause \"{cause}\" has the weight {weight}: expected a finite number from 0 on")]
    Weight {
        /// The cause.
        cause: String,
        /// Its weight as given.
        weight: f64,
    },
}

impl Band {
    /// A band with its causes. `weights` need not sum to one: they are scaled to it, causes of the same name are joined, causes
    /// without weight left out, and the rest sorted, largest first (equal ones by name). Refused as [`BandError`] says.
    pub fn new<C: Into<String>>(
        low: f64,
        expected: f64,
        high: f64,
        weights: impl IntoIterator<Item = (C, f64)>,
    ) -> Result<Band, BandError> {
        let finite = low.is_finite() && expected.is_finite() && high.is_finite();
        if !finite || low > expected || expected > high {
            return Err(BandError::Disorder {
                low,
                expected,
                high,
            });
        }
        Ok(Band {
            low,
            expected,
            high,
            made_of: shares(weights)?,
        })
    }

    /// A band without width or causes; refused when `value` is not finite.
    pub fn exactly(value: f64) -> Result<Band, BandError> {
        Band::new(value, value, value, std::iter::empty::<(String, f64)>())
    }

    /// Whether `reading` lies inside, ends included.
    pub fn contains(&self, reading: f64) -> bool {
        self.low <= reading && reading <= self.high
    }

    /// Distance from lower to upper end.
    pub fn width(&self) -> f64 {
        self.high - self.low
    }

    /// The whole band multiplied by `factor` (a negative one turns it over); refused when that is no longer finite.
    pub fn scaled(&self, factor: f64) -> Result<Band, BandError> {
        let (one, other) = (self.low * factor, self.high * factor);
        let mut band = Band::exactly(self.expected * factor)?;
        (band.low, band.high) = (one.min(other), one.max(other));
        if !(band.low.is_finite() && band.high.is_finite()) {
            return Err(BandError::Disorder {
                low: one,
                expected: band.expected,
                high: other,
            });
        }
        band.made_of.clone_from(&self.made_of);
        Ok(band)
    }
}

/// Weights made into shares that sum to one, largest first.
fn shares<C: Into<String>>(
    weights: impl IntoIterator<Item = (C, f64)>,
) -> Result<Vec<Share>, BandError> {
    let mut joined: Vec<Share> = Vec::new();
    for (cause, weight) in weights {
        let cause = cause.into();
        if !weight.is_finite() || weight < 0.0 {
            return Err(BandError::Weight { cause, weight });
        }
        match joined.iter_mut().find(|share| share.cause == cause) {
            Some(share) => share.share += weight,
            None => joined.push(Share {
                cause,
                share: weight,
            }),
        }
    }
    joined.retain(|share| share.share > 0.0);
    // Scaled by the largest first, so that neither huge nor tiny weights spoil the sum.
    let largest = joined
        .iter()
        .fold(0.0_f64, |largest, share| largest.max(share.share));
    if let Some(share) = joined.iter().find(|share| !share.share.is_finite()) {
        return Err(BandError::Weight {
            cause: share.cause.clone(),
            weight: share.share,
        });
    }
    let sum: f64 = joined.iter().map(|share| share.share / largest).sum();
    for share in &mut joined {
        share.share = share.share / largest / sum;
    }
    joined.sort_by(|one, other| {
        other
            .share
            .total_cmp(&one.share)
            .then_with(|| one.cause.cmp(&other.cause))
    });
    Ok(joined)
}
