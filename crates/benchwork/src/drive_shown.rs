//! What the readings of a restoration show of the drive of the horizontal output tube.
//!
//! D.c. volts. Only readings of the set as it is now count, with the plug in; the law is that of
//! [`receiver::sweep_drive`]. Nothing here fails: what cannot be understood is left out.

use logbook::{Fact, StandingFact};
use receiver::sheet::Sheet;
use receiver::sweep_drive::{BenchReading, OutputDrive, drives};
use receiver::wiring::SetModel;

use crate::hunt::{endings, is_dark};
use crate::judge_entry::{bench_conditions, taken};

/// What is known of the drive by these facts. `band` tells where nine of ten healthy sets read for an entry.
pub(crate) fn drive_shown(
    model: &SetModel<'_>,
    sheet: &Sheet,
    facts: &[StandingFact<'_>],
    band: impl Fn(u64) -> Option<(f64, f64)>,
) -> Vec<OutputDrive> {
    // A part out of circuit for a reading may be replaced without any doubt about that reading; for the drive the
    // grid is read again.
    let changed = endings(sheet, facts).iter().map(|own| own.entry).max();
    let now = facts
        .iter()
        .filter(|own| changed.is_none_or(|changed| own.number > changed));
    let readings: Vec<BenchReading> = now
        .clone()
        .filter_map(|one| {
            let Fact::Measured(measured) = one.fact else {
                return None;
            };
            if measured.conditions.plug_out || !measured.conditions.dc.is_empty() {
                return None;
            }
            Some(BenchReading {
                entry: one.number,
                taken: taken(measured)?,
                conditions: bench_conditions(&measured.conditions, "").ok()?,
                band: band(one.number),
            })
        })
        .collect();
    let mut dark: Vec<usize> = Vec::new();
    for one in now {
        if let Fact::Seen(seen) = one.fact
            && let (Some(is_dark), Some(tube)) = (is_dark(seen), model.tube_index(&seen.part))
        {
            dark.retain(|own| *own != tube);
            if is_dark {
                dark.push(tube);
            }
        }
    }
    drives(model, &readings, &dark)
}
