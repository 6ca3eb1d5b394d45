//! Signals that could be fed in and watched for: what each is expected to tell.
//!
//! Plain chances, bits, minutes. A signal is fed to the first grid of a tube of sound, picture or vertical sweep, through a
//! blocking capacitor, the clips put on with the plug out, and watched for at the end; or that of a station is watched for at
//! a plate or grid, by an oscilloscope. What comes is foretold as it is
//! weighed ([`super::super::signs::signals`]). Nothing is fed to the horizontal output or where pulses stand, nor watched
//! there. What hazard
//! forbids is not offered. Fails by a damaged table of hazards.

use parts::SetSection;
use rayon::prelude::*;

use crate::hazard::{
    Act, ActKind, ActPlace, Connected, Instrument, Measured, StoredCharge, TableFault,
};
use crate::plan::situation::act_junction;
use crate::sections::Sections;

use super::super::signs::along;
use super::super::signs::signal_way::{SignalEnd, Ways};
use super::super::signs::signals::{CAME, SOUND, chances_on, on_the_way};
use super::super::signs::symptoms::all_able;
use super::acts::{allowed, plug_out_first};
use super::information::{Belief, bits};
use super::{Asked, Blame, Measurement, Offered, Outcome, meanings};

/// Volts beyond the highest of the place for which the blocking capacitor is made (judgement: a third more).
const RATED: f64 = 1.33;
/// Least rating of a blocking capacitor that is bought for this, volts.
const LEAST_RATED: f64 = 400.0;

/// Highest peak volts of an ordinary probe of an oscilloscope (common practice: ten to one, 600 V).
const PROBE_VOLTS: f64 = 600.0;

/// A signal that could be fed in or looked for.
struct Candidate {
    /// Junction where it is fed in; `None` is a station.
    from: Option<usize>,
    end: SignalEnd,
    /// How much each hypothesis is on its way.
    on: Vec<f64>,
    effort: f64,
    acts: Vec<Act>,
}

/// All signals that may be fed in or looked for.
pub(super) fn offered(
    asked: &Asked<'_, '_>,
    beliefs: &[Belief],
) -> Result<Vec<Offered>, TableFault> {
    let candidates = candidates(asked)?;
    if candidates.is_empty() {
        return Ok(Vec::new());
    }
    let able = all_able(asked.hypotheses, asked.foretold);
    let weights: Vec<f64> = beliefs.iter().map(|own| own.weight).collect();
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
    let told = candidates.into_par_iter().map(|own| {
        let mut chances: Vec<Vec<f64>> = beliefs
            .iter()
            .map(|belief| chances(asked, belief, &own.on, &able))
            .collect();
        as_the_others(beliefs, &mut chances);
        Offered {
            measurement: Measurement::Signal {
                from: own.from,
                end: own.end,
            },
            bits: bits(&weights, &chances),
            effort: own.effort,
            meanings: meanings(beliefs, &chances, &outcomes, column),
            acts: own.acts,
            also: Vec::new(),
            stretches: None,
            chances,
        }
    });
    Ok(told.collect())
}

fn candidates(asked: &Asked<'_, '_>) -> Result<Vec<Candidate>, TableFault> {
    let model = asked.model;
    let sections = Sections::of(model);
    let ways = Ways::of(model, &sections);
    let mut found: Vec<Candidate> = Vec::new();
    let may_be_touched = |junction: usize| {
        let pulsed = model.stages.pulsed.get(junction).copied().unwrap_or(false);
        !pulsed && !sections.is_shared(junction)
    };
    for stage in &model.stages.complete {
        let of_tube = sections.of_tube(stage.tube);
        let ends = ends(&of_tube);
        let [plate, grid, ..] = stage.electrodes;
        if let (Some(grid), Some(effort)) = (grid, asked.effort("signal"))
            && may_be_touched(grid)
        {
            for end in &ends {
                let is_known = found
                    .iter()
                    .any(|own| (own.from, own.end) == (Some(grid), *end));
                if is_known || asked.beside.knows_signal(Some(grid), *end) {
                    continue;
                }
                let Some(on) = on_the_way(&ways, asked.hypotheses, Some(grid), *end) else {
                    continue;
                };
                if let Some(acts) = fed(asked, grid)? {
                    found.push(Candidate {
                        from: Some(grid),
                        end: *end,
                        on,
                        effort,
                        acts,
                    });
                }
            }
        }
        let Some(effort) = asked.effort("signal-watched").filter(|_| !ends.is_empty()) else {
            continue;
        };
        for place in [grid, plate].into_iter().flatten() {
            let end = SignalEnd::Junction(place);
            let is_known = found.iter().any(|own| (own.from, own.end) == (None, end));
            if is_known || asked.beside.knows_signal(None, end) || !may_be_touched(place) {
                continue;
            }
            let Some(on) = on_the_way(&ways, asked.hypotheses, None, end) else {
                continue;
            };
            if let Some(acts) = watched(asked, place)? {
                found.push(Candidate {
                    from: None,
                    end,
                    on,
                    effort,
                    acts,
                });
            }
        }
    }
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
        let known = asked.beside.disturbs(hypothesis, severity);
        on * known.unwrap_or_else(|| along(severities, able, severity))
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

/// Highest momentary volts of a place in the present conditions, where they are foretold.
fn peak_of(asked: &Asked<'_, '_>, place: usize) -> Option<f64> {
    let told = asked.foretold.get(asked.present)?;
    let spot = crate::probes::Spot::ToChassis(place);
    let at = told.probes.iter().position(|own| own.spot == spot)?;
    told.peaks.get(at).copied()?
}

/// What is done to look for a signal at a place; `None` where it may not be advised.
fn watched(asked: &Asked<'_, '_>, place: usize) -> Result<Option<Vec<Act>>, TableFault> {
    let Some(peak) = peak_of(asked, place) else {
        return Ok(None);
    };
    let ground = Act::new(
        ActKind::Connect(Connected::OscilloscopeGround),
        ActPlace::Chassis,
    )
    .charge(StoredCharge::ProvenWithMeter);
    let before = plug_out_first(vec![ground]);
    let seen = Act::measure(
        Measured::RippleVolts,
        act_junction(asked.model, place),
        ActPlace::Chassis,
    )
    .energised(Some(peak))
    .with(Instrument::Oscilloscope {
        rated_volts: Some(PROBE_VOLTS),
    });
    let is_allowed = allowed(&before, asked.situation)?
        && allowed(std::slice::from_ref(&seen), asked.situation)?;
    let mut acts = before;
    acts.push(seen);
    Ok(is_allowed.then_some(acts))
}

/// What is done to feed a signal in; `None` where it may not be advised.
fn fed(asked: &Asked<'_, '_>, grid: usize) -> Result<Option<Vec<Act>>, TableFault> {
    let Some(peak) = peak_of(asked, grid) else {
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
