//! The network cut in the middle of a step: the phone judges, keeps, says that the laptop is silent, and sends
//! everything later, once and in order.

use crate::at_a_step::to_a_step_with_power;
use crate::driver::{Browser, with_browser};
use crate::served::{Served, Wire, now};

async fn enter(browser: &Browser, value: &str) {
    let script = "const field = document.querySelector('form.question input[name=value]'); field.value = arguments[0]; field.form.requestSubmit();";
    browser
        .client
        .execute(script, vec![value.into()])
        .await
        .expect("it is sent");
}

#[test]
fn nothing_is_lost_when_the_network_is_cut_in_a_step_with_power() {
    with_browser(390, |browser| async move {
        let served = Served::of("small/two_rectifiers.toml");
        drop(to_a_step_with_power(&served.file(), &now));
        let wire = Wire::to(served.address);
        browser.open_page(&wire.page("/power")).await;
        browser.until("the step is under way", "return !!document.querySelector('#clock') && JSON.parse(document.getElementById('step-at-hand').textContent).state === 'under_way'").await;
        let before = served.story().len();

        wire.cut();
        let expected = browser.script("const own = JSON.parse(document.getElementById('step-at-hand').textContent); const form = document.querySelector('form.question'); const asked = own.asked.find((one) => one.at === form.elements.place.value && one.what === form.elements.what.value); return String(asked.expected ?? 1)").await;
        enter(&browser, expected.as_str().unwrap_or("1")).await;
        browser
            .until(
                "the phone judges by itself",
                "return !document.getElementById('phone-verdict').hidden",
            )
            .await;
        browser
            .until(
                "it says what is kept",
                "return document.getElementById('link').innerText.includes('kept on this phone')",
            )
            .await;
        browser.until("it says that the laptop is silent", "return !document.getElementById('no-laptop').hidden && document.getElementById('no-laptop').innerText.includes('Pull the plug if in doubt')").await;
        let size = browser.script("return parseFloat(getComputedStyle(document.querySelector('#no-laptop .head')).fontSize)").await;
        let largest = browser.script("return Math.max(...[...document.querySelectorAll('main *')].map((own) => parseFloat(getComputedStyle(own).fontSize)))").await;
        assert_eq!(size, largest, "nothing on the page is in larger type");
        let beyond = browser
            .script(
                "const own = JSON.parse(document.getElementById('step-at-hand').textContent); \
                 const limits = own.asked.flatMap((one) => one.limits.filter((limit) => limit.above) \
                 .map((limit) => ({ one, limit }))); const { one, limit } = limits[0]; \
                 const form = document.querySelector('form.question'); form.elements.place.value = one.at; \
                 form.elements.to.value = one.to ?? ''; form.elements.what.value = one.what; \
                 return String(limit.above * 1.2)",
            )
            .await;
        enter(&browser, beyond.as_str().expect("the step has a limit")).await;
        browser
            .until(
                "the phone says stop by itself",
                "const told = document.getElementById('phone-verdict'); \
                 return told.dataset.verdict === 'beyond' && told.innerText.includes('Pull the plug')",
            )
            .await;
        assert_eq!(
            served.story().len(),
            before,
            "nothing came through the cut wire"
        );

        wire.join();
        browser.all_is_sent().await;
        let story = served.story();
        let read: Vec<&String> = story[before..]
            .iter()
            .filter(|text| !text.starts_with("asked ") && !text.starts_with("power-up"))
            .collect();
        assert_eq!(read.len(), 2, "each reading is entered once: {story:?}");
        let stops = story[before..]
            .iter()
            .filter(|text| text.contains("stopped"));
        assert_eq!(
            stops.count(),
            1,
            "the laptop says the same as the phone: {story:?}"
        );
        browser.open_page(&wire.page("/power")).await;
        browser
            .until(
                "the stop stands",
                "return !!document.querySelector('[data-stop]')",
            )
            .await;
    });
}

#[test]
fn a_laptop_that_sleeps_with_the_connection_open_gets_each_entry_once() {
    with_browser(390, |browser| async move {
        let served = Served::of("small/two_rectifiers.toml");
        let wire = Wire::to(served.address);
        browser
            .open_page(&wire.page("/readings/at?place=line"))
            .await;
        let before = served.story().len();

        wire.hold();
        for value in ["116", "118"] {
            let said = if value == "116" {
                "One entry is kept"
            } else {
                "2 entries are kept"
            };
            enter(&browser, value).await;
            browser
                .until(
                    "it says what is kept",
                    &format!("return document.getElementById('link').innerText.includes('{said}')"),
                )
                .await;
        }
        browser
            .until(
                "it says that the laptop is silent",
                "return document.getElementById('link').innerText.includes('does not answer')",
            )
            .await;
        assert_eq!(served.story().len(), before, "nothing came through");

        wire.let_go();
        browser.all_is_sent().await;
        let story = served.story();
        let read: Vec<&String> = story[before..]
            .iter()
            .filter(|text| text.contains("116") || text.contains("118"))
            .collect();
        assert_eq!(read.len(), 2, "each reading is entered once: {story:?}");
        assert!(read[0].contains("116"), "in order: {story:?}");
    });
}

#[test]
fn a_sending_that_comes_twice_enters_once() {
    with_browser(390, |browser| async move {
        let served = Served::of("small/two_rectifiers.toml");
        browser.open_page(&served.page("/readings")).await;
        let script = "const done = arguments[arguments.length - 1]; const body = () => new URLSearchParams([['place', 'line'], ['value', '117 V a.c.'], ['what', ''], ['once', 'one-and-the-same-sending']]); (async () => { for (let turn = 0; turn < 3; turn += 1) await fetch('/readings', { method: 'POST', body: body() }); done(true); })()";
        browser
            .client
            .execute_async(script, Vec::new())
            .await
            .expect("it is sent");
        assert_eq!(served.story().len(), 2, "{:?}", served.story());
    });
}

#[test]
fn what_the_laptop_cannot_write_now_stays_on_the_phone_and_is_entered_once() {
    with_browser(390, |browser| async move {
        let served = Served::of("small/two_rectifiers.toml");
        browser
            .open_page(&served.page("/readings/at?place=line"))
            .await;
        let protect = |is_protected: bool| {
            let mut rights = std::fs::metadata(served.file())
                .expect("told")
                .permissions();
            rights.set_readonly(is_protected);
            std::fs::set_permissions(served.file(), rights).expect("set");
        };
        protect(true);
        enter(&browser, "117").await;
        browser
            .until(
                "it says why the entry waits",
                "const said = document.getElementById('link').innerText; \
                 return said.includes('One entry is kept') && said.includes('The laptop says: The laptop cannot take it now')",
            )
            .await;
        browser
            .until(
                "the form is free for the next one",
                "return document.querySelector('form.question input[name=value]').value === ''",
            )
            .await;
        assert_eq!(served.story().len(), 1, "nothing was entered");
        protect(false);
        browser.all_is_sent().await;
        let story = served.story();
        assert_eq!(story.len(), 2, "entered once: {story:?}");
        assert!(story[1].contains("117"), "{story:?}");
    });
}
