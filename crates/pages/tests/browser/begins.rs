//! The pages on which a restoration is begun keep the rules of every page; a phone is let in before anything is
//! begun, and may begin.

use crate::driver::{Browser, with_browser};
use crate::every_page::broken_rules;
use crate::served::Served;

async fn keeps_the_rules(browser: &Browser) {
    let served = Served::to_begin();
    let pages: Vec<String> = [
        "",
        "?how=empty",
        "?how=text",
        "?how=file",
        "?how=practice",
        "?how=folder",
    ]
    .map(|how| served.page(&format!("/begin{how}")))
    .into();
    let wrong = broken_rules(browser, &pages).await;
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

#[test]
fn the_beginning_keeps_the_rules_on_a_phone() {
    with_browser(
        390,
        |browser| async move { keeps_the_rules(&browser).await },
    );
}

#[test]
fn the_beginning_keeps_the_rules_on_a_laptop() {
    with_browser(
        1280,
        |browser| async move { keeps_the_rules(&browser).await },
    );
}

#[test]
fn a_phone_that_was_let_in_begins_and_the_laptop_goes_on() {
    with_browser(390, |browser| async move {
        let served = Served::to_begin_at_home();
        let laptop = browser.another(1280).await;
        laptop.open_page(&served.page("/begin?how=text")).await;
        let home = served.at_home();
        browser
            .client
            .goto(&home.pairing_page)
            .await
            .expect("the page opens");
        browser.go("Let this device in").await;
        browser.is_at("Begin a restoration").await;
        browser.go("With its name alone").await;
        browser.types("What is it called?", "Merrow 17S").await;
        browser
            .types("Line volts of the maker's figures", "117")
            .await;
        browser.press("60 Hz").await;
        browser.go("Begin the restoration").await;
        browser.is_at("Where it stands").await;
        laptop
            .sees(
                "the laptop's open page is told",
                "return document.body.innerText.includes('Merrow 17S is begun')",
            )
            .await;
        laptop.go("Where it stands").await;
        laptop.is_at("Where it stands").await;
        let _ = laptop.client.clone().close().await;
    });
}
