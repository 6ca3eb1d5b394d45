//! The pages of the report and of keeping: previews and downloads are what the commands write.

mod asked;

use asked::{Asked, is_in_order};
use axum::http::StatusCode;
use benchwork::{Entering, Fitted, import_restoration, record_fitted};

/// A capacitor is replaced.
fn replaced(set: &Asked) {
    let file = set.file();
    let fitted = Fitted {
        part: "C50".to_owned(),
        old: "0.01 mfd".to_owned(),
        new: "0.01 mfd 630 V film".to_owned(),
        ..Fitted::default()
    };
    record_fitted(&Entering::new(&file, asked::now()), fitted).expect("an entry");
}

#[tokio::test]
async fn the_report_is_previewed_and_downloaded() {
    let set = Asked::of("whole/larkfield_12t.toml");
    let none = set.get("/later/report?by=&paper=a4").await;
    assert!(none.text.contains("there is no work to hand on yet"));
    replaced(&set);
    let page = set.get("/report?by=Ada&paper=letter").await;
    assert_eq!(page.status, StatusCode::OK);
    is_in_order(&page.text);
    assert!(
        page.text
            .contains("data-later=\"/later/report?by=Ada&amp;paper=letter\"")
    );
    assert!(page.text.contains("value=\"Ada\""));
    let ready = set.get("/later/report?by=Ada&paper=letter").await;
    is_in_order(&ready.text);
    assert!(ready.text.contains("<iframe"), "{}", ready.text);
    assert!(
        ready
            .text
            .contains("href=\"/report/report.pdf?by=Ada&amp;paper=letter\"")
    );
    let preview = set.get("/report/page?by=Ada&paper=letter").await;
    assert!(preview.kind.starts_with("text/html"));
    // The preview runs nothing and asks nobody.
    assert!(preview.policy.starts_with("default-src 'none'"));
    assert!(!preview.policy.contains("script-src"));
    assert!(preview.policy.contains("frame-ancestors 'self'"));
    assert!(preview.text.contains("Ada") && preview.text.contains("this set can kill"));
    let html = set.get("/report/report.html?by=Ada&paper=letter").await;
    assert_eq!(html.bytes, preview.bytes);
    let pdf = set.get("/report/report.pdf?by=Ada&paper=letter").await;
    assert_eq!(pdf.kind, "application/pdf");
    // ISO 32000-1, 7.5.2: a PDF begins so.
    assert!(pdf.bytes.starts_with(b"%PDF-"));
    let other = set.get("/report/page?by=Bert&paper=a4").await;
    assert!(other.text.contains("Bert") && !other.text.contains("Ada"));
}

#[tokio::test]
async fn labels_are_downloaded_where_something_was_replaced() {
    let set = Asked::of("whole/larkfield_12t.toml");
    let none = set.get("/report/labels.pdf").await;
    assert_eq!(none.status, StatusCode::UNPROCESSABLE_ENTITY);
    assert!(none.text.contains("role=\"alert\""));
    replaced(&set);
    let labels = set.get("/report/labels.pdf?paper=a4").await;
    assert_eq!(labels.status, StatusCode::OK, "{}", labels.text);
    assert!(labels.bytes.starts_with(b"%PDF-"));
}

#[tokio::test]
async fn a_copy_is_a_whole_restoration_and_the_folder_reads_back() {
    let set = Asked::of("whole/larkfield_12t.toml");
    is_in_order(&set.get("/keep").await.text);
    let copy = set.get("/keep/copy.restoration").await;
    assert_eq!(copy.kind, "application/octet-stream");
    let folder = tempfile::tempdir().expect("a folder");
    let file = folder.path().join("copy.restoration");
    std::fs::write(&file, &copy.bytes).expect("a file");
    let story = benchwork::tell_story(&file, true).expect("a story");
    assert_eq!(story.entered, set.entries());
    let out = folder.path().join("out");
    let out = out.to_str().expect("a path");
    let done = set.post("/keep/export", &[("folder", out)]).await;
    assert_eq!(done.status, StatusCode::OK, "{}", done.text);
    assert!(done.text.contains("Written"));
    let back = folder.path().join("back.restoration");
    let kept = import_restoration(std::path::Path::new(out), &back).expect("read back");
    assert_eq!(kept.entries, set.entries());
    // A folder that has something in it is refused, with what was typed.
    let refused = set.post("/keep/export", &[("folder", out)]).await;
    assert_eq!(refused.status, StatusCode::UNPROCESSABLE_ENTITY);
    assert!(refused.text.contains(&format!("value=\"{out}\"")));
}
