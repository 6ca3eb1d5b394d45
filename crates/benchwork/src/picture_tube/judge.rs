//! A picture tube judged from what a restoration keeps of it, or told by its type alone.
//!
//! Units as the views name them. Fails when the file cannot be opened, for a type that nobody
//! knows, and for figures of the question that cannot be understood (all at once).

use std::path::Path;

use logbook::{Logbook, StandingFact, standing_facts};
use parts::TubeType;
use receiver::picture_tube::emission::{Comparison, EmissionOutlook, compare, judge_emission};
use receiver::picture_tube::set_range::set_range;
use receiver::sheet::{Sheet, read_sheet};

use super::ask::PictureAsk;
use super::assemble::{Question, assemble};
use super::drive::range_view;
use super::emission::comparison_view;
use super::gather::{Gathered, gather, type_of, which_tube};
use super::typed::Typed;
use crate::check_sheet::catalogue;
use crate::restoration::trouble;
use crate::sheet_so_far::sheet_so_far;
use crate::trouble::Trouble;
use crate::view::{ComparisonView, PictureView};

/// Volts of the bench source where none are said.
const USUAL_SOURCE: f64 = 150.0;

/// Judges the picture tube of a restoration.
pub fn judge_picture_tube(file: &Path, ask: &PictureAsk) -> Result<PictureView, Trouble> {
    let in_file = |error| trouble(file, error);
    let book = Logbook::look(file).map_err(in_file)?;
    let sheet = sheet_of(&book, file)?;
    let entries = book.entries().map_err(in_file)?;
    let facts = standing_facts(&entries);
    let asked = Asked { ask, of_set: true };
    view_of(file, &book, sheet.as_ref(), &facts, &asked)
}

/// Tells a type without any record.
pub fn tell_picture_type(number: &str, ask: &PictureAsk) -> Result<PictureView, Trouble> {
    let tube = picture_type(number)?;
    let question = question(ask, None)?;
    if ask.against.is_some() || ask.against_tube.is_some() {
        return Err(Trouble::input(
            "a type alone has no readings to compare",
            "name a restoration's file in place of the type",
        ));
    }
    assemble(tube, None, &question)
}

/// A question, and whether the set around the tube is to be worked out too.
pub(super) struct Asked<'a> {
    /// The question.
    pub ask: &'a PictureAsk,
    /// The set is solved with the brightness control at both ends.
    pub of_set: bool,
}

/// The view of a restoration whose facts are at hand.
pub(super) fn view_of(
    file: &Path,
    book: &Logbook,
    sheet: Option<&Sheet>,
    facts: &[StandingFact<'_>],
    asked: &Asked<'_>,
) -> Result<PictureView, Trouble> {
    let ask = asked.ask;
    let part = which_tube(ask.tube.as_deref(), sheet, facts);
    let tube = tube_of(&part, sheet, facts, ask)?;
    let gathered = gather(facts, &part, &tube);
    let range = match sheet.filter(|_| asked.of_set) {
        Some(sheet) if sheet.tube(&part).is_some() => {
            let text = book.present_sheet().map_err(|error| trouble(file, error))?;
            let so_far = sheet_so_far(&text.unwrap_or_default(), facts)?;
            let sheet = so_far.as_ref().map_or(sheet, |so_far| &so_far.sheet);
            Some(set_range(sheet, &part, catalogue()?))
        }
        _ => None,
    };
    let worked_out = range.as_ref().and_then(|range| {
        let volts = range.as_ref().ok()?.bright.second_grid?;
        Some((
            volts.0,
            "worked out from the sheet, brightness up".to_owned(),
        ))
    });
    let question = question(ask, gathered.second_grid.clone().or(worked_out))?;
    let mut gathered = gathered;
    gathered.facts.good_from = question.good_from;
    let comparison = match (&ask.against, &ask.against_tube) {
        (None, None) => None,
        (other, name) => Some(compared(
            (file, &part, &gathered),
            other.as_deref(),
            name.as_deref(),
            (sheet, facts),
        )?),
    };
    let mut view = assemble(&tube, Some(&gathered), &question)?;
    view.file = Some(file.display().to_string());
    view.restoration = Some(book.name().map_err(|error| trouble(file, error))?);
    view.tube = Some(part);
    match range {
        Some(Ok(range)) => {
            let usual = view.drive.second_grid_volts;
            view.drive.set_range = Some(range_view(&tube, &range, usual));
        }
        Some(Err(because)) => view.drive.set_range_unknown = Some(because),
        None => {}
    }
    view.comparisons.extend(comparison);
    Ok(view)
}

fn sheet_of(book: &Logbook, file: &Path) -> Result<Option<Sheet>, Trouble> {
    let text = book.present_sheet().map_err(|error| trouble(file, error))?;
    let Some(text) = text else {
        return Ok(None);
    };
    Ok(read_sheet(&text, catalogue()?).sheet)
}

/// The tube's type: asked for, kept, or that of the sheet with its own figures.
fn tube_of(
    part: &str,
    sheet: Option<&Sheet>,
    facts: &[StandingFact<'_>],
    ask: &PictureAsk,
) -> Result<TubeType, Trouble> {
    let number = ask
        .type_number
        .clone()
        .or_else(|| type_of(part, sheet, facts))
        .ok_or_else(|| {
            Trouble::input(
                format!("the type of {part} is not known"),
                "say it with --type, such as 12LP4, or take in a sheet that has the tube",
            )
        })?;
    let listed = sheet
        .and_then(|sheet| sheet.tube(part))
        .map(|tube| &tube.kind);
    if let Some(listed) = listed.filter(|kind| kind.name == number && kind.is_picture_tube) {
        return Ok(listed.clone());
    }
    picture_type(&number).cloned()
}

/// A picture tube of the catalogue.
fn picture_type(number: &str) -> Result<&'static TubeType, Trouble> {
    let catalogue = catalogue()?;
    let shown = number.trim();
    let Some(found) = catalogue.tube(shown) else {
        let near: Vec<&str> = catalogue
            .nearest_tubes(shown)
            .into_iter()
            .filter(|name| {
                catalogue
                    .tube(name)
                    .is_some_and(|tube| tube.is_picture_tube)
            })
            .collect();
        let hint = if near.is_empty() {
            "write the number as it stands on the tube, such as 12LP4; a restoration's file ends with .restoration".to_owned()
        } else {
            format!(
                "nearest picture tubes in the catalogue: {}",
                near.join(", ")
            )
        };
        return Err(Trouble::input(
            format!("`{shown}` is no picture tube of the catalogue and no file"),
            hint,
        ));
    };
    if !found.is_picture_tube {
        return Err(Trouble::input(
            format!("{} is no picture tube", found.name),
            "`firstraster tube` tells of it",
        ));
    }
    Ok(found)
}

/// The question with its figures read.
fn question(ask: &PictureAsk, measured: Option<(f64, String)>) -> Result<Question, Trouble> {
    let mut typed = Typed::default();
    let mut volts = |place: &str, text: &Option<String>, most| {
        let text = text.as_deref()?;
        typed.volts(place, text, most)
    };
    let second_grid = volts("--second-grid", &ask.second_grid, 1000.0);
    let source = volts("--source", &ask.source, 1000.0);
    let drive = volts("--drive", &ask.drive, 300.0);
    let good_from = ask
        .good_from
        .as_deref()
        .and_then(|text| Some(typed.shown("--good-from", text)?.0));
    let stand_in = match ask.stand_in.as_deref() {
        None => None,
        Some(number) => match picture_type(number) {
            Ok(tube) => Some(tube),
            Err(Trouble::Input { faults }) => {
                for fault in faults {
                    typed.fault(format!("--stand-in: {}", fault.text), fault.hint);
                }
                None
            }
            Err(other) => return Err(other),
        },
    };
    typed.end()?;
    Ok(Question {
        second_grid: second_grid
            .map(|volts| (volts, "as you said".to_owned()))
            .or(measured),
        source: source.unwrap_or(USUAL_SOURCE),
        drive,
        good_from,
        stand_in,
    })
}

/// This tube against another one, of this file or of another.
fn compared(
    (file, part, own): (&Path, &str, &Gathered),
    other: Option<&Path>,
    name: Option<&str>,
    here: (Option<&Sheet>, &[StandingFact<'_>]),
) -> Result<ComparisonView, Trouble> {
    let first = match other {
        Some(_) => format!("{part} of {}", file.display()),
        None => part.to_owned(),
    };
    let (second, theirs) = match other {
        None => {
            let second = which_tube(name, here.0, here.1);
            (second.clone(), last_outlook_of(&second, here.0, here.1)?)
        }
        Some(path) => {
            let in_file = |error| trouble(path, error);
            let book = Logbook::look(path).map_err(in_file)?;
            let sheet = sheet_of(&book, path)?;
            let entries = book.entries().map_err(in_file)?;
            let facts = standing_facts(&entries);
            let second = which_tube(name, sheet.as_ref(), &facts);
            let outlook = last_outlook_of(&second, sheet.as_ref(), &facts)?;
            (format!("{second} of {}", path.display()), outlook)
        }
    };
    if first == second {
        return Err(Trouble::input(
            format!("{first} is compared with itself"),
            "name another tube with --against-tube, or another file with --against",
        ));
    }
    let comparison = match (last_outlook(own), theirs) {
        (Some(first), Some(second)) => compare(&first, &second),
        (None, _) => none_read(&first),
        (_, None) => none_read(&second),
    };
    Ok(comparison_view(first, second, &comparison))
}

fn none_read(which: &str) -> Comparison {
    Comparison::CannotTell {
        because: format!("no emission of {which} was read that can be used"),
    }
}

fn last_outlook_of(
    part: &str,
    sheet: Option<&Sheet>,
    facts: &[StandingFact<'_>],
) -> Result<Option<EmissionOutlook>, Trouble> {
    let tube = tube_of(part, sheet, facts, &PictureAsk::default())?;
    Ok(last_outlook(&gather(facts, part, &tube)))
}

fn last_outlook(gathered: &Gathered) -> Option<EmissionOutlook> {
    let last = gathered.facts.sittings.last()?;
    judge_emission(&last.record).ok()
}
