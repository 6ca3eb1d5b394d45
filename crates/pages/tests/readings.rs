//! Readings, the story and where it stands, asked through the router.
//!
//! Example: an invented supply. Ohms of its resistors are those of its sheet.

mod asked;

use asked::{Asked, is_in_order};

#[tokio::test]
async fn a_reading_is_entered_with_how_the_set_stands() {
    let asked = Asked::of("small/two_rectifiers.toml");
    let stands = asked
        .post(
            "/readings/conditions",
            &[("line", "117"), ("meter", "10M"), ("back", "/readings")],
        )
        .await;
    assert_eq!(
        (stands.status.as_u16(), stands.to.as_str()),
        (303, "/readings")
    );
    let answer = asked
        .post(
            "/readings",
            &[("place", "line"), ("value", "117 V a.c."), ("what", "")],
        )
        .await;
    assert_eq!(answer.status, 303, "{}", answer.text);
    assert!(answer.to.contains("made=2"), "{}", answer.to);
    let page = asked.get(&answer.to).await;
    is_in_order(&page.text);
    let story = asked.get("/story").await;
    assert!(story.text.contains("117"), "{}", story.text);
    is_in_order(&story.text);
}

#[tokio::test]
async fn letters_for_a_number_are_told_and_nothing_is_entered() {
    let asked = Asked::of("small/two_rectifiers.toml");
    let answer = asked
        .post(
            "/readings",
            &[("place", "line"), ("value", "much"), ("what", "dc_volts")],
        )
        .await;
    assert_eq!(answer.status, 422);
    assert!(answer.text.contains("much"), "{}", answer.text);
    assert_eq!(asked.entries(), 1);
    let stands = asked
        .post(
            "/readings/conditions",
            &[("line", "a lot"), ("back", "/readings")],
        )
        .await;
    assert_eq!(stands.status, 422);
}

#[tokio::test]
async fn a_base_shows_each_pin_with_what_a_healthy_set_shows() {
    let asked = Asked::of("small/two_rectifiers.toml");
    let base = asked.get("/later/base/V1").await;
    assert!(
        base.text.contains("/readings/at?place=V1."),
        "{}",
        base.text
    );
    is_in_order(&base.text);
    let none = asked.get("/later/base/V99").await;
    assert!(none.text.contains("no tube `V99`"), "{}", none.text);
}

#[tokio::test]
async fn the_same_sending_enters_once_and_a_stale_page_changes_nothing() {
    let asked = Asked::of("small/two_rectifiers.toml");
    let fields = [
        ("place", "line"),
        ("value", "117 V a.c."),
        ("what", ""),
        ("once", "the-same-sending"),
    ];
    for _ in 0..2 {
        assert_eq!(asked.post("/readings", &fields).await.status, 303);
    }
    assert_eq!(asked.entries(), 2);
    let corrected = [
        ("field-value", "118 V a.c."),
        ("was-value", "117"),
        ("seen", "2"),
    ];
    assert_eq!(asked.post("/story/2/correct", &corrected).await.status, 303);
    let stale = asked.post("/story/2/undo", &[("seen", "2")]).await;
    assert_eq!(stale.status, 422);
    assert!(stale.text.contains("Changed meanwhile"), "{}", stale.text);
    assert_eq!(asked.entries(), 3);
    let undone = asked.post("/story/2/undo", &[("seen", "3")]).await;
    assert_eq!(undone.status, 303);
}

#[tokio::test]
async fn another_site_and_another_name_are_refused() {
    let asked = Asked::of("small/two_rectifiers.toml");
    for (host, origin, status) in [
        ("127.0.0.1:7020", "http://127.0.0.1:7020", 303),
        ("localhost", "http://localhost", 303),
        ("[::1]:7020", "http://[::1]:7020", 303),
        ("127.0.0.1:7020", "http://elsewhere.example", 403),
        ("127.0.0.1:7020", "null", 403),
        ("127.0.0.1:7020", "http://127.0.0.1:80", 403),
        ("elsewhere.example", "http://elsewhere.example", 403),
        (
            "127.0.0.1.elsewhere.example",
            "http://127.0.0.1.elsewhere.example",
            403,
        ),
    ] {
        let answer = asked
            .post_from(
                host,
                origin,
                "/readings/conditions",
                &[("back", "/readings")],
            )
            .await;
        assert_eq!(answer.status, status, "{host} from {origin}");
    }
}

#[tokio::test]
async fn what_a_healthy_set_shows_follows_how_it_stands() {
    let asked = Asked::of("small/two_rectifiers.toml");
    let question = "/later/healthy?place=V1.2&what=dc_volts";
    let stands = |line: &'static str| [("line", line), ("back", "/readings")];
    asked.post("/readings/conditions", &stands("117")).await;
    let full = asked.get(question).await.text;
    asked.post("/readings/conditions", &stands("80")).await;
    let low = asked.get(question).await.text;
    assert!(
        full.contains("Healthy") && low.contains("Healthy"),
        "{full} {low}"
    );
    assert_ne!(full, low, "less line gives less volts");
    asked
        .post(
            "/readings/conditions",
            &[("plug_out", "yes"), ("back", "/readings")],
        )
        .await;
    let out = asked.get(question).await.text;
    assert!(out.contains("plug out"), "{out}");
}

#[tokio::test]
async fn ohms_are_read_with_the_plug_out() {
    let asked = Asked::of("small/two_rectifiers.toml");
    asked
        .post(
            "/readings/conditions",
            &[("line", "117"), ("back", "/readings")],
        )
        .await;
    let fields = [("place", "V1.2"), ("value", "47k"), ("what", "ohms")];
    let answer = asked.post("/readings", &fields).await;
    assert_eq!(answer.status, 303, "{}", answer.text);
    assert!(asked.last().contains("plug out"), "{}", asked.last());
}
