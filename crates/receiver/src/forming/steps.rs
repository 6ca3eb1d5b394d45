//! The forming as acts, each judged by the rules on hazards, in the restorer's words.
//!
//! Volts, ohms, seconds. The capacitor is out of the set, or cut loose at every lead, and stands on
//! the bench behind a shield; the set's plug is out all the time. Somebody stays in the room. Fails
//! where an act is refused, which is a fault of ours.

use super::FormingError;
use super::bench::{DISCHARGE_WATTS, FormingBench};
use crate::hazard::{
    self, Act, ActKind, ActPlace, ChassisRelation, Connected, Cord, Instrument, Measured, ReFormed,
    Setting, Situation, StoredCharge, Verdict, Watch,
};
use quantity::{Unit, bench as written};

/// What is done, and the cautions that go with it.
#[derive(Debug, Clone, PartialEq)]
pub struct FormingSteps {
    /// What to do, in order.
    pub acts: Vec<String>,
    /// Cautions of these acts.
    pub cautions: Vec<String>,
    /// When to take the volts off at once.
    pub stop_signs: Vec<String>,
}

struct Gathered {
    situation: Situation,
    steps: FormingSteps,
}

impl Gathered {
    fn act(&mut self, act: Act) -> Result<(), FormingError> {
        let refused = |because: String| FormingError::Refused {
            act: act.sentence(),
            because,
        };
        let table = hazard::table().map_err(|faults| {
            refused(faults.first().map(ToString::to_string).unwrap_or_default())
        })?;
        match table.judge(&act, &self.situation) {
            Verdict::Allowed { cautions } => {
                for caution in cautions {
                    if !self.steps.cautions.contains(&caution.caution) {
                        self.steps.cautions.push(caution.caution.clone());
                    }
                }
                self.steps.acts.push(act.sentence());
                Ok(())
            }
            Verdict::Refused { rules } => {
                let because: Vec<String> = rules
                    .iter()
                    .map(|refusal| format!("{} ({})", refusal.because, refusal.rule))
                    .collect();
                Err(refused(because.join("; ")))
            }
        }
    }

    fn say(&mut self, text: impl Into<String>) {
        self.steps.acts.push(text.into());
    }
}

/// The acts of forming one section; `others` are the other sections of its can, which share its - end.
///
/// # Errors
/// A refused act: a fault of ours.
pub fn forming_steps(
    bench: &FormingBench,
    reference: &str,
    others: &[String],
) -> Result<FormingSteps, FormingError> {
    let can = ActPlace::Part(reference.to_owned());
    let minus = ActPlace::Junction(format!("the - end of {reference}"));
    let series = &bench.series;
    let mut gathered = Gathered {
        situation: Situation {
            plug_in: Some(false),
            capacitors_above_60_volts: Some(true),
            electrolytics_as_found: Some(true),
            // The capacitor lies on the bench; nothing of the set takes part.
            chassis: ChassisRelation::IsolatedByTransformer,
            cord: Cord::New,
            heater_string: Some(false),
            selenium: Some(false),
            top_caps: Some(false),
            horizontal_output: Some(false),
            power_transformer: Some(false),
            line_capacitors: Some(false),
            old_line_capacitors: Some(false),
            resistance_cord: Some(false),
            tubes_hot: Some(false),
            waxed_parts: Some(false),
            picture_tube: Some(false),
            coating: Some(false),
            metal_cone: Some(false),
            bonded_window: Some(false),
            ion_trap_needed: Some(false),
            front_glass_fitted: Some(true),
            cage_fitted: Some(true),
            high_voltage_filter: Some(false),
            line_frequency_high_voltage: Some(false),
            ..Situation::default()
        },
        steps: FormingSteps {
            acts: Vec::new(),
            cautions: Vec::new(),
            stop_signs: stop_signs(),
        },
    };
    gathered.say(format!(
        "On the bench: {reference}, out of the set (or every lead of its + end is cut loose there): plug out, \
         everything discharged and proven first. Nothing of the set takes part."
    ));
    gathered.say(format!(
        "Read the marks twice: + goes to +. The - end of {reference} is {}. A wrong way round is never tried, not even \
         at low volts.",
        if others.is_empty() {
            "the other lead, or the can"
        } else {
            "the can, or the lug that all its sections share"
        }
    ));
    if !others.is_empty() {
        gathered.say(format!(
            "One section at a time. Join the + lugs of {} to the can through 10k each, so that no charge creeps onto \
             them; each is formed and judged by itself.",
            others.join(", ")
        ));
    }
    gathered.say(format!(
        "Stand it behind a shield, vent away from you. Solder {} of {} in series for the resistor: {} in all. Should \
         the section be a dead short, they take {:.1} W and {:.0} V together.",
        match series.pieces {
            1 => "one".to_owned(),
            count => count.to_string(),
        },
        format_args!(
            "{} {} W {:.0} V",
            written(series.piece_ohms, Unit::Ohms),
            series.piece.watts,
            series.piece.volts
        ),
        written(series.ohms, Unit::Ohms),
        series.watts_at_short,
        bench.top_volts
    ));
    let first = bench.steps.first().copied().unwrap_or(bench.top_volts);
    gathered.act(
        Act::new(
            ActKind::Connect(Connected::DcSource {
                volts: first,
                series_ohms: series.ohms,
            }),
            can.clone(),
        )
        .to(minus.clone())
        .charge(StoredCharge::ProvenWithMeter),
    )?;
    let peak = Some(bench.top_volts);
    gathered.act(
        Act::new(
            ActKind::ReForm(ReFormed::FromSeparateSource {
                volts: bench.top_volts,
                marked_volts: Some(bench.job.marked_volts),
                series_ohms: series.ohms,
                most_watts_in_can: Some(series.most_can_watts),
                shield: true,
            }),
            can.clone(),
        )
        .energised_by_source(peak),
    )?;
    let before = gathered.steps.acts.len();
    for &volts in &bench.steps {
        gathered.act(
            Act::new(
                ActKind::Set(Setting::SourceVolts {
                    volts,
                    marked_volts: Some(bench.job.marked_volts),
                }),
                can.clone(),
            )
            .energised_by_source(Some(volts)),
        )?;
    }
    // Each step was judged; they are told in one sentence.
    gathered.steps.acts.truncate(before);
    let volts: Vec<String> = bench.steps.iter().map(|own| format!("{own:.0}")).collect();
    gathered.say(format!(
        "Set the source to {} V, one after the other. The next volts when leakage is down to {}, or after half an hour \
         in which it has halved.",
        volts.join(", "),
        super::judge::milliamperes(super::judge::NEXT_OVER_LIMIT * bench.limit_amperes)
    ));
    let mut reading = Act::measure(
        Measured::DcVolts,
        ActPlace::Junction("the source's end of the series resistor".to_owned()),
        ActPlace::Junction("its other end".to_owned()),
    )
    .energised_by_source(peak);
    reading.instrument = Instrument::meter_for(bench.top_volts);
    gathered.act(reading)?;
    gathered.say(format!(
        "Volts across the resistor over its ohms are the leakage: {:.0} V is 1 mA. What the meter shows in the first \
         {} is charging. Read it at the warmth of a room, 20 to 25 C, and note the case with it: leakage about doubles \
         with ten degrees (from memory).",
        1e-3 * series.ohms,
        seconds_in_words(60.0 * bench.charging_minutes())
    ));
    gathered.act(
        Act::new(
            ActKind::Wait {
                seconds: 3600.0,
                watch: Watch::Restorer,
            },
            can.clone(),
        )
        .energised_by_source(peak),
    )?;
    gathered.act(
        Act::new(
            ActKind::Set(Setting::SourceVolts {
                volts: 0.0,
                marked_volts: Some(bench.job.marked_volts),
            }),
            can.clone(),
        )
        .energised_by_source(peak),
    )?;
    gathered.act(
        Act::new(ActKind::Discharge, can.clone())
            .to(minus.clone())
            .with(Instrument::DischargeResistor),
    )?;
    let mut proof = Act::measure(Measured::DcVolts, can, minus).peak(peak);
    proof.instrument = Instrument::meter_for(bench.top_volts);
    gathered.act(proof)?;
    let discharge = &bench.discharge;
    gathered.say(format!(
        "{} J through {} are down to 10 V in {}, with {} at the first moment. Leave the resistor on for ten minutes: \
         the charge creeps back. Take it that way every time before a hand comes near.",
        three_figures(discharge.joules),
        discharge_in_words(discharge.ohms),
        seconds_in_words(discharge.seconds_to_ten_volts),
        written(discharge.first_amperes, Unit::Amperes)
    ));
    Ok(gathered.steps)
}

fn stop_signs() -> Vec<String> {
    [
        "leakage that rises while the volts stay",
        "a can that grows warm, bulges, hisses, smells or wets its vent",
        "half an hour without a fall",
        "a resistor that grows hot: the section is close to a short",
        "more volts across the section than are marked on it",
        "you have to leave the room",
    ]
    .map(str::to_owned)
    .to_vec()
}

fn discharge_in_words(ohms: f64) -> String {
    let ohms = written(ohms, Unit::Ohms);
    format!("{ohms} {DISCHARGE_WATTS:.0} W")
}

fn three_figures(value: f64) -> String {
    let text = format!("{value:.2e}");
    text.parse::<f64>().map_or(text, |value| value.to_string())
}

fn seconds_in_words(seconds: f64) -> String {
    if seconds < 120.0 {
        format!("{} s", three_figures(seconds))
    } else {
        super::judge::minutes_in_words(seconds / 60.0)
    }
}
