//! Backs a restoration up, writes it out into a folder of readable files, and takes such a
//! folder back.
//!
//! All or nothing; a name that is taken is never written over. Fails for a file or folder that
//! cannot be read or written, and for a folder that was changed by hand so that it does not
//! fit together (all faults at once, those of the story with their line).

use std::path::Path;

use logbook::{FolderFault, Logbook, export, import};

use crate::restoration::{in_place, trouble};
use crate::trouble::Trouble;
use crate::view::{FaultView, KeptView};
use crate::{FORMAT, PROGRAM_VERSION};

/// Copies the file, as it stands now, to a new one; the copy is checked whole.
pub fn back_up_restoration(file: &Path, copy: &Path) -> Result<KeptView, Trouble> {
    let book = Logbook::look(file).map_err(|error| trouble(file, error))?;
    let entries = book.entries().map_err(|error| trouble(file, error))?;
    // What cannot be written is told of the copy, not of the file.
    book.back_up(copy).map_err(|error| in_place(copy, error))?;
    Ok(view(file, copy, entries.len(), None))
}

/// Writes everything into a new or empty folder.
pub fn export_restoration(file: &Path, folder: &Path) -> Result<KeptView, Trouble> {
    let book = Logbook::look(file).map_err(|error| trouble(file, error))?;
    let counts = export(&book, folder).map_err(|error| match error {
        // Damage is that of the file, all else that of the folder.
        logbook::LogbookError::Damaged { .. } => trouble(file, error),
        logbook::LogbookError::AlreadyThere => Trouble::File {
            name: folder.display().to_string(),
            text: "there is something in it already; nothing was written".to_owned(),
            hint: "name a folder that is not there yet".to_owned(),
        },
        other => in_place(folder, other),
    })?;
    let kept = Some((counts.sheets, counts.photographs));
    Ok(view(file, folder, counts.entries, kept))
}

/// Makes a new file of what such a folder holds.
pub fn import_restoration(folder: &Path, file: &Path) -> Result<KeptView, Trouble> {
    let counts = import(folder, file).map_err(|faults| told(folder, file, faults))?;
    let kept = Some((counts.sheets, counts.photographs));
    Ok(view(folder, file, counts.entries, kept))
}

fn told(folder: &Path, file: &Path, faults: Vec<FolderFault>) -> Trouble {
    let mut views = Vec::new();
    for fault in faults {
        let text = match &fault {
            FolderFault::File(error) => return in_place(file, error.clone()),
            FolderFault::Story(one) => {
                let place = format!("{}, line {}", folder.join("story.txt").display(), one.line);
                format!("{place}: {} {}", one.key, one.text)
            }
            other => format!("{}: {other}", folder.display()),
        };
        views.push(FaultView {
            line: match &fault {
                FolderFault::Story(one) => Some(one.line),
                _ => None,
            },
            column: None,
            text,
            hint: match &fault {
                FolderFault::Story(one) => one.hint.clone(),
                FolderFault::Photograph { error, .. } => error.hint().to_owned(),
                FolderFault::Unreadable { .. } => {
                    "name a folder that `firstraster export` made".to_owned()
                }
                _ => "put the file back as it was exported, or take it out".to_owned(),
            },
        });
    }
    Trouble::Input { faults: views }
}

fn view(from: &Path, to: &Path, entries: usize, kept: Option<(usize, usize)>) -> KeptView {
    KeptView {
        format: FORMAT,
        program: PROGRAM_VERSION,
        data: parts::DATA_EDITION,
        from: from.display().to_string(),
        to: to.display().to_string(),
        entries,
        sheets: kept.map(|(sheets, _)| sheets),
        photographs: kept.map(|(_, photographs)| photographs),
    }
}
