//! Results of testers, as the prediction uses them: the last of each tube that is still in the set.
//!
//! Percent of the tester's scale, micromhos, or its plain words. A result of another type than
//! the sheet's, or of a tube that was replaced since, says nothing of the set. Words of a fault
//! (shorted, gas, leaking) are no measure of use and move nothing. Nothing here fails.

use logbook::{Fact, StandingFact, TestResult, Tested};
use receiver::sheet::Sheet;
use receiver::stages::{TestedTube, TesterKind, TesterSaid};

use crate::check_sheet::catalogue;

/// Words of a tester's name that say what it measures.
const CONDUCTANCE: [&str; 4] = ["conductance", "gm", "micromho", "mutual"];
const EMISSION: [&str; 1] = ["emission"];

/// What testers said of the tubes that the sheet has, the oldest first.
pub(crate) fn tested_tubes(sheet: &Sheet, facts: &[StandingFact<'_>]) -> Vec<TestedTube> {
    let mut found: Vec<TestedTube> = Vec::new();
    for one in facts {
        match one.fact {
            Fact::Tested(tested) => {
                if let Some(own) = tested_tube(sheet, tested) {
                    found.retain(|other| {
                        other.reference != own.reference || other.section != own.section
                    });
                    found.push(own);
                }
            }
            Fact::Fitted(fitted) => {
                found.retain(|own| !own.reference.eq_ignore_ascii_case(&fitted.part));
            }
            _ => {}
        }
    }
    found
}

fn tested_tube(sheet: &Sheet, tested: &Tested) -> Option<TestedTube> {
    let tube = sheet.tube(&tested.part)?;
    if !tested.type_number.is_empty() {
        let known = catalogue().ok()?.tube(&tested.type_number);
        let name = known.map_or(tested.type_number.as_str(), |known| known.name.as_str());
        if !name.eq_ignore_ascii_case(&tube.kind.name) {
            return None;
        }
    }
    let said = match &tested.result {
        TestResult::Percent(percent) => TesterSaid::Percent(*percent),
        TestResult::Micromhos(micromhos) => TesterSaid::Micromhos(*micromhos),
        TestResult::Verdict(words) => plain_words(words)?,
    };
    let tester = tested.tester.to_lowercase();
    let says = |words: &[&str]| words.iter().any(|word| tester.contains(word));
    let kind = if says(&CONDUCTANCE) {
        TesterKind::Conductance
    } else if says(&EMISSION) {
        TesterKind::Emission
    } else {
        TesterKind::NotSaid
    };
    Some(TestedTube {
        reference: tube.reference.clone(),
        section: tested.section.trim().to_owned(),
        kind,
        said,
    })
}

/// Good or weak; `None` for a fault, or for words that are neither.
pub(crate) fn plain_words(words: &str) -> Option<TesterSaid> {
    let folded = words.to_lowercase();
    let says = |list: &[&str]| list.iter().any(|word| folded.contains(word));
    if says(&["short", "gas", "leak", "open", "dead", "bad"]) {
        return None;
    }
    if says(&["weak", "low", "poor", "doubtful"]) {
        return Some(TesterSaid::Weak);
    }
    // "Looked at" is no "ok".
    let is_ok = folded
        .split(|letter: char| !letter.is_alphabetic())
        .any(|word| word == "ok");
    (is_ok || says(&["good", "strong", "fine"])).then_some(TesterSaid::Good)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::test_facts::with_standing;
    use logbook::Fitted;
    use receiver::sheet::read_sheet;

    fn sheet() -> Sheet {
        let read = read_sheet(crate::EXAMPLE_SHEET, catalogue().expect("sound"));
        read.sheet.expect("a sound sheet")
    }

    fn tested(part: &str, type_number: &str, tester: &str, result: TestResult) -> Fact {
        Fact::Tested(Tested {
            part: part.to_owned(),
            section: String::new(),
            type_number: type_number.to_owned(),
            tester: tester.to_owned(),
            result,
            note: String::new(),
        })
    }

    fn told(facts: &[Fact]) -> Vec<(String, TesterKind, TesterSaid)> {
        with_standing(facts, |standing| tested_tubes(&sheet(), standing))
            .into_iter()
            .map(|own| (own.reference, own.kind, own.said))
            .collect()
    }

    #[test]
    fn the_last_result_of_a_tube_that_is_in_counts() {
        let percent = |value| TestResult::Percent(value);
        let v9 = |tester, result| tested("v9", "", tester, result);
        let one = |kind, said| vec![("V9".to_owned(), kind, said)];
        assert_eq!(
            told(&[v9("", percent(40.0)), v9("emission tester", percent(55.0))]),
            one(TesterKind::Emission, TesterSaid::Percent(55.0))
        );
        assert_eq!(
            told(&[v9(
                "borrowed, mutual conductance",
                TestResult::Micromhos(2100.0)
            )]),
            one(TesterKind::Conductance, TesterSaid::Micromhos(2100.0))
        );
        let fitted = Fact::Fitted(Fitted {
            part: "V9".to_owned(),
            new: "6AU6".to_owned(),
            ..Fitted::default()
        });
        assert_eq!(told(&[v9("", percent(40.0)), fitted]), []);
        assert_eq!(told(&[tested("V9", "6BA6", "", percent(40.0))]), []);
        assert_eq!(told(&[tested("V77", "", "", percent(40.0))]), []);
        assert_eq!(told(&[tested("V9", "6au6", "", percent(40.0))]).len(), 1);
    }

    #[test]
    fn plain_words_are_good_weak_or_nothing() {
        for (words, wanted) in [
            ("good", Some(TesterSaid::Good)),
            ("OK", Some(TesterSaid::Good)),
            ("weak but usable", Some(TesterSaid::Weak)),
            ("shorted, grid to cathode", None),
            ("no good: gas", None),
            ("replace?", None),
            ("to be looked at", None),
        ] {
            assert_eq!(plain_words(words), wanted, "{words}");
        }
    }
}
