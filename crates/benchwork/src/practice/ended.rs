//! The end of a practice: a part is named, or it is given up.
//!
//! Naming is an entry of its own; a part named wrongly may be followed by another. Fails for a part that
//! the sheet has not, and for a practice that has ended.

use std::path::Path;

use logbook::{Decided, Fact, Logbook, standing_facts};
use receiver::suspects::outcome::suspect_named;

use super::bench::with_bench;
use super::shown::symptoms;
use super::{Hidden, complaint, measurements, no_part};
use crate::hunt::fault_in_words;
use crate::restoration::{Entering, open, trouble};
use crate::sent_once::{enter, made_before};
use crate::trouble::Trouble;
use crate::view::{HiddenFaultView, PracticeView};
use crate::{FORMAT, PROGRAM_VERSION};

/// What begins the entry that names a part, and the one that gives up.
const NAMED: &str = "practice: named ";
const GIVEN_UP: &str = "practice: given up";

/// Names a part as faulty.
pub fn name_part(entering: &Entering<'_>, part: &str) -> Result<PracticeView, Trouble> {
    let hidden = Hidden::of(entering.file)?;
    if made_before(entering)?.is_some() {
        return Ok(standing(entering.file)?.0);
    }
    refuse_ended(entering.file)?;
    let reference = with_bench(hidden.set, |bench| {
        let suspect = suspect_named(bench.model(), part).ok_or_else(|| no_part(bench, part))?;
        Ok::<_, Trouble>(suspect.reference(bench.model()).to_owned())
    })??;
    end_with(entering, format!("{NAMED}{reference}"))
}

/// Gives up: what was hidden is told.
pub fn give_up(entering: &Entering<'_>) -> Result<PracticeView, Trouble> {
    Hidden::of(entering.file)?;
    if made_before(entering)?.is_some() {
        return Ok(standing(entering.file)?.0);
    }
    refuse_ended(entering.file)?;
    end_with(entering, GIVEN_UP.to_owned())
}

fn end_with(entering: &Entering<'_>, what: String) -> Result<PracticeView, Trouble> {
    let fact = Fact::Decided(Decided {
        what,
        because: String::new(),
    });
    enter(entering, |open| open.append(&fact))?;
    let (told, ended) = standing(entering.file)?;
    if ended {
        // What cannot be kept is worked out again the next time.
        let mut open = open(entering)?;
        let own = told
            .own_measurements
            .map_or_else(String::new, |own| own.to_string());
        let _ = open
            .book
            .keep_worked_out(&own_way_rests_on(&told.practice), own.as_bytes());
    }
    Ok(told)
}

/// Everything that the way of the search itself rests on.
fn own_way_rests_on(practice: &str) -> String {
    format!(
        "own way from the complaint\n{PROGRAM_VERSION}\n{}\n{practice}",
        parts::DATA_EDITION
    )
}

/// How many measurements the search itself took: kept beside the facts, or worked out.
fn own_measurements(book: &Logbook, hidden: Hidden) -> Result<Option<usize>, Trouble> {
    let name = book.name().unwrap_or_default();
    let kept = book.worked_out(&own_way_rests_on(&name)).ok().flatten();
    if let Some(kept) = kept.and_then(|bytes| String::from_utf8(bytes).ok()) {
        return Ok(kept.parse().ok());
    }
    let complaint = complaint(book)?;
    with_bench(hidden.set, |bench| {
        bench.own_way(hidden.seed, hidden.faults, &complaint)
    })?
}

fn refuse_ended(file: &Path) -> Result<(), Trouble> {
    let (told, ended) = standing(file)?;
    match ended {
        false => Ok(()),
        true => Err(Trouble::input(
            format!(
                "this practice has ended after {} measurements",
                told.measurements
            ),
            "begin another one in a new file",
        )),
    }
}

/// How the practice stands, and whether it has ended.
pub(super) fn standing(file: &Path) -> Result<(PracticeView, bool), Trouble> {
    let hidden = Hidden::of(file)?;
    let in_file = |error| trouble(file, error);
    let book = Logbook::look(file).map_err(in_file)?;
    let entries = book.entries().map_err(in_file)?;
    let decided: Vec<String> = standing_facts(&entries)
        .iter()
        .filter_map(|one| match one.fact {
            Fact::Decided(decided) => Some(decided.what.clone()),
            _ => None,
        })
        .collect();
    let named: Vec<String> = decided
        .iter()
        .filter_map(|what| what.strip_prefix(NAMED))
        .map(str::to_owned)
        .collect();
    let given_up = decided.iter().any(|what| what == GIVEN_UP);
    let faults = with_bench(hidden.set, |bench| {
        let set = bench.hidden(hidden.seed, hidden.faults);
        let of = |own: &receiver::practice::hidden::HiddenFault| HiddenFaultView {
            part: own.suspect.reference(bench.model()).to_owned(),
            fault: own.fault.clone(),
            severity: own.severity,
            text: bench
                .hypotheses()
                .list
                .get(own.hypothesis)
                .map_or_else(String::new, |hypothesis| {
                    fault_in_words(bench.model(), hypothesis, own.severity)
                }),
        };
        set.faults.iter().map(of).collect::<Vec<_>>()
    })?;
    let is_found = |fault: &HiddenFaultView| named.contains(&fault.part);
    let found: Vec<String> = faults
        .iter()
        .filter(|fault| is_found(fault))
        .map(|fault| fault.part.clone())
        .collect();
    let all_found = found.len() == faults.len();
    let ended = given_up || all_found;
    let own_measurements = match ended {
        true => own_measurements(&book, hidden)?,
        false => None,
    };
    let wrong = named
        .iter()
        .filter(|part| !faults.iter().any(|fault| fault.part == **part));
    let view = PracticeView {
        format: FORMAT,
        program: PROGRAM_VERSION,
        data: parts::DATA_EDITION,
        file: file.display().to_string(),
        practice: book.name().map_err(in_file)?,
        complaint: {
            let table = symptoms()?;
            let seen = complaint(&book)?;
            let names = seen.iter().filter_map(|at| table.get(*at));
            names.map(|own| own.name.clone()).collect()
        },
        measurements: measurements(&book).map_err(in_file)?,
        state: match (all_found, given_up) {
            (true, _) => "found",
            (false, true) => "given_up",
            (false, false) => "open",
        },
        found,
        named_wrongly: wrong.cloned().collect(),
        own_measurements,
        hidden_faults: hidden.faults,
        faults: if ended { faults } else { Vec::new() },
    };
    Ok((view, ended))
}
