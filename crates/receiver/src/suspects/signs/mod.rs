//! What is known of a fault beside the meter: symptoms, signals, glow, figures of single parts.
//!
//! Weights as natural logarithms, of how many times likelier a sign is with a fault of some severity than in a
//! healthy set. Each kind has its own rule: [`symptoms`] by the table of the trade and the sections of the set,
//! [`signals`] by the way through the stages, [`wave`](mod@wave) by volts against the maker's, [`glow`] by heater volts, figures of single parts as [`super::by_itself`] has them. Signs are taken
//! as independent of one another and of the readings, given the fault. What cannot be weighed says why; a sign that
//! was not looked for is none. Between solved severities logarithms go along straight lines.

pub mod able;
mod burns;
pub mod changes;
pub mod glow;
pub mod signal_way;
pub mod signals;
pub mod symptoms;
pub mod wave;
mod weighed;

use parts::Symptom;

use self::changes::Warmth;
use self::glow::Glow;
use self::signal_way::{SignalEnd, Ways};
use self::signals::SignalCame;
use self::symptoms::Symptoms;
use self::wave::Wave;
use self::weighed::{Joint, Weighed, Weighing};
use super::by_itself::ByItself;
use super::hypotheses::{Hypotheses, Suspect};
use super::predict::Foretold;
use super::rank::{Beside, NOT_LISTED};
use crate::sections::Sections;
use crate::sheet::HeaterArrangement;
use crate::wiring::{FaultKind, SetModel};

/// Why a signal between two places is not weighed.
const NO_WAY: &str = "the sheet shows no way for a signal between these places";
/// Natural logarithm by which two faults must explain symptoms better than one for them to be weighed (judgement: a second fault
/// that shows has odds of some hundredths).
const WORTH_A_SECOND: f64 = 3.5;
/// Logarithm from which a sign can be what a fault does.
pub(in crate::suspects) const CAN_BE: f64 = 1.5;

/// Something noticed.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Sign {
    /// A symptom, by its position in the table, and whether the set shows it.
    Symptom(usize, bool),
    /// A signal.
    Signal {
        /// Junction where it is fed in; `None` is a station at the antenna.
        from: Option<usize>,
        /// Where it is watched for.
        end: SignalEnd,
        /// What came.
        came: SignalCame,
    },
    /// A signal's volts against the maker's.
    Wave {
        /// Junction where it is fed in; `None` is a station at the antenna.
        from: Option<usize>,
        /// Where it is watched for.
        end: SignalEnd,
        /// Its size and shape.
        wave: Wave,
    },
    /// How a tube's heater glows.
    Glow(usize, Glow),
    /// A figure of a part by itself.
    Measured(ByItself),
    /// A disturbance with a tube out of its socket.
    Pulled {
        /// The tube.
        tube: usize,
        /// Where the disturbance is noticed.
        end: SignalEnd,
        /// Whether it is gone then.
        gone: bool,
    },
    /// What warmth does to the complaint.
    Warms(Warmth),
}

/// All that was noticed of a set, weighed.
#[derive(Debug, Clone, PartialEq)]
pub struct Signs {
    /// By sign; why, where it could not be weighed.
    each: Vec<Result<Weighed, String>>,
    severities: Vec<Vec<f64>>,
    /// Signals that were watched for: from where, and where.
    signals: Vec<(Option<usize>, SignalEnd)>,
    /// Tubes whose heater was looked at.
    glows: Vec<usize>,
    joint: Joint,
    /// Watts in leaking capacitors, by hypothesis and severity ([`burns`]).
    watts: Vec<Vec<f64>>,
    /// Logarithms of how many sets are read with such a leak; nothing where a smell or heat is complained of.
    lasts: Vec<Vec<f64>>,
}

/// Why a signal between two places is not weighed on this set; `None` where a way leads there.
pub fn no_way(model: &SetModel<'_>, from: Option<usize>, end: SignalEnd) -> Option<&'static str> {
    let sections = Sections::of(model);
    let ways = Ways::of(model, &sections);
    ways.tubes(from, end).is_none().then_some(NO_WAY)
}

impl Signs {
    /// Weighs signs of a set; without anything foretold the middle severity of each fault stands for all.
    pub fn of(
        model: &SetModel<'_>,
        hypotheses: &Hypotheses,
        foretold: &[Foretold],
        table: &[Symptom],
        signs: &[Sign],
    ) -> Signs {
        let severities = (0..hypotheses.list.len())
            .map(|number| {
                let told = foretold.first().and_then(|told| told.faulty.get(number));
                told.map_or_else(|| vec![1.0], |own| own.severities.clone())
            })
            .collect();
        let watts = burns::watts(model, hypotheses, foretold);
        let lasts = match signs.iter().any(|own| is_of_heat(table, own)) {
            true => Vec::new(),
            false => lasts(model, hypotheses, &watts),
        };
        if signs.is_empty() {
            return Signs {
                watts,
                lasts,
                each: Vec::new(),
                joint: Joint::of(&[], Vec::new(), &[]),
                severities,
                signals: Vec::new(),
                glows: Vec::new(),
            };
        }
        let sections = Sections::of(model);
        let symptoms = Symptoms::of(model, &sections, hypotheses, foretold, table, NOT_LISTED);
        let weighing = Weighing {
            model,
            ways: Ways::of(model, &sections),
            hypotheses,
            foretold,
            symptoms: &symptoms,
        };
        let each = signs.iter().map(|sign| weighing.sign(sign));
        let each: Vec<Result<Weighed, String>> = each.collect();
        let able = (0..hypotheses.list.len()).map(|number| symptoms.able(number).to_vec());
        let of_signal = |own: &Sign| match *own {
            Sign::Signal { from, end, .. } | Sign::Wave { from, end, .. } => Some((from, end)),
            _ => None,
        };
        let of_glow = |own: &Sign| match *own {
            Sign::Glow(tube, _) => Some(tube),
            _ => None,
        };
        Signs {
            joint: Joint::of(&each, able.collect(), symptoms.shown_not_listed()),
            each,
            watts,
            lasts,
            severities,
            signals: signs.iter().filter_map(of_signal).collect(),
            glows: signs.iter().filter_map(of_glow).collect(),
        }
    }

    /// Watts that a leaking capacitor turns into heat at a severity, where it is more than such a one bears; `None` where it is less, for
    /// other faults, and where it is not known.
    pub fn burns(&self, hypothesis: usize, severity: f64) -> Option<f64> {
        let is_too_hot = self.lasts(hypothesis, severity) < burns::TOO_HOT;
        self.watts(hypothesis, severity).filter(|_| is_too_hot)
    }

    /// Watts that a leaking capacitor turns into heat at a severity; `None` for other faults and where it is not known.
    pub fn watts(&self, hypothesis: usize, severity: f64) -> Option<f64> {
        let own = self.watts.get(hypothesis).filter(|own| !own.is_empty())?;
        Some(along(self.severities(hypothesis), own, severity))
    }

    /// Logarithm of how many sets are read with a leak that heats so.
    fn lasts(&self, hypothesis: usize, severity: f64) -> f64 {
        let own = self.lasts.get(hypothesis).filter(|own| !own.is_empty());
        own.map_or(0.0, |own| along(self.severities(hypothesis), own, severity))
    }

    /// Why a sign was not weighed.
    pub fn not_weighed(&self, sign: usize) -> Option<&str> {
        self.each.get(sign)?.as_ref().err().map(String::as_str)
    }

    /// Logarithm of one sign by itself with a fault; nought where it was not weighed.
    pub fn of_sign(&self, sign: usize, hypothesis: usize, severity: f64) -> f64 {
        let own = self.each.get(sign).and_then(|own| own.as_ref().ok());
        own.map_or(0.0, |own| self.at(own, hypothesis, severity))
    }

    fn weighed(&self) -> impl Iterator<Item = &Weighed> {
        self.each.iter().flatten()
    }

    fn severities(&self, hypothesis: usize) -> &[f64] {
        let own = self.severities.get(hypothesis);
        own.map_or(&[], Vec::as_slice)
    }

    /// Chance that it disturbs, before any sign.
    fn able(&self, hypothesis: usize, severity: f64) -> f64 {
        let severities = self.severities(hypothesis);
        self.joint.able(hypothesis, severity, severities)
    }

    fn at(&self, own: &Weighed, hypothesis: usize, severity: f64) -> f64 {
        let able = self.able(hypothesis, severity);
        own.log(hypothesis, severity, (self.severities(hypothesis), able))
    }

    /// What comes whether it disturbs or not.
    fn either(&self, hypothesis: usize, severity: f64) -> f64 {
        let severities = self.severities(hypothesis);
        let own = self.weighed();
        own.map(|own| own.either(hypothesis, severity, severities))
            .sum()
    }
}

/// Whether something smells or is too hot.
fn is_of_heat(table: &[Symptom], sign: &Sign) -> bool {
    let Sign::Symptom(symptom, true) = *sign else {
        return false;
    };
    let own = table.get(symptom);
    own.is_some_and(|own| own.name.starts_with("smell") || own.name.starts_with("hot "))
}

fn lasts(model: &SetModel<'_>, hypotheses: &Hypotheses, watts: &[Vec<f64>]) -> Vec<Vec<f64>> {
    let each = hypotheses.list.iter().zip(watts);
    each.map(|(own, watts)| {
        let FaultKind::CapacitorLeak(part) = own.kind else {
            return Vec::new();
        };
        let kind = model.sheet.parts.get(part).map(|own| own.value.kind());
        kind.map_or_else(Vec::new, |kind| {
            watts.iter().map(|watts| burns::log(kind, *watts)).collect()
        })
    })
    .collect()
}

/// How much each hypothesis lies before a tube or in it, and behind it.
fn sides(
    model: &SetModel<'_>,
    ways: &Ways<'_, '_>,
    hypotheses: &Hypotheses,
    tube: usize,
    end: SignalEnd,
) -> Result<(Vec<f64>, Vec<f64>), String> {
    let place = model.heater_place(tube);
    if place.is_some_and(|own| own.arrangement == HeaterArrangement::Series) {
        return Err("its heater is in series with others: without it they are dark too".to_owned());
    }
    let stages = || model.stages.complete.iter().filter(|own| own.tube == tube);
    let none = || vec![0.0; hypotheses.list.len()];
    let most = |one: Vec<f64>, other: Vec<f64>| -> Vec<f64> {
        one.iter().zip(&other).map(|(a, b)| a.max(*b)).collect()
    };
    let on = |from: Option<usize>, end: SignalEnd| {
        signals::on_the_way(ways, hypotheses, from, end).unwrap_or_else(none)
    };
    let (mut before, mut behind) = (none(), none());
    for stage in stages() {
        if let Some(grid) = stage.electrodes[1] {
            before = most(before, on(None, SignalEnd::Junction(grid)));
        }
        if let Some(plate) = stage.electrodes[0] {
            behind = most(behind, on(Some(plate), end));
        }
    }
    for (own, before) in hypotheses.list.iter().zip(&mut before) {
        if own.suspect == Suspect::Tube(tube) {
            *before = 1.0;
        }
    }
    if behind.iter().all(|own| *own == 0.0) && stages().next().is_none() {
        return Err("nothing is known of what hangs on it".to_owned());
    }
    Ok((before, behind))
}

/// What stands at a severity between those that were solved; beyond an end the end holds.
pub(super) fn along(severities: &[f64], logs: &[f64], severity: f64) -> f64 {
    let at = severities.partition_point(|own| *own < severity);
    let value = |at: usize| logs.get(at).copied();
    match (at.checked_sub(1), severities.get(at)) {
        (None, _) | (_, None) => value(at.min(logs.len().saturating_sub(1))).unwrap_or(0.0),
        (Some(before), Some(high)) => {
            let low = severities[before];
            // Laws are even in ratios for most; the difference inside one step is slight.
            let share = if low > 0.0 {
                (severity / low).ln() / (high / low).ln()
            } else {
                (severity - low) / (high - low)
            };
            match (value(before), value(at)) {
                (Some(one), Some(other)) => one + share * (other - one),
                (one, other) => one.or(other).unwrap_or(0.0),
            }
        }
    }
}

impl Beside for Signs {
    fn log(&self, hypothesis: usize, severity: f64) -> f64 {
        let lasts = self.lasts(hypothesis, severity);
        if self.each.is_empty() {
            return lasts;
        }
        let able = self.able(hypothesis, severity);
        lasts + self.joint.log(hypothesis, able) + self.either(hypothesis, severity)
    }

    fn is_felt(&self, hypothesis: usize, severity: f64) -> bool {
        let mut complaints = self.weighed().filter(|own| own.is_complaint);
        complaints.any(|own| self.at(own, hypothesis, severity) > CAN_BE)
    }

    fn not_listed(&self) -> Vec<f64> {
        self.joint.not_listed().to_vec()
    }

    fn together(&self, one: (usize, f64), other: (usize, f64)) -> f64 {
        let able = |own: (usize, f64)| (own.0, self.able(own.0, own.1));
        let beside = self.weighed().map(|own| {
            let of = |at: (usize, f64)| own.either(at.0, at.1, self.severities(at.0));
            match own.is_complaint {
                true => of(one).max(of(other)),
                false => of(one) + of(other),
            }
        });
        let beside: f64 = beside.sum();
        let lasts = self.lasts(one.0, one.1) + self.lasts(other.0, other.1);
        lasts + beside + self.joint.log_of_two(&self.each, able(one), able(other))
    }

    fn is_left(&self, hypothesis: usize, severity: f64) -> bool {
        let complaints = self.weighed().filter(|own| own.is_complaint);
        let each: Vec<(f64, &Weighed)> = complaints
            .map(|own| (self.at(own, hypothesis, severity), own))
            .collect();
        if each.iter().any(|(log, own)| *log < own.left) {
            return true;
        }
        // Two symptoms that it explains, but two others by far better.
        let worse = each.iter().map(|(log, own)| (own.most - log).max(0.0));
        let shown = each.iter().filter(|(_, own)| own.most > 0.0).count();
        shown > 1 && worse.sum::<f64>() > WORTH_A_SECOND
    }

    fn knows_signal(&self, from: Option<usize>, end: SignalEnd) -> bool {
        self.signals.contains(&(from, end))
    }

    fn knows_glow(&self, tube: usize) -> bool {
        self.glows.contains(&tube)
    }

    fn disturbs(&self, hypothesis: usize, severity: f64) -> Option<f64> {
        (!self.each.is_empty()).then(|| {
            self.joint
                .disturbs(hypothesis, self.able(hypothesis, severity))
        })
    }
}

/// Share of a bell below so many standard deviations.
fn by_bell(deviations: f64) -> f64 {
    0.5 * libm::erfc(-deviations / std::f64::consts::SQRT_2)
}
