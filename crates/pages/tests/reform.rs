//! The pages of a forming: the list, one section, readings and the end.

mod asked;

use asked::{Asked, is_in_order};
use axum::http::StatusCode;
use benchwork::{FormingAsk, tell_forming};

#[tokio::test]
async fn a_forming_is_followed_reading_by_reading_to_its_end() {
    let set = Asked::of("whole/larkfield_12t.toml");
    let list = set.get("/reform").await;
    assert_eq!(list.status, StatusCode::OK);
    assert!(list.text.contains("href=\"/reform/C4A\""), "{}", list.text);
    is_in_order(&list.text);
    let page = set.get("/reform/C4A").await;
    is_in_order(&page.text);
    assert!(page.text.contains("Not begun"));
    assert!(page.text.contains("<svg"));
    let before = set.entries();
    // A number alone is milliamperes.
    let read = [
        ("came", "leak"),
        ("leak", "1.5"),
        ("minutes", "5"),
        ("source_volts", "100"),
    ];
    let done = set.post("/reform/C4A", &read).await;
    assert_eq!(done.status, StatusCode::SEE_OTHER, "{}", done.text);
    assert_eq!(set.entries(), before + 1);
    let view = tell_forming(&set.file(), "C4A", &FormingAsk::default()).expect("a forming");
    assert_eq!(view.readings[0].milliamperes, 1.5);
    let refused = [("came", "leak"), ("leak", "soup"), ("minutes", "6")];
    let refused = set.post("/reform/C4A", &refused).await;
    assert_eq!(refused.status, StatusCode::UNPROCESSABLE_ENTITY);
    assert!(refused.text.contains("value=\"soup\""), "{}", refused.text);
    is_in_order(&refused.text);
    assert_eq!(set.entries(), before + 1);
    let off = [("came", "discharged"), ("left", "2"), ("seconds", "")];
    let done = set.post("/reform/C4A", &off).await;
    assert_eq!(done.status, StatusCode::SEE_OTHER, "{}", done.text);
    let end = [
        ("came", "ended"),
        ("end", "replace"),
        ("because", "bulging"),
    ];
    let done = set.post("/reform/C4A", &end).await;
    assert_eq!(done.status, StatusCode::SEE_OTHER, "{}", done.text);
    let page = set.get("/reform/C4A").await;
    assert!(page.text.contains("Replace it"), "{}", page.text);
    assert_eq!(set.entries(), before + 3);
    let none = set.get("/reform/C999").await;
    assert!(none.text.contains("role=\"alert\""));
}
