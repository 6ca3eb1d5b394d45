//! The order list: the right parts of a plan grouped and counted, with spares and prices.
//!
//! Pieces; prices in the restorer's own money, from a table of his own and from nowhere else. Parts that are fitted drop
//! off the list. Fails as [`super`] says, and for prices of things that neither the set has nor today's table names, all of them told with
//! the other faults of their table.

use std::path::{Path, PathBuf};

use quantity::{Unit, bench};
use receiver::expect::Predictor;
use receiver::renew::plan::{RenewalPlan, SET_NEEDS};
use receiver::renew::right_part::{Pieces, RightPart};
use receiver::renew::silicon::{line_of_today, silicon_plans};
use receiver::renew::verdict::Verdict;

use super::plan::{planned, verdict_name};
use super::prices::{Prices, SILICON};
use super::set::{SetAsked, with_set};
use crate::asked_of_receiver::sorted;
use crate::check_sheet::catalogue;
use crate::long_work::LongWork;
use crate::read_own_file::{or_kept, together};
use crate::trouble::Trouble;
use crate::view::{NoticeView, OrderLineView, OrderView, six_figures};
use crate::{FORMAT, PROGRAM_VERSION};

/// What a thing is for that is no part of the sheet.
const THE_SET: &str = "the set";

/// What is asked of the list.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct OrderAsk {
    /// Whether parts that are tested first are on it as well.
    pub with_tests: bool,
    /// Spare pieces over those needed, percent, at least one of a group of small parts; 0 for none.
    pub spares_percent: f64,
    /// A table of own prices.
    pub prices: Option<PathBuf>,
}

/// The list for people and scripts, and as CSV.
#[derive(Debug, Clone, PartialEq)]
pub struct OrderOut {
    /// For people and scripts.
    pub view: OrderView,
    /// One heading line, one line a group.
    pub csv: String,
}

/// What a line counts as where it has no price of its own.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Bought {
    /// An electrolytic.
    Electrolytic,
    /// A part of class X or Y.
    ClassMarked,
    /// Cord, fuse, plug.
    SetNeed,
    /// A small part.
    Small,
}

/// What a line of this kind counts as.
pub(crate) fn bought(kind: &str) -> Bought {
    match kind {
        "electrolytic-105" => Bought::Electrolytic,
        "class-x2" | "class-y2" => Bought::ClassMarked,
        kind if SET_NEEDS.contains(&kind) => Bought::SetNeed,
        _ => Bought::Small,
    }
}

/// One thing that is bought for one part.
struct Wanted {
    what: String,
    marking: String,
    kind: String,
    part: String,
    verdict: Verdict,
    count: u32,
    ripple: Option<f64>,
    /// Whether it is a small part of which one takes a spare.
    spare: bool,
}

/// The order list of the set in a sheet or a restoration.
pub fn order_list(file: &Path, ask: &OrderAsk, work: LongWork<'_>) -> Result<OrderOut, Trouble> {
    if !(0.0..=400.0).contains(&ask.spares_percent) {
        return Err(Trouble::input(
            format!(
                "{} percent of spares: expected 0 to 400",
                ask.spares_percent
            ),
            "ten is usual, nothing is fine",
        ));
    }
    let mut troubles = Vec::new();
    let prices = or_kept(Prices::read(ask.prices.as_deref()), &mut troubles);
    let told = with_set(file, work, |set| {
        let mut troubles = std::mem::take(&mut troubles).into_iter();
        if let Some(trouble) = troubles.next() {
            return Err(trouble);
        }
        let faults = prices.faults(set.model.sheet);
        if !faults.is_empty() {
            return Err(Trouble::Input { faults });
        }
        let plan = planned(set, &[], work)?;
        let lines = order_lines(set, &plan, ask, &prices)?;
        let priced = lines.iter().filter_map(|own| {
            let pieces = f64::from(own.count + own.spares);
            own.price.map(|price| price * pieces)
        });
        let total: Vec<f64> = priced.collect();
        let done = plan.renewals.iter();
        let fitted = done
            .filter(|own| own.judged.verdict == Verdict::Done)
            .map(|own| own.reference.clone())
            .collect();
        let view = OrderView {
            format: FORMAT,
            program: PROGRAM_VERSION,
            data: parts::DATA_EDITION,
            file: file.display().to_string(),
            set: set.model.sheet.name.clone(),
            fitted,
            total: (!total.is_empty()).then(|| six_figures(total.iter().sum())),
            without_price: lines.iter().filter(|own| own.price.is_none()).count(),
            notices: notices(set, ask),
            lines,
        };
        Ok(OrderOut {
            csv: csv_of(&view),
            view,
        })
    });
    told.map_err(|trouble| together(trouble, troubles))
}

/// The lines of the list of a plan, with the prices that are known.
pub(crate) fn order_lines(
    set: &SetAsked<'_, '_>,
    plan: &RenewalPlan,
    ask: &OrderAsk,
    prices: &Prices,
) -> Result<Vec<OrderLineView>, Trouble> {
    let mut wanted = wanted(plan, ask.with_tests);
    wanted.extend(rectifiers(set)?);
    for own in &plan.set_needs {
        wanted.push(Wanted {
            what: own.what.clone(),
            marking: String::new(),
            kind: own.what.clone(),
            part: THE_SET.to_owned(),
            verdict: own.verdict,
            count: 1,
            ripple: None,
            spare: false,
        });
    }
    let mut lines = grouped(&wanted, ask.spares_percent);
    for line in &mut lines {
        line.price = prices.of(line);
    }
    Ok(lines)
}

fn notices(set: &SetAsked<'_, '_>, ask: &OrderAsk) -> Vec<NoticeView> {
    let mut found = set.notices.clone();
    if !ask.with_tests {
        found.push(NoticeView {
            text: "parts that are tested first are not on it".to_owned(),
            hint: "test them, or put them on with --with-tests".to_owned(),
            line: None,
        });
    }
    found
}

/// What the parts of the plan ask for.
fn wanted(plan: &RenewalPlan, with_tests: bool) -> Vec<Wanted> {
    let mut found = Vec::new();
    for own in &plan.renewals {
        let verdict = own.judged.verdict;
        let takes = match verdict {
            Verdict::Now | Verdict::BeforeLongUse => true,
            Verdict::TestFirst => with_tests,
            Verdict::Leave | Verdict::Done => false,
        };
        if let Some(right) = own.right.as_ref().filter(|_| takes) {
            found.extend(pieces(right, &own.reference, verdict));
        }
    }
    found
}

/// Every piece of one right part.
fn pieces(right: &RightPart, part: &str, verdict: Verdict) -> Vec<Wanted> {
    let rating = right.words();
    // The words without the value: `630 V polyester film capacitor`.
    let named = |value: f64| {
        let one = RightPart {
            value,
            pieces: Pieces::One,
            ..right.clone()
        };
        one.words()
    };
    let one = |value: f64, count: u32, marking: String| Wanted {
        what: named(value),
        marking,
        kind: right.kind.clone(),
        part: part.to_owned(),
        verdict,
        count,
        ripple: right.ripple_needed,
        spare: bought(&right.kind) == Bought::Small,
    };
    let marking = right.markings.first().cloned().unwrap_or_default();
    match &right.pieces {
        Pieces::One => vec![Wanted {
            what: rating,
            ..one(right.value, 1, marking)
        }],
        Pieces::Beside { other } => {
            vec![one(right.value, 1, marking), one(*other, 1, String::new())]
        }
        Pieces::InSeries {
            count,
            each,
            balance,
        } => {
            let mut found = vec![one(*each, *count, String::new())];
            if let Some(balance) = balance {
                found.push(Wanted {
                    what: format!(
                        "{} {} W {}",
                        bench(balance.ohms, Unit::Ohms),
                        balance.watts,
                        balance.what
                    ),
                    marking: String::new(),
                    kind: balance.kind.clone(),
                    part: part.to_owned(),
                    verdict,
                    count: *count,
                    ripple: None,
                    spare: true,
                });
            }
            found
        }
    }
}

/// Diodes and resistors in place of selenium.
fn rectifiers(set: &SetAsked<'_, '_>) -> Result<Vec<Wanted>, Trouble> {
    let catalogue = catalogue()?;
    let predictor = Predictor::new(set.model);
    let line = line_of_today(set.model, catalogue);
    let plans = silicon_plans(&predictor, catalogue, line).map_err(sorted)?;
    let mut found = Vec::new();
    for plan in &plans {
        let Some(diode) = &plan.diode else { continue };
        for part in &plan.references {
            let one = |what: String, kind: &str| Wanted {
                what,
                marking: String::new(),
                kind: kind.to_owned(),
                part: part.clone(),
                verdict: Verdict::BeforeLongUse,
                count: 1,
                ripple: None,
                spare: true,
            };
            found.push(one(format!("{} silicon diode", diode.name), SILICON));
            if let Some(resistor) = &plan.resistor {
                found.push(one(
                    format!(
                        "{} {} W wire-wound resistor, for the line of {line:.0} V",
                        bench(resistor.each_ohms, Unit::Ohms),
                        resistor.rated_watts
                    ),
                    "wire-wound",
                ));
            }
        }
    }
    Ok(found)
}

/// The same things together, in the order of their urgency.
fn grouped(wanted: &[Wanted], spares_percent: f64) -> Vec<OrderLineView> {
    let mut order: Vec<(&str, Vec<&Wanted>)> = Vec::new();
    for own in wanted {
        match order.iter_mut().find(|(what, _)| *what == own.what) {
            Some((_, list)) => list.push(own),
            None => order.push((&own.what, vec![own])),
        }
    }
    let urgent = |list: &[&Wanted]| list.iter().map(|own| own.verdict).min();
    order.sort_by_key(|(_, list)| urgent(list));
    order
        .into_iter()
        .map(|(what, list)| {
            let count: u32 = list.iter().map(|own| own.count).sum();
            let small = list.iter().all(|own| own.spare);
            let spares = if spares_percent > 0.0 && small {
                (f64::from(count) * spares_percent / 100.0).ceil() as u32
            } else {
                0
            };
            OrderLineView {
                count,
                spares,
                what: what.to_owned(),
                kind: list[0].kind.clone(),
                marking: list[0].marking.clone(),
                parts: list.iter().map(|own| own.part.clone()).collect(),
                verdict: urgent(&list).map_or("", verdict_name),
                ripple_amps_rms: list
                    .iter()
                    .filter_map(|own| own.ripple)
                    .reduce(f64::max)
                    .map(six_figures),
                price: None,
            }
        })
        .collect()
}

/// The list as CSV (RFC 4180).
fn csv_of(view: &OrderView) -> String {
    let cell = |text: &str| {
        if text.contains([',', '"', '\n']) {
            format!("\"{}\"", text.replace('"', "\"\""))
        } else {
            text.to_owned()
        }
    };
    let mut csv = "pieces,spares,what,marking,ripple_amps_rms,verdict,for,price\r\n".to_owned();
    for own in &view.lines {
        let number = |value: Option<f64>| value.map_or_else(String::new, |own| own.to_string());
        let cells = [
            own.count.to_string(),
            own.spares.to_string(),
            cell(&own.what),
            cell(&own.marking),
            number(own.ripple_amps_rms),
            own.verdict.to_owned(),
            cell(&own.parts.join(" ")),
            number(own.price),
        ];
        csv.push_str(&cells.join(","));
        csv.push_str("\r\n");
    }
    csv
}

#[cfg(test)]
mod tests {
    use super::*;

    /// By `data/todays_parts.csv`: what is rated in a.c. volts carries a class mark, and every other kind is small but the
    /// electrolytics; a need of the set is none of its kinds.
    #[test]
    fn what_a_line_counts_as_follows_from_its_kind() {
        let today = parts::todays_parts().expect("sound figures");
        for own in &today.kinds {
            let wanted = match own.rating_unit {
                parts::RatingUnit::VoltsAc => Bought::ClassMarked,
                _ if own.what.contains("electrolytic") => Bought::Electrolytic,
                _ => Bought::Small,
            };
            assert_eq!(bought(&own.kind), wanted, "{}", own.kind);
        }
        for need in SET_NEEDS {
            assert_eq!(bought(need), Bought::SetNeed, "{need}");
        }
        assert_eq!(bought(SILICON), Bought::Small);
    }
}
