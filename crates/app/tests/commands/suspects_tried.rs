//! A good one tried for a part, and volts at a loose end, through the program.
//!
//! Source of what is held: the manual's page on `suspects`; that a bridge tells nothing of a leak is common practice.

use serde_json::Value;

use crate::program::{AT, Outcome, check, json, keeps_to_eighty_columns, page, weight};

const WHOLE: &str = "examples/whole/larkfield_12t.toml";

/// Common practice: a third of the maker's wave behind a stage condemns what lies before that place.
#[test]
fn volts_of_a_signal_count_against_the_makers() -> Outcome {
    let folder = tempfile::tempdir()?;
    let file = folder.path().join("a.restoration").display().to_string();
    let run = |arguments: &[&str]| json(&[arguments, &AT].concat());
    let suspects = |rest: &[&str]| run(&[&["suspects", &file][..], rest].concat());
    assert_eq!(run(&["start", &file, WHOLE])?.0, 0);
    assert_eq!(suspects(&["noticed", "loudspeaker silent"])?.0, 0);
    let fed = ["--watched", "V15.5"];
    for (arguments, wanted) in [
        (&["signal", "--watched", "V15.5"][..], "nothing was said"),
        (
            &[
                "signal",
                "--watched",
                "sound",
                "--volts",
                "1",
                "--maker",
                "4",
            ],
            "read at a place",
        ),
        (
            &[
                "signal",
                "weak",
                "--watched",
                "V15.5",
                "--volts",
                "1",
                "--maker",
                "4",
            ],
            "is shaped",
        ),
        (
            &[
                "signal",
                "--watched",
                "V15.5",
                "--volts",
                "1",
                "--maker",
                "0",
            ],
            "maker's figure",
        ),
    ] {
        check(
            &[&["suspects", &file][..], arguments, &AT].concat(),
            1,
            wanted,
        )?;
    }
    let of = |volts: &str| -> Result<f64, Box<dyn std::error::Error>> {
        let entry = ["signal", "--volts", volts, "--maker", "4"];
        assert_eq!(suspects(&[&entry[..], &fed].concat())?.0, 0);
        let (_, told) = json(&["suspects", &file])?;
        assert_eq!(told["noticed"][1]["state"], "weighed", "{told:#}");
        // The last word on one way holds.
        assert_eq!(told["noticed"].as_array().map_or(0, Vec::len), 2);
        Ok(weight(&told, "C50"))
    };
    let (right, half, third) = (of("4")?, of("2")?, of("1.2 V")?);
    // Half of it leaves the tubes before open; a third of it speaks for them more than for a part at the end of the way.
    assert!(right < half && right != third, "{right} {half} {third}");
    of("0")?;
    let (_, case) = json(&["suspects", &file, "explain", "C50"])?;
    let told = case["noticed"][1]["text"].as_str().unwrap_or_default();
    assert!(told.contains("0 V of the maker's 4 V"), "{case:#}");
    assert_eq!(run(&["undo", &file])?.0, 0);
    let (_, told) = json(&["suspects", &file])?;
    assert!((weight(&told, "C50") - third).abs() < 1e-9);
    keeps_to_eighty_columns(&page(&["suspects", &file])?);
    Ok(())
}

/// Weight of one way of failing.
fn way(answer: &Value, part: &str, fault: &str) -> f64 {
    let mut list = answer["suspects"].as_array().into_iter().flatten();
    let own = list.find(|own| own["part"] == part).cloned();
    let ways = own.as_ref().and_then(|own| own["ways"].as_array());
    let mut ways = ways.into_iter().flatten();
    ways.find(|own| own["fault"] == fault)
        .and_then(|own| own["weight"].as_f64())
        .unwrap_or(0.0)
}

#[test]
fn a_good_one_is_tried_and_a_loose_end_read() -> Outcome {
    let folder = tempfile::tempdir()?;
    let file = folder.path().join("a.restoration").display().to_string();
    let run = |arguments: &[&str]| json(&[arguments, &AT].concat());
    let suspects = |rest: &[&str]| run(&[&["suspects", &file][..], rest].concat());
    let ranked = || json(&["suspects", &file]);
    assert_eq!(run(&["start", &file, WHOLE])?.0, 0);
    assert_eq!(suspects(&["noticed", "loudspeaker silent"])?.0, 0);
    let before = weight(&ranked()?.1, "C50");
    // Words and parts that cannot be: nothing is written.
    for (arguments, wanted) in [
        (&["bridged", "C50", "better"][..], "no word"),
        (&["bridged", "V9", "gone"], "no capacitor"),
        (&["bridged", "Z99", "gone"], "has no `Z99`"),
        (
            &["loose-end", "C50", "3.2", "--other-end", "140"],
            "meter's own resistance",
        ),
        (
            &[
                "loose-end",
                "C50",
                "3.2",
                "--other-end",
                "140",
                "--meter",
                "20k/V",
            ],
            "on every range",
        ),
        (
            &[
                "loose-end",
                "C50",
                "300",
                "--other-end",
                "140",
                "--meter",
                "10M",
            ],
            "cannot come",
        ),
        (
            &[
                "loose-end",
                "C50",
                "0",
                "--other-end",
                "0.2",
                "--meter",
                "10M",
            ],
            "drive no leak",
        ),
        (
            &[
                "loose-end",
                "C50",
                "three",
                "--other-end",
                "140",
                "--meter",
                "10M",
            ],
            "no reading of volts",
        ),
    ] {
        check(
            &[&["suspects", &file][..], arguments, &AT].concat(),
            1,
            wanted,
        )?;
    }
    assert_eq!(weight(&ranked()?.1, "C50"), before);
    // Bridging cures what is missing, and of a leak it tells nothing.
    let was = ranked()?.1;
    assert_eq!(suspects(&["bridged", "c50", "gone"])?.0, 0);
    let (_, bridged) = ranked()?;
    let times = |fault: &str| way(&bridged, "C50", fault) / way(&was, "C50", fault);
    assert!(weight(&bridged, "C50") > 1.5 * before, "{bridged:#}");
    assert!(
        times("open lead") > 20.0 && times("leaky") < 1.0,
        "{bridged:#}"
    );
    assert_eq!(bridged["found"][0]["verdict"], "tried");
    assert_eq!(run(&["undo", &file])?.0, 0);
    assert_eq!(weight(&ranked()?.1, "C50"), before);
    // Another one in its place and nothing changed: it is not to blame, whatever it has. A tube the same way.
    assert_eq!(suspects(&["exchanged", "C50", "the same"])?.0, 0);
    assert!(weight(&ranked()?.1, "C50") < 0.1 * before);
    assert_eq!(run(&["undo", &file])?.0, 0);
    let of_tube = weight(&ranked()?.1, "V15");
    assert_eq!(suspects(&["exchanged", "V15", "gone"])?.0, 0);
    assert!(weight(&ranked()?.1, "V15") > 3.0 * of_tube);
    assert_eq!(run(&["undo", &file])?.0, 0);
    // By hand: 70 of 140 volts through 10 megohms is a leak of 10 megohms; the last reading's meter is taken where none is named.
    let read = ["reading", &file, "V13.7", "140 V", "--meter", "10M"];
    assert_eq!(run(&read)?.0, 0);
    let (status, entered) = suspects(&["loose-end", "C50", "70 V", "--other-end", "140"])?;
    assert_eq!(status, 0, "{entered}");
    let says = &entered["entry"]["says"];
    assert_eq!(
        says["verdict"], "70 V of 140 V, a leak of 10 meg",
        "{entered:#}"
    );
    let (_, leaks) = ranked()?;
    assert_eq!(leaks["noticed"][1]["state"], "weighed", "{leaks:#}");
    let (_, case) = json(&["suspects", &file, "explain", "C50"])?;
    let ways = case["ways"].as_array().cloned().unwrap_or_default();
    let leaky = ways.iter().find(|own| own["fault"] == "leaky");
    let open = ways.iter().find(|own| own["fault"] == "open lead");
    let of = |way: Option<&Value>| way.and_then(|own| own["weight"].as_f64()).unwrap_or(0.0);
    assert!(of(leaky) > 3.0 * of(open), "{case:#}");
    keeps_to_eighty_columns(&page(&["suspects", &file])?);
    keeps_to_eighty_columns(&page(&["suspects", &file, "next"])?);
    // A part replaced has none of it.
    assert_eq!(run(&["fit", &file, "C50", "0.01 mfd 600 V film"])?.0, 0);
    let (_, after) = ranked()?;
    assert_eq!(after["found"], Value::Array(Vec::new()), "{after:#}");
    Ok(())
}
