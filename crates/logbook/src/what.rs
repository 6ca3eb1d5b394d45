//! What a meter shows: the kinds of reading, each with its unit in the name.
//!
//! The names are those of the machine-readable answers. A name that is not known reads as
//! `None`.

macro_rules! kinds {
    ($($kind:ident $name:literal $unit:literal $text:literal;)*) => {
        /// What was read.
        #[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
        pub enum What {
            $(#[doc = $text] $kind,)*
        }

        impl What {
            /// All of them.
            pub const ALL: &[What] = &[$(What::$kind,)*];

            /// The name in which it is stored and answered.
            pub fn name(self) -> &'static str {
                match self { $(What::$kind => $name,)* }
            }

            /// The unit of its value.
            pub fn unit(self) -> &'static str {
                match self { $(What::$kind => $unit,)* }
            }

            /// What it is, in a few words.
            pub fn text(self) -> &'static str {
                match self { $(What::$kind => $text,)* }
            }
        }
    };
}

kinds! {
    DcVolts "dc_volts" "V" "d.c. volts";
    RippleVoltsPeakToPeak "ripple_volts_peak_to_peak" "V" "ripple, volts peak to peak";
    AcVoltsRms "ac_volts_rms" "V" "a.c. volts, rms";
    WaveVoltsPeakToPeak "wave_volts_peak_to_peak" "V" "wave on an oscilloscope, volts peak to peak";
    LineAmpsRms "line_amps_rms" "A" "current from the line, rms";
    LineWatts "line_watts" "W" "watts of the set from the line";
    LampVoltsRms "lamp_volts_rms" "V" "volts across the limiter lamp, rms";
    HeaterVoltsRms "heater_volts_rms" "V" "volts across a heater, rms";
    HeaterAmpsRms "heater_amps_rms" "A" "current of a heater, rms";
    PlateMilliamps "plate_milliamps" "mA" "plate current";
    ScreenMilliamps "screen_milliamps" "mA" "second-grid current";
    CathodeMilliamps "cathode_milliamps" "mA" "cathode current";
    PartMilliamps "part_milliamps" "mA" "current through a part";
    LeakageMilliamps "leakage_milliamps" "mA" "leakage of a capacitor";
    RectifierPeakMilliamps "rectifier_peak_milliamps" "mA" "highest current of a rectifier";
    CapacitorRippleAmpsRms "capacitor_ripple_amps_rms" "A" "ripple current of a capacitor, rms";
    PartWatts "part_watts" "W" "heat in a part";
    Ohms "ohms" "ohm" "resistance";
    Microfarads "microfarads" "mfd" "capacitance";
    Henries "henries" "H" "inductance";
    Hertz "hertz" "cycles" "frequency";
}

impl What {
    /// The kind of this name.
    pub fn from_name(name: &str) -> Option<What> {
        What::ALL.iter().copied().find(|what| what.name() == name)
    }
}
