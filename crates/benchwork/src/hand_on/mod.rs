//! What is handed on with a set: everything that its restoration tells, gathered for one report.
//!
//! Units as the view's fields say. Facts stand as they hold now; what is not written down is said
//! to be so. The set is solved once for each way in which it stood for the readings as it was left,
//! and what comes of it is kept in the file. Fails where the file cannot be read, where no sound
//! sheet was taken in, and where nothing stands beside it.

mod as_left;
mod before_and_after;
mod cover;
mod folder;
mod labels;
mod parts_replaced;
mod power;
mod safety;
mod story;
#[cfg(test)]
mod tests;
mod watch;

use std::path::Path;

use logbook::{Fact, Logbook, LogbookError, Stamp, Standing, StandingFact, standing_facts};
use receiver::sheet_edit::{SheetList, SheetOutline};

use crate::picture_tube::{PictureAsk, judge_picture_tube};
use crate::restoration::trouble;
use crate::sheet_so_far::{SheetSoFar, sheet_so_far};
use crate::trouble::Trouble;
use crate::view::{EntryView, HandingOnView, PictureHandedView};
use crate::{FORMAT, PROGRAM_VERSION};

pub use folder::{HandedFile, write_folder};
pub use labels::{LabelView, LabelsView, tell_labels};
pub use story::upright_photographs;

/// What is asked.
#[derive(Debug, Clone)]
pub struct HandOnAsk<'a> {
    /// The restoration's file.
    pub file: &'a Path,
    /// When it is asked.
    pub at: Stamp,
    /// Who restored the set, if that is to be said.
    pub restored_by: Option<String>,
}

/// Everything that the parts of the report look at.
pub(crate) struct Handed<'a> {
    /// Its rows as they are written.
    pub outline: &'a SheetOutline,
    /// The sheet with all that the facts have changed.
    pub so_far: &'a SheetSoFar,
    /// The facts that stand.
    pub facts: &'a [StandingFact<'a>],
}

impl Handed<'_> {
    /// The value of a part, or the type of a tube, as the sheet that was taken in has it; empty
    /// where it has it not.
    pub fn by_sheet(&self, reference: &str) -> String {
        let row = |list, column| {
            let row = self.outline.row_of(list, reference)?;
            Some(row.cell(column).to_owned())
        };
        row(SheetList::Parts, 2)
            .or_else(|| row(SheetList::Tubes, 1))
            .unwrap_or_default()
    }

    /// The part or tube as the sheet spells it.
    pub fn reference(&self, name: &str) -> Option<String> {
        let sheet = &self.so_far.sheet;
        let part = sheet.part(name).map(|part| part.reference.clone());
        part.or_else(|| sheet.tube(name).map(|tube| tube.reference.clone()))
    }
}

/// Gathers what is handed on.
pub fn hand_on(ask: &HandOnAsk<'_>) -> Result<HandingOnView, Trouble> {
    let mut opened = open(ask.file)?;
    let facts = standing_facts(&opened.entries);
    let handed = Handed {
        outline: &opened.outline,
        so_far: &opened.so_far,
        facts: &facts,
    };
    let picture_tube = picture_tube(ask.file, &handed);
    let story = story::lines(&opened.book, &opened.entries, &facts);
    let chart = as_left::rows(&mut opened.book, &handed)?;
    let before_and_after = before_and_after::rows(&handed);
    let power_up = power::handed(&facts);
    let safety = safety::handed(ask.file, &facts);
    let watch = watch::points(&handed, (&chart, &safety), &picture_tube, &power_up)?;
    let cover = cover::cover(ask, &handed, opened.entries.len(), &story);
    let listed = |wanted: fn(&Fact) -> bool| -> Vec<EntryView> {
        let wanted = facts.iter().filter(|one| wanted(one.fact));
        wanted
            .map(|one| EntryView::holding(one, Standing::Stands))
            .collect()
    };
    let mut view = HandingOnView {
        format: FORMAT,
        program: PROGRAM_VERSION,
        data: parts::DATA_EDITION,
        file: ask.file.display().to_string(),
        restoration: opened.name.clone(),
        at: ask.at.to_string(),
        standing: cover::standing(&handed),
        cautions: cover::cautions(&handed)?,
        stored_charge: receiver::hazard::USUAL_STORED_CHARGE.to_vec(),
        safety,
        watch,
        replaced: parts_replaced::replaced(&handed),
        changed: listed(|fact| matches!(fact, Fact::Changed(_))),
        original: parts_replaced::original(&handed),
        chart,
        before_and_after,
        picture_tube,
        power_up,
        decided: listed(|fact| matches!(fact, Fact::Decided(_))),
        left_out: opened.entries.len() - story.len(),
        story,
        cover,
        not_written_down: Vec::new(),
        notices: opened.so_far.notices(),
    };
    view.not_written_down = cover::not_written_down(&view);
    Ok(view)
}

/// A restoration opened to be handed on.
pub(crate) struct Opened {
    pub book: Logbook,
    pub name: String,
    pub entries: Vec<logbook::Entry>,
    pub text: String,
    pub outline: SheetOutline,
    pub so_far: SheetSoFar,
}

/// Opens it to write into, as far as that is allowed: a file that may not be written can be handed
/// on as well; what is worked out is not kept in it then.
fn open_book(file: &Path) -> Result<Logbook, Trouble> {
    let book = match Logbook::open(file) {
        Err(LogbookError::ReadOnly) => Logbook::look(file),
        other => other,
    };
    book.map_err(|error| trouble(file, error))
}

/// Opens it and reads its sheet.
pub(crate) fn open(file: &Path) -> Result<Opened, Trouble> {
    let in_file = |error| trouble(file, error);
    let book = open_book(file)?;
    let entries = book.entries().map_err(in_file)?;
    let Some(text) = book.present_sheet().map_err(in_file)? else {
        return Err(Trouble::input(
            "no sheet was taken in, so nothing is known of the set that is handed on",
            "take one in: `firstraster take FILE SHEET`",
        ));
    };
    let facts = standing_facts(&entries);
    let (Some(so_far), Ok(outline)) = (sheet_so_far(&text, &facts)?, SheetOutline::of(&text))
    else {
        return Err(Trouble::input(
            "the sheet in the file has faults, so the set cannot be told",
            "`firstraster check` tells them; take the mended sheet in with `firstraster take`",
        ));
    };
    if facts
        .iter()
        .all(|one| matches!(one.fact, Fact::SheetTaken(_)))
    {
        return Err(Trouble::input(
            "nothing stands in this restoration but its sheet: there is no work to hand on yet",
            "enter what was seen, measured and fitted, then ask again",
        ));
    }
    let name = book.name().map_err(in_file)?;
    Ok(Opened {
        book,
        name,
        text,
        outline,
        so_far,
        entries,
    })
}

fn picture_tube(file: &Path, handed: &Handed<'_>) -> PictureHandedView {
    let found: Vec<EntryView> = handed
        .facts
        .iter()
        .filter(|one| matches!(one.fact, Fact::OfPictureTube(_)))
        .map(|one| EntryView::holding(one, Standing::Stands))
        .collect();
    if found.is_empty() {
        return PictureHandedView {
            picture: None,
            because: "Nothing is written down of the picture tube.".to_owned(),
            found,
        };
    }
    match judge_picture_tube(file, &PictureAsk::default()) {
        Ok(view) => PictureHandedView {
            picture: Some(Box::new(view)),
            because: String::new(),
            found,
        },
        Err(trouble) => PictureHandedView {
            picture: None,
            because: format!("It cannot be judged: {trouble}."),
            found,
        },
    }
}
