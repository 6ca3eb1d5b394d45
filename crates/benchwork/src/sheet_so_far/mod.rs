//! The sheet as it holds now: the version taken in last, with what the facts have changed since.
//!
//! Parts replaced, with their new values; parts cut loose and put back; cans formed anew; tubes as
//! testers found them; the line
//! measured at the outlet; what was measured of parts and windings ([`receiver::learned`]). A later
//! fact holds against an earlier one. What a fact says of a part that the sheet has not is left
//! alone; a new value that cannot be read leaves the old one, and that is told. Fails only for a
//! fault of the program's own figures.

mod in_circuit;
mod learn;
#[cfg(test)]
mod tests;

use logbook::{Changed, Fact, Fitted, FormingEnd, FormingFinding, StandingFact, StepEvent};
use receiver::sheet::{Sheet, read_sheet};
use receiver::sheet_edit::{
    CellChange, SheetList, SheetOutline, StateChange, StateList, change_cells, change_states,
};

use crate::check_sheet::catalogue;
use crate::tested_tubes::tested_tubes;
use crate::trouble::Trouble;
use crate::view::NoticeView;

/// The sheet as it holds now.
#[derive(Debug, Clone)]
pub(crate) struct SheetSoFar {
    /// The sheet.
    pub sheet: Sheet,
    /// Its text, as the facts have changed it.
    pub text: String,
    /// What the facts have changed, one line each.
    pub bent_by: Vec<String>,
    /// What could not be used, one line each.
    pub not_used: Vec<String>,
}

impl SheetSoFar {
    /// What the facts have changed, and what could not be used, for whoever asks about the set.
    pub fn notices(&self) -> Vec<NoticeView> {
        let mut notices = Vec::new();
        let mut tell = |text: String, hint: &str| {
            notices.push(NoticeView {
                text,
                hint: hint.to_owned(),
                line: None,
            });
        };
        if !self.bent_by.is_empty() {
            tell(
                format!(
                    "the sheet as the file knows it now: {}",
                    self.bent_by.join("; ")
                ),
                "where that is wrong, correct or undo the entry (`firstraster story` shows them)",
            );
        }
        for own in &self.not_used {
            tell(
                own.clone(),
                "look at the entry, or take in the sheet as it is now",
            );
        }
        notices
    }

    /// Everything that an answer on this sheet rests on, besides its conditions.
    pub fn rests_on(&self) -> String {
        let line = self.sheet.bench.as_ref().and_then(|bench| bench.line_volts);
        let tested = &self.sheet.state.tested;
        format!(
            "{}\n{}\n{line:?}\n{tested:?}\n{}",
            crate::PROGRAM_VERSION,
            parts::DATA_EDITION,
            self.text
        )
    }
}

/// The sheet of this text with all that the facts say; `None` where the text has faults.
pub(crate) fn sheet_so_far(
    text: &str,
    facts: &[StandingFact<'_>],
) -> Result<Option<SheetSoFar>, Trouble> {
    let catalogue = catalogue()?;
    let Some(sheet) = read_sheet(text, catalogue).sheet else {
        return Ok(None);
    };
    let mut bent = Bent {
        sheet: &sheet,
        parts: Vec::new(),
    };
    let formed = formed_and_put_back(facts);
    for one in facts {
        match one.fact {
            Fact::Fitted(fitted) => bent.fitted(fitted),
            Fact::Changed(changed) => bent.changed(changed),
            Fact::Stepped(stepped) if stepped.event == StepEvent::Done => {
                if let Some(part) = stepped.key.strip_prefix("re_forming ")
                    && formed.contains(&one.number)
                {
                    bent.re_formed(part, true);
                }
            }
            Fact::OfReForming(forming) => match forming.found {
                FormingFinding::Ended {
                    end: FormingEnd::Accepted,
                    ..
                } => bent.re_formed(&forming.part, true),
                FormingFinding::Ended {
                    end: FormingEnd::Replace,
                    ..
                } => bent.re_formed(&forming.part, false),
                _ => {}
            },
            _ => {}
        }
    }
    let mut so_far = if bent.parts.is_empty() {
        SheetSoFar {
            text: text.to_owned(),
            bent_by: Vec::new(),
            not_used: Vec::new(),
            sheet,
        }
    } else {
        bent.applied(text)?
    };
    so_far.learn(facts)?;
    let tested = tested_tubes(&so_far.sheet, facts);
    so_far.bent_by.extend(
        tested
            .iter()
            .map(|tube| format!("{} as a tester found it", tube.reference)),
    );
    so_far.sheet.state.tested = tested;
    Ok(Some(so_far))
}

/// Entries that say a can was formed, of which all joints were closed again since.
fn formed_and_put_back(facts: &[StandingFact<'_>]) -> Vec<u64> {
    let mut formed = Vec::new();
    let mut since = Vec::new();
    for one in facts {
        let Fact::Stepped(stepped) = one.fact else {
            continue;
        };
        if stepped.event != StepEvent::Done {
            continue;
        }
        if stepped.key.starts_with("re_forming ") {
            since.push(one.number);
        } else if stepped.key == "put_back" {
            formed.append(&mut since);
        }
    }
    formed
}

/// What the facts say of one part, the last word of each kind.
#[derive(Debug, Clone, Default)]
struct PartNow {
    reference: String,
    is_tube: bool,
    replaced: Option<Fitted>,
    cut_loose: Option<bool>,
    re_formed: bool,
}

struct Bent<'s> {
    sheet: &'s Sheet,
    parts: Vec<PartNow>,
}

impl Bent<'_> {
    /// The part of this name, as the sheet spells it; `None` where it has not.
    fn part(&mut self, name: &str) -> Option<&mut PartNow> {
        let name = name.trim();
        let tube = self.sheet.tube(name).map(|tube| &tube.reference);
        let part = self.sheet.part(name).map(|part| &part.reference);
        let reference = tube.or(part)?.clone();
        let is_tube = tube.is_some();
        let known = self.parts.iter().position(|own| own.reference == reference);
        let at = known.unwrap_or_else(|| {
            self.parts.push(PartNow {
                reference,
                is_tube,
                ..PartNow::default()
            });
            self.parts.len() - 1
        });
        self.parts.get_mut(at)
    }

    fn fitted(&mut self, fitted: &Fitted) {
        if let Some(part) = self.part(&fitted.part) {
            part.replaced = Some(fitted.clone());
            part.cut_loose = Some(false);
            part.re_formed = false;
        }
    }

    fn changed(&mut self, changed: &Changed) {
        let Some(cut_loose) = is_cut_loose(&changed.is) else {
            return;
        };
        if let Some(part) = self.part(&changed.what) {
            part.cut_loose = Some(cut_loose);
        }
    }

    fn re_formed(&mut self, part: &str, is_formed: bool) {
        if let Some(part) = self.part(part) {
            part.re_formed = is_formed;
        }
    }

    fn applied(&self, given: &str) -> Result<SheetSoFar, Trouble> {
        let mut states = Vec::new();
        let mut bent_by = Vec::new();
        let mut listed = |list: StateList, part: &PartNow, is_there: bool| {
            states.push(StateChange::Listed {
                list,
                reference: part.reference.clone(),
                is_there,
            });
        };
        for part in &self.parts {
            if let Some(fitted) = &part.replaced {
                listed(StateList::Replaced, part, true);
                listed(StateList::Original, part, false);
                listed(StateList::ReFormed, part, false);
                bent_by.push(format!("{} replaced: {}", part.reference, fitted.new));
            }
            match part.cut_loose {
                Some(true) => {
                    listed(StateList::CutLoose, part, true);
                    bent_by.push(format!("{} cut loose", part.reference));
                }
                Some(false) => listed(StateList::CutLoose, part, false),
                None => {}
            }
            if part.re_formed && part.replaced.is_none() {
                listed(StateList::ReFormed, part, true);
                bent_by.push(format!("{} formed anew", part.reference));
            }
        }
        for part in self.parts.iter().filter(|part| part.replaced.is_some()) {
            // What was measured of the old part says nothing of the new one.
            states.push(StateChange::Measured {
                reference: part.reference.clone(),
                value: String::new(),
            });
        }
        let edited = change_states(given, &states).unwrap_or_else(|_| given.to_owned());
        let (text, not_used) = self.with_new_values(&edited)?;
        let sheet = read_sheet(&text, catalogue()?).sheet;
        Ok(match sheet {
            Some(sheet) => SheetSoFar {
                sheet,
                text,
                bent_by,
                not_used,
            },
            // The facts and the sheet contradict one another: the sheet alone holds.
            None => SheetSoFar {
                sheet: self.sheet.clone(),
                text: given.to_owned(),
                bent_by: Vec::new(),
                not_used: vec![
                    "what was replaced or cut loose does not go together with the sheet's [state]; the sheet alone is used"
                        .to_owned(),
                ],
            },
        })
    }

    /// The text with the values of new parts in the place of the old ones, where they can be read.
    fn with_new_values(&self, text: &str) -> Result<(String, Vec<String>), Trouble> {
        let catalogue = catalogue()?;
        let Ok(outline) = SheetOutline::of(text) else {
            return Ok((text.to_owned(), Vec::new()));
        };
        let mut not_used = Vec::new();
        let mut changes: Vec<CellChange> = Vec::new();
        for part in &self.parts {
            let Some(fitted) = &part.replaced else {
                continue;
            };
            let (list, column) = if part.is_tube {
                (SheetList::Tubes, 1)
            } else {
                (SheetList::Parts, 2)
            };
            let rows = outline.rows(list);
            let row = rows
                .iter()
                .position(|row| row.cell(0).trim().eq_ignore_ascii_case(&part.reference));
            let Some((row, old)) = row.and_then(|at| Some((at, rows.get(at)?.cell(column)))) else {
                continue;
            };
            let wanted = [
                format!("{} {}", fitted.new.trim(), fitted.rating.trim()),
                fitted.new.trim().to_owned(),
            ];
            let readable = |new: &String| {
                let change = CellChange {
                    list,
                    row,
                    column,
                    text: new.trim().to_owned(),
                };
                let edited = change_cells(text, std::slice::from_ref(&change)).ok()?;
                let reads = read_sheet(&edited, catalogue).sheet.is_some();
                reads.then_some(change)
            };
            if !fitted.new.contains(|letter: char| letter.is_ascii_digit()) {
                continue;
            }
            if wanted.iter().any(|new| new.trim() == old.trim()) {
                continue;
            }
            match wanted.iter().find_map(readable) {
                Some(change) => changes.push(change),
                None => not_used.push(format!(
                    "{}: `{}` cannot be read as its value; it counts as new with the old value {old}",
                    part.reference, fitted.new
                )),
            }
        }
        let changed = change_cells(text, &changes).unwrap_or_else(|_| text.to_owned());
        Ok((changed, not_used))
    }
}

/// Whether the words say that a part is cut loose, or that it is back; `None` where neither.
pub(crate) fn is_cut_loose(is: &str) -> Option<bool> {
    let is = is.trim().to_lowercase();
    if ["cut loose", "lifted", "one end lifted", "one end cut"].contains(&is.as_str()) {
        Some(true)
    } else if ["put back", "back in place", "soldered back"].contains(&is.as_str()) {
        Some(false)
    } else {
        None
    }
}
