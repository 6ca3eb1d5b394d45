//! Where tubes and parts are on the photographs of a chassis: marked, taken off, and told.
//!
//! Fractions of the upright photograph's width and height, 0 to 1, from its upper left corner. Of several
//! marks of a part on one photograph the last that stands holds. A name that the sheet has not is kept as it was
//! typed, with a notice. Fails for a place that is none and for a photograph that no entry of this
//! restoration stands for (all faults at once; nothing is written then), and as opening the file does.

use std::path::Path;

use logbook::{Fact, Logbook, Photographed, Placed, StandingFact, Undone, standing_facts};
use receiver::sheet::{Sheet, read_sheet};

use crate::check_sheet::catalogue;
use crate::restoration::{Entering, OpenBook, trouble};
use crate::sent_once::enter;
use crate::trouble::Trouble;
use crate::view::{
    ChassisPhotographView, ChassisView, FaultView, MarkView, NoticeView, RecordedView,
    TubeNotPlacedView,
};
use crate::{FORMAT, PROGRAM_VERSION};

/// Marks a tube or part on a photograph.
pub fn place_on_photograph(
    entering: &Entering<'_>,
    mut placed: Placed,
) -> Result<RecordedView, Trouble> {
    enter(entering, |mut open| {
        placed.part = placed.part.trim().to_owned();
        let mut faults: Vec<FaultView> = Fact::Placed(placed.clone())
            .faults()
            .into_iter()
            .map(|fault| FaultView::of_input(format!("{} {}", fault.key, fault.text), &fault.hint))
            .collect();
        let in_file = |error| trouble(entering.file, error);
        let entries = open.book.entries().map_err(in_file)?;
        let facts = standing_facts(&entries);
        if !photographs(&facts).any(|(_, own)| own.photograph == placed.photograph) {
            faults.push(no_photograph(&placed.photograph));
        }
        if !faults.is_empty() {
            return Err(Trouble::Input { faults });
        }
        placed.part = open.part(&placed.part);
        open.append(&Fact::Placed(placed))
    })
}

/// Takes the marks of a tube or part off a photograph: each entry that made one is undone.
pub fn take_off_photograph(
    entering: &Entering<'_>,
    part: &str,
    photograph: &str,
) -> Result<RecordedView, Trouble> {
    enter(entering, |open| take_off(open, part.trim(), photograph))
}

fn take_off(mut open: OpenBook, part: &str, photograph: &str) -> Result<RecordedView, Trouble> {
    let path = open.book.path().to_path_buf();
    let entries = open.book.entries().map_err(|error| trouble(&path, error))?;
    let mut undone = Vec::new();
    for (number, own) in marks(&standing_facts(&entries)) {
        if own.photograph == photograph && own.part.eq_ignore_ascii_case(part) {
            open.refuse_overtaken(&entries, number)?;
            let because = String::new();
            undone.push(Fact::Undone(Undone {
                names: number,
                because,
            }));
        }
    }
    let made = open.append_all(&undone)?.ok_or_else(|| {
        Trouble::input(
            format!("`{part}` is not marked on this photograph"),
            "load the page anew; it shows what is marked",
        )
    })?;
    open.tell(made.first)
}

/// The photographs with what is marked on each, and the tubes that are marked on none.
pub fn tell_chassis(file: &Path) -> Result<ChassisView, Trouble> {
    let (book, sheet) = book_with_sheet(file)?;
    chassis_of(file, &book, sheet.as_ref())
}

/// A restoration, opened to be looked at, with its present sheet where that is without faults.
pub(crate) fn book_with_sheet(file: &Path) -> Result<(Logbook, Option<Sheet>), Trouble> {
    let in_file = |error| trouble(file, error);
    let book = Logbook::look(file).map_err(in_file)?;
    let text = book.present_sheet().map_err(in_file)?;
    let sheet = match &text {
        Some(text) => read_sheet(text, catalogue()?).sheet,
        None => None,
    };
    Ok((book, sheet))
}

/// The same of an open file with its sheet, where that is without faults.
pub(crate) fn chassis_of(
    file: &Path,
    book: &Logbook,
    sheet: Option<&Sheet>,
) -> Result<ChassisView, Trouble> {
    let in_file = |error| trouble(file, error);
    let entries = book.entries().map_err(in_file)?;
    let facts = standing_facts(&entries);
    let mut shown: Vec<ChassisPhotographView> = Vec::new();
    for (number, own) in photographs(&facts) {
        // The same photograph added again is one, as it was described last.
        let found = shown
            .iter_mut()
            .find(|earlier| earlier.photograph == own.photograph);
        let view = photograph_view(number, own, &facts, sheet);
        match found {
            Some(earlier) => *earlier = view,
            None => shown.push(view),
        }
    }
    let is_marked = |reference: &str| {
        let mut marks = shown.iter().flat_map(|own| &own.marks);
        marks.any(|mark| mark.part.eq_ignore_ascii_case(reference))
    };
    let tubes = sheet.into_iter().flat_map(|sheet| &sheet.tubes);
    let not_placed = tubes
        .filter(|tube| !is_marked(&tube.reference))
        .map(|tube| TubeNotPlacedView {
            part: tube.reference.clone(),
            type_number: tube.kind.name.clone(),
        })
        .collect();
    let notice = sheet.is_none().then(|| NoticeView {
        text: "no sheet without faults was taken in, so the tubes of the set are not known"
            .to_owned(),
        hint: "take one in: `firstraster take FILE SHEET`".to_owned(),
        line: None,
    });
    Ok(ChassisView {
        format: FORMAT,
        program: PROGRAM_VERSION,
        data: parts::DATA_EDITION,
        file: file.display().to_string(),
        restoration: book.name().map_err(in_file)?,
        entered: entries.len(),
        photographs: shown,
        not_placed,
        notices: notice.into_iter().collect(),
    })
}

fn photograph_view(
    entry: u64,
    own: &Photographed,
    facts: &[StandingFact<'_>],
    sheet: Option<&Sheet>,
) -> ChassisPhotographView {
    let mut shown: Vec<MarkView> = Vec::new();
    for (number, mark) in marks(facts).filter(|(_, mark)| mark.photograph == own.photograph) {
        let view = mark_view(number, mark, sheet);
        let found = shown
            .iter_mut()
            .find(|earlier| earlier.part.eq_ignore_ascii_case(&view.part));
        match found {
            Some(earlier) => *earlier = view,
            None => shown.push(view),
        }
    }
    ChassisPhotographView {
        entry,
        photograph: own.photograph.clone(),
        name: own.name.clone(),
        shows: own.shows.clone(),
        taken: own.taken.clone(),
        marks: shown,
    }
}

fn mark_view(entry: u64, mark: &Placed, sheet: Option<&Sheet>) -> MarkView {
    let tube = sheet.and_then(|sheet| sheet.tube(&mark.part));
    let part = sheet.and_then(|sheet| sheet.part(&mark.part));
    let spelled = tube
        .map(|tube| &tube.reference)
        .or(part.map(|part| &part.reference));
    MarkView {
        entry,
        part: spelled.unwrap_or(&mark.part).clone(),
        type_number: tube.map(|tube| tube.kind.name.clone()),
        on_sheet: spelled.is_some(),
        across: mark.across,
        down: mark.down,
    }
}

/// The photographs that stand, each with its entry, in their order.
fn photographs<'a>(facts: &'a [StandingFact<'_>]) -> impl Iterator<Item = (u64, &'a Photographed)> {
    facts.iter().filter_map(|one| match one.fact {
        Fact::Photographed(own) => Some((one.number, own)),
        _ => None,
    })
}

/// The marks that stand, each with its entry, in their order.
fn marks<'a>(facts: &'a [StandingFact<'_>]) -> impl Iterator<Item = (u64, &'a Placed)> {
    facts.iter().filter_map(|one| match one.fact {
        Fact::Placed(own) => Some((one.number, own)),
        _ => None,
    })
}

fn no_photograph(hash: &str) -> FaultView {
    let shown: String = hash.chars().take(64).collect();
    FaultView::of_input(
        format!("no photograph `{shown}` stands in this restoration"),
        "add the photograph first; it may have been undone",
    )
}
