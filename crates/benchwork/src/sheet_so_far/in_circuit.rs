//! The sheet as it holds now, with the parts that facts have cut loose in circuit again.
//!
//! For a question about readings of which some were taken before such a part was cut loose: how
//! it stood then goes with each reading. Parts that the sheet itself has loose stay loose. A text
//! that does not take the change stays as it is; nothing here fails.

use receiver::sheet::read_sheet;
use receiver::sheet_edit::{StateChange, StateList, change_states};

use super::SheetSoFar;
use crate::check_sheet::catalogue;
use crate::trouble::Trouble;

impl SheetSoFar {
    /// With all parts in circuit that are not loose on the sheet of this text itself.
    pub fn in_circuit(mut self, given: &str) -> Result<SheetSoFar, Trouble> {
        let catalogue = catalogue()?;
        let Some(own) = read_sheet(given, catalogue).sheet else {
            return Ok(self);
        };
        let was_loose = |part: &String| {
            let mut loose = own.state.cut_loose.iter();
            loose.any(|other| other.trim().eq_ignore_ascii_case(part.trim()))
        };
        let now = self.sheet.state.cut_loose.iter();
        let states: Vec<StateChange> = now
            .filter(|part| !was_loose(part))
            .map(|part| StateChange::Listed {
                list: StateList::CutLoose,
                reference: part.clone(),
                is_there: false,
            })
            .collect();
        if states.is_empty() {
            return Ok(self);
        }
        let edited = change_states(&self.text, &states).ok();
        let read = edited.and_then(|text| Some((read_sheet(&text, catalogue).sheet?, text)));
        if let Some((mut sheet, text)) = read {
            // Neither stands in the text.
            sheet.bench.clone_from(&self.sheet.bench);
            sheet.state.tested.clone_from(&self.sheet.state.tested);
            self.sheet = sheet;
            self.text = text;
        }
        Ok(self)
    }
}
