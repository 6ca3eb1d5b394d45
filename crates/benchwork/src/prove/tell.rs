//! The whole state of the proof: every item with its answers, by whom and when, what is open.
//!
//! Units as each item names them. Nothing is written. Fails as [`super`] says.

use std::path::Path;

use logbook::{Entry, Fact, Logbook, OfProof, ProofFinding, StandingFact, standing_facts};
use receiver::expect::Predictor;
use receiver::proof::{
    Asks, Expected, ItemState, JudgedSlot, ProofItem, judge_item, proof_figures, proof_items,
};
use receiver::sheet::{ChassisStanding, Sheet};
use receiver::wiring::SetModel;

use super::gather::{of_item, signature};
use crate::check_sheet::{catalogue, powered_sheet};
use crate::long_work::LongWork;
use crate::read_sheet_file::read_set_file;
use crate::restoration::trouble;
use crate::trouble::Trouble;
use crate::view::{
    NoticeView, ProofCountsView, ProofItemView, ProofReopenedView, ProofSignatureView,
    ProofSlotView, ProofUnknownView, ProofView, six_figures,
};
use crate::{FORMAT, PROGRAM_VERSION};

/// What every answer says, so that no list is read for more than it is.
pub(super) const WORDS: &str = "Readings against figures, each with its source; no edition of a standard was read for them. \
     They do not say that the set is safe or meets a standard: local codes and licensed practice decide.";

/// Tells the check list of a sheet or restoration as it stands.
pub fn tell_proof(file: &Path, work: LongWork<'_>) -> Result<ProofView, Trouble> {
    let set = read_set_file(file)?;
    let (sheet, notices) = powered_sheet(&set)?;
    if !set.is_of_a_restoration() {
        return view_of(file, None, &sheet, &list_of(&sheet, work)?, &[], notices);
    }
    let in_file = |error| trouble(file, error);
    let book = Logbook::look(file).map_err(in_file)?;
    let entries = book.entries().map_err(in_file)?;
    let name = book.name().map_err(in_file)?;
    view_of(
        file,
        Some(name),
        &sheet,
        &list_of(&sheet, work)?,
        &entries,
        notices,
    )
}

/// The list of a set with what was solved for it.
pub(super) fn list_of(sheet: &Sheet, work: LongWork<'_>) -> Result<List, Trouble> {
    work.comes_to("Solving the set for the figures of its list")?;
    let model = SetModel::new(sheet, catalogue()?);
    let figures = proof_figures(&Predictor::new(&model));
    Ok(List {
        items: proof_items(&model, &figures),
        unknown: figures.unknown,
    })
}

/// The items of a set, worked out once for each question.
pub(super) struct List {
    /// The items.
    pub items: Vec<ProofItem>,
    /// What could not be solved, and why.
    pub unknown: Vec<(String, String)>,
}

/// The view where all is at hand.
pub(super) fn view_of(
    file: &Path,
    restoration: Option<String>,
    sheet: &Sheet,
    list: &List,
    entries: &[Entry],
    mut notices: Vec<NoticeView>,
) -> Result<ProofView, Trouble> {
    let facts = standing_facts(entries);
    let model = SetModel::new(sheet, catalogue()?);
    let items: Vec<ProofItemView> = list
        .items
        .iter()
        .map(|item| item_view(&model, item, &facts))
        .collect();
    for one in &facts {
        if let Fact::OfProof(proof) = one.fact
            && !matches!(proof.found, ProofFinding::Signed { .. })
            && !list
                .items
                .iter()
                .any(|item| item.key.eq_ignore_ascii_case(&proof.item))
        {
            notices.push(NoticeView {
                text: format!(
                    "entry {} answers `{}`, which the list of this set has not",
                    one.number, proof.item
                ),
                hint: "the sheet has changed since; answer the item that stands for it now"
                    .to_owned(),
                line: None,
            });
        }
    }
    let count = |state: ItemState| {
        items
            .iter()
            .filter(|item| item.state == state.word())
            .count()
    };
    let signature = signature(entries, &facts).and_then(|(entry, stands)| match &entry.fact {
        Fact::OfProof(OfProof { by, note, .. }) => Some(ProofSignatureView {
            by: by.clone(),
            note: note.clone(),
            entry: entry.number,
            at: entry.at.to_string(),
            stands,
        }),
        _ => None,
    });
    Ok(ProofView {
        format: FORMAT,
        program: PROGRAM_VERSION,
        data: parts::DATA_EDITION,
        file: file.display().to_string(),
        restoration,
        set: sheet.name.clone(),
        chassis: match sheet.chassis_standing() {
            ChassisStanding::OnTheLine { .. } => "on_the_line",
            ChassisStanding::Isolated { .. } => "isolated",
            ChassisStanding::NotTold => "not_told",
        },
        counts: ProofCountsView {
            met: count(ItemState::Met),
            failed: count(ItemState::Failed),
            open: count(ItemState::Open),
            not_of_this_set: count(ItemState::NotOfThisSet),
        },
        items,
        signature,
        unknown: list
            .unknown
            .iter()
            .cloned()
            .map(|(what, because)| ProofUnknownView { what, because })
            .collect(),
        words: WORDS,
        notices,
    })
}

fn item_view(model: &SetModel<'_>, item: &ProofItem, facts: &[StandingFact<'_>]) -> ProofItemView {
    let own = of_item(model, item, facts);
    let judged = judge_item(item, &own.answers);
    let limit = item.limit.as_ref();
    let finite = |figure: Option<f64>| figure.map(six_figures);
    ProofItemView {
        key: item.key.clone(),
        title: item.title.clone(),
        state: judged.state.word(),
        because: judged.because,
        asks: match item.asks {
            Asks::YesNo => "yes_no",
            Asks::Figure(_) => "figure",
        },
        unit: match item.asks {
            Asks::YesNo => None,
            Asks::Figure(unit) => Some(unit),
        },
        limit_low: finite(limit.and_then(|limit| limit.low)),
        limit_high: finite(limit.and_then(|limit| limit.high)),
        limit_source: limit.map(|limit| limit.source.clone()),
        limit_standing: limit.map(|limit| limit.standing.word()),
        slots: judged
            .slots
            .iter()
            .map(|slot| slot_view(item, slot, facts))
            .collect(),
        takes_further_points: item.more_points,
        computed: item
            .expected
            .iter()
            .filter(|own| !item.slots.iter().any(|slot| own.slot.covers(slot)))
            .map(|own| computed_in_words(own, item))
            .collect(),
        acts: item.acts.clone(),
        cautions: item.cautions.clone(),
        not_yet: item.not_yet.clone(),
        unknown: item.unknown.clone(),
        after: item.after.clone(),
        reopened: own
            .reopened
            .into_iter()
            .map(|one| ProofReopenedView {
                entry: one.entry,
                work: one.work,
            })
            .collect(),
    }
}

fn computed_in_words(own: &Expected, item: &ProofItem) -> String {
    let unit = match item.asks {
        Asks::Figure(unit) => unit,
        Asks::YesNo => "",
    };
    let switch = match own.slot.switched_on {
        Some(true) => ", on",
        Some(false) => ", off",
        None => "",
    };
    format!(
        "{}{switch}: {} {unit} by calculation ({})",
        own.slot.point,
        crate::view::three_figures(own.values[1]),
        own.made_of
    )
}

fn slot_view(item: &ProofItem, judged: &JudgedSlot, facts: &[StandingFact<'_>]) -> ProofSlotView {
    let slot = &judged.slot;
    let told = judged.answer.as_ref().and_then(|answer| {
        let fact = facts.iter().find(|one| one.number == answer.entry)?;
        match fact.fact {
            Fact::OfProof(proof) => Some((fact, proof)),
            _ => None,
        }
    });
    let expected = item.expected.iter().find(|own| own.slot.covers(slot));
    let (value, typed, answer) = match told.map(|(_, proof)| &proof.found) {
        Some(ProofFinding::Figure { value, typed, .. }) => (
            value.is_finite().then(|| six_figures(*value)),
            Some(typed.clone()),
            None,
        ),
        Some(ProofFinding::Answer { yes }) => (None, None, Some(*yes)),
        _ => (None, None, None),
    };
    let is_open_path = matches!(
        told.map(|(_, proof)| &proof.found),
        Some(ProofFinding::Figure { value, .. }) if value.is_infinite()
    );
    ProofSlotView {
        point: slot.point.clone(),
        plug: slot
            .plug_other
            .map(|other| if other { "other" } else { "one" }),
        switch: slot.switched_on.map(|on| if on { "on" } else { "off" }),
        minutes: slot.minutes,
        state: judged.state.word(),
        because: judged.because.clone(),
        value,
        is_open_path,
        typed,
        answer,
        expected: expected.map(|own| own.values.map(six_figures)),
        by: told.map(|(_, proof)| proof.by.clone()),
        at: told.map(|(fact, _)| fact.at.to_string()),
        entry: told.map(|(fact, _)| fact.number),
        line_volts: told.and_then(|(_, proof)| proof.line_volts),
        instrument: told
            .map(|(_, proof)| proof.instrument.clone())
            .filter(|text| !text.is_empty()),
        note: told
            .map(|(_, proof)| proof.note.clone())
            .filter(|text| !text.is_empty()),
    }
}
