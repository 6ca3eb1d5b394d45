//! Words for faults and how bad they are, as a restorer says them.
//!
//! Units of the fault table's rows: ohms, ratios, percent, microamperes. A row whose unit is not
//! known here is told with its bare number. Nothing here fails.

use parts::PartFault;
use quantity::{Unit, bench};
use receiver::suspects::hypotheses::{Hypothesis, Spread, Suspect};
use receiver::wiring::{FaultKind, SetModel};

use crate::check_sheet::catalogue;
use crate::view::six_figures;

/// What is suspected, in a word: `paper`, `6AU6`, `power transformer`.
pub(super) fn kind_of(model: &SetModel<'_>, suspect: Suspect) -> String {
    let sheet = model.sheet;
    match suspect {
        Suspect::Part(part) => sheet
            .parts
            .get(part)
            .map_or("", |part| part.value.kind().name())
            .to_owned(),
        Suspect::Tube(tube) => sheet
            .tubes
            .get(tube)
            .map_or_else(String::new, |tube| tube.kind.name.clone()),
        Suspect::Transformer(_) => "power transformer".to_owned(),
        Suspect::Socket(_) => "tube socket".to_owned(),
    }
}

/// The row of the fault table that a hypothesis comes from; `None` for one about the sheet.
pub(super) fn row_of(model: &SetModel<'_>, own: &Hypothesis) -> Option<&'static PartFault> {
    let mut rows = catalogue()
        .ok()?
        .part_faults(own.suspect.kind(model))
        .into_iter();
    rows.find(|row| row.fault == own.row)
}

/// The unit of a hypothesis' severity; empty where it is there or not.
pub(super) fn unit_of(model: &SetModel<'_>, own: &Hypothesis) -> String {
    match own.spread {
        Spread::Once(_) => String::new(),
        Spread::Law(_) => row_of(model, own)
            .and_then(|row| row.severity.as_ref())
            .map_or_else(String::new, |severity| severity.unit.clone()),
    }
}

/// How bad, in a few words; empty where a fault is there or not.
pub(super) fn how_bad(own: &Hypothesis, unit: &str, severity: f64) -> String {
    if matches!(own.spread, Spread::Once(_)) {
        return String::new();
    }
    let figure = six_figures(format!("{severity:.1e}").parse().unwrap_or(severity));
    match (unit, &own.kind) {
        ("ohm", FaultKind::SeriesOhms { .. }) => {
            format!("{} in series", bench(figure, Unit::Ohms))
        }
        ("ohm", _) => bench(figure, Unit::Ohms),
        ("ratio", FaultKind::Emission { .. }) => {
            format!("{} percent of its emission", percent(figure))
        }
        ("ratio", FaultKind::FaradsTimes(_)) => {
            format!("{} percent of its capacitance", percent(figure))
        }
        ("ratio", FaultKind::OhmsTimes(_)) => format!("{figure} times its ohms"),
        ("ratio", _) => format!("{figure} times"),
        ("percent up", _) => format!("{figure} percent up"),
        ("microampere", _) => format!("{figure} uA of grid current"),
        ("percent of turns", _) => format!("{figure} percent of its turns"),
        ("", _) => format!("{figure}"),
        (unit, _) => format!("{figure} {unit}"),
    }
}

fn percent(ratio: f64) -> f64 {
    six_figures(100.0 * ratio)
}

/// A fault by its name; one of a winding with the winding, since a transformer has several.
pub(super) fn named(model: &SetModel<'_>, own: &Hypothesis) -> String {
    let name = |winding: usize| model.sheet.windings.get(winding).map(|own| &own.name);
    let told = match own.kind {
        FaultKind::ShortedTurns(winding) => {
            name(winding).map(|name| format!("{} of {name}", own.fault))
        }
        FaultKind::WindingOpen(winding) => name(winding).map(|name| format!("{name} open")),
        _ => None,
    };
    told.unwrap_or_else(|| own.fault.clone())
}

/// A fault with how bad it is: `leaky, 470k`.
pub(super) fn in_words(
    model: &SetModel<'_>,
    own: &Hypothesis,
    unit: &str,
    severity: f64,
) -> String {
    let (name, how) = (named(model, own), how_bad(own, unit, severity));
    if how.is_empty() {
        name
    } else {
        format!("{name}, {how}")
    }
}

/// A fault of this set with how bad it is, severity in the unit of its row.
pub(crate) fn fault_in_words(model: &SetModel<'_>, own: &Hypothesis, severity: f64) -> String {
    in_words(model, own, &unit_of(model, own), severity)
}
