//! Why one healthy set differs from another of the same sheet.
//!
//! Plain ratios to the sheet's figure. Each cause has a spread with its origin:
//! marked tolerance, what is known of the part (measured, replaced, original) and
//! trade numbers of the catalogue. "Common practice" and "judgement" are said where
//! no source was read. Nothing here can fail.

mod cool;
mod heaters;
mod parts;
mod rectifiers;
mod shared;
mod spread;
mod stages;
mod windings;

use crate::conditions::BenchConditions;
use crate::wiring::{Figure, SetModel};

pub use cool::Coolness;
pub(crate) use heaters::COLD_HEATERS;
pub use shared::{shared_causes, under};
pub use spread::{Cause, Spread};
pub use stages::stage_causes;

use heaters::of_heaters;
use parts::of_parts;
use rectifiers::{CURVE_SHAPE, of_rectifier_tubes};
use spread::even;
use stages::stage_draws;
use windings::of_windings;

/// Line give or take, where no line is stated (the fixed contract of the sheet).
const LINE_SHARE: f64 = 0.05;
/// What a careful ohmmeter reading may be off (common practice).
const MEASURED_SHARE: f64 = 0.02;

/// All causes that can move a reading of this set under these conditions.
pub fn causes(model: &SetModel<'_>, conditions: &BenchConditions) -> Vec<Cause> {
    let mut found = Vec::new();
    let mut push = |figure: Figure, name: String, spread: Spread| {
        found.push(Cause {
            figure,
            name,
            spread,
        });
    };
    let fed_by_line = conditions.direct_source.is_none();
    if fed_by_line && conditions.line_volts.is_none() {
        push(Figure::Line, "line volts".into(), even(LINE_SHARE));
    }
    if !conditions.lamps.is_empty() {
        push(
            Figure::LampOhms,
            "tolerance of the lamp".into(),
            Spread::Bell { sigma: 0.03 },
        );
    }
    // Copper read cold runs 20 to 60 kelvin warmer: 0.39 percent a kelvin (handbook
    // constant of annealed copper, from memory).
    if conditions.seconds.is_none() {
        push(
            Figure::CopperWarmth,
            "warming of the copper".into(),
            Spread::Even {
                low: 1.0,
                high: 1.2,
            },
        );
    }
    of_windings(model, &mut push);
    of_heaters(model, conditions, &mut push);
    of_rectifier_tubes(model, &mut push);
    of_parts(model, conditions, &mut push);
    stage_draws(model, &mut push);
    if conditions.meter.is_some() {
        push(
            Figure::Meter,
            "the meter".into(),
            Spread::Bell { sigma: 0.015 },
        );
    }
    if !model.rectifying().is_empty() {
        push(
            Figure::CurveShape,
            "shape of the rectifier's curve".into(),
            CURVE_SHAPE,
        );
    }
    push(
        Figure::Model,
        "what the calculation leaves out".into(),
        Spread::Bell { sigma: 0.006 },
    );
    found
}

/// The causes that the supply's cycle itself can feel: the others of a whole set move what
/// single stages draw, too little for a supply line.
pub fn supply_causes(model: &SetModel<'_>, conditions: &BenchConditions) -> Vec<Cause> {
    let mut found = causes(model, conditions);
    if model.has_stages() {
        let heavy = &model.usual().heavy_parts;
        found.retain(|cause| match cause.figure {
            Figure::Ohms(part) | Figure::Setting(part) => heavy.get(part).copied().unwrap_or(true),
            Figure::SmallPart(_) => false,
            _ => true,
        });
    }
    found
}

fn listed(list: &[String], reference: &str) -> bool {
    list.iter()
        .any(|own| own.trim().eq_ignore_ascii_case(reference))
}

impl SetModel<'_> {
    /// Whether the sheet says that a tube was replaced by a new one.
    pub fn tube_is_new(&self, tube: usize) -> bool {
        self.sheet
            .tubes
            .get(tube)
            .is_some_and(|tube| listed(&self.sheet.state.replaced, &tube.reference))
    }

    /// Whether a winding is on the line.
    pub fn is_primary(&self, winding: usize) -> bool {
        self.resolved
            .transformers
            .iter()
            .any(|transformer| transformer.primary == Some(winding))
    }

    /// Position of the first winding and name of each transformer on the line.
    pub fn transformer_firsts(&self) -> Vec<(usize, String)> {
        self.resolved
            .transformers
            .iter()
            .filter(|transformer| transformer.primary.is_some())
            .filter_map(|transformer| {
                Some((*transformer.windings.first()?, transformer.name.clone()))
            })
            .collect()
    }

    /// Whether a line cycle follows this capacitor or coil.
    pub fn follows(&self, part: usize) -> bool {
        self.followed.get(part).copied().unwrap_or(false)
    }
}
