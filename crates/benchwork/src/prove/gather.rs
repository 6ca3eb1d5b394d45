//! Answers of a restoration to the check list, and what later work makes of them.
//!
//! An answer counts until work that touches its item comes after it; then the item is open again. Order
//! goes by the numbers of the entries. Nothing here fails.

use logbook::{Changed, Entry, Fact, Fitted, OfProof, PlugWay, ProofFinding, StandingFact};
use receiver::plan::situation::{ends, line_side};
use receiver::proof::{ProofAnswer, ProofItem, ReopenedBy, Slot, SlotAnswer};
use receiver::sheet::PartValue;
use receiver::wiring::SetModel;

/// Words of a change that touch the line side.
const LINE_WORDS: [&str; 6] = ["cord", "plug", "fuse", "switch", "interlock", "line"];

/// Work on the set that came after an answer.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Reopening {
    /// The entry of the work.
    pub entry: u64,
    /// What it was.
    pub work: String,
}

/// What a restoration says of one item.
#[derive(Debug, Clone, PartialEq, Default)]
pub(super) struct OfItem {
    /// Answers that count, in order.
    pub answers: Vec<ProofAnswer>,
    /// Work that took earlier answers back.
    pub reopened: Vec<Reopening>,
}

/// Everything that was answered to an item.
pub(super) fn of_item(
    model: &SetModel<'_>,
    item: &ProofItem,
    facts: &[StandingFact<'_>],
) -> OfItem {
    let mut found = OfItem::default();
    for one in facts {
        match one.fact {
            Fact::OfProof(proof) if proof.item.eq_ignore_ascii_case(&item.key) => {
                if let Some(answer) = answer_of(one.number, proof) {
                    found.answers.push(answer);
                }
            }
            fact => {
                if let Some(work) = work_that_touches(model, item, fact)
                    && !found.answers.is_empty()
                {
                    found.answers.clear();
                    found.reopened.push(Reopening {
                        entry: one.number,
                        work,
                    });
                }
            }
        }
    }
    found
}

/// The place of an answer.
pub(super) fn slot_of(proof: &OfProof) -> Slot {
    Slot {
        point: proof.at.clone(),
        plug_other: proof.plug.map(|way| way == PlugWay::Other),
        switched_on: proof.switched_on,
        minutes: proof.minutes,
    }
}

fn answer_of(entry: u64, proof: &OfProof) -> Option<ProofAnswer> {
    let answer = match &proof.found {
        ProofFinding::Figure { value, .. } => SlotAnswer::Figure(*value),
        ProofFinding::Answer { yes } => SlotAnswer::Yes(*yes),
        ProofFinding::NotOfThisSet { .. } => SlotAnswer::NotOfThisSet,
        ProofFinding::Signed { .. } => return None,
    };
    Some(ProofAnswer {
        slot: slot_of(proof),
        answer,
        entry,
    })
}

/// What was done, where it makes the item open again.
fn work_that_touches(model: &SetModel<'_>, item: &ProofItem, fact: &Fact) -> Option<String> {
    let (is_at_line, work) = match fact {
        Fact::Fitted(fitted) => (is_at_line(model, fitted), format!("{} fitted", fitted.part)),
        Fact::Changed(changed) => (
            names_the_line(&changed.what),
            format!("changed: {}", in_words(changed)),
        ),
        _ => return None,
    };
    let touches = match item.reopened_by {
        ReopenedBy::Nothing => false,
        ReopenedBy::LineWork => is_at_line,
        ReopenedBy::AnyWork => true,
    };
    touches.then_some(work)
}

fn in_words(changed: &Changed) -> String {
    if changed.is.is_empty() {
        changed.what.clone()
    } else {
        format!("{}, {}", changed.what, changed.is)
    }
}

fn names_the_line(text: &str) -> bool {
    let folded = text.to_lowercase();
    LINE_WORDS.iter().any(|word| folded.contains(word))
}

fn is_at_line(model: &SetModel<'_>, fitted: &Fitted) -> bool {
    let place = model
        .sheet
        .parts
        .iter()
        .position(|part| part.reference.eq_ignore_ascii_case(fitted.part.trim()));
    let Some(place) = place else {
        return names_the_line(&fitted.part) || names_the_line(&fitted.new);
    };
    if matches!(
        model.sheet.parts[place].value,
        PartValue::Fuse { .. } | PartValue::Plug { .. } | PartValue::Switch { .. }
    ) {
        return true;
    }
    let side = line_side(model);
    ends(model, place).is_some_and(|(from, to)| side.contains(&from) || side.contains(&to))
}

/// The last signature, and whether anything was entered after it that it does not cover.
pub(super) fn signature<'e>(
    entries: &'e [Entry],
    facts: &[StandingFact<'_>],
) -> Option<(&'e Entry, bool)> {
    let last = facts.iter().rev().find(|one| {
        matches!(one.fact, Fact::OfProof(proof) if matches!(proof.found, ProofFinding::Signed { .. }))
    })?;
    let entry = logbook::at(entries, last.number)?;
    let Fact::OfProof(OfProof {
        found: ProofFinding::Signed { up_to },
        ..
    }) = last.fact
    else {
        return None;
    };
    let stands = !entries.iter().any(|own| {
        own.number > *up_to
            && own.number != last.number
            && match &own.fact {
                Fact::OfProof(proof) => !matches!(proof.found, ProofFinding::Signed { .. }),
                Fact::Fitted(_)
                | Fact::Changed(_)
                | Fact::SheetTaken(_)
                | Fact::Corrected(_)
                | Fact::Undone(_) => true,
                _ => false,
            }
    });
    Some((entry, stands))
}
