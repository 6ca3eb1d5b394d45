//! The page of HTML: whole, alone, escaped, in order.

use paper::{Sheet, to_html};

use crate::{keep, sample};

/// Whether every element that is opened is closed again, in order.
fn is_well_formed(page: &str) -> bool {
    const ALONE: &[&str] = &["meta", "br", "img", "!doctype"];
    let mut open: Vec<String> = Vec::new();
    let mut rest = page;
    while let Some(at) = rest.find('<') {
        let Some(end) = rest[at..].find('>') else {
            return false;
        };
        let tag = &rest[at + 1..at + end];
        rest = &rest[at + end + 1..];
        let name = tag
            .trim_start_matches('/')
            .split([' ', '/', '\n'])
            .next()
            .unwrap_or_default();
        let name = name.to_lowercase();
        if tag.starts_with('/') {
            if open.pop() != Some(name) {
                return false;
            }
        } else if !ALONE.contains(&name.as_str()) && !tag.ends_with('/') {
            open.push(name);
        }
    }
    open.is_empty()
}

#[test]
fn the_page_stands_alone_and_is_whole() {
    let page = to_html(&sample(Sheet::A4));
    keep("page.html", page.as_bytes());
    assert!(page.starts_with("<!DOCTYPE html><html lang=\"en\">"));
    assert!(is_well_formed(&page));
    // Nothing is asked of any network; the name of SVG is no address that is looked up.
    let asked = page.replace("http://www.w3.org/2000/svg", "");
    assert!(!asked.contains("http:") && !asked.contains("https:") && !asked.contains("<script"));
    assert_eq!(page.matches("data:image/jpeg;base64,").count(), 2);
    assert!(page.contains("cannot be shown: the picture cannot be read"));
}

#[test]
fn words_are_escaped_and_pictures_have_words() {
    let page = to_html(&sample(Sheet::A4));
    assert!(page.contains("<title>Larkfield 12T &amp; its story</title>"));
    assert!(page.contains("alt=\"The can &lt;2&gt;\"") && !page.contains("<2>"));
    assert!(page.contains("日"), "a page of HTML has every sign");
    assert!(page.contains("two<br>and its second line"));
    assert!(page.contains("<a href=\"photographs/0001.jpg\"><img"));
}

#[test]
fn headings_stand_in_order_and_the_contents_lead_to_them() {
    let page = to_html(&sample(Sheet::A4));
    let place = |text: &str| page.find(text).unwrap_or_else(|| panic!("no {text}"));
    assert!(place("<h1>") < place("<nav") && place("<nav") < place("<h2 id=\"s1\">"));
    assert!(page.contains("<a href=\"#s2\">Photographs</a>"));
    assert!(page.contains("<h2 id=\"s2\">Photographs</h2>"));
    assert_eq!(page.matches("<h2").count(), 2);
    assert!(page.contains("data-head=\"is now\"") && page.contains("scope=\"row\""));
}

/// The ratio of two colours by WCAG 2.1 (relative luminance).
fn contrast(one: u32, other: u32) -> f64 {
    let luminance = |colour: u32| -> f64 {
        let part = |shift: u32| {
            let value = f64::from((colour >> shift) & 255) / 255.0;
            if value <= 0.03928 {
                value / 12.92
            } else {
                ((value + 0.055) / 1.055).powf(2.4)
            }
        };
        0.2126 * part(16) + 0.7152 * part(8) + 0.0722 * part(0)
    };
    let (one, other) = (luminance(one) + 0.05, luminance(other) + 0.05);
    (one / other).max(other / one)
}

/// A colour of the style by its name.
fn colour(page: &str, name: &str) -> u32 {
    let (_, rest) = page.split_once(&format!("--{name}: #")).expect("a colour");
    u32::from_str_radix(&rest[..6], 16).expect("six digits")
}

#[test]
fn words_can_be_read_on_every_ground() {
    let page = to_html(&sample(Sheet::A4));
    for ground in ["paper", "ground"] {
        for ink in ["ink", "quiet", "accent"] {
            let ratio = contrast(colour(&page, ink), colour(&page, ground));
            // WCAG 2.1, 1.4.3: 4.5 to 1 for words of usual size.
            assert!(ratio >= 4.5, "{ink} on {ground}: {ratio}");
        }
    }
}
