//! What a step of the first power-up is for.
//!
//! No units. From it follow whether a step may be passed over and whether it has to be done again
//! after the bench was left. Nothing here fails.

/// What a step is for.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum StepKind {
    /// An isolation transformer before anything else.
    Isolation,
    /// The eye, the plug out.
    LookOver,
    /// Every charge taken away and proved gone.
    Discharge,
    /// Megohms between the line and what a hand touches.
    LineToChassis,
    /// Every cold resistance against its band.
    ColdResistances,
    /// Capacitors that go before any power.
    CapacitorsToGo,
    /// Electrolytics sorted: replaced, or re-formed in the steps that follow.
    Electrolytics,
    /// One electrolytic on a separate source.
    ReForming,
    /// Joints closed again.
    PutBack,
    /// What stays as found.
    Remains,
    /// The set made ready for the plug.
    Ready,
    /// The power transformer with nothing on it.
    TransformerAlone,
    /// Heaters, no B+.
    HeatersAlone,
    /// B+.
    Supply,
    /// What is to be met before the sweep gets B+.
    BeforeSweep,
}

impl StepKind {
    /// All of them.
    pub const ALL: [StepKind; 15] = [
        StepKind::Isolation,
        StepKind::LookOver,
        StepKind::Discharge,
        StepKind::LineToChassis,
        StepKind::ColdResistances,
        StepKind::CapacitorsToGo,
        StepKind::Electrolytics,
        StepKind::ReForming,
        StepKind::PutBack,
        StepKind::Remains,
        StepKind::Ready,
        StepKind::TransformerAlone,
        StepKind::HeatersAlone,
        StepKind::Supply,
        StepKind::BeforeSweep,
    ];

    /// The name in which it is answered.
    pub fn name(self) -> &'static str {
        match self {
            StepKind::Isolation => "isolation",
            StepKind::LookOver => "look_over",
            StepKind::Discharge => "discharge",
            StepKind::LineToChassis => "line_to_chassis",
            StepKind::ColdResistances => "cold_resistances",
            StepKind::CapacitorsToGo => "capacitors_to_go",
            StepKind::Electrolytics => "electrolytics",
            StepKind::ReForming => "re_forming",
            StepKind::PutBack => "put_back",
            StepKind::Remains => "remains",
            StepKind::Ready => "ready",
            StepKind::TransformerAlone => "transformer_alone",
            StepKind::HeatersAlone => "heaters_alone",
            StepKind::Supply => "supply",
            StepKind::BeforeSweep => "before_sweep",
        }
    }

    /// The kind of this name.
    pub fn from_name(name: &str) -> Option<StepKind> {
        StepKind::ALL.into_iter().find(|kind| kind.name() == name)
    }

    /// Whether line power goes into the set in it.
    pub fn has_line_power(self) -> bool {
        matches!(
            self,
            StepKind::TransformerAlone | StepKind::HeatersAlone | StepKind::Supply
        )
    }

    /// Whether it is done again after the bench was left: charges, cold resistances, and all
    /// that follows from them. Work done on parts stays done.
    pub fn is_done_again(self) -> bool {
        self.has_line_power()
            || matches!(
                self,
                StepKind::Discharge
                    | StepKind::ColdResistances
                    | StepKind::Ready
                    | StepKind::BeforeSweep
            )
    }

    /// Why it must not be passed over; `None` where it may be.
    pub fn is_needed_because(self) -> Option<&'static str> {
        Some(match self {
            StepKind::Isolation => {
                "without the isolation transformer every screw of the chassis may stand at line volts"
            }
            StepKind::Discharge => "what is not discharged and proved may hold enough to kill",
            StepKind::LineToChassis => {
                "until it is measured the chassis counts as live, and nothing may be touched under power"
            }
            StepKind::ColdResistances => {
                "it is the last look before power: a short that it shows would be fed by the transformer"
            }
            StepKind::CapacitorsToGo => {
                "what leaks there puts the line on the chassis, or takes a tube and its transformer along"
            }
            StepKind::PutBack => {
                "a bleeder left open leaves the charge standing and lets the volts climb"
            }
            StepKind::Ready => {
                "with the sweep fed, the output tube and the flyback burn within a minute or two"
            }
            StepKind::LookOver
            | StepKind::Electrolytics
            | StepKind::ReForming
            | StepKind::Remains
            | StepKind::TransformerAlone
            | StepKind::HeatersAlone
            | StepKind::Supply
            | StepKind::BeforeSweep => return None,
        })
    }
}
