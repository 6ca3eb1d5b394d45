//! Every page on a phone and on a laptop: no rule of accessibility broken, targets of 12 mm, nothing said by the
//! console, nothing asked of another host, nothing wider than the screen.

use benchwork::{Conditions, Entering, NewReading, Seen, note_seen, record_reading};

use crate::driver::{Browser, with_browser};
use crate::served::{Served, now};

const AXE: &str = include_str!("../axe/axe.min.js");

/// Pages that no list leads to by itself.
const BESIDE: &[&str] = &[
    "/readings/V1",
    "/readings/at?place=V1.1",
    "/story/1",
    "/story/3",
    "/sheet/heaters",
    "/sheet/heaters?row=0",
    "/sheet/bench",
    "/no-such-page",
];

fn filled() -> Served {
    let served = Served::of("small/two_rectifiers.toml");
    let file = served.file();
    let entering = Entering::new(&file, now());
    let seen = Seen {
        thing: "cord".to_owned(),
        found: "cracked".to_owned(),
        ..Seen::default()
    };
    note_seen(&entering, seen, None).expect("it is noted");
    let reading = NewReading {
        place: "line".to_owned(),
        value: "117 V a.c.".to_owned(),
        conditions: Conditions {
            line_volts: Some(117.0),
            ..Conditions::default()
        },
        ..NewReading::default()
    };
    record_reading(&entering, reading).expect("it is entered");
    served
}

async fn addresses(browser: &Browser, served: &Served) -> Vec<String> {
    browser.open_page(&served.page("/all")).await;
    let found = browser.script("return [...document.querySelectorAll('main a.row')].map((a) => a.getAttribute('href'))").await;
    let listed = found.as_array().cloned().unwrap_or_default();
    let mut all: Vec<String> = listed
        .iter()
        .filter_map(|own| own.as_str().map(str::to_owned))
        .collect();
    assert!(all.len() > 3, "the list of pages leads to {all:?}");
    all.push("/all".to_owned());
    all.extend(BESIDE.iter().map(|at| (*at).to_owned()));
    all
}

/// Targets smaller than 12 mm: on a phone 390 pixels are some 64 mm wide, so 12 mm are 73 of them.
const SMALL: &str = r#"
const least = arguments[0];
const seen = (own) => { const box = own.getBoundingClientRect(); const style = getComputedStyle(own); return box.width > 0 && box.height > 0 && style.visibility !== "hidden"; };
return [...document.querySelectorAll("a[href], button, input:not([type=hidden]), select, textarea, summary, label.choice")]
  .filter((own) => seen(own) && !own.closest("label.choice:not(:scope)") && !own.matches(".skip") && !(own.matches("input") && own.closest("label.choice")))
  .filter((own) => { const box = own.getBoundingClientRect(); return box.height < least - 0.5 || box.width < least - 0.5; })
  .map((own) => own.outerHTML.slice(0, 120) + " " + Math.round(own.getBoundingClientRect().width) + "x" + Math.round(own.getBoundingClientRect().height));
"#;

/// What of the rules these pages break.
pub async fn broken_rules(browser: &Browser, pages: &[String]) -> Vec<String> {
    let mut wrong = Vec::new();
    for at in pages {
        let _ = browser.complaints().await;
        browser.open_page(at).await;
        wrong.extend(broken_here(browser, at).await);
    }
    wrong
}

/// The same of the page that stands open, which is called so.
pub async fn broken_here(browser: &Browser, at: &str) -> Vec<String> {
    let mut wrong = Vec::new();
    let width = browser.width;
    browser.script(AXE).await;
    let broken = browser
        .client
        .execute_async(
            "const done = arguments[arguments.length - 1]; axe.run({ resultTypes: ['violations'] }).then((all) => done(all.violations.map((one) => one.id + ': ' + one.help + ' at ' + one.nodes.slice(0, 3).map((node) => node.html).join(' | '))), (error) => done([String(error)]));",
            Vec::new(),
        )
        .await
        .expect("the rules are asked");
    for one in broken.as_array().cloned().unwrap_or_default() {
        wrong.push(format!("{at} at {width}: {one}"));
    }
    let said = browser.complaints().await;
    wrong.extend(
        said.into_iter()
            .filter(|_| !at.ends_with("/no-such-page"))
            .map(|one| format!("{at}: console: {one}")),
    );
    let others = browser
        .script("return performance.getEntriesByType('resource').map((own) => own.name).filter((name) => !name.startsWith(location.origin + '/') && !name.startsWith('data:') && !name.startsWith('blob:'))")
        .await;
    if others.as_array().is_some_and(|own| !own.is_empty()) {
        wrong.push(format!("{at}: asked of another host: {others}"));
    }
    let wide = browser
        .script("return document.documentElement.scrollWidth - innerWidth")
        .await;
    if wide.as_f64().is_some_and(|over| over > 1.0) {
        wrong.push(format!(
            "{at} at {width}: {wide} pixels wider than the screen"
        ));
    }
    if width < 700 {
        let small = browser
            .client
            .execute(SMALL, vec![73.0.into()])
            .await
            .expect("targets are measured");
        for one in small.as_array().cloned().unwrap_or_default() {
            wrong.push(format!("{at}: a target below 12 mm: {one}"));
        }
    }
    wrong
}

async fn try_all(browser: &Browser) {
    let served = filled();
    let pages: Vec<String> = addresses(browser, &served)
        .await
        .iter()
        .map(|at| served.page(at))
        .collect();
    let wrong = broken_rules(browser, &pages).await;
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

#[test]
fn every_page_keeps_the_rules_on_a_phone() {
    with_browser(390, |browser| async move { try_all(&browser).await });
}

#[test]
fn every_page_keeps_the_rules_on_a_laptop() {
    with_browser(1280, |browser| async move { try_all(&browser).await });
}

#[test]
fn the_first_page_is_at_most_a_hundred_kilobytes() {
    with_browser(390, |browser| async move {
        let served = filled();
        browser.open_page(&served.page("/")).await;
        let bytes = browser
            .script("return performance.getEntriesByType('resource').concat(performance.getEntriesByType('navigation')).reduce((sum, own) => sum + own.encodedBodySize, 0)")
            .await;
        let bytes = bytes.as_f64().unwrap_or(f64::INFINITY);
        assert!(bytes > 1000.0 && bytes <= 100_000.0, "{bytes} bytes");
    });
}
