//! Whole stages by their questions: the pattern asks one thing after the other and writes the rows.
//!
//! The answers so far stand in the address, so that nothing is kept elsewhere: going back, another device and a
//! page loaded anew find them. An answer at fault is shown beside its question, those behind it stay. The rows are
//! taken into the sheet as a new version; nothing is written before that.

use std::sync::Arc;

use axum::Router;
use axum::extract::{Path, Query, State};
use axum::response::Response;
use axum::routing::get;
use benchwork::view::{StageListView, StagePatternView, StageView};
use benchwork::{PresentSheet, StageTask, Trouble, present_sheet, take_in_stage, tell_stages};
use maud::{Markup, html};

use super::made_from;
use crate::bench::Bench;
use crate::entry::{Sent, entered, hidden, shown};
use crate::frame::{Page, framed};
use crate::pieces::{self, NAMES};
use crate::words::in_address;

/// The routes of these pages.
pub fn routes() -> Router<Arc<Bench>> {
    Router::new()
        .route("/sheet/stages", get(stages))
        .route("/sheet/stages/{pattern}", get(stage).post(take))
}

async fn stages(
    State(bench): State<Arc<Bench>>,
    Query(asked): Query<Vec<(String, String)>>,
) -> Response {
    let asked = Sent::of(asked);
    shown(bench, move |bench| {
        let main = match tell_stages(None) {
            Ok(list) => html! {
                (pieces::made(bench, asked.entry("made")))
                (all(&list))
            },
            Err(own) => pieces::trouble(&own),
        };
        page(bench, main)
    })
    .await
}

async fn stage(
    State(bench): State<Arc<Bench>>,
    Path(pattern): Path<String>,
    Query(asked): Query<Vec<(String, String)>>,
) -> Response {
    let asked = Sent::of(asked);
    shown(bench, move |bench| {
        let main = one(bench, &pattern, &asked).unwrap_or_else(|own| pieces::trouble(&own));
        page(bench, main)
    })
    .await
}

async fn take(
    State(bench): State<Arc<Bench>>,
    Path(pattern): Path<String>,
    sent: Sent,
) -> Response {
    let typed = sent.clone();
    let own = pattern.clone();
    entered(
        bench,
        "/sheet/stages".to_owned(),
        move |bench| {
            let entering = sent.entering(bench)?;
            take_in_stage(&entering, sent.text("sheet"), &pattern, &sent.all("a"))
        },
        move |bench, refused| {
            let again = one(bench, &own, &typed).unwrap_or_else(|own| pieces::trouble(&own));
            page(bench, html! { (pieces::trouble(&refused)) (again) })
        },
    )
    .await
}

fn page(bench: &Bench, main: Markup) -> Markup {
    framed(
        bench,
        Page {
            title: "Stages of the sheet",
            at: "/sheet/stages",
            main,
        },
    )
}

fn all(list: &StageListView) -> Markup {
    html! {
        p .lead { "Choose the stage that you have before you. Plug out, every capacitor proved empty with the meter." }
        ul .rows {
            @for pattern in &list.patterns {
                li { a .row href={ "/sheet/stages/" (in_address(&pattern.name)) } {
                    b { (pattern.title) }
                    span { (pattern.questions.len()) " questions" }
                } }
            }
        }
        p { a .button.wide href="/sheet" { "The whole sheet" } }
    }
}

/// The question that is to be answered, or what the answers make.
fn one(bench: &Bench, pattern: &str, asked: &Sent) -> Result<Markup, Trouble> {
    let sheet = present_sheet(bench.file())?;
    let about = tell_stages(Some(pattern))?.patterns.into_iter().next();
    let about = about.ok_or_else(|| Trouble::ours("a pattern that is there was not told"))?;
    let task = StageTask::of(pattern, sheet.file())?;
    let mut interview = task.interview()?;
    let answers = asked.all("a");
    let mut remarks: Vec<String> = Vec::new();
    let mut refused = None;
    let mut at = 0;
    for text in &answers {
        if interview.question().is_none() {
            break;
        }
        match interview.answer(text) {
            Ok(said) => remarks = said,
            Err(fault) => {
                refused = Some(Trouble::input(fault.text, fault.hint));
                break;
            }
        }
        at += 1;
    }
    let before = answers.get(..at).unwrap_or_default();
    let Some(question) = interview.question() else {
        let filled = task.filled(&interview)?;
        return Ok(summary(bench, &about, &sheet, &filled.view, before));
    };
    let (typed, behind) = match refused.is_some() {
        true => (
            answers.get(at).copied(),
            answers.get(at + 1..).unwrap_or_default(),
        ),
        false => (None, &[][..]),
    };
    let asked = AskedNow {
        name: &question.name,
        ask: &question.ask,
        expects: &question.expects,
        example: &question.example,
        proposal: &question.proposal,
    };
    Ok(html! {
        (head(&about, before))
        @if let Some(refused) = &refused { (pieces::trouble(refused)) }
        @if !remarks.is_empty() { ul .notices { @for one in &remarks { li { (one) } } } }
        form .question method="get" action={ "/sheet/stages/" (in_address(&about.name)) } {
            @for answer in before { input type="hidden" name="a" value=(answer); }
            (ask(&asked, typed))
            @for answer in behind { input type="hidden" name="a" value=(answer); }
            (pieces::names(bench))
            (pieces::send("Next"))
        }
        (back(&about, before))
    })
}

struct AskedNow<'a> {
    name: &'a str,
    ask: &'a str,
    expects: &'a str,
    example: &'a str,
    proposal: &'a str,
}

fn ask(own: &AskedNow<'_>, typed: Option<&str>) -> Markup {
    html! {
        label for="f-a" { (own.ask) }
        input #f-a name="a" value=(typed.unwrap_or("")) type="text" autocomplete="off" autocapitalize="off"
            spellcheck="false" list=(NAMES) aria-describedby="about-a";
        div #about-a {
            p .hint { (own.name) ": " (own.expects) @if !own.example.is_empty() { ". Such as: " (own.example) } }
            @if !own.proposal.is_empty() { p .hint { "Answered without a reference it is called " (own.proposal) "." } }
            p .hint { "Leave it empty where the set has none or you do not know." }
        }
    }
}

fn head(about: &StagePatternView, before: &[&str]) -> Markup {
    html! {
        p .count { "Question " (before.len() + 1) " of about " (about.questions.len().max(before.len() + 1)) }
        h2 .step { (about.title) }
        @if before.is_empty() && !about.look.is_empty() { p .lead { (about.look) } }
    }
}

/// The answers as an address has them.
fn address(about: &StagePatternView, answers: &[&str]) -> String {
    let fields: Vec<String> = answers
        .iter()
        .map(|own| format!("a={}", in_address(own)))
        .collect();
    format!(
        "/sheet/stages/{}?{}",
        in_address(&about.name),
        fields.join("&")
    )
}

fn back(about: &StagePatternView, before: &[&str]) -> Markup {
    html! {
        ul .rows {
            @if let Some((last, earlier)) = before.split_last() {
                li { a .row href=(address(about, earlier)) { b { "Back to the question before" } span { "answered: " (if last.is_empty() { "nothing" } else { last }) } } }
            }
            li { a .row href="/sheet/stages" { b { "Another stage" } span { "what was answered here is not written" } } }
        }
    }
}

fn summary(
    bench: &Bench,
    about: &StagePatternView,
    sheet: &PresentSheet,
    view: &StageView,
    answers: &[&str],
) -> Markup {
    html! {
        h2 .step { (about.title) }
        @if view.lines.is_empty() {
            p { "The answers make no line of the sheet." }
        } @else {
            p .lead { "These lines come into the sheet:" }
            @for line in &view.lines {
                pre .line tabindex="0" role="group" aria-label={ "A line of " (line.list) } { (line.text) }
            }
        }
        @if !view.left_out.is_empty() {
            details {
                summary { (view.left_out.len()) " questions of which nothing is written" }
                ul { @for own in &view.left_out { li { b { (own.question) } ": " (own.because) } } }
            }
        }
        (pieces::notices(&view.notices))
        @if !view.lines.is_empty() {
            form method="post" action={ "/sheet/stages/" (in_address(&about.name)) } data-keep="" {
                (hidden(bench))
                (made_from(sheet))
                @for answer in answers { input type="hidden" name="a" value=(answer); }
                (pieces::send("Take the stage into the sheet"))
            }
        }
        (back(about, answers))
    }
}
