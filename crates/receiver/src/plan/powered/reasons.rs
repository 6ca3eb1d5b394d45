//! Why a step exists, in words, with its lamp and its first rise.
//!
//! Volts, seconds, shares of one. Source: the step as it was solved. Nothing here can
//! fail; what is not known is not told.

use crate::conditions::BenchConditions;
use crate::plan::LampChoice;
use crate::plan::lamp::{percent, words};
use crate::plan::limits::StepLimits;
use crate::plan::ratings::Strain;
use crate::plan::watch::Watch;
use crate::reading::What;
use crate::wiring::SetModel;

use super::{Stage, tube_rectifiers};

/// How much higher than settled, as a ratio, the cold start must be to be told.
const RISE_TOLD: f64 = 1.08;

/// What a cold start does before the tubes draw.
pub(super) fn first_rise(
    model: &SetModel<'_>,
    stage: Stage,
    strains: &[Strain],
    watch: &Watch<'_>,
    limits: &StepLimits,
) -> String {
    if stage != Stage::Supply {
        return String::new();
    }
    let mut told = String::new();
    for (probe, value) in watch.probes.iter().zip(&limits.healthy.values) {
        let (What::DcVolts, crate::probes::Spot::ToChassis(junction), Some(settled)) =
            (probe.what, probe.spot, value)
        else {
            continue;
        };
        let highest = strains
            .iter()
            .filter(|strain| strain.what == "volts")
            .filter(|strain| {
                model
                    .part_index(&strain.reference)
                    .is_some_and(|part| model.part_junctions(part)[..2].contains(&Some(junction)))
            })
            .max_by(|a, b| a.reached.total_cmp(&b.reached));
        if let Some(strain) = highest
            && strain.reached > RISE_TOLD * settled.abs()
            && told.is_empty()
        {
            told = format!(
                " Before the tubes draw, {} rises to {:.0} V ({:.0} s after switch-on); {} there is marked {:.0} V.",
                probe.at, strain.reached, strain.at_seconds, strain.reference, strain.rated
            );
        }
    }
    let direct: Vec<&str> = model
        .sheet
        .tubes
        .iter()
        .filter(|tube| {
            tube.kind.is_directly_heated() == Some(true)
                && tube_rectifiers(model).contains(&tube.reference)
        })
        .map(|tube| tube.reference.as_str())
        .collect();
    if !direct.is_empty() {
        told.push_str(&format!(
            " {} directly heated: at low line {} hardly, then B+ comes within seconds, before the other tubes draw.",
            match direct.as_slice() {
                [one] => format!("{one} is"),
                several => format!("{} are", several.join(" and ")),
            },
            if direct.len() == 1 { "it conducts" } else { "they conduct" }
        ));
    }
    told
}

/// Why the step exists, and why its lamp and line.
pub(super) fn because(
    stage: Stage,
    conditions: &BenchConditions,
    lamp: Option<&LampChoice>,
    heater_share: Option<f64>,
) -> String {
    let mut text = match stage {
        Stage::TransformerAlone => {
            "The transformer cannot be bought again: alone it shows shorted turns before anything else can hide them."
                .to_string()
        }
        Stage::HeatersAlone => {
            "Heaters and their wiring are seen without B+: a fault there cannot yet burn anything behind it."
                .to_string()
        }
        Stage::Supply if conditions.open.is_empty() => {
            "B+ comes up in stages, so that a fault shows while little can burn.".to_string()
        }
        Stage::Supply => {
            "B+ comes up with the sweep feed open, so that the flyback and the output tube are not yet in danger."
                .to_string()
        }
    };
    if let Some(lamp) = lamp {
        let mut reached = Vec::new();
        if let Some(share) = lamp.heater_share {
            reached.push(format!("{} percent of rated heater volts", percent(share)));
        }
        if let Some(share) = lamp.supply_share {
            reached.push(format!(
                "{} percent of the normal B+ reading",
                percent(share)
            ));
        }
        text.push_str(&format!(
            " Behind {} the healthy set reaches {}.",
            words(&lamp.watts),
            if reached.is_empty() {
                format!(
                    "{} percent of its winding volts",
                    percent(lamp.winding_share.unwrap_or(0.0))
                )
            } else {
                reached.join(" and ")
            }
        ));
        if !lamp.remark.is_empty() {
            text.push(' ');
            text.push_str(&lamp.remark);
        }
    } else if let Some(share) = heater_share
        && share < 0.75
    {
        text.push_str(&format!(
            " At {:.0} V the heaters get {} percent of their volts: no tube current can be judged in this step.",
            conditions.line_volts.unwrap_or(0.0),
            percent(share)
        ));
    }
    text
}
