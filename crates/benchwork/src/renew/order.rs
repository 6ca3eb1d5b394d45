//! The order list: the right parts of a plan grouped and counted, with spares and prices.
//!
//! Pieces; prices in the restorer's own money, from a table of his own and from nowhere else. Parts that are fitted drop
//! off the list. Fails as [`super`] says, and for prices of things that neither the set has nor today's table names.

use std::path::{Path, PathBuf};

use parts::{KINDS_OF_TODAY, Price, read_prices};
use quantity::{Unit, bench};
use receiver::expect::Predictor;
use receiver::renew::plan::RenewalPlan;
use receiver::renew::right_part::{Pieces, RightPart};
use receiver::renew::silicon::{line_of_today, silicon_plans};
use receiver::renew::verdict::Verdict;

use super::plan::{planned, verdict_name};
use super::set::{SetAsked, with_set};
use crate::asked_of_receiver::sorted;
use crate::check_sheet::catalogue;
use crate::read_own_file::read_own_file;
use crate::trouble::Trouble;
use crate::view::{FaultView, NoticeView, OrderLineView, OrderView, six_figures};
use crate::{FORMAT, PROGRAM_VERSION};

/// What a thing is for that is no part of the sheet.
pub(crate) const THE_SET: &str = "the set";

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
pub fn order_list(file: &Path, ask: &OrderAsk) -> Result<OrderOut, Trouble> {
    if !(0.0..=400.0).contains(&ask.spares_percent) {
        return Err(Trouble::input(
            format!(
                "{} percent of spares: expected 0 to 400",
                ask.spares_percent
            ),
            "ten is usual, nothing is fine",
        ));
    }
    let prices = match &ask.prices {
        Some(path) => read_own_file(path, read_prices)?,
        None => Vec::new(),
    };
    with_set(file, |set| {
        let plan = planned(set, &[])?;
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
    })
}

/// The lines of the list of a plan, with the prices that are known.
pub(crate) fn order_lines(
    set: &SetAsked<'_, '_>,
    plan: &RenewalPlan,
    ask: &OrderAsk,
    prices: &[Price],
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
    check_prices(prices, set, &wanted, ask.prices.as_deref())?;
    let mut lines = grouped(&wanted, ask.spares_percent);
    for line in &mut lines {
        line.price = price_of(prices, &wanted, line);
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
        spare: !right.kind.starts_with("electrolytic") && !right.kind.starts_with("class"),
    };
    let marking = right.markings.first().cloned().unwrap_or_default();
    match right.pieces {
        Pieces::One => vec![Wanted {
            what: rating,
            ..one(right.value, 1, marking)
        }],
        Pieces::Beside { other } => {
            vec![one(right.value, 1, marking), one(other, 1, String::new())]
        }
        Pieces::InSeries {
            count,
            each,
            balance_ohms,
        } => {
            let mut found = vec![one(each, count, String::new())];
            if let Some(ohms) = balance_ohms {
                found.push(Wanted {
                    what: format!(
                        "{} 2 W metal-oxide resistor, flame-proof",
                        bench(ohms, Unit::Ohms)
                    ),
                    marking: String::new(),
                    kind: "metal-oxide".to_owned(),
                    part: part.to_owned(),
                    verdict,
                    count,
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
            found.push(one(format!("{} silicon diode", diode.name), "silicon"));
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

/// The price of a line: that of one of its parts, else that of its kind.
fn price_of(prices: &[Price], wanted: &[Wanted], line: &OrderLineView) -> Option<f64> {
    let of = |name: &str| {
        let mut all = prices.iter();
        all.find(|own| own.of.trim().eq_ignore_ascii_case(name))
            .map(|own| own.price)
    };
    let by_part = line.parts.iter().find_map(|part| of(part));
    by_part.or_else(|| {
        let kind = wanted.iter().find(|own| own.what == line.what)?;
        of(&kind.kind)
    })
}

/// Every price is for something that the set or today's table has.
fn check_prices(
    prices: &[Price],
    set: &SetAsked<'_, '_>,
    wanted: &[Wanted],
    path: Option<&Path>,
) -> Result<(), Trouble> {
    let sheet = set.model.sheet;
    let known = |name: &str| {
        let name = name.trim();
        sheet.part(name).is_some()
            || sheet.tube(name).is_some()
            || KINDS_OF_TODAY
                .iter()
                .any(|own| own.eq_ignore_ascii_case(name))
            || wanted.iter().any(|own| own.kind.eq_ignore_ascii_case(name))
            || ["silicon", "line cord", "line fuse", "polarised plug"]
                .iter()
                .any(|own| own.eq_ignore_ascii_case(name))
    };
    let file = path.map_or_else(String::new, |own| own.display().to_string());
    let faults: Vec<FaultView> = prices
        .iter()
        .filter(|own| !known(&own.of))
        .map(|own| FaultView {
            line: usize::try_from(own.line).ok(),
            column: None,
            text: format!(
                "{file} line {}, column for: \"{}\" read, a part of this set or a kind of today's parts expected",
                own.line, own.of
            ),
            hint: match sheet.nearest_reference(&own.of) {
                Some(near) => format!("did you mean {near}? kinds are {}", KINDS_OF_TODAY.join(", ")),
                None => format!("kinds are {}", KINDS_OF_TODAY.join(", ")),
            },
        })
        .collect();
    if faults.is_empty() {
        Ok(())
    } else {
        Err(Trouble::Input { faults })
    }
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
