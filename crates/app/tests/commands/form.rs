//! The fixed form of readings, as the manual's page on scripts gives it.

use serde_json::Value;

use crate::program::Outcome;

/// The names and kinds of reading that scripts rely on, from the manual's page on scripts.
pub const KINDS: &[&str] = &[
    "dc_volts",
    "ripple_volts_peak_to_peak",
    "ac_volts_rms",
    "line_amps_rms",
    "line_watts",
    "lamp_volts_rms",
    "heater_volts_rms",
    "plate_milliamps",
    "screen_milliamps",
    "cathode_milliamps",
    "part_milliamps",
    "rectifier_peak_milliamps",
    "capacitor_ripple_amps_rms",
    "part_watts",
    "ohms",
];

/// The expected value of one reading of an answer.
pub fn reading(answer: &Value, at: &str, what: &str) -> Option<f64> {
    let readings = answer["readings"].as_array()?;
    readings
        .iter()
        .find(|one| one["at"] == at && one["what"] == what)?["expected"]
        .as_f64()
}

pub fn hold_form_of_readings(answer: &Value) -> Outcome {
    assert_eq!(answer["format"], 1);
    assert!(answer["program"].is_string() && answer["data"].is_string());
    let readings = answer["readings"].as_array().ok_or("no readings")?;
    assert!(!readings.is_empty());
    for one in readings {
        assert!(one["at"].is_string() && one["made_of"].is_array(), "{one}");
        assert!(
            KINDS.contains(&one["what"].as_str().unwrap_or_default()),
            "{one}"
        );
        let figure = |name: &str| one[name].as_f64().ok_or(format!("{name} of {one}"));
        let (low, expected, high) = (figure("low")?, figure("expected")?, figure("high")?);
        assert!(low <= expected && expected <= high, "{one}");
    }
    for one in answer["unknown"].as_array().ok_or("no unknown")? {
        assert!(
            one["because"]
                .as_str()
                .is_some_and(|because| !because.is_empty()),
            "{one}"
        );
        let told = readings
            .iter()
            .any(|other| other["at"] == one["at"] && other["what"] == one["what"]);
        assert!(!told, "told and not told: {one}");
    }
    assert!(answer["notices"].is_array());
    Ok(())
}
