//! The lists of the sheet row by row: tubes, windings, parts, heaters; one row a screen to change, to add, to take out.
//!
//! The changed text is checked and taken in as a new version; comments and order stay. Cells in bench notation, as
//! the manual has them for a sheet. A fault stands beside its cell; nothing is written then.

use std::sync::Arc;

use axum::Router;
use axum::extract::{Query, State};
use axum::response::Response;
use axum::routing::get;
use benchwork::view::FaultView;
use benchwork::{
    PresentSheet, RowChange, RowState, SheetList, SheetRow, StateList, Trouble, change_row,
    columns_of_faults, part_kinds, present_sheet,
};
use maud::{Markup, html};

use super::made_from;
use crate::bench::Bench;
use crate::entry::{Sent, entered, hidden, shown};
use crate::frame::{Page, framed};
use crate::pieces;

/// A column: its label, what an entry looks like, the suggestions for it.
pub(super) struct Column {
    pub label: &'static str,
    pub such_as: &'static str,
    pub list: &'static str,
    /// What may stand there and its words; none where anything may.
    pub choices: &'static [(&'static str, &'static str)],
}

/// A list as a page has it.
struct Shown {
    at: &'static str,
    title: &'static str,
    list: SheetList,
    columns: &'static [Column],
    /// How many cells name a row.
    key: usize,
}

const PLACES: &str = "places-in-the-sheet";
const KINDS: &str = "kinds-of-parts";

pub(super) const fn column(
    label: &'static str,
    such_as: &'static str,
    list: &'static str,
) -> Column {
    Column {
        label,
        such_as,
        list,
        choices: &[],
    }
}

static TUBES: Shown = Shown {
    at: "/sheet/tubes",
    title: "Tubes of the sheet",
    list: SheetList::Tubes,
    columns: &[
        column("Reference", "Such as: V9", ""),
        column("Type", "Such as: 6AU6, 5U4-G", ""),
        column(
            "What it does",
            "Such as: sync amplifier. May be left empty",
            "",
        ),
    ],
    key: 1,
};

static WINDINGS: Shown = Shown {
    at: "/sheet/windings",
    title: "Windings of the sheet",
    list: SheetList::Windings,
    columns: &[
        column("Transformer", "Such as: T1", ""),
        column("Winding", "Such as: primary, plates 1, heaters", ""),
        column(
            "Rating",
            "Such as: 325 V 31 ohm; primary: 117 V 4.1 ohm, idle 0.25 A 9 W",
            "",
        ),
        column("Start", "Such as: V14.4, line a", PLACES),
        column("End", "Such as: chassis, line b", PLACES),
    ],
    key: 2,
};

static PARTS: Shown = Shown {
    at: "/sheet/parts",
    title: "Parts of the sheet",
    list: SheetList::Parts,
    columns: &[
        column("Reference", "Such as: C12", ""),
        column("Kind", "Such as: paper, resistor, electrolytic", KINDS),
        column(
            "Value",
            "Such as: 0.05 mfd 600 V, 22k 1 W, 40 mfd 450 V",
            "",
        ),
        column("From", "Such as: V5.6, B+ main", PLACES),
        column("To", "Such as: chassis, V9.1", PLACES),
        column("Wiper or tap", "Only of controls and tapped parts", PLACES),
    ],
    key: 1,
};

static HEATERS: Shown = Shown {
    at: "/sheet/heaters",
    title: "Heaters of the sheet",
    list: SheetList::Heaters,
    columns: &[
        column("Fed from", "Such as: heater, string top, line a", PLACES),
        column("To", "Such as: chassis, line b", PLACES),
        Column {
            label: "How do the tubes hang on it?",
            such_as: "",
            list: "",
            choices: &[
                ("parallel", "Side by side, as from a transformer"),
                ("series", "One after the other, a string"),
            ],
        },
        column(
            "The tubes",
            "In the order of the string, such as: V15, V14, V9. A resistor of the string is a row of the parts",
            "",
        ),
    ],
    key: 2,
};

/// The lists of `[state]` in words.
const STATES: &[(StateList, &str, &str)] = &[
    (StateList::Replaced, "replaced", "A new part was fitted"),
    (StateList::ReFormed, "re_formed", "Re-formed"),
    (StateList::CutLoose, "cut_loose", "One end is lifted"),
    (StateList::Original, "original", "As the maker fitted it"),
];

/// The routes of these pages.
pub fn routes() -> Router<Arc<Bench>> {
    let mut routes = Router::new();
    for own in [&TUBES, &WINDINGS, &PARTS, &HEATERS] {
        let show = move |State(bench): State<Arc<Bench>>,
                         Query(asked): Query<Vec<(String, String)>>| {
            ask(own, bench, Sent::of(asked))
        };
        let change = move |State(bench): State<Arc<Bench>>, sent: Sent| make(own, bench, sent);
        routes = routes.route(own.at, get(show).post(change));
    }
    routes
}

async fn ask(own: &'static Shown, bench: Arc<Bench>, asked: Sent) -> Response {
    shown(bench, move |bench| {
        let main = match rows_of(bench, own) {
            Ok((sheet, rows)) => match asked.text("row") {
                "" => list(own, bench, &rows, asked.entry("made")),
                _ => form(own, bench, &sheet, row_at(&rows, &asked), None, None),
            },
            Err(own) => pieces::trouble(&own),
        };
        page(own, bench, main)
    })
    .await
}

async fn make(own: &'static Shown, bench: Arc<Bench>, sent: Sent) -> Response {
    let typed = sent.clone();
    entered(
        bench,
        own.at.to_owned(),
        move |bench| {
            let change = change_of(own, &sent)?;
            change_row(
                &sent.entering(bench)?,
                sent.text("sheet"),
                own.list,
                &change,
            )
        },
        move |bench, refused| {
            let main = match rows_of(bench, own) {
                Ok((sheet, rows)) => {
                    let row = match sheet.mark == typed.text("sheet") {
                        true => row_at(&rows, &typed),
                        false => rows
                            .iter()
                            .find(|row| key(own, &row.cells) == typed.text("key")),
                    };
                    form(own, bench, &sheet, row, Some(&refused), Some(&typed))
                }
                Err(own) => pieces::trouble(&own),
            };
            page(own, bench, main)
        },
    )
    .await
}

fn rows_of(bench: &Bench, own: &Shown) -> Result<(PresentSheet, Vec<SheetRow>), Trouble> {
    let sheet = present_sheet(bench.file())?;
    let rows = sheet.rows(own.list)?;
    Ok((sheet, rows))
}

fn row_at<'r>(rows: &'r [SheetRow], asked: &Sent) -> Option<&'r SheetRow> {
    let place: usize = asked.text("row").parse().ok()?;
    rows.get(place)
}

/// What a row is known by when it stands elsewhere in another version.
fn key(own: &Shown, cells: &[String]) -> String {
    let cells: Vec<&str> = cells.iter().take(own.key).map(|own| own.trim()).collect();
    cells.join(" ")
}

fn change_of(own: &Shown, sent: &Sent) -> Result<RowChange, Trouble> {
    let row: Option<usize> = sent.text("row").parse().ok();
    if sent.text("do") == "out" {
        let row = row.ok_or_else(|| {
            Trouble::input(
                "no row was named",
                "choose the row from the list and send it again",
            )
        })?;
        return Ok(RowChange::Out { row });
    }
    let cells = 0..own.columns.len();
    let cells = cells
        .map(|column| sent.owned(&format!("c{column}")))
        .collect();
    let state = (own.list == SheetList::Parts).then(|| {
        let lists = STATES.iter().filter(|(_, name, _)| sent.ticked(name));
        RowState {
            lists: lists.map(|(list, _, _)| *list).collect(),
            measured: sent.owned("measured"),
        }
    });
    Ok(RowChange::Says { row, cells, state })
}

fn page(own: &Shown, bench: &Bench, main: Markup) -> Markup {
    framed(
        bench,
        Page {
            title: own.title,
            at: own.at,
            main,
        },
    )
}

fn list(own: &Shown, bench: &Bench, rows: &[SheetRow], made: Option<u64>) -> Markup {
    let word = own.list.row_word();
    html! {
        (pieces::made(bench, made))
        p { a .button.wide href={ (own.at) "?row=new" } { "Add a " (word) } }
        section #rows data-live="" {
            @if rows.is_empty() { p { "The sheet has none yet." } }
            ul .rows {
                @for row in rows {
                    li { a .row href={ (own.at) "?row=" (row.row) } {
                        b { (called(own, &row.cells)) }
                        span { (behind(own, &row.cells)) }
                        @let said = said_of(&row.state);
                        @if !said.is_empty() { span { (said) } }
                    } }
                }
            }
        }
        p { a .button.wide href="/sheet" { "The whole sheet" } }
    }
}

/// What a row is called; heaters from where to where.
fn called(own: &Shown, cells: &[String]) -> String {
    match (own.list, cells) {
        (SheetList::Heaters, [from, to, ..]) => format!("{} to {}", from.trim(), to.trim()),
        _ => key(own, cells),
    }
}

/// What a row says behind its name.
fn behind(own: &Shown, cells: &[String]) -> String {
    let cells = own.columns.iter().zip(cells).skip(own.key);
    let said = cells.map(|(column, cell)| {
        let chosen = column.choices.iter().find(|(value, _)| value == cell);
        chosen.map_or(cell.trim(), |(_, words)| words)
    });
    let said: Vec<&str> = said.filter(|said| !said.is_empty()).collect();
    said.join(", ")
}

fn said_of(state: &RowState) -> String {
    let listed = STATES
        .iter()
        .filter(|(list, _, _)| state.lists.contains(list));
    let mut said: Vec<String> = listed.map(|(_, _, words)| words.to_lowercase()).collect();
    if !state.measured.is_empty() {
        said.push(format!("measured {}", state.measured));
    }
    said.join("; ")
}

/// One row. `typed` is what was refused with `refused`.
fn form(
    own: &Shown,
    bench: &Bench,
    sheet: &PresentSheet,
    row: Option<&SheetRow>,
    refused: Option<&Trouble>,
    typed: Option<&Sent>,
) -> Markup {
    let place = row.map(|row| row.row);
    let faults = refused.map_or_else(Vec::new, |refused| {
        columns_of_faults(refused, own.list, place)
    });
    let is_newer = typed.is_some_and(|typed| typed.text("sheet") != sheet.mark);
    let now = |column: usize| {
        row.and_then(|row| row.cells.get(column))
            .map_or("", String::as_str)
    };
    let word = own.list.row_word();
    html! {
        @if let Some(refused) = refused { (refusal(refused, &faults)) }
        @match row {
            Some(row) => {
                p .count { "Line " (row.line) " of the sheet" }
                h2 .step { (called(own, &row.cells)) }
                @if own.list == SheetList::Heaters { p { (behind(own, &row.cells)) } }
            },
            None => { h2 .step { "A new " (word) } },
        }
        form method="post" action=(own.at) data-keep="" {
            (hidden(bench))
            (made_from(sheet))
            input type="hidden" name="row" value=(place.map_or_else(|| "new".to_owned(), |place| place.to_string()));
            input type="hidden" name="key" value=(row.map(|row| key(own, &row.cells)).unwrap_or_default());
            @for (at, column) in own.columns.iter().enumerate() {
                @let name = format!("c{at}");
                @let value = typed.map_or(now(at), |typed| typed.text(&name));
                @let own: Vec<&FaultView> = faults.iter().filter(|(place, _)| *place == Some(at)).map(|(_, fault)| fault).collect();
                (cell(column, &name, value, &own, is_newer.then(|| now(at))))
            }
            @if own.list == SheetList::Parts { (state(row, typed)) }
            @if own.list != SheetList::Tubes { (suggested(sheet)) }
            (pieces::send("Take it into the sheet"))
        }
        @if let Some(place) = place {
            details .other {
                summary { "Take this row out of the sheet" }
                form method="post" action=(own.at) data-keep="" {
                    (hidden(bench))
                    (made_from(sheet))
                    input type="hidden" name="row" value=(place);
                    input type="hidden" name="key" value=(key(own, row.map_or(&[], |row| &row.cells)));
                    button .send type="submit" name="do" value="out" { "Take it out" }
                }
            }
        }
        p { a .button.wide href=(own.at) { "Back to the list" } }
    }
}

/// What was refused: faults of a cell stand beside it, all others here.
pub(super) fn refusal<P>(refused: &Trouble, faults: &[(Option<P>, FaultView)]) -> Markup {
    let Trouble::Sheet { .. } = refused else {
        return pieces::trouble(refused);
    };
    let elsewhere = faults.iter().filter(|(place, _)| place.is_none());
    html! {
        div .trouble role="alert" {
            h2 { "Not taken in" }
            @if faults.iter().any(|(place, _)| place.is_some()) { p { "What is wrong stands beside its field." } }
            ul .faults {
                @for (_, fault) in elsewhere {
                    li {
                        @if let Some(line) = fault.line { b { "Line " (line) ": " } }
                        (fault.text)
                        @if !fault.hint.is_empty() { span .hint { (fault.hint) } }
                    }
                }
            }
        }
    }
}

pub(super) fn cell(
    column: &Column,
    name: &str,
    value: &str,
    faults: &[&FaultView],
    now: Option<&str>,
) -> Markup {
    let id = format!("f-{name}");
    let about = format!("about-{name}");
    let list = (!column.list.is_empty()).then_some(column.list);
    if !column.choices.is_empty() {
        return html! {
            (pieces::one_of(name, column.label, value, column.choices))
            @for fault in faults {
                p .beside { b { "✗ " } (fault.text) @if !fault.hint.is_empty() { span .hint { (fault.hint) } } }
            }
            @if let Some(now) = now { p .beside { "Now in the sheet: " b { (if now.is_empty() { "nothing" } else { now }) } } }
        };
    }
    html! {
        div .field {
            label for=(id) { (column.label) }
            input #(id) name=(name) value=(value) type="text" autocomplete="off" autocapitalize="off" spellcheck="false"
                list=[list] aria-describedby=(about) aria-invalid=[(!faults.is_empty()).then_some("true")];
            div #(about) {
                @for fault in faults {
                    p .beside { b { "✗ " } (fault.text) @if !fault.hint.is_empty() { span .hint { (fault.hint) } } }
                }
                @if let Some(now) = now { p .beside { "Now in the sheet: " b { (if now.is_empty() { "nothing" } else { now }) } } }
                p .hint { (column.such_as) }
            }
        }
    }
}

fn state(row: Option<&SheetRow>, typed: Option<&Sent>) -> Markup {
    let now = row.map(|row| row.state.clone()).unwrap_or_default();
    let is = |list: StateList, name: &str| match typed {
        Some(typed) => typed.ticked(name),
        None => now.lists.contains(&list),
    };
    let measured = typed.map_or(now.measured.as_str(), |typed| typed.text("measured"));
    let open = typed.is_some() || !now.lists.is_empty() || !now.measured.is_empty();
    html! {
        details open[open] {
            summary { "How it stands" }
            fieldset .choices {
                legend { "What is so of it" }
                @for (list, name, words) in STATES { (pieces::choice(name, words, is(*list, name))) }
            }
            (pieces::text("measured", "Measured, with its unit", measured, ""))
        }
    }
}

fn suggested(sheet: &PresentSheet) -> Markup {
    let plain = |own: String| (own, String::new());
    let places: Vec<_> = sheet
        .places()
        .unwrap_or_default()
        .into_iter()
        .map(plain)
        .collect();
    let kinds: Vec<_> = part_kinds()
        .into_iter()
        .map(|own| (own.to_owned(), String::new()))
        .collect();
    html! {
        (pieces::suggestions(PLACES, &places))
        (pieces::suggestions(KINDS, &kinds))
    }
}
