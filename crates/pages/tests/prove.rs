//! The pages of the check list: the list, an item with its form, the signature.

mod asked;

use asked::{Asked, is_in_order};
use axum::http::StatusCode;
use benchwork::{LongWork, tell_proof};

#[tokio::test]
async fn the_list_is_that_of_the_command_and_each_item_has_its_screen() {
    let set = Asked::of("whole/larkfield_12t.toml");
    let page = set.get("/prove").await;
    assert_eq!(page.status, StatusCode::OK);
    assert!(page.text.contains("data-later=\"/later/prove\""));
    is_in_order(&page.text);
    let told = set.get("/later/prove").await;
    is_in_order(&told.text);
    let view = tell_proof(&set.file(), LongWork::untold()).expect("a list");
    assert!(
        told.text.contains(&format!("{} open", view.counts.open)),
        "{}",
        told.text
    );
    for key in ["cord", "leakage", "soak-current"] {
        assert!(told.text.contains(&format!("/prove/{key}")), "{key}");
        let item = set.get(&format!("/later/prove/{key}")).await;
        is_in_order(&item.text);
        let own = view.items.iter().find(|own| own.key == key);
        for act in &own.expect("an item").acts {
            let begin = act.split(['"', '&', '<', '\'']).next().unwrap_or_default();
            assert!(item.text.contains(begin), "{key}: {act}");
        }
    }
    let none = set.get("/later/prove/soup").await;
    assert!(none.text.contains("the list of this set has no `soup`"));
}

#[tokio::test]
async fn answers_go_in_from_the_form_of_an_item() {
    let set = Asked::of("whole/larkfield_12t.toml");
    let before = set.entries();
    let cord = [("asks", "yes_no"), ("answer", "yes"), ("by", "Ada")];
    let done = set.post("/prove/cord", &cord).await;
    assert_eq!(done.status, StatusCode::SEE_OTHER, "{}", done.text);
    assert_eq!(set.entries(), before + 1);
    // Leakage at one point, two of its four ways; what was left empty is no answer.
    let form = set
        .get("/later/prove/leakage?point=chassis%20and%20its%20screws")
        .await;
    is_in_order(&form.text);
    assert!(form.text.contains("name=\"a-one/on\""), "{}", form.text);
    let leakage = [
        ("asks", "figure"),
        ("answer", "figure"),
        ("unit", "mA"),
        ("point", "chassis and its screws"),
        (
            "ways",
            "one/on=plug one, on\none/off=plug one, off\nother/on=plug other, on",
        ),
        ("a-one/on", "0.12"),
        ("a-one/off", "0.1 V"),
        ("a-other/on", ""),
        ("by", "Ada"),
    ];
    let done = set.post("/prove/leakage", &leakage).await;
    assert_eq!(done.status, StatusCode::SEE_OTHER, "{}", done.text);
    assert_eq!(set.entries(), before + 3);
    let view = tell_proof(&set.file(), LongWork::untold()).expect("a list");
    let item = view.items.iter().find(|own| own.key == "leakage");
    let slot = &item.expect("leakage").slots[0];
    assert_eq!(slot.value, Some(0.12), "a number alone is in milliamperes");
    assert_eq!(slot.by.as_deref(), Some("Ada"));
    // Nobody named: refused, with what was typed.
    let fuse = [
        ("asks", "figure"),
        ("answer", "figure"),
        ("unit", "A"),
        ("ways", "=Reading"),
        ("a-", "2.5 apples"),
        ("by", ""),
    ];
    let refused = set.post("/prove/fuse", &fuse).await;
    assert_eq!(refused.status, StatusCode::UNPROCESSABLE_ENTITY);
    assert!(
        refused.text.contains("value=\"2.5 apples\""),
        "{}",
        refused.text
    );
    is_in_order(&refused.text);
    assert_eq!(set.entries(), before + 3);
    let not = [("answer", "not"), ("why", "it has none"), ("by", "Ada")];
    let done = set.post("/prove/glass", &not).await;
    assert_eq!(done.status, StatusCode::SEE_OTHER, "{}", done.text);
    assert_eq!(set.entries(), before + 4);
}

#[tokio::test]
async fn the_list_is_signed_as_it_stands() {
    let set = Asked::of("whole/larkfield_12t.toml");
    let before = set.entries();
    let refused = set.post("/sign", &[("by", ""), ("note", "as it is")]).await;
    assert_eq!(refused.status, StatusCode::UNPROCESSABLE_ENTITY);
    assert!(refused.text.contains("value=\"as it is\""));
    assert_eq!(set.entries(), before);
    let done = set.post("/sign", &[("by", "Ada")]).await;
    assert_eq!(done.status, StatusCode::SEE_OTHER, "{}", done.text);
    assert_eq!(set.entries(), before + 1);
    let told = set.get(&done.to).await;
    assert!(
        told.text.contains("signed with"),
        "what is open is told: {}",
        told.text
    );
    let list = set.get("/later/prove").await;
    assert!(list.text.contains("Signed by Ada"));
}
