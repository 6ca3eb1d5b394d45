//! Pages as one page of HTML that stands alone: style, drawings and photographs are in it, and it
//! asks nothing of any network.
//!
//! It can be read in 390 pixels, printed, and spoken: headings in order, words for pictures, heads
//! for columns and rows. Text is escaped; drawings are put in as they are, since they are ours.
//! Nothing here fails.

use base64::Engine;
use base64::engine::general_purpose::STANDARD;
use maud::{DOCTYPE, Markup, PreEscaped, html};

use crate::document::{Block, Document, Drawing, Look, Photograph, Table, Text};

const STYLE: &str = include_str!("style.css");

/// The document as a page of HTML.
pub fn to_html(document: &Document) -> String {
    let mut sections = Vec::new();
    for block in &document.blocks {
        if let Block::Heading { level: 2, text } = block {
            sections.push(text.as_str());
        }
    }
    let mut number = 0;
    let page = html! {
        (DOCTYPE)
        html lang=(document.language) {
            head {
                meta charset="utf-8";
                meta name="viewport" content="width=device-width, initial-scale=1";
                meta name="description" content=(document.about);
                meta name="generator" content=(document.made_by);
                @if !document.author.is_empty() { meta name="author" content=(document.author); }
                title { (document.title) }
                style { (PreEscaped(STYLE)) }
            }
            body {
                main {
                    @for (place, block) in document.blocks.iter().enumerate() {
                        (block_of(block, &mut number))
                        @if ends_the_cover(&document.blocks, place) && sections.len() > 1 {
                            (contents(&sections))
                        }
                    }
                    footer { (document.foot) }
                }
            }
        }
    };
    page.into_string()
}

/// The list of contents comes before the first section.
fn ends_the_cover(blocks: &[Block], place: usize) -> bool {
    let is_section = |block: &Block| matches!(block, Block::Heading { level: 2, .. });
    let first = blocks.iter().position(is_section);
    first.is_some_and(|first| place + 1 == first)
}

fn contents(sections: &[&str]) -> Markup {
    html! {
        nav aria-label="Contents" {
            ul {
                @for (number, section) in sections.iter().enumerate() {
                    li { a href={ "#s" (number + 1) } { (section) } }
                }
            }
        }
    }
}

fn block_of(block: &Block, number: &mut usize) -> Markup {
    match block {
        Block::Title { text, below } => html! {
            h1 { (text) }
            @for line in below { p.below { (words(line)) } }
        },
        Block::Heading { level, text } if *level <= 2 => {
            *number += 1;
            html! { h2 id={ "s" (number) } { (text) } }
        }
        Block::Heading { text, .. } => html! { h3 { (text) } },
        Block::Paragraph(text) => html! { p { (words(text)) } },
        Block::Caution {
            heading,
            words: before,
            points,
        } => html! {
            div.caution {
                h3 { (heading) }
                @if !before.is_empty() { p { (words(before)) } }
                (list(points))
            }
        },
        Block::List(points) => list(points),
        Block::Facts(facts) => html! {
            dl { @for (name, text) in facts { dt { (name) } dd { (words(text)) } } }
        },
        Block::Table(table) => table_of(table),
        Block::Drawing(drawing) => drawing_of(drawing),
        Block::Photographs(photographs) => html! {
            div.photographs { @for own in photographs { (photograph_of(own)) } }
        },
        Block::NewPage => html! {},
    }
}

fn words(text: &Text) -> Markup {
    html! {
        @for piece in &text.0 {
            @match piece.look {
                Look::Plain => (lines(&piece.text)),
                Look::Strong => strong { (lines(&piece.text)) },
                Look::Quiet => span.quiet { (lines(&piece.text)) },
            }
        }
    }
}

/// Text with its line ends.
fn lines(text: &str) -> Markup {
    html! {
        @for (number, line) in text.split('\n').enumerate() {
            @if number > 0 { br; }
            (seen(line))
        }
    }
}

/// Text without signs that a page must not hold.
fn seen(text: &str) -> String {
    text.chars()
        .map(|letter| if letter.is_control() { ' ' } else { letter })
        .collect()
}

fn list(points: &[Text]) -> Markup {
    html! {
        @if !points.is_empty() { ul { @for point in points { li { (words(point)) } } } }
    }
}

fn table_of(table: &Table) -> Markup {
    let dash = Text::quiet("–");
    let cell = |row: &'_ [Text], column: usize| -> Text {
        let own = row.get(column).filter(|cell| !cell.is_empty());
        own.unwrap_or(&dash).clone()
    };
    html! {
        @if !table.rows.is_empty() {
            table role="table" aria-label=(table.about) {
                thead role="rowgroup" {
                    tr role="row" {
                        @for column in &table.columns {
                            th.figures[column.figures] role="columnheader" scope="col" { (column.head) }
                        }
                    }
                }
                tbody role="rowgroup" {
                    @for row in &table.rows {
                        tr role="row" {
                            @for (place, column) in table.columns.iter().enumerate() {
                                @if place == 0 {
                                    th role="rowheader" scope="row" data-head=(column.head) { (words(&cell(row, place))) }
                                } @else {
                                    td.figures[column.figures] role="cell" data-head=(column.head) {
                                        span { (words(&cell(row, place))) }
                                    }
                                }
                            }
                        }
                    }
                }
            }
        }
    }
}

fn drawing_of(drawing: &Drawing) -> Markup {
    html! {
        figure role="group" aria-label=(drawing.about) {
            (PreEscaped(drawing.svg.as_str()))
            @if !drawing.caption.is_empty() { figcaption { (drawing.caption) } }
        }
    }
}

fn photograph_of(own: &Photograph) -> Markup {
    let picture = match &own.picture {
        Some(picture) => {
            let inside = format!("data:image/jpeg;base64,{}", STANDARD.encode(&picture.bytes));
            html! {
                img src=(inside) alt=(own.about) width=(picture.width) height=(picture.height);
            }
        }
        None => html! { div.lacks { (own.lacks) } },
    };
    html! {
        figure {
            @if own.whole.is_empty() { (picture) } @else { a href=(own.whole) { (picture) } }
            @if !own.caption.is_empty() { figcaption { (words(&own.caption)) } }
        }
    }
}
