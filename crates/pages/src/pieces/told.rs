//! What went wrong, and what is worth knowing, in words on a page.
//!
//! Every fault with what to do; those of a sheet with their lines. Nothing here fails.

use axum::http::StatusCode;
use axum::response::{IntoResponse, Response};
use benchwork::Trouble;
use benchwork::view::{FaultView, NoticeView};
use maud::{Markup, html};

use crate::frame::bare;
use crate::in_page_words::in_page_words;

/// Trouble in words.
pub fn trouble(trouble: &Trouble) -> Markup {
    match trouble {
        Trouble::File { name, text, hint } => said("The file", &format!("{name}: {text}"), hint),
        Trouble::NotNow {
            name,
            text,
            hint,
            is_full,
        } => {
            let head = if *is_full {
                "The disk of the laptop is full"
            } else {
                "The laptop cannot take it now"
            };
            said(head, &format!("{name}: {text}"), hint)
        }
        Trouble::Sheet { faults, .. } => html! {
            div .trouble role="alert" {
                h2 { (counted(faults.len())) " in the sheet" }
                p { a .button href="/sheet" { "Open the sheet" } }
                (list(faults))
            }
        },
        Trouble::Input { faults } => html! {
            div .trouble role="alert" {
                h2 { "Not entered" }
                (list(faults))
            }
        },
        Trouble::NotSettled { error, .. } => {
            said("No settled state was found", &error.text, &error.hint)
        }
        Trouble::Overtaken { text, hint, .. } => said("Changed meanwhile", text, hint),
        Trouble::Left => said("Given up", &trouble.to_string(), "Ask once more."),
        Trouble::Ours { text, hint } => said("A fault of this program", text, hint),
    }
}

fn said(head: &str, text: &str, hint: &str) -> Markup {
    html! {
        div .trouble role="alert" {
            h2 { (head) }
            p { (in_page_words(text)) }
            @if !hint.is_empty() { p .hint { (in_page_words(hint)) } }
        }
    }
}

fn counted(faults: usize) -> String {
    match faults {
        1 => "One fault".to_owned(),
        many => format!("{many} faults"),
    }
}

fn list(faults: &[FaultView]) -> Markup {
    html! {
        ul .faults {
            @for fault in faults {
                li {
                    @if let Some(line) = fault.line { b { "Line " (line) ": " } }
                    (in_page_words(&fault.text))
                    @if !fault.hint.is_empty() { span .hint { (in_page_words(&fault.hint)) } }
                }
            }
        }
    }
}

/// What is worth knowing besides.
pub fn notices(notices: &[NoticeView]) -> Markup {
    html! {
        @if !notices.is_empty() {
            ul .notices {
                @for notice in notices {
                    li {
                        (in_page_words(&notice.text))
                        @if !notice.hint.is_empty() { span .hint { (in_page_words(&notice.hint)) } }
                    }
                }
            }
        }
    }
}

/// The status of an answer that tells this (RFC 9110; 507: RFC 4918, section 11.5). What comes to nothing although
/// it is sound has one from 500 on: the phone keeps it and sends it again.
pub fn status_of(own: &Trouble) -> StatusCode {
    match own {
        Trouble::NotNow { is_full: true, .. } => StatusCode::INSUFFICIENT_STORAGE,
        Trouble::NotNow { .. } => StatusCode::SERVICE_UNAVAILABLE,
        _ => StatusCode::UNPROCESSABLE_ENTITY,
    }
}

/// A page of its own for what stands in the way of every page.
pub fn refused_by(own: &Trouble) -> Response {
    let page = bare("Not answered", trouble(own));
    (StatusCode::INTERNAL_SERVER_ERROR, page).into_response()
}

/// A page of its own for what cannot be answered.
pub fn problem(status: StatusCode, head: &str, text: &str, hint: &str) -> Response {
    let main = html! {
        p { (text) }
        p .hint { (hint) }
        p { a .button href="/" { "Where it stands" } }
    };
    (status, bare(head, main)).into_response()
}
