//! A piece of advice as a typed act: what is done, where, with what, under which volts.
//!
//! Volts are peak volts at the place, computed by whoever gives the advice; `None` means
//! nobody knows, never zero. Ohms, watts and seconds are SI. An [`Act`] starts out knowing
//! nothing favourable: no instrument, charge unknown, effect of a missing tube unknown.
//! Nothing here can fail; whether an act may be advised is told by
//! [`HazardTable::judge`](super::HazardTable::judge).

use super::details::{
    Absence, Carrying, Connected, EnergisedBy, Hold, Instrument, Measured, ReFormed, Replacement,
    Saying, Setting, ShockCase, StoredCharge, Treatment, Watch,
};
use super::place::ActPlace;

/// One thing the restorer is told to do.
#[derive(Debug, Clone, PartialEq)]
pub struct Act {
    /// What is done.
    pub kind: ActKind,
    /// Where it is done.
    pub place: ActPlace,
    /// The other lead, or the other end of a connection, where the act has one.
    pub to: Option<ActPlace>,
    /// What is held or clipped to the place.
    pub instrument: Option<Instrument>,
    /// True while the set, or a source at this place, is on.
    pub energised: bool,
    /// Where the power comes from while `energised`.
    pub energised_by: EnergisedBy,
    /// Highest instantaneous volts at the place during the act, against `to` or chassis.
    /// Volts, computed; `None` when they are not known.
    pub peak_volts: Option<f64>,
    /// What is known of the charge left at the place with the power off.
    pub charge: StoredCharge,
    /// How instrument or probe is held.
    pub hold: Hold,
    /// What the set does without the tube, plug or part that the act takes away.
    pub absence: Absence,
}

impl Act {
    /// An act with the power off of which nothing favourable is known yet.
    #[must_use]
    pub fn new(kind: ActKind, place: ActPlace) -> Self {
        Self {
            kind,
            place,
            to: None,
            instrument: None,
            energised: false,
            energised_by: EnergisedBy::Line,
            peak_volts: None,
            charge: StoredCharge::Unknown,
            hold: Hold::ClippedWithPlugOut,
            absence: Absence::default(),
        }
    }

    /// A measurement between two places.
    #[must_use]
    pub fn measure(what: Measured, place: ActPlace, to: ActPlace) -> Self {
        Self::new(ActKind::Measure(what), place).to(to)
    }

    /// The same act with its other lead or other end.
    #[must_use]
    pub fn to(mut self, to: ActPlace) -> Self {
        self.to = Some(to);
        self
    }

    /// The same act done with this instrument or tool.
    #[must_use]
    pub fn with(mut self, instrument: Instrument) -> Self {
        self.instrument = Some(instrument);
        self
    }

    /// The same act with the power on and this many peak volts at the place (`None`: unknown).
    #[must_use]
    pub fn energised(mut self, peak_volts: Option<f64>) -> Self {
        self.energised = true;
        self.peak_volts = peak_volts;
        self
    }

    /// The same act under power from the bench's d.c. source, the set's plug out.
    #[must_use]
    pub fn energised_by_source(mut self, peak_volts: Option<f64>) -> Self {
        self.energised_by = EnergisedBy::BenchSource;
        self.energised(peak_volts)
    }

    /// The same act with these peak volts at the place, whatever puts them there: a charge that
    /// is to be proven gone, for example.
    #[must_use]
    pub fn peak(mut self, peak_volts: Option<f64>) -> Self {
        self.peak_volts = peak_volts;
        self
    }

    /// The same act with the power off, at a place whose charge is known so far.
    #[must_use]
    pub fn charge(mut self, charge: StoredCharge) -> Self {
        self.charge = charge;
        self
    }

    /// The same act with the instrument held in this way.
    #[must_use]
    pub fn hold(mut self, hold: Hold) -> Self {
        self.hold = hold;
        self
    }

    /// The same act with the computed effect of what it takes away.
    #[must_use]
    pub fn absence(mut self, absence: Absence) -> Self {
        self.absence = absence;
        self
    }

    /// True when the set runs from the line during the act or begins to run by it.
    #[must_use]
    pub fn runs_the_set(&self) -> bool {
        let runs = self.energised && self.energised_by == EnergisedBy::Line && !self.ends_power();
        runs || self.starts_the_set()
    }

    /// True when line or bench source gives power during the act or by it.
    #[must_use]
    pub fn is_under_power(&self) -> bool {
        (self.energised && !self.ends_power())
            || self.starts_the_set()
            || matches!(self.kind, ActKind::ReForm(_))
    }

    /// True for pulling the plug and switching off, which are always allowed.
    #[must_use]
    pub fn ends_power(&self) -> bool {
        matches!(self.kind, ActKind::PlugOut | ActKind::SwitchOff)
    }

    /// The peak volts as far as they are a usable figure, without sign.
    #[must_use]
    pub fn known_peak_volts(&self) -> Option<f64> {
        self.peak_volts
            .filter(|volts| volts.is_finite())
            .map(f64::abs)
    }

    /// True when the power is on and the place may hurt: above 30 V r.m.s. (42.4 V peak), or unknown.
    #[must_use]
    pub fn may_hurt(&self) -> bool {
        self.energised
            && self
                .known_peak_volts()
                .is_none_or(|volts| volts > super::HURTFUL_PEAK_VOLTS)
    }

    /// True when the set gets power by this act.
    #[must_use]
    pub fn starts_the_set(&self) -> bool {
        matches!(
            self.kind,
            ActKind::PlugIn | ActKind::SwitchOn | ActKind::KeepRunning
        )
    }

    /// True when hand, tool or lead comes to the place itself.
    #[must_use]
    pub fn reaches_the_place(&self) -> bool {
        matches!(
            self.kind,
            ActKind::Discharge
                | ActKind::DrawArc
                | ActKind::Connect(_)
                | ActKind::Treat(_)
                | ActKind::Shock(_)
        ) || self.is_by_hand()
            || matches!(self.kind, ActKind::Measure(what) if what != Measured::Temperature)
    }

    /// True when fingers come to the place, with or without a tool in them.
    #[must_use]
    pub fn is_by_hand(&self) -> bool {
        matches!(
            self.kind,
            ActKind::Touch
                | ActKind::Lift
                | ActKind::Pull
                | ActKind::Fit
                | ActKind::Replace(_)
                | ActKind::Solder
                | ActKind::Carry(_)
                | ActKind::Turn { .. }
        ) || (matches!(self.kind, ActKind::Open | ActKind::Close)
            && !matches!(self.place, ActPlace::Switch(_)))
    }
}

/// What is done.
#[derive(Debug, Clone, PartialEq)]
pub enum ActKind {
    /// Read a meter between `place` and `to`.
    Measure(Measured),
    /// Put a finger on the place.
    Touch,
    /// Cut or unsolder one end of a part.
    Lift,
    /// Take a tube, a cap lead or a socket off.
    Pull,
    /// Put a tube, plug, cap lead or spring back where it belongs.
    Fit,
    /// Join `place` with something.
    Connect(Connected),
    /// Open a plug, switch or feed.
    Open,
    /// Close a plug, switch or feed.
    Close,
    /// Bring a control or a supply to a value.
    Set(Setting),
    /// Take the stored charge away.
    Discharge,
    /// Form an electrolytic anew.
    ReForm(ReFormed),
    /// Put a new part in the place of an old one.
    Replace(Replacement),
    /// Solder at the place.
    Solder,
    /// Move something heavy or fragile.
    Carry(Carrying),
    /// Move yoke, focus coil, base or ion trap on the neck of the picture tube.
    Turn {
        /// True when it has stuck and is moved by force.
        by_force: bool,
    },
    /// Clean, warm, open or throw away something.
    Treat(Treatment),
    /// Draw an arc to see whether high voltage is there.
    DrawArc,
    /// A discharge between grid and cathode of the picture tube, to restore it.
    Shock(ShockCase),
    /// Use eye, ear and nose, from a step away.
    Look,
    /// Let time pass.
    Wait {
        /// Seconds to wait.
        seconds: f64,
        /// Who watches meanwhile.
        watch: Watch,
    },
    /// Put the plug into the outlet.
    PlugIn,
    /// Pull the plug and see it lie there.
    PlugOut,
    /// Switch the set on.
    SwitchOn,
    /// Switch the set off.
    SwitchOff,
    /// Go on with a set that runs.
    KeepRunning,
    /// Give the set to somebody who only watches it.
    HandOver,
    /// Tell the restorer something about safety.
    Say(Saying),
}
