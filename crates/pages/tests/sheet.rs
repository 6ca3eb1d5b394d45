//! The sheet on its pages: checked, taken in, never written over; its rows; its stages.

mod asked;

use asked::{Asked, is_in_order};
use axum::http::StatusCode;
use benchwork::{PresentSheet, present_sheet};

fn bench() -> Asked {
    Asked::of("larkfield_12t.toml")
}

fn sheet(bench: &Asked) -> PresentSheet {
    present_sheet(&bench.file()).expect("a sheet")
}

#[tokio::test]
async fn the_text_is_shown_checked_and_taken_in() {
    let bench = bench();
    let now = sheet(&bench);
    let page = bench.get("/sheet").await;
    is_in_order(&page.text);
    assert!(
        page.text.contains("Larkfield 12T: an invented"),
        "comments stay"
    );
    let text = now
        .text
        .replace("\"sync amplifier\"", "\"sync amplifier, first half\"");
    let checked = bench
        .post(
            "/sheet",
            &[("text", &text), ("sheet", &now.mark), ("do", "check")],
        )
        .await;
    assert_eq!(checked.status, StatusCode::OK);
    assert!(checked.text.contains("No fault."));
    assert_eq!(sheet(&bench), now, "checking enters nothing");
    // A browser sends line ends of two characters (HTML: form submission).
    let sent = text.replace('\n', "\r\n");
    let made = bench
        .post(
            "/sheet",
            &[("text", &sent), ("sheet", &now.mark), ("do", "take")],
        )
        .await;
    assert_eq!(made.status, StatusCode::SEE_OTHER, "{}", made.text);
    assert_eq!(sheet(&bench).text, text);
    assert!(
        bench.last().contains("larkfield_12t.toml"),
        "it bears the name it had"
    );
}

#[tokio::test]
async fn a_fault_is_marked_in_its_place_and_nothing_is_taken_in() {
    let bench = bench();
    let now = sheet(&bench);
    let text = now.text.replace("\"6AC7\"", "\"6QQ7\"");
    let refused = bench
        .post(
            "/sheet",
            &[("text", &text), ("sheet", &now.mark), ("do", "take")],
        )
        .await;
    assert_eq!(refused.status, StatusCode::UNPROCESSABLE_ENTITY);
    is_in_order(&refused.text);
    assert!(refused.text.contains("6QQ7"));
    assert!(
        refused.text.contains("▲ here"),
        "a mark stands under the column"
    );
    assert!(refused.text.contains("data-line="), "a button leads there");
    assert_eq!(sheet(&bench), now);
}

#[tokio::test]
async fn of_a_thousand_faults_fifty_are_shown_and_all_when_asked_for() {
    let bench = bench();
    let now = sheet(&bench);
    let rows: String = (0..1000)
        .map(|row| format!("  [\"V{}\", \"6QQ7\", \"\"],\n", 100 + row))
        .collect();
    let text = now
        .text
        .replacen("tubes = [\n", &format!("tubes = [\n{rows}"), 1);
    let send = |act: &'static str| {
        let (text, mark, bench) = (text.clone(), now.mark.clone(), &bench);
        async move {
            let fields = [
                ("text", text.as_str()),
                ("sheet", mark.as_str()),
                ("do", act),
            ];
            bench.post("/sheet", &fields).await.text
        }
    };
    let first = send("check").await;
    assert_eq!(first.matches("▲ here").count(), 50);
    assert!(first.contains("950 more"), "the rest is counted");
    assert_eq!(send("check-all").await.matches("▲ here").count(), 1000);
}

#[tokio::test]
async fn a_version_taken_in_meanwhile_is_never_written_over() {
    let bench = bench();
    let now = sheet(&bench);
    let one = now
        .text
        .replace("\"sync amplifier\"", "\"first of the two\"");
    let other = now
        .text
        .replace("\"sync amplifier\"", "\"second of the two\"");
    let mark = now.mark.as_str();
    let first = bench
        .post("/sheet", &[("text", &one), ("sheet", mark), ("do", "take")])
        .await;
    assert_eq!(first.status, StatusCode::SEE_OTHER);
    let second = bench
        .post(
            "/sheet",
            &[("text", &other), ("sheet", mark), ("do", "take")],
        )
        .await;
    assert_eq!(second.status, StatusCode::UNPROCESSABLE_ENTITY);
    is_in_order(&second.text);
    assert!(second.text.contains("first of the two") && second.text.contains("second of the two"));
    assert_eq!(sheet(&bench).text, one);
    let newer = sheet(&bench).mark;
    let chosen = bench
        .post(
            "/sheet",
            &[("text", &other), ("sheet", &newer), ("do", "take")],
        )
        .await;
    assert_eq!(
        chosen.status,
        StatusCode::SEE_OTHER,
        "he may choose his own"
    );
    assert_eq!(sheet(&bench).text, other);
}

#[tokio::test]
async fn a_row_is_changed_added_and_taken_out_and_the_rest_stays() {
    let bench = bench();
    for at in ["/sheet/tubes", "/sheet/windings", "/sheet/parts"] {
        is_in_order(&bench.get(at).await.text);
        is_in_order(&bench.get(&format!("{at}?row=0")).await.text);
        is_in_order(&bench.get(&format!("{at}?row=new")).await.text);
    }
    let before = sheet(&bench);
    let fields = [
        ("sheet", before.mark.as_str()),
        ("row", "8"),
        ("c0", "V9"),
        ("c1", "6AU6"),
        ("c2", "sync"),
    ];
    let made = bench.post("/sheet/tubes", &fields).await;
    assert_eq!(made.status, StatusCode::SEE_OTHER, "{}", made.text);
    let after = sheet(&bench);
    let differing = before
        .text
        .lines()
        .zip(after.text.lines())
        .filter(|(was, is)| was != is);
    assert_eq!(differing.count(), 1, "one line changed");
    assert!(after.text.contains("[\"V9\",  \"6AU6\",    \"sync\"]"));
    let fields = [
        ("sheet", after.mark.as_str()),
        ("row", "new"),
        ("c0", "R99"),
        ("c1", "resistor"),
        ("c2", "100k"),
        ("c3", "B+ main"),
        ("c4", "chassis"),
        ("cut_loose", "yes"),
    ];
    let made = bench.post("/sheet/parts", &fields).await;
    assert_eq!(made.status, StatusCode::SEE_OTHER, "{}", made.text);
    let added = sheet(&bench);
    let rows = added.rows(benchwork::SheetList::Parts).expect("rows");
    let row = rows
        .iter()
        .find(|row| row.cells[0] == "R99")
        .expect("the new row");
    assert_eq!(row.state.lists, [benchwork::StateList::CutLoose]);
    let place = row.row.to_string();
    let fields = [
        ("sheet", added.mark.as_str()),
        ("row", place.as_str()),
        ("do", "out"),
    ];
    let made = bench.post("/sheet/parts", &fields).await;
    assert_eq!(made.status, StatusCode::SEE_OTHER, "{}", made.text);
    assert!(!sheet(&bench).text.contains("R99"));
}

#[tokio::test]
async fn a_fault_of_a_row_stands_beside_its_field() {
    let bench = bench();
    let before = sheet(&bench);
    let fields = [
        ("sheet", before.mark.as_str()),
        ("row", "8"),
        ("c0", "V9"),
        ("c1", "6QQ7"),
        ("c2", "kept words"),
    ];
    let refused = bench.post("/sheet/tubes", &fields).await;
    assert_eq!(refused.status, StatusCode::UNPROCESSABLE_ENTITY);
    is_in_order(&refused.text);
    assert!(refused.text.contains("kept words"));
    let field = refused.text.split("id=\"f-c1\"").nth(1).expect("the field");
    let field = field.split("id=\"f-c2\"").next().unwrap_or_default();
    assert!(
        field.contains("aria-invalid=\"true\"") && field.contains("✗ "),
        "{field}"
    );
    assert_eq!(sheet(&bench), before);
}

#[tokio::test]
async fn a_row_of_an_older_version_changes_nothing_and_shows_what_holds_now() {
    let bench = bench();
    let before = sheet(&bench);
    let change = |job: &'static str, mark: &str| {
        let (mark, bench) = (mark.to_owned(), &bench);
        async move {
            let fields = [
                ("sheet", mark.as_str()),
                ("row", "8"),
                ("key", "V9"),
                ("c0", "V9"),
                ("c1", "6AU6"),
                ("c2", job),
            ];
            bench.post("/sheet/tubes", &fields).await
        }
    };
    assert_eq!(
        change("one", &before.mark).await.status,
        StatusCode::SEE_OTHER
    );
    let refused = change("two", &before.mark).await;
    assert_eq!(refused.status, StatusCode::UNPROCESSABLE_ENTITY);
    assert!(refused.text.contains("Now in the sheet: <b>one</b>"));
    assert!(refused.text.contains("value=\"two\""));
    let now = sheet(&bench);
    assert!(now.text.contains("\"one\"") && !now.text.contains("\"two\""));
    assert_eq!(change("two", &now.mark).await.status, StatusCode::SEE_OTHER);
}

#[tokio::test]
async fn a_stage_asks_one_question_after_the_other_and_is_taken_in() {
    let bench = bench();
    let list = bench.get("/sheet/stages").await;
    is_in_order(&list.text);
    let pattern = list
        .text
        .split("href=\"/sheet/stages/")
        .nth(1)
        .expect("a pattern");
    let pattern = pattern.split('"').next().unwrap_or_default().to_owned();
    let at = format!("/sheet/stages/{pattern}");
    let first = bench.get(&at).await;
    is_in_order(&first.text);
    assert!(first.text.contains("Question 1 of"));
    let second = bench.get(&format!("{at}?a=")).await;
    assert!(second.text.contains("Question 2 of") || second.text.contains("role=\"alert\""));
    let none = bench
        .post(&at, &[("sheet", sheet(&bench).mark.as_str())])
        .await;
    assert_eq!(
        none.status,
        StatusCode::UNPROCESSABLE_ENTITY,
        "no answer makes no line"
    );
    assert_eq!(
        bench.get("/sheet/stages/nothing").await.status,
        StatusCode::OK
    );
}
