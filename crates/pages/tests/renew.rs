//! The pages of the replacement plan, the order, silicon and worth.

mod asked;

use asked::{Asked, is_in_order};
use axum::http::StatusCode;
use benchwork::{LongWork, OrderAsk, RenewAsk, order_list, tell_renewal, tell_worth};

#[tokio::test]
async fn the_plan_and_each_part_are_those_of_the_command_and_a_part_is_ticked_off() {
    let set = Asked::of("whole/larkfield_12t.toml");
    let page = set.get("/renew").await;
    assert_eq!(page.status, StatusCode::OK);
    is_in_order(&page.text);
    let told = set.get("/later/renew").await;
    is_in_order(&told.text);
    let view = tell_renewal(&set.file(), &RenewAsk::default(), LongWork::untold()).expect("a plan");
    for own in &view.renewals {
        let row = format!("href=\"/renew/{}\"", own.part);
        assert!(told.text.contains(&row), "{row}");
    }
    let first = view.renewals.iter().find(|own| own.right.is_some());
    let first = first.expect("a part that is replaced");
    let part = set.get(&format!("/later/renew/{}", first.part)).await;
    let words = &first.right.as_ref().expect("a right part").words;
    assert!(part.text.contains(words.as_str()), "{words}");
    is_in_order(&part.text);
    let before = set.entries();
    let done = set
        .post(&format!("/renew/{}", first.part), &[("note", "in")])
        .await;
    assert_eq!(done.status, StatusCode::SEE_OTHER, "{}", done.text);
    assert_eq!(set.entries(), before + 1);
    let refused = set.post("/renew/C999", &[("new", "soup")]).await;
    assert_eq!(refused.status, StatusCode::UNPROCESSABLE_ENTITY);
    assert!(refused.text.contains("C999"));
    assert!(refused.text.contains("value=\"soup\""));
    is_in_order(&refused.text);
    assert_eq!(set.entries(), before + 1);
}

#[tokio::test]
async fn the_order_is_shown_ticked_off_and_downloaded() {
    let set = Asked::of("whole/larkfield_12t.toml");
    let told = set.get("/later/order?spares=10&tests=").await;
    is_in_order(&told.text);
    let ask = OrderAsk {
        with_tests: false,
        spares_percent: 10.0,
        prices: None,
    };
    let out = order_list(&set.file(), &ask, LongWork::untold()).expect("a list");
    let csv = set.get("/order/list.csv?spares=10&tests=").await;
    assert_eq!(csv.status, StatusCode::OK);
    assert!(csv.kind.starts_with("text/csv"));
    assert_eq!(csv.text, out.csv);
    let line = &out.view.lines[0];
    assert!(
        told.text.contains(&line.what.replace('"', "&quot;")),
        "{}",
        line.what
    );
    let parts = out.view.lines.iter().flat_map(|line| &line.parts);
    let part = parts
        .clone()
        .find(|part| part.starts_with('C'))
        .expect("a capacitor");
    let before = set.entries();
    let done = set.post("/order/fitted", &[("part", part)]).await;
    assert_eq!(done.status, StatusCode::SEE_OTHER, "{}", done.text);
    assert_eq!(set.entries(), before + 1);
    let refused = set.get("/order/list.csv?spares=many").await;
    assert_eq!(refused.status, StatusCode::UNPROCESSABLE_ENTITY);
    assert!(refused.text.contains("many"));
}

#[tokio::test]
async fn prices_of_ones_own_stand_in_the_order_and_a_fault_in_them_is_told() {
    let sheet = "whole/larkfield_12t.toml";
    let set = Asked::with_prices(sheet, "for,price,notes\npolyester-film,0.25,\n");
    let told = set.get("/later/order?spares=0&tests=").await;
    is_in_order(&told.text);
    let ask = OrderAsk {
        with_tests: false,
        spares_percent: 0.0,
        prices: None,
    };
    let out = order_list(&set.file(), &ask, LongWork::untold()).expect("a list");
    let films = out
        .view
        .lines
        .iter()
        .filter(|line| line.kind == "polyester-film");
    let count: u32 = films.map(|line| line.count).sum();
    assert!(count > 0);
    let together = format!("Together {:.2}", 0.25 * f64::from(count));
    assert!(told.text.contains(&together), "{together}: {}", told.text);
    let set = Asked::with_prices(sheet, "for,price,notes\nC60,cheap,\n");
    let told = set.get("/later/order?spares=0&tests=").await;
    assert!(
        told.text.contains("cheap") && told.text.contains("prices.csv"),
        "{}",
        told.text
    );
    assert_eq!(set.get("/renew").await.status, StatusCode::OK);
}

#[tokio::test]
async fn silicon_and_worth_are_told() {
    let set = Asked::of("small/bridge_selenium.toml");
    let told = set.get("/later/silicon").await;
    is_in_order(&told.text);
    assert!(
        told.text.contains("in series with each rectifier"),
        "{}",
        told.text
    );
    assert!(told.text.contains("<svg"));
    let refused = set.get("/later/silicon?line=900").await;
    assert!(refused.text.contains("role=\"alert\""), "{}", refused.text);
    let page = set.get("/silicon?line=121").await;
    assert!(page.text.contains("/later/silicon?line=121"));
    is_in_order(&page.text);
    let set = Asked::of("whole/larkfield_12t.toml");
    is_in_order(&set.get("/worth").await.text);
    let told = set.get("/later/worth").await;
    let ask = benchwork::WorthAsk {
        figures: None,
        prices: None,
    };
    let view = tell_worth(&set.file(), &ask, LongWork::untold()).expect("an answer");
    let says = match view.advice {
        "go_on" => "By these figures: yes.",
        _ => "By these figures: no",
    };
    assert!(told.text.contains(says), "{}", told.text);
    is_in_order(&told.text);
}
