//! What every command that changes a sheet's text asks before it writes.
//!
//! Texts in bench notation. Fails for a sheet that is no text or has another shape than
//! a sheet, and for a change that would bring a new fault; what is new to notice comes back.

use receiver::sheet::{Fault, Sheet, read_sheet, read_sheet_bytes};
use receiver::sheet_edit::{EditError, new_faults, new_notices};
use receiver::wrong_way::wrong_way;

use crate::check_sheet::catalogue;
use crate::read_sheet_file::SheetFile;
use crate::trouble::Trouble;
use crate::view::{FaultView, NoticeView};

/// The text of a sheet that is to be changed.
pub fn sheet_text(file: &SheetFile) -> Result<String, Trouble> {
    match String::from_utf8(file.bytes.clone()) {
        Ok(text) => Ok(text),
        Err(_) => Err(at_fault(file, faults_of(file)?)),
    }
}

/// Why a sheet's text cannot be changed.
pub fn edit_trouble(file: &SheetFile, error: EditError) -> Trouble {
    match error {
        EditError::Sheet(faults) => at_fault(file, faults),
        EditError::StateShape => match faults_of(file) {
            Ok(faults) if !faults.is_empty() => at_fault(file, faults),
            Ok(_) => Trouble::ours(error.to_string()),
            Err(trouble) => trouble,
        },
        EditError::NoSuchCell { .. } | EditError::WouldNotRead => Trouble::ours(error.to_string()),
    }
}

/// Refuses a change that brings a fault; gives what there is to notice that was not before.
pub fn checked_change(file: &SheetFile, old: &str, new: &str) -> Result<Vec<NoticeView>, Trouble> {
    let catalogue = catalogue()?;
    let faults = new_faults(old, new, catalogue);
    if !faults.is_empty() {
        let changed = SheetFile::in_memory(format!("{}, with the change", file.name), new);
        let faults = faults.into_iter().map(|new| new.fault).collect();
        return Err(at_fault(&changed, faults));
    }
    let notices = new_notices(old, new, catalogue).into_iter();
    let mut fresh: Vec<NoticeView> = notices.map(NoticeView::from).collect();
    let turned = |text: &str| {
        let sheet: Option<Sheet> = read_sheet(text, catalogue).sheet;
        sheet.map_or_else(Vec::new, |sheet| wrong_way(&sheet, catalogue))
    };
    let before = turned(old);
    let is_new = |reference: &str| before.iter().all(|can| can.reference != reference);
    fresh.extend(
        turned(new)
            .iter()
            .filter(|can| is_new(&can.reference))
            .map(|can| NoticeView::from(can.notice())),
    );
    Ok(fresh)
}

fn faults_of(file: &SheetFile) -> Result<Vec<Fault>, Trouble> {
    Ok(read_sheet_bytes(&file.bytes, catalogue()?).faults)
}

fn at_fault(file: &SheetFile, faults: Vec<Fault>) -> Trouble {
    Trouble::Sheet {
        file: file.clone(),
        faults: faults.into_iter().map(FaultView::from).collect(),
        notices: Vec::new(),
    }
}
