//! How stages run with a fault that grows, step by step from the healthy set.
//!
//! A family of faults is one figure of one part risen or fallen, or one resistance at one place: its members differ by how far they have
//! grown, which is the logarithm of a ratio. From one member to the next the wave moves little, so that the next period is found
//! beside it ([`circuit::running::Limits::only_beside`]); steps grow where little changes and shrink where no period is found. What lies between two members is
//! told in a straight line. How far a fault has grown has no unit; resistances are ohms. Source: following a solution along a parameter, common numerical
//! practice; the sizes of steps were found by trial on both examples. Where no period follows the stage is followed in time: it may come to rest, and then rests with everything beyond.
//! The steps hang on no question that is asked. Nothing here fails; beyond the end of a chain nothing is told.

use circuit::tube::ELECTRODES;

use super::super::running::Hold;
use super::{Refreshed, Terms};
use crate::wiring::{Change, Figure as SetFigure, Variation};

/// Ohms of a leak that has not grown yet: far above what any meter of the time shows.
const NO_LEAK: f64 = 1e11;
/// Ohms in series beside which a smaller resistance counts for little.
const NO_SERIES: f64 = 10.0;
/// The first step of a figure, and of a leak.
const FIRST: (f64, f64) = (0.2, 4.6);
/// The least step that is tried, and the greatest of a figure and of a leak.
const LEAST: f64 = 0.12;
const MOST: (f64, f64) = (1.2, 4.6);
/// What the holds may move in a step, as a share: below the first the next step is twice as long, below the second half as long again; above
/// it shorter.
const MOVES: (f64, f64) = (0.05, 0.4);
/// First steps below which a failed one is tried on finer terms before it is shortened.
const FINE_BELOW: f64 = 1.1;
/// A step after one that failed, over that one.
const SHORTER: f64 = 0.4;
/// The longest step over the last one that failed, and by how much that grows with each step that does not.
const BELOW_FAILED: (f64, f64) = (0.6, 1.1);
/// Members of one chain at most.
const MOST_MEMBERS: usize = 30;

/// What grows.
#[derive(Debug, Clone)]
enum Of {
    /// A figure over what it should be; whether it rises.
    Figure(SetFigure, bool),
    /// A resistance of a change, falling.
    Leak(Change),
    /// A resistance of a change, rising.
    Series(Change),
}

/// Faults that differ by how far they have grown.
#[derive(Debug, Clone)]
pub(super) struct Family {
    of: Of,
    name: String,
}

/// The resistance of a change; `None` for one that has none.
fn ohms_in(change: &mut Change) -> Option<&mut f64> {
    match change {
        Change::Shunt { ohms, .. }
        | Change::Beside { ohms, .. }
        | Change::AtWiper { ohms, .. }
        | Change::HeaterToJunction { ohms, .. } => Some(ohms),
        _ => None,
    }
}

fn ohms_of(change: &Change) -> Option<f64> {
    ohms_in(&mut change.clone()).copied()
}

/// The same change with another resistance.
fn with_ohms(change: &Change, to: f64) -> Option<Change> {
    let mut own = change.clone();
    *ohms_in(&mut own)? = to;
    Some(own)
}

/// The family of a fault and how far it has grown; `None` for one that has none: a part taken away, several at once.
pub(super) fn family_of(variation: &Variation) -> Option<(Family, f64)> {
    let figures: Vec<SetFigure> = variation.figures().collect();
    let (of, far) = match (&figures[..], &variation.changes[..]) {
        ([figure], []) => {
            let far = variation.factor(*figure).ln();
            (Of::Figure(*figure, far > 0.0), far.abs())
        }
        ([], [change @ Change::AtWiper { .. }]) => {
            let far = (1.0 + ohms_of(change)? / NO_SERIES).ln();
            (Of::Series(with_ohms(change, 0.0)?), far)
        }
        ([], [change]) => {
            let far = (NO_LEAK / ohms_of(change)?).ln().max(0.0);
            (Of::Leak(with_ohms(change, 0.0)?), far)
        }
        _ => return None,
    };
    let name = format!("{of:?}");
    far.is_finite().then_some((Family { of, name }, far))
}

impl Family {
    /// What it is called among others.
    pub(super) fn name(&self) -> &str {
        &self.name
    }

    /// Its member that has grown so far.
    pub(super) fn at(&self, far: f64) -> Variation {
        let with = |change: &Change, ohms: f64| {
            with_ohms(change, ohms).map_or_else(Variation::none, Variation::change)
        };
        match &self.of {
            Of::Figure(figure, true) => Variation::of(*figure, far.exp()),
            Of::Figure(figure, false) => Variation::of(*figure, (-far).exp()),
            Of::Leak(change) => with(change, NO_LEAK * (-far).exp()),
            Of::Series(change) => with(change, NO_SERIES * (far.exp() - 1.0)),
        }
    }

    fn is_leak(&self) -> bool {
        !matches!(self.of, Of::Figure(..))
    }
}

/// The members of a family that were found, from the healthy set on.
pub(super) struct Chain {
    members: Vec<(f64, Refreshed)>,
    /// The next step.
    step: f64,
    most_step: f64,
    /// The step that led to no period the last time; longer with each that did.
    failed: f64,
    /// On which terms the next is looked for, and the step below which they are to be finer.
    terms: Terms,
    fine_step: f64,
    /// Whether nothing more is found beyond the last.
    has_ended: bool,
    /// The state at rest that follows the last one, if it does.
    rests: Option<Refreshed>,
}

/// How far what holds the stages has moved, as a share; infinite where it is another kind of hold.
fn moved(before: &Refreshed, now: &Refreshed) -> f64 {
    let share = |a: f64, b: f64, least: f64| (a - b).abs() / (a.abs().max(b.abs()) + least);
    let of = |pair: (&Hold, &Hold)| match pair {
        (Hold::Nothing, Hold::Nothing) => 0.0,
        (Hold::Draws { siemens: a }, Hold::Draws { siemens: b }) => share(*a, *b, 1e-7),
        (Hold::Volts { volts: a }, Hold::Volts { volts: b }) => share(*a, *b, 1.0),
        (Hold::Takes { amperes: a, .. }, Hold::Takes { amperes: b, .. }) => share(*a, *b, 1e-6),
        _ => f64::INFINITY,
    };
    let both = before.holds.iter().zip(&now.holds);
    both.flat_map(|(before, now)| before.1.iter().zip(&now.1))
        .flat_map(|(before, now)| before.1.iter().zip(&now.1))
        .map(of)
        .fold(0.0, f64::max)
}

/// Between two holds, so far from the first to the second; of two kinds the nearer one.
fn between(one: Hold, other: Hold, share: f64) -> Hold {
    let mix = |a: f64, b: f64| a + share * (b - a);
    match (one, other) {
        (Hold::Draws { siemens: a }, Hold::Draws { siemens: b }) => {
            Hold::Draws { siemens: mix(a, b) }
        }
        (Hold::Volts { volts: a }, Hold::Volts { volts: b }) => Hold::Volts { volts: mix(a, b) },
        (Hold::Takes { amperes: a, at }, Hold::Takes { amperes: b, at: to }) => Hold::Takes {
            amperes: mix(a, b),
            at: mix(at, to),
        },
        _ if share < 0.5 => one,
        _ => other,
    }
}

impl Chain {
    pub(super) fn new(family: &Family, healthy: &Refreshed) -> Chain {
        let (step, most_step) = match family.is_leak() {
            false => (FIRST.0, MOST.0),
            true => (FIRST.1, MOST.1),
        };
        Chain {
            members: vec![(0.0, healthy.clone())],
            step,
            most_step,
            failed: f64::INFINITY,
            terms: Terms::GROWN,
            fine_step: FINE_BELOW * step,
            has_ended: false,
            rests: None,
        }
    }

    /// The last member.
    pub(super) fn last(&self) -> &Refreshed {
        &self.members[self.members.len() - 1].1
    }

    fn reached(&self) -> f64 {
        self.members[self.members.len() - 1].0
    }

    /// Follows the family until it has grown beyond `farthest`; `run` finds a member from the one before.
    pub(super) fn follow(
        &mut self,
        farthest: f64,
        run: impl Fn(f64, &Refreshed, Terms) -> Option<Refreshed>,
    ) {
        while !self.has_ended && self.reached() < farthest {
            let next = self.reached() + self.step;
            let found = run(next, self.last(), self.terms);
            if let Some(found) = found.filter(Refreshed::is_settled) {
                let moved = moved(self.last(), &found);
                let grown = match moved {
                    moved if moved < MOVES.0 => 2.0,
                    moved if moved < MOVES.1 => 1.5,
                    _ => 0.8,
                };
                self.failed *= BELOW_FAILED.1;
                let step = (self.step * grown).min(BELOW_FAILED.0 * self.failed);
                self.step = step.clamp(LEAST, self.most_step);
                self.members.push((next, found));
                self.has_ended = self.members.len() >= MOST_MEMBERS;
                continue;
            }
            if self.terms == Terms::GROWN && self.step < self.fine_step {
                self.terms = Terms::GROWN_FINE;
                continue;
            }
            if self.step > LEAST {
                self.failed = self.step;
                self.step = (SHORTER * self.step).max(LEAST);
                continue;
            }
            match run(next, self.last(), Terms::FAULTY) {
                Some(found) if found.is_settled() && found.stopped == self.last().stopped => {
                    self.members.push((next, found));
                    self.has_ended = self.members.len() >= MOST_MEMBERS;
                }
                Some(found) if found.is_settled() => {
                    self.rests = Some(found);
                    self.has_ended = true;
                }
                _ => self.has_ended = true,
            }
        }
    }

    /// How the stages run with a member; `None` beyond the end.
    pub(super) fn at(&self, far: f64) -> Option<Refreshed> {
        let after = self.members.partition_point(|own| own.0 < far);
        let Some((to, other)) = self.members.get(after) else {
            return self.rests.clone();
        };
        let Some((from, one)) = after.checked_sub(1).and_then(|at| self.members.get(at)) else {
            return Some(other.clone());
        };
        let share = (far - from) / (to - from);
        let mut own = if share < 0.5 {
            one.clone()
        } else {
            other.clone()
        };
        let pairs = own.holds.iter_mut().zip(one.holds.iter().zip(&other.holds));
        for (own, (one, other)) in pairs {
            let stages = own.1.iter_mut().zip(one.1.iter().zip(&other.1));
            for (own, (one, other)) in stages {
                if own.0 == one.0 && own.0 == other.0 {
                    own.1 = std::array::from_fn::<Hold, ELECTRODES, _>(|at| {
                        between(one.1[at], other.1[at], share)
                    });
                }
            }
        }
        Some(own)
    }
}

#[cfg(test)]
mod tests {
    use std::sync::Arc;

    use super::*;
    use circuit::running::{Reading, Wave, Work};

    /// One stage whose grid stands at these volts.
    fn runs(volts: f64) -> Refreshed {
        let wave = Wave {
            period_seconds: 0.016,
            volts: vec![Reading::default()],
            coil_amperes: Vec::new(),
            seconds: Vec::new(),
            samples: Vec::new(),
            missed: 0.0,
            energy_missed: 0.0,
            delivered_watts: 0.0,
            growth: 1.0,
            work: Work::default(),
        };
        let mut holds = [Hold::Nothing; ELECTRODES];
        holds[1] = Hold::Volts { volts };
        Refreshed {
            holds: vec![(0, vec![(7, holds)], Arc::new(wave), 1.0)],
            ..Refreshed::default()
        }
    }

    fn rests() -> Refreshed {
        Refreshed {
            stopped: vec![7],
            ..Refreshed::default()
        }
    }

    fn volts(own: &Refreshed) -> Option<f64> {
        match own.grids().next()?.1 {
            Hold::Volts { volts } => Some(volts),
            _ => None,
        }
    }

    fn risen() -> Family {
        let (family, far) = family_of(&Variation::of(SetFigure::Ohms(3), 2.0)).expect("a family");
        assert!((far - 2f64.ln()).abs() < 1e-12);
        family
    }

    /// A grid that goes with the resistor; a period is found up to a step of a half, and none beyond a tenfold.
    fn law(far: f64, from: f64, terms: Terms) -> Option<Refreshed> {
        let is_beside = far - from < 0.5;
        match far < 10f64.ln() {
            true if is_beside || terms == Terms::FAULTY => Some(runs(-20.0 * far.exp())),
            false if terms == Terms::FAULTY => Some(rests()),
            _ => None,
        }
    }

    fn followed(to: &[f64]) -> Chain {
        let mut chain = Chain::new(&risen(), &runs(-20.0));
        for &to in to {
            chain.follow(to, |far, from, terms| {
                let from = volts(from).expect("it runs") / -20.0;
                law(far, from.ln(), terms)
            });
        }
        chain
    }

    #[test]
    fn members_lie_where_they_lie_whatever_was_asked() {
        let (one, other) = (followed(&[0.1, 0.4, 1.7]), followed(&[1.7]));
        let at = |chain: &Chain| -> Vec<f64> { chain.members.iter().map(|own| own.0).collect() };
        assert_eq!(at(&one), at(&other));
        assert!(at(&one).len() > 4);
    }

    #[test]
    fn between_members_the_line_is_straight_and_beyond_the_end_it_rests() {
        let chain = followed(&[4.0]);
        for ratio in [1.1, 1.7, 3.0, 8.0f64] {
            let own = chain.at(ratio.ln()).expect("it runs");
            let off = volts(&own).expect("it runs") / (-20.0 * ratio) - 1.0;
            // Of a chord below an exponential over a step of a half, at most an eighth of its square.
            assert!((0.0..0.04).contains(&off), "{ratio} {off}");
        }
        let beyond = chain.at(3.0).expect("it rests");
        assert_eq!(beyond.stopped, [7]);
    }

    #[test]
    fn a_family_is_one_figure_one_way_or_one_resistance_at_one_place() {
        let of = |own: &Variation| family_of(own).map(|(family, far)| (family.name, far));
        let figure = |factor| of(&Variation::of(SetFigure::Ohms(3), factor)).expect("one");
        assert_eq!(figure(2.0).0, figure(9.0).0);
        assert_ne!(figure(2.0).0, figure(0.5).0);
        assert!((figure(0.5).1 - 2f64.ln()).abs() < 1e-12);
        let leak = |ohms| Variation::change(Change::Beside { part: 3, ohms });
        let found = of(&leak(1e6)).expect("one");
        assert_eq!(found.0, of(&leak(1e3)).expect("one").0);
        assert!((found.1 - 5.0 * 10f64.ln()).abs() < 1e-9);
        let series = Variation::change(Change::AtWiper {
            part: 3,
            ohms: 990.0,
        });
        assert!((of(&series).expect("one").1 - 100f64.ln()).abs() < 1e-9);
        for none in [
            Variation::none(),
            Variation::change(Change::Open(3)),
            Variation::of(SetFigure::Ohms(3), 0.0),
        ] {
            assert!(of(&none).is_none(), "{none:?}");
        }
        // A member is the fault itself again.
        for own in [leak(4.7e5), series, Variation::of(SetFigure::Ohms(3), 0.3)] {
            let (family, far) = family_of(&own).expect("one");
            let again = family_of(&family.at(far)).expect("one");
            assert!((again.1 - far).abs() < 1e-9, "{own:?}");
        }
    }
}
