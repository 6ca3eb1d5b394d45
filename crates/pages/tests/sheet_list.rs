//! The parts of the sheet as a list for a spreadsheet: taken out, changed, shown, taken in once; faults all at once.

mod asked;

use asked::{Answer, Asked, is_in_order};
use axum::http::StatusCode;
use benchwork::{PresentSheet, SheetList, present_sheet};

const AT: &str = "/sheet/list";

fn bench() -> Asked {
    Asked::of("larkfield_12t.toml")
}

fn sheet(bench: &Asked) -> PresentSheet {
    present_sheet(&bench.file()).expect("a sheet")
}

async fn list(bench: &Asked) -> String {
    let list = bench.get("/sheet/list/parts.csv").await;
    assert_eq!(
        (list.status, list.kind.as_str()),
        (StatusCode::OK, "text/csv; charset=utf-8")
    );
    list.text
}

async fn shows(bench: &Asked, name: &str, bytes: &[u8], remove: bool) -> Answer {
    let fields: &[(&str, &str)] = if remove { &[("remove", "yes")] } else { &[] };
    bench.post_file(AT, fields, ("file", name, bytes)).await
}

/// What a hidden field says of the form that takes the list in.
fn field(page: &str, name: &str) -> String {
    let form = page.split("data-keep=\"\"").nth(1);
    let form = form.expect("the form that takes it in");
    let form = form.split("</form>").next().unwrap_or_default();
    let begin = format!("name=\"{name}\" value=\"");
    let own = form.split(&begin).nth(1).unwrap_or_default();
    let own = own.split('"').next().unwrap_or_default();
    own.replace("&quot;", "\"")
        .replace("&lt;", "<")
        .replace("&gt;", ">")
        .replace("&amp;", "&")
}

/// Sends that form as it stands on the page.
async fn takes(bench: &Asked, page: &str) -> Answer {
    let names = ["once", "seen", "book", "sheet", "called", "list", "remove"];
    let mut fields: Vec<(&str, String)> = names
        .iter()
        .map(|name| (*name, field(page, name)))
        .collect();
    fields.push(("do", "take".to_owned()));
    // A browser sends line ends of two characters (HTML: form submission).
    let fields: Vec<(&str, String)> = fields
        .into_iter()
        .map(|(name, text)| (name, text.replace('\n', "\r\n")))
        .collect();
    let fields: Vec<(&str, &str)> = fields
        .iter()
        .map(|(name, text)| (*name, text.as_str()))
        .filter(|(_, text)| !text.is_empty())
        .collect();
    bench.post_file(AT, &fields, ("file", "", b"")).await
}

fn first_part(bench: &Asked) -> Vec<String> {
    let rows = sheet(bench).rows(SheetList::Parts).expect("rows");
    rows.into_iter()
        .find(|row| row.cells[1] == "resistor")
        .expect("a resistor")
        .cells
}

#[tokio::test]
async fn the_list_is_that_of_the_command_in_both_forms() {
    let bench = bench();
    let page = bench.get(AT).await;
    is_in_order(&page.text);
    let whole = list(&bench).await;
    assert!(
        whole.starts_with(
            "ref,kind,value,from,to,third,replaced,re_formed,cut_loose,original,measured\n"
        ),
        "{whole}"
    );
    let rows = sheet(&bench).rows(SheetList::Parts).expect("rows").len();
    assert_eq!(whole.trim_end().lines().count(), rows + 1);
    assert!(page.text.contains(&format!("<b>{rows}</b> parts.")));
    let other = bench.get("/sheet/list/parts.csv?semicolons=yes").await;
    assert!(other.text.starts_with("ref;kind;value;"), "{}", other.text);
    let shown = shows(&bench, "parts.csv", whole.as_bytes(), false).await;
    assert_eq!(shown.status, StatusCode::OK);
    is_in_order(&shown.text);
    assert!(shown.text.contains("nothing to take in") && !shown.text.contains("value=\"take\""));
}

#[tokio::test]
async fn a_changed_list_is_shown_first_and_taken_in_once() {
    let bench = bench();
    let before = sheet(&bench);
    let part = first_part(&bench);
    let whole = list(&bench).await;
    let line = whole
        .lines()
        .find(|line| line.starts_with(&format!("{},", part[0])))
        .expect("its line");
    let other = line
        .replace(&part[2], "1.5k \"5 W\"")
        .replace("1.5k \"5 W\"", "1.5k 5 W");
    let mut changed = whole.replace(line, &other).replace('\n', "\r\n");
    let at_end = changed.trim_end().len();
    changed.truncate(at_end);
    let changed = changed.replacen("measured", "measured,price", 1)
        + "\r\nR991,resistor,47k <1 W>,B+ main,chassis\r\nR992,resistor,47k,B+ main,chassis\r\n";
    let refused = shows(&bench, "mine.csv", changed.as_bytes(), false).await;
    assert_eq!(
        refused.status,
        StatusCode::UNPROCESSABLE_ENTITY,
        "no value is written so"
    );
    let changed = changed.replace("47k <1 W>", "47k 1 W");
    let shown = shows(&bench, "mine.csv", changed.as_bytes(), false).await;
    assert_eq!(shown.status, StatusCode::OK, "{}", shown.text);
    is_in_order(&shown.text);
    for told in [
        "1 cell changes, 2 parts are new.",
        "1.5k 5 W",
        &part[2],
        "R991",
        "price",
        "mine.csv",
    ] {
        assert!(shown.text.contains(told), "{told}: {}", shown.text);
    }
    assert_eq!(sheet(&bench), before, "showing enters nothing");
    let entries = bench.entries();
    for _ in 0..2 {
        // The second is the same sending again.
        let taken = takes(&bench, &shown.text).await;
        assert_eq!(taken.status, StatusCode::SEE_OTHER, "{}", taken.text);
        assert!(taken.to.starts_with("/sheet/list?made="), "{}", taken.to);
        assert_eq!(bench.get(&taken.to).await.status, StatusCode::OK);
    }
    assert_eq!(bench.entries(), entries + 1);
    let now = sheet(&bench);
    assert!(now.text.contains("\"1.5k 5 W\"") && now.text.contains("\"R991\""));
    let is_changed = |line: &&str| !now.text.contains(*line);
    assert_eq!(
        before.text.lines().filter(is_changed).count(),
        1,
        "one line of the old ones is another"
    );
}

#[tokio::test]
async fn all_faults_are_told_at_once_with_line_and_column_and_nothing_is_taken() {
    let bench = bench();
    let before = sheet(&bench);
    let text = "ref,kind,value,from,to\nR991,resistor,many,B+ main,chassis\nR992,resister,47k,B+ main,chassis\n";
    let refused = shows(&bench, "two.csv", text.as_bytes(), false).await;
    assert_eq!(refused.status, StatusCode::UNPROCESSABLE_ENTITY);
    is_in_order(&refused.text);
    for told in [
        "2 faults in the list",
        "two.csv line 2, column C (value)",
        "two.csv line 3, column B (kind)",
        "many",
        "resister",
    ] {
        assert!(refused.text.contains(told), "{told}: {}", refused.text);
    }
    assert!(!refused.text.contains("value=\"take\""));
    let rows: String = (0..1500)
        .map(|row| format!("R{},resister,47k,a,b\n", 1000 + row))
        .collect();
    let many = shows(
        &bench,
        "many.csv",
        format!("ref,kind,value,from,to\n{rows}").as_bytes(),
        false,
    )
    .await;
    assert!(many.text.contains("1500 faults in the list") && many.text.contains("950 more faults"));
    assert!(many.text.contains("500 faults beyond these"));
    assert_eq!(sheet(&bench), before);
}

#[tokio::test]
async fn what_is_no_list_is_told_in_words() {
    let bench = bench();
    let before = sheet(&bench);
    let large = vec![b'x'; 50 << 20];
    let none = [0xff, 0xfe, b'R', 0, b'1', 0];
    for (name, bytes, told) in [
        ("", b"".as_slice(), "no list came"),
        ("empty.csv", b"".as_slice(), "no list came"),
        (
            "letter.csv",
            b"Dear friend, the set is fine.\n".as_slice(),
            "letter.csv",
        ),
        ("book.xlsx", b"PK\x03\x04 and more".as_slice(), "CSV"),
        ("two-byte.csv", none.as_slice(), "UTF-8"),
        (
            "old.restoration",
            b"SQLite format 3\0 and more".as_slice(),
            "restoration",
        ),
        ("large.csv", large.as_slice(), "larger than the 1 megabyte"),
    ] {
        let refused = shows(&bench, name, bytes, true).await;
        assert_eq!(refused.status, StatusCode::UNPROCESSABLE_ENTITY, "{name}");
        is_in_order(&refused.text);
        assert!(refused.text.contains(told), "{name}: {}", refused.text);
        assert!(
            refused
                .text
                .contains("name=\"remove\" value=\"yes\" checked"),
            "what was chosen stays"
        );
    }
    let plain = bench.post(AT, &[("do", "take")]).await;
    assert_eq!(
        plain.status,
        StatusCode::BAD_REQUEST,
        "a form without parts"
    );
    let unmade = bench
        .post_file(AT, &[("do", "take")], ("file", "", b""))
        .await;
    assert_eq!(unmade.status, StatusCode::UNPROCESSABLE_ENTITY);
    let foreign = bench
        .post_file(
            AT,
            &[("do", "take"), ("book", "another")],
            ("file", "", b""),
        )
        .await;
    assert_eq!(foreign.status, StatusCode::CONFLICT);
    assert_eq!(sheet(&bench), before);
}

#[tokio::test]
async fn a_version_taken_in_meanwhile_is_never_written_over_and_the_list_is_kept() {
    let bench = bench();
    let text = "ref,kind,value,from,to\nR991,resistor,47k,B+ main,chassis\n";
    let shown = shows(&bench, "mine.csv", text.as_bytes(), false).await;
    let mark = sheet(&bench).mark;
    let other = [
        ("sheet", mark.as_str()),
        ("row", "new"),
        ("c0", "R990"),
        ("c1", "resistor"),
        ("c2", "100k"),
        ("c3", "B+ main"),
        ("c4", "chassis"),
    ];
    assert_eq!(
        bench.post("/sheet/parts", &other).await.status,
        StatusCode::SEE_OTHER
    );
    let newer = sheet(&bench);
    let refused = takes(&bench, &shown.text).await;
    assert_eq!(refused.status, StatusCode::UNPROCESSABLE_ENTITY);
    is_in_order(&refused.text);
    assert!(
        refused
            .text
            .contains("another version of the sheet was taken in since")
    );
    assert_eq!(sheet(&bench), newer);
    // The page that comes is of the version that holds now.
    assert_eq!(field(&refused.text, "sheet"), newer.mark);
    assert_eq!(
        takes(&bench, &refused.text).await.status,
        StatusCode::SEE_OTHER
    );
    let now = sheet(&bench).text;
    assert!(now.contains("\"R990\"") && now.contains("\"R991\""));
}

#[tokio::test]
async fn parts_that_the_list_has_not_go_only_where_that_is_chosen() {
    let bench = Asked::of("small/two_rectifiers.toml");
    let whole = list(&bench).await;
    let parts = sheet(&bench).rows(SheetList::Parts).expect("rows");
    let load = parts
        .iter()
        .find(|row| row.cells[1] == "load")
        .expect("a load")
        .cells[0]
        .clone();
    let without: String = whole
        .lines()
        .filter(|line| !line.starts_with(&format!("{load},")))
        .map(|line| format!("{line}\n"))
        .collect();
    let kept = shows(&bench, "less.csv", without.as_bytes(), false).await;
    assert_eq!(kept.status, StatusCode::OK);
    assert!(
        kept.text.contains("and kept in the sheet")
            && kept.text.contains("Show it with these parts taken out")
    );
    assert!(
        !kept.text.contains("value=\"take\""),
        "nothing would change"
    );
    let out = shows(&bench, "less.csv", without.as_bytes(), true).await;
    assert_eq!(out.status, StatusCode::OK, "{}", out.text);
    is_in_order(&out.text);
    assert!(
        out.text.contains("1 part goes.") && out.text.contains("Show it with no part taken out")
    );
    assert_eq!(field(&out.text, "remove"), "yes");
    // The second form of the page shows the list the other way, without the file.
    let again = bench
        .post_file(
            AT,
            &[("called", "less.csv"), ("list", &without), ("do", "show")],
            ("file", "", b""),
        )
        .await;
    assert!(
        again.text.contains("and kept in the sheet"),
        "{}",
        again.text
    );
    let taken = takes(&bench, &out.text).await;
    assert_eq!(taken.status, StatusCode::SEE_OTHER, "{}", taken.text);
    let left = sheet(&bench).rows(SheetList::Parts).expect("rows");
    assert_eq!(left.len() + 1, parts.len());
    assert!(left.iter().all(|row| row.cells[0] != load));
}
