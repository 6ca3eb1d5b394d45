//! What a check of a part by itself says of its ways of failing: cleared, or condemned.
//!
//! Chances are plain. A check sees some ways of failing and not others: an ohmmeter finds an open
//! resistor and says next to nothing of a capacitor that leaks at 300 volts. A cleared part keeps
//! of each chance the share that such a check does not see ([`missed`]); a condemned one has what
//! was found with nineteen chances of twenty. All shares are judgement. A suspect that the set has
//! not is left alone; nothing here fails.

use crate::wiring::{FaultKind, SetModel};

use super::hypotheses::{Hypotheses, Hypothesis, Suspect};

/// Chance that what was found of a part is so (judgement: one of twenty finds is a mistake).
pub const FOUND_RIGHTLY: f64 = 0.95;

/// How a part was checked.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Check {
    /// By ohms, one end free.
    Ohms,
    /// Its leakage at working volts, one end free.
    Leakage,
    /// Its capacitance and series resistance, one end free.
    Capacitance,
    /// Another one in its place.
    Exchange,
    /// A good capacitor across it, the old one still there.
    Bridge,
    /// The volts at its loose end, the other end in the running set.
    LooseEnd {
        /// The meter's own resistance between that end and chassis, ohms.
        meter_ohms: u64,
    },
    /// On a tube tester.
    TubeTester,
    /// Not said.
    NotSaid,
}

/// What came of it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Found {
    /// It is good, as far as this check tells.
    Good(Check),
    /// It is bad, in the restorer's words.
    Bad(String),
}

/// One part with what was found of it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Outcome {
    /// The part.
    pub suspect: Suspect,
    /// What was found.
    pub found: Found,
}

/// Share of sets with this fault in which the check finds nothing (judgement).
pub fn missed(check: Check, kind: &FaultKind) -> f64 {
    use FaultKind as Kind;
    match (check, kind) {
        (Check::Exchange, _) => 0.02,
        (Check::NotSaid, _) => 0.1,
        // What the old one has too little of the good one gives; what goes through it still does.
        (Check::Bridge, Kind::Open(_) | Kind::FaradsTimes(_)) => 0.02,
        (Check::Bridge, Kind::SeriesOhms { .. }) => 0.05,
        (Check::LooseEnd { .. }, Kind::CapacitorLeak(_)) => 0.02,
        (Check::Ohms, Kind::Open(_) | Kind::OhmsTimes(_) | Kind::HeaterOpen(_)) => 0.02,
        (Check::Ohms, Kind::Across(_) | Kind::MetalShorted(_) | Kind::AtWiper(_)) => 0.1,
        // What a few volts do not drive, three hundred may.
        (Check::Ohms, Kind::CapacitorLeak(_)) => 0.5,
        (Check::Leakage, Kind::CapacitorLeak(_) | Kind::Across(_)) => 0.02,
        (Check::Capacitance, Kind::FaradsTimes(_) | Kind::Open(_)) => 0.02,
        (Check::Capacitance, Kind::SeriesOhms { .. }) => 0.1,
        (Check::Capacitance, Kind::CapacitorLeak(_)) => 0.7,
        (Check::TubeTester, Kind::HeaterOpen(_)) => 0.01,
        (Check::TubeTester, Kind::Emission { .. }) => 0.1,
        (
            Check::TubeTester,
            Kind::Between { .. } | Kind::TubeShorted { .. } | Kind::HeaterToCathode { .. },
        ) => 0.2,
        (Check::TubeTester, Kind::GridCurrent { .. }) => 0.5,
        (
            Check::Ohms
            | Check::Leakage
            | Check::Capacitance
            | Check::TubeTester
            | Check::Bridge
            | Check::LooseEnd { .. },
            _,
        ) => 1.0,
    }
}

impl Hypothesis {
    /// Share of sets with this fault in which the check finds nothing; what sits in the joints at a part only an exchange finds.
    pub fn missed(&self, check: Check) -> f64 {
        let own = missed(check, &self.kind);
        match check {
            Check::Exchange | Check::NotSaid | Check::Bridge => own,
            _ => self.in_joint + (1.0 - self.in_joint) * own,
        }
    }
}

impl Hypotheses {
    /// Takes in what was found of single parts; of one part several checks add up.
    pub fn take_in(&mut self, outcomes: &[Outcome]) {
        for outcome in outcomes {
            match &outcome.found {
                Found::Good(check) => {
                    for own in &mut self.list {
                        if own.suspect == outcome.suspect {
                            own.chance *= own.missed(*check);
                        }
                    }
                }
                Found::Bad(words) => {
                    let named = self.named_by(outcome.suspect, words);
                    let all: f64 = named.iter().map(|at| self.list[*at].chance).sum();
                    for at in named {
                        let own = &mut self.list[at];
                        // Each has its part of what was found, by its chance before.
                        own.chance = FOUND_RIGHTLY * own.chance / all.max(f64::MIN_POSITIVE);
                        own.condemned = Some(1.0 - FOUND_RIGHTLY);
                    }
                }
            }
        }
    }

    /// The ways of failing of a suspect that such words name: those whose words they share most;
    /// all of them where the words name none.
    pub fn named_by(&self, suspect: Suspect, words: &str) -> Vec<usize> {
        let stems = stems(words);
        let shared = |fault: &str| {
            let own = self::stems(fault);
            own.iter().filter(|stem| stems.contains(stem)).count()
        };
        let own: Vec<(usize, usize)> = self
            .list
            .iter()
            .enumerate()
            .filter(|(_, own)| own.suspect == suspect)
            .map(|(at, own)| (at, shared(&own.fault)))
            .collect();
        let most = own.iter().map(|(_, shared)| *shared).max().unwrap_or(0);
        let is_named = own.iter().filter(|(_, shared)| *shared == most);
        is_named.map(|(at, _)| *at).collect()
    }
}

/// The suspect of this name on the sheet, in any case; `None` where the set has none.
pub fn suspect_named(model: &SetModel<'_>, name: &str) -> Option<Suspect> {
    let name = name.trim();
    let transformer = || {
        let firsts = model.transformer_firsts();
        let mut own = firsts.into_iter();
        own.find(|(_, own)| own.eq_ignore_ascii_case(name))
            .map(|(first, _)| Suspect::Transformer(first))
    };
    let part = model.part_index(name).map(Suspect::Part);
    part.or_else(|| model.tube_index(name).map(Suspect::Tube))
        .or_else(transformer)
        .or_else(|| {
            let mut names = model.socket_names.iter();
            let socket = names.position(|own| own.eq_ignore_ascii_case(name));
            socket.map(Suspect::Socket)
        })
}

/// The beginnings of words that tell one fault from another.
pub(super) fn stems(words: &str) -> Vec<String> {
    words
        .to_lowercase()
        .split(|letter: char| !letter.is_alphabetic())
        .filter(|word| word.len() > 2)
        .map(|word| word.chars().take(4).collect())
        .filter(|stem| !["the", "and", "one"].contains(&String::as_str(stem)))
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::sheet::read_sheet;

    const LARKFIELD: &str = include_str!("../../../../examples/whole/larkfield_12t.toml");

    fn with(look: impl FnOnce(&SetModel<'_>, Hypotheses)) {
        let catalogue = parts::catalogue().expect("the tables are sound");
        let sheet = read_sheet(LARKFIELD, catalogue).sheet.expect("no fault");
        let model = SetModel::new(&sheet, catalogue);
        let hypotheses = Hypotheses::of(&model, catalogue);
        look(&model, hypotheses);
    }

    fn chance(hypotheses: &Hypotheses, suspect: Suspect, fault: &str) -> f64 {
        let mut own = hypotheses.of_suspect(suspect);
        own.find(|own| own.fault == fault)
            .map_or(f64::NAN, |own| own.chance)
    }

    /// Common practice: an ohmmeter finds an open part and misses a leak that comes with volts.
    #[test]
    fn a_cleared_part_keeps_what_the_check_does_not_see() {
        with(|model, before| {
            let c50 = suspect_named(model, " c50").expect("a part");
            let after = |check| {
                let mut own = before.clone();
                own.take_in(&[Outcome {
                    suspect: c50,
                    found: Found::Good(check),
                }]);
                chance(&own, c50, "leaky") / chance(&before, c50, "leaky")
            };
            assert!(after(Check::Leakage) < after(Check::Ohms));
            assert!(after(Check::Ohms) < after(Check::TubeTester));
            assert_eq!(after(Check::TubeTester), 1.0);
            // The others keep their chances.
            let r71 = suspect_named(model, "R71").expect("a part");
            let mut own = before.clone();
            own.take_in(&[Outcome {
                suspect: r71,
                found: Found::Good(Check::Ohms),
            }]);
            // What is left of it sits in the joints, which the ohms of the loose part do not tell; a new part is soldered anew.
            let left = chance(&own, r71, "open") / chance(&before, r71, "open");
            let open = before.of_suspect(r71).find(|own| own.fault == "open");
            let in_joint = open.expect("a way").in_joint;
            assert!((left - (in_joint + (1.0 - in_joint) * 0.02)).abs() < 1e-9);
            assert!(in_joint > 0.002 && in_joint < 0.2, "{in_joint}");
            let same = chance(&own, c50, "leaky") == chance(&before, c50, "leaky");
            assert!(same);
        });
    }

    #[test]
    fn what_was_found_is_the_likeliest() {
        with(|model, before| {
            let c50 = suspect_named(model, "C50").expect("a part");
            let named = |words: &str| -> Vec<String> {
                let own = before.named_by(c50, words);
                own.iter()
                    .map(|at| before.list[*at].fault.clone())
                    .collect()
            };
            assert_eq!(
                named("leaks 200k at 300 volts"),
                ["leaky", "slightly leaky"]
            );
            assert_eq!(named("shorted"), ["shorted"]);
            assert_eq!(named("?").len(), before.of_suspect(c50).count());
            let mut own = before.clone();
            own.take_in(&[Outcome {
                suspect: c50,
                found: Found::Bad("bad: shorted".to_string()),
            }]);
            assert_eq!(chance(&own, c50, "shorted"), FOUND_RIGHTLY);
            assert!(chance(&own, c50, "open lead") < 0.5);
        });
    }

    #[test]
    fn names_are_those_of_parts_tubes_and_transformers() {
        with(|model, _| {
            let is =
                |name: &str| suspect_named(model, name).map(|own| own.reference(model) == name);
            assert_eq!(is("R71"), Some(true));
            assert_eq!(is("V9"), Some(true));
            assert_eq!(is("T1"), Some(true));
            assert_eq!(is("Z99"), None);
        });
    }
}
