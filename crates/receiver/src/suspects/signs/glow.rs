//! How a heater glows: dark, dim, as usual, too bright.
//!
//! Plain chances. An open heater darkens its tube and those in series with it; other faults glow by the heater volts
//! that are foretold with them, and as usual where none are. A look is misjudged by the chances of
//! `AS_USUAL`; the bounds between the words are judgement (a heater at half its volts is a dull red).
//! Nothing here fails.

use super::by_bell;
use crate::reading::What;
use crate::sheet::HeaterArrangement;
use crate::suspects::hypotheses::{Hypotheses, Hypothesis, Suspect};
use crate::suspects::predict::Foretold;
use crate::wiring::{FaultKind, SetModel};

/// How a heater glows.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Glow {
    /// Not at all.
    Dark,
    /// Less than its neighbours.
    Dim,
    /// As usual.
    Usual,
    /// More than its neighbours.
    Bright,
}

/// Chances of dark, dim, usual, bright at full heater volts: metal tubes, silvered bulbs and daylight mislead.
const AS_USUAL: [f64; 4] = [0.005, 0.045, 0.9, 0.05];
/// The same of an open heater, and of one without volts.
const OPEN: [f64; 4] = [0.96, 0.02, 0.01, 0.01];
/// Shares of the usual volts at which one word goes over into the next.
const BOUNDS: [f64; 3] = [DARK_SHARE, 0.82, 1.18];
/// Share of its usual volts below which a heater is dark.
pub(crate) const DARK_SHARE: f64 = 0.35;
/// Share of the usual volts below which nothing glows at all (common practice: tungsten or nickel shows no light at a tenth of its volts).
const NO_GLOW: f64 = 0.1;
/// How far the eye is off in them.
const EYE: f64 = 0.1;

impl Glow {
    /// All words, from nothing to too much.
    pub const ALL: [Glow; 4] = [Glow::Dark, Glow::Dim, Glow::Usual, Glow::Bright];

    /// Chance that it looks so in a healthy set.
    pub(in crate::suspects) fn usual(self) -> f64 {
        self.of(&AS_USUAL)
    }

    fn of(self, chances: &[f64; 4]) -> f64 {
        chances[match self {
            Glow::Dark => 0,
            Glow::Dim => 1,
            Glow::Usual => 2,
            Glow::Bright => 3,
        }]
    }
}

/// A look at one heater: what each fault makes of its glow.
pub(in crate::suspects) struct LookAt<'f> {
    /// Tubes whose open heater darkens it.
    with: Vec<usize>,
    /// Where its volts are foretold, by which probe, and those of a healthy set.
    volts: Option<(&'f Foretold, usize, f64)>,
}

impl<'f> LookAt<'f> {
    pub fn of(model: &SetModel<'_>, foretold: &'f [Foretold], tube: usize) -> LookAt<'f> {
        let volts = foretold.iter().find_map(|told| {
            let reference = &model.sheet.tubes.get(tube)?.reference;
            let mut own = told.probes.iter();
            let at =
                own.position(|own| own.what == What::HeaterVoltsRms && own.at == *reference)?;
            let healthy = told.healthy.get(at).copied().flatten()?;
            (healthy > 0.0).then_some((told, at, healthy))
        });
        LookAt {
            with: darkened_with(model, tube),
            volts,
        }
    }

    /// Natural logarithms by solved severity, of how many times likelier it glows so than in a healthy set. `number`
    /// is the position of this way of failing, `count` how many severities of it were solved.
    pub fn logs(&self, own: &Hypothesis, number: usize, count: usize, glow: Glow) -> Vec<f64> {
        let usual = glow.usual();
        let is_open = matches!(own.kind, FaultKind::HeaterOpen(open) if self.with.contains(&open));
        if is_open && matches!(own.suspect, Suspect::Tube(_) | Suspect::Socket(_)) {
            return vec![(glow.of(&OPEN) / usual).ln(); count];
        }
        (0..count)
            .map(|at| {
                let share = self.volts.and_then(|(told, probe, healthy)| {
                    let shifts = told.faulty.get(number)?.shifts.get(at)?.as_ref()?;
                    Some(1.0 + (*shifts.get(probe)?)? / healthy)
                });
                share.map_or(0.0, |share| (chance_at(glow, share) / usual).ln())
            })
            .collect()
    }
}

/// Natural logarithms by hypothesis and solved severity, of how many times likelier a tube glows so than in a
/// healthy set.
pub(super) fn weighed(
    model: &SetModel<'_>,
    hypotheses: &Hypotheses,
    foretold: &[Foretold],
    tube: usize,
    glow: Glow,
) -> Vec<Vec<f64>> {
    let look = LookAt::of(model, foretold, tube);
    let list = hypotheses.list.iter().enumerate();
    list.map(|(number, own)| look.logs(own, number, solved(foretold, number), glow))
        .collect()
}

/// How many severities of a way of failing were solved.
pub(in crate::suspects) fn solved(foretold: &[Foretold], number: usize) -> usize {
    let own = foretold.first().and_then(|told| told.faulty.get(number));
    own.map_or(1, |own| own.severities.len())
}

/// Chance of the word at a share of the usual heater volts.
fn chance_at(glow: Glow, share: f64) -> f64 {
    if share < NO_GLOW {
        return glow.of(&OPEN);
    }
    let below: Vec<f64> = BOUNDS
        .iter()
        .map(|bound| by_bell((bound - share) / EYE))
        .collect();
    let own = match glow {
        Glow::Dark => below[0],
        Glow::Dim => below[1] - below[0],
        Glow::Usual => below[2] - below[1],
        Glow::Bright => 1.0 - below[2],
    };
    // The same share of looks is misjudged whatever the volts.
    let misjudged = 1.0 - AS_USUAL[2];
    (1.0 - misjudged) * own + misjudged * glow.of(&AS_USUAL)
}

/// Tubes whose open heater darkens this one: itself, and those in series with it.
pub(crate) fn darkened_with(model: &SetModel<'_>, tube: usize) -> Vec<usize> {
    match model.heater_place(tube) {
        Some(place) if place.arrangement == HeaterArrangement::Series => place.tubes.clone(),
        _ => vec![tube],
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn without_volts_nothing_glows() {
        assert!(chance_at(Glow::Usual, 0.0) < 0.02);
        assert!(chance_at(Glow::Dark, 0.05) > 0.9);
        assert!(chance_at(Glow::Usual, 1.0) > 0.8);
        for share in [0.0, 0.3, 0.6, 1.0, 1.3] {
            let sum: f64 = Glow::ALL.iter().map(|own| chance_at(*own, share)).sum();
            assert!((sum - 1.0).abs() < 1e-9, "{share}: {sum}");
        }
    }
}
