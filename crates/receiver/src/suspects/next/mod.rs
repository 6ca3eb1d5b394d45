//! What to measure next: the most told about the suspects for the least effort and danger.
//!
//! Information in bits; effort in minutes at the bench times the danger of the measurement
//! (`data/efforts.csv`). Offered are readings of every foretold place under each set of
//! conditions that was foretold, checks of the suspected parts by themselves, and signals fed in or
//! looked for; and apart from them looks at heaters ([`of_heaters`]). Nothing is offered that [`crate::hazard`] forbids. The information is that between who is to blame and
//! what will be read, over the suspects that hold all but a hundredth of the weight, from the
//! joint law of the readings ([`information`]). Each offer tells what each outcome would mean.
//! Fails only by a damaged table of hazards.

mod acts;
mod alike;
mod checks;
mod elsewhere;
mod heaters;
mod in_place;
pub mod information;
mod loose_end;
mod readings;
mod signals;
mod told;

use parts::Effort;

use crate::hazard::{Act, Situation, TableFault};
use crate::wiring::SetModel;

use super::evidence::Seen;
use super::hypotheses::{Hypotheses, Suspect};
use super::predict::Foretold;
use super::rank::{Beside, Ranking};
use super::signs::glow::Glow;
use super::signs::signal_way::SignalEnd;

pub use acts::while_hunting;
pub use elsewhere::elsewhere;
pub use heaters::{OfHeaters, of_heaters};
pub use in_place::GotAt;
use information::{Belief, beliefs, meanings};
pub use told::as_told;

/// What can be measured.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Measurement {
    /// A foretold probe.
    Read {
        /// Its conditions, by their position among the foretold ones.
        conditions: usize,
        /// The probe, by its position there.
        probe: usize,
    },
    /// Ohms of a part, got at as [`GotAt`] has it.
    PartOhms(usize),
    /// Leakage of a capacitor at its working volts, one end free.
    PartLeakage(usize),
    /// Capacitance and series resistance of a capacitor, one end free.
    PartCapacitance(usize),
    /// The volts at a capacitor's loose end, the other end in the running set.
    LooseEnd {
        /// The capacitor.
        part: usize,
        /// The meter's own resistance, ohms.
        meter_ohms: u64,
    },
    /// A good capacitor across the old one, for a trial.
    Bridge(usize),
    /// A good capacitor in the place of the old one.
    CapacitorExchange(usize),
    /// Another tube in the socket.
    TubeExchange(usize),
    /// A tube on a tester.
    TubeTester(usize),
    /// A signal, fed in or of a station.
    Signal {
        /// Junction where it is fed in; `None` is a station at the antenna.
        from: Option<usize>,
        /// Where it is watched for.
        end: SignalEnd,
    },
}

/// What may come out.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Outcome {
    /// Below what nine of ten healthy sets read.
    Low,
    /// As healthy sets read.
    Inside,
    /// Above.
    High,
    /// The part is good, or nothing changes.
    Good,
    /// It is bad as the readings ask for, or all is well with another in its place.
    Bad,
    /// It is bad, but not as the readings ask for: too little, or in another way.
    Otherwise,
    /// A heater glows so.
    Glows(Glow),
}

/// Who is to blame.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Blame {
    /// A part, tube or transformer.
    Suspect(Suspect),
    /// Two of them together.
    Both(Suspect, Suspect),
    /// Nothing: the set is healthy.
    Healthy,
    /// A fault that is not listed.
    NotListed,
}

/// What one outcome would mean.
#[derive(Debug, Clone, PartialEq)]
pub struct Meaning {
    /// The outcome.
    pub outcome: Outcome,
    /// From which reading on; `None` where it has no such end.
    pub from: Option<f64>,
    /// Up to which reading.
    pub to: Option<f64>,
    /// Its chance.
    pub chance: f64,
    /// Those that would gain most by it: weight now and then, most gained first.
    pub gains: Vec<(Blame, f64, f64)>,
}

/// One measurement that is offered.
#[derive(Debug, Clone, PartialEq)]
pub struct Offered<M = Measurement> {
    /// What is measured.
    pub measurement: M,
    /// What it is expected to tell, in bits.
    pub bits: f64,
    /// Minutes with the danger in them, changes of the bench counted in.
    pub effort: f64,
    /// What each outcome would mean.
    pub meanings: Vec<Meaning>,
    /// What is done, in order: each may be advised.
    pub acts: Vec<Act>,
    /// Others that tell nearly the same at the same cost.
    pub also: Vec<M>,
    /// Of a reading the stretches of outcomes.
    stretches: Option<Stretches>,
    /// For each of those who may be to blame the chance of each stretch of outcomes.
    chances: Vec<Vec<f64>>,
}

/// The stretches that a reading is parted into.
#[derive(Debug, Clone, PartialEq)]
struct Stretches {
    /// The readings that part them.
    edges: Vec<f64>,
    /// Of each stretch whether it is low, inside or high.
    sides: Vec<Outcome>,
}

impl<M> Offered<M> {
    /// Bits for the effort: what offers are put in order by.
    pub fn worth(&self) -> f64 {
        self.bits / self.effort
    }
}

/// What is asked.
pub struct Asked<'a, 's> {
    /// The set.
    pub model: &'a SetModel<'s>,
    /// What may be wrong with it.
    pub hypotheses: &'a Hypotheses,
    /// All conditions that may be read in.
    pub foretold: &'a [Foretold],
    /// What was read.
    pub seen: &'a [Seen],
    /// The ranking by that.
    pub ranking: &'a Ranking,
    /// What measurements cost.
    pub efforts: &'a [Effort],
    /// What is known of set and bench.
    pub situation: &'a Situation,
    /// Conditions in which the set stands now, by their position.
    pub present: usize,
    /// What is known beside the readings, as in the ranking.
    pub beside: &'a dyn Beside,
}

impl Asked<'_, '_> {
    /// Minutes and danger of a kind of measurement; none that the table lacks is offered.
    fn effort(&self, measurement: &str) -> Option<f64> {
        let own = self.efforts.iter();
        own.filter(|own| own.measurement == measurement)
            .map(Effort::weight)
            .find(|own| *own > 0.0)
    }

    /// The suspect that is as good as sure.
    fn leader(&self) -> Option<Suspect> {
        let first = self.ranking.suspects.first();
        first
            .filter(|own| own.weight >= SURE)
            .map(|own| own.suspect)
    }

    fn beliefs(&self) -> Vec<Belief> {
        beliefs(self.hypotheses, self.ranking)
    }
}

impl Blame {
    /// Whether this one is to blame, alone or with another.
    pub fn involves(&self, suspect: Suspect) -> bool {
        match *self {
            Blame::Suspect(own) => own == suspect,
            Blame::Both(one, other) => one == suspect || other == suspect,
            Blame::Healthy | Blame::NotListed => false,
        }
    }
}

impl Measurement {
    /// The suspect that is measured by itself; an exchange is none, since it needs the new part already.
    pub fn is_check_of(self) -> Option<Suspect> {
        match self {
            Measurement::PartOhms(part)
            | Measurement::PartLeakage(part)
            | Measurement::PartCapacitance(part) => Some(Suspect::Part(part)),
            Measurement::TubeTester(tube) => Some(Suspect::Tube(tube)),
            _ => None,
        }
    }

    /// The suspect that it is made of, by itself, in the running set or by a trial; none for a reading and a signal.
    pub fn suspect(self) -> Option<Suspect> {
        match self {
            Measurement::LooseEnd { part, .. } | Measurement::Bridge(part) => {
                Some(Suspect::Part(part))
            }
            own => own.is_check_of().or(own.is_exchange_of()),
        }
    }

    /// The suspect that is exchanged for a good one.
    pub fn is_exchange_of(self) -> Option<Suspect> {
        match self {
            Measurement::CapacitorExchange(part) => Some(Suspect::Part(part)),
            Measurement::TubeExchange(tube) => Some(Suspect::Tube(tube)),
            _ => None,
        }
    }
}

/// Weight from which on a suspect is measured by itself or exchanged, however little that is expected to tell.
pub const SURE: f64 = 0.9;
/// Bits below which nothing is offered.
const NOTHING_TOLD: f64 = 1e-3;

/// Suspects that none of these measurements can tell apart, by class; the heaviest class first.
pub fn alike(asked: &Asked<'_, '_>, offered: &[Offered]) -> Vec<Vec<Suspect>> {
    alike::alike(&asked.beliefs(), offered)
}

/// Measurements worth making, the best first.
///
/// # Errors
/// The first fault of the table of hazards, when this program was built with a damaged one.
pub fn next(asked: &Asked<'_, '_>) -> Result<Vec<Offered>, TableFault> {
    let beliefs = asked.beliefs();
    let mut offered = readings::offered(asked, &beliefs)?;
    offered.extend(checks::offered(asked, &beliefs)?);
    offered.extend(signals::offered(asked, &beliefs)?);
    let leader = asked.leader();
    offered.retain(|own| {
        let known = own.measurement;
        let known = known.is_check_of().or(known.is_exchange_of());
        let of_leader = known.is_some_and(|own| Some(own) == leader);
        own.bits > NOTHING_TOLD || of_leader
    });
    // Equal ones stay in the order of conditions, places and parts.
    offered.sort_by(|a, b| b.worth().total_cmp(&a.worth()));
    Ok(offered)
}
