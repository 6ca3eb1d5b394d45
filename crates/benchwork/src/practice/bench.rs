//! The bench with a hidden set on it.
//!
//! Units of the readings. The example set as its sheet foretells it, and the same with other tube laws,
//! from which hidden sets are drawn. Fails for a place that the sheet has not, for one where no meter may
//! go, and where the set cannot be solved.

use logbook::Conditions;
use receiver::conditions::{BenchConditions, Meter};
use receiver::practice::answers::HiddenBench;
use receiver::practice::hidden::{Hidden, hidden_set};
use receiver::practice::other_law::with_other_laws;
use receiver::practice::own_way::{Searching, own_way};
use receiver::practice::signals::HiddenSignals;
use receiver::probes::{Probe, Spot, all_probes};
use receiver::reading::What;
use receiver::sheet::read_sheet;
use receiver::suspects::hypotheses::{Hypotheses, Hypothesis};
use receiver::suspects::next::while_hunting;
use receiver::suspects::predict::{Foreteller, Foretold};
use receiver::suspects::signs::Sign;
use receiver::wiring::SetModel;

use super::shown::symptoms;
use crate::check_sheet::catalogue;
use crate::judge_entry::bench_conditions;
use crate::tell_demo::EXAMPLE_SHEET;
use crate::trouble::Trouble;

const MERROW: &str = include_str!("../../../../examples/whole/merrow_17s.toml");
/// The other laws of the hidden sets, always the same.
const LAWS: u64 = 1;
/// Measurements after which the search itself gives up, and the weight at which it is sure.
const MOST_MEASUREMENTS: usize = 30;
const SURE: f64 = 0.9;

/// The example sets to practise on.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum PracticeSet {
    /// With a power transformer.
    Larkfield,
    /// With its heaters in series and a doubler.
    Merrow,
}

impl PracticeSet {
    /// The largest number of a hidden set.
    pub const LARGEST_NUMBER: u64 = 1_000_000;
    /// Line volts at which both stand on the bench.
    pub(super) const LINE_VOLTS: f64 = 117.0;

    /// Its sheet.
    pub(super) fn sheet(self) -> &'static str {
        match self {
            PracticeSet::Larkfield => EXAMPLE_SHEET,
            PracticeSet::Merrow => MERROW,
        }
    }

    pub(super) fn sheet_name(self) -> &'static str {
        match self {
            PracticeSet::Larkfield => "larkfield_12t.toml",
            PracticeSet::Merrow => "merrow_17s.toml",
        }
    }

    fn word(self) -> &'static str {
        match self {
            PracticeSet::Larkfield => "Larkfield",
            PracticeSet::Merrow => "Merrow",
        }
    }

    /// The name of the practice file.
    pub(super) fn name(self, seed: u64, faults: usize) -> String {
        let faults = match faults {
            1 => "one fault",
            _ => "two faults",
        };
        format!("Practice {seed}: {}, {faults}", self.word())
    }

    /// Set, seed and number of faults of a name.
    pub(super) fn read_name(name: &str) -> Option<(PracticeSet, u64, usize)> {
        let (seed, rest) = name.strip_prefix("Practice ")?.split_once(": ")?;
        let (set, faults) = rest.split_once(", ")?;
        let both = [PracticeSet::Larkfield, PracticeSet::Merrow];
        let set = both.into_iter().find(|own| own.word() == set)?;
        let faults = match faults {
            "one fault" => 1,
            "two faults" => 2,
            _ => return None,
        };
        Some((set, seed.parse().ok()?, faults))
    }
}

/// An example set and the one that hides behind it.
pub(super) struct PracticeBench<'s> {
    pub(super) model: SetModel<'s>,
    pub(super) truth: SetModel<'s>,
    pub(super) hypotheses: Hypotheses,
}

/// Does work on the bench of an example set.
pub(super) fn with_bench<T>(
    set: PracticeSet,
    work: impl FnOnce(&PracticeBench<'_>) -> T,
) -> Result<T, Trouble> {
    let catalogue = catalogue()?;
    let read = read_sheet(set.sheet(), catalogue);
    let Some(sheet) = read.sheet else {
        return Err(Trouble::ours("an example sheet has faults"));
    };
    let model = SetModel::new(&sheet, catalogue);
    let hypotheses = Hypotheses::of(&model, catalogue);
    Ok(work(&PracticeBench {
        truth: with_other_laws(SetModel::new(&sheet, catalogue), LAWS),
        hypotheses,
        model,
    }))
}

impl PracticeBench<'_> {
    pub(super) fn model(&self) -> &SetModel<'_> {
        &self.model
    }

    pub(super) fn hypotheses(&self) -> &Hypotheses {
        &self.hypotheses
    }

    /// The hidden set of this seed.
    pub(super) fn hidden(&self, seed: u64, faults: usize) -> Hidden {
        let is_of_the_set = |own: &Hypothesis| !own.is_of_sheet();
        hidden_set(&self.truth, &self.hypotheses, faults, seed, is_of_the_set)
    }

    /// What is foretold of the set as it stands.
    pub(super) fn foretold(&self) -> Result<Foretold, Trouble> {
        let foreteller = Foreteller::new(&self.model, &self.hypotheses);
        foreteller
            .under(&usual_conditions(), &self.volts_probes())
            .map_err(|error| Trouble::ours(error.to_string()))
    }

    /// The way that the search itself takes through this hidden set, told the same complaint: how many measurements
    /// until it is sure, `None` where it never is.
    pub(super) fn own_way(
        &self,
        seed: u64,
        faults: usize,
        complaint: &[usize],
    ) -> Result<Option<usize>, Trouble> {
        let conditions = usual_conditions();
        let ours = |error: String| Trouble::ours(error);
        let told = self.foretold()?;
        let foretold = std::slice::from_ref(&told);
        let seen = complaint.iter().map(|at| Sign::Symptom(*at, true));
        let seen: Vec<Sign> = seen.collect();
        let efforts = parts::efforts().map_err(|faults| {
            let texts: Vec<String> = faults.iter().map(ToString::to_string).collect();
            ours(texts.join("; "))
        })?;
        let hidden = self.hidden(seed, faults);
        let disturbing = self.disturbing(seed, &hidden)?;
        let signals = HiddenSignals::new(&self.model, &self.hypotheses, seed, disturbing);
        let searching = Searching {
            signals: Some(&signals),
            model: &self.model,
            truth: &self.truth,
            hypotheses: &self.hypotheses,
            foretold,
            efforts,
            situation: &while_hunting(&self.model, &conditions, true),
            noticed: &seen,
            symptoms: symptoms()?,
        };
        let bench = HiddenBench::new(seed, true);
        let way = own_way(&searching, &hidden, &bench, MOST_MEASUREMENTS, SURE)
            .map_err(|error| ours(error.to_string()))?;
        let first = way.ranking.suspects.first().map(|own| own.suspect);
        let is_right = hidden.faults.iter().any(|own| Some(own.suspect) == first);
        Ok((way.is_sure && is_right).then_some(way.made.len()))
    }

    pub(super) fn volts_probes(&self) -> Vec<Probe> {
        all_probes(&self.model, None)
            .into_iter()
            .filter(|probe| probe.what == What::DcVolts && matches!(probe.spot, Spot::ToChassis(_)))
            .collect()
    }

    /// What a meter shows, as one would type it.
    pub(super) fn reading(
        &self,
        seed: u64,
        faults: usize,
        place: &str,
        to: &str,
        meter: &str,
        said: &Conditions,
    ) -> Result<String, Trouble> {
        let at = self.junction(place)?;
        let to = match to.trim() {
            "" => self.truth.chassis_junction(),
            to => Some(self.junction(to)?),
        };
        let hidden = self.hidden(seed, faults);
        let bench = HiddenBench::new(seed, true);
        let conditions = bench_conditions(said, meter)
            .map_err(|because| Trouble::input(because, "try again"))?;
        let not_solved = |error: receiver::expect::ExpectError| {
            Trouble::input(
                error.to_string(),
                "look at what you pulled or opened; another place may answer",
            )
        };
        if said.plug_out {
            let Some(to) = to else {
                return Err(Trouble::input(
                    "the set has no chassis",
                    "name the other place",
                ));
            };
            let ohms = bench
                .cold_ohms(&self.truth, &hidden, &conditions, (at, to))
                .map_err(not_solved)?;
            return Ok(match ohms {
                Some(ohms) => format!("{} ohm", plain(ohms)),
                None => "open".to_owned(),
            });
        }
        let is_pulsed = |junction: usize| self.truth.stages.pulsed.get(junction) == Some(&true);
        if is_pulsed(at) || to.is_some_and(is_pulsed) {
            return Err(Trouble::input(
                format!(
                    "no meter goes to {}: pulses of hundreds of volts to kilovolts stand there",
                    place.trim()
                ),
                "read the supply behind it, or the grid and the screen of its tube",
            ));
        }
        let spot = match to {
            Some(to) if Some(to) != self.truth.chassis_junction() => Spot::Between(at, to),
            _ => Spot::ToChassis(at),
        };
        let probes = [Probe {
            at: place.trim().to_lowercase(),
            to: None,
            what: What::DcVolts,
            spot,
        }];
        let truth =
            HiddenBench::truth(&self.truth, &hidden, &conditions, &probes).map_err(not_solved)?;
        match bench.reading(&truth, &probes, 0, &conditions) {
            Some((volts, _)) => Ok(format!("{} V", plain(volts))),
            None => Err(Trouble::input(
                format!("{} cannot be answered", place.trim()),
                "the practice set knows the places of its sheet that carry direct volts",
            )),
        }
    }

    pub(super) fn junction(&self, place: &str) -> Result<usize, Trouble> {
        let places = &self.truth.places;
        let known = places.find(place).map_err(|unknown| {
            let hint = match &unknown.nearest {
                Some(near) => format!("did you mean {near}?"),
                None => "name a pin such as V9.5, or a line such as B+ main".to_owned(),
            };
            Trouble::input(
                format!("`{}` is no place of this sheet", place.trim()),
                hint,
            )
        })?;
        self.truth
            .junction(known)
            .ok_or_else(|| Trouble::input(format!("nothing reaches {place}"), "name another place"))
    }
}

/// The line and the meter of a practice.
pub(super) fn usual_conditions() -> BenchConditions {
    BenchConditions {
        line_volts: Some(PracticeSet::LINE_VOLTS),
        meter: Some(Meter::InputOhms(1e7)),
        ..BenchConditions::default()
    }
}

/// Three figures without a power of ten.
fn plain(value: f64) -> String {
    let decimals = match value.abs() {
        size if size >= 100.0 => 0,
        size if size >= 10.0 => 1,
        size if size >= 1.0 => 2,
        _ => 3,
    };
    format!("{value:.decimals$}")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn names_bear_the_hidden_set() {
        for (set, seed, faults) in [
            (PracticeSet::Larkfield, 17_003, 1),
            (PracticeSet::Merrow, 1_000, 2),
        ] {
            let name = set.name(seed, faults);
            assert_eq!(PracticeSet::read_name(&name), Some((set, seed, faults)));
        }
        for name in [
            "",
            "Practice",
            "Practice x: Merrow, one fault",
            "Larkfield 12T",
        ] {
            assert_eq!(PracticeSet::read_name(name), None, "{name}");
        }
    }

    #[test]
    fn figures_are_plain() {
        for (value, wanted) in [
            (318.4, "318"),
            (-14.26, "-14.3"),
            (0.0123, "0.012"),
            (2.2e6, "2200000"),
        ] {
            assert_eq!(plain(value), wanted);
        }
    }
}
