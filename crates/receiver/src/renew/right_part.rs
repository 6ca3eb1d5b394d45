//! The part of today that takes an old one's place: kind, value, rating, and why.
//!
//! Ohms, farads, volts, watts, amperes. The value is the nearest member of today's series to the marked one that
//! lies within what the set tolerates ([`super::tolerated`]); where none does, the nearest with a second part
//! beside it. The rating covers the worst computed case ([`super::burden`]) with the margin of common practice, and is
//! never below what the maker marked. What is made today comes from [`parts::TodaysParts`], each row with its
//! standing. A part whose burden is not known is rated by what is marked and by the highest volts of the set from
//! switch-on, and that is said. A kind that nothing is known of gives `None`.

use parts::{RatingUnit, TodaysPart, TodaysParts};
use quantity::{Unit, bench, marking};

use crate::plan::capacitors::{CapacitorPlace, CapacitorReview};
use crate::sheet::{CapacitorStyle, PartValue, ResistorMake};
use crate::wiring::SetModel;

use super::burden::{Burden, Burdens};
use super::tolerated::Tolerated;
use super::value::value_on_the_line;

/// Rated watts over computed heat, at least (common practice: a resistor is used at half its rating).
pub(super) const WATTS_MARGIN: f64 = 2.0;
/// Marked volts from which a small capacitor belongs to the high voltage.
const HIGH_VOLTAGE: f64 = 2000.0;
/// Heat over rating at which a part that a short feeds would burn (judgement).
const BURNS: f64 = 3.0;

/// How the value is made up.
#[derive(Debug, Clone, PartialEq)]
pub enum Pieces {
    /// One part.
    One,
    /// So many of this value in series, to stand the volts.
    InSeries {
        /// How many.
        count: u32,
        /// Value of each.
        each: f64,
        /// The resistor across each, of electrolytics.
        balance: Option<Balance>,
    },
    /// A second one beside it.
    Beside {
        /// Its value.
        other: f64,
    },
}

/// The resistor across each of two electrolytics in series, which keeps them at equal volts.
#[derive(Debug, Clone, PartialEq)]
pub struct Balance {
    /// Its ohms.
    pub ohms: f64,
    /// Its rated watts: for the heat at the worst volts of the capacitor, with the margin of every resistor here.
    pub watts: f64,
    /// Its kind, as `data/todays_parts.csv` names it.
    pub kind: String,
    /// In words.
    pub what: String,
}

/// The part that takes an old one's place.
#[derive(Debug, Clone, PartialEq)]
pub struct RightPart {
    /// Its kind, as `data/todays_parts.csv` names it.
    pub kind: String,
    /// In words.
    pub what: String,
    /// The value of the whole; of the first part where a second one stands beside it.
    pub value: f64,
    /// The unit of the value.
    pub unit: Unit,
    /// How it is made up.
    pub pieces: Pieces,
    /// Rating of each piece.
    pub rating: f64,
    /// What the rating counts.
    pub rating_unit: RatingUnit,
    /// Tolerance to ask for, a fraction.
    pub tolerance: f64,
    /// What stands on it.
    pub markings: Vec<String>,
    /// Factor of the new value upon the marked one.
    pub factor: f64,
    /// What the set tolerates.
    pub tolerated: Option<Tolerated>,
    /// Ripple that it must be marked for, amperes rms at 120 cycles.
    pub ripple_needed: Option<f64>,
    /// Why it is this one, one sentence each.
    pub why: Vec<String>,
    /// How it is fitted, one sentence each.
    pub fitting: Vec<String>,
    /// What it must not be; may be empty.
    pub must_not: String,
    /// How far to trust what is said to be made today.
    pub standing: parts::Standing,
}

/// What the choice of a part goes by.
pub struct Asked<'a, 's> {
    /// The set.
    pub model: &'a SetModel<'s>,
    /// Position of the part.
    pub part: usize,
    /// What the parts bear.
    pub burdens: &'a Burdens,
    /// What the set tolerates of it.
    pub tolerated: Option<Tolerated>,
    /// The part's place, of a capacitor.
    pub review: Option<&'a CapacitorReview>,
    /// What is made today.
    pub today: &'a TodaysParts,
    /// Heat in it if what it feeds is shorted, watts.
    pub shorted_watts: Option<f64>,
    /// Names of the other sections in its can.
    pub same_can: Vec<String>,
    /// The largest first filter that the rectifier tube bears, farads; `None` where it is no such filter.
    pub largest_farads: Option<f64>,
    /// Cycles a second at which an electrolytic is charged.
    pub ripple_hertz: f64,
}

impl Asked<'_, '_> {
    /// The part of today; `None` for kinds that have none.
    #[must_use]
    pub fn answer(&self) -> Option<RightPart> {
        match &self.model.sheet.parts[self.part].value {
            PartValue::Capacitor {
                style,
                farads,
                volts,
                ..
            } => self.capacitor(*style, *farads, *volts),
            PartValue::Resistor {
                ohms, watts, make, ..
            } => self.resistor(*ohms, *watts, *make),
            _ => None,
        }
    }

    pub(super) fn burden(&self) -> &Burden {
        &self.burdens.parts[self.part]
    }

    pub(super) fn is_pulsed(&self) -> bool {
        self.burden().is_pulsed
            || self
                .review
                .is_some_and(|own| own.place == CapacitorPlace::Boost)
    }

    fn kind_of_capacitor(&self, style: CapacitorStyle, marked: Option<f64>) -> &'static str {
        let place = self.review.map(|own| own.place);
        match place {
            Some(CapacitorPlace::AcrossLine) => return "class-x2",
            Some(CapacitorPlace::LineToChassis) => return "class-y2",
            _ => {}
        }
        if style != CapacitorStyle::Electrolytic && parts_line_from_people(self.model, self.part) {
            return "class-y2";
        }
        let times = self
            .tolerated
            .as_ref()
            .is_some_and(|own| own.times.is_some());
        match style {
            CapacitorStyle::Electrolytic => "electrolytic-105",
            CapacitorStyle::Ceramic if marked.is_some_and(|own| own >= HIGH_VOLTAGE) => {
                "high-voltage-ceramic"
            }
            CapacitorStyle::Ceramic if self.is_pulsed() => "high-voltage-ceramic",
            CapacitorStyle::Mica | CapacitorStyle::Trimmer => "silvered-mica",
            CapacitorStyle::Ceramic => "ceramic-disc",
            _ if self.is_pulsed() || times => "polypropylene-film",
            _ => "polyester-film",
        }
    }

    fn capacitor(
        &self,
        style: CapacitorStyle,
        farads: f64,
        marked: Option<f64>,
    ) -> Option<RightPart> {
        let row = self.today.kind(self.kind_of_capacitor(style, marked))?;
        let mut own = RightPart::of(row, Unit::Farads);
        own.must_not.clone_from(&row.must_not);
        own.tolerated.clone_from(&self.tolerated);
        if row.rating_unit == RatingUnit::VoltsAc {
            own.tolerated = None;
            value_on_the_line(&mut own, row, farads);
        } else {
            self.choose_value(&mut own, row, farads);
        }
        match row.rating_unit {
            RatingUnit::VoltsAc => self.rate_for_the_line(&mut own, row),
            _ if style == CapacitorStyle::Electrolytic => {
                self.rate_electrolytic(&mut own, row, marked);
            }
            _ => self.rate_film(&mut own, row, marked),
        }
        self.fit_capacitor(&mut own, style);
        own.markings = [
            marking::capacitor_code(own.value, own.tolerance),
            marking::capacitor_letters(own.value),
        ]
        .into_iter()
        .flatten()
        .collect();
        Some(own)
    }

    fn fit_capacitor(&self, own: &mut RightPart, style: CapacitorStyle) {
        let part = &self.model.sheet.parts[self.part];
        if style == CapacitorStyle::Electrolytic {
            own.fitting
                .push(format!("+ to {}, - to {}", part.from, part.to));
            own.fitting
                .push("never across the old one: cut the old one's lead first".to_owned());
            let chassis = |place: &crate::sheet::Place| {
                self.model
                    .junction(place)
                    .is_some_and(|own| Some(own) == self.model.chassis)
            };
            if !self.same_can.is_empty() {
                own.fitting.push(format!(
                    "one can with {}: leave the can for its looks with all leads off it and put the new ones below at a terminal strip, or open the can and fill it anew; all its sections are renewed together",
                    self.same_can.join(", ")
                ));
            }
            if !chassis(&part.to) {
                own.fitting.push(format!(
                    "its - end is not the chassis but {}: the case must touch nothing",
                    part.to
                ));
            }
        } else if matches!(
            style,
            CapacitorStyle::Paper | CapacitorStyle::MouldedPaper | CapacitorStyle::Film
        ) && own.rating_unit == RatingUnit::VoltsDc
        {
            match self.tolerated.as_ref().and_then(|own| own.outer_foil) {
                Some(end) => own.fitting.push(format!(
                    "outer foil, if one is marked, to {}: of both ends it has the lower resistance to the chassis",
                    if end == 0 { &part.from } else { &part.to }
                )),
                None => own.fitting.push(
                    "outer foil, if one is marked, to the end that the old one's band marks".to_owned(),
                ),
            }
        }
        if self.is_pulsed() {
            own.fitting
                .push("leads short and dressed as the old ones, clear of other wires".to_owned());
        }
    }

    fn resistor(
        &self,
        ohms: f64,
        marked: Option<f64>,
        make: Option<ResistorMake>,
    ) -> Option<RightPart> {
        let burden = self.burden();
        let heat = burden.watts.as_ref();
        let need = (WATTS_MARGIN * heat.map_or(0.0, |own| own.value)).max(marked.unwrap_or(0.0));
        let burns = self
            .shorted_watts
            .zip(marked)
            .is_some_and(|(shorted, marked)| shorted > BURNS * marked.max(need / WATTS_MARGIN));
        let kind = if make == Some(ResistorMake::Fusible) {
            "fusible"
        } else if need > 5.0 || make == Some(ResistorMake::WireWound) {
            "wire-wound"
        } else if need > 0.6 || burns {
            "metal-oxide"
        } else {
            "metal-film"
        };
        let row = self.today.kind(kind)?;
        let mut own = RightPart::of(row, Unit::Ohms);
        own.must_not.clone_from(&row.must_not);
        own.tolerated.clone_from(&self.tolerated);
        self.choose_value(&mut own, row, ohms);
        own.rating = at_least(&row.ratings, need)
            .or(row.ratings.last().copied())
            .unwrap_or(need);
        match heat {
            Some(heat) => own.why.push(format!(
                "heat in it: {:.2} W {}; used at half its rating or less, and not below the {} W marked",
                heat.value,
                heat.case.words(),
                marked.map_or("unknown".to_owned(), |own| own.to_string())
            )),
            None => own.why.push(match &burden.unknown {
                Some(unknown) => format!("heat not calculated: {}; the marked watts are kept", unknown.words()),
                None => "heat not calculated; the marked watts are kept".to_owned(),
            }),
        }
        if let (Some(heat), Some(marked)) = (heat, marked)
            && heat.value > marked
        {
            own.why.push(format!(
                "the maker's {marked} W is less than what it bears at the top of the line: expect it scorched"
            ));
        }
        if burns && let Some(shorted) = self.shorted_watts {
            own.why.push(format!(
                "if what it feeds is shorted it takes {shorted:.0} W: a flame-proof one, clear of wax and board"
            ));
        }
        self.string_for_volts(&mut own);
        own.markings = [
            marking::resistor_bands(own.value, own.tolerance).map(|bands| {
                let names: Vec<&str> = bands.into_iter().map(|own| own.name()).collect();
                names.join(" ")
            }),
            marking::resistor_letters(own.value),
        ]
        .into_iter()
        .flatten()
        .collect();
        Some(own)
    }
}

impl RightPart {
    fn of(row: &TodaysPart, unit: Unit) -> RightPart {
        RightPart {
            kind: row.kind.clone(),
            what: row.what.clone(),
            value: 0.0,
            unit,
            pieces: Pieces::One,
            rating: 0.0,
            rating_unit: row.rating_unit,
            tolerance: row.tolerance,
            markings: Vec::new(),
            factor: 1.0,
            tolerated: None,
            ripple_needed: None,
            why: Vec::new(),
            fitting: Vec::new(),
            must_not: String::new(),
            standing: row.standing,
        }
    }

    /// Value and rating as one buys it: `0.047 mfd 630 V polyester film capacitor`.
    #[must_use]
    pub fn words(&self) -> String {
        let rating = match self.rating_unit {
            RatingUnit::VoltsDc => format!("{} V", self.rating),
            RatingUnit::VoltsAc => format!("{} V a.c.", self.rating),
            RatingUnit::Watts => format!("{} W", self.rating),
        };
        let value = |value: f64| bench(value, self.unit);
        let values = match self.pieces {
            Pieces::One => value(self.value),
            Pieces::InSeries { count, each, .. } => format!("{count} in series of {}", value(each)),
            Pieces::Beside { other } => {
                format!("{} with {} beside it", value(self.value), value(other))
            }
        };
        format!("{values} {rating} {}", self.what)
    }
}

/// Whether a part of a set with its chassis on the line lies between that chassis and what is touched from outside: a
/// terminal of the antenna or the cabinet, as the sheet names them.
pub(super) fn parts_line_from_people(model: &SetModel<'_>, part: usize) -> bool {
    if !super::plan::chassis_on_line(model) {
        return false;
    }
    let outside = |place: &crate::sheet::Place, strict: bool| {
        let name = place.to_string().to_lowercase();
        let words: &[&str] = if strict {
            &["post", "terminal", "screw", "cabinet"]
        } else {
            &["antenna"]
        };
        place.pin().is_none() && words.iter().any(|word| name.contains(word))
    };
    let strict = model.places.iter().any(|place| outside(place, true));
    let own = &model.sheet.parts[part];
    [&own.from, &own.to]
        .into_iter()
        .any(|place| outside(place, strict))
}

/// The lowest rating that is at least this.
pub(super) fn at_least(ratings: &[f64], need: f64) -> Option<f64> {
    ratings
        .iter()
        .copied()
        .find(|own| *own >= need * (1.0 - 1e-9))
}
