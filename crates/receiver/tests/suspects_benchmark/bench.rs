//! One example set foretold from its sheet, right or with a wrong row, and the same set with other laws, from
//! which hidden ones are drawn.

use parts::{Effort, Symptom};
use rand::{RngExt, SeedableRng};
use rand_pcg::Pcg64;
use rayon::prelude::*;
use receiver::conditions::{BenchConditions, Meter};
use receiver::hazard::Situation;
use receiver::practice::answers::HiddenBench;
use receiver::practice::complaint::{Complaint, symptoms_of};
use receiver::practice::hidden::{self, Hidden, HiddenFault};
use receiver::practice::other_law::with_other_laws;
use receiver::practice::own_way::{Searching, SignalSource};
use receiver::probes::{Probe, Spot, all_probes, ohms_probes};
use receiver::reading::What;
use receiver::suspects::hypotheses::Hypotheses;
use receiver::suspects::next::{Measurement, while_hunting};
use receiver::suspects::predict::{Foreteller, Foretold};
use receiver::suspects::predict_cold::foretell_cold;
use receiver::suspects::rank::Beside;
use receiver::suspects::signs::symptoms::Symptoms;
use receiver::suspects::signs::{Sign, Signs};
use receiver::wiring::SetModel;

use crate::whole_sets::{nominal, sheet};

/// Standard deviations beyond which a reading is out of its healthy band: nine of ten lie inside.
pub const OUT_OF_BAND: f64 = 1.645;

pub struct Bench<'m, 's> {
    /// The set as the sheet foretells it.
    pub model: &'m SetModel<'s>,
    /// The set with other laws.
    pub truth: &'m SetModel<'s>,
    pub hypotheses: Hypotheses,
    /// Under the maker's conditions, and the cold resistances.
    pub foretold: Vec<Foretold>,
    pub situation: Situation,
    pub efforts: Vec<Effort>,
    /// How each fault shows.
    pub symptoms: Symptoms,
    /// What is known before anything is noticed.
    bare: Signs,
    /// Standard deviation of healthy sets and meter, by conditions and probe.
    pub spread: Vec<Vec<Option<f64>>>,
}

/// What lies farthest out, in halves of its band.
#[derive(Default)]
pub struct Farthest {
    most: f64,
    at: Option<Measurement>,
}

impl Farthest {
    /// One more.
    pub fn take(&mut self, moved: f64, at: Measurement) {
        if moved > self.most {
            *self = Farthest {
                most: moved,
                at: Some(at),
            };
        }
    }

    /// The farthest, where it is out of its band.
    pub fn out(self) -> Option<Measurement> {
        self.at.filter(|_| self.most > 1.0)
    }
}

/// What measurements cost: one each, since the benchmark counts measurements, as a restorer may set his own table.
/// `FULL_SEARCH_MINUTES=1` takes the minutes and dangers of the program's.
fn efforts() -> Vec<Effort> {
    let mut all = parts::efforts().expect("the tables are sound").to_vec();
    if std::env::var("FULL_SEARCH_MINUTES").is_err() {
        for own in &mut all {
            (own.minutes, own.danger) = (1.0, 1.0);
        }
    }
    all
}

/// Conditions that are read in: the maker's.
fn conditions() -> Vec<BenchConditions> {
    vec![BenchConditions {
        meter: Some(Meter::InputOhms(1e7)),
        ..nominal()
    }]
}

/// What may be read: places against the chassis, ripple, and watts from the line.
fn is_read(probe: &Probe) -> bool {
    match probe.what {
        What::DcVolts | What::RippleVoltsPeakToPeak | What::AcVoltsRms => {
            matches!(probe.spot, Spot::ToChassis(_))
        }
        What::LineWatts => true,
        _ => false,
    }
}

/// A sheet with one resistor told ten times too high or too low: line number and factor.
fn with_wrong_row(text: &str, row: usize, factor: f64) -> String {
    let rows: Vec<&str> = text.lines().collect();
    let resistors: Vec<usize> = (0..rows.len())
        .filter(|at| rows[*at].contains("\"resistor\","))
        .collect();
    let wrong = resistors[row % resistors.len()];
    let changed = rows.iter().enumerate().map(|(at, own)| {
        if at != wrong {
            return (*own).to_owned();
        }
        let fields: Vec<&str> = own.split('"').collect();
        let value = fields[5];
        let (told, rest) = match value.split_once(" ohm") {
            Some((told, rest)) => (told.parse::<f64>().expect("ohms"), rest.to_owned()),
            None => {
                let (told, rest) = value.split_once(' ').expect("watts behind the ohms");
                if let Some(rest) = rest.strip_prefix("meg") {
                    (1e6 * told.parse::<f64>().expect("megohms"), rest.to_owned())
                } else {
                    let told = told.strip_suffix('k').expect("kilohms");
                    (
                        1e3 * told.parse::<f64>().expect("a number"),
                        format!(" {rest}"),
                    )
                }
            }
        };
        own.replacen(value, &format!("{} ohm{rest}", told * factor), 1)
    });
    changed.collect::<Vec<String>>().join("\n")
}

/// The symptoms of the trade.
pub fn table() -> &'static [Symptom] {
    parts::symptoms().expect("the table is sound")
}

/// A complaint in words.
pub fn words(complaint: &Complaint) -> String {
    let own = complaint.seen().iter().map(|at| table()[*at].name.as_str());
    own.collect::<Vec<&str>>().join(" and ")
}

impl Bench<'_, '_> {
    /// What the search is told of a complaint.
    pub fn told_of(&self, complaint: &Complaint, hypotheses: &Hypotheses) -> Signs {
        let signs = complaint.signs(table().len());
        Signs::of(self.model, hypotheses, &self.foretold, table(), &signs)
    }

    /// Whether a leak ends itself before the set is read, drawn by the share of sets that are.
    pub fn burns_out(&self, fault: &HiddenFault, seed: u64) -> bool {
        let lasts = self.bare.log(fault.hypothesis, fault.severity).exp();
        let mut draws = Pcg64::seed_from_u64(seed);
        draws.random::<f64>() >= lasts
    }

    /// The benches of one set: with the right sheet, and with so many wrong ones.
    pub fn with(text: &str, wrong: usize, work: impl FnOnce(&[Bench<'_, '_>])) {
        let catalogue = parts::catalogue().expect("the tables are sound");
        let right = sheet(text);
        let truth = with_other_laws(SetModel::new(&right, catalogue), 1);
        let texts: Vec<String> = std::iter::once(text.to_owned())
            .chain((0..wrong).map(|number| {
                let factor = if number % 2 == 0 { 10.0 } else { 0.1 };
                with_wrong_row(text, 11 + 29 * number, factor)
            }))
            .collect();
        let sheets: Vec<_> = texts.iter().map(|text| sheet(text)).collect();
        let models: Vec<SetModel<'_>> = sheets
            .iter()
            .map(|sheet| SetModel::new(sheet, catalogue))
            .collect();
        let benches: Vec<Bench<'_, '_>> = models
            .par_iter()
            .map(|model| Bench::of(model, &truth))
            .collect();
        work(&benches);
    }

    fn of<'m, 's>(model: &'m SetModel<'s>, truth: &'m SetModel<'s>) -> Bench<'m, 's> {
        let catalogue = parts::catalogue().expect("the tables are sound");
        let hypotheses = Hypotheses::of(model, catalogue);
        let mut probes = all_probes(model, None);
        probes.retain(is_read);
        let foreteller = Foreteller::new(model, &hypotheses);
        let told = |conditions: &BenchConditions| {
            foreteller
                .under(conditions, &probes)
                .expect("a settled set")
        };
        let mut foretold: Vec<Foretold> = conditions().iter().map(told).collect();
        let spread = |told: &Foretold| {
            hidden::healthy_spreads(model, &told.conditions, &told.probes).expect("a settled set")
        };
        let spread = foretold.iter().map(spread).collect();
        let symptoms = symptoms_of(model, &hypotheses, &foretold, table());
        let cold = foretell_cold(
            model,
            &hypotheses,
            &BenchConditions::default(),
            &ohms_probes(model),
        );
        foretold.push(cold.expect("a set at rest"));
        Bench {
            symptoms,
            bare: Signs::of(model, &hypotheses, &foretold, table(), &[]),
            truth,
            situation: while_hunting(model, &foretold[0].conditions, true),
            model,
            spread,
            hypotheses,
            foretold,
            efforts: efforts(),
        }
    }

    pub fn searching<'a>(
        &'a self,
        hypotheses: &'a Hypotheses,
        noticed: &'a [Sign],
        signals: &'a dyn SignalSource,
    ) -> Searching<'a, 'a> {
        Searching {
            model: self.model,
            truth: self.truth,
            hypotheses,
            foretold: &self.foretold,
            efforts: &self.efforts,
            situation: &self.situation,
            noticed,
            symptoms: table(),
            signals: Some(signals),
        }
    }

    pub fn conditions(&self) -> &BenchConditions {
        &self.foretold[0].conditions
    }

    pub fn probes(&self) -> &[Probe] {
        &self.foretold[0].probes
    }

    /// What every allowed place reads without error, by conditions; `None` where the set cannot be solved.
    pub fn readings(&self, hidden: &Hidden) -> Option<Vec<Vec<Option<f64>>>> {
        let hot = self.foretold.iter().filter(|told| !told.is_cold());
        let all = hot.map(|told| {
            HiddenBench::truth(self.truth, hidden, &told.conditions, &told.probes).ok()
        });
        all.collect()
    }

    /// How far the allowed reading that moves most goes, in standard deviations of healthy sets and meter.
    pub fn reach(&self, with: &[Vec<Option<f64>>], without: &[Vec<Option<f64>>]) -> f64 {
        let both = with.iter().zip(without).zip(&self.spread);
        let each = both.map(|((with, without), spread)| hidden::reach(with, without, spread));
        each.fold(0.0, f64::max)
    }

    /// The allowed reading that a fault moves farthest out of its healthy band, by more than half of it: from that of
    /// the twin without the fault, and from the figure of the sheet.
    pub fn farthest_out(
        &self,
        with: &[Vec<Option<f64>>],
        without: &[Vec<Option<f64>>],
    ) -> Option<Measurement> {
        let all = with
            .iter()
            .zip(without)
            .zip(&self.spread)
            .zip(&self.foretold);
        let mut farthest = Farthest::default();
        for (conditions, (((with, without), spread), told)) in all.enumerate() {
            let each = with.iter().zip(without).zip(spread).zip(&told.healthy);
            for (probe, own) in each.enumerate() {
                if let (((Some(with), Some(without)), Some(spread)), Some(healthy)) = own {
                    let moved = (with - without).abs().min((with - healthy).abs());
                    farthest.take(
                        moved / (OUT_OF_BAND * spread),
                        Measurement::Read { conditions, probe },
                    );
                }
            }
        }
        farthest.out()
    }

    /// The place of a set that lies farthest from the figure of the sheet, beyond its healthy band: what a restorer
    /// finds who looks over a set that has no fault.
    pub fn oddest(&self, readings: &[Vec<Option<f64>>]) -> Option<Measurement> {
        let mut farthest = Farthest::default();
        let all = readings.iter().zip(&self.spread).zip(&self.foretold);
        for (conditions, ((readings, spread), told)) in all.enumerate() {
            let each = readings.iter().zip(spread).zip(&told.healthy);
            for (probe, own) in each.enumerate() {
                if let ((Some(read), Some(spread)), Some(healthy)) = own {
                    farthest.take(
                        (read - healthy).abs() / (OUT_OF_BAND * spread),
                        Measurement::Read { conditions, probe },
                    );
                }
            }
        }
        farthest.out()
    }

    pub fn truth_of(&self, hidden: &Hidden) -> Vec<Option<f64>> {
        HiddenBench::truth(self.truth, hidden, self.conditions(), self.probes())
            .expect("it was solved before")
    }
}
