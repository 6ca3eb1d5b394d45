//! What is refused before a page is reached still comes as a page, in words.
//!
//! Status as RFC 9110 has them: 404 not found, 405 no such method there, 413 too large.

mod asked;

use asked::Asked;

#[tokio::test]
async fn an_address_that_is_none_and_a_form_that_is_too_large_come_as_pages() {
    let asked = Asked::of("small/two_rectifiers.toml");
    let letters = "x".repeat(5 << 20);
    for (answer, status, words) in [
        (asked.get("/no-such-page").await, 404, "no such page"),
        (asked.get("/story/abc").await, 400, "no such page"),
        (asked.post("/story", &[]).await, 405, "takes none"),
        (
            asked.post("/readings", &[("value", &letters)]).await,
            413,
            "at most 3 MiB",
        ),
    ] {
        assert_eq!(answer.status, status);
        assert!(answer.kind.starts_with("text/html"), "{}", answer.kind);
        assert!(answer.text.contains("<h1>"), "{}", answer.text);
        assert!(answer.text.contains(words), "{words}: {}", answer.text);
    }
    assert_eq!(asked.entries(), 1);
}

#[tokio::test]
async fn a_form_of_another_restoration_enters_nothing() {
    // RFC 9110, section 15.5.10: 409 where the state of what is asked for speaks against it.
    let asked = Asked::of("small/two_rectifiers.toml");
    let other = Asked::of("small/bridge_selenium.toml");
    let book = |page: &str| {
        let (_, after) = page
            .split_once("name=\"book\" value=\"")
            .expect("a form says which restoration it is of");
        after.split('"').next().expect("a value").to_owned()
    };
    let (own, foreign) = (
        book(&asked.get("/readings/at?place=line").await.text),
        book(&other.get("/readings/at?place=line").await.text),
    );
    assert_ne!(own, foreign);
    let (place, value) = (("place", "line"), ("value", "117 V a.c."));
    let answer = asked
        .post("/readings", &[place, value, ("book", &foreign)])
        .await;
    assert_eq!(answer.status, 409);
    assert!(
        answer.text.contains("of another restoration"),
        "{}",
        answer.text
    );
    assert_eq!(asked.entries(), 1);
    let answer = asked
        .post("/readings", &[place, value, ("book", &own)])
        .await;
    assert_eq!(answer.status, 303, "{}", answer.text);
    assert_eq!(asked.entries(), 2);
}
