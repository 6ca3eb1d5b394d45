//! One example set foretold, and the same set with other laws, from which hidden ones are drawn.

use receiver::conditions::{BenchConditions, Meter};
use receiver::hazard::Situation;
use receiver::practice::answers::HiddenBench;
use receiver::practice::hidden::{self, Hidden};
use receiver::practice::other_law::with_other_laws;
use receiver::practice::own_way::Searching;
use receiver::probes::{Probe, Spot, all_probes};
use receiver::reading::What;
use receiver::suspects::hypotheses::Hypotheses;
use receiver::suspects::next::while_hunting;
use receiver::suspects::predict::{Foreteller, Foretold};
use receiver::wiring::SetModel;

use crate::whole_sets::{nominal, sheet};

pub struct Bench<'m, 's> {
    /// The set as the sheet foretells it.
    pub model: &'m SetModel<'s>,
    /// The set with other laws.
    pub truth: SetModel<'s>,
    pub hypotheses: Hypotheses,
    pub conditions: BenchConditions,
    pub foretold: Vec<Foretold>,
    pub situation: Situation,
    /// Standard deviation of healthy sets and meter, by probe.
    pub spread: Vec<Option<f64>>,
}

impl Bench<'_, '_> {
    pub fn with(text: &str, work: impl FnOnce(&Bench<'_, '_>)) {
        let catalogue = parts::catalogue().expect("the tables are sound");
        let sheet = sheet(text);
        let model = SetModel::new(&sheet, catalogue);
        let hypotheses = Hypotheses::of(&model, catalogue);
        let probes: Vec<Probe> = all_probes(&model, None)
            .into_iter()
            .filter(|probe| probe.what == What::DcVolts && matches!(probe.spot, Spot::ToChassis(_)))
            .collect();
        let conditions = BenchConditions {
            meter: Some(Meter::InputOhms(1e7)),
            ..nominal()
        };
        let foreteller = Foreteller::new(&model, &hypotheses);
        let told = foreteller
            .under(&conditions, &probes)
            .expect("a settled set");
        let spread =
            hidden::healthy_spreads(&model, &conditions, &told.probes).expect("a settled set");
        work(&Bench {
            truth: with_other_laws(SetModel::new(&sheet, catalogue), 1),
            situation: while_hunting(&model, &conditions, true),
            model: &model,
            hypotheses,
            conditions,
            foretold: vec![told],
            spread,
        });
    }

    pub fn searching(&self) -> Searching<'_, '_> {
        Searching {
            model: self.model,
            truth: &self.truth,
            hypotheses: &self.hypotheses,
            foretold: &self.foretold,
            efforts: parts::efforts().expect("the tables are sound"),
            situation: &self.situation,
        }
    }

    pub fn probes(&self) -> &[Probe] {
        &self.foretold[0].probes
    }

    /// Whether the fault shows; a set that cannot be solved is none for a bench.
    pub fn shows(&self, hidden: &Hidden) -> bool {
        hidden::shows(
            &self.truth,
            hidden,
            &self.conditions,
            self.probes(),
            &self.spread,
        )
        .unwrap_or(false)
    }

    pub fn truth_of(&self, hidden: &Hidden) -> Vec<Option<f64>> {
        HiddenBench::truth(&self.truth, hidden, &self.conditions, self.probes())
            .expect("it was solved before")
    }
}
