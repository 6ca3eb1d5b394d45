//! What was found of parts by themselves: facts of testing, read as cleared or condemned.
//!
//! Words, as they were typed. A verdict that says good clears a part as far as the check named
//! beside it sees; one that names a fault condemns it. A part replaced since has neither. A weak
//! tube is no condemned one: the prediction goes by what its tester said. Words that say neither
//! are left alone. Nothing here fails.

use logbook::{Fact, StandingFact, TestResult, Tested};
use parts::ThingToSee;
use receiver::suspects::by_itself::ByItself;
use receiver::suspects::looks::Look;
use receiver::suspects::outcome::{Check, Found, Outcome, suspect_named};
use receiver::wiring::SetModel;

use super::noticed::is_noticed;
use super::tried::tried;
use crate::tested_tubes::plain_words;
use receiver::stages::TesterSaid;

/// What a condemned part's verdict begins with, so that it is understood whatever follows.
pub(crate) const CONDEMNED: &str = "bad: ";
/// What a cleared part's verdict is.
pub(crate) const CLEARED: &str = "good";

/// Beginnings of words that name a fault.
const FAULTS: [&str; 13] = [
    "bad", "short", "gas", "leak", "open", "dead", "burn", "high", "low", "drift", "crack",
    "dried", "turns",
];

/// How a part was checked, as it is kept.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum CheckedBy {
    /// An ohmmeter, one end free.
    Ohms,
    /// Leakage at working volts, one end free.
    Leakage,
    /// Capacitance, one end free.
    Capacitance,
    /// Another one in its place.
    Exchange,
    /// A tube tester.
    Tester,
}

impl CheckedBy {
    /// All of them.
    pub const ALL: [CheckedBy; 5] = [
        CheckedBy::Ohms,
        CheckedBy::Leakage,
        CheckedBy::Capacitance,
        CheckedBy::Exchange,
        CheckedBy::Tester,
    ];

    /// The words under which it is kept.
    pub fn words(self) -> &'static str {
        match self {
            CheckedBy::Ohms => "ohmmeter, one end free",
            CheckedBy::Leakage => "leakage meter at working volts, one end free",
            CheckedBy::Capacitance => "capacitance meter, one end free",
            CheckedBy::Exchange => "exchange for another one",
            CheckedBy::Tester => "tube tester",
        }
    }
}

/// What was found of one part.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct PartFound {
    /// Number of the entry.
    pub entry: u64,
    /// The part, as the sheet spells it.
    pub part: String,
    /// How it was checked and what was found, as it was entered.
    pub words: String,
    /// The same, understood.
    pub outcome: Outcome,
    /// The figure of a trial or of a loose end, by which it is weighed.
    pub figure: Option<ByItself>,
}

impl PartFound {
    /// Whether this one takes the place of an earlier one: of verdicts the last word holds between good and bad, of
    /// figures that of the same check.
    fn replaces(&self, earlier: &PartFound) -> bool {
        let is_good = |found: &Found| matches!(found, Found::Good(_));
        if self.outcome.suspect != earlier.outcome.suspect {
            return false;
        }
        match (&self.figure, &earlier.figure) {
            (Some(own), Some(earlier)) => {
                std::mem::discriminant(&own.check) == std::mem::discriminant(&earlier.check)
            }
            (None, None) => is_good(&self.outcome.found) != is_good(&earlier.outcome.found),
            _ => false,
        }
    }
}

/// What was found of parts that are still in the set, in order.
pub(crate) fn outcomes(model: &SetModel<'_>, facts: &[StandingFact<'_>]) -> Vec<PartFound> {
    let mut found: Vec<PartFound> = Vec::new();
    for one in facts {
        match one.fact {
            Fact::Tested(tested) => {
                if let Some(own) = found_of(model, one.number, tested) {
                    found.retain(|other| !own.replaces(other));
                    found.push(own);
                }
            }
            Fact::Fitted(fitted) => {
                let name = fitted.part.trim();
                found.retain(|own| !own.part.eq_ignore_ascii_case(name));
            }
            _ => {}
        }
    }
    found
}

/// What was seen of single parts that are still in the set.
pub(crate) fn looks(
    model: &SetModel<'_>,
    list: &[ThingToSee],
    facts: &[StandingFact<'_>],
) -> Vec<Look> {
    let mut found: Vec<Look> = Vec::new();
    for one in facts {
        match one.fact {
            Fact::Seen(seen) if !is_noticed(seen) => {
                let thing = list.iter().find(|own| own.thing == seen.thing);
                let sound = thing.and_then(|own| own.findings.first());
                if let Some(suspect) = suspect_named(model, &seen.part) {
                    found.push(Look {
                        suspect,
                        words: seen.found.clone(),
                        is_sound: match sound {
                            Some(sound) => sound.eq_ignore_ascii_case(seen.found.trim()),
                            None => ["sound", "good", "fine", "perfect"]
                                .iter()
                                .any(|word| seen.found.to_lowercase().contains(word)),
                        },
                    });
                }
            }
            Fact::Fitted(fitted) => {
                let gone = suspect_named(model, &fitted.part);
                found.retain(|own| Some(own.suspect) != gone);
            }
            _ => {}
        }
    }
    found
}

fn found_of(model: &SetModel<'_>, entry: u64, tested: &Tested) -> Option<PartFound> {
    let suspect = suspect_named(model, &tested.part)?;
    let TestResult::Verdict(verdict) = &tested.result else {
        return None;
    };
    let by = match tested.tester.trim() {
        "" => String::new(),
        tester => format!(" ({tester})"),
    };
    let words = format!("{}{by}", verdict.trim());
    let part = suspect.reference(model).to_owned();
    if let Some((outcome, figure)) = tried(model, suspect, tested, verdict.trim()) {
        return Some(PartFound {
            entry,
            part,
            words,
            outcome,
            figure: Some(figure),
        });
    }
    let is_tube = model.tube_index(&tested.part).is_some();
    let lower = verdict.to_lowercase();
    let names_a_fault = lower
        .split(|letter: char| !letter.is_alphabetic())
        .any(|word| FAULTS.iter().any(|fault| word.starts_with(fault)));
    let found = match plain_words(verdict) {
        Some(TesterSaid::Good) => Found::Good(check(&tested.tester, is_tube)),
        Some(_) if is_tube => return None,
        _ if names_a_fault || lower.contains("weak") => Found::Bad(verdict.clone()),
        _ => return None,
    };
    Some(PartFound {
        entry,
        part,
        words,
        outcome: Outcome { suspect, found },
        figure: None,
    })
}

/// The check that a tester's words name.
fn check(tester: &str, is_tube: bool) -> Check {
    let lower = tester.to_lowercase();
    let says = |words: &[&str]| words.iter().any(|word| lower.contains(word));
    if says(&["another one", "exchange", "swap", "substitut"]) {
        Check::Exchange
    } else if says(&["leak"]) {
        Check::Leakage
    } else if says(&["capacit"]) {
        Check::Capacitance
    } else if is_tube {
        Check::TubeTester
    } else if says(&["ohm"]) {
        Check::Ohms
    } else {
        Check::NotSaid
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::test_facts::with_standing;
    use logbook::Fitted;
    use receiver::sheet::read_sheet;

    const LARKFIELD: &str = include_str!("../../../../examples/whole/larkfield_12t.toml");

    fn tested(part: &str, tester: &str, verdict: &str) -> Fact {
        Fact::Tested(Tested {
            part: part.to_owned(),
            section: String::new(),
            type_number: String::new(),
            tester: tester.to_owned(),
            result: TestResult::Verdict(verdict.to_owned()),
            note: String::new(),
        })
    }

    fn told(facts: &[Fact]) -> Vec<(String, Found)> {
        let catalogue = crate::catalogue().expect("sound");
        let sheet = read_sheet(LARKFIELD, catalogue).sheet.expect("no fault");
        let model = SetModel::new(&sheet, catalogue);
        with_standing(facts, |standing| outcomes(&model, standing))
            .into_iter()
            .map(|own| (own.part, own.outcome.found))
            .collect()
    }

    /// The sound state of the list is its first finding; a part replaced since has no look.
    #[test]
    fn looks_are_read_back() {
        let catalogue = crate::catalogue().expect("sound");
        let text = include_str!("../../../../examples/whole/larkfield_12t.toml");
        let sheet = receiver::sheet::read_sheet(text, catalogue)
            .sheet
            .expect("no fault");
        let model = SetModel::new(&sheet, catalogue);
        let list = parts::things_to_see().expect("sound");
        let wax = list.iter().find(|own| own.name == "wax").expect("a thing");
        let seen = |part: &str, found: &str| {
            Fact::Seen(logbook::Seen {
                area: wax.area.clone(),
                thing: wax.thing.clone(),
                part: part.to_owned(),
                found: found.to_owned(),
                ..logbook::Seen::default()
            })
        };
        let facts = [
            seen("C50", &wax.findings[0]),
            seen("C51", &wax.findings[1]),
            seen("", &wax.findings[1]),
            seen("C45", "sweated"),
            Fact::Fitted(logbook::Fitted {
                part: "C45".to_owned(),
                new: "new".to_owned(),
                ..logbook::Fitted::default()
            }),
        ];
        crate::test_facts::with_standing(&facts, |standing| {
            let told: Vec<(String, bool)> = looks(&model, list, standing)
                .into_iter()
                .map(|own| (own.suspect.reference(&model).to_owned(), own.is_sound))
                .collect();
            assert_eq!(told, [("C50".to_owned(), true), ("C51".to_owned(), false)]);
        });
    }

    #[test]
    fn every_check_is_understood_as_it_is_kept() {
        for (by, wanted) in CheckedBy::ALL.into_iter().zip([
            Check::Ohms,
            Check::Leakage,
            Check::Capacitance,
            Check::Exchange,
            Check::TubeTester,
        ]) {
            let part = if by == CheckedBy::Tester { "V9" } else { "c50" };
            let own = told(&[tested(part, by.words(), CLEARED)]);
            assert_eq!(own[0].1, Found::Good(wanted));
        }
        assert_eq!(
            told(&[tested("C50", "", "good")])[0].1,
            Found::Good(Check::NotSaid)
        );
        assert_eq!(
            told(&[tested("V9", "", "good")])[0].1,
            Found::Good(Check::TubeTester)
        );
    }

    #[test]
    fn words_of_a_fault_condemn_and_others_say_nothing() {
        let bad = |words: &str| Found::Bad(words.to_owned());
        let own = |part: &str, words: &str| told(&[tested(part, "", words)]).pop();
        let shorted = own("V17", "shorted, grid to cathode");
        assert_eq!(
            shorted.map(|own| own.1),
            Some(bad("shorted, grid to cathode"))
        );
        let odd = format!("{CONDEMNED}smells");
        assert_eq!(own("C50", &odd).map(|own| own.1), Some(bad(&odd)));
        assert_eq!(
            own("R71", "drifted to 470k").map(|own| own.0),
            Some("R71".to_owned())
        );
        // A weak tube moves the prediction instead.
        assert_eq!(own("V9", "weak"), None);
        assert_eq!(own("C50", "to be looked at"), None);
        assert_eq!(own("Z99", "shorted"), None);
    }

    #[test]
    fn the_last_word_holds_and_a_new_part_has_none() {
        let good = tested("C50", CheckedBy::Ohms.words(), CLEARED);
        let bad = tested("C50", CheckedBy::Leakage.words(), "leaky, 200k");
        let own = told(&[good.clone(), bad.clone()]);
        assert_eq!(own.len(), 1);
        assert!(matches!(own[0].1, Found::Bad(_)));
        let fitted = Fact::Fitted(Fitted {
            part: "c50".to_owned(),
            new: "0.01 mfd".to_owned(),
            ..Fitted::default()
        });
        assert_eq!(told(&[good.clone(), bad, fitted]), []);
        // Two checks of one part both count.
        let other = tested("C50", CheckedBy::Leakage.words(), CLEARED);
        assert_eq!(told(&[good, other]).len(), 2);
    }
}
