//! The sheet on its pages: checked, taken in, never written over; its rows; its stages.

mod asked;

use asked::{Asked, is_in_order, with_a_thousand_faults};
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
    let text = with_a_thousand_faults(&now.text);
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

#[tokio::test]
async fn a_row_of_heaters_is_changed_added_and_taken_out() {
    let bench = Asked::of("whole/merrow_17s.toml");
    for at in [
        "/sheet/heaters",
        "/sheet/heaters?row=0",
        "/sheet/heaters?row=new",
    ] {
        is_in_order(&bench.get(at).await.text);
    }
    assert!(
        bench
            .get("/sheet/heaters")
            .await
            .text
            .contains("One after the other, a string, V15, V14, V9")
    );
    let before = sheet(&bench);
    let rows = before
        .rows(benchwork::SheetList::Heaters)
        .expect("the rows");
    let second = rows.get(1).expect("two rows").cells.clone();
    assert_eq!(second[1..3], ["chassis", "series"]);
    let send = |row: &'static str, cells: [&'static str; 4], mark: &str| {
        let (mark, bench) = (mark.to_owned(), &bench);
        async move {
            let fields = [
                ("sheet", mark.as_str()),
                ("row", row),
                ("c0", cells[0]),
                ("c1", cells[1]),
                ("c2", cells[2]),
                ("c3", cells[3]),
            ];
            bench.post("/sheet/heaters", &fields).await
        }
    };
    // The last tube of the second string moves to the front; nothing else of the text changes.
    let turned = send(
        "1",
        ["tuner heaters", "chassis", "series", "V17, V2, V1"],
        &before.mark,
    )
    .await;
    assert_eq!(turned.status, StatusCode::SEE_OTHER, "{}", turned.text);
    let now = sheet(&bench);
    let is_other = |(was, is): &(&str, &str)| was != is;
    let lines = before.text.lines().zip(now.text.lines());
    let other: Vec<(&str, &str)> = lines.filter(is_other).collect();
    assert_eq!(other.len(), 1, "{other:?}");
    assert!(other[0].1.contains("series = [\"V17\", \"V2\", \"V1\"]"));
    let refused = send(
        "1",
        ["tuner heaters", "chassis", "series", "V17, V2, V99"],
        &now.mark,
    )
    .await;
    assert_eq!(refused.status, StatusCode::UNPROCESSABLE_ENTITY);
    is_in_order(&refused.text);
    let field = refused.text.split("id=\"f-c3\"").nth(1).expect("the field");
    assert!(
        field
            .split("</div>")
            .next()
            .is_some_and(|field| field.contains("aria-invalid=\"true\"") && field.contains("V99")),
        "{field}"
    );
    assert!(refused.text.contains("value=\"V17, V2, V99\""));
    let unsaid = send("new", ["a", "b", "", "V1"], &now.mark).await;
    assert_eq!(unsaid.status, StatusCode::UNPROCESSABLE_ENTITY);
    assert!(unsaid.text.contains("side by side"));
    let out = [("sheet", now.mark.as_str()), ("row", "1"), ("do", "out")];
    let out = bench.post("/sheet/heaters", &out).await;
    assert_eq!(out.status, StatusCode::SEE_OTHER, "{}", out.text);
    let less = sheet(&bench);
    assert!(!less.text.contains("from = \"tuner heaters\""));
    let again = send(
        "new",
        ["tuner heaters", "chassis", "parallel", "V2 V1 V17"],
        &less.mark,
    )
    .await;
    assert_eq!(again.status, StatusCode::SEE_OTHER, "{}", again.text);
    assert!(sheet(&bench).text.contains(
        "{ from = \"tuner heaters\", to = \"chassis\", parallel = [\"V2\", \"V1\", \"V17\"] },"
    ));
}

#[tokio::test]
async fn what_is_on_the_bench_is_changed_begun_and_taken_out() {
    let bench = bench();
    let page = bench.get("/sheet/bench").await;
    is_in_order(&page.text);
    assert!(page.text.contains("value=\"40, 60, 100\""), "{}", page.text);
    let before = sheet(&bench);
    let send = |change: &[(&'static str, &'static str)], mark: &str| {
        let mut fields = vec![("sheet", mark.to_owned())];
        for (key, now) in [
            ("lamps", "40, 60, 100"),
            ("line_volts", ""),
            ("isolation_va", "250"),
            ("variable_transformer", "true"),
            ("meters", "10M, 20k/V"),
            ("dc_source", "0-450 V 20 mA"),
        ] {
            let typed = change.iter().find(|(own, _)| *own == key);
            fields.push((key, typed.map_or(now, |(_, text)| text).to_owned()));
        }
        let bench = &bench;
        async move {
            let fields: Vec<(&str, &str)> = fields
                .iter()
                .map(|(key, own)| (*key, own.as_str()))
                .collect();
            bench.post("/sheet/bench", &fields).await
        }
    };
    let refused = send(
        &[("meters", "10M, a good one"), ("lamps", "40, many")],
        &before.mark,
    )
    .await;
    assert_eq!(refused.status, StatusCode::UNPROCESSABLE_ENTITY);
    is_in_order(&refused.text);
    for (field, kept) in [("lamps", "40, many"), ("meters", "10M, a good one")] {
        let id = format!("id=\"f-{field}\"");
        let own = refused.text.split(&id).nth(1).expect("the field");
        let own = own.split("class=\"hint\">Watts").next().unwrap_or_default();
        assert!(
            own.contains(kept) && own.contains("✗ "),
            "{field}: the fault beside it: {own}"
        );
    }
    assert_eq!(sheet(&bench), before, "nothing is written with a fault");
    let made = send(
        &[
            ("lamps", "40, 60, 100, 150"),
            ("line_volts", "121"),
            ("dc_source", ""),
        ],
        &before.mark,
    )
    .await;
    assert_eq!(made.status, StatusCode::SEE_OTHER, "{}", made.text);
    let now = sheet(&bench);
    assert!(now.text.contains("lamps = [40, 60, 100, 150]"));
    assert!(now.text.contains("line_volts = 121"));
    let own = now.text.split("[bench]").nth(1).expect("the table");
    assert!(!own.contains("dc_source"));
    let comments = |text: &str| text.matches('#').count();
    assert_eq!(comments(&now.text), comments(&before.text), "comments stay");
    let old = send(&[("line_volts", "110")], &before.mark).await;
    assert_eq!(old.status, StatusCode::UNPROCESSABLE_ENTITY);
    assert!(
        old.text.contains("Now in the sheet: <b>121</b>"),
        "{}",
        old.text
    );
}
