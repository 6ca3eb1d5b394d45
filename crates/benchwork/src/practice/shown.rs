//! What a hidden set shows beside the meter: whether it shows at all, what its owner complains of, what comes of a signal.
//!
//! Standard deviations of healthy sets and meter; symptoms by their position in the table. Drawn by the seed of the set
//! as [`receiver::practice::complaint`] and [`receiver::practice::signals`] have it. Fails where no set of a number shows
//! its fault, for places that the sheet has not and those where pulses stand.

use receiver::bands::Values;
use receiver::practice::answers::HiddenBench;
use receiver::practice::complaint::{Complaint, disturbs, symptoms_of};
use receiver::practice::hidden::{Hidden, healthy_spreads, is_moved, reach};
use receiver::practice::own_way::SignalSource;
use receiver::practice::signals::HiddenSignals;
use receiver::suspects::signs::signal_way::SignalEnd;
use receiver::suspects::signs::signals::SignalCame;

use super::bench::{PracticeBench, usual_conditions};
use crate::hunt::signal_end;
use crate::trouble::Trouble;

/// Faults of one set at most.
const MOST_FAULTS: u64 = 2;
/// Draws after which a number is given up.
const MOST_DRAWS: u64 = 100;

impl PracticeBench<'_> {
    /// The first seed of a number whose set shows its fault at the meter and to its owner, and what he complains of:
    /// symptoms by their position in the table.
    pub(super) fn seed_that_shows(
        &self,
        number: u64,
        faults: usize,
    ) -> Result<(u64, Vec<usize>), Trouble> {
        let foretold = self.foretold()?;
        let spread = self.spread()?;
        let told = std::slice::from_ref(&foretold);
        let symptoms = symptoms_of(&self.model, &self.hypotheses, told, symptoms()?);
        let shown = |seed: u64| -> Option<Complaint> {
            let hidden = self.hidden(seed, faults);
            let without = self.read(&hidden.with_only(&self.hypotheses, &[]))?;
            if hidden.faults.len() != faults || !is_moved(&self.read(&hidden)?, &without, &spread) {
                return None;
            }
            let reaches = self.reaches(&hidden, &spread)?;
            let each = hidden.faults.iter().zip(reaches).zip(0..);
            let complaint = each.fold(Complaint::default(), |all, ((fault, reach), number)| {
                let seed = seed_of(seed, number);
                let own = Complaint::of(&symptoms, &self.hypotheses, fault, reach, seed);
                all.and(&own)
            });
            complaint.is_any().then_some(complaint)
        };
        let mut seeds = (0..MOST_DRAWS).map(|draw| number * 1000 + draw);
        let found = seeds.find_map(|seed| Some((seed, shown(seed)?.seen().to_vec())));
        found.ok_or_else(|| {
            Trouble::input(
                format!("no set of number {number} shows its fault"),
                "give another number",
            )
        })
    }

    /// What comes of a signal, fed in at a place or of a station.
    pub(super) fn came(
        &self,
        seed: u64,
        faults: usize,
        fed: Option<&str>,
        watched: &str,
    ) -> Result<SignalCame, Trouble> {
        let fed = fed.map(|place| self.junction(place)).transpose()?;
        let end = match signal_end(watched) {
            Some(end) => end,
            None => SignalEnd::Junction(self.junction(watched)?),
        };
        let watched_at = match end {
            SignalEnd::Junction(at) => Some(at),
            _ => None,
        };
        let mut places = [fed, watched_at].into_iter().flatten();
        if places.any(|at| self.truth.stages.pulsed.get(at) == Some(&true)) {
            return Err(Trouble::input(
                "nothing is fed or read where pulses of hundreds of volts to kilovolts stand",
                "feed the grid before it, or watch at the end",
            ));
        }
        let disturbing = self.disturbing(seed, &self.hidden(seed, faults))?;
        let signals = HiddenSignals::new(&self.model, &self.hypotheses, seed, disturbing);
        Ok(signals.came(fed, end))
    }

    /// Faults of a hidden set that disturb, by their position among the hypotheses.
    pub(super) fn disturbing(&self, seed: u64, hidden: &Hidden) -> Result<Vec<usize>, Trouble> {
        let reaches = self.reaches(hidden, &self.spread()?);
        let reaches = reaches.ok_or_else(|| Trouble::ours("the hidden set has no solution"))?;
        let each = hidden.faults.iter().zip(reaches).zip(0..);
        let disturbing = each.filter(|((fault, reach), number)| {
            disturbs(&self.hypotheses, fault, *reach, seed_of(seed, *number))
        });
        Ok(disturbing.map(|((fault, _), _)| fault.hypothesis).collect())
    }

    fn spread(&self) -> Result<Vec<Option<f64>>, Trouble> {
        healthy_spreads(&self.model, &usual_conditions(), &self.volts_probes())
            .map_err(|error| Trouble::ours(error.to_string()))
    }

    /// What the usual places read in a hidden set; `None` where it cannot be solved.
    fn read(&self, hidden: &Hidden) -> Option<Values> {
        let probes = self.volts_probes();
        HiddenBench::truth(&self.truth, hidden, &usual_conditions(), &probes).ok()
    }

    /// How far each fault by itself moves the reading that it moves most.
    fn reaches(&self, hidden: &Hidden, spread: &[Option<f64>]) -> Option<Vec<f64>> {
        let without = self.read(&hidden.with_only(&self.hypotheses, &[]))?;
        let each = hidden.faults.iter().map(|fault| {
            let alone = hidden.with_only(&self.hypotheses, std::slice::from_ref(fault));
            Some(reach(&self.read(&alone)?, &without, spread))
        });
        each.collect()
    }
}

/// The seed of what one fault of a hidden set shows.
fn seed_of(seed: u64, number: u64) -> u64 {
    seed * MOST_FAULTS + number
}

/// The symptoms of the trade.
pub(super) fn symptoms() -> Result<&'static [parts::Symptom], Trouble> {
    parts::symptoms().map_err(|faults| {
        let first = faults.first();
        Trouble::ours(first.map_or_else(String::new, ToString::to_string))
    })
}
