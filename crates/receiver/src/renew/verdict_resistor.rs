//! Whether a resistor is replaced: by measurement, by what it bears, by what such ones do.
//!
//! Ohms, watts, chances from 0 to 1. Limits are those of the trade (trade numbers "carbon composition replace limit" and
//! "carbon composition drift"), each named where it stands. Nothing here can fail.

use parts::SetSection;

use crate::sheet::ResistorMake;
use crate::suspects::hypotheses::Suspect;

use super::verdict::{Judge, Judged, Verdict};

/// Off its mark: limits of resistors in sweep and bias places, and elsewhere (trade number "carbon composition
/// replace limit": 10 and 20 percent).
const OFF: (f64, f64) = (0.10, 0.20);
/// Ohms from which carbon composition drifts most (trade number "carbon composition drift").
const DRIFTS_FROM: f64 = 100e3;
/// Chance of being bad from which a part is tested before it is trusted (judgement).
const DOUBTFUL: f64 = 0.3;

impl Judge<'_, '_> {
    pub(super) fn resistor(
        &self,
        part: usize,
        ohms: f64,
        watts: Option<f64>,
        make: Option<ResistorMake>,
    ) -> Judged {
        let model = self.model;
        let own = &model.sheet.parts[part];
        let critical = self.sections.of_part(part).iter().any(|(section, share)| {
            *share > 0.25
                && matches!(
                    section,
                    SetSection::VerticalOscillator
                        | SetSection::VerticalOutput
                        | SetSection::HorizontalOscillator
                        | SetSection::HorizontalOutput
                        | SetSection::Agc
                        | SetSection::Sync
                )
        });
        let limit = if critical { OFF.0 } else { OFF.1 };
        let test = "ohms, one end free";
        if let Some(measured) = model.sheet.state.measured_ohms(&own.reference) {
            let off = measured / ohms - 1.0;
            if off.abs() > limit {
                return Judged::new(
                    Verdict::BeforeLongUse,
                    &format!(
                        "measured {}, {:+.0} % off its mark; {:.0} % is the limit here",
                        quantity::bench(measured, quantity::Unit::Ohms),
                        100.0 * off,
                        100.0 * limit
                    ),
                    "",
                );
            }
            return Judged::new(Verdict::Leave, "measured, within its limit", "");
        }
        let heat = self.burdens.parts[part].watts.as_ref();
        if let (Some(heat), Some(marked)) = (heat, watts)
            && heat.value > marked
        {
            return Judged::new(
                Verdict::BeforeLongUse,
                &format!(
                    "it bears {:.1} W at the top of the line and is marked {marked}: more than it should",
                    heat.value
                ),
                test,
            );
        }
        if make == Some(ResistorMake::Fusible) {
            return Judged::new(
                Verdict::TestFirst,
                "the surge resistor guards the supply: it must be of its value, and able to open",
                test,
            );
        }
        let carbon = match make {
            Some(ResistorMake::Carbon) => true,
            Some(_) => false,
            None => watts.is_none_or(|own| own <= 2.0),
        };
        let worked = heat
            .zip(watts)
            .is_some_and(|(heat, marked)| heat.value > 0.5 * marked);
        if carbon && critical && ohms >= DRIFTS_FROM {
            return Judged::new(
                Verdict::TestFirst,
                "carbon of this value drifts upwards, and size, hold or linearity hang on it",
                test,
            );
        }
        if carbon && worked {
            return Judged::new(
                Verdict::TestFirst,
                "it has run at more than half its marked watts: such ones drift most",
                test,
            );
        }
        let chance = self.chance_bad(Suspect::Part(part)).unwrap_or(0.0);
        if carbon && ohms >= DRIFTS_FROM && chance >= DOUBTFUL {
            return Judged::new(Verdict::TestFirst, "carbon above 100k drifts upwards", test);
        }
        Judged::new(
            Verdict::Leave,
            "resistors are replaced by measurement, not by age",
            test,
        )
    }
}
