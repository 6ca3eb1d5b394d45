//! The page of `order`: what to buy, one line a kind, with boxes to tick on paper.
//!
//! Pieces; prices in the restorer's own money. Nothing here fails.

use benchwork::renewal_words::together;
use benchwork::view::OrderView;

use super::lists::{heading, paragraph, table, title};
use super::trouble_page::notices;

/// The page.
pub fn page(view: &OrderView) -> String {
    let mut page = title(&format!("{}: what to buy", view.set));
    if view.lines.is_empty() {
        page.push_str(&paragraph("Nothing is to be bought."));
    } else {
        let rows = view
            .lines
            .iter()
            .map(|own| {
                let spares = match own.spares {
                    0 => String::new(),
                    spares => format!(" + {spares}"),
                };
                let ripple = own.ripple_amps_rms.map_or_else(String::new, |own| {
                    format!(", marked for {own:.2} A of ripple or more")
                });
                let marking = match own.marking.is_empty() {
                    true => String::new(),
                    false => format!(" [{}]", own.marking),
                };
                vec![
                    format!("[ ] {}{spares}", own.count),
                    format!("{}{ripple}{marking}", own.what),
                    own.parts.join(" "),
                    own.price
                        .map_or_else(String::new, |own| format!("{own:.2}")),
                ]
            })
            .collect();
        let heads = ["pieces", "what", "for", "price"];
        page.push_str(&table(&heads, &[3], rows));
    }
    page.push('\n');
    if let Some(words) = together(view) {
        page.push_str(&paragraph(&words));
    }
    if !view.fitted.is_empty() {
        page.push_str(&heading("Fitted already"));
        page.push_str(&paragraph(&view.fitted.join(", ")));
    }
    if !view.notices.is_empty() {
        page.push_str(&heading("Worth knowing"));
        page.push_str(&notices(&view.notices));
    }
    page.push_str(&paragraph(
        "A spare stands behind the +. When one is in: `firstraster renew FILE fitted C40`.",
    ));
    page
}
