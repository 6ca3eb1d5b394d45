//! A sheet with one possible slip undone.
//!
//! Units as on the sheet. Nothing is written anywhere: the sheet is a copy. `None` where the
//! change does not fit the sheet.

use crate::sheet::{PartValue, Place, Sheet};

use super::slips::{End, SlipChange};

/// The sheet as it would be with the change; figures of the chart are no part of the set.
pub(super) fn mended(sheet: &Sheet, change: &SlipChange) -> Option<Sheet> {
    let mut mended = sheet.clone();
    match change {
        SlipChange::Figure { .. } | SlipChange::FiguresExchanged { .. } => return None,
        SlipChange::PartOhms {
            reference,
            would_be,
            ..
        } => {
            let part = mended
                .parts
                .iter_mut()
                .find(|part| part.reference == *reference)?;
            match &mut part.value {
                PartValue::Resistor { ohms, .. } | PartValue::Control { ohms, .. } => {
                    *ohms = *would_be;
                }
                PartValue::Coil {
                    ohms: Some(ohms), ..
                } => *ohms = *would_be,
                _ => return None,
            }
        }
        SlipChange::PartEnd {
            reference,
            end,
            would_be,
            ..
        } => {
            let places = sheet.places();
            let place = places.find(would_be).ok()?.clone();
            let part = mended
                .parts
                .iter_mut()
                .find(|part| part.reference == *reference)?;
            match end {
                End::From => part.from = place,
                End::To => part.to = place,
                End::Third => part.third = Some(place),
            }
        }
        SlipChange::PinsExchanged {
            tube, one, other, ..
        } => {
            let exchange = |place: &mut Place| {
                if let Place::Pin { tube: own, pin } = place
                    && own == tube
                {
                    let name = pin.to_string();
                    let wanted = if name == *one {
                        other
                    } else if name == *other {
                        one
                    } else {
                        return;
                    };
                    if let Ok(parsed) = sheet.places().find(&format!("{tube}.{wanted}")) {
                        *place = parsed.clone();
                    }
                }
            };
            for part in &mut mended.parts {
                exchange(&mut part.from);
                exchange(&mut part.to);
                part.third.iter_mut().for_each(exchange);
            }
            for winding in &mut mended.windings {
                exchange(&mut winding.start);
                exchange(&mut winding.end);
            }
        }
    }
    Some(mended)
}
