//! A phone over TLS on the home network: let in by the address of the code, with what TLS alone allows; its leave
//! taken back in the middle, and what it kept sent when it is let in again.

use std::time::{Duration, Instant};

use crate::driver::{Browser, with_browser};
use crate::served::Served;

async fn pair(browser: &Browser, address: &str) {
    browser.client.goto(address).await.expect("the page opens");
    browser
        .script("document.querySelector('form.question').requestSubmit()")
        .await;
    browser
        .until(
            "the phone is let in",
            "return location.pathname === '/' && document.querySelector('h1').innerText === 'Where it stands'",
        )
        .await;
}

/// Sends a reading that goes no further than the phone until it is let go.
const HELD_ON_ITS_WAY: &str = "
const go = globalThis.fetch;
globalThis.onTheWay = [];
globalThis.fetch = (...asked) => new Promise((answer) => globalThis.onTheWay.push(() => answer(go(...asked))));
globalThis.letGo = () => { globalThis.fetch = go; for (const one of globalThis.onTheWay.splice(0)) one(); };
const field = document.querySelector('form.question input[name=value]');
field.value = '117';
field.form.requestSubmit();";

#[test]
fn a_phone_is_let_in_by_the_code_and_keeps_what_it_has_while_it_is_shut_out() {
    with_browser(390, |browser| async move {
        let served = Served::with_home("small/two_rectifiers.toml");
        let home = served.at_home();
        pair(&browser, &home.pairing_page).await;
        let is_safe = browser
            .script("return isSecureContext && 'wakeLock' in navigator")
            .await;
        assert_eq!(is_safe, true, "the screen can be kept awake");
        assert_eq!(browser.complaints().await, Vec::<String>::new());

        let page = format!("{}readings/at?place=line&what=ac_volts_rms", home.pages[0]);
        browser.open_page(&page).await;
        let before = served.story().len();
        // The reading is on its way when the leave is taken back.
        browser.script(HELD_ON_ITS_WAY).await;
        browser
            .until("it is on its way", "return globalThis.onTheWay.length > 0")
            .await;
        served.take_back("Phone");
        browser.script("globalThis.letGo();").await;
        browser
            .until(
                "it is told that it is shut out",
                "return document.body.innerText.includes('no longer lets this device in') && document.getElementById('link').innerText.includes('kept on this phone')",
            )
            .await;
        assert_eq!(served.story().len(), before);

        pair(&browser, &served.new_pairing_page()).await;
        browser.all_is_sent().await;
        // The page is there before its queue begins: what counts is that it comes, and once.
        let begun = Instant::now();
        while served.story().len() == before && begun.elapsed() < Duration::from_secs(60) {
            tokio::time::sleep(Duration::from_millis(100)).await;
        }
        browser.all_is_sent().await;
        let story = served.story();
        assert_eq!(story.len(), before + 1, "{story:?}");
        assert!(story[before].contains("117"), "{story:?}");
    });
}

#[test]
fn what_is_read_at_the_door_keeps_the_rules() {
    with_browser(390, |browser| async move {
        let served = Served::with_home("small/two_rectifiers.toml");
        let home = served.at_home();
        let laptop = served.page("/devices");
        let wrong = crate::every_page::broken_rules(
            &browser,
            &[
                laptop,
                home.pairing_page.clone(),
                format!("{}story", home.pages[0]),
            ],
        )
        .await;
        // An answer 401 is told by the console of every browser.
        let wrong: Vec<String> = wrong
            .into_iter()
            .filter(|own| !own.contains("status of 401"))
            .collect();
        assert!(wrong.is_empty(), "{}", wrong.join("\n"));
    });
}
