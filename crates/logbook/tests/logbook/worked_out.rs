//! What was worked out is kept beside the facts, within bounds, and is never one of them.

use logbook::{Logbook, MOST_KEPT, PlainStory, export, import};

use crate::tried::whole_book;

#[test]
fn an_answer_is_found_under_what_it_rests_on_and_nothing_else() {
    let folder = tempfile::tempdir().expect("a folder");
    let mut book = whole_book(&folder.path().join("a.restoration"));
    assert_eq!(book.worked_out("sheet 1, 117 V"), Ok(None));
    let answer = vec![0, 255, 7];
    book.keep_worked_out("sheet 1, 117 V", &answer)
        .expect("kept");
    assert_eq!(book.worked_out("sheet 1, 117 V"), Ok(Some(answer)));
    assert_eq!(book.worked_out("sheet 2, 117 V"), Ok(None));
    book.keep_worked_out("sheet 1, 117 V", b"anew")
        .expect("kept");
    assert_eq!(
        book.worked_out("sheet 1, 117 V"),
        Ok(Some(b"anew".to_vec()))
    );
}

#[test]
fn only_the_newest_stay() {
    let folder = tempfile::tempdir().expect("a folder");
    let path = folder.path().join("a.restoration");
    let mut book = Logbook::start(&path, "Larkfield 12T").expect("starts");
    for number in 0..MOST_KEPT + 5 {
        book.keep_worked_out(&format!("question {number}"), &[1])
            .expect("kept");
    }
    let kept = (0..MOST_KEPT + 5)
        .filter(|number| {
            let found = book.worked_out(&format!("question {number}"));
            found.expect("read").is_some()
        })
        .collect::<Vec<_>>();
    assert_eq!(kept, (5..MOST_KEPT + 5).collect::<Vec<_>>());
    let too_large = vec![0; logbook::LARGEST_ANSWER + 1];
    book.keep_worked_out("large", &too_large).expect("left out");
    assert_eq!(book.worked_out("large"), Ok(None));
}

#[test]
fn neither_story_nor_export_tells_of_it() {
    let folder = tempfile::tempdir().expect("a folder");
    let mut book = whole_book(&folder.path().join("a.restoration"));
    let story = |book: &Logbook| {
        let name = book.name().expect("read");
        let entries = book.entries().expect("read");
        PlainStory { name, entries }.to_text()
    };
    let before = story(&book);
    book.keep_worked_out("a question", b"an answer")
        .expect("kept");
    assert_eq!(story(&book), before);
    let out = folder.path().join("out");
    export(&book, &out).expect("written");
    let back = folder.path().join("b.restoration");
    import(&out, &back).expect("read back");
    let back = Logbook::look(&back).expect("opens");
    assert_eq!(story(&back), before);
    assert_eq!(back.worked_out("a question"), Ok(None));
    let copy = folder.path().join("c.restoration");
    book.back_up(&copy).expect("copied");
    assert_eq!(story(&Logbook::look(&copy).expect("opens")), before);
}
