//! `wake` and `demo`: their fixed form and pages.
//!
//! Source of names and statuses: the manual (`docs/manual/scripts.md`).

use serde_json::Value;

use crate::form::KINDS;
use crate::program::{LARKFIELD, Outcome, check, json, keeps_to_eighty_columns, page};

#[test]
fn wake_answers_in_its_fixed_form() -> Outcome {
    for sheet in [LARKFIELD, "examples/merrow_17s.toml"] {
        let (status, answer) = json(&["wake", sheet])?;
        assert_eq!(status, 0, "{sheet}: {answer:#}");
        assert_eq!(answer["format"], 1);
        let steps = answer["steps"].as_array().ok_or("no steps")?;
        assert!(!steps.is_empty(), "{sheet}");
        for (index, step) in steps.iter().enumerate() {
            hold_form_of_step(step, index + 1)
                .map_err(|error| format!("{sheet}: step {}: {error}", index + 1))?;
        }
        assert!(
            steps.iter().any(|step| step["energised"] == true),
            "{sheet}"
        );
        for unguarded in answer["unguarded"].as_array().ok_or("no unguarded")? {
            assert!(
                unguarded["fault"].is_string() && unguarded["because"].is_string(),
                "{unguarded}"
            );
        }
        assert!(answer["notices"].is_array());
        assert!(
            answer["work"]["solved_states"]
                .as_u64()
                .is_some_and(|count| count > 0)
        );
    }
    Ok(())
}

fn hold_form_of_step(step: &Value, number: usize) -> Outcome {
    assert_eq!(step["step"], number);
    for list in [
        "do",
        "expect",
        "stop",
        "stop_signs",
        "live",
        "charged",
        "cautions",
    ] {
        assert!(step[list].is_array(), "{list}");
    }
    assert!(step["title"].is_string() && step["because"].is_string());
    assert!(step["do"].as_array().is_some_and(|acts| !acts.is_empty()));
    assert!(step["conditions"].is_object() && step["wait_seconds"].is_number());
    let energised = step["energised"].as_bool().ok_or("no energised")?;
    // The signs that need no meter and what is live belong to every step with power.
    assert_eq!(
        energised,
        step["stop_signs"]
            .as_array()
            .is_some_and(|signs| !signs.is_empty())
    );
    // Power comes from the line or from a d.c. source, never from both.
    let conditions = &step["conditions"];
    assert_eq!(
        energised,
        conditions["line_volts"].is_number() || conditions["dc"].is_string()
    );
    assert!(conditions["line_volts"].is_null() || conditions["dc"].is_null());
    if energised {
        assert!(step["live"].as_array().is_some_and(|live| !live.is_empty()));
    }
    for stop in step["stop"].as_array().into_iter().flatten() {
        assert!(
            stop["above"].is_number() != stop["below"].is_number(),
            "{stop}"
        );
        assert!(stop["after_seconds"].is_number(), "{stop}");
        assert!(
            stop["tells"].is_array() && stop["cannot_tell"].is_array(),
            "{stop}"
        );
        assert!(
            KINDS.contains(&stop["what"].as_str().unwrap_or_default()),
            "{stop}"
        );
    }
    for charged in step["charged"].as_array().into_iter().flatten() {
        assert!(
            charged["at"].is_string() && charged["volts"].is_number(),
            "{charged}"
        );
        assert!(
            charged.get("seconds_to_10_volts").is_some()
                && charged.get("if_bleeder_open_seconds").is_some()
        );
        if charged["at"]
            .as_str()
            .is_some_and(|at| at.ends_with(".anode"))
        {
            assert!(
                charged["seconds_to_10_volts"].is_null(),
                "the anode never counts as discharged by time"
            );
        }
    }
    Ok(())
}

#[test]
fn wake_shows_people_every_step() -> Outcome {
    let page = page(&["wake", LARKFIELD])?;
    for wanted in [
        "can kill",
        "Step 1:",
        "ENERGISED",
        "before any question",
        "solved states",
    ] {
        assert!(page.contains(wanted), "`{wanted}` is not in\n{page}");
    }
    keeps_to_eighty_columns(&page);
    Ok(())
}

#[test]
fn a_picture_of_a_step_without_power_is_refused() -> Outcome {
    let folder = tempfile::tempdir()?;
    let path = folder.path().join("step.svg").display().to_string();
    check(
        &["wake", LARKFIELD, "--picture", &path, "--picture-step", "1"],
        1,
        "no power",
    )?;
    check(&["wake", LARKFIELD, "--picture", &path], 0, "")?;
    assert!(std::fs::read_to_string(&path)?.contains("<desc>"));
    Ok(())
}

#[test]
fn the_demo_tells_the_whole_job_and_what_to_do_next() -> Outcome {
    let page = page(&["demo"])?;
    let mut from = 0;
    for wanted in [
        "firstraster check",
        "firstraster chart",
        "firstraster ohms",
        "firstraster expect",
        "firstraster wake",
        "Step 1:",
        "What to do next",
    ] {
        let place = page[from..]
            .find(wanted)
            .ok_or(format!("`{wanted}` is not in its place in\n{page}"))?;
        from += place;
    }
    let (status, answer) = json(&["demo"])?;
    assert_eq!(status, 0);
    for part in ["sheet", "check", "chart", "ohms", "expect", "wake", "next"] {
        assert!(!answer[part].is_null(), "{part}");
    }
    Ok(())
}
