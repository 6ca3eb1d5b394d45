//! Which facts stand: what was undone, what was corrected, and what holds now.
//!
//! An undo that is itself undone counts for nothing, so what it took back stands again. Of
//! several corrections of one fact the last that stands holds; to correct a correction is to
//! correct the fact that it names. Nothing here fails on entries that were read from a file.

use std::borrow::Cow;
use std::collections::HashMap;

use crate::fact::Fact;
use crate::stamp::Stamp;

/// One entry of the story.
#[derive(Debug, Clone, PartialEq)]
pub struct Entry {
    /// Its number, from 1, without gaps.
    pub number: u64,
    /// When it was entered, as the caller told.
    pub at: Stamp,
    /// What it says.
    pub fact: Fact,
    /// Whether it still counts.
    pub standing: Standing,
}

/// Whether an entry still counts.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Standing {
    /// It does, as it was entered.
    Stands,
    /// It is told anew by this entry.
    CorrectedBy(u64),
    /// It was taken back by this entry.
    UndoneBy(u64),
}

/// A fact that counts, in its last form.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct StandingFact<'a> {
    /// Number of the entry that first told it.
    pub number: u64,
    /// When that was.
    pub at: &'a Stamp,
    /// What holds now.
    pub fact: &'a Fact,
}

/// What an entry does to an earlier one.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Link {
    /// It takes it back.
    Undoes(u64),
    /// It tells it anew.
    Corrects(u64),
}

/// Sets how each entry stands anew, after some were put behind them; the first is entry 1.
pub fn stand_anew(entries: &mut [Entry]) {
    let standing = standings(entries);
    for (entry, standing) in entries.iter_mut().zip(standing) {
        entry.standing = standing;
    }
}

/// What can be known of an entry without reading it whole.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) struct Brief {
    /// Its kind.
    pub kind: Cow<'static, str>,
    /// The hash of the sheet that it names.
    pub sheet: Option<String>,
    /// What it does to an earlier one.
    pub link: Option<Link>,
}

impl Brief {
    /// The brief of a fact.
    pub fn of(fact: &Fact) -> Brief {
        Brief {
            kind: Cow::Borrowed(fact.kind()),
            sheet: fact.sheet().map(str::to_owned),
            link: link_of(fact),
        }
    }
}

/// The standing of each entry, in the order of the entries.
fn standings(entries: &[Entry]) -> Vec<Standing> {
    let links: Vec<Option<Link>> = entries.iter().map(|entry| link_of(&entry.fact)).collect();
    standings_of(&links)
}

/// The same where no more is known than which entry names which; the first is entry 1.
pub(crate) fn standings_of(links: &[Option<Link>]) -> Vec<Standing> {
    let mut standing: HashMap<u64, Standing> = HashMap::new();
    // What is named stands before what names it, so the last is judged first.
    for (place, link) in links.iter().enumerate().rev() {
        let number = place as u64 + 1;
        if let Some(Standing::UndoneBy(_)) = standing.get(&number) {
            continue;
        }
        match link {
            Some(Link::Undoes(names)) => {
                standing.insert(*names, Standing::UndoneBy(number));
            }
            Some(Link::Corrects(names)) => {
                let root = root_of(*names, |at| link_at(links, at));
                standing
                    .entry(root)
                    .or_insert(Standing::CorrectedBy(number));
            }
            None => {}
        }
    }
    (1..=links.len() as u64)
        .map(|number| *standing.get(&number).unwrap_or(&Standing::Stands))
        .collect()
}

fn link_of(fact: &Fact) -> Option<Link> {
    match fact {
        Fact::Undone(undone) => Some(Link::Undoes(undone.names)),
        Fact::Corrected(corrected) => Some(Link::Corrects(corrected.names)),
        _ => None,
    }
}

fn link_at(links: &[Option<Link>], number: u64) -> Option<Link> {
    let place = usize::try_from(number.checked_sub(1)?).ok()?;
    links.get(place).copied().flatten()
}

/// The facts that count now, in order; undos and corrections are followed and not listed.
pub fn standing_facts(entries: &[Entry]) -> Vec<StandingFact<'_>> {
    let listed = entries
        .iter()
        .filter(|entry| !matches!(entry.fact, Fact::Corrected(_) | Fact::Undone(_)));
    listed
        .filter_map(|entry| {
            let fact = match entry.standing {
                Standing::Stands => Some(&entry.fact),
                Standing::UndoneBy(_) => None,
                Standing::CorrectedBy(number) => match at(entries, number).map(|by| &by.fact) {
                    Some(Fact::Corrected(corrected)) => Some(&*corrected.instead),
                    _ => Some(&entry.fact),
                },
            };
            fact.map(|fact| StandingFact {
                number: entry.number,
                at: &entry.at,
                fact,
            })
        })
        .collect()
}

/// The entry of this number.
pub fn at(entries: &[Entry], number: u64) -> Option<&Entry> {
    let place = usize::try_from(number.checked_sub(1)?).ok()?;
    entries.get(place)
}

/// The fact that holds for an entry now: its own, or that of its last correction.
pub fn holds_now(entries: &[Entry], number: u64) -> Option<&Fact> {
    let root = root_in(entries, number);
    standing_facts(entries)
        .into_iter()
        .find(|standing| standing.number == root)
        .map(|standing| standing.fact)
}

/// The last entry after `seen` that changed how entry `number` stands, with what it did in words;
/// `None` where it stands as it did when `seen` was the last entry.
pub fn overtaken_by(entries: &[Entry], number: u64, seen: u64) -> Option<(u64, String)> {
    let briefs: Vec<Brief> = entries.iter().map(|entry| Brief::of(&entry.fact)).collect();
    overtaken_in(&briefs, number, seen)
}

/// The same where only the briefs of the entries are known.
pub(crate) fn overtaken_in(briefs: &[Brief], number: u64, seen: u64) -> Option<(u64, String)> {
    let link = |number| brief_at(briefs, number).and_then(|brief| brief.link);
    let root = root_of(number, link);
    let is_about = |later: &u64| {
        let mut at = *later;
        while let Some(Link::Undoes(names) | Link::Corrects(names)) = link(at) {
            if names == number || names == root {
                return true;
            }
            // What is named is always earlier; a file that says otherwise ends here.
            if names >= at {
                return false;
            }
            at = names;
        }
        false
    };
    let by = (seen.saturating_add(1)..=briefs.len() as u64)
        .rev()
        .find(is_about)?;
    let did = match link(by) {
        Some(Link::Corrects(_)) => format!("entry {root} was corrected"),
        Some(Link::Undoes(names)) if names == number || names == root => {
            format!("entry {names} was undone")
        }
        _ => format!("what undid or corrected entry {root} was taken back"),
    };
    Some((by, did))
}

/// Why a new fact may not name the entry that it names; `None` if it may.
pub(crate) fn naming_fault(briefs: &[Brief], new: &Fact) -> Option<String> {
    let number = new.names()?;
    let named = brief_at(briefs, number)?;
    let links: Vec<Option<Link>> = briefs.iter().map(|brief| brief.link).collect();
    let standings = standings_of(&links);
    let standing = |number: u64| {
        let place = usize::try_from(number.checked_sub(1)?).ok()?;
        standings.get(place).copied()
    };
    if let Some(Standing::UndoneBy(by)) = standing(number) {
        return Some(format!("is undone already, by entry {by}"));
    }
    let Fact::Corrected(corrected) = new else {
        return None;
    };
    if matches!(named.link, Some(Link::Undoes(_))) {
        return Some("is an undo: undo it, rather than correct it".to_owned());
    }
    let root = root_of(number, |number| link_at(&links, number));
    if let Some(Standing::UndoneBy(by)) = standing(root) {
        return Some(format!(
            "corrects entry {root}, which entry {by} has undone"
        ));
    }
    let (old, new) = (&brief_at(briefs, root)?.kind, corrected.instead.kind());
    (old != new).then(|| format!("was {old}, and a correction of it cannot be {new}"))
}

fn brief_at(briefs: &[Brief], number: u64) -> Option<&Brief> {
    let place = usize::try_from(number.checked_sub(1)?).ok()?;
    briefs.get(place)
}

/// The entry that a correction in the end is about.
fn root_of(number: u64, link: impl Fn(u64) -> Option<Link>) -> u64 {
    let mut number = number;
    while let Some(Link::Corrects(names)) = link(number) {
        // What is named is always earlier; a file that says otherwise ends here.
        if names >= number {
            break;
        }
        number = names;
    }
    number
}

fn root_in(entries: &[Entry], number: u64) -> u64 {
    root_of(number, |number| {
        at(entries, number).and_then(|entry| link_of(&entry.fact))
    })
}
