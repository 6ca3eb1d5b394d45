//! What there is in a set to put a meter to: its tubes, its parts, the names of its places.
//!
//! As the sheet spells them, in its order. Fails when the sheet has faults.

use serde::Serialize;

use crate::check_sheet::sound_sheet;
use crate::read_sheet_file::SheetFile;
use crate::trouble::Trouble;

/// What there is to put a meter to.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct PlacesView {
    /// The tubes, in the order of the sheet.
    pub tubes: Vec<TubeNamedView>,
    /// References of all other parts.
    pub parts: Vec<String>,
    /// Named places and the chassis, pins left out.
    pub places: Vec<String>,
}

/// A tube of the set.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct TubeNamedView {
    /// Reference, such as `V9`.
    pub reference: String,
    /// Its type.
    #[serde(rename = "type")]
    pub type_name: String,
    /// What it does; empty if the sheet does not say.
    pub job: String,
}

/// What there is in a set to put a meter to.
pub fn tell_places(file: &SheetFile) -> Result<PlacesView, Trouble> {
    let (sheet, _) = sound_sheet(file)?;
    let places = sheet.places();
    let is_pin = |name: &str| {
        let tube = name.split_once('.').map(|(tube, _)| tube);
        tube.is_some_and(|tube| sheet.tube(tube).is_some())
    };
    Ok(PlacesView {
        tubes: sheet
            .tubes
            .iter()
            .map(|tube| TubeNamedView {
                reference: tube.reference.clone(),
                type_name: tube.kind.name.clone(),
                job: tube.job.clone(),
            })
            .collect(),
        parts: sheet
            .parts
            .iter()
            .map(|part| part.reference.clone())
            .collect(),
        places: places
            .iter()
            .map(ToString::to_string)
            .filter(|name| !is_pin(name))
            .collect(),
    })
}
