//! The pages of the hunt: they show, they enter, they refuse with what was typed.

mod asked;

use asked::{Asked, is_in_order};
use axum::http::StatusCode;
use benchwork::{Entering, LongWork, NewReading, record_reading, tell_next, tell_suspects};

fn with_low_b_plus() -> Asked {
    let set = Asked::of("whole/larkfield_12t.toml");
    let file = set.file();
    let entering = Entering::new(&file, asked::now());
    let new = NewReading {
        place: "B+ main".to_owned(),
        value: "250 V".to_owned(),
        to: String::new(),
        what: None,
        meter: String::new(),
        conditions: benchwork::Conditions::default(),
        note: String::new(),
    };
    record_reading(&entering, new).expect("a reading");
    set
}

#[tokio::test]
async fn the_page_stands_at_once_and_the_ranking_is_that_of_the_command() {
    let set = with_low_b_plus();
    let page = set.get("/suspects").await;
    assert_eq!(page.status, StatusCode::OK);
    assert!(page.text.contains("data-later=\"/later/suspects\""));
    is_in_order(&page.text);
    let told = set.get("/later/suspects").await;
    is_in_order(&told.text);
    let view = tell_suspects(&set.file(), LongWork::untold()).expect("a ranking");
    let first = &view.suspects[0];
    let row = format!("/suspects/{}", first.part);
    assert!(told.text.contains(&row), "{row}");
    let (place, other) = (
        told.text.find(&row),
        told.text
            .find(&format!("/suspects/{}\"", view.suspects[1].part)),
    );
    assert!(place < other, "the heaviest comes first");
    assert!(told.text.contains("<svg"), "the weights are drawn");
}

#[tokio::test]
async fn a_case_tells_what_speaks_and_what_would_change() {
    let set = with_low_b_plus();
    let case = set.get("/later/suspects/C4A").await;
    assert!(case.text.contains("For it"), "{}", case.text);
    assert!(case.text.contains("B+ main 250 V"));
    let page = set.get("/suspects/C4A?fault=leaky").await;
    is_in_order(&page.text);
    assert!(page.text.contains("/later/what-if/C4A?fault=leaky"));
    let changed = set.get("/later/what-if/C4A?fault=leaky").await;
    assert!(changed.text.contains("<svg"));
    is_in_order(&changed.text);
    // A part that the sheet has not is told in words.
    let none = set.get("/later/suspects/C999").await;
    assert!(none.text.contains("C999"), "{}", none.text);
    assert!(none.text.contains("role=\"alert\""));
}

#[tokio::test]
async fn what_came_of_a_part_is_entered_from_its_page() {
    let set = Asked::of("whole/larkfield_12t.toml");
    let before = set.entries();
    let done = set
        .post("/suspects/C50", &[("came", "cleared"), ("by", "leakage")])
        .await;
    assert_eq!(done.status, StatusCode::SEE_OTHER);
    assert!(done.to.starts_with("/suspects/C50?made="), "{}", done.to);
    let told = set.get(&done.to).await;
    assert!(told.text.contains("Entered."), "the page tells of it");
    assert_eq!(set.entries(), before + 1);
    assert!(set.last().contains("C50"), "{}", set.last());
    // Nothing said of what was found: refused, with the form open, and nothing entered.
    let refused = set
        .post("/suspects/C50", &[("came", "condemned"), ("by", "ohms")])
        .await;
    assert_eq!(refused.status, StatusCode::UNPROCESSABLE_ENTITY);
    assert!(refused.text.contains("nothing was said of what was found"));
    is_in_order(&refused.text);
    let loose = set
        .post(
            "/suspects/C50",
            &[
                ("came", "loose_end"),
                ("volts", "soup"),
                ("other_end", "120"),
            ],
        )
        .await;
    assert_eq!(loose.status, StatusCode::UNPROCESSABLE_ENTITY);
    assert!(
        loose.text.contains("value=\"soup\""),
        "what was typed is kept"
    );
    is_in_order(&loose.text);
    assert_eq!(set.entries(), before + 1);
    for (came, then) in [("exchanged", "the same"), ("bridged", "gone")] {
        let done = set
            .post("/suspects/C50", &[("came", came), ("then", then)])
            .await;
        assert_eq!(done.status, StatusCode::SEE_OTHER, "{}", done.text);
    }
    assert_eq!(set.entries(), before + 3);
}

#[tokio::test]
async fn what_was_noticed_is_entered_and_a_word_that_is_none_is_refused() {
    let set = Asked::of("whole/larkfield_12t.toml");
    let before = set.entries();
    let page = set.get("/suspects/noticed").await;
    is_in_order(&page.text);
    let view = benchwork::tell_symptoms().expect("symptoms");
    for own in &view.symptoms {
        let value = format!("value=\"{}\"", own.symptom);
        assert!(page.text.contains(&value), "{value}");
    }
    let symptom = view.symptoms[0].symptom.as_str();
    let done = set
        .post(
            "/suspects/noticed",
            &[("kind", "symptom"), ("symptom", symptom), ("shown", "no")],
        )
        .await;
    assert_eq!(done.status, StatusCode::SEE_OTHER, "{}", done.text);
    assert!(set.last().contains(symptom), "{}", set.last());
    let signal = [
        ("kind", "signal"),
        ("from", ""),
        ("end", "sound"),
        ("came", "weak"),
    ];
    let done = set.post("/suspects/noticed", &signal).await;
    assert_eq!(done.status, StatusCode::SEE_OTHER, "{}", done.text);
    let glow = [("kind", "glow"), ("tube", "V99"), ("how", "dim")];
    let refused = set.post("/suspects/noticed", &glow).await;
    assert_eq!(refused.status, StatusCode::UNPROCESSABLE_ENTITY);
    assert!(refused.text.contains("V99"));
    is_in_order(&refused.text);
    assert_eq!(set.entries(), before + 2);
}

#[tokio::test]
async fn the_next_measurement_is_that_of_the_command_and_its_outcome_is_entered() {
    let set = with_low_b_plus();
    let before = set.entries();
    let told = set.get("/later/next").await;
    is_in_order(&told.text);
    let view = tell_next(&set.file(), None, false, LongWork::untold()).expect("offers");
    let first = &view.offers[0];
    assert!(
        told.text.contains(&format!("value=\"{}\"", first.at)),
        "{}",
        first.at
    );
    let refused = set
        .post(
            "/next",
            &[
                ("kind", "read"),
                ("at", "V14.8"),
                ("what", "dc_volts"),
                ("value", "many"),
                ("line", "117"),
            ],
        )
        .await;
    assert_eq!(refused.status, StatusCode::UNPROCESSABLE_ENTITY);
    assert!(refused.text.contains("value=\"many\""));
    is_in_order(&refused.text);
    assert_eq!(set.entries(), before);
    // A number alone is meant in the unit of the question.
    let done = set
        .post(
            "/next",
            &[
                ("kind", "read"),
                ("at", "V14.8"),
                ("what", "dc_volts"),
                ("value", "210"),
                ("line", "117"),
            ],
        )
        .await;
    assert_eq!(done.status, StatusCode::SEE_OTHER, "{}", done.text);
    assert!(set.last().contains("210 V"), "{}", set.last());
    for (kind, at, came, found) in [
        ("part_leakage", "C50", "good", ""),
        ("part_ohms", "C50", "bad", "leaky, 200k at 300 volts"),
        ("capacitor_exchange", "C50", "gone", ""),
        ("tube_exchange", "V9", "the same", ""),
        ("signal", "a station to the loudspeaker", "lost", ""),
    ] {
        let fields = [("kind", kind), ("at", at), ("came", came), ("found", found)];
        let done = set.post("/next", &fields).await;
        assert_eq!(done.status, StatusCode::SEE_OTHER, "{kind}: {}", done.text);
    }
    assert_eq!(set.entries(), before + 6);
}

#[tokio::test]
async fn an_answer_is_kept_in_words_while_it_is_at_hand() {
    let set = Asked::of("small/two_rectifiers.toml");
    let told = set.get("/later/suspects").await;
    assert!(told.text.contains("/keep/answer"), "{}", told.text);
    let fields = [("question", "/later/suspects"), ("what", "suspects")];
    let kept = set.post("/keep/answer", &fields).await;
    assert_eq!((kept.status.as_u16(), kept.to.as_str()), (303, "/story/2"));
    assert_eq!(set.entries(), 2);
    let page = set.get("/story/2").await.text;
    assert!(page.contains("Nothing was read yet"), "{page}");
    assert!(!set.last().contains('<'), "{}", set.last());
    // The kept answer is an entry itself: what was given before is no longer at hand.
    let again = set.post("/keep/answer", &fields).await;
    assert_eq!(again.status.as_u16(), 422);
    assert!(again.text.contains("no longer at hand"), "{}", again.text);
    assert_eq!(set.entries(), 2);
}

#[tokio::test]
async fn a_grid_without_drive_stops_the_pages_before_anything_else() {
    let set = Asked::of("whole/larkfield_12t.toml");
    let file = set.file();
    let entering = Entering::new(&file, asked::now());
    let new = NewReading {
        place: "V17.5".to_owned(),
        value: "0 V".to_owned(),
        to: String::new(),
        what: None,
        meter: "10M".to_owned(),
        conditions: benchwork::Conditions::default(),
        note: String::new(),
    };
    record_reading(&entering, new).expect("a reading");
    for page in ["/later/suspects", "/later/next"] {
        let told = set.get(page).await;
        is_in_order(&told.text);
        let stop = told.text.find("data-stop").expect("a stop");
        let head = told.text.find("pull the plug now").expect("its words");
        let rest = told.text.find("<h2").unwrap_or(usize::MAX);
        assert!(stop < head && head < rest, "{}", told.text);
    }
}
