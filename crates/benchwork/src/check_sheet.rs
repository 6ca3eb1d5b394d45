//! Checks a sheet: what it says and lacks.
//!
//! A faulty sheet is an answer here, not an error; every other task asks for a
//! [`sound_sheet`] and gives up, with all faults, when there is none. The only
//! error of [`check_sheet`] is a fault in the program's own published figures.

use parts::Catalogue;
use receiver::expect::Predictor;
use receiver::sheet::{Sheet, read_sheet_bytes};
use receiver::untold::with_untold_tubes;

use crate::read_sheet_file::SheetFile;
use crate::trouble::Trouble;
use crate::view::{CheckView, FaultView, NoticeView};
use crate::{FORMAT, PROGRAM_VERSION};

/// What the sheet says and lacks.
pub fn check_sheet(file: &SheetFile) -> Result<CheckView, Trouble> {
    let (sheet, faults, mut notices) = findings(file)?;
    if let Some(sheet) = &sheet {
        let turned = receiver::wrong_way::wrong_way(sheet, catalogue()?);
        notices.extend(turned.iter().map(|can| NoticeView::from(can.notice())));
        if let Some((_, notice)) = with_untold_tubes(sheet, catalogue()?) {
            notices.insert(0, NoticeView::from(notice));
        }
    }
    found(sheet.as_ref(), faults, notices)
}

/// The same for a sound set at hand; `notices` are those of its sheet.
pub(crate) fn check_sheet_of(
    predictor: &Predictor<'_, '_>,
    mut notices: Vec<NoticeView>,
) -> Result<CheckView, Trouble> {
    let turned = receiver::wrong_way::wrong_way_of(predictor);
    notices.extend(turned.iter().map(|can| NoticeView::from(can.notice())));
    found(Some(predictor.model.sheet), Vec::new(), notices)
}

fn found(
    sheet: Option<&Sheet>,
    faults: Vec<FaultView>,
    notices: Vec<NoticeView>,
) -> Result<CheckView, Trouble> {
    Ok(CheckView {
        format: FORMAT,
        program: PROGRAM_VERSION,
        data: parts::DATA_EDITION,
        ok: faults.is_empty() && sheet.is_some(),
        faults,
        notices,
        says: match sheet {
            Some(sheet) => {
                let mut said = said_by(sheet);
                said.extend(receiver::outlook::outlook(sheet, catalogue()?).sentences());
                said
            }
            None => Vec::new(),
        },
    })
}

/// The sheet itself with what was noticed, or all its faults.
pub fn sound_sheet(file: &SheetFile) -> Result<(Sheet, Vec<NoticeView>), Trouble> {
    let (sheet, faults, notices) = findings(file)?;
    match sheet {
        Some(sheet) if faults.is_empty() => Ok((sheet, notices)),
        _ => Err(Trouble::Sheet {
            file: file.clone(),
            faults,
            notices,
        }),
    }
}

/// The same for a set under power: with a load for tubes whose current the sheet does not tell.
pub(crate) fn powered_sheet(file: &SheetFile) -> Result<(Sheet, Vec<NoticeView>), Trouble> {
    let (sheet, mut notices) = sound_sheet(file)?;
    match with_untold_tubes(&sheet, catalogue()?) {
        Some((whole, notice)) => {
            notices.insert(0, NoticeView::from(notice));
            Ok((whole, notices))
        }
        None => Ok((sheet, notices)),
    }
}

/// The published figures, or the faults in them.
pub fn catalogue() -> Result<&'static Catalogue, Trouble> {
    parts::catalogue().map_err(|faults| {
        let texts: Vec<String> = faults.iter().map(ToString::to_string).collect();
        Trouble::ours(format!(
            "the built-in figures are at fault: {}",
            texts.join("; ")
        ))
    })
}

/// The sheet with its faults and notices; of a restoration as the facts have changed it.
fn findings(file: &SheetFile) -> Result<Findings, Trouble> {
    let reading = read_sheet_bytes(&file.bytes, catalogue()?);
    let faults = reading.faults.into_iter().map(FaultView::from).collect();
    let mut notices: Vec<NoticeView> = reading.notices.into_iter().map(NoticeView::from).collect();
    let Some(so_far) = &file.so_far else {
        return Ok((reading.sheet, faults, notices));
    };
    notices.splice(0..0, so_far.notices());
    let sheet = reading.sheet.map(|_| so_far.sheet.clone());
    Ok((sheet, faults, notices))
}

type Findings = (Option<Sheet>, Vec<FaultView>, Vec<NoticeView>);

/// The holdings of a sheet, counted, for a person who wants to see that all was read.
fn said_by(sheet: &Sheet) -> Vec<String> {
    let mut said = Vec::new();
    let name = if sheet.name.is_empty() {
        "no name"
    } else {
        &sheet.name
    };
    let made = sheet
        .made
        .map(|year| format!(", made {year}"))
        .unwrap_or_default();
    said.push(format!(
        "{name}{made}, {} V {} Hz",
        sheet.line_volts, sheet.line_hertz
    ));
    let holdings = [
        counted(sheet.tubes.len(), "tube", "tubes"),
        counted(sheet.windings.len(), "winding", "windings"),
        counted(sheet.parts.len(), "part", "parts"),
        counted(sheet.heaters.len(), "row of heaters", "rows of heaters"),
    ];
    said.push(holdings.join(", "));
    said
}

fn counted(count: usize, one: &str, several: &str) -> String {
    match count {
        0 => format!("no {several}"),
        1 => format!("1 {one}"),
        _ => format!("{count} {several}"),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_sheet_that_is_no_text_has_faults_and_a_task_on_it_gives_them_all() {
        let file = SheetFile::in_memory("noise", vec![0xff, 0xfe, 0x00, 0x01]);
        let report = check_sheet(&file);
        assert!(
            report
                .as_ref()
                .is_ok_and(|report| !report.ok && !report.faults.is_empty())
        );
        let trouble = sound_sheet(&file).err();
        let faults = match trouble {
            Some(Trouble::Sheet { faults, .. }) => faults,
            other => panic!("{other:?}"),
        };
        assert!(report.is_ok_and(|report| report.faults == faults));
    }

    #[test]
    fn counts_are_said_as_a_person_says_them() {
        for (count, wanted) in [(0, "no tubes"), (1, "1 tube"), (22, "22 tubes")] {
            assert_eq!(counted(count, "tube", "tubes"), wanted);
        }
    }
}
