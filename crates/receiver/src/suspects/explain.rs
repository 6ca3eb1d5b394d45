//! One fault beside the readings: what each place would read with it, and what healthy sets read.
//!
//! Units of the readings. Between two severities that were solved readings go along a straight
//! line in the law's own scale, as the ranking takes them. A place or a fault of which nothing is
//! foretold gives `None`.

use quantity::Band;

use crate::bands::{Values, as_read, band_of, nine_of_ten};

use super::evidence::{Evidence, Seen};
use super::predict::Foretold;
use super::sum::is_even_in_ratios;

/// How far each probe reads from the healthy set with this fault at a severity, in the row's unit.
pub fn shifts_at(told: &Foretold, hypothesis: usize, severity: f64) -> Option<Values> {
    let own = told.faulty.get(hypothesis)?;
    let last = own.severities.len().checked_sub(1)?;
    let Some(at) = own
        .severities
        .windows(2)
        .position(|pair| matches!(pair, [low, high] if (*low..=*high).contains(&severity)))
    else {
        // Beyond either end the end holds.
        let end = if severity < *own.severities.first()? {
            0
        } else {
            last
        };
        return own.shifts.get(end)?.clone();
    };
    let (low, high) = (own.severities[at], own.severities[at + 1]);
    let share = if is_even_in_ratios(&own.severities) {
        (severity / low).ln() / (high / low).ln()
    } else {
        (severity - low) / (high - low)
    };
    let (one, other) = (
        own.shifts.get(at)?.as_ref()?,
        own.shifts.get(at + 1)?.as_ref()?,
    );
    let between = one.iter().zip(other).map(|(one, other)| {
        let (one, other) = ((*one)?, (*other)?);
        Some(one + share * (other - one))
    });
    Some(between.collect())
}

/// One reading beside one fault.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Beside {
    /// What is expected with the fault.
    pub with_fault: f64,
    /// Natural logarithm of how many times likelier it is with the fault than in a healthy set,
    /// all other readings being as they are.
    pub likelier: f64,
}

/// Each reading beside this fault at a severity; `None` for one of which nothing is foretold.
pub fn beside(
    foretold: &[Foretold],
    seen: &[Seen],
    hypothesis: usize,
    severity: f64,
) -> Vec<Option<Beside>> {
    let evidence = Evidence::new(foretold, seen);
    let mut found = vec![None; seen.len()];
    let shifts: Option<Vec<f64>> = evidence
        .seen()
        .iter()
        .enumerate()
        .map(|(at, own)| {
            let told = foretold.get(own.conditions)?;
            let shift = (*shifts_at(told, hypothesis, severity)?.get(own.probe)?)?;
            evidence.own_shift(foretold, at, shift)
        })
        .collect();
    let Some(shifts) = shifts else {
        return found;
    };
    let none = vec![0.0; evidence.count()];
    let (Some(with), Some(without)) = (evidence.against(&shifts), evidence.against(&none)) else {
        return found;
    };
    let likelier = with.each().into_iter().zip(without.each());
    let expected = evidence.expected(&shifts);
    for ((at, with_fault), ((_, with), (_, without))) in
        evidence.used.iter().zip(expected).zip(likelier)
    {
        found[*at] = Some(Beside {
            with_fault,
            likelier: with - without,
        });
    }
    found
}

/// The severity at which this fault moves some reading farthest out of its healthy spread.
pub fn worst(told: &Foretold, hypothesis: usize) -> Option<f64> {
    let own = told.faulty.get(hypothesis)?;
    let mut all = own.severities.iter().zip(&own.reach);
    let first = all.next()?;
    // Of equal ones the first: where nothing moves, the low end of the law.
    let worst = all.fold(first, |most, own| if own.1 > most.1 { own } else { most });
    Some(*worst.0)
}

/// What nine of ten healthy sets read at a probe.
pub fn healthy_band(told: &Foretold, probe: usize) -> Option<Band> {
    let healthy = (*told.healthy.get(probe)?)?;
    let mut drawn = told.drawn.get(probe)?.clone()?;
    if drawn.is_empty() {
        return None;
    }
    let (low, high) = nine_of_ten(&mut drawn);
    let band = band_of(low, healthy, high, Vec::new())?;
    Some(as_read(band, told.probes.get(probe)?.what))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::conditions::BenchConditions;
    use crate::probes::{Probe, Spot};
    use crate::reading::What;
    use crate::suspects::predict::Faulty;
    use crate::whole_set::FaultyWork;

    fn told() -> Foretold {
        let faulty = |severities: &[f64], shifts: &[f64]| Faulty {
            severities: severities.to_vec(),
            shifts: shifts.iter().map(|own| Some(vec![Some(*own)])).collect(),
            reach: shifts.iter().map(|own| own.abs()).collect(),
        };
        Foretold {
            conditions: BenchConditions::default(),
            probes: vec![Probe {
                at: "V1.1".to_string(),
                to: None,
                what: What::DcVolts,
                spot: Spot::ToChassis(1),
            }],
            healthy: vec![Some(100.0)],
            draws: (0..=100).collect(),
            drawn: vec![Some((0..=100).map(|own| 50.0 + f64::from(own)).collect())],
            faulty: vec![
                faulty(&[1e4, 1e5, 1e6], &[-60.0, -20.0, -2.0]),
                faulty(&[1.0, 2.0, 3.0], &[0.0, 10.0, 40.0]),
            ],
            peaks: vec![Some(150.0)],
            work: FaultyWork::default(),
        }
    }

    /// By hand: half a decade is half way on a scale of ratios; beyond an end the end holds.
    #[test]
    fn between_two_severities_the_law_s_own_scale_counts() {
        let told = told();
        let at = |hypothesis, severity| {
            let own = shifts_at(&told, hypothesis, severity);
            own.and_then(|own| own[0]).map_or(f64::NAN, |own| own)
        };
        assert!((at(0, 10f64.powf(4.5)) + 40.0).abs() < 1e-9);
        assert!((at(0, 1e5) + 20.0).abs() < 1e-9);
        assert!((at(1, 2.5) - 25.0).abs() < 1e-9);
        assert_eq!((at(0, 1.0), at(0, 1e9)), (-60.0, -2.0));
        assert_eq!(shifts_at(&told, 2, 1.0), None);
        assert_eq!((worst(&told, 0), worst(&told, 1)), (Some(1e4), Some(3.0)));
        assert_eq!(worst(&told, 2), None);
        let mut still = told;
        still.faulty[0].reach = vec![0.0; 3];
        assert_eq!(worst(&still, 0), Some(1e4));
    }

    /// A reading where the fault puts it speaks for it, one where healthy sets lie against it.
    #[test]
    fn a_reading_speaks_for_what_it_fits() {
        let told = [told()];
        let read = |value| Seen {
            conditions: 0,
            probe: 0,
            value,
            doubt: 1.0,
        };
        let at = |value| beside(&told, &[read(value)], 0, 1e4)[0].expect("foretold");
        assert!((at(40.0).with_fault - 40.0).abs() < 1e-9);
        assert!(at(40.0).likelier > 0.5, "{:?}", at(40.0));
        assert!(at(110.0).likelier < -0.5, "{:?}", at(110.0));
        assert_eq!(beside(&told, &[read(1.0)], 7, 1e4), [None]);
    }

    /// Of 101 even draws from 50 to 150 nine of ten lie between 55 and 145.
    #[test]
    fn the_healthy_band_holds_nine_of_ten() {
        let band = healthy_band(&told(), 0).expect("drawn");
        assert!((band.low - 55.0).abs() < 1e-9 && (band.high - 145.0).abs() < 1e-9);
        assert_eq!(healthy_band(&told(), 1), None);
    }
}
