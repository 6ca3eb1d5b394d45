//! The replacement plan, told as a view.
//!
//! Units of the view. Fails as [`super`] says.

use std::path::Path;

use parts::{Irreplaceable, RatingUnit, todays_parts};
use quantity::Unit;
use receiver::expect::Predictor;
use receiver::hazard::USUAL_STORED_CHARGE;
use receiver::renew::plan::{Renewal, RenewalPlan, renewal_plan};
use receiver::renew::right_part::{Pieces, RightPart};
use receiver::renew::verdict::{Evidence, Verdict};

use super::kept::changed_since;
use super::set::{SetAsked, with_set};
use crate::asked_of_receiver::sorted;
use crate::long_work::LongWork;
use crate::trouble::Trouble;
use crate::view::{
    FirstFilterView, RenewalPlanView, RenewalView, RightPartView, SetNeedView, six_figures,
};
use crate::{FORMAT, PROGRAM_VERSION};

/// What is asked of the plan.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct RenewAsk {
    /// These parts alone, each with its right part; empty for all.
    pub parts: Vec<String>,
}

/// Tells the replacement plan of the set in a sheet or a restoration.
pub fn tell_renewal(
    file: &Path,
    ask: &RenewAsk,
    work: LongWork<'_>,
) -> Result<RenewalPlanView, Trouble> {
    with_set(file, work, |set| {
        let plan = planned(set, &ask.parts, work)?;
        let mut renewals: Vec<RenewalView> = plan.renewals.iter().map(renewal_view).collect();
        let mut notices = set.notices.clone();
        if let Some(entries) = set.entries {
            notices.extend(changed_since(entries, &renewals));
        }
        if !ask.parts.is_empty() {
            let named = |own: &RenewalView| {
                let mut parts = ask.parts.iter();
                parts.any(|part| part.trim().eq_ignore_ascii_case(&own.part))
            };
            renewals.retain(named);
        }
        Ok(RenewalPlanView {
            format: FORMAT,
            program: PROGRAM_VERSION,
            data: parts::DATA_EDITION,
            file: file.display().to_string(),
            set: set.model.sheet.name.clone(),
            line_volts: six_figures(plan.line_volts),
            cases: plan.cases,
            unsolved: plan.unsolved.clone(),
            renewals,
            set_needs: plan
                .set_needs
                .iter()
                .map(|own| SetNeedView {
                    what: own.what.clone(),
                    verdict: verdict_name(own.verdict),
                    because: own.because.clone(),
                })
                .collect(),
            first_filters: plan
                .first_filters
                .iter()
                .map(|(part, own)| FirstFilterView {
                    part: part.clone(),
                    tube: own.tube.clone(),
                    largest_mfd: own.largest_farads.map(|own| six_figures(1e6 * own)),
                    peak_milliamps: six_figures(1e3 * own.peak_amperes),
                    rated_milliamps: six_figures(1e3 * own.rated_amperes),
                })
                .collect(),
            kept: plan.kept,
            cautions: USUAL_STORED_CHARGE
                .iter()
                .map(|own| (*own).to_owned())
                .collect(),
            notices,
        })
    })
}

/// The plan of a set; these parts have their right part whatever the verdict.
pub(crate) fn planned(
    set: &SetAsked<'_, '_>,
    also: &[String],
    work: LongWork<'_>,
) -> Result<RenewalPlan, Trouble> {
    let model = set.model;
    let mut unknown = Vec::new();
    let mut positions = Vec::new();
    for name in also {
        match model.part_index(name) {
            Some(part) => positions.push(part),
            None if model.tube_index(name).is_some() => {}
            None => unknown.push(crate::view::FaultView {
                line: None,
                column: None,
                text: format!("{name} is no part or tube of this set"),
                hint: match model.sheet.nearest_reference(name) {
                    Some(near) => format!("did you mean {near}?"),
                    None => "`firstraster parts` lists them".to_owned(),
                },
            }),
        }
    }
    if !unknown.is_empty() {
        return Err(Trouble::Input { faults: unknown });
    }
    work.comes_to("Judging each part by what the set asks of it")?;
    let today = todays_parts().map_err(|faults| {
        let all: Vec<String> = faults.iter().map(ToString::to_string).collect();
        Trouble::ours(all.join("; "))
    })?;
    let predictor = Predictor::new(model);
    let evidence = Evidence {
        hypotheses: set.hypotheses,
        weights: &set.weights,
        found: &set.found,
        formed: &set.formed(),
    };
    renewal_plan(&predictor, today, evidence, &positions).map_err(sorted)
}

/// The name of a verdict in the machine-readable answers.
pub(crate) fn verdict_name(verdict: Verdict) -> &'static str {
    match verdict {
        Verdict::Now => "now",
        Verdict::BeforeLongUse => "before_long_use",
        Verdict::TestFirst => "test_first",
        Verdict::Leave => "leave",
        Verdict::Done => "done",
    }
}

fn renewal_view(own: &Renewal) -> RenewalView {
    RenewalView {
        part: own.reference.clone(),
        kind: own.kind.clone(),
        marked: own.marked.clone(),
        place: own.place.clone(),
        does: own.does.clone(),
        verdict: verdict_name(own.judged.verdict),
        because: own.judged.because.clone(),
        test: own.judged.test.clone(),
        protects: match own.judged.protects {
            Some(Irreplaceable::PowerTransformer) => "power_transformer",
            Some(Irreplaceable::Flyback) => "flyback",
            Some(Irreplaceable::PictureTube) => "picture_tube",
            None => "",
        },
        can_kill: own.judged.can_kill,
        chance_bad: own.judged.chance_bad.map(six_figures),
        right: own.right.as_ref().map(right_view),
    }
}

/// The part of today as a view.
fn right_view(own: &RightPart) -> RightPartView {
    let (pieces, each, beside, balance) = match &own.pieces {
        Pieces::One => (1, own.value, None, None),
        Pieces::InSeries {
            count,
            each,
            balance,
        } => (*count, *each, None, balance.as_ref()),
        Pieces::Beside { other } => (1, own.value, Some(*other), None),
    };
    let marked = own.value / own.factor;
    let marked = match own.pieces {
        Pieces::Beside { other } => (own.value + other) / own.factor,
        _ => marked,
    };
    RightPartView {
        words: own.words(),
        kind: own.kind.clone(),
        value: six_figures(own.value),
        unit: match own.unit {
            Unit::Ohms => "ohms",
            _ => "farads",
        },
        pieces,
        each: six_figures(each),
        beside: beside.map(six_figures),
        balance_ohms: balance.map(|own| own.ohms),
        balance_watts: balance.map(|own| own.watts),
        rating: own.rating,
        rating_unit: match own.rating_unit {
            RatingUnit::VoltsDc => "volts_dc",
            RatingUnit::VoltsAc => "volts_ac",
            RatingUnit::Watts => "watts",
        },
        tolerance_percent: six_figures(100.0 * own.tolerance),
        markings: own.markings.clone(),
        borne: own.tolerated.as_ref().map(|own| {
            (
                six_figures(own.low * marked),
                six_figures(own.high * marked),
            )
        }),
        ripple_amps_rms: own.ripple_needed.map(six_figures),
        why: own.why.clone(),
        fitting: own.fitting.clone(),
        must_not: own.must_not.clone(),
        standing: own.standing.to_string(),
    }
}
