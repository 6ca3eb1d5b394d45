//! The chassis as the map of other pages: the photograph is there, and a tap on a mark leads on.

use benchwork::{
    Conditions, Entering, NewReading, Placed, add_photograph_bytes, place_on_photograph,
    record_reading,
};

use crate::driver::with_browser;
use crate::one_point::ONE_POINT;
use crate::served::{Served, now};

#[test]
fn the_suspects_stand_on_the_photograph_of_the_chassis() {
    with_browser(390, |browser| async move {
        let served = Served::of("small/two_rectifiers.toml");
        let file = served.file();
        let entering = Entering::new(&file, now());
        let made = add_photograph_bytes(&entering, "a.png", ONE_POINT.to_vec(), "chassis", "");
        let made = made.expect("it is added");
        let photograph = made.entry.says["photograph"].as_str().expect("a hash");
        let tubes: Vec<String> = benchwork::tell_chassis(&file)
            .expect("told")
            .not_placed
            .into_iter()
            .map(|own| own.part)
            .collect();
        for (number, part) in tubes.iter().enumerate() {
            let placed = Placed {
                part: part.clone(),
                photograph: photograph.to_owned(),
                across: 0.1 + 0.1 * number as f64,
                down: 0.5,
            };
            place_on_photograph(&entering, placed).expect("it is placed");
        }
        let reading = NewReading {
            place: "V1.8".to_owned(),
            value: "30 V".to_owned(),
            conditions: Conditions {
                line_volts: Some(117.0),
                ..Conditions::default()
            },
            ..NewReading::default()
        };
        record_reading(&entering, reading).expect("it is entered");
        browser.open_page(&served.page("/suspects")).await;
        browser
            .until(
                "the photograph is there",
                "const own = document.querySelector('.later .chassis img'); return !!own && own.naturalWidth > 0 && own.getBoundingClientRect().height > 50",
            )
            .await;
        let leads = browser
            .script("return [...document.querySelectorAll('.later .chassis a')].map((own) => own.getAttribute('href'))")
            .await;
        let leads = leads.as_array().cloned().unwrap_or_default();
        assert!(!leads.is_empty(), "a mark leads to its suspect");
        for own in leads {
            let own = own.as_str().expect("an address").to_owned();
            assert!(own.starts_with("/suspects/"), "{own}");
        }
    });
}
