//! Tubes that come near another, and what changes with each.
//!
//! A fact finder, not a licence: every change is listed, and a type is called
//! a plain substitute only where pins, heater and every known rating bear it.
//! Volts, amperes, milliamperes, watts, ohms, micromhos as each text says.
//! Source: the catalogue alone. A rating that is not known is never taken as
//! enough. Nothing here fails; a type with no kin gives an empty list.
//!
//! The distance is judgement, used for order only: the mean natural logarithm
//! of the ratios of what two types have in common, with a step for a moved pin,
//! another heater, or a lower rating.

mod characteristics;
mod fit;
mod picture;
mod ratings;

use crate::tube::{SectionKind, TubeType};

pub use fit::Fit;

/// The greatest distance at which a type still counts as near.
const FARTHEST: f64 = 2.0;

/// A share by which a characteristic may differ and still be called the same
/// use: the spread of new tubes of one type, common practice.
const SAME_USE: f64 = 0.25;

/// What kind of thing a change touches.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Matter {
    /// A pin that carries something else, or another base.
    Pins,
    /// Heater volts, amperes, warm-up, or the way of heating.
    Heater,
    /// A rating that is lower: what the stage asks may exceed it.
    RatingLower,
    /// A rating that is not known for this type.
    RatingUnknown,
    /// A rating that is higher.
    RatingHigher,
    /// How it works: transconductance, mu, current, drop, cut-off.
    Characteristic,
    /// How it is made: ion trap, coating, focus, bulb of a picture tube.
    Make,
}

impl Matter {
    /// The word for scripts.
    pub fn word(self) -> &'static str {
        match self {
            Matter::Pins => "pins",
            Matter::Heater => "heater",
            Matter::RatingLower => "rating_lower",
            Matter::RatingUnknown => "rating_unknown",
            Matter::RatingHigher => "rating_higher",
            Matter::Characteristic => "characteristic",
            Matter::Make => "make",
        }
    }
}

/// One thing that changes when this type takes the place of the one asked for.
#[derive(Clone, Debug, PartialEq)]
pub struct Change {
    /// What it touches.
    pub matter: Matter,
    /// The column of the catalogue it comes from, with its unit.
    pub what: &'static str,
    /// The figure of the type asked for, where it is one figure.
    pub asked: Option<f64>,
    /// The figure of this type.
    pub this: Option<f64>,
    /// The change in words.
    pub text: String,
}

impl Change {
    fn words(matter: Matter, what: &'static str, text: impl Into<String>) -> Change {
        Change {
            matter,
            what,
            asked: None,
            this: None,
            text: text.into(),
        }
    }

    fn figures(
        matter: Matter,
        what: &'static str,
        asked: f64,
        this: f64,
        text: impl Into<String>,
    ) -> Change {
        Change {
            matter,
            what,
            asked: Some(asked),
            this: Some(this),
            text: text.into(),
        }
    }

    /// How many times the figure asked for it is; 1 where there are no figures.
    fn ratio(&self) -> f64 {
        match (self.asked, self.this) {
            (Some(asked), Some(this)) if asked > 0.0 && this > 0.0 => this / asked,
            _ => 1.0,
        }
    }
}

/// A type near the one asked for.
#[derive(Clone, Debug, PartialEq)]
pub struct NearTube<'a> {
    /// The type.
    pub tube: &'a TubeType,
    /// How far off it is; 0 is the same. For order only.
    pub distance: f64,
    /// Whether it goes into the same socket.
    pub fit: Fit,
    /// What changes, the gravest first.
    pub changes: Vec<Change>,
}

impl NearTube<'_> {
    /// Whether it may take the place of the type asked for as it stands: same
    /// pins and heater, no rating lower or unknown, same use.
    pub fn is_plain_substitute(&self) -> bool {
        self.fit == Fit::SameSocket
            && self.changes.iter().all(|change| match change.matter {
                Matter::RatingHigher => true,
                Matter::Characteristic => {
                    change.asked.is_some() && (change.ratio() - 1.0).abs() <= SAME_USE
                }
                Matter::Pins => change.what == "other_contact",
                // To gain a controlled warm-up does no harm anywhere.
                Matter::Heater => change.what == "warmup_s",
                Matter::Make | Matter::RatingLower | Matter::RatingUnknown => false,
            })
    }

    /// Whether it goes into the same socket, and whether to fit it, in words.
    pub fn verdict(&self) -> String {
        let has = |matter| self.changes.iter().any(|change| change.matter == matter);
        let fit = self.fit.sentence();
        if self.is_plain_substitute() {
            return format!("{fit}; no listed rating is lower");
        }
        if has(Matter::RatingLower) {
            return format!(
                "{fit}; do not fit it where the stage uses the full rating: a rating is lower"
            );
        }
        if has(Matter::RatingUnknown) {
            return format!("{fit}; not advised: not all of its ratings are known");
        }
        if self.fit.is_same_socket() {
            return format!("{fit}; it is not the same, see what changes");
        }
        fit.to_string()
    }
}

/// Up to `count` types near `asked`, the nearest first; the type itself is left
/// out, other numbers with a row of their own are not.
pub fn near_tubes<'a>(
    asked: &TubeType,
    among: impl Iterator<Item = &'a TubeType>,
    count: usize,
) -> Vec<NearTube<'a>> {
    let mut near: Vec<NearTube<'a>> = among
        .filter(|tube| tube.name != asked.name && is_of_kind(asked, tube))
        .map(|tube| compare(asked, tube))
        .filter(|near| near.distance <= FARTHEST)
        .collect();
    near.sort_by(|one, other| {
        one.distance
            .total_cmp(&other.distance)
            .then_with(|| one.tube.name.cmp(&other.tube.name))
    });
    near.truncate(count);
    near
}

/// Compares one type with the one asked for.
fn compare<'a>(asked: &TubeType, tube: &'a TubeType) -> NearTube<'a> {
    let (fit, mut changes, mut distance) = fit::fit(asked, tube);
    if asked.is_picture_tube {
        let (made, off) = picture::changes(asked, tube);
        changes.extend(made);
        distance += off;
    } else {
        let (rated, off) = ratings::changes(asked, tube);
        changes.extend(rated);
        distance += off;
        let (works, off) = characteristics::changes(asked, tube);
        changes.extend(works);
        distance += off;
    }
    changes.sort_by_key(|change| gravity(change.matter));
    NearTube {
        tube,
        distance,
        fit,
        changes,
    }
}

fn gravity(matter: Matter) -> usize {
    match matter {
        Matter::RatingLower => 0,
        Matter::Pins => 1,
        Matter::Heater => 2,
        Matter::Make => 3,
        Matter::RatingUnknown => 4,
        Matter::Characteristic => 5,
        Matter::RatingHigher => 6,
    }
}

/// Whether the two do the same work: equal sections, unit for unit.
fn is_of_kind(asked: &TubeType, tube: &TubeType) -> bool {
    if asked.is_picture_tube || tube.is_picture_tube {
        return asked.is_picture_tube == tube.is_picture_tube && picture::is_of_kind(asked, tube);
    }
    let (own, other) = (work(asked), work(tube));
    !own.is_empty() && own == other
}

/// The work of a tube, one word a unit, in order. Diodes that only the pin map
/// names count as well.
fn work(tube: &TubeType) -> Vec<&'static str> {
    let mut words: Vec<&'static str> = tube
        .sections
        .iter()
        .flat_map(|section| std::iter::repeat_n(class(section.kind), usize::from(section.units)))
        .collect();
    if !words.contains(&"diode") {
        let diodes = tube
            .pins
            .iter()
            .flat_map(|pin| &pin.elements)
            .filter(|element| element.trim_end_matches(char::is_numeric) == "diode");
        words.extend(diodes.map(|_| "diode"));
    }
    words.sort_unstable();
    words
}

/// Pentodes and beam tubes do the same work.
fn class(kind: SectionKind) -> &'static str {
    match kind {
        SectionKind::Beam => SectionKind::Pentode.word(),
        other => other.word(),
    }
}
