//! What is foretold of cold resistances, plug out: each place to the chassis, and what was read between two places.
//!
//! Ohms. Worked out anew each time: that takes a fraction of a second. Fails, with the reason in words, where the set
//! at rest has no solution.

use receiver::conditions::BenchConditions;
use receiver::probes::{Probe, Spot, ohms_probes};
use receiver::reading::What;
use receiver::suspects::hypotheses::Hypotheses;
use receiver::suspects::predict::Foretold;
use receiver::suspects::predict_cold::{foretell_cold, foretell_cold_for};
use receiver::wiring::SetModel;

use super::foretell::{Asked, Names};

/// Why a place is not told.
const EITHER_WAY: &str =
    "it depends on which lead is where, on how an electrolytic leaks, or nothing joins it";

/// Foretells cold resistances under these conditions, with the names of the probes; `some` is for which hypotheses alone.
pub(super) fn cold(
    model: &SetModel<'_>,
    hypotheses: &Hypotheses,
    conditions: &BenchConditions,
    asked: &[Asked<'_>],
    some: Option<&[usize]>,
) -> Result<(Foretold, Names), String> {
    let mut probes = ohms_probes(model);
    let named = model.places.iter().filter_map(|place| {
        let spot = Spot::ToChassis(model.junction(place)?);
        let at = probes.iter().position(|own| own.spot == spot)?;
        Some((place.to_string(), What::Ohms, at))
    });
    let read: Vec<(String, What, usize)> = named.collect();
    let junction = |name: &str| model.junction(model.places.find(name).ok()?);
    for (at, to, _) in asked {
        let Some(to) = to else { continue };
        if let (Some(one), Some(other)) = (junction(at), junction(to))
            && one != other
        {
            let spot = Spot::Between(one, other);
            probes.push(Probe {
                at: (*at).to_owned(),
                to: Some((*to).to_owned()),
                what: What::Ohms,
                spot,
            });
        }
    }
    let told = match some {
        None => foretell_cold(model, hypotheses, conditions, &probes),
        Some(own) => foretell_cold_for(model, hypotheses, conditions, &probes, own),
    };
    let told = told.map_err(|error| error.to_string())?;
    let unknown = read
        .iter()
        .filter(|(_, _, at)| told.drawn.get(*at).is_none_or(Option::is_none))
        .map(|(name, what, _)| (name.clone(), *what, EITHER_WAY.to_owned()))
        .collect();
    Ok((told, Names { read, unknown }))
}
