//! What is sent twice is entered once, and what was changed meanwhile is not changed again unseen.

use logbook::{
    Corrected, Decided, Fact, Logbook, LogbookError, Photograph, Undone, export, hash_of, import,
};

use crate::tried::{SENT, jpeg, photographed, reading, stamp, text, whole_book};

const ID: &str = "a-sending-of-its-own";

fn decided(what: &str) -> Fact {
    let what = text(what);
    Fact::Decided(Decided {
        what,
        ..Decided::default()
    })
}

type Sending = fn(&mut Logbook) -> Result<(), LogbookError>;

/// Every way in which something is entered, and how many entries it makes.
const SENDINGS: [(Sending, u64); 5] = [
    (|book| book.append(&stamp(), &decided("a")).map(drop), 1),
    (
        |book| {
            let facts = [decided("a"), decided("b"), decided("c")];
            book.append_all(&stamp(), &facts).map(drop)
        },
        3,
    ),
    (
        |book| {
            // Sent again, it still names the entry that was the last then.
            let facts = [decided("a"), decided("b")];
            book.append_all_after(16, &stamp(), &facts).map(drop)
        },
        2,
    ),
    (
        |book| {
            book.take_sheet(&stamp(), "a.toml", "sheet = 1\n# b\n")
                .map(drop)
        },
        1,
    ),
    (
        |book| {
            let photograph = Photograph::read(jpeg(40, 30, None)).expect("read");
            book.add_photograph(&stamp(), &photograph, photographed("IMG 2.jpg"))
                .map(drop)
        },
        1,
    ),
];

#[test]
fn each_way_of_entering_writes_once() {
    for (sending, count) in SENDINGS {
        let folder = tempfile::tempdir().expect("a folder");
        let path = folder.path().join("a.restoration");
        let mut book = whole_book(&path);
        assert_eq!(book.sent(ID), Ok(None));
        book.once(ID).expect("marked");
        sending(&mut book).expect("written");
        let (first, last) = (17, 16 + count);
        let before = book.entries().expect("read");
        assert_eq!(before.len() as u64, last);
        assert_eq!(book.sent(ID), Ok(Some((first, last))));
        drop(book);
        // Another program, another day.
        let mut book = Logbook::open(&path).expect("opens");
        book.once(ID).expect("marked");
        let told = LogbookError::SentBefore { first, last };
        assert_eq!(sending(&mut book), Err(told));
        assert_eq!(book.entries(), Ok(before));
        // The mark is used up: the same under another id, or none, is entered.
        book.append(&stamp(), &decided("d")).expect("written");
        book.once("another-sending").expect("marked");
        book.append(&stamp(), &decided("d")).expect("written");
        let last = last + 2;
        assert_eq!(book.sent("another-sending"), Ok(Some((last, last))));
    }
}

#[test]
fn what_is_refused_or_writes_nothing_leaves_no_id() {
    let folder = tempfile::tempdir().expect("a folder");
    let mut book = whole_book(&folder.path().join("a.restoration"));
    book.once(ID).expect("marked");
    assert!(book.append(&stamp(), &decided("")).is_err());
    assert_eq!(book.sent(ID), Ok(None));
    book.once(ID).expect("marked");
    let facts = [decided("a"), decided("")];
    assert!(book.append_all(&stamp(), &facts).is_err());
    assert_eq!(book.sent(ID), Ok(None));
    book.once(ID).expect("marked");
    assert_eq!(book.append_all(&stamp(), &[]), Ok(None));
    assert_eq!(book.sent(ID), Ok(None));
    // A refused change has used the mark up.
    assert_eq!(book.append(&stamp(), &decided("a")), Ok(17));
    assert_eq!(book.sent(ID), Ok(None));
}

#[test]
fn an_id_of_another_form_is_refused() {
    let folder = tempfile::tempdir().expect("a folder");
    let mut book = whole_book(&folder.path().join("a.restoration"));
    let long = "a".repeat(65);
    for id in [
        "",
        "seven77",
        "eight 88",
        "eight888\n",
        "öööööööö",
        "'; DROP--",
        &long,
    ] {
        for refused in [book.once(id), book.sent(id).map(drop)] {
            assert!(matches!(refused, Err(LogbookError::Fact { .. })), "{id}");
        }
    }
    // What was marked before does not stay marked.
    assert_eq!(book.append(&stamp(), &decided("a")), Ok(17));
    let longest = "-_zZ09".repeat(10) + "abcd";
    book.once(&longest).expect("marked");
    assert_eq!(book.append(&stamp(), &decided("a")), Ok(18));
    assert_eq!(book.sent(&longest), Ok(Some((18, 18))));
}

#[test]
fn a_backup_keeps_the_ids_and_a_folder_does_not() {
    let folder = tempfile::tempdir().expect("a folder");
    let path = |name: &str| folder.path().join(name);
    let mut book = whole_book(&path("a.restoration"));
    assert_eq!(book.sent(SENT), Ok(Some((16, 16))));
    book.once(ID).expect("marked");
    book.append(&stamp(), &decided("a")).expect("written");
    book.back_up(&path("b.restoration")).expect("copied");
    let copy = Logbook::look(&path("b.restoration")).expect("opens");
    assert_eq!(copy.sent(ID), Ok(Some((17, 17))));
    export(&book, &path("out")).expect("written");
    import(&path("out"), &path("c.restoration")).expect("read back");
    let back = Logbook::look(&path("c.restoration")).expect("opens");
    assert_eq!(back.entries(), book.entries());
    assert_eq!(back.sent(ID), Ok(None));
}

fn undo(names: u64) -> Fact {
    let because = String::new();
    Fact::Undone(Undone { names, because })
}

fn correct(names: u64, volts: f64) -> Fact {
    Fact::Corrected(Corrected {
        names,
        instead: Box::new(reading("V9.5", volts)),
        because: String::new(),
    })
}

/// Four readings, then what was done until the page was made and after it (`u3` undoes entry 3,
/// `c2` corrects entry 2, `r` is a reading); whether the sending is refused, and by which entry.
fn check(before: &str, after: &str, sending: &Fact, refused_by: Option<u64>) {
    let folder = tempfile::tempdir().expect("a folder");
    let mut book = Logbook::start(&folder.path().join("a.restoration"), "a").expect("starts");
    let mut go = |steps: &str| {
        for step in steps.split_whitespace() {
            let (what, rest) = step.split_at(1);
            let names = rest.parse().unwrap_or_default();
            let fact = match what {
                "u" => undo(names),
                "c" => correct(names, 9.0),
                _ => reading("V9.6", 1.0),
            };
            book.append(&stamp(), &fact).expect("appended");
        }
        book.entries().expect("read").len() as u64
    };
    go("r r r r");
    let seen = go(before);
    let last = go(after);
    book.only_as_seen(seen);
    let outcome = book.append(&stamp(), sending);
    match (refused_by, outcome) {
        (None, Ok(number)) => assert_eq!(number, last + 1, "{before} / {after}"),
        (Some(wanted), Err(LogbookError::Overtaken { by, what })) => {
            assert_eq!(by, wanted, "{before} / {after}: {what}");
            assert_eq!(book.entries().expect("read").len() as u64, last);
        }
        (_, other) => panic!("{before} / {after}: {other:?}"),
    }
}

#[test]
fn what_was_changed_since_it_was_seen_is_not_changed_again() {
    // Nothing, or only something else, happened since.
    check("", "", &undo(2), None);
    check("c2 u3", "r c1 u4", &correct(2, 7.0), None);
    check("u2", "r", &undo(5), None);
    // It was corrected, undone, brought back.
    check("", "c2", &correct(2, 7.0), Some(5));
    check("", "r c2 r", &undo(2), Some(6));
    check("", "u2", &correct(2, 7.0), Some(5));
    check("", "u2", &undo(2), Some(5));
    check("u2", "u5", &undo(5), Some(6));
    check("u2", "u5", &correct(2, 7.0), Some(6));
    check("c2", "u5", &correct(2, 7.0), Some(6));
    // A correction of a correction is about the first entry.
    check("c2", "c5", &correct(2, 7.0), Some(6));
    check("c2", "c2", &undo(5), Some(6));
    check("c2 c2", "u6", &correct(5, 7.0), Some(7));
}

#[test]
fn what_overtook_it_is_told_in_words() {
    let told = |after: &[Fact]| {
        let folder = tempfile::tempdir().expect("a folder");
        let mut book = Logbook::start(&folder.path().join("a.restoration"), "a").expect("starts");
        book.append(&stamp(), &reading("V9.5", 1.0))
            .expect("appended");
        book.append_all(&stamp(), after).expect("appended");
        book.only_as_seen(1);
        let error = book.append(&stamp(), &undo(1)).expect_err("refused");
        assert!(!error.hint().is_empty());
        error.to_string()
    };
    assert_eq!(
        told(&[correct(1, 2.0)]),
        "entry 1 was corrected meanwhile, by entry 2; nothing was written"
    );
    assert_eq!(
        told(&[undo(1)]),
        "entry 1 was undone meanwhile, by entry 2; nothing was written"
    );
    assert!(told(&[undo(1), undo(2)]).contains("taken back meanwhile, by entry 3"));
}

#[test]
fn a_sheet_is_taken_in_only_in_the_place_of_the_one_that_was_seen() {
    let folder = tempfile::tempdir().expect("a folder");
    let mut book = Logbook::start(&folder.path().join("a.restoration"), "a").expect("starts");
    let mut take = |seen: Option<u64>, text: &str| {
        if let Some(seen) = seen {
            book.only_as_seen(seen);
        }
        book.take_sheet(&stamp(), "a.toml", text)
    };
    let overtaken = |by| {
        Err(LogbookError::Overtaken {
            what: text("another sheet was taken in"),
            by,
        })
    };
    assert_eq!(take(Some(0), "first"), Ok(1));
    assert_eq!(take(Some(1), "second"), Ok(2));
    assert_eq!(take(Some(1), "from the first"), overtaken(2));
    assert_eq!(take(None, "unseen"), Ok(3));
    assert_eq!(take(Some(1), "from the first"), overtaken(3));
    // What is to be taken in holds already: nothing is lost by it.
    assert_eq!(take(Some(1), "unseen"), Ok(4));
    assert_eq!(
        take(Some(9), "of another file"),
        Err(LogbookError::NoSuchFact { number: 9, last: 4 })
    );
    // The sheet that was seen was undone, and with it another holds.
    book.append(&stamp(), &undo(4)).expect("undone");
    book.append(&stamp(), &undo(3)).expect("undone");
    book.append(&stamp(), &decided("a")).expect("decided");
    let mut take = |seen: u64, text: &str| {
        book.only_as_seen(seen);
        book.take_sheet(&stamp(), "a.toml", text)
    };
    assert_eq!(take(4, "from the fourth"), overtaken(6));
    // The same text holds as at entry 2.
    assert_eq!(take(2, "from the second"), Ok(8));
    assert_eq!(
        book.present_sheet().as_ref().map(|text| text.is_some()),
        Ok(true)
    );
    assert_eq!(
        book.sheet(&hash_of(b"from the second")).as_deref(),
        Ok("from the second")
    );
}
