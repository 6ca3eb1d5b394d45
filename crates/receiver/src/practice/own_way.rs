//! The way that the search itself takes through a hidden set.
//!
//! Weights are plain. After each measurement the suspects are ranked anew and the measurement worth
//! most is made: a place read in any of the foretold conditions, a part measured by itself, a tube on a
//! tester or exchanged. It ends when one suspect has the weight asked for, when nothing more is offered, or
//! after a number of measurements. The same hidden set gives the
//! same way. Fails as the set's solution does, or by a damaged table of hazards.

use parts::{Effort, Symptom};

use crate::bands::Values;
use crate::expect::ExpectError;
use crate::hazard::{Situation, TableFault};
use crate::suspects::by_itself::{AllByThemselves, ByItself};
use crate::suspects::doubt::doubt;
use crate::suspects::evidence::Seen;
use crate::suspects::hypotheses::{Hypotheses, Suspect};
use crate::suspects::next::{Asked, Measurement, Offered, SURE, next};
use crate::suspects::outcome::{Check, Found, Outcome, missed};
use crate::suspects::predict::Foretold;
use crate::suspects::rank::{Ranking, rank_beside};
use crate::suspects::signs::signal_way::SignalEnd;
use crate::suspects::signs::signals::SignalCame;
use crate::suspects::signs::{Sign, Signs};
use crate::suspects::stands::stand_after;
use crate::wiring::SetModel;

use super::answers::HiddenBench;
use super::hidden::Hidden;
use super::loose::{Shown, measured_loose};

/// Everything that the search goes by, and the set that answers.
pub struct Searching<'a, 's> {
    /// The set as its sheet foretells it.
    pub model: &'a SetModel<'s>,
    /// The set with the other laws.
    pub truth: &'a SetModel<'s>,
    /// What may be wrong.
    pub hypotheses: &'a Hypotheses,
    /// The conditions that may be read in; the set stands in the first.
    pub foretold: &'a [Foretold],
    /// What measurements cost.
    pub efforts: &'a [Effort],
    /// What is known of set and bench.
    pub situation: &'a Situation,
    /// What was complained of.
    pub noticed: &'a [Sign],
    /// The symptoms that it is told by.
    pub symptoms: &'a [Symptom],
    /// What comes of a signal; without it none is watched for.
    pub signals: Option<&'a dyn SignalSource>,
}

/// What comes of a signal in a hidden set.
pub trait SignalSource: Sync {
    /// Fed in at a junction or of a station, watched for at an end.
    fn came(&self, from: Option<usize>, end: SignalEnd) -> SignalCame;
}

/// Why a search failed.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum SearchError {
    /// The hidden set.
    #[error(transparent)]
    Set(#[from] ExpectError),
    /// The table of hazards.
    #[error("{0}")]
    Hazards(TableFault),
    /// Nothing was foretold.
    #[error("no conditions were foretold")]
    Nothing,
}

/// One measurement made.
#[derive(Debug, Clone, PartialEq)]
pub struct Made {
    /// What was measured.
    pub measurement: Measurement,
    /// The heaviest suspect after it, with its weight.
    pub leads: Option<(Suspect, f64)>,
}

/// A search.
#[derive(Debug, Clone, PartialEq)]
pub struct OwnWay {
    /// The measurements in their order.
    pub made: Vec<Made>,
    /// The ranking at the end.
    pub ranking: Ranking,
    /// Whether a suspect had the weight asked for.
    pub is_sure: bool,
}

/// Searches a hidden set until a suspect has the weight `sure`, at most so many measurements.
///
/// # Errors
/// Those of the hidden set's solution and of the table of hazards.
pub fn own_way(
    own: &Searching<'_, '_>,
    hidden: &Hidden,
    bench: &HiddenBench,
    most: usize,
    sure: f64,
) -> Result<OwnWay, SearchError> {
    let mut search = Search::new(own, hidden, bench)?;
    let mut made = Vec::new();
    let mut is_sure = false;
    while made.len() < most && !is_sure {
        let Some(measurement) = search.step()? else {
            break;
        };
        let leads = search.leads();
        is_sure = leads.is_some_and(|(_, weight)| weight >= sure);
        made.push(Made { measurement, leads });
    }
    Ok(OwnWay {
        made,
        ranking: search.ranking,
        is_sure,
    })
}

/// What was learned of a set before a part of it was replaced, as far as it still holds.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Learned {
    seen: Vec<Seen>,
    figures: Vec<ByItself>,
    signs: Vec<Sign>,
    /// How all that was measured.
    made: Vec<Measurement>,
}

/// What was complained of and what came of these signals, weighed.
fn noticed(own: &Searching<'_, '_>, hypotheses: &Hypotheses, signals: &[Sign]) -> Signs {
    let all: Vec<Sign> = own.noticed.iter().chain(signals).copied().collect();
    Signs::of(own.model, hypotheses, own.foretold, own.symptoms, &all)
}

/// A search that goes on step by step.
pub struct Search<'a, 's> {
    own: &'a Searching<'a, 's>,
    hidden: &'a Hidden,
    bench: &'a HiddenBench,
    hypotheses: Hypotheses,
    /// What a perfect meter would read, by conditions that were read in.
    truths: Vec<Option<Values>>,
    seen: Vec<Seen>,
    figures: Vec<ByItself>,
    signs: Vec<Sign>,
    /// All that was noticed, with these.
    beside: Signs,
    made: Vec<Measurement>,
    /// Measurements of before the last repair that need not be made again.
    known: Vec<Measurement>,
    present: usize,
    ranking: Ranking,
}

impl<'a, 's> Search<'a, 's> {
    /// Nothing was measured yet.
    ///
    /// # Errors
    /// No conditions were foretold.
    pub fn new(
        own: &'a Searching<'a, 's>,
        hidden: &'a Hidden,
        bench: &'a HiddenBench,
    ) -> Result<Search<'a, 's>, SearchError> {
        if own.foretold.is_empty() {
            return Err(SearchError::Nothing);
        }
        let beside = noticed(own, own.hypotheses, &[]);
        Ok(Search {
            own,
            hidden,
            bench,
            hypotheses: own.hypotheses.clone(),
            truths: vec![None; own.foretold.len()],
            seen: Vec::new(),
            figures: Vec::new(),
            signs: Vec::new(),
            made: Vec::new(),
            known: Vec::new(),
            present: 0,
            ranking: rank_beside(own.hypotheses, own.foretold, &[], &beside),
            beside,
        })
    }

    /// A search that goes on after a repair with what still holds.
    ///
    /// # Errors
    /// No conditions were foretold.
    pub fn resumed(
        own: &'a Searching<'a, 's>,
        hidden: &'a Hidden,
        bench: &'a HiddenBench,
        learned: Learned,
    ) -> Result<Search<'a, 's>, SearchError> {
        let mut search = Search::new(own, hidden, bench)?;
        search.seen = learned.seen;
        search.figures = learned.figures;
        search.signs = learned.signs;
        search.beside = noticed(own, &search.hypotheses, &search.signs);
        search.known = learned.made;
        search.weigh();
        Ok(search)
    }

    /// What still holds once a good part stands in the place of this one: readings that the old one did not
    /// move ([`stand_after`]), checks of other parts, signals that came right.
    pub fn learned(&self, replaced: Suspect) -> Learned {
        let mut suspects = self.ranking.suspects.iter();
        let ranked = suspects.find(|own| own.suspect == replaced);
        let stand = ranked.map_or_else(Vec::new, |own| {
            stand_after(self.own.foretold, &self.seen, own)
        });
        let each = self.seen.iter().zip(&stand);
        let seen: Vec<Seen> = each.filter(|own| *own.1).map(|own| *own.0).collect();
        let is_right = |own: &Sign| {
            matches!(
                own,
                Sign::Signal {
                    came: SignalCame::Right,
                    ..
                }
            )
        };
        let figures = self.figures.iter();
        let made = self.known.iter().chain(&self.made);
        Learned {
            figures: figures
                .filter(|own| own.suspect != replaced)
                .copied()
                .collect(),
            signs: self
                .signs
                .iter()
                .filter(|own| is_right(own))
                .copied()
                .collect(),
            // Readings and signals that hold are known by what was seen.
            made: made
                .filter(|own| {
                    let part = own.suspect();
                    part.is_some() && part != Some(replaced)
                })
                .copied()
                .collect(),
            seen,
        }
    }

    /// The ranking by what was measured so far.
    pub fn ranking(&self) -> &Ranking {
        &self.ranking
    }

    /// The heaviest suspect with its weight.
    pub fn leads(&self) -> Option<(Suspect, f64)> {
        let first = self.ranking.suspects.first();
        first.map(|first| (first.suspect, first.weight))
    }

    /// What was measured, in order.
    pub fn made(&self) -> &[Measurement] {
        &self.made
    }

    /// What came last of a reading or of a check that shows a figure.
    pub fn came(&self) -> Option<f64> {
        match self.made.last()? {
            Measurement::Read { .. } => self.seen.last().map(|own| own.value),
            Measurement::Signal { .. } => None,
            _ => self.figures.last().map(|own| own.value),
        }
    }

    /// What may be measured next, the best first; what was measured already is among it where `again`.
    ///
    /// # Errors
    /// Those of the table of hazards.
    pub fn offers(&self, again: bool) -> Result<Vec<Offered>, SearchError> {
        let mut offered = next(&Asked {
            model: self.own.model,
            hypotheses: &self.hypotheses,
            foretold: self.own.foretold,
            seen: if again { &[] } else { &self.seen },
            ranking: &self.ranking,
            efforts: self.own.efforts,
            situation: self.own.situation,
            present: self.present,
            beside: &self.beside,
        })
        .map_err(SearchError::Hazards)?;
        if self.own.signals.is_none() {
            offered.retain(|own| !matches!(own.measurement, Measurement::Signal { .. }));
        }
        if !again {
            let is_made = |own: &Measurement| self.made.contains(own) || self.known.contains(own);
            offered.retain(|own| !is_made(&own.measurement));
        }
        Ok(offered)
    }

    /// Makes the measurement that is worth most; `None` where nothing is left.
    ///
    /// # Errors
    /// Those of the hidden set's solution and of the table of hazards.
    pub fn step(&mut self) -> Result<Option<Measurement>, SearchError> {
        let offers = self.offers(false)?;
        let best = self.confirming(&offers);
        let Some(best) = best.or(offers.first()).map(|own| own.measurement) else {
            return Ok(None);
        };
        self.make(best)?;
        Ok(Some(best))
    }

    /// The first check by itself of one who is as good as sure, or its exchange where no instrument tells of it: a part is
    /// measured before it is condemned.
    fn confirming<'o>(&self, offers: &'o [Offered]) -> Option<&'o Offered> {
        let leader = self.leads().filter(|own| own.1 >= SURE).map(|own| own.0)?;
        let known = |own: &Measurement| own.is_check_of().or(own.is_exchange_of());
        let mut made = self.made.iter().chain(&self.known).filter_map(known);
        if made.any(|own| own == leader) {
            return None;
        }
        let check = offers
            .iter()
            .find(|own| own.measurement.is_check_of() == Some(leader));
        check.or(offers
            .iter()
            .find(|own| own.measurement.is_exchange_of() == Some(leader)))
    }

    /// Makes one measurement and weighs anew.
    ///
    /// # Errors
    /// Those of the hidden set's solution.
    pub fn make(&mut self, measurement: Measurement) -> Result<(), SearchError> {
        self.made.push(measurement);
        match measurement {
            Measurement::Read { conditions, probe } => self.read(conditions, probe)?,
            Measurement::Signal { from, end } => {
                let came = self.own.signals.map(|own| own.came(from, end));
                let sign = came.map(|came| Sign::Signal { from, end, came });
                self.signs.extend(sign);
                self.beside = noticed(self.own, &self.hypotheses, &self.signs);
            }
            check => self.check(check),
        }
        self.weigh();
        Ok(())
    }

    /// Ranks by all that is known.
    fn weigh(&mut self) {
        let figures = AllByThemselves::new(
            self.own.model,
            &self.hypotheses,
            self.own.foretold,
            &self.beside,
            &self.figures,
        );
        self.ranking = rank_beside(&self.hypotheses, self.own.foretold, &self.seen, &figures);
    }

    fn read(&mut self, conditions: usize, probe: usize) -> Result<(), SearchError> {
        let Some(told) = self.own.foretold.get(conditions) else {
            return Ok(());
        };
        let (truth, hidden) = (self.own.truth, self.hidden);
        // Ohms are read in a pause: the bench stays as it was.
        let is_cold = told.is_cold();
        if !is_cold {
            self.present = conditions;
        }
        if self.truths[conditions].is_none() {
            let all = match is_cold {
                true => HiddenBench::cold_truth(truth, hidden, &told.conditions, &told.probes)?,
                false => HiddenBench::truth(truth, hidden, &told.conditions, &told.probes)?,
            };
            self.truths[conditions] = Some(all);
        }
        let Some(truth) = &self.truths[conditions] else {
            return Ok(());
        };
        let read = self
            .bench
            .reading(truth, &told.probes, probe, &told.conditions);
        self.seen.extend(read.map(|(value, _)| Seen {
            conditions,
            probe,
            value,
            doubt: doubt(
                told.conditions.meter.as_ref(),
                told.probes[probe].what,
                value,
            ),
        }));
        Ok(())
    }

    /// A check of a part by itself, or its exchange.
    fn check(&mut self, measurement: Measurement) {
        let (suspect, check) = match measurement {
            Measurement::Read { .. } | Measurement::Signal { .. } => return,
            Measurement::PartOhms(part) => (Suspect::Part(part), Check::Ohms),
            Measurement::PartLeakage(part) => (Suspect::Part(part), Check::Leakage),
            Measurement::PartCapacitance(part) => (Suspect::Part(part), Check::Capacitance),
            Measurement::LooseEnd { part, meter_ohms } => {
                (Suspect::Part(part), Check::LooseEnd { meter_ohms })
            }
            Measurement::Bridge(part) => (Suspect::Part(part), Check::Bridge),
            Measurement::CapacitorExchange(part) => (Suspect::Part(part), Check::Exchange),
            Measurement::TubeExchange(tube) => (Suspect::Tube(tube), Check::Exchange),
            Measurement::TubeTester(tube) => (Suspect::Tube(tube), Check::TubeTester),
        };
        let mut faults = self.hidden.faults.iter();
        let is_cured = faults.any(|own| own.suspect == suspect && missed(check, &own.kind) < 0.5);
        let name = suspect.reference(self.own.model);
        let shown = match check {
            Check::Exchange | Check::Bridge => Some(Shown::Figure(f64::from(u8::from(is_cured)))),
            _ => measured_loose(self.own.truth, self.hidden, suspect)
                .and_then(|loose| self.bench.by_itself(name, check, &loose)),
        };
        match shown {
            Some(Shown::Figure(value)) => self.figures.push(ByItself {
                suspect,
                check,
                value,
            }),
            Some(Shown::Word(words)) => self.hypotheses.take_in(&[Outcome {
                suspect,
                found: Found::Bad(words),
            }]),
            None => {}
        }
    }
}
