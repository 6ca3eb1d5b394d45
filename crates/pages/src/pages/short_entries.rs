//! Entries of one short form each: a part replaced, something else changed, a decision, what a tester said.
//!
//! Each page shows what was said with its last entry (cautions about a part on the line, a type that the sheet has
//! otherwise) and the entries of its kind before it. Percent and micromhos as the tester gives them. Fails with the
//! trouble of the entry in words, what was typed still in its fields; nothing is entered then.

use std::sync::Arc;

use axum::Router;
use axum::extract::{Query, State};
use axum::response::Response;
use axum::routing::get;
use benchwork::view::{EntryView, RecordedView};
use benchwork::{
    Changed, Decided, Fitted, SheetList, TestResult, Tested, Trouble, note_changed, note_decided,
    present_sheet, record_fitted, record_test,
};
use maud::{Markup, html};

use crate::bench::Bench;
use crate::entry::{Sent, entered, hidden, shown};
use crate::frame::{Page, framed};
use crate::pieces::{self, NAMES, entry_line};

/// How many entries of the kind are shown.
const LAST: usize = 5;

/// One of the four pages.
struct Short {
    at: &'static str,
    title: &'static str,
    /// Kind of the entries that it makes.
    kind: &'static str,
    fields: fn(&Bench, &Sent) -> Markup,
    enter: fn(&Bench, &Sent) -> Result<RecordedView, Trouble>,
}

static FIT: Short = Short {
    at: "/fit",
    title: "A part was replaced",
    kind: "fitted",
    fields: fit_fields,
    enter: fit,
};

static CHANGE: Short = Short {
    at: "/change",
    title: "Something else was changed",
    kind: "changed",
    fields: change_fields,
    enter: change,
};

static DECIDE: Short = Short {
    at: "/decide",
    title: "A decision",
    kind: "decided",
    fields: decide_fields,
    enter: decide,
};

static TEST: Short = Short {
    at: "/test",
    title: "On the tester",
    kind: "tested",
    fields: test_fields,
    enter: test,
};

/// The routes of these pages.
pub fn routes() -> Router<Arc<Bench>> {
    let mut routes = Router::new();
    for own in [&FIT, &CHANGE, &DECIDE, &TEST] {
        let show = move |State(bench): State<Arc<Bench>>,
                         Query(typed): Query<Vec<(String, String)>>| {
            ask(own, bench, Sent::of(typed))
        };
        let enter = move |State(bench): State<Arc<Bench>>, sent: Sent| make(own, bench, sent);
        routes = routes.route(own.at, get(show).post(enter));
    }
    routes
}

async fn ask(own: &'static Short, bench: Arc<Bench>, typed: Sent) -> Response {
    shown(bench, move |bench| page(own, bench, None, &typed)).await
}

async fn make(own: &'static Short, bench: Arc<Bench>, sent: Sent) -> Response {
    let typed = sent.clone();
    entered(
        bench,
        own.at.to_owned(),
        move |bench| (own.enter)(bench, &sent),
        move |bench, refused| page(own, bench, Some(refused), &typed),
    )
    .await
}

fn page(own: &Short, bench: &Bench, refused: Option<Trouble>, typed: &Sent) -> Markup {
    let main = html! {
        @if let Some(refused) = &refused { (pieces::trouble(refused)) }
        (pieces::made(bench, typed.entry("made")))
        form method="post" action=(own.at) data-keep="" {
            (hidden(bench))
            ((own.fields)(bench, typed))
            (pieces::names(bench))
        }
        (before(own, bench))
    };
    framed(
        bench,
        Page {
            title: own.title,
            at: own.at,
            main,
        },
    )
}

fn last_of<'s>(entries: &'s [EntryView], kind: &'s str) -> impl Iterator<Item = &'s EntryView> {
    entries.iter().rev().filter(move |own| own.kind == kind)
}

fn before(own: &Short, bench: &Bench) -> Markup {
    let story = match bench.story() {
        Ok(story) => story,
        Err(own) => return pieces::trouble(&own),
    };
    html! {
        section #before data-live="" {
            @if last_of(&story.entries, own.kind).next().is_some() {
                h2 { "Entered before" }
                ol .entries {
                    @for entry in last_of(&story.entries, own.kind).take(LAST) { li { (entry_line(entry)) } }
                }
            }
        }
    }
}

/// The value that the sheet has for a part, so that it need not be typed; empty where it has none.
fn value_in_sheet(bench: &Bench, part: &str) -> String {
    let rows = present_sheet(bench.file()).and_then(|sheet| sheet.rows(SheetList::Parts));
    let rows = rows.unwrap_or_default();
    let named = |cells: &&Vec<String>| {
        let own = cells.first().map_or("", |own| own.trim());
        !part.is_empty() && own.eq_ignore_ascii_case(part)
    };
    let row = rows.iter().map(|row| &row.cells).find(named);
    row.and_then(|cells| cells.get(2))
        .cloned()
        .unwrap_or_default()
}

fn fit_fields(bench: &Bench, typed: &Sent) -> Markup {
    let old = typed
        .some("old")
        .unwrap_or_else(|| value_in_sheet(bench, typed.text("part")));
    html! {
        ul .cautions {
            li { "Plug out, every capacitor discharged through a resistor and proved empty with the meter." }
            li { "Across the line and from the line to metal only safety capacitors may stand: class X or Y across it, class Y to metal, no larger than drawn. Local codes come first." }
        }
        (pieces::text("part", "Which part?", typed.text("part"), NAMES))
        (pieces::text("new", "What is there now?", typed.text("new"), ""))
        p .hint { "As the sheet writes a value: 0.047 mfd, 22k 1 W, or a tube's type." }
        (pieces::text("rating", "Its rating, with the class of a safety capacitor", typed.text("rating"), ""))
        p .hint { "630 V, or 300 V Y2." }
        (pieces::text("old", "What was there", &old, ""))
        (pieces::remark(typed.text("note")))
        (pieces::send("It is fitted"))
    }
}

fn fit(bench: &Bench, sent: &Sent) -> Result<RecordedView, Trouble> {
    let fitted = Fitted {
        part: sent.owned("part"),
        new: sent.owned("new"),
        old: sent.owned("old"),
        rating: sent.owned("rating"),
        note: sent.owned("note"),
    };
    record_fitted(&sent.entering(bench)?, fitted)
}

fn change_fields(_: &Bench, typed: &Sent) -> Markup {
    html! {
        p .lead { "A wire, a socket, a setting. A replaced part has its own page." }
        p { a .button href="/fit" { "A part was replaced" } }
        (pieces::text("what", "What was changed?", typed.text("what"), NAMES))
        (pieces::text("was", "How was it?", typed.text("was"), ""))
        (pieces::text("is", "How is it now?", typed.text("is"), "usual-changes"))
        p .hint { "Of a part of the sheet, \"cut loose\" and \"put back\" are understood: predictions and the power-up go by them." }
        (pieces::suggestions("usual-changes", &["cut loose", "put back"].map(|own| (own.to_owned(), String::new()))))
        (pieces::remark(typed.text("note")))
        (pieces::send("It is changed"))
    }
}

fn change(bench: &Bench, sent: &Sent) -> Result<RecordedView, Trouble> {
    let changed = Changed {
        what: sent.owned("what"),
        was: sent.owned("was"),
        is: sent.owned("is"),
        note: sent.owned("note"),
    };
    note_changed(&sent.entering(bench)?, changed)
}

fn decide_fields(_: &Bench, typed: &Sent) -> Markup {
    html! {
        (pieces::text("what", "What is decided?", typed.text("what"), ""))
        (pieces::text("because", "Why?", typed.text("because"), ""))
        (pieces::send("It is decided"))
    }
}

fn decide(bench: &Bench, sent: &Sent) -> Result<RecordedView, Trouble> {
    let decided = Decided {
        what: sent.owned("what"),
        because: sent.owned("because"),
    };
    note_decided(&sent.entering(bench)?, decided)
}

/// What the tester that was used last is called.
fn last_tester(bench: &Bench) -> String {
    let Ok(story) = bench.story() else {
        return String::new();
    };
    let mut testers = last_of(&story.entries, "tested").filter_map(|own| own.says.get("tester"));
    let tester = testers.find_map(|own| own.as_str());
    tester.unwrap_or_default().to_owned()
}

const KINDS: &[(&str, &str)] = &[
    ("percent", "Percent of its scale"),
    ("micromhos", "Micromhos"),
    ("words", "Words: good, weak, shorted"),
];

const VERDICTS: &[&str] = &["good", "weak", "shorted", "gassy", "leaky", "heater open"];

fn test_fields(bench: &Bench, typed: &Sent) -> Markup {
    let tester = typed.some("tester").unwrap_or_else(|| last_tester(bench));
    html! {
        (pieces::text("part", "Which tube or part?", typed.text("part"), NAMES))
        (pieces::one_of("kind", "What does the tester give?", typed.text("kind"), KINDS))
        (pieces::number("figure", "The figure on its scale", typed.text("figure"), &[]))
        (pieces::text("verdict", "Or its words", typed.text("verdict"), "usual-verdicts"))
        (pieces::suggestions("usual-verdicts", &VERDICTS.iter().map(|own| ((*own).to_owned(), String::new())).collect::<Vec<_>>()))
        (pieces::text("tester", "Which tester, in your words", &tester, ""))
        p .hint { "With \"emission\" or \"conductance\" in its name the figure is used for what it is." }
        (pieces::text("section", "Which half of a double tube", typed.text("section"), ""))
        (pieces::text("type", "Type, if it is not the sheet's", typed.text("type"), ""))
        (pieces::remark(typed.text("note")))
        (pieces::send("Enter the test"))
    }
}

fn test(bench: &Bench, sent: &Sent) -> Result<RecordedView, Trouble> {
    let tested = Tested {
        part: sent.owned("part"),
        section: sent.owned("section"),
        type_number: sent.owned("type"),
        tester: sent.owned("tester"),
        result: result(sent)?,
        note: sent.owned("note"),
    };
    record_test(&sent.entering(bench)?, tested)
}

/// One result an entry, as the tester gives it: no result is turned into another.
fn result(sent: &Sent) -> Result<TestResult, Trouble> {
    let figure = sent.number("figure", "The figure")?;
    match (sent.text("kind"), figure, sent.some("verdict")) {
        (_, Some(_), Some(_)) => Err(Trouble::input(
            "both a figure and words were typed; one entry takes one result",
            "enter the figure first and the words after it",
        )),
        ("percent", Some(percent), None) => Ok(TestResult::Percent(percent)),
        ("micromhos", Some(micromhos), None) => Ok(TestResult::Micromhos(micromhos)),
        ("words" | "", None, Some(verdict)) => Ok(TestResult::Verdict(verdict)),
        (_, Some(_), None) => Err(Trouble::input(
            "a figure was typed, but not of which scale",
            "choose percent or micromhos",
        )),
        ("percent" | "micromhos", None, Some(_)) => Err(Trouble::input(
            "words were typed where a figure of the scale was expected",
            "type the figure, or choose words",
        )),
        _ => Err(Trouble::input(
            "no result of the tester was given",
            "choose what the tester gives, and type its figure or its words",
        )),
    }
}
