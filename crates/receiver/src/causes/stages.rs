//! How tube stages differ from their law, and what they draw from the supply.
//!
//! Plain ratios. Sources: the spread that each law states, the maker's chart, judgement
//! where said. Nothing here can fail.

use crate::sheet::{CapacitorStyle, PartValue};
use crate::whole_set::Known;
use crate::whole_set::running::Running;
use crate::wiring::{Figure, SetModel};

use super::spread::{Cause, Spread, even};

/// What one tube's current strays by once its own bias has evened it out (judgement: a
/// third between new tubes of one type, half of it left behind a cathode resistor).
const DRAW_SIGMA: f64 = 0.12;
/// Share of all stages' current from which a tube is a cause of its own.
const HEAVY_DRAW: f64 = 0.05;

/// What the stages draw as loads of the supply.
pub(super) fn stage_draws(model: &SetModel<'_>, push: &mut impl FnMut(Figure, String, Spread)) {
    if !model.has_stages() {
        return;
    }
    let loads = &model.usual().loads;
    let of_tube = |tube: usize| -> f64 {
        loads
            .iter()
            .flat_map(|load| &load.by_tube)
            .filter(|(own, _)| *own == Some(tube))
            .map(|(_, siemens)| siemens.max(0.0))
            .sum()
    };
    let draws: Vec<f64> = (0..model.sheet.tubes.len()).map(of_tube).collect();
    let whole: f64 = draws.iter().sum();
    if whole <= 0.0 {
        return;
    }
    let mut rest = 0.0;
    for (tube, draw) in draws.iter().enumerate() {
        if *draw > HEAVY_DRAW * whole {
            push(
                Figure::StageDraw(tube),
                format!("current of {}", model.sheet.tubes[tube].reference),
                Spread::Bell { sigma: DRAW_SIGMA },
            );
        } else {
            rest += draw * draw;
        }
    }
    if rest > 0.0 {
        push(
            Figure::StageDraws,
            "currents of the small stages".to_string(),
            Spread::Bell {
                sigma: DRAW_SIGMA * rest.sqrt() / whole,
            },
        );
    }
}

/// Doubt of a current taken from the maker's chart (common practice: charts hold within
/// 20 percent).
const CHART_SHARE: f64 = 0.2;

/// Doubt of the volts and currents of a stage that is calculated as it runs, beside that of
/// its parts and tubes: the laws at positive grids and low plates, fluxes and strays that no
/// sheet tells (judgement; see docs/theory/whole_set.md).
const RUNNING_SIGMA: f64 = 0.1;
/// A capacitor of paper, mica or ceramic against its mark (common practice: 10 to 20 percent,
/// and paper gains some with age).
const SMALL_CAPACITOR_SHARE: f64 = 0.2;
/// Volts at the plate of a sweep output while it conducts, over what is usual (judgement: 40
/// to 160 V).
const SWEEP_PLATE: Spread = Spread::EvenLog {
    low: 0.5,
    high: 2.0,
};
/// Inductance of a signal coil against the sheet.
const SIGNAL_COIL_SHARE: f64 = 0.3;

/// Why one whole set differs from another beside its supply: every tube and its law.
pub fn stage_causes(model: &SetModel<'_>) -> Vec<Cause> {
    let mut found = Vec::new();
    let usual = model.usual();
    let mut tubes_done: Vec<usize> = Vec::new();
    for own in &usual.oscillators {
        let (Ok(region), None) = (&own.group.region, own.because()) else {
            continue;
        };
        for &part in &region.capacitors {
            let reference = &model.sheet.parts[part].reference;
            let electrolytic = matches!(
                model.sheet.parts[part].value,
                PartValue::Capacitor {
                    style: CapacitorStyle::Electrolytic,
                    ..
                }
            );
            if !electrolytic {
                found.push(Cause {
                    figure: Figure::Farads(part),
                    name: format!("capacitance of {reference}"),
                    spread: even(if model.sheet.state.measured_farads(reference).is_some() {
                        0.05
                    } else {
                        SMALL_CAPACITOR_SHARE
                    }),
                });
            }
        }
        for &stage in &own.group.followers {
            let tube = model.stages.complete[stage].tube;
            found.push(Cause {
                figure: Figure::SweepPlate(stage),
                name: format!(
                    "plate volts of {} while it conducts",
                    model.sheet.tubes[tube].reference
                ),
                spread: SWEEP_PLATE,
            });
        }
        // Coils on one core keep their turns; its gap moves them all.
        for (&part, &core) in region.coils.iter().zip(&region.cores) {
            if part == core && !model.follows(part) {
                found.push(Cause {
                    figure: Figure::Henries(part),
                    name: format!("inductance of {}", model.sheet.parts[part].reference),
                    spread: even(SIGNAL_COIL_SHARE),
                });
            }
        }
    }
    for (number, stage) in model.stages.complete.iter().enumerate() {
        let reference = &model.sheet.tubes[stage.tube].reference;
        let mut push = |figure, name: String, spread| {
            found.push(Cause {
                figure,
                name,
                spread,
            });
        };
        let running = usual.running.get(number);
        if running.is_some_and(Running::is_driven) {
            let known = running.map(Running::known);
            push(
                Figure::StageDrive(number),
                match known {
                    Some(Known::FromChart { .. }) => format!("the maker's chart at {reference}"),
                    Some(Known::Running { .. }) => {
                        format!("laws and windings while {reference} runs")
                    }
                    _ => format!("drive of {reference}"),
                },
                match known {
                    Some(Known::FromChart { .. }) => even(CHART_SHARE),
                    Some(Known::Running { .. }) => Spread::Bell {
                        sigma: RUNNING_SIGMA,
                    },
                    _ => Spread::EvenLog {
                        low: 0.4,
                        high: 1.8,
                    },
                },
            );
            if !matches!(running.map(Running::known), Some(Known::Running { .. })) {
                continue;
            }
        }
        push(
            Figure::StageLaw(number),
            format!("law of {reference} {}", stage.section),
            Spread::Bell {
                sigma: stage.model_error.clamp(0.01, 0.3),
            },
        );
        if tubes_done.contains(&stage.tube) {
            continue;
        }
        tubes_done.push(stage.tube);
        let usual = model.samples_of(stage);
        let about = |spread: laws::Spread| Spread::Sides {
            low: spread.low / spread.middle,
            high: spread.high / spread.middle,
        };
        push(
            Figure::TubeStrength(stage.tube),
            format!("age and make of {reference}"),
            about(usual.strength),
        );
        push(
            Figure::TubeCutoff(stage.tube),
            format!("cut-off of {reference}"),
            about(usual.cutoff),
        );
        push(
            Figure::TubeContact(stage.tube),
            format!("contact potential of {reference}"),
            Spread::Sides {
                low: 1.0 + usual.contact_volts.low,
                high: 1.0 + usual.contact_volts.high,
            },
        );
        push(
            Figure::StageEmission(stage.tube),
            format!("emission of {reference}"),
            Spread::EvenLog {
                low: usual.emission.low / usual.emission.middle,
                high: usual.emission.high / usual.emission.middle,
            },
        );
    }
    found
}
