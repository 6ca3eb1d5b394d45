//! A restoration begun on the pages: in each way, with faults, and with somebody else before.

mod asked;

use asked::{Answer, Asked, example, is_in_order, now};
use axum::http::StatusCode;
use benchwork::{
    Decided, Entering, export_restoration, note_decided, present_sheet, read_sheet_file,
    start_restoration, tell_practice,
};
use pages::{Bench, Opening};

const ONCE: (&str, &str) = ("once", "begun-on-the-first-page");

async fn sends(bench: &Asked, fields: &[(&str, &str)], file: Option<(&str, &[u8])>) -> Answer {
    let file = file.map_or(("sheet", "", b"".as_slice()), |(name, bytes)| {
        ("sheet", name, bytes)
    });
    bench.post_file("/begin", fields, file).await
}

/// Begins, and the same sending comes once more.
async fn begins_and_comes_again(bench: &Asked, fields: &[(&str, &str)]) {
    for _ in 0..2 {
        let made = sends(bench, fields, None).await;
        assert_eq!(
            (made.status, made.to.as_str()),
            (StatusCode::SEE_OTHER, "/"),
            "{}",
            made.text
        );
    }
}

fn sheet() -> String {
    std::fs::read_to_string(example("larkfield_12t.toml")).expect("a sheet")
}

#[tokio::test]
async fn until_it_is_begun_every_address_leads_to_the_beginning() {
    let bench = Asked::to_begin();
    for at in ["/", "/all", "/sheet", "/no-such-page"] {
        let answer = bench.get(at).await;
        assert_eq!(
            (answer.status, answer.to.as_str()),
            (StatusCode::SEE_OTHER, "/begin")
        );
    }
    let refused = bench
        .post("/readings", &[("place", "line"), ("value", "117 V")])
        .await;
    assert_eq!(refused.status, StatusCode::CONFLICT);
    for at in [
        "/begin",
        "/begin?how=empty",
        "/begin?how=text",
        "/begin?how=file",
        "/begin?how=practice",
        "/begin?how=folder",
        "/devices",
    ] {
        let page = bench.get(at).await;
        assert_eq!(page.status, StatusCode::OK, "{at}");
        is_in_order(&page.text);
    }
    assert!(!bench.file().exists(), "looking writes nothing");
}

#[tokio::test]
async fn with_a_name_and_the_line_the_same_server_goes_on_with_every_page() {
    let bench = Asked::to_begin();
    let refused = sends(
        &bench,
        &[("how", "empty"), ("name", "Merrow 17S"), ("volts", "many")],
        None,
    )
    .await;
    assert_eq!(refused.status, StatusCode::UNPROCESSABLE_ENTITY);
    is_in_order(&refused.text);
    for kept in [
        "value=\"Merrow 17S\"",
        "value=\"many\"",
        "`many` is no number",
        "line hertz: nothing was typed",
    ] {
        assert!(refused.text.contains(kept), "{kept}: {}", refused.text);
    }
    assert!(!bench.file().exists(), "nothing is written with a fault");
    let fields = [
        ONCE,
        ("how", "empty"),
        ("name", "Merrow 17S"),
        ("volts", "117 V"),
        ("hertz", "60"),
    ];
    begins_and_comes_again(&bench, &fields).await;
    assert_eq!(bench.entries(), 1);
    assert!(bench.get("/").await.text.contains("Merrow 17S"));
    let row = [
        (
            "sheet",
            present_sheet(&bench.file()).expect("a sheet").mark.clone(),
        ),
        ("row", "new".to_owned()),
        ("c0", "V1".to_owned()),
        ("c1", "6AU6".to_owned()),
    ];
    let row: Vec<(&str, &str)> = row
        .iter()
        .map(|(name, own)| (*name, own.as_str()))
        .collect();
    let added = bench.post("/sheet/tubes", &row).await;
    assert_eq!(added.status, StatusCode::SEE_OTHER, "{}", added.text);
    let text = present_sheet(&bench.file()).expect("a sheet").text;
    assert!(text.contains("[\"V1\", \"6AU6\"]"), "{text}");
    let again = bench.get("/begin?how=text").await;
    assert!(
        again.text.contains("Merrow 17S is begun"),
        "an open page is told"
    );
}

#[tokio::test]
async fn a_text_with_faults_shows_them_in_place_and_keeps_every_letter() {
    let bench = Asked::to_begin();
    let wrong = sheet().replace("\"6AC7\"", "\"6QQ7\"");
    let fields = [
        ("how", "text"),
        ("text", wrong.as_str()),
        ("name", "My own"),
        ("do", "begin"),
    ];
    let refused = sends(&bench, &fields, None).await;
    assert_eq!(refused.status, StatusCode::UNPROCESSABLE_ENTITY);
    is_in_order(&refused.text);
    assert!(refused.text.contains("▲ here") && refused.text.contains("data-line="));
    assert!(refused.text.contains("value=\"My own\""));
    assert!(!bench.file().exists());
    let right = sheet();
    let checked = [
        ("how", "text"),
        ("text", right.as_str()),
        ("do", "check"),
        ("name", "My own"),
    ];
    let checked = sends(&bench, &checked, None).await;
    assert_eq!(checked.status, StatusCode::OK);
    assert!(checked.text.contains("No fault."));
    assert!(!bench.file().exists(), "checking begins nothing");
    let fields = [
        ("how", "text"),
        ("text", right.as_str()),
        ("name", "My own"),
    ];
    let made = sends(&bench, &fields, None).await;
    assert_eq!(made.status, StatusCode::SEE_OTHER, "{}", made.text);
    assert!(bench.get("/").await.text.contains("My own"));
    assert_eq!(present_sheet(&bench.file()).expect("a sheet").text, right);
}

#[tokio::test]
async fn a_file_with_faults_comes_back_as_a_text_to_correct() {
    let bench = Asked::to_begin();
    let none = sends(&bench, &[("how", "file")], None).await;
    assert_eq!(none.status, StatusCode::UNPROCESSABLE_ENTITY);
    assert!(none.text.contains("no file came"));
    let other = sends(
        &bench,
        &[("how", "file")],
        Some(("old.restoration", b"SQLite format 3\0 and more")),
    )
    .await;
    assert!(
        other.text.contains("a restoration&#39;s file")
            || other.text.contains("a restoration's file"),
        "{}",
        other.text
    );
    let wrong = sheet().replace("\"6AC7\"", "\"6QQ7\"");
    let refused = sends(
        &bench,
        &[("how", "file")],
        Some(("found.toml", wrong.as_bytes())),
    )
    .await;
    assert_eq!(refused.status, StatusCode::UNPROCESSABLE_ENTITY);
    is_in_order(&refused.text);
    assert!(refused.text.contains("▲ here") && refused.text.contains("id=\"sheet-text\""));
    assert!(
        refused.text.contains("value=\"found.toml\""),
        "its name goes along"
    );
    assert!(refused.text.contains("name=\"how\" value=\"text\""));
    assert!(!bench.file().exists());
    let large = vec![b' '; 9 << 20];
    let large = sends(&bench, &[("how", "file")], Some(("large.toml", &large))).await;
    assert_eq!(large.status, StatusCode::UNPROCESSABLE_ENTITY);
    assert!(large.text.contains("8 megabytes"));
    let right = sheet();
    let made = sends(
        &bench,
        &[("how", "file")],
        Some(("found.toml", right.as_bytes())),
    )
    .await;
    assert_eq!(made.status, StatusCode::SEE_OTHER, "{}", made.text);
    assert!(bench.last().contains("found.toml"), "{}", bench.last());
}

#[tokio::test]
async fn a_file_that_somebody_made_meanwhile_is_told_and_stays() {
    let bench = Asked::to_begin();
    let own = read_sheet_file(&example("larkfield_12t.toml")).expect("a sheet");
    start_restoration(
        &Entering::new(&bench.file(), now()),
        &own,
        Some("Of the other"),
    )
    .expect("begun");
    let fields = [
        ("how", "empty"),
        ("name", "Mine"),
        ("volts", "117"),
        ("hertz", "60"),
    ];
    let refused = sends(&bench, &fields, None).await;
    assert_eq!(refused.status, StatusCode::UNPROCESSABLE_ENTITY);
    assert!(refused.text.contains("Somebody else made") && refused.text.contains("value=\"Mine\""));
    assert_eq!(bench.entries(), 1);
    let opened = bench.post("/begin/open", &[]).await;
    assert_eq!(opened.status, StatusCode::SEE_OTHER, "{}", opened.text);
    assert!(bench.get("/").await.text.contains("Of the other"));
}

#[tokio::test]
async fn what_is_no_restoration_is_told_and_nothing_is_opened() {
    let bench = Asked::to_begin();
    std::fs::write(bench.file(), "a letter").expect("written");
    let refused = bench.post("/begin/open", &[]).await;
    assert_eq!(refused.status, StatusCode::UNPROCESSABLE_ENTITY);
    assert_eq!(
        std::fs::read(bench.file()).expect("still there"),
        b"a letter"
    );
    let opening = |file: std::path::PathBuf| Opening {
        file,
        clock: std::sync::Arc::new(|| Ok(now())),
        sound: std::sync::Arc::new(|| {}),
        tables: pages::OwnTables::default(),
    };
    assert!(
        Bench::open(opening(bench.file())).is_err(),
        "a file of another kind"
    );
    let far = bench
        .file()
        .with_file_name("no folder")
        .join("a.restoration");
    let told = Bench::open(opening(far)).err().expect("a refusal");
    assert!(told.to_string().contains("folder is not there"), "{told}");
}

#[tokio::test]
async fn a_practice_is_begun_with_the_number_that_was_typed() {
    let bench = Asked::to_begin();
    for typed in ["", "seven", "0", "1000001", "-1"] {
        let refused = sends(
            &bench,
            &[("how", "practice"), ("set", "merrow"), ("number", typed)],
            None,
        )
        .await;
        assert_eq!(
            refused.status,
            StatusCode::UNPROCESSABLE_ENTITY,
            "`{typed}`"
        );
        is_in_order(&refused.text);
        assert!(refused.text.contains("value=\"merrow\" checked"));
        assert!(!bench.file().exists());
    }
    let fields = [
        ONCE,
        ("how", "practice"),
        ("set", "merrow"),
        ("number", "3"),
        ("faults", "1"),
    ];
    let made = sends(&bench, &fields, None).await;
    assert_eq!(
        (made.status, made.to.as_str()),
        (StatusCode::SEE_OTHER, "/practice"),
        "{}",
        made.text
    );
    let told = tell_practice(&bench.file()).expect("a practice");
    assert!(told.practice.contains("Merrow"), "{}", told.practice);
    assert_eq!(told.hidden_faults, 1);
    let page = bench.get("/practice").await;
    assert!(page.text.contains("One fault is hidden"));
}

/// A restoration of another folder, written out as readable files there.
fn written_out() -> (tempfile::TempDir, String) {
    let own = tempfile::tempdir().expect("a folder");
    let (file, out) = (own.path().join("old.restoration"), own.path().join("out"));
    let sheet = read_sheet_file(&example("larkfield_12t.toml")).expect("a sheet");
    let entering = Entering::new(&file, now());
    start_restoration(&entering, &sheet, Some("Of the attic")).expect("begun");
    let decided = Decided {
        what: "keep the knobs".to_owned(),
        because: "they are whole".to_owned(),
    };
    note_decided(&entering, decided).expect("it is noted");
    export_restoration(&file, &out).expect("written out");
    let out = out.display().to_string();
    (own, out)
}

#[tokio::test]
async fn what_was_written_out_is_taken_back_once_and_the_pages_go_on() {
    let bench = Asked::to_begin();
    let (_old, folder) = written_out();
    let fields = [ONCE, ("how", "folder"), ("folder", folder.as_str())];
    begins_and_comes_again(&bench, &fields).await;
    assert_eq!(bench.entries(), 2);
    assert!(bench.last().contains("keep the knobs"));
    assert!(bench.get("/").await.text.contains("Of the attic"));
    let fields = [
        ("once", "another-form"),
        ("how", "folder"),
        ("folder", folder.as_str()),
    ];
    let again = sends(&bench, &fields, None).await;
    assert_eq!(again.status, StatusCode::UNPROCESSABLE_ENTITY);
    assert!(
        again.text.contains("Of the attic is begun"),
        "{}",
        again.text
    );
    assert_eq!(bench.entries(), 2);
}

#[tokio::test]
async fn a_folder_that_does_not_fit_together_is_told_at_once_and_nothing_is_written() {
    let bench = Asked::to_begin();
    let (_old, folder) = written_out();
    for (typed, told) in [
        ("", "no folder is named"),
        ("out", "`out` is no whole path"),
        ("/no/such/folder", "no such file"),
    ] {
        let refused = sends(&bench, &[("how", "folder"), ("folder", typed)], None).await;
        assert_eq!(
            refused.status,
            StatusCode::UNPROCESSABLE_ENTITY,
            "`{typed}`"
        );
        is_in_order(&refused.text);
        assert!(refused.text.contains(told), "{told}: {}", refused.text);
        assert!(
            refused.text.contains(&format!("value=\"{typed}\"")),
            "what was typed stays"
        );
    }
    let story = format!("{folder}/story.txt");
    let text = std::fs::read_to_string(&story).expect("the story");
    let spoiled = text.replace("kind: ", "kind: un");
    std::fs::write(&story, spoiled).expect("written");
    let fields = [("how", "folder"), ("folder", folder.as_str())];
    let in_the_story = sends(&bench, &fields, None).await;
    std::fs::write(&story, text).expect("written");
    let sheets = std::fs::read_dir(format!("{folder}/sheets")).expect("the sheets");
    for sheet in sheets.flatten() {
        std::fs::remove_file(sheet.path()).expect("it is lost");
    }
    std::fs::write(format!("{folder}/sheets/another.toml"), "sheet = 1").expect("written");
    let in_the_files = sends(&bench, &fields, None).await;
    for (refused, all) in [
        (&in_the_story, ["unsheet taken", "undecided"]),
        (
            &in_the_files,
            ["another.toml", "is not there, or was changed"],
        ),
    ] {
        assert_eq!(refused.status, StatusCode::UNPROCESSABLE_ENTITY);
        is_in_order(&refused.text);
        for told in all {
            assert!(refused.text.contains(told), "{told}: {}", refused.text);
        }
    }
    assert!(!bench.file().exists(), "nothing is half written");
    let page = bench.get("/begin").await;
    assert!(!page.text.contains("set.restoration is begun"));
}

#[tokio::test]
async fn what_was_written_out_goes_over_no_file_that_somebody_made_meanwhile() {
    let bench = Asked::to_begin();
    let (_old, folder) = written_out();
    std::fs::write(bench.file(), "a letter").expect("written");
    let refused = sends(&bench, &[("how", "folder"), ("folder", &folder)], None).await;
    assert_eq!(refused.status, StatusCode::UNPROCESSABLE_ENTITY);
    assert!(
        refused.text.contains("Somebody else made"),
        "{}",
        refused.text
    );
    let kept = std::fs::read(bench.file()).expect("still there");
    assert_eq!(kept, b"a letter");
}
