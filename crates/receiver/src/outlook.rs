//! What a sheet tells before anything of the supply is on it.
//!
//! Watts, amperes. From the tubes alone: heater watts by the catalogue's ratings (a
//! figure), the set's likely draw by the trade's ranges for its size (a range, common
//! practice), and the lamp to begin with (habit of the trade; once the supply is on the
//! sheet the plan chooses it by calculation). Nothing here can fail; a heater that the
//! catalogue does not know is named and not counted.

use parts::Catalogue;

use crate::plan::lamp::of_the_line;
use crate::reading::Notice;
use crate::sheet::{HeaterArrangement, Sheet};

/// What the tubes alone tell.
#[derive(Debug, Clone, PartialEq)]
pub struct Outlook {
    /// Watts of all heaters that the set's line feeds.
    pub heater_watts: f64,
    /// Amperes of each heater row: for a string the current of one heater.
    pub heater_rows: Vec<HeaterRowDraw>,
    /// Tubes whose heaters are not known.
    pub unknown_heaters: Vec<String>,
    /// Likely line watts of the working set, low to high.
    pub line_watts: Option<LikelyRange>,
    /// Lamp for a first power-up by the trade's habit, watts low to high.
    pub lamp_watts: Option<LikelyRange>,
    /// What is to be heeded of lamps on this set's line; `None` for nothing.
    pub lamp_notice: Option<Notice>,
}

/// What one row of heaters takes.
#[derive(Debug, Clone, PartialEq)]
pub struct HeaterRowDraw {
    /// Places it lies between.
    pub between: String,
    /// Volts across the row at its ratings.
    pub volts: f64,
    /// Amperes into the row at its ratings.
    pub amperes: f64,
}

/// A range with its origin.
#[derive(Debug, Clone, PartialEq)]
pub struct LikelyRange {
    /// Low end.
    pub low: f64,
    /// High end.
    pub high: f64,
    /// Where it comes from.
    pub from: String,
}

/// Reads off the tubes what they tell.
pub fn outlook(sheet: &Sheet, catalogue: &Catalogue) -> Outlook {
    let mut heater_watts = 0.0;
    let mut unknown_heaters = Vec::new();
    for tube in &sheet.tubes {
        let lit_by_sweep = tube
            .kind
            .rectifier_section()
            .is_some_and(|section| section.kind == parts::SectionKind::HvRectifier);
        match &tube.kind.heater {
            // A high-voltage rectifier is lit by the sweep, not by the line's heaters.
            Some(_) if lit_by_sweep => {}
            Some(heater) => heater_watts += heater.watts(),
            None => unknown_heaters.push(tube.reference.clone()),
        }
    }
    let heater_rows = sheet
        .heaters
        .iter()
        .map(|row| {
            let ratings = || {
                row.tubes
                    .iter()
                    .filter_map(|reference| sheet.tube(reference)?.kind.heater.as_ref())
            };
            let highest = |values: &mut dyn Iterator<Item = f64>| values.fold(0.0, f64::max);
            let (volts, amperes) = match row.arrangement {
                HeaterArrangement::Series => (
                    ratings().map(|heater| heater.volts).sum(),
                    highest(&mut ratings().map(|heater| heater.amperes)),
                ),
                HeaterArrangement::Parallel => (
                    highest(&mut ratings().map(|heater| heater.volts)),
                    ratings().map(|heater| heater.amperes).sum(),
                ),
            };
            HeaterRowDraw {
                between: format!("{} and {}", row.from, row.to),
                volts,
                amperes,
            }
        })
        .collect();
    let string = sheet
        .heaters
        .iter()
        .any(|row| row.arrangement == HeaterArrangement::Series);
    let picture = sheet.tubes.iter().find(|tube| tube.kind.is_picture_tube);
    let inches = picture
        .and_then(|tube| tube.kind.picture.as_ref())
        .and_then(|picture| picture.diagonal_or_diameter_inches);
    let size = if string {
        Some("set power series string")
    } else {
        inches.map(|inches| match inches {
            inches if inches < 11.5 => "set power small",
            inches if inches < 18.5 => "set power middle",
            _ => "set power large",
        })
    };
    let range = |name: &str| {
        catalogue.trade_number(name).map(|number| LikelyRange {
            low: number.low,
            high: number.high,
            from: format!("{} ({})", number.applies_to, number.standing),
        })
    };
    let line_watts = size.and_then(range).map(|mut range| {
        // No set takes less than its heaters and some B+ beside them.
        range.low = range.low.max(1.2 * heater_watts);
        range.high = range.high.max(range.low);
        range
    });
    let lamp = size.map(|size| match size {
        "set power small" => "lamp for a first power-up small",
        _ => "lamp for a first power-up large",
    });
    Outlook {
        heater_watts,
        heater_rows,
        unknown_heaters,
        line_watts,
        lamp_watts: lamp.and_then(range),
        lamp_notice: of_the_line(sheet.line_volts),
    }
}

impl Outlook {
    /// What is told, one short sentence each.
    pub fn sentences(&self) -> Vec<String> {
        let mut told = Vec::new();
        if self.heater_watts > 0.0 {
            told.push(format!(
                "heaters take {:.0} W at their ratings",
                self.heater_watts
            ));
        }
        for row in &self.heater_rows {
            if row.amperes > 0.0 {
                told.push(format!(
                    "heaters between {}: {:.1} V, {:.2} A",
                    row.between, row.volts, row.amperes
                ));
            }
        }
        if !self.unknown_heaters.is_empty() {
            told.push(format!(
                "not counted, because their heaters are not known: {}",
                self.unknown_heaters.join(", ")
            ));
        }
        if let Some(range) = &self.line_watts {
            told.push(format!(
                "likely line watts of the working set: {:.0} to {:.0}, from {}",
                range.low, range.high, range.from
            ));
        }
        if let Some(range) = &self.lamp_watts {
            told.push(format!(
                "lamp in series for a first power-up: {:.0} to {:.0} W by habit; with the supply on the sheet, wake chooses it by calculation",
                range.low, range.high
            ));
        }
        if let Some(notice) = &self.lamp_notice {
            told.push(format!("{}; {}", notice.text, notice.hint));
        }
        told
    }
}
