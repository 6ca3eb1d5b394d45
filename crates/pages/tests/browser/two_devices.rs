//! Two devices at one file see each other's entries within two seconds; so do entries of the terminal.

use std::time::{Duration, Instant};

use benchwork::{Decided, Entering, note_decided};

use crate::driver::with_browser;
use crate::served::{Served, now};

/// Looks seldom enough to disturb nothing, often enough for the bound.
const BOUND: Duration = Duration::from_secs(2);

#[test]
fn an_entry_of_the_terminal_and_of_another_device_is_seen_within_two_seconds() {
    with_browser(390, |browser| async move {
        let served = Served::of("small/two_rectifiers.toml");
        let other = browser.another(1280).await;
        for own in [&browser, &other] {
            own.open_page(&served.page("/story")).await;
        }
        let file = served.file();
        let decided = Decided {
            what: "keep the old knobs".to_owned(),
            because: "they are whole".to_owned(),
        };
        note_decided(&Entering::new(&file, now()), decided).expect("it is noted");
        let made = Instant::now();
        for own in [&browser, &other] {
            own.until(
                "the entry of the terminal",
                "return document.body.innerText.includes('keep the old knobs')",
            )
            .await;
        }
        // A machine under tests may be slow; twice the bound is given, the figure itself is measured by hand.
        assert!(made.elapsed() < 4 * BOUND, "{:?}", made.elapsed());

        let script = "const done = arguments[arguments.length - 1]; fetch('/story/2/undo', { method: 'POST', body: new URLSearchParams([['once', 'taken-back-on-a-phone'], ['seen', '2']]) }).then(() => done(true))";
        browser
            .client
            .execute_async(script, Vec::new())
            .await
            .expect("it is sent");
        other
            .until(
                "it is gone on the other device",
                "return !document.body.innerText.includes('keep the old knobs')",
            )
            .await;
        let _ = other.client.clone().close().await;
    });
}

#[test]
fn a_page_left_open_changes_nothing_that_it_has_not_seen() {
    with_browser(390, |browser| async move {
        let served = Served::of("small/two_rectifiers.toml");
        let file = served.file();
        let decided = Decided {
            what: "old lacquer".to_owned(),
            because: "it is whole".to_owned(),
        };
        note_decided(&Entering::new(&file, now()), decided).expect("it is noted");
        browser.open_page(&served.page("/story/2")).await;
        // Meanwhile somebody else corrects the entry.
        benchwork::correct_entry(
            &Entering::new(&file, now()),
            2,
            &["what = new lacquer".to_owned()],
            "",
        )
        .expect("it is corrected");
        browser
            .script("document.querySelector('form.quiet').requestSubmit()")
            .await;
        browser
            .until(
                "it is told",
                "return document.body.innerText.includes('Changed meanwhile')",
            )
            .await;
        assert!(
            served
                .story()
                .iter()
                .any(|text| text.contains("new lacquer")),
            "{:?}",
            served.story()
        );
    });
}
