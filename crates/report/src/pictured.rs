//! The photographs of a report, made small, and its drawings: made once, whatever they go into.
//!
//! Bytes. Fails where the restoration's file cannot be read; a photograph that cannot be shown says why.

use std::path::Path;

use benchwork::view::HandingOnView;
use benchwork::{Trouble, upright_photographs};
use paper::{Sheet, reduce};

use crate::{Made, Shown};

/// Photographs of a report keep within so many bytes together, so that the page of HTML, where each
/// byte takes four thirds, stays below 25 MiB.
const MOST_PHOTOGRAPH_BYTES: usize = 16 << 20;

/// What a report shows besides its words.
pub struct Pictured {
    photographs: Vec<Shown>,
    emission: Option<String>,
    as_left: Option<String>,
    power_up: Option<String>,
    leakage: Option<String>,
    soak: Option<String>,
}

impl Pictured {
    /// Reads and reduces the photographs of a restoration and draws what has a shape. `told` hears how many of
    /// how many photographs are done.
    pub fn of(
        file: &Path,
        view: &HandingOnView,
        told: &(dyn Fn(usize, usize) + Sync),
    ) -> Result<Pictured, Trouble> {
        let proof = view.safety.proof.as_ref();
        let picture = view.picture_tube.picture.as_ref();
        Ok(Pictured {
            photographs: photographs(file, view, told)?,
            emission: picture.and_then(|own| pictures::emission::svg(own).ok()),
            as_left: pictures::as_left::svg(&view.chart),
            power_up: pictures::power_up::svg(&view.power_up),
            leakage: proof.and_then(|own| pictures::proof::leakage(own).ok()),
            soak: proof.and_then(|own| pictures::proof::soak(own).ok()),
        })
    }

    /// The same for a document: whether the whole photographs lie beside it, and the paper of the PDF.
    pub fn made(&self, beside: bool, sheet: Sheet) -> Made<'_> {
        Made {
            photographs: &self.photographs,
            emission: self.emission.clone(),
            as_left: self.as_left.clone(),
            power_up: self.power_up.clone(),
            leakage: self.leakage.clone(),
            soak: self.soak.clone(),
            beside,
            sheet,
        }
    }

    /// How many photographs cannot be shown.
    pub fn lacking(&self) -> usize {
        self.photographs.iter().filter(|own| own.is_err()).count()
    }
}

fn photographs(
    file: &Path,
    view: &HandingOnView,
    told: &(dyn Fn(usize, usize) + Sync),
) -> Result<Vec<Shown>, Trouble> {
    let uprights = upright_photographs(file, view)?;
    let bytes: Vec<&[u8]> = uprights
        .iter()
        .map(|own| own.as_ref().map_or(&[][..], Vec::as_slice))
        .collect();
    let small = reduce(&bytes, MOST_PHOTOGRAPH_BYTES, &|done| {
        told(done, bytes.len());
    });
    let of_both = small.into_iter().zip(&uprights);
    Ok(of_both
        .map(|(small, upright)| match upright {
            Ok(_) => small.map_err(|error| error.to_string()),
            Err(because) => Err(because.clone()),
        })
        .collect())
}
