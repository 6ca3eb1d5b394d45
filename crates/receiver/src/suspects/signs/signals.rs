//! A signal watched for at a place, an ear or the screen: whether it came, and what that says.
//!
//! Plain chances. The signal comes from a station or is fed in through a capacitor; the tubes on its way
//! are told by [`super::signal_way`](mod@super::signal_way). A fault at one of them that disturbs ([`super::able`](mod@super::able)) loses, weakens
//! or bends it by the chances of `ON_THE_WAY`; without any it comes by those of `SOUND`. Parts between a
//! tube of the way and another count half, the supply's half as well, and those before the place where it is
//! fed in a quarter: they may still load it (all judgement). Nothing here fails.

use parts::SetSection;

use super::signal_way::{SignalEnd, Ways};
use super::symptoms::shares_of;
use crate::sections::Sections;
use crate::suspects::hypotheses::{Hypotheses, Suspect};
use crate::wiring::SetModel;

/// What came of a signal.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum SignalCame {
    /// As it should be.
    Right,
    /// Less than it should be.
    Weak,
    /// Of another shape, or with hum or distortion.
    Bent,
    /// Nothing.
    Lost,
}

/// All that can come, in the order of the chances.
pub(crate) const CAME: [SignalCame; 4] = [
    SignalCame::Right,
    SignalCame::Weak,
    SignalCame::Bent,
    SignalCame::Lost,
];
/// Chances of right, weak, bent, lost where a fault disturbs on the way.
const ON_THE_WAY: [f64; 4] = [0.06, 0.28, 0.18, 0.48];
/// The same where nothing does (something is misjudged, or the generator was not right).
pub(in super::super) const SOUND: [f64; 4] = [0.92, 0.04, 0.02, 0.02];
/// How much a part counts that sits between a tube of the way and one beside it, or in the supply.
const HALF: f64 = 0.5;
/// How much a part counts that sits before the place where the signal is fed in.
const BEFORE: f64 = 0.25;

impl SignalCame {
    fn of(self, chances: &[f64; 4]) -> f64 {
        chances[match self {
            SignalCame::Right => 0,
            SignalCame::Weak => 1,
            SignalCame::Bent => 2,
            SignalCame::Lost => 3,
        }]
    }
}

/// How much each hypothesis is on the way; `None` where the sheet shows no way.
pub(crate) fn on_the_way(
    ways: &Ways<'_, '_>,
    hypotheses: &Hypotheses,
    from: Option<usize>,
    end: SignalEnd,
) -> Option<Vec<f64>> {
    let (model, sections) = (ways.model, ways.sections);
    let tubes = ways.tubes(from, end)?;
    let near = nearness(model, sections, &tubes, from);
    let own = |suspect: Suspect| match suspect {
        Suspect::Tube(tube) | Suspect::Socket(tube) => f64::from(u8::from(tubes.contains(&tube))),
        Suspect::Part(part) => {
            let shares = shares_of(sections, suspect);
            let is_supply = shares
                .first()
                .is_some_and(|own| own.0 == SetSection::Supply);
            if is_supply { HALF } else { near[part] }
        }
        Suspect::Transformer(_) => HALF,
    };
    let each = hypotheses.list.iter();
    Some(each.map(|hypothesis| own(hypothesis.suspect)).collect())
}

/// By part: 1 where it is nearest to a tube of the way, a half where it is as near to another.
fn nearness(
    model: &SetModel<'_>,
    sections: &Sections,
    tubes: &[usize],
    from: Option<usize>,
) -> Vec<f64> {
    let stages = &model.stages.complete;
    let pins = |on: bool| -> Vec<usize> {
        stages
            .iter()
            .filter(|stage| tubes.contains(&stage.tube) == on)
            .flat_map(|stage| stage.junctions().collect::<Vec<usize>>())
            .filter(|junction| !sections.is_shared(*junction))
            .collect()
    };
    // What lies between the place and the first tube is on the way, whatever pin the place is.
    let (mut of_way, mut beside) = (pins(true), pins(false));
    let fed_at_way = from.filter(|own| of_way.contains(own));
    of_way.extend(from);
    beside.retain(|own| Some(*own) != from);
    let (on, off) = (
        sections.steps(model, &of_way),
        sections.steps(model, &beside),
    );
    model
        .part_ends
        .iter()
        .map(|ends| {
            let least = |steps: &[Option<u32>]| {
                let own = ends.iter().flatten();
                own.filter_map(|end| *steps.get(*end)?).min()
            };
            match (least(&on), least(&off)) {
                (Some(on), Some(off)) if on == off => {
                    let is_before = fed_at_way.is_some_and(|own| ends.contains(&Some(own)));
                    if is_before { BEFORE } else { HALF }
                }
                (Some(on), Some(off)) if on > off => 0.0,
                (Some(_), _) => 1.0,
                (None, _) => 0.0,
            }
        })
        .collect()
}

/// By section: how much a fault there which is not listed is on the way: as far as the listed ones of the section are.
pub(super) fn of_sections(sections: &Sections, hypotheses: &Hypotheses, on: &[f64]) -> Vec<f64> {
    let mut sums = [(0.0, 0.0); SetSection::WORDS.len()];
    for (own, on) in hypotheses.list.iter().zip(on) {
        for (section, share) in shares_of(sections, own.suspect) {
            let at = SetSection::WORDS.iter().position(|own| own.1 == section);
            if let Some(sum) = at.and_then(|at| sums.get_mut(at)) {
                let weight = share * own.chance;
                sum.0 += weight * on;
                sum.1 += weight;
            }
        }
    }
    // Of a section in which nothing is listed nothing is known.
    let of = |(on, all): (f64, f64)| if all > 0.0 { on / all } else { HALF };
    sums.into_iter().map(of).collect()
}

/// Natural logarithm of how many times likelier it came so than in a healthy set, where something disturbs on the way with
/// this chance.
pub(super) fn likelier(came: SignalCame, disturbs: f64) -> f64 {
    (chances_on(came, disturbs) / came.of(&SOUND)).ln()
}

/// Chance that it comes so where something disturbs it on the way with this chance.
pub(crate) fn chances_on(came: SignalCame, disturbs: f64) -> f64 {
    disturbs * came.of(&ON_THE_WAY) + (1.0 - disturbs) * came.of(&SOUND)
}
