//! The sheet of a set with other rectifiers, or with a part ahead of it, to be solved as it would then be.
//!
//! Ohms, amperes, volts. What is put in is named for what it replaces; the sheet that was given stays as it is.
//! Nothing here can fail: a part or tube that is not there leaves the sheet as it was.

use crate::sheet::{PartValue, Place, Sheet, SheetPart};
use crate::wiring::{Rectifying, SetModel};

/// Reference of the resistor in series with the silicon that replaces a part.
#[must_use]
pub fn series_name(reference: &str) -> String {
    format!("{reference} series")
}

/// The sheet with silicon of this type in place of these selenium parts, each with a resistor in series at its + end.
#[must_use]
pub fn with_silicon(sheet: &Sheet, parts: &[usize], kind: &str, ohms: f64) -> Sheet {
    let mut own = sheet.clone();
    for &part in parts {
        let Some(old) = own.parts.get_mut(part) else {
            continue;
        };
        let between = Place::Named(series_name(&old.reference));
        let to = std::mem::replace(&mut old.to, between.clone());
        old.value = silicon(kind);
        let (name, line) = (series_name(&old.reference), old.line);
        own.parts.push(SheetPart {
            reference: name,
            value: resistor(ohms),
            from: between,
            to,
            third: None,
            line,
        });
    }
    own
}

/// The sheet with silicon of this type in place of a rectifier tube: one diode for each of its plates.
#[must_use]
pub fn without_rectifier_tube(model: &SetModel<'_>, tube: usize, kind: &str) -> Sheet {
    let mut own = model.sheet.clone();
    let Some(old) = model.sheet.tubes.get(tube) else {
        return own;
    };
    let named = |junction: usize| {
        let all = model.places.junctions();
        all.get(junction).map(|own| own.label().clone())
    };
    let mut number = 0;
    for way in model.rectifying() {
        let Rectifying::Tube {
            tube: of,
            plate,
            cathode,
            damper: false,
            ..
        } = way
        else {
            continue;
        };
        let Some(cathode) = named(*cathode).filter(|_| *of == tube) else {
            continue;
        };
        number += 1;
        own.parts.push(SheetPart {
            reference: format!("{} diode {number}", old.reference),
            value: silicon(kind),
            from: plate.clone(),
            to: cathode,
            third: None,
            line: old.line,
        });
    }
    own.tubes.remove(tube);
    for row in &mut own.heaters {
        row.tubes
            .retain(|reference| !reference.eq_ignore_ascii_case(&old.reference));
    }
    own.heaters.retain(|row| !row.tubes.is_empty());
    own
}

/// The sheet with a part between blade a of the plug and all that hangs on it.
#[must_use]
pub fn with_ahead(sheet: &Sheet, reference: &str, value: PartValue) -> Sheet {
    let mut own = sheet.clone();
    let behind = Place::Named(format!("behind {reference}"));
    let put = |place: &mut Place| {
        if *place == Place::LineA {
            *place = behind.clone();
        }
    };
    for part in &mut own.parts {
        put(&mut part.from);
        put(&mut part.to);
        if let Some(third) = &mut part.third {
            put(third);
        }
    }
    for winding in &mut own.windings {
        put(&mut winding.start);
        put(&mut winding.end);
    }
    for row in &mut own.heaters {
        put(&mut row.from);
        put(&mut row.to);
    }
    own.parts.push(SheetPart {
        reference: reference.to_owned(),
        value,
        from: Place::LineA,
        to: behind,
        third: None,
        line: 1,
    });
    own
}

fn silicon(kind: &str) -> PartValue {
    PartValue::Silicon {
        kind: Some(kind.to_owned()),
        amperes: None,
        inverse_volts: None,
    }
}

fn resistor(ohms: f64) -> PartValue {
    PartValue::Resistor {
        ohms,
        at: None,
        watts: None,
        tolerance: None,
        make: None,
    }
}
