//! How a restoration is begun, as the page asks it: one way a screen.
//!
//! Nothing here fails.

use benchwork::view::CheckView;
use benchwork::{PracticeSet, SheetFile, Trouble, check_sheet};
use maud::{Markup, PreEscaped, html};

use super::AT;
use crate::bench::Bench;
use crate::entry::Sent;
use crate::pages::plain;
use crate::pages::sheet::faults;
use crate::pieces::{self, Unit, number, one_of, send, text, trouble};

/// The ways: name in the address, name, words.
const WAYS: &[(&str, &str, &str)] = &[
    (
        "empty",
        "With its name alone",
        "tubes and parts are put in with the work",
    ),
    (
        "text",
        "With a sheet as text",
        "pasted or typed, and checked first",
    ),
    ("file", "With a sheet that is a file", "it ends in .toml"),
    (
        "practice",
        "A practice",
        "a hidden fault in an example set, to be looked for",
    ),
    (
        "folder",
        "From readable files that were written out",
        "a folder at the laptop, with every entry, sheet and photograph",
    ),
];

/// The page; `how` is the way that was chosen, `typed` what was refused.
pub fn page(bench: &Bench, how: &str, refused: Option<&Trouble>, typed: &Sent) -> Markup {
    let main = html! {
        (meanwhile(bench))
        @match (how, refused) {
            ("empty", _) => { (plain::refused(refused)) (empty(bench, typed)) },
            ("text", _) | ("file", Some(Trouble::Sheet { .. })) => { (said_of_text(refused, typed)) (as_text(bench, typed)) },
            ("file", _) => { (plain::refused(refused)) (as_file(bench, typed)) },
            ("practice", _) => { (plain::refused(refused)) (practice(bench, typed)) },
            ("folder", _) => { (plain::refused(refused)) (folder(bench, typed)) },
            _ => { (plain::refused(refused)) (ways(bench)) },
        }
    };
    plain::page(bench, "Begin a restoration", AT, main)
}

/// The text checked; nothing is begun by it.
pub fn checked(bench: &Bench, typed: &Sent) -> Markup {
    let own = typed.whole_text("text");
    let view = check_sheet(&SheetFile::in_memory("the sheet", own.as_str()));
    let main = html! {
        (meanwhile(bench))
        @match &view {
            Ok(view) => { (faults::told(view, &own, "sheet-text", typed.text("do") == "check-all")) },
            Err(own) => { (trouble(own)) },
        }
        @if view.as_ref().is_ok_and(|view: &CheckView| view.ok) { p { "Nothing was begun yet." } }
        (as_text(bench, typed))
    };
    plain::page(bench, "Begin a restoration", AT, main)
}

/// The set of a practice, as it was chosen.
pub fn set_of(typed: &Sent) -> PracticeSet {
    match typed.text("set") {
        "merrow" => PracticeSet::Merrow,
        _ => PracticeSet::Larkfield,
    }
}

/// What became of the file since the page was opened.
fn meanwhile(bench: &Bench) -> Markup {
    let is_there = bench.file().symlink_metadata().is_ok();
    html! {
        section #begun data-live="" {
            @if bench.is_begun() {
                h2 { (bench.name()) " is begun" }
                p { "Nothing more is begun here, and nothing was written over." }
                p { a .button.wide href="/" { "Where it stands" } }
            } @else if is_there {
                h2 { "The file is there meanwhile" }
                p { "Somebody else made " b { (bench.name()) } ". Nothing was written over." }
                form method="post" action="/begin/open" { (send("Open what is there")) }
            }
        }
    }
}

fn ways(bench: &Bench) -> Markup {
    html! {
        p { b { (bench.name()) } " is not there yet. What is begun here is written into it." }
        h2 { "How does it begin?" }
        ul .rows {
            @for (way, name, words) in WAYS {
                li { a .row href={ (AT) "?how=" (way) } { b { (name) } span { (words) } } }
            }
        }
    }
}

/// A form of one way.
fn form(bench: &Bench, way: &str, fields: &Markup) -> Markup {
    html! {
        form method="post" action=(AT) enctype="multipart/form-data" {
            input type="hidden" name="once" value=(crate::words::new_id());
            input type="hidden" name="book" value=(bench.book());
            input type="hidden" name="how" value=(way);
            (fields)
        }
        p { a .button.wide href=(AT) { "Begin it another way" } }
    }
}

fn empty(bench: &Bench, typed: &Sent) -> Markup {
    let fields = html! {
        h2 { "The set" }
        (text("name", "What is it called?", typed.text("name"), ""))
        (number("volts", "Line volts of the maker's figures", typed.text("volts"), &[Unit::VOLTS]))
        (one_of("hertz", "Its frequency", typed.text("hertz"), &[("60", "60 Hz"), ("50", "50 Hz")]))
        (send("Begin the restoration"))
    };
    form(bench, "empty", &fields)
}

/// The faults of a refused text, each in its line.
fn said_of_text(refused: Option<&Trouble>, typed: &Sent) -> Markup {
    match refused {
        Some(Trouble::Sheet {
            faults, notices, ..
        }) => html! {
            (faults::faults(faults, &typed.whole_text("text"), "sheet-text", false))
            (pieces::notices(notices))
        },
        other => plain::refused(other),
    }
}

fn as_text(bench: &Bench, typed: &Sent) -> Markup {
    let own = typed.whole_text("text");
    let fields = html! {
        input type="hidden" name="called" value=(typed.text("called"));
        label for="sheet-text" { "The sheet" }
        div #sheet-kept hidden {}
        textarea #sheet-text .sheet name="text" spellcheck="false" autocapitalize="off" autocomplete="off"
            wrap="off" rows="16" data-holds[own.is_empty()] { (PreEscaped("\n")) (own) }
        (text("name", "Name, if not that of the sheet", typed.text("name"), ""))
        button .send.second type="submit" name="do" value="check" { "Check it" }
        button .send type="submit" name="do" value="begin" { "Begin with it" }
        button .send.second type="submit" name="do" value="check-all" { "Check it and show every fault" }
    };
    form(bench, "text", &fields)
}

fn as_file(bench: &Bench, typed: &Sent) -> Markup {
    let fields = html! {
        div .field {
            label for="f-sheet" { "The sheet's file" }
            input #f-sheet type="file" name="sheet" accept=".toml,text/plain";
        }
        (text("name", "Name, if not that of the sheet", typed.text("name"), ""))
        (send("Begin with it"))
    };
    form(bench, "file", &fields)
}

fn folder(bench: &Bench, typed: &Sent) -> Markup {
    let fields = html! {
        h2 { "Readable files" }
        p { "The folder that \"Keeping\" wrote out. It is read whole before anything is begun, and stays as it is." }
        (text("folder", "The folder at the laptop, whole path", typed.text("folder"), ""))
        (send("Begin from it"))
    };
    form(bench, "folder", &fields)
}

fn practice(bench: &Bench, typed: &Sent) -> Markup {
    let chosen = |name: &str, usual: &str| typed.some(name).unwrap_or_else(|| usual.to_owned());
    let fields = html! {
        h2 { "A hidden fault" }
        p { "An example set with a fault in it. The program answers your measurements until you name the part." }
        (one_of("set", "Which set?", &chosen("set", "larkfield"),
            &[("larkfield", "Larkfield, with a power transformer"), ("merrow", "Merrow, heaters in series and a doubler")]))
        (one_of("faults", "How many faults?", &chosen("faults", "1"), &[("1", "one"), ("2", "two")]))
        (number("number", "Number of the hidden set", typed.text("number"), &[]))
        p .hint { "Any whole number from 1 to " (PracticeSet::LARGEST_NUMBER) "; the same number hides the same fault again. Hiding it may take some ten seconds." }
        (send("Hide it"))
    };
    form(bench, "practice", &fields)
}
