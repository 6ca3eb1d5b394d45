//! What is foretold of healthy and faulty sets, as it is kept beside the facts of a restoration.
//!
//! The length of a head in four bytes, the head as JSON, then figures, least byte first: every drawn
//! reading and how far each faulty set reaches in single precision, every shift of every faulty set
//! in the upper half of that, which keeps it to 0.4 percent where a tenth of it is in doubt.
//! A figure that is not told is no number. What was just worked out goes the same way, so that kept
//! and new answers are the same. What cannot be read back is worked out anew; nothing here fails.

use receiver::conditions::BenchConditions;
use receiver::probes::Probe;
use receiver::suspects::predict::{Faulty, Foretold};
use receiver::whole_set::FaultyWork;
use serde::{Deserialize, Serialize};

#[derive(Serialize, Deserialize)]
struct Head {
    probes: usize,
    healthy: Vec<Option<f64>>,
    /// Numbers of the drawn sets.
    draws: Vec<usize>,
    /// Highest momentary volts by probe.
    peaks: Vec<Option<f64>>,
    /// How many sets each probe was drawn in; none where it is not told.
    drawn: Vec<Option<usize>>,
    /// By hypothesis.
    severities: Vec<Vec<f64>>,
    /// Whether each faulty set was solved, `1` or `0`, in their order.
    solved: String,
    networks: usize,
    iterations: usize,
    cycles: usize,
    filled: usize,
    lost: usize,
}

/// The bytes of what is foretold.
pub(crate) fn to_bytes(told: &Foretold) -> Option<Vec<u8>> {
    let solved = told.faulty.iter().flat_map(|own| &own.shifts);
    let head = Head {
        probes: told.probes.len(),
        healthy: told.healthy.clone(),
        draws: told.draws.clone(),
        peaks: told.peaks.clone(),
        drawn: told
            .drawn
            .iter()
            .map(|own| own.as_ref().map(Vec::len))
            .collect(),
        severities: told
            .faulty
            .iter()
            .map(|own| own.severities.clone())
            .collect(),
        solved: solved
            .map(|own| if own.is_some() { '1' } else { '0' })
            .collect(),
        networks: told.work.networks,
        iterations: told.work.iterations,
        cycles: told.work.cycles,
        filled: told.work.filled,
        lost: told.work.lost,
    };
    let head = serde_json::to_vec(&head).ok()?;
    let mut bytes = u32::try_from(head.len()).ok()?.to_le_bytes().to_vec();
    bytes.extend(head);
    for own in told.drawn.iter().flatten() {
        let own = own.iter();
        bytes.extend(own.flat_map(|value| (*value as f32).to_le_bytes()));
    }
    for own in &told.faulty {
        for shifts in own.shifts.iter().flatten() {
            let own = shifts.iter();
            bytes.extend(own.flat_map(|value| halved(value.unwrap_or(f64::NAN)).to_le_bytes()));
        }
        let own = own.reach.iter();
        bytes.extend(own.flat_map(|value| (*value as f32).to_le_bytes()));
    }
    Some(bytes)
}

/// The upper half of a single-precision figure, rounded to the nearer one.
fn halved(value: f64) -> u16 {
    let none = (f32::NAN.to_bits() >> 16) as u16;
    let single = value as f32;
    if !single.is_finite() {
        return none;
    }
    let bits = single.to_bits();
    // Half way it goes to the even one.
    let rounded = (bits.saturating_add(0x7fff + (bits >> 16 & 1)) >> 16) as u16;
    if whole(rounded).is_finite() {
        rounded
    } else {
        none
    }
}

fn whole(half: u16) -> f64 {
    f64::from(f32::from_bits(u32::from(half) << 16))
}

/// What such bytes hold of these conditions and probes; `None` where they cannot be read.
pub(crate) fn from_bytes(
    bytes: &[u8],
    conditions: &BenchConditions,
    probes: &[Probe],
) -> Option<Foretold> {
    let (length, rest) = bytes.split_first_chunk::<4>()?;
    let length = usize::try_from(u32::from_le_bytes(*length)).ok()?;
    let (head, mut rest) = rest.split_at_checked(length)?;
    let head: Head = serde_json::from_slice(head).ok()?;
    let count = probes.len();
    if [head.probes, head.healthy.len(), head.drawn.len()] != [count; 3] {
        return None;
    }
    let mut take = |bytes: usize| -> Option<&[u8]> {
        let (own, more) = rest.split_at_checked(bytes)?;
        rest = more;
        Some(own)
    };
    let singles = |own: &[u8]| -> Option<Vec<f64>> {
        let figure = |four: &[u8]| Some(f64::from(f32::from_le_bytes(four.try_into().ok()?)));
        own.chunks_exact(4).map(figure).collect()
    };
    let halves = |own: &[u8]| -> Option<Vec<Option<f64>>> {
        let figure = |two: &[u8]| Some(whole(u16::from_le_bytes(two.try_into().ok()?)));
        let told = |value: f64| (!value.is_nan()).then_some(value);
        own.chunks_exact(2)
            .map(|two| Some(told(figure(two)?)))
            .collect()
    };
    let drawn = head
        .drawn
        .iter()
        .map(|own| match own {
            Some(sets) => singles(take(sets.checked_mul(4)?)?).map(Some),
            None => Some(None),
        })
        .collect::<Option<_>>()?;
    let mut solved = head.solved.chars();
    let mut faulty = Vec::with_capacity(head.severities.len());
    for severities in head.severities {
        let mut shifts = Vec::with_capacity(severities.len());
        for _ in &severities {
            shifts.push(match solved.next()? {
                '1' => Some(halves(take(2 * count)?)?),
                _ => None,
            });
        }
        let reach = singles(take(4 * severities.len())?)?;
        faulty.push(Faulty {
            severities,
            shifts,
            reach,
        });
    }
    if solved.next().is_some() || !rest.is_empty() {
        return None;
    }
    Some(Foretold {
        conditions: conditions.clone(),
        probes: probes.to_vec(),
        healthy: head.healthy,
        draws: head.draws,
        peaks: head.peaks,
        drawn,
        faulty,
        work: FaultyWork {
            networks: head.networks,
            iterations: head.iterations,
            cycles: head.cycles,
            filled: head.filled,
            lost: head.lost,
        },
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use receiver::probes::Spot;
    use receiver::reading::What;

    #[test]
    fn half_a_figure_is_near_the_whole_one() {
        for value in [0.0, 1.0, -0.25, 0.1, -317.3, 1.9e-4, 4.7e5, -1e-30, 3.3e38] {
            let back = whole(halved(value));
            assert!(
                (back - value).abs() <= 0.004 * value.abs(),
                "{value} {back}"
            );
            // What was kept once is kept as it is.
            assert_eq!(whole(halved(back)), back);
        }
        for value in [f64::NAN, f64::INFINITY, 1e300, 3.4e38] {
            assert!(whole(halved(value)).is_nan(), "{value}");
        }
    }

    #[test]
    fn what_is_foretold_comes_back_as_it_was_and_once_more_the_same() {
        let probe = |at: &str, junction| Probe {
            at: at.to_owned(),
            to: None,
            what: What::DcVolts,
            spot: Spot::ToChassis(junction),
        };
        let told = Foretold {
            conditions: BenchConditions::default(),
            probes: vec![probe("V1.1", 1), probe("V1.5", 2)],
            healthy: vec![Some(100.1), None],
            draws: vec![0, 1, 3],
            peaks: vec![Some(120.5), None],
            drawn: vec![Some(vec![99.5, 100.75, 101.1]), None],
            faulty: vec![
                Faulty {
                    severities: vec![1e4, 1e5],
                    shifts: vec![Some(vec![Some(-0.1), None]), None],
                    reach: vec![3.3, 0.0],
                },
                Faulty {
                    severities: vec![1.0],
                    shifts: vec![Some(vec![Some(7.0), None])],
                    reach: vec![1.0],
                },
            ],
            work: FaultyWork {
                networks: 3,
                iterations: 20,
                cycles: 1,
                filled: 2,
                lost: 1,
            },
        };
        let bytes = to_bytes(&told).expect("bytes");
        let back = from_bytes(&bytes, &told.conditions, &told.probes).expect("read back");
        let near = |one: f64, other: f64| (one - other).abs() <= 4e-3 * other.abs();
        assert_eq!(back.healthy, told.healthy);
        assert_eq!(back.draws, told.draws);
        assert_eq!(back.peaks, told.peaks);
        assert_eq!(back.work, told.work);
        for (one, other) in back.faulty.iter().zip(&told.faulty) {
            assert_eq!(one.severities, other.severities);
            assert_eq!(one.shifts.len(), other.shifts.len());
            for (one, other) in one.shifts.iter().zip(&other.shifts) {
                assert_eq!(one.is_some(), other.is_some());
                let all = one.iter().flatten().zip(other.iter().flatten());
                for pair in all {
                    match pair {
                        (Some(one), Some(other)) => assert!(near(*one, *other)),
                        (one, other) => assert_eq!(one, other),
                    }
                }
            }
        }
        let again = to_bytes(&back).expect("bytes");
        assert_eq!(bytes, again);
        for cut in [0, 3, 4, bytes.len() / 2, bytes.len() - 1] {
            let own = from_bytes(&bytes[..cut], &told.conditions, &told.probes);
            assert!(own.is_none(), "{cut}");
        }
        assert!(from_bytes(&bytes, &told.conditions, &told.probes[..1]).is_none());
    }
}
