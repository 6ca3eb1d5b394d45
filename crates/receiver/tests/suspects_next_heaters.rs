//! Looks at heaters among what comes next.
//!
//! Volts, plain chances. The sheets stand in examples/whole. That one looks which heater glows before a tube goes on a
//! tester is common practice. Fails by a panic, as a test may.

mod planted;
mod whole_sets;

use planted::planted;
use receiver::hazard::{self, ActKind};
use receiver::probes::{Probe, Spot, all_probes};
use receiver::reading::What;
use receiver::suspects::evidence::Seen;
use receiver::suspects::hypotheses::{Hypotheses, Suspect};
use receiver::suspects::next::{
    Asked, Blame, OfHeaters, Offered, Outcome, of_heaters, while_hunting,
};
use receiver::suspects::predict::{Foretold, foretell};
use receiver::suspects::rank::{Beside, Ranking, rank_beside};
use receiver::suspects::signs::glow::Glow;
use receiver::suspects::signs::{Sign, Signs};
use receiver::wiring::{FaultKind, SetModel};
use whole_sets::{LARKFIELD, MERROW, nominal, sheet};

/// What is known when these places were read in a set with this tube's heater open.
struct Known<'m, 's> {
    model: &'m SetModel<'s>,
    hypotheses: Hypotheses,
    foretold: Vec<Foretold>,
    seen: Vec<Seen>,
}

impl Known<'_, '_> {
    fn with(text: &str, open: &str, places: &[&str], look: impl FnOnce(&Known<'_, '_>, usize)) {
        let catalogue = parts::catalogue().expect("the tables are sound");
        let sheet = sheet(text);
        let model = SetModel::new(&sheet, catalogue);
        let hypotheses = Hypotheses::of(&model, catalogue);
        let probes: Vec<Probe> = all_probes(&model, None)
            .into_iter()
            .filter(|own| matches!(own.what, What::DcVolts | What::HeaterVoltsRms))
            .collect();
        let foretold = foretell(&model, &[nominal()], &probes, &hypotheses);
        let tube = model.tube_index(open).expect("a tube");
        let volts = planted(
            &model,
            &nominal(),
            &FaultKind::HeaterOpen(tube).variation(1.0),
            2,
        );
        let read = |at: &&str| {
            let probe = probes.iter().position(|own| own.at == *at);
            let probe = probe.expect("a place");
            let Spot::ToChassis(junction) = probes[probe].spot else {
                panic!("{at} is no place");
            };
            let value = volts[junction];
            Seen {
                conditions: 0,
                probe,
                value,
                doubt: 0.015 * value.abs() + 0.02,
            }
        };
        let known = Known {
            model: &model,
            seen: places.iter().map(read).collect(),
            hypotheses,
            foretold: foretold.expect("a settled set"),
        };
        look(&known, tube);
    }

    fn signs(&self, signs: &[Sign]) -> Signs {
        let table = parts::symptoms().expect("the table is sound");
        Signs::of(self.model, &self.hypotheses, &self.foretold, table, signs)
    }

    fn rank(&self, signs: &[Sign]) -> Ranking {
        let signs = self.signs(signs);
        rank_beside(&self.hypotheses, &self.foretold, &self.seen, &signs)
    }

    fn looks(&self, beside: &dyn Beside, drive_known: bool) -> Vec<Offered<OfHeaters>> {
        of_heaters(&Asked {
            model: self.model,
            hypotheses: &self.hypotheses,
            foretold: &self.foretold,
            seen: &self.seen,
            ranking: &self.rank(&[]),
            efforts: parts::efforts().expect("the table is sound"),
            situation: &while_hunting(self.model, &nominal(), drive_known),
            present: 0,
            beside,
        })
        .expect("the table is sound")
    }
}

fn weight(ranking: &Ranking, blame: Blame) -> f64 {
    let of = |suspect: Suspect| {
        let mut own = ranking.suspects.iter();
        own.find(|own| own.suspect == suspect)
            .map_or(0.0, |own| own.weight)
    };
    match blame {
        Blame::Suspect(own) => of(own),
        Blame::Healthy => ranking.healthy,
        Blame::NotListed => ranking.not_listed,
        Blame::Both(..) => f64::NAN,
    }
}

/// In parallel each heater is looked at by itself, and what each word would mean is what the ranking then says.
#[test]
fn a_look_means_what_the_ranking_makes_of_it() {
    Known::with(LARKFIELD, "V9", &["B+ 275", "V9.5", "V9.7"], |known, v9| {
        let none = known.signs(&[]);
        let looks = known.looks(&none, true);
        let own = looks
            .iter()
            .find(|own| own.measurement == OfHeaters::Glow(v9));
        let own = own.expect("offered");
        assert!(own.bits > 0.2 && own.effort == 1.0, "{own:?}");
        let chance: f64 = own.meanings.iter().map(|own| own.chance).sum();
        assert!((chance - 1.0).abs() < 1e-9, "{own:?}");
        let mut held = 0;
        for glow in [Glow::Dark, Glow::Usual] {
            let mut meanings = own.meanings.iter();
            let meaning = meanings.find(|own| own.outcome == Outcome::Glows(glow));
            let meaning = meaning.expect("an outcome");
            let then = known.rank(&[Sign::Glow(v9, glow)]);
            for (blame, _, told) in &meaning.gains {
                let weighed = weight(&then, *blame);
                // The last hundredth of the weight is left aside. What the ranking takes of a fault that is not listed are no
                // chances that sum to one; here they are made so.
                let slack = if *blame == Blame::NotListed {
                    0.06
                } else {
                    0.03
                };
                assert!((weighed - told).abs() < slack, "{blame:?} {weighed} {told}");
                held += 1;
            }
        }
        assert!(held > 1);
        for own in &looks {
            let [look] = &own.acts[..] else {
                panic!("{own:?}");
            };
            assert_eq!(look.kind, ActKind::Look);
            let situation = while_hunting(known.model, &nominal(), true);
            let verdict = hazard::judge(look, &situation).expect("a table");
            assert!(verdict.is_allowed());
        }
        // The set does not run for a look while nobody saw the drive of the output stage.
        assert_eq!(known.looks(&none, false), []);
        // Nobody is sent to look twice.
        let looked = known.signs(&[Sign::Glow(v9, Glow::Dark)]);
        let again = known.looks(&looked, true);
        assert!(
            again
                .iter()
                .all(|own| own.measurement != OfHeaters::Glow(v9))
        );
    });
}

/// Of a string one heater tells of all: it is offered once.
#[test]
fn one_look_tells_of_a_string() {
    let places = ["B+ 265", "B+ 140", "V6.9"];
    Known::with(MERROW, "V9", &places, |known, v9| {
        let none = known.signs(&[]);
        let looks = known.looks(&none, true);
        let string = known.model.heater_place(v9).expect("a string");
        let of_string = looks.iter().filter(|own| {
            let OfHeaters::Glow(tube) = own.measurement;
            string.tubes.contains(&tube)
        });
        assert!(of_string.count() <= 1, "{looks:?}");
    });
}
