//! What healthy sets show from switch-on until they are settled, and how far they spread.
//!
//! Units of the readings; seconds after switch-on. Source: the settled bands, widened by
//! what one law of heaters and emission leaves open; the slowest and the quickest warm-up
//! that counts as healthy, each solved from switch-on. The constants are judgement, held by
//! the walk of drawn sets through whole plans (docs/theory/truth_of_stops.md).
//! Where the warm-up of the ordinary set cannot be solved, the settled state stands alone.

use quantity::Band;
use rayon::prelude::*;

use crate::causes::{Cause, Coolness, causes};
use crate::conditions::BenchConditions;
use crate::probes::Spot;
use crate::sheet::HeaterArrangement;
use crate::wiring::{Figure, Variation};

use super::PlanWork;
use super::limits::{Wanted, least_size};
use super::watch::{Seen, Watch};

/// How far a limit stands from the expected value, in half widths of the band that
/// holds nine of ten. For a bell-shaped spread 2.5 leaves one in 50 000 beyond it, and a
/// plan has some fifty limits. Measured: with 2.2, and without the doubt of a string's
/// heaters below, two and seven of 120 sets of the examples were stopped, most by a hair;
/// with both, none and one of 200.
pub(super) const HALF_WIDTHS: f64 = 2.5;
/// Least distance of a limit, relative to the reading.
const LEAST_RELATIVE: f64 = 0.06;
/// The same for limits that count from the first seconds, on fast ground: the moment at
/// which the needle is read, the phase of switch-on.
const EARLY_LEAST_RELATIVE: f64 = 0.10;
/// Relative doubt of any reading after the first seconds and before the set is settled, as
/// far as a limit goes: how tubes come on while heaters still draw more (measured: without
/// it nine of 1000 sets of the string example drew a few percent more than the limit 10 to
/// 20 s after switch-on).
const EARLY_DOUBT: f64 = 0.12;
/// Relative doubt of one heater's volts in a string that is still warming, as far as a
/// limit goes: a quick heater takes the volts that its slow neighbours leave.
const EARLY_STRING_DOUBT: f64 = 0.4;
/// The same once settled, besides the band: heaters of other makes differ more at low
/// volts than near their rating.
const STRING_DOUBT: f64 = 0.2;
/// How much slower or quicker the first seconds may run: other ways of the heat and other
/// heat capacities than the one law of heaters has (measured: with the spread of the
/// warm-up alone a seventh of the sets drew more than the limit 2 s after switch-on).
const FIRST_SECONDS_WARM_UP: f64 = 1.7;
/// Until when that counts, seconds: after it the wires glow and the cathodes follow.
const FIRST_SECONDS: f64 = 10.0;
/// How much slower or quicker a tube may be than its set: each has a time of its own, and
/// the last part of the way depends on how the heat goes (measured: 1.15 was passed by sets
/// with a slow picture tube in a string).
const OWN_WARM_UP: f64 = 1.35;

/// Where the limits of healthy sets stand at one moment, one pair for each probe.
struct Moment {
    /// Seconds after switch-on; infinite once settled.
    seconds: f64,
    /// No healthy reading beyond these, low and high; and the expected one.
    within: Vec<Option<(f64, f64, f64)>>,
}

/// What healthy sets show from switch-on until they are settled.
///
/// A rule counts from its time on, so its limit has to lie beyond what healthy sets show
/// at every later moment: B+ stands high until slow tubes draw, a string's heaters take
/// more than their share and then less. With limits from single moments every one of 40
/// healthy sets was stopped in each example.
pub(super) struct Course {
    moments: Vec<Moment>,
    /// Seconds after which the readings are taken.
    wait: f64,
}

/// Moments looked at besides those of the rules, seconds.
const BETWEEN: [f64; 9] = [2.0, 4.0, 7.0, 10.0, 15.0, 20.0, 30.0, 45.0, 60.0];
/// Later moments from which a limit may count, as shares of the waiting time.
const LATER: [f64; 4] = [1.0, 1.5, 2.0, 3.0];

impl Course {
    /// Runs the ordinary set, the slowest and the quickest from switch-on.
    pub(super) fn of(
        watch: &Watch<'_>,
        wanted: &Wanted<'_>,
        healthy: &Seen,
        bands: &[Option<Band>],
        work: &mut PlanWork,
    ) -> Course {
        let drawing = drawing(watch, wanted, healthy, work);
        let spread: Vec<Option<(f64, f64)>> = bands
            .iter()
            .zip(&drawing)
            .enumerate()
            .map(|(probe, (band, drawing))| {
                let band = band.as_ref()?;
                let string = if in_string(watch, probe) {
                    STRING_DOUBT * band.expected.abs()
                } else {
                    0.0
                };
                let (up, down) = (band.high - band.expected, band.expected - band.low);
                Some((
                    (HALF_WIDTHS * up).hypot(drawing.0).hypot(string),
                    (HALF_WIDTHS * down).hypot(drawing.1).hypot(string),
                ))
            })
            .collect();
        let settled = Moment {
            seconds: f64::INFINITY,
            within: bands
                .iter()
                .enumerate()
                .map(|(probe, band)| {
                    let expected = band.as_ref()?.expected;
                    Some(within(
                        watch,
                        probe,
                        expected,
                        spread[probe]?,
                        LEAST_RELATIVE,
                    ))
                })
                .collect(),
        };
        let wait = wanted.settled_seconds;
        let mut moments: Vec<f64> = BETWEEN
            .into_iter()
            .chain(wanted.early_seconds.iter().copied())
            .filter(|seconds| *seconds < wait)
            .chain(LATER.map(|share| (share * wait).round()))
            .filter(|seconds| *seconds > 0.0)
            .collect();
        moments.sort_by(f64::total_cmp);
        moments.dedup();
        let probes = watch.probes.len();
        // One list of values: all probes at the first moment, then at the second.
        let in_a_list = |seen: Vec<(f64, Seen)>, count: usize| -> Option<Vec<Option<f64>>> {
            (seen.len() == count)
                .then(|| seen.into_iter().flat_map(|(_, seen)| seen.values).collect())
        };
        let healthy = watch.at_moments(&Variation::none(), &moments).ok();
        let Some(course) = healthy.and_then(|seen| in_a_list(seen, moments.len())) else {
            return Course {
                moments: vec![settled],
                wait,
            };
        };
        // Slow and quick sets may stand off by a percent more: the doubts are larger.
        let roughly = |variation: &Variation, moments: &[f64]| {
            let seen = watch.roughly_at_moments(variation, moments).ok()?;
            in_a_list(seen, moments.len())
        };
        let (up, down) = warming(watch, &moments, &course, roughly, work);
        let mut course: Vec<Moment> = moments
            .iter()
            .enumerate()
            .map(|(number, &seconds)| Moment {
                seconds,
                within: (0..probes)
                    .map(|probe| {
                        let place = number * probes + probe;
                        let expected = course[place]?;
                        // What moves the settled reading moves this one by as much.
                        let settled = bands[probe].as_ref()?.expected;
                        let share = (expected / settled).abs();
                        let share = if share.is_finite() { share } else { 1.0 };
                        let spread = spread[probe]?;
                        let least = if seconds < wait {
                            EARLY_LEAST_RELATIVE
                        } else {
                            LEAST_RELATIVE
                        };
                        let doubt = if seconds >= wait {
                            0.0
                        } else if in_string(watch, probe) {
                            EARLY_STRING_DOUBT
                        } else if seconds >= FIRST_SECONDS {
                            EARLY_DOUBT
                        } else {
                            0.0
                        };
                        let doubt = doubt * expected.abs();
                        let spread = (
                            (share * spread.0).hypot(up[place]).hypot(doubt),
                            (share * spread.1).hypot(down[place]).hypot(doubt),
                        );
                        Some(within(watch, probe, expected, spread, least))
                    })
                    .collect(),
            })
            .collect();
        course.push(settled);
        Course {
            moments: course,
            wait,
        }
    }

    /// What no healthy reading of a probe goes beyond once settled: low, expected, high.
    pub(super) fn settled(&self, probe: usize) -> Option<(f64, f64, f64)> {
        *self.moments.last()?.within.get(probe)?
    }

    /// From when on a limit may count: the waiting time and some later moments.
    pub(super) fn late_moments(&self) -> Vec<f64> {
        let late: Vec<f64> = self
            .moments
            .iter()
            .map(|moment| moment.seconds)
            .filter(|seconds| *seconds >= self.wait && seconds.is_finite())
            .collect();
        if late.is_empty() {
            vec![self.wait]
        } else {
            late
        }
    }

    /// The limit of a probe that holds from a moment on.
    pub(super) fn from(&self, probe: usize, seconds: f64, above: bool) -> Option<f64> {
        self.moments
            .iter()
            .filter(|moment| moment.seconds >= seconds)
            .filter_map(|moment| *moment.within.get(probe)?)
            .map(|(low, _, high)| if above { high } else { low })
            .reduce(if above { f64::max } else { f64::min })
    }
}

/// What no healthy reading goes beyond: low, expected, high. A negative line is judged by
/// its value, so `high` stays the upper one.
fn within(
    watch: &Watch<'_>,
    probe: usize,
    expected: f64,
    (up, down): (f64, f64),
    least_relative: f64,
) -> (f64, f64, f64) {
    let least = (least_relative * expected.abs()).max(least_size(watch.probes[probe].what));
    (
        expected - down.max(least),
        expected,
        expected + up.max(least),
    )
}

/// How far each reading can stand off, up and down, because tubes at low heater volts
/// draw more or less than the one law of emission says.
fn drawing(
    watch: &Watch<'_>,
    wanted: &Wanted<'_>,
    healthy: &Seen,
    work: &mut PlanWork,
) -> Vec<(f64, f64)> {
    let none = vec![(0.0, 0.0); healthy.values.len()];
    let draws = |cause: &&Cause| matches!(cause.figure, Figure::LoadCurrent(_));
    if !wanted.causes.iter().any(|cause| draws(&cause)) {
        return none;
    }
    let Some(ratios) = wanted.coolness.and_then(Coolness::farthest_draws) else {
        return none;
    };
    let mut found = none;
    for ratio in ratios {
        let mut variation = Variation::none();
        for cause in wanted.causes.iter().filter(draws) {
            variation.set(cause.figure, ratio);
        }
        work.solved_states += 1;
        let Ok(seen) = watch.settled(&variation, healthy.near.as_ref()) else {
            continue;
        };
        widen(&mut found, &healthy.values, &seen.values);
    }
    found
}

/// How far each reading of the way to the settled state stands off, up and down, in the
/// slowest and the quickest sets that count as healthy.
fn warming<F>(
    watch: &Watch<'_>,
    moments: &[f64],
    course: &[Option<f64>],
    at_moments: F,
    work: &mut PlanWork,
) -> (Vec<f64>, Vec<f64>)
where
    F: Fn(&Variation, &[f64]) -> Option<Vec<Option<f64>>> + Sync,
{
    let cold = BenchConditions {
        seconds: Some(1.0),
        ..watch.conditions.clone()
    };
    // Cause by cause: its two ends, and until when they count.
    let mut ends: Vec<(Figure, [f64; 2], f64)> = Vec::new();
    for cause in causes(watch.predictor.model, &cold)
        .into_iter()
        .filter(|cause| belongs_to_warming(cause.figure))
    {
        let (low, high) = (cause.spread.ratio(0.0), cause.spread.ratio(1.0));
        if cause.figure == Figure::WarmUp {
            let first = FIRST_SECONDS_WARM_UP;
            ends.push((cause.figure, [low / first, high * first], FIRST_SECONDS));
            let own = OWN_WARM_UP;
            ends.push((cause.figure, [low / own, high * own], f64::INFINITY));
        } else {
            ends.push((cause.figure, [low, high], f64::INFINITY));
        }
    }
    let runs: Vec<(Variation, &[f64])> = ends
        .iter()
        .flat_map(|(figure, ratios, until)| {
            let count = moments.iter().filter(|seconds| **seconds <= *until).count();
            ratios.map(|ratio| (Variation::of(*figure, ratio), &moments[..count]))
        })
        .collect();
    work.warm_up_runs += 1 + runs.len();
    let seen: Vec<Option<Vec<Option<f64>>>> = runs
        .into_par_iter()
        .map(|(variation, moments)| at_moments(&variation, moments))
        .collect();
    let (mut up, mut down) = (vec![0.0f64; course.len()], vec![0.0f64; course.len()]);
    for pair in seen.chunks(2) {
        let mut own = vec![(0.0, 0.0); course.len()];
        for values in pair.iter().flatten() {
            widen(&mut own, course, values);
        }
        for (place, (more, less)) in own.into_iter().enumerate() {
            up[place] = up[place].hypot(more);
            down[place] = down[place].hypot(less);
        }
    }
    (up, down)
}

/// Whether a probe reads one heater of a string.
fn in_string(watch: &Watch<'_>, probe: usize) -> bool {
    let Spot::Heater(tube) = watch.probes[probe].spot else {
        return false;
    };
    watch
        .predictor
        .model
        .heater_places()
        .iter()
        .any(|place| place.arrangement == HeaterArrangement::Series && place.tubes.contains(&tube))
}

/// Takes the largest distances, up and down, from the expected readings.
fn widen(found: &mut [(f64, f64)], expected: &[Option<f64>], values: &[Option<f64>]) {
    for ((found, expected), value) in found.iter_mut().zip(expected).zip(values) {
        if let (Some(expected), Some(value)) = (expected, value) {
            found.0 = found.0.max(value - expected);
            found.1 = found.1.max(expected - value);
        }
    }
}

/// What moves the way to the settled state and not the state itself.
fn belongs_to_warming(figure: Figure) -> bool {
    matches!(
        figure,
        Figure::WarmUp | Figure::HeaterCold(_) | Figure::ThermistorSeconds(_) | Figure::ColdOhms(_)
    )
}
