//! Symptoms, signals, glow and figures of single parts in one ranking with readings.
//!
//! Weights are plain. The sheets stand in examples/whole. What each complaint points to is common practice
//! of the trade: an open coupling capacitor silences a set whose volts are all right, one bright line is the
//! vertical sweep, a signal that passes behind a stage and not before it condemns the stage. Fails by a
//! panic, as a test may.

mod whole_sets;

use std::sync::OnceLock;

use parts::{SetSection, symptoms};
use receiver::probes::{Probe, Spot, all_probes};
use receiver::reading::What;
use receiver::sections::Sections;
use receiver::suspects::by_itself::ByItself;
use receiver::suspects::hypotheses::{Hypotheses, Suspect};
use receiver::suspects::outcome::Check;
use receiver::suspects::predict::{Foretold, foretell};
use receiver::suspects::rank::{Beside, Ranking, rank_beside};
use receiver::suspects::signs::glow::Glow;
use receiver::suspects::signs::signal_way::SignalEnd;
use receiver::suspects::signs::signals::SignalCame;
use receiver::suspects::signs::{Sign, Signs};
use receiver::wiring::SetModel;
use whole_sets::{LARKFIELD, MERROW, nominal, sheet};

struct Bench<'m, 's> {
    model: &'m SetModel<'s>,
    hypotheses: Hypotheses,
    foretold: Vec<Foretold>,
}

impl Bench<'static, 'static> {
    fn of(text: &str) -> Bench<'static, 'static> {
        let catalogue = parts::catalogue().expect("the tables are sound");
        let sheet = Box::leak(Box::new(sheet(text)));
        let model = Box::leak(Box::new(SetModel::new(sheet, catalogue)));
        let hypotheses = Hypotheses::of(model, catalogue);
        let probes: Vec<Probe> = all_probes(model, None)
            .into_iter()
            .filter(|probe| probe.what == What::DcVolts && matches!(probe.spot, Spot::ToChassis(_)))
            .collect();
        let foretold = foretell(model, &[nominal()], &probes, &hypotheses).expect("a settled set");
        Bench {
            model,
            hypotheses,
            foretold,
        }
    }

    /// A set that all tests share: foretelling it takes longer than all that they ask.
    fn with(text: &str, work: impl FnOnce(&Bench<'_, '_>)) {
        static BENCHES: [OnceLock<Bench<'static, 'static>>; 2] = [const { OnceLock::new() }; 2];
        let own = &BENCHES[usize::from(text == MERROW)];
        work(own.get_or_init(|| Bench::of(text)));
    }
}

impl Bench<'_, '_> {
    fn signs(&self, signs: &[Sign]) -> Signs {
        let table = symptoms().expect("the table is sound");
        Signs::of(self.model, &self.hypotheses, &self.foretold, table, signs)
    }

    fn rank(&self, signs: &[Sign]) -> Ranking {
        rank_beside(&self.hypotheses, &self.foretold, &[], &self.signs(signs))
    }

    /// Weight of all single faults that serve a section.
    fn in_section(&self, ranking: &Ranking, section: &[SetSection]) -> f64 {
        let sections = Sections::of(self.model);
        let share = |suspect: Suspect| -> f64 {
            let shares = match suspect {
                Suspect::Part(part) => sections.of_part(part).to_vec(),
                Suspect::Tube(tube) | Suspect::Socket(tube) => sections.of_tube(tube),
                Suspect::Transformer(_) => vec![(SetSection::Supply, 1.0)],
            };
            let own = shares.iter().filter(|own| section.contains(&own.0));
            own.map(|own| own.1).sum()
        };
        let each = ranking.suspects.iter();
        each.map(|own| own.weight * share(own.suspect)).sum()
    }

    fn weight(&self, ranking: &Ranking, reference: &str) -> f64 {
        let mut own = ranking.suspects.iter();
        own.find(|own| own.suspect.reference(self.model) == reference)
            .map_or(0.0, |own| own.weight)
    }

    fn part(&self, name: &str) -> Suspect {
        let part = self.model.part_index(name);
        part.map(Suspect::Part).expect("a part")
    }

    fn hypothesis(&self, suspect: Suspect, fault: &str) -> usize {
        let mut list = self.hypotheses.list.iter();
        list.position(|own| own.suspect == suspect && own.fault == fault)
            .expect("a hypothesis")
    }

    fn junction(&self, place: &str) -> usize {
        let place = self.model.places.find(place).expect("a place");
        self.model.junction(place).expect("a junction")
    }
}

fn symptom(name: &str) -> usize {
    let mut table = symptoms().expect("the table is sound").iter();
    table.position(|own| own.name == name).expect("a symptom")
}

/// The table's own shares come back: its sections hold what is left beside faults of other sections.
#[test]
fn a_complaint_leads_to_its_sections() {
    for text in [LARKFIELD, MERROW] {
        Bench::with(text, |bench| {
            for (name, sections) in [
                (
                    "bright horizontal line",
                    &[SetSection::VerticalOutput, SetSection::VerticalOscillator][..],
                ),
                ("picture good, no sound", &[SetSection::Sound]),
                ("small on all sides", &[SetSection::Supply]),
                (
                    "tears into slanting lines",
                    &[SetSection::HorizontalOscillator, SetSection::Sync],
                ),
            ] {
                let ranking = bench.rank(&[Sign::Symptom(symptom(name), true)]);
                let own = bench.in_section(&ranking, sections);
                assert!(own > 0.45, "{name}: {own}");
                assert!(ranking.healthy < 0.05, "{name}: {}", ranking.healthy);
                let total: f64 = ranking.suspects.iter().map(|own| own.weight).sum();
                let singles = total + ranking.healthy + ranking.not_listed;
                assert!(
                    ranking.pairs.is_empty() && (singles - 1.0).abs() < 1e-6,
                    "{singles}"
                );
            }
        });
    }
}

/// One bright line and snow are no single fault: two of the parts that cause each are weighed together.
#[test]
fn two_complaints_of_two_sections_ask_for_two_faults() {
    Bench::with(MERROW, |bench| {
        let line = Sign::Symptom(symptom("bright horizontal line"), true);
        let snow = Sign::Symptom(symptom("snow"), true);
        let ranking = bench.rank(&[line, snow]);
        assert!(!ranking.pairs.is_empty());
        assert!(ranking.not_listed < 0.5, "{}", ranking.not_listed);
        let single = bench.rank(&[line]);
        assert!(single.pairs.is_empty());
    });
}

/// Volts are all right and no sound comes: what moves no volts is now on the list.
#[test]
fn an_open_coupling_capacitor_is_no_longer_silent() {
    Bench::with(LARKFIELD, |bench| {
        let c50 = bench.part("C50");
        let open = bench.hypothesis(c50, "open lead");
        let without = bench.rank(&[]);
        assert!(without.silent.contains(&open));
        let quiet = [Sign::Symptom(symptom("picture good, no sound"), true)];
        let ranking = bench.rank(&quiet);
        assert!(!ranking.silent.contains(&open));
        // A tone is heard from the grid behind it and not from the plate before it.
        let fed = |place: &str, came| Sign::Signal {
            from: Some(bench.junction(place)),
            end: SignalEnd::Ear,
            came,
        };
        let mut halved = quiet.to_vec();
        halved.push(fed("V15.5", SignalCame::Right));
        halved.push(fed("V13.7", SignalCame::Lost));
        let after = bench.rank(&halved);
        assert!(bench.weight(&after, "C50") > 2.0 * bench.weight(&ranking, "C50"));
        let of_c50 = |ranking, other| bench.weight(ranking, other) / bench.weight(ranking, "C50");
        assert!(of_c50(&after, "V15") < 0.6 * of_c50(&ranking, "V15"));
        assert!(bench.weight(&after, "V11") < 0.6 * bench.weight(&ranking, "V11"));
    });
}

/// Four dark heaters of a string are one open heater; one dark one in parallel is its own.
#[test]
fn a_dark_heater_names_its_tube() {
    Bench::with(LARKFIELD, |bench| {
        let v9 = bench.model.tube_index("V9").expect("a tube");
        let ranking = bench.rank(&[Sign::Glow(v9, Glow::Dark)]);
        assert_eq!(ranking.suspects[0].suspect, Suspect::Tube(v9));
        assert!(
            ranking.suspects[0].weight > 0.1,
            "{}",
            ranking.suspects[0].weight
        );
        let usual = bench.signs(&[Sign::Glow(v9, Glow::Usual)]);
        let open = bench
            .hypotheses
            .list
            .iter()
            .position(|own| own.suspect == Suspect::Tube(v9) && own.fault == "heater open");
        // By hand: one in a hundred against nine of ten.
        let log = usual.of_sign(0, open.expect("a hypothesis"), 1.0);
        assert!((log - (0.01f64 / 0.9).ln()).abs() < 1e-9);
    });
}

/// A leak in figures tells which severity: the ranking's own course follows it.
#[test]
fn a_figure_of_a_part_tells_how_bad_it_is() {
    Bench::with(LARKFIELD, |bench| {
        let c50 = bench.part("C50");
        let signs = bench.signs(&[Sign::Measured(ByItself {
            suspect: c50,
            check: Check::Leakage,
            value: 2e5,
        })]);
        let leaky = bench.hypothesis(c50, "leaky");
        let at = |severity| signs.of_sign(0, leaky, severity);
        // Sharper than the solved severities lie apart: it is weighed at each by itself.
        assert!(at(2e5) > 0.0, "{}", at(2e5));
        assert!(at(2e5) > at(3.2e5) + 2.0 && at(2e5) > at(5e6) + 2.0);
        assert_eq!(signs.of_sign(0, 0, 1.0), 0.0);
    });
}

/// Between no two places is a way: said, and weighed as nothing.
#[test]
fn a_signal_without_a_way_is_told() {
    Bench::with(LARKFIELD, |bench| {
        let lost = Sign::Signal {
            from: Some(bench.junction("V21.3")),
            end: SignalEnd::Ear,
            came: SignalCame::Lost,
        };
        let signs = bench.signs(&[lost, Sign::Symptom(symptom("snow"), false)]);
        assert!(signs.not_weighed(0).is_some());
        assert!(signs.not_weighed(1).is_none());
        for number in 0..bench.hypotheses.list.len() {
            assert_eq!(signs.of_sign(0, number, 1.0), 0.0);
            // What is not shown speaks for nothing.
            assert!(signs.of_sign(1, number, 1.0) <= 0.0);
        }
    });
}

/// A can across some 300 volts that leaks 2.2k would turn `V^2 / R`, some 20 to 40 watts, into heat: it would boil (common practice), so that a
/// set read in peace hardly has it. A leak of 100k is 1 watt and stands. Where hot wax is smelled nothing is held against either.
#[test]
fn a_leak_that_would_boil_its_can_takes_little_weight() {
    Bench::with(LARKFIELD, |bench| {
        let part = bench.model.part_index("C4A").expect("a can");
        let of = |own: &receiver::suspects::hypotheses::Hypothesis| {
            own.suspect == Suspect::Part(part) && own.fault == "leaky"
        };
        let leaky = bench.hypotheses.list.iter().position(of).expect("a leak");
        let quiet = bench.signs(&[]);
        let line = bench.foretold[0].healthy[bench.foretold[0]
            .probes
            .iter()
            .position(|own| own.at.split('/').any(|own| own.trim() == "B+ 275"))
            .expect("a line")]
        .expect("told");
        // A leak of a megohm and more hardly moves the line; it is worked by hand there.
        let severities = &bench.foretold[0].faulty[leaky].severities;
        let slight = severities.iter().copied().fold(0.0, f64::max);
        let watts = quiet.watts(leaky, slight).expect("watts");
        assert!(
            (watts * slight / (line * line) - 1.0).abs() < 0.05,
            "{watts} {slight}"
        );
        assert!(quiet.log(leaky, slight).abs() < 0.1);
        assert_eq!(quiet.burns(leaky, slight), None);
        let burns = quiet.burns(leaky, 2200.0).expect("it boils");
        assert!((15.0..60.0).contains(&burns), "{burns}");
        assert!(quiet.log(leaky, 2200.0) < 0.1_f64.ln());
        // A smell is what such a leak makes.
        let table = symptoms().expect("the table is sound");
        let smell = table.iter().position(|own| own.name == "smell of hot wax");
        let smelled = bench.signs(&[Sign::Symptom(smell.expect("a row"), true)]);
        assert_eq!(smelled.burns(leaky, 2200.0), None);
        assert!(smelled.log(leaky, 2200.0) > quiet.log(leaky, 2200.0) + 2.0);
    });
}
