//! How rectifier tubes differ from the published one.
//!
//! Plain ratios. Sources: published drops that disagree; judgement where said. Nothing here
//! can fail.

use circuit::RectifierLaw;

use crate::wiring::{Figure, Rectifying, SetModel, Variation};

use super::spread::Spread;

/// A peak depends on the whole curve of the rectifier, of which one point is published
/// (judgement: other curves through that point give peaks some percent higher or lower).
pub(super) const CURVE_SHAPE: Spread = Spread::Bell { sigma: 0.045 };

/// Drop of a rectifier tube against the published one: makers' figures for one type
/// differ by a quarter and more (44 and 58 V for one type at one current, check RS016),
/// and a used but good tube drops somewhat more than a new one (judgement).
const NEW_TUBE_DROP: f64 = 1.2;
const USED_TUBE_DROP: f64 = 1.28;

/// Drop and emission of each rectifier tube.
pub(super) fn of_rectifier_tubes(
    model: &SetModel<'_>,
    push: &mut impl FnMut(Figure, String, Spread),
) {
    let sheet = model.sheet;
    let mut tubes_done = Vec::new();
    for rectifying in model.rectifying() {
        let Rectifying::Tube {
            tube,
            damper: false,
            ..
        } = rectifying
        else {
            continue;
        };
        if tubes_done.contains(tube) {
            continue;
        }
        tubes_done.push(*tube);
        let reference = &sheet.tubes[*tube].reference;
        // Published drops that disagree are part of the doubt; a used but good tube drops more.
        let spread = model
            .tube_law(*tube, &Variation::none())
            .map_or(0.0, |law| match law {
                RectifierLaw::Tube { perveance, .. } => model
                    .tube_perveances(*tube)
                    .iter()
                    .map(|own| ((own / perveance).ln() / 1.5).abs())
                    .fold(0.0, f64::max),
                RectifierLaw::Junction { .. } | RectifierLaw::Curve { .. } => 0.0,
            });
        push(
            Figure::TubeDrop(*tube),
            format!("drop in {reference}"),
            Spread::EvenLog {
                low: 1.0 / (NEW_TUBE_DROP + spread),
                high: USED_TUBE_DROP + spread,
            },
        );
        push(
            Figure::Emission(*tube),
            format!("emission of {reference}"),
            Spread::EvenLog {
                low: 0.6,
                high: 1.6,
            },
        );
    }
}
