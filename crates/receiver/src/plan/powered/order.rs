//! The order of the energised steps: which a set gets, and how it stands on the bench.
//!
//! Volts rms for the line. Source: the sheet's wiring and the restorer's bench. The
//! order follows from the set: the transformer alone, the heaters without B+, each of
//! several rectifiers alone where that harms nothing, all of B+, up to full line. Nothing
//! here can fail; what the order lacks is told in a notice.

use crate::conditions::BenchConditions;
use crate::plan::bench_facts::BenchFacts;
use crate::plan::lamp::Reach;
use crate::reading::Notice;
use crate::sheet::HeaterArrangement;
use crate::wiring::{Rectifying, SetModel};

use super::{Stage, tube_rectifiers};

/// A step of the order before anything of it is solved.
#[derive(Debug, Clone)]
pub(super) struct Planned {
    /// What it is about.
    pub stage: Stage,
    /// How the set stands on the bench, the lamp apart.
    pub conditions: BenchConditions,
    /// What its lamp must let through, where a lamp is to be chosen.
    pub reach: Option<Reach>,
}

/// The steps in their order. `supply_base` is the bench with the sweep feed open, `full` the
/// highest line of the plan in volts.
pub(super) fn order(
    model: &SetModel<'_>,
    bench: &BenchFacts,
    supply_base: &BenchConditions,
    full: f64,
    notices: &mut Vec<Notice>,
) -> Vec<Planned> {
    let rectifier_tubes: Vec<String> = tube_rectifiers(model);
    let metals: Vec<String> = model
        .rectifying()
        .iter()
        .filter_map(|rectifying| match rectifying {
            Rectifying::Metal { part } => Some(model.sheet.parts[*part].reference.clone()),
            Rectifying::Tube { .. } => None,
        })
        .collect();
    let string = model
        .heater_places()
        .iter()
        .any(|place| place.arrangement == HeaterArrangement::Series);
    let transformer = !model.transformer_firsts().is_empty();
    let heated: Vec<String> = model
        .sheet
        .tubes
        .iter()
        .enumerate()
        .filter(|(index, _)| {
            model
                .heater_places()
                .iter()
                .any(|place| place.tubes.contains(index))
        })
        .map(|(_, tube)| tube.reference.clone())
        .collect();
    let mut planned: Vec<Planned> = Vec::new();
    let at = |conditions: &BenchConditions, line: f64| BenchConditions {
        line_volts: Some(line),
        ..conditions.clone()
    };
    if transformer && !string {
        let conditions = BenchConditions {
            pulled: heated.clone(),
            fitted_without: metals.clone(),
            ..supply_base.clone()
        };
        planned.push(step(
            Stage::TransformerAlone,
            at(&conditions, full),
            Some(Reach::Windings(0.8)),
        ));
    }
    if !heated.is_empty() {
        let conditions = BenchConditions {
            pulled: rectifier_tubes.clone(),
            fitted_without: metals.clone(),
            ..supply_base.clone()
        };
        planned.push(step(
            Stage::HeatersAlone,
            at(&conditions, full),
            Some(Reach::Heaters(0.4)),
        ));
        planned.push(step(Stage::HeatersAlone, at(&conditions, full), None));
    }
    if !model.supply_places().is_empty() {
        let alone = one_rectifier_at_a_time(model, supply_base);
        if rectifier_tubes.len() > 1 && alone.is_empty() {
            notices.push(Notice {
                text: format!(
                    "{} are waked together: with one of them out, the sheet does not show that every tube is fed rightly",
                    rectifier_tubes.join(" and ")
                ),
                hint: "put plates, screens and grids of the output tubes on the sheet".to_string(),
            });
        }
        for pulled in alone {
            let conditions = BenchConditions {
                pulled,
                ..supply_base.clone()
            };
            planned.push(step(
                Stage::Supply,
                at(&conditions, full),
                Some(Reach::Supply(0.4)),
            ));
        }
        planned.push(step(
            Stage::Supply,
            at(supply_base, full),
            Some(Reach::Supply(0.4)),
        ));
        if bench.variable {
            for share in [0.6, 0.8] {
                planned.push(step(
                    Stage::Supply,
                    at(supply_base, (share * full / 5.0).round() * 5.0),
                    None,
                ));
            }
        } else if let Some(strongest) = crate::plan::lamp::combinations(&bench.lamps).last() {
            planned.push(step(
                Stage::Supply,
                BenchConditions {
                    lamps: strongest.clone(),
                    ..at(supply_base, full)
                },
                None,
            ));
        }
        planned.push(step(Stage::Supply, at(supply_base, full), None));
    } else {
        notices.push(Notice {
            text: "the sheet shows no rectifier and no B+ line, so the plan ends with the heaters"
                .to_string(),
            hint: "add the rectifier, the filter and the B+ lines to the sheet".to_string(),
        });
    }
    planned
}

fn step(stage: Stage, conditions: BenchConditions, reach: Option<Reach>) -> Planned {
    Planned {
        stage,
        conditions,
        reach,
    }
}

/// With several rectifier tubes, each alone first: the tubes to pull for each of these
/// steps. A step that would leave a tube fed wrongly is no step.
fn one_rectifier_at_a_time(model: &SetModel<'_>, base: &BenchConditions) -> Vec<Vec<String>> {
    let tubes = model.rectifier_tubes();
    if tubes.len() < 2 {
        return Vec::new();
    }
    let mut found = Vec::new();
    for &kept in &tubes {
        let others: Vec<usize> = tubes.iter().copied().filter(|&tube| tube != kept).collect();
        let pulled: Vec<String> = others
            .iter()
            .map(|&tube| model.sheet.tubes[tube].reference.clone())
            .collect();
        let conditions = BenchConditions {
            pulled: pulled.clone(),
            ..base.clone()
        };
        let harmless = others.iter().all(|&tube| {
            crate::plan::situation::absence(model, tube, &conditions)
                == crate::hazard::Absence::HARMLESS
        });
        if harmless {
            found.push(pulled);
        }
    }
    found
}
