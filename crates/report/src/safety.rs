//! The proof at the end on the page: every item with its figure, what was found, by whom and when.
//!
//! Figures in the unit of each item. States have a shape and a word. It never says that the set is
//! safe. Nothing here fails.

use benchwork::proof_words::{figure, place};
use benchwork::view::{HandingOnView, ProofItemView, ProofSlotView, ProofView};
use paper::{Block, Column, Drawing, Table, Text};

use super::{Made, day, paragraph, section};

/// The section.
pub(super) fn safety(view: &HandingOnView, made: &Made<'_>, blocks: &mut Vec<Block>) {
    blocks.push(section("Safety proof at the end"));
    let own = &view.safety;
    let Some(proof) = &own.proof else {
        blocks.push(Block::Caution {
            heading: "Not proven".to_owned(),
            words: own.text.as_str().into(),
            points: Vec::new(),
        });
        return;
    };
    blocks.push(Block::Paragraph(Text::strong(own.text.as_str())));
    blocks.push(paragraph(proof.words));
    not_done(proof, blocks);
    blocks.push(Block::Table(Table {
        about: "The check list at the end, item by item".to_owned(),
        columns: vec![
            Column::words("item", 2.5),
            Column::words("state", 1.1),
            Column::words("figure and its source", 2.3),
            Column::words("found", 2.1),
            Column::words("by whom, when", 1.2),
        ],
        rows: proof.items.iter().map(row).collect(),
    }));
    for (svg, about, caption) in [
        (
            &made.leakage,
            "Leakage to ground at each point against its limit",
            "Leakage to ground, the plug both ways, switched on and off.",
        ),
        (
            &made.soak,
            "Warmth of the cabinet against minutes",
            "The soak: warmth of the cabinet.",
        ),
    ] {
        if let Some(svg) = svg {
            blocks.push(Block::Drawing(Drawing {
                svg: svg.clone(),
                about: about.to_owned(),
                caption: caption.to_owned(),
            }));
        }
    }
}

/// What failed and what is open, so that nobody has to look for it.
fn not_done(proof: &ProofView, blocks: &mut Vec<Block>) {
    let with = |state: &'static str| proof.items.iter().filter(move |item| item.state == state);
    let failed = with("failed").map(|item| {
        Text::strong(format!("▲ Beyond its figure: {}. ", item.title)).and(item.because.join("; "))
    });
    let mut points: Vec<Text> = failed.collect();
    let open = with("open").count();
    if open > 0 {
        points.push(Text::strong(format!("○ Open: {open} of the items below.")));
    }
    if !points.is_empty() {
        blocks.push(Block::Caution {
            heading: "Not everything is proven".to_owned(),
            words: Text::default(),
            points,
        });
    }
}

fn row(item: &ProofItemView) -> Vec<Text> {
    let state = match item.state {
        "met" => Text::plain("● done, nothing beyond its figure"),
        "failed" => Text::strong("▲ beyond its figure"),
        "not_of_this_set" => Text::plain("– not of this set"),
        _ => Text::strong("○ open"),
    };
    let answered = item.slots.iter().filter(|slot| slot.entry.is_some());
    let found: Vec<String> = answered.clone().map(found).collect();
    let mut by: Vec<String> = Vec::new();
    for slot in answered {
        let who = slot.by.as_deref().unwrap_or("nobody named");
        let when = slot.at.as_deref().map_or("", day);
        let line = format!("{who}, {when}");
        if !by.contains(&line) {
            by.push(line);
        }
    }
    vec![
        Text::plain(crate::sentence(&item.title)),
        state,
        limit(item),
        Text::plain(found.join("\n")),
        Text::plain(by.join("\n")),
    ]
}

fn limit(item: &ProofItemView) -> Text {
    let own = |value: f64| figure(value, item.unit);
    let text = match (item.limit_low, item.limit_high) {
        (Some(low), Some(high)) => format!("{} to {}", own(low), own(high)),
        (Some(low), None) => format!("at least {}", own(low)),
        (None, Some(high)) => format!("at most {}", own(high)),
        (None, None) => return Text::default(),
    };
    let source = [item.limit_source.as_deref(), item.limit_standing];
    let source: Vec<&str> = source.into_iter().flatten().collect();
    match source.is_empty() {
        true => Text::plain(text),
        false => Text::plain(text).and_quiet(format!(" ({})", source.join("; "))),
    }
}

fn found(slot: &ProofSlotView) -> String {
    let told = match (&slot.typed, slot.answer, slot.state) {
        (_, _, "not_of_this_set") => "not of this set".to_owned(),
        (Some(typed), _, _) => typed.clone(),
        (None, Some(true), _) => "yes".to_owned(),
        (None, Some(false), _) => "no".to_owned(),
        (None, None, _) => "not written down".to_owned(),
    };
    let mark = match slot.state {
        "failed" => " ▲",
        _ => "",
    };
    let note = slot
        .note
        .as_deref()
        .map_or(String::new(), |note| format!(" ({note})"));
    match place(slot).as_str() {
        "" => format!("{told}{mark}{note}"),
        place => format!("{place}: {told}{mark}{note}"),
    }
}
