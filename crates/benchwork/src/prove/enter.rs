//! Answers and signatures put into a restoration.
//!
//! Several answers to one item go in together or not at all; all faults come at once. Who measured is
//! always asked. A point that the list has not is a further one. A reading that comes before what has to come
//! first, or while its item is not to be done yet, is kept as the fact that it is, and told.

use logbook::{Fact, OfProof, ProofFinding, standing_facts};
use receiver::proof::{ItemState, ProofItem, judge_item};
use receiver::wiring::SetModel;

use super::gather::of_item;
use super::tell::{List, list_of, view_of};
use super::values::answer;
use crate::bench_words;
use crate::check_sheet::{catalogue, powered_sheet};
use crate::long_work::LongWork;
use crate::picture_tube::typed::Typed;
use crate::read_sheet_file::read_set_file;
use crate::restoration::{Entering, OpenBook, open, trouble};
use crate::sent_once::Made;
use crate::trouble::Trouble;
use crate::view::{EntryView, NoticeView, ProofRecordedView};
use crate::{FORMAT, PROGRAM_VERSION};

/// Answers to one item, as typed.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct NewProof {
    /// The item's key.
    pub item: String,
    /// The answers; empty where the item is said not to be of this set.
    pub answers: Vec<String>,
    /// Why it is not of this set.
    pub not_of_this_set: Option<String>,
    /// The point.
    pub point: Option<String>,
    /// Line volts at the set.
    pub line: Option<String>,
    /// Who measured or looked.
    pub by: String,
    /// What it was measured with.
    pub instrument: String,
    /// Anything else.
    pub note: String,
}

/// A signature.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct NewSignature {
    /// Who signs.
    pub by: String,
    /// Anything else.
    pub note: String,
}

/// Puts answers to one item into a restoration, and tells the list as it stands then.
pub fn record_proof(entering: &Entering<'_>, new: &NewProof) -> Result<ProofRecordedView, Trouble> {
    let set = read_set_file(entering.file)?;
    let (sheet, _) = powered_sheet(&set)?;
    let mut open = open(entering)?;
    let list = list_of(&sheet, LongWork::untold())?;
    if let Some(made) = open.made_before {
        open.notices.push(made.notice());
        return answered(entering, open, &sheet, &list, made);
    }
    let Some(item) = list
        .items
        .iter()
        .find(|item| item.key.eq_ignore_ascii_case(new.item.trim()))
    else {
        let known: Vec<&str> = list.items.iter().map(|item| item.key.as_str()).collect();
        return Err(Trouble::input(
            format!("the list of this set has no `{}`", new.item.trim()),
            format!("its items are: {}", known.join(", ")),
        ));
    };
    let mut typed = Typed::default();
    let by = who(&new.by, "measured", &mut typed);
    let at = point(item, new.point.as_deref(), &mut typed, &mut open);
    let line_volts = new.line.as_ref().and_then(|text| {
        bench_words::line_volts(text)
            .map_err(|fault| typed.fault(format!("--line: {fault}"), "write volts, such as 121"))
            .ok()
    });
    let of = |found: ProofFinding| OfProof {
        item: item.key.clone(),
        at: at.clone(),
        plug: None,
        switched_on: None,
        found,
        minutes: None,
        line_volts,
        by: by.clone(),
        instrument: new.instrument.trim().to_owned(),
        note: new.note.trim().to_owned(),
    };
    let mut facts = Vec::new();
    match &new.not_of_this_set {
        Some(because) if because.trim().is_empty() => typed.fault(
            "why the item is not of this set is not said",
            "say it with --not-of-this-set \"the set has no antenna terminals\"",
        ),
        Some(because) => facts.push(Fact::OfProof(of(ProofFinding::NotOfThisSet {
            because: because.trim().to_owned(),
        }))),
        None => {
            if item.more_points && at.is_empty() {
                typed.fault(
                    format!("`{}` is answered point by point", item.key),
                    format!(
                        "name the point with --point, such as \"{}\"",
                        item.slots[0].point
                    ),
                );
            }
            for text in &new.answers {
                if let Some(read) = answer(text, item, sheet.line_hertz, &mut typed) {
                    facts.push(Fact::OfProof(OfProof {
                        plug: read.plug,
                        switched_on: read.switched_on.or(only_switch(item)),
                        minutes: read.minutes,
                        ..of(read.found)
                    }));
                }
            }
            if new.answers.is_empty() {
                typed.fault(
                    "nothing is answered",
                    "give yes, no or readings, or --not-of-this-set with the reason",
                );
            }
        }
    }
    typed.end()?;
    tell_what_comes_first(&sheet, &list.items, item, &mut open, entering)?;
    appended(entering, open, &sheet, &list, &facts)
}

/// Signs the list as it stands.
pub fn sign_proof(
    entering: &Entering<'_>,
    new: &NewSignature,
) -> Result<ProofRecordedView, Trouble> {
    let set = read_set_file(entering.file)?;
    let (sheet, _) = powered_sheet(&set)?;
    let mut open = open(entering)?;
    let list = list_of(&sheet, LongWork::untold())?;
    if let Some(made) = open.made_before {
        open.notices.push(made.notice());
        return answered(entering, open, &sheet, &list, made);
    }
    let mut typed = Typed::default();
    let by = who(&new.by, "signs", &mut typed);
    typed.end()?;
    let in_file = |error| trouble(entering.file, error);
    let entries = open.book.entries().map_err(in_file)?;
    let view = view_of(entering.file, None, &sheet, &list, &entries, Vec::new())?;
    let counts = &view.counts;
    if counts.failed + counts.open > 0 {
        open.notices.push(NoticeView {
            text: format!(
                "signed with {} failed and {} open: that is what the list says, and what the signature stands for",
                counts.failed, counts.open
            ),
            hint: "mend or finish them and sign again; local codes and licensed practice decide".to_owned(),
            line: None,
        });
    }
    let fact = Fact::OfProof(OfProof {
        item: "signed".to_owned(),
        at: String::new(),
        plug: None,
        switched_on: None,
        found: ProofFinding::Signed {
            up_to: entries.len().max(1) as u64,
        },
        minutes: None,
        line_volts: None,
        by,
        instrument: String::new(),
        note: new.note.trim().to_owned(),
    });
    appended(entering, open, &sheet, &list, &[fact])
}

/// Who did something, or the fault that it is not said.
fn who(by: &str, did: &str, typed: &mut Typed) -> String {
    let by = by.trim().to_owned();
    if by.is_empty() {
        typed.fault(format!("who {did} is not said"), "name them with --by");
    }
    by
}

/// The point as the list spells it; one that it has not is kept and told.
fn point(item: &ProofItem, said: Option<&str>, typed: &mut Typed, open: &mut OpenBook) -> String {
    let Some(said) = said.map(str::trim).filter(|said| !said.is_empty()) else {
        return String::new();
    };
    if !item.more_points {
        typed.fault(
            format!("`{}` has no points", item.key),
            "leave --point out; say it with --note",
        );
        return String::new();
    }
    let folded = said.to_lowercase();
    let mut points: Vec<&str> = item.slots.iter().map(|slot| slot.point.as_str()).collect();
    points.dedup();
    if let Some(own) = points.iter().find(|own| own.eq_ignore_ascii_case(said)) {
        return (*own).to_owned();
    }
    let near: Vec<&&str> = points
        .iter()
        .filter(|own| own.to_lowercase().contains(&folded))
        .collect();
    if let [own] = near[..] {
        return (*own).to_owned();
    }
    open.notices.push(NoticeView {
        text: format!("`{said}` is a further point beside those of the list"),
        hint: format!("those are: {}", points.join(", ")),
        line: None,
    });
    said.to_owned()
}

/// The switch of an item that asks for one position only.
fn only_switch(item: &ProofItem) -> Option<bool> {
    let first = item.slots.first()?.switched_on?;
    item.slots
        .iter()
        .all(|slot| slot.switched_on == Some(first))
        .then_some(first)
}

fn tell_what_comes_first(
    sheet: &receiver::sheet::Sheet,
    list: &[ProofItem],
    item: &ProofItem,
    open: &mut OpenBook,
    entering: &Entering<'_>,
) -> Result<(), Trouble> {
    let entries = open
        .book
        .entries()
        .map_err(|error| trouble(entering.file, error))?;
    let facts = standing_facts(&entries);
    let model = SetModel::new(sheet, catalogue()?);
    let mut missing = Vec::new();
    for key in &item.after {
        if let Some(first) = list.iter().find(|own| own.key == *key) {
            let state = judge_item(first, &of_item(&model, first, &facts).answers).state;
            if matches!(state, ItemState::Open | ItemState::Failed) {
                missing.push(*key);
            }
        }
    }
    if !missing.is_empty() {
        open.notices.push(NoticeView {
            text: format!("{} comes first and is not met", missing.join(", ")),
            hint: "do it before any further reading of this item".to_owned(),
            line: None,
        });
    }
    for because in &item.not_yet {
        open.notices.push(NoticeView {
            text: format!("this item is not to be done yet: {because}"),
            hint: "see to that first; the reading is kept as the fact that it is".to_owned(),
            line: None,
        });
    }
    Ok(())
}

fn appended(
    entering: &Entering<'_>,
    mut open: OpenBook,
    sheet: &receiver::sheet::Sheet,
    list: &List,
    facts: &[Fact],
) -> Result<ProofRecordedView, Trouble> {
    let made = open
        .append_all(facts)?
        .ok_or_else(|| Trouble::ours("an answer that was understood is not there"))?;
    answered(entering, open, sheet, list, made)
}

fn answered(
    entering: &Entering<'_>,
    open: OpenBook,
    sheet: &receiver::sheet::Sheet,
    list: &List,
    made: Made,
) -> Result<ProofRecordedView, Trouble> {
    let in_file = |error| trouble(entering.file, error);
    let entries = open.book.entries().map_err(in_file)?;
    let name = open.book.name().map_err(in_file)?;
    Ok(ProofRecordedView {
        format: FORMAT,
        program: PROGRAM_VERSION,
        data: parts::DATA_EDITION,
        file: entering.file.display().to_string(),
        restoration: name.clone(),
        entries: entries
            .iter()
            .filter(|entry| made.has(entry.number))
            .map(EntryView::from)
            .collect(),
        proof: view_of(entering.file, Some(name), sheet, list, &entries, Vec::new())?,
        notices: open.notices,
    })
}
