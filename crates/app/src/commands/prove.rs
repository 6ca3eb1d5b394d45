//! `firstraster prove FILE [enter ITEM ANSWER ... | sign]`: the check list at the end.
//!
//! Status 0 whatever the list says: a failed item is a finding. Status 1 for what cannot be understood;
//! nothing is written then.

use benchwork::{Entering, Trouble, record_proof, sign_proof, tell_proof};

use crate::cli_prove::{ProofSvgOf, ProveArguments, ProveEntry};
use crate::clock::time;
use crate::commands::DONE;
use crate::draw;
use crate::output::{Screen, Stop, prove_page, watched::watched};

/// Runs the command.
pub fn run(arguments: &ProveArguments, screen: &mut Screen) -> Result<u8, Stop> {
    if let Some(entry) = &arguments.entry {
        return enter(arguments, entry, screen);
    }
    let mut view = watched(screen, |work| tell_proof(&arguments.file, work))?;
    if let Some(path) = &arguments.svg {
        draw::draw_proof(&view, arguments.svg_of.unwrap_or(ProofSvgOf::Leakage), path)?;
    }
    if let Some(key) = &arguments.item {
        let known: Vec<String> = view.items.iter().map(|item| item.key.clone()).collect();
        view.items
            .retain(|item| item.key.eq_ignore_ascii_case(key.trim()));
        if view.items.is_empty() {
            return Err(Stop::Trouble(Trouble::input(
                format!("the list of this set has no `{}`", key.trim()),
                format!("its items are: {}", known.join(", ")),
            )));
        }
    }
    if screen.json {
        screen.answer(&view)?;
    } else {
        screen.say(&prove_page::page(&view, arguments.item.is_some()))?;
    }
    Ok(DONE)
}

fn enter(arguments: &ProveArguments, entry: &ProveEntry, screen: &mut Screen) -> Result<u8, Stop> {
    if arguments.svg.is_some() || arguments.item.is_some() {
        return Err(Stop::Trouble(Trouble::input(
            "the list is shown and drawn as it is kept, not while something is entered",
            "enter first, then ask for it",
        )));
    }
    let entering = |at: &Option<benchwork::Stamp>| -> Result<Entering<'_>, Stop> {
        Ok(Entering::new(&arguments.file, time(at.clone())?))
    };
    let recorded = match entry {
        ProveEntry::Enter(own) => record_proof(&entering(&own.at)?, &own.proof())?,
        ProveEntry::Sign(own) => sign_proof(&entering(&own.at)?, &own.signature())?,
    };
    if screen.json {
        screen.answer(&recorded)?;
    } else {
        screen.say(&prove_page::recorded(&recorded))?;
    }
    Ok(DONE)
}
