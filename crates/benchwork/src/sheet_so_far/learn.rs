//! What readings tell of the line, of parts and of windings, put into the sheet.
//!
//! Volts, ohms. Sources and limits stand with [`receiver::learned`]; a winding's volts take the
//! place of those in its row, ohms become measured values of `[state]`. What does not go into the
//! sheet leaves it as it was.

use logbook::{Fact, Measured, StandingFact, What};
use receiver::learned::{OfWhat, ReadingTaken, learned};
use receiver::sheet::{Sheet, read_sheet};
use receiver::sheet_edit::{
    CellChange, SheetList, SheetOutline, StateChange, change_cells, change_states,
};
use receiver::wiring::SetModel;

use super::SheetSoFar;
use crate::check_sheet::catalogue;
use crate::judge_entry::{bench_conditions, taken};
use crate::trouble::Trouble;

impl SheetSoFar {
    /// Puts in what the readings tell of parts, windings and the line.
    pub(super) fn learn(&mut self, facts: &[StandingFact<'_>]) -> Result<(), Trouble> {
        let catalogue = catalogue()?;
        let mut readings = Vec::new();
        for one in facts {
            let Fact::Measured(measured) = one.fact else {
                continue;
            };
            self.learn_line(one.number, measured, facts);
            let reading = taken(measured)
                .zip(bench_conditions(&measured.conditions, &measured.meter).ok())
                .map(|(taken, conditions)| ReadingTaken {
                    entry: one.number,
                    taken,
                    conditions,
                    plug_out: measured.conditions.plug_out,
                });
            readings.extend(reading);
        }
        readings.retain(ReadingTaken::is_of_use);
        if readings.is_empty() {
            return Ok(());
        }
        let found = learned(&SetModel::new(&self.sheet, catalogue), &readings);
        self.not_used.extend(found.not_used);
        let mut states = Vec::new();
        let mut cells = Vec::new();
        let outline = SheetOutline::of(&self.text).ok();
        for figure in &found.figures {
            match &figure.of {
                OfWhat::Part(part) if is_older(figure.entry, part, facts) => continue,
                OfWhat::Part(part) => states.push(StateChange::Measured {
                    reference: part.clone(),
                    value: ohms_text(figure.value),
                }),
                OfWhat::WindingOhms(transformer, _) | OfWhat::WindingVolts(transformer, _)
                    if is_older(figure.entry, transformer, facts) =>
                {
                    continue;
                }
                OfWhat::WindingOhms(transformer, winding) => states.push(StateChange::Measured {
                    reference: format!("{transformer} {winding}"),
                    value: ohms_text(figure.value),
                }),
                OfWhat::WindingVolts(transformer, winding) => {
                    let change = outline.as_ref().and_then(|outline| {
                        volts_cell(outline, transformer, winding, figure.value)
                    });
                    cells.extend(change);
                }
            }
            self.bent_by.push(figure.in_words());
        }
        let edited = change_cells(&self.text, &cells)
            .and_then(|text| change_states(&text, &states))
            .ok();
        let read = edited.and_then(|text| Some((read_sheet(&text, catalogue).sheet?, text)));
        if let Some((mut sheet, text)) = read {
            let line = self.sheet.bench.as_ref().and_then(|bench| bench.line_volts);
            set_line(&mut sheet, line);
            self.sheet = sheet;
            self.text = text;
        }
        Ok(())
    }

    /// The line at the outlet, where a reading tells it and nothing stands between.
    fn learn_line(&mut self, entry: u64, measured: &Measured, facts: &[StandingFact<'_>]) {
        let said = &measured.conditions;
        let is_line = measured.place == "line" && measured.what == What::AcVoltsRms;
        let variable = self
            .sheet
            .bench
            .as_ref()
            .and_then(|bench| bench.variable_transformer);
        let at_outlet = said.plug_out || (variable != Some(true) && said.lamp_watts.is_empty());
        if !is_line || !at_outlet || said.dial_volts.is_some() {
            return;
        }
        if !LINE_VOLTS.contains(&measured.value) {
            self.not_used.push(format!(
                "entry {entry}: {} is no line of such a set",
                measured.typed
            ));
            return;
        }
        let told_later = facts
            .iter()
            .any(|one| one.number > entry && matches!(one.fact, Fact::SheetTaken(_)));
        let on_sheet = self.sheet.bench.as_ref().and_then(|bench| bench.line_volts);
        if told_later && on_sheet.is_some() {
            return;
        }
        set_line(&mut self.sheet, Some(measured.value));
        let volts = measured.value;
        self.bent_by.retain(|line| !line.starts_with("line "));
        self.bent_by
            .push(format!("line {volts} V at the outlet (entry {entry})"));
    }
}

/// Line volts that a set of this kind may be fed with.
const LINE_VOLTS: std::ops::RangeInclusive<f64> = 50.0..=300.0;

fn set_line(sheet: &mut Sheet, line: Option<f64>) {
    if line.is_some() {
        sheet.bench.get_or_insert_default().line_volts = line;
    }
}

/// Whether the part was replaced after it was measured.
fn is_older(entry: u64, part: &str, facts: &[StandingFact<'_>]) -> bool {
    facts.iter().any(|one| {
        one.number > entry
            && matches!(one.fact, Fact::Fitted(fitted) if fitted.part.trim().eq_ignore_ascii_case(part))
    })
}

/// Ohms as a sheet writes them, to four figures.
fn ohms_text(ohms: f64) -> String {
    let digits = format!("{ohms:.3e}");
    let rounded: f64 = digits.parse().unwrap_or(ohms);
    format!("{rounded} ohm")
}

/// The rating of a winding with its volts changed; `None` where it does not begin with volts.
fn volts_cell(
    outline: &SheetOutline,
    transformer: &str,
    winding: &str,
    volts: f64,
) -> Option<CellChange> {
    let rows = outline.rows(SheetList::Windings);
    let row = rows.iter().position(|row| {
        row.cell(0).trim() == transformer && row.cell(1).trim().eq_ignore_ascii_case(winding)
    })?;
    let rating = rows.get(row)?.cell(2);
    let (number, rest) = rating
        .trim_start()
        .split_once(|letter: char| !(letter.is_ascii_digit() || letter == '.'))?;
    number.parse::<f64>().ok()?;
    let between = rating
        .trim_start()
        .strip_prefix(number)?
        .strip_suffix(rest)?;
    let is_volts = format!("{between}{rest}")
        .trim_start()
        .starts_with(['V', 'v']);
    is_volts.then(|| CellChange {
        list: SheetList::Windings,
        row,
        column: 2,
        text: format!("{volts:.2}{between}{rest}"),
    })
}
