//! Words that no sheet knows are told before anything is solved.
//!
//! The set is the invented one of the demo. The work is given up at the first thing it comes to, so that whatever is
//! told was told before it.

use benchwork::{
    EXAMPLE_NAME, EXAMPLE_SHEET, Entering, LongWork, SheetFile, Stamp, Trouble, explain_suspect,
    start_restoration, tell_what_if,
};

#[test]
fn a_wrong_word_costs_no_solving() {
    let folder = tempfile::tempdir().expect("a folder");
    let file = folder.path().join("a.restoration");
    let at = Stamp::read("2026-11-29T08:49:51+01:00").expect("a time");
    let sheet = SheetFile::in_memory(EXAMPLE_NAME, EXAMPLE_SHEET);
    start_restoration(&Entering::new(&file, at), &sheet, None).expect("started");
    let work = LongWork::told_to(&|_| false);
    let what_if = |part: &str, fault: Option<&str>| match tell_what_if(&file, part, fault, work) {
        Err(Trouble::Left) => "left".to_owned(),
        Err(Trouble::Input { faults }) => format!("{}: {}", faults[0].text, faults[0].hint),
        other => panic!("{other:?}"),
    };
    let unknown = what_if("C999", None);
    assert!(unknown.contains("`C999` is no part"), "{unknown}");
    let wrong = what_if("C4A", Some("fell off"));
    assert!(wrong.contains("`fell off` is no fault of C4A"), "{wrong}");
    assert!(wrong.contains("say one of: low capacitance"), "{wrong}");
    // Words that go come to the solving.
    assert_eq!(what_if("C4A", Some("leaky")), "left");
    match explain_suspect(&file, "R999", work) {
        Err(Trouble::Input { faults }) => assert!(faults[0].text.contains("`R999`"), "{faults:?}"),
        other => panic!("{other:?}"),
    }
}
