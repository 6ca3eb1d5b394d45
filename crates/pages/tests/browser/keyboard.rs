//! Everything by the keyboard alone: from the first page to an entry taken back.

use fantoccini::key::Key;

use crate::driver::{Browser, with_browser};
use crate::served::Served;

async fn press(browser: &Browser, keys: &str) {
    let own = browser
        .client
        .active_element()
        .await
        .expect("something has the focus");
    own.send_keys(keys).await.expect("the keys are taken");
}

/// Goes on with the tabulator until what has the focus says this.
async fn tab_to(browser: &Browser, words: &str) {
    let mut met = Vec::new();
    for _ in 0..80 {
        press(browser, &String::from(char::from(Key::Tab))).await;
        let script = "return (document.activeElement.innerText || document.activeElement.labels?.[0]?.innerText || '').includes(arguments[0])";
        let there = browser
            .client
            .execute(script, vec![words.into()])
            .await
            .expect("it is asked");
        if there == true {
            return;
        }
        met.push(
            browser
                .script("return document.activeElement.outerHTML.slice(0, 60)")
                .await
                .to_string(),
        );
    }
    panic!("no way by the keyboard to \"{words}\", only to {met:#?}");
}

#[test]
fn an_entry_is_made_and_taken_back_by_the_keyboard_alone() {
    with_browser(1280, |browser| async move {
        let served = Served::of("small/two_rectifiers.toml");
        let enter = String::from(char::from(Key::Enter));
        browser.open_page(&served.page("/")).await;
        tab_to(&browser, "All pages").await;
        press(&browser, &enter).await;
        browser
            .until("the list", "return location.pathname === '/all'")
            .await;
        tab_to(&browser, "Readings").await;
        press(&browser, &enter).await;
        browser
            .until("the readings", "return location.pathname === '/readings'")
            .await;
        tab_to(&browser, "Place, tube pin").await;
        press(&browser, &format!("line{enter}")).await;
        browser
            .until("the place", "return location.pathname === '/readings/at'")
            .await;
        tab_to(&browser, "line, d.c. volts").await;
        press(&browser, &format!("117 V a.c.{enter}")).await;
        browser.until("it is entered", "return location.pathname === '/readings' && document.body.innerText.includes('117')").await;
        assert_eq!(served.story().len(), 2);
        browser.open_page(&served.page("/story/2")).await;
        tab_to(&browser, "Take entry back").await;
        press(&browser, &enter).await;
        browser
            .until("it is back", "return location.pathname === '/story'")
            .await;
        assert_eq!(served.story().len(), 1);
        assert_eq!(browser.complaints().await, Vec::<String>::new());
    });
}
