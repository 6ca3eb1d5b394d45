//! What a tester said of a tube, as how far that sample lies from the law of its type.
//!
//! Factors on currents and on emission, as in [`super::Samples`]. Testers differ and read under
//! conditions of their own: a transconductance is trusted to a fifth, percent of a scale to a
//! quarter, emission percent to a half, "good" and "weak" as bands (common practice that testers
//! of two makes differ so; the widths are judgement). Percent of a tester whose kind is not known
//! may be either, so both the currents and the emission are given room. What is not a result of
//! use (a short, gas) moves nothing. A type without a published transconductance leaves
//! micromhos unused. Rectifiers of the supply are not moved here. Nothing fails.

use laws::Spread;

use super::{Samples, TubeStage};
use crate::wiring::SetModel;

/// What a tester measures.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum TesterKind {
    /// Transconductance, or plate current at a working point.
    Conductance,
    /// What the cathode gives as a diode.
    Emission,
    /// Not said.
    NotSaid,
}

/// What it said.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum TesterSaid {
    /// Percent of its scale for a good one.
    Percent(f64),
    /// Transconductance, micromhos.
    Micromhos(f64),
    /// Good.
    Good,
    /// Weak.
    Weak,
}

/// A result that counts.
#[derive(Debug, Clone, PartialEq)]
pub struct TestedTube {
    /// Reference of the tube.
    pub reference: String,
    /// Section; empty for all of it.
    pub section: String,
    /// What the tester measures.
    pub kind: TesterKind,
    /// What it said.
    pub said: TesterSaid,
}

/// Doubt of a transconductance, share.
const CONDUCTANCE: f64 = 0.2;
/// Doubt of a percent of a scale, share.
const PERCENT: f64 = 0.25;
/// Doubt of an emission percent, share.
const EMISSION: f64 = 0.5;
/// Currents of a tube that a tester calls good, and of a weak one.
const GOOD: Spread = Spread {
    low: 0.75,
    middle: 0.95,
    high: 1.15,
};
const WEAK: Spread = Spread {
    low: 0.35,
    middle: 0.6,
    high: 0.85,
};
/// Emission of a weak one.
const WEAK_EMISSION: Spread = Spread {
    low: 0.06,
    middle: 0.2,
    high: 0.5,
};
/// Shares of good that are believed; beyond them a scale was misread.
const SHARES: (f64, f64) = (0.05, 1.6);

impl SetModel<'_> {
    /// How far samples of a stage's tube lie apart: new or used, and what a tester said of it.
    pub fn samples_of(&self, stage: &TubeStage) -> Samples {
        let usual = stage.usual(self.tube_is_new(stage.tube));
        match self.tested_of(stage) {
            Some(tested) => with_test(usual, tested, self.rated_micromhos(stage)),
            None => usual,
        }
    }

    /// The last test of the stage's own section, else of the whole tube.
    fn tested_of(&self, stage: &TubeStage) -> Option<&TestedTube> {
        let reference = &self.sheet.tubes.get(stage.tube)?.reference;
        let own = |tested: &&TestedTube| tested.reference.eq_ignore_ascii_case(reference);
        let of_section = |tested: &&TestedTube| {
            let section = tested.section.trim();
            !section.is_empty()
                && (stage.section.eq_ignore_ascii_case(section)
                    || stage.section.ends_with(&format!("-{section}"))
                    // Equal halves have one name, and numbers from 1 at their pins.
                    || stage.section.starts_with("each-")
                        && section.parse::<u8>() == Ok(stage.unit + 1))
        };
        let all = self.sheet.state.tested.iter().rev();
        all.clone().filter(own).find(of_section).or_else(|| {
            all.filter(own)
                .find(|tested| tested.section.trim().is_empty())
        })
    }

    /// The published transconductances of the stage's section, least, middle and most: a tester's
    /// working point is its own, so any of them may be the one to hold it against.
    fn rated_micromhos(&self, stage: &TubeStage) -> Option<Spread> {
        let kind = &self.sheet.tubes.get(stage.tube)?.kind;
        let sections = kind.sections.iter();
        let points = sections
            .filter(|section| section.kind == stage.kind)
            .flat_map(|section| &section.operating_points);
        let mut known: Vec<f64> = points
            .filter_map(|point| point.transconductance_micromhos)
            .filter(|micromhos| *micromhos > 0.0)
            .collect();
        known.sort_by(f64::total_cmp);
        Some(Spread {
            low: *known.first()?,
            middle: known[known.len() / 2],
            high: *known.last()?,
        })
    }
}

fn with_test(usual: Samples, tested: &TestedTube, rated_micromhos: Option<Spread>) -> Samples {
    let around = |middle: f64, doubt: f64| Spread {
        low: middle * (1.0 - doubt),
        middle,
        high: middle * (1.0 + doubt),
    };
    let held = |share: f64| share.clamp(SHARES.0, SHARES.1);
    match (tested.said, tested.kind) {
        (TesterSaid::Micromhos(micromhos), _) => match rated_micromhos {
            Some(rated) => Samples {
                strength: Spread {
                    low: held(micromhos / rated.high) * (1.0 - CONDUCTANCE),
                    middle: held(micromhos / rated.middle),
                    high: held(micromhos / rated.low) * (1.0 + CONDUCTANCE),
                },
                ..usual
            },
            None => usual,
        },
        (TesterSaid::Percent(percent), TesterKind::Conductance) => Samples {
            strength: around(held(percent / 100.0), PERCENT),
            ..usual
        },
        (TesterSaid::Percent(percent), TesterKind::Emission) => Samples {
            emission: around(held(percent / 100.0), EMISSION),
            ..usual
        },
        (TesterSaid::Percent(percent), TesterKind::NotSaid) => {
            let share = held(percent / 100.0);
            let own = around(share, PERCENT);
            let middle = (share * usual.strength.middle).sqrt();
            Samples {
                strength: Spread {
                    low: own.low,
                    middle,
                    high: own.high.max(usual.strength.high).max(middle),
                },
                emission: around(share, EMISSION),
                ..usual
            }
        }
        (TesterSaid::Good, _) => Samples {
            strength: GOOD,
            ..usual
        },
        (TesterSaid::Weak, _) => Samples {
            strength: WEAK,
            emission: WEAK_EMISSION,
            ..usual
        },
    }
}
