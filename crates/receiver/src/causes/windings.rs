//! How windings and transformers differ from their sheet.
//!
//! Plain ratios. Sources: what was measured, what was assumed, common practice. Nothing
//! here can fail.

use crate::wiring::{Figure, SetModel};

use super::MEASURED_SHARE;
use super::spread::{Spread, even};

/// Copper and volts of each winding, what each idle transformer draws.
pub(super) fn of_windings(model: &SetModel<'_>, push: &mut impl FnMut(Figure, String, Spread)) {
    let sheet = model.sheet;
    for (index, winding) in sheet.windings.iter().enumerate() {
        let name = || format!("{} {}", winding.transformer, winding.name);
        let measured = sheet
            .state
            .measured_winding_ohms(&winding.transformer, &winding.name)
            .is_some();
        let assumed = model
            .assumed
            .iter()
            .any(|assumed| assumed.figure == Figure::WindingOhms(index));
        if winding.volts.is_some() && !model.is_primary(index) {
            push(
                Figure::WindingVolts(index),
                format!("{} volts", name()),
                Spread::Bell { sigma: 0.012 },
            );
        }
        push(
            Figure::WindingOhms(index),
            format!("{} copper", name()),
            if measured {
                even(MEASURED_SHARE)
            } else if assumed {
                Spread::EvenLog {
                    low: 0.4,
                    high: 2.5,
                }
            } else {
                even(0.1)
            },
        );
    }
    for transformer in model.transformer_firsts() {
        let (first, name) = transformer;
        let assumed = model
            .assumed
            .iter()
            .any(|assumed| assumed.figure == Figure::Idle(first));
        push(
            Figure::Idle(first),
            format!("{name} idle draw"),
            if assumed {
                Spread::EvenLog {
                    low: 0.4,
                    high: 2.0,
                }
            } else {
                even(0.15)
            },
        );
    }
}
