//! Other numbers of the same tube, from `data/aliases.csv`.
//!
//! An alias with the same figures points at its type. Where the warm-up or
//! something else differs, the catalogue gets a type of that number, taken
//! from the row of the other and saying so. Fails when an alias is a type of
//! its own, comes twice, or points at nothing.

use crate::fault::{ColumnFault, DataFault};
use crate::read_tube::tube_key;
use crate::standing::Provenance;
use crate::table::read_table;
use crate::tube::TubeType;

/// Seconds of controlled warm-up, common to all such types of the table.
const CONTROLLED_WARM_UP_SECONDS: f64 = 11.0;

/// Another number of a tube.
#[derive(Clone, Debug, PartialEq)]
pub struct Alias {
    /// The other number.
    pub name: String,
    /// The type in the catalogue.
    pub tube: String,
    /// Whether all figures are the same; if not, the note tells what differs.
    /// A difference in controlled warm-up alone is accounted for.
    pub same_figures: bool,
    /// How the two are related.
    pub note: String,
    /// Where this comes from.
    pub provenance: Provenance,
}

struct AliasRow {
    alias: Alias,
    controlled_warm_up: Option<bool>,
}

const HEADINGS: [&str; 7] = [
    "alias",
    "type",
    "same",
    "controlled_warm_up",
    "note",
    "source",
    "standing",
];

/// Reads the aliases; adds to `tubes` the types that differ in something.
pub(crate) fn read_aliases(
    file: &str,
    text: &str,
    tubes: &mut Vec<TubeType>,
    faults: &mut Vec<DataFault>,
) -> Vec<Alias> {
    let rows = read_table(file, text, &HEADINGS, faults, |fields| {
        let same_figures = fields.choice("same", &[("figures", true), ("pins-and-heater", false)]);
        if same_figures.is_none() {
            fields.required("same");
        }
        Some(AliasRow {
            alias: Alias {
                name: fields.required("alias"),
                tube: fields.required("type"),
                same_figures: same_figures.unwrap_or(false),
                note: fields.required("note"),
                provenance: fields.provenance(),
            },
            controlled_warm_up: fields
                .choice("controlled_warm_up", &[("yes", true), ("no", false)]),
        })
    });
    let mut aliases: Vec<Alias> = Vec::new();
    for (line, row) in rows {
        let key = tube_key(&row.alias.name);
        let taken = tubes.iter().any(|tube| tube_key(&tube.name) == key)
            || aliases.iter().any(|alias| tube_key(&alias.name) == key);
        if taken {
            let text = format!("{} is already a type or an alias", row.alias.name);
            let fault = ColumnFault::new("alias", text, "keep one of the two");
            faults.push(DataFault::at(file, line, fault));
            continue;
        }
        let Some(tube) = tubes.iter_mut().find(|tube| tube.name == row.alias.tube) else {
            let text = format!("{} is no type of the tables", row.alias.tube);
            let fault = ColumnFault::new("type", text, "correct the number or add its row");
            faults.push(DataFault::at(file, line, fault));
            continue;
        };
        if row.alias.same_figures && row.controlled_warm_up.is_none() {
            tube.aliases.push(row.alias.name.clone());
        } else {
            let derived = derive(tube, &row);
            tubes.push(derived);
        }
        aliases.push(row.alias);
    }
    aliases
}

/// The type of the alias' number: the other's row with what differs.
fn derive(tube: &TubeType, row: &AliasRow) -> TubeType {
    let mut derived = tube.clone();
    derived.name.clone_from(&row.alias.name);
    derived.aliases.clear();
    derived.derived_from = Some(tube.name.clone());
    derived.provenance.notes = format!("from the row of {}: {}", tube.name, row.alias.note);
    derived.provenance.standing = derived
        .provenance
        .standing
        .max(row.alias.provenance.standing);
    derived.provenance.read_fields.clear();
    if let (Some(heater), Some(controlled)) = (&mut derived.heater, row.controlled_warm_up) {
        heater.controlled_warm_up = controlled;
        heater.warm_up_seconds = controlled.then_some(CONTROLLED_WARM_UP_SECONDS);
    }
    derived
}
