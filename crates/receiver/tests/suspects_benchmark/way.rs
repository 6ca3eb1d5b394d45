//! Ways through the readings of one hidden set.

use receiver::practice::answers::HiddenBench;
use receiver::practice::hidden::Hidden;
use receiver::practice::own_way::own_way;
use receiver::reading::What;
use receiver::suspects::doubt::doubt;
use receiver::suspects::evidence::Seen;
use receiver::suspects::rank::{Ranking, rank};

use crate::bench::Bench;

#[derive(Clone, Copy, PartialEq)]
pub enum Way {
    /// As the search advises.
    Search,
    /// Every place read.
    Everything,
    /// In the order of the chart, the part at the largest deviation.
    Chart,
}

/// How a search went.
pub struct Went {
    /// Place of the faulty part among the suspects, from 1.
    pub place: Option<usize>,
    pub nothing_explains: bool,
    /// In a line, for a table.
    pub told: String,
}

impl Bench<'_, '_> {
    pub fn search(&self, hidden: &Hidden, seed: u64, way: Way, readings: usize) -> Went {
        let truth = self.truth_of(hidden);
        let meter = HiddenBench::new(seed, true);
        let read = |probe: usize| -> Option<Seen> {
            let (value, _) = meter.reading(&truth, self.probes(), probe, &self.conditions)?;
            Some(Seen {
                conditions: 0,
                probe,
                value,
                doubt: doubt(self.conditions.meter.as_ref(), What::DcVolts, value),
            })
        };
        if way == Way::Chart {
            return self.by_chart(hidden, readings, read);
        }
        if way == Way::Search {
            let searching = self.searching();
            let own = own_way(&searching, hidden, &meter, readings, f64::INFINITY);
            return self.went(hidden, &own.expect("it was solved before").ranking);
        }
        let seen: Vec<Seen> = (0..self.probes().len()).filter_map(read).collect();
        let ranking = rank(&self.hypotheses, &self.foretold, &seen);
        self.went(hidden, &ranking)
    }

    fn went(&self, hidden: &Hidden, ranking: &Ranking) -> Went {
        let wanted = &hidden.faults[0];
        let place = ranking
            .suspects
            .iter()
            .position(|own| own.suspect == wanted.suspect)
            .map(|at| at + 1);
        let first = ranking.suspects.first();
        Went {
            place,
            nothing_explains: ranking.nothing_explains,
            told: format!(
                "{} {} {:.3e}: place {place:?}, first {} {:.2}, healthy {:.2}, not listed {:.2}{}",
                wanted.suspect.reference(self.model),
                wanted.fault,
                wanted.severity,
                first.map_or("", |own| own.suspect.reference(self.model)),
                first.map_or(0.0, |own| own.weight),
                ranking.healthy,
                ranking.not_listed,
                if ranking.nothing_explains {
                    ", nothing explains"
                } else {
                    ""
                },
            ),
        }
    }

    fn by_chart(
        &self,
        hidden: &Hidden,
        readings: usize,
        read: impl Fn(usize) -> Option<Seen>,
    ) -> Went {
        let told = &self.foretold[0];
        let wanted = &hidden.faults[0];
        let chart = self.model.sheet.chart.as_ref().expect("a chart");
        let mut most: Option<(f64, usize)> = None;
        let mut count = 0;
        for row in &chart.volts {
            let Some(probe) = told
                .probes
                .iter()
                .position(|own| own.at.split('/').any(|at| at.trim() == row.at.to_string()))
            else {
                continue;
            };
            let Some(seen) = read(probe) else { continue };
            let off = (seen.value - row.value).abs() / (row.value.abs() + 1.0);
            if most.is_none_or(|(most, _)| off > most) {
                most = Some((off, probe));
            }
            count += 1;
            if count == readings {
                break;
            }
        }
        // Parts at that place, the likeliest to fail first.
        let order = most
            .map(|(_, probe)| self.at_place(probe))
            .unwrap_or_default();
        let place = order
            .iter()
            .position(|own| *own == wanted.suspect)
            .map(|at| at + 1);
        Went {
            place,
            nothing_explains: false,
            told: String::new(),
        }
    }

    fn at_place(&self, probe: usize) -> Vec<receiver::suspects::hypotheses::Suspect> {
        use receiver::probes::Spot;
        use receiver::suspects::hypotheses::Suspect;
        let Spot::ToChassis(junction) = self.probes()[probe].spot else {
            return Vec::new();
        };
        let mut found: Vec<(f64, Suspect)> = Vec::new();
        let sheet = self.model.sheet;
        let chance = |suspect: Suspect| {
            self.hypotheses
                .of_suspect(suspect)
                .map(|own| own.chance)
                .sum::<f64>()
        };
        for part in 0..sheet.parts.len() {
            let own = &sheet.parts[part];
            let mut ends = [Some(&own.from), Some(&own.to), own.third.as_ref()]
                .into_iter()
                .flatten();
            if ends.any(|place| self.model.junction(place) == Some(junction)) {
                found.push((chance(Suspect::Part(part)), Suspect::Part(part)));
            }
        }
        for stage in &self.model.stages.complete {
            if stage.junctions().any(|own| own == junction) {
                found.push((chance(Suspect::Tube(stage.tube)), Suspect::Tube(stage.tube)));
            }
        }
        found.sort_by(|one, other| other.0.total_cmp(&one.0));
        found.into_iter().map(|own| own.1).collect()
    }
}
