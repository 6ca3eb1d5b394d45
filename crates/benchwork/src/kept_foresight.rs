//! What a set foresees, as it is kept beside the facts of a restoration.
//!
//! The length of a head in four bytes, the head as JSON, then the steps of all drawn readings in
//! two bytes each, least byte first. Stored forms of their own, converted by hand; what cannot be
//! read back is worked out anew. Nothing here fails.

use receiver::foresight::{DrawnColumn, Foresight};
use receiver::reading::{Unknown, What};
use serde::{Deserialize, Serialize};

use crate::kept_plan::KeptReading;

#[derive(Serialize, Deserialize)]
struct Head {
    readings: Vec<KeptReading>,
    unknown: Vec<(String, String, String)>,
    safe: Vec<String>,
    /// Least value, step, and how many sets.
    columns: Vec<(f64, f64, usize)>,
    column_of: Vec<Option<usize>>,
}

/// The bytes of what is foreseen.
pub(crate) fn to_bytes(foresight: &Foresight) -> Option<Vec<u8>> {
    let unknown = foresight.unknown.iter();
    let head = Head {
        readings: foresight.readings.iter().map(KeptReading::of).collect(),
        unknown: unknown
            .map(|one| {
                let what = one.what.name().to_owned();
                (one.at.clone(), what, one.because.clone())
            })
            .collect(),
        safe: foresight.safe.clone(),
        columns: foresight
            .columns
            .iter()
            .map(|column| (column.low, column.step, column.counts.len()))
            .collect(),
        column_of: foresight.column_of.clone(),
    };
    let head = serde_json::to_vec(&head).ok()?;
    let mut bytes = u32::try_from(head.len()).ok()?.to_le_bytes().to_vec();
    bytes.extend(head);
    for column in &foresight.columns {
        bytes.extend(column.counts.iter().flat_map(|count| count.to_le_bytes()));
    }
    Some(bytes)
}

/// What such bytes hold; `None` where they cannot be read.
pub(crate) fn from_bytes(bytes: &[u8]) -> Option<Foresight> {
    let (length, rest) = bytes.split_first_chunk::<4>()?;
    let length = usize::try_from(u32::from_le_bytes(*length)).ok()?;
    let (head, mut rest) = rest.split_at_checked(length)?;
    let head: Head = serde_json::from_slice(head).ok()?;
    let mut columns = Vec::with_capacity(head.columns.len());
    for (low, step, count) in head.columns {
        let (own, more) = rest.split_at_checked(count.checked_mul(2)?)?;
        rest = more;
        let counts = own
            .chunks_exact(2)
            .filter_map(|pair| Some(u16::from_le_bytes(pair.try_into().ok()?)));
        columns.push(DrawnColumn {
            low,
            step,
            counts: counts.collect(),
        });
    }
    let readings: Vec<_> = head
        .readings
        .into_iter()
        .map(KeptReading::back)
        .collect::<Option<_>>()?;
    let fits = head.column_of.len() == readings.len()
        && head
            .column_of
            .iter()
            .flatten()
            .all(|column| *column < columns.len());
    if !fits || !rest.is_empty() {
        return None;
    }
    let unknown = head.unknown.into_iter();
    Some(Foresight {
        readings,
        unknown: unknown
            .map(|(at, what, because)| {
                let what = What::from_name(&what)?;
                Some(Unknown { at, what, because })
            })
            .collect::<Option<_>>()?,
        safe: head.safe,
        columns,
        column_of: head.column_of,
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use receiver::conditions::BenchConditions;
    use receiver::expect::Predictor;
    use receiver::sheet::read_sheet;
    use receiver::wiring::SetModel;

    #[test]
    fn what_is_foreseen_comes_back_as_it_was() {
        let catalogue = parts::catalogue().expect("data");
        let sheet = read_sheet(crate::EXAMPLE_SHEET, catalogue)
            .sheet
            .expect("a sheet");
        let model = SetModel::new(&sheet, catalogue);
        let predictor = Predictor::new(&model);
        let conditions = BenchConditions::default();
        let warm = Foresight::under_power(&predictor, &conditions).expect("solved");
        let cold = Foresight::cold(&predictor, &conditions).expect("solved");
        assert!(warm.narrows() && !cold.narrows());
        for own in [warm, cold] {
            let bytes = to_bytes(&own).expect("bytes");
            let back = from_bytes(&bytes).expect("read back");
            // Shares of a band are scaled to one again, which may touch their last digit.
            assert_eq!(back.columns, own.columns);
            assert_eq!(back.column_of, own.column_of);
            assert_eq!(back.safe, own.safe);
            assert_eq!(back.unknown, own.unknown);
            for (one, other) in back.readings.iter().zip(&own.readings) {
                assert_eq!(
                    (&one.at, &one.to, one.what),
                    (&other.at, &other.to, other.what)
                );
                let ends = |band: &quantity::Band| (band.low, band.expected, band.high);
                assert_eq!(ends(&one.band), ends(&other.band), "{}", one.at);
            }
            for cut in [0, 3, 4, bytes.len() / 2, bytes.len() - 1] {
                assert!(from_bytes(&bytes[..cut]).is_none(), "{cut}");
            }
        }
    }
}
