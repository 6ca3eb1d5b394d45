//! What comes of a signal in a hidden set.
//!
//! Plain chances. A fault that disturbs and sits on the signal's way loses, weakens or bends it by the same table by
//! which signals are weighed ([`crate::suspects::signs::signals`]); without any it comes as it does in a sound set, now
//! and then not right. The same signal asked for again gives the same answer. Where the sheet shows no way
//! nothing is disturbed. Nothing here fails.

use rand::RngExt;

use super::draws;
use super::own_way::SignalSource;
use crate::sections::Sections;
use crate::suspects::hypotheses::Hypotheses;
use crate::suspects::signs::signal_way::{SignalEnd, Ways};
use crate::suspects::signs::signals::{CAME, SignalCame, chances_on, on_the_way};
use crate::wiring::SetModel;

/// The signals of a hidden set.
pub struct HiddenSignals<'a, 's> {
    model: &'a SetModel<'s>,
    hypotheses: &'a Hypotheses,
    sections: Sections,
    seed: u64,
    /// Faults that disturb, by their position among the hypotheses.
    disturbing: Vec<usize>,
}

impl<'a, 's> HiddenSignals<'a, 's> {
    /// A set with these faults that disturb, by their position among the hypotheses.
    pub fn new(
        model: &'a SetModel<'s>,
        hypotheses: &'a Hypotheses,
        seed: u64,
        disturbing: Vec<usize>,
    ) -> HiddenSignals<'a, 's> {
        HiddenSignals {
            sections: Sections::of(model),
            model,
            hypotheses,
            seed,
            disturbing,
        }
    }
}

impl SignalSource for HiddenSignals<'_, '_> {
    fn came(&self, from: Option<usize>, end: SignalEnd) -> SignalCame {
        let ways = Ways::of(self.model, &self.sections);
        let on = on_the_way(&ways, self.hypotheses, from, end).unwrap_or_default();
        let faults = self.disturbing.iter();
        let disturbs = faults
            .filter_map(|own| on.get(*own))
            .fold(0.0, |most: f64, own| most.max(*own));
        let mut left = draws(self.seed, &format!("signal {from:?} {end:?}")).random::<f64>();
        let found = CAME.into_iter().find(|came| {
            left -= chances_on(*came, disturbs);
            left <= 0.0
        });
        found.unwrap_or(SignalCame::Right)
    }
}
