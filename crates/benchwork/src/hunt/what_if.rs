//! What a fault would do: which readings would leave their healthy band if one part were bad.
//!
//! Readings in their own unit, under the conditions of the last reading that counts, or of the
//! settled set on its own line where there is none. A fault that is spread is told half way along
//! its severities and where it moves most. Fails as opening the restoration does, for a part that
//! the sheet has not, and for a fault that such a part has not.

use std::path::Path;

use receiver::sheet::Sheet;
use receiver::suspects::explain::{healthy_band, shifts_at, worst};
use receiver::suspects::hypotheses::{Hypotheses, Spread, Suspect};
use receiver::wiring::SetModel;

use super::ask::{Hunt, Without, hunt_for, suspect};
use super::words::{in_words, kind_of, named, unit_of};
use crate::long_work::LongWork;
use crate::trouble::Trouble;
use crate::view::{ConditionsView, WhatIfRowView, WhatIfView, six_figures};
use crate::{FORMAT, PROGRAM_VERSION};

/// Tells which readings would change if this part had this fault; without a fault the likeliest
/// of such a part.
pub fn tell_what_if(
    file: &Path,
    part: &str,
    fault: Option<&str>,
    work: LongWork<'_>,
) -> Result<WhatIfView, Trouble> {
    let known = |sheet: &Sheet, model: &SetModel<'_>, hypotheses: &Hypotheses| {
        let suspect = suspect(sheet, model, part)?;
        hypothesis(model, hypotheses, suspect, fault).map(|_| ())
    };
    hunt_for(file, Without::Settled, work, known, |own| {
        work.comes_to("Putting the fault into the solved set")?;
        let suspect = own.suspect(part)?;
        let at = hypothesis(own.model, &own.hypotheses, suspect, fault)?;
        let under = with_it_in(own, suspect, work)?;
        let hypothesis = &own.hypotheses.list[at];
        let told = own.foretold.get(under);
        let names = own.names.get(under);
        let (Some(told), Some(names)) = (told, names) else {
            return Err(Trouble::ours("no conditions were foretold"));
        };
        let unit = unit_of(own.model, hypothesis);
        let not_solved = || {
            Trouble::input(
                format!(
                    "the set with {part} {} could not be solved",
                    named(own.model, hypothesis)
                ),
                "ask for another of its faults",
            )
        };
        let most = worst(told, at).ok_or_else(not_solved)?;
        let half = match hypothesis.spread {
            Spread::Once(_) => None,
            Spread::Law(law) => Some(law.at(0.5)),
        };
        let at_worst = shifts_at(told, at, most).ok_or_else(not_solved)?;
        let half_way = half.and_then(|severity| shifts_at(told, at, severity));
        let mut stay = 0;
        let mut rows: Vec<WhatIfRowView> = Vec::new();
        let order = on_chassis(own, &names.read);
        let mut told_already: Vec<usize> = Vec::new();
        for (place, &name) in order.iter().enumerate() {
            let Some((name, what, probe)) = names.read.get(name) else {
                continue;
            };
            // One place under several names is told once.
            if told_already.contains(probe) {
                continue;
            }
            told_already.push(*probe);
            let shift = at_worst.get(*probe).copied().flatten();
            let (Some(band), Some(shift)) = (healthy_band(told, *probe), shift) else {
                continue;
            };
            let value = band.expected + shift;
            if (band.low..=band.high).contains(&value) {
                stay += 1;
                continue;
            }
            let half_width = if shift < 0.0 {
                band.expected - band.low
            } else {
                band.high - band.expected
            };
            let half_way = half_way.as_ref();
            let half_way = half_way.and_then(|own| own.get(*probe).copied().flatten());
            rows.push(WhatIfRowView {
                at: name.clone(),
                also: names
                    .read
                    .iter()
                    .filter(|(other, _, of)| of == probe && other != name)
                    .map(|(other, _, _)| other.clone())
                    .collect(),
                to: "chassis".to_owned(),
                what: what.name(),
                low: six_figures(band.low),
                expected: six_figures(band.expected),
                high: six_figures(band.high),
                half_way: half_way.map(|own| six_figures(band.expected + own)),
                at_worst: six_figures(value),
                half_widths: six_figures(shift / half_width.max(1e-6)),
                on_chassis: place,
            });
        }
        rows.sort_by(|one, other| {
            let size = |row: &WhatIfRowView| row.half_widths.abs();
            size(other)
                .total_cmp(&size(one))
                .then(one.on_chassis.cmp(&other.on_chassis))
        });
        let others = own.hypotheses.of_suspect(suspect);
        let mut other_faults: Vec<String> = others.map(|other| named(own.model, other)).collect();
        let fault = named(own.model, hypothesis);
        other_faults.retain(|other| *other != fault);
        other_faults.dedup();
        Ok(WhatIfView {
            format: FORMAT,
            program: PROGRAM_VERSION,
            data: parts::DATA_EDITION,
            file: own.file.clone(),
            restoration: own.restoration.clone(),
            part: suspect.reference(own.model).to_owned(),
            kind: kind_of(own.model, suspect),
            fault,
            half_way: half.map_or_else(String::new, |severity| {
                in_words(own.model, hypothesis, &unit, severity)
            }),
            at_worst: in_words(own.model, hypothesis, &unit, most),
            other_faults,
            conditions: ConditionsView::of(
                &told.conditions,
                own.so_far.sheet.line_volts,
                !told.is_cold(),
            ),
            rows,
            stay,
            hangs_on_signals: hangs_on_signals(own.model, suspect),
        })
    })
}

/// The conditions to look at: those of the last reading with the part in circuit, or the present
/// ones with it put in.
fn with_it_in(
    own: &mut Hunt<'_, '_>,
    suspect: Suspect,
    work: LongWork<'_>,
) -> Result<usize, Trouble> {
    let is_in = |own: &Hunt<'_, '_>, at: usize| {
        let told = own.foretold.get(at);
        told.is_some_and(|told| !suspect.is_out(own.model, &told.conditions))
    };
    let read = own.readings.iter().rev().filter_map(|own| own.seen);
    let mut read = read.map(|seen| seen.conditions);
    if let Some(at) = read.find(|at| is_in(own, *at)) {
        return Ok(at);
    }
    let present = own.present();
    if is_in(own, present) {
        return Ok(present);
    }
    let Some(told) = own.foretold.get(present) else {
        return Ok(present);
    };
    let mut conditions = told.conditions.clone();
    let reference = suspect.reference(own.model);
    conditions.pulled.retain(|name| name != reference);
    conditions.fitted_without.retain(|name| name != reference);
    own.foretell(std::slice::from_ref(&conditions), None, work)?;
    let put_in = own.foretold.iter();
    let mut put_in = put_in.map(|told| told.conditions == conditions);
    Ok(put_in.position(|is| is).unwrap_or(present))
}

fn none_followed(reference: &str) -> Trouble {
    Trouble::input(
        format!("no fault of {reference} is followed yet"),
        "a part cut loose has none; else its kind is not calculated yet",
    )
}

/// The hypothesis asked for; without words the likeliest of the part.
fn hypothesis(
    model: &SetModel<'_>,
    hypotheses: &Hypotheses,
    suspect: Suspect,
    fault: Option<&str>,
) -> Result<usize, Trouble> {
    let list = &hypotheses.list;
    let of_part = (0..list.len()).filter(|&at| list[at].suspect == suspect);
    let reference = suspect.reference(model);
    let Some(fault) = fault.map(str::trim).filter(|fault| !fault.is_empty()) else {
        let likeliest = of_part.max_by(|&one, &other| {
            let chance = |at: usize| list[at].chance;
            chance(one).total_cmp(&chance(other)).then(other.cmp(&one))
        });
        return likeliest.ok_or_else(|| none_followed(reference));
    };
    let mut faults: Vec<(usize, String)> =
        of_part.map(|at| (at, named(model, &list[at]))).collect();
    if faults.is_empty() {
        return Err(none_followed(reference));
    }
    if let Some((exact, _)) = faults.iter().find(|own| own.1.eq_ignore_ascii_case(fault)) {
        return Ok(*exact);
    }
    let begins = |own: &str| own.to_lowercase().starts_with(&fault.to_lowercase());
    let meant: Vec<&(usize, String)> = faults.iter().filter(|own| begins(&own.1)).collect();
    let several = match meant.as_slice() {
        [] => false,
        [first, rest @ ..] if rest.iter().all(|own| own.1 == first.1) => return Ok(first.0),
        _ => true,
    };
    if several {
        faults.retain(|own| begins(&own.1));
    }
    let mut names: Vec<&str> = faults.iter().map(|own| own.1.as_str()).collect();
    names.dedup();
    Err(Trouble::input(
        match several {
            true => format!("`{fault}` may be several faults of {reference}"),
            false => format!("`{fault}` is no fault of {reference} that is followed"),
        },
        format!("say one of: {}", names.join(", ")),
    ))
}

/// The names in the order of the chassis: tube by tube as on the sheet, then named lines, then the
/// rest.
fn on_chassis(
    own: &Hunt<'_, '_>,
    names: &[(String, receiver::reading::What, usize)],
) -> Vec<usize> {
    let sheet = &own.so_far.sheet;
    let tube_of = |name: &str| {
        let tube = name.split_once('.').map_or(name, |(tube, _)| tube);
        sheet
            .tubes
            .iter()
            .position(|own| own.reference.eq_ignore_ascii_case(tube))
            .unwrap_or(usize::MAX)
    };
    let pin_of = |name: &str| {
        let pin = name.split_once('.').and_then(|(_, pin)| pin.parse().ok());
        pin.unwrap_or(usize::MAX)
    };
    let mut order: Vec<usize> = (0..names.len()).collect();
    order.sort_by_key(|&at| {
        let name = names.get(at).map_or("", |(name, _, _)| name.as_str());
        (tube_of(name), pin_of(name), at)
    });
    order
}

/// Whether a part or tube belongs to stages whose volts a signal makes, or lies on the coils of the sweep.
fn hangs_on_signals(model: &SetModel<'_>, suspect: Suspect) -> bool {
    let stages = model.stages.complete.iter();
    let mut swinging = stages.filter(|stage| stage.drive.is_signal());
    match suspect {
        Suspect::Tube(tube) | Suspect::Socket(tube) => swinging.any(|stage| stage.tube == tube),
        Suspect::Transformer(_) => false,
        Suspect::Part(part) => {
            let ends: Vec<usize> = model.part_junctions(part).into_iter().flatten().collect();
            let is_pulsed = |end: &usize| model.stages.pulsed.get(*end).copied().unwrap_or(false);
            let touches = |own: usize| ends.contains(&own) && Some(own) != model.chassis_junction();
            ends.iter().any(is_pulsed) || swinging.any(|stage| stage.junctions().any(touches))
        }
    }
}
