//! The laws of a type by its number, fitted at the first asking and kept.
//!
//! A fit depends on nothing but the type's figures; so one store serves every catalogue, and
//! a restorer's own type under a number that another sheet uses otherwise gets its own fit.
//! Nothing here fails.

use std::collections::HashMap;
use std::sync::{Arc, Mutex, OnceLock, PoisonError};

use parts::{Catalogue, TubeType};

use crate::fit::fit_tube;
use crate::section::{LawBasis, SectionLaw};

/// The laws of the types of one catalogue.
#[derive(Clone, Copy, Debug)]
pub struct Laws<'a> {
    catalogue: &'a Catalogue,
}

/// The laws of a catalogue's types, the built-in one or one with a restorer's own types.
pub fn laws(catalogue: &Catalogue) -> Laws<'_> {
    Laws { catalogue }
}

/// A type with its laws.
type Kept = (TubeType, Arc<[SectionLaw]>);

/// Kept types beyond which the store is begun anew: own types of many sheets may pile up.
const MOST_KEPT: usize = 4096;

fn store() -> &'static Mutex<HashMap<String, Vec<Kept>>> {
    static STORE: OnceLock<Mutex<HashMap<String, Vec<Kept>>>> = OnceLock::new();
    STORE.get_or_init(Mutex::default)
}

impl Laws<'_> {
    /// The laws of every unit of the tube of that number, as [`Catalogue::tube_match`] finds
    /// it; `None` for a number that the catalogue lacks.
    pub fn of(&self, name: &str) -> Option<Arc<[SectionLaw]>> {
        let tube = self.catalogue.tube_match(name)?.tube;
        let own = self.of_type(tube);
        if own.iter().all(|section| section.law.is_some()) {
            return Some(own);
        }
        // Figures of a type from which this one was taken fill what it lacks.
        let Some(origin) = tube
            .derived_from
            .as_deref()
            .and_then(|origin| self.catalogue.tube(origin))
            .filter(|origin| origin.name != tube.name)
        else {
            return Some(own);
        };
        let theirs = self.of_type(origin);
        Some(
            own.iter()
                .map(|section| borrow(section, &theirs, &origin.name))
                .collect(),
        )
    }

    /// The laws of every unit of this type, whatever catalogue it is from.
    pub fn of_type(&self, tube: &TubeType) -> Arc<[SectionLaw]> {
        let mut store = store().lock().unwrap_or_else(PoisonError::into_inner);
        if let Some((_, laws)) = store
            .get(&tube.name)
            .and_then(|kept| kept.iter().find(|(known, _)| known == tube))
        {
            return Arc::clone(laws);
        }
        if store.len() > MOST_KEPT {
            store.clear();
        }
        let laws: Arc<[SectionLaw]> = fit_tube(tube).into();
        let kept = store.entry(tube.name.clone()).or_default();
        if kept.len() > 16 {
            kept.clear();
        }
        kept.push((tube.clone(), Arc::clone(&laws)));
        laws
    }
}

fn borrow(section: &SectionLaw, theirs: &[SectionLaw], name: &str) -> SectionLaw {
    let same = theirs.iter().find(|other| {
        other.section == section.section && other.unit == section.unit && other.kind == section.kind
    });
    match same {
        Some(other) if section.law.is_none() && other.law.is_some() => SectionLaw {
            section: section.section.clone(),
            unit: section.unit,
            kind: section.kind,
            pins: section.pins.clone(),
            law: other.law.clone(),
            lack: None,
            basis: Some(LawBasis::SameAs(name.to_string())),
            fit: other.fit.clone(),
            model_error: other.model_error,
        },
        _ => section.clone(),
    }
}
