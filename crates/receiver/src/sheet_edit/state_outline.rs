//! What `[state]` of a sheet says, as it is written, and where.
//!
//! References and measured values as text; places in bytes of the text, byte order
//! mark included. Fails for a text that is no TOML; a key of another shape counts as
//! empty.

use std::ops::Range;

use toml_edit::{Document, Item};

use super::outline::{EditError, SheetOutline};

/// The lists of `[state]`.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum StateList {
    /// New parts.
    Replaced,
    /// Electrolytics brought back slowly.
    ReFormed,
    /// One end lifted.
    CutLoose,
    /// As the maker fitted it.
    Original,
}

impl StateList {
    /// Every list, in the order of the manual.
    pub const ALL: [StateList; 4] = [
        StateList::Replaced,
        StateList::ReFormed,
        StateList::CutLoose,
        StateList::Original,
    ];

    /// Its key in the sheet.
    pub fn key(self) -> &'static str {
        match self {
            StateList::Replaced => "replaced",
            StateList::ReFormed => "re_formed",
            StateList::CutLoose => "cut_loose",
            StateList::Original => "original",
        }
    }
}

/// One entry that is to be otherwise.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum StateChange {
    /// The reference is to stand in the list, or no longer.
    Listed {
        /// The list.
        list: StateList,
        /// The reference.
        reference: String,
        /// Whether it is to stand there.
        is_there: bool,
    },
    /// What was measured of a part; empty for nothing.
    Measured {
        /// The reference.
        reference: String,
        /// The value as written.
        value: String,
    },
}

/// What `[state]` says, as written.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct StateOutline {
    lists: Vec<(StateList, Vec<String>)>,
    measured: Vec<(String, String)>,
    /// Where each entry stands in the text, in bytes.
    places: Vec<(Range<usize>, StatePlace)>,
}

/// An entry of `[state]`.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum StatePlace {
    /// A reference in a list.
    Listed(StateList, String),
    /// What was measured of a part.
    Measured(String),
}

impl StatePlace {
    /// Whether a change is about this entry.
    pub fn is_of(&self, change: &StateChange) -> bool {
        match (self, change) {
            (
                StatePlace::Listed(list, own),
                StateChange::Listed {
                    list: other,
                    reference,
                    ..
                },
            ) => list == other && is_same(own, reference),
            (StatePlace::Measured(own), StateChange::Measured { reference, .. }) => {
                is_same(own, reference)
            }
            _ => false,
        }
    }

    /// Whether a change is about the same part.
    pub fn is_about(&self, change: &StateChange) -> bool {
        let (StatePlace::Listed(_, own) | StatePlace::Measured(own)) = self;
        let (StateChange::Listed { reference, .. } | StateChange::Measured { reference, .. }) =
            change;
        is_same(own, reference)
    }
}

impl StateOutline {
    /// Reads `[state]`; a key of another shape counts as empty.
    ///
    /// # Errors
    /// [`EditError::Sheet`] for a text that is no TOML.
    pub fn of(text: &str) -> Result<StateOutline, EditError> {
        SheetOutline::of(text)?;
        let Ok(document) = Document::parse(body_of(text)) else {
            return Err(EditError::WouldNotRead);
        };
        let shift = text.len() - body_of(text).len();
        let mut state = StateOutline::default();
        let Some(table) = document.get("state").and_then(Item::as_table_like) else {
            return Ok(state);
        };
        for list in StateList::ALL {
            let array = table.get(list.key()).and_then(Item::as_array);
            let mut references = Vec::new();
            for value in array.into_iter().flatten() {
                let Some(reference) = value.as_str() else {
                    continue;
                };
                references.push(reference.to_string());
                if let Some(span) = value.span() {
                    let place = StatePlace::Listed(list, reference.to_string());
                    state
                        .places
                        .push((span.start + shift..span.end + shift, place));
                }
            }
            state.lists.push((list, references));
        }
        if let Some(measured) = table.get("measured").and_then(Item::as_table_like) {
            for (key, item) in measured.iter() {
                let name = measured.get_key_value(key).and_then(|(key, _)| key.span());
                if let (Some(name), Some(value)) = (name, item.span()) {
                    let place = StatePlace::Measured(key.to_string());
                    state
                        .places
                        .push((name.start + shift..value.end + shift, place));
                }
                let value = item.as_str().map(str::to_string).or_else(|| {
                    let span = item.span()?;
                    body_of(text).get(span).map(str::to_string)
                });
                state
                    .measured
                    .push((key.to_string(), value.unwrap_or_default()));
            }
        }
        Ok(state)
    }

    /// Whether a list names the reference, in any case.
    pub fn is_listed(&self, list: StateList, reference: &str) -> bool {
        self.lists
            .iter()
            .filter(|(own, _)| *own == list)
            .flat_map(|(_, references)| references)
            .any(|own| is_same(own, reference))
    }

    /// The entry that stands at this byte of the text.
    pub fn at(&self, byte: usize) -> Option<&StatePlace> {
        let own = self.places.iter().find(|(span, _)| span.contains(&byte));
        own.map(|(_, place)| place)
    }

    /// What was measured of the part; empty for nothing.
    pub fn measured(&self, reference: &str) -> &str {
        self.measured
            .iter()
            .find(|(own, _)| is_same(own, reference))
            .map_or("", |(_, value)| value.as_str())
    }
}

/// Whether two references are one, in any letters.
pub(crate) fn is_same(one: &str, other: &str) -> bool {
    one.trim().eq_ignore_ascii_case(other.trim())
}

pub(super) fn body_of(text: &str) -> &str {
    text.strip_prefix('\u{feff}').unwrap_or(text)
}
