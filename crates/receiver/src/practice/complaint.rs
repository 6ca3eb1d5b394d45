//! What the owner of a hidden set complains of, as truth and as evidence.
//!
//! Plain chances; symptoms by their position in the table of the trade (`data/picture_symptoms.csv`). A fault that
//! disturbs shows in one of them, or in half of the sets in two, drawn by the sections that its part serves, one of twenty
//! any of all, by the law that weighs complaints ([`Symptoms::chance`]); one of fifty healthy sets is complained of. The search is told the same
//! words; where nothing is complained of it is told that picture and sound are right. Judgement; no counted survey is
//! known. All draws come from a seed; nothing here fails.

use parts::Symptom;
use rand::{RngExt, SeedableRng};
use rand_pcg::Pcg64;

use crate::sections::Sections;
use crate::suspects::hypotheses::Hypotheses;
use crate::suspects::predict::Foretold;
use crate::suspects::rank::NOT_LISTED;
use crate::suspects::signs::Sign;
use crate::suspects::signs::able::able;
use crate::suspects::signs::symptoms::{MISTAKEN, Symptoms, TWO_SYMPTOMS};
use crate::wiring::SetModel;

use super::hidden::HiddenFault;

/// What is complained of: symptoms by their position in the table.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Complaint {
    seen: Vec<usize>,
}

/// The table over the faults of one set.
pub fn symptoms_of(
    model: &SetModel<'_>,
    hypotheses: &Hypotheses,
    foretold: &[Foretold],
    table: &[Symptom],
) -> Symptoms {
    let sections = Sections::of(model);
    Symptoms::of(model, &sections, hypotheses, foretold, table, NOT_LISTED)
}

/// Whether a fault that moves readings so far, in standard deviations of healthy sets, disturbs in a hidden set: what is
/// complained of disturbs, and nothing else.
pub fn disturbs(hypotheses: &Hypotheses, fault: &HiddenFault, reach: f64, seed: u64) -> bool {
    is_disturbing(&mut random_of(seed), hypotheses, fault, reach)
}

fn random_of(seed: u64) -> Pcg64 {
    Pcg64::seed_from_u64(seed ^ 0xc0de)
}

fn is_disturbing(
    random: &mut Pcg64,
    hypotheses: &Hypotheses,
    fault: &HiddenFault,
    reach: f64,
) -> bool {
    let draw = random.random::<f64>();
    let own = hypotheses.list.get(fault.hypothesis);
    own.is_some_and(|own| draw < able(own, fault.severity, reach))
}

impl Complaint {
    /// What a healthy set shows, out of so many symptoms.
    pub fn of_healthy(count: usize, seed: u64) -> Complaint {
        let mut random = Pcg64::seed_from_u64(seed ^ 0x5eed);
        let is_any = random.random::<f64>() < MISTAKEN && count > 0;
        let seen = is_any.then(|| random.random_range(0..count));
        Complaint {
            seen: seen.into_iter().collect(),
        }
    }

    /// What one fault shows that moves readings so far, in standard deviations of healthy sets.
    pub fn of(
        symptoms: &Symptoms,
        hypotheses: &Hypotheses,
        fault: &HiddenFault,
        reach: f64,
        seed: u64,
    ) -> Complaint {
        let mut random = random_of(seed);
        if !is_disturbing(&mut random, hypotheses, fault, reach) {
            return Complaint::default();
        }
        let mut one = || {
            let mut left = random.random::<f64>();
            (0..symptoms.count()).find(|symptom| {
                left -= symptoms.chance(*symptom, fault.hypothesis);
                left <= 0.0
            })
        };
        let (first, second) = (one(), one());
        let two = random.random::<f64>() < TWO_SYMPTOMS;
        let seen = first.into_iter().chain(second.filter(|_| two)).collect();
        Complaint { seen }.and(&Complaint::default())
    }

    /// Whether anything is complained of.
    pub fn is_any(&self) -> bool {
        !self.seen.is_empty()
    }

    /// Symptoms by their position in the table, each once.
    pub fn seen(&self) -> &[usize] {
        &self.seen
    }

    /// What both are.
    pub fn and(mut self, other: &Complaint) -> Complaint {
        self.seen.extend(&other.seen);
        self.seen.sort_unstable();
        self.seen.dedup();
        self
    }

    /// What the search is told of it, out of so many symptoms.
    pub fn signs(&self, count: usize) -> Vec<Sign> {
        if self.is_any() {
            let seen = self.seen.iter();
            return seen.map(|at| Sign::Symptom(*at, true)).collect();
        }
        (0..count).map(|at| Sign::Symptom(at, false)).collect()
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::sheet::read_sheet;
    use crate::suspects::outcome::suspect_named;

    const LARKFIELD: &str = include_str!("../../../../examples/whole/larkfield_12t.toml");

    /// Common practice: an open coupling capacitor of the sound silences the set, and its owner says so about the sound
    /// far oftener than about any other one thing; what disturbs nothing is not complained of.
    #[test]
    fn owners_complain_of_what_the_fault_does() {
        let catalogue = parts::catalogue().expect("the tables are sound");
        let sheet = read_sheet(LARKFIELD, catalogue).sheet.expect("no fault");
        let model = SetModel::new(&sheet, catalogue);
        let hypotheses = Hypotheses::of(&model, catalogue);
        let table = parts::symptoms().expect("the table is sound");
        let symptoms = symptoms_of(&model, &hypotheses, &[], table);
        let c50 = suspect_named(&model, "C50").expect("a part");
        let fault = |name: &str, severity: f64| {
            let mut list = hypotheses.list.iter();
            let at = list.position(|own| own.suspect == c50 && own.fault == name);
            let at = at.expect("a fault of it");
            HiddenFault {
                hypothesis: at,
                suspect: c50,
                fault: name.to_owned(),
                kind: hypotheses.list[at].kind.clone(),
                severity,
            }
        };
        let open = fault("open lead", 1.0);
        let drawn: Vec<Complaint> = (0..400)
            .map(|seed| Complaint::of(&symptoms, &hypotheses, &open, 0.0, seed))
            .collect();
        let of_sound = drawn.iter().filter(|own| {
            let mut seen = own.seen().iter();
            seen.any(|at| {
                let own = &table[*at];
                let text = format!("{} {}", own.name, own.what).to_lowercase();
                ["sound", "loudspeaker", "hum", "distort"]
                    .iter()
                    .any(|word| text.contains(word))
            })
        });
        let any = drawn.iter().filter(|own| own.is_any()).count();
        let of_sound = of_sound.count();
        assert!(any > 200, "{any}");
        assert!(2 * of_sound > any, "{of_sound} of {any}");
        // What disturbs is complained of, but for words that the table has for nobody.
        for (seed, own) in drawn.iter().enumerate() {
            let disturbs = disturbs(&hypotheses, &open, 0.0, seed as u64);
            assert!(disturbs || !own.is_any());
        }
        // The same seed gives the same words.
        let again = Complaint::of(&symptoms, &hypotheses, &open, 0.0, 7);
        assert_eq!(again, drawn[7]);
        // A slight leak that moves no reading: hardly anybody notices.
        let slight = fault("leaky", 5e8);
        let noticed = (0..400)
            .filter(|seed| Complaint::of(&symptoms, &hypotheses, &slight, 0.0, *seed).is_any());
        let noticed = noticed.count();
        assert!(noticed < any / 4, "{noticed}");
        let healthy = (0..1000).filter(|seed| Complaint::of_healthy(table.len(), *seed).is_any());
        let healthy = healthy.count();
        assert!((5..50).contains(&healthy), "{healthy}");
    }

    #[test]
    fn nothing_complained_of_is_told_as_such() {
        let none = Complaint::default();
        assert_eq!(
            none.signs(2),
            [Sign::Symptom(0, false), Sign::Symptom(1, false)]
        );
        let one = Complaint { seen: vec![1] };
        let both = one.clone().and(&Complaint { seen: vec![0, 1] });
        assert_eq!(one.signs(2), [Sign::Symptom(1, true)]);
        assert_eq!(both.seen(), [0, 1]);
    }
}
