//! What the set does to its picture tube between both ends of the brightness control.
//!
//! Volts d.c. against the cathode, nominal values, rated line, no station. The set is solved with
//! the control at each end; where the grid then stands below the cathode, and the second grid
//! above it, says whether the type's tubes can be cut off and how bright they can be. The control
//! is the one that joins the tube's grid or cathode, directly or through one resistor. Unknown is
//! told with its reason: no such control, a pin that the set's solution does not tell, no settled
//! state. The picture's own swing comes on top of this.

use parts::Catalogue;
use quantity::Volts;

use crate::conditions::BenchConditions;
use crate::expect::Predictor;
use crate::reading::{Reading, What};
use crate::sheet::{PartValue, Place, Sheet, SheetPart};
use crate::untold::with_untold_tubes;
use crate::wiring::SetModel;

/// The tube with the control at one end.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct RangeEnd {
    /// Share of the control between its `from` and the wiper.
    pub setting: f64,
    /// Volts that the grid stands below the cathode; below zero where it stands above.
    pub bias: Volts,
    /// Volts of the second grid to the cathode; `None` where the set's solution does not tell it.
    pub second_grid: Option<Volts>,
}

/// The tube at both ends.
#[derive(Clone, Debug, PartialEq)]
pub struct SetRange {
    /// Reference of the control.
    pub control: String,
    /// The end with more bias.
    pub dark: RangeEnd,
    /// The end with less.
    pub bright: RangeEnd,
}

/// What the set does to this tube.
///
/// # Errors
/// Why it is not told.
pub fn set_range(
    sheet: &Sheet,
    reference: &str,
    catalogue: &Catalogue,
) -> Result<SetRange, String> {
    let tube = sheet
        .tube(reference)
        .filter(|tube| tube.kind.is_picture_tube)
        .ok_or_else(|| format!("{reference} is no picture tube of the sheet"))?;
    let pin = |element: &str| -> Result<Place, String> {
        let pin = tube.kind.pins_carrying(element).first().copied();
        let pin = pin.ok_or_else(|| format!("the pins of {} are not recorded", tube.kind.name))?;
        Ok(Place::Pin {
            tube: tube.reference.clone(),
            pin,
        })
    };
    let (grid, cathode): (Place, Place) = (pin("grid1")?, pin("cathode")?);
    let second_grid: Option<Place> = pin("grid2").ok();
    let control = control_at(sheet, &[&grid, &cathode])?;
    let end = |setting: f64| {
        let mut turned = sheet.clone();
        if let Some(PartValue::Control { at, .. }) =
            turned.parts.get_mut(control).map(|part| &mut part.value)
        {
            *at = Some(setting);
        }
        solved(
            &turned,
            (&grid, &cathode, second_grid.as_ref()),
            setting,
            catalogue,
        )
    };
    let (one, other) = (end(0.0)?, end(1.0)?);
    let (dark, bright) = if one.bias.0 >= other.bias.0 {
        (one, other)
    } else {
        (other, one)
    };
    let control = sheet.parts.get(control).map(|part| part.reference.clone());
    Ok(SetRange {
        control: control.unwrap_or_default(),
        dark,
        bright,
    })
}

/// The control that joins one of these places, directly or through one resistor.
fn control_at(sheet: &Sheet, places: &[&Place]) -> Result<usize, String> {
    let touches = |part: &SheetPart, place: &Place| {
        [Some(&part.from), Some(&part.to), part.third.as_ref()].contains(&Some(place))
    };
    let mut near: Vec<&Place> = places.to_vec();
    for part in &sheet.parts {
        if !matches!(part.value, PartValue::Resistor { .. } | PartValue::Wire) {
            continue;
        }
        for place in places {
            if touches(part, place) {
                near.extend(
                    [&part.from, &part.to]
                        .into_iter()
                        .filter(|end| !end.is_chassis()),
                );
            }
        }
    }
    let found: Vec<usize> = (0..sheet.parts.len())
        .filter(|&at| {
            let part = &sheet.parts[at];
            matches!(part.value, PartValue::Control { .. })
                && part.third.is_some()
                && near.iter().any(|place| part.third.as_ref() == Some(*place))
        })
        .collect();
    match found.as_slice() {
        [one] => Ok(*one),
        [] => Err(
            "the sheet shows no control whose wiper leads to the picture tube's grid or cathode"
                .to_owned(),
        ),
        _ => Err("several controls lead to the picture tube's grid or cathode".to_owned()),
    }
}

fn solved(
    sheet: &Sheet,
    (grid, cathode, second_grid): (&Place, &Place, Option<&Place>),
    setting: f64,
    catalogue: &Catalogue,
) -> Result<RangeEnd, String> {
    let whole = with_untold_tubes(sheet, catalogue).map(|(whole, _)| whole);
    let model = SetModel::new(whole.as_ref().unwrap_or(sheet), catalogue);
    let told = Predictor::new(&model)
        .expect(&BenchConditions::default())
        .map_err(|error| error.to_string())?;
    let volts = |place: &Place| {
        let name = place.to_string();
        let own = |reading: &&Reading| reading.at == name && reading.what == What::DcVolts;
        let found = told.readings.iter().find(own);
        found.map(|reading| reading.band.expected)
    };
    let known = |place: &Place| {
        volts(place).ok_or_else(|| format!("what {place} stands at is not told by the sheet"))
    };
    let (grid, cathode) = (known(grid)?, known(cathode)?);
    Ok(RangeEnd {
        setting,
        bias: Volts(cathode - grid),
        second_grid: second_grid
            .and_then(volts)
            .map(|volts| Volts(volts - cathode)),
    })
}
