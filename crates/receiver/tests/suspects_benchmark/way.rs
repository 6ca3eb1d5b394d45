//! Ways through the measurements of one hidden set.

use receiver::practice::answers::HiddenBench;
use receiver::practice::own_way::{Learned, Search};
use receiver::practice::signals::HiddenSignals;
use receiver::suspects::doubt::doubt;
use receiver::suspects::evidence::Seen;
use receiver::suspects::hypotheses::{Hypotheses, Suspect};
use receiver::suspects::next::{Asked, Measurement, alike};
use receiver::suspects::rank::{Beside, Ranked, Ranking, rank_beside};
use receiver::suspects::signs::signal_way::SignalEnd;

use crate::bench::{Bench, table, words};
use crate::cases::Case;

/// Weight at which a search is sure.
const SURE: f64 = 0.9;
/// Weight at which a part is replaced and the set looked at anew.
const REPLACED: f64 = 0.95;
/// Chance of a new part's fault over that of an old one's (judgement: one of some thirty).
const OF_A_NEW_ONE: f64 = 0.03;
/// Measurements after which a search is given up.
pub const MOST: usize = 30;
/// Weight below which a part is not looked at for calibration.
const LOOKED_AT: f64 = 0.05;

/// How a search went.
#[derive(Default)]
pub struct Went {
    /// Place of the class that holds each faulty part, from 1, in the order of the faults.
    pub places: Vec<Option<usize>>,
    pub nothing_explains: bool,
    /// Weight of the heaviest part.
    pub most: f64,
    /// Measurements until the faulty part had the weight.
    pub sure_after: Option<usize>,
    /// Weights with whether that part was to blame.
    pub given: Vec<(f64, bool)>,
    /// In a line, for a table.
    pub told: String,
}

impl Went {
    pub fn within(&self, place: usize) -> bool {
        let all = self.places.iter();
        all.clone().count() > 0 && all.clone().all(|own| own.is_some_and(|own| own <= place))
    }
}

impl Bench<'_, '_> {
    /// As the search advises: looked at after so many measurements; goes on until it is sure where `on` is said.
    pub fn search(&self, case: &Case, hypotheses: &Hypotheses, after: usize, on: bool) -> Went {
        let beside = self.told_of(&case.complaint, hypotheses);
        let (seed, all) = (case.seed, &self.hypotheses);
        let signals = HiddenSignals::new(self.model, all, seed, case.disturbing());
        let noticed = case.complaint.signs(table().len());
        let searching = self.searching(hypotheses, &noticed, &signals);
        let meter = HiddenBench::new(case.seed, true);
        let mut search =
            Search::new(&searching, &case.hidden, &meter).expect("conditions are foretold");
        let guilty: Vec<Suspect> = case.hidden.faults.iter().map(|own| own.suspect).collect();
        if let Some(own) = case.begins_with() {
            search.make(own).expect("it was solved before");
        }
        let mut went = None;
        let mut sure_after = None;
        while search.made().len() < MOST {
            if search.made().len() == after {
                went = Some(self.went(case, (hypotheses, &beside), &search));
                if !on || sure_after.is_some() {
                    break;
                }
            }
            let Some(made) = search.step().expect("it was solved before") else {
                break;
            };
            if crate::are_steps_told() {
                println!("    {}", self.step(&search, &made, &guilty));
            }
            if sure_after.is_none() && is_sure(search.ranking(), &guilty) {
                sure_after = Some(search.made().len());
            }
            if sure_after.is_some() && went.is_some() {
                break;
            }
        }
        let went = went.unwrap_or_else(|| self.went(case, (hypotheses, &beside), &search));
        Went { sure_after, ..went }
    }

    /// As the search advises, a good part put in for each that it is sure of, and the set looked at anew.
    pub fn search_and_repair(&self, case: &Case, hypotheses: &Hypotheses, after: usize) -> Went {
        let guilty = |own: &Case| -> Vec<Suspect> {
            own.hidden.faults.iter().map(|own| own.suspect).collect()
        };
        let mut found: Vec<(Suspect, f64)> = Vec::new();
        let mut left = after;
        let mut now = case.repaired(&self.hypotheses, Suspect::Part(usize::MAX));
        let mut hypotheses = hypotheses.clone();
        let mut made = String::new();
        // What still holds after each repair.
        let mut learned = Learned::default();
        loop {
            let beside = self.told_of(&now.complaint, &hypotheses);
            let (seed, all) = (now.seed, &self.hypotheses);
            let signals = HiddenSignals::new(self.model, all, seed, now.disturbing());
            let noticed = now.complaint.signs(table().len());
            let searching = self.searching(&hypotheses, &noticed, &signals);
            // Each repair has readings of its own.
            let meter = HiddenBench::new(now.seed ^ found.len() as u64, true);
            let mut search = Search::resumed(&searching, &now.hidden, &meter, learned.clone())
                .expect("conditions are foretold");
            if let Some(own) = now.begins_with() {
                search.make(own).expect("it was solved before");
            }
            let mut sure = None;
            while search.made().len() < left && sure.is_none() {
                if search.step().expect("it was solved before").is_none() {
                    break;
                }
                sure = search.leads().filter(|own| own.1 >= REPLACED);
            }
            let own = search.made().iter().map(|own| self.in_words(own));
            made += &format!(" [{}]", own.collect::<Vec<String>>().join(", "));
            let looked = search.made().len() + 1;
            match sure {
                Some(own) if looked < left => {
                    found.push(own);
                    left -= looked;
                    learned = search.learned(own.0);
                    drop(search);
                    for known in &mut hypotheses.list {
                        if known.suspect == own.0 {
                            known.chance *= OF_A_NEW_ONE;
                        }
                    }
                    now = now.repaired(&self.hypotheses, own.0);
                }
                _ => {
                    let classes = self.classes(&hypotheses, &beside, &search);
                    let mut went =
                        self.told(&guilty(case), case, search.ranking(), &classes, &found);
                    went.told += &made;
                    return went;
                }
            }
        }
    }

    /// The same reasoning in the order of the chart: how many readings until it is sure.
    pub fn in_chart_order(&self, case: &Case, hypotheses: &Hypotheses) -> Option<usize> {
        let beside = self.told_of(&case.complaint, hypotheses);
        let truth = self.truth_of(&case.hidden);
        let meter = HiddenBench::new(case.seed, true);
        let guilty: Vec<Suspect> = case.hidden.faults.iter().map(|own| own.suspect).collect();
        let mut seen = Vec::new();
        let begun = begun(case);
        let rows = self.chart().into_iter().map(|own| own.0);
        for probe in begun.into_iter().chain(rows).take(MOST) {
            let Some(own) = self.read(&meter, &truth, probe) else {
                continue;
            };
            seen.push(own);
            let ranking = rank_beside(hypotheses, &self.foretold, &seen, &beside);
            if is_sure(&ranking, &guilty) {
                return Some(seen.len());
            }
        }
        None
    }

    /// Every reading taken.
    pub fn everything(&self, case: &Case, hypotheses: &Hypotheses) -> Went {
        let beside = self.told_of(&case.complaint, hypotheses);
        let truth = self.truth_of(&case.hidden);
        let meter = HiddenBench::new(case.seed, true);
        let seen: Vec<Seen> = (0..self.probes().len())
            .filter_map(|probe| self.read(&meter, &truth, probe))
            .collect();
        let ranking = rank_beside(hypotheses, &self.foretold, &seen, &beside);
        let guilty: Vec<Suspect> = case.hidden.faults.iter().map(|own| own.suspect).collect();
        self.told(&guilty, case, &ranking, &[], &[])
    }

    pub fn read(
        &self,
        meter: &HiddenBench,
        truth: &Vec<Option<f64>>,
        probe: usize,
    ) -> Option<Seen> {
        let (value, _) = meter.reading(truth, self.probes(), probe, self.conditions())?;
        Some(Seen {
            conditions: 0,
            probe,
            value,
            doubt: doubt(
                self.conditions().meter.as_ref(),
                self.probes()[probe].what,
                value,
            ),
        })
    }

    fn went(
        &self,
        case: &Case,
        (hypotheses, beside): (&Hypotheses, &dyn Beside),
        search: &Search<'_, '_>,
    ) -> Went {
        let classes = self.classes(hypotheses, beside, search);
        let guilty: Vec<Suspect> = case.hidden.faults.iter().map(|own| own.suspect).collect();
        let mut went = self.told(&guilty, case, search.ranking(), &classes, &[]);
        let made = search.made().iter().map(|own| self.in_words(own));
        went.told += &format!(", \"{}\"", words(&case.complaint));
        went.told += &format!(" [{}]", made.collect::<Vec<String>>().join(", "));
        went
    }

    /// Suspects that no offered measurement can tell apart.
    fn classes(
        &self,
        hypotheses: &Hypotheses,
        beside: &dyn Beside,
        search: &Search<'_, '_>,
    ) -> Vec<Vec<Suspect>> {
        let offered = search.offers(true).expect("the table is sound");
        alike(
            &Asked {
                model: self.model,
                hypotheses,
                foretold: &self.foretold,
                seen: &[],
                ranking: search.ranking(),
                efforts: &self.efforts,
                situation: &self.situation,
                present: 0,
                beside,
            },
            &offered,
        )
    }

    /// One step: what was measured, what came, the heaviest and the guilty with their weights.
    fn step(&self, search: &Search<'_, '_>, made: &Measurement, guilty: &[Suspect]) -> String {
        let ranking = search.ranking();
        let of = |own: &Ranked| {
            let way = own.ways.first();
            let way = way.map_or(String::new(), |way| {
                let fault = &self.hypotheses.list[way.hypothesis].fault;
                format!(" {fault} {:.1e}", way.severity)
            });
            format!(
                "{}{way} {:.3}",
                own.suspect.reference(self.model),
                own.weight
            )
        };
        let all = ranking.suspects.iter();
        let first = all.clone().take(4).map(of);
        let blamed = all.filter(|own| guilty.contains(&own.suspect)).map(of);
        let came = search
            .came()
            .map_or(String::new(), |came| format!(" {came:?}"));
        format!(
            "{}{came}: {} | {} | healthy {:.2}, not listed {:.2}",
            self.in_words(made),
            first.collect::<Vec<String>>().join(", "),
            blamed.collect::<Vec<String>>().join(", "),
            ranking.healthy,
            ranking.not_listed,
        )
    }

    fn in_words(&self, made: &Measurement) -> String {
        let part = |part: usize| &self.model.sheet.parts[part].reference;
        let tube = |tube: usize| &self.model.sheet.tubes[tube].reference;
        match *made {
            Measurement::Read { conditions, probe } => {
                let own = &self.foretold[conditions].probes[probe];
                format!("{} {}{}", own.at, own.what.name(), "'".repeat(conditions))
            }
            Measurement::PartOhms(own) => format!("ohms {}", part(own)),
            Measurement::PartLeakage(own) => format!("leak {}", part(own)),
            Measurement::PartCapacitance(own) => format!("farads {}", part(own)),
            Measurement::LooseEnd { part: own, .. } => format!("loose end {}", part(own)),
            Measurement::Bridge(own) => format!("bridge {}", part(own)),
            Measurement::CapacitorExchange(own) => format!("change {}", part(own)),
            Measurement::TubeExchange(own) => format!("change {}", tube(own)),
            Measurement::TubeTester(own) => format!("test {}", tube(own)),
            Measurement::Signal { from, end } => {
                let from = from.map_or("station".to_owned(), |own| self.model.junction_name(own));
                let end = match end {
                    SignalEnd::Junction(own) => self.model.junction_name(own),
                    own => format!("{own:?}"),
                };
                format!("signal {from} to {end}")
            }
        }
    }

    /// Those that were replaced come first, then the classes of the ranking.
    fn told(
        &self,
        guilty: &[Suspect],
        case: &Case,
        ranking: &Ranking,
        classes: &[Vec<Suspect>],
        found: &[(Suspect, f64)],
    ) -> Went {
        let class_of = |suspect: Suspect| -> Vec<Suspect> {
            let own = classes.iter().find(|own| own.contains(&suspect));
            own.cloned().unwrap_or_else(|| vec![suspect])
        };
        // The weight of a class is that of all its parts.
        let weight = |class: &[Suspect]| -> f64 {
            let own = ranking.suspects.iter();
            own.filter(|own| class.contains(&own.suspect))
                .map(|own| own.weight)
                .sum()
        };
        let mut order: Vec<(f64, Vec<Suspect>)> = Vec::new();
        for own in &ranking.suspects {
            if order.iter().all(|(_, class)| !class.contains(&own.suspect)) {
                let class = class_of(own.suspect);
                order.push((weight(&class), class));
            }
        }
        order.sort_by(|a, b| b.0.total_cmp(&a.0));
        let known = |own: Suspect| found.iter().any(|found| found.0 == own);
        order.retain(|(_, class)| !class.iter().all(|own| known(*own)));
        let replaced = found.iter().map(|own| (own.1, vec![own.0]));
        let order: Vec<(f64, Vec<Suspect>)> = replaced.chain(order).collect();
        let place = |suspect: Suspect| {
            let at = order.iter().position(|(_, own)| own.contains(&suspect));
            at.map(|at| at + 1)
        };
        let is_guilty = |suspect: Suspect| guilty.contains(&suspect);
        let places: Vec<Option<usize>> = guilty.iter().map(|own| place(*own)).collect();
        let first: Vec<String> = ranking
            .suspects
            .iter()
            .take(3)
            .map(|own| {
                let way = own.ways.first().map_or(String::new(), |way| {
                    let fault = &self.hypotheses.list[way.hypothesis].fault;
                    format!(" ({fault} {:.1e})", way.severity)
                });
                let name = own.suspect.reference(self.model);
                format!("{name}{way} {:.2}", own.weight)
            })
            .collect();
        let faults: Vec<String> = case
            .hidden
            .faults
            .iter()
            .map(|own| {
                let name = own.suspect.reference(self.model);
                format!("{name} {} {:.2e}", own.fault, own.severity)
            })
            .collect();
        Went {
            nothing_explains: ranking.nothing_explains,
            most: ranking.suspects.first().map_or(0.0, |own| own.weight),
            sure_after: None,
            given: ranking
                .suspects
                .iter()
                .filter(|own| own.weight >= LOOKED_AT)
                .map(|own| (own.weight, is_guilty(own.suspect)))
                .collect(),
            told: format!(
                "{}: place {places:?}, {}, healthy {:.2}, not listed {:.2}{}",
                faults.join(" and "),
                first.join(" "),
                ranking.healthy,
                ranking.not_listed,
                if ranking.nothing_explains {
                    ", nothing explains"
                } else {
                    ""
                },
            ),
            places,
        }
    }
}

/// The place under the maker's conditions that a case begins with.
pub fn begun(case: &Case) -> Option<usize> {
    match case.begins_with()? {
        Measurement::Read {
            conditions: 0,
            probe,
        } => Some(probe),
        _ => None,
    }
}

fn is_sure(ranking: &Ranking, guilty: &[Suspect]) -> bool {
    let own = ranking.suspects.iter();
    own.take(guilty.len().max(1))
        .any(|own| own.weight >= SURE && guilty.contains(&own.suspect))
}
