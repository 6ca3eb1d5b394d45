//! Signals that could be fed in and watched for: what each is expected to tell.
//!
//! Plain chances, bits, minutes. A signal is fed to the first grid of a tube of sound, picture or vertical sweep, through a
//! blocking capacitor, the clips put on with the plug out, and watched for at the end; what comes is foretold as it is
//! weighed ([`super::super::signs::signals`]). Nothing is fed to the horizontal output or where pulses stand. What hazard
//! forbids is not offered. Fails by a damaged table of hazards.

use parts::SetSection;

use crate::hazard::{Act, ActKind, ActPlace, Connected, StoredCharge, TableFault};
use crate::plan::situation::act_junction;
use crate::sections::Sections;

use super::super::signs::along;
use super::super::signs::signal_way::{SignalEnd, Ways};
use super::super::signs::signals::{CAME, SOUND, chances_on, on_the_way};
use super::super::signs::symptoms::all_able;
use super::acts::{allowed, plug_out_first};
use super::information::{Belief, bits};
use super::{Asked, Blame, Meaning, NOTHING_TOLD, Outcome, meanings};

/// Volts beyond the highest of the place for which the blocking capacitor is made (judgement: a third more).
const RATED: f64 = 1.33;
/// Least rating of a blocking capacitor that is bought for this, volts.
const LEAST_RATED: f64 = 400.0;

/// A signal that could be fed in.
#[derive(Debug, Clone, PartialEq)]
pub struct SignalOffered {
    /// Junction where it is fed in.
    pub from: usize,
    /// Where it is watched for.
    pub end: SignalEnd,
    /// What it is expected to tell, in bits.
    pub bits: f64,
    /// Minutes with the danger in them.
    pub effort: f64,
    /// What each outcome would mean: right, weak or bent, lost.
    pub meanings: Vec<Meaning>,
    /// What is done, in order.
    pub acts: Vec<Act>,
}

impl SignalOffered {
    /// Bits for the effort.
    pub fn worth(&self) -> f64 {
        self.bits / self.effort
    }
}

/// Signals worth feeding in, the best first.
///
/// # Errors
/// The first fault of the table of hazards, when this program was built with a damaged one.
pub fn next_signals(asked: &Asked<'_, '_>) -> Result<Vec<SignalOffered>, TableFault> {
    let Some(effort) = asked.effort("signal") else {
        return Ok(Vec::new());
    };
    let model = asked.model;
    let sections = Sections::of(model);
    let ways = Ways::of(model, &sections);
    let able = all_able(asked.hypotheses, asked.foretold);
    let beliefs = asked.beliefs();
    let weights: Vec<f64> = beliefs.iter().map(|own| own.weight).collect();
    let mut tried: Vec<(usize, SignalEnd)> = Vec::new();
    let mut found = Vec::new();
    for stage in &model.stages.complete {
        let Some(grid) = stage.electrodes[1] else {
            continue;
        };
        let pulsed = model.stages.pulsed.get(grid).copied().unwrap_or(false);
        if pulsed || sections.is_shared(grid) {
            continue;
        }
        for end in ends(&sections.of_tube(stage.tube)) {
            if tried.contains(&(grid, end)) {
                continue;
            }
            tried.push((grid, end));
            let from = Some(grid);
            let Some(on) = on_the_way(&ways, asked.hypotheses, from, end) else {
                continue;
            };
            let Some(acts) = acts(asked, grid)? else {
                continue;
            };
            let mut chances: Vec<Vec<f64>> = beliefs
                .iter()
                .map(|own| chances(asked, own, &on, &able))
                .collect();
            as_the_others(&beliefs, &mut chances);
            let bits = bits(&weights, &chances);
            if bits <= NOTHING_TOLD {
                continue;
            }
            let outcomes = [
                (Outcome::Good, None, None),
                (Outcome::Otherwise, None, None),
                (Outcome::Bad, None, None),
            ];
            let column = |number: usize, column: usize| match number {
                0 => column == 0,
                1 => column == 1 || column == 2,
                _ => column == 3,
            };
            found.push(SignalOffered {
                from: grid,
                end,
                bits,
                effort,
                meanings: meanings(&beliefs, &chances, &outcomes, column),
                acts,
            });
        }
    }
    found.sort_by(|one, other| other.worth().total_cmp(&one.worth()));
    Ok(found)
}

/// Where a signal of these sections can be watched for.
fn ends(sections: &[(SetSection, f64)]) -> Vec<SignalEnd> {
    let mut found = Vec::new();
    for (section, _) in sections {
        let own: &[SignalEnd] = match section {
            SetSection::Sound => &[SignalEnd::Ear],
            SetSection::Tuner | SetSection::Intermediate => &[SignalEnd::Screen, SignalEnd::Ear],
            SetSection::VideoDetector | SetSection::VideoAmplifier | SetSection::PictureTube => {
                &[SignalEnd::Screen]
            }
            SetSection::VerticalOscillator | SetSection::VerticalOutput => &[SignalEnd::Height],
            _ => &[],
        };
        for end in own {
            if !found.contains(end) {
                found.push(*end);
            }
        }
    }
    found
}

/// Chances of right, weak, bent, lost for one who may be to blame.
fn chances(asked: &Asked<'_, '_>, belief: &Belief, on: &[f64], able: &[Vec<f64>]) -> Vec<f64> {
    let sound = || SOUND.to_vec();
    if belief.ways.is_empty() {
        return sound();
    }
    let disturbs = |hypothesis: usize, severity: f64| -> f64 {
        let told = asked.foretold.first();
        let severities = told.and_then(|told| told.faulty.get(hypothesis));
        let severities = severities.map_or(&[][..], |own| own.severities.as_slice());
        let able = able.get(hypothesis).map_or(&[][..], Vec::as_slice);
        let on = on.get(hypothesis).copied().unwrap_or(0.0);
        on * along(severities, able, severity)
    };
    let mut row = vec![0.0; CAME.len()];
    for way in &belief.ways {
        let one = disturbs(way.hypothesis, way.severity);
        let other = way.with.map_or(0.0, |own| disturbs(own.0, own.1));
        for (sum, came) in row.iter_mut().zip(CAME) {
            *sum += way.share * chances_on(came, one.max(other));
        }
    }
    row
}

/// A fault that is not listed sits where those sit that are: it has the mean of their chances.
fn as_the_others(beliefs: &[Belief], chances: &mut [Vec<f64>]) {
    let mut mean = vec![0.0; CAME.len()];
    let mut total = 0.0;
    for (own, row) in beliefs.iter().zip(chances.iter()) {
        if !own.ways.is_empty() {
            total += own.weight;
            for (sum, chance) in mean.iter_mut().zip(row) {
                *sum += own.weight * chance;
            }
        }
    }
    if total <= 0.0 {
        return;
    }
    for (own, row) in beliefs.iter().zip(chances) {
        if own.blame == Blame::NotListed {
            *row = mean.iter().map(|sum| sum / total).collect();
        }
    }
}

/// What is done to feed a signal in; `None` where it may not be advised.
fn acts(asked: &Asked<'_, '_>, grid: usize) -> Result<Option<Vec<Act>>, TableFault> {
    let told = asked.foretold.get(asked.present);
    let peak = told.and_then(|told| {
        let spot = crate::probes::Spot::ToChassis(grid);
        let mut own = told.probes.iter();
        told.peaks
            .get(own.position(|own| own.spot == spot)?)
            .copied()?
    });
    let Some(peak) = peak else {
        return Ok(None);
    };
    let rated = (RATED * peak).max(LEAST_RATED);
    let proven = |act: Act| act.charge(StoredCharge::ProvenWithMeter);
    let clip = |connected: Connected, place: ActPlace| {
        proven(Act::new(ActKind::Connect(connected), place))
    };
    let mut acts = plug_out_first(vec![
        clip(Connected::OscilloscopeGround, ActPlace::Chassis),
        clip(
            Connected::SignalThroughCapacitor { rated_volts: rated },
            act_junction(asked.model, grid),
        ),
    ]);
    // The set runs while one listens or looks.
    let runs = Act::new(ActKind::Look, ActPlace::WholeSet).energised(Some(peak));
    if !allowed(std::slice::from_ref(&runs), asked.situation)? || !allowed(&acts, asked.situation)?
    {
        return Ok(None);
    }
    acts.push(runs);
    Ok(Some(acts))
}
