//! A changed list of parts goes through the page as a person sends it: shown first, then taken in; with faults it is refused. What
//! comes then keeps the rules of every page.

use std::fs;

use benchwork::present_sheet;

use crate::driver::{Browser, with_browser};
use crate::every_page::broken_here;
use crate::served::Served;

const CHANGED: &str = "ref,kind,value,from,to,shelf\nR991,resistor,47k 1 W 10% wire-wound,B+ main,chassis,7\nC991,electrolytic,40 mfd 450 V 525 V surge,B+ main,chassis,7\n";
const FAULTS: &str = "ref,kind,value,from,to\nR991,resistor,many,B+ main,chassis\nR992,resister,47k,B+ main,chassis\n";

async fn sends(browser: &Browser, served: &Served, name: &str, list: &str) {
    let file = served.beside(name);
    fs::write(&file, list).expect("written");
    browser.open_page(&served.page("/sheet/list")).await;
    browser
        .types("The changed list", &file.display().to_string())
        .await;
    browser
        .press("Take parts out that are not in the list")
        .await;
    browser
        .press("Take parts out that are not in the list")
        .await;
    browser.go("Show what would change").await;
}

async fn tries(browser: &Browser) {
    let served = Served::of("small/two_rectifiers.toml");
    sends(browser, &served, "faults.csv", FAULTS).await;
    let _ = browser.complaints().await;
    let mut wrong = broken_here(browser, "the faults of a list").await;
    assert!(
        browser
            .text_at(".trouble")
            .await
            .contains("line 3, column B (kind)")
    );
    sends(browser, &served, "changed.csv", CHANGED).await;
    wrong.extend(broken_here(browser, "what a list would change").await);
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
    let before = present_sheet(&served.file()).expect("a sheet").text;
    assert!(!before.contains("R991"), "showing takes nothing in");
    browser.go("Take it into the sheet").await;
    browser.is_at("Parts for a spreadsheet").await;
    let now = present_sheet(&served.file()).expect("a sheet").text;
    assert!(now.contains("R991") && now.contains("C991"), "{now}");
    assert_eq!(served.story().len(), 2, "it was entered once");
}

#[test]
fn a_list_goes_through_the_page_on_a_phone() {
    with_browser(390, |browser| async move { tries(&browser).await });
}

#[test]
fn a_list_goes_through_the_page_on_a_laptop() {
    with_browser(1280, |browser| async move { tries(&browser).await });
}
