//! The phone judges a reading as the laptop does: both are asked the same readings.
//!
//! The laptop's word is that of the library (`quantity`) for the value, and the limit's own sides.

use serde_json::json;

use crate::driver::with_browser;
use crate::served::Served;

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
        let asked = json!({ "low": 100.0, "high": 120.0, "limits": [
            { "above": 150.0, "after_seconds": 0.0 }, { "below": 50.0, "after_seconds": 30.0 } ] });
        for (value, seconds, verdict) in [
            (110.0, 5.0, "inside"),
            (100.0, 5.0, "inside"),
            (99.9, 5.0, "low"),
            (120.1, 5.0, "high"),
            (150.0, 5.0, "high"),
            (150.1, 0.0, "beyond"),
            (40.0, 29.0, "low"),
            (40.0, 30.0, "beyond"),
        ] {
            let script = "return judge.of(arguments[0], arguments[1], arguments[2])";
            let said = browser
                .client
                .execute(script, vec![asked.clone(), json!(value), json!(seconds)])
                .await
                .expect("it judges");
            assert_eq!(said, verdict, "{value} after {seconds} s");
        }
    });
}
