//! One restoration from an empty file to the report, typed and tapped on a phone: sheet, look-over, tester, power-up,
//! readings, suspects, replacement, proof. The clock is moved on where a person would wait.

use crate::driver::{Browser, with_browser};
use crate::one_point::ONE_POINT;
use crate::served::Served;

const NAME: &str = "Rectifiers on the kitchen table";

#[test]
fn from_an_empty_file_to_the_report() {
    with_browser(390, |browser| async move {
        let served = Served::to_begin();
        begins(&browser, &served).await;
        looks(&browser, &served).await;
        tests_a_tube(&browser).await;
        powers_up(&browser, &served).await;
        reads_at_the_base(&browser).await;
        hunts(&browser).await;
        replaces(&browser).await;
        proves(&browser).await;
        hands_on(&browser).await;
        tells_all(&browser, &served).await;
    });
}

async fn begins(browser: &Browser, served: &Served) {
    browser.open_page(&served.page("/")).await;
    browser.is_at("Begin a restoration").await;
    browser.go("With a sheet that is a file").await;
    let sheet = concat!(
        env!("CARGO_MANIFEST_DIR"),
        "/../../examples/small/two_rectifiers.toml"
    );
    // The driver takes no way with `..` in it.
    let sheet = std::fs::canonicalize(sheet).expect("the example");
    browser
        .types("The sheet's file", &sheet.display().to_string())
        .await;
    browser.types("Name, if not that of the sheet", NAME).await;
    browser.go("Begin with it").await;
    browser.is_at("Where it stands").await;
    assert_eq!(browser.text_at(".top .set").await, NAME);
}

async fn looks(browser: &Browser, served: &Served) {
    browser.opens("/look", "Look-over").await;
    browser.go("Next: ").await;
    let thing = browser.text_at("h2.step").await;
    browser
        .types("Or in your own words", "cracked near the plug")
        .await;
    browser.go("Note it").await;
    assert_ne!(
        browser.text_at("h2.step").await,
        thing,
        "the next thing comes"
    );
    browser.go("Add a photograph").await;
    let photograph = served.beside("top.png");
    std::fs::write(&photograph, ONE_POINT).expect("written");
    let photograph = photograph.display().to_string();
    browser
        .types("Or one that is on this device already", &photograph)
        .await;
    browser
        .types("What does it show?", "the chassis from above")
        .await;
    browser.go("Keep the photograph").await;
    assert!(
        browser.page_text().await.contains("One is kept"),
        "{}",
        browser.page_text().await
    );
}

async fn tests_a_tube(browser: &Browser) {
    browser.opens("/test", "On the tester").await;
    browser.types("Which tube or part?", "V2").await;
    browser.press("Percent of its scale").await;
    browser.types("The figure on its scale", "92").await;
    browser
        .types("Which tester, in your words", "emission tester")
        .await;
    browser.go("Enter the test").await;
    assert!(browser.text_at("#before").await.contains("92"));
}

/// What a person sees of the power-up at a glance.
const SEEN: &str = r##"
const seen = (css) => [...document.querySelectorAll(css)].find((one) => one.checkVisibility())?.innerText ?? "";
return [seen("form.question label"), seen("form.question .healthy"), seen("#clock .then"), seen("form[action='/power/begin'] .send"), document.body.innerText];
"##;

/// Every step of the power-up, each reading as the page says that a healthy set shows it.
async fn powers_up(browser: &Browser, served: &Served) {
    browser.opens("/power", "Power-up").await;
    for _ in 0..200 {
        let seen = browser.script(SEEN).await;
        let seen = |at: usize| seen[at].as_str().unwrap_or_default().to_owned();
        let (asked, page) = (seen(0), seen(4));
        for bad in ["Not entered", "Stop. "] {
            assert!(!page.contains(bad), "{page}");
        }
        if page.contains("All steps are passed.") {
            return;
        }
        if !seen(3).is_empty() {
            browser.go(&seen(3)).await;
            continue;
        }
        if seen(2).starts_with("read in") {
            served.passes(100);
            browser
                .sees(
                    "the time to read",
                    "return document.querySelector('#clock .then').innerText === 'time to read'",
                )
                .await;
        }
        if !asked.is_empty() {
            browser.types(&asked, &good_value(&seen(1))).await;
            browser.go("Enter").await;
        } else if page.contains("are seen to: C1A, C1B, C2A, C2B") {
            sees_to_the_electrolytics(browser).await;
            browser.opens("/power", "Power-up").await;
        } else {
            browser.go("The step is done").await;
        }
    }
    panic!("it does not end: {}", browser.page_text().await);
}

/// Three by the short form, one by the plan of what to replace.
async fn sees_to_the_electrolytics(browser: &Browser) {
    for (part, new) in [
        ("C1A", "47 mfd 500 V"),
        ("C1B", "47 mfd 500 V"),
        ("C2A", "47 mfd 450 V"),
    ] {
        browser.opens("/fit", "A part was replaced").await;
        browser.types("Which part?", part).await;
        browser.types("What is there now?", new).await;
        browser.go("It is fitted").await;
        assert!(browser.text_at("#before").await.contains(part));
    }
    browser.opens("/renew", "Replacement").await;
    browser.go("C2B ").await;
    browser.press("A new one is fitted").await;
    browser
        .types("What went in, if it is not", "47 mfd 450 V")
        .await;
    browser.go("Enter: fitted").await;
    browser.is_at("Replacement").await;
}

/// A value on the good side of all that the page says: in the middle of a band, well inside a limit.
fn good_value(said: &str) -> String {
    if let Some(band) = said.strip_prefix("Healthy: ") {
        let band = band.split(" Stop ").next().unwrap_or_default();
        let (low, high) = band.split_once(" to ").expect("a band");
        let (low, unit) = figure(low);
        let (high, same) = figure(high);
        assert_eq!(unit, same, "{said}");
        return format!("{:.3}{unit}", (low + high) / 2.0);
    }
    let limit = said.split("Stop ").nth(1).expect("a limit");
    let (word, rest) = limit.split_once(' ').expect("a side");
    let (value, unit) = figure(rest);
    let far = if word == "below" { 4.0 } else { 0.25 };
    format!("{:.3}{unit}", value * far)
}

/// Number and unit of a figure as the page prints it.
fn figure(said: &str) -> (f64, String) {
    let said = said.trim().replace('−', "-");
    let end = said.find(|letter: char| !(letter.is_ascii_digit() || "-.".contains(letter)));
    let (digits, unit) = said.split_at(end.unwrap_or(said.len()));
    let unit: String = unit
        .split(|letter: char| ",;".contains(letter))
        .next()
        .unwrap_or_default()
        .to_owned();
    (digits.parse().expect("a number"), unit)
}

async fn reads_at_the_base(browser: &Browser) {
    browser.opens("/readings", "Readings").await;
    browser.go("V2 5Y3-GT").await;
    browser.press("How the set stands").await;
    browser.types("Line volts, as read", "117").await;
    browser.types("Lamp in series, watts", "").await;
    browser.types("Tubes out of their sockets", "").await;
    browser.go("So it stands").await;
    browser.go_at(".pins svg a[href*='V2.8']").await;
    browser.is_at("Reading at V2.8").await;
    let healthy = browser.text_at(".healthy b").await;
    assert!(
        healthy.contains(" V to "),
        "what a healthy set shows: {healthy}"
    );
    browser.types("V2.8, ", "196").await;
    browser.go("Enter").await;
    assert!(browser.page_text().await.contains("V2.8"));
}

async fn hunts(browser: &Browser) {
    browser.opens("/suspects", "Suspects").await;
    let ranked = browser.page_text().await;
    assert!(
        ranked.contains("C2A") || ranked.contains("V2"),
        "somebody is suspected: {ranked}"
    );
    browser.opens("/next", "What to measure next").await;
    let asked = browser.text_at(".question h2").await;
    let of_the_line = ["C2A", "V1", "V2"];
    assert!(
        of_the_line
            .iter()
            .any(|part| asked.contains(part) && ranked.contains(part)),
        "a part that is suspected of the low line is asked for: {asked}"
    );
    // Ohms with the plug out come before any part is cut loose: those of the healthy line.
    let place = asked.strip_prefix("Ohms at ").expect("a place of the line");
    browser.types(&format!("{place}, ohms"), "30k").await;
    browser.go("Enter the reading").await;
    assert!(!browser.page_text().await.contains("Not entered"));
}

async fn replaces(browser: &Browser) {
    browser.opens("/fit", "A part was replaced").await;
    browser.types("Which part?", "V2").await;
    browser.types("What is there now?", "5Y3-GT").await;
    browser.go("It is fitted").await;
    assert!(browser.text_at("#before").await.contains("V2"));
    browser.opens("/order", "What to buy").await;
    let to_buy = browser.page_text().await;
    assert!(
        to_buy.contains("Fitted already") && to_buy.contains("C2B"),
        "{to_buy}"
    );
}

async fn proves(browser: &Browser) {
    browser.opens("/prove", "Safety proof").await;
    browser.go("local-rules").await;
    browser.types("Who measured or looked", "A. Restorer").await;
    browser.go("Yes, it is so").await;
    assert!(browser.text_at("p.word").await.contains("Met"));
    browser.go("The whole list").await;
    browser.go("bleed:B+ 350").await;
    browser.types("Reading", "6").await;
    browser.go("Enter").await;
    assert!(
        browser.text_at("p.word").await.contains("Met"),
        "{}",
        browser.page_text().await
    );
    browser.opens("/sign", "Sign the list").await;
    browser.types("Who signs", "A. Restorer").await;
    browser.go("Sign").await;
    assert!(browser.page_text().await.contains("Signed by A. Restorer"));
}

async fn hands_on(browser: &Browser) {
    browser.opens("/report", "The report").await;
    browser
        .sees(
            "the preview",
            &format!("const own = document.querySelector('iframe')?.contentDocument; return own?.readyState === 'complete' && own.body.innerText.includes('{NAME}')"),
        )
        .await;
    let script = "const done = arguments[arguments.length - 1]; fetch(document.querySelector('a[download=\"report.pdf\"]').href).then((own) => own.arrayBuffer()).then((own) => done([String.fromCharCode(...new Uint8Array(own.slice(0, 5))), own.byteLength]))";
    let pdf = browser.client.execute_async(script, Vec::new()).await;
    let pdf = pdf.expect("the file comes");
    // ISO 32000-2, 7.5.2: the first line of the file.
    assert_eq!(pdf[0].as_str(), Some("%PDF-"));
    assert!(pdf[1].as_u64().is_some_and(|bytes| bytes > 10_000), "{pdf}");
}

async fn tells_all(browser: &Browser, served: &Served) {
    let entries = served.story();
    assert!(entries.len() > 60, "{} entries", entries.len());
    browser.opens("/story", "Story").await;
    let mut told = String::new();
    loop {
        told.push_str(&browser.page_text().await);
        if !browser.offers("Earlier entries").await {
            break;
        }
        browser.go("Earlier entries").await;
    }
    let plain = |text: &str| text.split_whitespace().collect::<Vec<_>>().join(" ");
    let told = plain(&told);
    for text in &entries {
        let begin: String = plain(text).chars().take(60).collect();
        assert!(told.contains(&begin), "the story lacks: {text}");
    }
    for kind in [
        "cracked near the plug",
        "the chassis from above",
        "92",
        "196",
        "C2A",
        "47 mfd",
        "A. Restorer",
    ] {
        assert!(told.contains(kind), "the story lacks {kind}");
    }
}
