//! A picture of an answer on a page, with its words below for those who cannot see it.
//!
//! The picture is ours, an SVG with title and description. Nothing here fails.

use maud::{Markup, PreEscaped, html};

/// A picture with the words under it.
pub fn picture(svg: &str, words: &str) -> Markup {
    html! {
        figure .picture {
            div .drawing tabindex="0" role="group" aria-label={ "Picture: " (words) } { (PreEscaped(svg)) }
            figcaption { (words) }
        }
    }
}
