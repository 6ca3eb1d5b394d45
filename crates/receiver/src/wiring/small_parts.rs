//! The laws of crystals, neon lamps and voltage-dependent resistors of a sheet.
//!
//! Volts and amperes, by the part's position. Source: the sheet's own figures before the
//! catalogue's tables. A part of which too little is known is listed as left out, with
//! the reason; nothing is taken for granted.

use std::collections::HashMap;

use circuit::two_terminal::TwoTerminalLaw;
use parts::Catalogue;

use crate::sheet::PartValue;

use super::SetModel;
use super::figures::LeftOut;

/// The law of each such part whose ends are two places.
pub(super) fn laws_of(
    model: &mut SetModel<'_>,
    catalogue: &Catalogue,
) -> HashMap<usize, TwoTerminalLaw> {
    let mut found = HashMap::new();
    for (index, part) in model.sheet.parts.iter().enumerate() {
        if model.part_ends[index][0] == model.part_ends[index][1] {
            continue;
        }
        let law = match &part.value {
            PartValue::Crystal {
                kind,
                material,
                forward_amperes,
                forward_volts,
                ..
            } => {
                let named = kind.as_deref().and_then(|kind| catalogue.small_diode(kind));
                let general = catalogue
                    .small_diodes()
                    .iter()
                    .find(|row| row.is_general() && row.material == *material);
                named.or(general).and_then(|row| {
                    let mut row = row.clone();
                    if let Some((amperes, volts)) = forward_amperes.zip(*forward_volts) {
                        // Beyond its bend a diode rises like a resistor.
                        row.forward_milliamperes_at_1_volt = Some(1e3 * amperes / volts);
                    }
                    laws::small::crystal_law(&row)
                })
            }
            PartValue::Neon {
                kind,
                strike_volts,
                burning_volts,
                amperes,
                base_ohms,
            } => {
                let named = kind.as_deref().and_then(|kind| catalogue.neon_lamp(kind));
                let usual = catalogue.neon_lamps().first();
                named.or(usual).and_then(|row| {
                    let mut row = row.clone();
                    if named.is_none() {
                        row.strike_volts = None;
                        row.strike_max_volts = None;
                        row.burning_volts = None;
                        row.burning_milliamperes = None;
                        row.base_ohms = None;
                    }
                    row.strike_volts = strike_volts.or(row.strike_volts);
                    row.burning_volts = burning_volts.or(row.burning_volts);
                    row.burning_milliamperes =
                        amperes.map(|own| own * 1e3).or(row.burning_milliamperes);
                    row.base_ohms = base_ohms.or(row.base_ohms);
                    laws::small::neon_law(&row)
                })
            }
            PartValue::Vdr {
                amperes: Some(amperes),
                volts: Some(volts),
                beta,
                ..
            } => laws::small::vdr_law(*volts, *amperes, *beta),
            PartValue::Vdr { .. } => None,
            _ => continue,
        };
        match law {
            Some(law) => {
                found.insert(index, law);
            }
            None => model.left_out.push(LeftOut {
                reference: part.reference.clone(),
                because: "too little of its curve is known; its current at its volts would do"
                    .to_string(),
            }),
        }
    }
    found
}
