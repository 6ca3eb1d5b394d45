//! What is known of the set and the bench while an act is done.
//!
//! Volts. `None` means not known. Where a fact can be computed or read off the sheet, the rules
//! take `None` for the dangerous case; where only the restorer's eye can tell (floor, coating's
//! spring, cage, hot glass, old parts at the line), `None` brings the caution. A
//! [`Situation::default`] knows nothing: chassis unknown, no isolation, cord as found, plug perhaps
//! in. Nothing here can fail.

/// What is known of the set and the bench while an act is done.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Situation {
    /// How the chassis stands to the line.
    pub chassis: ChassisRelation,
    /// What stands between the wall and the set.
    pub isolation: Isolation,
    /// Whether the cabinet is open.
    pub cabinet: Cabinet,
    /// The line cord.
    pub cord: Cord,
    /// The plug, or a spare cord, is in the outlet (also with the set switched off).
    pub plug_in: Option<bool>,
    /// Instruments already joined to the house earth on this set.
    pub grounded_leads: u8,
    /// Sets or instruments besides this one on the isolation transformer.
    pub others_on_isolation: u8,
    /// A lamp is in series with the line.
    pub limiter_lamp: bool,
    /// A variable transformer is in use.
    pub variable_transformer: bool,
    /// A damp floor, or grounded metal within reach.
    pub damp_floor: Option<bool>,
    /// The bench is a living room.
    pub living_room: bool,
    /// Line volts now; `None` unknown.
    pub line_volts: Option<f64>,
    /// Line volts at which the maker's figures hold; `None` unknown.
    pub marked_line_volts: Option<f64>,

    /// Heaters in series; `None` unknown.
    pub heater_string: Option<bool>,
    /// Electrolytic or film capacitors that see more than 60 V.
    pub capacitors_above_60_volts: Option<bool>,
    /// A tube of a heater string is out and no resistor stands in its place.
    pub string_gap: bool,
    /// Selenium rectifiers.
    pub selenium: Option<bool>,
    /// Tubes with a top cap.
    pub top_caps: Option<bool>,
    /// A cap lead hangs loose.
    pub loose_cap_lead: bool,
    /// A horizontal output stage.
    pub horizontal_output: Option<bool>,
    /// A power transformer.
    pub power_transformer: Option<bool>,
    /// Capacitors with an end on a blade or at the antenna terminals.
    pub line_capacitors: Option<bool>,
    /// Old ones among these are still joined: neither replaced nor cut loose.
    pub old_line_capacitors: Option<bool>,
    /// Antenna isolation capacitors and bleed resistor replaced by safety-class parts.
    pub antenna_parts_replaced: bool,
    /// A resistance cord.
    pub resistance_cord: Option<bool>,
    /// Electrolytics as found: never re-formed, not replaced.
    pub electrolytics_as_found: Option<bool>,
    /// An electrolytic was replaced or turned.
    pub electrolytic_replaced: bool,
    /// The set ran within the last minutes, its tubes are hot.
    pub tubes_hot: Option<bool>,
    /// Waxed paper parts or waxed coils.
    pub waxed_parts: Option<bool>,

    /// A picture tube is in the set.
    pub picture_tube: Option<bool>,
    /// The picture tube is out of its frame or bared.
    pub picture_tube_bared: bool,
    /// Volts at its anode while running; `None` unknown.
    pub anode_volts: Option<f64>,
    /// Its highest allowed anode volts; `None` unknown.
    pub anode_maximum_volts: Option<f64>,
    /// Its outer coating is joined to the chassis; `None` not checked.
    pub coating_grounded: Option<bool>,
    /// It has an outer coating.
    pub coating: Option<bool>,
    /// It has a metal cone.
    pub metal_cone: Option<bool>,
    /// Boot and ring of the metal cone are in place.
    pub cone_boot_fitted: Option<bool>,
    /// It has a bonded window.
    pub bonded_window: Option<bool>,
    /// It needs an ion trap.
    pub ion_trap_needed: Option<bool>,
    /// The ion trap is on the neck.
    pub ion_trap_fitted: bool,
    /// The ion trap has been set for the brightest raster at low brightness.
    pub ion_trap_set: bool,
    /// The socket is on the picture tube.
    pub picture_socket_on: Option<bool>,
    /// The front glass is fitted.
    pub front_glass_fitted: Option<bool>,
    /// Cage and shields of the high voltage are fitted.
    pub cage_fitted: Option<bool>,
    /// A high-voltage filter apart from the picture tube's glass.
    pub high_voltage_filter: Option<bool>,
    /// High voltage made from the line by a transformer.
    pub line_frequency_high_voltage: Option<bool>,

    /// The horizontal output stage is fed.
    pub output_stage_fed: Option<bool>,
    /// Negative grid drive at the horizontal output tube was computed or seen.
    pub drive_known: bool,
    /// Both sweeps run; `None` unknown.
    pub sweeps_run: Option<bool>,
    /// Brightness is at minimum.
    pub brightness_at_minimum: bool,
    /// An output tube's screen is fed while its plate is not, computed for this state.
    pub screen_fed_without_plate: Option<bool>,
    /// The picture tube's grid would be above its cathode, computed for this state.
    pub picture_grid_above_cathode: Option<bool>,
    /// Tubes are out or a plug that carries B+ is open.
    pub load_missing: bool,
    /// Highest share of its limit that any capacitor reaches in this state, computed
    /// (1.0 is exactly the limit); `None` not computed.
    pub capacitor_volts_share: Option<f64>,
    /// Leakage test passed with the plug in both ways, off the isolation transformer.
    pub leakage_test_passed: bool,

    /// Materials the restorer has seen.
    pub seen: Vec<Seen>,
    /// Signs that eye, ear, nose or meter give now.
    pub signs: Vec<Sign>,
}

impl Situation {
    /// True unless the chassis is known to be isolated by a transformer of the set.
    #[must_use]
    pub fn chassis_may_be_live(&self) -> bool {
        self.chassis != ChassisRelation::IsolatedByTransformer
    }

    /// True when the restorer has this sign before him.
    #[must_use]
    pub fn shows(&self, sign: Sign) -> bool {
        self.signs.contains(&sign)
    }
}

/// How the chassis stands to the line.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum ChassisRelation {
    /// Not known: taken as on the line.
    #[default]
    Unknown,
    /// A transformer of the set isolates it, shown by computation and by the dead measurement.
    IsolatedByTransformer,
    /// Joined to the line by anything but capacitors.
    OnTheLine,
}

/// What stands between the wall and the set.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Isolation {
    /// Nothing.
    #[default]
    None,
    /// An isolation transformer of enough volt-amperes.
    IsolationTransformer,
    /// A variable autotransformer alone.
    VariableAutotransformer,
}

/// Whether the cabinet is open.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Cabinet {
    /// Open, on the bench.
    #[default]
    Open,
    /// Closed, back fixed, knobs on.
    Closed,
}

/// The line cord.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Cord {
    /// As found, or its age is not known.
    #[default]
    AsFound,
    /// New, with strain relief.
    New,
}

/// A material the restorer has seen.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Seen {
    /// Sealed metal oil capacitor, or sticky clear oil.
    OilFilledPart,
    /// Grey or white fibrous sheet near hot parts.
    FibrousSheet,
    /// Bottles of old cleaner.
    PeriodCleaner,
    /// A broken tube with powder.
    BrokenTube,
    /// A trefoil, an isotope or glowing paint.
    RadioactiveMark,
    /// Mercury tube or tilt switch.
    Mercury,
}

/// What eye, ear, nose or meter notices.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Sign {
    /// The lamp is bright and stays so.
    LampStaysBright,
    /// A plate glows red.
    RedPlate,
    /// Blue glow inside a tube.
    BlueGlow,
    /// Arcing, seen or heard.
    Arcing,
    /// Smoke.
    Smoke,
    /// A burnt smell.
    BurntSmell,
    /// Rotten cabbage or garlic.
    SeleniumSmell,
    /// Hot wax.
    WaxSmell,
    /// Loud hum.
    LoudHum,
    /// A can that is hot, bulges, hisses or leaks.
    HotOrBulgingCan,
    /// Tar running, or a transformer hot within minutes without load.
    TransformerHot,
    /// Draw above the step's limit.
    DrawAboveLimit,
    /// Hiss or purple glow at the high voltage.
    Corona,
    /// Wax dripping near hot parts.
    DrippingWax,
    /// A standing spot or line on the screen.
    SpotOrLine,
    /// Heaters of a string that flare up or go dark.
    StringFlaresOrDark,
}
