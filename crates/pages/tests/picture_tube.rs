//! The page of the picture tube, asked through the router.
//!
//! Example: the invented set Merrow; what is checked is what is entered and what is refused.

mod asked;

use asked::{Asked, is_in_order};

#[tokio::test]
async fn a_finding_is_entered_and_the_verdict_follows() {
    let asked = Asked::of("whole/merrow_17s.toml");
    let page = asked.get("/picture").await;
    assert_eq!(page.status, 200);
    is_in_order(&page.text);
    let before = asked.entries();
    let answer = asked
        .post(
            "/picture/emission",
            &[("minutes", "4"), ("value", "22%"), ("scale_end", "100 %")],
        )
        .await;
    assert_eq!(answer.status, 303, "{}", answer.text);
    assert_eq!(asked.entries(), before + 1);
    assert!(asked.last().contains("22"), "{}", asked.last());
    let said = asked.get(&answer.to).await;
    assert!(
        said.text.contains("22"),
        "what was entered is told: {}",
        said.text
    );
    let verdict = asked.get("/later/picture").await;
    assert!(verdict.text.contains("data-verdict"), "{}", verdict.text);
    is_in_order(&verdict.text);
}

#[tokio::test]
async fn what_cannot_be_read_is_told_and_kept_in_its_field() {
    let asked = Asked::of("whole/merrow_17s.toml");
    let before = asked.entries();
    let answer = asked
        .post("/picture/heater", &[("cold", "lots"), ("glow", "")])
        .await;
    assert_eq!(answer.status, 422);
    assert!(answer.text.contains("lots"), "{}", answer.text);
    is_in_order(&answer.text);
    assert_eq!(asked.entries(), before);
    for at in [
        "heater", "leak", "life", "cut-off", "current", "running", "tried",
    ] {
        let page = asked.get(&format!("/picture/{at}")).await;
        assert_eq!(page.status, 200);
        is_in_order(&page.text);
    }
}
