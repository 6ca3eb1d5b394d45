//! The acts of the proof, judged by the rules on hazards, with the cautions that belong to them.
//!
//! Volts are peak volts. An act that is refused makes its item one that is not done yet, with the rules'
//! own reasons: a new cord first, old parts at the line out, a probe made for the high voltage. Nothing
//! here fails.

use crate::hazard::{
    self, Act, ActKind, ActPlace, Cabinet, Cord, Instrument, Isolation, Measured, Situation,
    Verdict, Watch,
};
use crate::plan::situation::situation_of;
use crate::wiring::SetModel;

/// What is done, its cautions, and why it is not to be done yet.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub(super) struct Acts {
    pub acts: Vec<String>,
    pub cautions: Vec<String>,
    pub refused: Vec<String>,
}

impl Acts {
    fn add(&mut self, act: &Act, situation: &Situation) {
        let Ok(table) = hazard::table() else {
            self.refused
                .push("the table of hazards cannot be read".to_owned());
            return;
        };
        match table.judge(act, situation) {
            Verdict::Allowed { cautions } => {
                self.acts.push(act.sentence());
                for caution in cautions {
                    if !self.cautions.contains(&caution.caution) {
                        self.cautions.push(caution.caution.clone());
                    }
                }
            }
            Verdict::Refused { rules } => {
                for rule in rules {
                    if !self.refused.contains(&rule.because) {
                        self.refused.push(rule.because.clone());
                    }
                }
            }
        }
    }
}

impl Acts {
    /// The caution on x-rays, which goes with every step of the high voltage.
    fn warn_of_x_rays(&mut self) {
        let found = hazard::table()
            .ok()
            .and_then(|table| table.hazards().iter().find(|own| own.id == "x-rays"));
        if let Some(hazard) = found
            && !self.cautions.contains(&hazard.caution)
        {
            self.cautions.push(hazard.caution.clone());
        }
    }
}

/// Looking at cage and shields, the set dead.
pub(super) fn shields() -> Acts {
    let mut acts = Acts::default();
    acts.acts.push(
        "Plug out, everything discharged and proven first. Look at every screw and spring of cage and shields; a hole \
         that the maker did not make is closed again."
            .to_owned(),
    );
    acts.warn_of_x_rays();
    acts
}

/// The set at its end: mended, its cord new, the ion trap set, both sweeps running.
fn at_the_end(model: &SetModel<'_>) -> Situation {
    Situation {
        cord: Cord::New,
        drive_known: true,
        output_stage_fed: Some(true),
        sweeps_run: Some(true),
        ion_trap_fitted: true,
        ion_trap_set: true,
        coating_grounded: Some(true),
        cone_boot_fitted: Some(true),
        cage_fitted: Some(true),
        front_glass_fitted: Some(true),
        picture_socket_on: Some(true),
        antenna_parts_replaced: true,
        damp_floor: Some(false),
        screen_fed_without_plate: Some(false),
        picture_grid_above_cathode: Some(false),
        line_volts: Some(model.sheet.line_volts),
        ..situation_of(model)
    }
}

fn peak(model: &SetModel<'_>) -> f64 {
    std::f64::consts::SQRT_2 * model.todays_line()
}

/// What begins every measurement of the dead set.
pub(super) fn plug_out(model: &SetModel<'_>) -> Acts {
    let mut acts = Acts::default();
    let situation = Situation {
        plug_in: Some(false),
        cabinet: Cabinet::Closed,
        ..at_the_end(model)
    };
    acts.add(&Act::new(ActKind::PlugOut, ActPlace::LineCord), &situation);
    acts
}

pub(super) fn leakage(model: &SetModel<'_>) -> Acts {
    let mut acts = Acts::default();
    let situation = Situation {
        plug_in: Some(false),
        cabinet: Cabinet::Closed,
        isolation: Isolation::None,
        ..at_the_end(model)
    };
    let act = Act::measure(
        Measured::LeakageOfTheClosedSet,
        ActPlace::ExposedMetal,
        ActPlace::Earth,
    )
    .with(Instrument::Meter {
        rated_volts: Some(300.0),
    })
    .energised(Some(peak(model)));
    acts.add(&act, &situation);
    acts
}

pub(super) fn anode(model: &SetModel<'_>, most_volts: f64) -> Acts {
    let mut acts = Acts::default();
    let situation = Situation {
        isolation: Isolation::IsolationTransformer,
        anode_volts: Some(most_volts),
        anode_maximum_volts: Some(most_volts),
        ..at_the_end(model)
    };
    let rated = [15e3, 20e3, 30e3, 40e3]
        .into_iter()
        .find(|rated| *rated >= 1.2 * most_volts);
    let act = Act::measure(
        Measured::HighVolts,
        ActPlace::PictureTubeAnode,
        ActPlace::Chassis,
    )
    .with(Instrument::HighVoltageProbe { rated_volts: rated })
    .energised(Some(most_volts));
    acts.add(&act, &situation);
    acts.warn_of_x_rays();
    acts
}

pub(super) fn bleed(model: &SetModel<'_>, at: &str, volts: f64) -> Acts {
    let mut acts = Acts::default();
    let situation = Situation {
        isolation: Isolation::IsolationTransformer,
        ..at_the_end(model)
    };
    let (from, to) = match at.split_once(" to ") {
        Some((from, to)) => (from, ActPlace::Junction(to.to_owned())),
        None => (at, ActPlace::Chassis),
    };
    let mut act = Act::measure(Measured::DcVolts, ActPlace::Junction(from.to_owned()), to)
        .energised(Some(volts));
    act.instrument = Instrument::meter_for(volts);
    acts.add(&act, &situation);
    acts.add(&Act::new(ActKind::PlugOut, ActPlace::LineCord), &situation);
    acts
}

pub(super) fn soak(model: &SetModel<'_>, seconds: f64) -> Acts {
    let mut acts = Acts::default();
    let situation = Situation {
        cabinet: Cabinet::Closed,
        isolation: Isolation::IsolationTransformer,
        ..at_the_end(model)
    };
    let act = Act::new(
        ActKind::Wait {
            seconds,
            watch: Watch::Restorer,
        },
        ActPlace::WholeSet,
    )
    .energised(Some(peak(model)));
    acts.add(&act, &situation);
    acts
}

pub(super) fn temperature(model: &SetModel<'_>, place: ActPlace) -> Acts {
    let mut acts = Acts::default();
    let situation = Situation {
        cabinet: Cabinet::Closed,
        isolation: Isolation::IsolationTransformer,
        ..at_the_end(model)
    };
    let mut act =
        Act::new(ActKind::Measure(Measured::Temperature), place).energised(Some(peak(model)));
    act.instrument = Some(Instrument::Thermometer);
    acts.add(&act, &situation);
    acts
}
