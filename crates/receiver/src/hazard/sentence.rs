//! Says an act in the restorer's words.
//!
//! The sentence is made from the typed act after it has been judged; nothing is ever read back
//! from it. Volts, ohms, amperes and seconds are printed as on the bench. Cannot fail.

use std::fmt;

use super::act::{Act, ActKind};
use super::details::{
    Carrying, Connected, CordReplacement, Glass, Grip, Hold, Instrument, Measured, ReFormed,
    Replacement, SafetyClass, Saying, Setting, StoredCharge, Treatment, Watch,
};
use super::place::ActPlace;

impl Act {
    /// The act as one or two short sentences.
    #[must_use]
    pub fn sentence(&self) -> String {
        let to = |preposition: &str| {
            // From one end of a thing to its other end is across it.
            let other = self.to.as_ref().filter(|to| **to != self.place);
            other
                .map(|to| format!(" {preposition} {to}"))
                .unwrap_or_default()
        };
        let place = &self.place;
        let mut text = match self.kind {
            ActKind::Measure(what) => self.measured(what, &to("to")),
            ActKind::Touch => format!("Touch {place}."),
            ActKind::Lift if self.to.is_some() => format!("Cut {place} loose{}.", to("at")),
            ActKind::Lift => format!("Cut {place} loose at one end."),
            ActKind::Pull => match self.instrument {
                Some(held @ (Instrument::Cloth | Instrument::InsulatedPliers)) => {
                    format!("Pull {place} with {}.", tool(held))
                }
                _ => format!("Pull {place}."),
            },
            ActKind::Fit => format!("Fit {place}{}.", to("to")),
            ActKind::Connect(what) => connected(what, place, &to("and")),
            ActKind::Open => format!("Open {place}."),
            ActKind::Close => format!("Close {place}."),
            ActKind::Set(setting) => set(setting, place),
            ActKind::Discharge => self.discharged(&to("to")),
            ActKind::ReForm(how) => re_formed(how, place),
            ActKind::Replace(what) => replaced(what, place),
            ActKind::Solder => format!("Solder at {place}."),
            ActKind::Carry(carrying) => carried(carrying, place),
            ActKind::Turn { by_force: false } => {
                format!("Turn {place} gently; never push sideways.")
            }
            ActKind::Turn { by_force: true } => format!("Turn {place} by force."),
            ActKind::Treat(treatment) => treated(treatment, place),
            ActKind::DrawArc => format!("Draw an arc at {place}."),
            ActKind::Shock(_) => {
                format!("Give {place} one restoring shock. It may be the end of the tube.")
            }
            ActKind::Look => {
                format!("Look at {place}, listen and smell, from a step away.")
            }
            ActKind::Wait { seconds, watch } => format!(
                "Wait {}{}.",
                duration(seconds),
                match watch {
                    Watch::Restorer if self.energised => " and stay with the set",
                    Watch::Restorer => "",
                    Watch::Nobody => "; nobody need stay",
                    Watch::TimerSwitch => "; a timer switch ends it",
                }
            ),
            ActKind::PlugIn => "Put the plug in.".to_owned(),
            ActKind::PlugOut => "Pull the plug and see it lie there.".to_owned(),
            ActKind::SwitchOn => "Switch the set on.".to_owned(),
            ActKind::SwitchOff => "Switch the set off.".to_owned(),
            ActKind::KeepRunning => "Leave the set running.".to_owned(),
            ActKind::HandOver => "Give the set back for use.".to_owned(),
            ActKind::Say(saying) => said(saying).to_owned(),
        };
        if self.is_by_hand() && !self.energised {
            text.push_str(match self.charge {
                StoredCharge::ProvenWithMeter => " Discharged and proven first.",
                StoredCharge::DischargedRepeatedlyClipLeft => " The clip lead stays on.",
                _ => "",
            });
        }
        text
    }

    fn measured(&self, what: Measured, to: &str) -> String {
        let place = &self.place;
        let named = match what {
            Measured::DcVolts => "d.c. volts",
            Measured::AcVolts => "a.c. volts",
            Measured::RippleVolts => "ripple",
            Measured::HighVolts => "high voltage",
            Measured::Ohms => "ohms",
            Measured::Megohms => "megohms",
            Measured::Current => "current",
            Measured::LineWatts => "line watts",
            Measured::LeakageOfTheClosedSet => {
                return format!(
                    "Measure leakage from {place}{to} through the 1500 ohm test resistor, the set \
                     closed, plug both ways. Clip the meter on with the plug out; hands off while \
                     it is in."
                );
            }
            Measured::Temperature => {
                return format!("Read the temperature of {place} without touching it.");
            }
        };
        let with = match self.instrument {
            Some(Instrument::Meter {
                rated_volts: Some(rated),
            }) if !what.is_resistance() => {
                format!(" with meter and leads made for {rated:.0} V")
            }
            Some(Instrument::HighVoltageProbe {
                rated_volts: Some(rated),
            }) => format!(" with a high-voltage probe made for {}", kilovolts(rated)),
            Some(Instrument::PulseDivider {
                rated_volts: Some(rated),
            }) => format!(" with a divider made for pulses of {}", kilovolts(rated)),
            Some(Instrument::FixedMeter { .. }) => " with a meter wired in".to_owned(),
            Some(Instrument::Oscilloscope { .. }) => " with the oscilloscope".to_owned(),
            _ => String::new(),
        };
        let clip = match (self.energised, self.hold, what) {
            (true, Hold::ClippedWithPlugOut, Measured::HighVolts) => {
                " Clip the probe on with the plug out, its ground lead first; read from a step away."
            }
            (true, Hold::ClippedWithPlugOut, _) => " Clip the meter on with the plug out.",
            (true, Hold::OneHand, _) => {
                " Clip the ground lead on with the plug out; one hand on the probe, the other in \
                 a pocket."
            }
            (true, Hold::BothHands, _) => " Hold both probes.",
            (false, _, what) if what.is_resistance() => match self.charge {
                StoredCharge::ProvenWithMeter => " Plug out, discharged and proven first.",
                _ => " Plug out.",
            },
            (false, _, _) => "",
        };
        match what {
            Measured::LineWatts => format!("Read line watts of {place}{with}.{clip}"),
            Measured::Current if to.is_empty() => {
                format!("Measure current, the meter in series with {place}{with}.{clip}")
            }
            Measured::Current => {
                format!("Measure current, the meter in the lead from {place}{to}{with}.{clip}")
            }
            _ if to.is_empty() => format!("Measure {named} across {place}{with}.{clip}"),
            _ => format!("Measure {named} from {place}{to}{with}.{clip}"),
        }
    }

    fn discharged(&self, to: &str) -> String {
        let place = &self.place;
        let ground = if to.is_empty() { " to chassis" } else { to };
        match self.instrument {
            Some(Instrument::DischargeResistor) => format!(
                "Discharge {place}{ground} through the resistor, then prove it with the meter."
            ),
            Some(Instrument::DischargeRod) => format!(
                "Discharge {place}{ground} with the insulated rod, several times over some \
                 minutes; leave the clip on."
            ),
            Some(instrument) => {
                format!("Discharge {place}{ground} with {}.", tool(instrument))
            }
            None => format!("Discharge {place}{ground}."),
        }
    }
}

impl fmt::Display for Act {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.sentence())
    }
}

fn tool(instrument: Instrument) -> &'static str {
    match instrument {
        Instrument::Meter { .. } | Instrument::StretchedMeter => "the meter",
        Instrument::FixedMeter { .. } => "the meter wired in",
        Instrument::Ohmmeter => "the ohmmeter",
        Instrument::HighVoltageProbe { .. } => "the high-voltage probe",
        Instrument::PulseDivider { .. } => "the pulse divider",
        Instrument::Oscilloscope { .. } => "the oscilloscope",
        Instrument::DischargeResistor => "the discharge resistor",
        Instrument::DischargeRod => "the insulated rod",
        Instrument::Screwdriver => "a screwdriver",
        Instrument::Pencil => "a pencil",
        Instrument::ClipLead => "a clip lead",
        Instrument::Thermometer => "the thermometer",
        Instrument::InsulatedPliers => "insulated pliers",
        Instrument::Cloth => "a cloth",
        Instrument::Hand => "the hand",
        Instrument::Cutter => "the cutter",
        Instrument::SolderingIron => "the soldering iron",
    }
}

fn kilovolts(volts: f64) -> String {
    format!("{} kV", (volts / 100.0).round() / 10.0)
}

fn ohms(value: f64) -> String {
    let rounded = |value: f64| (value * 100.0).round() / 100.0;
    if value >= 1e6 {
        format!("{} meg", rounded(value / 1e6))
    } else if value >= 1e3 {
        format!("{}k", rounded(value / 1e3))
    } else {
        format!("{} ohm", rounded(value))
    }
}

fn duration(seconds: f64) -> String {
    if seconds < 120.0 {
        format!("{seconds:.0} seconds")
    } else if seconds < 7_200.0 {
        format!("{:.0} minutes", seconds / 60.0)
    } else {
        format!("{:.1} hours", seconds / 3_600.0)
    }
}

fn connected(what: Connected, place: &ActPlace, and: &str) -> String {
    match what {
        Connected::ClipLead => format!("Clip a lead between {place}{and}."),
        Connected::IsolationTransformer => {
            "Feed the set through the isolation transformer, nothing else on it.".to_owned()
        }
        Connected::VariableTransformer {
            counted_as_isolation: false,
        } => "Put the variable transformer into the line; it does not isolate.".to_owned(),
        Connected::VariableTransformer {
            counted_as_isolation: true,
        } => "Use the variable transformer as isolation.".to_owned(),
        Connected::LimiterLamp => "Put the lamp in series with the line, plug out.".to_owned(),
        Connected::DcSource { volts, series_ohms } => format!(
            "Connect the d.c. source, set to {volts:.0} V and switched off, through {} to {place}.",
            ohms(series_ohms)
        ),
        Connected::SecondLoadOnIsolation => {
            "Put a second load on the isolation transformer.".to_owned()
        }
        Connected::GroundedInstrument => {
            format!("Clip the grounded instrument's common lead to {place}.")
        }
        Connected::OscilloscopeGround => format!(
            "Clip the ground lead of oscilloscope or generator to {place}, after a meter has shown no volts from \
             there to earth."
        ),
        Connected::Antenna => "Connect the antenna.".to_owned(),
        Connected::AudioOrComputerLead => {
            format!("Connect an earphone, charger or computer lead to {place}.")
        }
        Connected::Earth => format!("Join {place} to earth."),
        Connected::CapacitorAcrossOld { old_stays } => format!(
            "Put the new capacitor across {place}{}.",
            if old_stays {
                " and leave the old one"
            } else {
                ", the old one cut loose"
            }
        ),
        Connected::TestCapacitorAcrossOld => format!(
            "Clip a good capacitor across {place} for a trial, of its value and at least its volts, + to + where it \
             has one; take it off again with the plug out and everything discharged."
        ),
        Connected::FuseBridge => format!("Bridge {place}."),
        Connected::InterlockBridge { for_good: true } => {
            "Bridge the interlock for good.".to_owned()
        }
        Connected::InterlockBridge { for_good: false } => {
            "Use a spare cord at the interlock for this test only.".to_owned()
        }
        Connected::HeaterBridge => format!("Bridge {place}."),
        Connected::HeaterResistor => {
            format!("Put a resistor of the heater's rating at {place}.")
        }
        Connected::SignalThroughCapacitor { rated_volts } => format!(
            "Clip the generator's lead to {place} through a blocking capacitor made for {rated_volts:.0} V or more."
        ),
        Connected::DummyLoad => format!("Put the dummy load from {place} to chassis."),
    }
}

fn set(setting: Setting, place: &ActPlace) -> String {
    match setting {
        Setting::LineVolts { volts, .. } => format!("Set the line to {volts:.0} V."),
        Setting::HeaterVolts {
            volts,
            limit_seconds,
            ..
        } => format!(
            "Set the heater of {place} to {volts:.1} V{}.",
            limit_seconds
                .map(|limit| format!(", {} at most", duration(limit)))
                .unwrap_or_default()
        ),
        Setting::SourceVolts { volts, .. } => {
            format!("Set the d.c. source at {place} to {volts:.0} V.")
        }
        Setting::HighVoltage { volts, .. } => {
            format!("Set the high voltage to {}.", kilovolts(volts))
        }
        Setting::BrightnessToMinimum => "Turn brightness to minimum.".to_owned(),
        Setting::BrightnessUp => "Turn brightness up slowly.".to_owned(),
        Setting::OutputScreenUp => format!("Raise the screen volts of {place}."),
        Setting::IonTrapForBrightest => {
            "Set the ion trap for the brightest raster, at low brightness.".to_owned()
        }
        Setting::IonTrapToHideShadow => "Move the ion trap to hide the shadow.".to_owned(),
        Setting::ControlTenths(10) => format!("Turn {place} fully clockwise."),
        Setting::ControlTenths(0) => format!("Turn {place} fully counterclockwise."),
        Setting::ControlTenths(tenths) => format!("Set {place} to {tenths} tenths of its turn."),
    }
}

fn re_formed(how: ReFormed, place: &ActPlace) -> String {
    match how {
        ReFormed::ThroughOwnRectifier => {
            format!("Re-form {place} in the set through its own rectifier.")
        }
        ReFormed::FromSeparateSource {
            volts,
            series_ohms,
            shield,
            ..
        } => format!(
            "Re-form {place} from the d.c. source: {volts:.0} V through {}{}, plug out.",
            ohms(series_ohms),
            if shield { ", behind a shield" } else { "" }
        ),
    }
}

fn replaced(what: Replacement, place: &ActPlace) -> String {
    match what {
        Replacement::SameValue => format!("Replace {place} by a new part of the same value."),
        Replacement::Fuse { amperes, .. } => format!("Fit a {amperes} A fuse at {place}."),
        Replacement::LineCapacitor { class, .. } => format!(
            "Replace {place} by {}.",
            match class {
                SafetyClass::Ordinary => "an ordinary capacitor",
                SafetyClass::X => "a safety capacitor of class X1 or X2",
                SafetyClass::Y => "a safety capacitor of class Y1 or Y2",
            }
        ),
        Replacement::AntennaIsolation { bleed_resistor, .. } => format!(
            "Replace the isolating capacitors at {place} by class Y1 or Y2{}.",
            if bleed_resistor {
                ", with the drawn bleed resistor"
            } else {
                ""
            }
        ),
        Replacement::FrontGlass(Glass::Safety) => {
            "Fit laminated or tempered glass of the same size in front.".to_owned()
        }
        Replacement::FrontGlass(Glass::Window) => "Fit window glass in front.".to_owned(),
        Replacement::Cord => {
            "Replace the line cord, with strain relief, before any power.".to_owned()
        }
        Replacement::ResistanceCord(CordReplacement::PlainCord) => {
            "Replace the resistance cord by a plain one.".to_owned()
        }
        Replacement::ResistanceCord(CordReplacement::Shortened) => {
            "Shorten the resistance cord.".to_owned()
        }
        Replacement::ResistanceCord(CordReplacement::CoiledUp) => {
            "Coil the resistance cord up.".to_owned()
        }
        Replacement::ResistanceCord(CordReplacement::NewCordAndDropper) => {
            "Replace the resistance cord by a new cord and a computed dropper in the open air."
                .to_owned()
        }
        Replacement::Electrolytic { polarity_checked } => format!(
            "Replace {place}{}.",
            if polarity_checked {
                "; check + against the sheet before soldering"
            } else {
                ""
            }
        ),
        Replacement::SweepPart { .. } => {
            format!("Replace {place}, then measure the high voltage.")
        }
        Replacement::SiliconWithResistor => {
            format!("Replace {place} by silicon and the computed series resistor.")
        }
    }
}

fn carried(carrying: Carrying, place: &ActPlace) -> String {
    let grip = match carrying.grip {
        Grip::UnderTheFace => "both hands under the face, then face down on a soft cloth",
        Grip::ByTheNeck => "by the neck",
        Grip::AgainstTheBody => "against the body",
        Grip::WeightOnTube => "resting on the tube",
        Grip::ByTheFrame => "by its frame, onto blocks",
    };
    let people = match carrying.people {
        0 | 1 => "alone".to_owned(),
        2 => "with two people".to_owned(),
        people => format!("with {people} people"),
    };
    let protected = if carrying.protected {
        "; goggles, gloves and long sleeves on"
    } else {
        ""
    };
    format!("Lift {place} {people}, {grip}{protected}.")
}

fn treated(treatment: Treatment, place: &ActPlace) -> String {
    match treatment {
        Treatment::Scrape => format!("Scrape {place}."),
        Treatment::Pry => format!("Pry at {place}."),
        Treatment::BreakOpen => format!("Open {place}."),
        Treatment::Flame => format!("Heat {place} with a flame."),
        Treatment::SlowWarmth => format!("Warm {place} slowly and evenly, and watch it."),
        Treatment::Oven => format!("Heat {place} in an oven."),
        Treatment::SweepOrVacuum => format!("Sweep or vacuum {place}."),
        Treatment::BareHands => format!("Pick up {place} with bare hands."),
        Treatment::Sniff => format!("Smell at {place}."),
        Treatment::Shake => format!("Shake {place}."),
        Treatment::HouseholdWaste => format!("Throw {place} away."),
        Treatment::SealAndHandIn => {
            format!("Gloves on: seal {place} in a bag and hand it in under local rules.")
        }
        Treatment::LeaveAlone => format!("Leave {place} as it is."),
        Treatment::Paint => format!("Paint {place}."),
        Treatment::Water => format!("Put water on {place}."),
        Treatment::PeriodCleaner => format!("Clean {place} with the old cleaner."),
        Treatment::ContactCleaner => {
            format!("Clean {place} with contact cleaner, window open, and let it dry fully.")
        }
        Treatment::ColdCleanerOnHotGlass => format!("Spray {place} while it is hot."),
        Treatment::WipeAway => format!("Wipe {place} away and find what heats it."),
        Treatment::Rewire => format!("Rewire {place}."),
    }
}

fn said(saying: Saying) -> &'static str {
    match saying {
        Saying::SafeBehindIsolation => "Behind the isolation transformer the set is safe to touch.",
        Saying::SafeBehindLamp => "Behind the lamp the set is safe to touch.",
        Saying::SafeAlone => "It is safe to work alone.",
        Saying::Approved => "The set has passed the standard.",
        Saying::DischargedByTime => "It has discharged itself by now.",
        Saying::TreatAsLive => "Take everything inside as live while the plug is in.",
        Saying::TellSomebody => "Tell somebody when you begin and when you end.",
        Saying::AskLicensedPerson => "Fixed wiring is for a licensed person.",
    }
}
