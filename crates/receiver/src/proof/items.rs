//! What an item of the proof is: what it asks, where, how often, against which figure.
//!
//! Figures in the unit that an item names. Limits have their source and standing. Nothing here fails.

use parts::Standing;

use super::under_power::Acts;

/// Key of the leakage item.
pub const LEAKAGE: &str = "leakage";
/// Minutes of a soak at which it is read (trade number "first soak": start, half hour, each hour to the fourth).
pub const SOAK_MINUTES: [f64; 6] = [0.0, 30.0, 60.0, 120.0, 180.0, 240.0];
/// What an item asks for.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Asks {
    /// Yes or no.
    YesNo,
    /// A figure in this unit.
    Figure(&'static str),
}

/// Where an answer belongs.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Slot {
    /// The point; empty for none.
    pub point: String,
    /// Whether the plug is the other way round; `None` where it does not matter.
    pub plug_other: Option<bool>,
    /// Whether the set is switched on; `None` where it does not matter.
    pub switched_on: Option<bool>,
    /// Minutes of the soak.
    pub minutes: Option<f64>,
}

impl Slot {
    /// Whether what is said for this place holds for another: what it leaves open holds for all.
    #[must_use]
    pub fn covers(&self, other: &Slot) -> bool {
        (self.point.is_empty() || self.point.eq_ignore_ascii_case(&other.point))
            && (self.plug_other.is_none() || self.plug_other == other.plug_other)
            && (self.switched_on.is_none() || self.switched_on == other.switched_on)
            && (self.minutes.is_none() || self.minutes == other.minutes)
    }
}

/// A limit with its source.
#[derive(Debug, Clone, PartialEq)]
pub struct ProofLimit {
    /// At least.
    pub low: Option<f64>,
    /// At most.
    pub high: Option<f64>,
    /// Where it comes from.
    pub source: String,
    /// How far to trust it: of a limit that stands in `data/`, as its row says.
    pub standing: Standing,
}

/// What a healthy set gives.
#[derive(Debug, Clone, PartialEq)]
pub struct Expected {
    /// Where.
    pub slot: Slot,
    /// Low, expected, high.
    pub values: [f64; 3],
    /// What it is made of.
    pub made_of: String,
}

/// How an item stands.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum ItemState {
    /// Something lies beyond its figure, or was seen to be wrong.
    Failed,
    /// Something is not done.
    Open,
    /// Everything was done, and nothing lies beyond its figure.
    Met,
    /// It does not belong to this set.
    NotOfThisSet,
}

impl ItemState {
    /// The word in answers.
    #[must_use]
    pub fn word(self) -> &'static str {
        match self {
            ItemState::Failed => "failed",
            ItemState::Open => "open",
            ItemState::Met => "met",
            ItemState::NotOfThisSet => "not_of_this_set",
        }
    }
}

/// What work on the set makes an item open again.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum ReopenedBy {
    /// Nothing.
    Nothing,
    /// Work on cord, plug, fuse, switch and parts at the line.
    LineWork,
    /// Any work in the set.
    AnyWork,
}

/// One item.
#[derive(Debug, Clone, PartialEq)]
pub struct ProofItem {
    /// Its key.
    pub key: String,
    /// What it is.
    pub title: String,
    /// What it asks for.
    pub asks: Asks,
    /// Every answer that it needs.
    pub slots: Vec<Slot>,
    /// Whether further points may be named, each with the same slots as the first one.
    pub more_points: bool,
    /// Its limit.
    pub limit: Option<ProofLimit>,
    /// What a healthy set gives.
    pub expected: Vec<Expected>,
    /// What to do.
    pub acts: Vec<String>,
    /// Cautions.
    pub cautions: Vec<String>,
    /// Why it is not to be done yet.
    pub not_yet: Vec<String>,
    /// What is not known about it.
    pub unknown: Vec<String>,
    /// Items that come first.
    pub after: Vec<&'static str>,
    /// What makes it open again.
    pub reopened_by: ReopenedBy,
}

impl ProofItem {
    pub(super) fn new(key: &str, title: impl Into<String>, asks: Asks) -> ProofItem {
        ProofItem {
            key: key.to_owned(),
            title: title.into(),
            asks,
            slots: vec![Slot::default()],
            more_points: false,
            limit: None,
            expected: Vec::new(),
            acts: Vec::new(),
            cautions: Vec::new(),
            not_yet: Vec::new(),
            unknown: Vec::new(),
            after: Vec::new(),
            reopened_by: ReopenedBy::AnyWork,
        }
    }

    pub(super) fn doing(mut self, text: impl Into<String>) -> ProofItem {
        self.acts.push(text.into());
        self
    }

    pub(super) fn acted(mut self, acts: Acts) -> ProofItem {
        self.acts.splice(0..0, acts.acts);
        self.cautions.extend(acts.cautions);
        self.not_yet.extend(acts.refused);
        self
    }

    pub(super) fn limited(
        mut self,
        low: Option<f64>,
        high: Option<f64>,
        source: &str,
        standing: Standing,
    ) -> ProofItem {
        self.limit = Some(ProofLimit {
            low,
            high,
            source: source.to_owned(),
            standing,
        });
        self
    }

    pub(super) fn at_points(mut self, points: &[String], slots: &[Slot]) -> ProofItem {
        self.slots = points
            .iter()
            .flat_map(|point| {
                slots.iter().map(|slot| Slot {
                    point: point.clone(),
                    ..slot.clone()
                })
            })
            .collect();
        self.more_points = true;
        self
    }

    pub(super) fn soaked(mut self) -> ProofItem {
        self.slots = SOAK_MINUTES
            .iter()
            .map(|minutes| Slot {
                minutes: Some(*minutes),
                ..Slot::default()
            })
            .collect();
        self
    }

    pub(super) fn line_work(mut self) -> ProofItem {
        self.reopened_by = ReopenedBy::LineWork;
        self
    }

    pub(super) fn after(mut self, keys: &[&'static str]) -> ProofItem {
        self.after = keys.to_vec();
        self
    }
}
