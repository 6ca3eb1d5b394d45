//! The replacement plan of a set: every part with its verdict, its right part, and its turn.
//!
//! Units as in [`super`]. Orders by danger: what can kill, then what guards a part that cannot be bought again (picture
//! tube, transformers), then the rest in the order of the sheet. Right parts are worked out for all that is
//! replaced or tested. Fails when the set finds no settled state at the top of the line or at its own.

use std::collections::HashMap;

use parts::{Irreplaceable, TodaysParts};
use rayon::prelude::*;

use crate::conditions::BenchConditions;
use crate::curves::supply_junctions_of;
use crate::expect::{ExpectError, Predictor};
use crate::plan::capacitors::review_capacitors;
use crate::plan::situation::{line_side, reach};
use crate::sections::Sections;
use crate::sheet::{CapacitorStyle, PartValue, Place};
use crate::suspects::hypotheses::Suspect;
use crate::wiring::{Rectifying, SetModel, Variation};

use super::burden::burdens;
use super::first_filter::{FirstFilter, first_filter};
use super::right_part::{Asked, RightPart};
use super::tolerated::Tolerances;
use super::verdict::{Evidence, Judge, Judged, Verdict};

/// One line of the plan.
#[derive(Debug, Clone, PartialEq)]
pub struct Renewal {
    /// The part or tube.
    pub suspect: Suspect,
    /// Its reference.
    pub reference: String,
    /// Its kind, as the sheet has it.
    pub kind: String,
    /// Its value as marked; empty for a tube, whose type it then is.
    pub marked: String,
    /// From where to where.
    pub place: String,
    /// What a capacitor does there; empty for others.
    pub does: String,
    /// The verdict.
    pub judged: Judged,
    /// The part of today; `None` where nothing takes its place or none was asked for.
    pub right: Option<RightPart>,
}

/// Something of the set that is no row of its sheet.
#[derive(Debug, Clone, PartialEq)]
pub struct SetNeeds {
    /// What.
    pub what: String,
    /// The verdict.
    pub verdict: Verdict,
    /// Why.
    pub because: String,
}

/// The plan.
#[derive(Debug, Clone, PartialEq)]
pub struct RenewalPlan {
    /// In the order in which it is done.
    pub renewals: Vec<Renewal>,
    /// What the set needs beside its parts.
    pub set_needs: Vec<SetNeeds>,
    /// The first filters and what bounds them, by the position of the part.
    pub first_filters: Vec<(String, FirstFilter)>,
    /// The line of the worst cases, volts.
    pub line_volts: f64,
    /// Cases solved for the burdens.
    pub cases: usize,
    /// Cases that could not be solved.
    pub unsolved: Vec<String>,
    /// The transformers and the flyback, which are kept.
    pub kept: Vec<String>,
}

/// The plan of a set at the top of today's line; right parts for what is replaced or tested, and for these as well.
///
/// # Errors
/// Those of [`Predictor::expect`].
pub fn renewal_plan(
    predictor: &Predictor<'_, '_>,
    today: &TodaysParts,
    evidence: Evidence<'_>,
    also: &[usize],
) -> Result<RenewalPlan, ExpectError> {
    let model = predictor.model;
    let line_volts = model.todays_line();
    let burdens = burdens(predictor, line_volts)?;
    let reviews = review_capacitors(model);
    let sections = Sections::of(model);
    let judge = Judge {
        model,
        burdens: &burdens,
        reviews: &reviews,
        sections: &sections,
        evidence,
    };
    let supply = supply_volts(predictor, line_volts)?;
    let judged: Vec<(usize, Judged)> = (0..model.sheet.parts.len())
        .filter_map(|part| Some((part, judge.part(part)?)))
        .collect();
    let is_wanted = |part: usize, judged: &Judged| {
        also.contains(&part)
            || matches!(
                judged.verdict,
                Verdict::Now | Verdict::BeforeLongUse | Verdict::TestFirst
            )
    };
    let asked: Vec<usize> = judged
        .iter()
        .filter(|(part, judged)| is_wanted(*part, judged))
        .map(|(part, _)| *part)
        .collect();
    let tolerances = Tolerances::new(predictor, &asked)?;
    let parts: Vec<(Renewal, Option<FirstFilter>)> = judged
        .into_par_iter()
        .map(|(part, judged)| {
            let own = &model.sheet.parts[part];
            let review = reviews.iter().find(|own| own.part == part);
            let wanted = is_wanted(part, &judged);
            let limit = wanted
                .then(|| first_filter(predictor, part, line_volts))
                .flatten();
            let right = wanted
                .then(|| {
                    let tolerated = match own.value {
                        PartValue::Capacitor { .. } => Some(tolerances.of_farads(part)),
                        PartValue::Resistor { .. } => Some(tolerances.of_ohms(part)),
                        _ => None,
                    };
                    Asked {
                        model,
                        part,
                        burdens: &burdens,
                        tolerated,
                        review,
                        today,
                        shorted_watts: shorted_watts(model, part, &supply),
                        same_can: same_can(model, part),
                        largest_farads: limit.as_ref().and_then(|own| own.largest_farads),
                        ripple_hertz: ripple_hertz(model, part),
                    }
                    .answer()
                })
                .flatten();
            let renewal = Renewal {
                suspect: Suspect::Part(part),
                reference: own.reference.clone(),
                kind: own.value.kind().name().to_owned(),
                marked: marked(&own.value),
                place: format!("{} to {}", own.from, own.to),
                does: review.map_or(String::new(), |own| own.place.words().to_owned()),
                judged,
                right,
            };
            (renewal, limit)
        })
        .collect();
    let mut first_filters = Vec::new();
    let mut renewals = Vec::new();
    for (renewal, limit) in parts {
        if let Some(limit) = limit {
            first_filters.push((renewal.reference.clone(), limit));
        }
        renewals.push(renewal);
    }
    for (tube, own) in model.sheet.tubes.iter().enumerate() {
        renewals.push(Renewal {
            suspect: Suspect::Tube(tube),
            reference: own.reference.clone(),
            kind: if own.kind.is_picture_tube {
                "picture tube"
            } else {
                "tube"
            }
            .to_owned(),
            marked: own.kind.name.clone(),
            place: own.job.clone(),
            does: String::new(),
            judged: judge.tube(tube),
            right: None,
        });
    }
    // A stable sort: within a rank the order of the sheet stays.
    renewals.sort_by_key(|own| (own.judged.verdict, rank(&own.judged)));
    Ok(RenewalPlan {
        renewals,
        set_needs: set_needs(model),
        first_filters,
        line_volts,
        cases: burdens.cases,
        kept: model
            .transformer_firsts()
            .into_iter()
            .map(|(_, name)| name)
            .collect(),
        unsolved: burdens.unsolved,
    })
}

/// What comes first within a verdict.
fn rank(judged: &Judged) -> u8 {
    match (judged.can_kill, judged.protects) {
        (true, _) => 0,
        (false, Some(Irreplaceable::PowerTransformer)) => 1,
        (false, Some(Irreplaceable::Flyback)) => 2,
        (false, Some(Irreplaceable::PictureTube)) => 3,
        (false, None) => 4,
    }
}

/// The value of a part as it is marked, in a few words.
#[must_use]
pub fn marked(value: &PartValue) -> String {
    use quantity::{Unit, bench};
    let with = |first: String, rating: Option<f64>, unit: &str| match rating {
        Some(rating) => format!("{first} {rating} {unit}"),
        None => first,
    };
    match value {
        PartValue::Resistor { ohms, watts, .. } | PartValue::Control { ohms, watts, .. } => {
            with(bench(*ohms, Unit::Ohms), *watts, "W")
        }
        PartValue::Capacitor { farads, volts, .. } => {
            with(bench(*farads, Unit::Farads), *volts, "V")
        }
        PartValue::Selenium {
            plates,
            milliamperes,
        } => with(format!("{plates} plates"), *milliamperes, "mA"),
        PartValue::Coil { henries, ohms, .. } => {
            let henries = henries.map(|own| bench(own, Unit::Henries));
            let ohms = ohms.map(|own| bench(own, Unit::Ohms));
            [henries, ohms]
                .into_iter()
                .flatten()
                .collect::<Vec<_>>()
                .join(" ")
        }
        PartValue::Fuse { amperes, slow, .. } => {
            let amperes = amperes.map_or(String::new(), |own| bench(own, Unit::Amperes));
            format!("{amperes}{}", if *slow { " slow" } else { "" })
        }
        PartValue::Silicon {
            kind,
            amperes,
            inverse_volts,
        } => match (kind, amperes, inverse_volts) {
            (Some(kind), ..) => kind.clone(),
            (None, Some(amperes), Some(volts)) => format!("{amperes} A {volts} V"),
            _ => String::new(),
        },
        _ => String::new(),
    }
}

/// Volts of the B+ lines at this line, by junction, and of what they are fed from.
fn supply_volts(
    predictor: &Predictor<'_, '_>,
    line_volts: f64,
) -> Result<HashMap<usize, f64>, ExpectError> {
    let conditions = BenchConditions {
        line_volts: Some(line_volts),
        ..BenchConditions::default()
    };
    let solved = predictor.solve(&conditions, &Variation::none(), &[], None)?;
    let lines = supply_junctions_of(predictor, &solved.junction_volts);
    Ok(lines
        .into_iter()
        .map(|own| (own.junction, own.volts))
        .collect())
}

/// Heat in a resistor when what it feeds is shorted: from a B+ line to a junction that a capacitor ties to the
/// chassis or to another line; an upper bound, for the line gives way.
fn shorted_watts(model: &SetModel<'_>, part: usize, supply: &HashMap<usize, f64>) -> Option<f64> {
    let PartValue::Resistor { ohms, .. } = model.sheet.parts[part].value else {
        return None;
    };
    let [Some(from), Some(to), _] = model.part_ends[part] else {
        return None;
    };
    let by_passed = |junction: usize| {
        let mut ends = model.part_ends.iter().zip(&model.sheet.parts);
        ends.any(|(ends, own)| {
            matches!(own.value, PartValue::Capacitor { .. })
                && ends[..2].contains(&Some(junction))
                && ends[..2].contains(&model.chassis)
        })
    };
    let one = |feed: usize, fed: usize| {
        let volts = supply.get(&feed)?;
        let lower = supply.get(&fed).is_none_or(|own| own < volts);
        (by_passed(fed) && lower && Some(fed) != model.chassis).then_some(volts * volts / ohms)
    };
    let all = [one(from, to), one(to, from)];
    all.into_iter().flatten().reduce(f64::max)
}

/// Other sections of the can of an electrolytic: references that differ in their last letter only.
fn same_can(model: &SetModel<'_>, part: usize) -> Vec<String> {
    let own = &model.sheet.parts[part];
    let can = |reference: &str| {
        let last = reference.chars().last()?;
        let rest = &reference[..reference.len() - last.len_utf8()];
        (last.is_ascii_alphabetic() && rest.ends_with(|end: char| end.is_ascii_digit()))
            .then(|| rest.to_owned())
    };
    let Some(name) = can(&own.reference) else {
        return Vec::new();
    };
    model
        .sheet
        .parts
        .iter()
        .filter(|other| {
            other.reference != own.reference
                && matches!(
                    other.value,
                    PartValue::Capacitor {
                        style: CapacitorStyle::Electrolytic,
                        ..
                    }
                )
                && can(&other.reference).as_ref() == Some(&name)
        })
        .map(|other| other.reference.clone())
        .collect()
}

/// How often an electrolytic is charged: twice a cycle behind rectifiers that join their cathodes, once in a
/// doubler or behind one alone.
fn ripple_hertz(model: &SetModel<'_>, part: usize) -> f64 {
    let line = model.sheet.line_hertz;
    let mut cathodes: HashMap<usize, usize> = HashMap::new();
    for way in model.rectifying() {
        let cathode = match way {
            Rectifying::Tube {
                cathode,
                damper: false,
                ..
            } => Some(*cathode),
            Rectifying::Tube { .. } => None,
            Rectifying::Metal { part } => model.part_ends[*part][1],
        };
        if let Some(cathode) = cathode {
            *cathodes.entry(cathode).or_default() += 1;
        }
    }
    let ends = model.part_ends[part];
    let at = ends[..2]
        .iter()
        .flatten()
        .filter_map(|end| cathodes.get(end))
        .max();
    let most = at.or_else(|| cathodes.values().max()).copied().unwrap_or(0);
    if most >= 2 { 2.0 * line } else { line }
}

/// What a set may need beside the parts of its sheet.
pub const SET_NEEDS: [&str; 3] = ["line cord", "line fuse", "polarised plug"];

/// What every set needs that its sheet may not have.
fn set_needs(model: &SetModel<'_>) -> Vec<SetNeeds> {
    let mut found = vec![SetNeeds {
        what: SET_NEEDS[0].to_owned(),
        verdict: Verdict::Now,
        because: "old rubber cracks where it bends and where it enters; with strain relief, and never by knotting it against an edge"
            .to_owned(),
    }];
    let side = line_side(model);
    let fused = model.sheet.parts.iter().enumerate().any(|(part, own)| {
        let fuse = matches!(own.value, PartValue::Fuse { .. });
        fuse && model.part_ends[part][..2]
            .iter()
            .flatten()
            .any(|end| side.contains(end))
    });
    if !fused && model.junction(&Place::LineA).is_some() {
        found.push(SetNeeds {
            what: SET_NEEDS[1].to_owned(),
            verdict: Verdict::Now,
            because: "the sheet has none in the line: one is added inside, in the hot blade ahead of the switch; its rating comes from the running and the switch-on current (`firstraster prove`)"
                .to_owned(),
        });
    }
    if chassis_on_line(model) {
        found.push(SetNeeds {
            what: SET_NEEDS[2].to_owned(),
            verdict: Verdict::Now,
            because: "the chassis is on the line: the blade that reaches it must be the neutral one, and no grounded plug goes on such a chassis; knobs, screws and back stay insulated"
                .to_owned(),
        });
    }
    found
}

/// Whether parts other than capacitors join the chassis to a blade of the plug.
pub(super) fn chassis_on_line(model: &SetModel<'_>) -> bool {
    let blades: Vec<usize> = [Place::LineA, Place::LineB]
        .iter()
        .filter_map(|blade| model.junction(blade))
        .collect();
    let joined = reach(
        model,
        &blades,
        |part| {
            !matches!(
                model.sheet.parts[part].value,
                PartValue::Capacitor { .. } | PartValue::Load { .. }
            )
        },
        |_| false,
    );
    model
        .chassis
        .is_some_and(|chassis| joined.contains(&chassis))
}
