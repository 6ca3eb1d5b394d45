//! The phone judges a reading as the laptop does: both are asked the same readings.
//!
//! The laptop's word is that of the library (`quantity`) for the value, and the limit's own sides.

use benchwork::PowerReading;
use serde_json::json;

use crate::at_a_step::to_a_step_with_power;
use crate::driver::with_browser;
use crate::served::{Served, now};

#[test]
fn a_value_typed_reads_the_same_on_the_phone() {
    with_browser(390, |browser| async move {
        let served = Served::of("small/two_rectifiers.toml");
        browser.open_page(&served.page("/all")).await;
        // Bench notation as the library reads it; the last column is in the unit of the kind.
        for (typed, what, value) in [
            ("318", "dc_volts", 318.0),
            ("−1.2", "dc_volts", -1.2),
            ("1.2 kV", "dc_volts", 1200.0),
            ("95", "plate_milliamps", 95.0),
            ("95 mA", "plate_milliamps", 95.0),
            ("0.095 A", "plate_milliamps", 95.0),
            ("4.7k", "ohms", 4700.0),
            ("2.2 M", "ohms", 2.2e6),
            ("2.2 meg", "ohms", 2.2e6),
            ("6.3 V a.c.", "heater_volts_rms", 6.3),
            ("180 W", "line_watts", 180.0),
            ("1.1", "line_amps_rms", 1.1),
            ("117,5", "dc_volts", 117.5),
        ] {
            let script = "return judge.valueOf(arguments[0], arguments[1])";
            let read = browser
                .client
                .execute(script, vec![json!(typed), json!(what)])
                .await
                .expect("it reads");
            let read = read.as_f64().unwrap_or(f64::NAN);
            assert!(
                (read - value).abs() <= 1e-9 * value.abs(),
                "{typed} as {what}: {read}, {value} expected"
            );
        }
        // What cannot be read for sure is left to the laptop.
        for (typed, what) in [
            ("much", "dc_volts"),
            ("12 mA", "dc_volts"),
            ("", "dc_volts"),
            ("5 m", "dc_volts"),
            ("1.2.3", "ohms"),
        ] {
            let script = "return judge.valueOf(arguments[0], arguments[1]) === null";
            let read = browser
                .client
                .execute(script, vec![json!(typed), json!(what)])
                .await
                .expect("it reads");
            assert_eq!(read, true, "{typed} as {what}");
        }
    });
}

#[test]
fn a_limit_counts_from_its_own_second_and_on_its_own_side() {
    with_browser(390, |browser| async move {
        let served = Served::of("small/two_rectifiers.toml");
        browser.open_page(&served.page("/all")).await;
        let asked = json!({ "low": 100.0, "inside_up_to": 120.0, "limits": [
            { "above": 150.0, "after_seconds": 0.0 }, { "below": 50.0, "after_seconds": 30.0 } ] });
        for (value, seconds, verdict) in [
            (110.0, 5.0, "inside"),
            (110.0, 2.0, "too_early"),
            (40.0, 2.0, "too_early"),
            (100.0, 5.0, "inside"),
            (99.9, 5.0, "low"),
            (120.1, 5.0, "high"),
            (150.0, 5.0, "high"),
            (150.1, 0.0, "beyond"),
            (40.0, 29.0, "low"),
            (40.0, 30.0, "beyond"),
        ] {
            let script = "return judge.of(arguments[0], arguments[1], arguments[2], arguments[3])";
            let step = json!({ "energised": true, "wait_seconds": 3.0 });
            let said = browser
                .client
                .execute(
                    script,
                    vec![asked.clone(), json!(value), json!(seconds), step],
                )
                .await
                .expect("it judges");
            assert_eq!(said, verdict, "{value} after {seconds} s");
        }
    });
}

/// The laptop's word is that of the power-up itself: every reading of a step with power, at its band's ends and its
/// limits, before and after the step has settled.
#[test]
fn phone_and_laptop_say_the_same_of_every_reading_of_a_step() {
    with_browser(390, |browser| async move {
        let served = Served::of("small/two_rectifiers.toml");
        let mut session = to_a_step_with_power(&served.file(), &now);
        browser.open_page(&served.page("/power")).await;
        let view = session.tell(&now()).expect("it stands");
        let wait = view
            .step
            .as_ref()
            .expect("a step is under way")
            .wait_seconds;
        // What stops ends the step, so it comes last, and only one of it.
        let mut readings = Vec::new();
        let mut stop = None;
        for asked in &view.asked {
            let most = asked
                .limits
                .iter()
                .filter_map(|limit| limit.above)
                .fold(f64::INFINITY, f64::min);
            let least = asked
                .limits
                .iter()
                .filter_map(|limit| limit.below)
                .fold(f64::NEG_INFINITY, f64::max);
            let ends = [
                asked.low.map(|low| low * 0.99),
                asked.expected,
                asked.high.map(|high| high * 1.01),
            ];
            for value in ends
                .into_iter()
                .flatten()
                .filter(|value| (least..=most).contains(value))
            {
                for seconds in [0.0, wait - 0.5, wait, wait + 60.0] {
                    readings.push((asked.clone(), value, seconds.max(0.0)));
                }
            }
            if most.is_finite() {
                stop = Some((asked.clone(), most * 1.01, wait + 60.0));
            }
        }
        assert!(
            readings.len() > 8 && stop.is_some(),
            "{} readings",
            readings.len()
        );
        readings.extend(stop);
        for (asked, value, seconds) in readings {
            let script = "const step = JSON.parse(document.getElementById('step-at-hand').textContent); \
                const asked = step.asked.find((one) => one.at === arguments[0] && (one.to ?? '') === arguments[1] && one.what === arguments[2]); \
                return judge.of(asked, arguments[3], arguments[4], step)";
            let to = asked.to.clone().unwrap_or_default();
            let words = vec![
                json!(asked.at),
                json!(to),
                json!(asked.what),
                json!(value),
                json!(seconds),
            ];
            let phone = browser
                .client
                .execute(script, words)
                .await
                .expect("it judges");
            let reading = PowerReading {
                place: asked.at.clone(),
                to,
                what: Some(asked.what.to_owned()),
                value: value.to_string(),
                seconds: Some(seconds),
                ..PowerReading::default()
            };
            let told = session.read(&now(), reading).expect("it is read");
            let laptop = if told.verdict == "stop" {
                "beyond"
            } else {
                let own = told
                    .asked
                    .iter()
                    .find(|one| one.at == asked.at && one.to == asked.to && one.what == asked.what);
                own.expect("it is asked still").verdict
            };
            assert_eq!(
                phone, laptop,
                "{} {} = {value} after {seconds} s of {wait} s",
                asked.at, asked.what
            );
        }
    });
}
