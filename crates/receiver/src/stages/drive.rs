//! What makes the direct volts of a stage: its own circuit at rest, or a signal.
//!
//! Farads and henries where a size counts. A stage whose plate comes back to its own
//! grid through coils, or through a second stage, makes its own signal; one that such a
//! stage or the flyback pulse feeds through a capacitor is driven. The words of the
//! tube's job count as well, since a restorer knows what he copied. Judged by the wiring
//! alone (common practice of the trade); nothing here fails. A stage that is not found to
//! be driven counts as at rest: a signal from the antenna is not there while the set is
//! measured without one.

use parts::SectionKind;

use super::signals::{Own, Signals};
use super::{Stages, TubeStage};
use crate::sheet::PartValue;
use crate::wiring::SetModel;

/// What makes the direct volts of a stage.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Drive {
    /// Its own circuit, without signal.
    AtRest,
    /// Its own oscillation, alone or together with the stages named by position.
    Oscillates {
        /// The other stages of the loop.
        with: Vec<usize>,
    },
    /// The oscillation of other stages, by position; none where the job tells it alone.
    Driven {
        /// Stages that feed its grid.
        by: Vec<usize>,
    },
    /// The pulses of the sweep.
    Pulsed,
}

impl Drive {
    /// Whether a signal makes its direct volts.
    pub fn is_signal(&self) -> bool {
        *self != Drive::AtRest
    }
}

/// Coils up to this size in a place that is fed by nothing else carry the sweep's pulses, henries.
const SWEEP_HENRIES: f64 = 0.35;

/// Judges all complete stages.
pub(super) fn judge(model: &SetModel<'_>, stages: &mut Stages) {
    let signals = Signals::of(model, stages);
    let count = stages.complete.len();
    let mut drives = vec![Drive::AtRest; count];
    // Those whose signal is gone at the next coupling.
    let mut at_radio = vec![false; count];
    let job = |stage: &TubeStage| model.sheet.tubes[stage.tube].job.to_lowercase();
    // Coils of the sweep: a damper or a horizontal output sits on them.
    let pulsed = pulsed_junctions(model, stages, &signals);
    for (number, stage) in stages.complete.iter().enumerate() {
        if stage.is_damper() {
            drives[number] = Drive::Pulsed;
        } else if let Some(plate) = stage.electrodes[0]
            && !stage.kind.is_diode()
            && pulsed[plate]
            && job(stage).contains("key")
        {
            drives[number] = Drive::Pulsed;
        } else if !stage.is_beam
            && let Some(own) = signals.oscillates_alone(stage)
        {
            drives[number] = Drive::Oscillates { with: Vec::new() };
            at_radio[number] = own == Own::Radio;
        }
    }
    for one in 0..count {
        for other in one + 1..count {
            let (a, b) = (&stages.complete[one], &stages.complete[other]);
            if signals.regenerate(a, b) {
                for (own, with) in [(one, other), (other, one)] {
                    match &mut drives[own] {
                        Drive::Oscillates { with: list } => list.push(with),
                        drive @ Drive::AtRest => {
                            *drive = Drive::Oscillates { with: vec![with] };
                        }
                        _ => {}
                    }
                }
            }
        }
    }
    let by_job = |stage: &TubeStage| {
        let job = job(stage);
        !stage.kind.is_diode()
            && ["horizontal output", "line output", "mixer", "converter"]
                .iter()
                .any(|word| job.contains(word))
    };
    let says_oscillator = |stage: &TubeStage| {
        let job = job(stage);
        ["oscillator", "multivibrator"]
            .iter()
            .any(|word| job.contains(word))
    };
    for (number, stage) in stages.complete.iter().enumerate() {
        if drives[number] != Drive::AtRest || stage.kind.is_diode() || stage.is_beam {
            continue;
        }
        let alone = stages.of_tube(stage.tube).count() == 1;
        if says_oscillator(stage) && alone {
            drives[number] = Drive::Oscillates { with: Vec::new() };
        } else if by_job(stage) {
            drives[number] = Drive::Driven { by: Vec::new() };
        }
    }
    // A signal spreads from stage to stage through their couplings.
    let mut again = true;
    while again {
        again = false;
        for number in 0..count {
            let stage = &stages.complete[number];
            if stage.is_damper() || stage.is_beam {
                continue;
            }
            let sources: Vec<usize> = (0..count)
                .filter(|&source| {
                    source != number
                        && makes_sweep(&drives[source])
                        && !at_radio[source]
                        && !stages.complete[source].kind.is_diode()
                        && signals.feeds(&stages.complete[source], stage)
                })
                .collect();
            let from_pulses = stage.kind != SectionKind::Diode
                && stage.electrodes[1].is_some_and(|grid| signals.pulses_reach(grid, &pulsed));
            match &mut drives[number] {
                Drive::AtRest if !sources.is_empty() || from_pulses => {
                    drives[number] = Drive::Driven { by: sources };
                    again = true;
                }
                Drive::Driven { by } if by.is_empty() && !sources.is_empty() => *by = sources,
                _ => {}
            }
        }
    }
    for (stage, drive) in stages.complete.iter_mut().zip(drives) {
        stage.drive = drive;
    }
    stages.pulsed = pulsed;
    stages.held = signals.held;
}

/// Whether a stage's signal is strong enough to make the bias of the next one.
fn makes_sweep(drive: &Drive) -> bool {
    matches!(drive, Drive::Oscillates { .. } | Drive::Driven { .. })
}

/// Parts of one transformer share its name up to the last letters: T2A, T2B.
pub(crate) fn family(reference: &str) -> String {
    reference
        .trim_end_matches(|letter: char| letter.is_ascii_alphabetic())
        .to_string()
}

/// Junctions on the coils that the damper or the horizontal output swings.
fn pulsed_junctions(model: &SetModel<'_>, stages: &Stages, signals: &Signals) -> Vec<bool> {
    let mut found = vec![false; model.places.junctions().len()];
    let mut transformers: Vec<String> = Vec::new();
    let mut starts: Vec<usize> = Vec::new();
    for stage in &stages.complete {
        if stage.is_damper() {
            starts.push(stage.cathode);
            starts.extend(stage.electrodes[0]);
        }
    }
    let small = |index: usize| {
        matches!(model.sheet.parts[index].value, PartValue::Coil { henries, .. }
            if henries.is_none_or(|henries| henries <= SWEEP_HENRIES && henries > 2e-4))
    };
    for (index, part) in model.sheet.parts.iter().enumerate() {
        if small(index)
            && model.part_ends[index][..2]
                .iter()
                .flatten()
                .any(|end| starts.contains(end) && !signals.held[*end])
            && family(&part.reference) != part.reference
        {
            transformers.push(family(&part.reference));
        }
    }
    for (index, part) in model.sheet.parts.iter().enumerate() {
        if small(index) && transformers.contains(&family(&part.reference)) {
            for &end in model.part_ends[index].iter().flatten() {
                if !signals.held[end] {
                    found[end] = true;
                }
            }
        }
    }
    found
}
