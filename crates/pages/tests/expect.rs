//! The pages that tell beforehand: readings, cold ohms, the chart, the plan, a tube, practice.

mod asked;

use asked::{Asked, is_in_order};
use axum::http::StatusCode;
use benchwork::bench_words::{TypedConditions, conditions};
use benchwork::figures::figure;
use benchwork::{PracticeSet, begin_practice, cold_ohms, expect_readings, read_set_file};

#[tokio::test]
async fn readings_are_those_of_the_command_under_the_same_conditions() {
    let set = Asked::of("small/half_wave_heater_transformer.toml");
    let page = set.get("/expect?line=110&lamp=100").await;
    assert_eq!(page.status, StatusCode::OK);
    is_in_order(&page.text);
    assert!(
        page.text
            .contains("data-later=\"/later/expect?line=110&amp;lamp=100\"")
    );
    let told = set.get("/later/expect?line=110&lamp=100").await;
    is_in_order(&told.text);
    let typed = TypedConditions {
        line: "110",
        lamp: "100",
        ..TypedConditions::default()
    };
    let file = read_set_file(&set.file()).expect("a set");
    let asked = conditions(&typed).expect("conditions");
    let view = expect_readings(&file, &asked).expect("readings");
    for own in view.readings.iter().filter(|own| own.what == "dc_volts") {
        let value = figure(own.what, own.expected);
        assert!(told.text.contains(&value), "{} {value}", own.at);
    }
    let refused = set.get("/later/expect?line=soup&seconds=never").await;
    assert!(refused.text.contains("soup") && refused.text.contains("never"));
    let ohms = set.get("/later/ohms").await;
    is_in_order(&ohms.text);
    let view = cold_ohms(&file, None, &[]).expect("ohms");
    let own = view.readings.first().expect("a reading");
    assert!(ohms.text.contains(&figure(own.what, own.expected)));
    is_in_order(&set.get("/ohms").await.text);
}

#[tokio::test]
async fn the_chart_and_the_plan_are_drawn() {
    let set = Asked::of("whole/larkfield_12t.toml");
    is_in_order(&set.get("/chart").await.text);
    let chart = set.get("/later/chart").await;
    is_in_order(&chart.text);
    assert!(chart.text.contains("<svg"), "{}", chart.text);
    let set = Asked::of("small/half_wave_heater_transformer.toml");
    is_in_order(&set.get("/wake").await.text);
    let plan = set.get("/later/wake").await;
    is_in_order(&plan.text);
    assert!(plan.text.contains("A healthy set shows") || plan.text.contains("a healthy set shows"));
    assert_eq!(plan.text.matches("<svg").count(), 2, "{}", plan.text);
}

#[tokio::test]
async fn a_tube_is_shown_with_its_base_and_what_comes_near() {
    let set = Asked::of("small/half_wave_heater_transformer.toml");
    is_in_order(&set.get("/tube").await.text);
    let to = set.get("/tube?type=6AU6").await;
    assert_eq!(to.to, "/tube/6AU6");
    let tube = set.get("/tube/6AU6").await;
    is_in_order(&tube.text);
    assert!(tube.text.contains("<svg"));
    // The heater of the 6AU6: 6.3 V, 0.3 A (RETMA registration; from memory).
    assert!(tube.text.contains("6.3 V, 0.3 A"), "{}", tube.text);
    let near = set.get("/tube/6AU6?near=yes").await;
    assert!(near.text.contains("What comes near it"));
    is_in_order(&near.text);
    let none = set.get("/tube/9ZZ9").await;
    assert!(none.text.contains("role=\"alert\""));
}

#[tokio::test]
async fn a_practice_is_played_on_its_page() {
    let set = Asked::of("small/half_wave_heater_transformer.toml");
    let none = set.get("/practice").await;
    assert!(none.text.contains("A practice is a file of its own"));
    let set = Asked::at(|entering| {
        begin_practice(entering, PracticeSet::Larkfield, 3, 1).expect("a practice");
    });
    let page = set.get("/practice").await;
    is_in_order(&page.text);
    assert!(page.text.contains("One fault is hidden"), "{}", page.text);
    let before = set.entries();
    let read = [("kind", "read"), ("place", "B+ main"), ("what", "volts")];
    let done = set.post("/practice", &read).await;
    assert_eq!(done.status, StatusCode::SEE_OTHER, "{}", done.text);
    assert!(set.entries() > before);
    let before = set.entries();
    let read = [("kind", "read"), ("place", "nowhere"), ("what", "volts")];
    let refused = set.post("/practice", &read).await;
    assert_eq!(refused.status, StatusCode::UNPROCESSABLE_ENTITY);
    assert!(refused.text.contains("value=\"nowhere\""));
    assert_eq!(set.entries(), before);
    let done = set.post("/practice", &[("kind", "give_up")]).await;
    assert_eq!(done.status, StatusCode::SEE_OTHER, "{}", done.text);
    let page = set.get("/practice").await;
    assert!(page.text.contains("It was"), "{}", page.text);
}
